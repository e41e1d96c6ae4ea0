"""A brief: what the scent must be, in the words of whoever asked for it."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation import checks


@dataclass(frozen=True, slots=True)
class Brief:
    """What the scent must be; panelists may be shown ``text``, so it names no trial."""

    id: str
    title: str
    text: str
    made_at: int

    def __post_init__(self) -> None:
        checks.text("title", self.title, 120)
        checks.text("text", self.text, 4000, empty=True)
