"""Frames of ratings: one row per person, trial, descriptor, strip age and replicate in, checked arrays out.

Every function that takes such a frame reads it here, so that all of them accept the same frames and count the same
cells. A rating that is missing (not smelt, skipped) is left out and counted, never taken for a 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics.laws.inputs import Floats, Ints

COLUMNS: Final = ("panelist", "trial", "descriptor", "age_minutes", "rating")


@dataclass(frozen=True, slots=True, eq=False)
class Coded:
    """A column as labels in order and, for each row, the place of its label."""

    labels: tuple[Any, ...]
    codes: Ints

    def place(self, name: str, label: Any) -> int:
        """Where ``label`` stands; ``name`` is the argument it came in."""
        if np.ndim(label) == 0:  # an array compares with each of its cells
            for place, known in enumerate(self.labels):
                if known == label:
                    return place
        listed = ", ".join(repr(one) for one in self.labels)
        raise ArgumentError(f"{name} must be one of {listed}, not {label!r}.")


@dataclass(frozen=True, slots=True, eq=False)
class Ratings:
    """A checked frame, row by row.

    ``rating`` is NaN where nothing was rated. Rows of one cell (panelist, trial, descriptor, age) are its replicates
    whatever their number; ``again`` counts rows whose number that cell already has, so that it can be told.
    """

    panelist: Coded
    trial: Coded
    descriptor: Coded
    age: Coded
    rating: Floats
    again: int

    @property
    def missing(self) -> int:
        """How many rows hold no rating."""
        return int(np.isnan(self.rating).sum())


def ratings_of(frame: pd.DataFrame) -> Ratings:
    """The checked columns of a frame; ``replicate`` may lack."""
    if not isinstance(frame, pd.DataFrame):
        raise KindError(f"frame must be a pandas data frame, not {type(frame).__name__}.")
    lacking = [name for name in COLUMNS if name not in frame.columns]
    if lacking:
        raise ArgumentError(f"frame must have the columns {', '.join(COLUMNS)}; it lacks {', '.join(lacking)}.")
    if frame.empty:
        raise ArgumentError("frame must hold at least one row.")
    columns = {name: column_of(frame, name) for name in (*COLUMNS, "replicate") if name in frame.columns}
    ages = pd.Series(_numbers("age_minutes", columns["age_minutes"]))
    panelist, trial, descriptor = (coded_column(name, columns[name]) for name in ("panelist", "trial", "descriptor"))
    age = coded_column("age_minutes", ages)
    rating = _numbers("rating", columns["rating"])
    again = 0
    if "replicate" in columns:
        again = _again(panelist, trial, descriptor, age, coded_column("replicate", columns["replicate"]))
    return Ratings(panelist, trial, descriptor, age, rating, again)


def column_of(frame: pd.DataFrame, name: str) -> pd.Series:
    """A column that is there once, or ArgumentError."""
    column = frame[name]
    if not isinstance(column, pd.Series):
        raise ArgumentError(f"frame must have the column {name} once.")
    return column


def coded_column(name: str, column: pd.Series) -> Coded:
    """Labels sorted, or in the order of the categories where the column is categorical; only labels that occur."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        codes = column.cat.codes.to_numpy(dtype=np.int64)
        _nothing_missing(name, codes)
        present, codes = np.unique(codes, return_inverse=True)
        return Coded(tuple(column.cat.categories[present].tolist()), codes.astype(np.int64))
    try:
        codes, values = pd.factorize(column, use_na_sentinel=True)
    except TypeError as problem:  # a list or the like in a cell
        raise KindError(f"frame: every cell of {name} must be text or a number.") from problem
    _nothing_missing(name, codes)
    labels = values.tolist()
    order = sorted(range(len(labels)), key=lambda one: _sortable(labels[one]))
    place = np.empty(len(labels), dtype=np.int64)
    place[order] = np.arange(len(labels))
    return Coded(tuple(labels[one] for one in order), place[codes])


def _sortable(label: Any) -> tuple[bool, float, str]:
    """Numbers before texts, each in its own order."""
    if isinstance(label, int | float):
        return False, float(label), ""
    return True, 0.0, str(label)


def _nothing_missing(name: str, codes: npt.NDArray[Any]) -> None:
    if (codes < 0).any():
        raise ArgumentError(f"frame must name the {name} in every row; row {int(np.argmax(codes < 0)) + 1} does not.")


def _numbers(name: str, column: pd.Series) -> Floats:
    """A column as floats, NaN where a cell is empty; text and truths are refused, not read as numbers."""
    if isinstance(column.dtype, pd.CategoricalDtype):
        column = column.astype(column.cat.categories.dtype)
    plain = column.dtype.kind in "iuf" if isinstance(column.dtype, np.dtype) else False
    if not plain:
        _only_numbers(name, column)
    numbers: Floats = column.to_numpy(dtype=np.float64, na_value=np.nan)
    wrong = np.isinf(numbers) if name == "rating" else ~np.isfinite(numbers)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise ArgumentError(f"frame: {name} must be a finite number, not {numbers[row].item()!r} (row {row + 1}).")
    return numbers


def _only_numbers(name: str, column: pd.Series) -> None:
    for row, value in enumerate(column.tolist(), start=1):
        if isinstance(value, str | bool | np.bool_) or not (pd.api.types.is_number(value) or pd.isna(value)):
            raise KindError(f"frame: {name} must be a number, not {value!r} (row {row}).")


def _again(panelist: Coded, trial: Coded, descriptor: Coded, age: Coded, replicate: Coded) -> int:
    columns = (panelist, trial, descriptor, age, replicate)
    cell = np.ravel_multi_index(tuple(one.codes for one in columns), tuple(len(one.labels) for one in columns))
    return int(cell.size - np.unique(cell).size)


def cell_means(rows: Ints, columns: Ints, shape: tuple[int, int], values: Floats) -> Floats:
    """Mean of the values present in each cell of a (rows × columns) table; NaN where there is none."""
    present = ~np.isnan(values)
    place = np.ravel_multi_index((rows[present], columns[present]), shape)
    size = shape[0] * shape[1]
    amount = np.bincount(place, minlength=size).astype(np.float64)
    amount[amount == 0] = np.nan
    means: Floats = np.bincount(place, weights=values[present], minlength=size) / amount
    return means.reshape(shape)
