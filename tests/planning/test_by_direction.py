"""Strips of a series by each method, against the issue's figures, plain simulation, and evidence of the statistics."""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest

from evaluation import statistics
from evaluation.kinds import strips_of
from evaluation.planning.by_direction import median_sets, method_prices
from evaluation.wording.of_sizes import direction_line


def test_the_four_medians_at_one_d_prime() -> None:
    """Issue 15: 771 strips by triangles, 212 by tetrads, 48 by 3-AFC, 40 by 2-AFC."""
    found = {one.method: one.strips for one in method_prices(0.05)}
    assert {method: found[method] for method in ("triangle", "tetrad", "3-afc", "2-afc")} == {
        "triangle": 771,
        "tetrad": 212,
        "3-afc": 48,
        "2-afc": 40,
    }


@pytest.mark.parametrize("method", ["3-afc", "tetrad"])
def test_median_as_by_series_played_out(method: str) -> None:
    """1,500 series by chance, by the formula of the evidence: the median within its sampling error."""
    right = float(statistics.proportion_correct(1.0, method))
    rng, ends = np.random.default_rng(3), []
    needed: dict[int, int] = {}
    for sets in range(1, 200):
        found = [k for k in range(sets + 1) if _evidence(k, sets, method) >= 20]
        needed[sets] = min(found, default=sets + 1)
    for _ in range(1500):
        correct = np.cumsum(rng.random(199) < right)
        ends.append(next((n for n in range(1, 200) if correct[n - 1] >= needed[n]), 200))
    low, high = np.quantile(ends, (0.45, 0.55))
    assert low <= (median_sets(method, 0.05, Decimal(1)) or 0) <= high


def _evidence(correct: int, sets: int, method: str) -> float:
    guess = statistics.chance(method)
    each = [(1 + b * (1 - guess) / guess) ** correct * (1 - b) ** (sets - correct) for b in (0.25, 0.5, 0.75)]
    if sets < 12:  # the same as the statistics say, where asking them is cheap
        assert sum(each) / 3 == pytest.approx(statistics.accumulated_evidence([correct], [sets], method).evidence[0])
    return sum(each) / 3


def test_hardly_any_difference_has_no_price() -> None:
    assert median_sets("triangle", 0.05, Decimal("0.2")) is None


def test_alone_only_what_one_can_prepare_is_priced() -> None:
    alone = {one.method for one in method_prices(0.05, alone=True)}
    assert alone < {one.method for one in method_prices(0.05)}
    assert all(strips_of(one) for one in alone)


def test_the_line_names_the_price_and_which_ask_for_the_quality() -> None:
    said = direction_line(method_prices(0.05))
    assert said.startswith("If you can name what changed")
    assert "771 strips by triangles, 669 by duo-trios, 212 by tetrads" in said
    assert "40 by 2-AFC pairs." in said
    assert "76 of 100" in said
