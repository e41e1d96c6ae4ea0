"""Reference rows about several trials at once: rankings (topic i) and rounds of pairs (topic j)."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.stats import chi2, page_trend_test, rankdata

from evaluation.statistics import pairwise_merits, rank_test

REFERENCE = Path(__file__).parents[1] / "reference" / "check_values.csv"
RECORDS = list(csv.DictReader(REFERENCE.read_text(encoding="utf-8").splitlines()))
Values = dict[str, Any]


def baseball(inputs: Values, expected: Values) -> None:
    found = pairwise_merits(inputs["wins_row_over_col"])
    above = found.log_merits - found.log_merits[-1]
    assert np.sort(above)[1:] == pytest.approx(expected["coef_sorted"], abs=0.006)
    assert above == pytest.approx([expected["mine"][team] for team in inputs["teams"]], abs=6e-5)
    errors = [one.standard_error for one in found.comparisons if one.second == 6]
    assert errors == pytest.approx(expected["se"], abs=6e-4)
    assert found.worths == pytest.approx(expected["pi"], abs=6e-5)


def two_items(inputs: Values, expected: Values) -> None:
    (pair,) = pairwise_merits([[0, inputs["w1"]], [inputs["w2"], 0]]).comparisons
    assert pair.difference == pytest.approx(expected["log_odds"], abs=1e-6)
    assert pair.standard_error == pytest.approx(expected["se"], abs=1e-5)


def home_advantage(inputs: Values, expected: Values) -> None:
    table = [[cell or [0, 0] for cell in row] for row in inputs["home_wins_losses"]]
    home, away = np.array(table)[:, :, 0], np.array(table)[:, :, 1].T
    found = pairwise_merits(home + away, first_position=home)
    assert found.position_effect == pytest.approx(expected["home"], abs=6e-4)
    assert found.position_effect == pytest.approx(expected["mine_home"], abs=6e-5)
    assert np.sort(found.worths) == pytest.approx(expected["abilities_sorted"], abs=6e-4)


def davidson(inputs: Values, expected: Values) -> None:
    found = pairwise_merits([[0, inputs["w1"]], [inputs["w2"], 0]], [[0, inputs["ties"]], [inputs["ties"], 0]])
    assert found.worths[0] / found.worths[1] == pytest.approx(expected["ratio"], abs=1e-8)
    assert found.tie_parameter == pytest.approx(expected["nu"], abs=1e-6)


def friedman_tied(inputs: Values, expected: Values) -> None:
    # The printed 8.583 is without the correction for ties; the corrected value is asserted
    found = rank_test(np.array(inputs["ranks"]).T)
    assert found.statistic == pytest.approx(expected["tie_corrected"], abs=5e-5)
    assert found.statistic > expected["statistic"]
    n, t = 18, 3
    plain = 12 / (n * t * (t + 1)) * sum(r**2 for r in found.rank_sums) - 3 * n * (t + 1)
    assert plain == pytest.approx(expected["uncorrected"], abs=5e-5)


def friedman_with_critical_difference(inputs: Values, expected: Values) -> None:
    found = rank_test(inputs["ranks"])
    n, t = np.array(inputs["ranks"]).shape
    assert found.statistic == pytest.approx(expected["F"], abs=5e-5)
    assert found.rank_sums == tuple(expected["rank_sums"])
    # The pairwise least difference of the source does not correct for looking at six pairs: kept as a row, ours is wider
    assert 1.96 * np.sqrt(n * t * (t + 1) / 6) == pytest.approx(expected["LSD_1.96"], abs=5e-5)
    assert found.critical_difference > expected["LSD_1.96"]


def friedman_from_sums(inputs: Values, expected: Values) -> None:
    # Only the sums are printed: F and the corrected least difference by formula, to keep the row
    j, p, sums = inputs["j"], inputs["p"], np.array(inputs["rank_sums"])
    assert 12 / (j * p * (p + 1)) * (sums**2).sum() - 3 * j * (p + 1) == pytest.approx(expected["F"], abs=0.006)
    assert chi2.isf(0.05, p - 1) == pytest.approx(expected["crit"], abs=0.005)
    assert 1.96 * np.sqrt(j * p * (p + 1) / 6) == pytest.approx(expected["LSD_correct"], abs=0.005)


def friedman(inputs: Values, expected: Values) -> None:
    (friedman_from_sums if "rank_sums" in inputs else friedman_with_critical_difference)(inputs, expected)


def chi_square_table(inputs: Values, expected: Values) -> None:
    for trials, value in expected.items():
        assert chi2.isf(inputs["alpha"], int(trials) - 1) == pytest.approx(value, abs=0.0051)
        # and ours where the sample is large: statistic and approximate p lie on either side together
        found = rank_test(_agreeing(int(trials), 400))
        assert not found.exact
        assert (found.p_value <= inputs["alpha"]) == (found.statistic >= value)


def _agreeing(trials: int, people: int) -> np.ndarray[Any, Any]:
    random = np.random.default_rng(trials)
    return rankdata(random.normal(size=(people, trials)) + 0.12 * np.arange(trials), axis=1)


def page_example(inputs: Values, expected: Values) -> None:
    # The trials are predicted in the order 0, 2, 1... of scipy's example: its columns are already in that order
    data = np.array(inputs["data"])
    found = rank_test(rankdata(data, axis=1), order=[0, 1, 2]).page
    assert found is not None
    assert found.statistic == pytest.approx(expected["L"], abs=1e-9)
    # scipy's exact p is that of rows without ties; ours takes the ties of these rows into account
    assert page_trend_test(data, method="exact").pvalue == pytest.approx(expected["p_exact"], rel=1e-6)
    assert found.exact
    assert 0.0 < found.p_value < expected["p_exact"]


def page_moments(inputs: Values, expected: Values) -> None:
    # E and variance of L by the source’s formula with its z of three decimals, beside ours
    j, p = inputs["j"], inputs["p"]
    mean, deviation = j * p * (p + 1) ** 2 / 4, (j * p**2 * (p + 1) ** 2 * (p - 1) / 144) ** 0.5
    assert mean + 1.645 * deviation == pytest.approx(expected["L05"], abs=0.0051)
    assert mean + 2.326 * deviation == pytest.approx(expected["L01"], abs=0.0051)
    alike = rank_test([list(range(1, p + 1))] * j, order=list(range(p))).page
    assert alike is not None
    assert alike.mean == pytest.approx(mean)
    assert alike.variance == pytest.approx(deviation**2)


CHECKS: dict[str, Callable[[Values, Values], None]] = {
    "i Friedman": friedman_tied,
    "i Friedman ranking + LSD rank": friedman,
    "i Friedman ranking": friedman,
    "i Friedman large-sample critical values": chi_square_table,
    "i Page test": page_example,
    "i Page large-sample critical value": page_moments,
    "j Bradley-Terry": baseball,
    "j Bradley-Terry with order effect": home_advantage,
    "j Bradley-Terry two items": two_items,
    "j Davidson 1970 ties": davidson,
}


@pytest.mark.parametrize(
    "record",
    [
        pytest.param(one, id=one["id"] + (" from memory" if "memory" in one["provenance"] else ""))
        for one in RECORDS
        if one["topic"] in CHECKS
    ],
)
def test_reference_row(record: dict[str, str]) -> None:
    try:
        CHECKS[record["topic"]](json.loads(record["inputs"]), json.loads(record["expected"]))
    except AssertionError as problem:
        problem.add_note(f"{record['source']} [{record['provenance']}; agrees: {record['agrees']}]")
        raise
