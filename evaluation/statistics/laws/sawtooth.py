"""Which panel is large enough, when adding one assessor can lower the power?

With the critical count c fixed the chance to miss falls as n grows; each time c steps up it jumps. So the
miss is a saw-tooth in n, and a search must look at every n or prove that it need not. Both proofs here use
two facts: c(n) never decreases in n, and miss(c, n) rises with c and falls with n. Hence over a block n = a …
b

    miss(c(a), b)  is the smallest any n of the block can have,
    miss(c(b), a)  is the largest.

Blocks settled by these two numbers need no further look; every n of the others is computed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from evaluation.statistics.laws.binomial import NEAR
from evaluation.statistics.laws.inputs import Floats, Ints

Truths = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Search:
    """A test of n assessments: its critical count, its chance to miss, the accepted risk of missing.

    ``safe`` is an n from which it surely misses rarely enough (:func:`safe_size`).
    """

    critical: Callable[[Ints], Ints]
    miss: Callable[[Ints, Ints], Floats]
    risk: float
    safe: int

    def reached(self, needed: Ints, assessments: Ints) -> Truths:
        """Where the chance to miss is at most the risk; equal but for the last digits counts."""
        return np.asarray(self.miss(needed, assessments) <= self.risk * (1.0 + NEAR))


def first(search: Search) -> int:
    """Smallest n that reaches the risk."""
    starts, ends, possible, certain = _blocks(search)
    sure = int(np.argmax(certain)) if certain.any() else len(starts) - 1
    open_ = np.flatnonzero(possible[: sure + 1])
    sizes = _sizes(starts[open_], ends[open_])
    reached = search.reached(search.critical(sizes), sizes)
    return int(sizes[np.argmax(reached)]) if reached.any() else search.safe


def stays(search: Search) -> int:
    """Smallest n from which every larger n reaches the risk."""
    starts, ends, possible, certain = _blocks(search)
    if certain.all():
        return 1
    last_open = int(np.flatnonzero(~certain)[-1])
    impossible = np.flatnonzero(~possible)
    since = int(impossible[-1]) if impossible.size else 0
    sizes = _sizes(starts[since : last_open + 1], ends[since : last_open + 1])
    failed = np.flatnonzero(~search.reached(search.critical(sizes), sizes))
    return int(sizes[failed[-1]]) + 1 if failed.size else 1


def _blocks(search: Search) -> tuple[Ints, Ints, Truths, Truths]:
    """Blocks of 1 … safe about √n/3 wide: first n, last n, may any n reach, surely do all."""
    steps = np.arange(6 * math.isqrt(search.safe) + 13)
    starts = np.unique(np.floor((1.0 + steps / 6.0) ** 2).astype(np.int64))
    edges = np.append(starts[starts <= search.safe], search.safe + 1)
    needed = search.critical(edges)
    starts, ends = edges[:-1], edges[1:] - 1
    # the next block's first critical count stands in for this block's last: never smaller, so no proof is lost
    return starts, ends, search.reached(needed[:-1], ends), search.reached(needed[1:], starts)


def _sizes(starts: Ints, ends: Ints) -> Ints:
    if starts.size == 0:
        return np.zeros(0, dtype=np.int64)
    return np.concatenate([np.arange(a, b + 1) for a, b in zip(starts, ends, strict=True)])


def safe_size(guessing: float, truth: float, alpha: float, beta: float) -> float:
    """An n from which every exact test at ``alpha`` misses ``truth`` > ``guessing`` with at most ``beta``.

    Chernoff's bounds (1952, Ann. Math. Statist. 23, 493–507): for a proportion t between the two,
    P(X ≥ nt | guessing) ≤ exp(−n K(t, guessing)) and P(X ≤ nt | truth) ≤ exp(−n K(t, truth)), K the relative
    entropy. Once the first is at most alpha the critical count is at most ⌈nt⌉, so the test misses only if X
    < nt, and the second bounds that. Both hold for every larger n as well. Any t is safe; the one that
    balances them is the tightest.
    """
    truth = min(truth, 1.0 - 1e-12)  # a smaller truth only asks for more
    low, high = guessing, truth
    for _ in range(40):
        middle = (low + high) / 2.0
        if math.log(alpha) * _entropy(middle, truth) < math.log(beta) * _entropy(middle, guessing):
            low = middle  # still too near guessing: keeping alpha is the harder part
        else:
            high = middle
    needed = [math.log(alpha) / -_entropy(low, guessing), math.log(beta) / -_entropy(low, truth)]
    return max(needed) * 1.001 + 2.0  # a margin for the rounding of the entropies


def _entropy(t: float, p: float) -> float:
    """K(t, p) = t log(t/p) + (1−t) log((1−t)/(1−p)); infinite where t = p, as the bound then says nothing."""
    value = -t * math.log1p((p - t) / t) - (1.0 - t) * math.log1p((t - p) / (1.0 - t))
    return value if value > 0.0 else 1e-300
