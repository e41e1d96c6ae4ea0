"""Second strips: candidate materials held beside the strip of a trial, and the blank that lets the trial stand alone.

A fan is no mixture: two papers give off their vapours beside one another, and nothing of one changes how the other
dries down. It says what is worth a bottle, and the bottle is smelt before anybody says that it is better.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks

CANDIDATES: Final = (2, 5)  # fewest and most: with the trial alone three to six pairs of strips on a tray
LONGEST_MATERIAL: Final = 80
LONGEST_SOLVENT: Final = 60
SIDES: Final = ("left", "right")  # on the labels of every pair alike: the trial's strip is the left one
COMMON: Final = "TRIAL"  # what stands on the vial every pair's first strip is dipped in, beside the letters


@dataclass(frozen=True, slots=True)
class SecondStrip:
    """A candidate as it is put on a second strip: so many percent of it by weight, in the solvent all of them share.

    Never neat: the blank of the trial alone could not look like it, and no trial would hold so much of it.
    """

    material: str
    percent: Decimal

    def __post_init__(self) -> None:
        checks.text("material on a second strip", self.material, LONGEST_MATERIAL)
        checks.decimal(f"percent of {self.material} on a second strip (never neat)", self.percent, 100)

    @property
    def name(self) -> str:
        """ "cedar 1 %"."""
        return f"{self.material} {self.percent.normalize():f} %"

    def parts_beside(self, strength_percent: Decimal) -> Fraction:
        """Parts of it to 100 parts of the trial's concentrate that put as much of it on one strip as this one carried.

        As if both strips drink alike; where to begin, not what is right.
        """
        return Fraction(self.percent) * 100 / Fraction(strength_percent)


def check_second_strips(strips: tuple[SecondStrip, ...], solvent: str) -> None:
    """Refuse what cannot be told apart blind: too few or too many, one material twice, no solvent for the blank."""
    fewest, most = CANDIDATES
    if not fewest <= len(strips) <= most:
        raise ArgumentError(f"materials on a second strip must be {fewest} to {most}, not {len(strips)}.")
    if len({" ".join(one.name.casefold().split()) for one in strips}) < len(strips):
        raise ArgumentError("materials on a second strip must be different ones, or different strengths of one.")
    checks.text("solvent of the second strips", solvent, LONGEST_SOLVENT)


def beside_names(label: str, strips: tuple[SecondStrip, ...]) -> tuple[str, ...]:
    """What the pairs of a fan are called where trials are named: "7 alone", "7 beside cedar 1 %"."""
    return (f"{label} alone", *(f"{label} beside {one.name}" for one in strips))


def vial_names(strips: tuple[SecondStrip, ...], solvent: str) -> tuple[str, ...]:
    """What is filled into the vials of the second strips, the blank first."""
    return (f"blank: {solvent}, nothing in it", *(f"{one.name} in {solvent}" for one in strips))
