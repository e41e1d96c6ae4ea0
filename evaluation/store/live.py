"""What happens at the table while a session runs, in the log and in rows of its own."""

from __future__ import annotations

from sqlalchemy import select

from evaluation import checks
from evaluation.errors import StateError
from evaluation.sessions import STOPS, Stop
from evaluation.store import chain, rows
from evaluation.store.ballots import Ballots
from evaluation.store.desk import Desk


class Live:
    """Verbs on stops."""

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
        record = chain.write(self._desk, ballot.session_id, "stop", {"ballot_id": ballot_id, "kind": kind})
        row = {"session_id": ballot.session_id, "ballot_id": ballot_id, "kind": kind}
        self._desk.add(rows.stops, row | {"at": record.at, "sequence": record.sequence})
        return True

    def stops(self, session_id: str) -> tuple[Stop, ...]:
        """In the order they came."""
        joined = select(rows.stops, rows.ballots.c.seat).join(rows.ballots, rows.ballots.c.id == rows.stops.c.ballot_id)
        mine = joined.where(rows.stops.c.session_id == session_id).order_by(rows.stops.c.sequence)
        return tuple(Stop(row.ballot_id, row.seat, row.kind, row.at) for row in self._desk.rows(mine))

    def stopped(self, ballot_id: str, kind: str) -> bool:
        """True if this person's stop of that kind is written down: cheap, a ballot asks at every tap."""
        query = select(rows.stops.c.id).where(rows.stops.c.ballot_id == ballot_id, rows.stops.c.kind == kind)
        return bool(self._desk.rows(query.limit(1)))
