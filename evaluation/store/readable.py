"""Whether what lies in the rows can be read: each through the constructor of its value, as what is typed goes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import Table, select

from evaluation.errors import ArgumentError, MouilletteError
from evaluation.ground import intake
from evaluation.ground.archives import DAMAGE
from evaluation.store import rows
from evaluation.store.desk import Desk
from evaluation.store.translate import (
    answer_of,
    ballot_of,
    brief_of,
    deviation_of,
    panelist_of,
    record_of,
    serving_of,
    session_of,
    trial_of,
)


def check(desk: Desk) -> None:
    """Refuse rows that no value can be made of: ArgumentError names the first and says what would be accepted."""
    for sentence in unreadable(desk):
        raise ArgumentError(sentence)


def unreadable(desk: Desk) -> Iterator[str]:
    """Every row that no value can be made of, each in a sentence."""
    for table, reader in _READERS.items():
        for number, row in enumerate(desk.rows(_query(table)), start=1):
            try:
                reader(row)
            except MouilletteError as problem:
                yield f"{table.name}, row {number}: {problem}"
            except DAMAGE:
                yield f"{table.name}, row {number}: this is nothing the program wrote."


def _query(table: Table) -> Any:
    query = select(table).order_by(*table.primary_key.columns)
    if "text_digest" not in table.c:
        return query
    texts = rows.personal_texts
    return query.add_columns(texts.c.text).outerjoin(
        texts, (texts.c.session_id == table.c.session_id) & (texts.c.digest == table.c.text_digest)
    )


def _record(row: Any) -> None:
    body = intake.json_of(record_of(row).body, intake.WRITTEN)
    if not isinstance(body["value"], dict):
        raise TypeError("no mapping")


def _sheet(row: Any) -> None:
    body = intake.json_of(row.body, intake.WRITTEN)
    if not isinstance(body["value"], list | dict):
        raise TypeError("neither list nor mapping")


def _session(row: Any) -> None:
    intake.measure(row.plan.encode(), intake.WRITTEN)  # before it is parsed
    session_of(row)


_READERS: Final = MappingProxyType[Table, Callable[[Any], object]](
    {
        rows.briefs: brief_of,
        rows.brief_sheets: _sheet,
        rows.trials: trial_of,
        rows.panelists: panelist_of,
        rows.sessions: _session,
        rows.servings: serving_of,
        rows.ballots: ballot_of,
        rows.records: _record,
        rows.answers: answer_of,
        rows.deviations: deviation_of,
        rows.timetables: _sheet,
    }
)
