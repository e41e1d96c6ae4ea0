"""The report of a session, whatever its method: from a notebook, or from an exported file."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations
from typing import Any, Final

from evaluation.actions.findings import findings
from evaluation.actions.pins import handed_on
from evaluation.kinds import ByKind
from evaluation.report import profile, several_trials, ticked_formulas, two
from evaluation.report.blocks import Report
from evaluation.store import Notebook

# What makes a report of the findings of a kind, and the instant of the last line of the log
REPORTS: Final[ByKind[Callable[[Any, int], Report]]] = ByKind(
    "a report",
    {
        "forced choice": two.report,
        "preference": two.report,
        "profile": profile.report,
        "round": several_trials.report,
        "ranking": several_trials.report,
    },
)


def report(notebook: Notebook, session_id: str, *, formulas: bool = False) -> Report:
    """Of an opened session; StillBlind for any other. ``formulas``: with those of its trials, where that was ticked."""
    with notebook.reading() as tx:
        tx.key.open_key(session_id)  # refuses first
        session, last = tx.sittings.session(session_id), tx.log.records(session_id)[-1].at
        of = tx.bottles.trials(session.plan.trial_ids)
        trials = {of[bottle]: tx.book.trial(of[bottle]).label for bottle in session.plan.trial_ids}
    found = findings(notebook, session_id)
    made = REPORTS.of(session.plan.method)(handed_on(notebook, found), last)
    return ticked_formulas.with_formulas(made, notebook, trials, combinations(trials, 2), found) if formulas else made
