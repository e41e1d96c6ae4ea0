"""The timetable: small cases worked by hand, a general solver beside it, every constraint over generated cases."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from scipy.optimize import Bounds, LinearConstraint, milp

from evaluation.errors import ArgumentError
from evaluation.timetable import (
    DAY,
    Bench,
    Line,
    Person,
    Timetable,
    Wanted,
    breaks,
    by_person,
    by_preparer,
    plan_timetable,
    planning,
    reflow,
    search,
)
from evaluation.timetable.planning import try_timetable
from tests.timetables import ADA, BEN, BENCH, PEOPLE, SKIN, WANTED, Case, arms, cases, fitting


@pytest.fixture
def quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Little time for improvement: what must hold, holds for every timetable, not for good ones only."""
    monkeypatch.setattr(search, "WORK", 5_000)
    planning._unlimited.cache_clear()  # plans made with more time


# --- worked by hand ---------------------------------------------------------------------------------------------------


def test_one_set_is_smelt_as_soon_as_its_age_allows() -> None:
    """Three strips of 4 s: the mean one is dipped at 6 s; 300 - 20 s later smelling begins, 60 s later it is over."""
    found = fitting([Wanted("s", "Ada", 300, 20, 3)], [ADA], Bench(seconds_per_dip=4, seconds_per_smell=60))
    assert found.lines == (Line("s", "Ada", 0, 0, 12, 286, 346, 280),)
    assert found.makespan_seconds == found.lower_bound_seconds == 346
    assert (found.totals.strips, found.totals.dips, found.totals.preparer_seconds) == (3, 1, 12)


def test_two_noses_share_one_preparer() -> None:
    """The second dip waits for the first: 12 s later; two preparers need not."""
    wanted = [Wanted(name, name, 300, 0, 3) for name in ("Ada", "Ben")]
    alone = Bench(seconds_per_dip=4, seconds_per_smell=60)
    assert fitting(wanted, [ADA, BEN], alone).makespan_seconds == 12 + 6 + 300 + 60
    assert fitting(wanted, [ADA, BEN], replace(alone, preparers=2)).makespan_seconds == 6 + 300 + 60


def test_rests_and_the_break_after_a_sitting_are_kept() -> None:
    """Five sets, two to a sitting: 5 × 60 smelling, 3 changes within or between sittings: 60+100+60, 600, 60+100+60, 600, 60.

    From the first smelling: 220 + 600 + 220 + 600 + 60 = 1700 s; the first begins at 1 + 300 s (two strips of 1 s).
    """
    wanted = [Wanted(f"s{turn}", "Ada", 300, 0, 2) for turn in range(5)]
    bench = Bench(
        seconds_per_dip=1, seconds_per_smell=60, rest_seconds=100, sets_per_sitting=2, sitting_break_seconds=600
    )
    found = fitting(wanted, [ADA], bench)
    assert found.makespan_seconds == found.lower_bound_seconds == 301 + 1700


def test_the_old_strips_are_dipped_first_and_the_young_ones_smelt_meanwhile() -> None:
    """Ages of 10 and 60 min, one preparer, 2 s a strip, no tolerance: the end is 1 + 3600 + 90 s, not that and more."""
    wanted = [Wanted("young", "Ada", 600, 0, 1), Wanted("old", "Ada", 3600, 0, 1)]
    found = fitting(wanted, [ADA], Bench(seconds_per_dip=2, seconds_per_smell=90))
    assert [line.serving_id for line in found.lines] == ["young", "old"]
    assert found.makespan_seconds == 1 + 3600 + 90


def test_a_strip_of_a_day_is_smelt_on_the_next_day_when_its_nose_comes() -> None:
    """Nine to ten o'clock on both days: dipped within the first hour, smelt within the second day's."""
    person = Person("Ada", ((0, 3600), (DAY, DAY + 3600)))
    found = fitting([Wanted("now", "Ada", 300, 60, 3), Wanted("next", "Ada", DAY, 900, 3)], [person], Bench())
    day_old = found.lines[-1]
    assert day_old.serving_id == "next"
    assert day_old.dip_to <= 3600
    assert day_old.smell_from >= DAY
    assert abs(day_old.age_seconds - DAY) <= 900


def test_nobody_dips_at_night() -> None:
    """Six hours old when she comes at nine: dipped at three in the morning; there is no such plan until the afternoon."""
    person = Person("Ada", ((0, 3600), (DAY, DAY + 10 * 3600)))
    found = fitting([Wanted("s", "Ada", 6 * 3600, 600, 1)], [person], Bench())
    assert found.lines[0].dip_from >= DAY
    early = Bench(preparer_hours=((0, FOREVER),))
    assert fitting([Wanted("s", "Ada", 6 * 3600, 600, 1)], [person], early).lines[0].dip_from < DAY


FOREVER = 10 * DAY


def test_own_strips_smelt_again_are_dipped_once() -> None:
    wanted = [Wanted(f"s{age}", "Ada", age, 30, 4) for age in (300, 1200, 3600)]
    found = fitting(wanted, [ADA], Bench(reuse=True))
    assert len({(line.dip_from, line.dip_to) for line in found.lines}) == 1
    assert found.totals.strips == 4
    assert [len(lines) for lines in by_preparer(found).values()] == [1]
    assert [line.serving_id for line in by_person(found)["Ada"]] == ["s300", "s1200", "s3600"]
    assert fitting(wanted, [ADA], Bench()).totals.strips == 12


def test_half_the_tolerance_can_be_kept_back() -> None:
    wanted = [Wanted("s", "Ada", 300, 20, 2)]
    assert fitting(wanted, [ADA], Bench()).lines[0].age_seconds == 280
    assert fitting(wanted, [ADA], Bench(tolerance_kept_percent=50)).lines[0].age_seconds == 290


def test_ages_come_near_the_planned_ones_where_it_costs_no_time() -> None:
    """Only the last set decides the end; the first ones have time to wait for their exact age."""
    wanted = [Wanted("young", "Ada", 300, 60, 1), Wanted("old", "Ada", 3600, 60, 1)]
    young, old = fitting(wanted, [ADA], Bench()).lines
    assert (young.age_seconds, old.age_seconds) == (300, 3540)


# --- skin ---------------------------------------------------------------------------------------------------------------


def test_skin_is_washed_before_and_dry_after() -> None:
    """Half an hour, two sites of one minute, two minutes to dry: later than the age of 150 ± 15 s would ask, which is 45."""
    found = fitting([replace(arms("s", 150), tolerance_seconds=50)], [Person("Ada", ((0, DAY),))], SKIN)
    assert found.lines[0].dip_from == 1800
    assert found.lines[0].smell_from == 1800 + 120 + 120


def test_one_application_is_smelt_at_several_ages() -> None:
    found = fitting([arms("a", 600, "once"), arms("b", 1800, "once")], [ADA], SKIN)
    assert found.totals.dips == 1
    assert len({line.dip_from for line in found.lines}) == 1


def test_a_site_is_washed_out_before_it_is_used_again() -> None:
    found = fitting([arms("a", 600), arms("b", 600)], [ADA], SKIN)
    first, second = found.lines
    assert second.dip_from - first.smell_to >= DAY


def test_no_more_sites_than_allowed_at_once() -> None:
    wanted = [replace(arms(f"s{turn}", 600), site=f"left {turn}+right {turn}") for turn in range(2)]
    both = fitting(wanted, [ADA], replace(SKIN, sites_at_once=4))
    one = fitting(wanted, [ADA], replace(SKIN, sites_at_once=2))
    assert both.lines[1].dip_from < both.lines[0].smell_to
    assert one.lines[1].dip_from >= one.lines[0].smell_to


# --- against a general solver ---------------------------------------------------------------------------------------------


def optimum(wanted: list[Wanted], people: list[Person], bench: Bench, horizon: int) -> int:
    """The least makespan, by mixed integer programming over every second (HiGHS through scipy; one day, no sittings)."""
    sets, at = range(len(wanted)), range(horizon)
    width = 2 * len(wanted) * horizon + 1  # dips, smellings, makespan
    rows, low, high = [], [], []

    def add(row: np.ndarray, least: float, most: float) -> None:
        rows.append(row), low.append(least), high.append(most)

    def cell(kind: int, number: int, second: int) -> int:
        return (2 * number + kind) * horizon + second

    for number, one in enumerate(wanted):
        length, moments = one.strips * bench.seconds_per_dip, np.arange(horizon)
        for kind in (0, 1):
            row = np.zeros(width)
            row[cell(kind, number, 0) : cell(kind, number, 0) + horizon] = 1
            add(row, 1, 1)
        age = np.zeros(width)
        age[cell(1, number, 0) : cell(1, number, 0) + horizon] = 2 * moments
        age[cell(0, number, 0) : cell(0, number, 0) + horizon] = -2 * moments
        middle = 2 * (length // 2) + 2 * one.age_seconds
        add(age, middle - 2 * one.tolerance_seconds, middle + 2 * one.tolerance_seconds)
        end = np.zeros(width)
        end[cell(1, number, 0) : cell(1, number, 0) + horizon] = moments
        end[-1] = -1
        add(end, -np.inf, -bench.seconds_per_smell)
    for second in at:
        busy = np.zeros(width)
        for number in sets:
            length = wanted[number].strips * bench.seconds_per_dip
            busy[cell(0, number, max(0, second - length + 1)) : cell(0, number, second) + 1] = 1
        add(busy, -np.inf, bench.preparers)
        for person in people:
            nose, span = np.zeros(width), bench.seconds_per_smell + bench.rest_seconds
            for number in (n for n in sets if wanted[n].panelist == person.panelist):
                nose[cell(1, number, max(0, second - span + 1)) : cell(1, number, second) + 1] = 1
            add(nose, -np.inf, 1)
    whole = np.ones(width)
    whole[-1] = 0
    cost = np.zeros(width)
    cost[-1] = 1
    most = np.ones(width)
    most[-1] = horizon
    solved = milp(
        cost, constraints=LinearConstraint(np.array(rows), low, high), integrality=whole, bounds=Bounds(0, most)
    )
    assert solved.success
    return int(np.rint(solved.fun))


@pytest.mark.parametrize(
    ("people", "ages", "bench", "horizon"),
    [
        (2, (8, 20), Bench(seconds_per_dip=1, seconds_per_smell=4, rest_seconds=5, sitting_break_seconds=5), 60),
        (3, (10, 10), Bench(seconds_per_dip=2, seconds_per_smell=3, rest_seconds=2, sitting_break_seconds=2), 60),
        (4, (10,), Bench(seconds_per_dip=4, seconds_per_smell=6, rest_seconds=0, sitting_break_seconds=0), 50),
        (4, (10,), Bench(2, seconds_per_dip=4, seconds_per_smell=6, rest_seconds=0, sitting_break_seconds=0), 50),
        (3, (10, 15), Bench(seconds_per_dip=3, seconds_per_smell=5, rest_seconds=4, sitting_break_seconds=4), 70),
        (1, (12, 12, 14), Bench(seconds_per_dip=2, seconds_per_smell=5, rest_seconds=6, sitting_break_seconds=6), 70),
    ],
)
def test_small_cases_are_as_short_as_they_can_be(
    people: int, ages: tuple[int, ...], bench: Bench, horizon: int
) -> None:
    crowd = [Person(f"p{number}") for number in range(people)]
    wanted = [
        Wanted(f"{person.panelist}-{turn}", person.panelist, age, age // 10, 1)
        for person in crowd
        for turn, age in enumerate(ages)
    ]
    found = fitting(wanted, crowd, bench)
    best = optimum(wanted, crowd, bench, horizon)
    assert found.lower_bound_seconds <= best == found.makespan_seconds


# --- every constraint ---------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("quickly")
def test_no_generated_timetable_breaks_a_constraint() -> None:
    fitted = []

    @settings(max_examples=200)
    @given(cases())
    def every(case: Case) -> None:
        found = try_timetable(*case)
        if found is not None:
            fitted.append(found)
            assert breaks(found, *case) == ()

    every()
    assert len(fitted) > 100  # most cases have one


@pytest.mark.usefixtures("quickly")
@settings(max_examples=20)
@given(cases())
def test_the_same_input_gives_the_same_timetable(case: Case) -> None:
    assert try_timetable(*case) == try_timetable(*case)


def moved(line: Line, **by: int) -> Line:
    return replace(line, **{name: getattr(line, name) + seconds for name, seconds in by.items()})


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda line: moved(line, dip_from=-5), "preparing takes"),
        (lambda line: moved(line, dip_from=-90, dip_to=-90), "outside"),
        (lambda line: moved(line, smell_from=100, smell_to=100), "outside"),
        (lambda line: moved(line, age_seconds=1), "its age is not"),
        (lambda line: moved(line, preparer=1), "no preparer"),
        (lambda line: moved(line, smell_to=-1), "smelling takes"),
        (lambda line: replace(line, panelist="Ben"), "not Ben's"),
        (lambda line: replace(line, serving_id="x"), "nobody wants"),
        (lambda line: moved(line, smell_from=7000, smell_to=7000), "cannot come"),
        (lambda line: moved(line, smell_from=7000, smell_to=7000), "after the latest end"),
        (lambda line: moved(line, dip_from=-600, dip_to=-600), "nobody prepares"),
        (lambda line: moved(line, smell_from=-290, smell_to=-290), "before it is dipped"),
    ],
)
def test_the_checker_sees_a_changed_line(change: Callable[[Line], Line], said: str) -> None:
    found = fitting(WANTED, PEOPLE, BENCH)
    at = next(number for number, line in enumerate(found.lines) if line.serving_id == "Ada300")
    lines = (*found.lines[:at], change(found.lines[at]), *found.lines[at + 1 :])
    assert any(said in sentence for sentence in breaks(replace(found, lines=lines), WANTED, PEOPLE, BENCH))


@pytest.mark.parametrize(
    ("bench", "said"),
    [
        (replace(BENCH, rest_seconds=700, sitting_break_seconds=900), "rests too little"),
        (replace(BENCH, sitting_break_seconds=3000), "without a break"),
        (replace(BENCH, seconds_per_dip=16), "dipped together"),
        (replace(BENCH, preparer_hours=((100, 7200),)), "nobody prepares"),
        (replace(BENCH, reuse=True), "must come from one dip"),
    ],
)
def test_the_checker_sees_a_stricter_bench(bench: Bench, said: str) -> None:
    found = fitting(WANTED, PEOPLE, replace(BENCH, sets_per_sitting=4))
    assert any(said in sentence for sentence in breaks(found, WANTED, PEOPLE, bench))


def test_the_checker_sees_two_dips_in_one_hand_and_wrong_sums() -> None:
    found = fitting(WANTED, PEOPLE, replace(BENCH, preparers=2))
    one_hand = replace(found, lines=tuple(replace(line, preparer=0) for line in found.lines))
    assert any("at once" in sentence for sentence in breaks(one_hand, WANTED, PEOPLE, BENCH))
    for wrong in ({"makespan_seconds": 1}, {"lower_bound_seconds": 99_999}, {"lines": found.lines[1:]}):
        assert breaks(replace(found, **wrong), WANTED, PEOPLE, replace(BENCH, preparers=2)) != ()
    strips = replace(found, totals=replace(found.totals, strips=1))
    assert breaks(strips, WANTED, PEOPLE, replace(BENCH, preparers=2)) != ()


@pytest.mark.parametrize(
    ("stricter", "said"),
    [
        ({"wash_seconds": 3600}, "washed"),
        ({"drying_seconds": 3000}, "dry"),
        ({"washout_seconds": 2 * DAY}, "washed out"),
        ({"sites_at_once": 1}, "sites in use"),
    ],
)
def test_the_checker_sees_what_skin_needs(stricter: dict[str, int], said: str) -> None:
    wanted, people = [arms("a", 600), arms("b", 600)], [Person("Ada", ((0, 4 * DAY),))]
    found = fitting(wanted, people, SKIN)
    assert any(said in sentence for sentence in breaks(found, wanted, people, replace(SKIN, **stricter)))


# --- arguments ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: plan_timetable([Wanted("s", "Cem", 300, 20, 3)], [ADA], Bench()),
        lambda: plan_timetable([Wanted("s", "Ada", 300, 20, 3)] * 2, [ADA], Bench()),
        lambda: plan_timetable([], [ADA, ADA], Bench()),
        lambda: plan_timetable([arms("a", 300, "g"), replace(arms("b", 600, "g"), strips=1)], [ADA], Bench()),
        lambda: Bench(preparers=0),
        lambda: Bench(rest_seconds=900, sitting_break_seconds=600),
        lambda: Person("Ada", ((100, 50),)),
        lambda: Person("Ada", ((0, 50), (40, 90))),
        lambda: Wanted("s", "Ada", 300, 301, 3),
        lambda: Wanted("s", "Ada", 300, 30, 3, "cloth"),
        lambda: reflow(plan_timetable([], [ADA], Bench()), 10, {"x": 5}, {}, [], [ADA], Bench()),  # type: ignore[arg-type]
    ],
)
def test_wrong_arguments_are_named(wrong: Callable[[], object]) -> None:
    with pytest.raises(ArgumentError):
        wrong()


def test_nothing_wanted_is_an_empty_timetable() -> None:
    found = plan_timetable([], [ADA], Bench())
    assert isinstance(found, Timetable)
    assert (found.lines, found.makespan_seconds, found.lower_bound_seconds) == ((), 0, 0)
