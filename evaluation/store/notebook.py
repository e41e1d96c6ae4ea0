"""The notebook: open it once, then read or write in one transaction block at a time."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from sqlalchemy import Connection, Engine

from evaluation.clock import Clock
from evaluation.errors import Damaged, StoreError
from evaluation.store import engine as engines
from evaluation.store import first_look, schema
from evaluation.store.anchors.anchor import Anchor
from evaluation.store.ballots import Ballots
from evaluation.store.copies import Copies
from evaluation.store.desk import Desk
from evaluation.store.kept_book import Book
from evaluation.store.kept_bottles import Bottles
from evaluation.store.kept_decisions import Decisions
from evaluation.store.kept_doors import Doors
from evaluation.store.kept_formulas import Formulas
from evaluation.store.kept_live import Live
from evaluation.store.kept_people import People
from evaluation.store.kept_series import SeriesKept
from evaluation.store.kept_skin import Skin
from evaluation.store.key import Keys
from evaluation.store.log import Log
from evaluation.store.named_texts import NamedTexts
from evaluation.store.sittings import Sittings
from evaluation.store.skin_log import Patches, Reactions
from evaluation.store.whereabouts import GONE, Whereabouts

PATIENCE_SECONDS: Final = 30.0


class Transaction:
    """The verbs, all working on one connection."""

    __slots__ = (
        "_desk",
        "ballots",
        "book",
        "bottles",
        "clock",
        "copies",
        "decisions",
        "doors",
        "formulas",
        "key",
        "live",
        "log",
        "patches",
        "people",
        "reactions",
        "series",
        "sittings",
        "skin",
        "texts",
    )

    def __init__(self, connection: Connection, clock: Clock) -> None:
        desk = self._desk = Desk(connection, clock)
        self.clock = clock
        self.book = Book(desk)
        self.bottles = Bottles(desk)
        self.sittings = Sittings(desk)
        self.key = Keys(desk, self.sittings)
        self.ballots = Ballots(desk)
        self.live = Live(desk, self.ballots)
        self.log = Log(desk)
        self.doors = Doors(desk)
        self.formulas = Formulas(desk)
        self.skin = Skin(desk)
        self.patches = Patches(desk)
        self.reactions = Reactions(desk)
        self.decisions = Decisions(desk)
        self.series = SeriesKept(desk)
        self.copies = Copies(desk, self.key)
        self.people = People(desk)
        self.texts = NamedTexts(desk)


class _Turns:
    """Whose turn it is among the threads of this process, so that writers queue instead of polling the file lock."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._mine = threading.local()

    @contextmanager
    def once(self) -> Iterator[None]:
        """Refuse a block inside a block: the inner one could not see, or would wait for, the outer one."""
        if getattr(self._mine, "open", False):
            raise StoreError("A transaction is open already: end it before beginning another.")
        self._mine.open = True
        try:
            yield
        finally:
            self._mine.open = False

    @contextmanager
    def alone(self) -> Iterator[None]:
        if not self._lock.acquire(timeout=PATIENCE_SECONDS):
            raise StoreError("The data is busy: somebody else has been writing for a long time. Try again.")
        try:
            yield
        finally:
            self._lock.release()


@dataclass(frozen=True, slots=True, eq=False)
class Notebook:
    """All that is remembered; ``where`` is None in memory and never holds a password."""

    where: str | None
    clock: Clock
    _engine: Engine = field(repr=False)
    _anchor: Anchor | None = field(default=None, repr=False)
    _whereabouts: Whereabouts | None = field(default=None, repr=False)
    _turns: _Turns = field(default_factory=_Turns, repr=False)

    @classmethod
    def open(cls, where: str | Path | None, clock: Clock, *, migrate: bool = True) -> Notebook:
        """Open a file, a ``sqlite:///`` or ``postgresql://`` URL, or (None) a store in memory.

        The schema is brought up to date first, after a copy in the old one; with ``migrate=False`` an older one is
        refused. Raises StoreError for what cannot be opened or is not ours.
        """
        place = engines.locate(where)
        with copy_named(place.shown), engines.explained():
            engine = engines.connect(place)
            try:
                schema.bring_up(engine, place, clock, allowed=migrate, before=lambda: _copied(engine, place, clock))
            except BaseException:
                engine.dispose()
                raise
        anchor = Anchor.of(place, engine, clock)
        if anchor is not None:
            anchor.begin()
        with engines.explained():
            there = None if place.file is None else Whereabouts(place.file, engine)
        return cls(place.shown, clock, engine, anchor, there)

    @classmethod
    def open_unchanged(cls, where: str | Path, clock: Clock) -> Notebook:
        """What lies there, in whatever schema it has; nothing is made or changed. For backups and checks."""
        place = engines.locate(where)
        if place.file is not None and not (place.file.is_file() and first_look.kind_of(place.file) != "new"):
            raise StoreError(f"There is no notebook at {str(place.file)!r}: name one with --data.")
        with copy_named(place.shown), engines.explained():
            engine = engines.connect(place)
            try:
                with engines.transaction(engine, "reading") as connection:
                    if schema.revision(connection) is None:
                        raise StoreError(f"There is no notebook at {place.shown!r} yet.")
            except BaseException:
                engine.dispose()
                raise
        return cls(place.shown, clock, engine, Anchor.of(place, engine, clock))

    def close(self) -> None:
        """Let go of every connection."""
        if self._anchor is not None:
            self._anchor.close()
        if self._whereabouts is not None:
            self._whereabouts.close()
        self._engine.dispose()

    @property
    def anchor(self) -> Anchor | None:
        """What tells whether newest records are missing; None in memory."""
        return self._anchor

    @property
    def alarms(self) -> tuple[str, ...]:
        """What whoever runs the app must know at once: what is missing, what is not anchored, that the file is gone."""
        gone = self._whereabouts is not None and self._whereabouts.gone
        return (*((GONE,) if gone else ()), *(() if self._anchor is None else self._anchor.sentences))

    @contextmanager
    def writing(self) -> Iterator[Transaction]:
        """One transaction that may change things; leave the block by an exception and nothing of it stays.

        Whoever comes out of the block may tell people that it is stored: the anchor knows it by then.
        """
        with self.connected("writing") as connection:
            made = Transaction(connection, self.clock)
            yield made
            marks = () if self._anchor is None else self._anchor.marks(made._desk)
        if self._anchor is not None and (marks or made._desk.erased):
            self._anchor.keep(marks, frozenset(made._desk.erased))

    @contextmanager
    def reading(self) -> Iterator[Transaction]:
        """One transaction that sees one instant of the data and can change nothing."""
        with self.connected("reading") as connection:
            yield Transaction(connection, self.clock)

    @contextmanager
    def connected(self, mode: str) -> Iterator[Connection]:
        """The bare connection of one transaction, "reading" or "writing": for this package's own rooms."""
        sqlite = self._engine.dialect.name == "sqlite"
        alone = self._turns.alone() if self.where is None or (sqlite and mode == "writing") else nullcontext()
        with copy_named(self.where), self._turns.once(), alone:
            self._check_there(mode)
            with engines.transaction(self._engine, mode) as connection:
                yield connection
            self._check_there(mode)  # it may have gone meanwhile

    def _check_there(self, mode: str) -> None:
        if mode == "writing" and self._whereabouts is not None:
            self._whereabouts.check()


@contextmanager
def copy_named(where: str | None) -> Iterator[None]:
    """Whatever is damaged inside, the sentence also says which copy of it is the newest and how to bring it back."""
    try:
        yield
    except Damaged as problem:
        if where is None or problem.told:
            raise
        from evaluation.store.backup import kept_copies  # only where damage is told

        said = f"{str(problem).rstrip('.')}; {kept_copies.how_to_restore(where)}."
        raise Damaged(said, told=True) from problem


def _copied(engine: Engine, place: engines.Place, clock: Clock) -> AbstractContextManager[Callable[[str], None]]:
    from evaluation.store.backup import before_changes  # only where a schema changes

    return before_changes.copied(engine, place, clock)
