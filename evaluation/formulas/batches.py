"""A formula scaled to a batch: what the scale is to show for each line, and where its steps move a line too far."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.formulas.amounts import Opened, opened, total
from evaluation.formulas.lines import Formula
from evaluation.formulas.raw_materials import as_decimal, few_digits

MOST_OFF_PERCENT: Final = Decimal(1)  # of a line, a proposal (common practice, no source)
RESOLUTION: Final = Decimal("0.001")  # of a usual scale, in grams
MOST_GRAMS: Final = 100_000


@dataclass(frozen=True, slots=True)
class WeighIn:
    """One line on the scale: what it should be and the nearest the scale can show, both in grams."""

    line: Opened
    aim: Fraction
    grams: Decimal
    off: Fraction  # share of the line, signed
    too_far: bool


@dataclass(frozen=True, slots=True)
class Batch:
    """All weigh-ins of one batch. ``enough``: from so many grams on the steps of this scale move no line too far."""

    weigh_ins: tuple[WeighIn, ...]
    grams: Fraction  # on the scale, all lines together
    enough: Fraction

    @property
    def too_far(self) -> tuple[WeighIn, ...]:
        """Those the steps of the scale move by more than was allowed."""
        return tuple(one for one in self.weigh_ins if one.too_far)


def batch(
    formula: Formula, grams: Decimal, resolution: Decimal = RESOLUTION, most_off_percent: Decimal = MOST_OFF_PERCENT
) -> Batch:
    """Scale a formula to ``grams`` on a scale with steps of ``resolution``; a half goes up, comparisons are exact."""
    _check(grams, resolution, most_off_percent)
    per_part, most_off = Fraction(grams) / total(formula), Fraction(most_off_percent) / 100
    listed = tuple(_weigh_in(one, one.parts * per_part, resolution, most_off) for one in opened(formula))
    least = min(one.parts for one in opened(formula)) / total(formula)
    enough = Fraction(resolution) / 2 / most_off / least
    return Batch(listed, sum((Fraction(one.grams) for one in listed), Fraction(0)), enough)


def _weigh_in(line: Opened, aim: Fraction, resolution: Decimal, most_off: Fraction) -> WeighIn:
    steps = (aim / Fraction(resolution) + Fraction(1, 2)) // 1
    grams = as_decimal(steps * Fraction(resolution))
    assert isinstance(grams, Decimal)  # a whole number of decimal steps has an end
    off = Fraction(grams) / aim - 1
    return WeighIn(line, aim, grams, off, abs(off) > most_off)


def _check(grams: Decimal, resolution: Decimal, most_off_percent: Decimal) -> None:
    for name, value, most in (
        ("batch", grams, MOST_GRAMS),
        ("step of the scale", resolution, MOST_GRAMS),
        ("what a line may be off", most_off_percent, 100),
    ):
        if not value.is_finite() or not 0 < value <= most:
            raise ArgumentError(f"{name} must be above 0 and at most {most}, not {value}.")
        few_digits(name, value)
    if resolution > grams:
        raise ArgumentError(f"step of the scale must be at most the batch of {grams} g, not {resolution} g.")
