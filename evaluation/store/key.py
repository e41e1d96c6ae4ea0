"""The key, which says what trial lies behind each code: no other module reads its tables.

Two verbs give it away: to the preparer before smelling, and to everybody after opening. A third, ``look``, tells a
sequential session how many answers were right so far and nothing else; a fourth takes in the marks of a solo session;
a fifth shows one seat in an emergency, and only that seat. Whether key and groupings stand is told by yes or no.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from sqlalchemy import select

from evaluation.errors import ArgumentError, MouilletteError, StateError, StillBlind, StoreError
from evaluation.serving.marks import check
from evaluation.sessions import Key, Plan
from evaluation.store import chain, strips
from evaluation.store.desk import Desk, refused_as
from evaluation.store.rows import key_orders, keys, marks, panelists, records, servings, sessions
from evaluation.store.sealing import LETTER_COLUMNS, add_key, commitment_to, groupings_stand
from evaluation.store.sittings import RUNNING, Sittings
from evaluation.store.translate import record_of

PREPARING: Final = ("sealed", "smelling")
MARKING: Final = ("smelling", "closed")  # at the end of a sitting, or of the session
LOOKING: Final = ("smelling", "closed")


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
        if self._sittings.session(session_id).plan.solo:
            raise StateError("Alone, no strips are prepared from a key: the shuffle is the draw.")
        self._log_showing(session_id, panelist_id)
        return self._read(session_id)

    def open_key(self, session_id: str) -> Key:
        """The key of an opened session."""
        state = self._state(session_id)
        if state != "opened":
            raise StillBlind(f"The key stays shut until the session is opened; it is {state}.")
        return self._with_marks(session_id)

    def stands(self, session_id: str) -> bool:
        """True if the stored key is the one that was sealed; it gives nothing of it away."""
        try:
            key = self._read(session_id)
        except MouilletteError:
            return False
        return groupings_stand(self._desk, session_id, key.seed)

    def seat_in_emergency(self, session_id: str, seat: int) -> Key:
        """What one seat has before it, for somebody who may be harmed: safety beats blinding, from sealing on.

        Only that seat's orders are in the key returned, and no vial letter. The look is logged, and the person sits
        unblinded from now on; once the session is opened nobody is set apart any more and there is nothing to hide.
        """
        chain.hold(self._desk, session_id)
        state = self._state(session_id)
        if state == "draft":
            raise StateError("Nothing is served before the session is sealed.")
        if self._sittings.session(session_id).plan.solo:
            raise StateError("Alone, whoever smells has prepared the strips: there is nothing to show.")
        own = {one.id for one in strips.servings(self._desk, session_id, seat)}
        ballot = strips.ballot_at(self._desk, session_id, seat)
        chain.append_record(
            self._desk, session_id, "seat shown", {"seat": seat, "panelist_id": ballot.panelist_id or ""}
        )
        if state in RUNNING and not self._unblinded(session_id, seat):
            self._sittings.note_deviation(session_id, strips.shown_in_emergency(seat, self._desk.now()))
        key = self._read(session_id)
        return replace(key, seed="", letters=(), orders=tuple(one for one in key.orders if one[0] in own))

    # --- alone ----------------------------------------------------------------------------------------------------

    def enter_marks(self, session_id: str, orders: Mapping[str, str]) -> None:
        """Enter what each answered set was, once for all, mixed up or not (``evaluation.serving.marks``)."""
        chain.hold(self._desk, session_id)
        state = self._state(session_id)
        if state not in MARKING:
            raise StateError(f"Marks are entered after smelling and before opening; the session is {state}.")
        plan = self._sittings.session(session_id).plan
        if not plan.solo:
            raise StateError("Only the sets of a solo session have marks: those of a panel were drawn.")
        for order in orders.values():
            check(plan, order)
        served = {one.id for one in strips.servings(self._desk, session_id)}
        if not orders.keys() <= served:
            raise ArgumentError("marks must be of sets of this session.")
        if not orders.keys() <= strips.answered(self._desk, session_id):
            raise StateError("Marks are uncovered after the answer is locked, never before.")
        record = chain.append_record(self._desk, session_id, "marks", {"orders": dict(orders)})
        rows = [{"serving_id": one, "trials": trials} for one, trials in orders.items()]
        with refused_as(StateError("The marks of this set are entered already; they stay as they are.")):
            self._desk.add(marks, *(row | {"at": record.at, "sequence": record.sequence} for row in rows))

    def marked(self, session_id: str) -> frozenset[str]:
        """The sets whose marks are entered, without what they say."""
        return strips.marked(self._desk, session_id)

    def lay_in(self, session_id: str, plan: Plan, key: Key) -> None:
        """The key of a copied session, as :meth:`open_key` gave it; marks come again from the log beside it."""
        sealed = replace(key, orders=tuple((one, "") for one, _ in key.orders)) if plan.solo else key
        add_key(self._desk, session_id, sealed, several=plan.kind.several)
        query = select(records).where(records.c.session_id == session_id, records.c.kind == "marks")
        for record in map(record_of, self._desk.rows(query)):
            entered = {"at": record.at, "sequence": record.sequence}
            told = chain.read_body(record)["orders"].items()
            self._desk.add(marks, *({"serving_id": one, "trials": trials} | entered for one, trials in told))

    # --- sequential sessions ----------------------------------------------------------------------------------------

    def orders_for_look(self, session_id: str) -> tuple[tuple[str, str], ...]:
        """The orders a stopping rule needs; only ``actions/looks.py`` calls this, and passes counts on at most."""
        plan = self._sittings.session(session_id).plan
        state = self._state(session_id)
        if not plan.look_every or state not in LOOKING:
            raise StillBlind("Only a sequential session is looked at before it is opened.")
        return self._with_marks(session_id).orders

    def _with_marks(self, session_id: str) -> Key:
        """The sealed key, with the marks of a solo session where it drew nothing."""
        key = self._read(session_id)
        query = select(marks).join(servings, servings.c.id == marks.c.serving_id)
        entered = {
            row.serving_id: row.trials for row in self._desk.rows(query.where(servings.c.session_id == session_id))
        }
        return replace(key, orders=tuple((one, order or entered.get(one, "")) for one, order in key.orders))

    def _state(self, session_id: str) -> str:
        return str(self._desk.only_row(select(sessions.c.state).where(sessions.c.id == session_id), "session").state)

    def _log_showing(self, session_id: str, panelist_id: str | None) -> None:
        if panelist_id is not None:
            self._desk.only_row(select(panelists.c.id).where(panelists.c.id == panelist_id), "panelist")
        chain.append_record(self._desk, session_id, "key shown", {"panelist_id": panelist_id or ""})
        seat = strips.seat_of(self._desk, session_id, panelist_id or "")
        if seat is None:
            return
        if not self._unblinded(session_id, seat):
            self._sittings.note_deviation(session_id, strips.unblinded(seat, self._desk.now()))

    def _unblinded(self, session_id: str, seat: int) -> bool:
        noted = self._sittings.deviations(session_id)
        return any((one.seat, one.kind, one.serving_id) == (seat, "unblinded", "") for one in noted)

    def _read(self, session_id: str) -> Key:
        row = self._desk.only_row(select(keys).where(keys.c.session_id == session_id), "key")
        query = select(key_orders).join(servings, servings.c.id == key_orders.c.serving_id)
        listed = query.where(servings.c.session_id == session_id).order_by(servings.c.position)
        orders = tuple((one.serving_id, one.trials) for one in self._desk.rows(listed))
        letters = tuple(one for one in (row._mapping[name] for name in LETTER_COLUMNS) if one)
        letters += tuple(row.further_letters or "")
        key = Key(row.seed, letters, orders)
        sealed = self._desk.only_row(select(sessions.c.commitment).where(sessions.c.id == session_id), "session")
        if commitment_to(key) != sealed.commitment:
            raise StoreError("The stored key is not the one that was sealed: it was altered afterwards.")
        return key
