"""What a file is before anything is done to it: ours, new, another program's or damaged. Not one byte of it changes.

SQLite in its own way would turn on write-ahead logging, play back what a crash left, or begin a new notebook in the
place of one that was cut to nothing: all of that only once it is known that the file is ours.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import threading
from contextlib import closing
from pathlib import Path
from typing import Final, Literal

from evaluation.errors import StoreError
from evaluation.store.backup import kept_copies

VERSION_TABLE: Final = "mouillette_schema"
FOREIGN: Final = "This is not a Mouillette notebook: it holds the tables of another program."
NO_DATABASE: Final = "This file is not a Mouillette notebook: choose another file."
Kind = Literal["new", "ours", "damaged"]
_MAGIC: Final = b"SQLite format 3\0"
_ZEROS: Final = bytes(len(_MAGIC))
_BESIDE: Final = (".secret", ".closed", ".anchor")  # what nobody but this program lays beside a file
_OURS: Final = frozenset({"answers", "ballots", "briefs", "panelists", "records", "servings", "sessions", "trials"})
_TRIES: Final = 3  # an app that runs may be writing what is read here
_STEP: Final = 1 << 20


def kind_of(file: Path) -> Kind:
    """What lies there; StoreError for the file of another program, which stays byte for byte as it is."""
    if not file.exists():
        return "new"
    if not file.stat().st_size:
        return "damaged" if _had_a_notebook(file) else "new"
    with file.open("rb") as read:
        head = read.read(len(_MAGIC))
    if head == _MAGIC:
        return _by_tables(file)
    if head == _ZEROS or _had_a_notebook(file) or _speaks_of_us(file):
        return "damaged"
    raise StoreError(NO_DATABASE)


def _by_tables(file: Path) -> Kind:
    tables = _tables(file)
    for _ in range(_TRIES):
        if tables:
            break
        tables = _tables_aside(file)  # the newest may lie in what belongs to it
        if tables is not None:
            break
        threading.Event().wait(0.05)
    if tables is None:
        return "damaged"
    if tables and VERSION_TABLE not in tables:
        if len(_OURS & tables) > len(_OURS) // 2 or _had_a_notebook(file):
            return "damaged"
        raise StoreError(FOREIGN)
    if _is_cut(file):
        threading.Event().wait(0.05)  # whoever was last out may have been at it
        if _is_cut(file):
            return "damaged"
    return "ours" if tables else "new"


def _is_cut(file: Path) -> bool:
    """Shorter than its header says, or a part of a page at its end (the header of an SQLite file, bytes 16 to 95).

    Not while a write-ahead file lies there: it may hold the rest.
    """
    with file.open("rb") as read:
        head = read.read(100)
        size = read.seek(0, 2)
    if Path(f"{file}-wal").exists() or Path(f"{file}-journal").exists():
        return False
    page, pages = int.from_bytes(head[16:18]), int.from_bytes(head[28:32])
    page = 65_536 if page == 1 else page
    told = head[24:28] == head[92:96]  # else a very old program wrote last, and the number of pages says nothing
    return not page or size % page > 0 or (told and size < pages * page)


def _tables(file: Path, how: str = "mode=ro&immutable=1") -> frozenset[str] | None:
    """The names of the tables, None where they cannot be read."""
    query = "SELECT CAST(name AS BLOB) FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'"
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?{how}", uri=True)) as connection:
            return frozenset(bytes(name).decode(errors="replace") for (name,) in connection.execute(query))
    except (sqlite3.Error, UnicodeDecodeError):  # a name it cannot read stands in what it says of it
        return None


def _tables_aside(file: Path) -> frozenset[str] | None:
    """The same of a copy, into which what a crash left is played."""
    with tempfile.TemporaryDirectory(prefix="mouillette-look-", ignore_cleanup_errors=True) as folder:
        for name in (file.name, f"{file.name}-wal", f"{file.name}-journal"):
            if file.with_name(name).is_file():
                shutil.copyfile(file.with_name(name), Path(folder) / name)
        return _tables(Path(folder) / file.name, "mode=rw")


def _had_a_notebook(file: Path) -> bool:
    """Beside it lies what only a notebook has beside it."""
    return any(Path(f"{file}{end}").exists() for end in _BESIDE) or bool(kept_copies.copies(file))


def _speaks_of_us(file: Path) -> bool:
    """The name of a table of ours stands anywhere in it."""
    sought, kept = VERSION_TABLE.encode(), b""
    with file.open("rb") as read:
        while chunk := read.read(_STEP):
            if sought in kept + chunk:
                return True
            kept = chunk[-len(sought) :]
    return False
