"""One file with everything an opened session holds, and the way back: into an empty notebook, checked, and no further.

The file is a zip of ``session.json`` (canonical JSON), ``answers.csv`` and ``log.csv`` for people to read, and
``manifest.json`` with the digest of each. Only ``session.json`` is read back, and ``formulas.json``, which is there
where the conductor ticked it for this file and nowhere else. Damage shows in the digests; what was
altered on purpose, in the chain of the log, or else in its last hash, which every report prints.
"""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import IO, Any, Final

from evaluation.clock import SteppedClock
from evaluation.errors import MouilletteError, StoreError
from evaluation.ground import intake
from evaluation.ground.archives import DAMAGE, Archive
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import json_of
from evaluation.report import packed_formulas
from evaluation.store import Notebook
from evaluation.tables.results import RISKY

SESSION: Final = "session.json"
ANSWERS: Final = "answers.csv"
LOG: Final = "log.csv"
FORMULAS: Final = "formulas.json"
MANIFEST: Final = "manifest.json"
FORMAT: Final = 2
READABLE: Final = (1, 2)  # 1: before the order of dipping was drawn
_DAY: Final = (1980, 1, 1, 0, 0, 0)  # the oldest a zip can say: the same session gives the same file
_COLUMNS: Final = {
    ANSWERS: ("answers", ("sequence", "at", "ballot_id", "serving_id", "question", "value", "text_digest", "final")),
    LOG: ("records", ("sequence", "at", "kind", "body", "hash")),
}


@dataclass(frozen=True, slots=True)
class Copied:
    """A copied session in a notebook of its own; ``log_held``: what the file says of the log at its making.

    ``formulas``: whether the file carries those of its trials.
    """

    notebook: Notebook
    session_id: str
    log_held: bool
    formulas: bool = False


def export(notebook: Notebook, session_id: str, *, formulas: bool = False) -> bytes:
    """The file of an opened session; StillBlind for any other. The log is checked, and the file says how it stood.

    ``formulas``: with those of its trials, where that was ticked for this file; its manifest then says so.
    """
    with notebook.reading() as tx:
        copy = tx.copies.take_out(session_id)
        holds = tx.log.verify(session_id)
        bottles = tx.sittings.session(session_id).plan.trial_ids
        carried = tx.formulas.of_trials(tx.bottles.trials(bottles).values()) if formulas else {}
    session = canonical(copy)
    told = json.loads(session)["value"]["rows"]
    members = {SESSION: session} | {name: _csv(told[of], columns) for name, (of, columns) in _COLUMNS.items()}
    members |= {FORMULAS: packed_formulas.packed(carried)} if carried else {}
    about = {
        "format": FORMAT,
        "session_id": session_id,
        "log_holds": holds,
        "last_hash": told["heads"][0]["hash"],
        "sha256": {name: sha256(data).hexdigest() for name, data in members.items()},
    }
    says = {"formulas": packed_formulas.CARRIES} if carried else {}
    return _zipped(members | {MANIFEST: canonical(about | says)})


@contextmanager
def opened(file: str | Path | bytes) -> Iterator[Copied]:
    """The session of a file, in memory; StoreError, in one sentence, for a file that is not whole or was altered."""
    manifest, copy, formulas = _read(file)
    notebook = Notebook.open(None, SteppedClock(step=1))
    try:
        with notebook.writing() as tx:
            session_id = tx.copies.lay_in(copy)
            if formulas is not None:
                bottles = tx.sittings.session(session_id).plan.trial_ids
                packed_formulas.lay_in(tx, formulas, tx.bottles.trials(bottles).values())
        held = _log_checked(notebook, session_id, manifest)
        yield Copied(notebook, session_id, held, formulas is not None)
    finally:
        notebook.close()


def _log_checked(notebook: Notebook, session_id: str, manifest: Mapping[str, Any]) -> bool:
    """A file made of a log that no longer stood says so, and so does every report of it; else it must stand."""
    try:
        with notebook.reading() as tx:
            holds, last = tx.log.verify(session_id), tx.log.records(session_id)[-1].hash
            tx.key.open_key(session_id)
    except DAMAGE as problem:
        if isinstance(problem, MouilletteError):
            raise
        raise StoreError("The file was altered: its log cannot be read.") from problem
    if manifest.get("session_id") != session_id or manifest.get("last_hash") != last:
        raise StoreError("The file was altered: its manifest speaks of another session, or of another last hash.")
    if manifest.get("log_holds") is not holds:
        raise StoreError("The file was altered: its log does not stand as it was written.")
    return bool(holds)


_Parts = tuple[Mapping[str, Any], Mapping[str, Any], Mapping[str, Any] | None]


def _read(file: str | Path | bytes) -> _Parts:
    """Manifest, session and formulas of a file, its digests looked at before anything but the manifest is parsed."""
    try:
        with _source(file) as source:
            return _checked(Archive(source, intake.EXPORT))
    except StoreError:
        raise
    except MouilletteError as problem:
        raise StoreError(f"The file is not an export of a session, or it is damaged: {problem}") from problem
    except DAMAGE as problem:
        raise StoreError("The file is not an export of a session, or it is damaged.") from problem


@contextmanager
def _source(file: str | Path | bytes) -> Iterator[IO[bytes]]:
    if isinstance(file, bytes):
        yield io.BytesIO(file)
        return
    with intake.opened_file(file) as source:
        yield source


def _checked(archive: Archive) -> _Parts:
    if archive.members.keys() - {FORMULAS} != {SESSION, ANSWERS, LOG, MANIFEST}:
        raise StoreError("The file is not an export of a session, or it is damaged: its parts are others.")
    manifest = _value(archive.whole(MANIFEST, intake.EXPORT_MANIFEST.bytes), intake.EXPORT_MANIFEST)
    digests = dict(manifest["sha256"])
    if type(manifest["format"]) is not int or manifest["format"] not in READABLE:
        raise StoreError("The file was written by another version of the program, which this one cannot read.")
    session = archive.whole(SESSION, intake.EXPORT_SESSION.bytes)
    found = {SESSION: sha256(session).hexdigest()} | {name: _digest(archive, name) for name in (ANSWERS, LOG)}
    carried = archive.whole(FORMULAS, intake.EXPORT_FORMULAS.bytes) if FORMULAS in archive.members else None
    found |= {} if carried is None else {FORMULAS: sha256(carried).hexdigest()}
    if found != digests:
        raise StoreError("The file was altered or is damaged: its parts are not those its manifest names.")
    copy = _value(session, intake.EXPORT_SESSION)
    if not isinstance(copy["rows"], dict):
        raise TypeError("no tables")
    return manifest, copy, None if carried is None else _value(carried, intake.EXPORT_FORMULAS)


def _digest(archive: Archive, name: str) -> str:
    total = sha256()
    for chunk in archive.chunks(name):
        total.update(chunk)
    return total.hexdigest()


def _value(data: bytes, most: intake.Bounds) -> Mapping[str, Any]:
    value = json_of(data, most)["value"]
    if not isinstance(value, dict):
        raise TypeError("no mapping")
    return value


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
