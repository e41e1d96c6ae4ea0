"""Whether what lies in the rows can be read: each through the constructor of its value, as what is typed goes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import Table, select

from evaluation.errors import ArgumentError, Damaged, MouilletteError
from evaluation.ground import checks, intake
from evaluation.ground.archives import DAMAGE
from evaluation.skin.materials import SkinLimit
from evaluation.store import rows
from evaluation.store.desk import Desk
from evaluation.store.kept_formulas import material_of
from evaluation.store.kept_series import series_of
from evaluation.store.translate import (
    answer_of,
    ballot_of,
    bare_trial_of,
    bottle_of,
    brief_of,
    deviation_of,
    panelist_of,
    record_of,
    serving_of,
    session_of,
)
from evaluation.values.decisions import WORDS

NOTHING_WRITTEN: Final = "this is nothing the program wrote."


def check(desk: Desk) -> None:
    """Refuse rows that no value can be made of: ArgumentError names the first and says what would be accepted."""
    for sentence in unreadable(desk):
        raise ArgumentError(sentence)


def unreadable(desk: Desk, besides: tuple[Table, ...] = ()) -> Iterator[str]:
    """Every row that no value can be made of, each in a sentence; of all tables but those looked at otherwise."""
    for table, reader in _READERS.items():
        if table in besides:
            continue
        for number, row in enumerate(desk.rows(_query(table)), start=1):
            try:
                reader(row)
            except Damaged:
                yield f"{table.name}, row {number}: {NOTHING_WRITTEN}"
            except MouilletteError as problem:
                yield f"{table.name}, row {number}: {problem}"
            except DAMAGE:
                yield f"{table.name}, row {number}: {NOTHING_WRITTEN}"


def _query(table: Table) -> Any:
    query = select(table).order_by(*table.primary_key.columns)
    if "text_digest" not in table.c:
        return query
    texts = rows.personal_texts
    return query.add_columns(texts.c.text).outerjoin(
        texts, (texts.c.session_id == table.c.session_id) & (texts.c.digest == table.c.text_digest)
    )


def _record(row: Any) -> None:
    _mapping(record_of(row).body)


def _body(row: Any) -> None:
    _mapping(row.body)


def _mapping(text: str) -> None:
    if not isinstance(intake.json_of(text, intake.WRITTEN)["value"], dict):
        raise TypeError("no mapping")


def _sheet(row: Any) -> None:
    if not isinstance(intake.json_of(row.body, intake.WRITTEN)["value"], list):
        raise TypeError("no list")


def _decision(row: Any) -> None:
    checks.choice("decision", row.word, WORDS)
    _mapping(row.evidence)


def _limit(row: Any) -> None:
    percent = intake.decimal_of("percent", row.percent)
    SkinLimit(row.material_id, percent, row.document, row.dated_on, row.kind_of_use, row.at, row.id)


def _line(row: Any) -> None:
    for name in ("parts", "stock_percent"):
        intake.decimal_of(name.replace("_", " "), getattr(row, name))


def _patch(row: Any) -> None:
    intake.decimal_of("strength percent", row.strength_percent)
    if row.formula:
        _mapping(row.formula)


def _session(row: Any) -> None:
    intake.measure(row.plan.encode(), intake.WRITTEN)  # before it is parsed
    session_of(row)


_READERS: Final = MappingProxyType[Table, Callable[[Any], object]](
    {
        rows.briefs: brief_of,
        rows.brief_sheets: _sheet,
        rows.trials: bare_trial_of,
        rows.bottles: bottle_of,
        rows.panelists: panelist_of,
        rows.series: series_of,
        rows.series_log: _body,
        rows.sessions: _session,
        rows.servings: serving_of,
        rows.ballots: ballot_of,
        rows.records: _record,
        rows.answers: answer_of,
        rows.deviations: deviation_of,
        rows.timetables: _body,
        rows.decisions: _decision,
        rows.materials: material_of,
        rows.skin_limits: _limit,
        rows.formula_lines: _line,
        rows.skin_facts: _body,
        rows.skin_log: _body,
        rows.patches: _patch,
    }
)
