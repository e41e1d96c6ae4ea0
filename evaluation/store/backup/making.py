"""A backup made from one instant of the data, while people go on answering."""

from __future__ import annotations

from contextlib import closing
from typing import IO

from evaluation.errors import StoreError
from evaluation.store import schema
from evaluation.store.backup import checking, form, written_rows
from evaluation.store.backup.form import Manifest
from evaluation.store.desk import Desk
from evaluation.store.notebook import Notebook


def make(notebook: Notebook, out: IO[bytes], secret: bytes | None = None) -> Manifest:
    """Write a backup of all that was acknowledged before this call; what comes meanwhile is in it whole or not at all.

    ``secret`` is the server's, only where somebody asked for it to be in there. A schema older than ours is taken as
    it is. The manifest that is returned is the last thing written.
    """
    moment = notebook.clock.now()
    with closing(form.Writer(out, moment)) as writer:
        return _made(notebook, writer, moment, secret)


def _made(notebook: Notebook, writer: form.Writer, moment: int, secret: bytes | None) -> Manifest:
    with notebook.connected("reading") as connection:
        found = schema.revision(connection)
        if found is None:
            raise StoreError("There is nothing to back up: the notebook has no tables yet.")
        columns = written_rows.write(connection, writer)
        if secret is not None:
            writer.add(form.SECRET, iter((f"{secret.hex()}\n".encode(),)))
        logs = checking.logs(Desk(connection, notebook.clock)) if found == schema.OURS.head else None
    manifest = Manifest(written_rows.program_version(), found, moment, columns, logs, dict(writer.members))
    writer.finish(manifest)
    return manifest
