"""The page Off-note: suspects of a formula, the seal, the next sitting in one press, and what it finds."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from streamlit.testing.v1 import AppTest

from evaluation.actions import book, bottle_book, plan, series_sittings, skin, tracing
from evaluation.actions.doors import CONDUCTOR, Visitor
from tests.actions.test_tracing import asked, made, smelt

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def page(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


def at_trace(page: AppTest) -> AppTest:
    page = page.run()
    page.switch_page("off_note.py").run()
    assert not page.exception
    return page


def shown(page: AppTest) -> str:
    parts = [*page.markdown, *page.header, *page.caption, *page.info, *page.get("html")]
    return " ".join(str(getattr(one, "value", None) or one.proto.body) for one in parts).replace("\\", "")


def press(page: AppTest, label: str) -> AppTest:
    page = next(one for one in page.button if one.label == label).click().run()
    assert not page.exception
    return page


def test_a_note_is_traced_from_ticked_suspects_to_the_one_that_stands_out(page: AppTest, notebook: Any) -> None:
    scene, named = made(notebook)
    page = at_trace(page)
    page = page.selectbox[-1].set_value(scene.trial_ids[0]).run()
    suspects = next(one for one in page.pills if "Suspects" in one.label)
    assert suspects.options == ["Fig base 30 %", "Cedar oil 20 %", "Birch tar 2 %"]
    page = suspects.set_value([named["Birch tar"], named["Cedar oil"]]).run()
    # two suspects at .05 ask for 40 to 1; a third of 1.25^n + 1.5^n + 1.75^n is 39.8 at n = 8 and 66.6 at n = 9
    assert "reaches 40 to 1" in shown(page)
    assert "At the soonest 9 answers about one suspect" in shown(page)
    page = next(one for one in page.text_input if one.label.startswith("The note")).set_value("rubbery").run()
    page = (
        next(one for one in page.multiselect if one.label.startswith("Who of them"))
        .set_value([scene.panelist_ids[0]])
        .run()
    )
    page = press(page, "Seal the series")
    (found,) = tracing.traces(notebook, scene.brief_id)
    assert [one.label for one in book.trials(notebook, scene.brief_id)][2:] == [
        "7 − Birch tar",
        "7 − Cedar oil",
    ]
    assert "Nobody stands out yet" in shown(page)
    assert "The next sitting asks 6 noses about Birch tar, 2 pairs each: 24 strips." in shown(page)
    assert "whoever has read it smells for that material" in shown(page)
    assert any("The mixing day of at least one is not recorded" in one.value for one in page.warning)
    # nothing is mixed yet: sealing asks back, once; the sheet is one tap away
    warned = " ".join(one.value for one in page.warning).replace("\\", "")
    assert "trial 7 − Birch tar: the day it was mixed and the day it was diluted" in warned
    assert "afterwards it cannot be written any more" in warned
    assert f"/sheets/{found.sealed.id}/trace-weighing?grams=10" in shown(page)
    assert next(one for one in page.button if one.label == "Seal the next sitting").disabled
    page = next(one for one in page.checkbox if one.label.startswith("Seal it all the same")).check().run()
    press(page, "Seal the next sitting")
    (sitting,) = plan.sessions(notebook, scene.brief_id)
    assert (sitting.state, found.sealed.part_of(sitting.plan)) == ("sealed", "Birch tar")
    smelt(notebook, sitting, 1.0)
    assert series_sittings.series_found(notebook, found.sealed.id).added.trace is not None
    told = shown(at_trace(page))
    assert "“Rubbery” comes from Birch tar, as far as these bottles tell" in told
    assert "Birch tar: the note stronger with it in 12 of 12 answers" in told
    assert "Stopped early: 24 strips smelt" in told
    # five others, 10 of 10: past 40 to 1 as well
    assert "Without the answers of those who made it or know the formula: “Rubbery” comes from Birch tar" in told


def test_written_bottles_are_sealed_in_one_press_and_one_order_stands_on_the_page(page: AppTest, notebook: Any) -> None:
    scene, named = made(notebook)
    wanted = [named["Cedar oil"], named["Birch tar"]]
    sealed = tracing.seal_trace(notebook, scene.trial_ids[0], wanted, asked(scene))
    for each in book.trials(notebook, scene.brief_id):
        bottle_book.change_bottle(notebook, each.id, mixed_on=date(2026, 1, 2), diluted_on=date(2026, 1, 3))
    page = at_trace(page)
    assert "Next to smell: trial 7 against the bottle without Cedar oil." in shown(page)
    assert not [one for one in page.checkbox if one.label.startswith("Seal it all the same")]
    press(page, "Seal the next sitting")
    told = shown(at_trace(page))
    assert "On the bench: trial 7 against the bottle without Cedar oil. After it, if you seal another" in told
    assert "sitting now: Birch tar." in told
    assert "The next sitting asks 6 noses about Birch tar" in told
    assert "Next to smell" not in told
    assert tracing.on_bench(series_sittings.series_found(notebook, sealed.id)) == ("Cedar oil",)


def test_without_a_formula_the_page_says_where_to_begin(page: AppTest, notebook: Any) -> None:
    from tests.scenes import scene

    scene(notebook)
    assert "No trial of this brief has a formula" in shown(at_trace(page))


def test_without_a_solvent_the_page_says_what_to_mark(page: AppTest, notebook: Any) -> None:
    scene, named = made(notebook)
    skin.change_material(notebook, named["Carrier"], solvent=False)
    page = at_trace(page)
    assert any("No material of this formula is marked as solvent" in one.value for one in page.warning)
    assert tracing.solvent_of(notebook, scene.trial_ids[0]) is None
