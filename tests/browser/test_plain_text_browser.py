"""What people typed stays plain text on a conductor's page: the browser draws no link of it."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import BrowserContext, expect

from evaluation.actions import book
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.browser.conftest import Served
from tests.browser.waiting import settled

TYPED = "After http://vetiver.example/a?b=1, HTTPS://Oak.example, www.moss.example and ask nose@amber.example."


def test_a_bare_address_is_no_link(served: Served, device: Callable[..., BrowserContext]) -> None:
    notebook = Notebook.open(served.file, SystemClock())
    book.add_brief(notebook, "Rain on stone", TYPED)
    notebook.close()
    page = device().new_page()
    page.goto(f"{served.origin}/briefs")
    shown = page.locator("blockquote")
    expect(shown).to_contain_text("ask nose@")
    settled(page)
    assert shown.inner_text().replace("\u2060", "") == TYPED
    assert page.locator("a[href*='.example'], a[href^='mailto:']").count() == 0
