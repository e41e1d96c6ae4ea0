"""A table of answers, from a file or a frame, checked and counted: one count per comparison, method and strip age.

Every check is made on the distinct values of a column, of which there are few; rows are only ever whole arrays of
codes. A row that cannot be read is named by its line (or row) and column, and nothing is judged.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from evaluation.counting.tallies import AnyPooled, Pooled, PooledVotes, majorities
from evaluation.errors import AnswersError, ArgumentError
from evaluation.ground.intake import shortened
from evaluation.ground.terms import SURENESS as SURE
from evaluation.kinds import Method, kind_of, kinds, method_of, methods
from evaluation.sessions import NO_PREFERENCE, OVERALL

Codes = npt.NDArray[np.signedinteger[Any]]

REQUIRED: Final = ("comparison", "method", "panelist", "replicate", "age_minutes")
OUTCOMES: Final = ("correct", "preferred")
KNOWN: Final = (*REQUIRED, *OUTCOMES)
SURENESS: Final = "sure"  # the column that is read where answers are weighed by it
WITH_SURENESS: Final = (*KNOWN, SURENESS)

EMPTY: Final = -1  # an outcome left empty
UNREADABLE: Final = -2  # an outcome that is no outcome
_DECIMAL: Final = re.compile(r"\d{1,9}(\.\d{0,30})?|\.\d{1,30}", re.ASCII)
MOST_NUMBER: Final = 10**9  # of a replicate or of minutes
MOST_QUESTIONS: Final = 20_000  # judged at once; each takes a verdict of its own
_WHOLE: Final = re.compile(r"\d{1,7}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Column:
    """One column: for every row the place of its value among the distinct ``values``."""

    codes: Codes
    values: Sequence[Any]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of answers as it was found; ``place(row)`` says in words where a row stands, as in "line 7"."""

    columns: Mapping[str, Column]
    place: Callable[[int], str]
    notes: tuple[str, ...] = ()


def missing_columns(found: Sequence[str]) -> str:
    """Which columns a header lacks, as words; empty where it has all."""
    lacking = [name for name in REQUIRED if name not in found]
    if not any(name in found for name in OUTCOMES):
        lacking.append("correct (or preferred)")
    return ", ".join(lacking)


def count(table: Table, *, sureness: bool = False) -> tuple[AnyPooled, ...]:
    """The counts of a table; AnswersError names the first row that cannot be read, or two that say the same.

    ``sureness``: forced choices also by the word in the column ``sure``; an empty cell counts as a guess.
    """
    read = {name: _read(name, table.columns[name]) for name in REQUIRED}
    if not len(read["method"].codes):
        raise AnswersError("The table of answers has a header and no answers.")
    outcome = _outcomes(table, read)
    counted = _counted(table, read, outcome)
    return _with_sureness(counted, table, read, outcome) if sureness else counted


# --- values ---------------------------------------------------------------------------------------------------


def _label(value: Any) -> str:
    """A name kept as it is written: "NA" and "007" are panelists."""
    if isinstance(value, float) and value.is_integer():
        value = int(value)  # a frame turns whole numbers into floats where one cell is empty
    text = "" if _absent(value) else str(value).strip()
    if not text:
        raise ArgumentError("must not be empty")
    if any(ord(letter) < 32 and letter not in "\n\t" for letter in text):
        raise ArgumentError(f"must not contain control characters, as {_shown(text)} does")
    return text


def _of_two() -> tuple[Method, ...]:
    return methods(lambda kind: not kind.several)


def _method(value: Any) -> Method:
    if not isinstance(value, str) or value.strip() not in _of_two():
        raise ArgumentError(f"must be one of {', '.join(_of_two())}, not {_shown(value)}")
    return method_of(value.strip())


def _replicate(value: Any) -> int:
    value = value.strip() if isinstance(value, str) else value  # int() leaves some blanks where they are
    written = isinstance(value, str) and _WHOLE.fullmatch(value)
    number = int(value) if written or (_numeric(value) and value == int(value)) else 0
    if number < 1:
        raise ArgumentError(f"must be a whole number from 1, not {_shown(value)}")
    return number


def _age(value: Any) -> float | str:
    value = value.strip() if isinstance(value, str) else value
    if value == OVERALL:
        return OVERALL
    written = isinstance(value, str) and _DECIMAL.fullmatch(value)
    if not written and not (_numeric(value) and value >= 0):
        raise ArgumentError(f"must be minutes, 0 or more, with a decimal point if any, not {_shown(value)}")
    return float(value)


def _numeric(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < MOST_NUMBER


def _absent(value: Any) -> bool:
    return value is None or (not isinstance(value, str) and bool(value != value)) or value == ""


def _shown(value: Any) -> str:
    return "empty" if _absent(value) else shortened(value)


_READERS: Final[Mapping[str, Callable[[Any], Any]]] = MappingProxyType(
    {"comparison": _label, "method": _method, "panelist": _label, "replicate": _replicate, "age_minutes": _age}
)
_OUTCOME: Final = MappingProxyType(
    {
        "correct": MappingProxyType({"0": 0, "1": 1, 0: 0, 1: 1, "": EMPTY}),  # True and 1.0 equal 1
        "preferred": MappingProxyType({"first": 0, "second": 1, NO_PREFERENCE: 2, "": EMPTY}),
    }
)
_EXPECTED: Final = MappingProxyType({"correct": "0 or 1", "preferred": "first, second or none"})


# --- columns --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Read:
    """A column after reading: codes into distinct ``values``, and the first row that could not be read."""

    codes: Codes
    values: list[Any]
    problem: tuple[int, str] | None = None  # row, what is wrong


def _read(name: str, column: Column) -> _Read:
    """Read the distinct values; spellings of one value ("30" and "30.0") become one."""
    places: dict[Any, int] = {}
    lookup = np.zeros(len(column.values) + 1, np.int32)
    wrong: dict[int, str] = {}
    for code, value in enumerate(column.values):
        try:
            lookup[code] = places.setdefault(_READERS[name](value), len(places))
        except ArgumentError as refused:
            wrong[code] = str(refused)
    codes = column.codes
    problem = _first_of(codes, wrong) if wrong else None
    same = len(places) + len(wrong) == len(column.values) and not wrong
    return _Read(codes if same else lookup[codes], list(places), problem)


def _first_of(codes: Codes, wrong: Mapping[int, str]) -> tuple[int, str] | None:
    rows = np.flatnonzero(np.isin(codes, list(wrong)))
    return (int(rows[0]), wrong[int(codes[rows[0]])]) if rows.size else None


def _outcomes(table: Table, read: Mapping[str, _Read]) -> Codes:
    """The outcome of every row, 0 … 2, after every cell was found readable."""
    method, age = read["method"], read["age_minutes"]
    voting = {kind.method for kind in kinds() if kind.votes}
    votes = np.array([name in voting for name in method.values] or [False])[method.codes]
    given = {name: _outcome(table, name, len(votes)) for name in OUTCOMES}
    problems = [(one.problem[0], name, one.problem[1]) for name, one in read.items() if one.problem]
    problems += _misplaced(table, "correct", given["correct"], ~votes)
    problems += _misplaced(table, "preferred", given["preferred"], votes)
    if OVERALL in age.values:
        rows = np.flatnonzero((age.codes == age.values.index(OVERALL)) & ~votes)
        problems += [(int(row), "age_minutes", "may be overall for preferences only") for row in rows[:1]]
    if problems:
        row, name, what = min(problems, key=lambda one: (one[0], KNOWN.index(one[1])))
        raise AnswersError(f"{table.place(row)}, column {name}: {what}.")
    return np.where(votes, given["preferred"], given["correct"])


def _outcome(table: Table, name: str, rows: int) -> Codes:
    """Codes of an outcome column; all empty where the table lacks it."""
    if name not in table.columns:
        return np.full(rows, EMPTY, np.int8)
    column = table.columns[name]
    known = _OUTCOME[name]
    lookup = [_outcome_of(value, known) for value in column.values]
    return np.asarray(np.array([*lookup, EMPTY], np.int8)[column.codes])


def _outcome_of(value: Any, known: Mapping[Any, int]) -> int:
    plain = "" if _absent(value) else value.strip() if isinstance(value, str) else value
    try:
        return known.get(plain, UNREADABLE)
    except TypeError:  # unhashable: a list in a frame
        return UNREADABLE


def _misplaced(table: Table, name: str, outcome: Codes, wanted: npt.NDArray[np.bool_]) -> list[tuple[int, str, str]]:
    """The first row in which ``outcome`` is missing or unreadable where wanted, or given where it is not."""
    wrong = np.flatnonzero(np.where(wanted, outcome < 0, outcome != EMPTY))
    if not wrong.size:
        return []
    row = int(wrong[0])
    if name not in table.columns:
        return [(row, name, "the table has no such column, and the method of this row needs it")]
    column = table.columns[name]
    value = column.values[column.codes[row]]
    if wanted[row]:
        return [(row, name, f"must be {_EXPECTED[name]}, not {_shown(value)}")]
    return [(row, name, f"must be empty for the method of this row, not {_shown(value)}")]


# --- counting -------------------------------------------------------------------------------------------------


def _counted(table: Table, read: Mapping[str, _Read], outcome: Codes) -> tuple[AnyPooled, ...]:
    """Sort one key per row - question, panelist, replicate, outcome - and cut it where question or panelist change."""
    questions, decode = _combined([read[name] for name in _QUESTION])
    if len(decode) > MOST_QUESTIONS:
        raise AnswersError(
            f"The table is too large: it asks about {len(decode)} comparisons, methods and strip ages; at most "
            f"{MOST_QUESTIONS} are judged at once."
        )
    people, replicates = len(read["panelist"].values), len(read["replicate"].values)
    span = len(decode) * people * replicates * 4
    keys = questions.astype(_narrowest(span)) * people + read["panelist"].codes
    keys = keys * replicates + read["replicate"].codes
    ordered = _ordered(keys * 4 + outcome, span)
    answers, outcome = ordered >> 2, ordered & 3
    if len(ordered) < len(keys) or (answers[1:] == answers[:-1]).any():
        raise AnswersError(_twice(table, read, keys))
    cells = answers // replicates if replicates > 1 else answers
    counts = _Counts.of_cells(_starts(cells), outcome)
    asked_in = cells[counts.starts] // people
    return _in_order(_pooled_questions(read, decode, asked_in, counts))


_QUESTION: Final = ("comparison", "method", "age_minutes")


@dataclass(frozen=True, slots=True)
class _Counts:
    """Answers of one person to one question each: where they begin, how many, how many with outcome 1, with 2."""

    starts: Codes
    asked: Codes
    ones: Codes  # correct, or second preferred
    twos: Codes  # no preference

    @classmethod
    def of_cells(cls, starts: Codes, outcome: Codes) -> _Counts:
        ones, twos = ((outcome == which).astype(np.int64) for which in (1, 2))
        if len(starts) == len(outcome):  # nobody answered twice
            return cls(starts, np.ones_like(ones), ones, twos)
        ones = np.add.reduceat(ones, starts)
        twos = np.add.reduceat(twos, starts) if twos.any() else np.zeros_like(ones)
        return cls(starts, np.diff(np.r_[starts, len(outcome)]), ones, twos)

    def ordered(self, asked_in: Codes) -> _Counts:
        """By question, then by what was answered: the same answers in another order of rows are the same counts."""
        if (self.asked == 1).all():
            return self
        order = np.lexsort((self.asked, self.ones, asked_in))
        return _Counts(*(getattr(self, name)[order] for name in ("starts", "asked", "ones", "twos")))


def _ordered(keys: Codes, span: int) -> Codes:
    """The keys in order; a key given twice comes once where they are dense enough to be ticked off a list."""
    if span > 64 * len(keys):
        return np.sort(keys)
    ticked = np.zeros(span, np.bool_)
    ticked[keys] = True
    return np.flatnonzero(ticked)


def _starts(ordered: Codes) -> Codes:
    """Where a new value begins."""
    return np.flatnonzero(np.r_[True, ordered[1:] != ordered[:-1]])


def _narrowest(span: int) -> type[np.signedinteger[Any]]:
    if span >= 2**62:
        raise AnswersError("The table holds too many different comparisons, panelists and replicates at once.")
    return np.int32 if span < 2**31 else np.int64


def _combined(columns: Sequence[_Read]) -> tuple[Codes, list[tuple[int, ...]]]:
    """One code for each combination that occurs, and what each code stands for."""
    sizes = [len(one.values) for one in columns]
    span = math.prod(sizes)
    mixed = columns[0].codes.astype(_narrowest(span))
    for one, size in zip(columns[1:], sizes[1:], strict=True):
        mixed = mixed * size + one.codes
    if span <= 4 * len(mixed) + 1024:
        present = np.bincount(mixed, minlength=span) > 0
        found = np.flatnonzero(present)
        codes = mixed if present.all() else (np.cumsum(present) - 1)[mixed]
    else:
        found, codes = np.unique(mixed, return_inverse=True)
    return codes, list(zip(*(part.tolist() for part in np.unravel_index(found, sizes)), strict=True))


def _twice(table: Table, read: Mapping[str, _Read], keys: Codes) -> str:
    """Words for the first row that repeats an earlier one."""
    order = np.argsort(keys, kind="stable")
    later = order[1:][keys[order][1:] == keys[order][:-1]]
    second = int(later.min())
    first = int(np.flatnonzero(keys == keys[second])[0])
    told = ", ".join(f"{name} {shortened(read[name].values[read[name].codes[second]])}" for name in REQUIRED)
    return f"{table.place(first)} and {table.place(second)} hold the same answer twice: {told}."


def _pooled_questions(
    read: Mapping[str, _Read], decode: Sequence[tuple[int, ...]], asked_in: Codes, counts: _Counts
) -> list[AnyPooled]:
    """One count per question; ``asked_in`` is the question of every cell, in order."""
    starts = _starts(asked_in)
    sums = [np.add.reduceat(one, starts).tolist() for one in (counts.asked, counts.ones, counts.twos)]
    edges = pairwise([*starts.tolist(), len(asked_in)])
    ordered = counts.ordered(asked_in)
    return [
        _pooled(_names(read, decode[code]), totals, ordered, slice(*ends))
        for code, totals, ends in zip(asked_in[starts].tolist(), zip(*sums, strict=True), edges, strict=True)
    ]


def _names(read: Mapping[str, _Read], codes: Sequence[int]) -> list[Any]:
    return [read[name].values[code] for name, code in zip(_QUESTION, codes, strict=True)]


def _pooled(named: Sequence[Any], totals: tuple[int, int, int], counts: _Counts, own: slice) -> AnyPooled:
    comparison, method, age = named
    (asked, ones, twos), people = totals, own.stop - own.start
    if kind_of(method).votes:
        answers = (asked - ones - twos, ones, twos)
        votes = answers if people == 1 else majorities(_votes(counts, own))
        return PooledVotes(comparison, method, age, people, votes, answers)
    each: tuple[tuple[int, int], ...] = ()
    if 1 < people < asked:
        each = tuple(zip(counts.ones[own].tolist(), counts.asked[own].tolist(), strict=True))
    return Pooled(comparison, method, age, people, asked, ones, each)


def _votes(counts: _Counts, own: slice) -> list[tuple[int, int, int]]:
    ones, twos = counts.ones[own], counts.twos[own]
    firsts = counts.asked[own] - ones - twos
    return list(zip(firsts.tolist(), ones.tolist(), twos.tolist(), strict=True))


def _with_sureness(
    counted: tuple[AnyPooled, ...], table: Table, read: Mapping[str, _Read], outcome: Codes
) -> tuple[AnyPooled, ...]:
    """The same, forced choices with their answers by the sureness said."""
    questions, decode = _combined([read[name] for name in _QUESTION])
    cells = (questions.astype(np.int64) * len(SURE) + _words(table)) * 2 + (outcome == 1)
    numbers = np.bincount(cells, minlength=len(decode) * len(SURE) * 2).reshape(-1, len(SURE), 2).tolist()
    said = {
        tuple(_names(read, code)): tuple((wrong + right, right) for wrong, right in own)
        for code, own in zip(decode, numbers, strict=True)
    }
    return tuple(
        replace(one, said=said[one.comparison, one.method, one.age_minutes]) if isinstance(one, Pooled) else one
        for one in counted
    )


def _words(table: Table) -> Codes:
    """The place of every row's word of sureness, an empty cell with the lowest."""
    if SURENESS not in table.columns:
        raise AnswersError(
            f"The table of answers has no column {SURENESS}: to weigh answers, it must say how sure each was."
        )
    column = table.columns[SURENESS]
    places, wrong = [], {}
    for code, value in enumerate(column.values):
        word = SURE[0] if _absent(value) or not str(value).strip() else str(value).strip()
        places.append(SURE.index(word) if word in SURE else 0)
        if word not in SURE:
            wrong[code] = f"must be {', '.join(SURE)} or empty, not {_shown(value)}"
    problem = _first_of(column.codes, wrong) if wrong else None
    if problem:
        raise AnswersError(f"{table.place(problem[0])}, column {SURENESS}: {problem[1]}.")
    return np.array([*places, 0], np.int64)[column.codes]


def _in_order(found: Sequence[AnyPooled]) -> tuple[AnyPooled, ...]:
    """Comparisons as they first appear, methods in their usual order, youngest strips first."""
    seen = {name: place for place, name in enumerate(dict.fromkeys(one.comparison for one in found))}
    order = _of_two()
    return tuple(sorted(found, key=lambda one: (seen[one.comparison], order.index(one.method), _late(one))))


def _late(pooled: AnyPooled) -> float:
    return math.inf if isinstance(pooled.age_minutes, str) else pooled.age_minutes
