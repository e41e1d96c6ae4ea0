"""Shared argument checks: each returns the checked value or raises naming argument, value and allowed range."""

from __future__ import annotations

import math
from collections.abc import Collection
from decimal import Decimal
from numbers import Integral, Real
from typing import Any, Final, TypeVar, cast

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.intake import MOST_DECIMAL_DIGITS, shortened

T = TypeVar("T")


def whole(name: str, value: Any, low: int = 0, high: int | None = None) -> int:
    """Return ``value`` as an int in ``low … high``; 7.0 counts as 7, 7.5 and True are refused."""
    if isinstance(value, bool) or not isinstance(value, Real):
        raise KindError(f"{name} must be a whole number, not {value!r}.")
    if not isinstance(value, Integral) and (math.isnan(value) or value != int(_finite(name, value))):
        raise ArgumentError(f"{name} must be a whole number, not {value!r}.")
    number = int(value) if isinstance(value, Integral) else int(float(value))
    if number < low or (high is not None and number > high):
        allowed = f"{low} or more" if high is None else f"from {low} to {high}"
        raise ArgumentError(f"{name} must be {allowed}, not {number}.")
    return number


def risk(name: str, value: Any) -> float:
    """Return ``value`` as a float strictly between 0 and 1."""
    number = real(name, value)
    if not 0.0 < number < 1.0:
        raise ArgumentError(f"{name} must lie between 0 and 1, both excluded, not {value!r}.")
    return number


def decimal(name: str, value: Any, most: int) -> Decimal:
    """Return ``value`` if it is an exact decimal strictly between 0 and ``most``, of no more digits than are kept."""
    if not isinstance(value, Decimal) or not value.is_finite() or not 0 < value < most:
        raise ArgumentError(f"{name} must lie between 0 and {most}, both excluded, not {value}.")
    return kept_decimal(name, value)


def kept_decimal(name: str, value: Decimal) -> Decimal:
    """Return a finite ``value`` that is read back as it is written down: 45 digits, and as many behind the point."""
    _, digits, exponent = value.as_tuple()
    if len(digits) > MOST_DECIMAL_DIGITS or -int(exponent) > MOST_DECIMAL_DIGITS:
        raise ArgumentError(
            f"{name} may have at most {MOST_DECIMAL_DIGITS} digits, and as many behind the point, such as 0.05: made "
            "from a float, as in Decimal(0.05), a number has more."
        )
    return value


def real(name: str, value: Any, low: float = -math.inf, high: float = math.inf) -> float:
    """Return ``value`` as a finite float in ``low … high``."""
    if isinstance(value, bool) or not isinstance(value, Real):
        raise KindError(f"{name} must be a number, not {value!r}.")
    number = _finite(name, value)
    if not low <= number <= high:
        raise ArgumentError(f"{name} must be {_span(low, high)}, not {value!r}.")
    return number


def choice(name: str, value: T, allowed: Collection[T]) -> T:
    """Return ``value`` if it is one of ``allowed``."""
    try:
        known = value in allowed
    except TypeError:  # unhashable: a list where a name belongs
        known = False
    if not known:
        listed = ", ".join(repr(one) for one in allowed)
        raise ArgumentError(f"{name} must be one of {listed}, not {shortened(value)}.")
    return value


def term(name: str, value: Any, allowed: Collection[T]) -> T:
    """Return the one of ``allowed`` that ``value`` spells: how text that was read becomes a word of a closed set."""
    choice(name, value, allowed)
    return cast(T, value)


def text(name: str, value: Any, longest: int = 200, *, empty: bool = False) -> str:
    """Return ``value`` trimmed; refuse control characters, over-length and (unless allowed) nothing at all."""
    if not isinstance(value, str):
        raise KindError(f"{name} must be text, not {value!r}.")
    trimmed = value.strip()
    if not trimmed and not empty:
        raise ArgumentError(f"{name} must not be empty.")
    if len(trimmed) > longest:
        raise ArgumentError(f"{name} may have at most {longest} characters, not {len(trimmed)}.")
    if any(ord(letter) < 32 and letter not in "\n\t" for letter in trimmed):
        raise ArgumentError(f"{name} must not contain control characters.")
    if any(0xD800 <= ord(letter) <= 0xDFFF for letter in trimmed):
        raise ArgumentError(f"{name} must be text, and holds half a letter (a lone surrogate).")
    return trimmed


REASON_WORDS: Final = 2
REASON_LETTERS: Final = 5  # of those words together: "x y" says nothing
LONG_WORD: Final = 10  # letters of a reason in one word, such as "misapplied"


def reason(name: str, value: Any, longest: int = 400) -> str:
    """Return ``value`` trimmed if it says something in words; "." is no reason. For whatever safety rests on."""
    said = text(name, value, longest, empty=True)
    words = "".join(letter if letter.isalpha() else " " for letter in said).split()
    letters = sum(map(len, words))
    if letters < (REASON_LETTERS if len(words) >= REASON_WORDS else LONG_WORD):
        raise ArgumentError(
            f"{name} must be given in words: at least two words of {REASON_LETTERS} letters together, or {LONG_WORD} "
            f"letters, not {said!r}."
        )
    return said


def _finite(name: str, value: Real) -> float:
    number = float(value)
    if not math.isfinite(number):
        raise ArgumentError(f"{name} must be a finite number, not {value!r}.")
    return number


def _span(low: float, high: float) -> str:
    if high == math.inf:
        return f"{low:g} or more"
    if low == -math.inf:
        return f"{high:g} or less"
    return f"from {low:g} to {high:g}"
