"""The whole job in a real browser: one conductor, three panelists on phones, from an empty book to the verdict.

Once on a file, once on PostgreSQL with two processes of the app on one database.
"""

from __future__ import annotations

import re
import secrets
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.browser.ballot_desk import CHOICES, LOCK, count, faults, fresh, press_begin
from tests.browser.conftest import LAPTOP, Served, Snap
from tests.browser.waiting import opened, pick, settled, until
from tests.postgres import own_schema, postgres

PEOPLE = ("Wren", "Pike", "Moth")


@pytest.fixture(params=["file", postgres])
def servers(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[list[Served]]:
    """Servers of this test's own, as the book must be empty: one on a file, or two on one database server."""
    if request.param == "file":
        yield from running(Served(tmp_path / "whole.sqlite"))
        return
    secret = secrets.token_hex(32)
    with own_schema() as database:
        yield from running(*(Served(tmp_path / name, database, secret) for name in ("one", "two")))


def running(*servers: Served) -> Iterator[list[Served]]:
    try:
        for one in servers:
            one.start()
        yield list(servers)
    finally:
        for one in servers:
            one.end()


@pytest.fixture
def snap(snap: Snap, request: pytest.FixtureRequest) -> Snap:
    if "postgres" in request.node.name:
        return lambda *_: None  # the pictures would be the same

    def take(page: Page, name: str) -> None:
        settled(page)
        snap(page, f"whole-job-{name}", animations="disabled")

    return take


def test_three_panelists_tell_two_trials_apart_and_the_verdict_says_so(
    servers: list[Served], device: Callable[..., BrowserContext], snap: Snap
) -> None:
    first, last = servers[0], servers[-1]
    conductor = device(LAPTOP).new_page()
    conductor.goto(first.origin)
    if first.database:
        choose_a_passphrase(conductor, first)
    fill_the_book(conductor, snap)
    fill_the_panel(conductor, snap)
    plan_and_seal(conductor, snap)
    odd_of = read_the_key(conductor, snap)
    links = start_and_read_links(conductor, snap)
    assert sorted(links) == sorted(PEOPLE)
    for alias in PEOPLE:
        phone = device().new_page()
        phone.goto(links[alias] if alias == PEOPLE[0] else links[alias].replace(f":{first.port}/", f":{last.port}/"))
        answer(phone, odd_of[alias], snap if alias == PEOPLE[0] else lambda *_: None)
    conductor.goto(last.origin)  # with two processes: the other one knows the visit, the session and all answers
    close_and_open(conductor, snap)
    # 3 of 3 on a triangle: p = 1/27 by hand, so 3 were needed at alpha .05 (FAO V7180E, Appendix A, n = 3)
    expect(conductor.locator(".mo-word")).to_have_text("Noticed")
    settled(conductor)
    findings = conductor.get_by_test_id("stMain")
    for told in ("3 of 3", ".037", "this panel"):
        expect(findings).to_contain_text(told, use_inner_text=True)
    expect(findings).not_to_contain_text("people like this panel", use_inner_text=True)


def choose_a_passphrase(page: Page, served: Served) -> None:
    """With a database server nobody works without one, and the first is chosen with the code the terminal printed."""
    expect(page.get_by_role("heading", name="Mouillette")).to_be_visible()
    expect(page.get_by_test_id("stSidebarNav")).to_have_count(0)
    page.goto(f"{served.origin}/first-passphrase")
    page.get_by_label("New passphrase").fill("salt on warm stone")
    page.get_by_label("Once more").fill("salt on warm stone")
    page.get_by_label("Set-up code").fill(served.setup_code)
    page.get_by_role("button", name="Keep it").click()
    expect(page.get_by_test_id("stSidebarNav")).to_be_visible()


def go(page: Page, name: str) -> None:
    page.get_by_test_id("stSidebarNav").get_by_role("link", name=name).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text(name)
    settled(page)


def text(page: Page, name: str) -> Locator:
    return page.get_by_role("textbox", name=name, exact=True)


def fill_the_book(page: Page, snap: Snap) -> None:
    expect(text(page, "Title")).to_be_visible()
    settled(page)
    text(page, "Title").fill("Salt on warm stone")
    text(page, "What the scent must be").fill("Noon on a harbour wall: dry, mineral, a little sweet.")
    page.get_by_role("button", name="Add brief").click()
    expect(page.get_by_text("Brief “Salt on warm stone” is in the book.")).to_be_visible()
    settled(page)
    for label, changed in (("7", "Labdanum 3 to 4."), ("8", "Seaweed absolute 0.2 to 0.6, nothing else.")):
        page.get_by_role("tab", name="Add a trial").click()
        text(page, "Label, such as 7").fill(label)
        text(page, "What changed").fill(changed)
        text(page, "Strength of the smelling solution, % w/w").fill("10")
        page.get_by_role("button", name="Add trial").click()
        expect(page.get_by_text(f"Trial {label} is in the book.")).to_be_visible()
        settled(page)  # the fields are new ones, and empty
    page.get_by_role("tab", name="Trials", exact=True).click()
    snap(page, "01-trial-book")


def fill_the_panel(page: Page, snap: Snap) -> None:
    go(page, "Panel")
    for alias in PEOPLE:
        text(page, "Alias").first.fill(alias)
        page.get_by_role("button", name="Add to the panel").click()
        expect(page.get_by_text(f"{alias} is on the panel.")).to_be_visible()
        settled(page)
    snap(page, "02-panel")


def plan_and_seal(page: Page, snap: Snap) -> None:
    go(page, "Plan")
    page.get_by_text("No, or I am not sure").click()
    expect(page.get_by_text("Seal", exact=True)).to_be_visible()
    settled(page)
    nulls = page.get_by_label("Null sets per nose")  # one is offered: three of three right would warn
    expect(nulls).to_have_value("1")
    nulls.fill("0")
    nulls.press("Enter")
    expect(page.get_by_text("Each nose smells 3 strips in 1 set")).to_be_visible()
    settled(page)
    snap(page, "03-plan")
    known = page.get_by_role("checkbox", name="I know that this session can never end in")  # three answers show little
    expect(known).to_have_count(1)
    page.get_by_text("I know that this session can never end in").click()
    expect(known).to_be_checked()
    expect(page.get_by_text("Before sealing, confirm")).to_have_count(0)
    settled(page)
    page.get_by_role("button", name="Seal this plan").click()
    expect(page.get_by_text("” is sealed.").first).to_be_visible()
    settled(page)
    snap(page, "04-sealed")


def read_the_key(page: Page, snap: Snap) -> dict[str, str]:
    """Do what a preparer does: look up which vial every code is dipped in, and remember the odd code of each person."""
    go(page, "Bench")
    opened(page, "Key for whoever prepares the strips")
    pick(page, "Who is looking?", "Somebody who does not smell in this session")
    page.get_by_role("button", name="Show code and vial letter").click()
    expect(page.get_by_text("Dip in this order").first).to_be_visible()
    settled(page)
    snap(page, "05-key-for-the-preparer")
    odd = until(page, lambda: odd_codes(page), "three codes with their vials for each person")
    page.get_by_role("button", name="Hide the key").click()
    expect(page.get_by_text("Dip in this order")).to_have_count(0)
    settled(page)
    return odd


def odd_codes(page: Page) -> dict[str, str] | None:
    """The odd code of each person, read in one go; nothing while the key is not wholly there."""
    rows = (
        page.locator("tr")
        .filter(has_text="→")
        .evaluate_all("rows => rows.map(r => [...r.cells].map(c => c.textContent))")
    )
    pairs = {alias: re.findall(r"(\d{3})\s*→\s*([A-Z])", shown) for alias, shown, *_ in reversed(rows)}
    if not all(len(pairs.get(alias, ())) == 3 for alias in PEOPLE):
        return None
    return {alias: odd_one(pairs[alias]) for alias in PEOPLE}


def odd_one(pairs: list[tuple[str, str]]) -> str:
    letters = Counter(letter for _, letter in pairs)
    return next(code for code, letter in pairs if letters[letter] == 1)


def start_and_read_links(page: Page, snap: Snap) -> dict[str, str]:
    page.get_by_role("button", name="Start smelling").click()
    expect(page.get_by_text("Smelling has started").first).to_be_visible()
    opened(page, "Links and QR codes")  # the page shuts this part when smelling starts
    snap(page, "06-bench")
    return until(page, lambda: links_shown(page), "a link of its own for each person")


def links_shown(page: Page) -> dict[str, str] | None:
    """Person → link of the cards that show, each pair from one card; nothing while a card is not wholly there."""
    cards = page.locator("[data-testid=stColumn]:has(img[alt^='QR code of the ballot of'])").filter(visible=True)
    shown = cards.evaluate_all("cards => cards.map(c => [c.querySelector('img').alt, c.innerText])")
    read = {
        alt.removeprefix("QR code of the ballot of "): re.findall(r"http\S+/join/[\w-]+", text) for alt, text in shown
    }
    whole = len(shown) == len(read) == len(PEOPLE) and all(len(one) == 1 for one in read.values())
    links = {name: one[0] for name, one in read.items()} if whole else {}
    return links if len(set(links.values())) == len(PEOPLE) else None


def answer(phone: Page, odd: str, snap: Snap) -> None:
    phone.get_by_role("button", name="Begin").wait_for()
    settled(phone)
    snap(phone, "07-ballot-welcome")
    press_begin(phone)
    choose(phone, odd)
    snap(phone, "08-ballot-chosen")
    assert not faults(phone)
    locked(phone)
    choose(phone, "fairly sure")
    snap(phone, "09-ballot-sure")
    locked(phone)
    choose(phone, "No")
    snap(phone, "10-ballot-last")
    phone.get_by_role("button", name=LOCK).click()
    expect(phone.get_by_text(re.compile("thank", re.IGNORECASE)).first).to_be_visible()
    snap(phone, "11-ballot-done")


def choose(phone: Page, said: str) -> None:
    phone.locator(CHOICES).filter(has_text=re.compile(rf"^\s*{said}", re.IGNORECASE)).first.click()
    expect(phone.get_by_role("button", name=LOCK)).to_be_enabled()
    settled(phone)


def locked(phone: Page) -> None:
    before = count(phone)
    phone.get_by_role("button", name=LOCK).click()
    expect(phone.locator(".ballot-count span", has_text=before)).to_have_count(0)
    fresh(phone)


def close_and_open(page: Page, snap: Snap) -> None:
    go(page, "Findings")
    expect(page.get_by_text("Results stay hidden")).to_be_visible()
    expect(page.locator(".mo-word")).to_have_count(0)
    go(page, "Bench")
    expect(page.get_by_text("3 of 3 finished")).to_be_visible()
    snap(page, "12-bench-finished")
    page.get_by_role("button", name="Close the session").click()
    page.get_by_role("button", name="Close now").click()
    # going to another page at once would cut the closing off
    expect(page.get_by_text("The session is closed.").first).to_be_visible()
    settled(page)
    go(page, "Findings")
    snap(page, "13-findings-before-opening")
    page.get_by_role("button", name="Open the key", exact=True).click()
    page.get_by_role("button", name="Open the key now").click()
    expect(page.locator(".mo-word")).to_be_visible()
    page.set_viewport_size({"width": 1280, "height": 1700})
    settled(page)
    drawn = page.get_by_test_id("stVegaLiteChart").first.locator("canvas, svg")
    expect(drawn.first).to_be_visible()  # the chart is drawn after the words
    snap(page, "14-findings")
