"""The hash chain of a session: each record covers the one before, and holds no text that a person may take back."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, Final

from sqlalchemy import bindparam, select, update

from evaluation.ground.canonical import canonical, digest
from evaluation.sessions import Record
from evaluation.store.desk import Desk, End
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.rows import heads, personal_texts, records
from evaluation.store.translate import flat

# What stands under these names in a body is somebody's own words.
PERSONAL: Final = frozenset({"remark", "reason", "alias", "note"})
# What stands under this name in a body are the names of things verdicts speak of, by the id of each.
NAMED: Final = "named"
_DIGEST: Final = "digest"
_PERSONAL: Final = tuple(sorted(PERSONAL))
_COVERED: Final = tuple(field.name for field in fields(Record) if field.name != "hash")
_MINE: Final = heads.c.session_id == bindparam("session")
_HEAD: Final = select(heads.c.sequence, heads.c.hash).where(_MINE).with_for_update()
_MOVE_HEAD: Final = update(heads).where(_MINE)


@as_the_program_wrote()
def read_body(record: Record) -> dict[str, Any]:
    """What a record says; personal text stands there as ``{"digest": …}``, see ``Log.texts``."""
    body: dict[str, Any] = json.loads(record.body)["value"]
    return body


@as_the_program_wrote()
def read_bodies(records: Sequence[Record]) -> list[dict[str, Any]]:
    """The same of many records, whose hashes were found to hold: all in one go, as a long log has ten thousands."""
    return [told["value"] for told in json.loads(f"[{','.join(record.body for record in records)}]")]


def digests(body: Mapping[str, Any]) -> dict[str, str]:
    """The digests of personal text and of names in a body, by what they stand under."""
    own = {name: body[name][_DIGEST] for name in _PERSONAL if name in body}
    return own | {f"{NAMED} {subject}": mark for subject, mark in named(body).items()}


def named(body: Mapping[str, Any]) -> dict[str, str]:
    """The digests of names in a body, by the id of what is named; none in what was written before that was done."""
    return {subject: told[_DIGEST] for subject, told in body.get(NAMED, {}).items()}


def salted(salt: str, text: str) -> str:
    """The digest that stands for ``text``; without the salt nobody can try out guesses."""
    return digest(salt.encode(), text.encode())


def hash_of(previous: str, record: Record) -> str:
    """The hash of ``record`` (its own hash left out) after one whose hash is ``previous``, "" for the first."""
    return digest(previous.encode(), canonical({name: getattr(record, name) for name in _COVERED}))


@dataclass(frozen=True, slots=True)
class Head:
    """The last record's sequence and hash."""

    sequence: int
    hash: str


def hold(desk: Desk, session_id: str) -> Head:
    """Lock the session's head row until the transaction ends: whoever writes about a session waits here in turn.

    Once it is held nobody else moves it, so that it is not read again.
    """
    if session_id not in desk.heads:
        row = desk.only_row(_HEAD, "session", session=session_id)
        desk.heads[session_id] = row.sequence, row.hash
    return Head(*desk.heads[session_id])


def holds(desk: Desk, session_id: str) -> bool:
    """Whether this transaction holds the head row already: what it reads of the session is not stale then."""
    return session_id in desk.heads


def append_record(desk: Desk, session_id: str, kind: str, body: Mapping[str, Any], owner: str | None = None) -> Record:
    """Append one record; personal text in ``body`` is laid beside it, belonging to panelist ``owner``."""
    return append_records(desk, session_id, kind, [body], owner)[-1]


def append_records(
    desk: Desk, session_id: str, kind: str, bodies: Sequence[Mapping[str, Any]], owner: str | None = None
) -> list[Record]:
    """Append several records of one kind, in this order; the head moves once, to the last of them."""
    head, made = hold(desk, session_id), list[Record]()
    for body in bodies:
        covered = canonical(_without_words(desk, session_id, body, owner)).decode()
        bare = Record(session_id, head.sequence + 1, desk.now(), kind, covered, "")
        made.append(replace(bare, hash=hash_of(head.hash, bare)))
        head = Head(made[-1].sequence, made[-1].hash)
    desk.add(records, *map(flat, made))
    desk.change(_MOVE_HEAD, session=session_id, sequence=head.sequence, hash=head.hash)
    desk.heads[session_id] = head.sequence, head.hash
    desk.moved[f"session {session_id}"] = End(head.sequence, head.hash, made[-1].at)
    return made


def _without_words(desk: Desk, session_id: str, body: Mapping[str, Any], owner: str | None) -> dict[str, Any]:
    kept = dict(body)
    for name in sorted(PERSONAL & body.keys()):
        kept[name] = _laid_beside(desk, session_id, body[name], owner)
    if NAMED in body:
        named_things = sorted(body[NAMED].items())
        kept[NAMED] = {subject: _laid_beside(desk, session_id, text, None) for subject, text in named_things}
    return kept


def _laid_beside(desk: Desk, session_id: str, text: str, owner: str | None) -> dict[str, str]:
    salt = secrets.token_hex(16)
    mark = salted(salt, text)
    row = {"session_id": session_id, "panelist_id": owner, "salt": salt, "text": text}
    desk.add(personal_texts, row | {"digest": mark})
    return {_DIGEST: mark}
