"""What happens at the table while a session runs, in the log and in rows of its own."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import bindparam, select

from evaluation.errors import StateError
from evaluation.ground import checks
from evaluation.ground.canonical import canonical, digest
from evaluation.serving.dipping import Dip, Revision
from evaluation.sessions import STOPS, Stop
from evaluation.store import chain, rows, strips
from evaluation.store.ballots import Ballots
from evaluation.store.desk import Desk, wanting
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.translate import record_of

BEFORE_CLOSE: Final = ("sealed", "smelling")
_STOPPED: Final = wanting(rows.stops.c.ballot_id, rows.stops.c.kind).limit(1)
_NEWEST: Final = wanting(rows.timetables.c.session_id).order_by(rows.timetables.c.revision.desc()).limit(1)
_RECORD: Final = wanting(rows.records.c.session_id, rows.records.c.sequence)
_TEXT: Final = wanting(rows.personal_texts.c.digest)
_DIPS: Final = wanting(rows.dips.c.session_id).order_by(rows.dips.c.sequence)
_DIPS_OF_SEAT: Final = _DIPS.join(rows.servings, rows.servings.c.id == rows.dips.c.serving_id).where(
    rows.servings.c.seat == bindparam("seat")
)


class Live:
    """Verbs on stops, timetables and dips."""

    def __init__(self, desk: Desk, ballots: Ballots) -> None:
        self._desk = desk
        self._ballots = ballots

    # --- stops --------------------------------------------------------------------------------------------------

    def stop(self, ballot_id: str, kind: str) -> bool:
        """Write down that somebody stopped, in any state from sealed on; False where it was written down before."""
        checks.choice("kind", kind, STOPS)
        ballot = self._ballots.ballot(ballot_id)
        chain.hold(self._desk, ballot.session_id)
        if ballot.panelist_id is None:
            raise StateError("Nobody sits on this seat.")
        if any((one.ballot_id, one.kind) == (ballot_id, kind) for one in self.stops(ballot.session_id)):
            return False
        record = chain.append_record(self._desk, ballot.session_id, "stop", {"ballot_id": ballot_id, "kind": kind})
        row = {"session_id": ballot.session_id, "ballot_id": ballot_id, "kind": kind}
        self._desk.add(rows.stops, row | {"at": record.at, "sequence": record.sequence})
        return True

    def stops(self, session_id: str) -> tuple[Stop, ...]:
        """In the order they came."""
        joined = select(rows.stops, rows.ballots.c.seat).join(rows.ballots, rows.ballots.c.id == rows.stops.c.ballot_id)
        mine = joined.where(rows.stops.c.session_id == session_id).order_by(rows.stops.c.sequence)
        return tuple(
            Stop(row.ballot_id, row.seat, checks.term("kind", row.kind, STOPS), row.at) for row in self._desk.rows(mine)
        )

    def stopped(self, ballot_id: str, kind: str) -> bool:
        """True if this person's stop of that kind is written down: cheap, a ballot asks at every tap."""
        return bool(self._desk.rows(_STOPPED, ballot_id=ballot_id, kind=kind))

    # --- timetables: not sealed, each revision is kept and the latest counts ------------------------------------------

    def add_timetable(self, session_id: str, body: Mapping[str, Any], after: int, keeper: str = "") -> Revision:
        """Keep ``body`` as the revision that follows number ``after`` (0: none yet).

        Refused where somebody else has written that one meanwhile. The log holds the digest; who keeps the strips
        (``keeper``) stands beside it, as other words that name people do.
        """
        chain.hold(self._desk, session_id)
        self._check_state(session_id)
        newest = self.timetable(session_id)
        if (newest.number if newest else 0) != after:
            raise StateError("The timetable was changed in another window: look at it first.")
        written = canonical(body).decode()
        about = {"revision": after + 1, "digest": digest(written.encode())} | ({"note": keeper} if keeper else {})
        record = chain.append_record(self._desk, session_id, "timetable", about)
        row = {"session_id": session_id, "revision": after + 1, "body": written}
        self._desk.add(rows.timetables, row | {"at": record.at, "sequence": record.sequence})
        return Revision(after + 1, record.at, _body(written))

    def timetable(self, session_id: str) -> Revision | None:
        """The latest revision of a timetable, None before one was made."""
        found = self._desk.rows(_NEWEST, session_id=session_id)
        return Revision(found[0].revision, found[0].at, _body(found[0].body)) if found else None

    def keeper(self, session_id: str) -> str:
        """Who keeps the strips by the latest timetable; "" where nobody said, or the words were struck."""
        found = self._desk.rows(_NEWEST, session_id=session_id)
        if not found:
            return ""
        before = _body(found[0].body).get("keeper")  # it stood in the timetable itself until 2026-11-27
        return self._beside(session_id, found[0].sequence) if before is None else str(before)

    def _beside(self, session_id: str, sequence: int) -> str:
        record = record_of(self._desk.only_row(_RECORD, "record", session_id=session_id, sequence=sequence))
        mark = chain.digests(chain.read_body(record)).get("note")
        row = None if mark is None else self._desk.maybe(_TEXT, digest=mark)
        return "" if row is None else str(row.text or "")

    def timetables(self, session_id: str) -> tuple[Revision, ...]:
        """Every revision, oldest first."""
        mine = select(rows.timetables).where(rows.timetables.c.session_id == session_id)
        found = self._desk.rows(mine.order_by(rows.timetables.c.revision))
        return tuple(Revision(row.revision, row.at, _body(row.body)) for row in found)

    # --- dips -----------------------------------------------------------------------------------------------------

    def dip(self, serving_id: str, dipped_at: int, reason: str = "") -> Dip:
        """Write down when the strips of a set were done; once written, only a ``reason`` corrects it."""
        session_id = strips.session_of_serving(self._desk, serving_id)
        chain.hold(self._desk, session_id)
        self._check_state(session_id)
        checks.whole("time of dipping", dipped_at, 0, self._desk.now())
        reason = checks.text("reason", reason, 400, empty=True)
        if not reason and any(one.serving_id == serving_id for one in self.dips(session_id)):
            raise StateError("This set is dipped already: a correction needs a reason.")
        about = {"serving_id": serving_id, "dipped_at": dipped_at}
        told = about | ({"reason": reason} if reason else {})
        record = chain.append_record(self._desk, session_id, "dip", told, strips.panelist_of(self._desk, serving_id))
        row = about | {"session_id": session_id, "at": record.at, "sequence": record.sequence}
        self._desk.add(rows.dips, row)
        return Dip(serving_id, dipped_at, record.at)

    def dips(self, session_id: str, seat: int | None = None) -> tuple[Dip, ...]:
        """In the order they were written, of all seats or of one: the last of a set counts."""
        asked = {"session_id": session_id} | ({} if seat is None else {"seat": seat})
        found = self._desk.rows(_DIPS if seat is None else _DIPS_OF_SEAT, **asked)
        return tuple(Dip(row.serving_id, row.dipped_at, row.at) for row in found)

    def _check_state(self, session_id: str) -> None:
        query = select(rows.sessions.c.state).where(rows.sessions.c.id == session_id)
        state = self._desk.only_row(query, "session").state
        if state not in BEFORE_CLOSE:
            raise StateError(f"Timetable and dips are kept while a session is sealed or smelt; this one is {state}.")


@as_the_program_wrote()
def _body(written: str) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(written)["value"]
    return body
