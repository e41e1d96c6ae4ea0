"""The timetable on the bench, through the app's own entry page."""

from __future__ import annotations

from typing import Any

from parts.bench import woken
from streamlit.testing.v1 import AppTest

from evaluation.actions import live
from tests import scenes
from tests.pages.test_bench import app, opened, refusals, scene, tap, words

__all__ = ["app", "scene"]


def typed(app: AppTest, label: str, text: str) -> None:
    next(one for one in app.text_input if one.label.startswith(label)).set_value(text)


def test_plan_then_dip_with_one_tap(app: AppTest, scene: scenes.Scene, notebook: Any) -> None:
    session = scene.smelling(ages=scenes.ages(5, 10), primary=300)
    opened(app)
    assert "To dip" not in words(app)
    typed(app, "First dip at", "09:00")
    tap(app, "Plan the timetable")
    assert not refusals(app)
    board = live.board(notebook, session.id)
    assert board is not None
    assert "To dip" in words(app)
    assert "Call Nose" in words(app)
    app.button(key=f"dipped {board.dips[0].serving_id}").click()
    app.run()
    assert not app.exception
    after = live.board(notebook, session.id)
    assert after is not None
    assert len(after.dips) == len(board.dips) - 1
    assert "were dipped" in words(app)


def test_the_form_begins_with_the_seconds_a_set_of_this_plan_takes(app: AppTest, scene: scenes.Scene) -> None:
    """Three strips with a minute between them: 3 × 5 + 2 × 60 + 20 s; 90 s left no room for the pauses."""
    scene.sealed(ages=scenes.ages(5), primary=300)
    opened(app)
    assert next(one for one in app.text_input if one.label == "Seconds to smell one set").value == "155"


def test_what_does_not_fit_is_one_sentence_with_a_way_out(app: AppTest, scene: scenes.Scene, notebook: Any) -> None:
    session = scene.sealed(ages=scenes.ages(5, 10), primary=300)
    opened(app)
    typed(app, "First dip at", "09:00")
    typed(app, "All over by", "09:12")
    tap(app, "Plan the timetable")
    assert "would do" in words(app)
    assert live.board(notebook, session.id) is None
    typed(app, "All over by", "noon")
    tap(app, "Plan the timetable")
    assert refusals(app) == ["Time must be a time of day such as 14:05, not 'noon'."]


def test_after_a_sleep_the_bench_says_what_was_missed_and_plans_anew(
    app: AppTest, scene: scenes.Scene, notebook: Any, clock: Any
) -> None:
    """The clock steps over forty minutes, as that of a laptop that slept; one set was dipped and not called."""
    session = scene.smelling(ages=scenes.ages(5, 10), primary=300)
    opened(app)
    typed(app, "First dip at", "09:00")
    tap(app, "Plan the timetable")
    board = live.board(notebook, session.id)
    assert board is not None
    clock.forward(seconds=max(0, board.dips[0].at - notebook.clock.now()) / 1000)
    app.run()
    live.dipped(notebook, session.id, board.dips[0].serving_id)
    before = live.board(notebook, session.id)
    assert before is not None
    app.run()
    clock.forward(minutes=40)
    app.run()
    told = words(app).replace("\\", "")
    called = next(one for one in before.calls if one.serving_id == board.dips[0].serving_id)
    assert "Nobody looked at this bench from 09:" in told
    assert f"call {called.alias}, set {called.number}" in told
    assert f"dip for {before.dips[0].alias}, set {before.dips[0].number}" in told
    after = live.board(notebook, session.id)
    assert after is not None
    assert (after.revision, after.why) == (before.revision + 1, "late")
    assert min(one.at for one in after.dips) >= notebook.clock.now() - 60_000, "planned anew from now"
    tap(app, woken.SEEN)
    assert "Nobody looked" not in words(app)
    clock.forward(seconds=20)
    app.run()
    assert "Nobody looked" not in words(app), "a bench that is looked at misses nothing"
