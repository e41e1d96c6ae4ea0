"""The report of a session, whatever its method: from a notebook, or from an exported file."""

from __future__ import annotations

from evaluation.actions.findings import findings
from evaluation.report import two
from evaluation.report.blocks import Report
from evaluation.store import Notebook


def report(notebook: Notebook, session_id: str) -> Report:
    """Of an opened session; StillBlind for any other."""
    with notebook.reading() as tx:
        tx.key.open_key(session_id)  # refuses first
        session, last = tx.sittings.session(session_id), tx.log.records(session_id)[-1].at
    return two.report(findings(notebook, session.id), last)
