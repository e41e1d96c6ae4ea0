"""Which suspect a note comes from, as far as a series has come: evidence of each, and who is smelt next.

The evidence of a material adds up over its own sittings and may be read after any of them. Which material is smelt next
may hang on all that was answered before: an innocent one is guessed at with one half whenever it is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from evaluation.counting.adding_votes import Sitting
from evaluation.series import OffNote, Series
from evaluation.statistics import accumulated_evidence, suspects

STRIPS_A_PAIR: Final = 2

# How a series about an off-note stands
STANDS_OUT: Final = "stands out"
NOBODY: Final = "nobody stands out"  # each suspect was asked about as often as was sealed
SEARCHING: Final = "nobody stands out yet"


@dataclass(frozen=True, slots=True)
class Suspected:
    """One material: answers that found the note stronger with it than without, of those asked, in so many sittings.

    ``accused``: its evidence reached what was needed after one of its sittings, and stays so.
    """

    material: str
    right: int
    asked: int
    evidence: float
    accused: bool
    sittings: int


@dataclass(frozen=True, slots=True)
class Trace:
    """All suspects, the most suspected first.

    ``needed``: what the evidence of one is held against, the number of suspects times 1/alpha. ``next_up``: who is
    smelt next, "" where one stands out or nobody is left to ask about.
    """

    suspected: tuple[Suspected, ...]
    needed: float
    cap: int
    next_up: str

    @property
    def accused(self) -> tuple[Suspected, ...]:
        """Those that stand out."""
        return tuple(one for one in self.suspected if one.accused)

    @property
    def answers(self) -> int:
        """Answers that count, about all suspects."""
        return sum(one.asked for one in self.suspected)

    @property
    def word(self) -> str:
        """How it stands."""
        if self.accused:
            return STANDS_OUT
        return SEARCHING if self.next_up else NOBODY

    @property
    def strips(self) -> int:
        """Strips smelt so far, of answers that count."""
        return STRIPS_A_PAIR * self.answers

    @property
    def saved(self) -> int:
        """Strips that need not be smelt any more, against asking about every suspect as often as was sealed."""
        left = sum(max(0, self.cap - one.asked) for one in self.suspected)
        return STRIPS_A_PAIR * left if self.accused else 0


@dataclass(frozen=True, slots=True)
class TraceTold:
    """A trace as evidence keeps it, with the note that was asked for and the trial it is in."""

    note: str
    whole: str
    sittings: int
    trace: Trace


def traced(series: Series, sittings: Iterable[Sitting]) -> Trace:
    """How a series stands after these opened sittings, in the order they were opened."""
    design, listed = series.design, tuple(sittings)
    assert isinstance(design, OffNote)
    alpha, among = float(series.plan.alpha), len(design.suspects)
    own = {material: [one.counted()[:2] for one in listed if one.part == material] for material in design.materials}
    right = {material: sum(hits for hits, _ in counts) for material, counts in own.items()}
    asked = {material: sum(map(sum, counts)) for material, counts in own.items()}
    found = tuple(
        Suspected(
            str(row.material),
            int(row.right),
            int(row.asked),
            float(row.evidence),
            _reached(own[str(row.material)], alpha, among),
            len(own[str(row.material)]),
        )
        for row in suspects(right, asked, alpha).table.itertuples()
    )
    return Trace(found, among / alpha, design.cap, next_suspect(found, design.materials, design.cap))


def _reached(counts: list[tuple[int, int]], alpha: float, among: int) -> bool:
    """Whether the evidence stood at what is needed after any sitting."""
    if not counts:
        return False
    path = accumulated_evidence([hits for hits, _ in counts], [sum(one) for one in counts], "2-afc")
    return path.noticed(alpha, among)[-1]


def next_suspect(found: Iterable[Suspected], order: Iterable[str], cap: int) -> str:
    """Who is smelt next: first everybody once, then whoever is suspected most; "" where one stands out or none is left.

    Any rule that looks at past answers only keeps the risk; this one spends strips where they tell most.
    """
    known = {one.material: one for one in found}
    if any(one.accused for one in known.values()):
        return ""
    left = [known[material] for material in order if known[material].asked < cap]
    waiting = [one for one in left if not one.sittings]
    if waiting:
        return waiting[0].material
    return max(left, key=lambda one: one.evidence).material if left else ""


def fewest_right(needed: float) -> int:
    """Answers of one mind that reach what is needed, none wrong: how soon it may end at the best."""
    return next(n for n in range(1, 1000) if accumulated_evidence([n], [n], "2-afc").evidence[0] >= needed)
