"""Numbers spelt with so many digits, for sentences and cells: with ``tables`` the only place where numbers are rounded.

It stands below the words, which make sentences of numbers; ``tables`` stands above them. What is spelt is for reading:
nothing is compared after it was rounded.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Final

MINUS: Final = "−"


def fixed(number: float | Decimal, digits: int) -> str:
    """So many decimals, the last one rounded: "0.50"."""
    return f"{number:.{digits}f}"


def signed(number: float, digits: int) -> str:
    """The same with its sign, a minus as wide as the plus: "+0.5", "−0.5"."""
    return with_minus(f"{number:+.{digits}f}")


def with_minus(text: str) -> str:
    """A number's hyphen as the minus people read."""
    return text.replace("-", MINUS)


def significant(number: float | Decimal, digits: int) -> str:
    """So many digits that count, no zeros behind them: "0.0167"."""
    return f"{number:.{digits}g}"


def percent(share: float, digits: int = 0) -> str:
    """A share as percent with so many decimals: "30 %"."""
    return f"{share:.{digits}%}".replace("%", " %")
