"""Does what is stored still say what the chain says? Every row the chain speaks of is rebuilt from it and compared."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, Final

from sqlalchemy import Row, select

from evaluation.errors import StateError
from evaluation.ground.canonical import canonical, digest
from evaluation.ground.checks import term
from evaluation.ground.states import EVENTS
from evaluation.sessions import Record, Serving, State, next_state
from evaluation.store import chain, kept_bottles, kept_series, rows, sealing, strips
from evaluation.store.desk import Desk
from evaluation.store.kept_decisions import STRUCK
from evaluation.store.translate import plan_of, record_of

Body = Mapping[str, Any]
Told = tuple[Record, dict[str, Any]]


def agrees(desk: Desk, session_id: str) -> bool:
    """True if nothing of this session was altered behind the program's back."""
    session = desk.only_row(select(rows.sessions).where(rows.sessions.c.id == session_id), "session")
    found = desk.rows(
        select(rows.records).where(rows.records.c.session_id == session_id).order_by(rows.records.c.sequence)
    )
    records = [record_of(row) for row in found]
    if not _unbroken(records, chain.Head(*_head(desk, session_id))):
        return False
    told = list(zip(records, chain.read_bodies(records), strict=True))
    return all(check(desk, session, told) for check in _CHECKS)


def _head(desk: Desk, session_id: str) -> tuple[int, str]:
    row = desk.only_row(select(rows.heads).where(rows.heads.c.session_id == session_id), "session")
    return row.sequence, row.hash


def _unbroken(records: list[Record], head: chain.Head) -> bool:
    previous = ""
    for place, record in enumerate(records, start=1):
        if record.sequence != place or record.hash != chain.hash_of(previous, record):
            return False
        previous = record.hash
    return head == chain.Head(len(records), previous)


def _texts_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    """Each digest in the chain has its text beside it, untouched or erased together with its salt."""
    query = select(rows.personal_texts).where(rows.personal_texts.c.session_id == session.id)
    stored = {row.digest: (row.salt, row.text) for row in desk.rows(query)}
    named = {mark for _, body in told for mark in chain.digests(body).values()}
    return stored.keys() == named and all(_stands_for(mark, *words) for mark, words in stored.items())


def _stands_for(mark: str, salt: str | None, text: str | None) -> bool:
    if salt is None or text is None:
        return salt is None and text is None
    return chain.salted(salt, text) == mark


def _names_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    """What the brief and the trials are called is what they were called; of a session that is void nobody speaks."""
    marks: dict[str, str] = {}
    for _, body in told:
        marks |= chain.named(body)
    if not marks or session.state == "void":
        return True
    texts = rows.personal_texts
    found = desk.rows(select(texts).where(texts.c.digest.in_(list(marks.values()))))
    said = {row.digest: row.text for row in found}
    called = {row.id: row.title for row in desk.rows(select(rows.briefs).where(rows.briefs.c.id.in_(list(marks))))}
    called |= kept_bottles.labels(desk, marks)
    return called == {subject: said.get(mark) for subject, mark in marks.items()}


def _bottles_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    """Each bottle is of the trial it was of: else two of one trial could be read as two trials afterwards."""
    seal = next((body for record, body in told if record.kind == "seal"), None)
    smelt = () if seal is None else plan_of(session.plan).trial_ids
    sealed: Body = (seal or {}).get(sealing.BOTTLES, {})
    return kept_bottles.further(desk, smelt) == sealed


def _finishes_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    """When each ballot was finished, where the log holds the instant; a set made void opens its ballot again."""
    if not any(chain.named(body) for record, body in told if record.kind == "seal"):
        return True  # sealed before instants of finishing were covered
    stored = desk.rows(select(rows.ballots).where(rows.ballots.c.session_id == session.id))
    at_seat = {row.seat: row.id for row in stored}
    finished: dict[str, int] = {}
    for record, body in told:
        if record.kind == "finish" and "at" in body:
            finished[body["ballot_id"]] = body["at"]
        elif record.kind == "void serving":
            finished.pop(at_seat.get(body["seat"], ""), None)
    return {row.id: row.finished_at for row in stored if row.finished_at is not None} == finished


def _session_agrees(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    seal = next((body for record, body in told if record.kind == "seal"), None)
    if seal is None:
        return bool(session.state == "draft")
    sealed = (canonical(seal["plan"]).decode(), seal["hash"], seal["commitment"])
    stored = (session.plan, session.sealed_hash, session.commitment)
    return stored == sealed and bool(session.state == _state(told))


def _series_agrees(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    """A sitting is of the series its plan names, as it was sealed for it."""
    plan = plan_of(session.plan)
    seal = next((body for record, body in told if record.kind == "seal"), None)
    said = None if seal is None else seal.get(kept_series.IN_SEAL)
    stands = None if seal is None or not plan.series_id else kept_series.sealed_for(desk, plan)[kept_series.IN_SEAL]
    return (session.series_id or "") == plan.series_id and said == stands


def _state(told: list[Told]) -> State | None:
    state: State = "draft"
    for record, _ in told:
        if record.kind in EVENTS:
            try:
                state = next_state(state, term("event", record.kind, EVENTS))
            except StateError:
                return None
    return state


def _servings_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    expected: dict[str, Serving] = {}
    for record, body in told:
        if record.kind == "seal":
            expected = {one["id"]: _served(one) for one in body["servings"]}
        elif record.kind == "void serving":
            _replay_void(expected, body)
    return list(strips.servings(desk, session.id)) == list(expected.values())


def _served(told: Body) -> Serving:
    """A serving as the seal wrote it; what was added since has its default."""
    listed = {name: tuple(told.get(name, ())) for name in ("codes", "sites", "dips")}
    return Serving(**dict(told) | listed)


def _replay_void(expected: dict[str, Serving], body: Body) -> None:
    void, spare = expected[body["serving_id"]], expected[body["spare_id"]]
    expected[void.id] = replace(void, void=True)
    expected[spare.id] = replace(
        spare, spare=False, place=void.place, age_seconds=void.age_seconds, replicate=void.replicate
    )


def _seats_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    expected: dict[int, tuple[str, str | None]] = {}
    for record, body in told:
        if record.kind == "seal":
            expected = {one["seat"]: (one["id"], one["panelist_id"]) for one in body["ballots"]}
        elif record.kind == "seat":
            expected[body["seat"]] = (expected[body["seat"]][0], body["panelist_id"])
    stored = desk.rows(select(rows.ballots).where(rows.ballots.c.session_id == session.id))
    return {row.seat: (row.id, row.panelist_id) for row in stored} == expected


def _answers_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    query = select(*_ANSWER).where(rows.answers.c.session_id == session.id, rows.answers.c.final)
    told_of = [_answer_told(*one) for one in told if one[0].kind == "answer"]  # in order, no sequence twice
    return [_answer_row(*row) for row in desk.rows(query.order_by(rows.answers.c.sequence))] == told_of


_ANSWER: Final = tuple(
    rows.answers.c[name] for name in ("sequence", "ballot_id", "serving_id", "question", "at", "text_digest", "value")
)


def _answer_row(*stored: Any) -> tuple[Any, ...]:
    *said, text_digest, value = stored
    return (*said, text_digest or f"={value}")


def _answer_told(record: Record, body: Body) -> tuple[Any, ...]:
    said = chain.digests(body).get("remark") or f"={body['value']}"
    return record.sequence, body["ballot_id"], body["serving_id"], body["question"], body["at"], said


def _deviations_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    stored = desk.rows(select(rows.deviations).where(rows.deviations.c.session_id == session.id))
    told_of = Counter(_deviation_told(*one) for one in told if one[0].kind == "deviation")
    return Counter((r.sequence, r.serving_id, r.seat, r.kind, r.text_digest, r.at) for r in stored) == told_of


def _deviation_told(record: Record, body: Body) -> tuple[Any, ...]:
    reason = chain.digests(body)["reason"]
    return record.sequence, body["serving_id"], body["seat"], body["kind"], reason, body["at"]


def _marks_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    joined = select(rows.marks).join(rows.servings, rows.servings.c.id == rows.marks.c.serving_id)
    stored = desk.rows(joined.where(rows.servings.c.session_id == session.id))
    entered = [(one, o, r.at, r.sequence) for r, b in told if r.kind == "marks" for one, o in b["orders"].items()]
    return Counter((row.serving_id, row.trials, row.at, row.sequence) for row in stored) == Counter(entered)


def _stops_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    stored = desk.rows(select(rows.stops).where(rows.stops.c.session_id == session.id))
    told_of = [(b["ballot_id"], b["kind"], r.at, r.sequence) for r, b in told if r.kind == "stop"]
    return Counter((row.ballot_id, row.kind, row.at, row.sequence) for row in stored) == Counter(told_of)


def _strikes_timetable(record: Record, body: Body) -> bool:
    return record.kind == STRUCK and "timetable" in body


def _timetables_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    stored = desk.rows(select(rows.timetables).where(rows.timetables.c.session_id == session.id))
    struck = {body["timetable"]: body["digest"] for record, body in told if _strikes_timetable(record, body)}
    made = [(b["revision"], b["digest"], r.at, r.sequence) for r, b in told if r.kind == "timetable"]
    told_of = [(number, struck.get(number, mark), at, sequence) for number, mark, at, sequence in made]
    return Counter((row.revision, digest(row.body.encode()), row.at, row.sequence) for row in stored) == Counter(
        told_of
    )


def _dips_agree(desk: Desk, session: Row[Any], told: list[Told]) -> bool:
    stored = desk.rows(select(rows.dips).where(rows.dips.c.session_id == session.id))
    told_of = [(b["serving_id"], b["dipped_at"], r.at, r.sequence) for r, b in told if r.kind == "dip"]
    return Counter((row.serving_id, row.dipped_at, row.at, row.sequence) for row in stored) == Counter(told_of)


_CHECKS: Final[tuple[Callable[[Desk, Row[Any], list[Told]], bool], ...]] = (
    _texts_agree,
    _names_agree,
    _finishes_agree,
    _session_agrees,
    _bottles_agree,  # reads the plan, which stands by now
    _series_agrees,
    _servings_agree,
    _seats_agree,
    _answers_agree,
    _deviations_agree,
    _marks_agree,
    _stops_agree,
    _timetables_agree,
    _dips_agree,
)
