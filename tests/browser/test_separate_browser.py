"""Changes told apart in a real browser: proposed, written, weighed by the sheet, sealed, and their effects looked at."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import BrowserContext, expect

from evaluation.actions import plan, separating
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.browser.conftest import LAPTOP, PHONE, Served, Snap
from tests.browser.waiting import settled, until
from tests.separations import answered, three_changes


def test_from_the_base_to_the_effect_of_each_change(
    served: Served, device: Callable[..., BrowserContext], snap: Snap
) -> None:
    notebook = Notebook.open(served.file, SystemClock())
    here = three_changes(notebook, people=6)
    page = device(LAPTOP).new_page()
    page.goto(f"{served.origin}/separate")
    expect(page.get_by_text("8 bottles; 4 strips a nose and sitting, 2 sittings each")).to_be_visible()
    page.get_by_role("button", name="Write these bottles into the trial book").click()
    expect(page.get_by_text("8 bottles are in the trial book")).to_be_visible()
    (draft,) = separating.to_smell(notebook, here.brief_id)
    link = page.get_by_role("link", name="to print from the browser").get_attribute("href")
    sheet = page.request.get(f"{served.origin}{link}")
    assert sheet.ok
    assert "Step 2. Flask by flask" in sheet.text()
    page.get_by_role("button", name="Plan the session").click()
    expect(page.get_by_text("Changes told apart: Vetiver, Cedar and Iris.")).to_be_visible()
    page.get_by_role("button", name="Seal this plan").click()
    until(page, lambda: plan.session(notebook, draft.id).state == "sealed", "a sealed plan")
    answered(notebook, plan.session(notebook, draft.id))
    page.set_viewport_size(PHONE)
    page.goto(f"{served.origin}/findings")
    expect(page.get_by_text(re.compile("^Cedar: more woody at 5 min"))).to_be_visible()
    expect(page.get_by_test_id("stVegaLiteChart").locator("svg, canvas").first).to_be_visible()
    settled(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    snap(page, "separated-390", full_page=True)
    notebook.close()
