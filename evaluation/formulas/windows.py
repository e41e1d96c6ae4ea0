"""Whether a change can be what moved: when its materials are smelt, against the strip ages at which something moved.

A rule of ours. It says *unfitting* only where every age at which something moved lies outside the window of each of
the change's materials, widened twofold; else the change *fits*, and nothing is ever proved. That a material masks or
carries another is left out by assumption: a base can change the opening, and this rule would call it unfitting.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Final, TypeVar

from evaluation.formulas.raw_materials import Material

FITS: Final = "fits"
UNFITTING: Final = "unfitting"
NOT_SAID: Final = ""  # nothing moved
WIDENED: Final = 2

Minutes = Decimal | Fraction | int
Age = TypeVar("Age", bound=Minutes)


def ages_inside(materials: Sequence[Material], ages: Sequence[Age]) -> tuple[Age, ...] | None:
    """Those of the ages at which a change may be smelt: inside the widened window of any of its materials.

    None where nobody knows the window of one of them, since then any age may be one. A solvent beside other materials
    asks for no window: it carries nothing of the scent.
    """
    windows = [one.window for one in scented(materials)]
    known = [one for one in windows if one is not None]
    if len(known) < len(windows):
        return None
    return tuple(age for age in ages if any(_inside(window, age) for window in known))


def scented(materials: Sequence[Material]) -> tuple[Material, ...]:
    """Without solvents, unless there is nothing else."""
    return tuple(one for one in materials if not one.solvent) or tuple(materials)


def fitting(materials: Sequence[Material], moved_minutes: Sequence[Minutes]) -> str:
    """The word for one change; a material whose window nobody knows fits every age."""
    if not moved_minutes:
        return NOT_SAID
    inside = ages_inside(materials, moved_minutes)
    return FITS if inside is None or inside else UNFITTING


def _inside(window: tuple[int, int], minutes: Minutes) -> bool:
    return Fraction(window[0], WIDENED) <= Fraction(minutes) <= window[1] * WIDENED
