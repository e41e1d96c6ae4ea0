"""Mouillette: blind smelling sessions for perfumers, with honest statistics.

Public names, besides the app that ``python -m evaluation`` starts:

the statistics       every name of :mod:`evaluation.statistics` (``difference_test``, ``power``, …)
verdicts             judge_frame: a table of answers in, the verdict on each comparison and strip age out
stored sessions      Notebook: the data behind the app, opened from Python

Names are resolved on first use (PEP 562): importing the package loads nothing heavy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from evaluation.judge import judge_frame
    from evaluation.statistics import (
        Belief,
        CheckAll,
        CheckedPair,
        CheckedRow,
        CurvePoint,
        Decay,
        DesignPoint,
        DesignSurface,
        DifferenceTest,
        Interval,
        JustAboutRight,
        JustRightRow,
        JustRightSide,
        Majority,
        MaterialCheck,
        MaterialGaps,
        MeritDifference,
        MissedMaterial,
        OperatingCharacteristic,
        OppositeCamps,
        Overdispersion,
        PageTest,
        PairCamps,
        PairCheck,
        PairDecay,
        PairwiseMerits,
        PanelistDescriptor,
        PanelistOverall,
        PanelistPerformance,
        PanelistResult,
        PeopleLimits,
        PersonDecay,
        PreferenceTest,
        ProfileDifferences,
        RankDifference,
        RankTest,
        ReplicatedDifference,
        ReplicatedLimit,
        SequentialPlan,
        SimilarityTest,
        StoppingTimes,
        Stretch,
        TrialDecay,
        actual_alpha,
        belief,
        chance,
        check_all,
        d_prime,
        decay,
        design_surface,
        difference_test,
        holm,
        just_about_right,
        material_check,
        maximum_correct,
        minimum_correct,
        misses_material,
        opposite_camps,
        pairwise_merits,
        panel_size,
        panelist_performance,
        people_limits,
        power,
        preference_critical,
        preference_panel_size,
        preference_power,
        preference_test,
        profile_differences,
        profile_family,
        proportion_correct,
        rank_test,
        replicated_difference,
        replicated_limit,
        reversed_tail,
        sequential_plan,
        similarity_test,
        smallest_detectable,
    )
    from evaluation.store import Notebook

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
    "Notebook",
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
    "RankDifference",
    "RankTest",
    "ReplicatedDifference",
    "ReplicatedLimit",
    "SequentialPlan",
    "SimilarityTest",
    "StoppingTimes",
    "Stretch",
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
    "judge_frame",
    "just_about_right",
    "material_check",
    "maximum_correct",
    "minimum_correct",
    "misses_material",
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
    "proportion_correct",
    "rank_test",
    "replicated_difference",
    "replicated_limit",
    "reversed_tail",
    "sequential_plan",
    "similarity_test",
    "smallest_detectable",
]

_ELSEWHERE = {"Notebook": "store", "judge_frame": "judge"}


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    value = getattr(import_module(f"{__name__}.{_ELSEWHERE.get(name, 'statistics')}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(set(globals()) | set(__all__))
