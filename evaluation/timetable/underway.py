"""A session under way: what has happened stays, what is still to come is planned anew from now.

What was told to people is kept where it still can be. Strips dipped already keep their clock: they are smelt as long
after the real dip as was planned where nothing else has to move for it, else when it was told, else as near to their
age as there is room. Where their tolerance has run out they are smelt as soon as may be and named in
``Timetable.late``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.timetable.bounds import lower_bound
from evaluation.timetable.calendars import Nose
from evaluation.timetable.placing import Board, Place, Used
from evaluation.timetable.planning import as_timetable
from evaluation.timetable.quantities import FAR, Bench, Line, NoFit, Person, Timetable, Wanted
from evaluation.timetable.relax import no_fit
from evaluation.timetable.search import RULES
from evaluation.timetable.tasks import Problem, clipped, make_problem

Seconds = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Past:
    """``dipped``: when a set was tapped as dipped, which is the end of its dip. ``smelt``: when its smelling began."""

    lines: Mapping[str, Line]
    moment: int
    dipped: Seconds
    smelt: Seconds


def reflow(
    timetable: Timetable,
    now: int,
    dipped: Seconds,
    smelt: Seconds,
    wanted: Sequence[Wanted],
    people: Sequence[Person],
    bench: Bench,
) -> Timetable | NoFit:
    """The timetable from ``now`` on.

    ``dipped`` holds the second at which each set was tapped as dipped (its last strip done), ``smelt`` the second at
    which each smelling began; sets re-smelt from one dip may be named by any of them. Sets of ``wanted`` that the
    timetable does not know yet (a spare set) are added. Somebody who is late or leaves early is told by ``people``,
    more preparers or a later end by ``bench``.
    """
    past = _checked(timetable, now, dipped, smelt, wanted)
    found = _again(past, wanted, people, bench)
    return found if found is not None else no_fit(wanted, people, bench, partial(_fits, past))


def _checked(timetable: Timetable, now: int, dipped: Seconds, smelt: Seconds, wanted: Sequence[Wanted]) -> Past:
    checks.whole("now in seconds", now, 0, FAR)
    for name, seconds in (("dipped", dipped), ("smelt", smelt)):
        strangers = sorted(set(seconds) - {one.serving_id for one in wanted})
        if strangers:
            raise ArgumentError(f"{name} names {', '.join(strangers)}, which is not wanted.")
        for second in seconds.values():
            checks.whole(f"second at which a set was {name}", second, 0, now)
    return Past({line.serving_id: line for line in timetable.lines}, now, dipped, smelt)


def _again(past: Past, wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench) -> Timetable | None:
    """What has happened, then what lies on the bench, then the rest: as planned where it can be, else as new."""
    problem = _from_now(make_problem(wanted, people, bench), past.moment)
    for keep in (True, False):
        board = Board(problem)
        open_tasks = _lay_out(board, past)
        late = _smell_what_lies(board, past, open_tasks)
        if late is not None and _place_rest(board, past, keep):
            bound = max(lower_bound(_only_open(problem, past)), _last_past(problem, past))
            return as_timetable(problem, board.places, bound, late)
    return None


def _fits(past: Past, wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench) -> bool:
    return _again(past, wanted, people, bench) is not None


def _from_now(problem: Problem, now: int) -> Problem:
    windows = tuple(clipped(mine, now, 2 * FAR) for mine in problem.windows)
    washed = tuple(clipped(mine, now, 2 * FAR) for mine in problem.washed)
    return replace(problem, windows=windows, washed=washed, hours=clipped(problem.hours, now, 2 * FAR))


def _dip_of(problem: Problem, number: int, past: Past) -> tuple[int, int] | None:
    """Preparer and beginning of a dip that has been made."""
    task = problem.tasks[number]
    for one in task.members:
        if one.serving_id in past.dipped:
            line = past.lines.get(one.serving_id)
            hand = line.preparer if line and line.preparer < problem.bench.preparers else 0
            return hand, past.dipped[one.serving_id] - task.length
    if any(one.serving_id in past.smelt for one in task.members):
        raise ArgumentError(f"smelt names {task.members[0].serving_id}, which dipped does not.")
    return None


def _lay_out(board: Board, past: Past) -> list[int]:
    """Put down what was smelt; returns the dips made of which something is still to be smelt, most urgent first."""
    problem, waiting = board.problem, []
    for number, task in enumerate(problem.tasks):
        made = _dip_of(problem, number, past)
        if made is None:
            continue
        nose = board.noses[task.nose]
        begun = {one.serving_id: past.smelt[one.serving_id] for one in task.members if one.serving_id in past.smelt}
        for start in begun.values():
            nose.add(start)
        if len(begun) < len(task.members):
            waiting.append((made[1] + max(high for _, high in task.offsets), number))
        else:
            _keep(board, number, made, [begun[one.serving_id] for one in task.members])
    return [number for _, number in sorted(waiting)]


def _keep(board: Board, number: int, made: tuple[int, int], smells: list[int]) -> None:
    """Remember a dip that is over: it no longer keeps a preparer, but its sites stay taken."""
    task = board.problem.tasks[number]
    board.places[number] = Place(made[0], made[1], tuple(smells))
    if task.skin:
        end = max(smells) + board.problem.bench.seconds_per_smell
        board.used[task.nose].append(Used(made[1], end, task.members[0].sites))


def _smell_what_lies(board: Board, past: Past, waiting: Sequence[int]) -> tuple[str, ...] | None:
    """Times for strips that are dipped; the servings smelt outside their tolerance; None if somebody cannot come."""
    late: list[str] = []
    to_come = _to_come(board.problem, past)
    for number in waiting:
        made = _dip_of(board.problem, number, past)
        assert made is not None
        smells = _smells_from(board, past, number, made[1], to_come[board.problem.tasks[number].nose])
        if smells is None:
            return None
        _keep(board, number, made, smells)
    for number, place in board.places.items():
        task = board.problem.tasks[number]
        for one, start, (low, high) in zip(task.members, place.smells, task.offsets, strict=True):
            if not low <= start - place.dip <= high:
                late.append(one.serving_id)
    return tuple(late)


def _to_come(problem: Problem, past: Past) -> dict[int, dict[str, int]]:
    """By nose: when each set was to be smelt that is not, as long after its real dip as was planned."""
    found: dict[int, dict[str, int]] = {nose: {} for nose in range(len(problem.names))}
    for number, task in enumerate(problem.tasks):
        made = _dip_of(problem, number, past)
        for one in task.members:
            line = past.lines.get(one.serving_id)
            if line is not None and one.serving_id not in past.smelt:
                found[task.nose][one.serving_id] = line.smell_from + (made[1] - line.dip_from if made else 0)
    return found


def _smells_from(board: Board, past: Past, number: int, dip: int, to_come: dict[str, int]) -> list[int] | None:
    task, smells = board.problem.tasks[number], []
    nose = board.noses[task.nose]
    for one, window, ideal in zip(task.members, task.offsets, task.ideal, strict=True):
        start: int | None = past.smelt.get(one.serving_id)
        if start is None:
            low, high = (max(dip + window[0], past.moment), dip + window[1])
            moved = to_come.pop(one.serving_id, None)
            if moved is not None and low <= moved <= high and nose.holds([moved, *to_come.values()]):
                start = moved
            else:
                start = _next_smell(nose, past.lines.get(one.serving_id), low, max(low, dip + ideal), high)
            if start is None:
                return None
            nose.add(start)
        smells.append(start)
    return smells


def _next_smell(nose: Nose, line: Line | None, low: int, ideal: int, high: int) -> int | None:
    """The second that was told if it still holds; else the first from the planned age on, or in the tolerance."""
    if line and low <= line.smell_from <= high and nose.first(line.smell_from, line.smell_from) == line.smell_from:
        return line.smell_from
    for begin, end in ((ideal, high), (low, high), (low, 2 * FAR)):
        found = nose.first(begin, end)
        if found is not None:
            return found
    return None


def _place_rest(board: Board, past: Past, keep: bool) -> bool:
    """Place what is not dipped; ``keep``: as it was planned, or as soon after as it goes."""
    tasks = board.problem.tasks
    left = [number for number in range(len(tasks)) if number not in board.places]
    if not keep:
        return any(_placed(board, rule(board.problem), set(left)) for rule in RULES.values())
    for number in sorted(left, key=lambda number: (_planned(past, tasks[number].members), number)):
        place = _as_planned(past, tasks[number].members)
        if place is not None and board.holds(number, place):
            board.put(number, place)
        elif not board.insert(number, max(past.moment, place.dip if place else 0)):
            return False
    return True


def _placed(board: Board, order: Sequence[int], left: set[int]) -> bool:
    missing = board.insert_all(number for number in order if number in left)
    if missing:
        for number in left - set(missing):
            board.take(number)
    return not missing


def _planned(past: Past, members: Sequence[Wanted]) -> int:
    return min((past.lines[one.serving_id].smell_from for one in members if one.serving_id in past.lines), default=FAR)


def _as_planned(past: Past, members: Sequence[Wanted]) -> Place | None:
    lines = [past.lines.get(one.serving_id) for one in members]
    known = [line for line in lines if line is not None]
    if len(known) < len(lines):
        return None
    return Place(known[0].preparer, known[0].dip_from, tuple(line.smell_from for line in known))


def _only_open(problem: Problem, past: Past) -> Problem:
    tasks = (t for number, t in enumerate(problem.tasks) if _dip_of(problem, number, past) is None)
    return replace(problem, tasks=tuple(tasks))


def _last_past(problem: Problem, past: Past) -> int:
    return max((start + problem.bench.seconds_per_smell for start in past.smelt.values()), default=0)
