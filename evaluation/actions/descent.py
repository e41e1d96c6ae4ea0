"""A brief as a tree of its trials, from the book, its sessions and its record. Shown to the conductor only."""

from __future__ import annotations

from typing import Final

from evaluation.actions import aims, decide, formulas, plan
from evaluation.actions.decide import Record
from evaluation.deciding.evidence import Evidence
from evaluation.deciding.lineages import Held, Lineage, pairs_of, places, step
from evaluation.deciding.proposals import LEAD, Proposal, proposal
from evaluation.ground.states import State
from evaluation.store import Notebook


def lineage(notebook: Notebook, seen: Evidence, offered: Proposal, record: Record) -> Lineage:
    """The trials of a brief with what lies between them; of a session that is not opened only that it is sealed."""
    held = _held(notebook, seen.brief_id)
    steps, others = pairs_of(seen, held)
    changes = formulas.between_all(notebook, (*steps, *others))
    known = {pair: step(pair, seen, held, changes.get(pair)) for pair in (*steps, *others)}
    return Lineage(
        seen,
        places(seen.parents),
        {second: known[first, second] for first, second in steps},
        tuple(one for one in (known[pair] for pair in others) if one.sessions or one.ahead),
        {one.trial_id: one.word for one in record.standing},
        offered.trial_id if offered.word == LEAD else "",
    )


def _held(notebook: Notebook, brief_id: str) -> tuple[Held, ...]:
    """The sessions of a brief; a plan names bottles."""
    listed = plan.sessions(notebook, brief_id)
    with notebook.reading() as tx:
        of = tx.bottles.trials({bottle for one in listed for bottle in one.plan.trial_ids})
    return tuple(
        Held(
            one.state,
            tuple(of.get(bottle, bottle) for bottle in one.plan.trial_ids),
            one.plan.design.separation is not None,
        )
        for one in listed
    )


def of_brief(notebook: Notebook, brief_id: str) -> Lineage:
    """The same where nothing of the brief was looked at yet.

    What was opened says the same for ever, and finding it anew each time the trial book is drawn costs more than all
    else on that page. So it is found once, and again where the book, the targets or a log went on. Whether logs still
    hold is looked at where people decide, not here.
    """
    stands = _as_it_stands(notebook, brief_id)
    kept = _KEPT.get((notebook.where, brief_id))
    if kept is None or kept[0] != stands:
        kept = (stands, decide.evidence(notebook, brief_id))
        _keep(notebook, kept)
    return lineage(notebook, kept[1], proposal(kept[1]), decide.record(notebook, brief_id))


_Stands = tuple[tuple[tuple[str, State, str], ...], object]
_KEPT: Final[dict[tuple[str | None, str], tuple[_Stands, Evidence]]] = {}  # by the place of a notebook, and brief
_MOST_KEPT: Final = 16


def _keep(notebook: Notebook, kept: tuple[_Stands, Evidence]) -> None:
    """Unless a session opened by a clock that is ahead of ours is not told yet: it will be, and no log goes on."""
    stands, seen = kept
    if sum(state == "opened" for _, state, _ in stands[0]) > len(seen.sessions):
        return
    if len(_KEPT) >= _MOST_KEPT:
        _KEPT.clear()
    _KEPT[notebook.where, seen.brief_id] = kept


def _as_it_stands(notebook: Notebook, brief_id: str) -> _Stands:
    """All that the evidence of a brief is made of, or for logs the hash they end in: restored ones go on otherwise."""
    with notebook.reading() as tx:
        ends = tuple((one.id, one.state, tx.log.last_hash(one.id)) for one in tx.sittings.sessions(brief_id))
        book = tx.book.trials(brief_id), tx.bottles.smelt(brief_id)
    return ends, (book, aims.targets(notebook, brief_id))
