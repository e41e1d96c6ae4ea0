"""Reference rows about words checked (topic k) and about panelists (topic m)."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom, chi2
from statsmodels.stats.contingency_tables import cochrans_q as other_cochrans_q
from statsmodels.stats.contingency_tables import mcnemar as other_mcnemar

from evaluation.statistics import check_all, panelist_performance
from evaluation.statistics.ratings.cochran import cochran_q, mcnemar

REFERENCE = Path(__file__).parents[1] / "reference" / "check_values.csv"
RECORDS = list(csv.DictReader(REFERENCE.read_text(encoding="utf-8").splitlines()))
Values = dict[str, Any]


def drugs() -> np.ndarray:
    """The 46 patients of the published example, (people, drugs)."""
    patterns = next(one for one in RECORDS if one["id"] == "k-cochran-sas")
    counts = json.loads(patterns["inputs"])["patterns"]
    return np.array([[int(letter == "F") for letter in said] for said, people in counts for _ in range(people)])


def cochran_example(inputs: Values, expected: Values) -> None:
    table = drugs()
    rows = [(p, t, said) for (p, t), said in np.ndenumerate(table)]
    (row,) = check_all(pd.DataFrame(rows, columns=["panelist", "trial", "rating"])).rows
    assert row.checked == tuple(expected["column_totals"])
    assert row.statistic == pytest.approx(expected["Q"], abs=5e-5)
    assert row.df == expected["df"]
    # The published p is chi-square's; ours is the exact law's, and larger here
    assert float(chi2.sf(row.statistic, row.df)) == pytest.approx(expected["p"], abs=5e-5)
    assert row.statistic == pytest.approx(float(other_cochrans_q(table).statistic))
    assert 0.0145 < row.p_value < 0.02


def constant_people_say_nothing(inputs: Values, expected: Values) -> None:
    table = drugs()
    kept = table[(table.sum(axis=1) > 0) & (table.sum(axis=1) < 3)]
    assert len(kept) == inputs["rows_kept"]
    assert cochran_q(kept).statistic == pytest.approx(expected["Q"], abs=5e-5)
    assert cochran_q(kept) == cochran_q(table)


def two_trials(inputs: Values, expected: Values) -> None:
    table = np.array([[1, 0]] * inputs["b"] + [[0, 1]] * inputs["c"] + [[1, 1], [0, 0]])
    found = cochran_q(table)
    assert found.statistic == pytest.approx(expected["Q"])
    assert found.p_value == pytest.approx(mcnemar(inputs["b"], inputs["c"]), rel=1e-12)


def one_sided_answers(inputs: Values, expected: Values) -> None:
    """The chi-square forms are kept true by statsmodels; we offer the exact p."""
    table = [[0, inputs["b"]], [inputs["c"], 0]]
    ours = mcnemar(inputs["b"], inputs["c"])
    assert ours == pytest.approx(float(other_mcnemar(table, exact=True).pvalue), rel=1e-9)
    if "exact_p" in expected:
        assert ours == pytest.approx(expected["exact_p"], rel=5e-4)
    if "mid_p" in expected:
        least = min(inputs["b"], inputs["c"])
        middle = ours - float(binom.pmf(least, inputs["b"] + inputs["c"], 0.5))
        assert middle == pytest.approx(expected["mid_p"], abs=5e-4)
    if "chi2_cc" in expected:
        corrected = other_mcnemar(table, exact=False, correction=True)
        assert float(corrected.statistic) == pytest.approx(expected["chi2_cc"], abs=6e-4)
        assert float(corrected.pvalue) == pytest.approx(expected["p"], abs=6e-4)


def panel_means(inputs: Values, expected: Values) -> None:
    scores = np.array(inputs["scores_sample_assessor_rep"])
    rows = [(p, t, r, y) for (t, p, r), y in np.ndenumerate(scores)]
    found = panelist_performance(pd.DataFrame(rows, columns=["panelist", "trial", "replicate", "rating"]))
    means = [row.mean for row in found.rows]
    assert means == pytest.approx(expected["mine_assessor"], abs=6e-4)
    # The four means printed come from one score changed, see the conventions of the collection
    assert means == pytest.approx(expected["assessor_means"], abs=0.12)
    assert np.mean([one for one in means if one is not None]) == pytest.approx(expected["mine_overall"], abs=6e-4)
    for one, row in enumerate(found.rows):
        others = np.delete(scores, one, axis=1)
        assert row.mean_others == pytest.approx(others.mean())


CHECKS: dict[str, Callable[[Values, Values], None]] = {
    "k Cochran Q": cochran_example,
    "k Cochran Q property": constant_people_say_nothing,
    "k Cochran Q for two products": two_trials,
    "k McNemar (continuity corrected)": one_sided_answers,
    "k McNemar": one_sided_answers,
    "k McNemar mid-p": one_sided_answers,
    "m panel performance means": panel_means,
}


@pytest.mark.parametrize(
    "record",
    [
        pytest.param(one, id=one["id"] + (" from memory" if "from memory" in one["provenance"] else ""))
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
