"""How long a session alone will take, played through before anybody dips: days, sittings, hours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from evaluation.alone import course, ways
from evaluation.alone.course import SECOND, Next, Standing
from evaluation.alone.ways import Batch
from evaluation.sessions import Plan

BEGINS: Final = 1_767_603_600_000  # 2026-01-05 09:00 UTC, a Monday morning; any other would do
MOST_STEPS: Final = 20_000


@dataclass(frozen=True, slots=True)
class Day:
    """One day: sets smelt, and minutes from the first thing done to the last; ``busy`` of them are work or smelling."""

    sets: int
    minutes: int
    busy: int


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What a plan asks of one person who keeps to every proposal; nobody has measured it."""

    sittings: int
    days: tuple[Day, ...]


@lru_cache(64)
def foreseen(plan: Plan) -> Foreseen:
    """Play the plan through, from a morning on, with the seconds of ``ways`` and every proposed rest.

    It promises no more than that: hands differ, and so do nights.
    """
    plan = replace(plan, zone="UTC")
    played = _Played(plan)
    while (step := course.next_of(plan, played.sets, played.moment)).kind != course.OVER:
        played.take(step)
    return Foreseen(course.sitting_of(plan, len(played.sets)), tuple(played.days()))


class _Played:
    """A person who does what comes next, one thing after another."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.moment = BEGINS
        self.steps = 0
        self.sets = [Standing(place) for batch in ways.batches(plan) for place in batch.places]
        self.done: list[tuple[int, int, int]] = []  # from, to, sets smelt
        self.spend(ways.filling_seconds(plan))

    def spend(self, seconds: int, sets: int = 0) -> None:
        """Do something for so long."""
        if seconds:
            self.done.append((self.moment, self.moment + SECOND * seconds, sets))
            self.moment += SECOND * seconds

    def take(self, step: Next) -> None:
        self.steps += 1
        if self.steps > MOST_STEPS:
            raise RuntimeError("a session alone without an end")
        if step.kind in (course.WAIT, course.REST):
            self.moment = min(at for at in (step.until, step.sooner) if at > self.moment)
        elif step.kind == course.MAKE:
            self.make(self.batch(step.places))
        elif step.kind in (course.SMELL, course.ANSWER):
            self.spend(ways.smelling_seconds(self.plan), 1)
            self.put(step.places, answered=True)
        else:
            self.spend(ways.AWAY_SECONDS)
            self.put(step.places, away_at=self.moment)

    def make(self, batch: Batch) -> None:
        self.spend(ways.dipping_seconds(self.plan, batch))
        dipped = self.moment
        self.spend(ways.laying_seconds(self.plan, batch))
        for place in batch.places:
            self.put((place,), laid=True)
            if ways.timed(self.plan):
                due = batch.age_seconds + ways.lag_seconds(self.plan, batch, place)
                tolerance = next(one.tolerance_seconds for one in self.plan.ages if one.seconds == batch.age_seconds)
                until = dipped + SECOND * (batch.age_seconds + tolerance)
                self.put((place,), due_at=dipped + SECOND * due, until=until)

    def put(self, places: tuple[int, ...], **changes: object) -> None:
        for place in places:
            self.sets[place - 1] = replace(self.sets[place - 1], **changes)  # type: ignore[arg-type]

    def batch(self, places: tuple[int, ...]) -> Batch:
        return next(one for one in ways.batches(self.plan) if one.places == places)

    def days(self) -> list[Day]:
        """What was done, cut where a night lies between."""
        found: list[list[tuple[int, int, int]]] = []
        for one in self.done:
            if not found or not course.same_day(ZoneInfo(self.plan.zone), found[-1][-1][1], one[0]):
                found.append([])
            found[-1].append(one)
        return [_day(each) for each in found]


def _day(done: list[tuple[int, int, int]]) -> Day:
    busy = sum(to - from_ for from_, to, _ in done)
    return Day(sum(sets for _, _, sets in done), _minutes(done[-1][1] - done[0][0]), _minutes(busy))


def _minutes(milliseconds: int) -> int:
    """Whole minutes, rounded up."""
    return -(-milliseconds // (60 * SECOND))
