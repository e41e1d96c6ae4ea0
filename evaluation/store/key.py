"""The key: the only module that reads its tables, by two verbs."""

from __future__ import annotations

from typing import Final

from sqlalchemy import select

from evaluation.errors import StateError, StillBlind, StoreError
from evaluation.sessions import Key
from evaluation.store import chain, strips
from evaluation.store.desk import Desk
from evaluation.store.rows import key_orders, keys, panelists, servings, sessions
from evaluation.store.sealing import commitment_to
from evaluation.store.sittings import Sittings

PREPARING: Final = ("sealed", "smelling")


class Keys:
    """Verbs on the key."""

    def __init__(self, desk: Desk, sittings: Sittings) -> None:
        self._desk = desk
        self._sittings = sittings

    def key_for_preparer(self, session_id: str, panelist_id: str | None) -> Key:
        """The key while strips are prepared; logged, and whoever sees it and sits in the session sits unblinded."""
        chain.hold(self._desk, session_id)
        state = self._state(session_id)
        if state not in PREPARING:
            raise StateError(f"The key is for preparing strips: the session is {state}.")
        self._log_showing(session_id, panelist_id)
        return self._read(session_id)

    def open_key(self, session_id: str) -> Key:
        """The key of an opened session."""
        state = self._state(session_id)
        if state != "opened":
            raise StillBlind(f"The key stays shut until the session is opened; it is {state}.")
        return self._read(session_id)

    def _state(self, session_id: str) -> str:
        return str(self._desk.one(select(sessions.c.state).where(sessions.c.id == session_id), "session").state)

    def _log_showing(self, session_id: str, panelist_id: str | None) -> None:
        if panelist_id is not None:
            self._desk.one(select(panelists.c.id).where(panelists.c.id == panelist_id), "panelist")
        chain.write(self._desk, session_id, "key shown", {"panelist_id": panelist_id or ""})
        seat = strips.seat_of(self._desk, session_id, panelist_id or "")
        if seat is None:
            return
        noted = self._sittings.deviations(session_id)
        if not any((one.seat, one.kind, one.serving_id) == (seat, "unblinded", "") for one in noted):
            self._sittings.note_deviation(session_id, strips.unblinded(seat, self._desk.now()))

    def _read(self, session_id: str) -> Key:
        row = self._desk.one(select(keys).where(keys.c.session_id == session_id), "key")
        query = select(key_orders).join(servings, servings.c.id == key_orders.c.serving_id)
        listed = query.where(servings.c.session_id == session_id).order_by(servings.c.position)
        orders = tuple((one.serving_id, one.trials) for one in self._desk.rows(listed))
        key = Key(row.seed, (row.first_letter, row.second_letter), orders)
        sealed = self._desk.one(select(sessions.c.commitment).where(sessions.c.id == session_id), "session")
        if commitment_to(key) != sealed.commitment:
            raise StoreError("The stored key is not the one that was sealed: it was altered afterwards.")
        return key
