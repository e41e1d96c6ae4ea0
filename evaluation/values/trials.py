"""Numbered trials of a scent, and what besides the formula can make two of them smell apart."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import Final, Literal, Protocol, get_args

from evaluation.errors import ArgumentError
from evaluation.ground import checks

# Proposed defaults, common practice, no source: strength equal to 0.1 % absolute; age equal to one day while
# the younger is under a week old, to a tenth of the elder's age after that.
STRENGTH_TOLERANCE = Decimal("0.1")
YOUNG_DAYS = 7
YOUNG_TOLERANCE_DAYS = 1
OLD_TOLERANCE = Decimal("0.1")

# Where a bottle has stood; "" is not recorded.
Stored = Literal["", "dark", "cold", "warm", "window"]
STORED: Final[tuple[Stored, ...]] = get_args(Stored)

# Which difference between two bottles of one trial a session means, and the mismatches that are it.
Meant = Literal["", "lots", "batch", "age", "stored", "strength"]
MEANT: Final[tuple[Meant, ...]] = get_args(Meant)
_MEANS: Final[Mapping[Meant, frozenset[str]]] = MappingProxyType(
    {one: frozenset({"mixed", "diluted"} if one == "age" else {one}) for one in MEANT}
)

LONGEST_LABEL: Final = 40
LONGEST_MARK: Final = 12  # of a bottle

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
    """One numbered version of the scent as one bottle of it is smelt; ``strength_percent`` is that of the solution.

    A trial of the book is seen through its first bottle, which bears its id. Seen through another bottle, ``id`` and
    label are that bottle's, and ``bottle_of`` is the trial's id.
    """

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
    lots: str = ""
    stored: Stored = ""
    bottle_of: str = ""

    def __post_init__(self) -> None:
        checks.text("label", self.label, len(bottle_name("", "")) + LONGEST_LABEL + LONGEST_MARK)
        checks.text("what changed", self.changed, 2000, empty=True)
        if not self.bottle_of:
            checks.text("label", self.label, LONGEST_LABEL)
        check_weighing(self)
        if self.parent_id == self.id:
            raise ArgumentError("parent must be another trial, not the trial itself.")

    @property
    def trial_id(self) -> str:
        """The trial's id, through whichever bottle it is seen."""
        return self.bottle_of or self.id


class Weighing(Protocol):
    """What is known of one weighing of a formula."""

    @property
    def strength_percent(self) -> Decimal | None:
        """Of the solution smelt, by weight."""

    @property
    def skin_strength_percent(self) -> Decimal | None:
        """Of the solution applied to skin; never neat."""

    @property
    def mixed_on(self) -> date | None:
        """The day it was weighed."""

    @property
    def diluted_on(self) -> date | None:
        """The day the solution was made."""

    @property
    def batch(self) -> str:
        """The weighing, in the conductor's words."""

    @property
    def lots(self) -> str:
        """From which lots of which materials, or from whom, in the conductor's words."""

    @property
    def stored(self) -> Stored:
        """Where it has stood."""


def bottle_name(label: str, mark: str) -> str:
    """How a further bottle of a trial is labelled: the first one is called by its trial."""
    return f"{label} bottle {mark}"


def check_weighing(made: Weighing) -> None:
    """Refuse strengths, days and words that no weighing can have."""
    checks.text("batch", made.batch, 80, empty=True)
    checks.text("lots", made.lots, 400, empty=True)
    checks.choice("stored", made.stored, STORED)
    if made.strength_percent is not None and not 0 < made.strength_percent <= 100:
        raise ArgumentError(f"strength must be above 0 and at most 100 percent, not {made.strength_percent}.")
    if made.skin_strength_percent is not None and not 0 < made.skin_strength_percent < 100:
        raise ArgumentError(
            f"strength on skin must be above 0 and below 100 percent, not {made.skin_strength_percent}: a trial is "
            "never put on skin undiluted."
        )
    for strength in (made.strength_percent, made.skin_strength_percent):
        if strength is not None:
            checks.kept_decimal("strength", strength)
    if made.mixed_on and made.diluted_on and made.diluted_on < made.mixed_on:
        raise ArgumentError("date diluted must not lie before the date mixed.")


@dataclass(frozen=True, slots=True)
class Mismatch:
    """One thing besides the formula in which two trials differ, or which is not known of both."""

    kind: str  # "strength", "mixed", "diluted", "batch", "lots" or "stored"
    known: bool  # False: at least one of the two is not recorded
    first: str
    second: str


def of_one_trial(first: Trial, second: Trial) -> bool:
    """True for two bottles of one trial: what lies between them is no change of the formula."""
    return first.trial_id == second.trial_id


def besides(first: Trial, second: Trial, on: date, meant: Meant = "") -> tuple[Mismatch, ...]:
    """What could be smelt besides the difference a session is about: of one trial the one ``meant``, else the formula.

    A difference that is meant is no confound; every other one is.
    """
    means = _MEANS[meant] if of_one_trial(first, second) else frozenset[str]()
    return tuple(one for one in mismatches(first, second, on) if one.kind not in means)


def differ_as_meant(first: Trial, second: Trial, on: date, meant: Meant, *, media: Iterable[str] = ("strip",)) -> bool:
    """Whether the book has two bottles differ in what is meant; not known of both is no. What is smelt on strips and
    what is put on skin are two solutions: strengths are those of the ``media`` of the session.
    """
    if meant != "strength":
        return any(one.known and one.kind in _MEANS[meant] for one in mismatches(first, second, on))
    found = (_strength(*(_solution(one, medium) for one in (first, second))) for medium in media)
    return any(one is not None and one.known for one in found)


def worn_unlike(first: Trial, second: Trial, meant: Meant = "") -> bool:
    """Whether two bottles are put on skin at different strengths, where that is not the difference meant."""
    is_meant = meant == "strength" and of_one_trial(first, second)
    return not is_meant and first.skin_strength_percent != second.skin_strength_percent


def _solution(made: Trial, medium: str) -> Decimal | None:
    return made.skin_strength_percent if medium == "skin" else made.strength_percent


def mismatches(first: Trial, second: Trial, on: date) -> tuple[Mismatch, ...]:
    """What could be smelt besides the change, as of day ``on``: strength, age of mixture and dilution, batch, lots,
    and where it was stored.
    """
    found = [
        _strength(first.strength_percent, second.strength_percent),
        _age("mixed", first.mixed_on, second.mixed_on, on),
        _age("diluted", first.diluted_on, second.diluted_on, on),
        _words("batch", first.batch, second.batch),
        _words("lots", first.lots, second.lots),
        _words("stored", first.stored, second.stored),
    ]
    return tuple(one for one in found if one is not None)


def _strength(one: Decimal | None, two: Decimal | None) -> Mismatch | None:
    if one is None or two is None:
        return Mismatch("strength", False, _shown(one), _shown(two))
    return Mismatch("strength", True, _shown(one), _shown(two)) if abs(one - two) > STRENGTH_TOLERANCE else None


def _age(kind: str, one: date | None, two: date | None, on: date) -> Mismatch | None:
    if one is None or two is None:
        return Mismatch(kind, False, _shown(one), _shown(two))
    ages = sorted(((on - one).days, (on - two).days))
    allowed = YOUNG_TOLERANCE_DAYS if ages[0] < YOUNG_DAYS else OLD_TOLERANCE * ages[1]
    return Mismatch(kind, True, _shown(one), _shown(two)) if ages[1] - ages[0] > allowed else None


def _words(kind: str, one: str, two: str) -> Mismatch | None:
    return None if one == two else Mismatch(kind, bool(one and two), one, two)


def _shown(value: object) -> str:
    return "" if value is None else str(value)
