"""Alone in a real browser: a pair of triangle sets from the first strip to the marks, and a countdown that runs there."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import solo
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.browser.ballot_desk import CHOICES, LOCK
from tests.browser.conftest import LAPTOP, Served
from tests.browser.waiting import PATIENCE, opened, read, settled, until
from tests.scenes import scene

LAID_OUT = "The set is laid out"
READ_BACK = "Read these marks back"


@pytest.fixture
def own_server(tmp_path: Path) -> Iterator[Served]:
    one = Served(tmp_path / "alone.sqlite")
    one.start()
    yield one
    one.end()


def test_two_sets_alone_from_the_first_strip_to_the_findings(
    own_server: Served, device: Callable[..., BrowserContext], screenshots: Path
) -> None:
    notebook = Notebook.open(own_server.file, SystemClock())
    session = scene(notebook, people=1).sealed(solo=True, replicates=6)
    page = device(LAPTOP).new_page()
    page.goto(own_server.origin)
    page.get_by_test_id("stSidebarNav").get_by_role("link", name="Alone").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Alone")
    settled(page)
    page.screenshot(path=screenshots / "alone-01-laying-out.png", full_page=True)

    smell(page, notebook, session.id, "No", screenshots)
    counts_down(page)
    expect(page.get_by_role("button", name=LAID_OUT)).to_be_disabled()
    page.screenshot(path=screenshots / "alone-04-rest.png", full_page=True)
    smell(page, notebook, session.id, "Yes", screenshots)
    expect(page.locator("#solo-left")).to_be_visible()
    settled(page)
    told = read(page.locator("[data-testid=stMain]"), "to go").replace("left to right", "")
    assert not re.search(r"\b(right|wrong|score|correct)\b", told)

    opened(page, "Stop early")
    page.get_by_role("button", name="Close the session now").click()
    expect(page.get_by_role("heading", name="Enter the marks")).to_be_visible()
    settled(page)
    enter(page, 1, "AB")
    enter(page, 2, "AAB")
    page.screenshot(path=screenshots / "alone-05-marks.png", full_page=True)
    page.get_by_role("button", name=READ_BACK).click()
    expect(page.get_by_text("Set 1: enter 3 letters in the order of the codes")).to_be_visible()
    settled(page)
    enter(page, 1, "a b a")
    page.get_by_role("button", name=READ_BACK).click()
    expect(page.get_by_text("both sets hold the same trial twice: 1 and 2")).to_be_visible()
    settled(page)
    page.screenshot(path=screenshots / "alone-06-read-back.png", full_page=True)
    page.get_by_role("button", name="Correct them").click()
    expect(page.get_by_role("textbox", name=re.compile("^Set 1:"))).to_have_value("a b a")
    settled(page)
    enter(page, 2, "ABB")
    page.get_by_role("button", name=READ_BACK).click()
    page.get_by_role("button", name="Enter these marks for good").click()
    page.get_by_role("button", name="Open the session").click()
    # always the first code: wrong in A B A (the second is odd), right in A B B
    expect(page.locator(".mo-word")).to_have_text("Undecided")
    expect(page.get_by_text("1 of 2, from 1 person")).to_be_visible()
    expect(page.get_by_text("rests on that person’s word")).to_be_visible()
    notebook.close()


def smell(page: Page, notebook: Any, session_id: str, recognised: str, screenshots: Path) -> None:
    """Tick every step, lay out, answer with the first code, put away."""
    expect(page.get_by_role("button", name=LAID_OUT)).to_be_visible()
    code = solo.next_step(notebook, session_id).codes[0]
    tick(page)
    page.get_by_role("button", name=LAID_OUT).click()
    expect(page.get_by_role("button", name=LAID_OUT)).to_have_count(0)
    for number, said in enumerate((code, "unsure", recognised), start=1):
        choice = page.locator(CHOICES).filter(has_text=re.compile(rf"^\s*{said}\s*$", re.IGNORECASE)).first
        expect(choice).to_be_visible()
        settled(page)
        box = until(page, choice.bounding_box, f"{said} drawn")
        assert box["height"] >= 44  # WCAG 2.5.5
        choice.click()
        expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
        settled(page)
        if number == 1 and recognised == "No":
            page.screenshot(path=screenshots / "alone-02-answer.png", full_page=True)
        gone = read(page.get_by_text(re.compile(r"^Question \d+ of \d+$")), r"^Question \d+ of \d+$")
        page.get_by_role("button", name=LOCK).click()
        expect(page.get_by_text(gone, exact=True)).to_have_count(0)
    expect(page.get_by_role("button", name="The set is put away")).to_be_visible()
    settled(page)
    page.screenshot(path=screenshots / "alone-03-put-away.png", full_page=True)
    tick(page)
    page.get_by_role("button", name="The set is put away").click()
    expect(page.get_by_role("button", name="The set is put away")).to_have_count(0)
    settled(page)


def tick(page: Page) -> None:
    """Every box of the step, "go on before the rest is over" with them."""
    settled(page)
    boxes = page.locator("[data-testid=stMain] [data-testid=stCheckbox] label").filter(visible=True)
    expect(boxes.first).to_be_visible()
    for at in range(boxes.count()):
        boxes.nth(at).click()
        expect(boxes.nth(at).locator("input")).to_be_checked()
    expect(page.locator("[data-testid=stMain] button[kind=primary]").first).to_be_enabled()
    settled(page)


def counts_down(page: Page) -> None:
    """The browser counts by itself: the time changes in one and the same place, and the server draws a new one."""
    expect(page.locator("#solo-left")).to_have_text(re.compile(r"^[0-3]:\d\d$"))
    before, after = page.evaluate(_COUNTED, PATIENCE)
    assert seconds(after) < seconds(before) <= 180


_COUNTED = """patience => new Promise((resolve, reject) => {
  const ends = performance.now() + patience;
  let place = null, first = "";
  const look = () => {
    const now = document.getElementById("solo-left");
    if (now !== place) { place = now; first = ""; }
    const shown = now ? now.textContent : "";
    if (first && shown && shown !== first) return resolve([first, shown]);
    first = first || shown;
    if (performance.now() > ends) return reject(new Error("it stands still at " + shown));
    setTimeout(look, 50);
  };
  look();
})"""


def seconds(shown: str) -> int:
    minutes, rest = shown.split(":")
    return int(minutes) * 60 + int(rest)


def enter(page: Page, place: int, order: str) -> None:
    box = page.get_by_role("textbox", name=re.compile(f"^Set {place}:"))
    box.fill(order)
    expect(box).to_have_value(order)
    settled(page)
