"""The copies the app makes of its notebook: after each session ends and once a day, beside the file it runs on.

They are backups like any other, without the server's secret, and ``restore`` brings one back. What is due is worked
out from the notebook and from the names of the copies alone, so that nothing is forgotten by a restart.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Final

from evaluation.errors import MouilletteError, StoreError
from evaluation.store import Notebook
from evaluation.store.backup import kept_copies
from evaluation.store.backup.kept_copies import DAILY, SESSION, Copy

DAY: Final = 86_400_000
BROKEN: Final = (
    "The log of a session in this notebook does not stand as it was written: check the notebook; copies are made, and "
    "none of before is cleared away."
)
LOOK_EVERY_SECONDS: Final = 30.0


class Keeper:
    """Makes the copies of one notebook in a file; a thread of its own looks every half minute."""

    def __init__(self, notebook: Notebook, tell: Callable[[str], object] = lambda _: None) -> None:
        if notebook.where is None or "://" in notebook.where:
            raise StoreError("Copies are made of a notebook in a file only.")
        self._notebook = notebook
        self._where = notebook.where
        self._tell = tell  # told once of each hindrance
        self._ended = 0  # the newest end of a session that this process has seen to
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="copies", daemon=True)
        self._damaged = False  # whether a log did not hold in the last copy
        self.trouble = ""  # why the last one could not be made or be trusted, "" where it can

    def start(self, every: float = LOOK_EVERY_SECONDS) -> None:
        """Look from now on, at once and then every so many seconds, until :meth:`stop`; a keeper is started once."""
        self._every = every
        self._thread.start()

    def stop(self) -> None:
        """Look a last time, and end: a session that ended just now is kept."""
        self._stopping.set()
        self._thread.join()

    def _run(self) -> None:
        while True:
            self.look()
            if self._stopping.is_set():
                return
            self._stopping.wait(self._every)

    def look(self) -> Copy | None:
        """Make the copy that is due, if one is; what hinders it is kept in ``trouble`` and tried again."""
        try:
            kept_copies.clear_parts(self._where, self._notebook.clock.now())
            due = self._due()
            made = self._make(*due) if due else None
        except (MouilletteError, OSError) as problem:
            self._say(f"The last copy of the notebook could not be made. {problem}")
            return None
        if made is not None or not self._damaged:
            self._say(BROKEN if self._damaged else "")
        return made

    def _say(self, trouble: str) -> None:
        if trouble and trouble != self.trouble:
            self._tell(trouble)
        self.trouble = trouble

    def _due(self) -> tuple[str, int] | None:
        """Why a copy is due, and the newest end of a session it covers."""
        from evaluation.store.backup import restoring  # only where a copy is thought of

        with self._notebook.reading() as tx:
            ended, now = tx.log.last_end(), tx.clock.now()
        there = kept_copies.copies(self._where)
        if ended > self._ended and not any(one.at > ended and (one.at <= now or ended > now) for one in there):
            return SESSION, ended  # a copy from times to come says nothing, unless the end lies there as well
        self._ended = max(self._ended, ended)
        if any(now - DAY < one.at <= now for one in there) or restoring.is_empty(self._notebook):
            return None
        return DAILY, ended

    def _make(self, why: str, ended: int) -> Copy:
        from evaluation.store.backup import form, making

        now = self._notebook.clock.now()
        made = kept_copies.new_copy(self._where, now, why)
        with form.new_file(made.file) as out:
            manifest = making.make(self._notebook, out)
        self._ended = ended
        self._damaged = not all(log.holds for log in manifest.logs or ())
        lost = self._notebook.anchor is not None and self._notebook.anchor.missing
        if not (self._damaged or lost):  # else the copies of before it are the good ones
            kept_copies.clear_away(self._where, why, now)
        return made
