"""Who sits where, and what is smelt, by name: asked of the store once, however many people sit."""

from __future__ import annotations

from collections.abc import Iterator

from evaluation.sessions import Plan
from evaluation.store import Transaction


def aliases(tx: Transaction, session_id: str) -> dict[int, str]:
    """The alias at each seat; free spare seats are left out."""
    return {seat: alias for seat, _, alias in _people(tx, session_id)}


def aliases_by_person(tx: Transaction, session_id: str) -> dict[str, str]:
    """The same by the panelist's id."""
    return {panelist_id: alias for _, panelist_id, alias in _people(tx, session_id)}


def _people(tx: Transaction, session_id: str) -> Iterator[tuple[int, str, str]]:
    """Seat, panelist id and alias of everybody who sits."""
    sitting = [one for one in tx.ballots.ballots(session_id) if one.panelist_id is not None]
    known = {one.id: one.alias for one in tx.book.panelists(active_only=False)} if sitting else {}
    yield from ((one.seat, one.panelist_id, known[one.panelist_id]) for one in sitting if one.panelist_id is not None)


def names_in(tx: Transaction, plan: Plan) -> tuple[str, ...]:
    """What the letters of a plan are called beside one another, in their order."""
    return plan.design.names(tx.bottles.names(plan.trial_ids))
