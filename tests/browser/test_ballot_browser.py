"""The ballot on a phone, in a real browser: nothing lost, nothing told, everything within reach of a thumb."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, WebSocket, expect

from evaluation.keeping import receipts_told
from tests.browser.ballot_desk import (
    CHOICES,
    LOCK,
    Desk,
    Sitting,
    answer_again,
    begun,
    chosen,
    desk_beside,
    faults,
    fresh,
    lock,
    looks,
    press_begin,
    tap,
)
from tests.browser.conftest import LAPTOP, Served, Snap
from tests.browser.waiting import settled, until
from tests.methods import METHODS
from tests.scenes import key_of

Device = Callable[..., BrowserContext]


@pytest.fixture(scope="module")
def desk(served: Served) -> Iterator[Desk]:
    with desk_beside(served) as beside:
        yield beside


def asks(page: Page, question: str) -> None:
    expect(page.locator("#ballot-ask")).to_have_text(question)


def test_a_reload_goes_on_at_the_same_question(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(replicates=2)
    page = sitting.begin(device())
    for _ in range(3):
        tap(page)
        lock(page)
    tap(page, 1)  # chosen, not locked
    page.get_by_role("button", name="Add a remark").click()
    page.get_by_role("textbox").fill("tar, then nothing")
    settled(page)
    page.reload()
    expect(page.get_by_text("Question 4 of 5")).to_be_visible()
    settled(page)
    asks(page, "How sure are you?")
    assert len(sitting.stored()) == 3
    until(page, lambda: chosen(page) == 1, "what had been chosen is chosen again")
    expect(page.get_by_role("textbox")).to_have_value("tar, then nothing")
    expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
    settled(page)
    lock(page)
    assert sitting.stored()[3:] == [("sure", "unsure"), ("remark", "tar, then nothing")]


def test_what_one_person_had_chosen_is_not_offered_to_the_next(desk: Desk, device: Device) -> None:
    """The same phone, the same question, another ballot: nothing is chosen there, after a reload either."""
    sitting, phone = desk.smelling(), device()
    page = sitting.begin(phone)
    tap(page, 1)
    page.goto(f"{desk.served.origin}/join/{sitting.tokens[1]}")
    page.get_by_role("button", name="Begin").wait_for()
    settled(page)
    page.reload()
    press_begin(page)
    page.wait_for_timeout(2_500)  # longer than the phone takes to put something back
    assert chosen(page) == 0


def test_a_killed_server_loses_nothing_and_the_open_page_goes_on(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(replicates=2)
    page = sitting.begin(device())
    tap(page)
    lock(page)
    stored = sitting.stored()
    assert len(stored) == 1
    desk.served.kill()
    desk.served.start()
    expect(page.get_by_text("Question 2 of 5")).to_be_visible()
    answer_again(page, 2)  # at once, before the page has found the new server: some taps go nowhere
    assert sitting.stored() == [*stored, ("sure", "fairly sure")]


def test_an_answer_chosen_before_the_server_died_can_still_be_locked(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    page = sitting.begin(device())
    tap(page, 1)
    wanted = sitting.asked().options[1]
    desk.served.kill()
    desk.served.start()
    press_begin(page)  # nothing was locked yet: the welcome comes again
    answer_again(page, 1)
    assert sitting.stored() == [("choice", wanted)]


def test_two_tabs_on_one_question_store_one_row(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    phone = device()
    first, second = sitting.begin(phone), sitting.begin(phone)
    tap(first, 0)
    tap(second, 1)
    wanted = sitting.asked().options[0]
    lock(first)
    lock(second)
    assert sitting.stored() == [("choice", wanted)]
    expect(second.locator(".ballot-told")).to_contain_text("already answered")
    asks(first, "How sure are you?")
    asks(second, "How sure are you?")


def test_a_double_tap_on_lock_stores_one_answer_and_is_no_news(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    page = sitting.begin(device())
    tap(page)
    page.get_by_role("button", name=LOCK).dblclick()
    expect(page.get_by_text("Question 2 of 3")).to_be_visible()
    settled(page)
    assert page.get_by_text("already answered").count() == 0
    tap(page)
    lock(page)  # what the second tap sent was taken before this
    assert [name for name, _ in sitting.stored()] == ["choice", "sure"]
    assert page.get_by_text("already answered").count() == 0


def test_a_lost_network_comes_back_with_nothing_lost(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    phone = device()
    wires = _cuttable(phone)
    page = sitting.begin(phone)
    tap(page)
    lock(page)
    phone.set_offline(True)
    for wire in wires:
        wire.close()
    expect(page.locator("[data-test-connection-state=CONNECTED]")).to_have_count(0)
    asks(page, "How sure are you?")  # it stays on the screen
    phone.set_offline(False)
    answer_again(page, 3)
    assert sitting.stored()[1:] == [("sure", "sure")]


def test_the_parts_of_later_questions_are_fetched_with_the_first(desk: Desk, device: Device) -> None:
    """Else a phone that lost its network after locking could not draw the next question."""
    fetched: list[str] = []
    phone = device()
    phone.on("response", lambda answer: fetched.append(answer.url) if answer.ok else None)
    page = desk.smelling().join(phone)
    page.get_by_role("button", name="Begin").wait_for()
    page.wait_for_load_state("networkidle")
    for part in ("Radio", "ButtonGroup", "TextArea"):
        until(page, lambda part=part: any(f"/static/js/{part}." in url for url in fetched), part)


def _cuttable(context: BrowserContext) -> list[Any]:
    """Being offline does not cut a websocket that is open already: hold its ends, to be closed by hand."""
    held: list[Any] = []

    def hold(ws: Any) -> None:
        ws.connect_to_server()
        held.append(ws)

    context.route_web_socket(re.compile("_stcore/stream"), hold)
    return held


def test_a_tap_the_server_never_heard_of_is_sent_again(desk: Desk, device: Device) -> None:
    """What a reconnecting page can come to: a choice that shows, and a lock that stays shut."""
    phone, deaf, lost = device(), [], []
    phone.route_web_socket(re.compile("_stcore/stream"), lambda ws: _deaf_while(ws, deaf, lost))
    sitting = desk.smelling()
    page = sitting.begin(phone)
    deaf.append("from now on")
    page.locator(CHOICES).first.click()
    until(page, lambda: lost, "a message that went nowhere")
    until(page, lambda: chosen(page) == 1, "the choice shows")
    expect(page.get_by_role("button", name=LOCK)).to_be_disabled()
    deaf.clear()
    expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
    lock(page)
    assert len(sitting.stored()) == 1


def _deaf_while(ws: Any, deaf: list[str], lost: list[Any]) -> None:
    """Pass everything on, but swallow what is said while ``deaf`` holds anything."""
    server = ws.connect_to_server()
    ws.on_message(lambda message: lost.append(message) if deaf else server.send(message))


def test_the_waiting_page_opens_by_itself_when_the_session_starts(desk: Desk, device: Device) -> None:
    sitting = desk.sealed()
    page = sitting.join(device())
    expect(page.get_by_role("heading", name="Not started yet: wait for the conductor")).to_be_visible()
    sitting.start()
    expect(page.get_by_role("button", name="Begin")).to_be_visible()


def test_stored_is_announced_and_the_focus_moves_to_the_next_question(desk: Desk, device: Device) -> None:
    page = desk.smelling().begin(device())
    live = page.locator("#ballot-live")
    expect(live).to_have_attribute("aria-live", "polite")
    expect(live).to_have_text("")
    tap(page)
    lock(page)
    expect(live).to_have_text("Stored.")
    expect(page.locator("#ballot-ask")).to_be_focused()
    page.get_by_role("button", name="Add a remark").focus()
    tap(page)
    assert page.evaluate("document.activeElement.id") != "ballot-ask", "a mere tap moves nothing"


def test_a_ballot_can_be_answered_with_the_keyboard_alone(desk: Desk, device: Device) -> None:
    sitting = desk.smelling()
    page = sitting.join(device(LAPTOP))
    page.get_by_role("button", name="Begin").wait_for()
    settled(page)
    _tab_to(page, "Begin")
    page.keyboard.press("Enter")
    begun(page)
    while (question := sitting.asked()) is not None:
        _tab_to(page, question.options[0])
        page.keyboard.press("Space")
        expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
        settled(page)
        _tab_to(page, LOCK)
        before = len(sitting.stored())
        page.keyboard.press("Enter")
        until(page, lambda before=before: len(sitting.stored()) > before, "an answer more")
        if sitting.asked():
            fresh(page)
            expect(page.locator("#ballot-ask")).to_be_focused()  # else it would take the focus from a later key
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    assert [name for name, _ in sitting.stored()] == ["choice", "sure", "overheard"]


def _tab_to(page: Page, text: str) -> None:
    """Press Tab until the control of this text has the focus, and see that the focus shows."""
    where = """() => { const e = document.activeElement, l = e.closest('label') || e;
      return [l.innerText.trim(), getComputedStyle(l).outlineStyle, parseFloat(getComputedStyle(l).outlineWidth)] }"""
    for _ in range(25):
        page.keyboard.press("Tab")
        found, outline, width = page.evaluate(where)
        if found == text:
            assert outline != "none", f"no ring around {text}"
            assert width >= 2
            return
    raise AssertionError(f"{text!r} cannot be reached by Tab")


@pytest.mark.parametrize("method", METHODS)
def test_the_frames_a_panelist_receives_tell_nothing(desk: Desk, device: Device, method: str) -> None:
    """Every byte sent to a phone from the join link to the last thanks, searched for what it may not hold."""
    sitting = desk.smelling(method=method, minutes=(5, 90), primary=300)
    phone, sent = device(), []
    page = phone.new_page()
    page.on("websocket", lambda ws: _record(ws, sent))
    page.goto(f"{desk.served.origin}/join/{sitting.tokens[2]}")
    press_begin(page)
    while (question := sitting.asked(3)) is not None:
        tap(page, *range(question.pick))
        count = len(sitting.stored(3))
        page.get_by_role("button", name=LOCK).click()
        until(page, lambda count=count: len(sitting.stored(3)) > count, "an answer more")
        if sitting.asked(3):
            fresh(page)
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    told = b"\n".join(sent)
    assert b"How sure are you?" in told, "the recording works"
    assert _leaks(desk, sitting, told) == []


def _record(ws: WebSocket, sent: list[bytes]) -> None:
    ws.on("framereceived", lambda payload: sent.append(payload if isinstance(payload, bytes) else payload.encode()))


def _leaks(desk: Desk, sitting: Sitting, told: bytes) -> list[str]:
    """Words of the trial book, of the key and of other people's ballots found in what was sent."""
    with desk.notebook.reading() as tx:
        plan = tx.sittings.session(sitting.session_id).plan
        served = tx.sittings.servings(sitting.session_id)
        trials = [tx.book.trial(each) for each in (plan.first_trial_id, plan.second_trial_id)]
        people = [tx.book.panelist(seat.panelist_id) for seat in plan.seats if seat.panelist_id]
    mine = {code for one in served if one.seat == 3 and not one.spare for code in one.codes}
    foreign = {code for one in served for code in one.codes} - mine
    key = key_of(desk.notebook, sitting.session_id)
    words = [plan.title, plan.brief_id, key.seed, sitting.session_id, "unblind"]
    words += [each for trial in trials for each in (trial.id, trial.changed) if each]
    words += [each for person in people for each in (person.alias, person.id)]
    words += [one.id for one in served] + sitting.ballot_ids + sitting.tokens
    found = [word for word in words if word.encode() in told]
    orders = {order.encode() for _, order in key.orders if len(order) > 2}
    found += [
        order.decode() for order in orders if re.search(rb"(?<![A-Za-z0-9+/=_-])%s(?![A-Za-z0-9+/=_-])" % order, told)
    ]
    shown = set(re.findall(rb"(?<![0-9A-Za-z#.])[1-9]\d\d(?![0-9A-Za-z.])", _without_style(told)))
    return found + sorted(code for code in foreign if code.encode() in shown)


def _without_style(told: bytes) -> bytes:
    """Style sheets, scripts and ids are full of numbers that are no codes."""
    told = re.sub(rb"<(style|script)>.*?</\1>", b"", told, flags=re.DOTALL)
    return re.sub(rb"[0-9a-f-]{32,}", b"", told)


# --- looks ----------------------------------------------------------------------------------------------------------


def test_every_screen_is_readable_and_within_reach(desk: Desk, device: Device, snap: Snap) -> None:
    """Contrast 4.5 : 1 and 16 px for all text (WCAG 2.2, 1.4.3), targets of 44 px (2.5.5), no sideways scrolling."""
    found: list[str] = []

    def examine(page: Page, name: str) -> None:
        for look in looks(page):
            snap(page, f"ballot-{name}-{look}", full_page=True, animations="disabled")
            found.extend(f"{name}, {look}: {fault}" for fault in faults(page))

    phone = device()
    _nowhere(desk, phone, examine)
    for method in METHODS:
        phone.clear_cookies()
        _walk(desk.sealed(**_plan_of(method)), method, phone, examine)
        for page in phone.pages:
            page.close()
    assert found == []


def _plan_of(method: str) -> dict[str, Any]:
    return {"method": method, "minutes": (5, 90), "primary": 300} if method == "preference" else {"method": method}


def _nowhere(desk: Desk, context: BrowserContext, examine: Callable[[Page, str], None]) -> None:
    """A ballot whose link was renewed while it was open."""
    from evaluation.actions import doors

    sitting = desk.smelling()
    page = sitting.begin(context)
    doors.renew_link(desk.notebook, doors.server_secret(desk.served.file), sitting.ballot_ids[0])
    page.locator(CHOICES).first.click()
    expect(page.get_by_role("heading", name="This ballot is not open to you")).to_be_visible()
    examine(page, "link-renewed")


def _started(sitting: Sitting, context: BrowserContext) -> Page:
    sitting.start()
    return sitting.join(context)


def _waited(sitting: Sitting, context: BrowserContext, examine: Callable[[Page, str], None]) -> Page:
    """Somebody who came before the session was started."""
    page = sitting.join(context)
    page.get_by_role("heading", name="Not started yet").wait_for()
    examine(page, "waiting")
    sitting.start()
    page.reload()
    return page


def _walk(sitting: Sitting, method: str, context: BrowserContext, examine: Callable[[Page, str], None]) -> None:
    page = _waited(sitting, context, examine) if method == "triangle" else _started(sitting, context)
    page.get_by_role("button", name="Begin").wait_for()
    settled(page)
    if method == "triangle":
        examine(page, "welcome")
    press_begin(page)
    for number in range(1, 20):
        question = sitting.asked()
        if question is None:
            break
        told = number == 1 or method == "preference" or (method == "triangle" and number <= 3)
        if told and number == 1:
            examine(page, f"{method}-1-open")
        if method == "triangle" and number == 2:
            page.get_by_text("I feel unwell").click()
            page.get_by_role("heading", name="Go into fresh air and tell the conductor").wait_for()
            expect(page.get_by_role("button", name=LOCK)).to_have_count(0)
            examine(page, "triangle-unwell")
            page.get_by_role("button", name="I have told the conductor and want to go on").click()
            page.get_by_role("button", name=LOCK).wait_for()
            settled(page)
        tap(page, *range(1, 1 + question.pick))
        if method == "triangle" and number == 2:
            page.get_by_role("button", name="Add a remark").click()
            page.get_by_role("textbox").fill("Smoke, far away")
        if told:
            examine(page, f"{method}-{number}-{question.name.split()[0]}")
        count = len(sitting.stored())
        page.get_by_role("button", name=LOCK).click()
        until(page, lambda count=count: len(sitting.stored()) > count, "an answer more")
        if not told and number > 1:
            return
        if sitting.asked():
            fresh(page)
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    examine(page, f"{method}-thanks")


def test_a_phone_keeps_a_receipt_of_each_screen_it_locks(desk: Desk, device: Device) -> None:
    """They outlast a reload and the end of the ballot, and a later check accepts each; nothing answered is in them."""
    phone = device()
    sitting = desk.smelling()
    page = sitting.begin(phone)
    box, lines = page.locator("#receipts"), page.locator("#receipts li")
    expect(box).to_be_hidden()
    for number in (1, 2, 3):
        tap(page)
        lock(page) if number < 3 else page.get_by_role("button", name=LOCK).click()
        expect(lines).to_have_count(number)
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    page.reload()
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    expect(lines).to_have_count(3)
    expect(lines.first).to_be_hidden()
    box.locator("summary").click()
    expect(lines.first).to_be_visible()
    receipts = [one.split(" · ")[1] for one in lines.all_inner_texts()]
    assert len(set(receipts)) == 3
    assert [one.held for one in receipts_told.look_up(desk.notebook, receipts)] == [True] * 3
