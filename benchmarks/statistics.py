"""Tables and inverses against the plain loops a user would write with scipy; equal answers are asserted first."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from scipy.optimize import brentq
from scipy.special import ndtr, owens_t
from scipy.stats import binom, ncf

from benchmarks.rows import Row, compared, seconds
from evaluation.statistics import d_prime, minimum_correct, panel_size, power

GUESSING, ALPHA, LARGEST = 1 / 3, 0.05, 2000
SHARES, BETAS = (0.5, 0.4, 0.3, 0.2, 0.15, 0.1), (0.2, 0.1, 0.05)


def loop_minimum_correct() -> list[int]:
    return [int(binom.isf(ALPHA, n, GUESSING)) + 1 for n in range(1, LARGEST + 1)]


def loop_power(pd: float = 0.3) -> list[float]:
    truth = GUESSING + pd * (1 - GUESSING)
    powers = []
    for n in range(1, LARGEST + 1):
        needed = int(binom.isf(ALPHA, n, GUESSING)) + 1
        powers.append(float(binom.sf(needed - 1, n, truth)))
    return powers


def loop_first(pd: float, beta: float) -> int:
    """Up from one person until the power is reached: stops as early as it can."""
    truth = GUESSING + pd * (1 - GUESSING)
    for n in range(1, LARGEST + 1):
        needed = int(binom.isf(ALPHA, n, GUESSING)) + 1
        if binom.sf(needed - 1, n, truth) >= 1 - beta:
            return n
    return LARGEST + 1


def loop_stays_table() -> list[int]:
    """The powers of every n to 2,000 once per pd, shared by all betas; nothing proves what comes after 2,000."""
    table = []
    for pd in SHARES:
        powers = np.array(loop_power(pd))
        table += [int(np.flatnonzero(powers < 1 - beta)[-1]) + 2 for beta in BETAS]
    return table


def tables() -> list[Row]:
    n = np.arange(1, LARGEST + 1)
    note = "loop over scipy.stats.binom, triangle, n to 2,000"
    assert minimum_correct(n, "triangle", ALPHA).tolist() == loop_minimum_correct()
    assert np.allclose(power(n, "triangle", ALPHA, 0.3), loop_power(), rtol=1e-9)
    return [
        compared(
            "minimum_correct, 2,000 panels",
            seconds(lambda: minimum_correct(n, "triangle", ALPHA), 9),
            seconds(loop_minimum_correct, 2),
            note,
        ),
        compared(
            "power, 2,000 panels",
            seconds(lambda: power(n, "triangle", ALPHA, 0.3), 9),
            seconds(loop_power, 2),
            note,
        ),
    ]


def panel_sizes() -> list[Row]:
    cells = [(pd, beta) for pd in SHARES for beta in BETAS]

    def ours(rule: str) -> list[int]:
        return [panel_size("triangle", ALPHA, beta, pd, rule) for pd, beta in cells]

    def loop_first_table() -> list[int]:
        return [loop_first(pd, beta) for pd, beta in cells]

    assert ours("first") == loop_first_table()
    assert ours("stays") == loop_stays_table()
    return [
        compared(
            f"panel_size first, {len(cells)} cells",
            seconds(lambda: ours("first"), 5),
            seconds(loop_first_table, 2),
            "loop over scipy.stats.binom that stops at the answer",
        ),
        compared(
            f"panel_size stays, {len(cells)} cells",
            seconds(lambda: ours("stays"), 5),
            seconds(loop_stays_table),
            "loop over scipy.stats.binom to 2,000, shared by the betas",
        ),
    ]


def _triangle_by_owen(d: float) -> float:
    return float(1 - 4 * owens_t(d / 6**0.5, 3**0.5))


def _tetrad_by_owen(d: float) -> float:
    return float(1 - 8 * owens_t(d / 2**0.5, 3**-0.5))


def _three_afc_by_owen(d: float) -> float:
    return float(ndtr(d / 2**0.5) - 2 * owens_t(d / 2**0.5, 3**-0.5))


def _triangle_by_scipy(d: float) -> float:
    return float(ncf.sf(3, 1, 1, 2 * d * d / 3))


# The last line is what a user would write who does not have the closed forms
ROOTS = (
    ("triangle", _triangle_by_owen, "our own closed form"),
    ("tetrad", _tetrad_by_owen, "our own closed form"),
    ("3-afc", _three_afc_by_owen, "our own closed form"),
    ("triangle", _triangle_by_scipy, "scipy.stats.ncf"),
)


def loop_roots(function: Callable[[float], float], share: npt.NDArray[np.float64]) -> list[float]:
    return [brentq(lambda d, p=p: function(d) - p, 0.0, 30.0) for p in share]


def inverse(method: str, function: Callable[[float], float], described: str) -> Row:
    amount, sample = 100_000, 2_000
    share = np.random.default_rng(5).uniform(0.34, 0.999, amount)
    # the first call builds the method's table, once per process
    assert np.allclose(d_prime(share[:sample], method), loop_roots(function, share[:sample]), atol=1e-7)
    return compared(
        f"d_prime of {amount:,} proportions, {method}",
        seconds(lambda: d_prime(share, method), 7),
        seconds(lambda: loop_roots(function, share[:sample]), 2) * amount / sample,
        f"scipy.optimize.brentq in a loop over {described}; {sample:,} timed and scaled",
    )


def run() -> list[Row]:
    return [*tables(), *panel_sizes(), *(inverse(*one) for one in ROOTS)]
