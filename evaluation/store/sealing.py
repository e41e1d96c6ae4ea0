"""Sealing, in the store: seats, sets and key are written in the one transaction that freezes the plan."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from sqlalchemy import select

from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical, digest
from evaluation.serving.blinding import Drawn
from evaluation.sessions import Key, Seat, Session
from evaluation.store import chain, kept_bottles, kept_series, new_id, rows
from evaluation.store.desk import Desk
from evaluation.store.translate import flat, record_of, serving_row

BOTTLES: Final = "bottles"  # in the seal, where further bottles are smelt: of which trial each is
LETTER_COLUMNS: Final = ("first_letter", "second_letter", "first_again_letter", "second_again_letter")


def commitment_to(key: Key) -> str:
    """A hash that binds seed and key without showing them: nobody can guess the seed's 32 random bytes."""
    return digest(canonical(key))


def lay_down(desk: Desk, session: Session, drawn: Drawn, commitment: str, sealed_hash: str) -> None:
    """Store servings, key, groupings and one ballot a seat, and the record that covers them."""
    _check_complete(session, drawn)
    if commitment != commitment_to(drawn.key):
        raise ArgumentError("commitment must be the hash of the key that was drawn.")
    ballots = [_ballot_row(session.id, seat) for seat in session.plan.seats]
    placed = enumerate(drawn.servings)
    desk.add(rows.servings, *(serving_row(one, session.id, position) for position, one in placed))
    desk.add(rows.ballots, *ballots)
    add_key(desk, session.id, drawn.key, several=session.plan.kind.several)
    desk.add(rows.groupings, *({"serving_id": one, "pattern": pattern} for one, pattern in drawn.groupings))
    body = {
        "plan": session.plan,
        "commitment": commitment,
        "hash": sealed_hash,
        "servings": [flat(one) for one in drawn.servings],
        "groupings": _groupings_digest(drawn.key.seed, drawn.groupings),
        chain.NAMED: _names(desk, session),
        "ballots": [{name: row[name] for name in ("id", "seat", "panelist_id")} for row in ballots],
    }
    further = kept_bottles.further(desk, session.plan.trial_ids)
    series = kept_series.sealed_for(desk, session.plan)
    chain.append_record(desk, session.id, "seal", body | ({BOTTLES: further} if further else {}) | series)


def groupings_stand(desk: Desk, session_id: str, seed: str) -> bool:
    """True where they are those that were sealed, or were sealed before the log covered them."""
    mine = (rows.records.c.session_id == session_id, rows.records.c.kind == "seal")
    sealed = desk.maybe(select(rows.records).where(*mine))
    told = None if sealed is None else chain.read_body(record_of(sealed)).get("groupings")
    if told is None:
        return True
    query = select(rows.groupings).join(rows.servings, rows.servings.c.id == rows.groupings.c.serving_id)
    listed = desk.rows(query.where(rows.servings.c.session_id == session_id).order_by(rows.servings.c.position))
    return bool(told == _groupings_digest(seed, [(row.serving_id, row.pattern) for row in listed]))


def _groupings_digest(seed: str, groupings: Iterable[tuple[str, str]]) -> str:
    """What stands for the groupings in the log: the seed is its salt, so that nobody can try out guesses."""
    return digest(seed.encode(), canonical([list(one) for one in groupings]))


def _names(desk: Desk, session: Session) -> dict[str, str]:
    """What verdicts call the brief and what is smelt."""
    brief = desk.only_row(select(rows.briefs).where(rows.briefs.c.id == session.plan.brief_id), "brief")
    return {brief.id: brief.title} | kept_bottles.labels(desk, session.plan.trial_ids)


def _check_complete(session: Session, drawn: Drawn) -> None:
    served = [one.id for one in drawn.servings]
    keyed, grouped = [one for one, _ in drawn.key.orders], [one for one, _ in drawn.groupings]
    if not served == keyed == grouped:
        raise ArgumentError("drawn must give every serving one order and one grouping, in the same sequence.")
    if {one.seat for one in drawn.servings} != {seat.number for seat in session.plan.seats}:
        raise ArgumentError("drawn must serve every seat of the plan and no other.")


def _ballot_row(session_id: str, seat: Seat) -> dict[str, Any]:
    placed = {"seat": seat.number, "panelist_id": seat.panelist_id}
    fresh = {"issue": 1, "token_hash": None, "finished_at": None}
    return {"id": new_id(), "session_id": session_id} | placed | fresh


def _letter_row(key: Key, *, several: bool) -> dict[str, str | None]:
    """Two letters; with null sets the second vials' beside them, with several trials the others' in one text."""
    paired, further = (key.letters[:2], "".join(key.letters[2:])) if several else (key.letters, "")
    return (
        dict.fromkeys(LETTER_COLUMNS)
        | dict(zip(LETTER_COLUMNS, paired, strict=False))
        | {"further_letters": further or None}
    )


def add_key(desk: Desk, session_id: str, key: Key, *, several: bool) -> None:
    """Write the key down; nothing but ``key.py`` reads it again."""
    desk.add(rows.keys, {"session_id": session_id, "seed": key.seed} | _letter_row(key, several=several))
    desk.add(rows.key_orders, *({"serving_id": one, "trials": order} for one, order in key.orders))
