"""A session alone: one person shuffles marked strips, smells and answers; marks are read only of sets answered.

Every set goes the same way: made ready, dipped, laid out, smelt at its age, answered and locked, put away with its
marks covered; while one ages another is smelt. No step says whether an answer was right; a sequential session hears
after a sitting whether to go on, and nothing more. Sessions sealed before 2026-11-26 name no way of preparing: in them
no dip is tapped and no age counted.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from itertools import permutations
from types import MappingProxyType
from typing import Any, Final

from evaluation.actions import ballot as ballots
from evaluation.actions.begins import write_begin
from evaluation.actions.solo_table import (
    LAID_OUT_KIND,
    PUT_AWAY_KIND,
    READY_KIND,
    REST_CUT_KIND,
    Due,
    Making,
    Table,
    Waiting,
    making_of,
    table_of,
)
from evaluation.alone import course, ways
from evaluation.alone.course import Next
from evaluation.alone.ways import Batch
from evaluation.errors import ArgumentError, StateError
from evaluation.ground import checks
from evaluation.serving.blinding import orders
from evaluation.serving.dipping import SECONDS_PER_DIP, Judged
from evaluation.serving.marks import as_stored
from evaluation.sessions import CLIPS, VIALS, Plan, Question, Record, Session
from evaluation.store import Notebook, Transaction, read_body

NEEDED: Final = "needed"
MAKE: Final = course.MAKE
LAY_OUT: Final = course.LAY_OUT
WAIT: Final = course.WAIT
SMELL: Final = course.SMELL
ANSWER: Final = course.ANSWER
PUT_AWAY: Final = course.PUT_AWAY
REST: Final = course.REST
MARKS: Final = "marks"
CLOSE: Final = "close"
OPEN: Final = "open"
DONE: Final = "done"
BETWEEN: Final = (MAKE, LAY_OUT, REST, CLOSE)  # no strips on the table: where a look can say that it is over
AGING: Final = (WAIT, SMELL)

MOST_MINUTES_LATE: Final = 60  # later than that a set is made anew (our rule)
NO_SPARE_CODES: Final = (
    "This session has no spare codes left: if nothing of the set was smelt yet, make it anew under its own codes; else "
    "lock any answer and note that a strip was spoilt, so that the set leaves the main analysis."
)


@dataclass(frozen=True, slots=True)
class SoloStep:
    """What comes next, and all that may be known while doing it: nothing about right and wrong."""

    kind: str
    session: Session
    labels: tuple[str, str]  # the trials marked A and B under the covers
    ballot_id: str
    sets: int
    sittings: int
    put_away: int  # sets done
    number: int = 0  # place of the set in hand or next; 0 where there is none
    sitting: int = 0
    codes: tuple[str, ...] = ()
    age_seconds: int = 0
    making: Making | None = None  # what is made ready, or laid out, in one go: ``number`` is its first set
    may_make: tuple[Making, ...] = ()  # what hands may have begun to make while something else became due
    anew: int = 0  # how often this set was spoilt before it was answered: it is made anew, under other codes
    first: bool = False  # nothing is made yet
    asked: tuple[Question, ...] = ()  # what is to be answered about the set in hand, together
    moment: int = field(default=0, compare=False)
    judged: Judged | None = field(default=None, compare=False)  # the age of its strips
    waiting: tuple[Waiting, ...] = field(default=(), compare=False)  # all sets whose strips age, the next one first
    rest: str = ""  # why to rest
    rest_ms: int = 0  # until a rest ends, or until strips are due
    next_at: int = 0
    due: tuple[Due, ...] = ()
    orders: tuple[str, ...] = ()  # what a set is planned to be; any letters can be entered
    look: str = ""  # what the newest look of a sequential session said
    receipt: str = field(default="", compare=False)  # of what was locked just now

    @property
    def question(self) -> Question | None:
        """The first of what is to be answered now."""
        return self.asked[0] if self.asked else None

    @property
    def compositions(self) -> tuple[str, ...]:
        """The groups that are made now."""
        return self.making.groups if self.making else ()


def next_step(notebook: Notebook, session_id: str) -> SoloStep:
    """What the person does next; a sequential session that has stopped is only closed."""
    with notebook.reading() as tx:
        step = _next(table_of(tx, session_id, notebook.clock.now()))
    return _looked(notebook, step) if step.session.plan.look_every and step.kind in BETWEEN else step


def _looked(notebook: Notebook, step: SoloStep) -> SoloStep:
    from evaluation.actions import looks  # its statistics are loaded where a session was sealed with looks

    said = looks.status(notebook, step.session.id).state
    if said == looks.CONTINUE or step.kind == CLOSE:
        return replace(step, look=said)
    over = {"kind": CLOSE, "number": 0, "codes": (), "making": None, "may_make": (), "rest": ""}
    return replace(step, look=said, rest_ms=0, next_at=0, **over)  # type: ignore[arg-type]


# --- what a person does -----------------------------------------------------------------------------------------------


def ready(notebook: Notebook, session_id: str) -> SoloStep:
    """All that is needed for the session is at hand."""
    with notebook.writing() as tx:
        step = _next(table_of(tx, session_id, notebook.clock.now()))
        if step.kind != NEEDED:
            raise StateError(f"This was said before; the next step is: {_named(step)}.")
        tx.log.append(session_id, READY_KIND, {"preparation": step.session.plan.preparation})
    return next_step(notebook, session_id)


def dipped(notebook: Notebook, session_id: str, place: int, *, early: bool = False) -> SoloStep:
    """The last strip of what is being made is dipped now: its age counts from here.

    It may be another set than the next one by now: hands that have begun it were told to. By vials the set lies under
    its codes already. ``early`` goes on before the rest is over; what that cuts is written down when the set is smelt.
    """
    _check_going(notebook, session_id, place)
    with notebook.writing() as tx:
        table = table_of(tx, session_id, notebook.clock.now())
        step = _next(table)
        batch = next((one for one in _to_make(table) if one.places[0] == place), None)
        if batch is None or step.kind not in (WAIT, SMELL):
            _expect_made(step, place, early=early, timed=True)
        _start(tx, step)
        making = making_of(table, place)
        for one in making.sets:
            tx.live.dip(table.serving(one.place).id, _middle(table, making))
        if table.plan.preparation == VIALS:
            _lay(tx, table, making, 0)
    return next_step(notebook, session_id)


def dipped_before(notebook: Notebook, session_id: str, place: int, minutes: Decimal) -> SoloStep:
    """The tap for a set that is not begun came late: it was dipped ``minutes`` before it, with all of the same dip."""
    if not 0 < minutes <= MOST_MINUTES_LATE:
        raise ArgumentError(f"minutes must be above 0 and at most {MOST_MINUTES_LATE}, not {minutes}.")
    with notebook.writing() as tx:
        table = table_of(tx, session_id, notebook.clock.now())
        _expect(_next(table), place, *AGING)
        tapped = table.dipped[table.serving(place).id]
        for one in table.served:
            if table.dipped.get(one.id) == tapped and one.id not in table.begun:
                tx.live.dip(one.id, tapped - int(minutes * 60_000), "the tap came late")
    return next_step(notebook, session_id)


def laid_out(notebook: Notebook, session_id: str, place: int, *, early: bool = False) -> SoloStep:
    """The strips of what was dipped lie shuffled under their codes, all sets of it.

    Where no dip is tapped it is the first step of a set; ``early`` then goes on before the rest is over.
    """
    _check_going(notebook, session_id, place)
    with notebook.writing() as tx:
        table = table_of(tx, session_id, notebook.clock.now())
        step = _next(table)
        if ways.timed(table.plan):
            _expect(step, place, LAY_OUT)
        else:
            _expect_made(step, place, early=early, timed=False)
            _start(tx, step)
        _lay(tx, table, making_of(table, place), 0 if ways.timed(table.plan) else _cut(table, place))
    return next_step(notebook, session_id)


def smell(notebook: Notebook, session_id: str, place: int, asked: str = "") -> str:
    """The first strip of a set is smelt now: written down with the real age of its strips.

    Where that is not the planned age nothing is written down yet, and what is to be asked first is returned: "early" or
    "late". Who was asked and goes on comes back with it as ``asked``. Nobody is kept from smelling.
    """
    with notebook.writing() as tx:
        table = table_of(tx, session_id, notebook.clock.now())
        _expect(_next(table), place, *AGING)
        found = table.judged(place)
        if found.word not in ("", asked):
            return found.word
        write_begin(tx, session_id, table.ballot.id, table.serving(place), found, table.moment)
        if _cut(table, place):
            tx.log.append(session_id, REST_CUT_KIND, {"place": place, "rest_cut_ms": _cut(table, place)})
    return ""


def answer(
    notebook: Notebook, session_id: str, serving_id: str, question: str, value: str, remark: str = ""
) -> SoloStep:
    """Lock the answer to the first question that is open about the set in hand."""
    return answer_set(notebook, session_id, serving_id, {question: value}, remark)


def answer_set(
    notebook: Notebook, session_id: str, serving_id: str, values: Mapping[str, str], remark: str = ""
) -> SoloStep:
    """Lock the answers about the set in hand, by name of the question: all that are open, or the first of them.

    The step that comes next carries the receipt of what was locked (``evaluation.ground.receipts``).
    """
    with notebook.writing() as tx:
        step = _next(table_of(tx, session_id, notebook.clock.now()))
        if step.kind != ANSWER:
            raise StateError("Lay the strips out first, and smell them: an answer is given to a set on the table.")
        receipt = ballots.lock_in(tx, step.ballot_id, serving_id, values, remark)
        if step.session.plan.preparation == VIALS and values.keys() == {one.name for one in step.asked}:
            # what carries the marks was put away with the vials
            tx.log.append(session_id, PUT_AWAY_KIND, {"place": step.number})
    return replace(next_step(notebook, session_id), receipt=receipt)


def put_away(notebook: Notebook, session_id: str, place: int) -> SoloStep:
    """What carries the marks of an answered set is kept together, marks covered, under the number of the set."""
    with notebook.writing() as tx:
        _expect(_next(table_of(tx, session_id, notebook.clock.now())), place, PUT_AWAY)
        tx.log.append(session_id, PUT_AWAY_KIND, {"place": place})
    return next_step(notebook, session_id)


def spoilt(notebook: Notebook, session_id: str, place: int, reason: str) -> SoloStep:
    """Give up a set that is not answered yet: it stays void, with the reason; it is made anew under spare codes.

    Sessions sealed before 2026-11-26 have no spare codes, and others may have used theirs up: ``NO_SPARE_CODES``.
    """
    checks.text("reason", reason, 400)
    with notebook.writing() as tx:
        table = table_of(tx, session_id, notebook.clock.now())
        step = _next(table)
        checks.whole("set", place, 1, len(table.served))
        if place not in to_be_spoilt(step) and (table.serving(place).id, "choice") not in table.answered:
            raise StateError(
                f"Set {place} is not on the table: a set is made anew once it is dipped, until its answer."
            )
        if not any(one.spare for one in tx.sittings.servings(session_id)):
            raise StateError(NO_SPARE_CODES)
        tx.sittings.void_serving(table.serving(place).id, reason)
    return next_step(notebook, session_id)


def to_be_spoilt(step: SoloStep) -> tuple[int, ...]:
    """Sets that are begun in some way and not answered: those in hand first, then those whose strips age."""
    laid = step.making is not None and (step.kind == LAY_OUT or not ways.timed(step.session.plan))
    begun = [one.place for one in step.making.sets] if step.making and laid else []
    in_hand = [step.number] if step.question is not None and step.question.name == "choice" else []
    return tuple(dict.fromkeys([*in_hand, *begun, *(one.place for one in step.waiting)]))


def enter_marks(notebook: Notebook, session_id: str, marks: Mapping[int, str]) -> SoloStep:
    """Enter what the uncovered marks say, by place of the set, all that are due at once and once for all.

    Any marks of the set's size are taken (``evaluation.serving.marks``): what was mixed up is written down as it is.
    """
    with notebook.writing() as tx:
        table = table_of(tx, session_id, notebook.clock.now())
        step = _next(table)
        if step.kind != MARKS:
            raise StateError("No marks are wanted now: they stay covered until the sets are answered and put away.")
        wanted = [one.place for one in step.due]
        if sorted(marks) != wanted:
            raise ArgumentError(f"marks must be entered together for: set {', set '.join(map(str, wanted))}.")
        due = [table.serving(place) for place in wanted]
        found = {one.id: as_stored(step.session.plan, one.place, one.codes, marks[one.place]) for one in due}
        tx.key.enter_marks(session_id, found)
    return next_step(notebook, session_id)


def rests_cut(records: tuple[Record, ...]) -> int:
    """Sets that came before the proposed rest was over: smelt so, or laid out so where no age is counted."""
    told = (read_body(one) for one in records if one.kind in (LAID_OUT_KIND, REST_CUT_KIND))
    return sum(one["rest_cut_ms"] > 0 for one in told)


def _check_going(notebook: Notebook, session_id: str, place: int) -> None:
    """Nothing more is made once a look has said that it is over."""
    step = next_step(notebook, session_id)
    if step.kind == CLOSE:
        _expect(step, place, MAKE)


def _expect_made(step: SoloStep, place: int, *, early: bool, timed: bool) -> None:
    """The step is that of making this set, the rest before it over or cut short."""
    kinds = (MAKE, REST) if timed else (LAY_OUT, REST)
    if step.kind == REST and step.number == place and not early:
        raise StateError(f"Rest first: the next set is proposed in {-(-step.rest_ms // 60_000)} min.")
    _expect(step, place, *kinds)
    if ways.timed(step.session.plan) != timed:
        raise StateError("This session counts no ages: lay the set out." if timed else "Dip the strips first.")


def _expect(step: SoloStep, place: int, *kinds: str) -> None:
    if step.kind not in kinds or step.number != place:
        raise StateError(f"Set {place} cannot take this step now; the next one is: {_named(step)}.")


def _named(step: SoloStep) -> str:
    return f"{step.kind}, set {step.number}" if step.number else step.kind


def _start(tx: Transaction, step: SoloStep) -> None:
    if step.session.state == "sealed":
        tx.sittings.advance(step.session.id, "start")


def _lay(tx: Transaction, table: Table, making: Making, cut: int) -> None:
    """Each set that was made lies under its codes; ``cut``: by how much the rest before it was cut short."""
    for one in making.sets:
        tx.log.append(table.session.id, LAID_OUT_KIND, {"place": one.place, "rest_cut_ms": cut})


def _cut(table: Table, place: int) -> int:
    """What is left of the rest before a set."""
    _, rested = course.rest_before(table.plan, table.standings(), place)
    return max(0, rested - table.moment)


def _middle(table: Table, making: Making) -> int:
    """When the strips of one set were done, the tap telling when all were: which group it was, nobody knows."""
    groups = len(making.groups) if table.plan.preparation == CLIPS else 1
    return table.moment - 500 * SECONDS_PER_DIP * table.plan.strips_a_set * (groups - 1)


# --- what comes next ----------------------------------------------------------------------------------------------


def _next(table: Table) -> SoloStep:
    state = table.session.state
    if state in ("opened", "void"):
        return _step(table, DONE)
    if state == "closed":
        return _marking(table, table.due(range(1, len(table.served) + 1))) or _step(table, OPEN)
    if table.plan.preparation == VIALS and not table.logged.ready:
        return _step(table, NEEDED, first=True)
    marking = _marking(table, table.due(range(1, _whole_blocks(table) + 1)))
    return marking or _coming(table, course.next_of(table.plan, table.standings(), table.moment, _last_place(table)))


def _whole_blocks(table: Table) -> int:
    """Sets put away in whole blocks between looks, nothing lying; none where everything is judged at the end."""
    every = table.plan.look_every
    lying = table.logged.laid.keys() - table.logged.away.keys()
    return len(table.logged.away) // every * every if every and not lying else 0


def _last_place(table: Table) -> int:
    """The last set that may be made before marks are entered; 0 where none are in between."""
    every = table.plan.look_every
    return (len(table.logged.away) // every + 1) * every if every else 0


def _marking(table: Table, due: tuple[Due, ...]) -> SoloStep | None:
    if not due:
        return None
    return _step(
        table, MARKS, due=due, orders=(*orders(table.plan.method, table.plan.expected), *_null_orders(table.plan))
    )


def _null_orders(plan: Plan) -> tuple[str, ...]:
    """What a null set can be, as it was laid out."""
    return tuple(sorted({"".join(one) for group in ways.null_groups(plan) for one in permutations(group)}))


def _coming(table: Table, coming: Next) -> SoloStep:
    if coming.kind == course.OVER:
        return _step(table, CLOSE)
    about: dict[str, Any] = _ABOUT.get(coming.kind, _nothing)(table, coming)
    kind = LAY_OUT if coming.kind == MAKE and not ways.timed(table.plan) else coming.kind
    return _step(table, kind, coming.places[0], **about)


def _making(table: Table, coming: Next) -> dict[str, Any]:
    """What is made or laid out in one go, and until when a rest before it lasts."""
    return {"making": making_of(table, coming.places[0])} | _until(table, coming)


def _until(table: Table, coming: Next) -> dict[str, Any]:
    return {"rest": coming.why, "rest_ms": max(0, coming.until - table.moment), "next_at": coming.until}


def _asking(table: Table, coming: Next) -> dict[str, Any]:
    place = coming.places[0]
    judged = table.judged(place) if ways.timed(table.plan) else None
    return {"asked": table.asked(place), "judged": judged}


def _aging(table: Table, coming: Next) -> dict[str, Any]:
    may = tuple(making_of(table, one.places[0]) for one in _to_make(table))
    return {"judged": table.judged(coming.places[0]), "may_make": may} | _until(table, coming)


def _to_make(table: Table) -> tuple[Batch, ...]:
    return course.to_make(table.plan, table.standings(), _last_place(table))


def _nothing(table: Table, coming: Next) -> dict[str, Any]:
    return {}


_ABOUT: Final[Mapping[str, Callable[[Table, Next], dict[str, Any]]]] = MappingProxyType(
    {MAKE: _making, LAY_OUT: _making, REST: _making, ANSWER: _asking, WAIT: _aging, SMELL: _aging}
)


def _step(table: Table, kind: str, place: int = 0, **more: Any) -> SoloStep:
    plan, sets = table.plan, len(table.served)
    about: dict[str, Any] = {}
    if place:
        serving, nth = table.serving(place), min(len(table.logged.away) + 1, sets)
        about = {"codes": serving.codes, "age_seconds": serving.age_seconds, "sitting": course.sitting_of(plan, nth)}
        about["anew"] = table.logged.spoilt.get(place, 0)
    about |= {"waiting": table.waiting(), "first": not table.logged.laid and not table.dipped, "moment": table.moment}
    fixed = (kind, table.session, table.labels, table.ballot.id, sets)
    return SoloStep(
        *fixed,
        sittings=course.sitting_of(plan, sets),
        put_away=len(table.logged.away),
        number=place,
        **(about | more),
    )
