"""Whether the file a notebook was opened on still lies where it was: what goes into a deleted file is lost."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Engine, event

from evaluation.errors import StoreError

GONE: Final = (
    "Nothing was stored: the notebook's file, or its -wal, was deleted, moved or replaced while the app ran. Tell the "
    "conductor, who stops the app and looks for it."
)
_Id = tuple[int, int] | None


class Whereabouts:
    """Watches one file and its write-ahead file for as long as an app has them open."""

    def __init__(self, file: Path, engine: Engine) -> None:
        self._file, self._beside = file, file.with_name(f"{file.name}-wal")
        # One connection stays open, for the write-ahead file goes with the last: from here on it has no reason to go.
        self._held = engine.connect()
        self._held.exec_driver_sql("SELECT count(*) FROM sqlite_master")
        self._held.rollback()
        self._own = (_id(self._file), _id(self._beside))
        event.listen(engine, "do_connect", self._connecting)  # it would make the file anew, and empty

    @property
    def gone(self) -> bool:
        """Whether the file or its write-ahead file is another one by now, or none."""
        return (_id(self._file), _id(self._beside)) != self._own

    def check(self) -> None:
        """StoreError where whatever is written would go into files nobody will find again."""
        if self.gone:
            raise StoreError(GONE)

    def close(self) -> None:
        """Watch no longer."""
        self._held.close()

    def _connecting(self, *_: Any) -> None:
        if _id(self._file) != self._own[0]:
            raise StoreError(GONE)


def _id(file: Path) -> _Id:
    try:
        found = os.stat(file)
    except FileNotFoundError:
        return None
    return found.st_dev, found.st_ino
