"""What a session can be pinned on, on the pages: before the seal, beside the verdict, and on the decision page."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from streamlit.testing.v1 import AppTest

from evaluation.actions import plan as planning
from evaluation.actions.doors import CONDUCTOR, Visitor
from tests import scenes
from tests.actions import test_pins
from tests.actions.test_pins import scene
from tests.pages.test_findings import PAGES, words

__all__ = ["scene"]  # a fixture: two trials with formulas, the windows of both changes known


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


def told(app: AppTest, page: str) -> str:
    app.switch_page(f"{page}.py").run()
    assert not app.exception
    return words(app)


def test_a_draft_says_what_it_can_and_cannot_be_pinned_on(app: AppTest, scene: scenes.Scene) -> None:
    planning.add_draft(scene.notebook, scene.plan(minutes=(5, 360), primary=None))
    shown = app.switch_page("plan.py").run()
    shown = next(one for one in shown.button if one.label == "Continue").click().run()
    assert not shown.exception
    said = words(shown)
    assert "2 changes at once. Whatever is found is found of all of them together" in said
    assert "Zzyx marker oil raised to 1.25 times: unfitting if something moves and nothing does at 5 min" in said
    assert "one material masks or carries another" in said


def test_the_verdict_and_the_decision_say_what_they_can_be_pinned_on(app: AppTest, scene: scenes.Scene) -> None:
    test_pins.smelt(scene, {300: True, 360 * 60: False})
    for page in ("findings", "decide"):
        said = told(app, page)
        assert (
            "no answer tells which of them it was, or whether several together. Something moved at 5 min (told apart)."
            in said
        ), page
        assert "Unfitting: Qwop marker resin raised to 2 times." in said, page
        assert "Fitting, which proves nothing: Zzyx marker oil raised to 1.25 times." in said, page
        assert "one material masks or carries another" in said, page
