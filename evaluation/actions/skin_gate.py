"""The gate where it counts: shown while planning, asked at sealing, the start, a spare seat and each application.

Nothing here can be confirmed away. What the gate saw is written to the log, with ids and instants of what people said
but never what they said.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from evaluation.errors import StateError
from evaluation.ground.canonical import canonical
from evaluation.sessions import SKIN, Plan
from evaluation.skin import Gate, Records, SkinShare, gate, not_for_strips
from evaluation.skin import sentences as told_once
from evaluation.store import Notebook, Transaction
from evaluation.store.kept_skin import GATE
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial


def gates(notebook: Notebook, plan: Plan) -> tuple[Gate, ...]:
    """One for each trial of a plan with skin, for its planned people; none for a plan on strips alone."""
    with notebook.reading() as tx:
        return _gates(tx, plan, _planned(tx, plan))


def gate_of(notebook: Notebook, trial_id: str, panelist_ids: Iterable[str], zone: str) -> Gate:
    """How one trial stands for these people, whatever is planned."""
    with notebook.reading() as tx:
        return gates_of(tx, (trial_id,), [tx.book.panelist(one) for one in panelist_ids], zone)[0]


def strip_cautions(notebook: Notebook, plan: Plan) -> tuple[str, ...]:
    """Whom scents may harm on strips too, as far as they said so when asked about skin."""
    with notebook.reading() as tx:
        people = _planned(tx, plan)
        return not_for_strips(people, tx.skin.facts([one.id for one in people]))


def first_possible(shown: Iterable[Gate]) -> int:
    """When the last patch can be read a second time, if those that lack are put on now; 0 where nothing waits."""
    return max((one.first_possible for one in shown), default=0)


def sentences(shown: Iterable[Gate]) -> tuple[str, ...]:
    """All that blocks, each thing once with everybody it is about."""
    return told_once(block for one in shown for block in one.blocks)


def check_plan(notebook: Notebook, plan: Plan) -> None:
    """Refuse a plan whose gate is shut, before anything is kept of it."""
    refuse_shut(gates(notebook, plan))


def pass_gate(tx: Transaction, session_id: str, moment: str, panelist_ids: Iterable[str]) -> None:
    """Refuse while the gate is shut for any of these people, else write down what it saw."""
    plan = tx.sittings.session(session_id).plan
    if SKIN not in plan.media:
        return
    people = [tx.book.panelist(one) for one in panelist_ids]
    shown = _gates(tx, plan, people)
    refuse_shut(shown)
    tx.log.append(session_id, GATE, _seen(tx, moment, shown, people))


def check_application(tx: Transaction, session_id: str, seat: int) -> None:
    """Refuse to put more on this person's skin where the gate has shut since the start."""
    plan = tx.sittings.session(session_id).plan
    sitting = [one.panelist_id for one in tx.ballots.ballots(session_id) if one.seat == seat]
    refuse_shut(_gates(tx, plan, [tx.book.panelist(one) for one in sitting if one is not None]))


def refuse_shut(shown: Iterable[Gate]) -> None:
    """StateError with the first thing that blocks and how many more there are; nothing where every gate is open."""
    blocks = sentences(shown)
    if blocks:
        more = f" And {len(blocks) - 1} more: the page Skin lists them all." if len(blocks) > 1 else ""
        raise StateError(f"The skin gate is shut. {blocks[0]}{more}")


def _planned(tx: Transaction, plan: Plan) -> list[Panelist]:
    return [tx.book.panelist(seat.panelist_id) for seat in plan.seats if seat.panelist_id is not None]


def _gates(tx: Transaction, plan: Plan, people: list[Panelist]) -> tuple[Gate, ...]:
    if SKIN not in plan.media:
        return ()
    return gates_of(tx, plan.trial_ids, people, plan.zone)


def gates_of(tx: Transaction, trial_ids: tuple[str, ...], people: list[Panelist], zone: str) -> tuple[Gate, ...]:
    """The gate of each trial for these people, as everything stands now."""
    records, now = records_of(tx, trial_ids, people), tx.clock.now()
    return tuple(gate_at(tx, tx.book.trial(one), people, records, now, zone) for one in trial_ids)


def gate_at(
    tx: Transaction, trial: Trial, people: Iterable[Panelist], records: Records, now: int, zone: str = "UTC"
) -> Gate:
    """The gate of one trial at a moment, with the formula the trial book has."""
    lines, said = tx.skin.lines(trial.id), tx.skin.whole_said(trial.id)
    return gate(trial, lines, people, records, now, zone=zone, whole_said=said)


def records_of(tx: Transaction, trial_ids: tuple[str, ...], people: list[Panelist]) -> Records:
    """All that the gate of these trials asks for."""
    return Records(
        tx.skin.limits(),
        tx.skin.facts([one.id for one in people]),
        tx.patches.all(),
        tx.skin.bars(trial_ids),
        tx.reactions.all(),
        tx.reactions.advice(),
        tx.reactions.go_aheads(),
        tx.reactions.unwell(),
        tx.reactions.explained(),
    )


def _seen(tx: Transaction, moment: str, shown: tuple[Gate, ...], people: list[Panelist]) -> dict[str, Any]:
    facts = tx.skin.facts([one.id for one in people])
    clear = {patch_id for one in shown for patch_id in one.patch_ids}
    listed = [one for one in tx.patches.all() if one.id in clear]
    return {
        "moment": moment,
        "note": canonical(trials_seen(shown)).decode(),  # beside the log: it tells the formulas
        "people": [
            {
                "panelist_id": one.id,
                "asked_at": facts[one.id].at,
                "patches": [patch.id for patch in listed if patch.panelist_id == one.id],
            }
            for one in people
        ],
    }


def trials_seen(shown: Iterable[Gate]) -> list[dict[str, Any]]:
    """What each gate saw of its trial: strength, shares, limits and their documents."""
    return [_trial_seen(one) for one in shown]


def _trial_seen(shown: Gate) -> dict[str, Any]:
    return {
        "trial_id": shown.trial_id,
        "strength_percent": shown.strength_percent,
        "shares": [_share_seen(one) for one in shown.shares],
    }


def _share_seen(share: SkinShare) -> dict[str, Any]:
    limit = share.limit
    assert limit is not None  # the gate is open
    told: dict[str, Any] = {"limit_percent": limit.percent, "document": limit.document, "dated_on": limit.dated_on}
    if limit.confirmed_at is not None:
        told |= {"confirmed_by": limit.confirmed_by, "confirmed_at": limit.confirmed_at}
    return {"material": share.material.name, "percent": share.percent} | told
