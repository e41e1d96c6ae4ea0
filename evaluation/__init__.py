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
        DifferenceTest,
        Interval,
        PreferenceTest,
        SimilarityTest,
        actual_alpha,
        chance,
        d_prime,
        difference_test,
        holm,
        maximum_correct,
        minimum_correct,
        panel_size,
        power,
        preference_critical,
        preference_panel_size,
        preference_power,
        preference_test,
        proportion_correct,
        reversed_tail,
        similarity_test,
        smallest_detectable,
    )
    from evaluation.store import Notebook

__all__ = [
    "DifferenceTest",
    "Interval",
    "Notebook",
    "PreferenceTest",
    "SimilarityTest",
    "actual_alpha",
    "chance",
    "d_prime",
    "difference_test",
    "holm",
    "judge_frame",
    "maximum_correct",
    "minimum_correct",
    "panel_size",
    "power",
    "preference_critical",
    "preference_panel_size",
    "preference_power",
    "preference_test",
    "proportion_correct",
    "reversed_tail",
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
