"""A trial worn on skin for a day: written down only while the skin gate lets that person wear it."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation.actions.skin_gate import gates_of, refuse_shut
from evaluation.skin.day_worn import DayWorn
from evaluation.store import Notebook


@dataclass(frozen=True, slots=True)
class WornBy:
    """One record as it is shown: whose skin, what was found, when it was written down."""

    alias: str
    found: str
    at: int


def wear_for_a_day(notebook: Notebook, trial_id: str, panelist_id: str, found: str, zone: str = "UTC") -> None:
    """Write down what a day on skin showed; refused while the gate of this trial is shut for this person."""
    with notebook.writing() as tx:
        refuse_shut(gates_of(tx, (trial_id,), [tx.book.panelist(panelist_id)], zone))
        tx.reactions.wear(DayWorn(panelist_id, trial_id, found.strip(), tx.clock.now()))


def days_worn(notebook: Notebook, trial_id: str) -> tuple[WornBy, ...]:
    """Every day this trial was worn, oldest first; of people who were erased, or took it back, nothing."""
    with notebook.reading() as tx:
        mine = [one for one in tx.reactions.days_worn() if one.trial_id == trial_id]
        return tuple(WornBy(tx.book.panelist(one.panelist_id).alias, one.found, one.at) for one in mine)
