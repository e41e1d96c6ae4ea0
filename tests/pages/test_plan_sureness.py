"""The plan page says both powers and offers weights where the count is coarse; elsewhere it says why not."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from parts.findings import facts_told
from parts.plan import filled_form, surer
from streamlit.testing.v1 import AppTest

from evaluation.errors import ArgumentError
from tests.judging.test_weighed import SURE_SEVEN, judged, tally
from tests.pages.test_plan_form import BRIEF, changed
from tests.pages.test_plan_size import begun as begun
from tests.pages.test_plan_size import drafted, field, shown
from tests.scenes import scene


def test_twelve_triangles_are_offered_weights_that_are_sealed(begun: Callable[[], AppTest], notebook: Any) -> None:
    brief = scene(notebook, people=12).brief_id
    app = begun()
    # by count .265 (binomial), by weight .371 and .390 (tests/statistics/test_weighing.py)
    app = next(one for one in app.radio if one.label == "Size that matters").set_value("share").run()
    told = shown(app)
    assert "By count 8 of 12 right are needed" in told
    assert "26.5\u00a0% by count" in told
    assert "37.1\u00a0%" in told
    assert "39.0\u00a0%" in told
    app = next(one for one in app.checkbox if one.label == surer.WANTED).check().run()
    assert field(app, surer.FIELD).value == "2, 3, 4, 5"
    assert "“Noticed” is judged by weight (guess 2, unsure 3, fairly sure 4, sure 5)" in shown(app)
    app = field(app, surer.FIELD).set_value("1, 2, 3, 5").run()
    assert drafted(app, notebook, brief).sureness_weights == (1, 2, 3, 5)


def test_eighteen_are_not(begun: Callable[[], AppTest], notebook: Any) -> None:
    brief = scene(notebook, people=18).brief_id
    app = begun()
    assert "not offered here: by count the true alpha risk is .043 of .05" in shown(app)
    assert all(one.label != surer.WANTED for one in app.checkbox)
    assert drafted(app, notebook, brief).sureness_weights == ()


def test_weights_go_into_the_plan_and_come_back() -> None:
    made = filled_form.build(changed(people=tuple("abcdefghijkl"), weights="2, 3,4,5"), BRIEF)
    assert made.sureness_weights == (2, 3, 4, 5)
    assert filled_form.build(filled_form.typed_of(made), BRIEF) == made
    assert filled_form.build(changed(weights=""), BRIEF).sureness_weights == ()
    assert filled_form.build(changed(method="preference", weights="2, 3, 4, 5"), BRIEF).sureness_weights == ()


def test_findings_name_the_weight_above_and_the_count_below() -> None:
    """Seven of twelve right, all sure: 35 of 45 by weight, which is noticed; by count 8 are needed, p = .066."""
    (entry,) = judged(tally(SURE_SEVEN))
    told = dict(facts_told.facts(entry, ("7", "8")))
    assert told["Weight of the right answers"] == "35 of 45"
    assert told["Exact p, one-sided, by count alone"] == "p = .066"
    assert facts_told.weight_cells(entry)[0].startswith("35 of 45 (needed ")
    (count,) = judged(tally(SURE_SEVEN), weights=())
    assert facts_told.weight_cells(count) == ()
    assert "Exact p, one-sided" in dict(facts_told.facts(count, ("7", "8")))


@pytest.mark.parametrize("typed", ["none", "2 3 4 5", "2, 3, 4, -5", "2,3,4,999", "²,3,4,5"])
def test_weights_that_are_none_are_refused_in_one_sentence(typed: str) -> None:
    with pytest.raises(ArgumentError, match=r"^weights must be four whole numbers such as 2, 3, 4, 5, not "):
        filled_form.build(changed(weights=typed), BRIEF)
