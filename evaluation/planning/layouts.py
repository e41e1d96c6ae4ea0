"""What to mix to tell several changes apart: one at a time, all combinations, or a fraction of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation import statistics
from evaluation.errors import ArgumentError
from evaluation.kinds.separation import FEWEST_BY_PERSON, MOST_BOTTLES, STRIPS_A_SITTING, Separation
from evaluation.planning.effect_sizes import EffectSize, effect_size
from evaluation.serving.incomplete_blocks import met_in_a_sitting

ONE_AT_A_TIME: Final = "one at a time"
ALL: Final = "all combinations"
HALF: Final = "every second combination"
QUARTER: Final = "every fourth combination"
LAYOUTS: Final = MappingProxyType({ONE_AT_A_TIME: 0, ALL: 1, HALF: 2, QUARTER: 4})  # name → fraction; 0: none


@dataclass(frozen=True, slots=True)
class Asked:
    """What is to be separated, by whom, and how much is rated."""

    changes: tuple[str, ...]
    people: int
    descriptors: int  # rated in numbers, strength and liking among them
    ages: int
    resmell: bool = True
    rounds: int = 1  # how often each nose smells each combination
    likely: tuple[str, ...] = ()
    interactions: bool = False
    second_weighing: bool = False
    alpha: float = 0.05
    beta: float = 0.20


@dataclass(frozen=True, slots=True)
class Proposal:
    """One way to separate the changes; ``refused`` says why it cannot be taken, "" where it can.

    ``sittings`` and ``strips_each`` are of one nose; ``met``: how often two bottles meet in one sitting of one nose,
    the rarest pair and the most frequent.
    """

    layout: str
    separation: Separation | None
    bottles: int
    strips_a_sitting: int
    sittings: int
    strips_each: int
    size: EffectSize | None
    met: tuple[int, int]
    refused: str


def proposals(asked: Asked) -> tuple[Proposal, ...]:
    """Every layout there is for so many changes, those that cannot be taken with the reason."""
    offered = (name for name in LAYOUTS if name == ONE_AT_A_TIME or _offered(asked, LAYOUTS[name]))
    return tuple(proposal(asked, name) for name in offered)


def proposal(asked: Asked, layout: str) -> Proposal:
    """One layout, worked out."""
    rows = combinations_of(layout, len(asked.changes))
    made = rows * 2 if asked.second_weighing else rows
    if len(made) > MOST_BOTTLES:
        return _none(layout, len(made), f"{len(made)} bottles: at most {MOST_BOTTLES} are served in one session.")
    try:
        separation = Separation(asked.changes, made, asked.likely, asked.interactions)
    except ArgumentError as refused:
        return _none(layout, len(made), str(refused))
    return _worked_out(asked, layout, separation)


def best(found: Sequence[Proposal]) -> Proposal | None:
    """The one that finds the smallest effect, of as good ones that with fewer bottles; None where none can be taken."""
    left = [one for one in found if not one.refused]
    return min(left, key=lambda one: (_found(one), one.bottles), default=None)


def combinations_of(layout: str, changes: int) -> tuple[str, ...]:
    """What each bottle holds, "011", the base first."""
    if layout == ONE_AT_A_TIME:
        return ("0" * changes, *("0" * at + "1" + "0" * (changes - at - 1) for at in range(changes)))
    runs = statistics.factorial([f"{at}" for at in range(changes)], LAYOUTS[layout]).runs
    return tuple("".join(map(str, row)) for row in runs.to_numpy().tolist())


def _offered(asked: Asked, fraction: int) -> bool:
    try:
        statistics.factorial(asked.changes, fraction)
    except ArgumentError:
        return False
    return True


def _worked_out(asked: Asked, layout: str, separation: Separation) -> Proposal:
    sittings = separation.sittings_a_round * asked.rounds
    strips = separation.strips_a_sitting * (1 if asked.resmell else asked.ages)
    size = effect_size(separation, asked.people, sittings, asked.descriptors * asked.ages, asked.alpha, asked.beta)
    met = met_in_a_sitting(len(separation.combinations), asked.people * asked.rounds)
    refused = _refused(asked, separation, strips)
    return Proposal(layout, separation, len(separation.made), strips, sittings, strips * sittings, size, met, refused)


def _refused(asked: Asked, separation: Separation, strips: int) -> str:
    if strips > STRIPS_A_SITTING:
        return (
            f"{strips} strips a nose and sitting: at most {STRIPS_A_SITTING}, so smell each strip again at the later "
            "ages, or take fewer ages."
        )
    if asked.people < FEWEST_BY_PERSON and not separation.full:
        return f"With fewer than {FEWEST_BY_PERSON} people only all combinations are tested: ask {FEWEST_BY_PERSON}."
    if asked.people < FEWEST_BY_PERSON and asked.interactions:
        return f"Two changes together are tested from {FEWEST_BY_PERSON} people on: test each change by itself."
    return ""


def _none(layout: str, bottles: int, why: str) -> Proposal:
    return Proposal(layout, None, bottles, 0, 0, 0, None, (0, 0), why)


def _found(one: Proposal) -> float:
    size = one.size.among_all if one.size else None
    return float("inf") if size is None else size
