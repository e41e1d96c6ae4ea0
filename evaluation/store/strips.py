"""Servings, seats and deviations of a session that is under way, for the verbs that have locked its head row."""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import Row, bindparam, select, update

from evaluation.errors import NotFound, StateError
from evaluation.ground import checks
from evaluation.sessions import Ballot, Deviation, Serving
from evaluation.store import chain, rows
from evaluation.store.desk import Desk, wanting
from evaluation.store.translate import ballot_of, flat, record_of, serving_of

_SERVING: Final = wanting(rows.servings.c.id)
_OF_SESSION: Final = wanting(rows.servings.c.session_id).order_by(rows.servings.c.position)
_OF_SEAT: Final = wanting(rows.servings.c.session_id, rows.servings.c.seat).order_by(rows.servings.c.position)
_MARKED: Final = (
    select(rows.marks.c.serving_id)
    .join(rows.servings, rows.servings.c.id == rows.marks.c.serving_id)
    .where(rows.servings.c.session_id == bindparam("session_id"))
)
_BALLOT_AT: Final = wanting(rows.ballots.c.session_id, rows.ballots.c.seat)


def servings(desk: Desk, session_id: str, seat: int | None = None) -> tuple[Serving, ...]:
    """The sets of a session, or of one seat, in the order they were drawn, spare and void ones included."""
    asked = {"session_id": session_id} | ({} if seat is None else {"seat": seat})
    return tuple(serving_of(row) for row in desk.rows(_OF_SESSION if seat is None else _OF_SEAT, **asked))


def session_of_serving(desk: Desk, serving_id: str) -> str:
    """The id of the session a set was drawn for, or NotFound."""
    return str(desk.only_row(_SERVING, "serving", id=serving_id).session_id)


def ballot_at(desk: Desk, session_id: str, seat: int) -> Ballot:
    """The ballot of a seat, or NotFound."""
    return ballot_of(desk.only_row(_BALLOT_AT, "seat", session_id=session_id, seat=seat))


def panelist_of(desk: Desk, serving_id: str) -> str | None:
    """Whose set it is: what is written about it goes when that person is erased."""
    row = desk.only_row(_SERVING, "serving", id=serving_id)
    return ballot_at(desk, row.session_id, row.seat).panelist_id


def check_served(desk: Desk, ballot: Ballot, serving_id: str) -> Row[Any]:
    """The serving's row, if it was drawn for this ballot's seat."""
    row = desk.maybe(_SERVING, id=serving_id)
    if row is None or (row.session_id, row.seat) != (ballot.session_id, ballot.seat):
        raise NotFound("No such serving at this seat.")
    return row


# --- alone --------------------------------------------------------------------------------------------------------


def answered(desk: Desk, session_id: str) -> frozenset[str]:
    """The sets whose choice is locked."""
    final = rows.answers.c.final & (rows.answers.c.question == "choice")
    query = select(rows.answers.c.serving_id).where(rows.answers.c.session_id == session_id, final)
    return frozenset(row.serving_id for row in desk.rows(query))


def marked(desk: Desk, session_id: str) -> frozenset[str]:
    """The sets whose marks are entered; what the marks say is not read."""
    return frozenset(row.serving_id for row in desk.rows(_MARKED, session_id=session_id))


def check_marked(desk: Desk, session_id: str) -> None:
    """Refuse to open a solo session while the marks of an answered set are not entered."""
    missing = answered(desk, session_id) - marked(desk, session_id)
    if missing:
        places = sorted(one.place for one in servings(desk, session_id) if one.id in missing)
        sets = "set" if len(places) == 1 else "sets"
        raise StateError(f"Enter the marks of {sets} {', '.join(map(str, places))} first: without them nothing counts.")


def check_unmarked(desk: Desk, session_id: str, serving_id: str) -> None:
    """Refuse to set apart what is known: whoever has read the marks of a set knows whether the answer was right."""
    known = marked(desk, session_id)
    if known if not serving_id else serving_id in known:
        raise StateError("The marks are entered already: a set whose marks are known is not set apart any more.")


def check_unanswered(desk: Desk, session_id: str, serving_id: str) -> None:
    """Refuse to put an answered set aside: alone it is set apart by a deviation, and only until its marks are read."""
    if serving_id in answered(desk, session_id):
        raise StateError("This set is answered already: note what happened, before its marks are entered, instead.")


# --- a spare set for a void one ---------------------------------------------------------------------------------


def replace_by_spare(desk: Desk, session_id: str, serving_id: str, reason: str) -> Serving:
    """Withdraw a set for a reason and serve a spare one in its place; returns that one.

    Refused where the set is not being served, where no spare of its medium is left, and where closing questions that
    name its codes are answered. A ballot that was finished is open again.
    """
    reason = checks.text("reason", reason, 400)
    void = serving_of(desk.only_row(_SERVING, "serving", id=serving_id))
    ballot = ballot_at(desk, session_id, void.seat)
    spare = _spare_for(desk, session_id, void)
    _check_closing(desk, ballot)
    placed = {"place": void.place, "age_seconds": void.age_seconds, "replicate": void.replicate}
    _set_serving(desk, void.id, void=True)
    _set_serving(desk, spare.id, spare=False, **placed)
    desk.change(update(rows.ballots).where(rows.ballots.c.id == ballot.id).values(finished_at=None))
    body = {"serving_id": void.id, "spare_id": spare.id, "seat": void.seat, "reason": reason}
    chain.append_record(desk, session_id, "void serving", body, ballot.panelist_id)
    return serving_of(desk.only_row(_SERVING, "serving", id=spare.id))


def _spare_for(desk: Desk, session_id: str, void: Serving) -> Serving:
    if void.void or void.spare:
        raise StateError("This set is not being served: it is void already or a spare one.")
    spares = [one for one in servings(desk, session_id, void.seat) if one.spare and not one.void]
    if not spares or void.medium != spares[0].medium:
        raise StateError(f"There is no spare set left for seat {void.seat}: note a deviation instead.")
    return spares[0]


def _check_closing(desk: Desk, ballot: Ballot) -> None:
    """What is asked once at the end of a preference ballot names its codes: they may not change after that."""
    query = select(rows.answers.c.id).where(
        rows.answers.c.ballot_id == ballot.id,
        rows.answers.c.serving_id == "",
        rows.answers.c.question.notin_(("overheard", "remark")),
    )
    if desk.rows(query.limit(1)):
        raise StateError("The closing questions of this ballot are answered already: note a deviation instead.")


def _set_serving(desk: Desk, serving_id: str, **values: Any) -> None:
    desk.change(update(rows.servings).where(rows.servings.c.id == serving_id).values(**values))


# --- seats ------------------------------------------------------------------------------------------------------


def take_seat(desk: Desk, session_id: str, seat: int, panelist_id: str) -> None:
    """Give a spare seat to somebody; refused where it is taken, or where they left the panel or sit here already."""
    ballot = ballot_at(desk, session_id, seat)
    person = desk.only_row(select(rows.panelists).where(rows.panelists.c.id == panelist_id), "panelist")
    if ballot.panelist_id is not None:
        raise StateError(f"Seat {seat} is taken: only a spare seat can be given to somebody after sealing.")
    if not person.active:
        raise StateError("This person is not on the panel any more: make them active first.")
    if seat_of(desk, session_id, panelist_id) is not None:
        raise StateError("This person sits in the session already.")
    desk.change(update(rows.ballots).where(rows.ballots.c.id == ballot.id).values(panelist_id=panelist_id))
    chain.append_record(desk, session_id, "seat", {"seat": seat, "panelist_id": panelist_id})


def seat_of(desk: Desk, session_id: str, panelist_id: str) -> int | None:
    """Where a person sits in a session, None where they do not."""
    ballots = rows.ballots
    query = select(ballots.c.seat).where(ballots.c.session_id == session_id, ballots.c.panelist_id == panelist_id)
    row = desk.maybe(query)
    return None if row is None else int(row.seat)


def saw_key(desk: Desk, session_id: str, panelist_id: str) -> bool:
    """Whether the log says that this person was shown the key."""
    query = select(rows.records).where(rows.records.c.session_id == session_id, rows.records.c.kind == "key shown")
    return any(chain.read_body(record_of(row))["panelist_id"] == panelist_id for row in desk.rows(query))


def unblinded(seat: int, at: int) -> Deviation:
    """The deviation of a seat whose person saw the key; not written down yet."""
    return Deviation("", seat, "unblinded", "saw the key before it was opened", at)


def shown_in_emergency(seat: int, at: int) -> Deviation:
    """The deviation of a seat whose strips or skin were told in an emergency; not written down yet."""
    return Deviation("", seat, "unblinded", "shown in an emergency: what this seat has on the skin or before it", at)


def codes_met(desk: Desk, panelist_id: str) -> tuple[str, ...]:
    """Codes this person was served in any session, in the order of sealing: of these a new draw keeps clear."""
    served, ballots, sessions = rows.servings, rows.ballots, rows.sessions
    seated = (ballots.c.session_id == served.c.session_id) & (ballots.c.seat == served.c.seat)
    query = (
        select(served.c.codes)
        .join(ballots, seated)
        .join(sessions, sessions.c.id == served.c.session_id)
        .where(ballots.c.panelist_id == panelist_id, ~served.c.spare)
        .order_by(sessions.c.sealed_at, sessions.c.id, served.c.position)
    )
    return tuple(code for row in desk.rows(query) for code in row.codes.split())


def note(desk: Desk, session_id: str, deviation: Deviation, owner: str | None) -> None:
    """Write a deviation down; its words are kept apart, belong to ``owner``, and go when that person is erased."""
    record = chain.append_record(desk, session_id, "deviation", flat(deviation), owner)
    row = {
        "session_id": session_id,
        "serving_id": deviation.serving_id,
        "serving_ref": deviation.serving_id or None,
        "seat": deviation.seat,
        "kind": deviation.kind,
        "text_digest": chain.digests(chain.read_body(record))["reason"],
        "at": deviation.at,
        "sequence": record.sequence,
    }
    desk.add(rows.deviations, row)
