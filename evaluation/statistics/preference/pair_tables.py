"""Tables of paired preferences, checked and laid out as cells: what ``merits`` and ``camps`` start from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from evaluation.errors import ArgumentError
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, Floats, Ints, numbers

MOST_TRIALS = 50


@dataclass(frozen=True, slots=True, eq=False)
class PairTable:
    """Answers about pairs, one layer per panelist (one layer in all where panelists were not told apart).

    Attributes
    ----------
    wins : layers × t × t; ``wins[p, i, j]`` times p preferred i to j.
    ties : the same shape, or None where "no preference" was not counted. Without orders both halves are the same
        number, with orders ``ties[p, i, j]`` belongs to "i smelt first".
    first : the same shape: of those wins, how many went to the one smelt first; None where orders were not told.
    by_panelist : whether the layers are panelists.
    """

    wins: Ints
    ties: Ints | None
    first: Ints | None
    by_panelist: bool

    @property
    def trials(self) -> int:
        """How many trials are compared."""
        return int(self.wins.shape[1])

    def cells(self) -> Ints:
        """Layers × cells × outcomes: (first of the pair preferred, second preferred[, no preference])."""
        i, j = pairs_of(self.trials, self.first is not None).T
        if self.first is None:
            sides = [self.wins[:, i, j], self.wins[:, j, i]]
        else:
            sides = [self.first[:, i, j], self.wins[:, j, i] - self.first[:, j, i]]
        return np.stack(sides if self.ties is None else [*sides, self.ties[:, i, j]], axis=2)


def pairs_of(trials: int, ordered: bool) -> Ints:
    """Every pair of places, one row each; with ``ordered`` in both orders."""
    places = [(i, j) for i in range(trials) for j in range(trials) if (i != j if ordered else i < j)]
    return np.array(places, dtype=np.int64)


def pair_table(wins: Any, ties: Any, first_position: Any, *, empty: bool = False) -> PairTable:
    """The three arguments of :func:`pairwise_merits`, checked against each other; ``empty``: no answer is needed."""
    won = _counts("wins", wins)
    first = None if first_position is None else _like("first_position", first_position, won)
    if first is not None and (first > won).any():
        raise ArgumentError("first_position must not exceed wins: it says how many of them went to the one first.")
    none = None if ties is None else _like("ties", ties, won)
    if none is not None and first is None:
        none = _both_halves(none)
    if not empty and not won.any() and (none is None or not none.any()):
        raise ArgumentError("wins must hold at least one answer, not zeros only.")
    return PairTable(
        wins=_layers(won),
        ties=None if none is None else _layers(none),
        first=None if first is None else _layers(first),
        by_panelist=won.ndim == 3,
    )


def _counts(name: str, value: Any) -> Ints:
    raw = numbers(name, value, 0.0, MOST_ASSESSMENTS)
    if raw.ndim not in (2, 3) or raw.shape[-1] != raw.shape[-2] or not 2 <= raw.shape[-1] <= MOST_TRIALS:
        raise ArgumentError(
            f"{name} must be t × t or panelists × t × t with t from 2 to {MOST_TRIALS}, not of shape {raw.shape}."
        )
    if (raw != np.floor(raw)).any():
        bad = raw[raw != np.floor(raw)][0].item()
        raise ArgumentError(f"{name} must hold whole numbers, not {bad!r}; answers without a preference go to ties.")
    if np.diagonal(raw, axis1=-2, axis2=-1).any():
        raise ArgumentError(f"{name} must have zeros on its diagonal: no trial is compared with itself.")
    return raw.astype(np.int64)


def _like(name: str, value: Any, wins: Ints) -> Ints:
    counted = _counts(name, value)
    if counted.shape != wins.shape:
        raise ArgumentError(f"{name} must have the shape of wins, {wins.shape}, not {counted.shape}.")
    return counted


def _both_halves(ties: Ints) -> Ints:
    """The number of a pair in both its cells: given so, or in one of the two halves of the table only."""
    turned = ties.swapaxes(-1, -2)
    if (ties == turned).all():
        return ties
    if not np.tril(ties).any() or not np.triu(ties).any():
        return np.asarray(ties + turned)
    raise ArgumentError(
        "ties must be symmetric, ties[i, j] and ties[j, i] being the same answers, or filled in one half only."
    )


def _layers(counted: Ints) -> Ints:
    return counted if counted.ndim == 3 else counted[None]


def pooled(cells: Floats) -> Floats:
    """One layer: all panelists together."""
    return np.asarray(cells.sum(axis=0, keepdims=True))
