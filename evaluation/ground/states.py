"""The states a session may pass, and the one table of steps between them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final, Literal

from evaluation.errors import StateError

State = Literal["draft", "sealed", "smelling", "closed", "opened", "void"]
Event = Literal["seal", "start", "close", "open", "void"]

EVENTS: Final[tuple[Event, ...]] = ("seal", "start", "close", "open", "void")
STATES: Final[tuple[State, ...]] = ("draft", "sealed", "smelling", "closed", "opened", "void")
TRANSITIONS: Final[Mapping[tuple[State, Event], State]] = MappingProxyType(
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


def next_state(state: State, event: Event) -> State:
    """The state after ``event``; a step that is not in the table is refused."""
    try:
        return TRANSITIONS[state, event]
    except KeyError:
        allowed: list[str] = [e for s, e in TRANSITIONS if s == state]
        can = ", ".join(allowed) or "nothing more"
        raise StateError(f"A session that is {state} cannot {event}; it can: {can}.") from None
