"""What the findings page says beside a verdict: people, null sets, second opinion; and the material on the panel page."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from streamlit.testing.v1 import AppTest

from evaluation.actions import findings
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.wording import of_sealed_plans
from tests import scenes
from tests.actions.test_anosmia import smelt as smelt_material
from tests.actions.test_findings_panels import found_of
from tests.pages.test_findings import shown, words

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The entry page around a notebook in memory, seen by the conductor."""
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=12)


def test_each_person_has_a_line_and_nobody_else_is_spoken_for(app: AppTest, scene: scenes.Scene) -> None:
    found_of(scene, lambda seat, _, n: seat == 2 or n == 1, people=3, replicates=4)
    told = words(shown(app))
    assert "Person by person" in told
    assert "Nose 1 1 of 4 right; to be expected next:" in told
    assert told.count("stands out by these answers alone") == 1
    assert "that needs 12 people, 9 people more than sat here" in told
    assert "No second opinion: it needs one answer per person" in told
    assert "Speaks for this panel" in told
    assert "Null sets" not in told


def test_a_panel_that_does_not_notice_and_people_like_it(app: AppTest, scene: scenes.Scene) -> None:
    found_of(scene, lambda _seat, _null, n: n <= 2, replicates=6)
    told = words(shown(app))
    assert "This panel would tell apart fewer than 30 % of such triangles, at beta risk .05" in told
    assert "Most right answers for “not noticed” 30" in told
    assert "Of people like this panel: not noticed; they notice at most" in told
    assert "would notice" not in told


def test_a_leak_is_said_loudly_and_the_verdict_stays(app: AppTest, scene: scenes.Scene) -> None:
    found_of(scene, lambda seat, null, _: null or seat <= 3, null_sets=1)
    shown(app)
    (warning,) = [one.value for one in app.warning if "leak" in one.value]
    assert "a leak, or a chance of at most .05" in warning
    assert "check colour, dose, age, wet length" in warning
    told = words(app)
    assert "12 of 12 null sets “right”, from 12 people" in told
    assert "Right answers 3 of 12, from 12 people" in told
    assert "something besides the change may have given the answers away" in told


def test_quiet_null_sets_do_not_clear_the_preparation(app: AppTest, scene: scenes.Scene) -> None:
    found_of(scene, lambda seat, null, _: not null, null_sets=1)
    told = words(shown(app))
    assert "This does not clear the preparation; it would have caught a pd of 30 % with power" in told
    assert not [one for one in app.warning if "leak" in one.value]


def test_the_second_opinion_stands_apart_under_its_label(app: AppTest, scene: scenes.Scene) -> None:
    found_of(scene, lambda seat, *_: seat <= 9, prior="sceptical")
    told = words(shown(app))
    assert "A second opinion, never the verdict" in told
    assert "The prior was sealed: sceptical" in told
    # statistics.belief's own documented example: 9 of 12 triangles, more than 30 %
    assert "How much it hangs on the prior: sceptical 60 %, flat 93 %, hopeful 97 %." in told


def test_the_record_names_null_sets_and_prior(scene: scenes.Scene) -> None:
    found = found_of(scene, lambda *_: True, null_sets=2, prior="hopeful", people=6)
    lines = of_sealed_plans.plan_lines(found.plan, found.names)
    assert any("Null sets" in line and "2 each" in line for line in lines)
    assert any("never of the verdict: hopeful" in line for line in lines)


# --- a material somebody misses, on the panel page ----------------------------------------------------------------------


def at_panel(app: AppTest) -> AppTest:
    app.switch_page("panel.py").run()
    assert not app.exception
    return app


def test_nothing_is_asked_before_a_session_was_opened(app: AppTest, scene: scenes.Scene) -> None:
    smelt_material(scene, "musk", (12, 12), people=2, open_it=False)
    assert "No session with right and wrong answers has been opened yet." in words(at_panel(app))


def test_who_misses_the_material_is_named_and_offered_the_check(app: AppTest, scene: scenes.Scene) -> None:
    smelt_material(scene, "Ambrette musk 2 to 4", (2, 12, 11, 12), people=4)
    smelt_material(scene, "vetiver 2 to 3", (11, 12, 11, 11), people=4)
    at_panel(app)
    app.text_input(key="material in question").set_value("musk").run()
    (chosen,) = app.multiselect
    assert [option for option in chosen.value if "musk" in str(option)] == chosen.value != []
    next(one for one in app.button if one.label == "Look for a gap").click().run()
    (warning,) = [one.value.replace("\\", "") for one in app.warning]
    assert warning.startswith("Nose 1 seems to miss musk: 2 of 12 right where it was changed, 11 of 12 elsewhere")
    assert "Offer the check with the material alone." in words(app)


@pytest.mark.parametrize(("right", "said"), [(3, "Smells it"), (2, "three new rounds"), (1, "Flagged"), (0, "Flagged")])
def test_pass_marks_of_the_check_with_the_material_alone(
    app: AppTest, scene: scenes.Scene, right: int, said: str
) -> None:
    """3 of 3 passes, 2 repeats, 0 or 1 is flagged; marked as our proposal."""
    at_panel(app)
    assert "Pass marks (our proposal)" in words(app)
    app.selectbox(key="right in the check").select(right).run()
    assert said in words(app)


def test_findings_of_a_preference_have_none_of_this(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling(method="preference")
    from evaluation.actions import bench

    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    told = words(shown(app))
    assert "second opinion" not in told
    assert "Person by person" not in told
