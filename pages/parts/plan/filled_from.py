"""What the plan form offers to choose from: the brief, its trials and words, and the people of the panel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from evaluation.store import Notebook
from evaluation.values.descriptors import Descriptor
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial


@dataclass(frozen=True, slots=True)
class Room:
    """What the form is filled from: where its keys begin, the book, the panel."""

    key: str  # prefix of every widget key
    notebook: Notebook
    trials: Mapping[str, Trial]
    people: Mapping[str, Panelist]
    descriptors: tuple[Descriptor, ...] = ()  # the brief's list as it is now

    def keyed(self, name: str) -> dict[str, Any]:
        """The key of one widget; what was typed outlives a visit to another page."""
        return {"key": f"{self.key} {name}", "persist_state": "session"}
