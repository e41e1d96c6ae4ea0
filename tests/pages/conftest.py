"""A real server on a temporary database with one session under way, shared by the tests of a file."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from tests.pages.wire import ROOT, Running, running

if str(ROOT / "pages") not in sys.path:
    sys.path.append(str(ROOT / "pages"))  # as the server has it, so that ``parts`` is found


@pytest.fixture(scope="session", autouse=True)
def libraries_looked_through_once() -> Iterator[None]:
    """For each page under test the framework looks through all installed libraries: a fifth of what a page costs.

    They do not change while tests run.
    """
    from streamlit.components.v2 import manifest_scanner

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(manifest_scanner, "scan_component_manifests", cache(manifest_scanner.scan_component_manifests))
        yield


@pytest.fixture(scope="session", autouse=True)
def scripts_compiled_once() -> Iterator[None]:
    """A server compiles the script of a page once and keeps it; the framework's test bench does so at each run."""
    from streamlit.runtime.scriptrunner.script_cache import ScriptCache
    from streamlit.testing.v1 import app_test, local_script_runner

    kept = ScriptCache()
    with pytest.MonkeyPatch.context() as patch:
        for bench in (app_test, local_script_runner):
            patch.setattr(bench, "ScriptCache", lambda: kept)
        yield


@dataclass
class Desk:
    """A server, and the same database opened from this side."""

    server: Running
    notebook: Any
    secret: bytes
    session_id: str
    ballot_ids: tuple[str, ...]
    file: Path

    def token(self, seat: int = 1) -> str:
        """The token in the link of a seat, as it stands now."""
        from evaluation.actions import doors

        return doors.links(self.notebook, self.secret, self.session_id)[self.ballot_ids[seat - 1]]

    def join(self, seat: int = 1) -> dict[str, str]:
        """The cookies a panelist's browser holds after opening the link."""
        return self.server.get(f"/join/{self.token(seat)}").cookies


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A session that is being smelt by eight people, behind the real server; no passphrase yet."""
    from evaluation.actions import doors
    from evaluation.clock import SystemClock
    from evaluation.store import Notebook
    from tests.scenes import ballots, begun, scene

    file = tmp_path_factory.mktemp("desk") / "notebook.sqlite"
    notebook = Notebook.open(file, SystemClock())
    session = scene(notebook).smelling()
    begun(notebook, session.id)
    listed = tuple(one.id for one in ballots(notebook, session.id))
    with running("--data", str(file), cwd=file.parent) as server:
        yield Desk(server, notebook, doors.server_secret(file), session.id, listed, file)
    notebook.close()
