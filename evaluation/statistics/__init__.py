"""The statistics: numbers in, results out; no session, database or screen.

Public names, by question:

was it noticed       chance, difference_test, minimum_correct, actual_alpha, reversed_tail
few enough noticed   similarity_test, maximum_correct
how far apart        proportion_correct, d_prime
planning             power, panel_size, smallest_detectable, design_surface
does it add up       accumulated_evidence, preference_evidence
do the sure say it   weighted_difference
which is preferred   preference_test, preference_critical, preference_power, preference_panel_size
several questions    holm
several answers each replicated_difference, replicated_limit, people_limits
stopping early       sequential_plan
a second opinion     belief
who misses what      misses_material, material_check
what moved           profile_differences, profile_family, profile_model, ProfileDifferences, ProfileModel
how strength falls   decay, Decay, TrialDecay, CurvePoint, PersonDecay, PairDecay, Stretch
how a panelist does  panelist_performance, PanelistPerformance, PanelistOverall, PanelistDescriptor
which words apply    check_all, CheckAll, CheckedRow, CheckedPair
weak, right, strong  just_about_right, JustAboutRight, JustRightRow, JustRightSide
several, in pairs    pairwise_merits
all of a brief       brief_merits
several, ranked      rank_test
camps in the panel   opposite_camps
nearness to a brief  nearness_to_brief
which change did it  factorial, effects_of_changes, suspects, learnt_effects
results              DifferenceTest, SimilarityTest, PreferenceTest, Interval, ReplicatedDifference,
                     PanelistResult, Overdispersion, ReplicatedLimit, PeopleLimits, Belief, MaterialGaps,
                     MissedMaterial, MaterialCheck, SequentialPlan, OperatingCharacteristic, StoppingTimes,
                     DesignSurface, DesignPoint,
                     AccumulatedEvidence, PreferenceEvidence, WeightedDifference,
                     PairwiseMerits, MeritDifference, Majority, BriefMerits,
                     RankTest, RankDifference, PageTest,
                     PairCheck,
                     OppositeCamps, PairCamps,
                     Nearness, Target,
                     Factorial, EffectsOfChanges, Suspects, LearntEffects

References in the docstrings are cited from memory unless they say "read"; the values behind them are in
tests/reference. Names are resolved on first use (PEP 562), so that importing this package loads neither numpy
nor scipy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from evaluation.statistics.dry_down.curves import (
        CurvePoint,
        Decay,
        PairDecay,
        PersonDecay,
        Stretch,
        TrialDecay,
        decay,
    )
    from evaluation.statistics.dry_down.nearness import Nearness, Target, nearness_to_brief
    from evaluation.statistics.forced_choice.difference import (
        DifferenceTest,
        actual_alpha,
        chance,
        difference_test,
        minimum_correct,
        reversed_tail,
    )
    from evaluation.statistics.forced_choice.panel_power import panel_size, power, smallest_detectable
    from evaluation.statistics.forced_choice.second_opinion import Belief, belief
    from evaluation.statistics.forced_choice.similarity import SimilarityTest, maximum_correct, similarity_test
    from evaluation.statistics.forced_choice.sureness import WeightedDifference, weighted_difference
    from evaluation.statistics.forced_choice.surface import DesignPoint, DesignSurface, design_surface
    from evaluation.statistics.forced_choice.thurstone import d_prime, proportion_correct
    from evaluation.statistics.laws.intervals import Interval
    from evaluation.statistics.laws.several_questions import holm
    from evaluation.statistics.preference.brief_merits import BriefMerits, brief_merits
    from evaluation.statistics.preference.camps import OppositeCamps, PairCamps, opposite_camps
    from evaluation.statistics.preference.merits import Majority, MeritDifference, PairwiseMerits, pairwise_merits
    from evaluation.statistics.preference.pair_checks import PairCheck
    from evaluation.statistics.preference.ranking import PageTest, RankDifference, RankTest, rank_test
    from evaluation.statistics.preference.votes import (
        PreferenceTest,
        preference_critical,
        preference_panel_size,
        preference_power,
        preference_test,
    )
    from evaluation.statistics.ratings.checked import CheckAll, CheckedPair, CheckedRow, check_all
    from evaluation.statistics.ratings.differences import ProfileDifferences, profile_differences, profile_family
    from evaluation.statistics.ratings.just_right import JustAboutRight, JustRightRow, JustRightSide, just_about_right
    from evaluation.statistics.ratings.mixed_model import ProfileModel, profile_model
    from evaluation.statistics.ratings.performance import (
        PanelistDescriptor,
        PanelistOverall,
        PanelistPerformance,
        panelist_performance,
    )
    from evaluation.statistics.several_looks.martingales import (
        AccumulatedEvidence,
        PreferenceEvidence,
        accumulated_evidence,
        preference_evidence,
    )
    from evaluation.statistics.several_looks.sequential import (
        OperatingCharacteristic,
        SequentialPlan,
        StoppingTimes,
        sequential_plan,
    )
    from evaluation.statistics.small_panels.between import Overdispersion
    from evaluation.statistics.small_panels.limits import PeopleLimits, ReplicatedLimit, people_limits, replicated_limit
    from evaluation.statistics.small_panels.missed_material import (
        MaterialCheck,
        MaterialGaps,
        MissedMaterial,
        material_check,
        misses_material,
    )
    from evaluation.statistics.small_panels.replication import (
        PanelistResult,
        ReplicatedDifference,
        replicated_difference,
    )
    from evaluation.statistics.which_change.combinations import Factorial, factorial
    from evaluation.statistics.which_change.contrasts import EffectsOfChanges, effects_of_changes
    from evaluation.statistics.which_change.learning import LearntEffects, learnt_effects
    from evaluation.statistics.which_change.suspicion import Suspects, suspects

__all__ = [
    "AccumulatedEvidence",
    "Belief",
    "BriefMerits",
    "CheckAll",
    "CheckedPair",
    "CheckedRow",
    "CurvePoint",
    "Decay",
    "DesignPoint",
    "DesignSurface",
    "DifferenceTest",
    "EffectsOfChanges",
    "Factorial",
    "Interval",
    "JustAboutRight",
    "JustRightRow",
    "JustRightSide",
    "LearntEffects",
    "Majority",
    "MaterialCheck",
    "MaterialGaps",
    "MeritDifference",
    "MissedMaterial",
    "Nearness",
    "OperatingCharacteristic",
    "OppositeCamps",
    "Overdispersion",
    "PageTest",
    "PairCamps",
    "PairCheck",
    "PairDecay",
    "PairwiseMerits",
    "PanelistDescriptor",
    "PanelistOverall",
    "PanelistPerformance",
    "PanelistResult",
    "PeopleLimits",
    "PersonDecay",
    "PreferenceEvidence",
    "PreferenceTest",
    "ProfileDifferences",
    "ProfileModel",
    "RankDifference",
    "RankTest",
    "ReplicatedDifference",
    "ReplicatedLimit",
    "SequentialPlan",
    "SimilarityTest",
    "StoppingTimes",
    "Stretch",
    "Suspects",
    "Target",
    "TrialDecay",
    "WeightedDifference",
    "accumulated_evidence",
    "actual_alpha",
    "belief",
    "brief_merits",
    "chance",
    "check_all",
    "d_prime",
    "decay",
    "design_surface",
    "difference_test",
    "effects_of_changes",
    "factorial",
    "holm",
    "just_about_right",
    "learnt_effects",
    "material_check",
    "maximum_correct",
    "minimum_correct",
    "misses_material",
    "nearness_to_brief",
    "opposite_camps",
    "pairwise_merits",
    "panel_size",
    "panelist_performance",
    "people_limits",
    "power",
    "preference_critical",
    "preference_evidence",
    "preference_panel_size",
    "preference_power",
    "preference_test",
    "profile_differences",
    "profile_family",
    "profile_model",
    "proportion_correct",
    "rank_test",
    "replicated_difference",
    "replicated_limit",
    "reversed_tail",
    "sequential_plan",
    "similarity_test",
    "smallest_detectable",
    "suspects",
    "weighted_difference",
]

_MODULES = {
    "dry_down.nearness": (
        "Nearness",
        "Target",
        "nearness_to_brief",
    ),
    "preference.camps": (
        "OppositeCamps",
        "PairCamps",
        "opposite_camps",
    ),
    "preference.pair_checks": ("PairCheck",),
    "preference.ranking": (
        "PageTest",
        "RankDifference",
        "RankTest",
        "rank_test",
    ),
    "preference.merits": (
        "Majority",
        "MeritDifference",
        "PairwiseMerits",
        "pairwise_merits",
    ),
    "ratings.just_right": (
        "JustAboutRight",
        "JustRightRow",
        "JustRightSide",
        "just_about_right",
    ),
    "ratings.checked": (
        "CheckAll",
        "CheckedPair",
        "CheckedRow",
        "check_all",
    ),
    "ratings.performance": (
        "PanelistDescriptor",
        "PanelistOverall",
        "PanelistPerformance",
        "panelist_performance",
    ),
    "dry_down.curves": (
        "CurvePoint",
        "Decay",
        "PairDecay",
        "PersonDecay",
        "Stretch",
        "TrialDecay",
        "decay",
    ),
    "small_panels.missed_material": (
        "MaterialCheck",
        "MaterialGaps",
        "MissedMaterial",
        "material_check",
        "misses_material",
    ),
    "forced_choice.second_opinion": (
        "Belief",
        "belief",
    ),
    "small_panels.between": ("Overdispersion",),
    "small_panels.limits": (
        "PeopleLimits",
        "ReplicatedLimit",
        "people_limits",
        "replicated_limit",
    ),
    "small_panels.replication": (
        "PanelistResult",
        "ReplicatedDifference",
        "replicated_difference",
    ),
    "forced_choice.difference": (
        "DifferenceTest",
        "actual_alpha",
        "chance",
        "difference_test",
        "minimum_correct",
        "reversed_tail",
    ),
    "laws.intervals": ("Interval",),
    "preference.brief_merits": ("BriefMerits", "brief_merits"),
    "forced_choice.panel_power": ("panel_size", "power", "smallest_detectable"),
    "preference.votes": (
        "PreferenceTest",
        "preference_critical",
        "preference_panel_size",
        "preference_power",
        "preference_test",
    ),
    "several_looks.martingales": (
        "AccumulatedEvidence",
        "PreferenceEvidence",
        "accumulated_evidence",
        "preference_evidence",
    ),
    "several_looks.sequential": (
        "OperatingCharacteristic",
        "SequentialPlan",
        "StoppingTimes",
        "sequential_plan",
    ),
    "laws.several_questions": ("holm",),
    "forced_choice.sureness": ("WeightedDifference", "weighted_difference"),
    "forced_choice.similarity": ("SimilarityTest", "maximum_correct", "similarity_test"),
    "forced_choice.surface": ("DesignPoint", "DesignSurface", "design_surface"),
    "forced_choice.thurstone": ("d_prime", "proportion_correct"),
    "ratings.differences": ("ProfileDifferences", "profile_differences", "profile_family"),
    "ratings.mixed_model": ("ProfileModel", "profile_model"),
    "which_change.combinations": ("Factorial", "factorial"),
    "which_change.contrasts": ("EffectsOfChanges", "effects_of_changes"),
    "which_change.learning": ("LearntEffects", "learnt_effects"),
    "which_change.suspicion": ("Suspects", "suspects"),
}
_HOME = {name: module for module, names in _MODULES.items() for name in names}


def __getattr__(name: str) -> Any:
    if name not in _HOME:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(set(globals()) | set(__all__))
