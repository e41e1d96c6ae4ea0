"""A notebook opened as the app opens it: how it was left, and a check where nobody vouches for it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from evaluation.clock import Clock
from evaluation.errors import Damaged, StoreError
from evaluation.ground import file_locks
from evaluation.store import Notebook, stop_mark
from evaluation.store.backup import checking, leftovers, lost_ends
from evaluation.store.notebook import copy_named

LOOKED_OVER: Final = "The notebook was not closed by the app when it was last used, so it was looked over: {}"
COVERED: Final = "It reads well and every log holds, but what no log covers may have changed"
BROKEN: Final = "This notebook is damaged"


@dataclass(frozen=True, slots=True)
class Opened:
    """A notebook that is open. ``told`` is said on the terminal, ``alarms`` on the pages as well.

    ``sound`` is False where something does not stand as it was written.
    """

    notebook: Notebook
    told: tuple[str, ...] = ()
    alarms: tuple[str, ...] = ()
    sound: bool = True


def open_notebook(where: str | Path | None, clock: Clock) -> Opened:
    """Open it, after an unclean stop with a check; Damaged where it cannot be read, naming the newest copy."""
    file = _file(where)
    if file is None:
        there = Notebook.open(where, clock)
        return Opened(there, alarms=_way_out(there))
    new = not (file.exists() and file.stat().st_size)
    left = stop_mark.read(file)
    notebook = _open(file, clock, left)
    alone = () if file_locks.available() else (file_locks.ONE_APP,)
    try:
        opened = Opened(notebook, alarms=_way_out(notebook)) if new or left == "clean" else _looked_over(notebook, left)
        stop_mark.take_away(file)
        leftovers.sweep_restores(file)
    except BaseException:
        notebook.close()
        raise
    return replace(opened, told=(*alone, *opened.told))


def close(opened: Opened) -> None:
    """Close it and, where it is a sound file that nobody else has open, mark that it was closed."""
    opened.notebook.close()
    file = _file(opened.notebook.where)
    if file is not None and opened.sound:  # else the next start is to find it again
        stop_mark.lay(file)


def damage_in(notebook: Notebook) -> Damaged | None:
    """The damage a check finds in an open notebook, with its newest copy; None where all stands."""
    try:
        found = checking.check(notebook)
        if found.damage:
            where = notebook.where
            way = "" if where is None else f"; {lost_ends.how_to_restore(where, found.lost)}"
            raise Damaged(f"{BROKEN} ({found.damage[0].rstrip('.')}){way}.", told=True)
    except Damaged as damage:
        return damage
    except StoreError:  # it is busy: nothing is known
        return None
    return None


def _file(where: str | Path | None) -> Path | None:
    """The file of a notebook; None in memory and on a server."""
    if where is None or "://" in str(where).removeprefix("sqlite:///"):
        return None
    return Path(str(where).removeprefix("sqlite:///")).expanduser()


def _open(file: Path, clock: Clock, left: stop_mark.Left) -> Notebook:
    try:
        return Notebook.open(file, clock)
    except Damaged:
        raise
    except StoreError as problem:
        if left != "altered":
            raise
        with copy_named(str(file)):  # it opened when it was stopped: whatever hinders now came with what altered it
            raise Damaged(f"{BROKEN} ({str(problem).rstrip('.')}).") from problem


def _looked_over(notebook: Notebook, left: stop_mark.Left) -> Opened:
    from evaluation.keeping import told

    found = checking.check(notebook)
    where = str(notebook.where)
    if found.unreadable:
        with copy_named(where):
            raise Damaged(f"{BROKEN} ({found.damage[0].rstrip('.')}).")
    how = lost_ends.how_to_restore(where, found.lost)
    alarms = _told(found.damage, notebook.alarms, how)
    if left == "altered":
        alarms = (f"{checking.AS_LEFT} {'' if alarms else f'{COVERED}; {how}.'}".rstrip(), *alarms)
    said = () if alarms else (LOOKED_OVER.format(told.counts(found)),)
    return Opened(notebook, said, alarms, sound=not found.damage)


def _way_out(notebook: Notebook) -> tuple[str, ...]:
    """Where the end of a log is missing, which copy holds it; what is missing is told by the notebook itself."""
    lost = () if notebook.anchor is None or not notebook.anchor.missing else notebook.anchor.lost()
    return (_sentence(lost_ends.how_to_restore(str(notebook.where), lost)),) if lost else ()


def _sentence(way: str) -> str:
    return f"{way[:1].upper()}{way[1:]}."


def _told(damage: Iterable[str], missing: Collection[str], how: str) -> tuple[str, ...]:
    """Damage with the way out of it; of what the anchor misses, which stands on every page already, the way alone."""
    ways = _sentence(how)
    sentences = (
        ways if one in missing else f"{BROKEN}: {one[:1].lower()}{one[1:].rstrip('.')}; {how}." for one in damage
    )
    return tuple(dict.fromkeys(sentences))
