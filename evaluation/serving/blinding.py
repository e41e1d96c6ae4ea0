"""Codes, serving orders, dip orders and vial letters, drawn once from a secret seed when a plan is sealed.

Orders are written with ``A`` for the plan's first trial and ``B`` for its second, in tray order. A duo-trio order
starts with the reference. A 3-AFC tray holds two of the trial expected to be weaker and one of the stronger.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.kinds import Method, kind_of, kinds, methods
from evaluation.serving.draws import Stream, balanced
from evaluation.serving.orders import Slot, dips_of, several, sites_of
from evaluation.sessions import INDEPENDENT, SHUFFLED, STRIP, Key, Law, Medium, Plan, Serving

# Letters that are not mistaken for one another, for a digit, or for the A and B of an order.
VIAL_LETTERS: Final = "CDEFHJKLMNPRTUVWXY"
# Codes cost nothing alone, and one evening of clumsy hands should not end a session (our numbers, no source).
FEWEST_SPARES_ALONE: Final = 4
MOST_SPARES_ALONE: Final = 12


def orders(method: Method, expected: str = "") -> tuple[str, ...]:
    """The trays of ``method``, equally likely; 3-AFC has three for each expected direction."""
    return kind_of(checks.choice("method", method, laid_out())).orders(expected)


def laid_out() -> tuple[str, ...]:
    """The methods whose sets hold both of two trials, in drawn orders."""
    return methods(lambda kind: bool(kind.trays))


def law_now(*, solo: bool) -> Law:
    """The law by which a plan that is sealed now is drawn (``Plan.draw``)."""
    return SHUFFLED if solo else INDEPENDENT


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
    sessions, oldest first: they are not used again while others are left. Orders, places on skin and dip orders follow
    the law the plan names (``plan.draw``): each by itself (:func:`independent`), or, as sealed before, balanced over
    the planned panel at each age and replicate and independent within a panelist.
    """
    slots, trays = _pairs_of_trials(plan, seed) if plan.kind.trays else _several(plan, seed)
    codes = _draw_codes(plan, seed, slots, met or {})
    sites, dips = sites_of(plan, seed, trays), dips_of(plan, seed, slots)
    servings = tuple(_serving(new_id(), slot, codes[slot], sites.get(slot, ()), dips.get(slot, ())) for slot in slots)
    served = tuple((serving.id, trays[slot]) for serving, slot in zip(servings, slots, strict=True))
    vials = 4 if plan.null_sets else plan.samples
    key = Key(seed.hex(), tuple(Stream(seed, "vial letters").shuffled(VIAL_LETTERS)[:vials]), served)
    groupings = tuple((serving.id, "") for serving in servings)
    return Drawn(servings, key, _groupings(seed, servings, served) if plan.kind.trays else groupings)


def _serving(own_id: str, slot: Slot, codes: tuple[str, ...], sites: tuple[str, ...], dips: tuple[int, ...]) -> Serving:
    return Serving(
        own_id,
        slot.seat,
        slot.place,
        slot.age_seconds,
        slot.replicate,
        codes,
        slot.spare,
        medium=slot.medium,
        sites=sites,
        dips=dips,
    )


def _several(plan: Plan, seed: bytes) -> tuple[list[Slot], dict[Slot, str]]:
    trays = several(plan, seed)
    return list(trays), trays


def _pairs_of_trials(plan: Plan, seed: bytes) -> tuple[list[Slot], dict[Slot, str]]:
    slots = _slots(plan, seed)
    return slots, _draw_orders(plan, seed, slots)


def _slots(plan: Plan, seed: bytes) -> list[Slot]:
    """Every set of every seat: by age, then replicate, with the spare sets last."""
    slots: list[Slot] = []
    for seat in plan.seats:
        times = sorted((age.seconds, m) for m in reversed(plan.media) for age in plan.ages_on(m))
        mine = [slot for age, m in times for slot in _at_age(plan, seed, seat.number, age, m)]
        slots += [replace(slot, place=place) for place, slot in enumerate(mine, start=1)]
        spare = range(len(mine) + 1, len(mine) + 1 + spare_sets(plan))
        slots += [Slot(seat.number, place, 0, 0, spare=True) for place in spare]
    return slots


def spare_sets(plan: Plan) -> int:
    """Spare sets drawn for each seat; alone they are codes only, for a set of every sitting: the shuffle fills them."""
    if plan.solo:
        return min(max(FEWEST_SPARES_ALONE, plan.sets_per_nose // 4), MOST_SPARES_ALONE)
    return 1 if STRIP in plan.media else 0


def _at_age(plan: Plan, seed: bytes, seat: int, age: int, medium: Medium) -> list[Slot]:
    """The sets of one nose at one age; which of them are null is drawn for each nose."""
    nulls = plan.null_sets if age == plan.null_age_seconds else 0
    kinds = [False] * plan.replicates + [True] * nulls
    if nulls:
        kinds = Stream(seed, f"null sets {seat}").shuffled(kinds)
    return [
        Slot(seat, 0, age, at, kinds[:at].count(kind), kind, medium=medium) for at, kind in enumerate(kinds, start=1)
    ]


def _draw_orders(plan: Plan, seed: bytes, slots: list[Slot]) -> dict[Slot, str]:
    if plan.solo:  # the shuffle is the draw; marks tell the orders afterwards
        return dict.fromkeys(slots, "")
    drawn = (independent if plan.draw == INDEPENDENT else _balanced)(plan, seed, slots)
    if plan.null_sets:  # four vials stand on the bench, and no pair of letters may tell a null set from a real one
        vials = Stream(seed, "vials of real sets")
        drawn.update((slot, order.translate(vials.pick(_VIALS))) for slot, order in drawn.items() if not slot.null)
    return drawn


def independent(plan: Plan, seed: bytes, slots: Sequence[Slot]) -> dict[Slot, str]:
    """An order for every set, each drawn by itself, every tray of the method equally likely; spare sets too.

    So guessing is exactly chance, whatever habits people have and whatever they know. Let the trials be alike, and
    let somebody who is about to answer a set know everything but this set's order: all other orders and answers, his
    own and everybody's, all codes, places on skin and dip orders, which sets are null. This order was drawn apart from
    all that, so every tray is still equally likely; and whichever answer is given, the same share of the trays makes
    it right: 1/2 for 2-AFC, duo-trio and a preference for the first trial, 1/3 for triangle, 3-AFC and tetrad, 1/10 for
    two-out-of-five. Hence each answer is right with exactly that probability given all before it, and the count of
    right ones is binomial: no rule of answering, however it adapts, changes its law. Nor does leaving sets out, by any
    rule that does not know whether the answer is right. Where a share pd of sets is noticed and the rest answered by
    habit, each answer is right with pd + (1 - pd) × chance by the same reasoning, which keeps beta.

    Equal use of all orders (ISO 4120) does not give this: with two people at a pair, one always choosing the first code
    and the other the second, both are right or both wrong. Equal use is therefore given up.
    """
    trays = orders(plan.method, plan.expected)
    stream, sides = Stream(seed, "orders, each by itself"), Stream(seed, "trials of null sets, each by itself")
    drawn = {slot: stream.pick(trays) for slot in slots}
    return {slot: order.translate(sides.pick(_NULL)) if slot.null else order for slot, order in drawn.items()}


def _balanced(plan: Plan, seed: bytes, slots: Sequence[Slot]) -> dict[Slot, str]:
    """Every order equally often over the planned panel at each age and round: how sessions were drawn before."""
    trays = orders(plan.method, plan.expected)
    planned = {seat.number for seat in plan.seats if seat.panelist_id is not None}
    drawn: dict[Slot, str] = {}
    for age, turn, null, medium in sorted({(s.age_seconds, s.round, s.null, s.medium) for s in slots if not s.spare}):
        on = "" if medium == STRIP else f" {medium}"
        stream = Stream(seed, f"orders {age} {turn}{' null' if null else ''}{on}")
        at = (age, turn, null, medium)
        here = [s for s in slots if (s.age_seconds, s.round, s.null, s.medium) == at and not s.spare]
        sitting = [s for s in here if s.seat in planned]
        drawn.update(zip(sitting, balanced(trays, len(sitting), stream), strict=True))
        drawn.update((s, stream.pick(trays)) for s in here if s.seat not in planned)
        if null:
            drawn.update(zip(here, _as_null([drawn[s] for s in here], stream), strict=True))
    spare = Stream(seed, "orders of spare sets")
    drawn.update((slot, spare.pick(trays)) for slot in slots if slot.spare)
    return drawn


# A null set is laid out like a real one, but both "trials" are one: A and a are the first trial in two vials, b and B
# the second. Which of the two is asked twice is drawn for each set; before, it alternated over the noses.
_NULL: Final = (str.maketrans("B", "a"), str.maketrans("A", "b"))
_REAL: Final = str.maketrans("ab", "BA")
_VIALS: Final = tuple(str.maketrans("AB", first + second) for first in "Aa" for second in "Bb")


def _as_null(drawn: list[str], stream: Stream) -> list[str]:
    sides = stream.shuffled(turn % 2 for turn in range(len(drawn)))
    return [order.translate(_NULL[side]) for order, side in zip(drawn, sides, strict=True)]


def served_twice(order: str, side: int) -> str:
    """``order`` with one trial in the place of both: the first (side 0: AAB becomes AAa) or the second (bbB)."""
    return order.translate(_NULL[side])


def is_null(order: str) -> bool:
    """True for a set in which one trial was served as if it were two: out of both its vials (A A A is no such set)."""
    return len(set(order)) > 1 and len(set(order.upper())) == 1


def as_real(order: str) -> str:
    """An order written with A and B alone: the trials of a real set, or the real order a null set was laid out like."""
    return order.translate(_REAL) if is_null(order) else order.upper()


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
    plan: Plan, seed: bytes, slots: list[Slot], met: Mapping[int, Sequence[str]]
) -> dict[Slot, tuple[str, ...]]:
    """Three-digit codes, each used once in the session, for every tray."""
    size = plan.codes_a_set
    trays: dict[object, list[Slot]] = {}
    for slot in slots:
        trays.setdefault(slot.own or slot, []).append(slot)  # an own strip keeps its codes from age to age
    needed = size * len(trays)
    if needed > len(CODES) + len(REPEATING):
        raise ArgumentError(
            f"panel, ages and replicates need {needed} codes and there are {len(CODES) + len(REPEATING)} three-digit "
            "codes without a telling pattern: plan fewer ages, replicates or people, or two sessions."
        )
    stream = Stream(seed, "codes")
    pool = stream.shuffled(CODES) + stream.shuffled(REPEATING)
    drawn: dict[Slot, tuple[str, ...]] = {}
    for alike in trays.values():
        taken = _unmet(pool, met.get(alike[0].seat, ()), size)
        pool = [code for code in pool if code not in taken]
        drawn.update(dict.fromkeys(alike, tuple(taken)))
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


def correct_value(method: Method, order: str, codes: Sequence[str], expected: str = "") -> str:
    """The answer the key makes right, written as the ballot writes it."""
    forced = kind_of(method).forced
    if forced is None:
        judged = ", ".join(repr(kind.method) for kind in kinds() if kind.judged)
        raise ArgumentError(f"method must be one of {judged}, not {method!r}.")
    return forced.right(as_real(order), codes, expected)
