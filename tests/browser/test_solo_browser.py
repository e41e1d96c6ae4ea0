"""Alone in a real browser, on a phone: vials filled, dipped, waited for, smelt at their age, and the marks at the end."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from evaluation.actions import solo
from evaluation.clock import SystemClock
from evaluation.keeping import receipts_told
from evaluation.store import Notebook
from tests.browser.ballot_desk import CHOICES, LOCK
from tests.browser.conftest import Served, Snap
from tests.browser.waiting import PATIENCE, opened, read, settled, until
from tests.scenes import scene

LEAST_PX = 44  # WCAG 2.5.5


@pytest.fixture
def own_server(tmp_path: Path) -> Iterator[Served]:
    one = Served(tmp_path / "alone.sqlite")
    one.start()
    yield one
    one.end()


def test_two_sets_alone_from_the_first_strip_to_the_findings(
    own_server: Served, device: Callable[..., BrowserContext], snap: Snap
) -> None:
    notebook = Notebook.open(own_server.file, SystemClock())
    session = scene(notebook, people=1).sealed(solo=True, replicates=6, preparation="vials")
    page = device().new_page()
    page.goto(f"{own_server.origin}/solo")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Alone")
    expect(page.get_by_text("18 like vials with like caps")).to_be_visible()
    settled(page)
    snap(page, "alone-01-needed", full_page=True)
    dipped, smelling = (page.get_by_role("button", name=name, exact=True) for name in ("Dipped", "Smell now"))
    press(page, "The vials are filled and bagged", dipped)

    press(page, "Dipped", smelling)
    counts_down(page)
    settled(page)
    snap(page, "alone-02-waiting", full_page=True)
    press(page, "Smell now", page.get_by_text("Smell them now anyway? It is noted as early."))
    assert solo.next_step(notebook, session.id).kind == "wait"
    smell(page, notebook, session.id, "no", snap)
    press(page, "Dipped", smelling)
    smell(page, notebook, session.id, "yes", snap)
    told = read(page.locator("[data-testid=stMain]"), "Dipped").replace("left to right", "")
    assert not re.search(r"\b(right|wrong|score|correct)\b", told)
    kept = page.locator("#receipts li")
    expect(kept).to_have_count(2)  # one for each set, as a phone keeps them
    receipts = [one.split(" · ")[1] for one in kept.all_text_contents()]
    assert [one.held for one in receipts_told.look_up(notebook, receipts)] == [True, True]

    opened(page, "Stop early")
    page.get_by_role("button", name="Close the session now").click()
    expect(page.get_by_role("heading", name="Enter the marks")).to_be_visible()
    settled(page)
    other = page.get_by_role("textbox", name=re.compile("^Set 1, letter by letter"))
    choose(page, 1, "other", other)
    other.fill("AB")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Set 1: enter 3 letters in the order of the codes")).to_be_visible()
    settled(page)
    choose(page, 1, "A B A", page.get_by_text(re.compile(r"^Set 1: \d+ A, \d+ B, \d+ A\.$")))
    choose(page, 2, "A B B", page.get_by_text(re.compile(r"^Set 2: \d+ A, \d+ B, \d+ B\.$")))
    snap(page, "alone-05-marks", full_page=True)
    page.get_by_role("button", name="Enter these marks for good").click()
    page.get_by_role("button", name="Open the session").click()
    # always the first code: wrong in A B A (the second is odd), right in A B B
    expect(page.locator(".mo-word")).to_have_text("Undecided")
    expect(page.get_by_text("1 of 2, from 1 person")).to_be_visible()
    expect(page.get_by_text("rests on that person’s word")).to_be_visible()
    notebook.close()


def press(page: Page, label: str, then: Locator) -> None:
    """A tap on what is as tall as a thumb, until the page shows what comes after it."""
    button = page.get_by_role("button", name=label, exact=True)
    expect(button).to_be_enabled()
    settled(page)
    assert until(page, button.bounding_box, f"{label} drawn")["height"] >= LEAST_PX
    button.click()
    expect(then).to_be_visible()
    settled(page)


def smell(page: Page, notebook: Any, session_id: str, recognised: str, snap: Snap) -> None:
    """The strips are of their age at once; answer with the first code."""
    of_age(notebook, session_id)
    page.reload()
    expect(page.get_by_text("is due: take its strips")).to_be_visible()
    press(page, "Smell now", page.get_by_role("button", name=LOCK))
    expect(page.get_by_role("button", name=LOCK)).to_be_disabled()
    code = solo.next_step(notebook, session_id).codes[0]
    for said in (code, "unsure", recognised):
        choice = page.locator(CHOICES).filter(has_text=re.compile(rf"^\s*{said}\s*$", re.IGNORECASE)).first
        expect(choice).to_be_visible()
        settled(page)
        assert until(page, choice.bounding_box, f"{said} drawn")["height"] >= LEAST_PX
        choice.click()
        settled(page)
    expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
    if recognised == "no":
        snap(page, "alone-03-answer", full_page=True)
    page.get_by_role("button", name=LOCK).click()
    expect(page.get_by_role("button", name="Dipped", exact=True)).to_be_visible()
    settled(page)


def of_age(notebook: Any, session_id: str) -> None:
    """Written down as dipped so long ago that the next set is due now, as somebody does whose tap came late."""
    step = solo.next_step(notebook, session_id)
    first = step.waiting[0]
    with notebook.writing() as tx:
        serving = next(one for one in tx.sittings.servings(session_id) if one.place == first.place)
        tx.live.dip(serving.id, first.dipped_at - max(0, first.due_at - step.moment), "five minutes of a test")


def counts_down(page: Page) -> None:
    """The browser counts by itself: the time changes in one and the same place."""
    expect(page.locator(".count-clock")).to_have_text(re.compile(r"^[0-4]:\d\d$"))
    before, after = page.evaluate(_COUNTED, PATIENCE)
    assert seconds(after) < seconds(before) <= 300


_COUNTED = """patience => new Promise((resolve, reject) => {
  const ends = performance.now() + patience;
  let place = null, first = "";
  const look = () => {
    const now = document.querySelector(".count-clock");
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


def choose(page: Page, place: int, order: str, then: Locator) -> None:
    """One tap, until the page says what was understood."""
    codes = page.get_by_text(re.compile(rf"^Set {place}: \d+, \d+"))
    group = page.locator("[data-testid=stButtonGroup]").filter(has=codes)
    group.get_by_text(order, exact=True).click()
    expect(then).to_be_visible()
    settled(page)
