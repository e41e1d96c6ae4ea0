"""Check all that apply: which words are checked more often for one trial than for another?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import whole
from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.ratings.cells import Cells, read_cells
from evaluation.statistics.ratings.cochran import cochran_q, mcnemar


@dataclass(frozen=True, slots=True)
class CheckedRow:
    """One word at one age; part of :class:`CheckAll`.

    Attributes
    ----------
    descriptor, age_minutes : labels; the age is 0.0 where the frame has none.
    trials, checked : the trials asked about, and how many of ``panelists`` checked the word for each.
    panelists, left_out : people who answered for each of the trials; people who did not, and are left out.
    statistic, df : Cochran's Q; None where everybody said the same of all trials, or one trial stands alone.
    p_value, p_family : of "people check it as often for each trial", and corrected over all rows (Holm); 1.0 where the
        statistic is None.
    exact, error : False: p from 9,999 drawn placings; its standard error then.
    """

    descriptor: Any
    age_minutes: float
    trials: tuple[Any, ...]
    checked: tuple[int, ...]
    panelists: int
    left_out: int
    statistic: float | None
    df: int
    p_value: float
    p_family: float
    exact: bool
    error: float

    @property
    def shares(self) -> tuple[float | None, ...]:
        """Share of the panelists who checked the word, trial by trial; None where nobody answered for all."""
        return tuple(one / self.panelists if self.panelists else None for one in self.checked)


@dataclass(frozen=True, slots=True)
class CheckedPair:
    """One word at one age for two trials; part of :class:`CheckAll`.

    Attributes
    ----------
    descriptor, age_minutes, first, second : labels.
    panelists : people who answered for both.
    first_only, second_only : people who checked the word for one of the two only; only they tell the two apart.
    difference : share for the second − share for the first, −1 … 1; None where nobody answered for both.
    p_value, p_family : exact, two-sided (McNemar), and corrected over all pairs of all rows (Holm).
    """

    descriptor: Any
    age_minutes: float
    first: Any
    second: Any
    panelists: int
    first_only: int
    second_only: int
    difference: float | None
    p_value: float
    p_family: float


@dataclass(frozen=True, slots=True)
class CheckAll:
    """What :func:`check_all` found; ``seed`` echoes its argument.

    Attributes
    ----------
    rows : one :class:`CheckedRow` for each word and age.
    pairs : one :class:`CheckedPair` for each word, age and two trials.
    dropped : rows of the frame without an answer.
    again : rows of the frame whose replicate number was given before; they count as further replicates.
    """

    seed: int
    rows: tuple[CheckedRow, ...]
    pairs: tuple[CheckedPair, ...]
    dropped: int
    again: int

    @property
    def table(self) -> pd.DataFrame:
        """One row for each word, age and trial: ``checked, share`` beside the row's other columns."""
        names = [name for name in CheckedRow.__slots__ if name not in ("trials", "checked")]
        columns = ["descriptor", "age_minutes", "trial", "checked", "share", *names[2:]]
        found = [
            {"trial": trial, "checked": number, "share": share} | {name: getattr(row, name) for name in names}
            for row in self.rows
            for trial, number, share in zip(row.trials, row.checked, row.shares, strict=True)
        ]
        return pd.DataFrame(found, columns=columns)

    @property
    def pair_table(self) -> pd.DataFrame:
        """One row for each :class:`CheckedPair`."""
        names = list(CheckedPair.__slots__)
        return pd.DataFrame([{name: getattr(one, name) for name in names} for one in self.pairs], columns=names)


def check_all(frame: pd.DataFrame, *, seed: int = 0) -> CheckAll:
    """Which words are checked more often for one trial than for another?

    Parameters
    ----------
    frame : DataFrame, one row for each answer
        Columns ``panelist, trial`` and ``rating`` (1 or True: checked, 0 or False: not; missing = not asked or skipped,
        dropped), and if there are several ``descriptor``, ``age_minutes`` and ``replicate``. Several answers of one
        panelist to the same question count as one: checked if more than half of them are.
    seed : int, 0 or more
        Draws placings where a table is too large for the exact law.

    Returns
    -------
    CheckAll

    Raises
    ------
    ArgumentError, KindError
        A column missing, no answer at all, a rating that is neither 0 nor 1, an age missing or negative.

    Notes
    -----
    A word left unchecked does not say that it was not there: people check what comes to mind, and the first words more
    than the last. Only people who answer differently for different trials enter either test, so ten who check the word
    for both say nothing. A large p does not show that the word fits both alike. The rows are corrected among
    themselves, and so are the pairs: choose the words before the answers are seen. With two trials both tests are the
    same one.

    References
    ----------
    Cochran 1950, Biometrika 37, 256–266, with the exact law of the placings in place of chi-square, which is poor with
    few people; McNemar 1947, Psychometrika 12, 153–157, exact; Holm 1979 (from memory).

    Examples
    --------
    >>> said = {"woody": ([1] * 8, [0] * 7 + [1]), "green": ([1, 0] * 4, [1, 0] * 4)}
    >>> rows = [(p, t, d, y) for d, both in said.items() for t, ys in zip("AB", both) for p, y in enumerate(ys)]
    >>> found = check_all(pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "rating"]))
    >>> [(row.descriptor, row.checked, row.statistic, row.p_value, row.p_family) for row in found.rows]
    [('green', (4, 4), None, 1.0, 1.0), ('woody', (8, 1), 7.0, 0.015625, 0.03125)]
    """
    seed = whole("seed", seed)
    read = read_cells(_as_numbers(frame))
    if (wrong := ~np.isin(read.values, (0.0, 1.0))).any():
        raise ArgumentError(
            f"frame: rating must be 0 or 1 where words are checked, not {read.values[wrong][0].item()!r}."
        )
    means = read.means()
    said = np.where(np.isnan(means), np.nan, means > 0.5)
    places = [place for place in np.ndindex(len(read.descriptors), len(read.ages)) if not _empty(said, place)]
    rows = [_row(read, said[:, :, word, age], word, age, seed) for word, age in places]
    pairs = [pair for word, age in places for pair in _pairs(read, said[:, :, word, age], word, age)]
    return CheckAll(seed, tuple(_corrected(rows)), tuple(_corrected(pairs)), read.dropped, read.again)


def _as_numbers(frame: Any) -> Any:
    """True and False as 1 and 0, which other frames of ratings refuse."""
    if not isinstance(frame, pd.DataFrame) or "rating" not in frame.columns:
        return frame  # read_cells says what is wrong
    plain = [float(one) if isinstance(one, bool | np.bool_) else one for one in frame["rating"].tolist()]
    if any(isinstance(one, str) for one in plain):
        raise KindError("frame: rating must be 0 or 1 where words are checked, not text.")
    return frame.assign(rating=pd.Series(plain, index=frame.index))


def _empty(said: Floats, place: tuple[int, ...]) -> bool:
    return bool(np.isnan(said[:, :, place[0], place[1]]).all())


def _row(read: Cells, said: Floats, word: int, age: int, seed: int) -> CheckedRow:
    asked = ~np.isnan(said).all(axis=0)
    answers = said[:, asked]
    full = ~np.isnan(answers).any(axis=1)
    table = answers[full].astype(np.int64)
    found = cochran_q(table, seed)
    return CheckedRow(
        descriptor=read.descriptors[word],
        age_minutes=read.ages[age],
        trials=tuple(read.trials[place] for place in np.flatnonzero(asked)),
        checked=tuple(table.sum(axis=0).tolist()),
        panelists=int(full.sum()),
        left_out=int((~full & ~np.isnan(answers).all(axis=1)).sum()),
        statistic=found.statistic,
        df=found.df,
        p_value=found.p_value,
        p_family=found.p_value,
        exact=found.exact,
        error=found.error,
    )


def _pairs(read: Cells, said: Floats, word: int, age: int) -> Iterator[CheckedPair]:
    asked = np.flatnonzero(~np.isnan(said).all(axis=0))
    for one, two in combinations(asked.tolist(), 2):
        both = said[~np.isnan(said[:, [one, two]]).any(axis=1)][:, [one, two]]
        first_only, second_only = int((both[:, 0] > both[:, 1]).sum()), int((both[:, 1] > both[:, 0]).sum())
        p = mcnemar(first_only, second_only)
        yield CheckedPair(
            descriptor=read.descriptors[word],
            age_minutes=read.ages[age],
            first=read.trials[one],
            second=read.trials[two],
            panelists=len(both),
            first_only=first_only,
            second_only=second_only,
            difference=(second_only - first_only) / len(both) if len(both) else None,
            p_value=p,
            p_family=p,
        )


def _corrected(rows: list[Any]) -> Iterator[Any]:
    family = holm([row.p_value for row in rows]).tolist()
    return (replace(row, p_family=p) for row, p in zip(rows, family, strict=True))
