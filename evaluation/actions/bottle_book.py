"""Bottles: what is smelt. A trial is a formula, a bottle one weighing of it; plans and skin name bottles."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from evaluation.errors import StateError
from evaluation.sessions import SKIN, Session
from evaluation.store import Notebook, Transaction, new_id
from evaluation.values.bottles import Bottle
from evaluation.values.trials import Stored, Trial, Weighing

HELD: Final = ("strength_percent", "mixed_on", "diluted_on", "batch")  # once served, also where nothing was said
LATE: Final = ("lots", "stored")  # may be entered late, and then stay
PATCHED: Final = (*LATE, "mixed_on", "batch")  # with its strength on skin, which the patch keeps: what was put on
ON_SKIN: Final = "skin_strength_percent"


def bottles(notebook: Notebook, trial_id: str) -> tuple[Bottle, ...]:
    """The bottles of a trial, the first one first; none for a trial that is not there."""
    with notebook.reading() as tx:
        return tx.bottles.of_trial(trial_id)


def smelt(notebook: Notebook, brief_id: str) -> tuple[Trial, ...]:
    """The trials of a brief as they can be smelt, once for each bottle, a trial's own one after another."""
    with notebook.reading() as tx:
        return tx.bottles.smelt(brief_id)


def add_bottle(
    notebook: Notebook,
    trial_id: str,
    mark: str,
    *,
    strength_percent: Decimal | None = None,
    mixed_on: date | None = None,
    diluted_on: date | None = None,
    batch: str = "",
    lots: str = "",
    stored: Stored = "",
) -> Bottle:
    """Write a further weighing of a trial into the book; refused where a bottle of the trial has this mark."""
    weighed = (strength_percent, mixed_on, diluted_on, batch.strip())
    bottle = Bottle(new_id(), trial_id, mark.strip(), *weighed, notebook.clock.now(), lots=lots.strip(), stored=stored)
    with notebook.writing() as tx:
        tx.bottles.add(bottle)
    return bottle


def change_bottle(notebook: Notebook, bottle_id: str, **fields: Any) -> Bottle:
    """Correct a bottle's entries. What was put before people, or on skin, stays as it was."""
    with notebook.writing() as tx:
        before = tx.bottles.bottle(bottle_id)
        bottle = replace(before, **fields)
        renamed = ["mark"] if before.mark != bottle.mark else []
        check_unserved(tx, tx.book.trial(bottle_id), [*renamed, *changed(before, bottle)])
        tx.bottles.replace(bottle)
    return bottle


def changed(before: Weighing, after: Weighing) -> list[str]:
    """In what two accounts of one weighing differ, where that may not be once it was served."""
    names = (*HELD, ON_SKIN, *(one for one in LATE if getattr(before, one)))
    return [name for name in names if getattr(before, name) != getattr(after, name)]


def check_unserved(tx: Transaction, smelt: Trial, fields: Iterable[str]) -> None:
    """Refuse to change what a sealed session or a patch says of a bottle; ``fields`` are the names of what changes."""
    named, sessions = set(fields), tx.sittings.sessions(smelt.brief_id)
    said = f"{'Bottle' if smelt.bottle_of else 'Trial'} {smelt.label}"
    another = f"Add a new {'trial' if 'label' in named else 'bottle'} instead."
    if named - {ON_SKIN} and any(_served(session, smelt.id) for session in sessions):
        raise StateError(
            f"{said} is in a sealed session: label, strength, dates and batch stay as they were, lots and where it "
            f"stood once they are said. {another}"
        )
    if named & {ON_SKIN} and any(_worn(session, smelt.id) for session in sessions):
        raise StateError(f"{said} is in a sealed session on skin: its strength on skin stays. {another}")
    said_before = {one for one in named & {*PATCHED} if getattr(smelt, one)}
    if said_before and any(one.trial_id == smelt.id for one in tx.patches.all(smelt.trial_id)):
        raise StateError(
            f"{said} was put on skin as a patch: date mixed, batch, lots and where it stood stay. Add a new bottle "
            "instead."
        )


def _worn(session: Session, bottle_id: str) -> bool:
    """Also in a session that was given up: somebody may have reacted, and the emergency tells what they had on."""
    return session.state != "draft" and SKIN in session.plan.media and bottle_id in session.plan.trial_ids


def _served(session: Session, bottle_id: str) -> bool:
    return session.state not in ("draft", "void") and bottle_id in session.plan.trial_ids
