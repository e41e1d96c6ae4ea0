"""A plan the timetable would refuse is told so before sealing, with the field to change; each way is tried anew."""

from __future__ import annotations

from dataclasses import replace
from itertools import count
from typing import Any

import pytest
from parts.plan import bench_fits

from evaluation.actions import timetable, would_fit
from evaluation.serving.blinding import draw
from evaluation.serving.draws import SEED_BYTES
from evaluation.sessions import StripAge
from evaluation.timetable import Person, Timetable, plan_timetable
from tests.scenes import ages, plan


def test_three_strips_at_a_minute_are_too_slow_to_dip_and_the_field_is_named_in_its_unit() -> None:
    """Three strips lie 10 s apart; a tenth of a minute is 6 s. From 100 s on they may: 2 is the first whole minute."""
    young = plan(minutes=(1,))
    assert would_fit.refused(young)
    assert would_fit.ways(young)[0] == would_fit.Way("ages", "2")
    assert not would_fit.refused(plan(minutes=(2,)))
    assert "This would do: strip ages in minutes: 2" in bench_fits.what_would_fit(young)
    assert "not even for one nose" in bench_fits.what_would_fit(young)


USUAL: dict[str, dict[str, Any]] = {
    "triangles": {"minutes": (2, 5), "replicates": 2},
    "fives": {"method": "two-out-of-five", "minutes": (5, 30), "replicates": 3},
    "smelt again": {"method": "profile", "resmell": True, "minutes": (5, 60), "asks_strength": True},
    "a round": {"method": "round", "other_trial_ids": ("trial-9", "trial-10"), "minutes": (10,), "primary": 600},
}


@pytest.mark.parametrize("kind", USUAL)
def test_what_one_nose_fits_a_panel_fits(kind: str) -> None:
    """Only one nose is looked at before sealing; here the bench itself plans twelve with the settings it begins with."""
    made = plan(people=12, **{"primary": None, **USUAL[kind]})
    assert not would_fit.refused(made)
    codes = count()
    served = draw(made, bytes(SEED_BYTES), lambda: str(next(codes)), {}).servings
    noses = {seat.number: f"nose {seat.number}" for seat in made.seats}
    bench = timetable.settings_for(made, timetable.Settings(0)).bench()
    found = plan_timetable(timetable.wanted_sets(made, served, noses), [Person(one) for one in noses.values()], bench)
    assert isinstance(found, Timetable), found


def test_strips_smelt_again_too_soon_are_refused_and_every_way_told_does() -> None:
    """Two strips cannot both be smelt at 5 and at 6 minutes with a rest between."""
    made = plan(method="profile", resmell=True, ages=ages(5, 6), primary=None, asks_strength=True)
    assert would_fit.refused(made)
    found = would_fit.ways(made)
    assert found
    for way in found:
        if way.field == "ages":
            minutes = [int(one) for one in way.after.split(", ")]
            again = tuple(StripAge(60 * m, max(5, 6 * m)) for m in minutes)
            assert not would_fit.refused(replace(made, ages=again)), way
        elif way.field == "resmell":
            assert not would_fit.refused(made.changed(resmell=False))


def test_usual_plans_and_people_alone_hear_nothing() -> None:
    assert bench_fits.what_would_fit(plan(minutes=(5, 60, 360), primary=300)) == ""
    assert bench_fits.what_would_fit(plan(people=1, minutes=(1,), solo=True, replicates=12)) == ""


def test_the_tolerance_of_a_young_age_is_said_to_be_about_the_first_strip() -> None:
    (line,) = bench_fits.what_ages_are_about(plan(minutes=(5,)))
    assert (
        "5 min ± 30 s is the age at its first strip; with the pauses the last is smelt about 2 min 10 s later." in line
    )
    assert bench_fits.what_ages_are_about(plan(minutes=(60,))) == ()
