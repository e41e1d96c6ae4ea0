"""Where no timetable fits: which constraint fails, and the smallest change to one setting that would let it fit.

Every relaxation offered has been tried: with it a timetable is found, with one step less none is.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from evaluation.timetable.bounds import lower_bound, nose_bound
from evaluation.timetable.quantities import FAR, MOST_PREPARERS, Bench, NoFit, Person, Relaxation, Wanted, Window
from evaluation.timetable.tasks import TOGETHER_SECONDS, make_problem, spread_allowed, together_seconds

Case = tuple[Sequence[Wanted], Sequence[Person], Bench]
Attempt = Callable[[Sequence[Wanted], Sequence[Person], Bench], bool]


@dataclass(frozen=True, slots=True)
class Knob:
    """One thing to give way on: what it is now, what it may become, and the case with it turned so far."""

    before: Callable[[Case], int | None]  # None: this knob is not there
    turned: Callable[[Case, int], Case | None]  # after so many steps; None: too far
    step: int  # negative: the value goes down
    sentence: str


def _with(**changed: Any) -> Callable[[Case], Case]:
    return lambda case: (case[0], case[1], replace(case[2], **changed))


def _of_bench(name: str, step: int, limit: Callable[[Bench], int], sentence: str) -> Knob:
    def turned(case: Case, steps: int) -> Case | None:
        value = getattr(case[2], name) + steps * step
        beyond = value > limit(case[2]) if step > 0 else value < limit(case[2])
        return None if beyond else _with(**{name: value})(case)

    return Knob(lambda case: getattr(case[2], name), turned, step, sentence)


def _wider(case: Case, steps: int) -> Case | None:
    """Every tolerance wider by so many times five seconds, none wider than its age."""
    more = 5 * steps
    if all(one.tolerance_seconds == one.age_seconds for one in case[0]) or more > max(o.age_seconds for o in case[0]):
        return None
    wanted = [replace(o, tolerance_seconds=min(o.age_seconds, o.tolerance_seconds + more)) for o in case[0]]
    return wanted, case[1], case[2]


def _longer(case: Case, steps: int) -> Case | None:
    """Everybody stays longer by so many times five minutes, every time they come."""
    if 300 * steps > LONGEST_STAY:
        return None
    return case[0], [Person(one.panelist, _stretched(one.windows, 300 * steps)) for one in case[1]], case[2]


def _stretched(windows: Sequence[Window], seconds: int) -> tuple[Window, ...]:
    grown: list[Window] = []
    for begin, end in windows:
        if grown and begin <= grown[-1][1]:
            grown[-1] = (grown[-1][0], max(grown[-1][1], end + seconds))
        else:
            grown.append((begin, end + seconds))
    return tuple(grown)


def _fewer(case: Case, steps: int) -> Case | None:
    """Without so many people: those who cannot be served even alone first, then the last on the list."""
    if steps >= len(case[1]):
        return None
    problem = make_problem(*case)
    alone = [nose_bound(problem, number) > FAR for number in range(len(case[1]))]
    order = sorted(range(len(case[1])), key=lambda number: (not alone[number], -number))
    gone = {case[1][number].panelist for number in order[:steps]}
    people = [one for one in case[1] if one.panelist not in gone]
    return [one for one in case[0] if one.panelist not in gone], people, case[2]


LONGEST_STAY: Final = 4 * 3600
SHORTEST_REST: Final = 30  # the least between two samples (clinical smell tests; from memory)

KNOBS: Final = MappingProxyType(
    {
        "latest end": _of_bench(
            "latest_end_seconds", 60, lambda bench: FAR, "A latest end {change} later would do, all else as it is."
        ),
        "availability": Knob(
            lambda case: 0 if any(one.windows for one in case[1]) else None,
            _longer,
            300,
            "Everybody staying {change} longer would do, all else as it is.",
        ),
        "tolerance": Knob(
            lambda case: min((one.tolerance_seconds for one in case[0]), default=None),
            _wider,
            5,
            "Every tolerance wider by {change} would do, all else as it is.",
        ),
        "rest": _of_bench(
            "rest_seconds",
            -10,
            lambda bench: SHORTEST_REST,
            "A rest between two sets of {after} in place of {before} would do, all else as it is.",
        ),
        "sitting break": _of_bench(
            "sitting_break_seconds",
            -60,
            lambda bench: bench.rest_seconds,
            "A break between sittings of {after} in place of {before} would do, all else as it is.",
        ),
        "sets per sitting": _of_bench(
            "sets_per_sitting",
            1,
            lambda bench: 12,
            "{after} sets in a sitting in place of {before} would do, all else as it is.",
        ),
        "seconds per dip": _of_bench(
            "seconds_per_dip",
            -1,
            lambda bench: 1,
            "Dipping a strip, or both of a pair, in {after} in place of {before} would do.",
        ),
        "drying": _of_bench(
            "drying_seconds",
            -30,
            lambda bench: 0,
            "Drying for {after} in place of {before} would do, all else as it is.",
        ),
        "washout": _of_bench(
            "washout_seconds",
            -1800,
            lambda bench: 0,
            "A washout of {after} in place of {before} would do, all else as it is.",
        ),
        "preparers": _of_bench(
            "preparers", 1, lambda bench: MOST_PREPARERS, "{after} preparers in place of {before} would do."
        ),
        "people": Knob(
            lambda case: len(case[1]), _fewer, -1, "{after} people in place of {before} would do, all else as it is."
        ),
    }
)
COUNTS: Final = ("sets per sitting", "preparers", "people")


def no_fit(wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench, attempt: Attempt) -> NoFit:
    """Why nothing fits; ``attempt`` tells whether a case does."""
    case: Case = (wanted, people, bench)
    ways = [way for name in KNOBS if (way := smallest(name, case, attempt)) is not None]
    ways.sort(key=_size)
    constraint, sentence, proven = _failing(case, ways)
    advice = ways[0].sentence if ways else "No single change would do."
    return NoFit(constraint, f"{sentence} {advice}", ways[0] if ways else None, tuple(ways[1:]), proven)


def _failing(case: Case, ways: Sequence[Relaxation]) -> tuple[str, str, bool]:
    """The constraint, a sentence, and whether nothing at all can fit: what is certain is looked at first."""
    for reason in (_not_together, _not_dry, _never_there, _ends_too_soon):
        found = reason(case)
        if found:
            return (*found, True)
    if any(way.knob == "latest end" for way in ways):
        return "latest end", "No timetable was found that ends in time.", False
    named = ways[0].knob if ways else "several together"
    return named, "No timetable was found that keeps every constraint.", False


def _not_together(case: Case) -> tuple[str, str] | None:
    slow = [one for one in case[0] if not spread_allowed(one, case[2])]
    if not slow:
        return None
    one = min(slow, key=lambda wanted: wanted.age_seconds)
    seconds = (one.strips - 1) * case[2].seconds_per_dip
    things, most = ("pairs", "") if one.pairs else ("strips", f" or {TOGETHER_SECONDS} s")
    sentence = (
        f"The {one.strips} {things} of a set at {spoken(one.age_seconds)} are dipped {spoken(seconds)} apart; "
        f"a tenth of the age{most}, here {spoken(together_seconds(one))}, is allowed."
    )
    return "dipped together", sentence


def _not_dry(case: Case) -> tuple[str, str] | None:
    for task in make_problem(*case).tasks:
        for one, (low, high) in zip(task.members, task.offsets, strict=True):
            if low > high:
                name, wet = ("drying", "dry") if task.skin else ("tolerance", "dipped")
                age = f"{spoken(one.age_seconds)} ± {spoken(one.tolerance_seconds)}"
                return name, f"A set at {age} would be smelt before it is {wet}."
    return None


def _never_there(case: Case) -> tuple[str, str] | None:
    """Somebody who could not be served even with all the preparers to themselves."""
    wanted, people, bench = case
    free = replace(bench, latest_end_seconds=None)
    problem = make_problem(wanted, people, free)
    for number, person in enumerate(people):
        if nose_bound(problem, number) > FAR:
            return "availability", f"The times at which {person.panelist} can come do not hold all their sets."
    return None


def _ends_too_soon(case: Case) -> tuple[str, str] | None:
    wanted, people, bench = case
    if bench.latest_end_seconds is None:
        return None
    bound = lower_bound(make_problem(wanted, people, replace(bench, latest_end_seconds=None)))
    if bound <= bench.latest_end_seconds:
        return None
    return "latest end", (
        f"All must be over after {spoken(bench.latest_end_seconds)}, and no timetable ends before {spoken(bound)}."
    )


def _size(way: Relaxation) -> float:
    """How much is given way, in proportion to what it was; staying longer, in proportion to four hours."""
    return abs(way.after - way.before) / (way.before or LONGEST_STAY)


def smallest(name: str, case: Case, attempt: Attempt) -> Relaxation | None:
    """The least turn of one knob with which the case fits: steps are doubled until it does, then halved in between."""
    knob = KNOBS[name]
    before = knob.before(case)
    if before is None:
        return None

    def fits(steps: int) -> bool:
        turned = knob.turned(case, steps)
        return turned is not None and attempt(*turned)

    most = _between(0, 2 * FAR, lambda steps: knob.turned(case, steps) is None) - 1
    if most < 1 or not fits(most):
        return None
    good = 1
    while good < most and not fits(good):
        good = min(2 * good, most)
    return _told(name, knob, before, before + _between(good // 2, good, fits) * knob.step)


def _between(low: int, high: int, holds: Callable[[int], bool]) -> int:
    """The least number above ``low`` for which it holds, if it does from there to ``high``."""
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def _told(name: str, knob: Knob, before: int, after: int) -> Relaxation:
    said = str if name in COUNTS else spoken
    sentence = knob.sentence.format(before=said(before), after=said(after), change=said(abs(after - before)))
    return Relaxation(name, before, after, abs(knob.step), sentence)


def spoken(seconds: int) -> str:
    """Seconds as a person says them: "45 s", "12 min", "1 h 30 min"."""
    hours, rest = divmod(seconds, 3600)
    minutes, left = divmod(rest, 60)
    parts = ((hours, "h"), (minutes, "min"), (left, "s"))
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 s"
