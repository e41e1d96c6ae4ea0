"""Whether a change can be what moved: when its materials are smelt, against the strip ages at which something moved.

A rule of ours. It says *unfitting* only where every age at which something moved lies outside the window of each of
the change's materials, widened twofold; else the change *fits*, and nothing is ever proved. That a material masks or
carries another is left out by assumption: a base can change the opening, and this rule would call it unfitting.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final

from evaluation.formulas.raw_materials import Material

FITS: Final = "fits"
UNFITTING: Final = "unfitting"
NOT_SAID: Final = ""  # nothing moved
WIDENED: Final = 2


def fitting(materials: Sequence[Material], moved_minutes: Sequence[Decimal | Fraction | int]) -> str:
    """The word for one change; a material whose window nobody knows fits every age."""
    if not moved_minutes:
        return NOT_SAID
    windows = [one.window for one in materials]
    inside = any(_inside(window, age) for window in windows for age in moved_minutes)
    return FITS if inside else UNFITTING


def _inside(window: tuple[int, int] | None, minutes: Decimal | Fraction | int) -> bool:
    if window is None:
        return True
    return Fraction(window[0], WIDENED) <= Fraction(minutes) <= window[1] * WIDENED
