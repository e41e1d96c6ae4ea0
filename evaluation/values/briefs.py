"""A brief: what the scent must be, in the words of whoever asked for it and in targets a panel can rate."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.values.scales import LINE_END

TARGET_KINDS: Final = ("at least", "at most", "about")
MOST_TARGETS: Final = 60
HEAVIEST: Final = 10


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


@dataclass(frozen=True, slots=True)
class Target:
    """How strong a descriptor should be rated; ``minutes`` None means over the whole dry-down."""

    descriptor: str
    kind: str
    value: Decimal
    minutes: Decimal | None = None
    weight: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        checks.text("descriptor", self.descriptor, 40)
        checks.choice("kind of target", self.kind, TARGET_KINDS)
        for name, number, low, high in (
            ("value", self.value, Decimal(0), Decimal(LINE_END)),
            ("weight", self.weight, Decimal("0.1"), Decimal(HEAVIEST)),
        ):
            if not number.is_finite() or not low <= number <= high:
                raise ArgumentError(f"{name} of a target must be from {low} to {high}, not {number}.")
        if self.minutes is not None and not (self.minutes.is_finite() and 0 < self.minutes <= 7 * 24 * 60):
            raise ArgumentError(f"moment of a target must be minutes within a week, not {self.minutes}.")
        for name, kept in (("value", self.value), ("weight", self.weight), ("moment", self.minutes)):
            if kept is not None:
                checks.kept_decimal(f"{name} of a target", kept)
