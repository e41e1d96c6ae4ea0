"""The bench while people smell: what is due, next and late, the tap "Dipped", and a plan that follows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from evaluation.actions import begins
from evaluation.actions import timetable as planning
from evaluation.actions.paper import MINUTE, told_times, written_down
from evaluation.actions.sitting import aliases
from evaluation.actions.skin_gate import check_application
from evaluation.errors import ArgumentError, StateError
from evaluation.ground import checks
from evaluation.ground.canonical import canonical
from evaluation.serving.asking import to_smell
from evaluation.serving.dipping import (
    Begun,
    Pace,
    Revision,
    Slot,
    begun_at,
    dip_times,
    due_at,
    heard_at,
    in_turn,
    judge,
    pace_of,
    planned_age,
    shared,
    slots,
    smell_at,
)
from evaluation.sessions import LATE, SKIN, Medium, Plan, Serving, Session
from evaluation.store import Notebook, Transaction
from evaluation.timetable import Line, NoFit, Timetable, reflow

SECOND: Final = 1000
SOON_MS: Final = 60_000  # what comes within a minute is due
GRACE_MS: Final = 30_000  # a dip or a smelling later than this moves the plan
APART_MS: Final = 60_000  # two automatic revisions are at least this far apart
LOG_REASON: Final = "late"


@dataclass(frozen=True, slots=True)
class ToDip:
    """Strips to dip (or places to apply to) next; ``at`` is when the dip is to begin."""

    serving_id: str
    seat: int
    alias: str
    number: int  # of the set on its ballot
    codes: tuple[str, ...]  # in the order of dipping
    sites: tuple[str, ...]
    preparer: int  # from 1
    at: int
    late: bool


@dataclass(frozen=True, slots=True)
class ToCall:
    """Somebody to be called; ``from_`` and ``until`` bound the tolerance once the strips are dipped."""

    serving_id: str
    seat: int
    alias: str
    number: int
    codes: tuple[str, ...]
    age_seconds: int
    medium: Medium
    at: int
    dipped: bool
    until: int | None
    late: bool


@dataclass(frozen=True, slots=True)
class Board:
    """The live bench at one instant."""

    moment: int
    revision: int
    start: int
    ends_at: int
    zone: str
    dips: tuple[ToDip, ...]  # still to be dipped, in order
    calls: tuple[ToCall, ...]  # still to be smelt, in order
    done: tuple[ToDip, ...]  # dipped, newest first: ``at`` is the instant of the tap
    keeper: str
    why: str  # "planned", "late", "dipped", …: what the latest revision came of


@dataclass(frozen=True, slots=True)
class _Now:
    """Everything the live bench knows at one instant."""

    session: Session
    newest: Revision
    served: tuple[Serving, ...]  # those to be smelt
    names: Mapping[int, str]
    dipped: Mapping[str, int]
    begun: Mapping[str, Begun]
    moment: int
    keeper: str

    @property
    def pace(self) -> Pace:
        return pace_of(self.newest.body)

    @property
    def plan(self) -> Plan:
        return self.session.plan

    @property
    def slots(self) -> dict[str, Slot]:
        return slots(self.newest.body)

    @property
    def lines(self) -> dict[str, Line]:
        return {line.serving_id: line for line in planning.timetable_of(self.newest.body).lines}

    def instant(self, second: int) -> int:
        return int(self.newest.body["start"]) + SECOND * second


def board(notebook: Notebook, session_id: str) -> Board | None:
    """What is due, next and late; None without a timetable."""
    with notebook.reading() as tx:
        here = _now(tx, session_id)
    if here is None:
        return None
    body, numbers, lines = here.newest.body, _numbers(here.served), here.lines
    listed = sorted((line for line in lines.values()), key=lambda line: (line.smell_from, line.serving_id))
    known = {one.id: one for one in here.served}
    open_lines = [line for line in listed if line.serving_id in known and line.serving_id not in here.begun]
    planned = here.slots
    calls = [_to_call(here, planned[line.serving_id], known[line.serving_id], numbers) for line in open_lines]
    return Board(
        here.moment,
        here.newest.number,
        int(body["start"]),
        here.instant(int(body["makespan"])),
        here.plan.zone,
        tuple(_to_dip(here, line, known[line.serving_id], numbers) for line in _undipped(here, open_lines)),
        tuple(sorted(calls, key=lambda one: one.at)),
        tuple(_dipped(here, lines, numbers)),
        here.keeper,
        str(body.get("why", "")),
    )


def _now(tx: Transaction, session_id: str) -> _Now | None:
    newest = tx.live.timetable(session_id)
    if newest is None:
        return None
    session = tx.sittings.session(session_id)
    names = aliases(tx, session_id)
    ballots = {one.id: one.seat for one in tx.ballots.ballots(session_id)}
    off_skin = {ballots[one.ballot_id] for one in tx.live.stops(session_id) if one.kind == SKIN}
    served = tx.sittings.servings(session_id)
    smelt = tuple(
        one
        for seat in names
        for one in to_smell(tuple(s for s in served if s.seat == seat), off_skin=seat in off_skin)
        if not one.warm_up
    )
    first: dict[str, int] = {serving_id: at for (_, serving_id), at in tx.ballots.first_taps(session_id).items()}
    for answer in tx.ballots.session_answers(session_id):
        first[answer.serving_id] = min(answer.at, first.get(answer.serving_id, answer.at))
    pace = pace_of(newest.body)
    begun = {one: heard_at(at, pace) for one, at in first.items()}
    begun |= {one: begin.begun for one, begin in begins.begun_sets(tx, session_id).items()}
    dipped = dip_times(smelt, tx.live.dips(session_id))
    keeper = tx.live.keeper(session_id)
    return _Now(session, newest, smelt, names, dipped, begun, tx.clock.now(), keeper)


def _numbers(served: tuple[Serving, ...]) -> dict[str, int]:
    """The number of each set as its ballot says it: warm-up strips are not counted."""
    found: dict[str, int] = {}
    seats: dict[int, int] = {}
    for one in sorted(served, key=lambda each: (each.seat, each.place)):
        seats[one.seat] = found[one.id] = seats.get(one.seat, 0) + 1
    return found


def _undipped(here: _Now, lines: list[Line]) -> list[Line]:
    """One line for each dip still to be made, in order of dipping."""
    together = shared(here.served)
    first = {together[line.serving_id]: line for line in reversed(lines) if line.serving_id not in here.dipped}
    started = {together[one] for one in here.begun if one in together}
    waiting = [line for group, line in first.items() if group not in started]
    return sorted(waiting, key=lambda line: (line.dip_from, line.serving_id))


def _to_dip(here: _Now, line: Line, serving: Serving, numbers: Mapping[str, int]) -> ToDip:
    at = here.instant(line.dip_from)
    return ToDip(
        serving.id,
        serving.seat,
        here.names[serving.seat],
        numbers[serving.id],
        *in_turn(serving),
        line.preparer + 1,
        at,
        here.moment > here.instant(line.dip_to) + GRACE_MS,
    )


def _to_call(here: _Now, planned: Slot, serving: Serving, numbers: Mapping[str, int]) -> ToCall:
    dipped, age = here.dipped.get(serving.id), planned_age(here.plan, serving)
    until = None
    if dipped is not None and age is not None:
        until = due_at(serving, dipped, here.pace) + SECOND * age.tolerance_seconds
    at = smell_at(serving, age, planned, dipped, here.pace)
    now = judge(serving, age, dipped, begun_at(here.moment), here.pace)
    return ToCall(
        serving.id,
        serving.seat,
        here.names[serving.seat],
        numbers[serving.id],
        serving.codes,
        serving.age_seconds,
        serving.medium,
        planned.smelt if at is None else at,
        dipped is not None,
        until,
        now.word == LATE,
    )


def _dipped(here: _Now, lines: Mapping[str, Line], numbers: Mapping[str, int]) -> list[ToDip]:
    """What is dipped, newest first, once for all sets smelt from it."""
    together, seen, found = shared(here.served), set[tuple[str, ...]](), []
    for one in here.served:
        if one.id not in here.dipped or together[one.id] in seen:
            continue
        seen.add(together[one.id])
        hand = lines[one.id].preparer + 1 if one.id in lines else 1
        name = here.names[one.seat]
        found.append(ToDip(one.id, one.seat, name, numbers[one.id], *in_turn(one), hand, here.dipped[one.id], False))
    return sorted(found, key=lambda each: -each.at)


# --- taps -------------------------------------------------------------------------------------------------------------


def dipped(notebook: Notebook, session_id: str, serving_id: str) -> None:
    """The last strip of a set is done now: its clock starts, and a plan that it does not fit follows it."""
    with notebook.writing() as tx:
        serving = _check_set(tx, session_id, serving_id)
        if serving.medium == SKIN:
            check_application(tx, session_id, serving.seat)
        dip = tx.live.dip(serving_id, tx.clock.now())
        here = _now(tx, session_id)
    if here is not None:
        line = here.lines.get(serving_id)
        planned = None if line is None else here.instant(line.dip_to)
        if planned is None or abs(dip.dipped_at - planned) > GRACE_MS // 2:
            flow(notebook, session_id, "dipped")


def correct(notebook: Notebook, session_id: str, serving_id: str, dipped_at: int, reason: str) -> None:
    """Strips were done at another time than was tapped; the reason is logged and answers given are judged by it.

    A note made before stays in the log, as everything does.
    """
    checks.text("reason", reason, 400)
    with notebook.writing() as tx:
        serving = _check_set(tx, session_id, serving_id)
        session = tx.sittings.session(session_id)
        noted = {(one.serving_id, one.kind) for one in tx.sittings.deviations(session_id)}
        tx.live.dip(serving_id, dipped_at, reason)
        served = {one.id: one for one in tx.sittings.servings(session_id)}
        together = shared(one for one in served.values() if not one.void).get(serving.id, ())
        for one, begun in _smelt(tx, session_id).items():
            found = begins.judged(tx, session, one, begun) if one in together else None
            if found is not None and (one, found.word) not in noted:
                begins.note_age(tx, session, served[one], found)
    flow(notebook, session_id, "corrected")


def _smelt(tx: Transaction, session_id: str) -> dict[str, Begun]:
    """When each answered set was smelt, as far as it is known."""
    newest = tx.live.timetable(session_id)
    pace = pace_of(newest.body if newest else None)
    found = {answer.serving_id: answer.at for answer in reversed(tx.ballots.session_answers(session_id))}
    taps = {one: at for (_, one), at in tx.ballots.first_taps(session_id).items() if one in found}
    told = told_times(tx, session_id)
    known = {one: heard_at(at, pace) for one, at in (found | taps).items()}
    known |= {one: begin.begun for one, begin in begins.begun_sets(tx, session_id).items() if one in found}
    on_phones = {one: begun for one, begun in known.items() if one not in told}
    return on_phones | {one: written_down(at - MINUTE // 2, pace) for one, at in told.items() if at is not None}


def _check_set(tx: Transaction, session_id: str, serving_id: str) -> Serving:
    found = next((one for one in tx.sittings.servings(session_id) if one.id == serving_id), None)
    if found is None or found.void or found.spare:
        raise ArgumentError("set must be one that is being served in this session.")
    return found


# --- the plan follows -------------------------------------------------------------------------------------------------


def follow(notebook: Notebook, session_id: str) -> Revision | NoFit | None:
    """Plan anew if something is late, at most once a minute; None where all is on time."""
    with notebook.reading() as tx:
        here = _now(tx, session_id)
    if here is None or here.session.state != "smelling" or here.moment - here.newest.at < APART_MS:
        return None
    return flow(notebook, session_id, LOG_REASON) if _behind(here) else None


def _behind(here: _Now) -> bool:
    """Whether a dip or a smelling should have begun by now and has not."""
    open_lines = [line for one, line in here.lines.items() if one not in here.begun]
    known = {one.id for one in here.served}
    waiting = _undipped(here, [line for line in open_lines if line.serving_id in known])
    if any(here.moment > here.instant(line.dip_to) + GRACE_MS for line in waiting):
        return True
    lying = (line for line in open_lines if line.serving_id in here.dipped)
    return any(here.moment > here.instant(line.smell_to) + GRACE_MS for line in lying)


def flow(notebook: Notebook, session_id: str, why: str, changes: Mapping[str, Any] | None = None) -> Any:
    """Plan the rest anew from now; kept as a new revision, or the NoFit that says why the old one stays.

    ``changes`` are new values of the bench by name, such as ``preparers`` or ``latest_end_seconds``.
    """
    with notebook.reading() as tx:
        here = _now(tx, session_id)
    if here is None:
        raise StateError("There is no timetable to change: make one first.")
    here = _from_first_dip(here)
    body = here.newest.body
    bench = replace(planning.bench_of(body), **(changes or {}))
    wanted = planning.wanted_sets(here.plan, here.served, here.names)
    people = planning.people_of(body, here.names)
    second = max(0, (here.moment - int(body["start"])) // SECOND)
    done, smelt = _past(here, second)
    found = reflow(planning.timetable_of(body), second, done, smelt, wanted, people, bench)
    if isinstance(found, NoFit):
        return found
    return _keep(notebook, here, found, bench, why)


def _keep(notebook: Notebook, here: _Now, found: Timetable, bench: Any, why: str) -> Revision | None:
    body = here.newest.body
    seated = {name: str(seat) for seat, name in here.names.items()}
    fresh = planning.body_of(found, body["start"], bench, body["people"], seated)
    if all(canonical(fresh[part]) == canonical(body[part]) for part in ("lines", "late", "bench")):
        return None
    with notebook.writing() as tx:
        newest = tx.live.timetable(here.session.id)
        if newest is None or newest.number != here.newest.number:
            return newest  # another window was quicker
        more = {"why": why}
        more |= {"slack": body["slack"]} if "slack" in body else {}  # judged as it was, whatever is planned anew
        keeper = tx.live.keeper(here.session.id)
        return tx.live.add_timetable(here.session.id, fresh | more, here.newest.number, keeper)


def _from_first_dip(here: _Now) -> _Now:
    """Where something was dipped before the planned start, the timetable counts from there."""
    start = int(here.newest.body["start"])
    length = max((here.pace.each(one) * len(one.codes) for one in here.served), default=0)
    early = min([start, here.moment, *(at - SECOND * length for at in here.dipped.values())])
    seconds = -((early - start) // SECOND)
    if seconds <= 0:
        return here
    return replace(here, newest=replace(here.newest, body=_shifted(here.newest.body, seconds)))


def _shifted(body: Mapping[str, Any], by: int) -> dict[str, Any]:
    """The same timetable counted from ``by`` seconds earlier."""
    end = body["bench"]["latest_end_seconds"]
    bench = body["bench"] | {"latest_end_seconds": None if end is None else end + by}
    bench |= {"preparer_hours": [(a + by, b + by) for a, b in bench["preparer_hours"]]}
    people = {seat: [(a + by, b + by) for a, b in spans] for seat, spans in body["people"].items()}
    lines = [[*line[:3], *(second + by for second in line[3:7]), line[7]] for line in body["lines"]]
    moved = {"start": body["start"] - SECOND * by, "bench": bench, "people": people, "lines": lines}
    return dict(body) | moved | {"makespan": body["makespan"] + by}


def _past(here: _Now, second: int) -> tuple[dict[str, int], dict[str, int]]:
    """What was dipped and smelt, in seconds; strips smelt without a tap are taken as dipped at the right time."""
    start, lines, pace = int(here.newest.body["start"]), here.lines, here.pace
    done = {one: min(second, (at - start) // SECOND) for one, at in here.dipped.items()}
    smelt: dict[str, int] = {}
    for one in here.served:
        if one.id not in here.begun:
            continue
        begun = here.begun[one.id]
        first, last = (min(second, max(0, (at - start) // SECOND)) for at in (begun.earliest, begun.latest))
        planned = lines[one.id].smell_from if one.id in lines else last
        length = pace.each(one) * len(one.codes)
        smelt[one.id] = min(max(planned, first), last)
        done.setdefault(one.id, min(second, max(length, smelt[one.id] - one.age_seconds + length // 2)))
    return done, smelt


# --- after nobody looked ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Missed:
    """What was due while nobody looked: the machine slept, or the page was away. Before the plan follows."""

    since: int
    until: int
    zone: str
    dips: tuple[ToDip, ...]
    calls: tuple[ToCall, ...]


def missed(notebook: Notebook, session_id: str, since: int) -> Missed | None:
    """What should have been dipped and smelt after ``since`` and was not; None without a timetable."""
    found = board(notebook, session_id)
    if found is None:
        return None
    return Missed(
        since,
        found.moment,
        found.zone,
        tuple(one for one in found.dips if since <= one.at < found.moment - GRACE_MS),
        tuple(one for one in found.calls if one.dipped and since <= one.at < found.moment - GRACE_MS),
    )
