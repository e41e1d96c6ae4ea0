"""Faults while people smell and a plan is written: a server killed, one that sleeps, a page loaded anew, a way to paper.

No dialog of the framework stands over a page, a line of our own says so, and nothing that was locked, chosen or typed is
lost.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import book, paper
from tests.browser.ballot_desk import CHOICES, LOCK, Desk, chosen, desk_beside, fresh, lock, tap
from tests.browser.conftest import LAPTOP, Served
from tests.browser.waiting import pick, settled, until

Device = Callable[..., BrowserContext]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    """A server of its own, which may be killed and stopped."""
    own = Served(tmp_path / "notebook.sqlite")
    own.start()
    with desk_beside(own) as beside:
        yield beside
    own.end()


def says(page: Page, words: str) -> None:
    expect(page.get_by_text(words)).to_be_visible()
    assert not page.get_by_role("dialog").is_visible()


def test_no_dialog_stands_over_a_question_while_the_server_is_gone(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    page = sitting.begin(device())
    tap(page)
    lock(page)
    tap(page, 1)
    page.evaluate("""() => { window.dialogs = 0; new MutationObserver(() => {
        const one = document.querySelector('[role=dialog]');
        if (one && one.checkVisibility({visibilityProperty: true})) window.dialogs += 1;
    }).observe(document.body, {childList: true, subtree: true}); }""")
    desk.served.kill()
    says(page, "No connection at the moment")
    page.wait_for_timeout(4_000)  # the framework's own dialog came after three seconds
    assert page.evaluate("window.dialogs") == 0, "not for a moment"
    expect(page.get_by_role("dialog")).to_have_count(0)
    assert page.evaluate("!document.querySelector('[data-testid=stApp]').closest('[aria-hidden=true], [inert]')")
    desk.served.start()
    expect(page.get_by_text("No connection at the moment")).to_be_hidden()
    assert chosen(page) == 1
    expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
    settled(page)
    lock(page)
    assert sitting.stored()[1:] == [("sure", "unsure")]


def test_an_answer_locked_while_the_laptop_sleeps_is_stored_when_it_wakes(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    page = sitting.begin(device())
    tap(page, 1)
    process = desk.served.process
    assert process is not None
    process.send_signal(signal.SIGSTOP)
    page.get_by_role("button", name=LOCK).click()
    says(page, "No connection at the moment")
    assert sitting.stored() == []
    process.send_signal(signal.SIGCONT)
    until(page, lambda: len(sitting.stored()) == 1, "the answer is stored")
    expect(page.get_by_text("Question 2 of")).to_be_visible()
    expect(page.get_by_text("No connection at the moment")).to_be_hidden()


def test_somebody_goes_over_to_paper_and_back(desk: Desk, device: Device) -> None:
    """Set by set on one phone, on paper, on the same phone again and on another: every answer once, none lost."""
    sitting = desk.smelling(replicates=4)
    page = sitting.begin(device())
    tap(page)
    lock(page)  # the choice of set 1 on the phone; how sure, on paper
    card = next(one for one in paper.cards(desk.notebook, sitting.session_id) if one.label == "1-1")
    assert [one.name for one in card.open] == ["sure"]
    paper.enter(desk.notebook, sitting.session_id, "1-1", "3")
    second = next(one for one in paper.cards(desk.notebook, sitting.session_id) if one.label == "1-2")
    paper.enter(desk.notebook, sitting.session_id, "1-2", f"{second.codes[0]} 2")
    page.locator(CHOICES).first.click()
    expect(page.get_by_text("Set 3 of 4")).to_be_visible()  # the phone goes on where paper ended
    fresh(page)
    assert chosen(page) == 0
    tap(page)
    lock(page)
    other = sitting.join(device())
    expect(other.locator("#ballot-ask")).to_have_text("How sure are you?")
    settled(other)
    tap(other, 1)
    lock(other)
    paper.enter(desk.notebook, sitting.session_id, "1-4", f"{_codes(desk, sitting, '1-4')[1]} 4")
    stored = sitting.stored()
    assert [name for name, _ in stored] == ["choice", "sure"] * 4
    assert [value for name, value in stored if name == "sure"] == ["fairly sure", "unsure", "unsure", "sure"]


def _codes(desk: Desk, sitting: Any, label: str) -> tuple[str, ...]:
    return next(one.codes for one in paper.cards(desk.notebook, sitting.session_id) if one.label == label)


def test_what_was_typed_for_a_trial_is_there_after_a_reload_and_gone_once_it_is_stored(
    desk: Desk, device: Device
) -> None:
    page = device(LAPTOP).new_page()
    page.goto(f"{desk.served.origin}/")
    page.get_by_role("tab", name="Add a trial").click()
    label, changed = (page.get_by_role("textbox", name=one, exact=True) for one in ("Label, such as 7", "What changed"))
    label.fill("11")
    pick(page, "Made from", "7")  # offered was the newest, 8
    changed.press_sequentially("cedar out")  # not left: the server has heard nothing of it
    page.reload()
    page.get_by_role("tab", name="Add a trial").click()
    expect(label).to_have_value("11")
    expect(changed).to_have_value("cedar out")
    expect(page.get_by_role("combobox", name="Made from")).to_have_value("7")
    expect(page.get_by_text("is here again. It is not stored yet")).to_be_visible()
    page.get_by_role("button", name="Add trial").click()
    expect(page.get_by_text("Trial 11 is in the book")).to_be_visible()
    added = book.trials(desk.notebook, desk.scene.brief_id)[-1]
    assert (added.label, added.parent_id, added.changed) == ("11", desk.scene.trial_ids[0], "cedar out")
    page.wait_for_timeout(2_500)  # longer than the page takes to forget
    page.reload()
    page.get_by_role("tab", name="Add a trial").click()
    settled(page)
    page.wait_for_timeout(1_500)
    expect(label).to_have_value("")
