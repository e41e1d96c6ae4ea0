"""From what is wanted to tasks: one dip (or application) and the smellings that hang on it, as offsets in seconds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.timetable.quantities import FAR, Bench, Person, Wanted, Window

TOGETHER_SECONDS: Final = 20  # strips of a set are dipped within this, or a tenth of the age if that is less: our rule
NIGHT: Final = 8 * 3600  # nobody of the panel can come for longer than this: the preparers are away too

Offset = tuple[int, int]  # earliest and latest beginning of a smelling, counted from the beginning of the dip


@dataclass(frozen=True, slots=True)
class Task:
    """One dip and its smellings; ``nose`` is the panelist's place in the list of people.

    ``ideal`` are the offsets at which the strips have exactly the planned ages.
    """

    members: tuple[Wanted, ...]
    nose: int
    length: int  # seconds of one preparer
    offsets: tuple[Offset, ...]
    ideal: tuple[int, ...]

    @property
    def skin(self) -> bool:
        """True where it is put on skin."""
        return self.members[0].medium == "skin"


@dataclass(frozen=True, slots=True)
class Problem:
    """Everything the search needs; all windows are clipped to the time in which something may still happen."""

    wanted: tuple[Wanted, ...]
    tasks: tuple[Task, ...]
    names: tuple[str, ...]
    windows: tuple[tuple[Window, ...], ...]  # per nose
    washed: tuple[tuple[Window, ...], ...]  # per nose: when something may be applied to the skin
    hours: tuple[Window, ...]
    bench: Bench


def make_problem(wanted: Sequence[Wanted], people: Sequence[Person], bench: Bench) -> Problem:
    """Check that wanted sets and people belong together, and lay out tasks and windows."""
    names = tuple(person.panelist for person in people)
    if len(set(names)) < len(names):
        raise ArgumentError("people must be named once each.")
    if len({one.serving_id for one in wanted}) < len(wanted):
        raise ArgumentError("wanted must hold every serving once.")
    strangers = sorted({one.panelist for one in wanted} - set(names))
    if strangers:
        raise ArgumentError(f"wanted names {', '.join(strangers)}, of whom people says nothing.")
    place = {name: number for number, name in enumerate(names)}
    tasks = tuple(_task(members, place[members[0].panelist], bench) for members in dips(wanted, bench))
    end = FAR if bench.latest_end_seconds is None else bench.latest_end_seconds
    windows = tuple(clipped(person.windows or ((0, FAR),), 0, end) for person in people)
    washed = tuple(clipped([(a + bench.wash_seconds, b) for a, b in mine], 0, end) for mine in windows)
    return Problem(tuple(wanted), tasks, names, windows, washed, preparer_hours(people, bench), bench)


def dips(wanted: Sequence[Wanted], bench: Bench) -> list[tuple[Wanted, ...]]:
    """Sets that share a dip, youngest age first; where strips are not re-smelt every set stands alone."""
    found: dict[tuple[str, ...], list[Wanted]] = {}
    for one, name in zip(wanted, _group_names(wanted, bench), strict=True):
        found.setdefault((one.panelist, *name), []).append(one)
    for members in found.values():
        if len({(one.strips, one.medium, one.site) for one in members}) > 1:
            raise ArgumentError(f"group of {members[0].serving_id} must hold the same strips throughout.")
    return [tuple(sorted(members, key=lambda one: one.age_seconds)) for members in found.values()]


def _group_names(wanted: Sequence[Wanted], bench: Bench) -> list[tuple[str, ...]]:
    """A group given counts; else with re-use the n-th set of every age goes with the n-th of the others."""
    names: list[tuple[str, ...]] = []
    met: dict[tuple[str, str, str, int], int] = {}
    for one in wanted:
        key = (one.panelist, one.medium, one.site, one.age_seconds)
        turn = met[key] = met.get(key, 0) + 1
        shared = ("re-smelt", one.medium, one.site, str(turn))
        names.append(("group", one.group) if one.group else shared if bench.reuse else ("alone", one.serving_id))
    return names


def length_of(one: Wanted, bench: Bench) -> int:
    """Seconds one preparer is busy with the strips (or sites) of a set."""
    return one.strips * (bench.seconds_per_application if one.medium == "skin" else bench.seconds_per_dip)


def spread_allowed(one: Wanted, bench: Bench) -> bool:
    """Whether the strips of a set can be dipped together; sites are simply treated one right after the other."""
    return one.medium == "skin" or (one.strips - 1) * bench.seconds_per_dip <= together_seconds(one)


def together_seconds(one: Wanted) -> int:
    """Seconds allowed from the first dip of a set to its last: of pairs a tenth of the age, as each takes both hands
    and is smelt with a pause of its own; of strips no more than 20 s besides.
    """
    tenth = one.age_seconds // 10
    return tenth if one.pairs else min(TOGETHER_SECONDS, tenth)


def _task(members: tuple[Wanted, ...], nose: int, bench: Bench) -> Task:
    length = length_of(members[0], bench)
    offsets = tuple(_offset(one, length, bench) for one in members)
    return Task(members, nose, length, offsets, tuple(length // 2 + one.age_seconds for one in members))


def _offset(one: Wanted, length: int, bench: Bench) -> Offset:
    """The mean strip is dipped in the middle of the dip, half a second rounded down; skin must be dry besides."""
    low = length // 2 + one.age_seconds - one.tolerance_seconds
    dry = length + bench.drying_seconds if one.medium == "skin" else length
    return max(low, dry), length // 2 + one.age_seconds + one.tolerance_seconds


def preparer_hours(people: Sequence[Person], bench: Bench) -> tuple[Window, ...]:
    """Spans in which preparers are there: those given, or from the start but for the nights between."""
    end = FAR if bench.latest_end_seconds is None else bench.latest_end_seconds
    return clipped(bench.preparer_hours or _days(people), 0, end)


def _days(people: Sequence[Person]) -> tuple[Window, ...]:
    if not all(person.windows for person in people):
        return ((0, FAR),)
    days: list[Window] = [(0, 0)]
    for begin, end in sorted(window for person in people for window in person.windows):
        if begin - days[-1][1] > NIGHT:
            days.append((begin, end))
        else:
            days[-1] = (days[-1][0], max(days[-1][1], end))
    return tuple(day for day in days if day[1] > day[0])


def clipped(windows: Sequence[Window], low: int, high: int) -> tuple[Window, ...]:
    """The windows as far as they lie between two seconds; those outside fall away."""
    return tuple((max(a, low), min(b, high)) for a, b in windows if max(a, low) < min(b, high))
