"""Thousands of generated timetables, none of which breaks a constraint, and relaxations that are as small as they say."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from evaluation.timetable import NoFit, Timetable, breaks, planning, reflow, search, underway
from evaluation.timetable.planning import fits, try_timetable
from evaluation.timetable.relax import KNOBS, smallest
from tests.timetables import Case, cases, disturbed

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def _little_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "WORK", 5_000)
    monkeypatch.setattr(underway, "no_fit", lambda *_: NoFit("several together", "", None))
    planning._unlimited.cache_clear()


@settings(max_examples=3000)
@given(cases(8))
def test_no_generated_timetable_breaks_a_constraint(case: Case) -> None:
    found = try_timetable(*case)
    assert (found is not None) == fits(*case)
    assert found is None or breaks(found, *case) == ()


@settings(max_examples=1000)
@given(cases(4), st.integers(0, 5000), st.integers(0, 900), st.integers(0, 2**16))
def test_a_session_under_way_keeps_its_past_and_every_constraint(case: Case, now: int, off: int, mask: int) -> None:
    wanted, people, bench = case
    case = (wanted, people, replace(bench, latest_end_seconds=None))
    found = try_timetable(*case)
    assume(found is not None)
    assert found is not None  # for the type checker
    dipped, smelt = disturbed(found, now, off, mask)
    again = reflow(found, now, dipped, smelt, *case)
    if isinstance(again, Timetable):
        assert breaks(again, *case, dipped, smelt) == ()
        assert all(line.dip_to == dipped.get(line.serving_id, line.dip_to) for line in again.lines)
        assert all(line.smell_from == smelt.get(line.serving_id, line.smell_from) for line in again.lines)


def test_every_relaxation_is_the_smallest() -> None:
    tried = []

    @settings(max_examples=150)
    @given(cases(3))
    def every(case: Case) -> None:
        if fits(*case):
            return
        for knob in KNOBS:
            way = smallest(knob, case, fits)
            if way is not None:
                tried.append(knob)
                steps = abs(way.after - way.before) // way.step
                enough, less = KNOBS[knob].turned(case, steps), KNOBS[knob].turned(case, steps - 1)
                assert enough is not None
                assert less is not None
                assert try_timetable(*enough) is not None
                assert try_timetable(*less) is None

    every()
    assert len(set(tried)) >= 6  # so many knobs were of use in some case
