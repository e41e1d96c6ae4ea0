"""What an opened round of pairs or ranking found: strip and skin apart, with all that stands around it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from evaluation.actions.opened import Findings, context_of, held_of
from evaluation.counting.questions import Held, on_medium
from evaluation.counting.rounds import RoundFound, ranking_found, round_found
from evaluation.store import Notebook

FOUND: Final[MappingProxyType[str, Callable[[Held, tuple[str, ...]], RoundFound]]] = MappingProxyType(
    {"round": round_found, "ranking": ranking_found}
)
RoundFindings = Findings[RoundFound]


def round_findings(notebook: Notebook, session_id: str) -> RoundFindings:
    """What an opened round or ranking found; StillBlind for any other, a void one included."""
    with notebook.reading() as tx:
        held = held_of(tx, session_id)
        about = context_of(tx, held, session_id)
        strength = tx.book.trial(held.plan.first_trial_id).strength_percent if held.plan.strips_a_code > 1 else None
    of = FOUND[held.plan.method]
    parts = (of(on_medium(held, medium), about.names) for medium in held.plan.media)
    return Findings(about, tuple(replace(one, strength=strength) for one in parts))
