"""Looks of a sequential session: may we stop smelling now? Says so, and never how many answers were right.

Which answers a look holds follows from the log alone, so that a look is the same whenever, and however often, it is
asked for, and nothing done after a look changes it:

* an answer enters when all questions of its set are locked; the last set of a ballot when the ballot is finished (its
  closing question may say that answers were overheard); alone, when the mark of the set is entered; when a panel's
  session is closed, every locked choice enters;
* void sets, null sets, and sets that the sealed rule leaves out enter no look, if that was written down before it. What
  is set apart after its look stays in it, and the spare set served instead of one that was looked at, or of a null
  set, enters none;
* the first ``look_every`` answers that entered are looked at, then the next; alone all of a sitting whose marks are
  entered, so that answers set apart there make that look, and the end, come at a smaller total;
* a panel's session that is closed early ends there: what came in is looked at once more, as the last look. When to
  close can only hang on "continue", which tells no score. Alone it can: whoever enters the marks knows the score, so
  that a solo session closed early has no such look and stays undecided;
* alone, sets of no kind (wrong strips) stay in their look and are counted both ways (``sequences`` says why): that
  they are such is known only together with their answers;
* answers after the look that stopped do not enter the verdict.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any, Final

from evaluation.counting.questions import Assessment, Held
from evaluation.errors import StateError
from evaluation.judging.sequences import (
    CONTINUE,
    END_UNDECIDED,
    About,
    Look,
    Outcome,
    SequentialEntry,
    Total,
    entry_of,
    follow,
    planned_looks,
    rule_of,
)
from evaluation.serving.blinding import is_null
from evaluation.serving.marks import is_right, of_no_kind
from evaluation.sessions import Ballot, Plan, Record, Serving, Session
from evaluation.store import Notebook, Transaction, read_body

__all__ = ["AFTER_LOOK", "CONTINUE", "LOOK_KIND", "LookStatus", "concluded", "status"]

LOOK_KIND: Final = "look"
AFTER_LOOK: Final = "after the last look"


@dataclass(frozen=True, slots=True)
class LookStatus:
    """Whether to go on; no count of right answers, nor anything it could be worked out from."""

    state: Outcome
    assessments: int  # answers looked at so far
    next_at: int | None  # answers at the next look; None where there is none
    planned_end: int


def status(notebook: Notebook, session_id: str) -> LookStatus:
    """What the newest look said; looks not written to the log yet are written there, each once."""
    with notebook.reading() as tx:
        course = _followed(tx, session_id)
    if course.unwritten:
        with notebook.writing() as tx:
            course = _followed(tx, session_id)
            for assessments, outcome in course.unwritten:
                tx.log.append(session_id, LOOK_KIND, {"assessments": assessments, "outcome": outcome})
    return _status(course)


@dataclass(frozen=True, slots=True)
class _Course:
    """The looks taken, and what is still planned."""

    looks: tuple[Look, ...]
    to_come: tuple[int, ...]
    over: bool  # nothing more can come in
    planned: int
    unwritten: tuple[tuple[int, str], ...] = ()  # looks the log does not hold yet: total, outcome


def _status(course: _Course) -> LookStatus:
    last = course.looks[-1] if course.looks else None
    state = last.outcome if last else CONTINUE
    if state == CONTINUE and course.over:
        state = END_UNDECIDED
    going = state == CONTINUE and bool(course.to_come)
    end = course.to_come[-1] if course.to_come else last.assessments if last else course.planned
    return LookStatus(state, last.assessments if last else 0, course.to_come[0] if going else None, end)


def _followed(tx: Transaction, session_id: str) -> _Course:
    """The course of a session that is not opened."""
    session = tx.sittings.session(session_id)
    _check(session)
    rule = rule_of(session.plan)
    if session.state == "sealed":
        return _Course((), planned_looks(rule), False, rule.planned)
    records = tx.log.records(session_id)
    orders = tx.key.orders_for_look(session_id)
    path = _path(session.plan, tx.sittings.servings(session_id), tx.ballots.ballots(session_id), orders, records)
    looks = follow(path.totals, rule)
    coming = path.totals[len(looks) - 1].to_come if looks else planned_looks(rule)
    bodies = [read_body(record) for record in records if record.kind == LOOK_KIND]
    written = {(body["assessments"], body["outcome"]) for body in bodies}
    taken = ((look.assessments, look.outcome) for look in looks)
    return _Course(looks, coming, path.over, rule.planned, tuple(one for one in taken if one not in written))


def _check(session: Session) -> None:
    if not session.plan.look_every:
        raise StateError("This session is judged once, at the end: it was sealed without looks.")
    if session.state not in ("sealed", "smelling", "closed"):
        raise StateError(f"Looks are taken between seal and opening; the session is {session.state}.")


# --- after opening --------------------------------------------------------------------------------------------------


def concluded(
    held: Held, rows: Iterable[Assessment], records: Iterable[Record], comparison: str
) -> tuple[SequentialEntry, tuple[Assessment, ...]]:
    """The verdict of an opened session, and its rows as the looks had them: counted are those a look holds."""
    plan, rule = held.plan, rule_of(held.plan)
    path = _path(plan, held.servings, held.ballots, held.key.orders, records)
    taken = len(follow(path.totals, rule))
    looked = {one for block in path.blocks[:taken] for one in block}
    marked = tuple(_as_looked(row, row.serving_id in looked) for row in rows)
    seats = {serving.seat for serving in held.servings if serving.id in looked}
    after = sum(AFTER_LOOK in row.left_out for row in marked)
    about = About(comparison, plan.ages[0].minutes, len(seats), after, len(path.late & looked))
    return entry_of(path.totals, rule, about), marked


def _as_looked(row: Assessment, looked: bool) -> Assessment:
    """A wrong strip stays apart in a look, too: it counts there, but is no answer of anybody's."""
    if looked and not row.marks:
        return replace(row, left_out=())
    return row if row.left_out else replace(row, left_out=(AFTER_LOOK,))


# --- which answers each look holds ----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Path:
    """The sets each look added, what stood there, and whether anything more can come in."""

    blocks: tuple[tuple[str, ...], ...]  # serving ids; empty where the end looks at nothing new
    totals: tuple[Total, ...]
    over: bool
    late: frozenset[str]  # sets put aside or set apart only after their look


def _path(
    plan: Plan,
    served: Iterable[Serving],
    ballots: Iterable[Ballot],
    orders: Iterable[tuple[str, str]],
    records: Iterable[Record],
) -> Path:
    """Replay the log."""
    walk = (_SoloWalk if plan.solo else _Walk)(plan, served, ballots, orders)
    for record in records:
        step = _STEPS.get(record.kind)
        if step:
            getattr(walk, step)(read_body(record))
    return walk.path()


_STEPS: Final = MappingProxyType(
    {
        "answer": "answer",
        "finish": "finish",
        "marks": "marks",
        "void serving": "void",
        "deviation": "deviation",
        "close": "close",
    }
)


class _Walk:
    """A panel's session, record by record."""

    def __init__(
        self,
        plan: Plan,
        served: Iterable[Serving],
        ballots: Iterable[Ballot],
        orders: Iterable[tuple[str, str]],
    ) -> None:
        self.plan = plan
        self.rule = rule_of(plan)
        self.served = {one.id: one for one in served}
        self.orders = dict(orders)
        self.seats = {one.id: one.seat for one in ballots}
        self.last = _last_places(self.served.values())
        self.chosen: dict[str, str] = {}  # in the order they were locked
        self.entered: dict[str, None] = {}  # a set that keeps its order
        self.out: set[str] = set()
        self.seats_out: set[int] = set()
        self.looks: list[tuple[tuple[str, ...], tuple[int, ...]]] = []  # sets added, totals to come
        self.looked: set[str] = set()
        self.late: set[str] = set()
        self.closed = False

    # --- what the log says

    def answer(self, body: Mapping[str, Any]) -> None:
        serving = self.served.get(body["serving_id"])
        if serving is None:
            return
        if body["question"] == "choice":
            self.chosen[serving.id] = body["value"]
        elif body["question"] == "sure" and serving.place < self.last[serving.seat]:
            self.enter([serving.id])

    def finish(self, body: Mapping[str, Any]) -> None:
        seat = self.seats[body["ballot_id"]]
        self.enter([one for one in self.chosen if self.served[one].seat == seat])

    def close(self, body: Mapping[str, Any]) -> None:
        """Let everything in, and look at what is left, or at the same once more, as the end."""
        self.closed = True
        self.enter(list(self.chosen))
        left = self.waiting()
        if left or (self.looks and self.looks[-1][1]):
            self.look(left, ())

    def marks(self, body: Mapping[str, Any]) -> None:
        raise StateError("Only the sets of a solo session have marks.")

    def void(self, body: Mapping[str, Any]) -> None:
        self.out.add(body["serving_id"])
        if body["serving_id"] in self.looked:
            self.late.add(body["serving_id"])
            self.out.add(body["spare_id"])  # a look has had this person's answer already
        if is_null(self.orders[body["serving_id"]]):
            self.out.add(body["spare_id"])  # it holds both trials: this person would enter once more than planned

    def deviation(self, body: Mapping[str, Any]) -> None:
        if body["kind"] not in self.plan.set_apart:
            return
        if body["serving_id"]:
            self.out.add(body["serving_id"])
        else:
            self.seats_out.add(body["seat"])
        self.late |= {one for one in self.looked if self.apart(one)}

    # --- looks

    def enter(self, serving_ids: Iterable[str]) -> None:
        """Let answers in, in the order given, and look as soon as enough are there."""
        self.entered |= dict.fromkeys(one for one in serving_ids if not is_null(self.orders[one]))
        while len(self.waiting()) >= self.rule.look_every:
            total = len(self.looked) + self.rule.look_every
            self.look(self.waiting()[: self.rule.look_every], planned_looks(self.rule, total))

    def waiting(self) -> list[str]:
        """Answers that have entered, are not set apart, and were in no look."""
        return [one for one in self.entered if one not in self.looked and not self.apart(one)]

    def apart(self, serving_id: str) -> bool:
        return serving_id in self.out or self.served[serving_id].seat in self.seats_out

    def look(self, serving_ids: Iterable[str], to_come: tuple[int, ...]) -> None:
        added = tuple(serving_ids)
        self.looks.append((added, to_come))
        self.looked.update(added)

    # --- what stood at each

    def path(self) -> Path:
        added = tuple(sets for sets, _ in self.looks)
        return Path(added, tuple(self.totals()), self.over(), frozenset(self.late))

    def over(self) -> bool:
        return self.closed

    def totals(self) -> Iterable[Total]:
        asked = right = astray = 0
        for added, coming in self.looks:
            asked, right = asked + len(added), right + sum(map(self.right, added))
            astray += sum(map(self.astray, added))
            yield Total(asked, right, coming, astray)

    def right(self, serving_id: str) -> bool:
        codes, order = self.served[serving_id].codes, self.orders[serving_id]
        return is_right(self.plan.method, order, codes, self.chosen[serving_id], self.plan.expected)

    def astray(self, serving_id: str) -> bool:
        """True for a set that only its marks show to be of no kind."""
        return of_no_kind(self.plan.method, self.orders[serving_id], self.plan.expected)


class _SoloWalk(_Walk):
    """Alone: looks where the marks of whole sittings are entered, and nowhere else."""

    def __init__(
        self,
        plan: Plan,
        served: Iterable[Serving],
        ballots: Iterable[Ballot],
        orders: Iterable[tuple[str, str]],
    ) -> None:
        super().__init__(plan, served, ballots, orders)
        self.marked: set[str] = set()

    def answer(self, body: Mapping[str, Any]) -> None:
        if body["question"] == "choice":
            self.chosen[body["serving_id"]] = body["value"]

    def finish(self, body: Mapping[str, Any]) -> None:
        """A set enters with its mark, not before."""

    def close(self, body: Mapping[str, Any]) -> None:
        self.closed = True

    def over(self) -> bool:
        return self.closed and self.marked >= self.chosen.keys()

    def marks(self, body: Mapping[str, Any]) -> None:
        self.marked |= body["orders"].keys()
        self.entered |= dict.fromkeys(sorted(body["orders"], key=lambda one: self.served[one].place))
        left, waiting = self.plan.assessments - len(self.marked), self.waiting()
        whole = not left or len(self.marked) % self.rule.look_every == 0
        if whole and waiting:
            self.look(waiting, self.sittings_after(len(self.looked) + len(waiting), left))

    def sittings_after(self, total: int, left: int) -> tuple[int, ...]:
        """Totals of the looks to come: what was set apart is missing from all of them."""
        return planned_looks(replace(self.rule, planned=total + left), total)


def _last_places(served: Iterable[Serving]) -> dict[int, int]:
    """The place of each seat's last set; a spare set that is served has the place of the one it replaced."""
    last: dict[int, int] = {}
    for one in served:
        if not one.spare:
            last[one.seat] = max(one.place, last.get(one.seat, 0))
    return last
