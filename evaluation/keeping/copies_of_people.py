"""Which of the app's own copies still hold somebody who was erased, and copies that take the place of those."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from evaluation.errors import StateError, StoreError
from evaluation.store import Notebook
from evaluation.store.backup import form, kept_copies, making
from evaluation.store.backup.kept_copies import SESSION, Copy
from evaluation.store.kept_book import ERASED_ALIAS

NOT_SOUND: Final = (
    "No copy was taken away: the notebook as it is now does not stand as it was written, so that the older copies may "
    "be the good ones; check it first."
)


@dataclass(frozen=True, slots=True)
class Holding:
    """The copies that still name some people; ``unread`` could not be looked into, damaged as they are."""

    holding: tuple[Copy, ...]
    unread: tuple[Copy, ...]


def holding(notebook: Notebook, panelist_ids: Collection[str]) -> Holding:
    """Every copy of this notebook in which one of these people still has a name; backups elsewhere nobody knows of."""
    there = () if notebook.where is None else kept_copies.copies(notebook.where)
    named: list[Copy] = []
    unread: list[Copy] = []
    for one in there:
        try:
            if _named_in(one) & set(panelist_ids):
                named.append(one)
        except StoreError:
            unread.append(one)
    return Holding(tuple(named), tuple(unread))


def _named_in(copy: Copy) -> set[str]:
    with form.opened(copy.file) as archive:
        people = archive.rows(form.table_member("panelists"))
        return {str(row["id"]) for row in people if row["alias"] != ERASED_ALIAS}


def replace_copies(notebook: Notebook, old: Collection[Copy]) -> Copy | None:
    """Take these copies away, after making one of now; of a database server, copied by its owner, none is made.

    Nothing goes where the notebook does not stand as it was written.
    """
    where = notebook.where
    if where is None or not set(old) <= set(kept_copies.copies(where)):
        raise StateError("These copies are not there any more: look again.")
    made = None if "://" in where else _made(notebook, where)
    for one in old:
        one.file.unlink(missing_ok=True)
    return made


def _made(notebook: Notebook, where: str) -> Copy:
    made = kept_copies.new_copy(where, notebook.clock.now(), SESSION)
    with form.new_file(made.file) as out:
        manifest = making.make(notebook, out)
    lost = notebook.anchor is not None and notebook.anchor.missing
    if lost or not all(log.holds for log in manifest.logs or ()):
        raise StateError(NOT_SOUND)
    return made
