"""What people typed stays plain text on every page that shows it: the browser draws no link of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from parts.doors.front import CONDUCTOR_PAGES
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import bench, book, decide, doors, findings, skin
from evaluation.clock import SystemClock
from evaluation.sessions import Answer
from evaluation.store import Notebook
from tests.browser.conftest import Served, joined
from tests.browser.waiting import settled
from tests.scenes import Scene, answer_all, ballots, scene

TYPED = "After http://vetiver.example/a?b=1, HTTPS://Oak.example, www.moss.example and ask nose@amber.example."
LINKED = "a[href*='.example' i], a[href^='mailto:']"


@pytest.fixture(scope="module")
def everywhere(served: Served) -> str:
    """Addresses in whatever can be typed: a session that is opened, and one that is smelt, to which a link is given."""
    notebook = Notebook.open(served.file, SystemClock())
    made = scene(notebook)
    book.change_brief(notebook, made.brief_id, "For www.fig.example", TYPED)
    for trial_id, label in zip(made.trial_ids, ("7 www.a.example", "8 nose@b.example"), strict=True):
        book.change_trial(notebook, trial_id, label=label, changed=TYPED, batch="www.batch.example")
    for number, panelist_id in enumerate(made.panelist_ids):
        book.change_panelist(notebook, panelist_id, alias=f"nose{number}@c.example", note=TYPED)
    _on_skin(notebook, made)
    closed, running = (
        made.smelling(title=TYPED),
        made.smelling(title=TYPED, method="preference", confirmed=("no preference shown",)),
    )
    for one in ballots(notebook, closed.id):
        answer_all(notebook, one.id)
    bench.note_deviation(notebook, running.id, 1, "late", TYPED)
    _say(notebook, running.id)
    bench.close(notebook, closed.id)
    findings.open_session(notebook, closed.id)
    decide.decide(notebook, made.brief_id, made.trial_ids[0], "keep", TYPED)
    tokens = doors.links(notebook, doors.server_secret(served.file), running.id)
    notebook.close()
    return list(tokens.values())[1]


def _on_skin(notebook: Notebook, made: Scene) -> None:
    wood = skin.add_material(notebook, "www.wood.example", "base", note=TYPED)
    skin.add_limit(notebook, wood.id, Decimal(1), "sheet www.sheet.example", date(2026, 1, 2), "left on skin")
    skin.take_off(notebook, made.trial_ids[1], TYPED)


def _say(notebook: Notebook, session_id: str) -> None:
    with notebook.writing() as tx:
        ballot = tx.ballots.ballots(session_id)[0]
        tx.ballots.lock(ballot.id, (Answer(ballot.id, "", "remark", TYPED, 5),))


def unfolded(page: Page) -> None:
    """All that lies folded on a page is open: what is there is drawn, seen or not."""
    settled(page)
    page.locator("details:not([open]) > summary").evaluate_all("them => them.forEach(one => one.click())")
    settled(page)


def test_a_bare_address_is_no_link(served: Served, device: Callable[..., BrowserContext], everywhere: str) -> None:
    page = device().new_page()
    met: dict[str, int] = {}
    for name, _ in CONDUCTOR_PAGES:
        page.goto(f"{served.origin}/{name}")
        expect(page.get_by_role("heading", level=1)).to_be_visible()
        unfolded(page)
        met[name] = page.get_by_test_id("stMain").inner_text().count(".example")
        found: list[Any] = page.locator(LINKED).evaluate_all("them => them.map(one => one.outerHTML)")
        assert found == [], name
    assert {name for name, count in met.items() if count} >= {
        "briefs", "panel", "skin", "plan", "bench", "findings", "decide"
    }, met  # fmt: skip
    ballot = joined(device(), served, everywhere)
    unfolded(ballot)
    assert ballot.locator(LINKED).count() == 0
    page.goto(f"{served.origin}/briefs")
    shown = page.locator("blockquote").first
    expect(shown).to_contain_text("ask nose@")
    assert shown.inner_text().replace("\u2060", "") == TYPED
