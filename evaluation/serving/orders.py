"""Serving orders where several trials are compared - profiles, rounds of pairs, rankings -, places on skin, dip orders.

A slot is one set before one nose. An order writes the trials behind its codes with the letters of the plan's trials,
``A`` for the first. Balance over the panel ties the orders of people to one another: where their habits are opposed,
differences come out together more often than a test of people apart allows (``tests/slow/test_order_habits.py``). So
orders are drawn for each person apart from all others, every sequence of the trials equally likely.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import combinations, permutations
from typing import Final

from evaluation.kinds import ByKind, Round, Separation
from evaluation.serving.draws import Stream, balanced, williams
from evaluation.serving.incomplete_blocks import blocks_dealt
from evaluation.sessions import INDEPENDENT, SITES, SKIN, STRIP, TRIAL_LETTERS, Medium, Plan


@dataclass(frozen=True, slots=True)
class Slot:
    """One set to serve; slots of the same ``own`` are one strip (or skin site), smelt again under its codes."""

    seat: int
    place: int
    age_seconds: int
    replicate: int  # 0: a warm-up strip, or a spare set
    round: int = 0  # among the real sets of this nose and age, or among its null sets: orders are balanced by it
    null: bool = False
    spare: bool = False
    medium: Medium = STRIP
    own: str = ""


def several(plan: Plan, seed: bytes) -> dict[Slot, str]:
    """Every set of every seat with its order, each seat's in the order of smelling."""
    found: dict[Slot, str] = {}
    drawn = DRAWN.of(plan.method)(plan, seed)
    for seat in plan.seats:
        mine = [(slot, order) for slot, order in drawn if slot.seat == seat.number]
        found.update((replace(slot, place=place), order) for place, (slot, order) in enumerate(mine, start=1))
    return found


def _letters(plan: Plan) -> str:
    return TRIAL_LETTERS[: plan.samples]


def _rows(plan: Plan) -> tuple[str, ...]:
    """Serving orders of all trials: every one, or those in which each follows each equally often (Williams 1949)."""
    letters = _letters(plan)
    if plan.draw == INDEPENDENT:
        return tuple("".join(row) for row in permutations(letters))
    return tuple("".join(letters[trial] for trial in row) for row in williams(len(letters)))


def _dealt(plan: Plan, rows: tuple[str, ...], stream: Stream) -> dict[int, str]:
    """A row for each seat: each drawn by itself; before, balanced over the planned people and drawn for spare seats."""
    if plan.draw == INDEPENDENT:
        return {seat.number: stream.pick(rows) for seat in plan.seats}
    planned = [seat.number for seat in plan.seats if seat.panelist_id is not None]
    dealt = dict(zip(planned, balanced(rows, len(planned), stream), strict=True))
    return {seat.number: dealt.get(seat.number) or stream.pick(rows) for seat in plan.seats}


# --- profiles -----------------------------------------------------------------------------------------------------


def _profile(plan: Plan, seed: bytes) -> list[tuple[Slot, str]]:
    """One strip a set; at each age and replicate a new row for each nose."""
    drawn = _warm_up(plan, seed)
    if plan.design.separation is not None:
        return drawn + _separating(plan, plan.design.separation, seed)
    times = sorted((age.seconds, medium) for medium in plan.media for age in plan.ages_on(medium))
    for age, medium in times:
        for replicate in range(1, plan.replicates + 1):
            rows = _dealt(plan, _rows(plan), Stream(seed, f"orders {age} {replicate} {medium}"))
            for seat, row in rows.items():
                drawn += [(_strip(plan, seat, age, replicate, medium, letter), letter) for letter in row]
    return drawn


def _separating(plan: Plan, separation: Separation, seed: bytes) -> list[tuple[Slot, str]]:
    """Sitting after sitting a block of the bottles, at each age in a new order, drawn for each nose apart.

    Of two weighings of a combination each nose smells one in a sitting, drawn for it.
    """
    drawn: list[tuple[Slot, str]] = []
    dealt = blocks_dealt(separation, [seat.number for seat in plan.seats], plan.replicates, seed)
    for seat, blocks in dealt.items():
        for sitting, block in enumerate(blocks, start=1):
            weighed = Stream(seed, f"weighings {seat} {sitting}")
            letters = [weighed.pick(_bottles_of(separation, at)) for at in block]
            for age in plan.ages:
                row = Stream(seed, f"orders {seat} {sitting} {age.seconds}").shuffled(letters)
                drawn += [(_strip(plan, seat, age.seconds, sitting, STRIP, letter), letter) for letter in row]
    return drawn


def _bottles_of(separation: Separation, at: int) -> str:
    """The letters of all weighings of a combination."""
    wanted = separation.combinations[at]
    return "".join(letter for letter, one in zip(TRIAL_LETTERS, separation.made, strict=False) if one == wanted)


def _strip(plan: Plan, seat: int, age: int, replicate: int, medium: Medium, letter: str) -> Slot:
    kept = plan.design.resmell or medium == SKIN  # what is on skin stays there
    own = f"{medium} {seat} {replicate} {letter}" if kept else ""
    round_of = _letters(plan).index(letter)  # tells slots of one age and replicate apart; no place yet
    return Slot(seat, 0, age, replicate, round_of, medium=medium, own=own)


def _warm_up(plan: Plan, seed: bytes) -> list[tuple[Slot, str]]:
    """The same trial for everybody, so that all begin alike."""
    if not plan.design.warm_up:
        return []
    letter = Stream(seed, "warm-up").pick(_letters(plan))
    age = plan.ages[0].seconds
    return [(Slot(seat.number, 0, age, 0), letter) for seat in plan.seats]


# --- rounds of pairs ------------------------------------------------------------------------------------------------


def _round(plan: Plan, seed: bytes) -> list[tuple[Slot, str]]:
    """Pairs in drawn sequence; which of a pair is smelt first turns round at the next replicate."""
    if Round.of(plan).asked_pairs:
        return _asked(plan, seed)
    pairs = Stream(seed, "pairs").shuffled("".join(pair) for pair in combinations(_letters(plan), 2))
    each = Round.of(plan).pairs_each or len(pairs)
    sides = _sides(plan, pairs, each, seed)
    drawn: list[tuple[Slot, str]] = []
    for replicate in range(1, plan.replicates + 1):
        for at, seat in enumerate(plan.seats):
            mine = [pairs[(at * each + step) % len(pairs)] for step in range(each)]
            stream = Stream(seed, f"sequence {seat.number} {replicate}")
            for turn, pair in enumerate(stream.shuffled(mine)):
                turned = (sides[seat.number, pair] + replicate) % 2
                slot = Slot(seat.number, 0, plan.ages[0].seconds, replicate, turn)
                drawn.append((slot, pair[::-1] if turned else pair))
    return drawn


def _asked(plan: Plan, seed: bytes) -> list[tuple[Slot, str]]:
    """Pairs chosen beforehand, each seat's in drawn sequence; which is smelt first is drawn anew for every set."""
    drawn: list[tuple[Slot, str]] = []
    for replicate in range(1, plan.replicates + 1):
        for seat in plan.seats:
            stream = Stream(seed, f"chosen {seat.number} {replicate}")
            for turn, pair in enumerate(stream.shuffled(Round.of(plan).pairs_at(seat.number))):
                slot = Slot(seat.number, 0, plan.ages[0].seconds, replicate, turn)
                drawn.append((slot, pair[::-1] if stream.below(2) else pair))
    return drawn


def _sides(plan: Plan, pairs: list[str], each: int, seed: bytes) -> dict[tuple[int, str], int]:
    """Which way round each nose smells each of its pairs first: drawn; before, half of them either way."""
    sides: dict[tuple[int, str], int] = {}
    if plan.draw == INDEPENDENT:
        drawn = Stream(seed, "sides, each by itself")
        return {(seat.number, pair): drawn.below(2) for seat in plan.seats for pair in pairs}
    for number, pair in enumerate(pairs):
        stream = Stream(seed, f"sides {pair}")
        whose = [seat.number for at, seat in enumerate(plan.seats) if (number - at * each) % len(pairs) < each]
        dealt = zip(stream.shuffled(whose), (turn % 2 for turn in range(len(whose))), strict=True)
        first = stream.below(2)
        sides.update(((seat, pair), (side + first) % 2) for seat, side in dealt)
    return sides


# --- rankings -------------------------------------------------------------------------------------------------------


def _ranking(plan: Plan, seed: bytes) -> list[tuple[Slot, str]]:
    """All strips on one tray (or all places on one skin)."""
    drawn: list[tuple[Slot, str]] = []
    times = sorted((age.seconds, medium) for medium in plan.media for age in plan.ages_on(medium))
    for age, medium in times:
        for replicate in range(1, plan.replicates + 1):
            rows = _dealt(plan, _rows(plan), Stream(seed, f"orders {replicate}{'' if medium == STRIP else ' on skin'}"))
            drawn += [(Slot(seat, 0, age, replicate, medium=medium), row) for seat, row in rows.items()]
    return drawn


DRAWN: Final[ByKind[Callable[[Plan, bytes], list[tuple[Slot, str]]]]] = ByKind(
    "a way of drawing orders of several trials", {"profile": _profile, "round": _round, "ranking": _ranking}
)

# --- skin -----------------------------------------------------------------------------------------------------------

# Two codes lie at the same height of either arm, so that a trial is not compared with a warmer or drier patch; more
# codes take the four places in any sequence; before, in rows in which each place comes first, second, … equally often.
_MIRRORED: Final = ("02", "20", "13", "31")
_QUARTERS: Final = tuple("".join(map(str, row)) for row in williams(len(SITES)))
_ANY: Final = tuple("".join(map(str, row)) for row in permutations(range(len(SITES))))


def sites_of(plan: Plan, seed: bytes, trays: Mapping[Slot, str]) -> dict[Slot, tuple[str, ...]]:
    """Where each code of a set on skin lies, drawn apart from the serving order; before, balanced over the panel.

    The rows of before are not all sequences of places: with them a pair on one arm was a right tetrad in every second
    set, where guessing gives a third.
    """
    samples: dict[int, set[tuple[int, str, int]]] = {}
    on_skin = {slot: order for slot, order in trays.items() if slot.medium == SKIN}
    for slot, order in on_skin.items():
        samples.setdefault(slot.seat, set()).update(_samples(slot, order))
    most = max(map(len, samples.values()), default=0)
    if not most:
        return {}
    more = _ANY if plan.draw == INDEPENDENT else _QUARTERS
    rows = _dealt(plan, _MIRRORED if most == len(_MIRRORED[0]) else more, Stream(seed, "sites"))
    where = {
        (seat, *sample): SITES[int(quarter)]
        for seat, mine in samples.items()
        for sample, quarter in zip(sorted(mine), rows[seat], strict=False)
    }
    return {
        slot: tuple(where[slot.seat, *sample] for sample in _samples(slot, order)) for slot, order in on_skin.items()
    }


def _samples(slot: Slot, order: str) -> list[tuple[int, str, int]]:
    """One entry per code: what is applied once and stays; the same trial twice in a tray is two samples."""
    return [(slot.replicate, letter, order[:at].count(letter)) for at, letter in enumerate(order)]


# --- dips -------------------------------------------------------------------------------------------------------------


def dips_of(plan: Plan, seed: bytes, slots: Iterable[Slot]) -> dict[Slot, tuple[int, ...]]:
    """The places on the tray in the order of dipping (or applying), drawn apart from trials and serving order.

    So that neither a trial nor a place on the tray is always the older strip. Nothing for sessions drawn before, which
    were dipped in tray order, nor for sets of one strip.
    """
    if plan.draw != INDEPENDENT or plan.codes_a_set == 1:
        return {}
    stream = Stream(seed, "dips")
    return {slot: tuple(stream.shuffled(range(plan.codes_a_set))) for slot in slots}
