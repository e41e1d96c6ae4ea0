"""Alone: one person prepares, smells and answers. The shuffle is the draw; hidden marks tell afterwards what it was.

Every set goes the same way: laid out, answered and locked, put away with its marks covered, and a rest. No step says
whether an answer was right; a sequential session hears after a sitting whether to go on, and nothing more.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from evaluation import checks
from evaluation.actions import ballot as ballots
from evaluation.asking import questions, to_smell
from evaluation.blinding import orders
from evaluation.errors import ArgumentError, StateError
from evaluation.marks import read
from evaluation.outlook import sets_a_sitting
from evaluation.sessions import Ballot, Plan, Question, Record, Serving, Session
from evaluation.smelling import SETS_PAUSE_SECONDS
from evaluation.store import Notebook, Transaction, read_body

LAY_OUT: Final = "lay out"
ANSWER: Final = "answer"
PUT_AWAY: Final = "put away"
REST: Final = "rest"
MARKS: Final = "marks"
CLOSE: Final = "close"
OPEN: Final = "open"
DONE: Final = "done"
BETWEEN: Final = (LAY_OUT, REST, CLOSE)  # no strips on the table: where a look can say that it is over

# Rests: our proposals, common practice, no source. They may be cut short; that is written down.
REST_BETWEEN_SETS_MS: Final = 1000 * SETS_PAUSE_SECONDS
REST_BETWEEN_SITTINGS_MS: Final = 10 * 60_000
SITTINGS_A_DAY: Final = 2
BETWEEN_SETS: Final = "between sets"
BETWEEN_SITTINGS: Final = "between sittings"
NEXT_DAY: Final = "until the next day"

LAID_OUT_KIND: Final = "laid out"
PUT_AWAY_KIND: Final = "put away"
VOID_KIND: Final = "void serving"
NO_SPARE_CODES: Final = (
    "This session has no spare codes left: if nothing of the set was smelt yet, make it anew under its own codes; else "
    "lock any answer and note that a strip was spoilt, so that the set leaves the main analysis."
)


@dataclass(frozen=True, slots=True)
class Due:
    """A set whose marks are to be entered: its place, and its codes as they were laid out."""

    place: int
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SoloStep:
    """What comes next, and all that may be known while doing it: nothing about right and wrong."""

    kind: str
    session: Session
    labels: tuple[str, str]  # the trials marked A and B on the covered ends
    ballot_id: str
    sets: int
    sittings: int
    put_away: int  # sets done
    number: int = 0  # place of the set in hand or next; 0 where there is none
    sitting: int = 0
    codes: tuple[str, ...] = ()
    age_seconds: int = 0
    compositions: tuple[str, ...] = ()  # envelopes to fill now, such as AAB and ABB; empty for a pair's other envelope
    anew: int = 0  # how often this set was spoilt before it was answered: it is made anew, under other codes
    question: Question | None = None
    asked: int = 0  # number of the question, from 1
    questions: int = 0
    rest: str = ""  # why to rest
    rest_ms: int = 0
    next_at: int = 0
    due: tuple[Due, ...] = ()
    orders: tuple[str, ...] = ()  # what a set is planned to be; any letters can be entered
    look: str = ""  # what the newest look of a sequential session said


def sitting_of(plan: Plan, place: int) -> int:
    """The sitting, from 1, that a set belongs to; a look of a sequential session always ends one."""
    block, size = plan.look_every or plan.sets_per_nose, sets_a_sitting(plan.method)
    before, within = divmod(place - 1, block)
    return before * -(-block // size) + within // size + 1


def next_step(notebook: Notebook, session_id: str) -> SoloStep:
    """What the person does next; a sequential session that has stopped is only closed."""
    with notebook.reading() as tx:
        step = _next(tx, session_id, notebook.clock.now())
    return _looked(notebook, step) if step.session.plan.look_every and step.kind in BETWEEN else step


def _looked(notebook: Notebook, step: SoloStep) -> SoloStep:
    from evaluation.actions import looks  # its statistics are loaded where a session was sealed with looks

    said = looks.status(notebook, step.session.id).state
    if said == looks.CONTINUE or step.kind == CLOSE:
        return replace(step, look=said)
    over = {"kind": CLOSE, "number": 0, "codes": (), "compositions": (), "rest": "", "rest_ms": 0, "next_at": 0}
    return replace(step, look=said, **over)  # type: ignore[arg-type]


def laid_out(notebook: Notebook, session_id: str, place: int, *, early: bool = False) -> SoloStep:
    """The strips of a set lie shuffled under their codes; ``early`` goes on before the rest is over."""
    _expect(next_step(notebook, session_id), place, LAY_OUT, REST)
    with notebook.writing() as tx:
        step = _next(tx, session_id, notebook.clock.now())
        if step.kind == REST and not early:
            raise StateError(f"Rest first: the next set is proposed in {-(-step.rest_ms // 60_000)} min.")
        _expect(step, place, LAY_OUT, REST)
        if step.session.state == "sealed":
            tx.sittings.advance(session_id, "start")
        tx.log.append(session_id, LAID_OUT_KIND, {"place": place, "rest_cut_ms": step.rest_ms})
    return next_step(notebook, session_id)


def answer(
    notebook: Notebook, session_id: str, serving_id: str, question: str, value: str, remark: str = ""
) -> SoloStep:
    """Lock an answer to the set that is laid out."""
    step = next_step(notebook, session_id)
    if step.kind != ANSWER:
        raise StateError("Lay the strips out first: an answer is given to a set on the table.")
    ballots.lock(notebook, step.ballot_id, serving_id, question, value, remark)
    return next_step(notebook, session_id)


def put_away(notebook: Notebook, session_id: str, place: int) -> SoloStep:
    """The strips lie face down in an envelope with the number of their set."""
    with notebook.writing() as tx:
        _expect(_next(tx, session_id, notebook.clock.now()), place, PUT_AWAY)
        tx.log.append(session_id, PUT_AWAY_KIND, {"place": place})
    return next_step(notebook, session_id)


def spoilt(notebook: Notebook, session_id: str, place: int, reason: str) -> SoloStep:
    """Give up a set that is not answered yet: it stays void, with the reason; it is laid out anew under spare codes.

    Sessions sealed before 2026-11-26 have no spare codes, and others may have used theirs up: ``NO_SPARE_CODES``.
    """
    checks.text("reason", reason, 400)
    with notebook.writing() as tx:
        step = _next(tx, session_id, notebook.clock.now())
        _expect(step, place, LAY_OUT, REST, ANSWER)
        if not any(one.spare for one in tx.sittings.servings(session_id)):
            raise StateError(NO_SPARE_CODES)
        tx.sittings.void_serving(_servings(tx, session_id)[place - 1].id, reason)
    return next_step(notebook, session_id)


def enter_marks(notebook: Notebook, session_id: str, marks: Mapping[int, str]) -> SoloStep:
    """Enter what the uncovered marks say, by place of the set, all that are due at once and once for all.

    Any marks of the set's size are taken (``evaluation.marks``): what was mixed up is written down as it is.
    """
    with notebook.writing() as tx:
        step = _next(tx, session_id, notebook.clock.now())
        if step.kind != MARKS:
            raise StateError("No marks are wanted now: they stay covered until the sets are answered and put away.")
        wanted = [one.place for one in step.due]
        if sorted(marks) != wanted:
            raise ArgumentError(f"marks must be entered together for: set {', set '.join(map(str, wanted))}.")
        served = {one.place: one for one in _servings(tx, session_id)}
        found = {one.id: read(step.session.plan, place, one.codes, marks[place]) for place, one in served.items()
                 if place in marks}  # fmt: skip
        tx.key.enter_marks(session_id, found)
    return next_step(notebook, session_id)


def rests_cut(records: tuple[Record, ...]) -> int:
    """Sets that were laid out before the proposed rest was over."""
    return sum(read_body(one)["rest_cut_ms"] > 0 for one in records if one.kind == LAID_OUT_KIND)


def _expect(step: SoloStep, place: int, *kinds: str) -> None:
    if step.kind not in kinds or step.number != place:
        raise StateError(f"Set {place} cannot take this step now; the next one is: {_named(step)}.")


def _named(step: SoloStep) -> str:
    return f"{step.kind}, set {step.number}" if step.number else step.kind


# --- what comes next ----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Table:
    """What is known of a solo session without its marks."""

    session: Session
    labels: tuple[str, str]
    ballot: Ballot
    served: tuple[Serving, ...]
    answered: frozenset[tuple[str, str]]
    marked: frozenset[str]
    laid: Mapping[int, int]  # place: when
    away: Mapping[int, int]
    spoilt: Mapping[int, int]  # place: how often

    @property
    def plan(self) -> Plan:
        return self.session.plan

    def due(self, places: range) -> tuple[Due, ...]:
        """Answered sets among ``places`` whose marks are not entered."""
        return tuple(
            Due(one.place, one.codes)
            for one in self.served
            if one.place in places and (one.id, "choice") in self.answered and one.id not in self.marked
        )


def _next(tx: Transaction, session_id: str, now: int) -> SoloStep:
    table = _table(tx, session_id)
    state = table.session.state
    if state in ("opened", "void"):
        return _step(table, DONE)
    if state == "closed":
        return _marking(table, table.due(range(1, len(table.served) + 1))) or _step(table, OPEN)
    return _at_table(table) or _between(table, now)


def _table(tx: Transaction, session_id: str) -> _Table:
    session = tx.sittings.session(session_id)
    if not session.plan.solo:
        raise StateError("This session is held with a panel: it is run from the bench.")
    if session.state == "draft":
        raise StateError("Seal the plan first: nothing is laid out for a draft.")
    ballot = tx.ballots.ballots(session_id)[0]
    laid, away, again = _course(tx.sittings.servings(session_id), tx.log.records(session_id))
    labels = (tx.book.trial(session.plan.first_trial_id).label, tx.book.trial(session.plan.second_trial_id).label)
    return _Table(
        session,
        labels,
        ballot,
        _servings(tx, session_id),
        frozenset((one.serving_id, one.question) for one in tx.ballots.answers(ballot.id)),
        tx.key.marked(session_id),
        laid,
        away,
        again,
    )


def _course(
    served: Iterable[Serving], records: Iterable[Record]
) -> tuple[Mapping[int, int], Mapping[int, int], Mapping[int, int]]:
    """When each set was laid out and put away, and how often it was spoilt before: then it is not laid out any more."""
    laid, away, again = dict[int, int](), dict[int, int](), Counter[int]()
    places = {one.id: one.place for one in served}
    for record in records:
        if record.kind == LAID_OUT_KIND:
            laid[read_body(record)["place"]] = record.at
        elif record.kind == PUT_AWAY_KIND:
            away[read_body(record)["place"]] = record.at
        elif record.kind == VOID_KIND:
            place = places[read_body(record)["serving_id"]]
            laid.pop(place, None)
            again[place] += 1
    return laid, away, again


def _servings(tx: Transaction, session_id: str) -> tuple[Serving, ...]:
    """The sets to be smelt, by place: neither void ones nor spare codes."""
    return tuple(to_smell(tx.sittings.servings(session_id)))


def _step(table: _Table, kind: str, place: int = 0, **more: object) -> SoloStep:
    plan, sets = table.plan, len(table.served)
    about: dict[str, object] = {}
    if place:
        serving = table.served[place - 1]
        about = {"codes": serving.codes, "age_seconds": serving.age_seconds, "sitting": sitting_of(plan, place)}
        about["anew"] = table.spoilt.get(place, 0)
    fixed = (kind, table.session, table.labels, table.ballot.id, sets, sitting_of(plan, sets), len(table.away))
    return SoloStep(*fixed, number=place, **(about | more))  # type: ignore[arg-type]


def _at_table(table: _Table) -> SoloStep | None:
    """The step of a set that is laid out and not put away yet."""
    lying = [place for place in table.laid if place not in table.away]
    if not lying:
        return None
    place = lying[0]
    listed = questions(table.plan, table.served)
    asked = [one for one in listed if (one.serving_id, one.name) not in table.answered]
    mine = [one for one in asked if one.serving_id == table.served[place - 1].id]
    if not mine:
        return _step(table, PUT_AWAY, place)
    count = {"asked": len(listed) - len(asked) + 1, "questions": len(listed)}
    return _step(table, ANSWER, place, question=mine[0], **count)


def _between(table: _Table, now: int) -> SoloStep:
    """Between two sets: marks of a sequential sitting, the end, a rest, or the next set."""
    block = _whole_blocks(table)
    marking = _marking(table, table.due(range(1, block + 1)))
    if marking is not None:
        return marking
    place = len(table.away) + 1
    if place > len(table.served):
        return _step(table, CLOSE)
    why, until = _rest(table, place)
    envelopes = {"compositions": _compositions(table.plan, place, anew=place in table.spoilt)}
    if until > now:
        return _step(table, REST, place, rest=why, rest_ms=until - now, next_at=until, **envelopes)
    return _step(table, LAY_OUT, place, **envelopes)


def _whole_blocks(table: _Table) -> int:
    """Sets put away in whole blocks between looks; none where everything is judged at the end."""
    every = table.plan.look_every
    return len(table.away) // every * every if every else 0


def _marking(table: _Table, due: tuple[Due, ...]) -> SoloStep | None:
    if not due:
        return None
    return _step(table, MARKS, due=due, orders=orders(table.plan.method, table.plan.expected))


def _compositions(plan: Plan, place: int, *, anew: bool) -> tuple[str, ...]:
    """Envelopes to fill before this set: a triangle's two for a pair of sets, then none for the pair's second.

    A set made anew comes out of a pair of its own: of the spoilt one's fellow nobody may know what it holds.
    """
    kinds = tuple(sorted({"".join(sorted(order)) for order in orders(plan.method, plan.expected)}))
    return () if len(kinds) == 2 and place % 2 == 0 and not anew else kinds


# --- rests --------------------------------------------------------------------------------------------------------


def _rest(table: _Table, place: int) -> tuple[str, int]:
    """Why to rest before this set, and until when."""
    if not table.away:
        return "", 0
    last, sitting = max(table.away.values()), sitting_of(table.plan, place)
    if sitting == sitting_of(table.plan, place - 1):
        return BETWEEN_SETS, last + REST_BETWEEN_SETS_MS
    zone = ZoneInfo(table.plan.zone)
    same_day = {sitting_of(table.plan, one) for one, at in table.laid.items() if _day(at, zone) == _day(last, zone)}
    if len(same_day) >= SITTINGS_A_DAY:
        return NEXT_DAY, _next_day(last, zone)
    return BETWEEN_SITTINGS, last + REST_BETWEEN_SITTINGS_MS


def _day(instant: int, zone: ZoneInfo) -> int:
    return datetime.fromtimestamp(instant / 1000, UTC).astimezone(zone).toordinal()


def _next_day(instant: int, zone: ZoneInfo) -> int:
    """The midnight after an instant, where the session is held."""
    day = datetime.fromordinal(_day(instant, zone)) + timedelta(days=1)
    return int(datetime.combine(day.date(), time(), zone).timestamp()) * 1000
