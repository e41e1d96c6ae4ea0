"""Reading a page that is drawn piece by piece, and redrawn while one reads: wait, read in one go, read again.

A page may be redrawn at any moment: after a tap, and on the bench and in a rest every few seconds by itself. So a test
never reads once what it has not waited for, and reads what belongs together in one call into the browser.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from typing import TypeVar

from playwright.sync_api import Error, Locator, Page, expect

T = TypeVar("T")
PATIENCE = 60_000  # milliseconds: other tests, servers and browsers may be at work on the same machine
AT_REST = "[data-testid=stApp][data-test-script-state=notRunning][data-test-connection-state=CONNECTED]"


def until(page: Page, look: Callable[[], T], what: str) -> T:
    """Look until what is seen is true, and return it; an element that was redrawn meanwhile is looked for again."""
    last: object = None
    ends = time.monotonic() + PATIENCE / 1000
    while time.monotonic() < ends:
        try:
            last = seen = look()
            if seen:
                return seen
        except Error as error:
            last = error
        page.wait_for_timeout(100)
    raise AssertionError(f"not seen in {PATIENCE / 1000:.0f} s: {what}; last seen: {last!r}")


def settled(page: Page) -> None:
    """Wait until all is drawn that the server sent. First wait for something that only the awaited run draws."""
    expect(page.locator(AT_REST)).to_have_count(1)


def read(place: Locator, pattern: str) -> str:
    """The text of a place, once it holds what the pattern asks for."""
    return until(place.page, lambda: _fitting(place.inner_text(timeout=2_000), pattern), f"{pattern} in {place}")


def _fitting(text: str, pattern: str) -> str:
    return text if re.search(pattern, text) else ""


def opened(page: Page, title: str) -> Locator:
    """What is in the part with this title, opened; one that the page itself is still closing is opened again."""
    box = page.get_by_test_id("stExpander").filter(has=page.locator("summary", has_text=title))
    inside = box.get_by_test_id("stExpanderDetails")

    def open_now() -> bool:
        settled(page)
        if inside.get_attribute("inert") is not None:
            box.locator("summary").click(timeout=5_000)
            page.wait_for_timeout(300)
            settled(page)
        return inside.get_attribute("inert") is None and inside.is_visible()

    until(page, open_now, f"{title} opened")
    return inside


def pick(page: Page, label: str, option: str) -> None:
    """Choose from a list; one opened while the page still settles closes again, and is opened once more."""
    box = page.get_by_role("combobox", name=label)
    frame = page.get_by_test_id("stSelectbox").filter(has=box)

    def picked() -> bool:
        settled(page)
        if option not in _shown(frame):
            box.click(timeout=5_000)
            page.get_by_role("option", name=option).click(timeout=5_000)
            page.wait_for_timeout(100)
        return option in _shown(frame)

    until(page, picked, f"{option} chosen in {label}")
    settled(page)


def _shown(frame: Locator) -> str:
    """What a list shows as chosen: an input's value in some versions of the framework, text in others."""
    return str(frame.evaluate("e => [e.innerText, ...[...e.querySelectorAll('input')].map(i => i.value)].join('\\n')"))
