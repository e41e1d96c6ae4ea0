"""The report of a session, whatever its method: from a notebook, or from an exported file."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from evaluation.actions.profile_findings import profile_findings
from evaluation.actions.round_findings import round_findings
from evaluation.actions.two_findings import two_findings
from evaluation.kinds import ByKind
from evaluation.report import profile, rounds, two
from evaluation.report.blocks import Report
from evaluation.store import Notebook


def _of_two(notebook: Notebook, session_id: str, instant: int) -> Report:
    return two.report(two_findings(notebook, session_id), instant)


def _of_profile(notebook: Notebook, session_id: str, instant: int) -> Report:
    return profile.report(profile_findings(notebook, session_id), instant)


def _of_round(notebook: Notebook, session_id: str, instant: int) -> Report:
    return rounds.report(round_findings(notebook, session_id), instant)


REPORTS: Final[ByKind[Callable[[Notebook, str, int], Report]]] = ByKind(
    "a report",
    {
        "forced choice": _of_two,
        "preference": _of_two,
        "profile": _of_profile,
        "round": _of_round,
        "ranking": _of_round,
    },
)


def report(notebook: Notebook, session_id: str) -> Report:
    """Of an opened session; StillBlind for any other."""
    with notebook.reading() as tx:
        tx.key.open_key(session_id)  # refuses first
        session, last = tx.sittings.session(session_id), tx.log.records(session_id)[-1].at
    return REPORTS.of(session.plan.method)(notebook, session_id, last)
