"""A brief as a tree of its trials, from the book, its sessions and its record. Shown to the conductor only."""

from __future__ import annotations

from evaluation.actions import decide, formulas, plan
from evaluation.actions.decide import Record
from evaluation.deciding.evidence import Evidence
from evaluation.deciding.lineages import Held, Lineage, pairs_of, places, step
from evaluation.deciding.proposals import LEAD, Proposal, proposal
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
    return tuple(Held(one.state, tuple(of.get(bottle, bottle) for bottle in one.plan.trial_ids)) for one in listed)


def of_brief(notebook: Notebook, brief_id: str) -> Lineage:
    """The same where nothing of the brief was looked at yet."""
    seen = decide.evidence(notebook, brief_id)
    return lineage(notebook, seen, proposal(seen), decide.record(notebook, brief_id))
