"""The page Alone through the app's own entry page: every step shown, checked, locked, and nothing told too early."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from evaluation.actions import bench, findings, plan, solo
from evaluation.clock import SteppedClock
from evaluation.keeping import receipts_told
from evaluation.serving import smelling
from tests import scenes

PAGES = Path(__file__).resolve().parents[2] / "pages"
PAIR = {"solo": True, "method": "triangle", "replicates": 6, "confirmed": ("not noticed",)}


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The entry page around a notebook in memory, seen by the conductor."""
    from parts import house
    from parts.doors import visitor

    from evaluation.actions.doors import CONDUCTOR, Visitor

    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=1)


def opened(app: AppTest, page: str = "solo.py") -> AppTest:
    app.switch_page(page).run()
    assert not app.exception
    return app


def words(app: AppTest) -> str:
    """Everything the page says, HTML and labels included, as it reads once escapes are taken away."""
    shown = [
        *app.markdown,
        *app.caption,
        *app.warning,
        *app.info,
        *app.success,
        *app.error,
        *app.header,
        *app.subheader,
    ]
    labels = [one.label for one in (*app.checkbox, *app.button, *app.selectbox, *app.text_input)]
    return "\n".join([*(one.value for one in shown), *labels, *(one.proto.body for one in app.get("html"))]).replace(
        "\\", ""
    )


def button(app: AppTest, label: str) -> Any:
    return next(one for one in app.button if one.label == label)


def tap(app: AppTest, label: str) -> AppTest:
    button(app, label).click().run()
    assert not app.exception
    return app


def lay_out(app: AppTest) -> None:
    tap(app, "The set is laid out")


def lock(app: AppTest, *values: str) -> None:
    """The answers of a set, each its one tap, locked together."""
    assert button(app, "Lock this answer").disabled
    for control, value in zip((*app.get("button_group"), *app.radio), values, strict=True):
        control.set_value(value)
    app.run()
    tap(app, "Lock this answer")


def smell_one(app: AppTest, scene: scenes.Scene, session_id: str, recognised: str = "no") -> None:
    lay_out(app)
    codes = solo.next_step(scene.notebook, session_id).codes
    lock(app, codes[0], "unsure", recognised)
    tap(app, "The set is put away")


def test_without_a_solo_session_the_page_says_what_belongs_here(app: AppTest, scene: scenes.Scene) -> None:
    scenes.scene(scene.notebook, people=8).sealed()
    told = words(opened(app))
    assert "No session to be smelt alone is waiting" in told
    assert "flammable" in told


def test_without_a_solo_session_pairs_for_one_nose_are_proposed(app: AppTest, scene: scenes.Scene) -> None:
    scene.trials(4)
    page = opened(app)
    told = words(page)
    assert "One nose, 6 pairs: 12 strips, about 24 minutes" in told
    assert "another pair of hands" in told
    tap(page, "Plan these pairs")
    [draft] = plan.sessions(scene.notebook, scene.brief_id)
    assert (draft.plan.method, draft.plan.people, draft.plan.sets_a_round) == ("round", 1, 6)


def test_a_solo_session_is_not_offered_on_the_bench(app: AppTest, scene: scenes.Scene) -> None:
    scene.sealed(**PAIR)
    told = words(opened(app, "bench.py"))
    assert "led on the page Alone" in told
    assert "Start smelling" not in told


def test_sealed_before_the_first_set_is_prepared_blind_in_plain_steps(app: AppTest, scene: scenes.Scene) -> None:
    """Both kinds are made, marks clipped over, groups and strips shuffled on a turning plate, then the codes."""
    session = scene.sealed(**PAIR)
    told = words(opened(app))
    codes = bench.servings(scene.notebook, session.id)[0].codes
    for said in (
        "Set 1 of 6, sitting 1 of 2",
        "the other tips, small and lightly: three A, three B.",
        "A in trial 7, B in trial 8",
        "Push a clip over each marked tip",
        "The group that stops nearest you is set 1",
        "Move the other group to another plate, as it is: it is kept for set 2.",
        f"Set 1: {', '.join(codes)}.",
        "5 minutes old",
        "flammable",
        "Asthma, migraine",
    ):
        assert said in told
    assert "envelope" not in told.lower(), "nothing wet goes into one"
    lay_out(app)
    assert plan.session(scene.notebook, session.id).state == "smelling"


def test_each_locked_set_gives_this_browser_a_receipt_that_a_check_accepts(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR)
    assert "Receipts of what you have locked" in words(opened(app))  # shut, and out of sight until there is one
    smell_one(app, scene, session.id)
    smelt = app.session_state["solo receipt"]
    assert smelt in words(app)
    assert [one.held for one in receipts_told.look_up(scene.notebook, [smelt])] == [True]


def test_with_the_strips_on_the_table_each_step_of_smelling_is_told(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR, going_back="no")
    opened(app)
    lay_out(app)
    told = words(app)
    steps = [told.index(f"{at}. {line}") for at, line in enumerate(smelling.lines(smelling.way(session.plan)), start=1)]
    assert steps == sorted(steps)
    assert "close your eyes" in told
    assert "pass it to nobody" not in told, "there is nobody"


def test_a_whole_session_from_the_first_strip_to_the_marks(
    app: AppTest, scene: scenes.Scene, clock: SteppedClock
) -> None:
    session = scene.sealed(**PAIR)
    opened(app)
    for place in range(1, 7):
        smell_one(app, scene, session.id, "yes" if place == 2 else "no")
        told = words(app)
        spoken = re.sub(r"<(style|script)>.*?</\1>|left to right", "", told, flags=re.DOTALL).lower()
        assert not re.search(r"\b(right|score|correct|guessing)\b", spoken)
        if place < 6:
            assert "You may make the next set ready meanwhile." in told
            assert button(app, "The set is laid out").disabled
            clock.forward(minutes=11)
            app.run()
    tap(app, "Close the session")
    assert "Enter the marks" in words(app)
    tap(app, "Enter these marks for good")
    assert "Set 1: enter 3 letters in the order of the codes" in words(app)
    given = {place: "AAB" if place < 3 or place % 2 else "ABB" for place in range(1, 7)} | {5: "other"}
    choose_marks(app, given)
    type_marks(app, 5, "a,a,a")
    codes = {one.place: one.codes for one in bench.servings(scene.notebook, session.id)}
    told = words(app)
    assert f"Set 4: {codes[4][0]} A, {codes[4][1]} B, {codes[4][2]} B." in told
    assert f"{codes[5][2]} A: no set of this kind; it will be called a wrong strip." in told
    assert "Of these pairs both sets hold the same trial twice: 1 and 2." in told
    assert solo.next_step(scene.notebook, session.id).kind == "marks", "nothing is stored yet"
    assert not [one for one in app.button if one.label == "Write it down"], "the marks are known now"
    type_marks(app, 5, "A B")
    assert "Set 5: enter 3 letters in the order of the codes" in words(app)
    tap(app, "Enter these marks for good")
    assert solo.next_step(scene.notebook, session.id).kind == "marks", "nothing is stored"
    choose_marks(app, {2: "BAB"})
    type_marks(app, 5, "A A ?")
    assert "both sets hold" not in words(app)
    assert f"{codes[5][2]} ?: no set of this kind" in words(app)
    tap(app, "Enter these marks for good")
    assert solo.next_step(scene.notebook, session.id).kind == "open"
    tap(app, "Open the session")
    found: Any = findings.findings(scene.notebook, session.id)
    # always the first code: right where the odd strip came first, that is in ABB (sets 4 and 6) only; set 5 leaves
    assert (found.found[0].entries[0].correct, found.found[0].entries[0].assessments) == (2, 5)
    assert (found.found[0].strays_wrong[0].correct, found.found[0].strays_right[0].correct) == (2, 3)
    told = words(opened(app, "findings.py"))
    assert "rests on that person’s word" in told
    assert "orders came from shuffling, not balanced" in told
    assert "In 1 set of 6 a strip was said to be recognised" in told
    for said in ("wrong strips answered wrong", "wrong strips answered right", "2 of 6", "3 of 6", "2 of 5"):
        assert said in told
    assert "1 set was a wrong strip, as marks read after the answers say." in told
    assert "this nose, in these sittings" in told
    assert "never shown on the bench" not in told


def marks_of(app: AppTest) -> list[Any]:
    return [one for one in app.get("button_group") if one.label.startswith("Set ")]


def choose_marks(app: AppTest, given: dict[int, str]) -> None:
    """One tap a set."""
    for place, order in given.items():
        next(one for one in marks_of(app) if one.label.startswith(f"Set {place}:")).set_value(order).run()
    assert not app.exception


def type_marks(app: AppTest, place: int, typed: str) -> None:
    next(one for one in app.text_input if one.label.startswith(f"Set {place},")).input(typed).run()
    assert not app.exception


def test_a_rest_can_be_cut_and_the_findings_will_say_so(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR)
    opened(app)
    smell_one(app, scene, session.id)
    told = words(app)
    assert "Three minutes between two sets" in told
    assert "our proposal after common practice" in told
    assert "Take the plate that was left: it is set 2." in told
    next(one for one in app.checkbox if one.label.startswith("Go on before")).check().run()
    tap(app, "The set is laid out")
    assert solo.next_step(scene.notebook, session.id).kind == "answer"
    assert solo.rests_cut(bench.log(scene.notebook, session.id)) == 1


def test_findings_lead_back_to_the_page_before_the_marks_are_in(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR)
    bench.start(scene.notebook, session.id)
    bench.close(scene.notebook, session.id)
    told = words(opened(app, "findings.py"))
    assert "Results stay hidden" in told
    assert not [one for one in app.button if one.label == "Open the key now"]


def test_stopping_early_asks_for_the_marks_of_what_was_smelt(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR)
    opened(app)
    smell_one(app, scene, session.id)
    tap(app, "Close the session now")
    assert plan.session(scene.notebook, session.id).state == "closed"
    assert len(marks_of(app)) == 1


def test_a_slip_is_noted_for_the_set_in_hand_with_what_was_locked(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR)
    opened(app)
    smell_one(app, scene, session.id)
    serving = bench.servings(scene.notebook, session.id)[0]
    which = next(one for one in app.selectbox if one.label == "Which set")
    assert which.value == serving.id, "the set in hand comes first"
    assert which.options == [f"Set 1 ({', '.join(serving.codes)}): locked {serving.codes[0]}", "All sets"]
    tap(app, "Write it down")
    assert "Choose what happened and give the reason: nothing is written down yet." in words(app)
    next(one for one in app.selectbox if one.label == "What happened").select("wrong code")
    next(one for one in app.text_input if one.label == "Reason").input("meant the one beside it")
    tap(app, "Write it down")
    assert "Noted for set 1: wrong code." in words(app)
    with scene.notebook.reading() as tx:
        noted = [(one.serving_id, one.kind) for one in tx.sittings.deviations(session.id)]
    assert noted == [(serving.id, "wrong code")]


def test_a_set_spoilt_before_its_answer_is_made_anew(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(**PAIR)
    opened(app)
    lay_out(app)
    before = solo.next_step(scene.notebook, session.id)
    assert "Spare codes are left for 4 sets." in words(app)
    tap(app, "Make set 1 anew")
    assert "Reason must not be empty." in words(app)
    assert solo.next_step(scene.notebook, session.id) == before
    next(one for one in app.text_input if one.label == "What happened to it").input("fell on the floor")
    tap(app, "Make set 1 anew")
    step, told = solo.next_step(scene.notebook, session.id), words(app)
    assert (step.kind, step.number, set(step.codes) & set(before.codes)) == ("lay out", 1, set())
    assert "Set 1 is made anew, from fresh strips and under these codes." in told
    assert f"Set 1: {', '.join(step.codes)}." in told
    assert "Spare codes are left for 3 sets." in told


def test_without_spare_codes_the_page_says_what_is_possible(app: AppTest, scene: scenes.Scene) -> None:
    """As in sessions sealed before 2026-11-26; here they are used up."""
    session = scene.sealed(**PAIR)
    for _ in range(4):
        solo.spoilt(scene.notebook, session.id, 1, "fell")
    told = words(opened(app))
    assert "This session has no spare codes left: if nothing of the set was smelt yet" in told
    assert not [one for one in app.button if one.label.startswith("Make set")]


def test_other_methods_name_their_one_group(app: AppTest, scene: scenes.Scene) -> None:
    scene.sealed(solo=True, replicates=10, method="2-afc", confirmed=("not noticed",))
    told = words(opened(app))
    assert "small and lightly: one A, one B." in told
    assert "spread like 12 and 6 on a clock" in told
    assert "more smokier" in told


def test_a_sequential_sitting_ends_with_its_marks_and_the_word_of_the_rule(
    app: AppTest, scene: scenes.Scene, clock: SteppedClock
) -> None:
    """Always the odd strip: the rule says stop after a few sittings, and only closing is left."""
    session = scene.sealed(solo=True, replicates=24, look_every=4)
    told = words(opened(app))
    assert "The sealed stopping rule is asked for the first time after the marks of set 4." in told
    assert "continue" not in told.lower()
    seen = []
    while (step := solo.next_step(scene.notebook, session.id)).kind != "close":
        if step.kind == "marks":
            assert "Enter the marks" in words(opened(app))
            choose_marks(app, {one.place: "ABB" if one.place % 2 else "BAA" for one in step.due})
            tap(app, "Enter these marks for good")
            seen.append([one.value for one in app.info if "Sealed stopping rule" in one.value])
        else:
            clock.forward(minutes=11 if step.rest != "until the next day" else 24 * 60)
            smell_by_hand(scene.notebook, session.id)
    assert seen[0] == ["Sealed stopping rule: continue. It is asked again after the next marks."]
    assert seen[-1] == ["Sealed stopping rule: stop: noticed. No further set is smelt."]
    assert [one.label for one in app.button if one.label in ("Close the session", "The set is laid out")] == [
        "Close the session"
    ]


def smell_by_hand(notebook: Any, session_id: str) -> None:
    step = solo.laid_out(notebook, session_id, solo.next_step(notebook, session_id).number)
    place, codes = step.number, step.codes
    while step.kind == "answer":
        assert step.question is not None
        said = {"choice": codes[0], "sure": "sure", "recognised": "no"}[step.question.name]
        step = solo.answer(notebook, session_id, step.question.serving_id, step.question.name, said)
    solo.put_away(notebook, session_id, place)
