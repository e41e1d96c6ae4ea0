"""What the commands on a notebook share: their parser, and which notebook is meant."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import NoReturn

from evaluation.errors import ArgumentError, StoreError


class Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence instead of printing its usage."""

    def error(self, message: str) -> NoReturn:
        """Raise ArgumentError with the name of the command."""
        raise ArgumentError(f"{self.prog}: {message}.")

    def takes_a_place(self, default: Path) -> None:
        """Add --data, with the place that is meant without it."""
        self.set_defaults(default=default, data=None)
        shown = str(default).replace("%", "%%")  # argparse would read it as a format
        self.add_argument("--data", metavar="WHERE", help=f"database file or database URL (default: {shown})")


def place_meant(options: argparse.Namespace) -> str | Path:
    """The URL as it was given, or the path of a file."""
    if options.data and "://" in options.data:
        return str(options.data)
    try:
        return Path(options.data).expanduser() if options.data else Path(options.default)
    except RuntimeError as problem:  # the home of nobody
        raise StoreError(f"{options.data!r} cannot name a file: {str(problem).rstrip('.')}.") from None


def file_meant(where: str | Path) -> Path | None:
    """The file at a place, None on a server."""
    plain = str(where).removeprefix("sqlite:///")
    return None if "://" in plain else Path(plain).expanduser()
