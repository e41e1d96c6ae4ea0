"""Words of formulas: what they make together, what was changed between two, and what a batch asks of a scale.

For the conductor's screens, and for a file only where the conductor ticked it: never for a ballot or a log.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from evaluation.formulas import (
    ADDED,
    EXCHANGED,
    LOWERED,
    MADE_UP,
    OTHER_LOT,
    OTHER_STOCK,
    RAISED,
    REMOVED,
    Batch,
    Change,
    Difference,
    Formula,
    Material,
    active_share,
    adds_up,
    as_decimal,
    exact,
    total,
)
from evaluation.ground.tables_digits import percent, significant
from evaluation.values.trials import listed, sentence_case

NO_FORMULA: Final = "What was changed is not told: the formula of one of the two is not in the trial book."
SAME: Final = "The two formulas do not differ, as far as they are written."
_LESS: Final[Mapping[Fraction, str]] = MappingProxyType(
    {
        Fraction(1, 2): "half",
        Fraction(1, 3): "a third",
        Fraction(2, 3): "two thirds",
        Fraction(1, 4): "a quarter",
        Fraction(3, 4): "three quarters",
    }
)
MOST_NAMED: Final = 4  # materials of an accord, then "and 3 more"


def total_words(formula: Formula) -> str:
    """Lines, parts, and which share is not solvent: "12 lines, 100 parts; active matter 16.3 %." """
    lines = len(formula.lines)
    of = "" if formula.out_of is None else f" of {exact(formula.out_of)}"
    together = f"{lines} line{'s' if lines > 1 else ''}, {amount(total(formula))}{of} parts"
    return f"{together}; active matter {percent(float(active_share(formula)), 1)}."


def lacking_words(formula: Formula) -> str:
    """That the parts do not make what they are said to; nothing where they do, or nobody said."""
    if formula.out_of is None or adds_up(formula):
        return ""
    return (
        f"The parts make {amount(total(formula))} and not {exact(formula.out_of)}: a line is missing, or a number is "
        "another than you meant."
    )


def change_lines(found: Difference) -> tuple[str, ...]:
    """Each named change in a sentence, then what goes with them."""
    if found.same:
        return (SAME,)
    return (*(_told(one) for one in found.changes), *(_told(one) for one in found.besides), *_thinned(found))


def brief_changes(found: Difference, most: int) -> tuple[str, ...]:
    """The named changes without their parts, for a place with little room: ``most`` of them, then how many more.

    "Vetiver oil added", "accord Wood raised to 1.5 times". What goes along with them is left out: it is no change.
    """
    told = [change_name(one) for one in found.changes]
    if not told:
        return (counted(found),)
    more = len(told) - most
    return tuple(told) if more <= 0 else (*told[:most], f"and {more} more")


def counted(found: Difference) -> str:
    """How many named changes lie between the two."""
    number = len(found.changes)
    if not number:
        return "No change in what the two are made of"
    return "One change" if number == 1 else f"{number} changes"


def scale_words(found: Difference, first: str, second: str) -> str:
    """How parts of the two compare, where they are written on different scales; else nothing."""
    if found.scale == 1:
        return ""
    return (
        f"The two are written on different scales: one part of {first} is {amount(found.scale)} parts of {second}. "
        "Parts are told as each has them."
    )


def off_words(found: Batch) -> str:
    """Which lines the steps of the scale move too far, and what would help; nothing where none."""
    if not found.too_far:
        return ""
    names = listed(dict.fromkeys(one.line.line.material.name for one in found.too_far))
    return (
        f"The steps of this scale move {names} by more than you allow: weigh from a weaker stock, or make at least "
        f"{amount(found.enough)} g."
    )


def _told(change: Change) -> str:
    return f"{sentence_case(_SENTENCES[change.kind](change))}."


def change_name(change: Change) -> str:
    """A change in few words, without its parts: "Bergamot oil raised to 1.5 times"."""
    if change.kind == EXCHANGED:
        return (
            f"{_whole(change.accord, change.materials)} exchanged for {_whole(change.instead_accord, change.instead)}"
        )
    much = "" if change.ratio is None else f" to {how_much(change.ratio)}"
    return f"{_whole(change.accord, change.materials)} {change.kind}{much}"


def how_much(ratio: Fraction) -> str:
    """How many times the amount before there is: "1.5 times", "two thirds", "62.5 %" (nobody weighs "0.625 times")."""
    if ratio > 1:
        return f"{significant(float(ratio), 3)} times"
    return _LESS.get(ratio, f"{significant(float(100 * ratio), 3)} %")


def _whole(accord: str, materials: Iterable[Material]) -> str:
    return f"accord {accord}" if accord else _few(materials)


def _named(change: Change) -> str:
    name = f"accord {change.accord} ({_few(change.materials)})" if change.accord else _few(change.materials)
    return f"{name}, in accord {change.within}," if change.within else name


def _few(materials: Iterable[Material]) -> str:
    names = [one.name for one in materials]
    if len(names) > MOST_NAMED:
        names = [*names[: MOST_NAMED - 1], f"{len(names) - MOST_NAMED + 1} more"]
    return listed(names)


def _moved(change: Change) -> str:
    assert change.ratio is not None  # of what is in both
    parts = f"{amount(change.before)} to {amount(change.after)} parts"
    return f"{_named(change)} {change.kind} to {how_much(change.ratio)}: {parts}"


def _exchange(change: Change) -> str:
    came = f"accord {change.instead_accord} ({_few(change.instead)})" if change.instead_accord else _few(change.instead)
    return f"{_named(change)} {_parts(change.before)} exchanged for {came}, {_parts(change.after)}"


def _parts(number: Fraction) -> str:
    return f"{amount(number)} part{'' if number == 1 else 's'}"


_SENTENCES: Final[Mapping[str, Callable[[Change], str]]] = MappingProxyType(
    {
        ADDED: lambda change: f"{_named(change)} added: {_parts(change.after)}",
        REMOVED: lambda change: f"{_named(change)} removed: {_parts(change.before)}",
        RAISED: _moved,
        LOWERED: _moved,
        EXCHANGED: _exchange,
        MADE_UP: lambda change: (
            f"{_few(change.materials)} makes up the rest: {amount(change.before)} to {_parts(change.after)}"
        ),
        OTHER_STOCK: lambda change: (
            f"{_few(change.materials)} is weighed from a stock of {change.told[1]} in place of {change.told[0]}, the "
            "same amount of it"
        ),
        OTHER_LOT: lambda change: f"{_few(change.materials)} is of lot {change.told[1]} in place of {change.told[0]}",
    }
)


def _thinned(found: Difference) -> tuple[str, ...]:
    if found.rest == 1 or not found.changes:
        return ()
    share = significant(float(found.rest), 3)
    return (f"Nothing keeps the whole as it was: all that stayed makes up {share} times the share it did.",)


def amount(value: Fraction) -> str:
    """Exact where it ends within a few digits, else to three digits that count."""
    told = exact(as_decimal(value))
    return told if len(told) <= 8 else f"about {significant(float(value), 3)}"
