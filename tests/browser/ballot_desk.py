"""What the ballot tests share: sessions on the running server's database, thumbs, and an eye that measures."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import ballot, bench, doors
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.browser.conftest import LAPTOP, PHONE, Served, joined
from tests.browser.waiting import read, settled, until
from tests.scenes import Scene, ballots, scene
from tests.scenes import begun as begun_sets

LOCK = "Lock this answer"
SIZES = {"phone": PHONE, "laptop": LAPTOP}
CHOICES = "[data-testid=stMain] :is([data-variant=segmented_control], [data-testid=stRadioOption])"


@dataclass
class Desk:
    """The conductor's side: the same database, opened from the test."""

    served: Served
    notebook: Any
    scene: Scene

    def smelling(self, *, asks: bool = False, **changes: Any) -> Sitting:
        """``asks``: no set has begun, so that ballots wait for it and ask back."""
        return self.sitting(self.scene.smelling(**changes).id, asks=asks)

    def sealed(self, **changes: Any) -> Sitting:
        return self.sitting(self.scene.sealed(**changes).id)

    def sitting(self, session_id: str, *, asks: bool = False) -> Sitting:
        if not asks:
            begun_sets(self.notebook, session_id)
        tokens = doors.links(self.notebook, doors.server_secret(self.served.file), session_id)
        listed = [one.id for one in ballots(self.notebook, session_id)]
        return Sitting(self, session_id, listed, [tokens[one] for one in listed])


@dataclass
class Sitting:
    """One session and its ballots, by seat from 1."""

    desk: Desk
    session_id: str
    ballot_ids: list[str]
    tokens: list[str]

    def join(self, context: BrowserContext, seat: int = 1) -> Page:
        return joined(context, self.desk.served, self.tokens[seat - 1])

    def begin(self, context: BrowserContext, seat: int = 1) -> Page:
        page = self.join(context, seat)
        press_begin(page)
        return page

    def stored(self, seat: int = 1) -> list[tuple[str, str]]:
        with self.desk.notebook.reading() as tx:
            return [(one.question, one.value) for one in tx.ballots.answers(self.ballot_ids[seat - 1])]

    def asked(self, seat: int = 1) -> Any:
        return ballot.view(self.desk.notebook, self.ballot_ids[seat - 1]).question

    def start(self) -> None:
        bench.start(self.desk.notebook, self.session_id)


@contextmanager
def desk_beside(served: Served) -> Iterator[Desk]:
    notebook = Notebook.open(served.file, SystemClock())
    try:
        yield Desk(served, notebook, scene(notebook))
    finally:
        notebook.close()


def press_begin(page: Page) -> None:
    """Press it and wait until the first question has taken the place of the welcome."""
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_role("button", name="Begin")).to_have_count(0)
    anyway = page.get_by_role("button", name="Smell now anyway")
    expect(anyway.or_(page.get_by_role("button", name=LOCK)).first).to_be_visible()
    if anyway.is_visible():  # nobody tapped when the strips were dipped
        settled(page)
        anyway.click()
    begun(page)


def begun(page: Page) -> None:
    expect(page.get_by_role("button", name="Begin")).to_have_count(0)
    expect(page.get_by_role("button", name=LOCK)).to_have_count(1)
    expect(page.get_by_role("button", name=LOCK)).to_be_visible()
    settled(page)


def tap(page: Page, *places: int) -> None:
    """Tap options by their place, from 0, and wait until the lock can be pressed."""
    for place in places or (0,):
        page.locator(CHOICES).nth(place).click()
    expect(page.get_by_role("button", name=LOCK)).to_be_enabled()
    settled(page)


def count(page: Page) -> str:
    """How far the ballot is, as it says: "Question 2 of 5"."""
    return read(page.locator(".ballot-count span").first, r"^Question \d+ of \d+$")


def lock(page: Page) -> None:
    """Press the lock and wait until the next screen stands."""
    before = count(page)
    page.get_by_role("button", name=LOCK).click()
    expect(page.locator(".ballot-count span", has_text=before)).to_have_count(0)
    expect(page.get_by_role("button", name=LOCK, disabled=False)).to_have_count(0)
    settled(page)


def answer_again(page: Page, place: int) -> None:
    """Answer as a person does on a shaky line: look what shows as chosen, choose, lock, and look again."""
    before = count(page)

    def locked() -> bool:
        button = page.get_by_role("button", name=LOCK)
        if count(page) != before:
            return True
        if not chosen(page):
            page.locator(CHOICES).nth(place).click(timeout=5_000)
        elif button.is_enabled(timeout=5_000):
            button.click(timeout=5_000)
        page.wait_for_timeout(400)
        return False

    until(page, locked, "the answer locked")
    settled(page)


def fresh(page: Page) -> None:
    """Wait until a new question stands alone; the framework may draw the old button beside it for a moment."""
    expect(page.get_by_role("button", name=LOCK, disabled=False)).to_have_count(0)
    expect(page.get_by_role("button", name=LOCK)).to_have_count(1)
    expect(page.get_by_role("button", name=LOCK)).to_be_visible()
    settled(page)


def chosen(page: Page) -> int:
    """How many options show as chosen."""
    marked = "[aria-checked=true], [aria-pressed=true], :has(> span > input:checked)"
    return page.locator(CHOICES).and_(page.locator(marked)).count()


# Everything a person must read or hit, as the browser draws it. Contrast by WCAG 2.2's formula for relative
# luminance; colours are read through a canvas, so that any notation works, and laid over one another.
_EYE = """() => {
  const brush = document.createElement('canvas').getContext('2d', {willReadFrequently: true});
  const rgba = c => { brush.clearRect(0, 0, 1, 1); brush.fillStyle = '#000'; brush.fillStyle = c;
    brush.fillRect(0, 0, 1, 1); const d = brush.getImageData(0, 0, 1, 1).data;
    return [d[0], d[1], d[2], d[3] / 255]; };
  const over = (a, b) => [0, 1, 2].map(i => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
  const lum = c => { const [r, g, b] = c.slice(0, 3).map(v => v / 255)
      .map(v => v <= .04045 ? v / 12.92 : ((v + .055) / 1.055) ** 2.4); return .2126 * r + .7152 * g + .0722 * b; };
  const ground = e => { const under = []; for (; e; e = e.parentElement) under.unshift(rgba(getComputedStyle(e).backgroundColor));
    return under.reduce((a, b) => over(b, a), [255, 255, 255, 1]); };
  const faded = e => { let o = 1; for (; e; e = e.parentElement) o *= +getComputedStyle(e).opacity; return o; };
  const seen = e => { const r = e.getBoundingClientRect(); return e.checkVisibility({visibilityProperty: true})
    && r.width > 1 && r.height > 1 && !e.closest('.ballot-unseen, [data-testid=stHeader]'); };
  const texts = [], targets = [];
  const walk = document.createTreeWalker(document.querySelector('[data-testid=stMain]'), NodeFilter.SHOW_TEXT);
  while (walk.nextNode()) { const e = walk.currentNode.parentElement;
    if (!walk.currentNode.data.trim() || !seen(e) || e.closest('style, script')) continue;
    if (e.closest('label') && getComputedStyle(e.closest('label')).visibility === 'hidden') continue;
    const back = ground(e), ink = rgba(getComputedStyle(e).color); ink[3] *= faded(e);
    const [a, b] = [lum(over(ink, back)), lum(back)].sort((x, y) => y - x);
    texts.push({text: walk.currentNode.data.trim().slice(0, 40), ratio: (a + .05) / (b + .05),
      size: parseFloat(getComputedStyle(e).fontSize)}); }
  for (const e of document.querySelectorAll('[data-testid=stMain] :is(button, a, summary, textarea, [data-testid=stRadioOption])'))
    if (seen(e)) { const r = e.getBoundingClientRect();
      targets.push({text: (e.innerText || e.tagName).slice(0, 40), width: r.width, height: r.height}); }
  return {texts, targets, wide: document.documentElement.scrollWidth - innerWidth}; }"""


# What the app's ground is drawn in: the framework follows the device's choice a moment after it changed.
_LIGHT = """() => { const brush = document.createElement('canvas').getContext('2d');
  brush.fillStyle = getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor;
  brush.fillRect(0, 0, 1, 1); const d = brush.getImageData(0, 0, 1, 1).data;
  return d[0] + d[1] + d[2] < 384 ? 'dark' : 'light'; }"""


def looks(page: Page) -> Iterator[str]:
    """The page as a phone and a laptop show it, light and dark, and at the end again on a phone.

    To change between light and dark, the framework draws all anew. So the last look is left as it is, and the next
    time begins with it.
    """
    begun_with = page.evaluate(_LIGHT)
    other = {"light": "dark", "dark": "light"}[begun_with]
    for name, scheme in (("phone", begun_with), ("laptop", begun_with), ("laptop", other), ("phone", other)):
        page.set_viewport_size(SIZES[name])
        page.emulate_media(color_scheme=scheme)
        settled(page)
        until(page, lambda scheme=scheme: page.evaluate(_LIGHT) == scheme, f"a {scheme} page")
        yield f"{name}-{scheme}"


def faults(page: Page) -> list[str]:
    """What is too small, too pale or too wide on the screen, and stays so once it is drawn."""
    for _ in range(20):  # what waits for a run is drawn paler, and takes a moment to come back
        settled(page)
        found = _faults_now(page)
        if not found:
            break
        page.wait_for_timeout(200)
    return found


def _faults_now(page: Page) -> list[str]:
    seen = page.evaluate(_EYE)
    assert seen["texts"], "a screen has words"
    found = [f"pale {one['ratio']:.2f}: {one['text']}" for one in seen["texts"] if one["ratio"] < 4.5]
    found += [f"small {one['size']} px: {one['text']}" for one in seen["texts"] if one["size"] < 16]
    narrow = [one for one in seen["targets"] if one["height"] < 44 or one["width"] < 44]
    found += [f"target {one['width']:.0f} × {one['height']:.0f}: {one['text']}" for one in narrow]
    return [*found, *(["wider than the screen"] if seen["wide"] > 0 else [])]
