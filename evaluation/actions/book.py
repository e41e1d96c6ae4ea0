"""The trial book and the panel."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from evaluation.actions.bottle_book import changed, check_unserved
from evaluation.errors import ArgumentError, StateError
from evaluation.store import Notebook, Transaction, new_id
from evaluation.store.kept_people import Kept
from evaluation.store.named_texts import TIED, NamedIn
from evaluation.values.briefs import Brief
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial


def add_brief(notebook: Notebook, title: str, text: str = "") -> Brief:
    """Open a new brief."""
    brief = Brief(new_id(), title.strip(), text.strip(), notebook.clock.now())
    with notebook.writing() as tx:
        tx.book.add_brief(brief)
    return brief


def briefs(notebook: Notebook) -> tuple[Brief, ...]:
    """Every brief of the notebook, oldest first."""
    with notebook.reading() as tx:
        return tx.book.briefs()


def brief(notebook: Notebook, brief_id: str) -> Brief:
    """The brief of this id, or NotFound."""
    with notebook.reading() as tx:
        return tx.book.brief(brief_id)


def change_brief(notebook: Notebook, brief_id: str, title: str, text: str) -> Brief:
    """Correct a brief. Its text stays as it was once a sealed session may have shown it."""
    with notebook.writing() as tx:
        before = tx.book.brief(brief_id)
        brief = replace(before, title=title.strip(), text=text.strip())
        if brief.text != before.text and any(session.state != "draft" for session in tx.sittings.sessions(brief_id)):
            raise StateError("text must stay as it was: a session of this brief is sealed. Open a new brief instead.")
        tx.book.replace_brief(brief)
    return brief


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
    """Write a new trial with its first bottle into the book of a brief."""
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
    """Correct a trial's entries and its first bottle's. What was put before people stays once it is sealed."""
    with notebook.writing() as tx:
        before = tx.book.trial(trial_id)
        trial = replace(before, **fields)
        _check_parent(tx, trial)
        _check_unserved(tx, before, trial)
        tx.book.replace_trial(trial)
    return trial


def trials(notebook: Notebook, brief_id: str) -> tuple[Trial, ...]:
    """The trials of a brief, oldest first; none for a brief that is not there."""
    with notebook.reading() as tx:
        return tx.book.trials(brief_id)


def trial(notebook: Notebook, trial_id: str) -> Trial:
    """The trial of this id, or NotFound."""
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
    """The people of the panel, oldest first; with ``active_only=False`` those who left it and those erased as well."""
    with notebook.reading() as tx:
        return tx.book.panelists(active_only)


def erase_panelist(notebook: Notebook, panelist_id: str) -> None:
    """Forget somebody's alias, note and words; what was sealed keeps a random id and stays verifiable.

    The alias is struck from reasons of bars and from who keeps the strips; other texts are for :func:`texts_naming`.
    """
    with notebook.writing() as tx:
        alias = tx.book.panelist(panelist_id).alias
        for one in tx.texts.naming(alias):
            if (one.table, one.column) in TIED:
                tx.texts.strike(one, alias)
        tx.book.erase_panelist(panelist_id)


def kept_of(notebook: Notebook, panelist_id: str) -> Kept:
    """What there is of somebody, counted."""
    with notebook.reading() as tx:
        return tx.people.kept(panelist_id)


def texts_naming(notebook: Notebook, word: str) -> tuple[NamedIn, ...]:
    """Every text in which a name stands; it is looked for by what it is spelt like, so ask before erasing somebody."""
    with notebook.reading() as tx:
        return tx.texts.naming(word)


def strike(notebook: Notebook, place: NamedIn, word: str) -> None:
    """Take a name out of one text; logs and results stand as they did."""
    with notebook.writing() as tx:
        tx.texts.strike(place, word)


def _check_unserved(tx: Transaction, before: Trial, after: Trial) -> None:
    """Sealed sessions speak of the trial as it was served; only what changed and the parent may be corrected."""
    check_unserved(tx, before, changed(before, after))
    if before.label != after.label:
        for one in tx.bottles.of_trial(before.id):
            check_unserved(tx, tx.book.trial(one.id), ["label"])


def _check_parent(tx: Transaction, trial: Trial) -> None:
    """A trial descends from a trial of the same brief, and never from one of its own descendants."""
    seen, parent_id = {trial.id}, trial.parent_id
    while parent_id is not None:
        parent = tx.book.trial(parent_id)
        if parent.bottle_of:
            raise ArgumentError(f"parent must be a trial of the book, and {parent.label!r} is a bottle.")
        if parent.brief_id != trial.brief_id:
            raise ArgumentError(f"parent must be a trial of the same brief, and {parent.label!r} is not.")
        if parent.id in seen:
            raise ArgumentError(f"parent must not descend from the trial itself, and {parent.label!r} does.")
        seen.add(parent.id)
        parent_id = parent.parent_id
