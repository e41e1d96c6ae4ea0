"""What one panelist sees next, and locking an answer. Kept light: it runs at every tap of every phone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation import checks
from evaluation.asking import questions
from evaluation.errors import AlreadyAnswered, ArgumentError, StateError
from evaluation.sessions import Answer, Ballot, Deviation, Plan, Question, Serving
from evaluation.store import Notebook, Transaction

# Questions whose "yes" is a deviation of the same name: of the whole seat, or of the set they are asked about.
TELLING: Final = frozenset({"overheard", "recognised"})


@dataclass(frozen=True, slots=True)
class BallotView:
    """All that a panelist's screen may know: no trial, no key, nobody else's answers."""

    ballot: Ballot
    state: str  # the session's: sealed (not yet), smelling, closed (thank you), …
    method: str
    descriptor: str
    brief_text: str  # preferences only: what the scent should be
    question: Question | None  # None: nothing (more) to answer
    number: int  # of the question, from 1
    total: int
    set_number: int  # of the serving, from 1; 0 for questions about the whole session
    sets: int
    age_seconds: int
    replicate: int


def view(notebook: Notebook, ballot_id: str) -> BallotView:
    """The next open question of this ballot."""
    with notebook.reading() as tx:
        ballot = tx.ballots.ballot(ballot_id)
        session = tx.sittings.session(ballot.session_id)
        sheet = _sheet(tx, ballot, session.plan)
        text = tx.book.brief(session.plan.brief_id).text if session.plan.method == "preference" else ""
    asked = sheet.open[0] if sheet.open and session.state == "smelling" else None
    serving = next((s for s in sheet.servings if asked and s.id == asked.serving_id), None)
    return BallotView(
        ballot,
        session.state,
        session.plan.method,
        session.plan.descriptor,
        text,
        asked,
        number=sheet.total - len(sheet.open) + 1,
        total=sheet.total,
        set_number=sheet.servings.index(serving) + 1 if serving else 0,
        sets=len(sheet.servings),
        age_seconds=serving.age_seconds if serving else 0,
        replicate=serving.replicate if serving else 0,
    )


def lock(notebook: Notebook, ballot_id: str, serving_id: str, question: str, value: str, remark: str = "") -> None:
    """Make ``value`` the final answer to the question this ballot stands at, with an optional remark.

    A question already answered raises AlreadyAnswered and changes nothing; so does anything but the next question.
    """
    with notebook.writing() as tx:
        ballot = tx.ballots.ballot(ballot_id)
        session = tx.sittings.session(ballot.session_id)
        if session.state != "smelling":
            raise StateError("Answers are taken only while the session is running.")
        if ballot.panelist_id is None:
            raise StateError("Nobody sits on this seat yet: the conductor gives it to somebody first.")
        sheet = _sheet(tx, ballot, session.plan)
        asked = _asked_now(sheet, serving_id, question)
        now = notebook.clock.now()
        answers = [Answer(ballot_id, serving_id, question, checked_value(asked, value), now)]
        said = checks.text("remark", remark, 1000, empty=True)
        if said and (serving_id, "remark") in sheet.answered:
            raise StateError("A remark was left here already: lock the answer without another one.")
        if said:
            answers.append(Answer(ballot_id, serving_id, "remark", said, now))
        tx.ballots.lock(ballot_id, answers)
        if question in TELLING and value == "yes":
            noted = Deviation(serving_id, ballot.seat, question, "said on the ballot", now)
            tx.sittings.note_deviation(session.id, noted)
        if len(sheet.open) == 1:
            tx.ballots.finish(ballot_id)


@dataclass(frozen=True, slots=True)
class _Sheet:
    servings: tuple[Serving, ...]  # those to be smelt, in order
    total: int
    open: tuple[Question, ...]
    answered: frozenset[tuple[str, str]]


def _sheet(tx: Transaction, ballot: Ballot, plan: Plan) -> _Sheet:
    served = tx.sittings.servings(ballot.session_id, ballot.seat)
    smelt = tuple(sorted((s for s in served if not s.void and not s.spare), key=lambda s: s.place))
    answered = frozenset((a.serving_id, a.question) for a in tx.ballots.answers(ballot.id))
    groups: tuple[tuple[str, ...], ...] = ()
    if plan.method == "preference" and len(plan.ages) > 1 and all((s.id, "choice") in answered for s in smelt):
        groups = tx.ballots.groups_for(ballot.id)
    listed = questions(plan, served, groups)
    still_open = tuple(q for q in listed if (q.serving_id, q.name) not in answered)
    return _Sheet(smelt, len(listed), still_open, answered)


def _asked_now(sheet: _Sheet, serving_id: str, question: str) -> Question:
    if (serving_id, question) in sheet.answered:
        raise AlreadyAnswered("This question is already answered; the answer stays as it was.")
    if not sheet.open or (sheet.open[0].serving_id, sheet.open[0].name) != (serving_id, question):
        raise StateError("Another question comes first, or this set was replaced: the next one is shown now.")
    return sheet.open[0]


def checked_value(asked: Question, value: str) -> str:
    """``value`` if it is one of the options, or as many different ones as the question wants, in tray order."""
    if asked.pick == 1:
        if value not in asked.options:
            raise ArgumentError(f"Choose one of: {', '.join(asked.options)}.")
        return value
    picked = value.split("+")
    if len(picked) != asked.pick or len(set(picked)) != asked.pick or not set(picked) <= set(asked.options):
        raise ArgumentError(f"Choose exactly {asked.pick} of: {', '.join(asked.options)}.")
    return "+".join(option for option in asked.options if option in picked)
