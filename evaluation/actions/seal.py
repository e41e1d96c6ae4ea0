"""Sealing: the plan is frozen and hashed, and what nobody may know is drawn."""

from __future__ import annotations

import secrets
from dataclasses import replace

from evaluation.actions.plan import check_references, foreseen
from evaluation.actions.skin_gate import pass_gate
from evaluation.alone import ways
from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical, digest
from evaluation.planning import sizes
from evaluation.serving.blinding import draw, law_now
from evaluation.serving.draws import SEED_BYTES
from evaluation.sessions import Plan, Session
from evaluation.store import Notebook, Transaction, new_id
from evaluation.store.sealing import commitment_to


def seal(notebook: Notebook, session_id: str, seed: bytes | None = None) -> Session:
    """Freeze the plan, draw codes and orders, and hash both.

    Whatever law of drawing a draft was kept with, it is sealed with today's: orders balanced over the panel, as they
    were drawn before, do not hold the risks. A plan on skin is refused while its gate is shut. ``seed`` is only for
    replaying a known scenario; left out, 32 secret bytes are drawn.
    """
    drawn_seed = secrets.token_bytes(SEED_BYTES) if seed is None else seed
    with notebook.writing() as tx:
        plan = _drawn_as_now(tx, session_id)  # what is drawn for and asked about is what is sealed
        check_references(tx, plan)
        check_outlook(plan)
        drawn = draw(plan, drawn_seed, new_id, _met(tx, plan))
        commitment = commitment_to(drawn.key)
        session = tx.sittings.seal(session_id, drawn, commitment, sealed_hash(plan, commitment))
        pass_gate(tx, session_id, "seal", (seat.panelist_id for seat in plan.seats if seat.panelist_id is not None))
        return session


def _drawn_as_now(tx: Transaction, session_id: str) -> Plan:
    plan = tx.sittings.held_draft(session_id).plan
    now = replace(plan, draw=law_now(solo=plan.solo))
    return plan if now == plan else tx.sittings.replace_plan(session_id, now).plan


def sealed_hash(plan: Plan, commitment: str) -> str:
    """The hash printed on every report of the session."""
    return digest(canonical({"plan": plan, "commitment": commitment}))


def check_outlook(plan: Plan) -> None:
    """Refuse a plan that cannot tell or, alone, cannot be kept to; want the conductor's word where one of the two
    verdicts cannot occur.
    """
    sizes.check(plan)
    ways.check(plan)
    if plan.series_id:
        return  # it is the series that can tell
    outlook = foreseen(plan)
    if not outlook.can_be_sealed:
        raise ArgumentError(
            "This panel can reach neither of the verdicts it is asked for, whatever is answered: plan more "
            "assessments, or one of the better designs listed on the plan page."
        )
    missing = [verdict for verdict in outlook.to_confirm if verdict not in plan.confirmed]
    if missing:
        raise ArgumentError(f"Before sealing, confirm that this session can never end in: {', '.join(missing)}.")


def _met(tx: Transaction, plan: Plan) -> dict[int, tuple[str, ...]]:
    """Codes each seat must not be served again; a spare seat those of everybody who could still take it."""
    planned = {seat.panelist_id for seat in plan.seats}
    guests = [one.id for one in tx.book.panelists() if one.id not in planned] if None in planned else []
    strangers = tuple(code for one in guests for code in tx.sittings.codes_met(one))
    return {
        seat.number: strangers if seat.panelist_id is None else tx.sittings.codes_met(seat.panelist_id)
        for seat in plan.seats
    }
