"""Whether two briefs share trials: one that is begun anew with the formulas of another goes on counting its finals."""

from __future__ import annotations

from itertools import product

from evaluation.formulas.changes import difference
from evaluation.store import Transaction


def share_trials(tx: Transaction, one_brief: str, other_brief: str) -> bool:
    """True where a trial of each has the same formula, as far as both are known; nothing is guessed from labels."""
    one, other = (
        tx.formulas.of_trials(each.id for each in tx.book.trials(brief)) for brief in (one_brief, other_brief)
    )
    return any(not difference(*pair).changes for pair in product(one.values(), other.values()))
