"""Holm's adjustment against statsmodels."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluation.errors import ArgumentError
from evaluation.statistics import holm
from tests.holm import multipletests

families = st.lists(st.floats(0, 1), min_size=1, max_size=12)


# few: statsmodels collects garbage in every call, which is slow in a large process
@settings(deadline=None, max_examples=15)
@given(families)
def test_holm_is_that_of_statsmodels(p_values: list[float]) -> None:
    assert holm(p_values) == pytest.approx(multipletests(p_values, method="holm")[1], rel=1e-12, abs=1e-300)


@given(families)
def test_holm_never_lowers_a_p_value_and_keeps_their_order(p_values: list[float]) -> None:
    adjusted = holm(p_values)
    assert (adjusted >= np.array(p_values)).all()
    assert (np.diff(adjusted[np.argsort(p_values, kind="stable")]) >= 0).all()


def test_one_question_needs_no_adjustment_and_none_has_none() -> None:
    assert holm([0.03]).tolist() == [0.03]
    assert holm([]).tolist() == []


@pytest.mark.parametrize("wrong", [[0.1, 1.2], [-0.1], [float("nan")], [[0.1, 0.2]]])
def test_bad_families_are_refused(wrong: list[float]) -> None:
    with pytest.raises(ArgumentError, match="p_values"):
        holm(wrong)
