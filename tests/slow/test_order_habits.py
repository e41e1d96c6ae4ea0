"""Habits of place at length: the joint law of 100,000 draws, sessions through the actions, ratings, rankings and rounds."""

from __future__ import annotations

from typing import Any

import pytest
from scipy import stats

from evaluation.actions import bench, findings, seal
from evaluation.actions import plan as planning
from evaluation.clock import SteppedClock
from evaluation.judging.entries import FIRST_PREFERRED, NOTICED, SECOND_PREFERRED
from evaluation.sessions import Question
from evaluation.store import Notebook
from tests import scenes
from tests.counting.test_order_habits import check_joint_law
from tests.drawn_facts import few_codes, on_both, on_strips
from tests.habit_sessions import differs, planned
from tests.methods import METHODS, STRIPS

pytestmark = pytest.mark.slow

SEEDS = range(100_000)
ON_SKIN = [method for method in METHODS if STRIPS[method] <= 4]


@pytest.mark.parametrize("method", METHODS)
def test_any_two_facts_of_a_draw_are_jointly_uniform(method: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Same seat, other seat, other age, null or real, spare; orders, dip orders, vials, places of the null sets."""
    few_codes(monkeypatch)
    check_joint_law(on_strips(method), SEEDS)


@pytest.mark.parametrize("method", ON_SKIN)
def test_any_two_facts_of_a_draw_on_strip_and_skin_are_jointly_uniform(
    method: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    few_codes(monkeypatch)
    check_joint_law(on_both(method), SEEDS)


# --- through the actions ------------------------------------------------------------------------------------------------

# method, habits by seat (the place chosen among the options), replicates, null sets
PLAYED = [
    pytest.param("2-afc", (0, 1), 8, 0, id="2 x 8 2-AFC"),
    pytest.param("2-afc", (0, 1), 6, 0, id="2 x 6 2-AFC"),
    pytest.param("duo-trio", (0, 0, 1, 1), 4, 0, id="4 x 4 duo-trio"),
    pytest.param("3-afc", (0, 1, 2), 6, 0, id="3 x 6 3-AFC"),
    pytest.param("2-afc", (0,) * 8 + (1,) * 10, 1, 0, id="18 once"),
    pytest.param("preference", (0, 0, 0, 1, 1, 1), 1, 0, id="6 preferences"),
    pytest.param("2-afc", (0, 1), 5, 4, id="2 x 4 null sets"),
]
SESSIONS = 50


@pytest.mark.parametrize(("method", "habits", "replicates", "null_sets"), PLAYED)
def test_fifty_sessions_of_equal_trials_keep_the_sealed_risk(
    method: str, habits: tuple[int, ...], replicates: int, null_sets: int
) -> None:
    """Planned, sealed, answered, closed and opened as a conductor and a panel do it."""
    notebook = Notebook.open(None, SteppedClock(step=1))
    scene = scenes.scene(notebook, people=len(habits))
    wanted = {"method": method, "replicates": replicates, "null_sets": null_sets}
    wanted |= {"confirmed": ("noticed", "not noticed")} if method != "preference" else {"confirmed": ()}
    said = sum(_says(notebook, scene, habits, wanted, number) for number in range(SESSIONS))
    notebook.close()
    assert stats.binomtest(said, SESSIONS, 0.05, alternative="greater").pvalue > 0.001


def _says(notebook: Any, scene: scenes.Scene, habits: tuple[int, ...], wanted: dict[str, Any], number: int) -> bool:
    session = planning.add_draft(notebook, scene.plan(people=len(habits), **wanted))
    seal.seal(notebook, session.id, number.to_bytes(32, "big"))
    bench.start(notebook, session.id)
    for one in scenes.ballots(notebook, session.id):
        scenes.answer_all(notebook, one.id, lambda asked, place=habits[one.seat - 1]: _by_place(asked, place))
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    found = findings.findings(notebook, session.id)
    if wanted["null_sets"]:
        return found.found[0].null_control is not None and found.found[0].null_control.noticed
    return found.found[0].entries[0].verdict in (NOTICED, FIRST_PREFERRED, SECOND_PREFERRED)


def _by_place(asked: Question, place: int) -> str:
    return asked.options[place] if asked.name == "choice" else asked.options[0]


# --- ratings, rankings, rounds ------------------------------------------------------------------------------------------

OPPOSED = ("rising", "falling")
FIRST = ("first up", "first down")
# method, trials, people, replicates, ages in minutes, habits, noise; whether the balanced draw broke the sealed .05
SEVERAL = [
    pytest.param("profile", 2, 6, 1, (5,), FIRST, 0.5, True, id="profile 2 x 6"),
    pytest.param("profile", 2, 8, 1, (5, 60, 240), FIRST, 0.5, True, id="profile 2 x 8, three ages"),
    pytest.param("profile", 2, 12, 1, (5,), FIRST, 0.5, False, id="profile 2 x 12"),
    pytest.param("profile", 3, 6, 1, (5,), OPPOSED, 0.5, True, id="profile 3 x 6"),
    pytest.param("profile", 3, 7, 1, (5,), ("first up",), 0.3, False, id="profile 3 x 7, one habit"),
    pytest.param("profile", 3, 7, 1, (5,), ("first up", "last up"), 0.3, False, id="profile 3 x 7"),
    pytest.param("profile", 3, 8, 1, (5,), OPPOSED, 0.5, False, id="profile 3 x 8"),
    pytest.param("profile", 3, 12, 1, (5,), FIRST, 0.5, False, id="profile 3 x 12"),
    pytest.param("profile", 4, 12, 1, (5,), ("first up", "last up"), 0.3, False, id="profile 4 x 12"),
    pytest.param("ranking", 3, 8, 1, (5,), OPPOSED, 0.0, False, id="ranking 3 x 8"),
    pytest.param("ranking", 3, 12, 1, (5,), OPPOSED, 0.0, True, id="ranking 3 x 12"),
    pytest.param("ranking", 4, 6, 1, (5,), OPPOSED, 0.0, True, id="ranking 4 x 6"),
    pytest.param("ranking", 4, 12, 1, (5,), OPPOSED, 0.0, True, id="ranking 4 x 12"),
    pytest.param("ranking", 3, 8, 2, (5,), OPPOSED, 0.0, False, id="ranking 3 x 8, twice"),
    pytest.param("round", 3, 8, 1, (5,), OPPOSED, 0.0, True, id="round 3 x 8"),
    pytest.param("round", 4, 8, 1, (5,), OPPOSED, 0.0, True, id="round 4 x 8"),
    pytest.param("round", 3, 10, 1, (5,), OPPOSED, 0.0, False, id="round 3 x 10"),
    pytest.param("round", 3, 8, 2, (5,), OPPOSED, 0.0, False, id="round 3 x 8, twice"),
]
PLAYS = 1000


@pytest.mark.parametrize(("method", "trials", "people", "replicates", "minutes", "habits", "noise", "broke"), SEVERAL)
def test_equal_trials_differ_no_more_often_than_sealed(
    method: str, trials: int, people: int, replicates: int, minutes: tuple[float, ...], habits: tuple[str, ...],
    noise: float, broke: bool,
) -> None:  # fmt: skip
    """Opposite habits of place, every analysis of the method: any difference shown, of 1,000 sessions at .05."""
    primary = None if len(minutes) > 1 else 300
    more = {"replicates": replicates, "minutes": minutes, "primary": primary}
    now, before = (
        planned(method, trials, people, "independent", **more),
        planned(method, trials, people, "balanced", **more),
    )
    found = sum(differs(now, number, habits, noise) for number in range(PLAYS))
    assert stats.binomtest(found, PLAYS, 0.05, alternative="greater").pvalue > 0.001
    if broke:
        found = sum(differs(before, number, habits, noise) for number in range(PLAYS))
        assert stats.binomtest(found, PLAYS, 0.05, alternative="greater").pvalue < 0.01
