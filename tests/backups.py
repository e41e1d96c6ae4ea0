"""What the tests of backups share: notebooks with a row in every table, what a place holds, and altered archives."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable, Mapping
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any

from sqlalchemy import Boolean, Column, Date, Integer, MetaData, Table, insert, select

from evaluation.clock import SteppedClock
from evaluation.store import Notebook
from evaluation.store.backup import form, making
from evaluation.store.engine import connect, locate, transaction

ODD = "“naïve” 😀\n\u2028; 'quoted' \\ \t=1+1"


def one_row_each(where: str, state: str = "smelling") -> None:
    """A row in every table there is, whatever comes to be one: values by type, references to the row before."""
    Notebook.open(where, SteppedClock(step=1)).close()
    engine, made = connect(locate(where)), {}
    with transaction(engine, "writing") as connection:
        for table in _tables(connection):
            made[table.name] = {column.name: _value(column, made) for column in table.columns}
            if "serving_ref" in table.c:
                made[table.name]["serving_id"] = made[table.name]["serving_ref"]
            if table.name == "sessions":
                made[table.name]["state"] = state
            connection.execute(insert(table), [made[table.name]])
    engine.dispose()


def _value(column: Column[Any], made: Mapping[str, Mapping[str, Any]]) -> Any:
    for key in column.foreign_keys:
        other, name = key.target_fullname.split(".")[-2:]
        return None if other == column.table.name else made[other][name]
    if isinstance(column.type, Boolean):
        return True
    if isinstance(column.type, Date):
        return date(2026, 2, 28)
    if isinstance(column.type, Integer):
        return 1 if column.name in ("id", "sequence") else 1_800_000_000
    return f"{column.table.name} {column.name} {ODD}"


def _tables(connection: Any) -> list[Table]:
    found = MetaData()
    found.reflect(connection)
    return [one for one in found.sorted_tables if one.name != "mouillette_schema"]


def held_by(where: str) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, read without the program."""
    engine = connect(locate(where))
    with transaction(engine, "reading") as connection:
        found = {
            table.name: [
                dict(row._mapping)
                for row in connection.execute(select(table).order_by(*table.primary_key.columns)).all()
            ]
            for table in _tables(connection)
        }
    engine.dispose()
    return {name: sorted(some, key=str) for name, some in found.items()}


def backup_of(where: str, secret: bytes | None = None) -> bytes:
    notebook = Notebook.open_unchanged(where, SteppedClock(step=1))
    try:
        return made_of(notebook, secret)
    finally:
        notebook.close()


def made_of(notebook: Notebook, secret: bytes | None = None) -> bytes:
    out = io.BytesIO()
    making.make(notebook, out, secret)
    return out.getvalue()


def members(archive: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(archive)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def zipped(parts: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in parts.items():
            packed.writestr(name, data)
    return out.getvalue()


def altered(archive: bytes, change: Callable[[dict[str, bytes], dict[str, Any]], None]) -> bytes:
    """An archive changed by somebody who knows the form: parts and manifest are changed, then digests made right."""
    parts = members(archive)
    manifest = json.loads(parts.pop(form.MANIFEST))
    change(parts, manifest)
    told = manifest["members"]
    for name in told.keys() & parts.keys():
        data = parts[name]
        told[name] = {"sha256": sha256(data).hexdigest(), "bytes": len(data), "lines": data.count(b"\n")}
    return zipped(parts | {form.MANIFEST: json.dumps(manifest).encode()})


def inside(folder: Path) -> list[str]:
    """What lies in a folder, hidden files too."""
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))
