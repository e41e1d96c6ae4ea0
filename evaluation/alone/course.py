"""What comes next alone: which strips are due, what is made ready while others age, and when the nose rests.

Rests are proposals and so is the order; both may be passed over, and that is written down. Instants are milliseconds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from evaluation.alone import ways
from evaluation.alone.ways import Batch
from evaluation.planning.outlook import sets_a_sitting
from evaluation.serving import smelling
from evaluation.sessions import Plan

MAKE: Final = "make"  # mark, dip, tap
LAY_OUT: Final = "lay out"
WAIT: Final = "wait"  # strips age
SMELL: Final = "smell"  # they are due
ANSWER: Final = "answer"  # the set is begun
PUT_AWAY: Final = "put away"
REST: Final = "rest"
OVER: Final = "over"  # every set is put away

SECOND: Final = 1000
HOUR: Final = 3600 * SECOND
# Rests: our proposals, common practice, no source.
SITTINGS_REST_SECONDS: Final = 10 * 60
SITTINGS_A_DAY: Final = 2
NIGHT_HOURS: Final = 8  # "tomorrow" is another day and at least this much later
DAY_ENDS: Final = 4  # at four in the morning, for those who smell over midnight
# Strips that need hours are not made for a time at which people sleep (our rule); young ones may be smelt at night.
MORNING, EVENING = 7, 23
LONG_MS: Final = 2 * HOUR
MOST_MOVES: Final = 500  # each moves a beginning past one set that ages, or over one night
BETWEEN_SETS: Final = "between sets"
BETWEEN_SITTINGS: Final = "between sittings"
NEXT_DAY: Final = "until the next day"


@dataclass(frozen=True, slots=True)
class Standing:
    """Where one set stands. It is smelt at ``due_at``, and too late after ``until``; None while it is undipped."""

    place: int
    due_at: int | None = None
    until: int | None = None
    laid: bool = False
    begun: bool = False
    answered: bool = False
    away_at: int | None = None


@dataclass(frozen=True, slots=True)
class Next:
    """What to do now with these sets, or until when to wait or rest, and why; by ``sooner`` something can be made."""

    kind: str
    places: tuple[int, ...] = ()
    until: int = 0
    why: str = ""
    sooner: int = 0


def sitting_of(plan: Plan, number: int) -> int:
    """The sitting, from 1, in which the set smelt as ``number`` is planned; a look always ends one."""
    block, size = plan.look_every or plan.sets_per_nose, sets_a_sitting(plan.method)
    before, within = divmod(number - 1, block)
    return before * -(-block // size) + within // size + 1


def next_of(plan: Plan, sets: Sequence[Standing], now: int, last_place: int = 0) -> Next:
    """What comes next; nothing beyond ``last_place`` (0: all) is made ready, because marks are read before it."""
    table = _Table(plan, tuple(sets), now, last_place or len(sets))
    return _in_hand(table) or _called(table) or _made_ready(table)


def to_make(plan: Plan, sets: Sequence[Standing], last_place: int = 0) -> tuple[Batch, ...]:
    """What may be made next, one batch of each age, whether or not it fits what is proposed now."""
    return tuple(_Table(plan, tuple(sets), 0, last_place or len(sets)).pending())


def rest_before(plan: Plan, sets: Sequence[Standing], place: int) -> tuple[str, int]:
    """Why the nose rests before it smells a set, and until when."""
    return _Table(plan, tuple(sets), 0, 0).rest(place)


class _Table:
    """The sets as they stand at one instant, and what follows from it."""

    def __init__(self, plan: Plan, sets: tuple[Standing, ...], now: int, last_place: int) -> None:
        self.plan, self.sets, self.moment, self.last_place = plan, sets, now, last_place
        self.timed = ways.timed(plan)
        self.zone = ZoneInfo(plan.zone)
        self.gap = SECOND * ways.gap_seconds(plan)
        self.smelt = sorted((one.away_at, one.place) for one in sets if one.away_at is not None)
        aging = [one for one in sets if one.due_at is not None and not one.answered]
        self.waiting = sorted(aging, key=lambda one: (one.due_at or 0, one.place))  # dipped, the next one first

    def rest(self, place: int) -> tuple[str, int]:
        """Why the nose rests before this set, and until when."""
        if not self.smelt:
            return "", 0
        last, before = self.smelt[-1]
        inside = ways.batch_of(self.plan, before) == ways.batch_of(self.plan, place)  # its strips wait for nobody
        sittings = _sittings(self.plan, self.zone, self.smelt)
        if inside or not _full(self.plan, sittings[-1], len(self.smelt)):
            return BETWEEN_SETS, last + SECOND * smelling.SETS_PAUSE_SECONDS
        if sum(same_day(self.zone, one[-1], last) for one in sittings) >= SITTINGS_A_DAY:
            return NEXT_DAY, _tomorrow(self.zone, last)
        return BETWEEN_SITTINGS, last + SECOND * SITTINGS_REST_SECONDS

    def pending(self) -> Iterator[Batch]:
        """What is to be made next of each age, the oldest strips first: they age while younger ones are smelt."""
        open_ = {one.place for one in self.sets if one.due_at is None and not one.laid and not one.answered}
        first: dict[int, Batch] = {}
        for batch in ways.batches(self.plan):
            places = tuple(place for place in batch.places if place in open_ and place <= self.last_place)
            if places:
                first.setdefault(batch.age_seconds, Batch(places, batch.age_seconds, batch.groups))
        return iter(sorted(first.values(), key=lambda one: -one.age_seconds if self.timed else one.places[0]))


# --- what lies on the table -------------------------------------------------------------------------------------------


def _in_hand(table: _Table) -> Next | None:
    """A set that something was begun with and not ended."""
    unlaid = tuple(one.place for one in table.sets if one.due_at is not None and not one.laid)
    if unlaid:
        return Next(LAY_OUT, unlaid)
    for one in table.sets:
        if one.answered and one.away_at is None:
            return Next(PUT_AWAY, (one.place,))
    for one in table.sets:
        if not one.answered and (one.begun or (one.laid and not table.timed)):
            return Next(ANSWER, (one.place,))
    return None


def _called(table: _Table) -> Next | None:
    """The dipped set that is due now; it waits for the nose's rest as long as its tolerance allows."""
    if not table.waiting:
        return None
    first = table.waiting[0]
    due, until = first.due_at or 0, first.until or 0
    if table.moment < due:
        return None
    least = table.smelt[-1][0] + SECOND * smelling.SETS_PAUSE_SECONDS if table.smelt else 0
    for why, rested in (table.rest(first.place), (BETWEEN_SETS, least)):
        if table.moment < rested <= until:
            return Next(WAIT, (first.place,), rested, why)
    return Next(SMELL, (first.place,))


# --- what is made ready meanwhile -------------------------------------------------------------------------------------

Bound = Callable[["_Table", Batch, int], int]  # the earliest instant, from the given one on, at which it may begin


def _made_ready(table: _Table) -> Next:
    """The next strips to make, else a rest or a wait: until something is due or can be begun."""
    found = [(one, _earliest(table, one, HANDS), _earliest(table, one, HANDS + NOSE)) for one in table.pending()]
    ready = next((one for one, _, best in found if best <= table.moment), None)
    if ready is not None:
        return Next(MAKE, ready.places)
    first = table.waiting[0] if table.waiting else None
    at_once = [(best, one) for one, can, best in found if can <= table.moment]
    hurried = min(at_once, key=lambda one: one[0], default=None)
    if hurried is not None and (first is None or hurried[0] < (first.due_at or 0)):
        why, rested = table.rest(hurried[1].places[0])
        return Next(REST, hurried[1].places, hurried[0], why if rested > table.moment else "")
    if first is None:
        return Next(OVER)
    return Next(WAIT, (first.place,), first.due_at or 0, sooner=min((best for _, _, best in found), default=0))


def _earliest(table: _Table, batch: Batch, bounds: Sequence[Bound]) -> int:
    """From when on a batch may be made so that it breaks none of the bounds."""
    at = table.moment
    for _ in range(MOST_MOVES):
        later = next((moved for bound in bounds if (moved := bound(table, batch, at)) > at), at)
        if later == at:
            break
        at = later
    return at


def _lead(table: _Table, batch: Batch) -> int:
    """From the beginning of its making to the first sniff of its first set."""
    if not table.timed:
        return 0
    lag = ways.lag_seconds(table.plan, ways.batch_of(table.plan, batch.places[0]), batch.places[0])
    return SECOND * (ways.dipping_seconds(table.plan, batch) + batch.age_seconds + lag)


def _smells(table: _Table, batch: Batch, at: int) -> tuple[int, int]:
    """From when to when the sets of a batch begun at ``at`` take the nose, the rest after them included."""
    first = at + _lead(table, batch)
    return first, first + len(batch.places) * table.gap


def _hands_free(table: _Table, batch: Batch, at: int) -> int:
    """It is made before the next strips are due, or after they are smelt."""
    takes = SECOND * (ways.dipping_seconds(table.plan, batch) + ways.laying_seconds(table.plan, batch))
    for one in table.waiting:
        due = one.due_at or 0
        if at < due + table.gap and due < at + takes:
            return due + table.gap
    return at


def _apart(table: _Table, batch: Batch, at: int) -> int:
    """Its smelling does not fall into that of strips that age already."""
    first, last = _smells(table, batch, at)
    for one in table.waiting:
        due = one.due_at or 0
        if first < due + table.gap and due < last:
            return at + due + table.gap - first
    return at


def _rested(table: _Table, batch: Batch, at: int) -> int:
    """The nose has rested when its first set is due; over a night hands rest too, but for strips that need hours."""
    why, rested = table.rest(batch.places[0])
    if why == NEXT_DAY and _lead(table, batch) < LONG_MS:
        return max(at, rested)
    return at + max(0, rested - _smells(table, batch, at)[0])


def _not_too_many(table: _Table, batch: Batch, at: int) -> int:
    """No more sets a day than two sittings, those that age already counted."""
    zone, first = table.zone, _smells(table, batch, at)[0]
    taken = sorted([*(at for at, _ in table.smelt), *(one.due_at or 0 for one in table.waiting)])
    that_day = [one for one in taken if same_day(zone, one, first)]
    if len(that_day) + len(batch.places) <= max(len(batch.places), SITTINGS_A_DAY * sets_a_sitting(table.plan.method)):
        return at
    return at + max(0, _tomorrow(zone, that_day[-1]) - first)


def _by_day(table: _Table, batch: Batch, at: int) -> int:
    """What needs hours is not due at night, nor put off to a night."""
    if _lead(table, batch) >= LONG_MS and at > table.moment and not MORNING <= _local(table.zone, at).hour < EVENING:
        return _morning_after(table.zone, at)
    first = _smells(table, batch, at)[0]
    if first - at < LONG_MS or MORNING <= _local(table.zone, first).hour < EVENING:
        return at
    return at + _morning_after(table.zone, first) - first


HANDS: Final[tuple[Bound, ...]] = (_hands_free, _apart)  # what cannot be otherwise
NOSE: Final[tuple[Bound, ...]] = (_rested, _not_too_many, _by_day)  # what is proposed


# --- rests ------------------------------------------------------------------------------------------------------------


def _sittings(plan: Plan, zone: ZoneInfo, smelt: Sequence[tuple[int, int]]) -> list[list[int]]:
    """When sets were put away, sitting by sitting: a full one, or a night, ends it, but never inside a batch."""
    found: list[list[int]] = []
    before = 0
    for number, (at, place) in enumerate(smelt):
        inside = bool(before) and ways.batch_of(plan, before) == ways.batch_of(plan, place)
        if not found or not same_day(zone, found[-1][-1], at) or (_full(plan, found[-1], number) and not inside):
            found.append([])
        found[-1].append(at)
        before = place
    return found


def _full(plan: Plan, sitting: Sequence[int], smelt: int) -> bool:
    """Whether a long rest follows a sitting, or a look after the last of ``smelt`` sets."""
    at_a_look = plan.look_every > 0 and smelt % plan.look_every == 0
    return len(sitting) >= sets_a_sitting(plan.method) or at_a_look


def same_day(zone: ZoneInfo, one: int, other: int) -> bool:
    """One day, or less than a night between; a day ends at four in the morning, for those who smell over midnight."""
    return _date(zone, one) == _date(zone, other) or abs(one - other) < NIGHT_HOURS * HOUR


def _tomorrow(zone: ZoneInfo, instant: int) -> int:
    """The next day from morning on, and at least a night later: at half past eleven, midnight is no other day."""
    ends = datetime.combine(_date(zone, instant) + timedelta(days=1), time(DAY_ENDS), zone)
    return max(_morning_after(zone, _instant(ends)), instant + NIGHT_HOURS * HOUR)


def _date(zone: ZoneInfo, instant: int) -> date:
    local = _local(zone, instant)
    return local.date() - timedelta(days=local.hour < DAY_ENDS)


def _morning_after(zone: ZoneInfo, instant: int) -> int:
    """The next time it is morning."""
    local = _local(zone, instant)
    day = local.date() + timedelta(days=local.time() >= time(MORNING))
    return _instant(datetime.combine(day, time(MORNING), zone))


def _local(zone: ZoneInfo, instant: int) -> datetime:
    return datetime.fromtimestamp(instant / SECOND, UTC).astimezone(zone)


def _instant(local: datetime) -> int:
    return int(local.timestamp()) * SECOND
