"""Alone with a clock: dips, real ages, one age while another waits, null sets, and what is said when nobody came back."""

from __future__ import annotations

import random
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest
from scipy.stats import binom

from evaluation.actions import ages, bench, findings, solo
from evaluation.actions.solo import SoloStep
from evaluation.alone import ways
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError
from evaluation.serving.asking import SURE, YES_NO
from evaluation.serving.marks import is_right
from evaluation.sessions import ALWAYS_OUT, EARLY, LATE, Plan
from tests import scenes

MINUTE = 60_000
HOUR = 60 * MINUTE
LEAVES = {"left_out": (*ALWAYS_OUT, LATE)}


class Person:
    """Somebody alone who does what the page says; the bags and the plate are theirs, never the program's.

    ``skill``: the share of real sets in which they know what is right. They wait as long as they are told.
    """

    def __init__(self, plan: Plan, seed: int, skill: float = 0.0) -> None:
        self.plan, self.skill = plan, skill
        self.chance = random.Random(seed)
        self.orders: dict[int, str] = {}
        self.boxes = {
            age.seconds: [group for group, count in ways.bags(plan, age.seconds) for _ in range(count)]
            for age in plan.ages
        }
        self.seen: list[tuple[str, int]] = []

    def make(self, step: SoloStep) -> None:
        """Bags and groups come to hand blind, and so do the strips of each."""
        if self.plan.preparation == "vials":
            box = self.boxes[step.age_seconds]
            groups = [box.pop(self.chance.randrange(len(box)))]
        else:
            groups = list(step.compositions)
            self.chance.shuffle(groups)
        assert step.making is not None
        for one, group in zip(step.making.sets, groups, strict=False):
            strips = list(group)
            self.chance.shuffle(strips)
            self.orders[one.place] = "".join(strips)

    def values(self, step: SoloStep) -> dict[str, str]:
        assert step.question is not None
        order, options = self.orders[step.number], step.question.options
        known = self.chance.random() < self.skill and order.isupper()
        right = [one for one in options if is_right(self.plan.method, order, step.codes, one, self.plan.expected)]
        return {"choice": right[0] if known else self.chance.choice(options), "sure": SURE[0], "recognised": YES_NO[0]}

    def take(self, notebook: Any, session_id: str, step: SoloStep, clock: SteppedClock) -> None:
        self.seen.append((step.kind, step.number))
        if step.kind in ("wait", "rest"):
            clock.forward(seconds=step.rest_ms / 1000)
        elif step.kind == "needed":
            solo.ready(notebook, session_id)
        elif step.kind == "make":
            self.make(step)
            clock.forward(seconds=60)
            solo.dipped(notebook, session_id, step.number)
        elif step.kind == "lay out":
            solo.laid_out(notebook, session_id, step.number)
        elif step.kind == "smell":
            assert solo.smell(notebook, session_id, step.number) == ""
        elif step.kind == "answer":
            clock.forward(seconds=150)
            solo.answer_set(notebook, session_id, step.asked[0].serving_id, self.values(step))
        elif step.kind == "put away":
            solo.put_away(notebook, session_id, step.number)
        elif step.kind == "close":
            bench.close(notebook, session_id)
        elif step.kind == "marks":
            solo.enter_marks(notebook, session_id, {one.place: self.orders[one.place] for one in step.due})
        else:
            assert step.kind == "open"
            findings.open_session(notebook, session_id)

    def play(
        self, notebook: Any, session_id: str, clock: SteppedClock, until: str = "done", number: int = 0
    ) -> SoloStep:
        """Every step until one of the kind ``until`` comes up, of the set ``number`` where it is given."""
        for _ in range(2000):
            step = solo.next_step(notebook, session_id)
            if step.kind == until and number in (0, step.number):
                return step
            self.take(notebook, session_id, step, clock)
        raise AssertionError("a session without an end")


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=1)


def sealed(scene: scenes.Scene, preparation: str = "vials", **changes: Any) -> Any:
    return scene.sealed(**({"solo": True, "replicates": 4, "preparation": preparation} | LEAVES | changes))


# --- the steps ----------------------------------------------------------------------------------------------------


def test_by_vials_every_set_is_dipped_for_itself(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    """Needed → made and dipped → due → begun → answered; the marks went aside with the vials."""
    session = sealed(scene)
    person = Person(session.plan, 1)
    person.play(notebook, session.id, clock)
    a_set = ["make", "wait", "smell", "answer"]
    assert [kind for kind, _ in person.seen] == ["needed", *(a_set * 4), "close", "marks", "open"]
    kinds = Counter(one.kind for one in bench.log(notebook, session.id))
    assert (kinds["dip"], kinds["laid out"], kinds["set begun"], kinds["put away"]) == (4, 4, 4, 4)


def test_by_clips_both_kinds_come_from_one_dip(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene, "clips", minutes=(30,))
    person = Person(session.plan, 1)
    step = solo.next_step(notebook, session.id)
    assert (step.kind, [one.place for one in step.making.sets], step.compositions) == ("make", [1, 2], ("AAB", "ABB"))
    assert sorted(step.making.dips) == ["ABA", "BAB"]
    assert step.first
    person.play(notebook, session.id, clock)
    of_a_pair = ["make", "lay out", "wait", "smell", "answer", "put away", "wait", "smell", "answer", "put away"]
    kinds = [kind for kind, _ in person.seen]
    assert kinds[:10] == of_a_pair or kinds[:10] == ["make", "lay out", *of_a_pair[:8]]  # the next pair meanwhile
    assert kinds[-3:] == ["close", "marks", "open"]


@pytest.mark.parametrize(("preparation", "minutes"), [("vials", 5), ("clips", 30)])
def test_real_ages_are_recorded_and_nothing_is_late(
    notebook: Any, scene: scenes.Scene, clock: SteppedClock, preparation: str, minutes: int
) -> None:
    """Both sets of a dip are smelt round the planned age: 177 and 178 s off it, within 180 s. Dips are 5 s a strip."""
    session = sealed(scene, preparation, minutes=(minutes,))
    Person(session.plan, 2).play(notebook, session.id, clock)
    found: Any = ages.real_ages(notebook, session.id)
    assert (len(found.sets), found.late, found.early, found.unknown) == (4, 0, 0, 0)
    planned = minutes * MINUTE
    for one in found.sets:
        assert abs(one.real - planned) <= (1_000 if preparation == "vials" else 181_000)
    assert not findings.findings(notebook, session.id).context.noted  # type: ignore[union-attr]
    for trial in found.trials:
        assert not trial.differs


def test_while_one_age_waits_another_is_smelt(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene, minutes=(5, 240), primary=300, replicates=4)
    person = Person(session.plan, 3)
    step = person.play(notebook, session.id, clock, "wait")
    assert {one.place for one in step.waiting} == {1, 5}
    assert [one.age_seconds for one in step.waiting] == [300, 14_400]
    assert step.number == 1, "the next one due stands first"
    person.play(notebook, session.id, clock)
    smelt = [number for kind, number in person.seen if kind == "smell"]
    assert smelt == [1, 2, 3, 4, 5, 6, 7, 8]
    made = [number for kind, number in person.seen if kind == "make"]
    assert made[:2] == [5, 1], "what ages longest is made first"
    assert ages.real_ages(notebook, session.id).late == 0


def test_rests_are_kept_while_strips_age(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene, replicates=12)
    person = Person(session.plan, 4)
    person.play(notebook, session.id, clock, "rest", 5)
    step = person.play(notebook, session.id, clock, "rest", 9)
    assert step.rest == "until the next day"
    assert step.rest_ms >= 8 * HOUR
    person.play(notebook, session.id, clock)
    assert solo.rests_cut(bench.log(notebook, session.id)) == 0


def test_a_rest_cut_short_is_written_down(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene, replicates=8)
    person = Person(session.plan, 5)
    step = person.play(notebook, session.id, clock, "rest")
    assert (step.number, step.rest) == (5, "between sittings")
    with pytest.raises(StateError, match="Rest first: the next set is proposed in 4 min"):
        solo.dipped(notebook, session.id, 5)
    person.make(step)
    solo.dipped(notebook, session.id, 5, early=True)
    person.play(notebook, session.id, clock)
    assert solo.rests_cut(bench.log(notebook, session.id)) == 1


# --- ages that are missed ---------------------------------------------------------------------------------------------


def test_smelt_too_early_is_asked_about_once_and_noted(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene)
    person = Person(session.plan, 6)
    person.play(notebook, session.id, clock, "wait")
    clock.forward(minutes=2)
    assert solo.smell(notebook, session.id, 1) == EARLY
    assert solo.next_step(notebook, session.id).kind == "wait", "nothing is written down yet"
    assert solo.smell(notebook, session.id, 1, EARLY) == ""
    person.play(notebook, session.id, clock)
    found: Any = findings.findings(notebook, session.id)
    assert [(one.kind, one.leaves) for one in found.context.noted] == [(EARLY, True)]
    assert found.found[0].entries[0].assessments == 3
    assert ages.real_ages(notebook, session.id).early == 1


def test_twenty_hours_are_said_when_the_page_is_opened_again(
    notebook: Any, scene: scenes.Scene, clock: SteppedClock
) -> None:
    session = sealed(scene)
    person = Person(session.plan, 7)
    person.play(notebook, session.id, clock, "wait")
    clock.forward(minutes=20 * 60)
    step = solo.next_step(notebook, session.id)
    assert (step.kind, step.number) == ("smell", 1)
    assert step.judged is not None
    assert (step.judged.word, step.judged.real // HOUR) == (LATE, 20)  # type: ignore[operator]
    assert solo.smell(notebook, session.id, 1) == LATE
    assert solo.smell(notebook, session.id, 1, LATE) == ""
    person.play(notebook, session.id, clock)
    found: Any = findings.findings(notebook, session.id)
    assert [(one.kind, one.leaves) for one in found.context.noted] == [(LATE, True)]
    assert "20 h" in found.context.noted[0].reason


def test_within_its_tolerance_a_set_begins_without_a_question(
    notebook: Any, scene: scenes.Scene, clock: SteppedClock
) -> None:
    session = sealed(scene)
    Person(session.plan, 8).play(notebook, session.id, clock, "wait")
    clock.forward(minutes=4.6)
    assert solo.next_step(notebook, session.id).kind == "wait"
    assert solo.smell(notebook, session.id, 1) == ""


def test_a_tap_that_came_late_is_corrected(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene)
    person = Person(session.plan, 9)
    before = person.play(notebook, session.id, clock, "wait")
    for wrong in (Decimal(0), Decimal(61), Decimal(-1)):
        with pytest.raises(ArgumentError, match="minutes must be above 0 and at most 60"):
            solo.dipped_before(notebook, session.id, 1, wrong)
    after = solo.dipped_before(notebook, session.id, 1, Decimal("1.5"))
    assert before.next_at - after.next_at == 90_000
    person.play(notebook, session.id, clock)
    assert findings.findings(notebook, session.id).context.log_holds
    assert ages.real_ages(notebook, session.id).late == 0


# --- what is refused ------------------------------------------------------------------------------------------------


def test_steps_out_of_turn_are_refused_and_nothing_is_stored(
    notebook: Any, scene: scenes.Scene, clock: SteppedClock
) -> None:
    session = sealed(scene)
    before = len(bench.log(notebook, session.id))
    with pytest.raises(StateError, match="the next one is: needed"):
        solo.dipped(notebook, session.id, 1)
    solo.ready(notebook, session.id)
    with pytest.raises(StateError, match="This was said before"):
        solo.ready(notebook, session.id)
    with pytest.raises(StateError, match="the next one is: make, set 1"):
        solo.dipped(notebook, session.id, 2)
    with pytest.raises(StateError, match="the next one is: make, set 1"):
        solo.laid_out(notebook, session.id, 1)
    with pytest.raises(StateError, match="the next one is: make, set 1"):
        solo.smell(notebook, session.id, 1)
    assert len(bench.log(notebook, session.id)) == before + 1
    solo.dipped(notebook, session.id, 1)
    with pytest.raises(StateError, match="Lay the strips out first"):
        solo.answer_set(notebook, session.id, bench.servings(notebook, session.id)[0].id, {"choice": "1"})
    old = scene.sealed(solo=True, replicates=4)
    with pytest.raises(StateError, match="the next one is: lay out, set 1"):
        solo.dipped(notebook, old.id, 1)


def test_all_answers_of_a_set_are_locked_or_none(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    session = sealed(scene)
    person = Person(session.plan, 10)
    step = person.play(notebook, session.id, clock, "answer")
    serving, good = step.asked[0].serving_id, person.values(step)
    before = len(bench.log(notebook, session.id))
    for values, error in (
        (good | {"choice": "111"}, "Choose one of"),
        (good | {"sure": "perhaps"}, "Choose one of"),
        ({"sure": "guess"}, "Another question comes first"),
        ({"choice": good["choice"], "sure": "guess"}, "Another question comes first"),
    ):
        with pytest.raises((ArgumentError, StateError), match=error):
            solo.answer_set(notebook, session.id, serving, values)
    assert len(bench.log(notebook, session.id)) == before
    assert solo.answer_set(notebook, session.id, serving, good, "a remark").kind == "make"


def test_a_set_that_ages_can_be_spoilt_and_is_made_anew(
    notebook: Any, scene: scenes.Scene, clock: SteppedClock
) -> None:
    session = sealed(scene, "clips", minutes=(30,))
    person = Person(session.plan, 11)
    step = person.play(notebook, session.id, clock, "wait")
    codes = step.codes
    assert 2 in solo.to_be_spoilt(step)
    solo.spoilt(notebook, session.id, 2, "it fell on the floor")
    with pytest.raises(StateError, match="Set 3 is not on the table"):
        solo.spoilt(notebook, session.id, 3, "not dipped yet")
    with pytest.raises(ArgumentError, match="set must be from 1 to 4, not 9"):
        solo.spoilt(notebook, session.id, 9, "no such set")
    person.play(notebook, session.id, clock, "lay out", 2)
    again = solo.next_step(notebook, session.id)
    assert again.anew == 1
    assert again.compositions == ("AAB", "ABB"), "both kinds are made, and one is taken blind"
    assert [one.place for one in again.making.sets] == [2]
    assert not set(again.making.sets[0].codes) & set(codes)
    person.play(notebook, session.id, clock)
    found: Any = findings.findings(notebook, session.id)
    assert found.found[0].entries[0].assessments == 4
    assert found.context.log_holds


# --- null sets ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("preparation", "method"), [("vials", "triangle"), ("clips", "tetrad"), ("vials", "3-afc")])
def test_null_sets_alone_are_scored_beside_and_never_in(
    notebook: Any, scene: scenes.Scene, clock: SteppedClock, preparation: str, method: str
) -> None:
    """Somebody who is right about every real set and guesses the null ones: the counts are those of the marks."""
    session = sealed(scene, preparation, method=method, minutes=(60,), replicates=4, null_sets=3)
    person = Person(session.plan, 12, skill=1.0)
    person.play(notebook, session.id, clock)
    null = {place for place, order in person.orders.items() if not order.isupper()}
    assert len(null) == 3
    found: Any = findings.findings(notebook, session.id)
    assert (found.found[0].entries[0].correct, found.found[0].entries[0].assessments) == (4, 4)
    places = {one.id: one for one in bench.servings(notebook, session.id)}
    answered = {
        places[one.serving_id].place: one.value
        for one in notebook_answers(notebook, session.id)
        if one.question == "choice"
    }
    right = sum(
        is_right(method, person.orders[place], served(places, place).codes, answered[place], session.plan.expected)
        for place in null
    )
    assert (found.found[0].null_control.correct, found.found[0].null_control.assessments) == (right, 3)
    assert found.context.log_holds


def notebook_answers(notebook: Any, session_id: str) -> Any:
    with notebook.reading() as tx:
        return tx.ballots.session_answers(session_id)


def served(places: Any, place: int) -> Any:
    return next(one for one in places.values() if one.place == place and not one.spare)


def test_no_step_tells_which_set_is_null(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    """Two people draw different bags: until the marks are entered they see the same screens, codes and times apart."""
    seen = []
    for seed in (13, 14):
        session = sealed(scene, null_sets=2)
        person = Person(session.plan, seed)
        shown = []
        while (step := solo.next_step(notebook, session.id)).kind != "open":
            shown.append((step.kind, step.number, step.compositions, len(step.asked), len(step.due)))
            person.take(notebook, session.id, step, clock)
        seen.append((shown, [place for place, order in sorted(person.orders.items()) if not order.isupper()]))
    assert seen[0][0] == seen[1][0]
    assert seen[0][1] != seen[1][1], "the null sets were others"


def test_guessing_stays_chance_with_bags_and_null_sets(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    """Twenty sessions of four sets and one null set: real and null answers each within scipy's central 99.99 %."""
    rights = {True: 0, False: 0}
    asked = {True: 0, False: 0}
    for number in range(20):
        session = sealed(scene, null_sets=1)
        person = Person(session.plan, 100 + number)
        person.play(notebook, session.id, clock)
        found: Any = findings.findings(notebook, session.id)
        rights[False] += found.found[0].entries[0].correct
        asked[False] += found.found[0].entries[0].assessments
        rights[True] += found.found[0].null_control.correct
        asked[True] += found.found[0].null_control.assessments
    assert asked == {False: 80, True: 20}
    for null in (False, True):
        low, high = binom.interval(0.9999, asked[null], 1 / 3)
        assert low <= rights[null] <= high


# --- sealed before ----------------------------------------------------------------------------------------------------


def test_a_session_sealed_before_counts_no_age(notebook: Any, scene: scenes.Scene, clock: SteppedClock) -> None:
    """No way of preparing is named: nothing is dipped by a tap, waited for, or judged, as when it was sealed."""
    session = scene.sealed(solo=True, replicates=4, **LEAVES)
    person = Person(session.plan, 15)
    seen = []
    while (step := solo.next_step(notebook, session.id)).kind != "done":
        seen.append(step.kind)
        if step.kind == "lay out" and step.compositions:
            groups = list(step.compositions)
            person.chance.shuffle(groups)
        if step.kind == "lay out":
            person.orders[step.number] = "".join(person.chance.sample(groups.pop(), 3))
        person.take(notebook, session.id, step, clock)
    assert seen[:6] == ["lay out", "answer", "put away", "rest", "lay out", "answer"]
    found: Any = findings.findings(notebook, session.id)
    assert found.found[0].entries[0].assessments == 4
    assert not found.context.noted
