"""Bottles: every id of a plan is that of a bottle, and the first bottle of a trial bears the trial's."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any, Final

from sqlalchemy import Select, bindparam, select, update

from evaluation.errors import ArgumentError
from evaluation.store import rows
from evaluation.store.desk import Desk, refused_as, wanting
from evaluation.store.translate import bottle_of, bottle_row, trial_of
from evaluation.values.bottles import Bottle
from evaluation.values.trials import Trial, bottle_name

_OF_TRIAL: Final = tuple(rows.trials.c[name] for name in ("brief_id", "label", "parent_id", "changed"))
# Trials as they are smelt: a row for each bottle.
SMELT: Final[Select[Any]] = select(rows.bottles, *_OF_TRIAL).join(
    rows.trials, rows.trials.c.id == rows.bottles.c.trial_id
)
FIRST: Final = rows.bottles.c.id == rows.bottles.c.trial_id
_SMELT: Final = SMELT.where(rows.bottles.c.id == bindparam("id"))
_BOTTLE: Final = wanting(rows.bottles.c.id)


class Bottles:
    """Verbs on what is smelt of a trial."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def add(self, bottle: Bottle) -> None:
        """Store a further bottle of a trial; refused where its mark is taken."""
        self._desk.only_row(select(rows.trials.c.id).where(rows.trials.c.id == bottle.trial_id), "trial")
        with refused_as(_mark_taken(bottle)):
            self._desk.add(rows.bottles, bottle_row(bottle))
        check_names(self._desk, bottle.trial_id)

    def bottle(self, bottle_id: str) -> Bottle:
        """The bottle of this id, or NotFound."""
        return bottle_of(self._desk.only_row(_BOTTLE, "bottle", id=bottle_id))

    def replace(self, bottle: Bottle) -> None:
        """Store a bottle in the place of the one with its id; refused where it is another trial's or its mark taken."""
        if self.bottle(bottle.id).trial_id != bottle.trial_id:
            raise ArgumentError("trial must stay the same: a bottle cannot become one of another trial.")
        with refused_as(_mark_taken(bottle)):
            write_over(self._desk, bottle)
        check_names(self._desk, bottle.trial_id)

    def of_trial(self, trial_id: str) -> tuple[Bottle, ...]:
        """The bottles of a trial, the first one first; none for a trial that is not there."""
        found = rows.bottles
        query = select(found).where(found.c.trial_id == trial_id)
        return tuple(bottle_of(row) for row in self._desk.rows(query.order_by(~FIRST, found.c.made_at, found.c.id)))

    def label(self, bottle_id: str) -> str:
        """How whoever fills vials finds a bottle: with its mark, also a first one, where its trial has others."""
        smelt = smelt_as(self._desk, bottle_id)
        own = self.of_trial(smelt.trial_id)
        alone = smelt.bottle_of or len(own) == 1
        return smelt.label if alone else bottle_name(smelt.label, own[0].mark)

    def names(self, bottle_ids: Sequence[str]) -> tuple[str, ...]:
        """What the bottles of a session are called beside one another: with its mark, also a first one, where another
        of its trial is among them; else a verdict on it would read as one on the trial.
        """
        of = Counter(trials_of(self._desk, bottle_ids).values())
        smelt = [smelt_as(self._desk, one) for one in bottle_ids]
        return tuple(self.label(one.id) if of[one.trial_id] > 1 else one.label for one in smelt)

    def trials(self, bottle_ids: Iterable[str]) -> dict[str, str]:
        """Of each bottle the trial it is of, by ids; those that are not there left out."""
        return trials_of(self._desk, bottle_ids)

    def smelt(self, brief_id: str) -> tuple[Trial, ...]:
        """The trials of a brief as they can be smelt, once for each bottle, oldest first."""
        query = SMELT.where(rows.trials.c.brief_id == brief_id)
        ordered = query.order_by(
            rows.trials.c.made_at, rows.trials.c.label, ~FIRST, rows.bottles.c.made_at, rows.bottles.c.id
        )
        return tuple(trial_of(row) for row in self._desk.rows(ordered))


def smelt_as(desk: Desk, bottle_id: str) -> Trial:
    """The trial of a bottle, seen through it, or NotFound."""
    return trial_of(desk.only_row(_SMELT, "trial", id=bottle_id))


def labels(desk: Desk, bottle_ids: Iterable[str]) -> dict[str, str]:
    """What bottles are called by the book, those that are not there left out."""
    query = SMELT.where(rows.bottles.c.id.in_(list(bottle_ids)))
    return {one.id: one.label for one in map(trial_of, desk.rows(query))}


def trials_of(desk: Desk, bottle_ids: Iterable[str]) -> dict[str, str]:
    """Of each bottle the trial it is of, by ids; those that are not there left out."""
    found = rows.bottles
    query = select(found.c.id, found.c.trial_id).where(found.c.id.in_(list(bottle_ids)))
    return {row.id: row.trial_id for row in desk.rows(query)}


def further(desk: Desk, bottle_ids: Iterable[str]) -> dict[str, str]:
    """The same of further bottles only: a first one bears its trial's id."""
    return {bottle: trial for bottle, trial in trials_of(desk, bottle_ids).items() if bottle != trial}


def write_over(desk: Desk, bottle: Bottle) -> None:
    """Put a bottle in the place of the one with its id."""
    desk.change(update(rows.bottles).where(rows.bottles.c.id == bottle.id).values(**bottle_row(bottle)))


def check_names(desk: Desk, trial_id: str) -> None:
    """Refuse what was just written of a trial where two things of its brief would bear one name on sheets and labels:
    a trial may be labelled as the bottle of another is called.
    """
    brief_id = select(rows.trials.c.brief_id).where(rows.trials.c.id == trial_id).scalar_subquery()
    found = desk.rows(SMELT.where(rows.trials.c.brief_id == brief_id))
    several = {row.trial_id for row in found if row.id != row.trial_id}
    marked = [bottle_name(row.label, row.mark) for row in found if row.trial_id in several]
    named = Counter([*marked, *(row.label for row in found if row.id == row.trial_id)])
    twice = next((name for name, times in named.items() if times > 1), None)
    if twice is not None:
        raise ArgumentError(f"label and mark must make a new name within the brief, and {twice!r} is taken.")


def _mark_taken(bottle: Bottle) -> ArgumentError:
    return ArgumentError(f"mark must be new among the bottles of the trial, and {bottle.mark!r} is taken.")
