"""The weighing sheet of bottles that separate changes: what all share is mixed once, the rest flask by flask."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from evaluation.formulas import PURE, Formula, Line, batch, exact, opened, total
from evaluation.formulas.separated import flask_marks
from evaluation.sheets import words
from evaluation.sheets.pieces import Block, Head, Sheet, Table, Text
from evaluation.sheets.stocks import A4, Paper

WITHIN: Final = "4 hours"  # from the first flask to the last (our proposal; common practice, no source)
SPARE: Final = Fraction(11, 10)  # of the common part: what sticks to beaker and pipette
Key = tuple[str, Decimal, str]  # material, stock, lot
Shares = dict[Key, Fraction]

BEFORE: Final = (
    "Before you begin: lay out one clean dry flask for each line of the list below, all of one size. Write on the "
    "flask itself, not on its cap, the letter and the name the trial book has for it: by that name the session’s "
    "letter key asks for it when vials are filled. Have one lot of every material at hand, enough for all flasks; do "
    "not open another lot half way.",
    "Materials and solvents burn, and some irritate: air the room, keep flames and heat away, wear gloves. Follow your "
    "local rules and licensed advice; this sheet gives none.",
)
COMMON: Final = (
    "The common part: weigh these lines into one beaker, in this order, tick each, and stir until it is clear "
    "and even. It is a tenth more than the flasks need. All flasks take it from this beaker, so that nothing in it "
    "differs from flask to flask."
)
EACH: Final = (
    f"Flask by flask, in the order below, the last within {WITHIN} of the first: put the empty flask on the scale and "
    "set it to zero; weigh in every line of the flask, and tick each. Hold the letter of the table against the letter "
    "on the flask before each line. Close it at once, and write the day and the hour "
    "into the list above. If a line goes over by more than 1 %, empty the flask and begin "
    "it anew: do not take out."
)
AGED: Final = (
    "Turn every closed flask over twenty times. Then let all stand side "
    "by side, closed, dark and at one temperature, for the same time.",
    "Dilute all flasks on one day, from one lot of ethanol, to the same strength (within 0.1 %). Let the "
    "dilutions stand together for the same time again, then fill the vials.",
    "On the page Separate changes, write down the day they were mixed, the day they were diluted, and the "
    "strength. This sheet tells what each flask holds: keep it from everybody who smells.",
)


@dataclass(frozen=True, slots=True)
class Flask:
    """One bottle to weigh: how the trial book calls it, what it holds in words, and its formula."""

    name: str
    holds: str
    formula: Formula


def weighing_sheet(
    head: Head, flasks: Sequence[Flask], grams: Decimal, resolution: Decimal, paper: Paper = A4
) -> Sheet:
    """What to weigh, step by step, for flasks of ``grams`` of concentrate each on a scale with such steps."""
    for one in flasks:
        batch(one.formula, grams, resolution)  # refuses grams and steps no scale has
    common = shared([one.formula for one in flasks])
    bench = _Bench(common, Fraction(grams), resolution)
    steps = [*([(COMMON, bench.beaker(flasks))] if common else []), (EACH, bench.all_flasks(flasks))]
    told = [*steps, *((one, ()) for one in AGED)]
    blocks: list[Block] = [Text(head.warning, "warning"), Text(f"{head.sheet}: {head.title}", "head")]
    blocks += [*map(Text, BEFORE), _list(flasks)]
    for number, (step, shown) in enumerate(told, start=1):
        blocks += [Text(f"Step {number}. {step}"), *shown]
    return Sheet(head, (*blocks, Text(words.PREPARER_CAUTION, "small")), paper)


def _list(flasks: Sequence[Flask]) -> Table:
    rows = tuple((letter, one.name, one.holds, "") for letter, one in _marked(flasks))
    return Table(("Flask", "In the trial book", "Holds", "Closed (day, hour)"), rows, (1, 4, 4, 3), bold=(0,))


def _marked(flasks: Sequence[Flask]) -> tuple[tuple[str, Flask], ...]:
    return tuple(zip(flask_marks([one.name for one in flasks]), flasks, strict=True))


def shared(formulas: Sequence[Formula]) -> Shares:
    """Of each line the share of the whole that every bottle has."""
    held = [_shares(one) for one in formulas]
    return {key: min(one[key] for one in held) for key in held[0] if all(key in one for one in held)}


def _shares(formula: Formula) -> Shares:
    found: Shares = {}
    for one in opened(formula):
        key = _key(one.line)
        found[key] = found.get(key, Fraction(0)) + one.parts / total(formula)
    return found


def _key(line: Line) -> Key:
    return line.material.id, line.stock_percent, line.lot


@dataclass(frozen=True, slots=True)
class _Bench:
    common: Shares
    grams: Fraction  # of one flask
    resolution: Decimal

    def beaker(self, flasks: Sequence[Flask]) -> tuple[Block, ...]:
        """The common part of all flasks, with what sticks to beaker and pipette."""
        factor = self.grams * len(flasks) * SPARE
        return (self._table(self._rows(flasks[0].formula, self.common, factor)),)

    def all_flasks(self, flasks: Sequence[Flask]) -> tuple[Block, ...]:
        """One table a flask: the common part first."""
        return tuple(block for letter, one in _marked(flasks) for block in self._flask(letter, one))

    def _flask(self, letter: str, one: Flask) -> tuple[Block, ...]:
        left = {key: share - self.common.get(key, Fraction(0)) for key, share in _shares(one.formula).items()}
        own = self._rows(one.formula, {key: share for key, share in left.items() if share}, self.grams)
        together = sum(self.common.values(), Fraction(0)) * self.grams
        first = [("common part, from the beaker", "", self._steps(together), "")] if self.common else []
        return Text(f"Flask {letter}: {one.name}, {one.holds}", "head"), self._table([*first, *own])

    def _rows(self, formula: Formula, shares: Shares, grams: Fraction) -> Iterator[tuple[str, ...]]:
        """Weigh-ins in the order of the formula; what the steps of this scale may move too far says so."""
        for line in {_key(one.line): one.line for one in opened(formula)}.values():
            if _key(line) in shares:
                aim = shares[_key(line)] * grams
                small = "too small for this scale: from a weaker stock, or more grams" if self._too_small(aim) else ""
                yield line.material.name, _stock(line), self._steps(aim), small

    def _too_small(self, aim: Fraction) -> bool:
        return Fraction(self.resolution) / 2 > aim / 100

    def _steps(self, aim: Fraction) -> str:
        steps = (aim / Fraction(self.resolution) + Fraction(1, 2)) // 1
        return f"{int(steps) * self.resolution:f}"

    def _table(self, rows: Iterable[tuple[str, ...]]) -> Table:
        return Table(("Weigh in", "Stock and lot", "Grams", ""), tuple(rows), (5, 3, 2, 3), tick=True, bold=(2,))


def _stock(line: Line) -> str:
    stock = "" if line.stock_percent == PURE else f"{exact(line.stock_percent)} %"
    return " · ".join(one for one in (stock, f"lot {line.lot}" if line.lot else "") if one)
