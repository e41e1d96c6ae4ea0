"""People of a panel, known by an alias only."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation.ground import checks


@dataclass(frozen=True, slots=True)
class Panelist:
    """Somebody who smells; ``id`` is random and is what sealed records hold, the alias can be erased."""

    id: str
    alias: str
    note: str
    active: bool
    made_at: int

    def __post_init__(self) -> None:
        checks.text("alias", self.alias, 40)
        checks.text("note", self.note, 400, empty=True)
