"""A set begins with a tap: asked back where its strips are not of their age, written down, and judged by the same."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluation.actions import ballot, bench, findings, live, paper
from evaluation.actions import timetable as planning
from evaluation.actions.ages import real_ages
from evaluation.actions.begins import Begin, begun_sets
from evaluation.actions.timetable import Settings
from evaluation.clock import SteppedClock
from evaluation.errors import StateError
from evaluation.serving.dipping import UNKNOWN, Revision
from evaluation.sessions import ALWAYS_OUT, EARLY, LATE, Session, StripAge
from evaluation.sheets import printing as sheets
from evaluation.store import Notebook, read_body
from evaluation.values.descriptors import Descriptor
from tests.scenes import Scene, ages, ballots, first_option, scene

MINUTE = 60_000
LATER = {"ages": (StripAge(300, 30), StripAge(3600, 360), StripAge(4 * 3600, 24 * 60)), "primary": 300}


@pytest.fixture
def made(notebook: Notebook) -> Scene:
    return scene(notebook, people=3)


def first_ballot(made: Scene, session: Session) -> str:
    return str(ballots(made.notebook, session.id)[0].id)


def coming(made: Scene, ballot_id: str) -> str:
    question = ballot.view(made.notebook, ballot_id).question
    assert question is not None
    return question.serving_id


def dipped(made: Scene, serving_id: str, ago: int = 0) -> None:
    """Its strips are done now, or were so many milliseconds ago."""
    with made.notebook.writing() as tx:
        tx.live.dip(serving_id, made.notebook.clock.now() - ago)


def answered(made: Scene, ballot_id: str) -> None:
    view = ballot.view(made.notebook, ballot_id)
    serving_id = view.screen[0].serving_id
    while view.screen and view.screen[0].serving_id == serving_id:
        ballot.lock_screen(made.notebook, ballot_id, serving_id, {q.name: first_option(q) for q in view.screen})
        view = ballot.view(made.notebook, ballot_id)


def noted(made: Scene, session: Session) -> list[tuple[str, str]]:
    with made.notebook.reading() as tx:
        return [(one.kind, one.reason) for one in tx.sittings.deviations(session.id)]


def begins_of(made: Scene, session: Session) -> dict[str, Begin]:
    with made.notebook.reading() as tx:
        return begun_sets(tx, session.id)


def opened(made: Scene, session: Session) -> Any:
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    return real_ages(made.notebook, session.id)


# --- asking back ------------------------------------------------------------------------------------------------------


def test_too_young_is_asked_once_and_goes_on_as_early(made: Scene) -> None:
    """What was called "late": the four-hour strip at seventy minutes, with one tap."""
    session = made.smelling(**LATER, replicates=1)
    mine = first_ballot(made, session)
    for _ in range(2):
        answered(made, mine)
    serving_id = coming(made, mine)
    dipped(made, serving_id, ago=70 * MINUTE)
    view = ballot.view(made.notebook, mine)
    assert view.age is not None
    assert (view.begun, view.age.word) == (False, EARLY)
    assert ballot.begin(made.notebook, mine, serving_id) == EARLY
    assert begins_of(made, session) == {}, "a first tap writes nothing"
    assert ballot.begin(made.notebook, mine, serving_id, EARLY) == ""
    assert ballot.begin(made.notebook, mine, serving_id) == "", "asked once, never again"
    view = ballot.view(made.notebook, mine)
    assert view.age is not None
    assert (view.begun, view.age.word) == (True, EARLY)
    answered(made, mine)
    assert noted(made, session) == [(EARLY, "smelt at 1 h 10 min instead of 4 h ± 24 min, after being asked")]
    found = opened(made, session)
    assert (found.early, found.late, found.asked, found.unknown) == (1, 0, 1, 2)
    (own,) = found.sets
    assert (own.word, own.real // MINUTE, own.planned) == (EARLY, 70, 4 * 3600)


def test_too_old_is_asked_and_late(made: Scene) -> None:
    session = made.smelling(ages=ages(5), primary=300)
    mine = first_ballot(made, session)
    dipped(made, coming(made, mine), ago=9 * MINUTE)
    assert ballot.begin(made.notebook, mine, coming(made, mine)) == LATE
    assert ballot.begin(made.notebook, mine, coming(made, mine), LATE) == ""
    answered(made, mine)
    assert noted(made, session) == [(LATE, "smelt at 9 min 7 s instead of 5 min ± 30 s, after being asked")]


def test_no_dip_tapped_is_asked_once_a_set_and_counted(made: Scene) -> None:
    """It was locked without a word, under "5 minutes after dipping"."""
    session = made.smelling(ages=ages(5), primary=300, replicates=2)
    mine = first_ballot(made, session)
    for _ in range(2):
        serving_id = coming(made, mine)
        assert ballot.begin(made.notebook, mine, serving_id) == UNKNOWN
        assert ballot.begin(made.notebook, mine, serving_id, UNKNOWN) == ""
        questions = 0
        while coming(made, mine) == serving_id:
            view = ballot.view(made.notebook, mine)
            assert view.age is not None
            assert (view.begun, view.age.word, view.age.real) == (True, UNKNOWN, None)
            (asked,) = view.screen
            ballot.lock(made.notebook, mine, serving_id, asked.name, first_option(asked))
            questions += 1
        assert questions == 2, "which one, and how sure: asked back before the first only"
    assert noted(made, session) == [], "not known is not early or late"
    found = opened(made, session)
    assert (found.sets, found.unknown) == ((), 2)


def test_on_time_nothing_is_asked_and_the_real_age_is_that_of_the_tap(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(ages=ages(5), primary=300)
    mine = first_ballot(made, session)
    dipped(made, coming(made, mine), ago=5 * MINUTE - 7_500)
    assert ballot.begin(made.notebook, mine, coming(made, mine)) == ""
    clock.forward(minutes=4)  # three strips with a minute between, and a slow answer
    answered(made, mine)
    assert noted(made, session) == []
    (own,) = opened(made, session).sets
    assert (own.word, own.real // 1000) == ("", 300), "when the first strip was smelt, not when the answer came"


def test_the_tap_is_a_fact_of_the_log(made: Scene) -> None:
    session = made.smelling(ages=ages(5), primary=300)
    mine = first_ballot(made, session)
    serving_id = coming(made, mine)
    dipped(made, serving_id, ago=8 * MINUTE)
    ballot.begin(made.notebook, mine, serving_id, LATE)
    others = ballots(made.notebook, session.id)[1].id
    with made.notebook.reading() as tx:
        (record,) = tx.log.of_kind(session.id, "set begun")
        assert tx.log.of_kind(session.id, "set begun", naming=mine) == (record,)
        assert tx.log.of_kind(session.id, "set begun", naming=others) == ()
        assert tx.log.verify(session.id)
    body = read_body(record)
    assert {
        "ballot_id": mine,
        "serving_id": serving_id,
        "seat": 1,
        "planned": 300,
        "asked": LATE,
    }.items() <= body.items()
    assert body["age"] // MINUTE == 8


def test_it_is_asked_anew_only_if_the_judgement_changed_meanwhile(made: Scene, clock: SteppedClock) -> None:
    """The phone slept between the question and the tap."""
    session = made.smelling(ages=ages(60), primary=3600)
    mine = first_ballot(made, session)
    serving_id = coming(made, mine)
    assert ballot.begin(made.notebook, mine, serving_id) == UNKNOWN
    dipped(made, serving_id)
    assert ballot.begin(made.notebook, mine, serving_id, UNKNOWN) == EARLY, "they were dipped a moment ago"
    clock.forward(minutes=30)
    assert ballot.view(made.notebook, mine).age.word == EARLY  # type: ignore[union-attr]
    clock.forward(minutes=60)
    assert ballot.begin(made.notebook, mine, serving_id, EARLY) == LATE
    assert ballot.begin(made.notebook, mine, serving_id, LATE) == ""


def test_what_was_asked_as_early_is_simply_begun_once_it_is_time(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(ages=ages(60), primary=3600)
    mine = first_ballot(made, session)
    dipped(made, coming(made, mine), ago=10 * MINUTE)
    assert ballot.begin(made.notebook, mine, coming(made, mine)) == EARLY
    clock.forward(minutes=50)
    assert ballot.begin(made.notebook, mine, coming(made, mine), EARLY) == ""
    assert [one.asked for one in begins_of(made, session).values()] == [""]


def test_nobody_is_kept_from_answering_and_then_the_first_answer_tells_the_age(made: Scene) -> None:
    session = made.smelling(ages=ages(5), primary=300)
    mine = first_ballot(made, session)
    dipped(made, coming(made, mine), ago=20 * MINUTE)
    answered(made, mine)
    assert noted(made, session) == [(LATE, "smelt at 20 min instead of 5 min ± 30 s")]


def test_only_the_set_that_comes_next_of_a_running_session_begins(made: Scene) -> None:
    session = made.sealed(ages=ages(5), primary=300, replicates=2)
    mine = first_ballot(made, session)
    mine_served = [one for one in bench.servings(made.notebook, session.id) if one.seat == 1 and not one.spare]
    with pytest.raises(StateError, match="only while the session is running"):
        ballot.begin(made.notebook, mine, mine_served[0].id)
    bench.start(made.notebook, session.id)
    other = next(one.id for one in mine_served if one.id != coming(made, mine))
    with pytest.raises(StateError, match="Another question comes first"):
        ballot.begin(made.notebook, mine, other)
    assert begins_of(made, session) == {}


def test_strips_smelt_again_are_asked_about_at_each_age(made: Scene, clock: SteppedClock) -> None:
    """One dip, two ages: on time at the first, early at the second."""
    session = made.smelling(
        method="profile",
        resmell=True,
        ages=(StripAge(300, 30), StripAge(3600, 360)),
        primary=None,
        descriptors=(Descriptor("sweet", "category"),),
        asks_strength=False,
    )
    mine = first_ballot(made, session)
    first = coming(made, mine)
    served = {one.id: one for one in bench.servings(made.notebook, session.id)}
    for one in (served[first], *(s for s in served.values() if s.seat == 1 and s.codes != served[first].codes)):
        if one.age_seconds == 300:
            dipped(made, one.id, ago=5 * MINUTE)
    assert ballot.begin(made.notebook, mine, first) == ""
    answered(made, mine)
    answered(made, mine)
    again = coming(made, mine)
    assert served[again].age_seconds == 3600
    assert ballot.begin(made.notebook, mine, again) == EARLY
    assert ballot.begin(made.notebook, mine, again, EARLY) == ""


def test_a_warm_up_strip_is_never_asked_about(made: Scene) -> None:
    session = made.smelling(method="profile", warm_up=True, ages=ages(5), primary=300)
    mine = first_ballot(made, session)
    view = ballot.view(made.notebook, mine)
    assert view.warm_up
    assert view.age is not None
    assert view.age.word == ""
    assert ballot.begin(made.notebook, mine, coming(made, mine)) == ""
    assert begins_of(made, session) == {}


def test_a_spare_set_is_judged_by_its_own_dip(made: Scene) -> None:
    session = made.smelling(ages=ages(5), primary=300)
    mine = first_ballot(made, session)
    spoilt = coming(made, mine)
    dipped(made, spoilt, ago=5 * MINUTE)
    bench.void_serving(made.notebook, session.id, spoilt, "fell on the floor")
    assert coming(made, mine) != spoilt
    assert ballot.begin(made.notebook, mine, coming(made, mine)) == UNKNOWN
    dipped(made, coming(made, mine), ago=5 * MINUTE)
    assert ballot.begin(made.notebook, mine, coming(made, mine), UNKNOWN) == ""


def test_null_sets_are_asked_about_like_any_other(made: Scene) -> None:
    session = made.smelling(ages=ages(5), primary=300, null_sets=1)
    mine = first_ballot(made, session)
    for _ in range(2):
        assert ballot.begin(made.notebook, mine, coming(made, mine)) == UNKNOWN
        ballot.begin(made.notebook, mine, coming(made, mine), UNKNOWN)
        answered(made, mine)


def test_a_set_half_answered_is_not_displaced_and_one_begun_stays_in_hand(made: Scene, clock: SteppedClock) -> None:
    """What is in somebody's hands is asked about, whatever the timetable calls meanwhile."""
    session = made.smelling(**LATER)
    planned = planning.make(made.notebook, session.id, Settings(clock.now() + MINUTE))
    assert isinstance(planned, Revision)
    mine = first_ballot(made, session)
    begun = coming(made, mine)
    assert ballot.begin(made.notebook, mine, begun, UNKNOWN) == ""
    clock.forward(minutes=30)
    live.flow(made.notebook, session.id, "changed", {"preparers": 2})
    assert coming(made, mine) == begun
    here = live.board(made.notebook, session.id)
    assert here is not None
    assert begun not in {one.serving_id for one in here.calls}, "the bench calls nobody who smells already"


def test_what_is_typed_from_paper_is_judged_as_before(made: Scene, clock: SteppedClock) -> None:
    """A card tells its own minute; a tap on the phone does not change that, nor asks anything."""
    session = made.smelling(ages=ages(5), primary=300, zone="UTC")
    mine = first_ballot(made, session)
    dipped(made, coming(made, mine), ago=20 * MINUTE)
    (card,) = [one for one in paper.cards(made.notebook, session.id) if one.serving_id == coming(made, mine)]
    paper.enter(made.notebook, session.id, card.label, f"{card.codes[0]} 1")
    assert noted(made, session) == []
    assert opened(made, session).unknown == 1


# --- rules that were sealed -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sealed", "apart"),
    [
        ((*ALWAYS_OUT, LATE), (*ALWAYS_OUT, EARLY, LATE)),  # sealed before there were two words: it meant both
        ((*ALWAYS_OUT, EARLY, LATE), (*ALWAYS_OUT, EARLY, LATE)),
        (ALWAYS_OUT, ALWAYS_OUT),
    ],
)
def test_an_early_set_leaves_the_analysis_where_the_sealed_rule_says_so(
    made: Scene, sealed: tuple[str, ...], apart: tuple[str, ...]
) -> None:
    session = made.smelling(ages=(StripAge(3600, 360),), primary=3600, left_out=sealed)
    assert session.plan.left_out == sealed, "the sealed words stay as they are"
    assert session.plan.set_apart == apart
    mine = first_ballot(made, session)
    dipped(made, coming(made, mine), ago=10 * MINUTE)
    ballot.begin(made.notebook, mine, coming(made, mine), EARLY)
    answered(made, mine)
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    found = findings.findings(made.notebook, session.id)
    assert found.found[0].losses[0].left_out == (((EARLY, 1),) if EARLY in apart else ())
    assert [(one.kind, one.leaves) for one in found.context.noted] == [(EARLY, EARLY in apart)]


def test_a_correction_judges_from_the_tap_and_calls_early_what_is_early(made: Scene) -> None:
    session = made.smelling(ages=(StripAge(3600, 360),), primary=3600)
    planned = planning.make(made.notebook, session.id, Settings(made.notebook.clock.now()))
    assert isinstance(planned, Revision)
    mine = first_ballot(made, session)
    serving_id = coming(made, mine)
    dipped(made, serving_id, ago=60 * MINUTE)
    assert ballot.begin(made.notebook, mine, serving_id) == ""
    answered(made, mine)
    at = made.notebook.clock.now()
    live.correct(made.notebook, session.id, serving_id, at - 20 * MINUTE, "tapped on the wrong set")
    assert [kind for kind, _ in noted(made, session)] == [EARLY]


# --- one clock --------------------------------------------------------------------------------------------------------


def both_say(made: Scene, session: Session) -> dict[str, tuple[int, int | None]]:
    """For the next set of everybody: when the bench calls, and when the phone does."""
    here = live.board(made.notebook, session.id)
    assert here is not None
    called = {one.serving_id: one.at for one in here.calls}
    views = [ballot.view(made.notebook, one.id) for one in ballots(made.notebook, session.id)[:3]]
    asked = {v.question.serving_id: v.smell_at for v in views if v.question is not None and v.question.serving_id}
    return {one: (called[one], at) for one, at in asked.items()}


@settings(max_examples=8)
@given(st.lists(st.integers(-25_000, 240_000), min_size=9, max_size=9), st.sampled_from((10, 30, 60)))
def test_phone_and_bench_say_the_same_instant_whenever_strips_are_dipped(offs: list[int], percent: int) -> None:
    clock = SteppedClock(step=1)
    notebook = Notebook.open(None, clock)
    made = scene(notebook, people=3)
    planned_for = tuple(StripAge(60 * m, max(5, 60 * m * percent // 100)) for m in (2, 10, 20))
    session = made.smelling(ages=planned_for, primary=120)
    first = planning.make(notebook, session.id, Settings(clock.now() + MINUTE))
    assert isinstance(first, Revision), first
    for off in offs:
        here = live.board(notebook, session.id)
        assert here is not None
        clock.instant = max(clock.instant, here.dips[0].at + 15_000 + off)
        live.dipped(notebook, session.id, here.dips[0].serving_id)
        said = both_say(made, session)
        assert said
        assert all(bench_says == phone_says for bench_says, phone_says in said.values()), said
    notebook.close()


def test_a_dip_fifteen_seconds_late_moves_phone_bench_sheets_and_calendar_alike(
    made: Scene, clock: SteppedClock
) -> None:
    """Phone and bench called the same person 9 s apart, at a tolerance of 6 s."""
    pair = {"method": "2-afc", "replicates": 4}
    session = made.smelling(**pair, ages=ages(1), primary=60)
    planned = planning.make(made.notebook, session.id, Settings(clock.now() + MINUTE))
    assert isinstance(planned, Revision)
    first = live.board(made.notebook, session.id).dips[0]  # type: ignore[union-attr]
    mine = ballots(made.notebook, session.id)[first.seat - 1].id
    before = both_say(made, session)[first.serving_id]
    clock.instant = first.at + 10_000 + 15_000  # two strips of 5 s, done 15 s late
    live.dipped(made.notebook, session.id, first.serving_id)
    dip = clock.instant
    after = both_say(made, session)[first.serving_id]
    assert after[0] == after[1]
    assert after[0] - before[0] > 9_000
    assert abs(after[0] - (dip + 60_000 - 5_000)) <= 1_000, "one minute after the middle of the real dip"
    with made.notebook.reading() as tx:
        session = tx.sittings.session(session.id)
    timing = sheets.timing_of(made.notebook, session)
    assert timing is not None
    on_paper = timing.start + 1000 * timing.lines[first.serving_id].smell_from
    assert 0 <= after[0] - on_paper < 1_000, "sheets and calendar tell whole seconds"
    clock.instant = after[0]
    assert ballot.begin(made.notebook, mine, first.serving_id) == "", "whoever begins when called is on time"
