"""What people type, read into values; each refusal is one sentence. Knows no screen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from evaluation.errors import ArgumentError
from evaluation.ground.intake import modest, shortened
from evaluation.ground.tables_digits import significant
from evaluation.sessions import OLDEST_SECONDS, YOUNGEST_SECONDS, StripAge

LEAST_TOLERANCE_SECONDS: Final = 5  # what a person with a watch can keep to; sessions.StripAge asks for it too
MOST_LETTERS: Final = 60  # of a number, blanks around it and all
MOST_AGES_LETTERS: Final = 400  # of strip ages, all together
_SEPARATORS: Final = re.compile(r"[\s;]*,[\s;,]*|[\s;]+")


def number(name: str, text: str, example: str) -> Decimal:
    """``text`` as an exact decimal number; a decimal comma is read as a point."""
    try:
        value = Decimal(text[:MOST_LETTERS].strip().removesuffix("%").strip().replace(",", "."))
    except InvalidOperation:
        value = Decimal("NaN")
    if len(text) > MOST_LETTERS or not modest(value):
        raise ArgumentError(f"{name} must be a number such as {example}, not {shortened(text.strip())}.")
    return value


def strength(text: str) -> Decimal | None:
    """Percent by weight, or None where nothing was typed."""
    return number("strength", text, "15 or 12.5") if text.strip() else None


def weighing(typed: Mapping[str, Any]) -> dict[str, Any]:
    """Typed fields of a trial or a bottle as the book takes them; refuses a strength that is no number."""
    read = {key: value.strip() if isinstance(value, str) else value for key, value in typed.items()}
    read["strength_percent"] = strength(read.pop("strength"))
    return read


def strip_ages(text: str, tolerance_text: str) -> tuple[StripAge, ...]:
    """Minutes such as ``"5, 60, 360"`` as strip ages, youngest first, each with its tolerance."""
    if len(text) > MOST_AGES_LETTERS:
        raise ArgumentError(f"strip ages may be written in at most {MOST_AGES_LETTERS} letters, not {len(text)}.")
    typed = [part for part in _SEPARATORS.split(text.strip()) if part]
    if not typed:
        raise ArgumentError("strip ages must name one or more times in minutes, such as 5, 60, 360.")
    percent = number("tolerance", tolerance_text, "10")
    if not 0 < percent <= 50:
        raise ArgumentError(f"tolerance must be above 0 and at most 50 percent of the strip age, not {percent}.")
    seconds = sorted(_seconds(part) for part in typed)
    if len(set(seconds)) < len(seconds):
        raise ArgumentError("strip ages must be different times: one of them is named twice.")
    return tuple(StripAge(each, tolerance_seconds(each, percent)) for each in seconds)


def tolerance_seconds(seconds: int, percent: Decimal) -> int:
    """How far off a strip of this age may be, in whole seconds."""
    return max(LEAST_TOLERANCE_SECONDS, round(seconds * percent / 100))


def tolerance_text(ages: Iterable[StripAge]) -> str:
    """The percentage behind the tolerances of a plan, read from its oldest age, where rounding shows least."""
    oldest = max(ages, key=lambda age: age.seconds)
    return significant(Decimal(oldest.tolerance_seconds) * 100 / oldest.seconds, 4)


def minutes(seconds: int) -> str:
    """Seconds as minutes, as short as exact: 30 → 0.5."""
    return significant(Decimal(seconds) / 60, 6) if seconds % 60 else str(seconds // 60)


def age_name(seconds: int) -> str:
    """A strip age the way people say it: 30 s, 5 min, 2 h, 1 day."""
    for size, unit in ((86400, "d"), (3600, "h"), (60, "min")):
        if seconds >= size and seconds % size == 0:
            return f"{seconds // size} {unit}"
    return f"{minutes(seconds)} min" if seconds >= 60 else f"{seconds} s"


def _seconds(text: str) -> int:
    asked = number("strip age", text, "5 or 0.5, in minutes") * 60
    if not YOUNGEST_SECONDS <= asked <= OLDEST_SECONDS:
        raise ArgumentError(
            f"strip age must be from {minutes(YOUNGEST_SECONDS)} to {minutes(OLDEST_SECONDS)} minutes, not {text}."
        )
    return round(asked)
