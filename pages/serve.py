"""Builds and runs the server: the only place that does. ``python -m evaluation`` calls ``serve``."""

from __future__ import annotations

import errno
import os
import signal
import socket
import sys
import tempfile
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

HERE: Final = Path(__file__).resolve().parent
if str(HERE) not in sys.path:
    sys.path.insert(0, str(HERE))

from parts import house, palette  # noqa: E402
from parts.house import House  # noqa: E402

from evaluation.actions import doors  # noqa: E402
from evaluation.clock import SystemClock  # noqa: E402
from evaluation.errors import Damaged, MouilletteError, StoreError, told_to_panelists  # noqa: E402
from evaluation.keeping import at_start  # noqa: E402
from evaluation.store import Notebook  # noqa: E402

COOKIE_VARIABLE: Final = "STREAMLIT_SERVER_COOKIE_SECRET"
STRANGE_LINKS: Final = (
    "The secret that links are made with was lost or exchanged; links given out with the one of before: {}. They work "
    "until the bench shows new ones in their place: hand those out. If you have the secret of before, stop, put it "
    "back, and start again."
)
LOOK_AGAIN: Final = 60_000
_LOOKED: list[
    tuple[int, Damaged | None]
] = []  # when the notebook was last looked over for an exception, and the damage
WENT_WRONG: Final = "Something went wrong here; nothing you entered before was lost. Reload the page."


def serve(where: str | Path | None, port: int, lan: bool = False, public_url: str = "", demo: bool = False) -> int:
    """Run until stopped; returns the exit code. ``where`` is a file or database URL, ignored for the demo."""
    port = free_port("0.0.0.0" if lan else "127.0.0.1", port)
    signal.signal(signal.SIGTERM, _stop)
    with tempfile.TemporaryDirectory(prefix="mouillette-demo-", ignore_cleanup_errors=True) as scratch:
        opened = at_start.open_notebook(Path(scratch) / "demo.sqlite" if demo else where, SystemClock())
        for sentence in (*opened.told, *opened.notebook.alarms, *opened.alarms):
            sys.stderr.write(f"{sentence}\n")
        try:
            here = furnish(opened.notebook, None if demo else where, port, lan, public_url, demo, opened.alarms)
            with keeping(here):
                run(here)
        finally:
            at_start.close(opened)
    return 0


@contextmanager
def keeping(here: House) -> Iterator[None]:
    """Copies are made while the app runs on a file; the demo keeps nothing, and a server is backed up by its owner."""
    if here.demo or here.database_server or here.notebook.where is None:
        yield
        return
    from evaluation.keeping.own_copies import Keeper

    keeper = Keeper(here.notebook, lambda sentence: sys.stderr.write(f"{sentence}\n"))
    house.put(replace(here, keeper=keeper))
    keeper.start()
    try:
        yield
    finally:
        keeper.stop()


def furnish(
    notebook: Notebook,
    where: str | Path | None,
    port: int,
    lan: bool,
    public_url: str,
    demo: bool,
    alarms: tuple[str, ...] = (),
) -> House:
    """The process-wide house around an open notebook."""
    if demo:
        from evaluation import demo as scenario

        scenario.load(notebook)
    secret = doors.server_secret(where)
    here = House(
        notebook=notebook,
        secret=secret,
        port=port,
        lan=lan,
        demo=demo,
        public_url=public_url,
        database_server=is_server(where),
        addresses=tuple(f"http://{one}:{port}" for one in house.private_addresses()) if lan else (),
        strange_links=doors.strange_links(notebook, secret),
        alarms=alarms,
    )
    house.put(here)
    return here


def run(here: House) -> None:
    """Build the server for this house and run it until it is told to stop."""
    app, settings = build(here)
    sys.argv = [str(HERE / "serve.py")]  # the framework looks beside this file for settings of its own
    app.run(config=settings)


def build(here: House) -> tuple[Any, dict[str, Any]]:
    """The server and its settings. The framework is imported only after its cookie secret lies ready."""
    os.environ[COOKIE_VARIABLE] = doors.derive(here.secret, "framework cookie").hex()
    import streamlit as st
    from parts import neutral
    from parts.bench import sheet_routes
    from parts.doors import coming_in, front, guard
    from parts.findings import file_routes
    from parts.keeping import backup_routes
    from starlette.middleware import Middleware

    neutral.apply()
    app = st.App(
        HERE / "app.py",
        routes=[
            *coming_in.routes(),
            *file_routes.routes(),
            *sheet_routes.routes(),
            *backup_routes.routes(),
        ],
        middleware=[
            Middleware(guard.Guard, hosts=here.hosts, public_origin=guard.origin_of(here.public_url)),
            Middleware(front.FrontDoor),
        ],
        lifespan=_greeting(here),
        on_script_error=went_wrong,
        exception_handlers={MouilletteError: coming_in.trouble, Exception: coming_in.unforeseen(said_of)},
    )
    return app, settings(here)


def settings(here: House) -> dict[str, Any]:
    """Every setting of the framework that we rely upon; no settings file has a say in these."""
    return {
        "global.developmentMode": False,
        "server.address": "0.0.0.0" if here.lan else "127.0.0.1",
        "server.port": here.port,
        "server.headless": True,
        "server.enableCORS": True,
        "server.enableXsrfProtection": True,
        "server.allowedHosts": sorted(here.hosts),
        "server.corsAllowedOrigins": [here.public_url] if here.public_url else [],
        "server.maxUploadSize": 5,
        "server.maxWidgetStateSize": 1,  # megabytes a browser may say at once; no text here has more than 4,000 letters
        "server.fileWatcherType": "none",
        "server.runOnSave": False,
        "server.enableStaticServing": False,
        "server.scriptHealthCheckEnabled": False,
        "browser.gatherUsageStats": False,
        "browser.serverAddress": "localhost",
        "client.showErrorDetails": "none",
        "client.showErrorLinks": "false",
        "client.toolbarMode": "viewer",
        "client.allowedOrigins": [],
        "logger.hideWelcomeMessage": True,
        "logger.level": "warning",
        "logger.enableRich": False,
        "runner.magicEnabled": False,
        # A full collection after every run grows with all live sessions: at 100 it costs seconds per answer.
        "runner.postScriptGC": False,
        **palette.theme(),
    }


def went_wrong(error: Exception) -> bool:
    """Our own sentence in place of the framework's, which logs the details on this side."""
    import streamlit as st
    from parts.doors import visitor

    st.error(said_of(error, conductor=visitor.current().role == doors.CONDUCTOR))
    return True


def said_of(error: Exception, *, conductor: bool) -> str:
    """What somebody is told of an exception nobody foresaw: of a damaged notebook that it is damaged."""
    if not isinstance(error, MouilletteError):
        error = _damage_behind() or error
    if isinstance(error, Damaged):
        return str(error) if conductor else told_to_panelists(error)
    return str(error) if conductor and isinstance(error, MouilletteError) else WENT_WRONG


def _damage_behind() -> Damaged | None:
    """Rows that do not fit together make any code stumble: so the notebook is looked over, once a minute at most."""
    here = house.current()
    now = here.notebook.clock.now()
    if _LOOKED and now - _LOOKED[-1][0] < LOOK_AGAIN:
        return _LOOKED[-1][1]
    found = at_start.damage_in(here.notebook)
    _LOOKED[:] = [(now, found)]
    return found


def free_port(address: str, port: int) -> int:
    """The port, if nobody listens there; 0 picks any free one."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as trial:
        if os.name != "nt":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((address, port))
        except OSError as error:
            raise StoreError(_port_sentence(port, error)) from error
        return int(trial.getsockname()[1])


def _port_sentence(port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"Port {port} is in use already: stop the other program, or choose another one with --port."
    return f"Port {port} cannot be opened ({error.strerror}): choose another one with --port."


def is_server(where: str | Path | None) -> bool:
    """True for the URL of a database server, false for a file."""
    text = str(where or "")
    return "://" in text and not text.startswith("sqlite:")


def _greeting(here: House) -> Callable[[Any], Any]:
    @asynccontextmanager
    async def lifespan(_: Any) -> AsyncIterator[None]:
        sys.stdout.write(greeting(here))
        sys.stdout.flush()
        yield

    return lifespan


def greeting(here: House) -> str:
    """What the terminal says once the server listens."""
    lines = [f"Mouillette is running. Open http://localhost:{here.port} in a browser; Ctrl+C stops it."]
    lines += [f"In this network: {url}" for url in here.addresses]
    if here.public_url:
        lines.append(f"From outside: {here.public_url}")
    if here.demo:
        lines.append("This is the demo: invented people and scents, nothing is kept.")
    if here.strange_links:
        lines.append(STRANGE_LINKS.format(here.strange_links))
    if not here.local and not doors.has_passphrase(here.notebook):
        lines.append(f"No passphrase yet. Choose one at /first-passphrase; the set-up code is {here.setup_code}")
    return "\n".join(lines) + "\n"


def _stop(*_: object) -> None:
    raise SystemExit(0)
