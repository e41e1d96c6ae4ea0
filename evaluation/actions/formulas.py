"""Formulas in the trial book: entered, copied from the parent to start with, compared. Shown to the conductor only.

A formula is its maker's treasure: no ballot or log asks here, and a report or export only where that was ticked for it.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from evaluation.errors import StateError
from evaluation.formulas import Difference, Formula, Known, Material, TypedLines, difference, name_key
from evaluation.sessions import SKIN, Session
from evaluation.store import Notebook, Transaction, new_id
from evaluation.values.trials import Trial


def formula(notebook: Notebook, trial_id: str) -> Formula | None:
    """What a trial is made of; None where nobody entered it."""
    with notebook.reading() as tx:
        return tx.formulas.formula(trial_id)


def formulas(notebook: Notebook, brief_id: str) -> dict[str, Formula]:
    """The formulas of a brief's trials by trial id, those without one left out."""
    with notebook.reading() as tx:
        return tx.formulas.of_trials(one.id for one in tx.book.trials(brief_id))


def of_trials(notebook: Notebook, trial_ids: Iterable[str]) -> dict[str, Formula]:
    """The formulas of these trials by trial id, those without one left out."""
    with notebook.reading() as tx:
        return tx.formulas.of_trials(trial_ids)


def start_from(notebook: Notebook, trial_id: str) -> tuple[Trial, Formula] | None:
    """Where to start entering a formula: the nearest trial it was made from that has one; None where none has."""
    with notebook.reading() as tx:
        trial, seen = tx.book.trial(trial_id), {trial_id}
        while trial.parent_id is not None and trial.parent_id not in seen:
            trial = tx.book.trial(trial.parent_id)
            seen.add(trial.id)
            found = tx.formulas.formula(trial.id)
            if found is not None:
                return trial, found
    return None


def write(
    notebook: Notebook, trial_id: str, typed: TypedLines, out_of: Decimal | None = None, *, new_materials: bool = False
) -> Formula:
    """Enter a trial's formula in the place of the one it had; nothing is kept of it where a cell does not stand.

    ``new_materials``: names in no list yet are entered as materials, without a limit for skin; else they are refused.
    What was put before people stays as it was.
    """
    with notebook.writing() as tx:
        trial = tx.book.trial(trial_id)
        known = dict(_known(tx))
        if new_materials:
            made = [Material(new_id(), name, made_at=tx.clock.now()) for name in typed.unknown(known)]
            for one in made:
                tx.skin.add_material(one)
            known |= {name_key(one.name): one for one in made}
        entered = typed.formula(known, out_of)
        _check_unserved(tx, trial, entered)
        tx.formulas.write(trial_id, entered)
    return entered


def remove(notebook: Notebook, trial_id: str) -> None:
    """Take off a formula entered under the wrong trial; what was put before people stays as it was."""
    with notebook.writing() as tx:
        _check_unserved(tx, tx.book.trial(trial_id), None)
        tx.formulas.remove(trial_id)


def unknown(notebook: Notebook, typed: TypedLines) -> tuple[str, ...]:
    """Names of a table that are in no list of materials yet."""
    with notebook.reading() as tx:
        return typed.unknown(_known(tx))


def between(notebook: Notebook, first_id: str, second_id: str) -> Difference | None:
    """What was changed from one trial to another; None where the formula of one of them is not known."""
    return between_all(notebook, [(first_id, second_id)]).get((first_id, second_id))


def between_all(notebook: Notebook, pairs: Iterable[tuple[str, str]]) -> dict[tuple[str, str], Difference]:
    """What was changed between the trials of each pair, where both formulas are known; none of two bottles of one."""
    listed = list(dict.fromkeys(pairs))
    with notebook.reading() as tx:
        smelt = tx.bottles.trials(one for pair in listed for one in pair)
        listed = [(one, two) for one, two in listed if smelt.get(one, one) != smelt.get(two, two)]
        known = tx.formulas.of_trials(dict.fromkeys(one for pair in listed for one in pair))
    return {(one, two): difference(known[one], known[two]) for one, two in listed if one in known and two in known}


def _known(tx: Transaction) -> Known:
    return {name_key(one.name): one for one in tx.skin.materials()}


def _worn(tx: Transaction, trial: Trial, sessions: Iterable[Session]) -> bool:
    """Whether a trial may have been on skin: in a session that was sealed, or as a patch."""
    return any(one.state != "draft" and SKIN in one.plan.media for one in sessions) or bool(tx.patches.all(trial.id))


def _check_unserved(tx: Transaction, trial: Trial, entered: Formula | None) -> None:
    """A formula may be entered late; once there is one, a sealed session and whatever was on skin hold it fast,
    whichever bottle it was.
    """
    before = tx.formulas.formula(trial.id)
    if before == entered:
        return
    bottles = {one.id for one in tx.bottles.of_trial(trial.id)}
    sessions = [one for one in tx.sittings.sessions(trial.brief_id) if bottles & {*one.plan.trial_ids}]
    if _worn(tx, trial, sessions):
        raise StateError(f"Trial {trial.label} has been on skin: its formula stays as it was. Add a new trial instead.")
    if before is not None and any(one.state not in ("draft", "void") for one in sessions):
        raise StateError(
            f"Trial {trial.label} is in a sealed session: its formula stays as it was. Add a new trial instead."
        )
