"""The order in which the strips of a set are dipped: drawn, stored, told to whoever dips, and counted in real ages."""

from __future__ import annotations

from typing import Any

import pytest

from evaluation.actions import bench, live
from evaluation.actions import timetable as planning
from evaluation.actions.ages import real_ages
from evaluation.actions.timetable import Settings
from evaluation.serving.dipping import Pace, in_turn, set_age, strip_ages
from evaluation.sessions import Serving
from evaluation.sheets import labels, printing
from evaluation.store.translate import serving_row
from tests import scenes
from tests.store.prepared import held, raw

SET = Serving("s", 1, 1, 300, 1, ("482", "155", "730"), dips=(1, 2, 0))
PACE = Pace(dip=6, application=60, smell=90)


def test_the_strip_dipped_last_is_the_youngest() -> None:
    """By hand: three dips of 6 s end at the tap; their middles lie 15, 9 and 3 s before it, in the order dipped."""
    assert strip_ages(SET, dipped_at=0, smelt_at=300_000, pace=PACE) == (303_000, 315_000, 309_000)
    before = Serving("s", 1, 1, 300, 1, SET.codes)  # drawn before: dipped in tray order
    assert strip_ages(before, dipped_at=0, smelt_at=300_000, pace=PACE) == (315_000, 309_000, 303_000)
    assert set_age(SET, 0, 300_000, PACE) == set_age(before, 0, 300_000, PACE) == 309_000


def test_codes_are_told_in_the_order_of_dipping() -> None:
    assert in_turn(SET) == (("155", "730", "482"), ())
    on_skin = Serving("s", 1, 1, 300, 1, ("482", "155"), medium="skin", sites=("left", "right"), dips=(1, 0))
    assert in_turn(on_skin) == (("155", "482"), ("right", "left"))
    assert in_turn(Serving("s", 1, 1, 300, 1, ("482", "155"))) == (("482", "155"), ())


def test_the_order_is_stored_sealed_and_what_is_altered_shows(notebook: Any) -> None:
    made = held(notebook, draw="independent")
    drawn = {one.id: one.dips for one in made.drawn.servings}
    assert {one.id: one.dips for seat in range(1, 5) for one in made.servings(seat)} == drawn
    assert all(sorted(one) == [0, 1, 2] for one in drawn.values())
    assert made.verifies()
    serving = made.servings(1)[0]
    turned = " ".join(map(str, reversed(serving.dips)))
    raw(notebook, "UPDATE servings SET dips = :dips WHERE id = :id", dips=turned, id=serving.id)
    assert not made.verifies()


def test_a_set_drawn_before_says_nothing_of_dips(notebook: Any) -> None:
    made = held(notebook)
    assert {one.dips for one in made.servings(1)} == {()}
    assert serving_row(made.servings(1)[0], "session", 0)["dips"] == ""


@pytest.fixture
def smelling(notebook: Any) -> tuple[Any, str]:
    scene = scenes.scene(notebook, people=4)
    return scene, scene.smelling().id


def test_bench_sheet_and_labels_name_codes_as_they_are_dipped(smelling: tuple[Any, str]) -> None:
    scene, session_id = smelling
    served = {one.id: one for one in bench.servings(scene.notebook, session_id)}
    assert any(one.dips != tuple(range(3)) for one in served.values())
    planning.make(scene.notebook, session_id, Settings(scene.notebook.clock.now() + 1000))
    board = live.board(scene.notebook, session_id)
    assert board is not None
    assert [one.codes for one in board.dips] == [in_turn(served[one.serving_id])[0] for one in board.dips]
    for one in bench.preparation(scene.notebook, session_id, None):
        own = next(each for each in served.values() if each.codes == one.codes)
        assert tuple(code for code, _, _ in one.dipped) == in_turn(own)[0]
        assert dict(zip(one.codes, one.letters, strict=True)) == {code: letter for code, letter, _ in one.dipped}
    plan = scene.plan()
    printed = labels.strip_labels(_head(scene.notebook, session_id), plan, served.values(), range(1, 5)).groups[0]
    first = sorted(served.values(), key=lambda one: (one.age_seconds, one.replicate, one.seat))
    wanted = [code for one in first if not one.spare for code in in_turn(one)[0]]
    assert [label.text for label in printed.labels] == wanted


def _head(notebook: Any, session_id: str) -> Any:
    with notebook.reading() as tx:
        session = tx.sittings.session(session_id)
    return printing._Desk(notebook, session, printing.Wish(), 0, None).head("Strip labels")


def test_mean_ages_of_trials_follow_the_order_of_dipping(smelling: tuple[Any, str]) -> None:
    """Each set dipped by one tap and answered at once: the age of every strip from its turn, by hand."""
    scene, session_id = smelling
    notebook = scene.notebook
    key = dict(scenes.key_of(notebook, session_id).orders)
    sets = [one for one in bench.servings(notebook, session_id) if not one.spare]
    for one in sets:
        live.dipped(notebook, session_id, one.id)
    with notebook.reading() as tx:
        tapped = {dip.serving_id: dip.dipped_at for dip in tx.live.dips(session_id)}
    for ballot in scenes.ballots(notebook, session_id):
        scenes.answer_all(notebook, ballot.id)
    bench.close(notebook, session_id)
    with notebook.writing() as tx:
        tx.sittings.advance(session_id, "open")
        answers = tx.ballots.session_answers(session_id)
    first = {one.id: min(a.at for a in answers if a.serving_id == one.id) for one in sets}
    by_trial: dict[str, list[int]] = {"A": [], "B": []}
    for one in sets:
        for turn, place in enumerate(one.dips):
            by_trial[key[one.id][place]].append(first[one.id] - tapped[one.id] + 5_000 * (2 - turn) + 2_500)
    found = real_ages(notebook, session_id)
    assert found is not None
    assert dict(found.trials[0].means) == {
        "7": sum(by_trial["A"]) // len(by_trial["A"]),
        "8": sum(by_trial["B"]) // len(by_trial["B"]),
    }
