"""What a brief wants rated, and what it aims at: lists of descriptors and targets, written anew at every change."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeVar

from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import decimal_of
from evaluation.store import Notebook
from evaluation.values.briefs import MOST_TARGETS, Target
from evaluation.values.descriptors import Descriptor, check_list

DESCRIPTORS: Final = "descriptors"
TARGETS: Final = "targets"

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Opened:
    """A session whose findings were there to be seen from ``opened_at`` on."""

    session_id: str
    title: str
    opened_at: int


@dataclass(frozen=True, slots=True)
class Aims:
    """Targets as they stood from one moment on."""

    written_at: int
    targets: tuple[Target, ...]


def descriptors(notebook: Notebook, brief_id: str) -> tuple[Descriptor, ...]:
    """The list a brief has now; empty before one is saved."""
    written = _sheets(notebook, brief_id, DESCRIPTORS)
    return _read(written[-1][1], _descriptor) if written else ()


def save_descriptors(notebook: Notebook, brief_id: str, listed: Sequence[Descriptor]) -> None:
    """Write the list anew; sealed plans keep the one they were sealed with."""
    check_list(listed)
    _write(notebook, brief_id, DESCRIPTORS, listed)


def targets(notebook: Notebook, brief_id: str) -> Aims | None:
    """What a brief aims at now, and since when; None before anything is saved."""
    written = history(notebook, brief_id)
    return written[-1] if written else None


def history(notebook: Notebook, brief_id: str) -> tuple[Aims, ...]:
    """Every set of targets, oldest first: whoever changes them after a session was opened can be seen to."""
    return tuple(Aims(at, _read(body, _target)) for at, body in _sheets(notebook, brief_id, TARGETS))


def save_targets(notebook: Notebook, brief_id: str, listed: Sequence[Target]) -> None:
    """Write the targets anew; what was aimed at before is kept with its date."""
    if len(listed) > MOST_TARGETS:
        raise ArgumentError(f"targets must be at most {MOST_TARGETS}, not {len(listed)}.")
    moments = [(one.descriptor.casefold(), one.minutes, one.kind) for one in listed]
    if len(set(moments)) != len(moments):
        raise ArgumentError("targets must name each descriptor, moment and kind once.")
    _write(notebook, brief_id, TARGETS, listed)


def opened_before(notebook: Notebook, brief_id: str, instant: int) -> tuple[Opened, ...]:
    """Sessions of the brief that were open when something was written: it was not written blind."""
    with notebook.reading() as tx:
        found = [
            Opened(session.id, session.plan.title, record.at)
            for session in tx.sittings.sessions(brief_id)
            if session.state == "opened"
            for record in tx.log.records(session.id)
            if record.kind == "open"
        ]
    return tuple(sorted((one for one in found if one.opened_at <= instant), key=lambda one: one.opened_at))


def _sheets(notebook: Notebook, brief_id: str, kind: str) -> tuple[tuple[int, str], ...]:
    with notebook.reading() as tx:
        return tx.book.sheets(brief_id, kind)


def _write(notebook: Notebook, brief_id: str, kind: str, listed: Sequence[Descriptor] | Sequence[Target]) -> None:
    with notebook.writing() as tx:
        tx.book.write_sheet(brief_id, kind, canonical(tuple(listed)).decode())


def _read(body: str, make: Callable[[Mapping[str, Any]], T]) -> tuple[T, ...]:
    return tuple(make(one) for one in json.loads(body)["value"])


def _descriptor(fields: Mapping[str, Any]) -> Descriptor:
    return Descriptor(**fields)


def _target(fields: Mapping[str, Any]) -> Target:
    numbers = ("value", "minutes", "weight")
    read = {name: None if fields[name] is None else decimal_of(name, fields[name]) for name in numbers}
    return Target(**{**fields, **read})
