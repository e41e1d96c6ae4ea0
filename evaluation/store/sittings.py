"""Sessions from draft to opened: plans, states, seats, servings and what did not go by the plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import delete, select, update

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.ground.states import Event
from evaluation.serving.blinding import Drawn
from evaluation.sessions import Deviation, Plan, Serving, Session, next_state
from evaluation.store import chain, kept_bottles, kept_series, rows, sealing, strips
from evaluation.store.desk import Desk, wanting
from evaluation.store.translate import deviation_of, plan_columns, session_of, session_row

SEATING: Final = ("sealed", "smelling")
RUNNING: Final = ("sealed", "smelling", "closed")
_BY_ID: Final = wanting(rows.sessions.c.id)


class Sittings:
    """Verbs on sessions. Those that change one first lock its head row, so that they happen one after another."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    # --- plan ---------------------------------------------------------------------------------------------------

    def add_session(self, session: Session) -> None:
        """Store a draft; refused in any other state, and where trials or people of its plan do not fit."""
        if session.state != "draft":
            raise StateError(f"A session is added as a draft, not {session.state}.")
        self._check_plan(session.plan)
        self._desk.add(rows.sessions, session_row(session) | self._references(session.plan))
        self._desk.add(rows.heads, {"session_id": session.id, "sequence": 0, "hash": ""})

    def session(self, session_id: str) -> Session:
        """The session of this id, or NotFound."""
        return session_of(self._desk.only_row(_BY_ID, "session", id=session_id))

    def sessions(self, brief_id: str | None = None) -> tuple[Session, ...]:
        """The sessions of a brief, or of all, oldest first, in any state."""
        query = select(rows.sessions).order_by(rows.sessions.c.made_at, rows.sessions.c.id)
        found = query if brief_id is None else query.where(rows.sessions.c.brief_id == brief_id)
        return tuple(session_of(row) for row in self._desk.rows(found))

    def replace_plan(self, session_id: str, plan: Plan) -> Session:
        """Change the plan of a draft."""
        self._held(session_id, ("draft",), "changed")
        self._check_plan(plan)
        self._set(session_id, **plan_columns(plan) | self._references(plan))
        return self.session(session_id)

    def remove_draft(self, session_id: str) -> None:
        """Take a draft away with everything of it; refused for anything that was sealed."""
        self._held(session_id, ("draft",), "removed")
        self._desk.change(delete(rows.heads).where(rows.heads.c.session_id == session_id))
        self._desk.change(delete(rows.sessions).where(rows.sessions.c.id == session_id))

    def _references(self, plan: Plan) -> dict[str, str | None]:
        """The columns that say of which trials its first two bottles are, and which series it is a sitting of."""
        smelt = kept_bottles.trials_of(self._desk, plan.trial_ids)
        pair = {"first_trial_id": smelt[plan.first_trial_id], "second_trial_id": smelt[plan.second_trial_id]}
        return {**pair, "series_id": plan.series_id or None}

    def _check_plan(self, plan: Plan) -> None:
        self._desk.only_row(select(rows.briefs.c.id).where(rows.briefs.c.id == plan.brief_id), "brief")
        for trial_id in plan.trial_ids:
            trial = kept_bottles.smelt_as(self._desk, trial_id)
            if trial.brief_id != plan.brief_id:
                raise ArgumentError("trials must belong to the brief of the session.")
        people = {seat.panelist_id for seat in plan.seats if seat.panelist_id is not None}
        known = self._desk.rows(select(rows.panelists.c.id).where(rows.panelists.c.id.in_(people)))
        if len(known) != len(people):
            raise NotFound("No such panelist.")
        kept_series.SeriesKept(self._desk).check_sitting(plan)

    def held_draft(self, session_id: str) -> Session:
        """A draft that nobody else changes until the transaction ends."""
        return self._held(session_id, ("draft",), "sealed")

    # --- states -------------------------------------------------------------------------------------------------

    def seal(self, session_id: str, drawn: Drawn, commitment: str, sealed_hash: str) -> Session:
        """Freeze the plan and lay down all that was drawn for it: servings, key, groupings and ballots."""
        session = self._held(session_id, ("draft",), "sealed")
        kept_series.SeriesKept(self._desk).check_sitting(session.plan, session_id)
        self._set(
            session_id,
            state=next_state(session.state, "seal"),
            sealed_at=self._desk.now(),
            sealed_hash=sealed_hash,
            commitment=commitment,
        )
        sealing.lay_down(self._desk, session, drawn, commitment, sealed_hash)
        return self.session(session_id)

    def advance(self, session_id: str, event: Event, body: Mapping[str, Any] | None = None) -> Session:
        """Take the session one step on: start, close, open or void (with a ``reason`` in ``body``)."""
        chain.hold(self._desk, session_id)
        session = self.session(session_id)
        state = next_state(session.state, event)
        if event == "seal":
            raise StateError("A session is sealed with what was drawn for it, not by a mere step.")
        if event == "void" and not (body or {}).get("reason"):
            raise ArgumentError("reason must not be empty: say why the session is void.")
        if event == "open" and session.plan.solo:
            strips.check_marked(self._desk, session_id)
        self._set(session_id, state=state)
        chain.append_record(self._desk, session_id, event, body or {})
        return self.session(session_id)

    def _held(self, session_id: str, states: tuple[str, ...], verb: str) -> Session:
        chain.hold(self._desk, session_id)
        session = self.session(session_id)
        if session.state not in states:
            raise StateError(f"A session that is {session.state} cannot be {verb}.")
        return session

    def _set(self, session_id: str, **values: Any) -> None:
        self._desk.change(update(rows.sessions).where(rows.sessions.c.id == session_id).values(**values))

    # --- servings and seats -------------------------------------------------------------------------------------

    def servings(self, session_id: str, seat: int | None = None) -> tuple[Serving, ...]:
        """In the order they were drawn; a spare set that replaced a void one carries its age and place."""
        return strips.servings(self._desk, session_id, seat)

    def void_serving(self, serving_id: str, reason: str) -> Serving:
        """Withdraw a set and return the spare set now served in its stead."""
        session_id = strips.session_of_serving(self._desk, serving_id)
        session = self._held(session_id, SEATING, "given new strips")
        if session.plan.solo:
            strips.check_unanswered(self._desk, session_id, serving_id)
        return strips.replace_by_spare(self._desk, session_id, serving_id, reason)

    def seat_person(self, session_id: str, seat: int, panelist_id: str) -> None:
        """Give a spare seat to somebody who came after sealing; whoever saw the key sits unblinded."""
        self._held(session_id, SEATING, "joined")
        strips.take_seat(self._desk, session_id, seat, panelist_id)
        if strips.saw_key(self._desk, session_id, panelist_id):
            self.note_deviation(session_id, strips.unblinded(seat, self._desk.now()))

    def codes_met(self, panelist_id: str) -> tuple[str, ...]:
        """Codes this person was served in sealed sessions, oldest first."""
        return strips.codes_met(self._desk, panelist_id)

    # --- deviations ---------------------------------------------------------------------------------------------

    def deviations(self, session_id: str) -> tuple[Deviation, ...]:
        """What did not go by the plan, in the order it was noted; of erased people without their words."""
        texts, found = rows.personal_texts, rows.deviations
        query = select(found, texts.c.text).join(texts, texts.c.digest == found.c.text_digest)
        mine = query.where(found.c.session_id == session_id).order_by(found.c.sequence)
        return tuple(deviation_of(row) for row in self._desk.rows(mine))

    def note_deviation(self, session_id: str, deviation: Deviation) -> None:
        """Only before opening: once results are known nobody is set apart any more."""
        session = self._held(session_id, RUNNING, "given a deviation")
        if session.plan.solo:
            strips.check_unmarked(self._desk, session_id, deviation.serving_id)
        ballot = strips.ballot_at(self._desk, session_id, deviation.seat)
        if deviation.serving_id:
            strips.check_served(self._desk, ballot, deviation.serving_id)
        strips.note(self._desk, session_id, deviation, ballot.panelist_id)
