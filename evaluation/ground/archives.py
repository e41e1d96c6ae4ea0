"""Zip archives nobody vouches for: what lies in them is counted while it is unpacked, whatever their headers say."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator
from typing import IO, Final

from evaluation.errors import ArgumentError, KindError, StoreError
from evaluation.ground.intake import Bounds, check_size

STEP: Final = 1 << 16  # read at once
_LONGEST_READ: Final = 1 << 18  # what is asked of the file at once: the list of members comes in one piece
_PACKED: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_LOCKED: Final = 0x1  # flag of a member under a password (APPNOTE.TXT 4.4.4, from memory)
# What reading a file nobody vouches for may raise; RuntimeError where it is under a password or nested without end.
DAMAGE: Final = (
    zipfile.BadZipFile,
    zlib.error,
    LookupError,
    TypeError,
    ValueError,
    ArithmeticError,
    RuntimeError,
    AttributeError,
    EOFError,
    OSError,
    MemoryError,
)


class Metered(io.RawIOBase):
    """A file of which no more is read at once than a list of members may take; ``taken`` counts what was read."""

    def __init__(self, source: IO[bytes]) -> None:
        self._source = source
        self.taken = 0

    def read(self, size: int = -1) -> bytes:
        """The next bytes; ArgumentError where more are wanted at once than any honest archive needs."""
        data = self._source.read(_LONGEST_READ + 1 if size < 0 else size) if size <= _LONGEST_READ else None
        if data is None or len(data) > _LONGEST_READ:
            raise ArgumentError("an archive must have a shorter list of members.")
        self.taken += len(data)
        return data

    def seek(self, offset: int, whence: int = 0) -> int:
        """Move as the file below does."""
        return self._source.seek(offset, whence)

    def tell(self) -> int:
        """Where the file below stands."""
        return self._source.tell()

    def seekable(self) -> bool:
        """True: archives are read from their end."""
        return True

    def readable(self) -> bool:
        """True."""
        return True


class Archive:
    """The members of a zip by name, each unpacked within the bounds; nothing is unpacked before it is asked for.

    ArgumentError for what is no archive within the bounds. ``given`` counts the bytes that were unpacked.
    """

    def __init__(self, source: IO[bytes], bounds: Bounds) -> None:
        try:
            size = source.seek(0, io.SEEK_END)
        except OSError as problem:  # a pipe, or a file that is none
            raise ArgumentError(f"{bounds.what} must be a file, and this cannot be read from its end.") from problem
        check_size(size, bounds)
        self.bounds, self.metered, self.given = bounds, Metered(source), 0
        self.most = bounds.most_unpacked(size)
        try:
            self._zip = zipfile.ZipFile(self.metered)
        except DAMAGE as problem:
            if isinstance(problem, ArgumentError):
                raise
            raise ArgumentError(f"{bounds.what} must be a zip, and this cannot be read as a zip.") from problem
        self.members = _members(self._zip.infolist(), bounds, self.most)

    def chunks(self, name: str, most: int | None = None) -> Iterator[bytes]:
        """A member piece by piece; ArgumentError at the first byte beyond ``most`` or what its header says."""
        entry = self.members[name]
        left = min(self.most, entry.file_size, self.most if most is None else most)
        try:
            with self._zip.open(entry) as member:
                while chunk := member.read(STEP):
                    self.given += len(chunk)
                    left -= len(chunk)
                    if left < 0:
                        raise ArgumentError(f"{shown(name)} is larger than it may be.")
                    yield chunk
        except DAMAGE as problem:
            if isinstance(problem, ArgumentError | StoreError | KindError):
                raise
            raise ArgumentError(f"{shown(name)} cannot be unpacked.") from problem

    def whole(self, name: str, most: int) -> bytes:
        """A member in one piece."""
        if self.members[name].file_size > most:
            raise ArgumentError(f"{shown(name)} may have at most {most} bytes.")
        return b"".join(self.chunks(name, most))

    def lines(self, name: str, longest: int) -> Iterator[bytes]:
        """The lines of a member with their ends; the last of them may have none."""
        rest = b""
        for chunk in self.chunks(name):
            *ended, rest = (rest + chunk).split(b"\n")
            if max(map(len, (*ended, rest))) >= longest:
                raise ArgumentError(f"a line of {shown(name)} may have at most {longest} bytes.")
            yield from (one + b"\n" for one in ended)
        if rest:
            yield rest

    def close(self) -> None:
        """Nothing is unpacked any more."""
        self._zip.close()


def shown(name: str) -> str:
    """The name of a member as a sentence may hold it: its beginning, on one line."""
    return name if name.isprintable() and len(name) <= 80 else repr(name[:60])


def _members(listed: list[zipfile.ZipInfo], bounds: Bounds, most: int) -> dict[str, zipfile.ZipInfo]:
    """The members by name: few enough, each once, packed as we pack, and small enough together as far as they say."""
    if len(listed) > bounds.members:
        raise ArgumentError(f"{bounds.what} may have at most {bounds.members} parts, not {len(listed)}.")
    named = {one.filename: one for one in listed}
    if len(named) < len(listed):
        raise ArgumentError(f"{bounds.what} must have each of its parts once.")
    if any(one.compress_type not in _PACKED or one.flag_bits & _LOCKED for one in listed):
        raise ArgumentError(f"{bounds.what} must be packed plainly (stored or deflated) and under no password.")
    if sum(one.file_size for one in listed) > most:
        raise ArgumentError(f"{bounds.what} of this size may unpack to at most {most} bytes; this would to more.")
    return named
