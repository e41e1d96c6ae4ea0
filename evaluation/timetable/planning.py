"""From what is wanted to a timetable, or to the reason why there is none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from evaluation.timetable.bounds import lower_bound
from evaluation.timetable.placing import Place
from evaluation.timetable.quantities import Bench, Line, NoFit, Person, Timetable, Totals, Wanted
from evaluation.timetable.relax import no_fit
from evaluation.timetable.search import Plan, feasible, makespan, search, worth_trying
from evaluation.timetable.settle import settled
from evaluation.timetable.tasks import Problem, Task, make_problem, spread_allowed


def plan_timetable(wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench) -> Timetable | NoFit:
    """The shortest timetable found that keeps every constraint, or what stands in its way.

    The same input always gives the same timetable. It is not promised to be the shortest there is:
    ``lower_bound_seconds`` says how far off it can be at most.

    >>> wanted = [Wanted("s1", "Ada", 300, 30, 3), Wanted("s2", "Ben", 300, 30, 3)]
    >>> plan = plan_timetable(wanted, [Person("Ada"), Person("Ben")], Bench(seconds_per_smell=60))
    >>> [(line.panelist, line.dip_from, line.smell_from, line.smell_to) for line in plan.lines]
    [('Ada', 0, 292, 352), ('Ben', 15, 292, 352)]
    >>> plan.makespan_seconds, plan.lower_bound_seconds, plan.totals.strips
    (352, 352, 6)
    """
    found = try_timetable(wanted, people, bench)
    return found if found is not None else no_fit(wanted, people, bench, fits)


def try_timetable(wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench) -> Timetable | None:
    """A timetable, or None if none was found."""
    for careful in _degrees(wanted, bench):
        tighter = make_problem([_kept(one, careful) for one in wanted], people, bench)
        plan = _in_time(tighter, people) or search(tighter)
        if plan is not None:
            problem = make_problem(wanted, people, bench)
            return as_timetable(problem, settled(tighter, plan), lower_bound(problem))
    return None


def fits(wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench) -> bool:
    """Whether ``try_timetable`` finds one, at less cost."""
    for careful in _degrees(wanted, bench):
        tighter = make_problem([_kept(one, careful) for one in wanted], people, bench)
        if _in_time(tighter, people) or feasible(tighter):
            return True
    return False


def _degrees(wanted: Sequence[Wanted], bench: Bench) -> list[int]:
    """Shares of the tolerance to keep back, one after the other; none where strips cannot be dipped together at all."""
    if not all(spread_allowed(one, bench) for one in wanted):
        return []
    return list(dict.fromkeys((bench.tolerance_kept_percent, 0)))


def _in_time(problem: Problem, people: Sequence[Person]) -> Plan | None:
    """The plan made as if there were no latest end, if it is over by then."""
    limit = problem.bench.latest_end_seconds
    if limit is None or not worth_trying(problem):
        return None
    plan = _unlimited(problem.wanted, tuple(people), replace(problem.bench, latest_end_seconds=None))
    return plan if plan is not None and makespan(problem, plan) <= limit else None


@lru_cache(maxsize=16)
def _unlimited(wanted: tuple[Wanted, ...], people: tuple[Person, ...], bench: Bench) -> Plan | None:
    """Kept for a while: it is the same for every latest end that is tried."""
    return search(make_problem(wanted, people, bench))


def _kept(one: Wanted, percent: int) -> Wanted:
    return replace(one, tolerance_seconds=one.tolerance_seconds * (100 - percent) // 100)


def as_timetable(problem: Problem, plan: Plan, bound: int, late: tuple[str, ...] = ()) -> Timetable:
    """The plan as a timetable."""
    lines = [line for number, place in plan.items() for line in lines_of(problem.tasks[number], place, problem.bench)]
    lines.sort(key=lambda line: (line.smell_from, line.panelist, line.serving_id))
    end = max((line.smell_to for line in lines), default=0)
    tasks = problem.tasks
    totals = Totals(sum(t.members[0].strips for t in tasks), len(tasks), sum(t.length for t in tasks))
    return Timetable(tuple(lines), end, bound, totals, late)


def lines_of(task: Task, place: Place, bench: Bench) -> list[Line]:
    """One line for each smelling of a dip."""
    until = place.dip + task.length
    return [
        Line(
            one.serving_id,
            one.panelist,
            place.hand,
            place.dip,
            until,
            start,
            start + bench.seconds_per_smell,
            start - (place.dip + until) // 2,
        )
        for one, start in zip(task.members, place.smells, strict=True)
    ]
