"""The mark of a clean stop, ``<file>.closed``: how the notebook was left, so that a start need not guess.

It is laid when the app has closed the file, and taken away when the app opens it. It holds the size and the SHA-256 of
the file, so that it also tells whether the file was altered while nobody had it open.
"""

from __future__ import annotations

import glob
import os
import secrets
from hashlib import sha256
from pathlib import Path
from typing import Final, Literal

# "clean": as it was left. "altered": not as it was left. "none": never stopped cleanly, or never stopped at all.
Left = Literal["clean", "altered", "none"]
_STEP: Final = 1 << 20


def mark_of(file: str | Path) -> Path:
    """Where the mark of a file lies."""
    return Path(f"{file}.closed")


def read(file: str | Path) -> Left:
    """How the file was left; nothing is changed. A mark that cannot be read is one that does not fit."""
    try:
        marked = mark_of(file).read_bytes()
    except (FileNotFoundError, ValueError):  # a name no file can have was never stopped
        return "none"
    except OSError:
        return "altered"
    try:
        return "clean" if marked == _spelt(Path(file)) else "altered"
    except OSError:
        return "altered"


def take_away(file: str | Path) -> None:
    """From now on the file is open; whoever finds no mark knows that it was not closed.

    A mark half written goes too, whether a kill left it or somebody writes it now: it would not be true any more.
    """
    mark = mark_of(file)
    for one in (mark, *mark.parent.glob(f"{glob.escape(mark.name)}.*.part")):
        one.unlink(missing_ok=True)


def lay(file: str | Path) -> bool:
    """Mark a file that was closed just now; False where somebody has it open yet, or no mark can be written."""
    if _open_yet(Path(file)):
        return False
    part = Path(f"{mark_of(file)}.{secrets.token_hex(4)}.part")
    try:
        spelt = _spelt(Path(file))
        with os.fdopen(os.open(part, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as out:
            out.write(spelt)
            out.flush()
            os.fsync(out.fileno())
        if _open_yet(Path(file)):  # somebody came meanwhile
            return False
        os.replace(part, mark_of(file))
    except OSError:
        return False
    finally:
        part.unlink(missing_ok=True)
    return True


def _open_yet(file: Path) -> bool:
    """The last one out takes the write-ahead file away."""
    return Path(f"{file}-wal").exists()


def _spelt(file: Path) -> bytes:
    total, size = sha256(), 0
    with file.open("rb") as read_from:
        while chunk := read_from.read(_STEP):
            total.update(chunk)
            size += len(chunk)
    return f"closed size {size} sha256 {total.hexdigest()}\n".encode()
