"""How much of what a formula is, in fractions, never rounded: accords opened, shares of the whole, active matter."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from evaluation.formulas.lines import Formula, Line, path

TOLERANCE: Final = Decimal("0.1")  # percentage points around the whole: our rule, what rounded lines may lack


@dataclass(frozen=True, slots=True)
class Opened:
    """A line with its accords opened."""

    line: Line
    accords: tuple[str, ...]  # around it, from outside in
    parts: Fraction  # of the formula
    share: Fraction  # of the whole

    @property
    def active(self) -> Fraction:
        """Parts of the material itself, without what its stock is made with."""
        return self.parts * Fraction(self.line.stock_percent) / 100


def opened(formula: Formula) -> tuple[Opened, ...]:
    """Every line in parts of the formula, those of an accord together, where its first line stands."""
    of_whole = whole(formula)
    sizes = _factors(formula)
    listed = []
    for line in formula.lines:
        parts = Fraction(line.parts) * sizes[line.accord]
        listed.append(Opened(line, path(formula, line.accord), parts, parts / of_whole))
    return tuple(_gathered(listed))


def total(formula: Formula) -> Fraction:
    """What lines and accords of the formula itself add up to."""
    return _own(formula, "")


def whole(formula: Formula) -> Fraction:
    """What a part is held against: what the parts are said to be of, else what they add up to."""
    return total(formula) if formula.out_of is None else Fraction(formula.out_of)


def adds_up(formula: Formula) -> bool:
    """Whether somebody said what the parts make together and they do, rounded lines allowed for."""
    if formula.out_of is None:
        return False
    return abs(total(formula) / Fraction(formula.out_of) - 1) <= Fraction(TOLERANCE) / 100


def active_share(formula: Formula) -> Fraction:
    """Which share of what is weighed is neither a solvent nor what a stock is made with."""
    lines = [one for one in opened(formula) if not one.line.material.solvent]
    return sum((one.active for one in lines), Fraction(0)) / total(formula)


def _own(formula: Formula, accord: str) -> Fraction:
    """What an accord's lines and inner accords add up to, in its own parts; "" is the formula itself."""
    lines = (Fraction(one.parts) for one in formula.lines if one.accord == accord)
    inner = (_taken(formula, one.name) for one in formula.accords if one.within == accord)
    return sum((*lines, *inner), Fraction(0))


def _taken(formula: Formula, accord: str) -> Fraction:
    parts = formula.by_name[accord].parts
    return _own(formula, accord) if parts is None else Fraction(parts)


def _factors(formula: Formula) -> dict[str, Fraction]:
    """How many parts of the formula one part of each accord is."""
    found = {"": Fraction(1)}
    for accord in formula.accords:
        factor = Fraction(1)
        for name in path(formula, accord.name):
            factor *= _taken(formula, name) / _own(formula, name)
        found[accord.name] = factor
    return found


def _gathered(lines: Iterable[Opened], depth: int = 0) -> list[Opened]:
    """Lines of one accord side by side, the accords in the order of their first lines."""
    groups: dict[object, list[Opened]] = {}
    for number, one in enumerate(lines):
        alone = len(one.accords) <= depth
        groups.setdefault(number if alone else one.accords[depth], []).append(one)
    listed: list[Opened] = []
    for name, inside in groups.items():
        listed += _gathered(inside, depth + 1) if isinstance(name, str) else inside
    return listed
