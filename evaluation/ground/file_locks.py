"""Locks on files, held by a process and gone with it however it ends: who is alive is told by them and by no clock.

They need Unix. Elsewhere nothing is locked: there one app alone may use the file of a notebook, which it says at start.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import Final, Literal

try:
    import fcntl
except ImportError:  # no such locks on this system
    fcntl = None  # type: ignore[assignment]

Tried = Literal["ours", "theirs", "cannot"]  # what became of a try to lock

ONE_APP: Final = (
    "This system has no Unix file locks: let no second app use this notebook's file at the same time; what keeps watch "
    "over the end of its logs is not guarded against two."
)


def available() -> bool:
    """Whether this system has such locks."""
    return fcntl is not None


def lock(handle: int) -> None:
    """Wait until nobody else has this file locked, and lock it; nothing where there are no locks."""
    if fcntl is not None:
        fcntl.flock(handle, fcntl.LOCK_EX)


def unlock(handle: int) -> None:
    """Let others lock it."""
    if fcntl is not None:
        fcntl.flock(handle, fcntl.LOCK_UN)


def lock_now(handle: int) -> Tried:
    """Lock it if nobody has it."""
    if fcntl is None:
        return "cannot"
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return "theirs"
    except OSError:  # a disk that knows no locks, such as some on a network
        return "cannot"
    return "ours"


def same(handle: int, path: Path) -> bool:
    """Whether what is open is what lies there now."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False


def let_go(handle: int) -> None:
    """Close what was opened, whatever became of it."""
    with suppress(OSError):
        os.close(handle)
