"""Ages side by side at which a family shows something in one direction."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Final

import pandas as pd

ROUNDING: Final = 1.0 + 1e-12  # a p that equals alpha is not lost to the last digit


def stretches(rows: pd.DataFrame, value: str, alpha: float) -> Iterator[tuple[int, int]]:
    """First place, and the one after the last, of each stretch; ``rows`` by age, ``value`` a column."""
    shown = rows["in_family"] & (rows["p_family"] <= alpha * ROUNDING)
    way = [(1 if one > 0 else -1) if yes else 0 for one, yes in zip(rows[value], shown, strict=True)]
    for direction, places in groupby(range(len(way)), key=way.__getitem__):
        if direction:
            listed = list(places)
            yield listed[0], listed[-1] + 1
