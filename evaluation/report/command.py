"""The command ``report``: a report worked out anew from an exported file, and from nothing else."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import NoReturn

from evaluation.errors import ArgumentError, MouilletteError, StoreError
from evaluation.report import composing, export, print_out, web_page

UNUSABLE = 2  # exit code: the file or an option could not be used


def main(argv: list[str]) -> int:
    """Writes what was asked for; else one sentence on standard error and exit code 2."""
    try:
        options = _parser().parse_args(argv)
        _made(options)
    except MouilletteError as problem:
        sys.stderr.write(f"{problem}\n")
        return UNUSABLE
    return 0


def _made(options: argparse.Namespace) -> None:
    with export.opened(options.file) as copy:
        report = composing.report(copy.notebook, copy.session_id)
    if options.html:
        _write(options.html, web_page.page(report))
    if options.pdf:
        _write(options.pdf, print_out.document(report))
    if options.numbers or not (options.html or options.pdf):
        sys.stdout.write(report.numbers)
    if not copy.log_held:
        sys.stderr.write("The log did not stand as it was written when this file was made; the report says so.\n")


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as problem:
        raise StoreError(f"The file {path} cannot be written: {problem.strerror or problem}.") from problem


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one sentence instead of printing its usage."""

    def error(self, message: str) -> NoReturn:
        raise ArgumentError(f"{self.prog}: {message}.")


def _parser() -> argparse.ArgumentParser:
    about = "Work out the report of a session anew from its exported data alone."
    parser = _Parser(prog="mouillette report", description=about)
    parser.add_argument("file", metavar="EXPORT.zip", help="the file “Everything of this session” of the findings page")
    parser.add_argument("--html", type=Path, metavar="FILE", help="write the report as one page")
    parser.add_argument("--pdf", type=Path, metavar="FILE", help="write the report as PDF")
    parser.add_argument("--numbers", action="store_true", help="print all numbers (also where no file is asked for)")
    return parser
