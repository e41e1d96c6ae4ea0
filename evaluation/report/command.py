"""The command ``report``: a report worked out anew from an exported file, and from nothing else."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NoReturn

from evaluation.errors import ArgumentError, MouilletteError, StoreError
from evaluation.ground import terminal
from evaluation.ground.archives import DAMAGE
from evaluation.report import composing, export, print_out, web_page
from evaluation.report.blocks import Report


def main(argv: list[str]) -> int:
    """Writes what was asked for; else one sentence on standard error and exit code 2."""
    return terminal.run(lambda: _made(_parser().parse_args(argv)))


def _made(options: argparse.Namespace) -> int:
    with export.opened(options.file) as copy:
        if options.formulas and not copy.formulas:
            raise ArgumentError(
                "--formulas needs a file that carries formulas, and this one does not: they go into a file only where "
                "that was ticked on the page of its findings."
            )
        report = _worked_out(copy, formulas=options.formulas)
        if options.html:
            terminal.write_file(options.html, _drawn(web_page.page, report))
        if options.pdf:
            terminal.write_file(options.pdf, _drawn(print_out.document, report))
    if options.numbers or not (options.html or options.pdf):
        terminal.say(report.numbers)
    if not copy.log_held:
        terminal.complain("The log did not stand as it was written when this file was made; the report says so.")
    return 0


def _worked_out(copy: export.Copied, *, formulas: bool) -> Report:
    with _of_what_nobody_vouches_for():
        return composing.report(copy.notebook, copy.session_id, formulas=formulas)


def _drawn(draw: Callable[[Report], bytes], report: Report) -> bytes:
    with _of_what_nobody_vouches_for():
        return draw(report)


@contextmanager
def _of_what_nobody_vouches_for() -> Iterator[None]:
    """The last net: somebody who signs a log anew can write down what no session ever said."""
    try:
        yield
    except MouilletteError:
        raise
    except (*DAMAGE, AssertionError) as problem:
        raise StoreError(
            "No report can be worked out of this file: it holds what the program never writes, or the program is at "
            f"fault ({type(problem).__name__})."
        ) from problem


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
    told = "tell what the trials are made of and what was changed, where the file carries it; left out without this"
    parser.add_argument("--formulas", action="store_true", help=told)
    return parser
