"""A trial worn on skin for a day: what no strip shows, asked for before it is kept."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation.ground import checks


@dataclass(frozen=True, slots=True)
class DayWorn:
    """Somebody wore a trial for a day; ``found``: what was found, in their words."""

    panelist_id: str
    trial_id: str
    found: str
    at: int

    def __post_init__(self) -> None:
        checks.reason("what was found", self.found)
