"""What a kill left half written: backups and restores that never came to an end, told from those that are going on.

Whoever writes holds a lock on the half-written file, or on the folder it works in, and the lock goes with its process
however that ends. What nobody holds is left over. Where there are no such locks nothing is swept: it stays to be seen.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from evaluation.ground import file_locks

_PART: Final = re.compile(r".+\.[0-9a-f]{8}\.part")
_ZIP: Final = re.compile(r".+\.zip\.[0-9a-f]{8}\.part")  # nothing was written yet: the name alone tells
_ROOM: Final = ".restoring"  # how the name of a folder ends in which a backup is laid out
_ASIDE: Final = "mouillette"  # laid out for a place that is no new file
# How a zip begins whose first member is the page that each backup begins with (form.README).
_BEGINS: Final = (b"PK\x03\x04", b"README.txt")


@contextmanager
def half_written(path: Path) -> Iterator[tuple[Path, int]]:
    """A new file beside ``path``, open and its owner's only; it goes again unless it was given another name."""
    part, handle = _locked_file(path)
    try:
        yield part, handle
    finally:
        part.unlink(missing_ok=True)


def _locked_file(path: Path) -> tuple[Path, int]:
    while True:
        part = path.with_name(f"{path.name}.{secrets.token_hex(4)}.part")
        handle = os.open(part, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600)
        if file_locks.lock_now(handle) != "theirs" and file_locks.same(handle, part):
            return part, handle
        file_locks.let_go(handle)  # swept before it was locked
        part.unlink(missing_ok=True)


@contextmanager
def workroom(beside: Path | None = None) -> Iterator[Path]:
    """An empty folder of its owner's only, beside a file that is to appear or among the system's; it goes again."""
    folder, handle = _locked_folder(beside)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if handle is not None:
            file_locks.let_go(handle)


def _locked_folder(beside: Path | None) -> tuple[Path, int | None]:
    where = None if beside is None else beside.parent
    while True:
        folder = Path(tempfile.mkdtemp(prefix=_beginning(beside), suffix=_ROOM, dir=where))
        if not file_locks.available():
            return folder, None
        try:
            handle = os.open(folder, os.O_RDONLY)
        except FileNotFoundError:  # swept before it was opened
            continue
        if file_locks.lock_now(handle) != "theirs" and file_locks.same(handle, folder):
            return folder, handle
        file_locks.let_go(handle)
        shutil.rmtree(folder, ignore_errors=True)


def _beginning(beside: Path | None) -> str:
    return f"{_ASIDE}-" if beside is None else f".{beside.name}."


def sweep_backups(folder: Path) -> None:
    """Take away backups in a folder that were cut off while they were written."""
    for path in _named(folder, lambda name: _PART.fullmatch(name) is not None):
        if path.is_file() and not path.is_symlink():
            _sweep(path, _is_empty_or_backup if _ZIP.fullmatch(path.name) else _is_backup)


def sweep_restores(beside: Path | None = None) -> None:
    """Take away folders of restores that were cut off: beside this file, or among the system's."""
    folder, beginning = Path(tempfile.gettempdir()) if beside is None else beside.parent, _beginning(beside)
    for path in _named(folder, lambda name: name.startswith(beginning) and name.endswith(_ROOM)):
        if path.is_dir() and not path.is_symlink():
            _sweep(path, lambda _: True)


def _named(folder: Path, wanted: Callable[[str], bool]) -> list[Path]:
    try:
        return [path for path in folder.iterdir() if wanted(path.name)]
    except (OSError, ValueError):  # not there, or a name no folder can have
        return []


def _sweep(path: Path, ours: Callable[[int], bool]) -> None:
    """Take it away if it is ours and nobody holds it; what hinders that is no hindrance to anything else."""
    with suppress(OSError):
        handle = os.open(path, os.O_RDONLY)
        try:
            if file_locks.lock_now(handle) == "ours" and file_locks.same(handle, path) and ours(handle):
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        finally:
            file_locks.let_go(handle)


def _is_backup(handle: int) -> bool:
    """Whether it begins as ours do: another program may call its files alike."""
    begins = os.pread(handle, 40, 0)
    return begins.startswith(_BEGINS[0]) and begins[30:].startswith(_BEGINS[1])


def _is_empty_or_backup(handle: int) -> bool:
    return not os.fstat(handle).st_size or _is_backup(handle)
