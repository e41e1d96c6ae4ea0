"""Null sets (evaluation/judging/nulls.py): scipy's exact tests and their true level as second routes."""

from __future__ import annotations

import pytest
from scipy.stats import binom, binomtest

from evaluation.counting.questions import Assessment
from evaluation.judging.entries import Rules
from evaluation.judging.nulls import NullControl, null_control
from evaluation.wording import of_panels

GUESSING = {"triangle": 1 / 3, "duo-trio": 1 / 2, "tetrad": 1 / 3, "2-afc": 1 / 2, "3-afc": 1 / 3}
DIRECTED = {"2-afc", "3-afc"}


def row(seat: int, right: bool, *left_out: str) -> Assessment:
    return Assessment(seat, f"p{seat}", f"Nose {seat}", 300, 1, "", (), "", right, "", "", "", "", left_out, left_out)


def control(right: int, asked: int, method: str, **rules: float) -> NullControl:
    found = null_control([row(seat, seat <= right) for seat in range(1, asked + 1)], method, Rules(**rules))
    assert found is not None
    return found


@pytest.mark.parametrize("method", list(GUESSING))
@pytest.mark.parametrize("asked", [1, 4, 12, 24])
def test_level_and_power_by_counting(method: str, asked: int) -> None:
    """Every count: p by binomtest (a direction is looked at both ways, each at half of alpha); the true level."""
    guess, level, power = GUESSING[method], 0.0, 0.0
    for right in range(asked + 1):
        found = control(right, asked, method)
        upper = binomtest(right, asked, guess, alternative="greater").pvalue
        lower = binomtest(right, asked, guess, alternative="less").pvalue
        wanted = min(1.0, 2 * min(upper, lower)) if method in DIRECTED else upper
        assert found.p_value == pytest.approx(wanted)
        assert found.noticed == (wanted <= 0.05)
        level += float(binom.pmf(right, asked, guess)) * found.noticed
        leak_found = found.minimum is not None and right >= found.minimum
        power += float(binom.pmf(right, asked, guess + 0.3 * (1 - guess))) * leak_found
    assert level <= 0.05
    assert control(0, asked, method).power == pytest.approx(power)


def test_what_is_said_when_noticed_and_when_quiet() -> None:
    """Both sentences of a null control."""
    noticed, quiet = (" ".join(of_panels.null_lines(control(right, 12, "triangle"))) for right in (9, 4))
    assert "a leak, or a chance of at most .05" in noticed
    assert "check colour, dose, age, wet length" in noticed
    power = binom.sf(7, 12, 1 / 3 + 0.3 * 2 / 3)  # ISO 4120 table A.1: n = 12 needs 8 at alpha .05
    assert f"does not clear the preparation; it would have caught a pd of 30 % with power {power:.2f}"[:-4] in quiet
    assert f"{power:.2f}".removeprefix("0") in quiet
    assert "Noticed" not in quiet


def test_few_null_sets_can_show_nothing_and_say_so() -> None:
    told = " ".join(of_panels.null_lines(control(1, 1, "triangle")))
    assert "even all would not show a leak at alpha .05" in told
    assert "it would have caught a pd of 30 % with power .00" in told


def test_a_leak_the_other_way_counts_where_a_direction_is_asked() -> None:
    assert control(0, 8, "2-afc").noticed
    assert not control(0, 12, "triangle").noticed


def test_what_the_sealed_rule_leaves_out_does_not_count() -> None:
    found = null_control([row(1, True), row(2, True, "unblinded")], "triangle", Rules())
    assert found is not None
    assert (found.assessments, found.correct, found.panelists) == (1, 1, 1)
    assert null_control([row(2, True, "unblinded")], "triangle", Rules()) is None
    assert null_control([], "triangle", Rules()) is None
