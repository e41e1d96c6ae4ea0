"""A session over three ages in a real browser: on time, smelt late, and a stop on skin.

The clock is shortened by telling the bench that strips were dipped minutes ago: a dip may be corrected, with a reason.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import bench, findings, live
from evaluation.actions import timetable as planning
from evaluation.actions.timetable import Settings
from evaluation.serving.dipping import Revision
from evaluation.sessions import SKIN, Serving, StripAge
from evaluation.values.descriptors import Descriptor
from tests import skin_scene
from tests.browser.ballot_desk import Desk, Sitting, desk_beside, faults
from tests.browser.conftest import LAPTOP, PHONE, Served, Snap
from tests.browser.waiting import settled, until
from tests.scenes import ages

Device = Callable[..., BrowserContext]
MINUTE = 60_000


@pytest.fixture
def desk(served: Served) -> Iterator[Desk]:
    with desk_beside(served) as one:
        yield one


def laid_down(desk: Desk) -> Sitting:
    """Two people rate two trials, on strips after 5 and 10 minutes and on skin after 30; the gate is open."""
    room = desk.scene
    skin_scene.ready(desk.notebook, room.trials(2), room.panelist_ids[:2])
    sitting = desk.smelling(
        asks=True,
        method="profile",
        people=2,
        medium="strip and skin",
        ages=ages(5, 10),
        skin_ages=(StripAge(30 * 60, 3 * 60),),
        primary=None,
        descriptors=(Descriptor("sweet", "category"),),
        asks_strength=False,
    )
    made = planning.make(desk.notebook, sitting.session_id, Settings(desk.notebook.clock.now() + MINUTE))
    assert isinstance(made, Revision), made
    return sitting


def sets_of(sitting: Sitting, seat: int = 1) -> list[Serving]:
    return [one for one in bench.servings(sitting.desk.notebook, sitting.session_id) if one.seat == seat]


def dipped_ago(sitting: Sitting, serving: Serving, minutes: int) -> None:
    notebook = sitting.desk.notebook
    live.dipped(notebook, sitting.session_id, serving.id)
    live.correct(
        notebook, sitting.session_id, serving.id, notebook.clock.now() - minutes * MINUTE, "a test shortens the clock"
    )


def rate(page: Page, sitting: Sitting) -> None:
    """Rate the strip that is asked about now, however long the ballot would have waited, and lock it."""
    before = len(sitting.stored())
    called = page.get_by_role("button", name="I was called: smell now")
    anyway = page.get_by_role("button", name=re.compile("^Smell now( anyway)?$"))
    score = page.locator(".rate:visible .rate-options button", has_text="4").first

    def locked() -> bool:
        if len(sitting.stored()) > before:
            return True
        lock = page.get_by_role("button", name="Lock this strip")
        if called.count() and called.first.is_visible():
            called.first.click(timeout=5_000)
        elif anyway.count() and anyway.first.is_visible():
            anyway.first.click(timeout=5_000)
        elif score.count() and score.get_attribute("aria-checked", timeout=5_000) != "true":
            score.click(timeout=5_000)
        elif lock.count() and lock.first.is_enabled(timeout=5_000):
            lock.first.click(timeout=5_000)
        page.wait_for_timeout(400)
        return False

    until(page, locked, "the strip rated and locked")
    settled(page)


def test_three_ages_one_late_and_one_stop_on_skin(desk: Desk, device: Device, snap: Snap) -> None:
    sitting = laid_down(desk)
    asked = sets_of(sitting)
    young = [one for one in asked if one.medium != SKIN and one.age_seconds == 300]
    for serving, minutes in zip(young, (5, 9), strict=True):  # the second is far older than its 5 minutes
        dipped_ago(sitting, serving, minutes)
    page = sitting.join(device(PHONE))
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("button", name="Begin")).to_have_count(0)
    settled(page)
    for _ in young:
        rate(page, sitting)
    with desk.notebook.reading() as tx:
        noted = tx.sittings.deviations(sitting.session_id)
    assert [(one.serving_id, one.kind) for one in noted] == [(young[1].id, "late")]

    page.get_by_role("button", name="Stop, my skin reacts").first.click()
    until(page, lambda: _stops(sitting) == ["skin"], "the stop stored")
    page.get_by_role("heading", name="Wash it off and tell the conductor now").wait_for()
    settled(page)
    snap(page, "dry-down-stopped")
    assert faults(page) == []
    assert not page.locator(".rate:visible").count(), "a question beside what to do"
    page.get_by_role("button", name="I have told the conductor and want to go on with the strips").click()

    conductor = device(LAPTOP).new_page()
    conductor.goto(f"{desk.served.origin}/bench")
    expect(conductor.get_by_text("Nose 1 stopped").first).to_be_visible()
    settled(conductor)
    snap(conductor, "dry-down-bench-alert")
    for _ in [one for one in asked if one.medium != SKIN and one.age_seconds == 600]:
        rate(page, sitting)  # strips go on; nothing is asked about skin any more
    until(page, lambda: sitting.asked() is None or not sitting.asked().serving_id, "the skin part ended")

    bench.close(desk.notebook, sitting.session_id)
    findings.open_session(desk.notebook, sitting.session_id)
    conductor.goto(f"{desk.served.origin}/findings")
    late = re.compile(r"^Of \d+ sets 0 were smelt early and 1 late")
    conductor.get_by_text(late).first.wait_for(state="attached")


def _stops(sitting: Sitting) -> list[str]:
    with sitting.desk.notebook.reading() as tx:
        return [one.kind for one in tx.live.stops(sitting.session_id)]
