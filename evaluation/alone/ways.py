"""How one person prepares sets without learning which set holds what, and how many sets are made in one go.

By *clips* the marks are seen while dipping: whoever dips a single set would know what it holds, so that both kinds of a
triangle, and a null set with a real one, come from one dip and are told apart by nobody afterwards. By *vials* nothing
is seen: the vials of each set come blind out of a bag, and every set is dipped for itself.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.serving import smelling
from evaluation.serving.blinding import orders, served_twice
from evaluation.serving.dipping import SECONDS_PER_DIP, span
from evaluation.sessions import CLIPS, VIALS, Plan, StripAge

# What hands need, in seconds: proposals of ours, nobody has measured them for us.
MARK_SECONDS: Final = 10  # rule the line, write the mark or the code of one strip
CLIP_SECONDS: Final = 8  # push one clip over a mark
TURN_SECONDS: Final = 20  # turn a plate with closed eyes; take a bag and stand its vials in a row
FILL_SECONDS: Final = 25  # mark, fill, wipe and close one vial
AWAY_SECONDS: Final = 20  # put a set away, or tape its vials together


@dataclass(frozen=True, slots=True)
class Batch:
    """Sets prepared in one go, by their places in the session.

    ``groups`` says what is prepared for them ("AAB", or "AAa" for a null set), never which place is which; there may be
    more groups than places, the rest being kept unread. By vials it is empty: all groups were bagged before.
    """

    places: tuple[int, ...]
    age_seconds: int
    groups: tuple[str, ...]


def timed(plan: Plan) -> bool:
    """Whether dips are tapped and ages counted: of sessions sealed before there was a choice nobody can say."""
    return plan.preparation in (CLIPS, VIALS)


def compositions(plan: Plan) -> tuple[str, ...]:
    """What a real set can hold: AAB and ABB for a triangle, one composition for the others."""
    return tuple(sorted({"".join(sorted(order)) for order in orders(plan.method, plan.expected)}))


def null_groups(plan: Plan) -> tuple[str, ...]:
    """What the null sets hold, all from one trial: "AAa" from the first, the next from the second, and so on."""
    kinds = compositions(plan)
    found = (served_twice(kinds[at % len(kinds)], at % 2) for at in range(plan.null_sets))
    return tuple("".join(sorted(one, key=lambda mark: (mark.upper(), mark.islower()))) for one in found)


@lru_cache(64)
def batches(plan: Plan) -> tuple[Batch, ...]:
    """Every set of the plan, by what is prepared together, in the order of their places."""
    found, place = [], 1
    for age in plan.ages:
        for size, groups in _in_one_go(plan, age):
            found.append(Batch(tuple(range(place, place + size)), age.seconds, groups))
            place += size
    return tuple(found)


def batch_of(plan: Plan, place: int) -> Batch:
    """The batch a set belongs to."""
    return _by_place(plan)[place]


@lru_cache(64)
def _by_place(plan: Plan) -> dict[int, Batch]:
    return {place: batch for batch in batches(plan) for place in batch.places}


def _in_one_go(plan: Plan, age: StripAge) -> Iterator[tuple[int, tuple[str, ...]]]:
    """How many sets, and which groups are made for them."""
    nulls = null_groups(plan) if age.seconds == plan.null_age_seconds else ()
    kinds = compositions(plan)
    if plan.preparation == VIALS:
        yield from ((1, ()) for _ in range(plan.replicates + len(nulls)))
    elif plan.preparation == CLIPS:
        count = plan.replicates // len(kinds)
        for at in range(count):
            groups = (*kinds, *nulls[at * len(nulls) // count : (at + 1) * len(nulls) // count])
            yield len(groups), groups
    else:
        yield from ((1, kinds if at % len(kinds) == 0 else ()) for at in range(plan.replicates))


def together(plan: Plan) -> tuple[tuple[int, ...], ...]:
    """Places of a triangle among which each kind is made once: a dip, a pair; by vials bags are drawn from all."""
    if not plan.kind.mixed or plan.preparation == VIALS:
        return ()
    if plan.preparation == CLIPS:
        return tuple(one.places for one in batches(plan))
    return tuple((place, place + 1) for place in range(1, plan.sets_per_nose, 2))


def alike(plan: Plan, real: Mapping[int, str]) -> tuple[tuple[int, ...], ...]:
    """Sets made together of which both hold the same trial twice; ``real``: orders of real sets by place."""
    found = (tuple(place for place in places if place in real) for places in together(plan))
    return tuple(one for one in found if len(one) == 2 and len({real[place].count("A") for place in one}) == 1)


def bags(plan: Plan, age_seconds: int) -> tuple[tuple[str, int], ...]:
    """By vials: how many bags of each group are made for one strip age, null ones last."""
    nulls = null_groups(plan) if age_seconds == plan.null_age_seconds else ()
    each = plan.replicates // len(compositions(plan))
    return (*((kind, each) for kind in compositions(plan)), *Counter(nulls).items())


def dipping_order(groups: Iterable[str], own: str) -> tuple[str, ...]:
    """Groups in the order they are dipped, each with its trials alternating: "ABA", then "BAB".

    In a group of three the odd one is dipped in the middle, so that its age is the mean of the other two. Which group
    comes first, and which trial where there are as many of each, hangs on ``own``, the name of a set: no secret, so a
    hash will do.
    """
    return tuple(_alternating(one, own) for one in sorted(groups, key=lambda one: _drawn(own, one)))


def _alternating(group: str, own: str) -> str:
    often, seldom = sorted(Counter(group).items(), key=lambda one: (-one[1], _drawn(own, f"{group} {one[0]}")))
    pairs = zip([often[0]] * often[1], [seldom[0]] * seldom[1] + [""] * (often[1] - seldom[1]), strict=True)
    return "".join(first + second for first, second in pairs)


def _drawn(own: str, name: str) -> str:
    return hashlib.sha256(f"{own} {name}".encode()).hexdigest()


# --- how long -------------------------------------------------------------------------------------------------------


def smelling_seconds(plan: Plan) -> int:
    """From the first sniff of a set to its locked answer."""
    return smelling.seconds_of(plan)


def gap_seconds(plan: Plan) -> int:
    """From the first sniff of a set to that of the next: smelling, putting away, and the rest between two sets."""
    return smelling_seconds(plan) + AWAY_SECONDS + smelling.SETS_PAUSE_SECONDS


def lag_seconds(plan: Plan, batch: Batch, place: int) -> int:
    """How much after the planned age a set of a batch is smelt; the first ones before it, the mean is the plan's."""
    return (2 * batch.places.index(place) - len(batch.places) + 1) * gap_seconds(plan) // 2


def dipping_seconds(plan: Plan, batch: Batch) -> int:
    """From the first touch to the tap "Dipped"."""
    strips = plan.strips_a_set * max(1, len(batch.groups))
    return strips * (MARK_SECONDS + SECONDS_PER_DIP) + (TURN_SECONDS if plan.preparation == VIALS else 0)


def laying_seconds(plan: Plan, batch: Batch) -> int:
    """From the tap "Dipped" until the strips lie under their codes; by vials the codes were written before."""
    if plan.preparation == VIALS:
        return AWAY_SECONDS  # the vials are closed and taped together
    groups = max(1, len(batch.groups))
    return groups * plan.strips_a_set * (CLIP_SECONDS + MARK_SECONDS) + (groups + 1) * TURN_SECONDS


def filling_seconds(plan: Plan) -> int:
    """Before the first set, by vials: fill and bag them all."""
    return FILL_SECONDS * plan.strips if plan.preparation == VIALS else 0


# --- what a plan must leave room for ------------------------------------------------------------------------------


def check(plan: Plan) -> None:
    """Refuse a solo plan whose sets cannot all be smelt within their tolerance, however well it is kept to."""
    if not (plan.solo and timed(plan)):
        return
    for age in plan.ages:
        mine = [one for one in batches(plan) if one.age_seconds == age.seconds]
        most = max(mine, key=lambda one: len(one.places))
        _check_age(plan, age, most)


def least(plan: Plan, batch: Batch) -> tuple[int, int]:
    """The least strip age and the least tolerance, in seconds, that leave room for every set of a batch."""
    off = max(abs(lag_seconds(plan, batch, place)) for place in batch.places)
    return off + (0 if plan.preparation == VIALS else laying_seconds(plan, batch)), off


def _check_age(plan: Plan, age: StripAge, most: Batch) -> None:
    youngest, tolerance = least(plan, most)
    together = (
        f"{len(most.places)} sets come from one dip and are smelt {span(gap_seconds(plan))} apart"
        if len(most.places) > 1
        else "the strips are clipped, shuffled and coded first"
    )
    instead = "prepare with vials, which are dipped set by set"
    if age.seconds < youngest:
        raise ArgumentError(
            f"strip age must be at least {-(-youngest // 60)} minutes with clips, not {span(age.seconds)}, because "
            f"{together}: plan an older age, or {instead}."
        )
    if age.tolerance_seconds < tolerance:
        percent = -(-100 * tolerance // age.seconds)
        raise ArgumentError(
            f"tolerance must be at least {percent} percent at a strip age of {span(age.seconds)} with clips, because "
            f"{together}: widen it, plan an older age, or {instead}."
        )
