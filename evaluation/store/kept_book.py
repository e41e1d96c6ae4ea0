"""Briefs, trials and people."""

from __future__ import annotations

from typing import Final

from sqlalchemy import select, update

from evaluation.errors import ArgumentError
from evaluation.store import chain, kept_bottles, kept_people, kept_skin, rows
from evaluation.store.desk import Desk, refused_as, wanting
from evaluation.store.translate import bottle_row, brief_of, flat, panelist_of, trial_of, trial_row
from evaluation.values.bottles import first_bottle
from evaluation.values.briefs import Brief
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

ERASED_ALIAS = "erased person"
_BRIEF: Final = wanting(rows.briefs.c.id)
_PANELIST: Final = wanting(rows.panelists.c.id)


class Book:
    """Verbs on the trial book and the panel."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def add_brief(self, brief: Brief) -> None:
        """Store a new brief."""
        self._desk.add(rows.briefs, flat(brief))

    def brief(self, brief_id: str) -> Brief:
        """The brief of this id, or NotFound."""
        return brief_of(self._desk.only_row(_BRIEF, "brief", id=brief_id))

    def replace_brief(self, brief: Brief) -> None:
        """Store a brief in the place of the one with its id, or NotFound; what stood there before is gone."""
        if self.brief(brief.id).title != brief.title:
            self._tell_logs(brief)
        self._desk.change(update(rows.briefs).where(rows.briefs.c.id == brief.id).values(**flat(brief)))

    def _tell_logs(self, brief: Brief) -> None:
        """Another title goes into the log of every session that holds the one before."""
        query = select(rows.sessions.c.id).where(rows.sessions.c.brief_id == brief.id, rows.sessions.c.state != "draft")
        for row in self._desk.rows(query.order_by(rows.sessions.c.id)):
            chain.append_record(self._desk, row.id, "renamed", {chain.NAMED: {brief.id: brief.title}})

    def briefs(self) -> tuple[Brief, ...]:
        """Every brief, oldest first."""
        query = select(rows.briefs).order_by(rows.briefs.c.made_at, rows.briefs.c.title)
        return tuple(brief_of(row) for row in self._desk.rows(query))

    def write_sheet(self, brief_id: str, kind: str, body: str) -> None:
        """Write what a brief wants rated or aims at anew; what was written before is kept."""
        self.brief(brief_id)
        self._desk.add(rows.brief_sheets, {"brief_id": brief_id, "kind": kind, "body": body, "at": self._desk.now()})

    def sheets(self, brief_id: str, kind: str) -> tuple[tuple[int, str], ...]:
        """When each was written and what it says, oldest first."""
        found = rows.brief_sheets
        query = select(found.c.at, found.c.body).where(found.c.brief_id == brief_id, found.c.kind == kind)
        return tuple((row.at, row.body) for row in self._desk.rows(query.order_by(found.c.id)))

    def add_trial(self, trial: Trial) -> None:
        """Store a new trial with its first bottle; refused where the label is taken or the parent of another brief."""
        self._check_family(trial)
        with refused_as(_label_taken(trial)):
            self._desk.add(rows.trials, trial_row(trial))
        self._desk.add(rows.bottles, bottle_row(first_bottle(trial)))
        kept_bottles.check_names(self._desk, trial.id)

    def trial(self, trial_id: str) -> Trial:
        """The trial of this id, or of the bottle of this id, seen through it; or NotFound."""
        return kept_bottles.smelt_as(self._desk, trial_id)

    def trials(self, brief_id: str) -> tuple[Trial, ...]:
        """The trials of a brief, through their first bottles, oldest first."""
        query = kept_bottles.SMELT.where(rows.trials.c.brief_id == brief_id, kept_bottles.FIRST)
        ordered = query.order_by(rows.trials.c.made_at, rows.trials.c.label)
        return tuple(trial_of(row) for row in self._desk.rows(ordered))

    def replace_trial(self, trial: Trial) -> None:
        """Store a trial in the place of the one with its id; refused where brief, label or parent do not fit."""
        if trial.bottle_of:
            raise ArgumentError("trial must be one of the book, not one seen through a further bottle.")
        if self.trial(trial.id).brief_id != trial.brief_id:
            raise ArgumentError("brief must stay the same: a trial cannot move to another brief.")
        self._check_family(trial)
        with refused_as(_label_taken(trial)):
            self._desk.change(update(rows.trials).where(rows.trials.c.id == trial.id).values(**trial_row(trial)))
        kept_bottles.write_over(self._desk, first_bottle(trial))
        kept_bottles.check_names(self._desk, trial.id)

    def _check_family(self, trial: Trial) -> None:
        self.brief(trial.brief_id)
        if trial.parent_id is not None and self.trial(trial.parent_id).brief_id != trial.brief_id:
            raise ArgumentError("parent must be a trial of the same brief.")

    def add_panelist(self, panelist: Panelist) -> None:
        """Store a new person; refused where an active person has the alias."""
        with refused_as(_alias_taken(panelist)):
            self._desk.add(rows.panelists, flat(panelist))

    def panelist(self, panelist_id: str) -> Panelist:
        """The person of this id, or NotFound; after erasing under the alias that stands for nobody."""
        return panelist_of(self._desk.only_row(_PANELIST, "panelist", id=panelist_id))

    def panelists(self, active_only: bool = True) -> tuple[Panelist, ...]:
        """People, oldest first; those who left the panel only with ``active_only=False``."""
        query = select(rows.panelists).order_by(rows.panelists.c.made_at, rows.panelists.c.alias)
        found = query.where(rows.panelists.c.active) if active_only else query
        return tuple(panelist_of(row) for row in self._desk.rows(found))

    def replace_panelist(self, panelist: Panelist) -> None:
        """Store a person in the place of the one with this id; refused where an active person has the alias.

        Refused of whoever was erased: nobody is there any more who could smell.
        """
        if self.panelist(panelist.id).alias == ERASED_ALIAS:
            raise ArgumentError("panelist must not be somebody who was erased: add a new person.")
        change = update(rows.panelists).where(rows.panelists.c.id == panelist.id)
        with refused_as(_alias_taken(panelist)):
            self._desk.change(change.values(**flat(panelist)))

    def erase_panelist(self, panelist_id: str) -> None:
        """Forget alias, note, every word, what was tapped and not locked, and all about this person's skin.

        Links and visits end. What was sealed and answered stays under a random id.
        """
        self.panelist(panelist_id)
        person = update(rows.panelists).where(rows.panelists.c.id == panelist_id)
        self._desk.change(person.values(alias=ERASED_ALIAS, note="", active=False))
        words = update(rows.personal_texts).where(rows.personal_texts.c.panelist_id == panelist_id)
        self._desk.change(words.values(text=None, salt=None))
        kept_skin.forget(self._desk, panelist_id, erased=True)
        kept_people.forget(self._desk, panelist_id)
        self._desk.erased.add(panelist_id)


def _label_taken(trial: Trial) -> ArgumentError:
    return ArgumentError(f"label must be new within the brief: there is a trial {trial.label!r} already.")


def _alias_taken(panelist: Panelist) -> ArgumentError:
    return ArgumentError(f"alias must be new among active panelists: {panelist.alias!r} is taken.")
