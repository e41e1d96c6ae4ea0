"""One file with everything an opened session holds, and the way back: into an empty notebook, checked, and no further.

The file is a zip of ``session.json`` (canonical JSON), ``answers.csv`` and ``log.csv`` for people to read, and
``manifest.json`` with the digest of each. Only ``session.json`` is read back. Damage shows in the digests; what was
altered on purpose, in the chain of the log, or else in its last hash, which every report prints.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from evaluation.clock import SteppedClock
from evaluation.errors import MouilletteError, StoreError
from evaluation.ground.canonical import canonical
from evaluation.store import Notebook
from evaluation.tables.results import RISKY

SESSION: Final = "session.json"
ANSWERS: Final = "answers.csv"
LOG: Final = "log.csv"
MANIFEST: Final = "manifest.json"
FORMAT: Final = 2
READABLE: Final = (1, 2)  # 1: before the order of dipping was drawn
MOST_BYTES: Final = 256 << 20  # of one member, unpacked: far beyond any session
# What reading a file nobody vouches for may raise: RuntimeError where it is locked or nested without end.
_DAMAGE: Final = (zipfile.BadZipFile, zlib.error, KeyError, TypeError, ValueError, RuntimeError, EOFError, OSError)
_DAY: Final = (1980, 1, 1, 0, 0, 0)  # the oldest a zip can say: the same session gives the same file
_COLUMNS: Final = {
    ANSWERS: ("answers", ("sequence", "at", "ballot_id", "serving_id", "question", "value", "text_digest", "final")),
    LOG: ("records", ("sequence", "at", "kind", "body", "hash")),
}


@dataclass(frozen=True, slots=True)
class Copied:
    """A copied session in a notebook of its own; ``log_held``: what the file says of the log at its making."""

    notebook: Notebook
    session_id: str
    log_held: bool


def export(notebook: Notebook, session_id: str) -> bytes:
    """The file of an opened session; StillBlind for any other. The log is checked, and the file says how it stood."""
    with notebook.reading() as tx:
        copy = tx.copies.take_out(session_id)
        holds = tx.log.verify(session_id)
    session = canonical(copy)
    told = json.loads(session)["value"]["rows"]
    members = {SESSION: session} | {name: _csv(told[of], columns) for name, (of, columns) in _COLUMNS.items()}
    about = {
        "format": FORMAT,
        "session_id": session_id,
        "log_holds": holds,
        "last_hash": told["heads"][0]["hash"],
        "sha256": {name: sha256(data).hexdigest() for name, data in members.items()},
    }
    return _zipped(members | {MANIFEST: canonical(about)})


@contextmanager
def opened(file: str | Path | bytes) -> Iterator[Copied]:
    """The session of a file, in memory; StoreError, in one sentence, for a file that is not whole or was altered."""
    data = file if isinstance(file, bytes) else _read(Path(file))
    manifest, copy = _checked(data)
    notebook = Notebook.open(None, SteppedClock(step=1))
    try:
        with notebook.writing() as tx:
            session_id = tx.copies.lay_in(copy)
        yield Copied(notebook, session_id, _log_checked(notebook, session_id, manifest))
    finally:
        notebook.close()


def _log_checked(notebook: Notebook, session_id: str, manifest: Mapping[str, Any]) -> bool:
    """A file made of a log that no longer stood says so, and so does every report of it; else it must stand."""
    try:
        with notebook.reading() as tx:
            holds, last = tx.log.verify(session_id), tx.log.records(session_id)[-1].hash
            tx.key.open_key(session_id)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as problem:
        if isinstance(problem, MouilletteError):
            raise
        raise StoreError("The file was altered: its log cannot be read.") from problem
    if manifest.get("session_id") != session_id or manifest.get("last_hash") != last:
        raise StoreError("The file was altered: its manifest speaks of another session, or of another last hash.")
    if manifest.get("log_holds") is not holds:
        raise StoreError("The file was altered: its log does not stand as it was written.")
    return bool(holds)


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as problem:
        raise StoreError(f"The file {path} cannot be read: {problem.strerror or problem}.") from problem


def _checked(data: bytes) -> tuple[Mapping[str, Any], Mapping[str, Any]]:
    try:
        members = _unzipped(data)
        manifest = json.loads(members[MANIFEST])["value"]
        digests = dict(manifest["sha256"])
        copy = json.loads(members[SESSION])["value"]
        known = manifest["format"] in READABLE
    except _DAMAGE as problem:
        raise StoreError("The file is not an export of a session, or it is damaged.") from problem
    if not known:
        raise StoreError("The file was written by another version of the program, which this one cannot read.")
    found = {name: sha256(one).hexdigest() for name, one in members.items() if name != MANIFEST}
    if found != digests:
        raise StoreError("The file was altered or is damaged: its parts are not those its manifest names.")
    return manifest, copy


def _unzipped(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        listed = packed.infolist()
        if sorted(one.filename for one in listed) != sorted((SESSION, ANSWERS, LOG, MANIFEST)):
            raise KeyError("members")
        if any(one.file_size > MOST_BYTES for one in listed):
            raise ValueError("too large")
        return {one.filename: packed.read(one) for one in listed}


def _zipped(members: Mapping[str, bytes]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in members.items():
            entry = zipfile.ZipInfo(name, _DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, data)
    return made.getvalue()


def _csv(rows: list[dict[str, Any]], columns: tuple[str, ...]) -> bytes:
    """For people to read: no cell is a formula to a spreadsheet."""
    made = io.StringIO()
    writer = csv.writer(made, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows([_safe(row[name]) for name in columns] for row in rows)
    return made.getvalue().encode()


def _safe(cell: Any) -> Any:
    return f"'{cell}" if isinstance(cell, str) and cell.lstrip().startswith(RISKY) else cell
