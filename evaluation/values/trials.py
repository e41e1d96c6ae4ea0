"""Numbered trials of a scent, and what besides the formula can make two of them smell apart."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks

# Proposed defaults, common practice, no source: strength equal to 0.1 % absolute; age equal to one day while
# the younger is under a week old, to a tenth of the elder's age after that.
STRENGTH_TOLERANCE = Decimal("0.1")
YOUNG_DAYS = 7
YOUNG_TOLERANCE_DAYS = 1
OLD_TOLERANCE = Decimal("0.1")

_SAID_ALREADY: Final = re.compile(r"trial\s+(?=\S)", re.IGNORECASE)


def trial_name(*labels: str) -> str:
    """How every sentence names trials, never a bare label: "trial 7", "trials 7, 7b and cedar".

    A label that says "Trial 7" itself is not told twice.
    """
    bare = [_SAID_ALREADY.sub("", one, count=1) if _SAID_ALREADY.match(one) else one for one in labels]
    return f"{'trial' if len(bare) == 1 else 'trials'} {listed(bare)}"


def listed(names: Iterable[str]) -> str:
    """ "7", "7 and 8", "7, 8 and 9"."""
    *front, last = names
    return f"{', '.join(front)} and {last}" if front else last


def sentence_case(text: str) -> str:
    """The same with a capital in front."""
    return text[:1].upper() + text[1:]


@dataclass(frozen=True, slots=True)
class Trial:
    """One numbered version of the scent; ``strength_percent`` is that of the solution smelt, by weight."""

    id: str
    brief_id: str
    label: str
    parent_id: str | None
    changed: str
    strength_percent: Decimal | None
    mixed_on: date | None
    diluted_on: date | None
    batch: str
    made_at: int
    skin_strength_percent: Decimal | None = None  # of the solution applied to skin; never neat

    def __post_init__(self) -> None:
        checks.text("label", self.label, 40)
        checks.text("what changed", self.changed, 2000, empty=True)
        checks.text("batch", self.batch, 80, empty=True)
        if self.strength_percent is not None and not 0 < self.strength_percent <= 100:
            raise ArgumentError(f"strength must be above 0 and at most 100 percent, not {self.strength_percent}.")
        if self.skin_strength_percent is not None and not 0 < self.skin_strength_percent < 100:
            raise ArgumentError(
                f"strength on skin must be above 0 and below 100 percent, not {self.skin_strength_percent}: a trial is "
                "never put on skin undiluted."
            )
        for strength in (self.strength_percent, self.skin_strength_percent):
            if strength is not None:
                checks.kept_decimal("strength", strength)
        if self.mixed_on and self.diluted_on and self.diluted_on < self.mixed_on:
            raise ArgumentError("date diluted must not lie before the date mixed.")
        if self.parent_id == self.id:
            raise ArgumentError("parent must be another trial, not the trial itself.")


@dataclass(frozen=True, slots=True)
class Mismatch:
    """One thing besides the formula in which two trials differ, or which is not known of both."""

    kind: str  # "strength", "mixed", "diluted" or "batch"
    known: bool  # False: at least one of the two is not recorded
    first: str
    second: str


def mismatches(first: Trial, second: Trial, on: date) -> tuple[Mismatch, ...]:
    """What could be smelt besides the change: strength, age of mixture and dilution, batch, as of day ``on``."""
    found = [
        _strength(first, second),
        _age("mixed", first.mixed_on, second.mixed_on, on),
        _age("diluted", first.diluted_on, second.diluted_on, on),
        _batch(first, second),
    ]
    return tuple(one for one in found if one is not None)


def _strength(first: Trial, second: Trial) -> Mismatch | None:
    one, two = first.strength_percent, second.strength_percent
    if one is None or two is None:
        return Mismatch("strength", False, _shown(one), _shown(two))
    return Mismatch("strength", True, _shown(one), _shown(two)) if abs(one - two) > STRENGTH_TOLERANCE else None


def _age(kind: str, one: date | None, two: date | None, on: date) -> Mismatch | None:
    if one is None or two is None:
        return Mismatch(kind, False, _shown(one), _shown(two))
    ages = sorted(((on - one).days, (on - two).days))
    allowed = YOUNG_TOLERANCE_DAYS if ages[0] < YOUNG_DAYS else OLD_TOLERANCE * ages[1]
    return Mismatch(kind, True, _shown(one), _shown(two)) if ages[1] - ages[0] > allowed else None


def _batch(first: Trial, second: Trial) -> Mismatch | None:
    if first.batch == second.batch:
        return None
    return Mismatch("batch", bool(first.batch and second.batch), first.batch, second.batch)


def _shown(value: object) -> str:
    return "" if value is None else str(value)
