"""Opening the key, and what a session found: the last step, and the only one that reads answers against the key."""

from __future__ import annotations

from evaluation.sessions import Session
from evaluation.store import Notebook


def open_session(notebook: Notebook, session_id: str) -> Session:
    """Open the key of a closed session; written to the log."""
    with notebook.writing() as tx:
        return tx.sittings.advance(session_id, "open")


def log_texts(notebook: Notebook, session_id: str) -> dict[str, str]:
    """Reasons and remarks the log holds by digest only, as far as nobody has taken them back."""
    with notebook.reading() as tx:
        return tx.log.texts(session_id)
