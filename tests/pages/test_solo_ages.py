"""The page Alone with a clock: what is needed, one tick where hands are free, waiting, ages that are missed, null sets."""

from __future__ import annotations

import random
import re
from collections import Counter
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from evaluation.actions import bench, findings, solo
from evaluation.clock import SteppedClock
from tests import scenes
from tests.pages.test_solo import app, button, opened, scene, tap, words

__all__ = ["app", "scene"]  # fixtures

MOST_TAPS = 100  # the issue: about 205 for twelve sets before


class Hands:
    """One person at the page: every tap is counted, and nothing is done but by a control that can be seen."""

    def __init__(self, app: AppTest, scene: scenes.Scene, session: Any, clock: SteppedClock) -> None:
        self.app, self.scene, self.session, self.clock = app, scene, session, clock
        self.taps: Counter[str] = Counter()
        self.chance = random.Random(1)

    @property
    def step(self) -> solo.SoloStep:
        return solo.next_step(self.scene.notebook, self.session.id)

    def tap(self, label: str) -> None:
        one = next(one for one in self.app.button if re.fullmatch(label, one.label))
        assert not one.disabled, one.label
        one.click().run()
        assert not self.app.exception
        assert not self.app.error, [one.value for one in self.app.error]
        self.taps[label] += 1

    def choose(self, control: Any, value: str) -> None:
        control.set_value(value).run()
        assert not self.app.exception
        self.taps["choose"] += 1

    def wait(self) -> None:
        """Until what was waited for; the page asks again by itself."""
        self.clock.forward(seconds=self.step.rest_ms / 1000 + 1)
        self.app.run()

    def answer(self) -> None:
        self.clock.forward(seconds=150)
        codes = self.step.codes
        for kind, value in (("button_group", self.chance.choice(codes)), ("radio", "unsure"), ("radio", "no")):
            at = 1 if value == "no" else 0
            self.choose(self.app.get(kind)[at], value)
        self.tap("Lock this answer")

    def marks(self) -> None:
        for one in self.step.due:
            control = next(g for g in self.app.get("button_group") if g.label.startswith(f"Set {one.place}:"))
            self.choose(control, "AAB" if one.place % 2 else "BBA")
        self.tap("Enter these marks for good")

    def play(self, until: str = "done") -> None:
        acts = {
            "needed": lambda: self.tap("The vials are filled and bagged"),
            "make": lambda: self.tap("Dipped"),
            "lay out": lambda: self.tap("The sets? (is|are) laid out"),
            "wait": self.wait,
            "rest": self.wait,
            "smell": lambda: self.tap("Smell now"),
            "answer": self.answer,
            "put away": lambda: self.tap("The set is put away"),
            "close": lambda: self.tap("Close the session"),
            "marks": self.marks,
            "open": lambda: self.tap("Open the session"),
        }
        while (kind := self.step.kind) != until:
            acts[kind]()


def hands(app: AppTest, scene: scenes.Scene, clock: SteppedClock, **changes: Any) -> Hands:
    about = {"solo": True, "replicates": 12, "preparation": "vials", "confirmed": ("not noticed",)}
    session = scene.sealed(**(about | changes))
    opened(app)
    return Hands(app, scene, session, clock)


@pytest.mark.parametrize(("preparation", "minutes", "expected"), [("vials", 5, 88), ("clips", 60, 99)])
def test_twelve_triangles_take_at_most_a_hundred_taps(
    app: AppTest, scene: scenes.Scene, clock: SteppedClock, preparation: str, minutes: int, expected: int
) -> None:
    """Answers, marks, closing and opening counted. By vials a set is Dipped, Smell now, three choices and a lock, and a
    tap for its marks; filling, closing, entering and opening are four: 12 × 7 + 4 = 88. By clips a pair has one dip and
    one laying out, and each set is put away too: 6 × 2 + 12 × 7 + 3 = 99.
    """
    hand = hands(app, scene, clock, preparation=preparation, minutes=(minutes,))
    hand.play()
    assert sum(hand.taps.values()) == expected <= MOST_TAPS, hand.taps
    assert [one.label.split()[:2] for one in app.checkbox] == [["Put", "formulas"]], "no further tick"
    found: Any = findings.findings(scene.notebook, hand.session.id)
    assert found.found[0].entries[0].assessments == 12
    assert not found.context.noted
    assert found.context.log_holds


def test_what_is_needed_is_told_before_the_first_set(app: AppTest, scene: scenes.Scene, clock: SteppedClock) -> None:
    hand = hands(app, scene, clock, null_sets=3)
    told = words(app)
    for said in (
        "What you need for this session",
        "45 like vials with like caps",
        "15 like bags that nothing shows through, and a box that holds them all",
        "22 with A, 20 with B, 2 with a, 1 with b.",
        "A and a with trial 7, B and b with trial 8",
        "6 with A A B, 6 with A B B, 2 with A A a, 1 with B B b",
        "From now on nobody looks under a vial until the session is closed.",
        "flammable",
    ):
        assert said in told
    hand.tap("The vials are filled and bagged")
    told = words(app)
    codes = hand.step.codes
    assert f"lay them from left to right: {', '.join(codes)}" in told
    assert "What you need for this session" not in told
    hand.tap("Dipped")
    told = words(app)
    assert "tape the closed vials of set 1 together as they stand" in told
    hand.clock.forward(minutes=4)
    app.run()
    assert "tape the closed vials" not in words(app)


def test_by_clips_needs_and_steps_stand_on_one_screen(app: AppTest, scene: scenes.Scene, clock: SteppedClock) -> None:
    hand = hands(app, scene, clock, preparation="clips", minutes=(60,))
    told = words(app)
    for said in (
        "36 like clips that nothing shows through",
        "Two like plain round plates",
        "Sets 1 and 2 of 12, sitting 1 of 3",
        "the other tips, small and lightly: three A, three B.",
    ):
        assert said in told
    hand.tap("Dipped")
    told = words(app)
    assert "Move the other group to another plate: set 2." in told
    first, second = (", ".join(one.codes) for one in bench.servings(scene.notebook, hand.session.id)[:2])
    assert f"Set 1: {first}; set 2: {second}." in told
    assert "A" not in re.findall(r"Set 1: ([^;]*);", told)[0], "codes tell no mark"


def test_too_early_is_asked_about_before_it_is_done(app: AppTest, scene: scenes.Scene, clock: SteppedClock) -> None:
    hand = hands(app, scene, clock)
    hand.play("wait")
    clock.forward(minutes=2)
    app.run()
    hand.tap("Smell now")
    told = words(app)
    assert "These strips were dipped 2 min" in told
    assert "planned were 5 ± 0 min" in told or "planned were 5 min ± 30 s" in told
    assert hand.step.kind == "wait"
    hand.tap("Smell now anyway")
    assert hand.step.kind == "answer"
    assert "Noted as early" in words(app)


def test_twenty_hours_have_passed(app: AppTest, scene: scenes.Scene, clock: SteppedClock) -> None:
    hand = hands(app, scene, clock)
    hand.play("wait")
    clock.forward(minutes=20 * 60)
    told = words(opened(app))
    assert "20 h have passed since these strips were dipped" in told
    assert "Or make the set anew: below" in told
    assert [one.label for one in app.button if one.label.startswith("Smell now")] == ["Smell now anyway"]
    hand.tap("Smell now anyway")
    assert "Noted as late" in words(app)
    hand.answer()
    with scene.notebook.reading() as tx:
        assert [one.kind for one in tx.sittings.deviations(hand.session.id)] == ["late"]


def test_what_waits_and_when_is_shown_while_another_set_is_made(
    app: AppTest, scene: scenes.Scene, clock: SteppedClock
) -> None:
    hand = hands(app, scene, clock, minutes=(5, 240), primary=300, replicates=6)
    hand.tap("The vials are filled and bagged")
    assert "Set 7 of 12, 4 h strips" in words(app)
    assert "from the box for 4 h" in words(app)
    hand.tap("Dipped")
    told = words(app)
    assert "Set 1 of 12, 5 min strips" in told
    assert "**Waiting**" in told


def test_hands_that_are_making_a_set_keep_their_screen(app: AppTest, scene: scenes.Scene, clock: SteppedClock) -> None:
    """While they make it the time for making it passes: it is still there, and its tap is taken."""
    hand = hands(app, scene, clock, minutes=(5, 240), primary=300, replicates=6)
    hand.tap("The vials are filled and bagged")
    hand.tap("Dipped")  # set 7, for four hours
    clock.forward(seconds=200)
    app.run()
    hand.tap("Dipped")  # set 1, due in 292 s
    clock.forward(seconds=100)
    app.run()
    assert (hand.step.kind, hand.step.number) == ("make", 8)
    clock.forward(seconds=140)
    app.run()
    assert hand.step.kind == "wait", "who begins to make it now would miss set 1"
    assert "Set 8 of 12" in words(app)
    clock.forward(seconds=60)
    app.run()
    assert (hand.step.kind, hand.step.number) == ("smell", 1)
    hand.tap("Dipped: set 8")
    assert [one.place for one in hand.step.waiting] == [1, 7, 8]
    hand.tap("Smell now")


def test_a_late_tap_is_corrected_and_what_is_no_number_is_refused(
    app: AppTest, scene: scenes.Scene, clock: SteppedClock
) -> None:
    hand = hands(app, scene, clock)
    hand.play("wait")
    before = hand.step.next_at
    field = next(one for one in app.text_input if one.label.startswith("Minutes by which"))
    field.input("some")
    button(app, "Correct it").click().run()
    assert "Minutes must be a number such as 1 or 0.5, not 'some'." in words(app)
    assert hand.step.next_at == before
    next(one for one in app.text_input if one.label.startswith("Minutes by which")).input("2")
    tap(app, "Correct it")
    assert before - hand.step.next_at == 120_000
    assert "the log says so" in words(app)


def test_a_rest_may_be_cut_before_a_dip(app: AppTest, scene: scenes.Scene, clock: SteppedClock) -> None:
    hand = hands(app, scene, clock, replicates=8)
    hand.play("rest")
    assert button(app, "Dipped").disabled
    assert "A sitting ends here" in words(app)
    next(one for one in app.checkbox if one.label.startswith("Go on before")).check().run()
    hand.tap("Dipped")
    hand.play()
    assert solo.rests_cut(bench.log(scene.notebook, hand.session.id)) == 1
    assert "The proposed rest was cut short before 1 of 8 sets" in words(opened(app, "findings.py"))


def test_null_sets_are_offered_among_the_marks_and_told_in_the_findings(
    app: AppTest, scene: scenes.Scene, clock: SteppedClock
) -> None:
    hand = hands(app, scene, clock, replicates=6, null_sets=3)
    hand.play("marks")
    lists = [one for one in app.get("button_group") if one.label.startswith("Set ")]
    assert len(lists) == 9
    assert {"A A B", "A A a", "a A A", "B b B", "other"} <= {one.content for one in lists[0].proto.options}
    for number in range(len(lists)):
        control = [one for one in app.get("button_group") if one.label.startswith("Set ")][number]
        hand.choose(control, ("AaA", "BBb", "ABA")[number] if number < 3 else "ABA")
    assert "3 null sets were planned, and by these marks 2 are there" in words(app)
    hand.choose([one for one in app.get("button_group") if one.label.startswith("Set ")][2], "AAa")
    assert "were planned" not in words(app)
    hand.tap("Enter these marks for good")
    hand.play()
    told = words(opened(app, "findings.py"))
    assert "Null sets" in told
    assert "The nose was near when the vials were open" in told
    found: Any = findings.findings(scene.notebook, hand.session.id)
    assert (found.found[0].entries[0].assessments, found.found[0].null_control.assessments) == (6, 3)
