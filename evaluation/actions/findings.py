"""Opening the key, and what a session found: the last step, and the only one that reads answers against the key."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from evaluation.actions.opened import Findings
from evaluation.actions.profile_findings import profile_findings
from evaluation.actions.round_findings import round_findings
from evaluation.actions.two_findings import two_findings
from evaluation.kinds import ByKind
from evaluation.sessions import Session
from evaluation.store import Notebook

Finder = Callable[[Notebook, str], Findings[Any]]
FINDERS: Final[ByKind[Finder]] = ByKind(
    "findings",
    {
        "forced choice": two_findings,
        "preference": two_findings,
        "profile": profile_findings,
        "round": round_findings,
        "ranking": round_findings,
    },
)


def open_session(notebook: Notebook, session_id: str) -> Session:
    """Open the key of a closed session; written to the log."""
    with notebook.writing() as tx:
        return tx.sittings.advance(session_id, "open")


def findings(notebook: Notebook, session_id: str) -> Findings[Any]:
    """What an opened session found, whatever its kind; StillBlind for any other, a void one included."""
    with notebook.reading() as tx:
        method = tx.sittings.session(session_id).plan.method
    return FINDERS.of(method)(notebook, session_id)
