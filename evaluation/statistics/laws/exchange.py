"""Labels exchanged within each person: with each order drawn apart, every labelling of what is alike was as likely.

Sign flips take all of a person's differences as likely with all signs turned. Between two trials that follows from the
draw alone. Among three or more it does not: whoever rates the strip smelt first two points higher has one trial above
both others, never one below both. Exchanging each person's labels asks nothing but the draw.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from typing import Final

import numpy as np

from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.laws.signflip import FEWEST_PEOPLE, NEAR

DRAWS: Final = 1_999
_BLOCK: Final = 2_000_000  # numbers held at once


def alike_p(scores: Floats, seed: int, draws: int = DRAWS) -> float:
    """Probability of so large a range of trials, in any row, where each person's labels are as likely any other way.

    ``scores``: people × trials × rows, NaN where not rated; what a person rated goes along with the label, gaps too.
    Rows that fewer than 6 people rated twice or more are left out; 1 where none is left. The labelling met is counted.
    """
    centred = _centred(scores)
    if not centred.size:
        return 1.0
    people, trials = scores.shape[:2]
    met = float(_largest(np.tile(np.eye(trials), (1, people, 1, 1)), centred)[0])
    return (1.0 + sum(int((some >= met - NEAR).sum()) for some in _drawn(centred, seed, draws))) / (draws + 1.0)


def held_by_subsets(scores: Floats, pairs: Iterable[tuple[int, int]], seed: int) -> tuple[float, ...]:
    """For each pair of trials the largest p of any three or more trials it is among; 0 where there are only two.

    Somebody may claim that a pair differs where no set of trials that holds it could be all alike (closed testing,
    Marcus, Peritz and Gabriel 1976).
    """
    amount = scores.shape[1]
    sets = [one for size in range(3, amount + 1) for one in combinations(range(amount), size)]
    found = {one: alike_p(scores[:, list(one)], seed) for one in sets}
    return tuple(max((p for one, p in found.items() if {*pair} <= {*one}), default=0.0) for pair in pairs)


def _centred(scores: Floats) -> Floats:
    """Ratings less each person's mean in the row, scaled so that every row's squares add up to 1."""
    present = ~np.isnan(scores)
    twice = present.sum(axis=1) >= 2
    rows = twice.sum(axis=0) >= FEWEST_PEOPLE
    kept, own = scores[:, :, rows], twice[:, rows][:, None]
    means = np.nansum(kept, axis=1, keepdims=True) / np.maximum(present[:, :, rows].sum(axis=1, keepdims=True), 1)
    centred: Floats = np.where(own & present[:, :, rows], kept - means, 0.0)
    size = np.sqrt((centred**2).sum(axis=(0, 1)))
    size[size == 0.0] = 1.0
    scaled: Floats = centred / size
    return scaled


def _drawn(centred: Floats, seed: int, draws: int) -> Iterable[Floats]:
    people, trials, rows = centred.shape
    random, left = np.random.default_rng(seed), draws
    while left:
        now = min(left, max(1, _BLOCK // (people * trials * max(trials, rows))))
        order = random.permuted(np.tile(np.arange(trials), (now, people, 1)), axis=2)
        yield _largest(np.eye(trials)[order], centred)
        left -= now


def _largest(labels: Floats, centred: Floats) -> Floats:
    """For each labelling (people × trials × trials of 0 and 1) the largest range over trials of any row."""
    people, trials, rows = centred.shape
    each = labels.transpose(0, 2, 1, 3).reshape(-1, people * trials)
    sums = (each @ centred.reshape(people * trials, rows)).reshape(-1, trials, rows)
    found: Floats = np.ptp(sums, axis=1).max(axis=1)
    return found
