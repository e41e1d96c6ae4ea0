"""Timetable and live bench through their verbs: planned, dipped, called, smelt late, planned anew."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from evaluation.actions import ballot, bench, findings, live, paper, sitting
from evaluation.actions import timetable as planning
from evaluation.actions.ages import TrialAges, real_ages
from evaluation.actions.timetable import Settings
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError, StillBlind
from evaluation.serving.dipping import Revision
from evaluation.sessions import ALWAYS_OUT, Session, StripAge
from evaluation.store import Notebook
from evaluation.timetable import NoFit, breaks
from tests.scenes import Scene, ages, ballots, first_option, scene

THREE = {"ages": ages(5, 10, 20), "primary": 300}


@pytest.fixture
def made(notebook: Notebook) -> Scene:
    return scene(notebook, people=3)


def planned(made: Scene, session: Session, **changes: Any) -> Revision:
    found = planning.make(made.notebook, session.id, Settings(made.notebook.clock.now() + 60_000, **changes))
    assert isinstance(found, Revision)
    return found


def looked(made: Scene, session_id: str) -> live.Board:
    found = live.board(made.notebook, session_id)
    assert found is not None
    return found


def answered(made: Scene, ballot_id: str) -> None:
    """Every question of the set that comes next."""
    view = ballot.view(made.notebook, ballot_id)
    serving_id = view.screen[0].serving_id
    while view.screen and view.screen[0].serving_id == serving_id:
        values = {q.name: first_option(q) for q in view.screen}
        ballot.lock_screen(made.notebook, ballot_id, serving_id, values)
        view = ballot.view(made.notebook, ballot_id)


def late_notes(made: Scene, session_id: str) -> list[tuple[int, str]]:
    with made.notebook.reading() as tx:
        return [(one.seat, one.reason) for one in tx.sittings.deviations(session_id) if one.kind == "late"]


def first_to_smell(made: Scene, session_id: str) -> live.ToDip:
    """The dip of the set that is smelt first; older strips are dipped before it."""
    here = looked(made, session_id)
    return next(one for one in here.dips if one.serving_id == here.calls[0].serving_id)


# --- planning ----------------------------------------------------------------------------------------------------------


def test_the_plan_of_a_sealed_session_breaks_nothing_and_names_nobody(made: Scene) -> None:
    session = made.sealed(**THREE)
    body = planned(made, session).body
    with made.notebook.reading() as tx:
        names, served = sitting.aliases(tx, session.id), tx.sittings.servings(session.id)
        written = str(tx.live.timetables(session.id))
    wanted = planning.wanted_sets(session.plan, served, {seat: str(seat) for seat in names})
    people = planning.people_of(body, {seat: str(seat) for seat in names})
    assert len(wanted) == 9
    assert breaks(planning.timetable_of(body), wanted, people, planning.bench_of(body)) == ()
    assert "Nose" not in written


def test_what_does_not_fit_is_told_with_a_way_out_and_not_kept(made: Scene) -> None:
    session = made.sealed(**THREE)
    start = made.notebook.clock.now()
    found = planning.make(made.notebook, session.id, Settings(start, latest_end=start + 15 * 60_000))
    assert isinstance(found, NoFit)
    assert "would do" in found.sentence
    assert live.board(made.notebook, session.id) is None


def test_next_day_strips_need_a_keeper(made: Scene) -> None:
    session = made.sealed(ages=(StripAge(300, 30), StripAge(86_400, 3600)), primary=300)
    with pytest.raises(ArgumentError, match="open, and in which room"):
        planned(made, session)
    planned(made, session, keeper="Nose 3, open rack, cool room")
    assert looked(made, session.id).keeper == "Nose 3, open rack, cool room"


def test_local_times_that_do_not_exist_or_come_twice() -> None:
    # Central European clocks went from 02:00 to 03:00 on 30 March 2025 and from 03:00 back to 02:00 on 26 October 2025
    # (Directive 2000/84/EC: last Sundays of March and October, at 01:00 UTC).
    assert planning.instants(datetime(2025, 3, 30, 2, 30), "Europe/Paris") == ()
    twice = planning.instants(datetime(2025, 10, 26, 2, 30), "Europe/Paris")
    assert len(twice) == 2
    assert twice[1] - twice[0] == 3_600_000
    assert planning.instants(datetime(1970, 1, 1, 2, 0), "UTC") == (7_200_000,)


def test_strips_smelt_again_are_dipped_once_and_a_warm_up_strip_waits_for_nothing(made: Scene) -> None:
    session = made.smelling(method="profile", resmell=True, warm_up=True, ages=ages(5, 15), primary=300)
    planned(made, session)
    here = looked(made, session.id)
    assert len(here.calls) == 3 * 4
    assert len(here.dips) == 3 * 2
    for seat in (1, 2, 3):
        mine = [one for one in here.calls if one.seat == seat and one.age_seconds == 300]
        assert [one.number for one in mine] == [1, 2]
        view = ballot.view(made.notebook, ballots(made.notebook, session.id)[seat - 1].id)
        assert (view.warm_up, view.smell_at) == (True, None)


# --- live --------------------------------------------------------------------------------------------------------------


def test_a_set_smelt_in_time_is_not_late_and_one_smelt_late_is_kept_and_noted(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(**THREE, left_out=(*ALWAYS_OUT, "late"))
    planned(made, session)
    first = first_to_smell(made, session.id)
    mine = ballots(made.notebook, session.id)[first.seat - 1].id
    clock.instant = first.at + 15_000
    live.dipped(made.notebook, session.id, first.serving_id)
    view = ballot.view(made.notebook, mine)
    assert view.dipped
    assert view.smell_at is not None
    assert abs(view.smell_at - (clock.instant + 300_000 - 7_500)) <= 30_000  # 5 min from the middle of three dips
    clock.instant = view.smell_at + 20_000
    answered(made, mine)
    assert late_notes(made, session.id) == []
    coming = next(one for one in looked(made, session.id).calls if one.seat == first.seat)
    second = next(one for one in looked(made, session.id).dips if one.serving_id == coming.serving_id)
    clock.instant = max(second.at + 15_000, clock.instant)
    live.dipped(made.notebook, session.id, second.serving_id)
    tapped = clock.instant
    age = next(one.age_seconds for one in looked(made, session.id).calls if one.serving_id == second.serving_id)
    assert ballot.view(made.notebook, mine).screen[0].serving_id == second.serving_id
    clock.instant = tapped + (age + 600) * 1000
    answered(made, mine)
    # Three strips of 5 s each: their mean is 7.5 s older than the tap says.
    assert late_notes(made, session.id) == [
        (first.seat, f"smelt at {(age + 607) // 60} min instead of {age // 60} ± {age // 600} min")
    ]
    assert len(ballots(made.notebook, session.id)) == 3  # nothing was refused


def test_when_a_dip_is_late_the_plan_follows_by_itself_and_keeps_what_has_happened(
    made: Scene, clock: SteppedClock
) -> None:
    session = made.smelling(**THREE)
    before = planned(made, session)
    first = looked(made, session.id).dips[0]
    clock.instant = first.at
    assert live.follow(made.notebook, session.id) is None
    clock.instant = first.at + 10 * 60_000
    assert looked(made, session.id).dips[0].late
    after = live.follow(made.notebook, session.id)
    assert isinstance(after, Revision)
    assert (before.number, after.number) == (1, 2)
    here = looked(made, session.id)
    assert here.why == "late"
    assert not any(one.late for one in here.dips)
    assert min(one.at for one in here.dips) >= clock.instant - 1000
    assert live.follow(made.notebook, session.id) is None  # not twice a minute


def test_a_dip_before_the_planned_start_moves_the_start(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(**THREE)
    planned(made, session)
    first = looked(made, session.id).dips[0]
    age = next(one.age_seconds for one in looked(made, session.id).calls if one.serving_id == first.serving_id)
    clock.instant = first.at - 40_000
    live.dipped(made.notebook, session.id, first.serving_id)
    here = looked(made, session.id)
    assert here.start < first.at - 40_000
    call = next(one for one in here.calls if one.serving_id == first.serving_id)
    assert abs(call.at - (clock.instant + 1000 * age)) <= 100 * age


def test_a_correction_needs_a_reason_and_judges_answers_given(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(**THREE)
    planned(made, session)
    first = first_to_smell(made, session.id)
    mine = ballots(made.notebook, session.id)[first.seat - 1].id
    clock.instant = first.at + 15_000
    live.dipped(made.notebook, session.id, first.serving_id)
    tapped = clock.instant
    clock.instant = tapped + 300_000
    answered(made, mine)
    assert late_notes(made, session.id) == []
    with pytest.raises(ArgumentError, match="reason"):
        live.correct(made.notebook, session.id, first.serving_id, tapped - 600_000, " ")
    live.correct(made.notebook, session.id, first.serving_id, tapped - 600_000, "tapped ten minutes late")
    assert late_notes(made, session.id) == [(first.seat, "smelt at 15 min instead of 5 min ± 30 s")]


def _typed(made: Scene, clock: SteppedClock, minutes: int, told: bool = True) -> tuple[Session, live.ToDip]:
    """A set of the youngest age dipped, smelt so many minutes later by its card, and typed in an hour after that."""
    session = made.smelling(**THREE, zone="UTC")
    planned(made, session)
    first = first_to_smell(made, session.id)
    clock.instant = 60_000 * (first.at // 60_000 + 1) + 8_000  # the middle of three dips lies on the minute
    live.dipped(made.notebook, session.id, first.serving_id)
    smelt = datetime.fromtimestamp((clock.instant - 8_000) / 1000 + 60 * minutes, UTC)
    clock.forward(minutes=60)
    (card,) = [one for one in paper.cards(made.notebook, session.id) if one.serving_id == first.serving_id]
    at = f" @{smelt:%H:%M}" if told else ""
    paper.enter(made.notebook, session.id, card.label, f"{card.codes[0]} 1{at}")
    return session, first


@pytest.mark.parametrize(("minutes", "late"), [(5, 0), (15, 1)])
def test_a_set_on_paper_is_as_old_as_its_card_says_not_as_when_it_is_typed(
    made: Scene, clock: SteppedClock, minutes: int, late: int
) -> None:
    session, _ = _typed(made, clock, minutes)
    assert len(late_notes(made, session.id)) == late
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    found = real_ages(made.notebook, session.id)
    assert found is not None
    (own,) = found.sets
    assert abs(own.real - 60_000 * minutes) <= 60_000  # a card tells a minute
    assert (found.late, found.unknown) == (late, 0)


def test_a_set_on_paper_without_a_time_has_no_known_age(made: Scene, clock: SteppedClock) -> None:
    session, first = _typed(made, clock, 5, told=False)
    live.correct(made.notebook, session.id, first.serving_id, clock.instant - 3_900_000, "tapped on the wrong set")
    assert late_notes(made, session.id) == []
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    found = real_ages(made.notebook, session.id)
    assert found is not None
    assert (found.sets, found.unknown) == ((), 1)


def test_without_a_timetable_nothing_waits_and_nothing_is_late(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(**THREE)
    mine = ballots(made.notebook, session.id)[0].id
    view = ballot.view(made.notebook, mine)
    assert (view.smell_at, view.dipped) == (None, False)
    clock.forward(minutes=500)
    answered(made, mine)
    assert late_notes(made, session.id) == []
    with pytest.raises(StateError, match="no timetable"):
        live.flow(made.notebook, session.id, "late")


def test_sets_come_on_the_ballot_in_the_order_of_the_timetable(made: Scene) -> None:
    session = made.smelling(**THREE, replicates=2)
    planned(made, session)
    calls = [one.serving_id for one in looked(made, session.id).calls if one.seat == 2]
    mine, met = ballots(made.notebook, session.id)[1].id, []
    while (view := ballot.view(made.notebook, mine)).screen and view.screen[0].serving_id:
        met.append(view.screen[0].serving_id)
        answered(made, mine)
    assert met == calls


def test_nothing_is_planned_afresh_once_something_was_dipped(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(**THREE)
    planned(made, session)
    clock.forward(minutes=2)
    live.dipped(made.notebook, session.id, bench.servings(made.notebook, session.id)[0].id)
    with pytest.raises(StateError, match="dipped or smelt already"):
        planned(made, session)
    changed = live.flow(made.notebook, session.id, "changed", {"preparers": 2})
    assert isinstance(changed, Revision)
    assert planning.bench_of(changed.body).preparers == 2


# --- afterwards --------------------------------------------------------------------------------------------------------


def test_findings_tell_real_ages_and_warn_where_one_trial_was_older(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling(ages=ages(5), primary=300)
    planning.make(made.notebook, session.id, Settings(clock.now() + 1000, dips_per_minute=1))  # a minute a strip: NoFit
    assert live.board(made.notebook, session.id) is None
    planned(made, session)
    with pytest.raises(StillBlind):
        real_ages(made.notebook, session.id)
    for one in looked(made, session.id).dips:
        clock.instant = max(clock.instant, one.at + 10_000)
        live.dipped(made.notebook, session.id, one.serving_id)
        tapped = clock.instant
        clock.instant = tapped + 300_000
        answered(made, ballots(made.notebook, session.id)[one.seat - 1].id)
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    found = real_ages(made.notebook, session.id)
    assert found is not None
    # Three strips of 5 s: from the middle of the dip 7.5 s more than from the tap, and a few of the clock's own steps.
    assert [one.real // 100 for one in found.sets] == [3075] * 3
    assert (found.late, found.unknown) == (0, 0)
    with made.notebook.reading() as tx:
        smelt = {one.id: one for one in tx.sittings.servings(session.id) if not one.spare}
        orders = dict(tx.key.open_key(session.id).orders)
    turned = [[orders[one.id][place] for place in one.dips] for one in smelt.values()]  # trials as they were dipped
    for letter, (label, mean) in zip("AB", found.trials[0].means, strict=True):
        strips = [age for one in turned for on, age in zip(one, (312.5, 307.5, 302.5), strict=True) if on == letter]
        assert label == {"A": "7", "B": "8"}[letter]
        assert abs(mean / 1000 - sum(strips) / len(strips)) < 0.1
    assert not found.trials[0].differs
    assert TrialAges("strip", 300, (("7", 300_000), ("8", 320_001))).differs
    assert TrialAges("strip", 60, (("7", 60_000), ("8", 66_001))).differs  # a tenth of a minute
    assert not TrialAges("strip", 60, (("7", 60_000), ("8", 66_000))).differs
