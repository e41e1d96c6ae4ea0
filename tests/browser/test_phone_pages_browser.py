"""The conductor's pages on a phone: nothing lies over text, and what is looked for first is in view."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import BrowserContext, Locator, Page, expect

from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests import scenes
from tests.actions.test_profile_findings import opened, woody_for_an_hour
from tests.browser.conftest import PHONE, Served
from tests.browser.waiting import settled

WIDE = PHONE["width"]


def right(place: Locator) -> float:
    """Where an element ends, in pixels from the left."""
    box = place.bounding_box()
    assert box is not None
    return box["x"] + box["width"]


def header_ground(page: Page) -> str:
    """The colour under the menu's button, which stays while a page is scrolled."""
    found: str = page.get_by_test_id("stHeader").evaluate("one => getComputedStyle(one).backgroundColor")
    return found


def test_tabs_menu_and_numbers_on_a_phone(served: Served, device: Callable[..., BrowserContext]) -> None:
    notebook = Notebook.open(served.file, SystemClock())
    opened(scenes.scene(notebook, people=8), woody_for_an_hour)
    notebook.close()
    page = device(PHONE).new_page()
    page.goto(f"{served.origin}/skin")
    last = page.get_by_role("tab", name="Reactions")
    last.wait_for()
    settled(page)
    assert right(last) <= WIDE
    assert header_ground(page) == "rgb(250, 247, 240)", "text would be seen through the menu"
    page.goto(f"{served.origin}/findings")
    page.get_by_role("radio", name="Numbers").or_(page.get_by_role("button", name="Numbers")).first.click()
    for name in ("p", "p in the family"):
        head = page.get_by_role("columnheader", name=name, exact=True).first
        expect(head).to_be_visible()
        settled(page)
        assert right(head) <= WIDE
