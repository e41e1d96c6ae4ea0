"""The anchor of a notebook in a file: a journal beside it, only ever appended to, readable by its owner only.

Every line says how long it is and carries a digest of itself, so that one cut short by a crash is told from one that
was altered. Several processes may append; whoever writes the whole anew holds a lock meanwhile, and the others notice.
"""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from hashlib import sha256
from pathlib import Path
from typing import Final

from evaluation.ground import file_locks
from evaluation.store.anchors.end_marks import Known, Line, known_of

LONG: Final = 256 * 1024  # bytes, from which on the journal is written anew with the newest marks only
_DIGITS: Final = 8
GONE: Final = (
    "The anchor of this notebook ({name}) was taken away while the app ran: what was lost before that cannot be told."
)


def beside(file: Path) -> Path:
    """Where the journal of a notebook lies."""
    return file.with_name(f"{file.name}.anchor")


def spelt(line: Line) -> bytes:
    """One line as it is written down; the leading line end keeps it apart from one that was cut short."""
    text = json.dumps(line, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()
    return b"\n%d %s %s\n" % (len(text), sha256(text).hexdigest()[:_DIGITS].encode(), text)


def read(data: bytes) -> Known:
    """What a journal says. A line cut short says nothing: the store is ahead then, as after any crash."""
    lines, unreadable = [], 0
    for one in data.split(b"\n"):
        size, _, rest = one.partition(b" ")
        digest, _, text = rest.partition(b" ")
        if not one or (size.isdigit() and len(text) < int(size)):
            continue
        if sha256(text).hexdigest()[:_DIGITS].encode() != digest:
            unreadable += 1
            continue
        lines.append(json.loads(text))
    return known_of(lines, unreadable)


class Journal:
    """Reads and appends; ``now`` dates what is written anew."""

    def __init__(self, file: Path, now: Callable[[], int]) -> None:
        self.path = beside(file)
        self._now = now
        self._writing, self._syncing = threading.Lock(), threading.Lock()
        self._handle: int | None = None
        self._written = self._synced = 0
        self._long = LONG
        self._met = False  # whether it was there when we looked last

    def known(self) -> Known:
        """What it says now; nothing at all where it is not there."""
        try:
            return read(self.path.read_bytes())
        except FileNotFoundError:
            return Known()

    def append(self, lines: Sequence[Line]) -> None:
        """Write these down, and return once they outlast a power cut; lines of several threads share one sync."""
        with self._writing, self._open() as handle:
            _write(handle, b"".join(map(spelt, lines)))
            self._written += 1
            mine, long = self._written, os.fstat(handle).st_size > self._long
        self._sync(mine)
        if long:
            self.rewrite()

    def rewrite(self, change: Callable[[Known], None] = lambda _: None) -> None:
        """Write the whole anew, as short as it can be and with ``change``; it is there whole or as it was."""
        with self._writing, self._syncing, self._open():
            known = self.known()
            change(known)
            part = self.path.with_name(f"{self.path.name}.part")
            data = b"".join(map(spelt, known.lines(self._now())))
            with suppress(OSError):  # a system that replaces no open file keeps the long one
                self._replace(part, data)
            self._long = max(LONG, 2 * len(data))
            self._synced = self._written

    def close(self) -> None:
        """Let the file go."""
        with self._writing, self._syncing:
            self._let_go()

    def _let_go(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None

    def _sync(self, mine: int) -> None:
        with self._syncing:
            if self._synced >= mine or self._handle is None:
                return
            everything = self._written
            os.fsync(self._handle)
            self._synced = everything

    def _replace(self, part: Path, data: bytes) -> None:
        part.unlink(missing_ok=True)
        handle = os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600)
        try:
            _write(handle, data)
            os.fsync(handle)
        finally:
            os.close(handle)
        os.replace(part, self.path)
        _sync_folder(self.path.parent)

    @contextmanager
    def _open(self) -> Iterator[int]:
        """The journal that lies there now, ours alone meanwhile; one that is not there is begun."""
        handle = self._locked()
        try:
            yield handle
        finally:
            file_locks.unlock(handle)

    def _locked(self) -> int:
        while True:
            if self._handle is None:
                self._handle = self._opened()
            file_locks.lock(self._handle)
            if file_locks.same(self._handle, self.path):
                return self._handle
            self._let_go()  # it was written anew, or taken away

    def _opened(self) -> int:
        taken_away = self._met and not self.path.exists()
        handle = os.open(self.path, os.O_CREAT | os.O_APPEND | os.O_RDWR, 0o600)
        if not os.fstat(handle).st_size:
            begin: list[Line] = [{"anew": self._now()}]
            begin += [{"note": GONE.format(name=self.path.name)}] if taken_away else []
            _write(handle, b"".join(map(spelt, begin)))
            os.fsync(handle)
            _sync_folder(self.path.parent)
        self._met = True
        return handle


def _write(handle: int, data: bytes) -> None:
    while data:
        data = data[os.write(handle, data) :]


def _sync_folder(folder: Path) -> None:
    if os.name == "posix":  # the name outlasts a power cut only once the folder is written
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
