"""The file of a backup: a zip of plain text that can be read without this program, and is never trusted when read.

A member for each table with a line of JSON for each row, one for the keys of sessions that are not opened, one for the
server's secret if it was asked for, a page that says what each is, and a manifest with their digests. Whatever is read
is bounded first, and the digests are compared before a row is looked at.
"""

from __future__ import annotations

import json
import os
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import asdict, dataclass, fields
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import IO, Any, Final

from evaluation.errors import ArgumentError, StoreError
from evaluation.ground import archives, file_locks, intake
from evaluation.ground.archives import DAMAGE as DAMAGE
from evaluation.ground.intake import json_of
from evaluation.ground.states import State
from evaluation.store.backup import leftovers

WHAT: Final = "Mouillette backup"
FORMAT: Final = 1
README: Final = "README.txt"
MANIFEST: Final = "manifest.json"
SEALED_KEYS: Final = "keys-of-unopened-sessions.jsonl"
SECRET: Final = "secret-of-the-server.txt"
TABLES: Final = "tables/"
LINES: Final = ".jsonl"

_LATEST: Final = 253_402_300_799_999  # the last millisecond of the year 9999
LEAST_SECRET: Final = 32  # bytes; a shorter one is none the doors would take
MOST_SECRET: Final = 1000  # letters of the member that holds it

ABOUT: Final = f"""\
This is a backup of a Mouillette notebook: everything in it, as it was at one instant. It can be read without the
program: unpack it, every member is UTF-8 text.

{MANIFEST}
    When and by which version it was made, the name of the schema, the columns of each table, the last hash of each
    session's log and whether that log held, and the SHA-256, size and number of lines of every member.
{TABLES}NAME{LINES}
    A table, one line of JSON for each row. Instants are milliseconds since 1970, UTC; decimals are written as text.
    People's names, notes, answers and what they said of their skin are in here: keep it as you keep the notebook.
{SEALED_KEYS}
    Which trial lies behind which code, for the sessions that are not opened yet. Whoever reads it can no longer smell
    or judge those sessions blind. The keys of opened sessions are with the other tables. What somebody alone has read
    from the marks of answered sets is in the log, {TABLES}records{LINES}, as well.
{SECRET}
    Only where it was asked for (--with-secret): the secret that panelists' links are made with. Whoever has it can
    answer in anybody's name. Without it links are given out anew after a restore.

To bring it back:   python -m evaluation restore THIS_FILE --data NEW_FILE   (or the URL of an empty database)
To look it over:    python -m evaluation check THIS_FILE
"""


def table_member(table: str) -> str:
    """The name of a table inside the backup."""
    return f"{TABLES}{table}{LINES}"


@dataclass(frozen=True, slots=True)
class Member:
    """What the manifest says of one member."""

    sha256: str
    bytes: int
    lines: int


@dataclass(frozen=True, slots=True)
class SessionLog:
    """How the log of a session stood: its state, length and last hash, and whether it agreed with what is stored."""

    id: str
    state: State
    records: int
    last_hash: str
    holds: bool


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a backup says of itself. ``logs`` is None where the schema was older than the program that made it."""

    program: str
    schema: str
    made_at: int
    columns: Mapping[str, tuple[str, ...]]
    logs: tuple[SessionLog, ...] | None
    members: Mapping[str, Member]

    @property
    def with_secret(self) -> bool:
        """True where the secret of panelists' links was asked for and is in it."""
        return SECRET in self.members

    def lines(self, table: str) -> int:
        """Rows of a table, as the manifest says; KeyError for a table that is not in it."""
        return self.members[table_member(table)].lines

    def spelt(self) -> bytes:
        """As the member that holds it."""
        made = datetime.fromtimestamp(self.made_at / 1000, UTC)
        about = {"what": WHAT, "format": FORMAT, "made": f"{made:%Y-%m-%dT%H:%M:%SZ}"} | asdict(self)
        return (json.dumps(about, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def _manifest_of(told: Mapping[str, Any]) -> Manifest:
    """ValueError and its like for what no backup says."""
    logs = told["logs"]
    return Manifest(
        program=_typed(told["program"], str),
        schema=_typed(told["schema"], str),
        made_at=_instant(told["made_at"]),
        columns={_typed(name, str): tuple(_typed(one, str) for one in some) for name, some in told["columns"].items()},
        logs=None if logs is None else tuple(_value(SessionLog, one) for one in logs),
        members={_typed(name, str): _value(Member, one) for name, one in told["members"].items()},
    )


def _value(kind: Any, told: Mapping[str, Any]) -> Any:
    names = {"int": int, "str": str, "bool": bool, "State": str}  # a state that is none is damage, told by the check
    return kind(**{field.name: _typed(told[field.name], names[str(field.type)]) for field in fields(kind)})


def _instant(value: Any) -> int:
    if not 0 <= _typed(value, int) <= _LATEST:
        raise ValueError(f"{value!r} is no instant that a calendar has")
    return int(value)


def _typed(value: Any, kind: type) -> Any:
    if type(value) is not kind:
        raise ValueError(f"{value!r} is no {kind.__name__}")
    return value


# --- writing --------------------------------------------------------------------------------------------------------


class Writer:
    """Puts members into a zip one after another and keeps their digests."""

    def __init__(self, out: IO[bytes], moment: int) -> None:
        self._zip = zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED)
        self._day = datetime.fromtimestamp(max(moment, _OLDEST) / 1000, UTC).timetuple()[:6]
        self.members: dict[str, Member] = {}

    def add(self, name: str, chunks: Iterator[bytes]) -> None:
        """One member; each chunk is whole lines."""
        entry = zipfile.ZipInfo(name, self._day)
        entry.compress_type = zipfile.ZIP_DEFLATED
        entry.external_attr = 0o600 << 16
        total, size, lines = sha256(), 0, 0
        with self._zip.open(entry, "w", force_zip64=True) as member:
            for chunk in chunks:
                member.write(chunk)
                total.update(chunk)
                size, lines = size + len(chunk), lines + chunk.count(b"\n")
        self.members[name] = Member(total.hexdigest(), size, lines)

    def finish(self, manifest: Manifest) -> None:
        """Write the manifest, the last thing in a backup."""
        self.add(MANIFEST, iter((manifest.spelt(),)))
        self.close()

    def close(self) -> None:
        """No more is written; what was never finished has no manifest and is no backup."""
        self._zip.close()


_OLDEST: Final = 315_619_200_000  # 1980-01-02: a zip cannot say anything older


@contextmanager
def new_file(path: Path) -> Iterator[IO[bytes]]:
    """A file that appears whole or not at all, readable by its owner only; one that is there already is left alone."""
    if path.is_dir():
        raise StoreError(f"{str(path)!r} is a folder: name a file in it.")
    if os.path.lexists(path):  # also a link that leads nowhere
        raise StoreError(f"{str(path)!r} is there already and stays as it is: choose another name.")
    try:
        with leftovers.half_written(path) as (part, handle):
            with os.fdopen(handle, "w+b") as out:
                yield out
                out.flush()
                os.fsync(out.fileno())
                if file_locks.available():  # held until it has its name, so that nobody sweeps it
                    appear(part, path)
            if not file_locks.available():
                appear(part, path)
    except OSError as problem:
        raise StoreError(f"The file {str(path)!r} cannot be written: {problem.strerror or problem}.") from problem


def appear(part: Path, path: Path) -> None:
    """Give a finished file its name, unless that name was taken meanwhile."""
    if path.exists() and path.stat().st_size:
        raise StoreError(f"{str(path)!r} is there already and stays as it is: choose another name.")
    os.replace(part, path)
    if os.name == "posix":  # the name outlasts a power cut only once the folder is written
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


# --- reading --------------------------------------------------------------------------------------------------------


class Archive:
    """A backup whose bounds and digests have been checked; its rows have not."""

    def __init__(self, packed: archives.Archive, manifest: Manifest) -> None:
        self._packed = packed
        self.manifest = manifest

    def rows(self, member: str) -> Iterator[Any]:
        """The JSON of each line; StoreError naming the line where it is none."""
        number = 1
        try:
            for line in self._packed.lines(member, intake.BACKUP_LINE.bytes):
                yield json_of(line, intake.BACKUP_LINE)
                number += 1
        except DAMAGE as problem:
            raise altered(member, number) from problem

    def secret(self) -> bytes | None:
        """The server's secret, if this backup carries it."""
        if not self.manifest.with_secret:
            return None
        try:
            secret = bytes.fromhex(self._packed.whole(SECRET, MOST_SECRET).decode().strip())
        except DAMAGE as problem:
            raise altered(SECRET, 1) from problem
        if len(secret) < LEAST_SECRET:
            raise altered(SECRET, 1)
        return secret


def altered(member: str, line: int) -> StoreError:
    """The refusal of a line that cannot be read as a row; to be raised by whoever read it."""
    return StoreError(f"This backup was altered: line {line} of {member} is nothing the program wrote.")


@contextmanager
def opened(given: str | Path | IO[bytes]) -> Iterator[Archive]:
    """A backup, bounded and with right digests; StoreError, in one sentence, for anything else."""
    with _source(given) as source:
        try:
            packed = archives.Archive(source, intake.BACKUP)
        except ArgumentError as problem:
            raise StoreError(f"This is no backup of a notebook, or it is damaged: {problem}") from problem
        with closing(packed):
            yield Archive(packed, _checked(packed))


@contextmanager
def _source(given: str | Path | IO[bytes]) -> Iterator[IO[bytes]]:
    if not isinstance(given, str | Path):
        yield given
        return
    with intake.opened_file(given) as source:
        yield source


def _checked(packed: archives.Archive) -> Manifest:
    listed = packed.members
    if "session.json" in listed:
        raise StoreError("This is the export of one session, no backup: python -m evaluation report reads it.")
    if MANIFEST not in listed or not all(map(_known, listed)):
        raise StoreError("This is no backup of a notebook: its parts are others.")
    manifest = _manifest(packed)
    if listed.keys() - {MANIFEST} != manifest.members.keys():
        raise StoreError("This backup is damaged or was altered: its parts are not those its manifest names.")
    for name, told in manifest.members.items():
        if _digest_size_lines(packed, name) != (told.sha256, told.bytes, told.lines):
            raise StoreError(f"This backup is damaged or was altered: {name} is not as its manifest says.")
    return manifest


def _known(name: str) -> bool:
    if name in (README, MANIFEST, SEALED_KEYS, SECRET):
        return True
    table = name.removeprefix(TABLES).removesuffix(LINES)
    return name == table_member(table) and table.replace("_", "").isalnum()


def _manifest(packed: archives.Archive) -> Manifest:
    try:
        told = json_of(packed.whole(MANIFEST, intake.BACKUP_MANIFEST.bytes), intake.BACKUP_MANIFEST)
        ours, age = told["what"] == WHAT, _typed(told["format"], int)
        known = ours and age == FORMAT
        manifest = _manifest_of(told) if known else None
    except DAMAGE as problem:
        raise StoreError("This is no backup of a notebook, or it is damaged: its manifest cannot be read.") from problem
    if manifest is None:
        raise StoreError(
            "This backup was written by a newer version of the program: install that version."
            if ours
            else "This is no backup of a notebook: its manifest speaks of something else."
        )
    return manifest


def _digest_size_lines(packed: archives.Archive, name: str) -> tuple[str, int, int]:
    total, size, lines = sha256(), 0, 0
    try:
        for chunk in packed.chunks(name):
            total.update(chunk)
            size, lines = size + len(chunk), lines + chunk.count(b"\n")
    except ArgumentError as problem:
        raise StoreError(f"This backup is damaged: {name} cannot be unpacked.") from problem
    return total.hexdigest(), size, lines
