"""What formulas are made of: one list of materials for the trial book and the skin gate.

Percentages are mass fractions times 100: the mass of a part over the mass of the whole (ISO 80000-9, mass fraction,
from memory). No limit of any material stands here.
"""

from __future__ import annotations

import decimal
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.tables_digits import significant

VOLATILITIES: Final = ("", "top", "heart", "base")
LONGEST_NUMBER: Final = 12  # digits of an entered number
LATEST_MINUTES: Final = 30 * 24 * 60  # a month: the longest a strip is looked at
# Until when a class is smelt on a strip (common practice, no source), no more than a hint. All begin at the first
# sniff: a class says how long a material lasts, and a strong one of the base is smelt in the opening, too.
CLASS_MINUTES: Final = MappingProxyType({"top": (0, 15), "heart": (0, 180), "base": (0, LATEST_MINUTES)})


def percent(name: str, value: Decimal, low: int, *, low_counts: bool = False) -> None:
    """Refuse what is no percentage above ``low`` (or from it on) and at most 100, or has too many digits."""
    if not _in_range(value, low, low_counts):
        span = f"from {low} to 100" if low_counts else f"above {low} and at most 100"
        raise ArgumentError(f"{name} must be {span} percent, not {value}.")
    few_digits(name, value)


def few_digits(name: str, value: Decimal) -> None:
    """Refuse a number nobody would type: more than ``LONGEST_NUMBER`` digits before or behind the point."""
    _, digits, exponent = value.as_tuple()
    if len(digits) > LONGEST_NUMBER or abs(int(exponent)) > LONGEST_NUMBER:
        raise ArgumentError(f"{name} may have at most {LONGEST_NUMBER} digits, not {value}.")


def _in_range(value: Any, low: int, low_counts: bool) -> bool:
    if not isinstance(value, Decimal) or not value.is_finite():
        return False
    return (low <= value if low_counts else low < value) and value <= 100


def name_key(name: str) -> str:
    """What two names of one material share: letters alike but for case, blanks of any kind left out.

    Unicode NFKC and case folding (Unicode Standard, 3.13); blanks are white space and characters without width, so
    that a non-breaking, a doubled or a forgotten blank makes no second material.
    """
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    return "".join(one for one in folded if not one.isspace() and unicodedata.category(one) != "Cf")


@dataclass(frozen=True, slots=True)
class Material:
    """Something a formula is made of. ``minutes``: from when to when it is smelt on a strip, if the user knows."""

    id: str
    name: str
    volatility: str = ""
    natural: bool = False
    phototoxic: bool = False
    note: str = ""
    made_at: int = 0
    solvent: bool = False  # carries nothing of the scent: it makes up the rest
    minutes: tuple[int, int] | None = None

    def __post_init__(self) -> None:
        checks.text("material", self.name, 80)
        if not name_key(self.name):
            raise ArgumentError("material must be named in signs that can be seen.")
        checks.choice("volatility", self.volatility, VOLATILITIES)
        checks.text("note", self.note, 400, empty=True)
        if self.minutes is not None and not 0 <= self.minutes[0] < self.minutes[1] <= LATEST_MINUTES:
            begins, ends = self.minutes
            raise ArgumentError(
                f"window of {self.name} must begin at 0 minutes or later and end after that, at {LATEST_MINUTES} at "
                f"the latest, not run from {begins} to {ends}."
            )

    @property
    def window(self) -> tuple[int, int] | None:
        """The minutes the user entered, else those of its class; None where neither is known."""
        return self.minutes or CLASS_MINUTES.get(self.volatility)


# --- exact numbers ------------------------------------------------------------------------------------------------

Exact = Decimal | Fraction  # a decimal wherever it has an end
_TERMINATES: Final = decimal.Context(prec=80, traps=[decimal.Inexact, decimal.InvalidOperation])


def as_decimal(value: Fraction) -> Exact:
    """The same number as a decimal if it has an end within 80 digits, else as it was: nothing is rounded."""
    try:
        with decimal.localcontext(_TERMINATES):
            return Decimal(value.numerator) / Decimal(value.denominator)
    except decimal.Inexact:
        return value


def read_number(text: str) -> Exact:
    """What ``canonical`` wrote down, a decimal or a fraction without end: "12.5", "100/3"."""
    return Fraction(text) if "/" in text else Decimal(text)


def exact(value: Exact) -> str:
    """A number as people write it, with every digit it has; one without end is cut and says so: "33.3333…"."""
    number = as_decimal(value) if isinstance(value, Fraction) else value
    if isinstance(number, Fraction):
        return f"{significant(_cut(number), 17)}…"
    plain = f"{number:f}"
    return plain.rstrip("0").rstrip(".") if "." in plain else plain


def _cut(value: Fraction) -> Decimal:
    """Six digits that count, the rest left out."""
    with decimal.localcontext(decimal.Context(prec=6, rounding=decimal.ROUND_DOWN)):
        return Decimal(value.numerator) / Decimal(value.denominator)
