"""A copy of one opened session: taken out of a notebook, and laid into an empty one.

It holds what was planned, smelt and answered, the key, and the log. It does not hold links and visits, notes on people,
formulas and lots, or what somebody said of their skin; that somebody stopped is told. Words and names are there as far
as the notebook still has them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any, Final

from sqlalchemy import Select, Table, select
from sqlalchemy.exc import SQLAlchemyError

from evaluation.errors import ArgumentError, MouilletteError, StoreError
from evaluation.ground.archives import DAMAGE
from evaluation.sessions import Key
from evaluation.store import kept_bottles, readable, rows
from evaluation.store.backup import row_lines
from evaluation.store.desk import Desk
from evaluation.store.kept_skin import GATE
from evaluation.store.key import Keys
from evaluation.store.translate import plan_of
from evaluation.values.bottles import FIRST_MARK

Rows = list[dict[str, Any]]

# In the order in which they can be laid in: what others refer to comes first.
OWN: Final[tuple[Table, ...]] = (
    rows.servings,
    rows.ballots,
    rows.heads,
    rows.records,
    rows.personal_texts,
    rows.answers,
    rows.deviations,
    rows.timetables,
    rows.dips,
    rows.stops,
)
# Columns that copies made before do not have, with what their absence meant.
ADDED: Final[Mapping[str, Mapping[str, Any]]] = {"servings": {"dips": ""}, "sessions": {"series_id": None}}
AROUND: Final[tuple[Table, ...]] = (
    rows.briefs,
    rows.brief_sheets,
    rows.trials,
    rows.bottles,
    rows.panelists,
    rows.sessions,
)
SERIES: Final = rows.series.name  # in the copy of a sitting: the series it was sealed for
_BLANK: Final[Mapping[str, Mapping[str, Any]]] = {
    "ballots": {"token_hash": None},
    "panelists": {"note": ""},
    "trials": {"parent_id": None},  # trials that were not smelt do not go along
    "bottles": {"lots": ""},  # they name materials
}


class Copies:
    """Verbs on whole sessions."""

    def __init__(self, desk: Desk, keys: Keys) -> None:
        self._desk = desk
        self._keys = keys

    def take_out(self, session_id: str) -> dict[str, Any]:
        """Plain values for canonical JSON; StillBlind for a session that is not opened."""
        key = self._keys.open_key(session_id)  # refuses first: nothing below may be read before
        session = self._desk.only_row(select(rows.sessions).where(rows.sessions.c.id == session_id), "session")
        plan = plan_of(session.plan)
        own = {one.name: self._rows(one, select(one).where(one.c.session_id == session_id)) for one in OWN}
        people = {row["panelist_id"] for name in ("ballots", "personal_texts") for row in own[name]}
        people |= {seat.panelist_id for seat in plan.seats}
        smelt = kept_bottles.trials_of(self._desk, plan.trial_ids)
        around = {
            rows.briefs: rows.briefs.c.id == plan.brief_id,
            rows.brief_sheets: rows.brief_sheets.c.brief_id == plan.brief_id,
            rows.trials: rows.trials.c.id.in_(smelt.values()),
            rows.bottles: rows.bottles.c.id.in_({*smelt, *smelt.values()}),  # the first too: a trial has one
            rows.panelists: rows.panelists.c.id.in_([one for one in people if one]),
            rows.sessions: rows.sessions.c.id == session_id,
        }
        found = {one.name: self._rows(one, select(one).where(which)) for one, which in around.items()}
        own["personal_texts"] = _without_formulas(own["personal_texts"], own["records"])
        if plan.series_id:
            found[SERIES] = self._rows(rows.series, select(rows.series).where(rows.series.c.id == plan.series_id))
        return {"session_id": session_id, "key": key, "rows": found | own}

    def lay_in(self, copy: Mapping[str, Any]) -> str:
        """Lay a copy into an empty notebook; StoreError where it is not what ``take_out`` gave."""
        try:
            return self._lay_in(copy)
        except MouilletteError as problem:
            raise StoreError(f"This is no copy of a session, or it was altered: {problem}") from problem
        except (SQLAlchemyError, *DAMAGE) as problem:
            raise StoreError(
                "This is no copy of a session, or it was altered: what it holds does not agree."
            ) from problem

    def _lay_in(self, copy: Mapping[str, Any]) -> str:
        session_id, stored = str(copy["session_id"]), _with_bottles(copy["rows"])
        if [row["id"] for row in stored["sessions"]] != [session_id]:
            raise ValueError("another session")
        plan = plan_of(stored["sessions"][0]["plan"])
        if stored.keys() != {one.name for one in AROUND + OWN} | ({SERIES} if plan.series_id else set()):
            raise ValueError("other tables")
        bottles, first = {row["id"] for row in stored["bottles"]}, {row["id"] for row in stored["trials"]}
        if not {*plan.trial_ids} | first <= bottles:
            raise ValueError("a bottle is missing")
        for table in (*AROUND[:-1], rows.series, rows.sessions, rows.servings, rows.ballots):
            self._add(table, stored.get(table.name, ()))
        key = Key(copy["key"]["seed"], tuple(copy["key"]["letters"]), tuple(map(tuple, copy["key"]["orders"])))
        for table in (rows.heads, rows.records):
            self._add(table, stored[table.name])
        self._keys.lay_in(session_id, plan, key)
        for table in OWN[4:]:
            self._add(table, stored[table.name])
        readable.check(self._desk)
        return session_id

    def _rows(self, table: Table, query: Select[Any]) -> Rows:
        """In the order of the primary key, so that the same session gives the same copy."""
        found = self._desk.rows(query.order_by(*table.primary_key.columns))
        return [dict(row._mapping) | dict(_BLANK.get(table.name, {})) for row in found]

    def _add(self, table: Table, given: Iterable[Mapping[str, Any]]) -> None:
        """Rows of the kinds that the columns hold; ArgumentError names the first that is not."""
        read = []
        for number, told in enumerate(given, start=1):
            try:
                read.append(row_lines.row(table, dict(ADDED.get(table.name, {})) | dict(told)))
            except DAMAGE as problem:
                raise ArgumentError(f"row {number} of {table.name} is nothing the program wrote.") from problem
        self._desk.add(table, *read)


def _with_bottles(stored: Mapping[str, Rows]) -> Mapping[str, Rows]:
    """Copies made before trials had bottles: what each said of its one weighing is its first bottle."""
    if rows.bottles.name in stored:
        return stored
    weighings = [{name: row[name] for name in _OF_WEIGHING} for row in stored["trials"]]
    own = [{name: value for name, value in row.items() if name not in _OF_WEIGHING} for row in stored["trials"]]
    of = [{"id": row["id"], "trial_id": row["id"], "mark": FIRST_MARK, "made_at": row["made_at"]} for row in own]
    blank = {"lots": "", "stored": ""}
    bottles = [one | weighed | blank for one, weighed in zip(of, weighings, strict=True)]
    return {**stored, "trials": own, "bottles": bottles}


_OF_WEIGHING: Final = ("strength_percent", "skin_strength_percent", "mixed_on", "diluted_on", "batch")


def _without_formulas(texts: Rows, records: Rows) -> Rows:
    """What the skin gate saw is left out like words that were erased: the log stands without it."""
    seen = [json.loads(row["body"])["value"].get("note") for row in records if row["kind"] == GATE]
    hidden = {note["digest"] for note in seen if note}
    return [row | {"salt": None, "text": None} if row["digest"] in hidden else row for row in texts]
