"""Series of a brief: sealed and ended in a chain of their own, never changed, never removed."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any, Final

from sqlalchemy import Row, select

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.ground import checks
from evaluation.ground.canonical import canonical, digest
from evaluation.ground.intake import WRITTEN, json_of
from evaluation.series import Ended, SealedSeries, Series
from evaluation.sessions import Plan, Session
from evaluation.store import chain, kept_bottles, new_id, rows
from evaluation.store.desk import Desk, End, refused_as
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.translate import flat, plan_of, record_of, session_of

SEALED: Final = "sealed"
ENDED: Final = "ended"
IN_SEAL: Final = "series"  # in the seal of a sitting: which series it is of, by id and hash


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the chain of a brief."""

    brief_id: str
    number: int
    series_id: str
    kind: str
    body: str  # canonical JSON
    at: int
    previous: str
    hash: str = ""


def hash_of_line(line: Line) -> str:
    """The hash of a line, its own left out."""
    return digest(canonical({name: value for name, value in flat(line).items() if name != "hash"}))


class SeriesKept:
    """Verbs on series."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def seal(self, series: Series) -> SealedSeries:
        """Freeze a series; two at once: the second is told to look again."""
        self._check_known(series)
        brief_id = series.plan.brief_id
        number = len(self._rows(brief_id)) + 1
        row = {
            "id": new_id(),
            "brief_id": brief_id,
            "number": number,
            "kind": series.kind.name,
            "body": canonical(series).decode(),
            "sealed_at": self._desk.now(),
            "hash": series.hash,
        }
        with refused_as(StateError("Another series was sealed at this moment: look at it, then seal again.")):
            self._desk.add(rows.series, row)
            self._append(brief_id, str(row["id"]), SEALED, {"hash": series.hash})
        return self.series(str(row["id"]))

    def end(self, series_id: str, reason: str) -> SealedSeries:
        """No sitting is sealed for it any more; what was smelt for it stays."""
        found = self.series(series_id)
        if found.ended is not None:
            raise StateError("This series has been ended already.")
        said = checks.reason("reason", reason)
        with refused_as(StateError("This series was changed at this moment: look at it, then end it again.")):
            self._append(found.plan.brief_id, series_id, ENDED, {"reason": said})
        return self.series(series_id)

    def series(self, series_id: str) -> SealedSeries:
        """The series of this id, or NotFound."""
        row = self._desk.only_row(select(rows.series).where(rows.series.c.id == series_id), "series")
        return self._sealed(row, self._ends(row.brief_id))

    def listed(self, brief_id: str) -> tuple[SealedSeries, ...]:
        """The series of a brief, in the order they were sealed."""
        ends = self._ends(brief_id)
        return tuple(self._sealed(row, ends) for row in self._rows(brief_id))

    def sittings(self, series_id: str) -> tuple[Session, ...]:
        """The sessions of a series in any state, drafts included, in the order they were sealed."""
        sessions = rows.sessions
        mine = select(sessions).where(sessions.c.series_id == series_id)
        ordered = mine.order_by(sessions.c.sealed_at.is_(None), sessions.c.sealed_at, sessions.c.made_at, sessions.c.id)
        return tuple(session_of(row) for row in self._desk.rows(ordered))

    def check_sitting(self, plan: Plan, session_id: str = "") -> None:
        """Refuse a plan that names a series and does not keep to it; others pass."""
        if not plan.series_id:
            return
        found = self.series(plan.series_id)
        if found.plan.brief_id != plan.brief_id:
            raise ArgumentError("series must be of the brief of the session.")
        found.check_sitting(plan, self._seated(plan.series_id, session_id))

    def _seated(self, series_id: str, session_id: str) -> set[str]:
        held = (one for one in self.sittings(series_id) if one.id != session_id and one.state not in ("draft", "void"))
        return {seat.panelist_id for one in held for seat in one.plan.seats if seat.panelist_id is not None}

    def verify(self, brief_id: str) -> bool:
        """True if every series and every line stands as it was written, and sittings name them as they are."""
        lines = self._lines(brief_id)
        chained = all(later.previous == earlier.hash for earlier, later in pairwise(lines))
        whole = [one.number for one in lines] == list(range(1, len(lines) + 1))
        first = not lines or not lines[0].previous
        if not (chained and whole and first and all(hash_of_line(one) == one.hash for one in lines)):
            return False
        told = {one.series_id: _body(one)["hash"] for one in lines if one.kind == SEALED}
        kept = {row.id: (row.hash, digest(row.body.encode())) for row in self._rows(brief_id)}
        return kept == {one: (mark, mark) for one, mark in told.items()} and self._in_sessions(brief_id) <= told.items()

    def _in_sessions(self, brief_id: str) -> set[tuple[str, str]]:
        """What the seals of sittings say of their series."""
        query = select(rows.records).join(rows.sessions, rows.sessions.c.id == rows.records.c.session_id)
        mine = query.where(
            rows.sessions.c.brief_id == brief_id, rows.sessions.c.series_id.is_not(None), rows.records.c.kind == "seal"
        )
        said = (chain.read_body(record_of(row)).get(IN_SEAL, {}) for row in self._desk.rows(mine))
        return {(one.get("id", ""), one.get("hash", "")) for one in said}

    # --- rows -------------------------------------------------------------------------------------------------

    def _rows(self, brief_id: str) -> list[Row[Any]]:
        mine = select(rows.series).where(rows.series.c.brief_id == brief_id)
        return list(self._desk.rows(mine.order_by(rows.series.c.number)))

    def _lines(self, brief_id: str) -> tuple[Line, ...]:
        mine = select(rows.series_log).where(rows.series_log.c.brief_id == brief_id)
        return tuple(line_of(row) for row in self._desk.rows(mine.order_by(rows.series_log.c.number)))

    def _ends(self, brief_id: str) -> dict[str, Ended]:
        found = (one for one in self._lines(brief_id) if one.kind == ENDED)
        return {one.series_id: Ended(_body(one)["reason"], one.at) for one in found}

    def _append(self, brief_id: str, series_id: str, kind: str, body: Mapping[str, Any]) -> None:
        before = self._lines(brief_id)
        previous = before[-1].hash if before else ""
        written = canonical(body).decode()
        bare = Line(brief_id, len(before) + 1, series_id, kind, written, self._desk.now(), previous)
        line = replace(bare, hash=hash_of_line(bare))
        self._desk.add(rows.series_log, flat(line))
        self._desk.moved[f"series {brief_id}"] = End(line.number, line.hash, line.at)

    def _sealed(self, row: Row[Any], ends: Mapping[str, Ended]) -> SealedSeries:
        return SealedSeries(row.id, row.number, series_of(row), row.sealed_at, row.hash, ends.get(row.id))

    def _check_known(self, series: Series) -> None:
        brief_id = series.plan.brief_id
        self._desk.only_row(select(rows.briefs.c.id).where(rows.briefs.c.id == brief_id), "brief")
        for one in series.trial_ids:
            if kept_bottles.smelt_as(self._desk, one).brief_id != brief_id:
                raise ArgumentError("trials must belong to the brief of the series.")
        people = {*series.people, *series.makers}
        known = self._desk.rows(select(rows.panelists.c.id).where(rows.panelists.c.id.in_(people)))
        if len(known) != len(people):
            raise NotFound("No such panelist.")


def sealed_for(desk: Desk, plan: Plan) -> dict[str, dict[str, str]]:
    """What the seal of a sitting says of its series; nothing for a session by itself."""
    if not plan.series_id:
        return {}
    row = desk.only_row(select(rows.series).where(rows.series.c.id == plan.series_id), "series")
    return {IN_SEAL: {"id": row.id, "hash": row.hash}}


@as_the_program_wrote()
def series_of(row: Row[Any]) -> Series:
    """The series a row holds."""
    value = json_of(row.body, WRITTEN)["value"]
    kind, plan = value.pop("kind"), value.pop("plan")
    return Series.of(kind, plan_of(canonical_text(plan)), value)


def canonical_text(plan: Mapping[str, Any]) -> str:
    """A plan within a series, as the reader of plans takes it."""
    return json.dumps({"version": 1, "value": plan})


@as_the_program_wrote()
def line_of(row: Row[Any]) -> Line:
    """The line a row holds."""
    return Line(**row._mapping)


def _body(line: Line) -> Mapping[str, Any]:
    body: Mapping[str, Any] = json_of(line.body, WRITTEN)["value"]
    return body
