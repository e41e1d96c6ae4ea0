"""The statistics: numbers in, results out; no session, database or screen.

Public names, by question:

was it noticed       chance, difference_test, minimum_correct, actual_alpha, reversed_tail
few enough noticed   similarity_test, maximum_correct
how far apart        proportion_correct, d_prime
planning             power, panel_size, smallest_detectable
which is preferred   preference_test, preference_critical, preference_power, preference_panel_size
several questions    holm
results              DifferenceTest, SimilarityTest, PreferenceTest, Interval

References in the docstrings are cited from memory unless they say "read"; the values behind them are in
tests/reference. Names are resolved on first use (PEP 562), so that importing this package loads neither numpy
nor scipy.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from evaluation.statistics.forced_choice import (
        DifferenceTest,
        actual_alpha,
        chance,
        difference_test,
        minimum_correct,
        reversed_tail,
    )
    from evaluation.statistics.intervals import Interval
    from evaluation.statistics.planning import panel_size, power, smallest_detectable
    from evaluation.statistics.preference import (
        PreferenceTest,
        preference_critical,
        preference_panel_size,
        preference_power,
        preference_test,
    )
    from evaluation.statistics.several import holm
    from evaluation.statistics.similarity import SimilarityTest, maximum_correct, similarity_test
    from evaluation.statistics.thurstone import d_prime, proportion_correct

__all__ = [
    "DifferenceTest",
    "Interval",
    "PreferenceTest",
    "SimilarityTest",
    "actual_alpha",
    "chance",
    "d_prime",
    "difference_test",
    "holm",
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

_MODULES = {
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
    "several": ("holm",),
    "similarity": ("SimilarityTest", "maximum_correct", "similarity_test"),
    "thurstone": ("d_prime", "proportion_correct"),
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
