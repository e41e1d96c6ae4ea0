"""Where does a note come from? A series of 2-AFC: the whole trial against the bottle without each suspect."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import ClassVar, Final, Self

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.series.sealed import SeriesDesign, Take
from evaluation.sessions import Plan

METHOD: Final = "2-afc"
FEWEST, MOST = 2, 12  # suspects: one by itself is a pair, and more than a dozen nobody mixes
FEWEST_ANSWERS, MOST_ANSWERS = 4, 400


@dataclass(frozen=True, slots=True)
class OffNote(SeriesDesign):
    """``suspects``: each material by name, and the bottle without it. ``cap``: answers after which one is let go.

    The whole trial is the first of every pair and expected to show more of the note; so each material has evidence of
    its own, and one is accused where that reaches the number of suspects times 1/alpha.
    """

    name: ClassVar[str] = "off-note"

    suspects: tuple[tuple[str, str], ...]
    cap: int

    def __post_init__(self) -> None:
        checks.whole("suspects", len(self.suspects), FEWEST, MOST)
        for position in (0, 1):
            if len({one[position] for one in self.suspects}) < len(self.suspects):
                raise ArgumentError("suspects must be different materials, each with a bottle of its own.")
        for material, _ in self.suspects:
            checks.text("suspect", material, 80)
        checks.whole("answers about one suspect", self.cap, FEWEST_ANSWERS, MOST_ANSWERS)

    @property
    def materials(self) -> tuple[str, ...]:
        """The suspects by name, in the order they were sealed."""
        return tuple(material for material, _ in self.suspects)

    def check(self, plan: Plan) -> None:
        """Sittings ask in which of two the note is stronger, and expect it in the whole trial."""
        if plan.method != METHOD or plan.expected != "first":
            raise ArgumentError(f"method must be {METHOD} with the whole trial first and expected to show more.")
        if plan.first_trial_id in {bottle for _, bottle in self.suspects}:
            raise ArgumentError("the whole trial must be another bottle than those without a suspect.")
        if plan.second_trial_id != self.suspects[0][1]:
            raise ArgumentError("second trial of the plan must be the bottle without the first suspect.")

    def parts(self, plan: Plan) -> Mapping[str, tuple[str, str]]:
        """By material: the whole trial, and the bottle without it."""
        return MappingProxyType({material: (plan.first_trial_id, bottle) for material, bottle in self.suspects})

    @classmethod
    def read(cls, take: Take) -> Self:
        """From a flat series."""
        return cls(tuple((one[0], one[1]) for one in take("suspects")), take("cap"))
