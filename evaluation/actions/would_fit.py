"""Before sealing: would the bench find a timetable for this plan with the settings it begins with?

One nose that has preparers and day to itself is looked at: with no end and everybody there, people can come one after
the other, so that what one nose cannot smell nobody can, and what it can all can. A bench with other settings may do
more (two preparers, quicker dips), and times can be kept by hand: it is told, not forbidden.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import count
from typing import Any, Final

from evaluation.actions.timetable import Settings, settings_for, wanted_sets
from evaluation.errors import MouilletteError
from evaluation.serving.blinding import draw
from evaluation.serving.draws import SEED_BYTES
from evaluation.sessions import STRIP, Plan, StripAge
from evaluation.timetable import Person
from evaluation.timetable.planning import fits

MINUTE: Final = 60
FURTHER: Final = 60  # minutes by which an age is moved at most to find room
PERCENTS: Final = (15, 20, 25, 30, 40, 50)


@dataclass(frozen=True, slots=True)
class Way:
    """One field of the plan that would make room, with what stands in it then, in its own unit."""

    field: str  # "ages" in minutes, "tolerance" in percent of the age, "resmell"
    after: str


def refused(plan: Plan) -> bool:
    """Whether the bench would find no timetable; alone there is none to find."""
    try:
        return not plan.solo and not _fits(plan)
    except MouilletteError:
        return False  # what cannot even be drawn is said where it is sealed


def ways(plan: Plan) -> tuple[Way, ...]:
    """What would make room, each tried by itself, the smallest change first."""
    return tuple(_ways(plan)) if refused(plan) else ()


@lru_cache(maxsize=256)
def _fits(plan: Plan) -> bool:
    numbers = count()
    served = draw(plan, bytes(SEED_BYTES), lambda: str(next(numbers)), {}).servings  # for its shape; thrown away
    nose = next(seat.number for seat in plan.seats if seat.panelist_id is not None)
    bench = settings_for(plan, Settings(0)).bench()
    return fits(wanted_sets(plan, served, {nose: "one"}), [Person("one")], bench)


def _ways(plan: Plan) -> Iterator[Way]:
    if plan.design.resmell:
        yield from (Way("resmell", "") for _ in range(_would(plan, resmell=False)))
    for place in range(len(plan.ages) if STRIP in plan.media else 0):
        moved = next((ages for ages in _later(plan, place) if _would(plan, ages=ages)), None)
        if moved:
            yield Way("ages", ", ".join(_minutes(age.seconds) for age in moved))
    for percent in PERCENTS:
        wider = tuple(StripAge(a.seconds, max(a.tolerance_seconds, a.seconds * percent // 100)) for a in plan.ages)
        if wider != plan.ages and _would(plan, ages=wider):
            yield Way("tolerance", str(percent))
            return


def _later(plan: Plan, place: int) -> Iterator[tuple[StripAge, ...]]:
    """The ages with one of them later, by whole minutes, while it stays before the next."""
    age = plan.ages[place]
    end = plan.ages[place + 1].seconds if place + 1 < len(plan.ages) else age.seconds + FURTHER * MINUTE + 1
    first = age.seconds // MINUTE * MINUTE + MINUTE
    for seconds in range(first, min(end, first + FURTHER * MINUTE), MINUTE):
        moved = StripAge(seconds, max(5, seconds * age.tolerance_seconds // age.seconds))
        yield (*plan.ages[:place], moved, *plan.ages[place + 1 :])


def _would(plan: Plan, **changes: Any) -> bool:
    try:
        ages = changes.get("ages", plan.ages)
        return _fits(plan.changed(**{"primary": ages[0].seconds if len(ages) == 1 else None, **changes}))
    except MouilletteError:
        return False  # no plan that stands


def _minutes(seconds: int) -> str:
    whole, rest = divmod(seconds, MINUTE)
    return str(whole) if not rest else f"{seconds / MINUTE:g}"
