"""What a notebook holds, told as marks, and whether it still holds what a mark says."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import Select, Table, bindparam, func, select

from evaluation.ground.canonical import canonical, digest
from evaluation.store import rows
from evaluation.store.anchors.end_marks import DECISIONS, SERIES, SESSION, SKIN, Answered, Known, Lost, Mark
from evaluation.store.desk import Desk
from evaluation.store.skin_log import times_forgotten
from evaluation.store.translate import plan_of

_AT_ONCE: Final = 500  # names in one question to the database
_REMARK: Final = "remark"  # stands beside an answer and is none


# --- what the notebook holds ----------------------------------------------------------------------------------------


def newest(desk: Desk) -> dict[str, Mark]:
    """How far each log has come, by its records alone: what a head row says may have been set back."""
    found = [*_sessions(desk), *_of_briefs(desk, DECISIONS), *_of_briefs(desk, SERIES)]
    skin = _skin(desk)
    return {one.log: one for one in (*found, *([skin] if skin.count or skin.version else []))}


def moved(desk: Desk, *, names: bool) -> tuple[Mark, ...]:
    """The marks of the logs that this transaction wrote to; ``names`` where the anchor may hold aliases."""
    marks = []
    for log, end in desk.moved.items():
        mark = _skin(desk) if end is None else Mark(log, end.count, end.hash, end.at)
        ballots = desk.answered.get(log, ())
        marks.append(replace(mark, people=answered(desk, ballots, names=names)) if ballots else mark)
    return tuple(marks)


def answered(desk: Desk, ballots: Iterable[str], *, names: bool) -> tuple[Answered, ...]:
    """How many answers these ballots have locked."""
    found: list[Answered] = []
    for some in _portions(sorted(ballots)):
        found += _answered(desk, _OF_BALLOTS, names, ballots=some)
    return tuple(found)


def everybody(desk: Desk, session_id: str, *, names: bool) -> tuple[Answered, ...]:
    """How many answers each ballot of a session has locked."""
    return tuple(_answered(desk, _OF_SESSION, names, session=session_id))


def _counted() -> Select[Any]:
    ballots, answers, people = rows.ballots, rows.answers, rows.panelists
    query = select(ballots.c.id, ballots.c.panelist_id, people.c.alias, func.count(answers.c.id).label("answers"))
    joined = query.join(answers, answers.c.ballot_id == ballots.c.id)
    joined = joined.outerjoin(people, people.c.id == ballots.c.panelist_id)
    locked = joined.where(answers.c.final, answers.c.question != _REMARK)
    return locked.group_by(ballots.c.id, ballots.c.panelist_id, people.c.alias)


# Asked after every answer: made once.
_OF_BALLOTS: Final = _counted().where(rows.ballots.c.id.in_(bindparam("ballots", expanding=True)))
_OF_SESSION: Final = _counted().where(rows.ballots.c.session_id == bindparam("session"))


def _answered(desk: Desk, query: Select[Any], names: bool, **asked: Any) -> Iterator[Answered]:
    for row in desk.rows(query, **asked):
        yield Answered(row.id, int(row.answers), row.panelist_id or "", (row.alias or "") if names else "")


def _sessions(desk: Desk) -> Iterator[Mark]:
    records = rows.records
    last = select(records.c.session_id, func.max(records.c.sequence).label("last")).group_by(records.c.session_id)
    ends = last.subquery()
    query = select(records).join(
        ends, (ends.c.session_id == records.c.session_id) & (ends.c.last == records.c.sequence)
    )
    for row in desk.rows(query):
        yield Mark(f"{SESSION}{row.session_id}", int(row.sequence), str(row.hash), int(row.at))


_CHAINS: Final[Mapping[str, Table]] = MappingProxyType({DECISIONS: rows.decisions, SERIES: rows.series_log})


def _of_briefs(desk: Desk, log: str) -> Iterator[Mark]:
    """The ends of the chains that every brief has one of."""
    table = _CHAINS[log]
    last = select(table.c.brief_id, func.max(table.c.number).label("last")).group_by(table.c.brief_id)
    ends = last.subquery()
    query = select(table).join(ends, (ends.c.brief_id == table.c.brief_id) & (ends.c.last == table.c.number))
    for row in desk.rows(query):
        yield Mark(f"{log}{row.brief_id}", int(row.number), str(row.hash), int(row.at))


def _skin(desk: Desk) -> Mark:
    log = rows.skin_log
    count = int(desk.only_row(select(func.count().label("lines")).select_from(log), "line").lines)
    last = desk.maybe(select(log).order_by(log.c.id.desc()).limit(1))
    version = times_forgotten(desk)
    return Mark(
        SKIN, count, "" if last is None else hash_of_line(last._mapping), 0 if last is None else last.at, version
    )


def hash_of_line(line: Mapping[Any, Any]) -> str:
    """What stands for a line about skin, by its columns; KeyError where one is not there."""
    return digest(canonical({name: line[name] for name in ("id", "kind", "panelist_id", "body", "at")}))


# --- against a mark -------------------------------------------------------------------------------------------------


def missing(desk: Desk, known: Known, *, names: bool) -> tuple[Lost, ...]:
    """What marks say and the notebook does not hold; a notebook that is ahead of its marks lacks nothing."""
    held = newest(desk)
    behind = [mark for log, mark in known.marks.items() if not _holds(desk, mark, held.get(log))]
    return tuple(_lost(desk, mark, held.get(mark.log), names=names) for mark in behind)


def is_back(desk: Desk, lost: Lost) -> bool:
    """Whether what was found missing is there again: somebody put the right file back."""
    return _holds(desk, lost.mark, newest(desk).get(lost.mark.log))


def _holds(desk: Desk, mark: Mark, held: Mark | None) -> bool:
    if mark.count == 0 and mark.version == 0:
        return True
    if held is None:
        return False
    if mark.version != held.version:
        return held.version > mark.version  # lines were taken out since, on purpose
    if held.count < mark.count:
        return False
    return held.hash == mark.hash or _ROOMS[mark.log.split(" ")[0]](desk, mark)


def _holds_record(desk: Desk, mark: Mark) -> bool:
    records = rows.records
    mine = (records.c.session_id == mark.log.removeprefix(SESSION), records.c.sequence == mark.count)
    row = desk.maybe(select(records.c.hash).where(*mine))
    return row is not None and row.hash == mark.hash


def _holds_line_of_brief(desk: Desk, mark: Mark) -> bool:
    room, brief_id = mark.log.split(" ", 1)
    table = _CHAINS[f"{room} "]
    row = desk.maybe(select(table.c.hash).where(table.c.brief_id == brief_id, table.c.number == mark.count))
    return row is not None and row.hash == mark.hash


def _holds_line(desk: Desk, mark: Mark) -> bool:
    found = desk.rows(select(rows.skin_log).order_by(rows.skin_log.c.id.desc()))
    return mark.count == 0 or any(hash_of_line(row._mapping) == mark.hash for row in found)


_ROOMS: Final[Mapping[str, Callable[[Desk, Mark], bool]]] = MappingProxyType(
    {
        SESSION.strip(): _holds_record,
        SKIN: _holds_line,
        **dict.fromkeys((one.strip() for one in _CHAINS), _holds_line_of_brief),
    }
)


def _lost(desk: Desk, mark: Mark, held: Mark | None, *, names: bool) -> Lost:
    here: dict[str, int] = {}
    if mark.log.startswith(SESSION):
        found = everybody(desk, mark.log.removeprefix(SESSION), names=False)
        here = {one.ballot_id: one.answers for one in found}
    short = tuple(
        replace(one, answers=one.answers - here.get(one.ballot_id, 0))
        for one in mark.people
        if one.answers > here.get(one.ballot_id, 0)
    )
    known = short if names else tuple(_named(desk, one) for one in short)
    return Lost(mark, 0 if held is None else held.count, _title(desk, mark.log), known, desk.now())


def _named(desk: Desk, one: Answered) -> Answered:
    row = desk.maybe(select(rows.panelists.c.alias).where(rows.panelists.c.id == one.panelist_id))
    return one if row is None else replace(one, alias=row.alias)


def _title(desk: Desk, log: str) -> str:
    if log.startswith(tuple(_CHAINS)):
        row = desk.maybe(select(rows.briefs.c.title).where(rows.briefs.c.id == log.split(" ", 1)[1]))
        return "" if row is None else str(row.title)
    if log.startswith(SESSION):
        row = desk.maybe(select(rows.sessions.c.plan).where(rows.sessions.c.id == log.removeprefix(SESSION)))
        try:
            return "" if row is None else plan_of(row.plan).title
        except (KeyError, TypeError, ValueError, AttributeError):
            return ""
    return ""


def erased_among(desk: Desk, panelist_ids: Iterable[str], alias: str) -> frozenset[str]:
    """Those of these people who bear the ``alias`` of somebody who was erased."""
    gone: set[str] = set()
    for some in _portions(sorted(panelist_ids)):
        query = select(rows.panelists.c.id).where(rows.panelists.c.id.in_(some), rows.panelists.c.alias == alias)
        gone |= {row.id for row in desk.rows(query)}
    return frozenset(gone)


def _portions(names: list[str]) -> Iterator[list[str]]:
    return (names[first : first + _AT_ONCE] for first in range(0, len(names), _AT_ONCE))
