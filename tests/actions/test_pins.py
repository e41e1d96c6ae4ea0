"""What a session can be pinned on, through the actions: before sealing, beside the verdict, and counted in a report."""

from __future__ import annotations

from typing import Any

import pytest

from evaluation.actions import decide, formulas, pins, skin
from evaluation.deciding.evidence import NOTICE
from evaluation.deciding.pinning import MovedAt
from evaluation.formulas import FITS, UNFITTING, read_lines
from evaluation.report import brief, composing
from evaluation.report.blocks import Report
from evaluation.sheets.pieces import Text
from tests import scenes
from tests.actions.test_findings import Noses
from tests.actions.test_findings import opened as opened_findings

FIRST = "Zzyx marker oil; 4\nQwop marker resin; 6\nCarrier; 90"
SECOND = "Zzyx marker oil; 5\nQwop marker resin; 12\nCarrier; 83"
WINDOWS = {"Zzyx marker oil": (0, 20), "Qwop marker resin": (200, 2000)}


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    made = scenes.scene(notebook, people=12)
    for trial, text in zip(made.trial_ids, (FIRST, SECOND), strict=True):
        formulas.write(notebook, trial, read_lines(text), new_materials=True)
    for one in skin.materials(notebook):
        skin.change_material(notebook, one.id, minutes=WINDOWS.get(one.name), solvent=one.name == "Carrier")
    return made


def smelt(scene: scenes.Scene, right: dict[int, bool]) -> Any:
    """Two strip ages under one correction, everybody right or wrong at each."""
    session = scene.smelling(minutes=(5, 360), primary=None)
    noses = Noses(scene, session)
    for seat in range(1, 13):
        noses.answer(seat, right)
    return opened_findings(scene, session.id)


def told(report: Report) -> str:
    return "\n".join(one.text for one in report.blocks if isinstance(one, Text))


def test_a_plan_knows_at_which_ages_each_change_may_be_smelt(scene: scenes.Scene) -> None:
    (found,) = pins.foreseen(scene.notebook, scene.plan(minutes=(5, 360), primary=None))
    assert (found.first, found.second) == ("7", "8")
    assert [one.inside for one in found.changes] == [found.ages[:1], found.ages[1:]]
    assert pins.strip_ages(scene.plan(minutes=(5,), medium="skin")) == ()


def test_an_opened_session_says_which_change_is_unfitting(scene: scenes.Scene) -> None:
    found = smelt(scene, {300: True, 360 * 60: False})
    (one,) = pins.pinned(scene.notebook, found)
    assert one.moved == (MovedAt(one.ages[0], (NOTICE,)),)
    assert [each.word for each in one.changes] == [FITS, UNFITTING]
    seen = decide.evidence(scene.notebook, scene.brief_id)
    assert pins.pinned_by_session(scene.notebook, seen) == {found.context.session.id: (one,)}  # the same on Decision


def test_a_report_counts_the_changes_and_names_none(scene: scenes.Scene) -> None:
    found = smelt(scene, {300: True, 360 * 60: False})
    report = composing.report(scene.notebook, found.context.session.id)
    assert "differ in 2 named changes at once, and something moved at 5 min (told apart): 1 unfitting and 1 " in told(
        report
    )
    whole = told(brief.report(scene.notebook, scene.brief_id))
    assert "differ in 2 named changes at once" in whole
    assert "marker" not in repr(report) + whole
    ticked = told(composing.report(scene.notebook, found.context.session.id, formulas=True))
    assert "Unfitting: Qwop marker resin raised to 2 times." in ticked
    formulas_gone = scenes.scene(scene.notebook, people=12)
    other = smelt(formulas_gone, {300: True, 360 * 60: False})
    assert pins.pinned(scene.notebook, other) == ()  # of trials without a formula nothing is said
    assert "named change" not in told(composing.report(scene.notebook, other.context.session.id))


def test_a_profile_and_a_round_are_pinned_on_by_pair(scene: scenes.Scene) -> None:
    third = scene.trials(3)[2]
    formulas.write(scene.notebook, third, read_lines(SECOND.replace("oil; 5", "oil; 9")), new_materials=True)
    session = scene.smelling(method="profile", trials=3, minutes=(5, 360), primary=None)
    scenes.answer_profile(scene.notebook, session.id, lambda seat, letter, serving, word: rated(seat, letter, serving))
    (first, second, last) = pins.pinned(scene.notebook, opened_findings(scene, session.id))
    assert [(one.first, one.second, len(one.changes)) for one in (first, second, last)] == [
        ("7", "8", 2),
        ("7", "9", 2),
        ("8", "9", 1),
    ]
    assert [one.minutes for one in first.moved] == [360]
    assert [each.word for each in first.changes] == [UNFITTING, FITS]
    assert [each.word for each in second.changes] == [UNFITTING, FITS]
    assert last.moved == ()


def rated(seat: int, letter: str, serving: Any) -> str:
    """Trial A is rated lower than the others at six hours, and like them before."""
    lower = letter == "A" and serving.age_seconds == 360 * 60
    return f"{3.0 if lower else 6.0 + seat % 3 / 2}"


def test_a_round_has_one_age_at_which_something_moved(scene: scenes.Scene) -> None:
    third = scene.trials(3)[2]
    formulas.write(scene.notebook, third, read_lines(SECOND.replace("oil; 5", "oil; 9")), new_materials=True)
    session = scene.smelling(method="ranking", trials=3, minutes=(5,), ties_rule="drop")
    scenes.answer_by_worth(scene.notebook, session.id, lambda seat, letter: float(letter == "C"))
    found = pins.pinned(scene.notebook, opened_findings(scene, session.id))
    moved = {(one.first, one.second): [(float(each.minutes), each.by) for each in one.moved] for one in found}
    assert moved[("7", "9")] == [(5.0, ("preferred",))]
    assert {each.word for one in found if one.moved for each in one.changes} <= {FITS, UNFITTING}
