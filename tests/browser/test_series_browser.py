"""A series and a final in a real browser: planned, sealed sitting by sitting, told, and decided on."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import bench, book, series_sittings
from tests.browser.ballot_desk import Desk, desk_beside
from tests.browser.conftest import LAPTOP, Served
from tests.browser.waiting import opened, pick, settled
from tests.scenes import answer_by_worth, begun
from tests.sittings_played import opened as key_opened
from tests.sittings_played import smell_apart

Device = Callable[..., BrowserContext]


@pytest.fixture(scope="module")
def desk(served: Served) -> Iterator[Desk]:
    with desk_beside(served) as beside:
        yield beside


def go(page: Page, desk: Desk, name: str, heading: str) -> None:
    page.goto(f"{desk.served.origin}/{name}")
    expect(page.get_by_role("heading", name=heading, exact=True).first).to_be_visible()
    settled(page)


def sealed_sitting(page: Page, desk: Desk) -> Any:
    """One more sitting of the newest series, sealed on the page, which leads on to the bench."""
    page.get_by_role("button", name="Seal this sitting").first.click()
    expect(page.get_by_role("heading", name="Bench", exact=True)).to_be_visible()
    return series_sittings.series_of(desk.notebook, desk.scene.brief_id)[-1].sessions[-1]


def test_a_series_and_a_final_are_played_to_a_decision(desk: Desk, device: Device) -> None:
    page = device(LAPTOP).new_page()
    go(page, desk, "plan", "Plan")
    page.get_by_text("No, or I am not sure").click()
    inside = opened(page, "Or seal it as a series")
    expect(inside).to_contain_text("1.4 to 2.1 times as many")
    inside.get_by_role("button", name="Seal as a series").click()
    expect(page.get_by_text("Nothing opened yet")).to_be_visible()
    settled(page)
    smell_apart(desk.scene, sealed_sitting(page, desk), lambda seat, place: True)
    go(page, desk, "series", "Series and finals")
    expect(page.get_by_role("heading", name="Noticed", exact=True)).to_be_visible()
    expect(page.get_by_text(re.compile(r"Evidence now \d+ to 1, needed 20 to 1"))).to_be_visible()

    pick(page, "The trial it is held for", "trial 8")
    page.get_by_text("I hold this final about trial 8 against trial 7").click()
    page.get_by_role("button", name="Seal this final").click()
    expect(page.get_by_role("heading", name="Final: trial 8 against trial 7")).to_be_visible()
    settled(page)
    session = sealed_sitting(page, desk)
    bench.start(desk.notebook, session.id)
    begun(desk.notebook, session.id)
    answer_by_worth(desk.notebook, session.id, lambda seat, letter: float(letter == "B"))
    key_opened(desk.scene, session)
    go(page, desk, "series", "Series and finals")
    expect(page.get_by_role("heading", name="Keep", exact=True)).to_be_visible()
    expect(page.get_by_text("This panel chose the same one again")).to_be_visible()  # they met in the series
    go(page, desk, "decide", "Decision")
    expect(page.get_by_text("Keep trial 8: the answers of its final speak")).to_be_visible()
    expect(page.get_by_text("worn on skin for a day")).to_be_visible()


def test_pairs_planned_by_a_press_are_seen_in_the_brief_they_belong_to(desk: Desk, device: Device) -> None:
    """The press lies in a fragment: the plan page once stood at the first brief of the book, without the draft."""
    second = book.add_brief(desk.notebook, "A second brief")
    for label in ("1", "2", "3"):
        book.add_trial(desk.notebook, second.id, label)
    page = device(LAPTOP).new_page()
    go(page, desk, "decide", "Decision")
    page.get_by_role("button", name="Plan these pairs").click()
    expect(page.get_by_role("heading", name="Draft: Next by worth")).to_be_visible()
    expect(page.get_by_role("combobox", name="Brief")).to_have_value("A second brief")
