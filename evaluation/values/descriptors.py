"""Descriptors of a scent: words a panel rates, their end words, and a list to begin with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.values.scales import ScaleName, scale_of

MOST_DESCRIPTORS: Final = 40
RESERVED: Final = frozenset({"strength", "liking"})  # questions of their own


@dataclass(frozen=True, slots=True)
class Descriptor:
    """One word to rate; ``low`` and ``high`` are the words at the ends of its scale."""

    name: str
    scale: ScaleName = "line"
    family: str = ""
    definition: str = ""
    low: str = ""
    high: str = ""
    reference: str = ""  # what to smell in training

    def __post_init__(self) -> None:
        checks.text("descriptor", self.name, 40)
        scale_of(self.scale)
        for name, most in (("family", 40), ("definition", 400), ("low", 30), ("high", 30), ("reference", 200)):
            checks.text(name, getattr(self, name), most, empty=True)


def check_list(descriptors: Sequence[Descriptor]) -> None:
    """Refuse a list that is too long, names a word twice, or takes the words of strength and liking."""
    names = [one.name.casefold() for one in descriptors]
    if len(names) > MOST_DESCRIPTORS:
        raise ArgumentError(f"descriptors must be at most {MOST_DESCRIPTORS}, not {len(names)}.")
    if len(set(names)) != len(names):
        raise ArgumentError("descriptors must name each word once.")
    if RESERVED & set(names):
        raise ArgumentError("descriptors must not be named strength or liking: those are questions of their own.")


# Words of the trade by family, to begin with (common practice, no source); a brief keeps the few that matter to it.
STARTER: Final = MappingProxyType(
    {
        "top": ("citrus", "fresh", "green", "aromatic", "fruity", "watery"),
        "heart": ("floral", "rosy", "spicy", "powdery", "honeyed"),
        "base": ("woody", "smoky", "leathery", "balsamic", "sweet", "musky", "animalic", "earthy", "mossy"),
        "faults": ("harsh", "metallic", "soapy", "musty"),
    }
)
