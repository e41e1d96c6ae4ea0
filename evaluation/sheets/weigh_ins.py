"""The weighing sheet of bottles that separate changes: what all share is mixed once, the rest flask by flask."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from evaluation.formulas import PURE, Formula, Line, batch, exact, opened, total
from evaluation.formulas.batches import MOST_OFF_PERCENT
from evaluation.formulas.separated import flask_marks
from evaluation.sheets import words
from evaluation.sheets.pieces import Block, Head, Sheet, Table, Text
from evaluation.sheets.stocks import A4, Paper
from evaluation.values.trials import listed

SEPARATE: Final = "On the page Separate changes"
IN_THE_BOOK: Final = "In the trial book, for each trial"
WITHIN: Final = "4 hours"  # from the first flask to the last (our proposal; common practice, no source)
SPARE: Final = Fraction(11, 10)  # of the common part: what sticks to beaker and pipette
WEAKER: Final = (10, 100)  # times: stocks that are easily made by weight (our proposal; common practice, no source)
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
    "into the list above. If a line goes over by more than 1 %, or by more than one step of the scale where that is "
    "more, empty the flask and begin it anew: do not take out."
)
AGED: Final = (
    "Turn every closed flask over twenty times. Then let all stand side "
    "by side, closed, dark and at one temperature, for the same time.",
    "Dilute all flasks on one day, from one lot of ethanol, to the same strength (within 0.1 %). Let the "
    "dilutions stand together for the same time again, then fill the vials.",
    "{page}, write down the day they were mixed, the day they were diluted, and the "
    "strength, before you seal. This sheet tells what each flask holds: keep it from everybody who smells.",
)


@dataclass(frozen=True, slots=True)
class Flask:
    """One bottle to weigh: how the trial book calls it, what it holds in words, and its formula."""

    name: str
    holds: str
    formula: Formula


def weighing_sheet(
    head: Head,
    flasks: Sequence[Flask],
    grams: Decimal,
    resolution: Decimal,
    paper: Paper = A4,
    page: str = SEPARATE,
) -> Sheet:
    """What to weigh, step by step, for flasks of ``grams`` of concentrate each on a scale with such steps.

    ``page`` tells where it is written down when that was done.
    """
    _check(flasks, grams, resolution)
    pots = _pots(flasks, Fraction(grams))
    bench = _Bench(_scale(pots, resolution), resolution)
    beaker, own = pots[: -len(flasks)], pots[-len(flasks) :]
    steps: list[tuple[str, Sequence[Block]]] = [(COMMON, [bench.table(one)]) for one in beaker]
    steps.append(
        (
            EACH,
            [shown for one, pot in zip(_marked(flasks), own, strict=True) for shown in _flask(*one, bench.table(pot))],
        )
    )
    told = [*steps, *((one.format(page=page), ()) for one in AGED)]
    blocks: list[Block] = [Text(head.warning, "warning"), Text(f"{head.sheet}: {head.title}", "head")]
    blocks += [*map(Text, (*BEFORE, *scale_lines(flasks, grams, resolution))), _list(flasks)]
    for number, (step, shown) in enumerate(told, start=1):
        blocks += [Text(f"Step {number}. {step}"), *shown]
    return Sheet(head, (*blocks, Text(words.PREPARER_CAUTION, "small")), paper)


def _list(flasks: Sequence[Flask]) -> Table:
    rows = tuple((letter, one.name, one.holds, "") for letter, one in _marked(flasks))
    return Table(("Flask", "In the trial book", "Holds", "Closed (day, hour)"), rows, (1, 4, 4, 3), bold=(0,))


def _check(flasks: Sequence[Flask], grams: Decimal, resolution: Decimal) -> None:
    for one in flasks:
        batch(one.formula, grams, resolution)  # refuses grams and steps no scale has


def _flask(mark: str, one: Flask, weighed: Table) -> tuple[Block, ...]:
    return Text(f"Flask {mark}: {one.name}, {one.holds}", "head"), weighed


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


# --- what this scale can weigh ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pot:
    """The beaker or a flask: what is weighed into it, in grams, in the order of its formula."""

    called: str
    lines: tuple[tuple[Line, Fraction], ...]
    common: Fraction = Fraction(0)

    def held(self, solvent: Line) -> Fraction:
        return sum((aim for line, aim in self.lines if _key(line) == _key(solvent)), Fraction(0))


@dataclass(frozen=True, slots=True)
class _Scale:
    """What a scale with such steps weighs to within :data:`MOST_OFF_PERCENT`, and what mends the rest.

    ``times``: so many times weaker is the stock from which every line too small is weighed instead; 0 where none of
    them would do. ``short``: where the solvent is less than what the stock brings, so that it mends nothing.
    """

    least: Fraction
    solvent: Line | None
    times: int
    short: tuple[str, ...]

    @property
    def mends(self) -> bool:
        """Whether a weaker stock takes no more solvent along than can be left out."""
        return self.solvent is not None and self.times > 0 and not self.short

    def left(self, pot: _Pot) -> Fraction:
        """The solvent that is still weighed in where the lines too small come from the weaker stock."""
        assert self.solvent is not None
        brought = sum(((self.times - 1) * aim for line, aim in _to_dilute(pot, self.solvent, self.least)), Fraction(0))
        return pot.held(self.solvent) - brought


def _to_dilute(pot: _Pot, solvent: Line, least: Fraction) -> list[tuple[Line, Fraction]]:
    return [(line, aim) for line, aim in pot.lines if aim < least and _key(line) != _key(solvent)]


def _least(resolution: Decimal) -> Fraction:
    return Fraction(resolution) / 2 * 100 / Fraction(MOST_OFF_PERCENT)


def _scale(pots: Sequence[_Pot], resolution: Decimal) -> _Scale:
    least, solvent = _least(resolution), _solvent(pots)
    if solvent is None:
        return _Scale(least, None, 0, ())
    small = [aim for pot in pots for _, aim in _to_dilute(pot, solvent, least)]
    times = next((one for one in WEAKER if all(aim * one >= least for aim in small)), 0)
    scale = _Scale(least, solvent, times, ())
    return replace(scale, short=tuple(one.called for one in pots if times and not _enough_left(scale, one)))


def _enough_left(scale: _Scale, pot: _Pot) -> bool:
    left = scale.left(pot)
    return left == 0 or left >= scale.least


def _solvent(pots: Sequence[_Pot]) -> Line | None:
    """The pure solvent of which most is weighed in."""
    held: dict[Key, Fraction] = {}
    lines = {_key(line): line for pot in pots for line, _ in pot.lines}
    for pot in pots:
        for line, aim in pot.lines:
            if line.material.solvent and line.stock_percent == PURE:
                held[_key(line)] = held.get(_key(line), Fraction(0)) + aim
    return lines[max(held, key=held.__getitem__)] if held else None


def _pots(flasks: Sequence[Flask], grams: Fraction) -> tuple[_Pot, ...]:
    """The beaker first, where there is a common part."""
    common = shared([one.formula for one in flasks])
    beaker = _Pot("the beaker", _lines(flasks[0].formula, common, grams * len(flasks) * SPARE))
    together = sum(common.values(), Fraction(0)) * grams
    own_pots = []
    for mark, one in _marked(flasks):
        left = {key: share - common.get(key, Fraction(0)) for key, share in _shares(one.formula).items()}
        own = {key: share for key, share in left.items() if share}
        own_pots.append(_Pot(f"flask {mark}", _lines(one.formula, own, grams), together))
    return (*([beaker] if common else []), *own_pots)


def _lines(formula: Formula, shares: Shares, grams: Fraction) -> tuple[tuple[Line, Fraction], ...]:
    lines = {_key(one.line): one.line for one in opened(formula)}
    return tuple((line, shares[key] * grams) for key, line in lines.items() if key in shares)


def enough_grams(flasks: Sequence[Flask], resolution: Decimal) -> Fraction:
    """From how many grams of concentrate in each flask a scale with such steps weighs every line of the sheet."""
    pots = _pots(flasks, Fraction(1))
    aims = [aim for pot in pots for aim in (*(aim for _, aim in pot.lines), pot.common) if aim]
    return _least(resolution) / min(aims)


def scale_lines(flasks: Sequence[Flask], grams: Decimal, resolution: Decimal) -> tuple[str, ...]:
    """What this scale can weigh of such flasks, and what to do about the rest."""
    _check(flasks, grams, resolution)
    enough = enough_grams(flasks, resolution)
    told = (
        f"With steps of {resolution:f} g this scale weighs every line to within {MOST_OFF_PERCENT} % from "
        f"{_up(enough)} g of concentrate in each flask; this sheet is for {grams:f} g."
    )
    if Fraction(grams) >= enough:
        return (told,)
    return told, _mended(_scale(_pots(flasks, Fraction(grams)), resolution), f"weigh {_up(enough)} g in each flask")


def _mended(scale: _Scale, more: str) -> str:
    if scale.solvent is None:
        return f"No line is a solvent that could be left out for a weaker stock: {more}."
    name = scale.solvent.material.name
    if scale.short:
        return (
            f"A weaker stock does not mend it: {listed(scale.short)} would hold too little {name} to weigh, or to "
            f"leave out for what the stock brings along. Instead {more}."
        )
    if not scale.times:
        return f"A stock {WEAKER[-1]} times weaker would still be too small to weigh: {more}."
    return (
        f"Either {more}, or weigh the lines marked “too small” from a weaker stock, in every flask alike: stir 1 part "
        f"of the line (at least {_up(scale.least, 3)} g) into {scale.times - 1} parts of {name}, by weight, from the "
        f"same lots. The sheet says how much of that stock to weigh, and how much {name} is left to weigh beside it."
    )


def _up(grams: Fraction, digits: int = 1) -> str:
    """Rounded up, so that what is said of it stays true."""
    return exact(Decimal(math.ceil(grams * 10**digits)).scaleb(-digits))


@dataclass(frozen=True, slots=True)
class _Bench:
    scale: _Scale
    resolution: Decimal

    def table(self, pot: _Pot) -> Table:
        """One table: the common part first, then the lines in the order of the formula."""
        first = [("common part, from the beaker", "", self._steps(pot.common), "")] if pot.common else []
        rows = [
            (line.material.name, _stock(line), self._steps(aim), self._note(pot, line, aim)) for line, aim in pot.lines
        ]
        return Table(("Weigh in", "Stock and lot", "Grams", ""), (*first, *rows), (5, 3, 2, 3), tick=True, bold=(2,))

    def _note(self, pot: _Pot, line: Line, aim: Fraction) -> str:
        """What the steps of this scale move too far says so, and what the weaker stock leaves of the solvent."""
        scale = self.scale
        if scale.mends and scale.solvent is not None and _key(line) == _key(scale.solvent):
            left = scale.left(pot)
            weaker = f"with the weaker stock: {self._steps(left) + ' g' if left else 'none'}"
            return weaker if left < aim else ""
        if aim >= scale.least:
            return ""
        if scale.mends:
            return (
                f"too small: {self._steps(aim * scale.times)} g of the stock {scale.times} times weaker, or more grams"
            )
        return "too small for this scale: weigh more grams"

    def _steps(self, aim: Fraction) -> str:
        steps = (aim / Fraction(self.resolution) + Fraction(1, 2)) // 1
        return f"{int(steps) * self.resolution:f}"


def _stock(line: Line) -> str:
    stock = "" if line.stock_percent == PURE else f"{exact(line.stock_percent)} %"
    return " · ".join(one for one in (stock, f"lot {line.lot}" if line.lot else "") if one)
