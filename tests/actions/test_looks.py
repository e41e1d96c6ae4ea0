"""Looks of a sequential session through the actions: what enters, what is said, what is written, and who hears of it."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import fields
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import ballot, bench, findings, looks, two_findings
from evaluation.actions.looks import LookStatus
from evaluation.clock import SteppedClock
from evaluation.errors import StateError
from evaluation.judging.sequences import (
    CLOSED_EARLY,
    CONTINUE,
    END_UNDECIDED,
    STOP_NOT_NOTICED,
    STOP_NOTICED,
    STOP_UNDECIDED,
    SequentialEntry,
)
from evaluation.serving.blinding import correct_value, is_null
from evaluation.sessions import ALWAYS_OUT, Question
from evaluation.store import read_body
from tests import scenes
from tests.actions import test_solo as alone

PLAN: dict[str, Any] = {"look_every": 6, "pd": Decimal("0.5"), "left_out": (*ALWAYS_OUT, "overheard")}


class Table:
    """A sequential session that is being smelt, and a hand that answers for anybody as told."""

    def __init__(self, scene: scenes.Scene, **changes: Any) -> None:
        self.notebook = scene.notebook
        self.session = scene.smelling(**(PLAN | changes))
        self.id = self.session.id
        self.orders = dict(scenes.key_of(scene.notebook, self.id).orders)
        self.ballots = {one.seat: one.id for one in scenes.ballots(scene.notebook, self.id)}

    def smell(self, seat: int, right: bool, overheard: str = "no", sets: int = 1) -> None:
        """Answer the next sets of a seat, real and null alike, and what is asked at the end of the ballot."""
        done: list[str] = []
        while (asked := ballot.view(self.notebook, self.ballots[seat]).question) is not None:
            if asked.serving_id and asked.serving_id not in done:
                if len(done) == sets:
                    return
                done.append(asked.serving_id)
            value = overheard if asked.name == "overheard" else self.value(asked, right)
            ballot.lock(self.notebook, self.ballots[seat], asked.serving_id, asked.name, value)

    def all_smell(self, hits: Iterable[bool], first: int = 1) -> None:
        for seat, right in enumerate(hits, start=first):
            self.smell(seat, right)

    def value(self, asked: Question, right: bool) -> str:
        if asked.name != "choice":
            return asked.options[0]
        plan = self.session.plan
        hit = correct_value(plan.method, self.orders[asked.serving_id], asked.codes, plan.expected)
        return hit if right else next(one for one in asked.options if one != hit)

    def serving(self, seat: int) -> str:
        served = bench.servings(self.notebook, self.id)
        return next(one.id for one in served if one.seat == seat and not one.void and not one.spare)

    def status(self) -> LookStatus:
        return looks.status(self.notebook, self.id)

    def written(self) -> list[tuple[int, str]]:
        bodies = [read_body(one) for one in bench.log(self.notebook, self.id) if one.kind == "look"]
        return [(one["assessments"], one["outcome"]) for one in bodies]

    def found(self, close: bool = True) -> SequentialEntry:
        if close:
            bench.close(self.notebook, self.id)
        findings.open_session(self.notebook, self.id)
        entry = findings.findings(self.notebook, self.id).found[0].sequence
        assert entry is not None
        return entry


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=24)


@pytest.fixture
def table(scene: scenes.Scene) -> Table:
    return Table(scene)


HALF = (True, False, True, False, True, False)


# --- what is said ----------------------------------------------------------------------------------------------------


def test_it_goes_on_until_a_look_stops_it(table: Table) -> None:
    assert table.status() == LookStatus(CONTINUE, 0, 6, 24)
    table.all_smell(HALF)
    assert table.status() == LookStatus(CONTINUE, 6, 12, 24)
    table.all_smell([True] * 6, first=7)
    assert table.status() == LookStatus(STOP_NOTICED, 12, None, 24)


def test_between_looks_nothing_changes(table: Table) -> None:
    table.all_smell([True] * 5)
    assert table.status() == LookStatus(CONTINUE, 0, 6, 24)
    table.smell(6, True)
    assert table.status().state == STOP_NOTICED


def test_few_right_answers_stop_it_too(table: Table) -> None:
    table.all_smell([True, *[False] * 5])
    table.all_smell([True, *[False] * 5], first=7)
    assert table.status() == LookStatus(STOP_NOT_NOTICED, 12, None, 24)
    assert table.found().verdict == "not noticed"


def test_the_last_look_ends_it_undecided(table: Table) -> None:
    table.all_smell(HALF * 4)
    assert table.status() == LookStatus(END_UNDECIDED, 24, None, 24)


def test_none_right_of_twelve_is_a_matter_for_the_key(scene: scenes.Scene) -> None:
    table = Table(scene, look_every=12)
    table.all_smell([False] * 12)
    assert table.status().state == STOP_UNDECIDED
    assert table.found().reason == "check the key"


def test_the_status_holds_no_count_of_right_answers(table: Table) -> None:
    """Two sessions with different scores and one outcome are told in the same words, in the log too."""
    assert [one.name for one in fields(LookStatus)] == ["state", "assessments", "next_at", "planned_end"]
    other = Table(scenes.scene(table.notebook, people=24))
    table.all_smell(HALF)
    other.all_smell([True, *HALF[:-1]])  # also three, by others
    more = Table(scenes.scene(table.notebook, people=24))
    more.all_smell([True, True, False, False, False, False])
    assert table.status() == other.status() == more.status()
    assert table.written() == other.written() == more.written() == [(6, CONTINUE)]
    bodies = [read_body(one) for one in bench.log(table.notebook, table.id) if one.kind == "look"]
    assert all(one.keys() == {"assessments", "outcome"} for one in bodies)


def test_each_look_is_written_once_whoever_asks(table: Table) -> None:
    for seat, right in enumerate((*HALF, *[True] * 6), start=1):
        table.smell(seat, right)
        table.status()
        table.status()
    assert table.written() == [(6, CONTINUE), (12, STOP_NOTICED)]
    with table.notebook.reading() as tx:
        assert tx.log.verify(table.id)


def test_a_look_does_not_depend_on_when_it_is_asked_for(table: Table) -> None:
    table.all_smell((*HALF, *[True] * 6, *HALF))
    assert table.status() == LookStatus(STOP_NOTICED, 12, None, 24)
    assert table.written() == [(6, CONTINUE), (12, STOP_NOTICED)]


def test_the_panel_hears_nothing(table: Table) -> None:
    """A ballot says the same before and after a stop, and takes answers until the session is closed."""
    before = ballot.view(table.notebook, table.ballots[7])
    table.all_smell([True] * 6)
    assert table.status().state == STOP_NOTICED
    assert ballot.view(table.notebook, table.ballots[7]) == before
    table.smell(7, True)
    assert ballot.view(table.notebook, table.ballots[7]).question is None


@pytest.mark.parametrize("changes", [{"look_every": 0}])
def test_only_sequential_sessions_have_looks(scene: scenes.Scene, changes: dict[str, Any]) -> None:
    with pytest.raises(StateError, match="judged once"):
        Table(scene, **changes).status()


def test_no_look_before_sealing_nor_after_opening(scene: scenes.Scene) -> None:
    from evaluation.actions import plan

    draft = plan.add_draft(scene.notebook, scene.plan(**PLAN))
    with pytest.raises(StateError, match="draft"):
        looks.status(scene.notebook, draft.id)
    sealed = scene.sealed(**PLAN)
    assert looks.status(scene.notebook, sealed.id) == LookStatus(CONTINUE, 0, 6, 24)
    table = Table(scene)
    table.all_smell([True] * 6)
    table.found()
    with pytest.raises(StateError, match="opened"):
        table.status()


# --- what enters -----------------------------------------------------------------------------------------------------


def test_a_set_put_aside_before_its_look_is_replaced_by_the_spare(table: Table) -> None:
    table.all_smell(HALF[:5])
    bench.void_serving(table.notebook, table.id, table.serving(1), "fell on the floor")
    table.smell(6, True)
    assert table.status().assessments == 0, "five answers count so far"
    table.smell(1, True)
    assert table.status() == LookStatus(CONTINUE, 6, 12, 24)


def test_a_set_put_aside_after_its_look_stays_and_its_spare_enters_none(table: Table) -> None:
    table.all_smell(HALF)
    bench.void_serving(table.notebook, table.id, table.serving(1), "noticed too late")
    table.all_smell(HALF[:5], first=7)
    table.smell(1, True)
    assert table.status() == LookStatus(CONTINUE, 6, 12, 24), "the spare is no twelfth answer"
    table.smell(12, True)
    assert table.status().assessments == 12
    assert table.found().late == 1


@pytest.mark.parametrize("whole_seat", [True, False])
def test_what_is_set_apart_before_its_look_does_not_enter(table: Table, whole_seat: bool) -> None:
    table.all_smell([True] * 5)
    serving = "" if whole_seat else table.serving(1)
    bench.note_deviation(table.notebook, table.id, 1, "wrong strip", "two trays changed places", serving)
    table.smell(6, True)
    assert table.status().assessments == 0
    table.smell(7, False)
    assert table.status().assessments == 6
    assert table.found().correct == 5


def test_what_is_set_apart_after_its_look_stays(table: Table) -> None:
    table.all_smell([True] * 6)
    assert table.status().state == STOP_NOTICED
    bench.note_deviation(table.notebook, table.id, 1, "wrong strip", "seen afterwards")
    entry = table.found()
    assert (entry.verdict, entry.correct, entry.late) == ("noticed", 6, 1)
    assert [one.leaves for one in findings.findings(table.notebook, table.id).context.noted] == [False]


def test_what_was_set_apart_in_time_is_told_as_left_out(table: Table) -> None:
    bench.note_deviation(table.notebook, table.id, 1, "wrong strip", "two trays changed places")
    table.all_smell([True] * 7)
    assert table.found().late == 0
    assert [one.leaves for one in findings.findings(table.notebook, table.id).context.noted] == [True]


def test_who_says_at_the_end_of_the_ballot_that_answers_were_heard_does_not_enter(table: Table) -> None:
    table.all_smell([True] * 5)
    table.smell(6, True, overheard="yes")
    assert table.status().assessments == 0
    table.smell(7, True)
    assert table.status().state == STOP_NOTICED


def test_a_deviation_the_plan_does_not_leave_out_changes_nothing(table: Table) -> None:
    bench.note_deviation(table.notebook, table.id, 1, "late", "came at six minutes")
    table.all_smell([True] * 6)
    assert table.status().state == STOP_NOTICED
    assert table.found().late == 0


def test_null_sets_enter_no_look(scene: scenes.Scene) -> None:
    table = Table(scene, null_sets=1)
    real = {one for one, order in table.orders.items() if not is_null(order)}
    for seat, right in enumerate(HALF, start=1):
        table.smell(seat, right, sets=2)
    assert table.status() == LookStatus(CONTINUE, 6, 12, 24)
    assert table.found().correct == 3
    found = findings.findings(table.notebook, table.id)
    assert {one.serving_id for one in found.found[0].rows} <= real
    assert len(found.found[0].rows) == len(found.found[0].null_rows) == 6


def test_a_spare_set_served_for_a_spoilt_null_set_enters_no_look(scene: scenes.Scene) -> None:
    """Spare sets hold both trials: one person would enter twice, and "not noticed" needs one answer per person."""
    table = Table(scene, null_sets=1)
    served = bench.servings(table.notebook, table.id)
    spoilt = next(one for one in served if one.seat == 1 and is_null(table.orders[one.id]))
    bench.void_serving(table.notebook, table.id, spoilt.id, "the vials were mixed up")
    for seat, right in enumerate(HALF[:5], start=1):
        table.smell(seat, right, sets=2)
    assert table.status() == LookStatus(CONTINUE, 0, 6, 24)
    table.smell(6, False, sets=2)
    assert table.status() == LookStatus(CONTINUE, 6, 12, 24)
    assert table.found().assessments == len(findings.findings(table.notebook, table.id).found[0].rows) == 6


def test_answers_after_the_stopping_look_do_not_enter_the_verdict(table: Table) -> None:
    table.all_smell([True] * 6)
    table.all_smell([False] * 10, first=7)
    entry = table.found()
    assert (entry.verdict, entry.correct, entry.assessments, entry.after) == ("noticed", 6, 6, 10)
    found = findings.findings(table.notebook, table.id)
    assert sum(row.counted for row in found.found[0].rows) == 6
    assert found.found[0].losses[0].left_out == (("after the last look", 10),)


def test_no_verdict_of_a_fixed_number_is_made(table: Table) -> None:
    table.all_smell([True] * 6)
    table.found()
    found = findings.findings(table.notebook, table.id)
    assert (
        found.found[0].entries == found.found[0].all_entries == found.found[0].opinions == found.found[0].panels == ()
    )


# --- closing ---------------------------------------------------------------------------------------------------------


def test_closing_looks_at_what_came_in_as_the_end(table: Table) -> None:
    """6 of 9 right: between Wald's lines, and enough for what is left of alpha at a last look (exact, by the plan)."""
    from evaluation.statistics import sequential_plan

    table.all_smell((*HALF, True, True, True))
    assert table.status() == LookStatus(CONTINUE, 6, 12, 24)
    end = sequential_plan("triangle", 0.05, 0.05, 0.5, looks=[6, 9])
    bench.close(table.notebook, table.id)
    said = {"noticed": STOP_NOTICED, "not noticed": STOP_NOT_NOTICED, "undecided": END_UNDECIDED}[end.says(6, 9)]
    assert table.status() == LookStatus(said, 9, None, 9)
    assert table.written() == [(6, CONTINUE), (9, said)]
    entry = table.found(close=False)
    assert (entry.assessments, entry.correct, entry.alpha_exact) == (9, 6, end.alpha_exact)


def test_closing_between_two_looks_with_nothing_new_looks_at_the_same_as_the_end(table: Table) -> None:
    table.all_smell(HALF)
    table.status()
    bench.close(table.notebook, table.id)
    assert table.status() == LookStatus(END_UNDECIDED, 6, None, 6)
    entry = table.found(close=False)
    assert (entry.verdict, entry.assessments, len(entry.limits)) == ("undecided", 6, 1)


def test_a_session_without_answers_is_undecided(table: Table) -> None:
    entry = table.found()
    assert (entry.verdict, entry.reason, entry.looks) == ("undecided", "no answers", ())


def test_opening_gives_the_same_verdict_where_nobody_looked_before(table: Table) -> None:
    table.all_smell((*HALF, *[True] * 6))
    entry = table.found()
    assert table.written() == []
    assert [look.outcome for look in entry.looks] == [CONTINUE, STOP_NOTICED]


# --- several answers per person, and alone --------------------------------------------------------------------------


def test_a_panel_with_several_answers_each_never_stops_as_not_noticed(notebook: Any) -> None:
    table = Table(scenes.scene(notebook, people=6), replicates=4)
    for _ in range(2):
        for seat in range(1, 7):
            table.smell(seat, right=seat == 1)
    assert table.status() == LookStatus(STOP_UNDECIDED, 12, None, 24)
    entry = table.found()
    assert (entry.verdict, entry.reason, entry.speaks_for) == ("undecided", "several answers per person", "this panel")


SOLO: dict[str, Any] = {"solo": True, "replicates": 16, "look_every": 4, "pd": Decimal("0.5")}


def played(notebook: Any, nose: Callable[..., str], clock: SteppedClock, **changes: Any) -> tuple[str, alone.Person]:
    session = scenes.scene(notebook, people=1).sealed(**(SOLO | changes))
    return session.id, alone.Person(3, nose)


def test_alone_a_sitting_is_looked_at_once_its_marks_are_entered(notebook: Any, clock: SteppedClock) -> None:
    session_id, person = played(notebook, alone.keen, clock)
    alone.play(notebook, session_id, person, clock, until="marks")
    assert looks.status(notebook, session_id) == LookStatus(CONTINUE, 0, 4, 16)
    alone.take(notebook, session_id, person, clock, alone.solo.next_step(notebook, session_id))
    assert looks.status(notebook, session_id).assessments == 4


def test_alone_a_keen_nose_is_noticed_for_itself(notebook: Any, clock: SteppedClock) -> None:
    session_id, person = played(notebook, alone.keen, clock)
    alone.play(notebook, session_id, person, clock)
    entry = findings.findings(notebook, session_id).found[0].sequence
    assert entry is not None
    assert (entry.verdict, entry.speaks_for, entry.beta_exact is None) == ("noticed", "this nose", False)
    assert entry.correct == entry.assessments < 16


def test_alone_recognised_sets_make_the_sitting_and_the_end_smaller(notebook: Any, clock: SteppedClock) -> None:
    """One set of the first sitting is told by touch and sealed to be left out: three are looked at, the end is at 15."""
    session_id, person = played(notebook, alone.guesser, clock, left_out=(*ALWAYS_OUT, "recognised"))
    person.said = "yes"
    alone.play(notebook, session_id, person, clock, until="put away")
    person.said = "no"
    alone.play(notebook, session_id, person, clock, until="marks")
    alone.take(notebook, session_id, person, clock, alone.solo.next_step(notebook, session_id))
    now = looks.status(notebook, session_id)
    assert (now.assessments, now.planned_end) == (3, 15)


def test_alone_a_wrong_strip_stays_in_its_look_and_is_counted_both_ways(notebook: Any, clock: SteppedClock) -> None:
    """Limits of the plan: noticed from 7 of 8, from 9 of 12. 4 of 4, then 2 of 4 and a wrong strip, are not enough; it
    is told apart among the losses, and no answer of anybody's."""

    def wanted(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
        hit = alone.odd(order, codes)
        return next(one for one in codes if one != hit) if len(person.orders) == 8 else hit

    session_id, person = played(notebook, wanted, clock)
    alone.play(notebook, session_id, person, clock, until="marks")
    alone.take(notebook, session_id, person, clock, alone.solo.next_step(notebook, session_id))
    alone.play(notebook, session_id, person, clock, until="marks")
    person.orders[5] = "AAA"
    alone.take(notebook, session_id, person, clock, alone.solo.next_step(notebook, session_id))
    assert looks.status(notebook, session_id) == LookStatus(CONTINUE, 8, 12, 16)
    alone.play(notebook, session_id, person, clock)
    found = findings.findings(notebook, session_id)
    entry = found.found[0].sequence
    assert entry is not None
    assert (entry.verdict, entry.correct, entry.assessments, entry.wrong_strips) == ("noticed", 10, 12, 1)
    assert entry.looks[1].wrong_strips == 1
    assert found.found[0].losses[0].left_out == (("wrong strip", 1),)
    with notebook.reading() as tx:
        assert len(two_findings.rows_that_count(tx, session_id)) == 11
    assert [(one.kind, one.leaves) for one in found.context.noted] == [("wrong strip", True)]


def test_alone_closing_early_gives_no_extra_look(notebook: Any, clock: SteppedClock) -> None:
    """Whoever enters the marks knows the score: an end chosen by it would not keep alpha."""

    def half(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
        hit = alone.odd(order, codes)
        person.orders_seen = getattr(person, "orders_seen", 0) + 1  # type: ignore[attr-defined]
        return hit if person.orders_seen % 2 else next(one for one in codes if one != hit)  # type: ignore[attr-defined]

    session_id, person = played(notebook, half, clock)
    alone.play(notebook, session_id, person, clock, until="marks")
    alone.take(notebook, session_id, person, clock, alone.solo.next_step(notebook, session_id))
    assert looks.status(notebook, session_id) == LookStatus(CONTINUE, 4, 8, 16)
    bench.close(notebook, session_id)
    assert looks.status(notebook, session_id).state == END_UNDECIDED
    findings.open_session(notebook, session_id)
    entry = findings.findings(notebook, session_id).found[0].sequence
    assert entry is not None
    assert (entry.verdict, entry.reason, entry.assessments) == ("undecided", CLOSED_EARLY, 4)


# --- the whole procedure ---------------------------------------------------------------------------------------------


def ending(notebook: Any, proportion: float, chance: random.Random, **changes: Any) -> SequentialEntry:
    """One session played as the bench would: people come in any order, and smelling ends when a look says so."""
    table = Table(scenes.scene(notebook, people=24), **changes)
    seats = list(table.ballots)
    chance.shuffle(seats)
    for seat in seats:
        table.smell(seat, chance.random() < proportion)
        if table.status().state != CONTINUE:
            break
    return table.found()


def test_a_few_sessions_played_to_their_end_stop_as_they_should(notebook: Any) -> None:
    """Planted faults would show: everybody right is noticed at the first look, everybody wrong never is."""
    chance = random.Random(11)
    sure = ending(notebook, 1.0, chance)
    assert (sure.verdict, sure.assessments) == ("noticed", 6)
    never = ending(notebook, 0.0, chance)
    assert never.verdict != "noticed"
    assert never.assessments < 24
