"""The copy made before a migration: a backup like any other, in the schema that was found, file or database server."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager

from sqlalchemy import Engine

from evaluation.clock import Clock
from evaluation.errors import StoreError
from evaluation.store.backup import form, kept_copies, written_rows
from evaluation.store.backup.kept_copies import BEFORE, Copy
from evaluation.store.engine import Place, transaction


@contextmanager
def copied(engine: Engine, place: Place, clock: Clock) -> Iterator[Callable[[str], None]]:
    """Yields what makes the copy, once it is known that a migration is due; it is told the schema that was found.

    If the migration fails the notebook is as it was, and the copy goes again: else starting again and again would push
    the older ones out.
    """
    made: list[Copy] = []
    where = str(place.shown)

    def make(found: str) -> None:
        try:
            copy = kept_copies.new_copy(where, clock.now(), BEFORE)
        except OSError as problem:
            said = f"{kept_copies.folder(where)}: {problem.strerror}"
            raise StoreError(
                f"No copy can be made before this version changes the notebook's form ({said}): nothing was changed."
            ) from problem
        _write(engine, copy, found)
        made.append(copy)

    try:
        yield make
    except BaseException:
        for copy in made:
            copy.file.unlink(missing_ok=True)
        raise
    for copy in made:
        kept_copies.clear_away(where, BEFORE, copy.at)


def _write(engine: Engine, copy: Copy, found: str) -> None:
    with form.new_file(copy.file) as out:
        with closing(form.Writer(out, copy.at)) as writer, transaction(engine, "reading") as connection:
            columns = written_rows.write(connection, writer)
            told = (written_rows.program_version(), found, copy.at, columns, None, dict(writer.members))
            writer.finish(form.Manifest(*told))
        out.seek(0)
        with form.opened(out):  # read back before anything is changed: bounds and digests hold
            pass
