"""What to smell next by its worth: pairs for the noses and strips of tonight, and when to stop searching.

Each pair sets a trial that may be the best against another that may be: both are taken as often as the model believes
it of them (top-two sampling; Russo 2020, "Simple Bayesian algorithms for best-arm identification", Operations Research
68, from memory). A rule that always asks what seems best now would teach less and be surer of it. All of this is drawn
from a seed, so that a proposal can be made again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from evaluation.ground import checks

STOP_LOSS: Final = 0.10  # merit foreseen to be lost: a preference of 54 : 46
STOP_CHANCE: Final = 0.90  # that one trial is the best
MOST_AT_ONCE: Final = 8  # trials in one round

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Asked:
    """One pair for one nose, by places of trials; which of them is smelt first is drawn when it is sealed."""

    nose: int
    first: int
    second: int


def enough(foreseen_loss: float, best_chance: float) -> bool:
    """Whether searching on is worth less than holding a final; that the model believes so is no finding."""
    return foreseen_loss <= STOP_LOSS or best_chance >= STOP_CHANCE


def pair_shares(best_chance: Floats, among: int = MOST_AT_ONCE) -> Floats:
    """Of all pairs asked, how many of each: trials × trials, above the diagonal, summing to 1.

    One trial is drawn by its chance to be the best, the other likewise from the rest. Only the ``among`` likeliest take
    part, since so many fit in one session.
    """
    chance = _of_likeliest(best_chance, among)
    share = chance[:, None] * chance[None, :] / (1.0 - chance)[:, None]
    np.fill_diagonal(share, 0.0)
    share = np.triu(share + share.T)
    return np.asarray(share / share.sum())


def _of_likeliest(best_chance: Floats, among: int) -> Floats:
    """Chances of the likeliest, none of them so sure that nothing is left to set it against."""
    chance = np.maximum(np.asarray(best_chance, dtype=np.float64), 1e-6)
    chance[np.argsort(-chance, kind="stable")[among:]] = 0.0
    return np.asarray(np.minimum(chance / chance.sum(), 1.0 - 1e-6))


def pairs_tonight(best_chance: Sequence[float] | Floats, noses: int, each: int, seed: int) -> tuple[Asked, ...]:
    """``each`` pairs for each of so many noses, all chosen before the first answer.

    Every pair is asked as often as its share, up to less than one: a single random place on a circle decides, and noses
    get different pairs as far as there are any.
    """
    wanted = checks.whole("noses", noses, 1) * checks.whole("pairs each", each, 1)
    share = pair_shares(np.asarray(best_chance, dtype=np.float64))
    rng = np.random.default_rng(checks.whole("seed", seed))
    pairs = np.argwhere(share > 0)
    turned = rng.permutation(len(pairs))
    ends = np.cumsum(share[tuple(pairs[turned].T)])
    points = (np.arange(wanted) + rng.random()) / wanted * ends[-1]
    taken = pairs[turned[np.minimum(np.searchsorted(ends, points, side="right"), len(pairs) - 1)]]
    return tuple(Asked(at % noses, int(pair[0]), int(pair[1])) for at, pair in enumerate(taken))
