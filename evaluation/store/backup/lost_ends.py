"""After a loss or damage: the newest copy that has what is missing, and whose logs hold; there may be newer ones.

The app goes on copying what is damaged, and what lacks its end: such a copy is no way out.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from evaluation.errors import StoreError
from evaluation.store.anchors.comparing import hash_of_line
from evaluation.store.anchors.end_marks import DECISIONS, SERIES, SESSION, SKIN, Mark
from evaluation.store.backup import form, kept_copies
from evaluation.store.backup.form import Archive
from evaluation.store.backup.kept_copies import Copy

_Rows = Iterator[Mapping[str, Any]]


def how_to_restore(where: str | Path, missing: Collection[Mark]) -> str:
    """Which copy is sound and holds what these marks say, and how it is brought back, as the end of a sentence."""
    copies, found = kept_copies.copies(where), newest_holding(where, missing)
    if not copies or (found == copies[0] and not missing):
        return kept_copies.how_to_restore(where)
    good = "that holds what is missing" if missing else "whose logs all hold"
    if found is None:
        return (
            f"there is no copy in {kept_copies.folder(where)} {good}: restore a backup of yours that was made before "
            f"{kept_copies.into(where)}"
        )
    return f"the newest copy {good} is {found.named}: restore it {kept_copies.into(where, found.file)}"


def newest_holding(where: str | Path, missing: Collection[Mark]) -> Copy | None:
    """The newest copy whose logs hold and reach these marks; one that cannot be read holds nothing."""
    return next((one for one in kept_copies.copies(where) if _holds_all(one.file, missing)), None)


def _holds_all(file: Path, missing: Collection[Mark]) -> bool:
    try:
        with form.opened(file) as archive:
            held = all(one.holds for one in archive.manifest.logs or ())
            return held and all(_holds(archive, one) for one in missing)
    except StoreError:
        return False


def _holds(archive: Archive, mark: Mark) -> bool:
    """Whether the record of the mark is in it: what came after it was written by people, not by this copy."""
    table, reaches = _KEPT[mark.log.split(" ")[0]]
    member = form.table_member(table)
    return member in archive.manifest.members and reaches(archive.rows(member), mark)


def _record(found: _Rows, mark: Mark) -> bool:
    mine = (mark.log.removeprefix(SESSION), mark.count, mark.hash)
    return any((one.get("session_id"), one.get("sequence"), one.get("hash")) == mine for one in found)


def _of_brief(found: _Rows, mark: Mark) -> bool:
    mine = (mark.log.split(" ", 1)[1], mark.count, mark.hash)
    return any((one.get("brief_id"), one.get("number"), one.get("hash")) == mine for one in found)


def _line(found: _Rows, mark: Mark) -> bool:
    return any(hash_of_line(one) == mark.hash for one in found)


_KEPT: Final[Mapping[str, tuple[str, Callable[[_Rows, Mark], bool]]]] = MappingProxyType(
    {
        SESSION.strip(): ("records", _record),
        DECISIONS.strip(): ("decisions", _of_brief),
        SERIES.strip(): ("series_log", _of_brief),
        SKIN: ("skin_log", _line),
    }
)
