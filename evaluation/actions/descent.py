"""A brief as a tree of its trials, from the book, its sessions and its record. Shown to the conductor only."""

from __future__ import annotations

from evaluation.actions import decide, formulas, plan
from evaluation.actions.decide import Outcome, Record
from evaluation.deciding.lineages import Lineage, pairs_of, places, step
from evaluation.deciding.proposals import LEAD
from evaluation.store import Notebook


def lineage(notebook: Notebook, brief_id: str, found: Outcome, record: Record) -> Lineage:
    """The trials of a brief with what lies between them; of a session that is not opened only that it is sealed."""
    seen, held = found.evidence, plan.sessions(notebook, brief_id)
    steps, others = pairs_of(seen, held)
    changes = formulas.between_all(notebook, (*steps, *others))
    known = {pair: step(pair, seen, held, changes.get(pair)) for pair in (*steps, *others)}
    return Lineage(
        seen,
        places(seen.parents),
        {second: known[first, second] for first, second in steps},
        tuple(one for one in (known[pair] for pair in others) if one.sessions or one.ahead),
        {one.trial_id: one.word for one in record.standing},
        found.proposal.trial_id if found.proposal.word == LEAD else "",
    )


def of_brief(notebook: Notebook, brief_id: str) -> Lineage:
    """The same where nothing of the brief was looked at yet."""
    return lineage(notebook, brief_id, decide.outcome(notebook, brief_id), decide.record(notebook, brief_id))
