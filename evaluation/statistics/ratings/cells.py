"""A checked frame of ratings as one array: panelists × trials × descriptors × ages, replicates taken together."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.ratings.frames import Coded, ratings_of

# Filled in where the frame has no such column: one descriptor without a name, one age
ABSENT: MappingProxyType[str, Any] = MappingProxyType({"descriptor": "", "age_minutes": 0.0})


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Labels that hold a rating, in order, and for each rating the place of its labels.

    Attributes
    ----------
    panelists, trials, descriptors, ages : the labels.
    places : int array (4, ratings): place of panelist, trial, descriptor and age.
    values : float array (ratings), never NaN.
    dropped : rows left out because their rating is missing (not smelt, skipped).
    again : rows whose replicate number their cell already has; they count as further replicates.
    """

    panelists: tuple[Any, ...]
    trials: tuple[Any, ...]
    descriptors: tuple[Any, ...]
    ages: tuple[float, ...]
    places: Ints
    values: Floats
    dropped: int
    again: int

    @property
    def shape(self) -> tuple[int, int, int, int]:
        """Panelists, trials, descriptors, ages."""
        return len(self.panelists), len(self.trials), len(self.descriptors), len(self.ages)

    def total(self, weights: Floats) -> Floats:
        """Sum of ``weights``, one for each rating, in each cell."""
        cell = np.ravel_multi_index(tuple(self.places), self.shape)
        summed: Floats = np.bincount(cell, weights, math.prod(self.shape)).astype(np.float64)
        return summed.reshape(self.shape)

    def number(self) -> Floats:
        """How many ratings each cell holds (its replicates)."""
        return self.total(np.ones_like(self.values))

    def means(self) -> Floats:
        """Mean over the replicates of each cell; NaN where nobody rated."""
        number = self.number()
        return np.where(number > 0, self.total(self.values) / np.maximum(number, 1.0), np.nan)


def read_cells(frame: Any, needed: tuple[str, ...] = ()) -> Cells:
    """Check ``frame``; ``needed`` names columns that must be there beside panelist, trial and rating."""
    if not isinstance(frame, pd.DataFrame):
        raise KindError(f"frame must be a pandas data frame, not {type(frame).__name__}.")
    required = ("panelist", "trial", *needed, "rating")
    lacking = [name for name in required if name not in frame.columns]
    if lacking:
        raise ArgumentError(f"frame must have the columns {', '.join(required)}; it lacks {', '.join(lacking)}.")
    read = ratings_of(frame.assign(**{name: ABSENT[name] for name in ABSENT if name not in frame.columns}))
    if read.age.labels[0] < 0:
        raise ArgumentError(f"frame: age_minutes must be 0 or more, not {read.age.labels[0]!r}.")
    there = ~np.isnan(read.rating)
    if not there.any():
        raise ArgumentError(f"frame must hold at least one rating; all {len(there)} rows are without.")
    coded = [_present(column, there) for column in (read.panelist, read.trial, read.descriptor, read.age)]
    places = np.array([column.codes for column in coded], dtype=np.int64)
    labels = [column.labels for column in coded]
    return Cells(labels[0], labels[1], labels[2], labels[3], places, read.rating[there], read.missing, read.again)


def _present(column: Coded, there: Any) -> Coded:
    places, codes = np.unique(column.codes[there], return_inverse=True)
    return Coded(tuple(column.labels[place] for place in places), codes.astype(np.int64))
