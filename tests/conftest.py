"""What all tests share: a memory notebook with a stepped clock, and no silent skips where CI wants none."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from evaluation.clock import SteppedClock

ROOT = Path(__file__).resolve().parents[1]

# The same examples every time: a failure met once is met again, and the time a run takes is known.
settings.register_profile(
    "quick", max_examples=60, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("few", parent=settings.get_profile("quick"), max_examples=6)  # the lowest versions
settings.register_profile("long", max_examples=2000, deadline=None, print_blob=True)
settings.load_profile(os.environ.get("MOUILLETTE_HYPOTHESIS", "quick"))

# Tests that need a thing a bare machine lacks. With MOUILLETTE_NO_SKIPS set (CI sets it) skipping one is a failure.
NEVER_SKIPPED = ("browser", "postgres", "packaging")

PLACES = ("memory", "file", "postgres")  # of a notebook, as cases of a test name them


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: Any) -> Iterator[None]:
    report = yield
    if report.skipped and not hasattr(report, "wasxfail") and _must_run(item):
        report.outcome = "failed"
        report.longrepr = f"MOUILLETTE_NO_SKIPS: {item.nodeid} was skipped: {report.longrepr}"
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Iterator[None]:
    report = yield
    inside = collector.path.relative_to(ROOT).parts if collector.path.is_relative_to(ROOT) else ()
    if report.skipped and set(inside) & set(NEVER_SKIPPED) and os.environ.get("MOUILLETTE_NO_SKIPS"):
        report.outcome = "failed"
        report.longrepr = f"MOUILLETTE_NO_SKIPS: {collector.nodeid} was skipped whole: {report.longrepr}"
    return report


def _must_run(item: pytest.Item) -> bool:
    return bool(os.environ.get("MOUILLETTE_NO_SKIPS")) and any(item.get_closest_marker(m) for m in NEVER_SKIPPED)


@pytest.fixture(scope="session", autouse=True)
def data_of_its_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Nothing lands in the data folder of whoever runs the tests: copies of a database server would."""
    with pytest.MonkeyPatch.context() as patched:
        for name in ("XDG_DATA_HOME", "APPDATA"):
            patched.setenv(name, str(tmp_path_factory.mktemp("data")))
        yield


@pytest.fixture
def clock() -> SteppedClock:
    """Starts at a fixed instant and moves a millisecond at each question, so that order in time is visible."""
    return SteppedClock(step=1)


@pytest.fixture
def notebook(clock: SteppedClock) -> Iterator[Any]:
    """A new store in memory for each test."""
    from evaluation.store import Notebook

    opened = Notebook.open(None, clock)
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def datasets() -> Path:
    """The folder of open data: MOUILLETTE_DATASETS, else ``shared/datasets`` next to the checkout; skips without."""
    named = os.environ.get("MOUILLETTE_DATASETS")
    folder = Path(named) if named else ROOT.parent / "shared" / "datasets"
    if not folder.is_dir():
        pytest.skip("The open data sets are not here: set MOUILLETTE_DATASETS to their folder.")
    return folder


# --- collecting ------------------------------------------------------------------------------------------------------


@pytest.hookimpl(wrapper=True)
def pytest_collection(session: pytest.Session) -> Iterator[Any]:
    """Workers that start together collect one after the other: what the first has compiled, the next need only read."""
    with _turn() if hasattr(session.config, "workerinput") else nullcontext():
        return (yield)


@contextmanager
def _turn() -> Iterator[None]:
    try:
        import fcntl
    except ImportError:  # Windows
        yield
        return
    with Path(__file__).open() as held:
        fcntl.flock(held, fcntl.LOCK_EX)  # let go of as the file is closed
        yield


# --- fewer cases ------------------------------------------------------------------------------------------------------


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """With MOUILLETTE_CASES=few, for the lowest versions: every test, but not each of its cases.

    What differs there is what libraries do. Of the places of a notebook two are kept, SQLite and a database server, with
    one case each; of other cases the first, the middle and the last, which lie far apart in a table.
    """
    if os.environ.get("MOUILLETTE_CASES") != "few":
        return
    cases: dict[Any, list[pytest.Item]] = {}
    for item in items:
        named = getattr(item, "originalname", None) or item.name
        cases.setdefault((item.path, named, _places(item)), []).append(item)
    kept = {id(one) for (*_, places), same in cases.items() for one in (same[:1] if places else _apart(same))}
    config.hook.pytest_deselected(items=[item for item in items if id(item) not in kept])
    items[:] = [item for item in items if id(item) in kept]


def _places(item: pytest.Item) -> tuple[bool, ...]:
    """Whether each notebook of this case lies on a server; a file and a memory are kept by the same library."""
    given = getattr(item, "callspec", None)
    values = given.params.values() if given else ()
    return tuple(one == "postgres" for one in values if isinstance(one, str) and one in PLACES)


def _apart(same: list[pytest.Item]) -> tuple[pytest.Item, ...]:
    return same[0], same[len(same) // 2], same[-1]


# --- garbage ----------------------------------------------------------------------------------------------------------


def pytest_collection_finish() -> None:
    _settle_garbage()


def pytest_runtest_teardown(item: pytest.Item, nextitem: pytest.Item | None) -> None:
    if nextitem is None or nextitem.path != item.path:
        _settle_garbage()


def _settle_garbage() -> None:
    """What lives by now is looked through no more: the framework collects garbage after each run of a page, and in a
    process that holds the whole suite one such collection took a second.
    """
    gc.collect()
    gc.freeze()
