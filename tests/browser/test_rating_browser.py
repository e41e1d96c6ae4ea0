"""Rating screens and rankings in a real browser: thumbs, keys, reloads, a server that dies, and how they look."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from evaluation.actions import ballot
from evaluation.values.descriptors import STARTER, Descriptor
from tests import scenes, skin_scene
from tests.browser.ballot_desk import Desk, Sitting, desk_beside, faults, looks
from tests.browser.conftest import LAPTOP, PHONE, Served, Snap
from tests.browser.waiting import settled, until

Device = Callable[..., BrowserContext]
ANY = re.compile(".*")
TEN = tuple(Descriptor(name) for name in (*STARTER["top"], *STARTER["heart"][:4]))
MIXED = (
    Descriptor("woody", definition="Dry cedar, pencil shavings"),
    Descriptor("sweet", "category"),
    Descriptor("green", "check"),
    Descriptor("wet slate after the first summer rain", "level"),
    Descriptor("soapy", "check", definition="Plain white soap"),
    Descriptor("smoky", low="no smoke", high="nothing but smoke"),
)


@pytest.fixture(scope="module")
def desk(served: Served) -> Iterator[Desk]:
    with desk_beside(served) as beside:
        yield beside


def begin(sitting: Sitting, context: BrowserContext, seat: int = 1) -> Page:
    page = sitting.join(context, seat)
    page.get_by_role("button", name="Begin").click()
    expect(page.locator(".rate:visible")).to_have_count(1)
    settled(page)
    expect(page.locator(".rate")).to_have_count(1)  # the one that lay under the welcome is gone
    return page


def row(page: Page, name: str) -> Locator:
    return page.locator(".rate-row", has=page.locator(".rate-name", has_text=name))


def mark(page: Page, name: str, share: float) -> None:
    """Tap the line of a descriptor so far along."""
    track = row(page, name).locator(".rate-track")
    box = track.bounding_box()
    assert box
    row(page, name).locator(".rate-line").click(position={"x": 16 + share * box["width"], "y": 24})


def drafts(sitting: Sitting, seat: int = 1) -> dict[str, str]:
    return dict(ballot.view(sitting.desk.notebook, sitting.ballot_ids[seat - 1]).drafts)


def drafted(page: Page, sitting: Sitting, wanted: dict[str, str]) -> None:
    until(page, lambda: drafts(sitting) == wanted, f"drafts {wanted}, not {drafts(sitting)}")


def lock(page: Page, sitting: Sitting, more: int, label: str = "Lock this strip") -> None:
    before = len(sitting.stored())
    page.get_by_role("button", name=label).click()
    until(page, lambda: len(sitting.stored()) == before + more, "the strip locked")


def test_ten_descriptors_take_one_screen_and_eleven_taps(
    desk: Desk, device: Device, record_property: Callable[[str, Any], None]
) -> None:
    """The seconds are a figure for the report, not a claim: a script does not think, a person does not wait."""
    sitting = desk.smelling(method="profile", descriptors=TEN, asks_strength=False)
    page = begin(sitting, device(PHONE, has_touch=True))
    expect(page.locator(".rate-line")).to_have_count(10)
    taps, began = 0, time.monotonic()
    for place, one in enumerate(TEN):
        line = row(page, one.name).locator(".rate-line")
        line.scroll_into_view_if_needed()
        line.tap(position={"x": 40 + 25 * place, "y": 24})
        taps += 1
    lock(page, sitting, 10)
    taps += 1
    seconds = time.monotonic() - began
    record_property("seconds for ten descriptors", f"{seconds:.1f}")
    assert taps == 11
    values = [float(value) for _, value in sitting.stored()]
    assert values == sorted(values), "each tap further to the right"
    assert len(set(values)) == 10
    expect(page.locator(".rate-mark:visible")).to_have_count(0)
    main = page.locator("[data-testid=stMain]")
    until(page, lambda: main.evaluate("e => e.scrollTop") < 40, "the next strip begins at its top")


def test_a_line_is_empty_until_it_is_touched_and_a_tap_lands_where_it_shows(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(method="profile")
    page = begin(sitting, device())
    line = row(page, "woody").locator(".rate-line")
    expect(line).not_to_have_attribute("aria-valuenow", ANY)
    expect(line).to_have_attribute("aria-valuetext", "no mark yet")
    expect(page.locator(".rate-mark:visible")).to_have_count(0)
    for share, value in ((0.25, "2.5"), (0.8, "8.0"), (-0.03, "0.0"), (1.03, "10.0")):
        mark(page, "woody", share)
        drafted(page, sitting, {"rate woody": value})
        expect(line).to_have_attribute("aria-valuenow", value)
    row(page, "woody").get_by_role("button", name="not smelt").click()
    drafted(page, sitting, {"rate woody": "not smelt"})
    expect(page.locator(".rate-mark:visible")).to_have_count(0)
    expect(line).not_to_have_attribute("aria-valuenow", ANY)
    assert sitting.stored() == []


def test_the_mark_follows_a_drag_and_is_told_once(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(method="profile")
    page = begin(sitting, device(LAPTOP))
    box = row(page, "woody").locator(".rate-track").bounding_box()
    assert box
    page.mouse.move(box["x"] + 0.1 * box["width"], box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 0.6 * box["width"], box["y"] + 30, steps=8)
    expect(row(page, "woody").locator(".rate-mark")).to_be_visible()
    assert drafts(sitting) == {}
    page.mouse.up()
    drafted(page, sitting, {"rate woody": "6.0"})


def test_a_strip_can_be_rated_with_the_keyboard_alone(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(method="profile", descriptors=MIXED)
    page = begin(sitting, device(LAPTOP))
    pressed = (
        ("Smell strip", ()),
        ("woody", ("7", "ArrowRight", "ArrowRight", "PageDown")),  # 7.0, 7.1, 7.2, 6.2
        ("0", ("ArrowRight", "ArrowRight", "Space")),
        ("green", ("Space",)),
        ("soapy", ("Space", "Space")),
        ("too weak", ("ArrowLeft", "Enter")),
        ("smoky", ("ArrowRight", "ArrowRight")),  # an empty line is entered at its end: 0.0, 0.1
        ("How strong is it?", ("End",)),
    )
    page.locator("#ballot-ask").focus()
    for text, keys in pressed[1:]:
        _tab_to(page, text)
        for key in keys:
            page.keyboard.press(key)
    wanted = {"woody": "6.2", "sweet": "2", "green": "yes", "soapy": "no", "smoky": "0.1", "strength": "10.0"}
    wanted["wet slate after the first summer rain"] = "too strong"
    drafted(page, sitting, {f"rate {name}": value for name, value in wanted.items()})
    _tab_to(page, "Lock this strip")
    page.keyboard.press("Enter")
    until(page, lambda: len(sitting.stored()) == 7, "the strip locked")
    assert {name.removeprefix("rate "): value for name, value in sitting.stored()} == wanted


def _tab_to(page: Page, text: str) -> None:
    """Press Tab until the control of this text, or of this name, has the focus, and see that the focus shows."""
    where = """() => { const e = document.activeElement, by = e.getAttribute('aria-labelledby');
      const s = getComputedStyle(e), named = by && document.getElementById(by).innerText;
      return [named || e.innerText.trim(), s.outlineStyle, parseFloat(s.outlineWidth)]; }"""
    for _ in range(40):
        page.keyboard.press("Tab")
        found, outline, width = page.evaluate(where)
        if found.removeprefix("✓ ") == text:
            assert (outline, width >= 2) == ("solid", True), f"no ring around {text}"
            return
    raise AssertionError(f"{text!r} cannot be reached by Tab")


def test_the_lock_names_what_is_missing_and_leads_there(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(method="profile", descriptors=TEN)
    page = begin(sitting, device())
    for one in TEN[:8]:
        mark(page, one.name, 0.5)
    page.get_by_role("button", name="Lock this strip").click()
    told = f"no answer to {TEN[8].name}, {TEN[9].name} and strength."
    expect(page.locator(".ballot-told")).to_contain_text(told)
    expect(page.locator("#ballot-live")).to_contain_text(told)
    expect(page.locator(".rate-missing")).to_have_count(3)
    expect(row(page, TEN[8].name).locator(".rate-line")).to_be_focused()
    expect(row(page, TEN[8].name)).to_be_in_viewport()
    mark(page, TEN[8].name, 0.5)
    expect(page.locator(".rate-missing")).to_have_count(2)
    page.get_by_role("button", name="Skip the rest and lock").click()
    until(page, lambda: len(sitting.stored()) == 11, "the strip locked")
    assert [value for _, value in sitting.stored()][-3:] == ["5.0", "skip", "skip"]
    expect(page.locator(".ballot-told")).to_have_count(0)


def test_a_reload_shows_what_was_tapped_and_goes_on(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(method="profile")
    page = begin(sitting, device())
    mark(page, "woody", 0.3)
    row(page, "smoky").get_by_role("button", name="skip").click()
    drafted(page, sitting, {"rate woody": "3.0", "rate smoky": "skip"})
    page.reload()
    expect(row(page, "woody").locator(".rate-mark")).to_be_visible()
    expect(row(page, "smoky").get_by_role("button", name="skip")).to_have_attribute("aria-pressed", "true")
    mark(page, "green", 0.7)
    mark(page, "How strong", 0.9)
    lock(page, sitting, 4)
    assert [value for _, value in sitting.stored()] == ["3.0", "skip", "7.0", "9.0"]


def test_a_killed_server_loses_no_tap(desk: Desk, device: Device) -> None:
    """What was tapped before, and what is tapped while nobody listens, is there when the server is back."""
    sitting = desk.smelling(method="profile")
    page = begin(sitting, device())
    mark(page, "woody", 0.3)
    drafted(page, sitting, {"rate woody": "3.0"})
    desk.served.kill()
    mark(page, "smoky", 0.4)
    expect(page.locator("#ballot-lost")).to_be_visible()
    desk.served.start()
    expect(page.locator("#ballot-lost")).to_be_hidden()
    settled(page)
    expect(row(page, "smoky").locator(".rate-mark")).to_be_visible()
    mark(page, "green", 0.7)
    mark(page, "How strong", 0.9)
    drafted(page, sitting, {"rate woody": "3.0", "rate smoky": "4.0", "rate green": "7.0", "rate strength": "9.0"})
    lock(page, sitting, 4)


def test_codes_are_ranked_by_tapping_and_taken_back(desk: Desk, device: Device) -> None:
    sitting = desk.smelling(method="ranking", trials=4)
    page = begin(sitting, device())
    a, b, c, d = sitting.asked().codes
    for code in (b, d, a):
        page.get_by_role("button", name=code).click()
    expect(page.locator(".rate-said")).to_have_text("3 of 4 placed.")
    page.get_by_role("button", name="Take the last one back").click()
    page.get_by_role("button", name=b).click()  # tapped again: it leaves its place, and the next moves up
    expect(page.get_by_role("button", name=d)).to_contain_text("1st")
    for code in (c, a):
        page.get_by_role("button", name=code).focus()
        page.keyboard.press("Enter")
    page.get_by_role("button", name="Lock this answer").click()
    expect(page.locator(".ballot-told")).to_contain_text("give every code its place")
    page.get_by_role("button", name=b).click()
    lock(page, sitting, 1, "Lock this answer")
    assert sitting.stored() == [("ranking", f"{d}>{c}>{a}>{b}")]


def test_a_fan_is_smelt_two_strips_at_a_time(desk: Desk, device: Device, snap: Snap) -> None:
    """What hands do is told before and beside the codes; nothing says which pair is the trial alone."""
    sitting = desk.smelling(**scenes.fan(desk.scene))
    page = sitting.join(device())
    welcome = page.get_by_test_id("stMainBlockContainer")
    for told in ("pairs of strips", "Hold a pair by its clip", "Never smell one strip of a pair by itself"):
        expect(welcome).to_contain_text(told)
    snap(page, "ballot-fan-welcome", full_page=True)
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_text("both dipped ends of a pair together").first).to_be_visible()
    settled(page)
    snap(page, "ballot-fan")
    codes = sitting.asked().codes
    for code in codes:
        page.get_by_role("button", name=code).click()
    lock(page, sitting, 1, "Lock this answer")
    assert sitting.stored() == [("ranking", ">".join(codes))]


def test_every_screen_is_readable_and_within_reach(desk: Desk, device: Device, snap: Snap) -> None:
    """Contrast 4.5 : 1 and 16 px for all text (WCAG 2.2, 1.4.3), targets of 44 px (2.5.5), no sideways scrolling."""
    found: list[str] = []
    screens: dict[str, dict[str, Any]] = {
        "mixed": {"method": "profile", "descriptors": MIXED, "warm_up": True, "asks_liking": True},
        "ranking": {"method": "ranking", "trials": 6},
        "skin": {"method": "profile", "medium": "skin", "resmell": False},
        "skin-ranking": {"method": "ranking", "trials": 3, "medium": "skin"},
    }
    skin_scene.ready(desk.notebook, desk.scene.trials(3), desk.scene.panelist_ids)
    for name, changes in screens.items():
        page = begin(desk.smelling(**changes), device())
        for step in ("empty", "answered", "refused"):
            _touch(page, step)
            for look in looks(page):
                snap(page, f"ballot-{name}-{step}-{look}", whole=True)
                found += [f"{name} {step}, {look}: {fault}" for fault in faults(page)]
    assert found == []


def _touch(page: Page, step: str) -> None:
    """Give some answers of every kind; then lock, which is refused."""
    if step == "answered":
        for kind in (".rate-track", ".rate-options button", ".rate-tick", ".rate-place", ".rate-out"):
            for at in range(0, page.locator(kind).count(), 4):
                page.locator(kind).nth(at).click(force=True)
    elif step == "refused":
        page.get_by_role("button", name="Lock this").click()
        expect(page.locator(".ballot-told")).to_be_visible()
