"""A time before which no timetable can end, whatever it does.

Two relaxations, the larger holds. (1) One nose alone, as if the preparers had nothing else to do: sets released at r
or later need their smellings, rests and breaks after r, within the times that panelist can come. (2) The preparers, as
if everybody could always come: when the last k sets of a nose are still to be dipped, at least the time passes that the
k youngest ages of that nose need to be smelt one after the other. Dips with such tails on equal preparers end no
earlier than with the largest tail first (Jackson's rule; common knowledge of scheduling, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from evaluation.timetable.calendars import Hours
from evaluation.timetable.quantities import FAR, Bench, Window
from evaluation.timetable.tasks import Problem, Task


@dataclass(frozen=True, slots=True)
class Tail:
    """From the beginning of a dip to the end of everything that must follow it.

    Which dip of the nose it is remains open: ``length`` is such that all dips from here back to the first one together
    take at least the sum of their lengths, ``after`` what is left at the end of the dip at least.
    """

    seconds: int
    length: int
    after: int


def lower_bound(problem: Problem) -> int:
    """Seconds; more than ``FAR`` where some set can never be smelt."""
    own = [nose_bound(problem, number) for number in range(len(problem.names))]
    return max([*own, preparers_bound(problem)], default=0)


def span(sets: int, bench: Bench) -> int:
    """Least time from the beginning of the first to the end of the last of so many sets of one nose."""
    if sets < 1:
        return 0
    breaks = (sets - 1) // bench.sets_per_sitting
    rests = (sets - 1) * bench.rest_seconds + breaks * (bench.sitting_break_seconds - bench.rest_seconds)
    return sets * bench.seconds_per_smell + rests


def nose_bound(problem: Problem, number: int) -> int:
    """When a nose that had the preparers for itself could be through."""
    hours = Hours(problem.windows[number])
    releases = sorted(release for task in problem.tasks if task.nose == number for release in _releases(problem, task))
    if releases and releases[-1] > FAR:
        return FAR + 1
    ends = (
        _through(problem.windows[number], first, len(releases) - at, problem.bench) for at, first in enumerate(releases)
    )
    return max(ends, default=0) if hours.begins or not releases else FAR + 1


def _releases(problem: Problem, task: Task) -> list[int]:
    """The earliest beginning of each smelling of a task, alone on the bench."""
    hours = _common(problem.hours, problem.washed[task.nose]) if task.skin else problem.hours
    hands, nose = Hours(hours), Hours(problem.windows[task.nose])
    return [_release(hands, nose, task.length, low, high, problem.bench) for low, high in task.offsets]


def _common(some: Sequence[Window], others: Sequence[Window]) -> list[Window]:
    both = ((max(a, c), min(b, d)) for a, b in some for c, d in others)
    return sorted((begin, end) for begin, end in both if begin < end)


def _release(hands: Hours, nose: Hours, length: int, low: int, high: int, bench: Bench) -> int:
    dip = hands.first(-FAR, length)
    while dip is not None and low <= high:
        start = nose.first(dip + low, bench.seconds_per_smell)
        if start is None:
            break
        if start <= dip + high:
            return start
        dip = hands.first(start - high, length)
    return FAR + 1


def _through(windows: Sequence[Window], first: int, sets: int, bench: Bench) -> int:
    """End of the last of so many sets smelt from ``first`` on, each window holding as many as fit."""
    for begin, end in windows:
        start = max(begin, first)
        room = _room(end - start, sets, bench)
        if room == sets:
            return start + span(sets, bench)
        sets -= room
    return FAR + 1


def _room(seconds: int, sets: int, bench: Bench) -> int:
    while sets and span(sets, bench) > seconds:
        sets -= 1
    return sets


def preparers_bound(problem: Problem) -> int:
    """When preparers could be through who work for noses that can always come."""
    tails = sorted(_tails(problem), key=lambda tail: -tail.seconds)
    if not tails or not problem.hours:
        return 0 if not tails else FAR + 1
    shortest, work, bound = min(tail.length for tail in tails), 0, 0
    spare = FAR
    for rank, tail in enumerate(tails):
        work += tail.length
        spare = min(spare, tail.after)
        started = _worked(problem.hours, rank // problem.bench.preparers * shortest)
        finished = _worked(problem.hours, -(-work // problem.bench.preparers))
        bound = max(bound, started + tail.seconds, finished + spare)
    return bound


def _tails(problem: Problem) -> list[Tail]:
    found: list[Tail] = []
    for number in range(len(problem.names)):
        mine = [task for task in problem.tasks if task.nose == number]
        found += own_tails(mine, problem.bench)
    return found


def own_tails(tasks: Sequence[Task], bench: Bench) -> list[Tail]:
    """Of one nose: for k = 1, 2, … dips still to come, the least time until all of theirs is smelt."""
    if not tasks:
        return []
    least = [sorted(low for low, _ in task.offsets) for task in tasks]
    smellings = min(len(one) for one in least)
    if smellings == 1:  # the k youngest of all
        youngest = sorted(one[0] for one in least)
        chains = [_chain(youngest[: k + 1], bench) for k in range(len(tasks))]
    else:
        alike = [min(one[at] for one in least) for at in range(smellings)]
        chains = [_chain(sorted(alike * (k + 1)), bench) for k in range(len(tasks))]
    lengths = sorted((task.length for task in tasks), reverse=True)
    return [Tail(chain, length, chain - lengths[0]) for chain, length in zip(chains, lengths, strict=True)]


def _chain(releases: Sequence[int], bench: Bench) -> int:
    return max(release + span(len(releases) - at, bench) for at, release in enumerate(releases))


def _worked(hours: Sequence[Window], seconds: int) -> int:
    """The second at which a preparer has been there for so long."""
    for begin, end in hours:
        if seconds <= end - begin:
            return begin + seconds
        seconds -= end - begin
    return FAR + 1
