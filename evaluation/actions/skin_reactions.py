"""Reactions, what the conductor decides about their materials, advice of somebody qualified, and stops explained."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from evaluation.errors import ArgumentError, StateError
from evaluation.ground import checks
from evaluation.skin import (
    Advice,
    Explained,
    GoAhead,
    Material,
    Reaction,
    Unwell,
    held,
    unexplained,
)
from evaluation.store import Notebook, Transaction


@dataclass(frozen=True, slots=True)
class ToDecide:
    """Materials somebody's skin reacted to that wait: for everybody until the conductor decides, or for that person."""

    reaction: Reaction
    alias: str  # "" where the person was erased
    for_all: tuple[Material, ...]  # wait for the conductor's decision
    for_one: tuple[Material, ...]  # wait for an advice about this person
    unknown: bool  # the formula that was on is not known: any material may be what it was


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the skin log, with names in place of ids."""

    kind: str
    who: str
    said: dict[str, Any]
    at: int


def reactions(notebook: Notebook) -> tuple[ToDecide, ...]:
    """Every reaction on record, oldest first, with what waits because of it; nothing waits where all was decided."""
    with notebook.reading() as tx:
        materials = {one.id: one for one in tx.skin.materials()}
        advice, go_aheads = tx.reactions.advice(), tx.reactions.go_aheads()
        found = []
        for one in tx.reactions.all():
            mine = [each for each in advice if each.panelist_id == one.panelist_id]
            alias = "" if one.panelist_id is None else tx.book.panelist(one.panelist_id).alias
            every = [materials[each] for each in _offered(one, materials) if each in materials]
            waits = _named(every, one, go_aheads)
            alone = () if one.panelist_id is None else _named(every, one, mine)
            found.append(ToDecide(one, alias, waits, alone, one.material_ids is None))
    return tuple(found)


def _offered(reaction: Reaction, materials: Iterable[str]) -> list[str]:
    """Where the formula is not known, any material may have been what somebody reacted to."""
    return sorted(materials if reaction.material_ids is None else reaction.material_ids)


def _named(
    every: Iterable[Material], reaction: Reaction, lifts: Sequence[Advice] | Sequence[GoAhead]
) -> tuple[Material, ...]:
    still = [one for one in every if held(frozenset({one.id}), [reaction], lifts)]
    return tuple(sorted(still, key=lambda one: one.name.casefold()))


def report(notebook: Notebook, panelist_id: str, trial_ids: Sequence[str], note: str = "") -> Reaction:
    """Somebody tells of a reaction to these trials outside ballot and reading: it counts from now, like any other."""
    if not trial_ids:
        raise ArgumentError("trials must name at least one that was on this person’s skin.")
    with notebook.writing() as tx:
        tx.book.panelist(panelist_id)
        for one in trial_ids:
            tx.book.trial(one)
        known = tx.reactions.materials_of(trial_ids)
        told = Reaction(panelist_id, known, tx.clock.now(), tuple(trial_ids), note=note.strip())
        tx.reactions.add(told)
    return told


def decide(notebook: Notebook, material_ids: Sequence[str], reason: str) -> GoAhead:
    """Decide, with a reason, that these materials may be applied to others again; whoever reacted needs an advice."""
    said = checks.reason("reason", reason)
    with notebook.writing() as tx:
        waits = _waiting(tx, material_ids, tx.reactions.all(), tx.reactions.go_aheads())
        go_ahead = GoAhead(waits, said, tx.clock.now())
        tx.reactions.decide(go_ahead)
    return go_ahead


def advise(
    notebook: Notebook,
    panelist_id: str,
    material_ids: Sequence[str],
    who: str,
    given_on: date | None,
    note: str = "",
    zone: str = "UTC",
) -> Advice:
    """Write down an advice of somebody qualified: who, when, and which materials may come on this person's skin again.

    It lifts exactly those, and only of reactions before it. ``zone``: in which the day it was given is meant.
    """
    said = checks.reason("who advised", who, 200)
    with notebook.writing() as tx:
        mine = [one for one in tx.reactions.all() if one.panelist_id == panelist_id]
        own = [one for one in tx.reactions.advice() if one.panelist_id == panelist_id]
        named = _waiting(tx, material_ids, mine, own)
        spoken = [one.at for one in mine if one.material_ids is None or one.material_ids & named]
        _check_day(given_on, max(spoken), tx.clock.now(), zone)
        assert given_on is not None
        advice = Advice(panelist_id, named, said, given_on, tx.clock.now(), note.strip())
        tx.reactions.advise(advice)
    return advice


def _waiting(
    tx: Transaction, material_ids: Sequence[str], mine: Sequence[Reaction], lifts: Sequence[Advice] | Sequence[GoAhead]
) -> frozenset[str]:
    """These materials, if each of them waits because of one of these reactions."""
    if not material_ids:
        raise ArgumentError("materials must name at least one that waits.")
    for one in material_ids:
        if not held(frozenset({one}), mine, lifts):
            raise ArgumentError(f"materials must be ones that wait, and {tx.skin.material(one).name!r} does not.")
    return frozenset(material_ids)


def _check_day(given_on: date | None, reacted_at: int, now: int, zone: str) -> None:
    if given_on is None or not _local(reacted_at, zone) <= given_on <= _local(now, zone):
        raise ArgumentError(
            f"day of the advice must be given, from {_local(reacted_at, zone)}, when the skin reacted, to today"
            f"{'' if given_on is None else f', not {given_on}'}."
        )


def _local(instant: int, zone: str) -> date:
    return datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone)).date()


def stopped(notebook: Notebook, panelist_ids: Iterable[str]) -> tuple[Unwell, ...]:
    """The latest stop of each of these people that was no reaction and that nobody has written about."""
    with notebook.reading() as tx:
        unwell, explained = tx.reactions.unwell(), tx.reactions.explained()
    found = (unexplained(one, unwell, explained) for one in panelist_ids)
    return tuple(one for one in found if one is not None)


def explain(notebook: Notebook, panelist_id: str, reason: str) -> None:
    """Write down what a stop without a reaction was, and why skin may go on."""
    said = checks.reason("reason", reason)
    with notebook.writing() as tx:
        if unexplained(panelist_id, tx.reactions.unwell(), tx.reactions.explained()) is None:
            raise StateError("This person has no stop that waits for a reason.")
        tx.reactions.explain(Explained(panelist_id, said, tx.clock.now()))


def log(notebook: Notebook) -> tuple[Line, ...]:
    """All that was seen, said and decided of skin, newest first, with names in place of ids."""
    with notebook.reading() as tx:
        names = {one.id: one.name for one in tx.skin.materials()}
        found = []
        for kind, who, said, at in tx.reactions.lines():
            alias = tx.book.panelist(who).alias if who else ""
            listed = said.get("materials")
            told = said | ({"materials": [names.get(one, one) for one in listed]} if listed is not None else {})
            found.append(Line(kind, alias, told, at))
    return tuple(reversed(found))
