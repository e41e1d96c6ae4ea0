"""A perfumer with two trials and three friends, from an empty page Skin to a sealed session: each step says what is next."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import aims, book, formulas, skin
from evaluation.actions import plan as planning
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.clock import SteppedClock
from evaluation.formulas import read_lines
from tests.scenes import RATED

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def opened(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], AppTest]]:
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page(name: str) -> AppTest:
        page = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        page.switch_page(f"{name}.py").run()
        assert not page.exception
        return page

    yield open_page
    house.put(None)


def by(widgets: Any, label: str) -> Any:
    return next(one for one in widgets if label in one.label)


def press(page: AppTest, label: str) -> None:
    by(page.button, label).click().run()
    assert not page.exception


def words(page: AppTest) -> str:
    kinds = [*page.markdown, *page.caption, *page.warning, *page.info, *page.success, *page.error]
    return "\n".join(one.value for one in kinds).replace("\\", "")


def enter_material(page: AppTest, name: str, limit: str, document: str, dated: date) -> None:
    by(page.text_input, "Material").set_value(name)
    by(page.text_input, "Limit on skin").set_value(limit)
    by(page.text_input, "Document it is from").set_value(document)
    by(page.date_input, "Date of that document").set_value(dated)
    press(page, "Add material")


def write_trial(notebook: Any, page: AppTest, trial_id: str, lines: str, strength: str) -> None:
    formulas.write(notebook, trial_id, read_lines(lines), Decimal(100))  # on the page Trial book
    page.selectbox(key="skin trial").set_value(trial_id).run()
    by(page.text_input, "Strength of the solution").set_value(strength)
    press(page, "Save strength on skin")


def ask(page: AppTest, panelist_id: str) -> None:
    by(page.selectbox, "Person to ask").set_value(panelist_id).run()
    for radio in page.radio:
        if radio.options == ["Yes", "No"]:
            radio.set_value("Yes" if radio.label.startswith("Consents") else "No")
    press(page, "Write down")


def read_all(notebook: Any, page: AppTest) -> None:
    for one in skin.patches(notebook):
        by(page.selectbox, "Patch to read").set_value(one.id)
        by(page.radio, "What is to be seen").set_value("clear")
        press(page, "Write down the reading")
        assert not page.error or "Shut" in page.error[0].value


def test_from_an_empty_page_to_a_sealed_session(opened: Any, notebook: Any, clock: SteppedClock) -> None:
    assert "Begin with the trial book." in words(opened("skin"))
    brief = book.add_brief(notebook, "Salt and fig")
    assert "Next: write the trials into the trial book." in words(opened("skin"))
    seven = book.add_trial(notebook, brief.id, "7", strength_percent=Decimal(10))
    eight = book.add_trial(notebook, brief.id, "8", seven.id, "more fig", strength_percent=Decimal(10))

    page = opened("skin")
    assert "Next: enter each material with its limit (tab Materials and limits)." in words(page)
    enter_material(page, "Fig base", "5", "invented sheet 12", date(2019, 1, 1))
    enter_material(page, "Vetiver oil", "0.5", "invented sheet 13", date(2025, 1, 1))
    enter_material(page, "fig  BASE", "9", "invented sheet 14", date(2025, 1, 1))
    assert "Material must be new: there is 'Fig base' already" in words(page)
    assert "Next: write formula (trial book) and strength (tab Trials) of each trial to be worn." in words(page)
    write_trial(notebook, page, seven.id, "Fig base; 97\nvetiver OIL; 3", "40")
    told = words(page)
    assert "Strength on skin of trial 7: 40 %." in told  # saved, and not called fit for skin
    assert "nearly undiluted: at most 30 % would be accepted" in told
    write_trial(notebook, page, seven.id, "Fig base; 97\nVetiver oil; 3", "4")
    write_trial(notebook, page, eight.id, "Fig base; 95\nVetiver oil; 5", "4")
    assert "The limit of Fig base is from “invented sheet 12” of 1 Jan 2019: enter a newer document, or" in words(page)
    fig = next(one.id for one in skin.materials(notebook) if one.name == "Fig base")
    by(page.selectbox, "Document that is still current").set_value(fig)
    by(page.text_input, "Who looked").set_value("Mara, perfumer")
    press(page, "It is still current")
    assert "Next: add people on the page Panel." in words(page)

    friends = [book.add_panelist(notebook, name) for name in ("Ida", "Otto", "Pia")]
    page = opened("skin")
    assert "Next: ask each person who is to have something on skin (tab People)." in words(page)
    for one in friends:
        ask(page, one.id)
    assert "Next: put patches on (tab Patch tests)." in words(page)
    assert "First possible date of trial 8 for the 3 people who were asked about skin: 3 Jan 2026, 08:00" in words(page)
    for one in friends:
        page.selectbox(key="patched").set_value(one.id).run()
        press(page, "Draw codes and places")
    assert words(page).count("for the first time, until 2 Jan 2026, 16:00 (tab Patch tests).") == 3

    clock.forward(minutes=20 * 60)
    read_early = skin.patches(notebook)[0].id
    page.run()
    by(page.selectbox, "Patch to read").set_value(read_early)
    by(page.radio, "What is to be seen").set_value("clear")
    press(page, "Write down the reading")
    assert "A patch is first read clear 48 to 56 hours after it was put on, this one in 28 h" in words(page)
    clock.forward(minutes=30 * 60)
    page.run()
    assert words(page).count("Read now the patches") == 3
    read_all(notebook, page)
    assert words(page).count("for the second time (tab Patch tests).") == 3

    plan = opened("plan")
    assert "Skin gate: shut." in words(on_skin(plan, notebook, brief.id))
    assert "First possible date: 3 Jan 2026, 08:00" in words(plan)
    clock.forward(minutes=24 * 60)
    page.run()
    read_all(notebook, page)
    told = words(page)
    assert "Open for the 3 people who were asked about skin: plan a session on skin." in told
    assert "Until 7 Jan 2026, 08:00 Ida, Otto and Pia tell you of anything that still shows at the patches." in told

    plan = on_skin(opened("plan"), notebook, brief.id)
    assert "Skin gate: open for everybody planned." in words(plan)
    for tick in plan.checkbox:
        if tick.label.startswith("I know that"):
            tick.check()
    press(plan, "Seal this plan")
    (session,) = planning.sessions(notebook, brief.id)
    assert (session.state, session.plan.medium, session.plan.people) == ("sealed", "skin", 3)


def on_skin(page: AppTest, notebook: Any, brief_id: str) -> AppTest:
    """Answer the plan's first questions: rate words, on skin."""
    aims.save_descriptors(notebook, brief_id, RATED)
    page.radio[0].set_value(page.radio[0].options[0]).run()
    by(page.radio, "**What is this session to find out?**").set_value("profile").run()
    by(page.radio, "Medium").set_value("skin").run()
    assert not page.exception
    return page
