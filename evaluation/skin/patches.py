"""Patch tests: a spot of one trial on one person, read twice, and how each stands at one moment.

A patch speaks of what was put on: the formula as it was then and its strength. It is put on open and uncovered at the
strength to be worn, never above it, and a clear one speaks for that strength only (our rule).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import Exact
from evaluation.ground import checks
from evaluation.skin.materials import DAY_MS, FACTS_DAYS, HOUR_MS, FormulaLine, formula_whole

# When a patch is read (common practice, no source; the hours between the readings are our rule).
FIRST_HOURS: Final = (48, 56)
SECOND_HOURS: Final = 72
APART_HOURS: Final = 20
REPORT_DAYS: Final = 7  # until then the person looks, and tells of anything
# Away from the smelling sites on the inner forearms (common practice, no source).
PATCH_SITES: Final = (
    "left upper arm, inner side",
    "right upper arm, inner side",
    "left upper arm, outer side",
    "right upper arm, outer side",
)
CLEAR: Final = "clear"
REACTION: Final = "reaction"
# What is asked after 30 days; formula and strength are known here.
CHANGES: Final = MappingProxyType(
    {"health": "health, skin or medicine", "batch": "the batch or the solution that is put on"}
)

# How a patch stands.
CANCELLED: Final = "cancelled"
REACTED: Final = "reacted"
FIRST: Final = "first"  # waits for the first reading
MISSED: Final = "missed"  # no first reading in its hours: nothing makes up for it
SECOND: Final = "second"  # read clear once, waits for the second reading
READ: Final = "read"  # clear both times
WAITING: Final = (FIRST, SECOND)


@dataclass(frozen=True, slots=True)
class Worn:
    """One line of what was put on: a material by its id, not by what its name is now."""

    material_id: str
    share_percent: Exact
    stock_percent: Decimal


def worn(lines: Iterable[FormulaLine]) -> tuple[Worn, ...]:
    """A formula as it is now, to be kept with what is put on."""
    return tuple(Worn(one.material.id, one.share_percent, one.stock_percent) for one in lines)


@dataclass(frozen=True, slots=True)
class Reading:
    """What was seen of a patch."""

    result: str
    at: int
    note: str = ""

    def __post_init__(self) -> None:
        checks.choice("result", self.result, (CLEAR, REACTION))
        checks.text("note", self.note, 400, empty=True)


@dataclass(frozen=True, slots=True)
class Asked:
    """What the conductor answered when asked what has changed since a patch; () where nothing has."""

    changed: tuple[str, ...]
    at: int

    def __post_init__(self) -> None:
        for one in self.changed:
            checks.choice("what changed", one, tuple(CHANGES))


@dataclass(frozen=True, slots=True)
class Standing:
    """How a patch stands: when what it waits for may begin, and when it must be done (0: no end)."""

    kind: str
    since: int = 0
    until: int = 0


@dataclass(frozen=True, slots=True)
class Patch:
    """A coded patch test of one trial on one person, with all that was seen of it and said about it."""

    id: str
    panelist_id: str
    trial_id: str
    code: str
    site: str
    strength_percent: Decimal
    applied_at: int
    lines: tuple[Worn, ...] | None = None  # the formula as it was put on; None: not known
    readings: tuple[Reading, ...] = ()
    asked: tuple[Asked, ...] = ()
    cancelled_at: int | None = None

    def __post_init__(self) -> None:
        checks.choice("site of the patch", self.site, PATCH_SITES)

    @property
    def first_from(self) -> int:
        """From when on it can first be read clear."""
        return self.applied_at + FIRST_HOURS[0] * HOUR_MS

    @property
    def first_until(self) -> int:
        """Until when it can first be read clear; not read by then, it is missed."""
        return self.applied_at + FIRST_HOURS[1] * HOUR_MS

    @property
    def report_until(self) -> int:
        """Until when whoever has it is to tell of anything that shows; a later reaction is taken as well."""
        return self.applied_at + REPORT_DAYS * DAY_MS

    def second_from(self, first_at: int) -> int:
        """When the second reading may be made after a first one at ``first_at``."""
        return max(self.applied_at + SECOND_HOURS * HOUR_MS, first_at + APART_HOURS * HOUR_MS)

    @property
    def first_clear(self) -> int | None:
        """When it was first read clear, in the hours of the first reading."""
        found = [one.at for one in self.readings if one.result == CLEAR]
        return min((at for at in found if self.first_from <= at <= self.first_until), default=None)

    @property
    def second_clear(self) -> int | None:
        """When it was read clear again, late and far enough from the first."""
        if self.first_clear is None:
            return None
        after = self.second_from(self.first_clear)
        return min((one.at for one in self.readings if one.result == CLEAR and one.at >= after), default=None)

    @property
    def reacted_at(self) -> int | None:
        """When a reaction to it was first read, None where none was: that is not the same as clear."""
        return min((one.at for one in self.readings if one.result == REACTION), default=None)

    def standing(self, now: int) -> Standing:
        """How it stands at ``now``. A reaction outlasts everything, also that the patch was cancelled."""
        if self.reacted_at is not None:
            return Standing(REACTED, self.reacted_at)
        if self.cancelled_at is not None:
            return Standing(CANCELLED, self.cancelled_at)
        if self.first_clear is None:
            return Standing(FIRST if now <= self.first_until else MISSED, self.first_from, self.first_until)
        if self.second_clear is None:
            return Standing(SECOND, self.second_from(self.first_clear))
        return Standing(READ, self.second_clear)

    def clear_from(self, now: int) -> int:
        """When it can be clear both times at the earliest, if it waits for a reading now."""
        first = max(now, self.first_from) if self.first_clear is None else self.first_clear
        return max(now, self.second_from(first))

    def is_of(self, lines: Iterable[FormulaLine]) -> bool:
        """Whether this formula is the one that was put on, whatever the order of its lines."""
        return self.lines is not None and Counter(self.lines) == Counter(worn(lines))

    @property
    def changed(self) -> tuple[str, ...]:
        """What was said to have changed since: that stays so, whatever is answered later."""
        said = {name for one in self.asked for name in one.changed}
        return tuple(name for name in CHANGES if name in said)

    def speaks(self, now: int) -> bool:
        """Whether a clear patch still speaks: young, or somebody answered lately that nothing has changed."""
        newest = max([self.applied_at, *(one.at for one in self.asked)])
        return not self.changed and now - newest <= FACTS_DAYS * DAY_MS

    def check_reading(self, result: str, at: int, note: str = "") -> Reading:
        """The reading, if it may be made at ``at``: a reaction always, a clear one in the hours of its turn."""
        if result == CLEAR:
            self._check_clear(at)
        elif self.reacted_at is not None:
            raise StateError("A reaction to this patch is written down already, and stays.")
        return Reading(result, at, note)

    def _check_clear(self, at: int) -> None:
        stands = self.standing(at)
        if stands.kind in _ENDED:
            raise StateError(_ENDED[stands.kind])
        if at >= stands.since:
            return
        left = f"this one in {-(-(stands.since - at) // HOUR_MS)} h; a reaction is written down at any time."
        if stands.kind == FIRST:
            hours = f"{FIRST_HOURS[0]} to {FIRST_HOURS[1]} hours"
            raise ArgumentError(f"a patch is first read clear {hours} after it was put on, {left}")
        raise ArgumentError(
            f"a patch is read clear again from {SECOND_HOURS} hours after it was put on and at least {APART_HOURS} "
            f"hours after the first reading, {left}"
        )


_ENDED: Final = MappingProxyType(
    {
        REACTED: "A reaction to this patch is written down, and no clear reading takes it back.",
        CANCELLED: "This patch was cancelled: put a new one on instead; a reaction to it is still taken.",
        MISSED: (
            f"The first reading, from {FIRST_HOURS[0]} to {FIRST_HOURS[1]} hours after it was put on, was missed: put "
            "a new patch on; a reaction to this one is still taken."
        ),
        READ: "This patch is read clear twice already; only a reaction that shows later is still taken.",
    }
)


def holds(patch: Patch, lines: Iterable[FormulaLine], strength: Decimal | None, now: int) -> bool:
    """Whether this patch says clear of what is to be worn: formula, strength, both readings, and still speaking."""
    same = strength is not None and patch.strength_percent == strength and patch.is_of(lines)
    return same and patch.standing(now).kind == READ and patch.speaks(now)


def known_materials(lines: Iterable[FormulaLine] | Iterable[Worn] | None) -> frozenset[str] | None:
    """The materials of a formula by id; None where it is not known, or its lines do not make up the whole."""
    if lines is None:
        return None
    listed = [(one.material.id if isinstance(one, FormulaLine) else one.material_id, one) for one in lines]
    if not formula_whole(one.share_percent for _, one in listed):
        return None
    return frozenset(name for name, _ in listed)
