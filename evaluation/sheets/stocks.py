"""Paper and label stock by plain measures, and where each label lies. All lengths in millimetres."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.ground import checks


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper, upright."""

    name: str
    width: float
    height: float


A4: Final = Paper("A4", 210.0, 297.0)  # ISO 216
LETTER: Final = Paper("US Letter", 215.9, 279.4)  # 8½ × 11 inches
PAPERS: Final = MappingProxyType({"a4": A4, "letter": LETTER})


@dataclass(frozen=True, slots=True)
class Stock:
    """Labels of one size on one sheet, centred on it; ``cut``: plain paper with lines to cut along."""

    paper: Paper
    width: float
    height: float
    columns: int
    rows: int
    gap: float = 0.0  # between columns; rows touch
    cut: bool = False

    @property
    def name(self) -> str:
        """Such as "38.1 × 21.2 mm, 65 on A4"."""
        cut = ", plain paper to cut" if self.cut else ""
        return f"{self.width:g} × {self.height:g} mm, {self.count} on {self.paper.name}{cut}"

    @property
    def count(self) -> int:
        """Labels on one sheet."""
        return self.columns * self.rows

    @property
    def left(self) -> float:
        """Margin in millimetres at the left, and as much at the right."""
        return (self.paper.width - self.columns * self.width - (self.columns - 1) * self.gap) / 2

    @property
    def top(self) -> float:
        """Margin in millimetres at the top, and as much at the foot."""
        return (self.paper.height - self.rows * self.height) / 2

    def places(self) -> Iterator[tuple[float, float]]:
        """Left upper corners, row by row."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield self.left + column * (self.width + self.gap), self.top + row * self.height


# Sizes common among stationers (common practice, no source). Each leaves room at the top for the 100 mm line.
STOCKS: Final = MappingProxyType(
    {
        "a4-65": Stock(A4, 38.1, 21.2, 5, 13, 2.5),
        "a4-189": Stock(A4, 25.4, 10.0, 7, 27, 2.5),
        "a4-48": Stock(A4, 45.7, 21.2, 4, 12, 2.5),
        "a4-21": Stock(A4, 63.5, 38.1, 3, 7, 2.5),
        "a4-cut": Stock(A4, 38.0, 18.0, 5, 15, cut=True),
        "letter-80": Stock(LETTER, 44.45, 12.7, 4, 20, 7.62),
        "letter-30": Stock(LETTER, 66.675, 25.4, 3, 10, 3.175),
        "letter-10": Stock(LETTER, 101.6, 50.8, 2, 5, 4.7625),
        "letter-cut": Stock(LETTER, 38.0, 18.0, 5, 14, cut=True),
    }
)
MOST_SHIFT: Final = 5.0


@dataclass(frozen=True, slots=True)
class Printing:
    """How labels are laid onto their stock: labels used already, and how far this printer is off."""

    stock: Stock
    used: int = 0
    right: float = 0.0
    down: float = 0.0
    qr: bool = False

    def __post_init__(self) -> None:
        checks.whole("labels used already", self.used, 0, self.stock.count - 1)
        checks.real("shift to the right in mm", self.right, -MOST_SHIFT, MOST_SHIFT)
        checks.real("shift down in mm", self.down, -MOST_SHIFT, MOST_SHIFT)

    def pages(self, labels: int) -> int:
        """Sheets that so many labels take, where those used already on the first sheet are passed over."""
        return -(-(labels + self.used) // self.stock.count)
