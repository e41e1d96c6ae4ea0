"""Pairs for the noses and strips of tonight, chosen by what the model of a brief believes.

Each pair sets a trial that may be the best against another that may be: both are taken as often as the model believes
it of them (top-two sampling; Russo 2020, "Simple Bayesian algorithms for best-arm identification", Operations Research
68, from memory). A rule that always asks what seems best now would teach less and be surer of it. All of this is drawn
from a seed, so that a proposal can be made again.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.serving.smelling import SETS_PAUSE_SECONDS, set_seconds

MOST_AT_ONCE: Final = 8  # trials in one round
FEWEST_AT_ONCE: Final = 3  # and at least so many
MOST_STRIPS: Final = 60  # a nose and evening: nobody smells as many

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Asked:
    """One pair for one nose, by places of trials; which of them is smelt first is drawn when it is sealed."""

    nose: int
    first: int
    second: int


def pairs_each(strips: int, minutes: int | None = None) -> int:
    """How many pairs a nose can smell with so many strips, within so many minutes where these are given."""
    fit = checks.whole("strips a nose", strips, 2, MOST_STRIPS) // 2
    if minutes is None:
        return fit
    seconds = 60 * checks.whole("minutes", minutes, minutes_of(1))
    return min(fit, (seconds + SETS_PAUSE_SECONDS) // (set_seconds(2) + SETS_PAUSE_SECONDS))


def minutes_of(pairs: int) -> int:
    """What so many pairs take a nose from the first sniff to the last answer, with the rests that are proposed."""
    seconds = pairs * (set_seconds(2) + SETS_PAUSE_SECONDS) - SETS_PAUSE_SECONDS
    return -(-seconds // 60)


def pair_shares(best_chance: Floats, inside: Sequence[int]) -> Floats:
    """Of all pairs asked, how many of each: trials × trials, above the diagonal, summing to 1.

    One trial is drawn by its chance to be the best, the other likewise from the rest; only trials ``inside`` take part.
    """
    chance = np.zeros(len(best_chance))
    chance[list(inside)] = np.maximum(np.asarray(best_chance, dtype=np.float64)[list(inside)], 1e-6)
    chance = np.minimum(chance / chance.sum(), 1.0 - 1e-6)
    share = chance[:, None] * chance[None, :] / (1.0 - chance)[:, None]
    np.fill_diagonal(share, 0.0)
    share = np.triu(share + share.T)
    return np.asarray(share / share.sum())


def pairs_tonight(
    best_chance: Sequence[float] | Floats, noses: int, each: int, seed: int, out: Collection[int] = ()
) -> tuple[Asked, ...]:
    """``each`` pairs for each of so many noses, all chosen before the first answer.

    Of the likeliest trials, as many as one session holds. Every pair is asked as often as its share, up to less than
    one: a single random place on a circle decides, and noses get different pairs as far as there are any. Where only
    two trials came out of it and there are more, one pair is given to the likeliest third.
    """
    wanted = checks.whole("noses", noses, 1) * checks.whole("pairs each", each, 1)
    chance = np.asarray(best_chance, dtype=np.float64)
    order = [int(one) for one in np.argsort(-chance, kind="stable") if one not in out]
    if len(order) < 2:
        raise ArgumentError(f"trials in the running must be two or more, not {len(order)}.")
    taken = _on_a_circle(pair_shares(chance, order[:MOST_AT_ONCE]), wanted, checks.whole("seed", seed))
    if len({*taken.flat}) < min(FEWEST_AT_ONCE, len(order), wanted + 1):
        taken[-1] = sorted((order[0], next(one for one in order if one not in taken)))
    return tuple(Asked(at % noses, int(one), int(other)) for at, (one, other) in enumerate(taken))


def _on_a_circle(share: Floats, wanted: int, seed: int) -> npt.NDArray[np.int64]:
    """Pairs in proportion to their share: equal steps round a circle on which each pair has its arc."""
    rng = np.random.default_rng(seed)
    pairs = np.argwhere(share > 0)
    turned = rng.permutation(len(pairs))
    ends = np.cumsum(share[tuple(pairs[turned].T)])
    points = (np.arange(wanted) + rng.random()) / wanted * ends[-1]
    return np.asarray(pairs[turned[np.minimum(np.searchsorted(ends, points, side="right"), len(pairs) - 1)]])
