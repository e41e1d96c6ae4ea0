"""Ballots and their answers. An answer is appended once and never changed."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Column, Select, bindparam, func, select, update

from evaluation.errors import AlreadyAnswered, ArgumentError, NotFound, StateError
from evaluation.ground import checks
from evaluation.ground.receipts import receipt_of
from evaluation.sessions import STATES, Answer, Ballot, Record, Serving, State
from evaluation.store import chain, rows, strips
from evaluation.store.desk import Desk, refused_as, wanting
from evaluation.store.translate import answer_of, ballot_of

REMARK: Final = "remark"
_BY_ID: Final = wanting(rows.ballots.c.id)
_OF_SESSION: Final = wanting(rows.ballots.c.session_id).order_by(rows.ballots.c.seat)
_STATE: Final = select(rows.sessions.c.state).where(rows.sessions.c.id == bindparam("id"))


@dataclass(frozen=True, slots=True)
class Seen:
    """A ballot, the state of its session and the sets of its seat, read by the transaction that holds the ballot."""

    ballot: Ballot
    state: State
    servings: tuple[Serving, ...]


class Ballots:
    """Verbs on ballots and answers."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def ballot(self, ballot_id: str) -> Ballot:
        """The ballot of this id, or NotFound."""
        return ballot_of(self._desk.only_row(_BY_ID, "ballot", id=ballot_id))

    def ballots(self, session_id: str) -> tuple[Ballot, ...]:
        """One a seat, in seat order; none before sealing."""
        return tuple(ballot_of(row) for row in self._desk.rows(_OF_SESSION, session_id=session_id))

    def held(self, ballot_id: str) -> Ballot:
        """The ballot as it stands once everybody else who writes about its session is done."""
        found = self.ballot(ballot_id)
        if chain.holds(self._desk, found.session_id):
            return found
        chain.hold(self._desk, found.session_id)
        return self.ballot(ballot_id)

    def by_token(self, token_hash: str) -> Ballot | None:
        """The ballot whose link has a token of this hash now; None for a link revoked or never given out."""
        row = self._desk.maybe(select(rows.ballots).where(rows.ballots.c.token_hash == token_hash))
        return None if row is None else ballot_of(row)

    def linked(self, states: Collection[str], session_id: str | None = None) -> tuple[tuple[str, int, str], ...]:
        """Ballot, issue number and stored hash of every link into a session in one of these states, or into one."""
        query = select(rows.ballots.c.id, rows.ballots.c.issue, rows.ballots.c.token_hash)
        query = query.join(rows.sessions, rows.sessions.c.id == rows.ballots.c.session_id)
        query = query.where(rows.sessions.c.state.in_(states), rows.ballots.c.token_hash.is_not(None))
        query = query if session_id is None else query.where(rows.sessions.c.id == session_id)
        return tuple((row.id, row.issue, row.token_hash) for row in self._desk.rows(query))

    def hold_link(self, token_hash: str) -> None:
        """Whoever renews this link waits until the transaction ends, and then also ends the visit begun in it."""
        self._desk.maybe(select(rows.ballots.c.id).where(rows.ballots.c.token_hash == token_hash).with_for_update())

    def set_token(self, ballot_id: str, issue: int, token_hash: str) -> None:
        """Store the hash of a link; a higher issue revokes the links before it."""
        if issue < self.ballot(ballot_id).issue:
            raise ArgumentError(f"issue must not go back: {issue} was revoked.")
        with refused_as(ArgumentError("token must be another than that of any other ballot.")):
            self._set(ballot_id, issue=issue, token_hash=token_hash)

    def finish(self, ballot_id: str) -> Ballot:
        """Nothing more will come from this seat; asked again, it stays as it was."""
        ballot = self.held(ballot_id)
        if ballot.finished_at is None:
            now = self._desk.now()
            self._set(ballot_id, finished_at=now)
            body = {"ballot_id": ballot_id, "seat": ballot.seat, "at": now}
            chain.append_record(self._desk, ballot.session_id, "finish", body)
        return self.ballot(ballot_id)

    def _set(self, ballot_id: str, **values: Any) -> None:
        self._desk.change(update(rows.ballots).where(rows.ballots.c.id == ballot_id).values(**values))

    # --- answers ------------------------------------------------------------------------------------------------

    def answers(self, ballot_id: str) -> tuple[Answer, ...]:
        """Locked answers in the order they came."""
        return self._answers(_FINAL_OF_BALLOT, ballot_id=ballot_id)

    def session_answers(self, session_id: str) -> tuple[Answer, ...]:
        """Locked answers of every seat of a session, in the order they came."""
        return self._answers(_FINAL_OF_SESSION, session_id=session_id)

    def _answers(self, query: Select[Any], **asked: str) -> tuple[Answer, ...]:
        return tuple(answer_of(row) for row in self._desk.rows(query, **asked))

    def lock(self, ballot_id: str, answers: Sequence[Answer], seen: Seen | None = None) -> str:
        """Make these answers final, all or none; the receipt of the last stands for all, as its hash covers them.

        ``seen`` is what the caller read since it held the ballot in this transaction: it is not read again then.
        """
        seen = seen or self._seen(ballot_id)
        self._check_open(seen.ballot, seen.state)
        for answer in answers:
            self._check_mine(seen.ballot, answer, seen.servings)
        return receipt_of(self._lock_all(seen.ballot, answers)[-1].hash) if answers else ""

    def _seen(self, ballot_id: str) -> Seen:
        ballot = self.held(ballot_id)
        return Seen(ballot, self._state(ballot), strips.servings(self._desk, ballot.session_id, ballot.seat))

    def _state(self, ballot: Ballot) -> State:
        return checks.term("state", self._desk.only_row(_STATE, "session", id=ballot.session_id).state, STATES)

    def _check_open(self, ballot: Ballot, state: State) -> None:
        if state != "smelling":
            raise StateError(f"The session is {state}: no answers are taken.")
        if ballot.finished_at is not None:
            raise StateError("This ballot is finished: no more answers are taken.")

    def _check_mine(self, ballot: Ballot, answer: Answer, servings: Sequence[Serving]) -> None:
        if answer.ballot_id != ballot.id:
            raise ArgumentError("ballot must be the same for all answers locked together.")
        if not answer.serving_id:
            return
        serving = next((one for one in servings if one.id == answer.serving_id), None)
        if serving is None:
            raise NotFound("No such serving at this seat.")
        if serving.void or serving.spare:
            raise StateError("This set is not being served: the conductor has withdrawn it.")

    def _lock_all(self, ballot: Ballot, answers: Sequence[Answer]) -> list[Record]:
        about = [_about(answer) for answer in answers]
        said = [{REMARK if _personal(one) else "value": one.value, "at": one.at} for one in answers]
        bodies = [one | words for one, words in zip(about, said, strict=True)]
        records = chain.append_records(self._desk, ballot.session_id, "answer", bodies, ballot.panelist_id)
        self._desk.answered.setdefault(f"session {ballot.session_id}", set()).add(ballot.id)
        found = [_row(ballot, *one) for one in zip(about, answers, records, strict=True)]
        with refused_as(AlreadyAnswered("This question is already answered; the first answer stays.")):
            self._desk.add(rows.answers, *found)
        return records

    # --- drafts: what was tapped on a rating screen and is not locked; no part of the chain ---------------------------

    def draft(self, ballot_id: str, serving_id: str, question: str, value: str) -> None:
        """Append what was tapped; the latest of each question counts until its answer is locked."""
        ballot = self.ballot(ballot_id)
        self._check_open(ballot, self._state(ballot))
        served = strips.servings(self._desk, ballot.session_id, ballot.seat)
        self._check_mine(ballot, Answer(ballot_id, serving_id, question, value, 0), served)
        row = {
            "session_id": ballot.session_id,
            "ballot_id": ballot_id,
            "serving_id": serving_id,
            "serving_ref": serving_id or None,
            "question": question,
            "value": value,
            "at": self._desk.now(),
            "final": False,
        }
        self._desk.add(rows.answers, row)

    def drafts(self, ballot_id: str, serving_id: str) -> dict[str, str]:
        """The latest draft of each question about one set."""
        found = self._desk.rows(_DRAFTS, ballot_id=ballot_id, serving_id=serving_id)
        return {row.question: row.value for row in found}

    def first_taps(self, session_id: str, ballot_id: str = "") -> dict[tuple[str, str], int]:
        """When the first draft of each set came, by ballot and serving; of one ballot, or of all."""
        asked = {"session_id": session_id} | ({"ballot_id": ballot_id} if ballot_id else {})
        found = self._desk.rows(_TAPS_OF_BALLOT if ballot_id else _TAPS, **asked)
        return {(row.ballot_id, row.serving_id): row.first for row in found}

    # --- overall choice -----------------------------------------------------------------------------------------

    def groups_for(self, ballot_id: str) -> tuple[tuple[str, ...], ...]:
        """Which codes of all ages are one trial, without saying which; only once every age has its choice."""
        ballot = self.ballot(ballot_id)
        served = strips.servings(self._desk, ballot.session_id, ballot.seat)
        asked = sorted((one for one in served if not one.void and not one.spare), key=lambda one: one.place)
        chosen = {one.serving_id for one in self.answers(ballot_id) if one.question == "choice"}
        if not {one.id for one in asked} <= chosen:
            raise StateError("Which codes belong together is told after the choice at every age is locked.")
        return self._grouped(asked)

    def _grouped(self, asked: Sequence[Serving]) -> tuple[tuple[str, ...], ...]:
        query = select(rows.groupings).where(rows.groupings.c.serving_id.in_([one.id for one in asked]))
        patterns = {row.serving_id: row.pattern for row in self._desk.rows(query)}
        pairs = [pair for one in asked for pair in zip(patterns[one.id], one.codes, strict=True)]
        return tuple(
            tuple(code for letter, code in pairs if letter == group)
            for group in sorted({letter for letter, _ in pairs})
        )


def _personal(answer: Answer) -> bool:
    return answer.question == REMARK


def _about(answer: Answer) -> dict[str, Any]:
    return {"ballot_id": answer.ballot_id, "serving_id": answer.serving_id, "question": answer.question}


def _row(ballot: Ballot, about: Mapping[str, Any], answer: Answer, record: Record) -> dict[str, Any]:
    return {
        **about,
        "session_id": ballot.session_id,
        "serving_ref": answer.serving_id or None,
        "value": "" if _personal(answer) else answer.value,
        "text_digest": chain.digests(chain.read_body(record)).get(REMARK) if _personal(answer) else None,
        "at": answer.at,
        "final": True,
        "sequence": record.sequence,
    }


def _final(column: Column[Any]) -> Select[Any]:
    texts = rows.personal_texts
    query = select(rows.answers, texts.c.text).outerjoin(texts, texts.c.digest == rows.answers.c.text_digest)
    return query.where(rows.answers.c.final, column == bindparam(column.name)).order_by(rows.answers.c.id)


def _first_taps() -> tuple[Select[Any], Select[Any]]:
    """Of a session, and of one ballot in it."""
    answers = rows.answers.c
    query = select(answers.ballot_id, answers.serving_id, func.min(answers.at).label("first"))
    mine = query.where(answers.session_id == bindparam("session_id"), ~answers.final)
    grouped = mine.group_by(answers.ballot_id, answers.serving_id)
    return grouped, grouped.where(answers.ballot_id == bindparam("ballot_id"))


_OF_SET: Final = wanting(rows.answers.c.ballot_id, rows.answers.c.serving_id)  # there is an index on these
_DRAFTS: Final = _OF_SET.where(~rows.answers.c.final).order_by(rows.answers.c.id)
_TAPS, _TAPS_OF_BALLOT = _first_taps()
_FINAL_OF_BALLOT: Final = _final(rows.answers.c.ballot_id)
_FINAL_OF_SESSION: Final = _final(rows.answers.c.session_id)
