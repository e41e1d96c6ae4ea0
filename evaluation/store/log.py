"""The session's log: what happened, in order, and whether it still stands as it was written."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import bindparam, func, select

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.receipts import receipt_of
from evaluation.sessions import TRANSITIONS, Record
from evaluation.store import audit, chain
from evaluation.store.desk import Desk, wanting
from evaluation.store.rows import heads, personal_texts, records
from evaluation.store.translate import record_of

# Written by the verbs that also change rows; the audit compares the two.
KEPT_KINDS: Final = frozenset(
    {event for _, event in TRANSITIONS}
    | {"answer", "deviation", "void serving", "seat", "key shown", "finish", "marks", "stop", "seat shown"}
    | {"timetable", "dip", "decision", "renamed", "struck"}
)
_OF_SESSION: Final = wanting(records.c.session_id).order_by(records.c.sequence)
_OF_KIND: Final = wanting(records.c.session_id, records.c.kind).order_by(records.c.sequence)
_NAMING: Final = _OF_KIND.where(records.c.body.contains(bindparam("naming"), escape="/"))


def _escaped(text: str) -> str:
    """So that what would stand for any letters in a search stands for itself."""
    return text.replace("/", "//").replace("%", "/%").replace("_", "/_")


class Log:
    """Verbs on records."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def append(self, session_id: str, kind: str, body: Mapping[str, Any]) -> Record:
        """Write down something that changes no other row; a ``panelist_id`` in ``body`` owns the words in it."""
        checks.text("kind", kind, 40)
        if kind in KEPT_KINDS:
            raise ArgumentError(f"kind must not be {kind!r}: that record is written by its own verb.")
        return chain.append_record(self._desk, session_id, kind, body, body.get("panelist_id") or None)

    def records(self, session_id: str) -> tuple[Record, ...]:
        """Every record of a session, oldest first; whether the chain holds is another question."""
        return tuple(record_of(row) for row in self._desk.rows(_OF_SESSION, session_id=session_id))

    def of_kind(self, session_id: str, kind: str, naming: str = "") -> tuple[Record, ...]:
        """The records of one kind; with ``naming`` only those whose body holds that id: a ballot asks at every tap."""
        asked = {"session_id": session_id, "kind": kind} | ({"naming": _escaped(naming)} if naming else {})
        return tuple(record_of(row) for row in self._desk.rows(_NAMING if naming else _OF_KIND, **asked))

    def part(self, session_id: str, first: int, last: int) -> tuple[Record, ...]:
        """The records from sequence ``first`` to ``last``: a long log need not be read for its end."""
        inside = records.c.sequence.between(checks.whole("first", first, 1), checks.whole("last", last))
        query = select(records).where(records.c.session_id == session_id, inside).order_by(records.c.sequence)
        return tuple(record_of(row) for row in self._desk.rows(query))

    def receipts(self) -> dict[str, Record]:
        """The record of each answer of all sessions, by the receipt that was given for it."""
        query = select(records).where(records.c.kind == "answer")
        return {receipt_of(row.hash): record_of(row) for row in self._desk.rows(query)}

    def last(self, session_id: str) -> int:
        """The sequence of the last record, 0 if there is none."""
        row = self._desk.maybe(select(heads.c.sequence).where(heads.c.session_id == session_id))
        return 0 if row is None else int(row.sequence)

    def last_hash(self, session_id: str) -> str:
        """The hash of the last record, on which all before it bears; "" if there is none."""
        row = self._desk.maybe(select(heads.c.hash).where(heads.c.session_id == session_id))
        return "" if row is None else str(row.hash)

    def last_end(self) -> int:
        """When a session was last closed or given up, 0 if none was."""
        query = select(func.max(records.c.at)).where(records.c.kind.in_(("close", "void")))
        return int(self._desk.connection.execute(query).scalar_one() or 0)

    def texts(self, session_id: str) -> dict[str, str]:
        """Personal text by digest, as far as it has not been erased."""
        sealed = (*self.of_kind(session_id, "seal"), *self.of_kind(session_id, "renamed"))
        names = {mark for record in sealed for mark in chain.named(chain.read_body(record)).values()}
        query = select(personal_texts).where(personal_texts.c.session_id == session_id)
        found = {row.digest: row.text for row in self._desk.rows(query) if row.text is not None}
        return {digest: text for digest, text in found.items() if digest not in names}

    def verify(self, session_id: str) -> bool:
        """True if chain, personal text and every row the chain speaks of agree."""
        return audit.agrees(self._desk, session_id)
