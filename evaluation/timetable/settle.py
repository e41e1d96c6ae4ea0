"""Bring ages nearer to what was planned where it costs nobody any time."""

from __future__ import annotations

from evaluation.timetable.calendars import Hand, Nose
from evaluation.timetable.placing import Board, Place
from evaluation.timetable.search import Plan, makespan
from evaluation.timetable.tasks import Problem, Task


def settled(problem: Problem, plan: Plan) -> Plan:
    """The same plan, no longer, with every age as near to the planned one as its neighbours leave room for."""
    board, end = Board(problem), makespan(problem, plan)
    for number, place in plan.items():
        board.put(number, place)
    latest_first = sorted(plan, key=lambda number: (-max(plan[number].smells), number))
    for number in [*latest_first, *reversed(latest_first)]:
        _settle(board, number, end)
    return dict(board.places)


def _settle(board: Board, number: int, end: int) -> None:
    task = board.problem.tasks[number]
    if task.skin and len(board.used[task.nose]) > 1:  # another application may wait for this one to wash out
        return
    place = board.take(number)
    nose = board.noses[task.nose]
    dip = place.dip if task.skin or len(task.offsets) > 1 else _nearest_dip(board.hands[place.hand], task, place)
    smells: list[int] = []
    for at in range(len(task.offsets)):
        others = [*smells, *place.smells[at + 1 :]]
        for start in others:
            nose.add(start)
        smells.append(_nearest_smell(nose, task, dip, place.smells[at], at, end))
        for start in others:
            nose.remove(start)
    board.put(number, Place(place.hand, dip, tuple(smells)))


def _nearest_dip(hand: Hand, task: Task, place: Place) -> int:
    """Of the free beginnings about a dip, the one from which the smelling is nearest to its planned age."""
    wish = place.smells[0] - task.ideal[0]
    low, high = (place.smells[0] - offset for offset in reversed(task.offsets[0]))
    edges = [end for end in hand.ends if low <= end <= high] + _before(hand, task.length, low, high)
    near = sorted(
        {begin for begin in (wish, place.dip, *edges) if low <= begin <= high}, key=lambda b: (abs(b - wish), b)
    )
    return next(begin for begin in near if begin == place.dip or hand.holds(begin, task.length))


def _before(hand: Hand, length: int, low: int, high: int) -> list[int]:
    return [begin - length for begin in hand.begins if low <= begin - length <= high]


def _nearest_smell(nose: Nose, task: Task, dip: int, now: int, at: int, end: int) -> int:
    low, high = task.offsets[at]
    wish = dip + task.ideal[at]
    last = min(dip + high, end - nose.smell)
    gaps = (nose.smell + nose.rest, nose.smell + nose.break_)
    near = [now, wish, last, *(start + side * gap for start in nose.starts for gap in gaps for side in (-1, 1))]
    near += [close - nose.smell for close in nose.hours.ends]
    near = sorted({start for start in near if dip + low <= start <= last}, key=lambda s: (abs(s - wish), s))
    return next((start for start in near if start == now or nose.first(start, start) == start), now)
