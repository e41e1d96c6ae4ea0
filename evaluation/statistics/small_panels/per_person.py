"""Argument checks that the functions on several answers per person share: one entry per panelist."""

from __future__ import annotations

from typing import Any

import numpy as np

from evaluation.errors import ArgumentError
from evaluation.statistics.laws.inputs import Ints, counts

# No nose answers one question more often; it would only make the likelihood slow.
MOST_REPLICATES = 1000


def panel_counts(correct: Any, assessments: Any) -> tuple[Ints, Ints]:
    """Return both as int64 arrays, one entry per panelist; one number of assessments may stand for everybody."""
    asked, right = counts("assessments", assessments), counts("correct", correct, 0)
    if right.size == 0:
        raise ArgumentError("correct must have one entry per panelist and at least one, not none.")
    if asked.size == 1:
        asked = np.repeat(asked, right.size)
    if asked.size != right.size:
        raise ArgumentError(f"assessments must have one entry per panelist, {right.size} as correct, not {asked.size}.")
    _within("assessments", asked, np.full_like(asked, MOST_REPLICATES), "1 to")
    _within("correct", right, asked, "0 to this panelist's assessments,")
    return right, asked


def _within(name: str, value: Ints, most: Ints, said: str) -> None:
    wrong = np.flatnonzero(value > most)
    if wrong.size:
        place = int(wrong[0])
        raise ArgumentError(f"{name} must be from {said} {most[place]}, not {value[place]} (panelist {place + 1}).")
