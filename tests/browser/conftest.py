"""A real headless Chromium and a real server; without Chromium these tests skip and say so."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.request import urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.engine import launched
from tests.browser.waiting import PATIENCE, settled

ROOT = Path(__file__).resolve().parents[2]
PHONE = {"width": 390, "height": 844}
LAPTOP = {"width": 1280, "height": 800}

expect.set_options(timeout=PATIENCE)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for a file; every test has contexts of its own in it."""
    with launched() as browser:
        yield browser


@pytest.fixture
def device(chromium: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """Opens a device: a context with its own cookies, phone-sized and light unless told otherwise."""
    opened: list[BrowserContext] = []

    def open_device(viewport: Any = PHONE, scheme: Any = "light", **more: Any) -> BrowserContext:
        context = chromium.new_context(viewport=viewport, color_scheme=scheme, **more)
        context.set_default_timeout(PATIENCE)
        opened.append(context)
        return context

    yield open_device
    for context in opened:
        context.close()


Snap = Callable[..., None]


@pytest.fixture(scope="session")
def snap() -> Snap:
    """``snap(page, name)`` takes a picture for somebody to look at; nobody looks unless MOUILLETTE_SCREENSHOTS names a
    folder for them.
    """
    return picture_taken if os.environ.get("MOUILLETTE_SCREENSHOTS") else lambda *_, **__: None


def picture_taken(page: Page, name: str, whole: bool = False, **how: Any) -> None:
    """A picture of the page in the folder for them; ``whole``: of a page that scrolls inside itself."""
    folder = Path(os.environ["MOUILLETTE_SCREENSHOTS"])
    folder.mkdir(parents=True, exist_ok=True)
    size = page.viewport_size
    if whole and size:
        height = page.get_by_test_id("stMain").evaluate("e => e.scrollHeight")
        page.set_viewport_size({"width": size["width"], "height": height})
    page.screenshot(path=folder / f"{name}.png", **how)
    if whole and size:
        page.set_viewport_size(size)


class Served:
    """The real server on a file or a database server, which can be killed and started again at the same port."""

    def __init__(self, file: Path, database: str = "", secret: str = "") -> None:
        self.file = file
        self.database = database
        self.secret = secret
        self.setup_code = ""  # with a database server, as printed until a passphrase is chosen
        self.port = 0
        self.process: subprocess.Popen[str] | None = None

    @property
    def origin(self) -> str:
        return f"http://localhost:{self.port}"

    def start(self) -> None:
        """Start and wait until it answers: the line with its address comes a moment before it listens."""
        where = self.database or str(self.file)
        command = [sys.executable, "-m", "evaluation", "--data", where, "--port", str(self.port)]
        env = {**os.environ, "PYTHONPATH": str(ROOT)}
        env |= {"MOUILLETTE_SECRET": self.secret} if self.secret else {}
        with (self.file.parent / "server.log").open("a") as log:
            self.process = subprocess.Popen(
                command, cwd=self.file.parent, env=env, stdout=subprocess.PIPE, stderr=log, text=True
            )
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        assert "http://localhost:" in line, (line, (self.file.parent / "server.log").read_text())
        self.port = int(line.split("http://localhost:")[1].split()[0])
        if self.database:
            line = self.process.stdout.readline()
            assert "set-up code" in line, line
            self.setup_code = line.split()[-1]
        wait_until_it_answers(self.origin)

    def kill(self) -> None:
        """SIGKILL: no goodbye, nothing flushed."""
        self.end(signal.SIGKILL)

    def end(self, how: int = signal.SIGTERM) -> None:
        if self.process is not None:
            self.process.send_signal(how)
            self.process.wait(PATIENCE / 1000)
            if self.process.stdout is not None:
                self.process.stdout.close()
            self.process = None


def wait_until_it_answers(origin: str) -> None:
    ends = time.monotonic() + PATIENCE / 1000
    while time.monotonic() < ends:
        try:
            with urlopen(f"{origin}/_stcore/health", timeout=PATIENCE / 1000) as answer:
                assert answer.status == 200
            return
        except OSError:
            time.sleep(0.05)
    raise AssertionError(f"{origin} does not answer")


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The server on a new database file, for the tests of one file."""
    one = Served(tmp_path_factory.mktemp("served") / "notebook.sqlite")
    one.start()
    yield one
    one.end()


def joined(context: BrowserContext, served: Served, token: str) -> Page:
    """A page that came in by a panelist's link."""
    page = context.new_page()
    page.goto(f"{served.origin}/join/{token}")
    page.get_by_test_id("stMainBlockContainer").wait_for()
    settled(page)
    return page
