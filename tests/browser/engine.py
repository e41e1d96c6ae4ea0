"""Debian's Chromium, driven from one test file at a time.

The driver's event loop counts as running in its thread as long as the driver is open: whatever else that process tests
afterwards could start no loop of its own, and a second driver would be refused. So each file opens and closes its own.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, sync_playwright

# The same engine: first the one without the windows of a desktop, which takes three fifths of the processor time.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
CHROMIUM = os.environ.get("MOUILLETTE_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--renderer-process-limit=1",  # pages of several people share what was compiled of the framework: a sixteenth less
)


@contextmanager
def launched() -> Iterator[Browser]:
    """A browser until the end of the block; skips where there is none."""
    if not CHROMIUM:
        pytest.skip("No Chromium here: install it, or set MOUILLETTE_CHROMIUM to its path.")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()
