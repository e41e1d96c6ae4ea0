"""Put one task after another onto the bench, each as early as it can be done beside those already there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from evaluation.timetable.calendars import Hand, Hours, Nose
from evaluation.timetable.quantities import FAR, Window
from evaluation.timetable.tasks import Problem, Task

TRIES: Final = 600  # positions looked at for one task before it counts as impossible
OWN_STEP: Final = 5  # seconds a dip moves on when its own smellings are in each other's way, more after fifty tries


@dataclass(frozen=True, slots=True)
class Place:
    """Where a task lies: its preparer, the beginning of its dip, the beginnings of its smellings."""

    hand: int
    dip: int
    smells: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Used:
    """Sites of one panelist, taken from the application to the last smelling."""

    begin: int
    end: int
    sites: tuple[str, ...]


class Board:
    """Preparers, noses and sites, and what lies on them."""

    def __init__(self, problem: Problem) -> None:
        bench = problem.bench
        hours = Hours(problem.hours)
        self.problem = problem
        self.hands = [Hand(hours) for _ in range(bench.preparers)]
        self.noses = [Nose(Hours(windows), bench) for windows in problem.windows]
        self.applying = [Hours(windows) for windows in problem.washed]
        self.used: list[list[Used]] = [[] for _ in problem.windows]
        self.places: dict[int, Place] = {}

    def insert(self, number: int, low: int = -FAR) -> bool:
        """Place a task as early as can be, from ``low`` on; False if there is no room."""
        place = self.find(self.problem.tasks[number], low)
        if place is None:
            return False
        self.put(number, place)
        return True

    def insert_all(self, order: Iterable[int]) -> list[int]:
        """Place tasks in this order; returns those that found no room."""
        return [number for number in order if not self.insert(number)]

    def put(self, number: int, place: Place) -> None:
        """Lay a task down just there; whether it can lie there was asked before."""
        task = self.problem.tasks[number]
        nose = self.noses[task.nose]
        self.hands[place.hand].add(place.dip, task.length)
        for start in place.smells:
            nose.add(start)
        if task.skin:
            nose.busy.append((place.dip, place.dip + task.length))
            self.used[task.nose].append(self._use(task, place.dip, place.smells))
        self.places[number] = place

    def take(self, number: int) -> Place:
        """Lift a task off the board."""
        task, place = self.problem.tasks[number], self.places.pop(number)
        nose = self.noses[task.nose]
        self.hands[place.hand].remove(place.dip)
        for start in place.smells:
            nose.remove(start)
        if task.skin:
            nose.busy.remove((place.dip, place.dip + task.length))
            self.used[task.nose].remove(self._use(task, place.dip, place.smells))
        return place

    def holds(self, number: int, place: Place) -> bool:
        """Whether a task can lie just there."""
        task, nose = self.problem.tasks[number], self.noses[self.problem.tasks[number].nose]
        if not self.hands[place.hand].holds(place.dip, task.length):
            return False
        if task.skin and self._bodily(task, place.dip) != place.dip:
            return False
        if not all(low <= s - place.dip <= high for s, (low, high) in zip(place.smells, task.offsets, strict=True)):
            return False
        return nose.holds(place.smells) and self._sites(task, place.dip, place.smells) == place.dip

    def find(self, task: Task, low: int) -> Place | None:
        """The earliest place for a task."""
        for tried in range(TRIES):
            found = self._first_hand(low, task.length)
            if found is None:
                return None
            dip, hand = found
            low = self._bodily(task, dip) if task.skin else dip
            if low == dip:
                smells, low = self._smells(task, dip, OWN_STEP * (1 + tried // 50))
                if len(smells) == len(task.offsets) and (low := self._sites(task, dip, smells)) == dip:
                    return Place(hand, dip, smells)
            if low > FAR:
                return None
        return None

    def _first_hand(self, low: int, length: int) -> tuple[int, int] | None:
        """Beginning and preparer of the first dip of this length."""
        free = ((hand.first(low, length), number) for number, hand in enumerate(self.hands))
        return min(((begin, number) for begin, number in free if begin is not None), default=None)

    def _bodily(self, task: Task, dip: int) -> int:
        """Skin: the panelist is there, washed, and neither smelling nor being treated elsewhere."""
        start = self.applying[task.nose].first(dip, task.length)
        if start is None:
            return FAR + 1
        return start if start > dip else self.noses[task.nose].free(dip, dip + task.length)

    def _smells(self, task: Task, dip: int, step: int) -> tuple[tuple[int, ...], int]:
        """Beginnings of the smellings of a dip; where one finds none, the next second worth trying for the dip."""
        nose = self.noses[task.nose]
        own = (dip, dip + task.length)
        if task.skin:
            nose.busy.append(own)
        smells: list[int] = []
        for low, high in task.offsets:
            start = nose.first(dip + low, dip + high)
            if start is None:
                break
            nose.add(start)
            smells.append(start)
        for start in smells:
            nose.remove(start)
        after = dip if len(smells) == len(task.offsets) else self._next_dip(nose, task, dip, len(smells), step)
        if task.skin:
            nose.busy.remove(own)
        return tuple(smells), after

    def _next_dip(self, nose: Nose, task: Task, dip: int, failed: int, step: int) -> int:
        low, high = task.offsets[failed]
        start = nose.first(dip + low, 2 * FAR)
        if start is None or low > high:
            return FAR + 1
        return start - high if start > dip + high else dip + step

    def _use(self, task: Task, dip: int, smells: tuple[int, ...]) -> Used:
        """A site is taken over the whole span of dip and smellings, whichever way time runs."""
        smell = self.problem.bench.seconds_per_smell
        ends = [dip + task.length, *(start + smell for start in smells)]
        return Used(min(dip, *smells), max(ends), task.members[0].sites)

    def _sites(self, task: Task, dip: int, smells: tuple[int, ...]) -> int:
        """Skin: the sites are washed out, and no more of them in use than allowed; else a later dip to try."""
        if not task.skin:
            return dip
        bench = self.problem.bench
        mine = self._use(task, dip, smells)
        for other in self.used[task.nose]:
            if set(mine.sites) & set(other.sites) and _near(mine, other, bench.washout_seconds):
                return max(dip + OWN_STEP, dip + other.end + bench.washout_seconds - mine.begin)
        beside = [other for other in self.used[task.nose] if _near(mine, other, 0)]
        if most_at_once([*beside, mine]) > bench.sites_at_once:
            return max(dip + OWN_STEP, dip + min((one.end for one in beside), default=FAR + 1) - mine.begin)
        return dip


def _near(one: Used, other: Used, apart: int) -> bool:
    return one.begin < other.end + apart and other.begin < one.end + apart


def most_at_once(used: list[Used]) -> int:
    """The largest number of sites in use at one moment."""
    return max(sum(len(one.sites) for one in used if one.begin <= at.begin < one.end) for at in used)


def mirrored(problem: Problem, end: int) -> Problem:
    """The same problem with time running backwards from ``end``: smelling comes first, dips after it."""
    smell = problem.bench.seconds_per_smell

    def turned(windows: tuple[Window, ...]) -> tuple[Window, ...]:
        return tuple((-min(b, end), -a) for a, b in reversed(windows) if a < end)

    def seen(task: Task) -> Task:
        offsets = tuple((task.length - high - smell, task.length - low - smell) for low, high in task.offsets)
        return replace(task, offsets=offsets)

    return replace(
        problem,
        tasks=tuple(map(seen, problem.tasks)),
        windows=tuple(map(turned, problem.windows)),
        hours=turned(problem.hours),
    )


def turned_back(problem: Problem, number: int, place: Place) -> Place:
    """A place found in the mirror, in forward time."""
    smell = problem.bench.seconds_per_smell
    length = problem.tasks[number].length
    return Place(place.hand, -place.dip - length, tuple(-start - smell for start in place.smells))
