"""Bottles: what is smelt. A trial is a formula, a bottle one weighing of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from evaluation.ground import checks
from evaluation.values.trials import LONGEST_MARK, Stored, Trial, check_weighing

FIRST_MARK: Final = "1"  # of the bottle every trial begins with, which bears the trial's id and is called by it


@dataclass(frozen=True, slots=True)
class Bottle:
    """One weighing of a trial: when it was mixed and diluted and to what strength, from which lots, stored where.

    ``mark`` is the bottle's own, on its label and on every sheet. The fields not known are empty or None.
    """

    id: str
    trial_id: str
    mark: str
    strength_percent: Decimal | None
    mixed_on: date | None
    diluted_on: date | None
    batch: str
    made_at: int
    skin_strength_percent: Decimal | None = None
    lots: str = ""
    stored: Stored = ""

    def __post_init__(self) -> None:
        checks.text("mark", self.mark, LONGEST_MARK)
        if self.first:
            checks.choice("mark of a first bottle", self.mark, (FIRST_MARK,))
        check_weighing(self)

    @property
    def first(self) -> bool:
        """True for the bottle the trial began with."""
        return self.id == self.trial_id


def first_bottle(trial: Trial) -> Bottle:
    """The bottle a trial of the book is seen through."""
    return Bottle(
        trial.id,
        trial.id,
        FIRST_MARK,
        trial.strength_percent,
        trial.mixed_on,
        trial.diluted_on,
        trial.batch,
        trial.made_at,
        trial.skin_strength_percent,
        trial.lots,
        trial.stored,
    )


def next_mark(bottles: tuple[Bottle, ...]) -> str:
    """A number no bottle of these is marked with, to begin with: "2" after the first."""
    taken = {one.mark for one in bottles}
    return next(str(number) for number in range(len(bottles) + 1, 2 * len(bottles) + 2) if str(number) not in taken)
