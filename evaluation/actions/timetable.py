"""Planning who dips and smells when, and keeping the plan: each revision stays, the latest counts."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from evaluation.actions.sitting import aliases
from evaluation.errors import ArgumentError, StateError
from evaluation.ground import checks
from evaluation.serving.dipping import (
    SECONDS_PER_DIP,
    SECONDS_PER_SMELL,
    Revision,
    dip_times,
    pace_of,
    planned_age,
    seconds_per_dip,
    shared,
    slots,
    smell_at,
)
from evaluation.serving.smelling import seconds_of
from evaluation.sessions import Plan, Serving, Session
from evaluation.store import Notebook
from evaluation.timetable import Bench, Line, NoFit, Person, Timetable, Totals, Wanted, plan_timetable

KEPT_FROM_SECONDS: Final = 12 * 3600  # strips this old lie somewhere overnight
TOLERANCE_KEPT_PERCENT: Final = 50  # of every tolerance: room for what goes wrong (our rule)
# On skin (common practice, no source): wash and wait before the first place, let it dry, never twice on one day.
WASH_SECONDS: Final = 30 * 60
DRYING_SECONDS: Final = 2 * 60
WASHOUT_SECONDS: Final = 24 * 3600
SECOND: Final = 1000

Span = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Settings:
    """What a conductor says about the bench. ``starts_at``, ``latest_end`` and ``there`` are instants.

    ``there`` holds by seat when somebody can come; who is not named can come at any time. ``keeper`` says who keeps
    strips that lie for half a day or longer, open, and in which room.
    """

    starts_at: int
    preparers: int = 1
    dips_per_minute: int | None = None  # both strips of a pair are one dip; None: the usual pace of the plan
    smell_seconds: int | None = None  # for one set; None: as long as the plan's sets take, pauses included
    rest_seconds: int = 180
    sets_per_sitting: int = 4
    break_seconds: int = 900
    latest_end: int | None = None
    there: Mapping[int, tuple[Span, ...]] = field(default_factory=dict)
    keeper: str = ""

    def __post_init__(self) -> None:
        if self.dips_per_minute is not None:
            checks.whole("dips per minute", self.dips_per_minute, 1, 60)
        checks.text("who keeps the strips", self.keeper, 200, empty=True)

    def bench(self) -> Bench:
        """The bench in seconds from the start; skin by common practice."""
        return Bench(
            preparers=self.preparers,
            seconds_per_dip=SECONDS_PER_DIP if self.dips_per_minute is None else -(-60 // self.dips_per_minute),
            seconds_per_smell=SECONDS_PER_SMELL if self.smell_seconds is None else self.smell_seconds,
            rest_seconds=self.rest_seconds,
            sets_per_sitting=self.sets_per_sitting,
            sitting_break_seconds=self.break_seconds,
            latest_end_seconds=None if self.latest_end is None else self._second("latest end", self.latest_end),
            tolerance_kept_percent=TOLERANCE_KEPT_PERCENT,
            wash_seconds=WASH_SECONDS,
            drying_seconds=DRYING_SECONDS,
            washout_seconds=WASHOUT_SECONDS,
        )

    def windows(self, seat: int) -> tuple[Span, ...]:
        """When one seat's panelist can come, in seconds from the start."""
        spans = ((max(0, self._floor(begin)), self._floor(end)) for begin, end in self.there.get(seat, ()))
        return tuple(sorted(span for span in spans if span[1] > span[0]))

    def _second(self, name: str, instant: int) -> int:
        if instant <= self.starts_at:
            raise ArgumentError(f"{name} must come after the start.")
        return self._floor(instant)

    def _floor(self, instant: int) -> int:
        return (instant - self.starts_at) // SECOND


def instants(local: datetime, zone: str) -> tuple[int, ...]:
    """The instants at which the clocks of ``zone`` show ``local``: none in a leap forward, two where it comes twice."""
    place, found = ZoneInfo(zone), []
    for fold in (0, 1):
        moment = local.replace(tzinfo=place, fold=fold).astimezone(UTC)
        if moment.astimezone(place).replace(tzinfo=None) == local:
            found.append((moment - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1))
    return tuple(sorted(set(found)))


# --- planning ---------------------------------------------------------------------------------------------------------


def make(notebook: Notebook, session_id: str, settings: Settings) -> Revision | NoFit:
    """Plan a sealed session and keep the timetable as its next revision; what does not fit is told and not kept.

    Refused once something has been dipped: from then on the plan flows from what has happened (``live.reflow``).
    """
    with notebook.reading() as tx:
        session = tx.sittings.session(session_id)
        if tx.live.dips(session_id) or tx.ballots.session_answers(session_id):
            raise StateError("Something was dipped or smelt already: change the running timetable instead.")
        newest, names = tx.live.timetable(session_id), aliases(tx, session_id)
        served = tx.sittings.servings(session_id)
    if session.plan.solo:
        raise StateError("Alone there is no timetable: the page Alone leads through every step.")
    _check_keeper(session.plan, settings)
    settings = settings_for(session.plan, settings)
    wanted = wanted_sets(session.plan, served, names)
    people = [Person(name, settings.windows(seat)) for seat, name in names.items()]
    found = plan_timetable(wanted, people, settings.bench())
    if isinstance(found, NoFit):
        return found
    lines = in_place_order(found.lines, served)
    seated = {name: str(seat) for seat, name in names.items()}
    windows = {str(seat): settings.windows(seat) for seat in names}
    body = body_of(replace(found, lines=lines), settings.starts_at, settings.bench(), windows, seated)
    with notebook.writing() as tx:
        return tx.live.add_timetable(
            session_id,
            body | {"why": "planned", "slack": SECONDS_PER_SMELL},
            newest.number if newest else 0,
            settings.keeper.strip(),
        )


def settings_for(plan: Plan, settings: Settings) -> Settings:
    """The settings with the time one set of this plan takes, and one dip, where nobody said another."""
    smell, dips = settings.smell_seconds, settings.dips_per_minute
    return replace(
        settings,
        smell_seconds=seconds_of(plan) if smell is None else smell,
        dips_per_minute=dips_a_minute(plan) if dips is None else dips,
    )


def dips_a_minute(plan: Plan) -> int:
    """How many dips a minute one preparer is planned with: strips, or pairs of strips dipped at once."""
    return 60 // seconds_per_dip(plan.strips_a_code)


def _check_keeper(plan: Plan, settings: Settings) -> None:
    oldest = max((age.seconds for age in plan.ages_on("strip")), default=0)
    if oldest >= KEPT_FROM_SECONDS and not settings.keeper.strip():
        raise ArgumentError(
            "who keeps the strips must say who keeps those smelt the next day, open, and in which room."
        )


def needs_keeper(plan: Plan) -> bool:
    """Whether strips lie for half a day or longer."""
    return max((age.seconds for age in plan.ages_on("strip")), default=0) >= KEPT_FROM_SECONDS


def wanted_sets(plan: Plan, served: Iterable[Serving], names: Mapping[int, str]) -> list[Wanted]:
    """Each set that is to be smelt; sets with the same codes share one dip (or one application).

    Warm-up strips have no time: their age does not matter, and there is room for them before the first set.
    """
    open_sets = [one for one in served if one.seat in names and not (one.void or one.spare or one.warm_up)]
    groups = shared(open_sets)
    found = []
    for one in sorted(open_sets, key=lambda each: (each.seat, each.place)):
        age, together = planned_age(plan, one), groups[one.id]
        if age is None:
            continue
        found.append(
            Wanted(
                one.id,
                names[one.seat],
                age.seconds,
                age.tolerance_seconds,
                len(one.codes),
                one.medium,
                "+".join(one.sites),
                together[0] if len(together) > 1 else "",
                plan.strips_a_code > 1,
            )
        )
    return found


def in_place_order(lines: Sequence[Line], served: Iterable[Serving]) -> tuple[Line, ...]:
    """The same plan with interchangeable sets of one nose given out in ballot order."""
    by_id, groups = {one.id: one for one in served}, shared(served)
    bundles: dict[tuple[str, ...], list[Line]] = {}
    for line in sorted(lines, key=lambda one: one.smell_from):
        bundles.setdefault(groups[line.serving_id], []).append(line)
    alike: dict[tuple[Any, ...], list[list[Line]]] = {}
    for bundle in bundles.values():
        alike.setdefault(_likeness(bundle, by_id), []).append(bundle)
    found: list[Line] = []
    for same in alike.values():
        firsts = sorted(same, key=lambda bundle: min(by_id[line.serving_id].place for line in bundle))
        for own, given in zip(firsts, same, strict=True):
            ages = sorted(own, key=lambda line: by_id[line.serving_id].age_seconds)
            times = sorted(given, key=lambda line: by_id[line.serving_id].age_seconds)
            found += [replace(time, serving_id=age.serving_id) for age, time in zip(ages, times, strict=True)]
    return tuple(sorted(found, key=lambda line: (line.smell_from, line.panelist, line.serving_id)))


def _likeness(bundle: Sequence[Line], by_id: Mapping[str, Serving]) -> tuple[Any, ...]:
    sets = [by_id[line.serving_id] for line in bundle]
    ages = tuple(sorted(one.age_seconds for one in sets))
    return sets[0].seat, sets[0].medium, sets[0].sites, len(sets[0].codes), ages


# --- what is kept -----------------------------------------------------------------------------------------------------


def body_of(
    timetable: Timetable,
    start: int,
    bench: Bench,
    windows: Mapping[str, Sequence[Span]],
    seated: Mapping[str, str],
) -> dict[str, Any]:
    """A timetable as it is stored: people by seat, never by name."""
    lines = [[*asdict(replace(line, panelist=seated[line.panelist])).values()] for line in timetable.lines]
    return {
        "start": start,
        "bench": asdict(bench),
        "people": windows,
        "lines": lines,
        "makespan": timetable.makespan_seconds,
        "bound": timetable.lower_bound_seconds,
        "totals": asdict(timetable.totals),
        "late": timetable.late,
    }


def timetable_of(body: Mapping[str, Any]) -> Timetable:
    """The stored timetable; panelists are seat numbers."""
    lines = tuple(Line(*one) for one in body["lines"])
    return Timetable(lines, body["makespan"], body["bound"], Totals(**body["totals"]), tuple(body["late"]))


def bench_of(body: Mapping[str, Any]) -> Bench:
    """The bench a stored timetable was planned for."""
    hours = tuple((begin, end) for begin, end in body["bench"]["preparer_hours"])
    return Bench(**body["bench"] | {"preparer_hours": hours})


def people_of(body: Mapping[str, Any], names: Mapping[int, str]) -> list[Person]:
    """Everybody who sits now, with the spans of the stored timetable."""
    known = body["people"]
    return [Person(name, tuple((a, b) for a, b in known.get(str(seat), ()))) for seat, name in names.items()]


def latest(notebook: Notebook, session: Session) -> tuple[Timetable, int] | None:
    """The timetable as it stands, and the instant its seconds count from; what is dipped stands where it was dipped."""
    with notebook.reading() as tx:
        newest = tx.live.timetable(session.id)
        if newest is None:
            return None
        served = tx.sittings.servings(session.id)
        dipped = dip_times((one for one in served if not one.void), tx.live.dips(session.id))
    planned, known = timetable_of(newest.body), {one.id: one for one in served}
    by_slot, pace, start = slots(newest.body), pace_of(newest.body), int(newest.body["start"])

    def moved(line: Line) -> Line:
        if line.serving_id not in dipped:
            return line
        serving = known[line.serving_id]
        slot, at = by_slot[line.serving_id], dipped[line.serving_id]
        smelt = smell_at(serving, planned_age(session.plan, serving), slot, at, pace)
        return _moved(line, (at - slot.dipped) // SECOND, ((smelt or slot.smelt) - start) // SECOND)

    lines = sorted(map(moved, planned.lines), key=lambda line: (line.smell_from, line.panelist, line.serving_id))
    return replace(planned, lines=tuple(lines)), start


def _moved(line: Line, dip: int, smell_from: int) -> Line:
    """A line whose dip came so many seconds later."""
    moved = replace(line, dip_from=line.dip_from + dip, dip_to=line.dip_to + dip)
    return replace(moved, smell_from=smell_from, smell_to=smell_from + line.smell_to - line.smell_from)
