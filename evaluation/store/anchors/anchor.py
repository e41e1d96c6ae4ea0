"""The anchor of one notebook: compared when it is opened, written to after each commit and before anybody is told.

A notebook ahead of its anchor is normal: the process ended between the two. An anchor ahead of its notebook is a loss.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import Final, Protocol

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import SQLAlchemyError

from evaluation.clock import Clock
from evaluation.errors import MouilletteError
from evaluation.ground import terminal
from evaluation.store.anchors import comparing, losses_told
from evaluation.store.anchors.end_marks import SESSION, Known, Line, Lost, Mark
from evaluation.store.anchors.journal import Journal
from evaluation.store.anchors.server_table import ServerTable
from evaluation.store.desk import Desk
from evaluation.store.engine import Place, transaction
from evaluation.store.kept_book import ERASED_ALIAS

MISSING: Final = (
    "The anchor of this notebook is missing: whether newest answers were lost before it was begun anew cannot be told."
)
UNREADABLE: Final = "{count} of the anchor's lines cannot be read: of what they said nothing can be told."
UNWRITTEN: Final = (
    "The anchor of the notebook cannot be written ({reason}): answers are stored, but that newest ones were lost later "
    "would not be noticed."
)
UNCOMPARED: Final = "Whether the logs reach as far as the anchor knows cannot be told: {reason}."
# What writing and reading may meet, rows that were damaged among them.
_TROUBLE: Final = (
    *(MouilletteError, SQLAlchemyError, OSError, KeyError, TypeError, ValueError),
    *(AttributeError, IndexError, OverflowError, RecursionError),
)


class Lines(Protocol):
    """Where an anchor is written: a journal beside a file, or a table on a server."""

    def known(self) -> Known:
        """What it says now."""
        ...

    def append(self, lines: list[Line]) -> None:
        """Write these down and return once they last."""
        ...

    def rewrite(self, change: Callable[[Known], None] = ...) -> None:
        """Write the whole anew, with ``change``."""
        ...

    def close(self) -> None:
        """Let go of what is held open."""
        ...


class Anchor:
    """What one process knows of the anchor of its notebook."""

    def __init__(self, lines: Lines, engine: Engine, clock: Clock, *, in_file: bool) -> None:
        self._lines = lines
        self._engine = engine
        self._clock = clock
        self._in_file = in_file  # there aliases may be kept: they can be taken out again
        self._found: tuple[str, ...] = ()
        self.trouble = ""  # why it could not be written last, "" where it could

    @classmethod
    def of(cls, place: Place, engine: Engine, clock: Clock) -> Anchor | None:
        """The anchor of what lies there; a notebook in memory has none."""
        if place.shown is None:
            return None
        if place.file is None:
            return cls(ServerTable(engine, clock.now), engine, clock, in_file=False)
        return cls(Journal(place.file, clock.now), engine, clock, in_file=True)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What was found missing and nobody has said yet that they read it, and what hinders the anchor now."""
        return (*self._found, *([self.trouble] if self.trouble else []))

    @property
    def missing(self) -> bool:
        """Whether something was found missing that nobody has read of yet."""
        return bool(self._found)

    # --- opened -----------------------------------------------------------------------------------------------------

    def begin(self) -> None:
        """Compare, write down what is missing, and go on from what is there."""
        try:
            self._begin()
        except _TROUBLE as problem:
            self._hindered(problem)

    def _begin(self) -> None:
        known = self._lines.known()
        lines = self._opening(known)
        if lines or not known.begun:
            self._lines.append(lines)
        if known.unreadable or not known.begun:
            self._lines.rewrite()
        self._scrub(known)
        if self._in_file:
            with transaction(self._engine, "reading") as connection:
                new = not _was_anchored(connection)
            if new:
                with transaction(self._engine, "writing") as connection:
                    connection.exec_driver_sql("PRAGMA user_version=1")
        self._found = losses_told.sentences(self._lines.known())

    def _opening(self, known: Known) -> list[Line]:
        lines: list[Line] = []
        with transaction(self._engine, "reading") as connection:
            desk = Desk(connection, self._clock)
            if not known.begun and self._in_file and _was_anchored(connection):
                lines.append({"note": MISSING})
            if known.unreadable:
                lines.append({"note": UNREADABLE.format(count=known.unreadable)})
            lost = self._missing(desk, known)
            back = [one for one in known.lost if comparing.is_back(desk, one)]
            lines += [{"mended": {"log": one.mark.log, "hash": one.mark.hash}} for one in back]
            lines += [{"lost": asdict(one)} for one in lost]
            lines += self._newer(desk, known, {one.mark.log for one in lost})
        return lines

    def _newer(self, desk: Desk, known: Known, lost: set[str]) -> list[Line]:
        """The marks of logs that are ahead of the anchor, and of those it was ahead of."""
        held = comparing.newest(desk)
        ahead = [mark for log, mark in held.items() if log not in lost and _ahead(mark, known.marks.get(log))]
        anew = [held.get(log) or Mark(log, 0, "", 0) for log in sorted(lost)]
        return [{"mark": asdict(self._with_people(desk, one))} for one in ahead] + [
            {"reset": asdict(self._with_people(desk, one))} for one in anew
        ]

    def _with_people(self, desk: Desk, mark: Mark) -> Mark:
        if not mark.log.startswith(SESSION):
            return mark
        people = comparing.everybody(desk, mark.log.removeprefix(SESSION), names=self._in_file)
        return Mark(mark.log, mark.count, mark.hash, mark.at, mark.version, people)

    def _missing(self, desk: Desk, known: Known) -> tuple[Lost, ...]:
        return comparing.missing(desk, known, names=self._in_file)

    def _scrub(self, known: Known) -> None:
        """Aliases of people who were erased when a process ended before it could take them out of the anchor."""
        if not self._in_file or not known.named():
            return
        with transaction(self._engine, "reading") as connection:
            gone = comparing.erased_among(Desk(connection, self._clock), known.named(), ERASED_ALIAS)
        if gone:
            self._lines.rewrite(lambda found: found.without(gone))

    # --- running ----------------------------------------------------------------------------------------------------

    def marks(self, desk: Desk) -> tuple[Mark, ...]:
        """What this transaction is about to make true."""
        return comparing.moved(desk, names=self._in_file)

    def keep(self, marks: tuple[Mark, ...], erased: frozenset[str] = frozenset()) -> None:
        """Write down what a commit made true; if that fails, what is stored stays acknowledged, and this is said."""
        try:
            if marks:
                self._lines.append([{"mark": asdict(one)} for one in marks])
            if erased and self._in_file:
                self._lines.rewrite(lambda known: known.without(erased))
        except _TROUBLE as problem:
            self._hindered(problem)
        else:
            self.trouble = ""

    def _hindered(self, problem: Exception) -> None:
        trouble = UNWRITTEN.format(reason=_reason(problem))
        if trouble != self.trouble:
            terminal.complain(trouble)
        self.trouble = trouble

    # --- asked ------------------------------------------------------------------------------------------------------

    def look(self) -> tuple[str, ...]:
        """What is missing as of now, in sentences; nothing is written."""
        try:
            return self._look()
        except _TROUBLE as problem:
            return (UNCOMPARED.format(reason=_reason(problem)),)

    def lost(self) -> tuple[Mark, ...]:
        """The ends that logs are known to have had and have no more; none where that cannot be told."""
        try:
            return tuple(one.mark for one in self._known_now()[0].lost)
        except _TROUBLE:
            return ()

    def _look(self) -> tuple[str, ...]:
        known, gone = self._known_now()
        notes = [MISSING] if gone else []
        notes += [UNREADABLE.format(count=known.unreadable)] if known.unreadable else []
        return (*losses_told.sentences(known), *notes)

    def _known_now(self) -> tuple[Known, bool]:
        """What is known with what is missing as of now, and whether the anchor itself is gone."""
        known = self._lines.known()
        with transaction(self._engine, "reading") as connection:
            desk = Desk(connection, self._clock)
            lost = self._missing(desk, known)
            known.lost = [one for one in known.lost if not comparing.is_back(desk, one)] + list(lost)
            gone = not known.begun and self._in_file and _was_anchored(connection)
        return known, gone

    def settle(self) -> None:
        """Somebody read what is missing: it is told no more, and the anchor goes on from what is there."""
        self._lines.append([{"seen": self._clock.now()}])
        self._found = ()

    def anew(self) -> tuple[str, ...]:
        """After a restore: go on from what is there; what the anchor of before knew beyond it is returned."""
        try:
            return self._anew()
        except _TROUBLE as problem:
            self._hindered(problem)
            return ()

    def _anew(self) -> tuple[str, ...]:
        before = self.look()
        with transaction(self._engine, "reading") as connection:
            desk = Desk(connection, self._clock)
            held = [self._with_people(desk, one) for one in comparing.newest(desk).values()]
        self._lines.append([{"anew": self._clock.now()}, *({"mark": asdict(one)} for one in held)])
        self._lines.rewrite()
        self._found = ()
        return before

    def close(self) -> None:
        """Let go of what is held open."""
        self._lines.close()


def _reason(problem: Exception) -> str:
    said = getattr(problem, "strerror", None) or next(iter(str(problem).splitlines()), "") or type(problem).__name__
    return str(said).rstrip(".")


def _ahead(mark: Mark, known: Mark | None) -> bool:
    return known is None or (mark.version, mark.count, mark.hash) != (known.version, known.count, known.hash)


def _was_anchored(connection: Connection) -> bool:
    """A number in the head of the file: no row, so that no backup takes it along."""
    return int(connection.exec_driver_sql("PRAGMA user_version").scalar_one()) > 0
