"""The solo flow through the actions, end to end: steps, rests, marks, and the score beside an outside binomial."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from scipy.stats import binom, binomtest

from evaluation.actions import ballot, bench, findings, opened, solo, solo_slips
from evaluation.actions.solo import SoloStep
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError, StillBlind
from evaluation.planning.outlook import sets_a_sitting
from evaluation.sessions import ALWAYS_OUT
from evaluation.store import read_body
from evaluation.wording import of_solo
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
            shown.append((step.kind, step.number, step.rest_ms, len(step.asked), len(step.due), step.put_away))
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
                assert (woken.hour, woken.minute) == (7, 0), (
                    "not the midnight after, an hour nobody is asked to come at"
                )
                assert night.rest_ms >= 8 * 3_600_000
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
    assert findings.findings(notebook, sealed.id).context.log_holds


# --- marks --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({1: "AA"}, "Set 1: enter 3 letters in the order of the codes"),
        ({3: ""}, "Set 3: enter 3 letters"),
        ({5: "ABC"}, "each of them A, B or \\?, such as A A B"),
        ({9: "AAB"}, "entered together for: set 1, set 2"),
        ({4: None}, "entered together for"),
    ],
)
def test_what_is_no_mark_is_refused_and_nothing_is_stored(
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


def mixed_up(notebook: Any, session_id: str, clock: SteppedClock, **orders: str) -> Any:
    """A session of somebody always right, whose marks say something else in some sets: ``s3="AAA"``."""
    person = Person(6, keen)
    play(notebook, session_id, person, clock, "marks")
    person.orders |= {int(place[1:]): order for place, order in orders.items()}
    play(notebook, session_id, person, clock)
    return findings.findings(notebook, session_id)


def test_two_sets_of_one_composition_both_stay(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    """Envelopes A B A and A A B: which was mistaken cannot be known, and guessing is chance either way."""
    person = Person(6, keen)
    play(notebook, sealed.id, person, clock, "marks")
    swapped = {"A": "B", "B": "A"}
    if person.orders[1].count("A") != person.orders[2].count("A"):
        person.orders[2] = "".join(swapped[letter] for letter in person.orders[2])  # the odd one lies where it lay
    play(notebook, sealed.id, person, clock)
    found = findings.findings(notebook, sealed.id)
    entry: Any = found.found[0].entries[0]
    assert (entry.correct, entry.assessments, found.found[0].alike_pairs, found.found[0].wrong_strips) == (8, 8, 1, 0)
    assert (found.found[0].strays_wrong, found.context.noted) == ((), ())
    told = list(of_solo.caveats(found.context.session.plan, found.found[0].wrong_strips, found.found[0].alike_pairs))
    assert [line.startswith("In 1 pair of sets both held the same trial twice.") for line in told] == [True]


@pytest.mark.parametrize("marks", ["AAA", "BBB", "A?B", "???"])
def test_a_wrong_strip_leaves_and_the_verdicts_that_count_it_stand_beside(
    notebook: Any, sealed: Any, clock: SteppedClock, marks: str
) -> None:
    """Seven of seven right; binom.sf(6, 7, 1/3) = .00046, with it wrong 7 of 8: binom.sf(6, 8, 1/3) = .0026."""
    found = mixed_up(notebook, sealed.id, clock, s3=marks)
    ways = [found.found[0].entries[0], found.found[0].strays_wrong[0], found.found[0].strays_right[0]]
    assert [(one.correct, one.assessments) for one in ways] == [(7, 7), (7, 8), (8, 8)]
    assert ways[1].p_value == pytest.approx(binom.sf(6, 8, 1 / 3), rel=1e-9)
    assert found.found[0].losses[0].left_out == (("wrong strip", 1),)
    codes = next(one.codes for one in bench.servings(notebook, sealed.id) if one.place == 3)
    told = ", ".join(f"{code} {mark}" for code, mark in zip(codes, marks, strict=True))
    assert [(one.kind, one.reason, one.leaves) for one in found.context.noted] == [
        ("wrong strip", f"set 3, by its marks: {told}, no set of this kind", True)
    ]
    assert found.context.log_holds


def test_a_wrong_strip_that_is_out_for_another_reason_counts_in_no_way(
    notebook: Any, sealed: Any, clock: SteppedClock
) -> None:
    """Noted before the marks were read it hangs on nothing, so that no verdict with it stands beside."""
    person = Person(6, keen)
    play(notebook, sealed.id, person, clock, "marks")
    third = next(one for one in bench.servings(notebook, sealed.id) if one.place == 3)
    bench.note_deviation(notebook, sealed.id, 1, "wrong strip", "a strip of another evening", third.id)
    person.orders[3] = "AA?"
    play(notebook, sealed.id, person, clock)
    found = findings.findings(notebook, sealed.id)
    assert (found.found[0].entries[0].assessments, found.found[0].strays_wrong, found.found[0].wrong_strips) == (
        7,
        (),
        0,
    )
    assert [one.kind for one in found.context.noted] == ["wrong strip"]


@pytest.mark.parametrize(
    ("method", "marks"), [("2-afc", "AA"), ("3-afc", "ABB"), ("tetrad", "AAAB"), ("tetrad", "AB?A")]
)
def test_sets_that_other_methods_do_not_have_are_wrong_strips(
    scene: scenes.Scene, clock: SteppedClock, method: str, marks: str
) -> None:
    session = scene.sealed(solo=True, replicates=10, method=method)
    person = Person(3, lambda chance, order, codes: firsts(method, codes))
    play(scene.notebook, session.id, person, clock, "marks")
    person.orders[2] = marks
    play(scene.notebook, session.id, person, clock)
    found = findings.findings(scene.notebook, session.id)
    beside: Any = found.found[0].strays_wrong[0]
    assert (found.found[0].entries[0].assessments, beside.assessments, found.found[0].wrong_strips) == (9, 10, 1)
    assert beside.correct == found.found[0].entries[0].correct  # type: ignore[union-attr]


def firsts(method: str, codes: tuple[str, ...]) -> str:
    return f"{codes[0]}+{codes[1]}|{codes[2]}+{codes[3]}" if method == "tetrad" else codes[0]


# --- a set spoilt before its answer -------------------------------------------------------------------------------


def test_a_spoilt_set_is_made_anew_under_other_codes(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    person = Person(6, keen)
    play(notebook, sealed.id, person, clock, "answer")
    before = solo.next_step(notebook, sealed.id)
    step = solo.spoilt(notebook, sealed.id, 1, "a strip fell on the floor")
    assert (step.kind, step.number, step.anew, step.put_away) == ("lay out", 1, 1, 0)
    assert not set(step.codes) & set(before.codes)
    assert step.compositions == ("AAB", "ABB")
    person.envelopes = []  # what is left of the pair is not used
    play(notebook, sealed.id, person, clock)
    found = findings.findings(notebook, sealed.id)
    assert (found.found[0].entries[0].assessments, len(found.found[0].put_aside), found.found[0].losses[0].planned) == (
        8,
        1,
        8,
    )
    assert found.context.log_holds
    void = [read_body(one) for one in bench.log(notebook, sealed.id) if one.kind == "void serving"]
    assert [one["seat"] for one in void] == [1]
    assert "a strip fell on the floor" in opened.log_texts(notebook, sealed.id).values()


def test_the_second_of_a_pair_made_anew_comes_out_of_a_pair_of_its_own(
    notebook: Any, sealed: Any, clock: SteppedClock
) -> None:
    person = Person(6, keen)
    play(notebook, sealed.id, person, clock, "rest")
    step = solo.spoilt(notebook, sealed.id, 2, "the envelope was wet")
    assert (step.kind, step.number, step.compositions) == ("rest", 2, ("AAB", "ABB"))
    person.envelopes = []
    play(notebook, sealed.id, person, clock, "put away")
    person.envelopes = []
    play(notebook, sealed.id, person, clock)
    assert findings.findings(notebook, sealed.id).found[0].entries[0].assessments == 8


def test_an_answered_set_is_not_made_anew(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    """Nor by the bench's verb, in any later state: once marks are read that would choose by the answer."""
    person = Person(6, keen)
    play(notebook, sealed.id, person, clock, "answer")
    take(notebook, sealed.id, person, clock, solo.next_step(notebook, sealed.id))
    for attempt in (
        lambda: solo.spoilt(notebook, sealed.id, 1, "wet"),
        lambda: bench.void_serving(notebook, sealed.id, bench.servings(notebook, sealed.id)[0].id, "wet"),
    ):
        with pytest.raises(StateError, match="This set is answered already"):
            attempt()
    with pytest.raises(StateError, match="Set 2 is not on the table"):
        solo.spoilt(notebook, sealed.id, 2, "wet")
    assert not [one for one in bench.servings(notebook, sealed.id) if one.void]


def test_spare_codes_are_sealed_and_come_to_an_end(notebook: Any, sealed: Any) -> None:
    """Four sets' codes for a short session (our number); then, as in sessions sealed before there were any, a sentence."""
    first = bench.servings(notebook, sealed.id)
    assert sum(one.spare for one in first) == 4
    assert len({code for one in first for code in one.codes}) == 3 * 12
    for left in (3, 2, 1, 0):
        solo.spoilt(notebook, sealed.id, 1, "fell")
        assert solo_slips.slips(notebook, sealed.id).spare_codes == left
    log = bench.log(notebook, sealed.id)
    with pytest.raises(StateError, match="no spare codes left: if nothing of the set was smelt yet"):
        solo.spoilt(notebook, sealed.id, 1, "fell")
    with pytest.raises(ArgumentError, match="reason must not be empty"):
        solo.spoilt(notebook, sealed.id, 1, " ")
    assert bench.log(notebook, sealed.id) == log
    assert solo.next_step(notebook, sealed.id).anew == 4


# --- what did not go by the plan ------------------------------------------------------------------------------------


def test_the_set_in_hand_comes_first_with_what_was_locked(notebook: Any, sealed: Any, clock: SteppedClock) -> None:
    person = Person(6, keen)
    assert solo_slips.slips(notebook, sealed.id) == solo_slips.Slips((), True, (1,), 4)
    play(notebook, sealed.id, person, clock, "rest")
    play(notebook, sealed.id, person, clock, "answer")
    now = solo_slips.slips(notebook, sealed.id)
    assert [(one.place, bool(one.locked)) for one in now.sets] == [(2, False), (1, True)]
    assert now.anew == (2,)
    step = solo.next_step(notebook, sealed.id)
    take(notebook, sealed.id, person, clock, step)
    now = solo_slips.slips(notebook, sealed.id)
    assert (now.sets[0].place, now.sets[0].locked, now.anew) == (2, odd(person.orders[2], step.codes), ())
    play(notebook, sealed.id, person, clock, "open")
    assert solo_slips.slips(notebook, sealed.id) == solo_slips.Slips((), False, (), 4)


@pytest.mark.parametrize("left_out", [ALWAYS_OUT, (*ALWAYS_OUT, "wrong code")])
def test_a_wrong_code_is_counted_both_ways_and_the_sealed_one_leads(
    scene: scenes.Scene, clock: SteppedClock, left_out: tuple[str, ...]
) -> None:
    """Said after the answer and before any mark is seen, so that it cannot hang on being right."""
    session = scene.sealed(**TRIANGLE, left_out=left_out)
    person = Person(9, keen)
    play(scene.notebook, session.id, person, clock, "rest")
    picked = solo_slips.slips(scene.notebook, session.id).sets[0]
    bench.note_deviation(scene.notebook, session.id, 1, "wrong code", "meant the one beside it", picked.serving_id)
    play(scene.notebook, session.id, person, clock, "open")
    with pytest.raises(StateError, match="marks are entered already"):
        bench.note_deviation(scene.notebook, session.id, 1, "wrong code", "meant another", picked.serving_id)
    play(scene.notebook, session.id, person, clock)
    found: Any = findings.findings(scene.notebook, session.id)
    sealed_away = "wrong code" in left_out
    assert found.found[0].entries[0].assessments == (7 if sealed_away else 8)
    assert found.found[0].all_entries[0].assessments == 8
    assert [one.assessments for one in found.found[0].as_meant] == ([] if sealed_away else [7])
    assert [(one.kind, one.leaves) for one in found.context.noted] == [("wrong code", sealed_away)]


def test_a_session_closed_early_wants_the_marks_of_what_was_answered(
    notebook: Any, sealed: Any, clock: SteppedClock
) -> None:
    person = Person(7, keen)
    for _ in range(3 * 6 - 1):
        take(notebook, sealed.id, person, clock, solo.next_step(notebook, sealed.id))
    bench.close(notebook, sealed.id)
    assert [one.place for one in solo.next_step(notebook, sealed.id).due] == [1, 2, 3]
    play(notebook, sealed.id, person, clock)
    entry = findings.findings(notebook, sealed.id).found[0].entries[0]
    assert (entry.correct, entry.assessments) == (3, 3)  # type: ignore[union-attr]


# --- the verdict --------------------------------------------------------------------------------------------------


def test_the_score_is_that_of_the_marks_and_speaks_for_this_nose(
    notebook: Any, sealed: Any, clock: SteppedClock
) -> None:
    person = Person(8, guesser)
    play(notebook, sealed.id, person, clock)
    found = findings.findings(notebook, sealed.id)
    answers = {row.serving_id: row.chosen for row in found.found[0].rows}
    places = {one.id: one for one in bench.servings(notebook, sealed.id)}
    right = sum(chosen == odd(person.orders[places[one].place], places[one].codes) for one, chosen in answers.items())
    entry: Any = found.found[0].entries[0]
    assert (entry.correct, entry.assessments, entry.panelists) == (right, 8, 1)
    assert entry.p_value == pytest.approx(binomtest(right, 8, 1 / 3, alternative="greater").pvalue, rel=1e-9)
    assert entry.speaks_for == "this nose"
    assert found.context.log_holds


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
    assert found.found[0].entries[0].assessments == (7 if sealed_away else 8)
    assert found.found[0].all_entries[0].assessments == 8
    assert [one.assessments for one in found.found[0].unrecognised] == ([] if sealed_away else [7])
    assert [(one.kind, one.leaves) for one in found.context.noted] == [("recognised", sealed_away)]


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
        entry: Any = findings.findings(scene.notebook, session.id).found[0].entries[0]
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
    assert findings.findings(scene.notebook, session.id).context.log_holds


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
