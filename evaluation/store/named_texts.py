"""Texts that people typed, searched for somebody's name; and that name struck from them, where nothing sealed speaks.

What stands under a hash is struck so that the log still holds: words laid beside it go as a whole, with their salt;
what a timetable and a decision said in the clear is written anew, and a new record of the log covers it from then on.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from sqlalchemy import Column, Row, Table, select, update

from evaluation.errors import NotFound, StateError
from evaluation.ground import checks
from evaluation.ground.canonical import canonical, digest
from evaluation.store import chain, rows, skin_log
from evaluation.store.desk import Desk
from evaluation.store.kept_book import Book
from evaluation.store.kept_decisions import STRUCK, decision_of
from evaluation.store.translate import brief_of, plan_columns, plan_of, record_of
from evaluation.values.decisions import hash_of

GONE: Final = "[struck]"
GONE_SHORT: Final = "…"  # never longer than the name: a text has its greatest length
_SHORT: Final = 2  # so short a name would be met everywhere but for its capitals
# In the body of a line about skin these hold words; everything else there is a fact.
_SAID: Final = ("note", "reason", "who", "found")


@dataclass(frozen=True, slots=True)
class NamedIn:
    """One text that names somebody. ``stays`` says why it cannot be struck, "" where it can."""

    table: str
    column: str
    key: str
    text: str
    about: str = ""  # the title of the session or brief it belongs to, "" where there is none
    stays: str = ""


# --- which texts there are ------------------------------------------------------------------------------------------

# Free text under no hash: struck where it stands.
PLAIN: Final[Mapping[Table, tuple[str, ...]]] = {
    rows.briefs: ("text",),
    rows.trials: ("changed",),
    rows.bottles: ("batch", "lots"),
    rows.panelists: ("note",),
    rows.materials: ("note",),
    rows.skin_limits: ("document",),
    rows.formula_lines: ("lot",),
    rows.skin_bars: ("reason",),
}
# Names of things: changed where that thing is entered, and sealed sessions speak of it by this name.
NAMES: Final[Mapping[Table, tuple[str, ...]]] = {
    rows.trials: ("label",),
    rows.bottles: ("mark",),
    rows.materials: ("name",),
    rows.formula_accords: ("name",),
    rows.brief_sheets: ("body",),
}
# Texts with a way of their own, below.
OTHERS: Final[Mapping[Table, tuple[str, ...]]] = {
    rows.briefs: ("title",),
    rows.sessions: ("plan",),
    rows.personal_texts: ("text",),
    rows.timetables: ("body",),
    rows.decisions: ("reason", "evidence"),
    rows.skin_log: ("body",),
    rows.series: ("body",),
    rows.series_log: ("body",),
}
# What belongs to somebody though no row says to whom: struck with whoever is erased.
TIED: Final = frozenset({("personal_texts", "keeper"), ("timetables", "body"), ("skin_bars", "reason")})
A_NAME: Final = "it is the name of something: give that another one where it was entered"
SEALED: Final = "it was sealed with the session, and the log covers it"
IN_SERIES: Final = "it stands under the hash of a series"
FROZEN: Final = "it is the evidence of a decision, as it stood"
NAME_UNDER_HASH: Final = (
    "it is what the log calls it now; the log of before can be struck once that is called otherwise"
)
NO_LOG: Final = "no session of this brief is sealed, so that no log could say that it was struck"


def pattern(word: str) -> re.Pattern[str]:
    """Whole words, in capitals or not; a name of one or two letters only as it is spelt."""
    spelt = re.escape(checks.text("name", word, 200).strip())
    return re.compile(rf"(?<!\w){spelt}(?!\w)", 0 if len(word.strip()) <= _SHORT else re.IGNORECASE)


class NamedTexts:
    """Verbs on texts that may name somebody."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def naming(self, word: str) -> tuple[NamedIn, ...]:
        """Every text in which ``word`` stands, also those that stay as they are."""
        sought = pattern(word)
        return tuple(one for one in self._all() if sought.search(one.text))

    def strike(self, place: NamedIn, word: str) -> None:
        """Take ``word`` out of one text; refused where it stays, and where it is not there any more."""
        now = next((one for one in self.naming(word) if _same(one, place)), None)
        if now is None:
            raise NotFound("No such text any more: look again.")
        if now.stays:
            raise StateError(f"This text stays as it is: {now.stays}.")
        _STRIKES.get((now.table, now.column), _in_place)(self._desk, now, pattern(word))

    def _all(self) -> Iterator[NamedIn]:
        for table, columns in PLAIN.items():
            yield from self._columns(table, columns)
        for table, columns in NAMES.items():
            yield from self._columns(table, columns, A_NAME)
        for find in (_titles, _plans, _personal, _timetables, _decisions, _series, _said_of_skin):
            yield from find(self._desk)

    def _columns(self, table: Table, names: tuple[str, ...], stays: str = "") -> Iterator[NamedIn]:
        for row in self._desk.rows(select(table).order_by(*table.primary_key.columns)):
            for name in names:
                yield NamedIn(table.name, name, _key(table, row), row._mapping[name], stays=stays)


def _without(sought: re.Pattern[str], text: str) -> str:
    return sought.sub(lambda met: GONE if len(met[0]) >= len(GONE) else GONE_SHORT, text)


def _same(one: NamedIn, other: NamedIn) -> bool:
    return (one.table, one.column, one.key) == (other.table, other.column, other.key)


def _key(table: Table, row: Row[Any]) -> str:
    return json.dumps([row._mapping[column.name] for column in table.primary_key.columns])


def _at(table: Table, key: str) -> Any:
    """The condition that meets the row of a key."""
    columns: list[Column[Any]] = list(table.primary_key.columns)
    condition = columns[0] == json.loads(key)[0]
    for column, value in zip(columns[1:], json.loads(key)[1:], strict=True):
        condition &= column == value
    return condition


def _in_place(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    table = rows.metadata.tables[place.table]
    _write(desk, table, place.key, **{place.column: _without(sought, place.text)})


def _write(desk: Desk, table: Table, key: str, **values: Any) -> None:
    desk.change(update(table).where(_at(table, key)).values(**values))


# --- titles and plans -----------------------------------------------------------------------------------------------


def _titles(desk: Desk) -> Iterator[NamedIn]:
    for row in desk.rows(select(rows.briefs).order_by(rows.briefs.c.id)):
        yield NamedIn("briefs", "title", _key(rows.briefs, row), row.title, row.title)


def _strike_title(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    """Logs that hold the title hold the new one from now on; those of before can be struck then."""
    row = desk.only_row(select(rows.briefs).where(_at(rows.briefs, place.key)), "brief")
    Book(desk).replace_brief(replace(brief_of(row), title=_without(sought, row.title)))


def _plans(desk: Desk) -> Iterator[NamedIn]:
    for row in desk.rows(select(rows.sessions).order_by(rows.sessions.c.id)):
        title = plan_of(row.plan).title
        stays = "" if row.state == "draft" else SEALED
        yield NamedIn("sessions", "plan", _key(rows.sessions, row), title, title, stays)


def _strike_draft(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    row = desk.only_row(select(rows.sessions).where(_at(rows.sessions, place.key)), "session")
    plan = plan_of(row.plan).changed(title=_without(sought, place.text))
    _write(desk, rows.sessions, place.key, **plan_columns(plan))


# --- words laid beside a log ----------------------------------------------------------------------------------------


def _personal(desk: Desk) -> Iterator[NamedIn]:
    texts, sessions = rows.personal_texts, rows.sessions
    joined = select(texts, sessions.c.plan).join(sessions, sessions.c.id == texts.c.session_id)
    in_force, columns = _names_in_force(desk), _columns_of(desk)
    for row in desk.rows(joined.where(texts.c.text.is_not(None)).order_by(texts.c.digest)):
        stays = NAME_UNDER_HASH if row.digest in in_force else ""
        column = columns.get(row.digest, "text")
        yield NamedIn("personal_texts", column, json.dumps([row.digest]), row.text, plan_of(row.plan).title, stays)


def _columns_of(desk: Desk) -> dict[str, str]:
    """By digest, what a text is where it is neither a remark nor a reason: a name, or who keeps the strips."""
    kinds = {"timetable": "keeper", "seal": "name", "renamed": "name"}
    found = desk.rows(select(rows.records).where(rows.records.c.kind.in_(list(kinds))))
    told = ((row.kind, chain.digests(chain.read_body(record_of(row))).values()) for row in found)
    return {mark: kinds[kind] for kind, marks in told for mark in marks}


def _names_in_force(desk: Desk) -> frozenset[str]:
    """Digests of what things are called now in each log: without their text the log would not hold."""
    named: dict[tuple[str, str], str] = {}
    query = select(rows.records).where(rows.records.c.kind.in_(("seal", "renamed")))
    for row in desk.rows(query.order_by(rows.records.c.session_id, rows.records.c.sequence)):
        for subject, mark in chain.named(chain.read_body(record_of(row))).items():
            named[row.session_id, subject] = mark
    return frozenset(named.values())


def _forget(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    """Text and salt go together; the digest stays, and nobody can try out guesses at it."""
    _write(desk, rows.personal_texts, place.key, text=None, salt=None)


# --- timetables and decisions ---------------------------------------------------------------------------------------


def _timetables(desk: Desk) -> Iterator[NamedIn]:
    """Who keeps the strips stood in the timetable itself until 2026-11-27; since then among words beside the log."""
    tables, sessions = rows.timetables, rows.sessions
    joined = select(tables, sessions.c.plan).join(sessions, sessions.c.id == tables.c.session_id)
    for row in desk.rows(joined.order_by(tables.c.id)):
        keeper = _value(row.body).get("keeper", "")
        if keeper:
            yield NamedIn("timetables", "body", json.dumps([row.id]), keeper, plan_of(row.plan).title)


def _strike_keeper(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    row = desk.only_row(select(rows.timetables).where(_at(rows.timetables, place.key)), "timetable")
    written = canonical(_value(row.body) | {"keeper": _without(sought, place.text)}).decode()
    _write(desk, rows.timetables, place.key, body=written)
    about = {"timetable": row.revision, "digest": digest(written.encode())}
    chain.append_record(desk, row.session_id, STRUCK, about)


def _decisions(desk: Desk) -> Iterator[NamedIn]:
    decisions, briefs = rows.decisions, rows.briefs
    joined = select(decisions, briefs.c.title).join(briefs, briefs.c.id == decisions.c.brief_id)
    for row in desk.rows(joined.order_by(decisions.c.brief_id, decisions.c.number)):
        stays = "" if _log_of(desk, row.brief_id) else NO_LOG
        yield NamedIn("decisions", "reason", json.dumps([row.id]), row.reason, row.title, stays)
        yield NamedIn("decisions", "evidence", json.dumps([row.id]), row.evidence, row.title, FROZEN)


def _log_of(desk: Desk, brief_id: str) -> str:
    """The session of a brief that was sealed last: its log says what was struck."""
    sessions = rows.sessions.c
    mine = select(sessions.id).where(sessions.brief_id == brief_id, sessions.sealed_at.is_not(None))
    row = desk.maybe(mine.order_by(sessions.sealed_at.desc(), sessions.id).limit(1))
    return "" if row is None else str(row.id)


def _strike_reason(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    query = select(rows.decisions).where(_at(rows.decisions, place.key))
    before = decision_of(desk.only_row(query, "decision"))
    after = replace(before, reason=_without(sought, before.reason))
    _write(desk, rows.decisions, place.key, reason=after.reason)
    about = {"decision": before.id, "hash": before.hash, "as": hash_of(after)}
    chain.append_record(desk, _log_of(desk, before.brief_id), STRUCK, about)


def _series(desk: Desk) -> Iterator[NamedIn]:
    """What a series is called, and why it was ended."""
    for row in desk.rows(select(rows.series).order_by(rows.series.c.id)):
        title = str(_value(row.body)["plan"]["title"])
        yield NamedIn("series", "body", _key(rows.series, row), title, title, IN_SERIES)
    for row in desk.rows(select(rows.series_log).order_by(*rows.series_log.primary_key.columns)):
        yield NamedIn(
            "series_log", "body", _key(rows.series_log, row), _value(row.body).get("reason", ""), "", IN_SERIES
        )


# --- skin -----------------------------------------------------------------------------------------------------------


def _said_of_skin(desk: Desk) -> Iterator[NamedIn]:
    for row, body in skin_log.lines_of(desk):
        for name in _SAID:
            if body.get(name):
                yield NamedIn("skin_log", name, json.dumps([row.id]), str(body[name]))


def _strike_line(desk: Desk, place: NamedIn, sought: re.Pattern[str]) -> None:
    row = desk.only_row(select(rows.skin_log).where(_at(rows.skin_log, place.key)), "line")
    said = _value(row.body) | {place.column: _without(sought, place.text)}
    skin_log.write_over(desk, row.id, said)


def _value(written: str) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(written)["value"]
    return body


_STRIKES: Final[Mapping[tuple[str, str], Callable[[Desk, NamedIn, re.Pattern[str]], None]]] = {
    ("briefs", "title"): _strike_title,
    ("sessions", "plan"): _strike_draft,
    ("personal_texts", "text"): _forget,
    ("personal_texts", "keeper"): _forget,
    ("personal_texts", "name"): _forget,
    ("timetables", "body"): _strike_keeper,
    ("decisions", "reason"): _strike_reason,
    **{("skin_log", name): _strike_line for name in _SAID},
}
