"""What a brief has taught, on the page Decision: nothing of a session that is not opened, each change with its picture."""

from __future__ import annotations

from typing import Any

from evaluation.wording import of_taught
from tests import scenes
from tests.actions.test_taught import OIL_RAISED, brief_of_four, rate
from tests.pages.test_decide_page import opened, shown

__all__ = ["brief_of_four", "opened"]  # fixtures: four trials with formulas; the page


def test_the_page_tells_each_change_and_draws_it(opened: Any, brief_of_four: scenes.Scene) -> None:
    rate(brief_of_four, ("8", "10"), opened=False, title="Still sealed")
    before = shown(opened())
    assert of_taught.NOTHING in before
    assert "Still sealed" not in before
    rate(brief_of_four, ("7", "8", "9"), title="Three of them")
    app = opened()
    assert of_taught.TITLE in [one.value for one in app.header]
    told = shown(app)
    assert OIL_RAISED in told
    assert "Largest numbers, without an interval: woody +2.0 at 5 min" in told
    assert "Still sealed" not in told
    (chart,) = app.get("vega_lite_chart")
    assert "woody" in str(chart.proto)
    app.selectbox(key="change taught").set_value(1).run()
    assert not app.exception
