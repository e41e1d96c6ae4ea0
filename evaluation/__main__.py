"""``python -m evaluation``: starts the app or judges a file of answers; nothing heavy is imported before parsing."""

from __future__ import annotations

import argparse
import importlib.util
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from evaluation.ground.places import data_folder

DESCRIPTION = """\
Mouillette: blind smelling sessions between trials of a scent, from plan to verdict, in the browser.

Without further words it starts on this computer only; open the address it prints. To judge a file of
answers without the browser: python -m evaluation judge answers.csv (see: python -m evaluation judge --help). To work
out a report anew from the exported data of a session: python -m evaluation report EXPORT.zip (see its --help).

To keep a copy of everything, bring one back, or look a notebook over: python -m evaluation backup FILE.zip,
restore FILE.zip --data NEW, check (see their --help).

A passphrase that is forgotten, or shut out by wrong attempts of others: python -m evaluation passphrase."""

EPILOG = """\
Panelists answer on their phones when the app listens on your network (--lan). Conductor pages then ask for a
passphrase, which you choose at the first start. Beside a database file lie <file>.secret, <file>.copies,
<file>.anchor, by which answers that vanished are noticed, and, while the app runs, <file>-wal with the newest
answers. They belong together: "backup" takes what a copy by hand would miss.
With a database server, set MOUILLETTE_SECRET (64 hexadecimal digits) to the same value for every process."""


class Unusable(Exception):  # noqa: N818 - a sentence for the terminal
    """Arguments that make no sense together or alone."""


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence."""

    def error(self, message: str) -> NoReturn:
        """Raise :class:`Unusable` with one sentence and where help is, in place of leaving the process."""
        raise Unusable(f"{message[:1].upper()}{message[1:]}. See python -m evaluation --help.")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code: 0 well, 2 wrong arguments or data that cannot be opened."""
    words = list(sys.argv[1:] if argv is None else argv)
    if words[:1] == ["judge"]:
        from evaluation.judge import main as judge

        return int(judge(words[1:]))
    if words[:1] == ["report"]:
        from evaluation.report.command import main as report

        return int(report(words[1:]))
    if words[:1] in (["backup"], ["restore"], ["check"]):
        from evaluation.keeping.backup_commands import main as keep

        return int(keep(words, default_file()))
    if words[:1] == ["passphrase"]:
        from evaluation.keeping.passphrase_command import main as come_back_in

        return int(come_back_in(words[1:], default_file()))
    try:
        return _start(_parsed(words))
    except Unusable as problem:
        return _complain(str(problem))
    except KeyboardInterrupt:
        return 0


def parser() -> Parser:
    """All options of the app itself."""
    made = Parser("python -m evaluation", description=DESCRIPTION, epilog=EPILOG, formatter_class=_Formatter)
    made.add_argument(
        "--data", metavar="WHERE", help=f"database file or database URL (default: {_shown(default_file())})"
    )
    made.add_argument("--port", type=_port, default=8501, metavar="N", help="port to listen on (default: 8501)")
    made.add_argument(
        "--lan",
        action="store_true",
        help="also listen on the local network, so that phones can reach it (off unless asked for)",
    )
    made.add_argument(
        "--public-url",
        type=_url,
        default=None,
        metavar="URL",
        help="address under which a proxy of yours makes the app reachable, such as https://smell.example.org",
    )
    made.add_argument("--demo", action="store_true", help="open an invented scenario to look around; nothing is kept")
    return made


def default_file() -> Path:
    """The database in this user's own data folder, outside any checkout."""
    return data_folder() / "mouillette.sqlite"


def _shown(path: Path) -> str:
    return str(path).replace("%", "%%")  # argparse would read it as a format


class _Formatter(argparse.RawDescriptionHelpFormatter):
    pass


def _parsed(words: list[str]) -> argparse.Namespace:
    given = parser().parse_args(words)
    if given.demo and given.data:
        raise Unusable("--demo keeps nothing and --data keeps everything: choose one of the two.")
    return given


def _start(given: argparse.Namespace) -> int:
    from evaluation.errors import MouilletteError

    try:
        where = None if given.demo else _where(given.data)
        server = _server()
        return int(server.serve(where, given.port, given.lan, given.public_url or "", given.demo))
    except MouilletteError as problem:
        return _complain(str(problem))


def _where(data: str | None) -> str | Path:
    if data and "://" in data:
        return data
    try:
        path = Path(data).expanduser().resolve() if data else default_file()
        folder_there = path.is_dir()
    except (OSError, ValueError, RuntimeError) as problem:  # too long, a zero byte, the home of nobody
        told = str(getattr(problem, "strerror", None) or problem).rstrip(".")
        raise Unusable(f"--data cannot name a file: {told}.") from problem
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise Unusable(f"The folder {path.parent} cannot be made: {problem.strerror}.") from problem
    if folder_there:
        raise Unusable(f"--data must name a file, and {path} is a folder.")
    return path


def _server() -> Any:
    """``pages/serve.py``, run by path: it is no part of this package."""
    from evaluation.ground.places import folder

    path = folder("pages") / "serve.py"
    spec = importlib.util.spec_from_file_location("mouillette_serve", path)
    if spec is None or spec.loader is None:
        raise Unusable(f"{path} cannot be read.")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def _port(text: str) -> int:
    if not text.isdecimal() or not 0 <= int(text) <= 65_535:
        raise argparse.ArgumentTypeError(f"must be a number from 1 to 65535 (0: any free one), not {text!r}")
    return int(text)


def _url(text: str) -> str:
    from urllib.parse import urlsplit

    parts = urlsplit(text)
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.path.strip("/") or parts.query:
        raise argparse.ArgumentTypeError(f"must look like https://smell.example.org, not {text!r}")
    return f"{parts.scheme}://{parts.netloc}"


def _complain(sentence: str) -> int:
    from evaluation.ground import terminal

    terminal.complain(sentence)
    return terminal.UNUSABLE


if __name__ == "__main__":
    sys.exit(main())
