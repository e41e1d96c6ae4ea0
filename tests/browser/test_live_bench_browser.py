"""A ballot that waits for its time, and the bench that calls, in a real browser; the clock is the server's own."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import BrowserContext, expect

from evaluation.actions import ballot, live
from evaluation.actions import timetable as planning
from evaluation.actions.timetable import Settings
from tests.browser.ballot_desk import Desk, desk_beside, faults
from tests.browser.conftest import LAPTOP, PHONE, Served, Snap
from tests.browser.waiting import settled
from tests.scenes import ages, answer_all, ballots, first_option

Device = Callable[..., BrowserContext]


@pytest.fixture
def desk(served: Served) -> Iterator[Desk]:
    with desk_beside(served) as one:
        yield one


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_ballot_waits_with_a_countdown_and_a_tap_ends_the_waiting(
    desk: Desk, device: Device, snap: Snap, scheme: str
) -> None:
    sitting = desk.smelling(asks=True, people=3, ages=ages(5, 10, 20), primary=300)
    found = planning.make(desk.notebook, sitting.session_id, Settings(desk.notebook.clock.now() + 60_000))
    board = live.board(desk.notebook, sitting.session_id)
    assert board is not None, found
    first_called = sitting.asked().serving_id
    asked = re.compile("^Nobody has tapped “Dipped” for these strips")
    if scheme == "light":  # dipped just now: far too early; in the dark nobody has tapped it
        live.dipped(desk.notebook, sitting.session_id, first_called)
        asked = re.compile(r"^Dipped \d+ s ago, planned \d+ min: smell now anyway\?$")
    page = sitting.join(device(PHONE, scheme))
    page.get_by_role("button", name="Begin").click()
    clock = page.locator(".count-clock:visible").first  # for a moment the old one may stand beside the new
    expect(clock).to_have_text(re.compile(r"^\d+:\d\d$"))
    first = clock.inner_text()
    expect(clock).not_to_have_text(first)
    settled(page)
    snap(page, f"ballot-waits-{scheme}")
    assert faults(page) == []
    page.get_by_role("button", name="I was called: smell now").click()
    expect(page.get_by_role("heading", name=asked)).to_be_visible()
    settled(page)
    snap(page, f"ballot-asks-{scheme}")
    assert faults(page) == []
    page.get_by_role("button", name="Wait").click()
    expect(clock).to_be_visible()
    page.get_by_role("button", name="I was called: smell now").click()
    page.get_by_role("button", name="Smell now anyway").click()
    expect(page.get_by_role("button", name="Lock this answer")).to_be_visible()


@pytest.mark.parametrize(("name", "size", "scheme"), [("phone", PHONE, "light"), ("laptop", LAPTOP, "dark")])
def test_the_bench_shows_what_is_due_and_takes_the_tap(
    desk: Desk, device: Device, snap: Snap, name: str, size: dict[str, int], scheme: str
) -> None:
    sitting = desk.smelling(asks=True, people=3, ages=ages(5, 10, 20), primary=300)
    planning.make(desk.notebook, sitting.session_id, Settings(desk.notebook.clock.now() + 60_000))
    page = device(size, scheme).new_page()
    page.goto(f"{desk.served.origin}/bench")
    tap = page.get_by_role("button", name="Dipped").first
    expect(tap).to_be_visible()
    expect(page.locator(".count-clock:visible").first).to_be_visible()
    settled(page)
    snap(page, f"bench-live-{name}-{scheme}", full_page=True)
    assert [one for one in faults(page) if one.startswith("pale")] == []  # "Close the session" was white on pink
    tap.click()
    expect(page.get_by_text("not dipped yet")).to_have_count(8)
    board = live.board(desk.notebook, sitting.session_id)
    assert board is not None
    assert len(board.done) == 1


def test_an_open_closing_question_follows_the_progress_beside_it(desk: Desk, device: Device, snap: Snap) -> None:
    """It used to keep the count of the moment the page was drawn: "3 of 3 have not finished" beside "3 of 3 finished"."""
    sitting = desk.smelling(people=3)
    page = device(LAPTOP, "light").new_page()
    page.goto(f"{desk.served.origin}/bench")
    page.get_by_role("button", name="Close the session").click()
    expect(page.get_by_text("3 of 3 have not finished.")).to_be_visible()
    for one in ballots(desk.notebook, sitting.session_id)[:3]:
        answer_all(desk.notebook, one.id)
    expect(page.get_by_text("3 of 3 finished.")).to_be_visible()
    expect(page.get_by_text("Everybody has finished. After closing no answer can be added.")).to_be_visible()
    expect(page.get_by_text("have not finished")).to_have_count(0)
    settled(page)
    snap(page, "bench-closing-question")
    page.get_by_role("button", name="Close now").click()
    expect(page.get_by_text("The session is closed.").first).to_be_visible()


def test_the_rest_between_two_sets_counts_down_quietly(desk: Desk, device: Device, snap: Snap) -> None:
    sitting = desk.smelling(asks=True, people=3, ages=ages(5, 90), primary=300)
    first = sitting.asked().serving_id
    while sitting.asked().serving_id == first:
        asked = sitting.asked()
        ballot.lock(desk.notebook, sitting.ballot_ids[0], first, asked.name, first_option(asked))
    page = sitting.join(device(PHONE, "dark"))
    clock = page.locator(".count-calm .count-clock")
    expect(clock).to_have_text(re.compile(r"^2:\d\d$"))
    shown = clock.inner_text()
    expect(clock).not_to_have_text(shown)
    expect(page.get_by_role("button", name="Ready")).to_have_count(0)  # it neither rings nor holds anybody
    page.get_by_role("button", name="Smell now anyway").click()
    expect(page.get_by_role("button", name="Lock this answer")).to_be_visible()
    settled(page)
    snap(page, "ballot-rests-dark")
    assert faults(page) == []
