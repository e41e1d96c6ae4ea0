"""Answers that come back on paper: the cards of a session, and locking what the conductor types from them.

Typing is taken only while a session is being smelt, like every answer: after closing none can be added. It is
logged as typed from paper, so that the time of typing is never taken for the time of smelling.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from evaluation.actions import begins, paper_reading
from evaluation.actions.ballot import TELLING, checked_value
from evaluation.actions.paper_reading import Typed
from evaluation.actions.sitting import aliases
from evaluation.errors import AlreadyAnswered, ArgumentError, MouilletteError, StateError
from evaluation.ground import checks, intake
from evaluation.ground.intake import shortened
from evaluation.serving.asking import questions, to_smell
from evaluation.serving.dipping import Begun, Pace, pace_of
from evaluation.sessions import DEVIATIONS, SKIN, Answer, Ballot, Deviation, Question, Serving, Session
from evaluation.store import Notebook, Transaction, read_body

MINUTE: Final = 60_000  # what people write on a card is a minute, not an instant
TYPED: Final = "typed from paper"  # kind of the log's line
REMARK: Final = "remark"
SMELT_AT: Final = "smelt at"
NEEDED: Final = ("card", "question", "answer")
COLUMNS: Final = ("card", "panelist", "codes", "question", "options", "answer")


@dataclass(frozen=True, slots=True)
class Card:
    """One paper card: a set of one panelist, or (``serving`` None) what is asked once at the end."""

    seat: int
    number: int  # of the set, from 1; the card at the end comes after the last set
    sets: int
    alias: str
    ballot_id: str
    serving: Serving | None
    questions: tuple[Question, ...]
    answered: frozenset[str]  # questions locked already
    waits: bool = False  # what it asks is not known before the choice at every age is locked

    @property
    def label(self) -> str:
        """How the card is named on paper and when typing: seat and set."""
        return f"{self.seat}-{self.number}"

    @property
    def serving_id(self) -> str:
        """The id of its set; "" for the questions asked once about all of them."""
        return self.serving.id if self.serving else ""

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of its set in tray order; none where it is about no single set."""
        return self.serving.codes if self.serving else ()

    @property
    def open(self) -> tuple[Question, ...]:
        """Questions without an answer."""
        return tuple(one for one in self.questions if one.name not in self.answered)


@dataclass(frozen=True, slots=True)
class Entered:
    """What one typed line did."""

    card: Card  # as it stood before
    answers: int
    finished: bool  # the ballot is complete now


def cards(notebook: Notebook, session_id: str) -> tuple[Card, ...]:
    """Every card of everybody who sits, by seat and set; no trial, no key."""
    with notebook.reading() as tx:
        return _cards(tx, tx.sittings.session(session_id))


def enter(notebook: Notebook, session_id: str, label: str, line: str) -> Entered:
    """Lock the answers of one typed line for the card named; if anything in it is wrong, nothing is changed."""
    intake.check_size(len(line), intake.LINE)
    with notebook.writing() as tx:
        session = _running(tx, session_id)
        card = _find({one.label: one for one in _cards(tx, session)}, label)
        return _lock(tx, session, card, paper_reading.read_line(_open(card), line), notebook.clock.now())


def enter_table(notebook: Notebook, session_id: str, content: bytes) -> int:
    """Lock every answer of a table (``COLUMNS``, comma-separated); returns how many. All of them, or none.

    Lines without an answer are passed over. A refusal names the line.
    """
    rows = _rows(_text(content))  # before anybody waits for the store
    with notebook.writing() as tx:
        session = _running(tx, session_id)
        by_label = {one.label: one for one in _cards(tx, session)}
        typed = _by_card(by_label, rows)
        now = notebook.clock.now()
        return sum(_lock(tx, session, by_label[label], said, now).answers for label, said in typed.items())


def template(notebook: Notebook, session_id: str) -> str:
    """The table to fill in: a line for every open question, its ``answer`` empty."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for card in cards(notebook, session_id):
        for question in card.open:
            told = paper_reading.how(question)
            writer.writerow((card.label, _safe(card.alias), " ".join(card.codes), question.name, told, ""))
    return out.getvalue()


# --- cards ------------------------------------------------------------------------------------------------------------


def _cards(tx: Transaction, session: Session) -> tuple[Card, ...]:
    if session.plan.solo:
        raise StateError("Alone, answers are typed where they are asked: there are no paper cards.")
    listed: list[Card] = []
    names = aliases(tx, session.id)
    for ballot in sorted(tx.ballots.ballots(session.id), key=lambda one: one.seat):
        if ballot.seat in names:
            listed.extend(_of_ballot(tx, session, ballot, names[ballot.seat]))
    return tuple(listed)


def _of_ballot(tx: Transaction, session: Session, ballot: Ballot, alias: str) -> Iterator[Card]:
    plan, served = session.plan, tx.sittings.servings(session.id, ballot.seat)
    smelt = to_smell(served)
    answered: dict[str, set[str]] = {}
    for answer in tx.ballots.answers(ballot.id):
        answered.setdefault(answer.serving_id, set()).add(answer.question)
    chosen = all("choice" in answered.get(one.id, ()) for one in smelt)
    late = plan.kind.votes and len(plan.ages) > 1  # which codes belong together is told at the end
    groups = tx.ballots.groups_for(ballot.id) if late and chosen else ()
    asked: dict[str, list[Question]] = {}
    for question in questions(plan, served, groups, off_skin=tx.live.stopped(ballot.id, SKIN)):
        asked.setdefault(question.serving_id, []).append(question)
    sets = [(one, asked.get(one.id, [])) for one in smelt]
    for number, (serving, mine) in enumerate([*sets, (None, asked.get("", []))], start=1):
        waits = serving is None and late and not chosen
        done = frozenset(answered.get(serving.id if serving else "", ()))
        shown = () if waits else tuple(mine)
        yield Card(ballot.seat, number, len(smelt), alias, ballot.id, serving, shown, done, waits)


def _find(by_label: Mapping[str, Card], label: str) -> Card:
    if label.strip() not in by_label:
        raise ArgumentError(
            f"card must be one of this session's, such as {next(iter(by_label), '1-1')}, not {shortened(label)}."
        )
    return by_label[label.strip()]


def _open(card: Card) -> tuple[Question, ...]:
    if card.waits:
        raise StateError(
            f"Card {card.label} comes last: first type what was chosen on the other cards of {card.alias}."
        )
    if not card.open:
        raise AlreadyAnswered(f"Card {card.label} has all its answers already; they stay as they are.")
    return card.open


# --- locking ----------------------------------------------------------------------------------------------------------


def _running(tx: Transaction, session_id: str) -> Session:
    session = tx.sittings.session(session_id)
    if session.state != "smelling":
        raise StateError(f"Paper answers are typed in while a session is being smelt; this one is {session.state}.")
    return session


def _lock(tx: Transaction, session: Session, card: Card, typed: Typed, now: int) -> Entered:
    asked = {one.name: one for one in card.questions}
    answers = [
        Answer(card.ballot_id, card.serving_id, name, checked_value(asked[name], value), now)
        for name, value in typed.values
    ]
    if typed.remark and REMARK in card.answered:
        raise StateError(f"Card {card.label} has a remark already: leave it out.")
    if typed.remark:
        answers.append(Answer(card.ballot_id, card.serving_id, REMARK, typed.remark, now))
    if not answers:
        raise ArgumentError(f"line for card {card.label} holds no answer.")
    smelt_at = _instant(typed.smelt_at, now, session.plan.zone)
    body = {"ballot_id": card.ballot_id, "serving_id": card.serving_id, "seat": card.seat, "smelt_at": smelt_at}
    tx.log.append(session.id, TYPED, body)
    tx.ballots.lock(card.ballot_id, answers)
    for name, value in typed.values:
        if name in TELLING and value == "yes":
            kind = checks.term("kind", name, DEVIATIONS)
            noted = Deviation(card.serving_id, card.seat, kind, "said on paper", now)
            tx.sittings.note_deviation(session.id, noted)
    if smelt_at is not None and card.serving_id and not card.answered:
        _note_age(tx, session, card.serving_id, smelt_at)
    finished = _complete(tx, session, card.ballot_id)
    if finished:
        tx.ballots.finish(card.ballot_id)
    return Entered(card, len(answers), finished)


def written_down(minute: int, pace: Pace) -> Begun:
    """A minute on a card: smelt within it, and begun a little before; what fits the plan best counts."""
    return Begun(minute - 1000 * pace.slack, minute + MINUTE, minute + MINUTE // 2)


def _note_age(tx: Transaction, session: Session, serving_id: str, minute: int) -> None:
    newest = tx.live.timetable(session.id)
    begun = written_down(minute, pace_of(newest.body if newest else None))
    (serving,) = (one for one in tx.sittings.servings(session.id) if one.id == serving_id)
    begins.note_age(tx, session, serving, begins.judged(tx, session, serving_id, begun))


def told_times(tx: Transaction, session_id: str) -> dict[str, int | None]:
    """When each set typed from paper was smelt, in the middle of the minute written down; None where none was.

    When it was typed says nothing about how old its strips were. Sets begun on a phone are not among them.
    """
    found: dict[str, int | None] = {}
    on_phones: set[str] = set()
    for record in tx.log.records(session_id):
        if record.kind not in ("answer", TYPED):
            continue
        body = read_body(record)
        one, told = body["serving_id"], body.get("smelt_at")
        if record.kind == "answer" and one not in found:
            on_phones.add(one)
        elif record.kind == TYPED and one and one not in on_phones and found.get(one) is None:
            found[one] = None if told is None else told + MINUTE // 2
    return found


def _complete(tx: Transaction, session: Session, ballot_id: str) -> bool:
    mine = _of_ballot(tx, session, tx.ballots.ballot(ballot_id), "")
    return not any(card.open or card.waits for card in mine)


def _instant(told: tuple[int, int] | None, now: int, zone: str) -> int | None:
    """The last time it was that late on the clocks of the session."""
    if told is None:
        return None
    here = datetime.fromtimestamp(now / 1000, UTC).astimezone(ZoneInfo(zone))
    then = here.replace(hour=told[0], minute=told[1], second=0, microsecond=0, fold=0)
    if then > here:
        then = (then - timedelta(days=1)).replace(fold=0)
    if then.utcoffset() != then.replace(fold=1).utcoffset():
        raise ArgumentError(f"time {told[0]}:{told[1]:02d} fell into a change of the clocks: leave it out.")
    return int(then.timestamp()) * 1000


# --- tables -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    cells: Mapping[str, str]


def _text(content: bytes) -> str:
    intake.check_size(len(content), intake.PAPER)
    for encoding in () if b"\x00" in content else ("utf-8-sig", "cp1252"):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise ArgumentError("table must be text in UTF-8 or Windows-1252: save it again as UTF-8.")


def _rows(text: str) -> list[_Row]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        head = [name.strip().lower() for name in next(reader, [])]
        _check_head(head)
        found = []
        for number, cells in enumerate(reader, start=1):
            intake.check_row(intake.PAPER, number, reader.line_num, cells)
            if len(cells) not in (0, len(head)):
                raise ArgumentError(
                    f"line {reader.line_num} has {len(cells)} cells where the first line has {len(head)}."
                )
            if any(cell.strip() for cell in cells):
                found.append(_Row(reader.line_num, dict(zip(head, (cell.strip() for cell in cells), strict=True))))
    except csv.Error as error:
        raise ArgumentError(f"line {reader.line_num} cannot be read as a comma-separated table: {error}.") from error
    return found


def _check_head(head: list[str]) -> None:
    if len(head) == 1 and (";" in head[0] or "\t" in head[0]):
        raise ArgumentError("line 1: columns must be separated by commas, not by semicolons or tabs.")
    missing = [name for name in NEEDED if name not in head]
    if missing:
        raise ArgumentError(f"line 1 must name the columns {', '.join(NEEDED)}; missing: {', '.join(missing)}.")
    if not set(head) <= set(COLUMNS) or len(set(head)) < len(head):
        raise ArgumentError(f"line 1 must name each of the columns {', '.join(COLUMNS)} at most once and no others.")


def _by_card(by_label: Mapping[str, Card], rows: list[_Row]) -> dict[str, Typed]:
    """What the table says about each card, in the order of the cards' first lines."""
    met: dict[tuple[str, str], int] = {}
    found: dict[str, Typed] = {}
    for row in rows:
        if row.cells["answer"] in ("", paper_reading.BLANK):
            continue
        with _naming(row.line):
            card = _card_of(by_label, row)
            name = row.cells["question"]
            if (card.label, name) in met:
                raise ArgumentError(f"{name!r} of card {card.label} stands on line {met[card.label, name]} already.")
            met[card.label, name] = row.line
            found[card.label] = _with(found.get(card.label, Typed(())), card, name, row.cells["answer"])
    if not found:
        raise ArgumentError("table holds no answer: fill in the column answer.")
    return found


def _card_of(by_label: Mapping[str, Card], row: _Row) -> Card:
    card = _find(by_label, row.cells["card"])
    for column, known in (("panelist", _safe(card.alias)), ("codes", " ".join(card.codes))):
        if row.cells.get(column, known) not in ("", known):
            raise ArgumentError(f"{column} of card {card.label} must be {known!r}, not {shortened(row.cells[column])}.")
    _open(card)
    return card


def _with(before: Typed, card: Card, name: str, answer: str) -> Typed:
    if name == REMARK:
        return replace(before, remark=checks.text(REMARK, answer, 1000))
    if name == SMELT_AT:
        return replace(before, smelt_at=paper_reading.read_clock(answer))
    asked = {one.name: one for one in card.questions}
    if name in card.answered:
        raise AlreadyAnswered(f"{name!r} of card {card.label} is answered already; the answer stays as it is.")
    if name not in asked:
        raise ArgumentError(f"question of card {card.label} must be one of {', '.join(asked)}, not {shortened(name)}.")
    return replace(before, values=(*before.values, (name, paper_reading.read_value(asked[name], answer))))


@contextmanager
def _naming(line: int) -> Iterator[None]:
    """Refusals inside name the line of the table."""
    try:
        yield
    except MouilletteError as error:
        raise ArgumentError(f"line {line}: {error}") from error


def _safe(text: str) -> str:
    """A cell no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(("=", "+", "-", "@")) else text
