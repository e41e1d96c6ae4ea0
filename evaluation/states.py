"""The states a session may pass, and the one table of steps between them."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from evaluation.errors import StateError

STATES: Final = ("draft", "sealed", "smelling", "closed", "opened", "void")
TRANSITIONS: Final = MappingProxyType(
    {
        ("draft", "seal"): "sealed",
        ("sealed", "start"): "smelling",
        ("smelling", "close"): "closed",
        ("closed", "open"): "opened",
        ("sealed", "void"): "void",
        ("smelling", "void"): "void",
        ("closed", "void"): "void",
    }
)


def next_state(state: str, event: str) -> str:
    """The state after ``event``; a step that is not in the table is refused."""
    try:
        return TRANSITIONS[state, event]
    except KeyError:
        allowed = [e for s, e in TRANSITIONS if s == state] or ["nothing more"]
        raise StateError(f"A session that is {state} cannot {event}; it can: {', '.join(allowed)}.") from None
