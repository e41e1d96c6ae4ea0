"""What was decided about a trial, why, and on which evidence as it stood: values that are never changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.ground import checks
from evaluation.ground.canonical import canonical, digest

WORDS: Final = ("keep", "rework", "drop", "smell again")


@dataclass(frozen=True, slots=True)
class Decision:
    """One record of a brief; ``supersedes`` names an earlier one that no longer holds.

    ``evidence`` is canonical JSON: what every opened session of the brief said at that moment. ``hash`` covers
    everything else and the record before (``previous``).
    """

    id: str
    brief_id: str
    number: int  # in the brief, from 1
    trial_id: str
    word: str
    reason: str
    evidence: str
    supersedes: str | None
    at: int
    previous: str
    hash: str = ""

    def __post_init__(self) -> None:
        checks.whole("number", self.number, 1)
        checks.choice("decision", self.word, WORDS)
        checks.text("reason", self.reason, 2000)


def hash_of(decision: Decision) -> str:
    """The hash of a decision, its own left out."""
    fields = {name: getattr(decision, name) for name in Decision.__slots__ if name != "hash"}
    return digest(canonical(fields))
