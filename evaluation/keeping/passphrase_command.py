"""The command ``passphrase``: the way in from the machine itself, when it is forgotten or strangers shut the door."""

from __future__ import annotations

import argparse
import sys
from getpass import getpass
from pathlib import Path
from typing import Final

from evaluation.actions import doors, recovery
from evaluation.clock import SystemClock
from evaluation.errors import ArgumentError, StoreError
from evaluation.ground import terminal
from evaluation.keeping.place_option import Parser, file_meant, place_meant
from evaluation.store import Notebook, stop_mark

ABOUT: Final = (
    "Choose another passphrase without knowing the one of before, and print a code that lets one browser in at once, "
    "however many wrong attempts strangers made. The app may run on. Whoever can run this can read the notebook anyway."
)
KEPT: Final = "The new passphrase is kept; every browser that was signed in as the conductor is signed out."
CODE: Final = (
    "To come in now, open /let-in where Mouillette runs (such as http://localhost:8501/let-in) and type {code} there "
    "within {minutes} minutes; it holds once."
)


def main(argv: list[str], default: Path) -> int:
    """Run the command, on the ``default`` file unless --data says otherwise; returns the exit code."""
    return terminal.run(lambda: _run(_parser(default).parse_args(argv)))


def _run(options: argparse.Namespace) -> int:
    where = place_meant(options)
    file = file_meant(where)
    left = "none" if file is None else stop_mark.read(file)
    notebook = Notebook.open_unchanged(where, SystemClock())
    try:
        if not options.only_code:
            recovery.reset_passphrase(notebook, _asked_twice())
            terminal.say(f"{KEPT}\n")
        elif not doors.has_passphrase(notebook):
            raise StoreError("No passphrase has been chosen yet: leave --only-code out, and choose one now.")
        terminal.say(f"{CODE.format(code=recovery.new_code(notebook), minutes=recovery.CODE_MINUTES)}\n")
    finally:
        notebook.close()
        if file is not None and left == "clean":
            stop_mark.lay(file)  # it was closed well, and is again
    return 0


def _asked_twice() -> str:
    """Typed unseen in a terminal; else the first two lines of standard input."""
    first, again = _asked("New passphrase: "), _asked("Once more: ")
    if first != again:
        raise ArgumentError("The two passphrases differ: nothing was changed.")
    return first


def _asked(words: str) -> str:
    if sys.stdin is not None and sys.stdin.isatty():
        return getpass(words)
    return "" if sys.stdin is None else sys.stdin.readline().rstrip("\r\n")


def _parser(default: Path) -> Parser:
    parser = Parser("mouillette passphrase", description=ABOUT)
    parser.takes_a_place(default)
    parser.add_argument(
        "--only-code", action="store_true", help="leave the passphrase as it is, and print the code alone"
    )
    return parser
