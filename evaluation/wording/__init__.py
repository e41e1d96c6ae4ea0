"""The words people read: methods, ballot questions, what else could be smelt, verdicts, what a plan can find.

The ballot imports this module too, so nothing heavy comes with it: the words of verdicts and plans live in
``wording.of_verdicts`` and ``wording.of_plans`` and are fetched when first asked for (PEP 562).
"""

from __future__ import annotations

from datetime import date
from importlib import import_module
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from evaluation.ground import checks
from evaluation.values.trials import STORED, Mismatch
from evaluation.wording.of_ballots import (
    ballot_question,
    method_name,
    method_sentence,
    option_label,
    rating_ends,
    rating_title,
)
from evaluation.wording.of_bottles import KEPT

if TYPE_CHECKING:
    from evaluation.wording.of_plans import advice, needed_votes, outlook_lines, replicates_or_people, saw_tooth
    from evaluation.wording.of_verdicts import headline, notes, percent, sentence, verdict_name

__all__ = [
    "advice",
    "ballot_question",
    "headline",
    "method_name",
    "method_sentence",
    "mismatch",
    "needed_votes",
    "notes",
    "option_label",
    "outlook_lines",
    "percent",
    "rating_ends",
    "rating_title",
    "replicates_or_people",
    "saw_tooth",
    "sentence",
    "verdict_name",
]

_ELSEWHERE: Final = MappingProxyType(
    {
        "headline": "wording.of_verdicts",
        "notes": "wording.of_verdicts",
        "sentence": "wording.of_verdicts",
        "verdict_name": "wording.of_verdicts",
        "percent": "wording.of_verdicts",
        "advice": "wording.of_plans",
        "replicates_or_people": "wording.of_plans",
        "saw_tooth": "wording.of_plans",
        "needed_votes": "wording.of_plans",
        "outlook_lines": "wording.of_plans",
    }
)


def __getattr__(name: str) -> Any:
    if name not in _ELSEWHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"evaluation.{_ELSEWHERE[name]}"), name)


# --- what else could be smelt -----------------------------------------------------------------------------------

_DIFFERS: Final = MappingProxyType(
    {
        "strength": "The solutions differ in strength ({first} % and {second} %)",
        "mixed": "They were mixed on different days ({first} and {second})",
        "diluted": "They were diluted on different days ({first} and {second})",
        "batch": "They come from different batches ({first} and {second})",
        "lots": "They were weighed from different lots or suppliers ({first} and {second})",
        "stored": "They were kept differently ({first} and {second})",
    }
)
_UNKNOWN: Final = MappingProxyType(
    {
        "strength": "The strength of at least one solution is not recorded",
        "mixed": "The mixing day of at least one is not recorded",
        "diluted": "The day of dilution of at least one is not recorded",
        "batch": "The batch of at least one is not recorded",
        "lots": "The lots of at least one are not recorded",
        "stored": "Where at least one was kept is not recorded",
    }
)


def mismatch(found: Mismatch) -> str:
    """A warning about one thing besides the formula in which two trials differ, or may differ."""
    if not found.known:
        return f"{_UNKNOWN[found.kind]}: if they differ, that alone can be smelt."
    told = _DIFFERS[found.kind].format(first=_said(found.kind, found.first), second=_said(found.kind, found.second))
    return f"{told}: that alone can be smelt."


def _said(kind: str, told: str) -> str:
    return KEPT[checks.term("stored", told, STORED)] if kind == "stored" else _day(told)


def _day(told: str) -> str:
    """A date as people write it, 10 Oct 2026; anything else as it is."""
    try:
        day = date.fromisoformat(told)
    except ValueError:
        return told
    return f"{day.day} {day:%b %Y}"
