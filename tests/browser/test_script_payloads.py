"""What people type is shown and never run: 127 ways to smuggle a script in, on the pages where typed words are read.

Ways that are common knowledge of the trade (the same ideas stand in the cheat sheets of the OWASP foundation), spelt
anew here; each sets one mark that the page would then bear.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import cycle, product

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import ballot, bench, book, findings
from evaluation.clock import SystemClock
from evaluation.report import composing, web_page
from evaluation.store import Notebook
from tests import scenes
from tests.browser.ballot_desk import Desk as Bench
from tests.browser.conftest import Served
from tests.browser.waiting import settled, until

_RUN = "window.struck=1"
_SPELT = (
    f"<script>{_RUN}</script>", f"<img src=x onerror={_RUN}>", f"<svg onload={_RUN}>", f"<body onload={_RUN}>",
    "<iframe srcdoc='<script>parent.struck=1</script>'></iframe>", f"<a href='javascript:{_RUN}'>x</a>",
    f"<details open ontoggle={_RUN}>x</details>", f"<input autofocus onfocus={_RUN}>", f"<style onload={_RUN}></style>",
    f"<video><source onerror={_RUN}></video>", f"<math><mtext></p><img src=x onerror={_RUN}></math>",
    f"<object data='javascript:{_RUN}'></object>", f"<embed src='javascript:{_RUN}'>",
    f"<form><button formaction='javascript:{_RUN}'>x</button></form>", f"<marquee onstart={_RUN}>x</marquee>",
    f"<meta http-equiv=refresh content='0;url=javascript:{_RUN}'>", f"<base href='javascript:{_RUN}//'>",
    f"<link rel=stylesheet href='data:text/css,x' onload={_RUN}>", f"<audio src=x onerror={_RUN}></audio>",
    f"<select autofocus onfocus={_RUN}></select>", f"[x](javascript:{_RUN})", f"![x](x\"onerror=\"{_RUN})",
    f"<javascript:{_RUN}>", f"$\\href{{javascript:{_RUN}}}{{x}}$", f"{{{{{_RUN}}}}}",
)  # fmt: skip
_ROUND: tuple[Callable[[str], str], ...] = (
    lambda one: one,
    lambda one: f"\"'>{one}",
    lambda one: f"</style></script></textarea></title>{one}",
    lambda one: f"<{one.upper().replace(_RUN.upper(), _RUN)}",
    lambda one: "&#0;" + one.replace("<", "&lt;").replace("javascript:", "java&#x09;script:"),
)
PAYLOADS = (
    *(made(one) for one, made in product(_SPELT, _ROUND)),
    f"\u2028</script><script>{_RUN}//",
    f"\\x3cscript\\x3e{_RUN}\\x3c/script\\x3e",
)


def portions(longest: int) -> list[str]:
    """All payloads, as many in one text as it may hold."""
    made = [""]
    for one in PAYLOADS:
        if len(made[-1]) + len(one) + 1 > longest:
            made.append("")
        made[-1] += f"{one} "
    return [one.strip() for one in made]


@pytest.fixture(scope="module")
def typed(served: Served) -> Iterator[tuple[Served, scenes.Scene, str]]:
    """Payloads in the words of brief, trials, panel, plan and remarks; a triangle that was opened."""
    notebook = Notebook.open(served.file, SystemClock())
    brief = book.add_brief(notebook, PAYLOADS[0], portions(4000)[0])
    trials = [
        book.add_trial(notebook, brief.id, PAYLOADS[2 * n][:40], None, words)
        for n, words in enumerate(portions(2000), start=1)
    ]
    panel = [book.add_panelist(notebook, f"{n} {PAYLOADS[n]}"[:40], words) for n, words in enumerate(portions(400))]
    made = scenes.Scene(notebook, brief.id, (trials[0].id, trials[1].id), tuple(one.id for one in panel))
    session = made.smelling(people=8, title=PAYLOADS[1], replicates=2)
    remarks = cycle(portions(1000))
    for one in scenes.ballots(notebook, session.id):
        while screen := ballot.view(notebook, one.id).screen:
            (asked,) = screen
            said = next(remarks) if asked.name == "choice" else ""
            ballot.lock(notebook, one.id, asked.serving_id, asked.name, scenes.first_option(asked), said)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    yield served, made, session.id
    notebook.close()


def test_there_are_a_hundred_and_twenty_seven() -> None:
    assert len(PAYLOADS) == len(set(PAYLOADS)) == 127


def test_the_conductors_pages_show_them_and_run_none(
    typed: tuple[Served, scenes.Scene, str], device: Callable[..., BrowserContext]
) -> None:
    served, _, _ = typed
    page, told = _watched(device())
    for name, title in (("", "Trial book"), ("panel", "Panel"), ("findings", "Findings")):
        page.goto(f"{served.origin}/{name}")
        expect(page.get_by_role("heading", level=1)).to_have_text(title)
        settled(page)
        _nothing_ran(page, told, served.origin)


def test_a_ballot_shows_them_and_runs_none(
    typed: tuple[Served, scenes.Scene, str], device: Callable[..., BrowserContext]
) -> None:
    served, made, _ = typed
    sitting = Bench(served, made.notebook, made).smelling(
        people=8, method="preference", title=PAYLOADS[6], confirmed=(), asks_nearer=True
    )
    while (asked := sitting.asked()).name != "nearer":  # there the brief is shown
        ballot.lock(made.notebook, sitting.ballot_ids[0], asked.serving_id, asked.name, scenes.first_option(asked))
    page, told = _watched(device())
    page.goto(f"{served.origin}/join/{sitting.tokens[0]}")
    expect(page.locator(".ballot-brief")).to_be_visible()
    _nothing_ran(page, told, served.origin)


def test_a_report_shows_them_and_runs_none(
    typed: tuple[Served, scenes.Scene, str], device: Callable[..., BrowserContext]
) -> None:
    _, made, session_id = typed
    page, told = _watched(device())
    page.set_content(web_page.page(composing.report(made.notebook, session_id)).decode(), wait_until="load")
    _nothing_ran(page, told, "about:")


def test_the_mark_would_be_seen(device: Callable[..., BrowserContext]) -> None:
    page, told = _watched(device())
    page.set_content("".join(PAYLOADS[:10]), wait_until="load")
    until(page, lambda: page.evaluate("window.struck"), "the mark of a script that ran")
    assert told == []


def _watched(context: BrowserContext) -> tuple[Page, list[str]]:
    """A page, and what it asked for or put before people that none of our pages does."""
    page, told = context.new_page(), []
    page.on("dialog", lambda box: (told.append(box.message), box.dismiss()))
    page.on("request", lambda asked: told.append(asked.url) if "localhost" not in asked.url else None)
    return page, told


def _nothing_ran(page: Page, told: list[str], origin: str) -> None:
    until(page, lambda: "struck" in page.locator("body").inner_text(), "the words, as text")
    assert page.evaluate("window.struck") is None
    assert page.locator("a[href*='script:' i], [onerror], [onload], [onfocus], [ontoggle], iframe[srcdoc]").count() == 0
    assert [one for one in told if not one.startswith((origin, "data:", "blob:"))] == []
