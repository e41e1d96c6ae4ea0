"""The commands ``backup``, ``restore`` and ``check``: a whole notebook in one file, back again, and looked over."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from evaluation.actions import doors
from evaluation.clock import SystemClock
from evaluation.errors import ArgumentError, Damaged, StoreError
from evaluation.ground import terminal
from evaluation.ground.intake import on_one_line
from evaluation.keeping.place_option import Parser, place_meant
from evaluation.keeping.receipts_told import LookedUp, look_up
from evaluation.keeping.told import LINKS_ANEW, NOT_IN_IT, count, counts, instant
from evaluation.store import Notebook, stop_mark
from evaluation.store.backup import checking, form, leftovers, lost_ends, making, restoring
from evaluation.store.backup.checking import Checked

DAMAGED: Final = 1  # exit code: it was done, and something in the notebook does not stand as it was written
TOGETHER: Final = """\
A notebook is one file and what lies beside it: <file>-wal holds the newest answers while the app runs, <file>.secret
is what panelists' links are made with, <file>.anchor tells whether newest answers are gone. So never copy the file of
an app that runs: "backup" takes all of one instant, while people answer. It holds everything, people's names and the
keys of sessions that are not opened too: keep it as you keep the notebook, away from whoever is to smell. The secret
is in it only with --with-secret."""


def main(argv: list[str], default: Path) -> int:
    """Run one of the commands, on the ``default`` file unless --data says otherwise; returns the exit code."""
    return terminal.run(lambda: _run(_parser(argv[0], default).parse_args(argv[1:]), _COMMANDS[argv[0]]))


def _run(options: argparse.Namespace, command: Callable[[argparse.Namespace], int]) -> int:
    try:
        return command(options)
    except Damaged as problem:
        terminal.complain(str(problem))
        return DAMAGED


def _backup(options: argparse.Namespace) -> int:
    where = place_meant(options)
    notebook = Notebook.open_unchanged(where, SystemClock())
    try:
        secret = _secret(where) if options.with_secret else None
        leftovers.sweep_backups(options.file.parent)
        with form.new_file(options.file) as out:
            made = making.make(notebook, out, secret)
        lost = () if notebook.anchor is None else notebook.anchor.look()
    finally:
        notebook.close()
    hidden = made.members[form.SEALED_KEYS].lines
    _say(f"Backup of {notebook.where} as it was on {instant(made.made_at)}: {options.file}")
    if hidden:
        _say(f"The keys of sessions that are not opened are in its part {form.SEALED_KEYS}: leave that shut.")
    _say(_of_the_secret(in_it=secret is not None))
    bad = [one for one in made.logs or () if not one.holds]
    if bad:
        terminal.complain(f"{count(len(bad), 'log')} did not hold when this was made: run python -m evaluation check.")
    for sentence in lost:
        terminal.complain(sentence)
    return DAMAGED if bad or lost else 0


def _secret(where: str | Path) -> bytes:
    found = doors.known_secret(where)
    if found is None:
        raise StoreError(f"There is no secret to back up: neither beside the notebook nor in {doors.SECRET_VARIABLE}.")
    return found


def _of_the_secret(*, in_it: bool) -> str:
    if in_it:
        return f"The server's secret is in its part {form.SECRET}: whoever has it can answer in anybody's name."
    return "The server's secret is not in it: after a restore panelists' links are given out anew."


def _restore(options: argparse.Namespace) -> int:
    where = place_meant(options)
    if options.data is None:
        options.default.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    there = doors.known_secret(where)
    made = restoring.restore(options.file, where, SystemClock(), there)
    shown = where if isinstance(where, Path) else "the database"
    _say(f"Restored into {shown} as it was on {instant(made.manifest.made_at)}: {counts(made.checked)}")
    _say(_of_the_links(where, made.secret, there))
    for sentence in made.beyond:
        _say(f"{NOT_IN_IT} {sentence}")
    return _of_the_damage(made.checked)


def _of_the_links(where: str | Path, secret: bytes | None, there: bytes | None) -> str:
    if secret is None or (there is not None and there != secret):
        return LINKS_ANEW
    if there is None and not doors.lay_secret(where, secret):
        return f"Links stay valid once {doors.SECRET_VARIABLE} is set to what {form.SECRET} in the backup says."
    return "Panelists' links stay valid: the server's secret came with the backup."


def _check(options: argparse.Namespace) -> int:
    if options.file is not None and options.receipt:
        raise StoreError("A receipt is looked up in a notebook: leave FILE out, or restore it first.")
    if options.file is not None:
        if options.data is not None:
            raise ArgumentError("mouillette check: name a backup, or a notebook with --data, not both.")
        found = restoring.look_over(options.file, SystemClock()).checked
        _say(counts(found))
        return _of_the_damage(found)
    where = place_meant(options)
    altered = isinstance(where, Path) and stop_mark.read(where) == "altered"
    notebook = Notebook.open_unchanged(where, SystemClock())
    try:
        found = checking.check(notebook)
        asked = () if found.unreadable else look_up(notebook, options.receipt)
    finally:
        notebook.close()
    if altered:
        found = replace(found, damage=(checking.AS_LEFT, *found.damage))
    return max(_of_the_notebook(found, str(notebook.where)), _of_receipts(asked))


def _of_receipts(asked: tuple[LookedUp, ...]) -> int:
    for one in asked:
        _say(one.sentence)
    return 0 if all(one.held for one in asked) else DAMAGED


def _of_the_notebook(found: Checked, where: str) -> int:
    """What a check found; of damage also which copy is the newest."""
    if not found.unreadable:
        _say(counts(found))
    code = _of_the_damage(found)
    if found.damage and not any("newest copy" in one or "newest backup" in one for one in found.damage):
        way = lost_ends.how_to_restore(where, found.lost)
        terminal.complain(f"This notebook {'lacks what it had' if found.lost else 'is damaged'}; {way}.")
    return code


def _of_the_damage(found: Checked) -> int:
    for sentence in found.damage:
        terminal.complain(sentence)
    return DAMAGED if found.damage else 0


def _say(sentence: str) -> None:
    terminal.say(f"{on_one_line(sentence)}\n")


_COMMANDS: Final[Mapping[str, Callable[[argparse.Namespace], int]]] = MappingProxyType(
    {"backup": _backup, "restore": _restore, "check": _check}
)


# --- options --------------------------------------------------------------------------------------------------------

_ABOUT: Final = MappingProxyType(
    {
        "backup": "Write everything of a notebook, as it is at this instant, into one new file; the app may run on.",
        "restore": "Bring a backup back into a new file or an empty database; what is there already stays as it is.",
        "check": "Look a notebook over, or a backup: the file, every log, key and decision. Exit code 1: damage found.",
    }
)


def _parser(name: str, default: Path) -> Parser:
    kind = argparse.RawDescriptionHelpFormatter
    parser = Parser(f"mouillette {name}", description=_ABOUT[name], epilog=TOGETHER, formatter_class=kind)
    parser.takes_a_place(default)
    if name == "backup":
        parser.add_argument("file", metavar="FILE", type=Path, help="the backup to write, such as notebook.zip")
        parser.add_argument("--with-secret", action="store_true", help="put the server's secret in, so that links stay")
    elif name == "restore":
        parser.add_argument("file", metavar="FILE", type=Path, help="the backup to bring back")
    else:
        parser.add_argument(
            "file", metavar="FILE", type=Path, nargs="?", help="a backup to check instead of a notebook"
        )
        parser.add_argument(
            "--receipt",
            metavar="RECEIPT",
            action="append",
            default=[],
            help="a receipt from a phone: is its answer still here? (may be given several times)",
        )
    return parser
