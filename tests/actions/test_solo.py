"""The solo flow through the actions, end to end: steps, rests, marks, and the score beside an outside binomial."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from scipy.stats import binom, binomtest

from evaluation.actions import ballot, bench, findings, solo
from evaluation.actions.solo import SoloStep
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError, StillBlind
from evaluation.outlook import sets_a_sitting
from evaluation.sessions import ALWAYS_OUT
from tests import scenes

TRIANGLE = {"solo": True, "replicates": 8, "alpha": scenes.Decimal("0.05")}
KINDS_OF_A_SET = ["lay out", "answer", "answer", "answer", "put away"]


class Person:
    """Somebody alone with two vials: shuffles envelopes and strips, answers, and reads the marks at the end.

    ``nose`` gets the true order and the codes and says what to answer; the program never hears of the order before.
    """

    def __init__(self, seed: int, nose: Callable[[random.Random, str, tuple[str, ...]], str], said: str = "no") -> None:
        self.chance = random.Random(seed)
        self.nose = nose
        self.said = said  # to "did you recognise one?"
        self.envelopes: list[str] = []
        self.orders: dict[int, str] = {}
        self.right: dict[int, bool] = {}

    def prepare(self, step: SoloStep) -> None:
        if step.compositions:
            assert self.envelopes == []
            self.envelopes = list(step.compositions)
            self.chance.shuffle(self.envelopes)
        strips = list(self.envelopes.pop())
        self.chance.shuffle(strips)
        self.orders[step.number] = "".join(strips)

    def reply(self, step: SoloStep) -> str:
        assert step.question is not None
        if step.question.name == "choice":
            return self.nose(self.chance, self.orders[step.number], step.codes)
        return {"sure": "unsure", "recognised": self.said}[step.question.name]


def odd(order: str, codes: tuple[str, ...]) -> str:
    return codes[min(range(3), key=lambda at: order.count(order[at]))]


def guesser(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
    return chance.choice(codes)


def keen(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
    return odd(order, codes)


def play(notebook: Any, session_id: str, person: Person, clock: SteppedClock, until: str = "done") -> SoloStep:
    """Do every step until one of the kind ``until`` comes up."""
    while (step := solo.next_step(notebook, session_id)).kind != until:
        take(notebook, session_id, person, clock, step)
    return step


def take(notebook: Any, session_id: str, person: Person, clock: SteppedClock, step: SoloStep) -> None:
    if step.kind == "rest":
        clock.forward(seconds=step.rest_ms / 1000)
    elif step.kind == "lay out":
        person.prepare(step)
        solo.laid_out(notebook, session_id, step.number)
    elif step.kind == "answer":
        assert step.question is not None
        solo.answer(notebook, session_id, step.question.serving_id, step.question.name, person.reply(step))
    elif step.kind == "put away":
        solo.put_away(notebook, session_id, step.number)
    elif step.kind == "close":
        bench.close(notebook, session_id)
    elif step.kind == "marks":
        solo.enter_marks(notebook, session_id, {one.place: person.orders[one.place] for one in step.due})
    else:
        assert step.kind == "open"
        findings.open_session(notebook, session_id)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=1)


@pytest.fixture
def sealed(scene: scenes.Scene) -> Any:
    return scene.sealed(**TRIANGLE)


# --- the steps ----------------------------------------------------------------------------------------------------


def test_the_steps_come_in_the_order_of_the_decisions(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    """Laid out → answered place by place → put away → closed → all marks → opened."""
    person, met = Person(1, keen), []
    while not met or met[-1] != "done":
        step = solo.next_step(notebook, sealed.id)
        met.append(step.kind)
        if step.kind != "done":
            take(notebook, sealed.id, person, clock, step)
    a_set = [*KINDS_OF_A_SET, "rest"]
    assert met == [*(a_set * 8)[:-1], "close", "marks", "open", "done"]


def test_both_compositions_are_filled_for_each_pair_of_sets(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    asked = {}
    person = Person(2, guesser)
    while (step := solo.next_step(notebook, sealed.id)).kind != "close":
        if step.kind == "lay out":
            asked[step.number] = step.compositions
        take(notebook, sealed.id, person, clock, step)
    assert asked == {place: ("AAB", "ABB") if place % 2 else () for place in range(1, 9)}


@pytest.mark.parametrize(
    ("method", "envelopes", "sets"),
    [("2-afc", ("AB",), 4), ("3-afc", ("AAB",), 4), ("tetrad", ("AABB",), 3)],
)
def test_other_methods_have_one_envelope_a_set(
    scene: scenes.Scene, method: str, envelopes: tuple[str, ...], sets: int
) -> None:
    """A 3-AFC holds the trial expected to stand out (here B) once; a sitting has at most 12 strips (common practice, no source)."""
    session = scene.sealed(solo=True, replicates=10, method=method)
    step = solo.next_step(scene.notebook, session.id)
    assert step.compositions == envelopes
    assert sets_a_sitting(method) == sets


def test_no_step_says_what_was_right(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    """Two people who differ only in being right see the same screens until the key is open."""
    seen = []
    for nose in (keen, lambda chance, order, codes: next(c for c in codes if c != odd(order, codes))):
        person = Person(3, nose)
        session = scenes.scene(notebook, people=1).sealed(**TRIANGLE)
        shown = []
        while (step := solo.next_step(notebook, session.id)).kind != "open":
            shown.append((step.kind, step.number, step.rest_ms, step.asked, len(step.due), step.put_away))
            take(notebook, session.id, person, clock, step)
        seen.append(shown)
        with pytest.raises(StillBlind):
            findings.findings(notebook, session.id)
    assert seen[0] == seen[1]


def test_steps_out_of_turn_are_refused(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    with pytest.raises(StateError, match="the next one is: lay out, set 1"):
        solo.laid_out(notebook, sealed.id, 2)
    with pytest.raises(StateError, match="Lay the strips out first"):
        solo.answer(notebook, sealed.id, bench.servings(notebook, sealed.id)[0].id, "choice", "123")
    step = solo.laid_out(notebook, sealed.id, 1)
    assert (step.kind, step.session.state, step.number) == ("answer", "smelling", 1)
    with pytest.raises(StateError, match="the next one is: answer, set 1"):
        solo.put_away(notebook, sealed.id, 1)
    with pytest.raises(StateError, match="stay covered"):
        solo.enter_marks(notebook, sealed.id, {1: "AAB"})
    with pytest.raises(StateError, match="the shuffle is the draw"):
        bench.preparation(notebook, sealed.id, None)


def test_a_panel_and_a_draft_have_no_solo_steps(scene: scenes.Scene) -> None:
    from evaluation.actions import plan

    draft = plan.add_draft(scene.notebook, scene.plan(**TRIANGLE))
    with pytest.raises(StateError, match="Seal the plan first"):
        solo.next_step(scene.notebook, draft.id)
    panel = scenes.scene(scene.notebook, people=8).sealed()
    with pytest.raises(StateError, match="run from the bench"):
        solo.next_step(scene.notebook, panel.id)


# --- rests --------------------------------------------------------------------------------------------------------


def test_rests_are_three_minutes_ten_after_four_sets_and_a_night_after_eight(
    scene: scenes.Scene, clock: SteppedClock
) -> None:
    """Common practice, no source: 3 min between sets, 4 triads a sitting, 2 sittings a day at most; 10 min is our proposal."""
    session = scene.sealed(**(TRIANGLE | {"replicates": 12, "zone": "Asia/Tokyo"}))
    person, rests = Person(4, guesser), {}
    while (step := solo.next_step(scene.notebook, session.id)).kind != "close":
        if step.kind == "rest":
            rests[step.number] = (step.rest, step.rest_ms // 60_000)
            night = step if step.number == 9 else None
            if night:
                woken = datetime.fromtimestamp(night.next_at / 1000, UTC).astimezone(ZoneInfo("Asia/Tokyo"))
                assert (woken.hour, woken.minute) == (0, 0)
        take(scene.notebook, session.id, person, clock, step)
    assert [rests[place][1] for place in (2, 3, 4, 5, 6, 10)] == [2, 2, 2, 9, 2, 2]  # whole minutes still to go
    assert rests[5][0] == "between sittings"
    assert rests[9][0] == "until the next day"


def test_a_rest_can_be_cut_short_and_that_is_written_down(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    person = Person(5, guesser)
    step = play(notebook, sealed.id, person, clock, "rest")
    with pytest.raises(StateError, match="Rest first: the next set is proposed in 3 min"):
        solo.laid_out(notebook, sealed.id, 2)
    person.prepare(step)
    assert solo.laid_out(notebook, sealed.id, 2, early=True).kind == "answer"
    assert solo.rests_cut(bench.log(notebook, sealed.id)) == 1
    play(notebook, sealed.id, person, clock)
    assert findings.findings(notebook, sealed.id).log_holds


# --- marks --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({1: "AAA"}, "Set 1 cannot be AAA"),
        ({3: ""}, "Set 3 cannot be empty"),
        ({5: "AAB", 6: "BAA"}, "Sets 5 and 6 cannot both hold the same trial twice"),
        ({9: "AAB"}, "entered together for: set 1, set 2"),
        ({4: None}, "entered together for"),
    ],
)
def test_impossible_marks_are_refused_and_nothing_is_stored(
    notebook: Any, sealed: Any, clock: SteppedClock, changed: dict[int, str | None], sentence: str
) -> None:
    person = Person(6, guesser)
    step = play(notebook, sealed.id, person, clock, "marks")
    given = {one.place: person.orders[one.place] for one in step.due} | changed
    with pytest.raises(ArgumentError, match=sentence):
        solo.enter_marks(notebook, sealed.id, {place: order for place, order in given.items() if order is not None})
    assert solo.next_step(notebook, sealed.id) == step
    with pytest.raises(StateError, match="Enter the marks of sets 1, 2, 3, 4, 5, 6, 7, 8 first"):
        findings.open_session(notebook, sealed.id)


def test_a_session_closed_early_wants_the_marks_of_what_was_answered(
    notebook: Any, sealed: Any, clock: SteppedClock
) -> None:
    person = Person(7, keen)
    for _ in range(3 * 6 - 1):
        take(notebook, sealed.id, person, clock, solo.next_step(notebook, sealed.id))
    bench.close(notebook, sealed.id)
    assert [one.place for one in solo.next_step(notebook, sealed.id).due] == [1, 2, 3]
    play(notebook, sealed.id, person, clock)
    entry = findings.findings(notebook, sealed.id).entries[0]
    assert (entry.correct, entry.assessments) == (3, 3)  # type: ignore[union-attr]


# --- the verdict --------------------------------------------------------------------------------------------------


def test_the_score_is_that_of_the_marks_and_speaks_for_this_nose(
    notebook: Any, sealed: Any, clock: SteppedClock
) -> None:
    person = Person(8, guesser)
    play(notebook, sealed.id, person, clock)
    found = findings.findings(notebook, sealed.id)
    answers = {row.serving_id: row.chosen for row in found.rows}
    places = {one.id: one for one in bench.servings(notebook, sealed.id)}
    right = sum(chosen == odd(person.orders[places[one].place], places[one].codes) for one, chosen in answers.items())
    entry: Any = found.entries[0]
    assert (entry.correct, entry.assessments, entry.panelists) == (right, 8, 1)
    assert entry.p_value == pytest.approx(binomtest(right, 8, 1 / 3, alternative="greater").pvalue, rel=1e-9)
    assert entry.speaks_for == "this nose"
    assert found.log_holds


@pytest.mark.parametrize("left_out", [ALWAYS_OUT, (*ALWAYS_OUT, "recognised")])
def test_recognised_sets_are_counted_both_ways_and_the_sealed_one_leads(
    scene: scenes.Scene, clock: SteppedClock, left_out: tuple[str, ...]
) -> None:
    session = scene.sealed(**TRIANGLE, left_out=left_out)
    person = Person(9, keen, said="yes")
    play(scene.notebook, session.id, person, clock, "rest")  # recognised in set 1 only
    person.said = "no"
    play(scene.notebook, session.id, person, clock)
    found: Any = findings.findings(scene.notebook, session.id)
    sealed_away = "recognised" in left_out
    assert found.entries[0].assessments == (7 if sealed_away else 8)
    assert found.all_entries[0].assessments == 8
    assert [one.assessments for one in found.unrecognised] == ([] if sealed_away else [7])
    assert [(one.kind, one.leaves) for one in found.noted] == [("recognised", sealed_away)]


def often(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
    """Notices in 85 % of sets and guesses in the others."""
    return odd(order, codes) if chance.random() < 0.85 else guesser(chance, order, codes)


@pytest.mark.parametrize("sessions", [5, pytest.param(60, marks=pytest.mark.slow)])
@pytest.mark.parametrize(("nose", "rate"), [(guesser, 1 / 3), (often, 0.85 + 0.15 / 3)])
def test_level_and_power_of_the_whole_flow(
    scene: scenes.Scene, clock: SteppedClock, nose: Any, rate: float, sessions: int
) -> None:
    """Sessions of eight triangles through the actions, against scipy's binomial, both held to their central 99.99 %.

    Right answers are Binomial(8 n, rate), sessions called noticed Binomial(n, P(X >= 6 of 8)): six are needed, as
    binom.sf(5, 8, 1/3) = .0197 and binom.sf(4, 8, 1/3) = .088.
    """
    rights, noticed = 0, 0
    for number in range(sessions):
        session = scene.sealed(**TRIANGLE)
        play(scene.notebook, session.id, Person(1000 + number, nose), clock)
        entry: Any = findings.findings(scene.notebook, session.id).entries[0]
        rights += entry.correct
        noticed += entry.verdict == "noticed"
        assert (entry.verdict == "noticed") == (binom.sf(entry.correct - 1, 8, 1 / 3) <= 0.05)
    for seen, tried, share in ((rights, 8 * sessions, rate), (noticed, sessions, binom.sf(5, 8, rate))):
        low, high = binom.interval(0.9999, tried, share)
        assert low <= seen <= high


# --- sequential ---------------------------------------------------------------------------------------------------


def test_a_sequential_sitting_is_marked_before_the_next_one(scene: scenes.Scene, clock: SteppedClock) -> None:
    session = scene.sealed(**TRIANGLE, look_every=4)
    person = Person(10, guesser)
    step = play(scene.notebook, session.id, person, clock, "marks")
    assert (step.session.state, [one.place for one in step.due]) == ("smelling", [1, 2, 3, 4])
    after = solo.enter_marks(scene.notebook, session.id, {one.place: person.orders[one.place] for one in step.due})
    assert (after.kind, after.number, after.look) == ("rest", 5, "continue")


def test_a_sitting_whose_look_says_stop_is_the_last(scene: scenes.Scene, clock: SteppedClock) -> None:
    """Always right: the likelihood ratio of 12 of 12 passes any Wald limit at these risks, so it stops before 24."""
    session = scene.sealed(**(TRIANGLE | {"replicates": 24, "look_every": 4}))
    person = Person(11, keen)
    step = play(scene.notebook, session.id, person, clock, "close")
    assert (step.look, step.codes, step.rest_ms) == ("stop: noticed", (), 0)
    assert step.put_away % 4 == 0
    assert step.put_away < 24
    with pytest.raises(StateError, match="the next one is: close"):
        solo.laid_out(scene.notebook, session.id, step.put_away + 1, early=True)
    play(scene.notebook, session.id, person, clock)
    assert findings.findings(scene.notebook, session.id).log_holds


def test_the_ballot_notes_a_recognised_set(scene: scenes.Scene) -> None:
    session = scene.sealed(**TRIANGLE)
    bench.start(scene.notebook, session.id)
    mine = scenes.ballots(scene.notebook, session.id)[0]
    for value in (None, "sure", "yes"):
        asked = ballot.view(scene.notebook, mine.id).question
        assert asked is not None
        ballot.lock(scene.notebook, mine.id, asked.serving_id, asked.name, value or asked.options[0])
    with scene.notebook.reading() as tx:
        noted = [(one.serving_id, one.kind) for one in tx.sittings.deviations(session.id)]
    assert noted == [(asked.serving_id, "recognised")]
