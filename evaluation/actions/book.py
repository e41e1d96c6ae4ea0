"""The trial book and the panel."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from evaluation.briefs import Brief
from evaluation.errors import ArgumentError
from evaluation.people import Panelist
from evaluation.store import Notebook, new_id
from evaluation.trials import Trial


def add_brief(notebook: Notebook, title: str, text: str = "") -> Brief:
    """Open a new brief."""
    brief = Brief(new_id(), title.strip(), text.strip(), notebook.clock.now())
    with notebook.writing() as tx:
        tx.book.add_brief(brief)
    return brief


def briefs(notebook: Notebook) -> tuple[Brief, ...]:
    with notebook.reading() as tx:
        return tx.book.briefs()


def brief(notebook: Notebook, brief_id: str) -> Brief:
    with notebook.reading() as tx:
        return tx.book.brief(brief_id)


def add_trial(
    notebook: Notebook,
    brief_id: str,
    label: str,
    parent_id: str | None = None,
    changed: str = "",
    strength_percent: Decimal | None = None,
    mixed_on: date | None = None,
    diluted_on: date | None = None,
    batch: str = "",
) -> Trial:
    """Write a new trial into the book of a brief."""
    trial = Trial(
        new_id(),
        brief_id,
        label.strip(),
        parent_id,
        changed.strip(),
        strength_percent,
        mixed_on,
        diluted_on,
        batch.strip(),
        notebook.clock.now(),
    )
    with notebook.writing() as tx:
        _check_parent(tx, trial)
        tx.book.add_trial(trial)
    return trial


def change_trial(notebook: Notebook, trial_id: str, **fields: Any) -> Trial:
    """Correct a trial's entries."""
    with notebook.writing() as tx:
        trial = replace(tx.book.trial(trial_id), **fields)
        _check_parent(tx, trial)
        tx.book.replace_trial(trial)
    return trial


def trials(notebook: Notebook, brief_id: str) -> tuple[Trial, ...]:
    with notebook.reading() as tx:
        return tx.book.trials(brief_id)


def trial(notebook: Notebook, trial_id: str) -> Trial:
    with notebook.reading() as tx:
        return tx.book.trial(trial_id)


def add_panelist(notebook: Notebook, alias: str, note: str = "") -> Panelist:
    """Add somebody who smells, under an alias."""
    panelist = Panelist(new_id(), alias.strip(), note.strip(), True, notebook.clock.now())
    with notebook.writing() as tx:
        tx.book.add_panelist(panelist)
    return panelist


def change_panelist(notebook: Notebook, panelist_id: str, **fields: Any) -> Panelist:
    """Rename somebody, change the note, or set them inactive (``active=False``)."""
    with notebook.writing() as tx:
        panelist = replace(tx.book.panelist(panelist_id), **fields)
        tx.book.replace_panelist(panelist)
    return panelist


def panelists(notebook: Notebook, active_only: bool = True) -> tuple[Panelist, ...]:
    with notebook.reading() as tx:
        return tx.book.panelists(active_only)


def _check_parent(tx: Any, trial: Trial) -> None:
    """A trial descends from a trial of the same brief, and never from one of its own descendants."""
    seen, parent_id = {trial.id}, trial.parent_id
    while parent_id is not None:
        parent = tx.book.trial(parent_id)
        if parent.brief_id != trial.brief_id:
            raise ArgumentError(f"parent must be a trial of the same brief, and {parent.label!r} is not.")
        if parent.id in seen:
            raise ArgumentError(f"parent must not descend from the trial itself, and {parent.label!r} does.")
        seen.add(parent.id)
        parent_id = parent.parent_id
