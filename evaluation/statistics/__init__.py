"""The statistics: numbers in, results out; no session, database or screen.

Public names, by question:

was it noticed       chance, difference_test, minimum_correct, actual_alpha, reversed_tail
few enough noticed   similarity_test, maximum_correct
how far apart        proportion_correct, d_prime
planning             power, panel_size, smallest_detectable, design_surface
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
several, ranked      rank_test
camps in the panel   opposite_camps
nearness to a brief  nearness_to_brief
results              DifferenceTest, SimilarityTest, PreferenceTest, Interval, ReplicatedDifference,
                     PanelistResult, Overdispersion, ReplicatedLimit, PeopleLimits, Belief, MaterialGaps,
                     MissedMaterial, MaterialCheck, SequentialPlan, OperatingCharacteristic, StoppingTimes,
                     DesignSurface, DesignPoint,
                     PairwiseMerits, MeritDifference, Majority,
                     RankTest, RankDifference, PageTest,
                     PairCheck,
                     OppositeCamps, PairCamps,
                     Nearness, Target

References in the docstrings are cited from memory unless they say "read"; the values behind them are in
tests/reference. Names are resolved on first use (PEP 562), so that importing this package loads neither numpy
nor scipy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from evaluation.statistics.anosmia import (
        MaterialCheck,
        MaterialGaps,
        MissedMaterial,
        material_check,
        misses_material,
    )
    from evaluation.statistics.between import Overdispersion
    from evaluation.statistics.camps import (
        OppositeCamps,
        PairCamps,
        opposite_camps,
    )
    from evaluation.statistics.checked import (
        CheckAll,
        CheckedPair,
        CheckedRow,
        check_all,
    )
    from evaluation.statistics.dry_down import (
        CurvePoint,
        Decay,
        PairDecay,
        PersonDecay,
        Stretch,
        TrialDecay,
        decay,
    )
    from evaluation.statistics.forced_choice import (
        DifferenceTest,
        actual_alpha,
        chance,
        difference_test,
        minimum_correct,
        reversed_tail,
    )
    from evaluation.statistics.intervals import Interval
    from evaluation.statistics.just_right import (
        JustAboutRight,
        JustRightRow,
        JustRightSide,
        just_about_right,
    )
    from evaluation.statistics.merits import (
        Majority,
        MeritDifference,
        PairwiseMerits,
        pairwise_merits,
    )
    from evaluation.statistics.mixed_model import ProfileModel, profile_model
    from evaluation.statistics.nearness import (
        Nearness,
        Target,
        nearness_to_brief,
    )
    from evaluation.statistics.pair_checks import (
        PairCheck,
    )
    from evaluation.statistics.panel_limits import PeopleLimits, ReplicatedLimit, people_limits, replicated_limit
    from evaluation.statistics.performance import (
        PanelistDescriptor,
        PanelistOverall,
        PanelistPerformance,
        panelist_performance,
    )
    from evaluation.statistics.planning import panel_size, power, smallest_detectable
    from evaluation.statistics.preference import (
        PreferenceTest,
        preference_critical,
        preference_panel_size,
        preference_power,
        preference_test,
    )
    from evaluation.statistics.profile import ProfileDifferences, profile_differences, profile_family
    from evaluation.statistics.ranking import (
        PageTest,
        RankDifference,
        RankTest,
        rank_test,
    )
    from evaluation.statistics.replication import PanelistResult, ReplicatedDifference, replicated_difference
    from evaluation.statistics.second_opinion import Belief, belief
    from evaluation.statistics.sequential import (
        OperatingCharacteristic,
        SequentialPlan,
        StoppingTimes,
        sequential_plan,
    )
    from evaluation.statistics.several import holm
    from evaluation.statistics.similarity import SimilarityTest, maximum_correct, similarity_test
    from evaluation.statistics.surface import DesignPoint, DesignSurface, design_surface
    from evaluation.statistics.thurstone import d_prime, proportion_correct

__all__ = [
    "Belief",
    "CheckAll",
    "CheckedPair",
    "CheckedRow",
    "CurvePoint",
    "Decay",
    "DesignPoint",
    "DesignSurface",
    "DifferenceTest",
    "Interval",
    "JustAboutRight",
    "JustRightRow",
    "JustRightSide",
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
    "Target",
    "TrialDecay",
    "actual_alpha",
    "belief",
    "chance",
    "check_all",
    "d_prime",
    "decay",
    "design_surface",
    "difference_test",
    "holm",
    "just_about_right",
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
]

_MODULES = {
    "nearness": (
        "Nearness",
        "Target",
        "nearness_to_brief",
    ),
    "camps": (
        "OppositeCamps",
        "PairCamps",
        "opposite_camps",
    ),
    "pair_checks": ("PairCheck",),
    "ranking": (
        "PageTest",
        "RankDifference",
        "RankTest",
        "rank_test",
    ),
    "merits": (
        "Majority",
        "MeritDifference",
        "PairwiseMerits",
        "pairwise_merits",
    ),
    "just_right": (
        "JustAboutRight",
        "JustRightRow",
        "JustRightSide",
        "just_about_right",
    ),
    "checked": (
        "CheckAll",
        "CheckedPair",
        "CheckedRow",
        "check_all",
    ),
    "performance": (
        "PanelistDescriptor",
        "PanelistOverall",
        "PanelistPerformance",
        "panelist_performance",
    ),
    "dry_down": (
        "CurvePoint",
        "Decay",
        "PairDecay",
        "PersonDecay",
        "Stretch",
        "TrialDecay",
        "decay",
    ),
    "anosmia": (
        "MaterialCheck",
        "MaterialGaps",
        "MissedMaterial",
        "material_check",
        "misses_material",
    ),
    "second_opinion": (
        "Belief",
        "belief",
    ),
    "between": ("Overdispersion",),
    "panel_limits": (
        "PeopleLimits",
        "ReplicatedLimit",
        "people_limits",
        "replicated_limit",
    ),
    "replication": (
        "PanelistResult",
        "ReplicatedDifference",
        "replicated_difference",
    ),
    "forced_choice": (
        "DifferenceTest",
        "actual_alpha",
        "chance",
        "difference_test",
        "minimum_correct",
        "reversed_tail",
    ),
    "intervals": ("Interval",),
    "planning": ("panel_size", "power", "smallest_detectable"),
    "preference": (
        "PreferenceTest",
        "preference_critical",
        "preference_panel_size",
        "preference_power",
        "preference_test",
    ),
    "sequential": (
        "OperatingCharacteristic",
        "SequentialPlan",
        "StoppingTimes",
        "sequential_plan",
    ),
    "several": ("holm",),
    "similarity": ("SimilarityTest", "maximum_correct", "similarity_test"),
    "surface": ("DesignPoint", "DesignSurface", "design_surface"),
    "thurstone": ("d_prime", "proportion_correct"),
    "profile": ("ProfileDifferences", "profile_differences", "profile_family"),
    "mixed_model": ("ProfileModel", "profile_model"),
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
