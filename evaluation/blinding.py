"""Codes, serving orders and vial letters, drawn once from a secret seed when a plan is sealed.

Orders are written with ``A`` for the plan's first trial and ``B`` for its second, in tray order. A duo-trio order
starts with the reference. A 3-AFC tray holds two of the trial expected to be weaker and one of the stronger.
"""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from types import MappingProxyType
from typing import Final, TypeVar

from evaluation import checks
from evaluation.errors import ArgumentError
from evaluation.sessions import STRIPS, Key, Plan, Serving

T = TypeVar("T")

SEED_BYTES: Final = 32
# Letters that are not mistaken for one another, for a digit, or for the A and B of an order.
VIAL_LETTERS: Final = "CDEFHJKLMNPRTUVWXY"


def _orders(*compositions: str) -> tuple[str, ...]:
    return tuple(sorted({"".join(order) for one in compositions for order in permutations(one)}))


# All distinct trays of each method, served equally often. Triangle: ABB BAB BBA AAB ABA BAA (J. Soc. Cosmet.
# Chem. 22, 1971; ISO 4120). Duo-trio: balanced reference, four orders (from memory, ISO 10399).
ORDERS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "triangle": _orders("AAB", "ABB"),
        "duo-trio": tuple(reference + pair for reference in "AB" for pair in ("AB", "BA")),
        "tetrad": _orders("AABB"),
        "2-afc": _orders("AB"),
        "two-out-of-five": _orders("AAABB", "AABBB"),
        "preference": _orders("AB"),
    }
)
_STRONGER_ONCE: Final = MappingProxyType({"first": _orders("ABB"), "second": _orders("AAB")})


def orders(method: str, expected: str = "") -> tuple[str, ...]:
    """The trays of ``method``; 3-AFC has three for each expected direction."""
    if method == "3-afc":
        return _STRONGER_ONCE[checks.choice("expected", expected, tuple(_STRONGER_ONCE))]
    return ORDERS[checks.choice("method", method, tuple(ORDERS))]


class Stream:
    """Random numbers anybody can draw again from the seed: HMAC-SHA-256 of a counter, read as integers.

    Kept apart from the language's generators so that a referee can check a sealed draw without this program.
    """

    def __init__(self, seed: bytes, purpose: str) -> None:
        if len(seed) != SEED_BYTES:
            raise ArgumentError(f"seed must have {SEED_BYTES} bytes, not {len(seed)}.")
        self._key = hmac.new(seed, purpose.encode(), hashlib.sha256).digest()
        self._count = 0

    def below(self, bound: int) -> int:
        """A whole number from 0 to ``bound`` - 1, each equally likely."""
        limit = (1 << 64) - (1 << 64) % bound  # a draw past the last whole multiple would favour small numbers
        while True:
            block = hmac.new(self._key, self._count.to_bytes(8, "big"), hashlib.sha256).digest()
            self._count += 1
            drawn = int.from_bytes(block[:8], "big")
            if drawn < limit:
                return drawn % bound

    def shuffled(self, items: Iterable[T]) -> list[T]:
        """The items in random order (Fisher and Yates)."""
        mixed = list(items)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed

    def pick(self, items: Sequence[T]) -> T:
        return items[self.below(len(items))]


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a seal draws: the servings (no trial in them), the key, and which codes go together for one nose.

    ``groupings`` gives for each serving a pattern such as ``"XY"``: codes under the same letter are one trial, the
    letters being dealt at random to each seat. It serves the overall choice after the last age and names no trial.
    """

    servings: tuple[Serving, ...]
    key: Key
    groupings: tuple[tuple[str, str], ...]


def draw(plan: Plan, seed: bytes, new_id: Callable[[], str], met: Mapping[int, Sequence[str]] | None = None) -> Drawn:
    """Draw codes, orders, vial letters and one spare set a seat for ``plan``.

    ``met`` holds, per seat number, the codes its panelist (a spare seat: anybody who may take it) met in earlier
    sessions, oldest first: they are not used again while others are left. Orders are balanced over the planned panel
    at each age and replicate, and drawn independently within a panelist, so that no one can work out the last order
    from the others.
    """
    slots = _slots(plan, seed)
    trays = _draw_orders(plan, seed, slots)
    codes = _draw_codes(plan, seed, slots, met or {})
    servings = tuple(
        Serving(new_id(), slot.seat, slot.place, slot.age_seconds, slot.replicate, codes[slot], slot.spare)
        for slot in slots
    )
    served = tuple((serving.id, trays[slot]) for serving, slot in zip(servings, slots, strict=True))
    vials = 4 if plan.null_sets else 2
    key = Key(seed.hex(), tuple(Stream(seed, "vial letters").shuffled(VIAL_LETTERS)[:vials]), served)
    return Drawn(servings, key, _groupings(seed, servings, served))


@dataclass(frozen=True, slots=True)
class _Slot:
    seat: int
    place: int
    age_seconds: int
    replicate: int
    round: int = 0  # among the real sets of this nose and age, or among its null sets: orders are balanced by it
    null: bool = False
    spare: bool = False


def _slots(plan: Plan, seed: bytes) -> list[_Slot]:
    """Every set of every seat: by age, then replicate, with one spare set last (none alone: no one could fill it)."""
    slots: list[_Slot] = []
    for seat in plan.seats:
        mine = [slot for age in plan.ages for slot in _at_age(plan, seed, seat.number, age.seconds)]
        slots += [replace(slot, place=place) for place, slot in enumerate(mine, start=1)]
        if not plan.solo:
            slots.append(_Slot(seat.number, len(mine) + 1, 0, 0, spare=True))
    return slots


def _at_age(plan: Plan, seed: bytes, seat: int, age: int) -> list[_Slot]:
    """The sets of one nose at one age; which of them are null is drawn for each nose."""
    nulls = plan.null_sets if age == plan.null_age_seconds else 0
    kinds = [False] * plan.replicates + [True] * nulls
    if nulls:
        kinds = Stream(seed, f"null sets {seat}").shuffled(kinds)
    return [_Slot(seat, 0, age, at, kinds[:at].count(kind), kind) for at, kind in enumerate(kinds, start=1)]


def _draw_orders(plan: Plan, seed: bytes, slots: list[_Slot]) -> dict[_Slot, str]:
    if plan.solo:  # the shuffle is the draw; marks tell the orders afterwards
        return dict.fromkeys(slots, "")
    trays = orders(plan.method, plan.expected)
    planned = {seat.number for seat in plan.seats if seat.panelist_id is not None}
    drawn: dict[_Slot, str] = {}
    for age, turn, null in sorted({(s.age_seconds, s.round, s.null) for s in slots if not s.spare}):
        stream = Stream(seed, f"orders {age} {turn}{' null' if null else ''}")
        here = [s for s in slots if (s.age_seconds, s.round, s.null) == (age, turn, null) and not s.spare]
        sitting = [s for s in here if s.seat in planned]
        drawn.update(zip(sitting, balanced(trays, len(sitting), stream), strict=True))
        drawn.update((s, stream.pick(trays)) for s in here if s.seat not in planned)
        if null:
            drawn.update(zip(here, _as_null([drawn[s] for s in here], stream), strict=True))
    spare = Stream(seed, "orders of spare sets")
    drawn.update((slot, spare.pick(trays)) for slot in slots if slot.spare)
    if plan.null_sets:  # four vials stand on the bench, and no pair of letters may tell a null set from a real one
        vials = Stream(seed, "vials of real sets")
        drawn.update((slot, order.translate(vials.pick(_VIALS))) for slot, order in drawn.items() if not slot.null)
    return drawn


# A null set is laid out like a real one, but both "trials" are one: A and a are the first trial in two vials, b and B
# the second. Which of the two is asked twice alternates over the noses.
_NULL: Final = (str.maketrans("B", "a"), str.maketrans("A", "b"))
_REAL: Final = str.maketrans("ab", "BA")
_VIALS: Final = tuple(str.maketrans("AB", first + second) for first in "Aa" for second in "Bb")


def _as_null(drawn: list[str], stream: Stream) -> list[str]:
    sides = stream.shuffled(turn % 2 for turn in range(len(drawn)))
    return [order.translate(_NULL[side]) for order, side in zip(drawn, sides, strict=True)]


def is_null(order: str) -> bool:
    """True for a set in which one trial was served as if it were two."""
    return len(set(order.upper())) == 1


def as_real(order: str) -> str:
    """An order written with A and B alone: the trials of a real set, or the real order a null set was laid out like."""
    return order.translate(_REAL) if is_null(order) else order.upper()


def impossible(plan: Plan, marks: Mapping[int, str]) -> str:
    """Why the marks entered after a solo session cannot be, in a sentence; "" if they can.

    ``marks`` holds orders by place of the set. Each set must hold the sealed numbers of each trial; a solo triangle's
    sets come in pairs, one of either composition, shuffled.
    """
    trays = orders(plan.method, plan.expected)
    for place, order in sorted(marks.items()):
        if order not in trays:
            return f"Set {place} cannot be {order or 'empty'}: it must be one of {', '.join(trays)}."
    if plan.method != "triangle":
        return ""
    for place in range(1, max(marks, default=0), 2):
        pair = [marks[one].count("A") for one in (place, place + 1) if one in marks]
        if len(pair) == 2 and pair[0] == pair[1]:
            return f"Sets {place} and {place + 1} cannot both hold the same trial twice: each pair holds both kinds."
    return ""


def balanced(trays: Sequence[str], people: int, stream: Stream) -> list[str]:
    """One tray for each of ``people``: every tray equally often, what is left over as even as can be, shuffled.

    The left-over trays alternate between compositions (AAB, ABB, …), so that eight people on six triangle trays
    still smell either trial as the odd one four times each.
    """
    full, left = divmod(people, len(trays))
    return stream.shuffled([*trays] * full + _alternating(trays, stream)[:left])


def _alternating(trays: Sequence[str], stream: Stream) -> list[str]:
    by_composition: dict[int, list[str]] = {}
    for tray in stream.shuffled(trays):
        by_composition.setdefault(tray.count("A"), []).append(tray)
    groups = stream.shuffled(by_composition.values())
    return [group[turn] for turn in range(max(map(len, groups))) for group in groups if turn < len(group)]


# --- codes ------------------------------------------------------------------------------------------------------


def _plain(code: int) -> bool:
    """True for a code that carries no meaning: digits all different and not counting up or down (common practice)."""
    a, b, c = (int(digit) for digit in str(code))
    counting = b - a == c - b and abs(b - a) == 1
    return len({a, b, c}) == 3 and not counting


_ALL = tuple(str(code) for code in range(100, 1000))
CODES: Final = tuple(code for code in _ALL if _plain(int(code)))
# Only where those run out: exactly two equal digits, never 100 or 200. 111 and 123 are never served.
REPEATING: Final = tuple(code for code in _ALL if len(set(code)) == 2 and not code.endswith("00"))


def _draw_codes(
    plan: Plan, seed: bytes, slots: list[_Slot], met: Mapping[int, Sequence[str]]
) -> dict[_Slot, tuple[str, ...]]:
    """Three-digit codes, each used once in the session, for every tray."""
    size = STRIPS[plan.method]
    needed = size * len(slots)
    if needed > len(CODES) + len(REPEATING):
        raise ArgumentError(
            f"panel, ages and replicates need {needed} codes and there are {len(CODES) + len(REPEATING)} three-digit "
            "codes without a telling pattern: plan fewer ages, replicates or people, or two sessions."
        )
    stream = Stream(seed, "codes")
    pool = stream.shuffled(CODES) + stream.shuffled(REPEATING)
    drawn: dict[_Slot, tuple[str, ...]] = {}
    for slot in slots:
        taken = _unmet(pool, met.get(slot.seat, ()), size)
        pool = [code for code in pool if code not in taken]
        drawn[slot] = tuple(taken)
    return drawn


def _unmet(pool: Sequence[str], met: Sequence[str], size: int) -> list[str]:
    """The first ``size`` codes of the pool this nose has not met; the longest forgotten ones where too few are left."""
    last_met = {code: when for when, code in enumerate(met)}
    fresh = [code for code in pool if code not in last_met]
    forgotten = sorted((code for code in pool if code in last_met), key=last_met.__getitem__)
    return (fresh + forgotten)[:size]


def _groupings(
    seed: bytes, servings: Sequence[Serving], served: Sequence[tuple[str, str]]
) -> tuple[tuple[str, str], ...]:
    dealt = {}
    for seat in sorted({serving.seat for serving in servings}):
        first_is_x = Stream(seed, f"grouping {seat}").below(2) == 0
        dealt[seat] = str.maketrans("AB", "XY" if first_is_x else "YX")
    return tuple(
        (serving.id, order.translate(dealt[serving.seat])) for serving, (_, order) in zip(servings, served, strict=True)
    )


# --- what an order makes right ------------------------------------------------------------------------------------


def correct_value(method: str, order: str, codes: Sequence[str], expected: str = "") -> str:
    """The answer the key makes right, written as the ballot writes it."""
    return _CORRECT[checks.choice("method", method, tuple(_CORRECT))](as_real(order), codes, expected)


def _odd(order: str, codes: Sequence[str], expected: str) -> str:
    odd = "A" if order.count("A") == 1 else "B"
    return codes[order.index(odd)]


def _match(order: str, codes: Sequence[str], expected: str) -> str:
    return codes[order.index(order[0], 1)]


def _stronger(order: str, codes: Sequence[str], expected: str) -> str:
    return codes[order.index("A" if expected == "first" else "B")]


def _pairs(order: str, codes: Sequence[str], expected: str) -> str:
    one = [code for code, trial in zip(codes, order, strict=True) if trial == order[0]]
    other = [code for code, trial in zip(codes, order, strict=True) if trial != order[0]]
    return f"{'+'.join(one)}|{'+'.join(other)}"


def _fewer(order: str, codes: Sequence[str], expected: str) -> str:
    few = "A" if order.count("A") == 2 else "B"
    return "+".join(code for code, trial in zip(codes, order, strict=True) if trial == few)


_CORRECT: Final = MappingProxyType(
    {
        "triangle": _odd,
        "duo-trio": _match,
        "tetrad": _pairs,
        "2-afc": _stronger,
        "3-afc": _stronger,
        "two-out-of-five": _fewer,
    }
)


def williams(treatments: int) -> tuple[tuple[int, ...], ...]:
    """Serving orders in which every treatment follows every other equally often (Williams 1949).

    Returns ``treatments`` rows when even, twice as many when odd, of treatment numbers from 0: each treatment comes
    once in every position per ``treatments`` rows, each ordered pair of neighbours equally often. Built from the
    zig-zag row 0, 1, t-1, 2, t-2, … moved on cyclically, and mirrored when t is odd.
    """
    t = checks.whole("treatments", treatments, 2, 100)
    zigzag = [0]
    for step in range(1, t):
        zigzag.append((step + 1) // 2 if step % 2 else t - step // 2)
    rows = [tuple((first + shift) % t for first in zigzag) for shift in range(t)]
    return tuple(rows) if t % 2 == 0 else tuple(rows + [row[::-1] for row in rows])
