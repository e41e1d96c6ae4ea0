"""What a brief has taught, through the actions: opened sessions only, changes named by formulas or as typed."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import bench, book, bottle_book, decide, findings, formulas, skin
from evaluation.actions.learnt import brief_taught
from evaluation.deciding.taught import ALONE, NOT_TOLD, TOGETHER, Taught
from evaluation.formulas import read_lines
from evaluation.report import brief
from evaluation.sheets.pieces import Text
from evaluation.wording import of_taught
from tests import scenes

BASE = "Zzyx marker oil; 4\nQwop marker resin; 6\nCarrier; 90"
OIL = "Zzyx marker oil; 8\nQwop marker resin; 6\nCarrier; 86"
RESIN = "Zzyx marker oil; 4\nQwop marker resin; 12\nCarrier; 84"
BOTH = "Zzyx marker oil; 8\nQwop marker resin; 12\nCarrier; 80"
OIL_RAISED, RESIN_RAISED = "Zzyx marker oil raised to 2 times", "Qwop marker resin raised to 2 times"
STRENGTH = {"strength_percent": Decimal(10)}


@pytest.fixture
def brief_of_four(notebook: Any) -> scenes.Scene:
    """Trials 7 (base), 8 (oil), 9 (resin), 10 (both), with formulas, and a second bottle of 7."""
    made = scenes.scene(notebook, people=6)
    nine = book.add_trial(notebook, made.brief_id, "9", made.trial_ids[0], **STRENGTH).id
    ten = book.add_trial(notebook, made.brief_id, "10", nine, **STRENGTH).id
    for trial, text in zip((*made.trial_ids, nine, ten), (BASE, OIL, RESIN, BOTH), strict=True):
        formulas.write(notebook, trial, read_lines(text), new_materials=True)
    carrier = next(one for one in skin.materials(notebook) if one.name == "Carrier")
    skin.change_material(notebook, carrier.id, solvent=True)
    return made


def ids(scene: scenes.Scene) -> dict[str, str]:
    return {one.label: one.id for one in book.trials(scene.notebook, scene.brief_id)}


def rate(scene: scenes.Scene, labels: tuple[str, ...], *, opened: bool = True, **fields: Any) -> str:
    """A session of these trials; oil makes it woodier by 2 points, resin smokier by 1.5, and green is as it was."""
    known = ids(scene) | {one.label: one.id for one in bottle_book.smelt(scene.notebook, scene.brief_id)}
    first, second, *others = (known[one] for one in labels)
    session = scene.smelling(
        method="profile", first_trial_id=first, second_trial_id=second, other_trial_ids=tuple(others),
        minutes=(5, 60), primary=None, **fields,
    )  # fmt: skip
    scenes.answer_profile(scene.notebook, session.id, noses(labels))
    if opened:
        bench.close(scene.notebook, session.id)
        findings.open_session(scene.notebook, session.id)
    return str(session.id)


def noses(labels: tuple[str, ...]) -> Callable[[int, str, Any, str], str]:
    def rating(seat: int, letter: str, serving: Any, word: str) -> str:
        label = labels[ord(letter) - ord("A")].split(" ")[0]
        level = {"woody": 3 + 2 * (label in ("8", "10")), "smoky": 3 + 1.5 * (label in ("9", "10"))}.get(word, 4)
        return f"{level + (seat % 3 - 1) / 2 + ((seat * 7 + ord(letter) * 3 + len(word)) % 5 - 2) / 10:.1f}"

    return rating


def taught(scene: scenes.Scene) -> Taught:
    return brief_taught(scene.notebook, decide.evidence(scene.notebook, scene.brief_id))


def titles(scene: scenes.Scene, *, with_formulas: bool = True) -> dict[str, tuple[str, ...]]:
    seen = decide.evidence(scene.notebook, scene.brief_id)
    told = of_taught.told(brief_taught(scene.notebook, seen), seen, with_formulas=with_formulas)
    return {one.title: one.lines for one in told}


def test_each_change_is_told_with_what_it_moved_and_the_sessions_it_rests_on(brief_of_four: scenes.Scene) -> None:
    scene = brief_of_four
    bottle_book.add_bottle(scene.notebook, scene.trial_ids[0], "2", **STRENGTH)
    rate(scene, ("7", "8", "9"), title="Three of them")
    rate(scene, ("7 bottle 2", "9", "10"), title="Three more")
    found = taught(scene)
    oil, resin = found.learnt
    assert (oil.told, resin.told) == (ALONE, ALONE)
    moved = {(row.descriptor, row.minutes) for row in oil.moved}
    assert moved == {("woody", 5.0), ("woody", 60.0)}
    assert all(row.estimate == pytest.approx(2.0, abs=0.3) for row in oil.moved)
    assert {row.descriptor for row in resin.moved} == {"smoky"}
    assert {(row.bottles, row.people, row.freedom) for row in oil.rows} == {(5, 6, 2)}
    told = titles(scene)
    assert list(told) == [OIL_RAISED, RESIN_RAISED]
    words = "\n".join(told[OIL_RAISED])
    assert words.startswith("Woody: +2.0 at 5 min (")
    assert "It rests on “Three of them” and “Three more” (5 bottles, 6 people in the model)." in words
    assert "To make sure: trials 9 and 10 differ in it alone; seal a session of these two." in words


def test_only_opened_sessions_count_and_a_sealed_one_is_not_read(brief_of_four: scenes.Scene) -> None:
    scene = brief_of_four
    assert of_taught.taught_lines(taught(scene)) == (of_taught.NOTHING,)
    rate(scene, ("8", "10"), opened=False, title="Still sealed")
    assert taught(scene).sessions == {}
    first = rate(scene, ("7", "8"), title="Opened")
    found = taught(scene)
    assert list(found.sessions) == [first]
    assert found.sessions[first] == scene.trial_ids
    told = str(titles(scene))
    assert "Still sealed" not in told
    assert "trial 10" not in told
    assert "An interval takes three bottles more than changes" in told


def test_changes_never_separated_are_one_group_and_the_bottle_that_is_made_already_is_named(
    brief_of_four: scenes.Scene,
) -> None:
    scene = brief_of_four
    rate(scene, ("7", "10"), title="All at once")
    (both,) = taught(scene).learnt
    assert both.told == TOGETHER
    assert len(both.changes) == 2
    ((title, lines),) = titles(scene).items()
    assert title == f"{OIL_RAISED} and {RESIN_RAISED}"
    assert "marker" not in str(titles(scene, with_formulas=False))
    assert lines[0] == "2 changes never separated: the numbers are of all of them together."
    assert lines[-1] == "To separate: rate trials 7 and 8 in one session; both are made."


def test_where_no_trial_is_made_that_separates_them_one_bottle_is_named_to_mix(notebook: Any) -> None:
    scene = scenes.scene(notebook, people=6)
    book.change_trial(
        notebook, scene.trial_ids[1], label="8", changed="more cedar; no fig", parent_id=scene.trial_ids[0]
    )
    rate(scene, ("7", "8"))
    ((title, lines),) = titles(scene).items()
    assert title == "“more cedar” and “no fig”"
    assert lines[-1] == "To separate: mix one bottle, trial 7 with this alone: “more cedar”; rate it beside trial 7."


def test_what_only_differs_from_day_to_day_has_no_number(brief_of_four: scenes.Scene) -> None:
    scene = brief_of_four
    rate(scene, ("7", "8"))
    rate(scene, ("9", "10"))
    found = {one.changes[0].to_id: one for one in taught(scene).learnt}
    resin = found[ids(scene)["9"]]
    assert (resin.told, resin.rows) == (NOT_TOLD, ())
    assert "so that it may be the day as well" in "\n".join(titles(scene)[RESIN_RAISED])


def test_a_typed_change_counts_where_formulas_are_not_known_and_as_itself_in_another_line(notebook: Any) -> None:
    scene = scenes.scene(notebook, people=6)
    nine = book.add_trial(notebook, scene.brief_id, "9", scene.trial_ids[0], "a fig leaf", **STRENGTH)
    book.add_trial(notebook, scene.brief_id, "10", nine.id, "Vetiver  2 to 3.", **STRENGTH)
    rate(scene, ("7", "8", "9", "10"))
    told = titles(scene)
    assert list(told) == ["“vetiver 2 to 3”", "“a fig leaf”"]
    assert len(taught(scene).learnt) == 2  # that of trial 10 is that of trial 8


def test_a_report_names_changes_of_formulas_only_where_ticked(brief_of_four: scenes.Scene) -> None:
    scene = brief_of_four
    rate(scene, ("7", "8", "10"))

    def text(**ticked: bool) -> str:
        made = brief.report(scene.notebook, scene.brief_id, **ticked)
        return "\n".join(one.text for one in made.blocks if isinstance(one, Text))

    assert of_taught.TITLE in text()
    assert "The change from trial 7 to trial 8" in text()
    assert of_taught.UNNAMED in text()
    assert "marker" not in text()
    assert of_taught.UNNAMED not in text(formulas=True)
    assert OIL_RAISED in text(formulas=True).split(of_taught.TITLE)[1]
