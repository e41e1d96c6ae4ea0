"""What was seen and said of skin, line by line and never changed: patches and their readings, reactions, decisions."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import Any, Final

from sqlalchemy import Row, delete, select, update

from evaluation.errors import StateError
from evaluation.formulas import read_number
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import decimal_of
from evaluation.skin import (
    Advice,
    Asked,
    Explained,
    GoAhead,
    Patch,
    Reaction,
    Reading,
    Unwell,
    Worn,
    known_materials,
)
from evaluation.skin.day_worn import DayWorn
from evaluation.store import kept_bottles, rows
from evaluation.store.desk import Desk
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.kept_formulas import gate_lines, whole_said

# Kinds of lines; one more, "materials merged", was written by a migration only.
PATCHED: Final = "patch put on"
READING: Final = "reading"
CANCEL: Final = "patch cancelled"
ASKED: Final = "asked what changed"
REACTED: Final = "reaction"
ADVISED: Final = "advice"
DECIDED: Final = "may be applied again"
STOPPED: Final = "stop explained"
CONFIRMED: Final = "limit confirmed"
WORN: Final = "worn for a day"
_FORGOTTEN: Final = "skin log forgotten"  # the setting that counts how often words were taken out of it


def append_line(desk: Desk, kind: str, body: Mapping[str, Any], at: int, panelist_id: str | None = None) -> None:
    """Append one line to the log of skin; only forgetting a person takes lines away or empties them."""
    line = {"kind": kind, "panelist_id": panelist_id, "body": canonical(body).decode(), "at": at}
    desk.add(rows.skin_log, line)
    desk.moved["skin"] = None


def lines_of(desk: Desk, *kinds: str) -> Iterator[tuple[Row[Any], dict[str, Any]]]:
    """Lines of these kinds with what they say, oldest first; all of them where no kind is named."""
    query = select(rows.skin_log).order_by(rows.skin_log.c.id)
    for row in desk.rows(query.where(rows.skin_log.c.kind.in_(kinds)) if kinds else query):
        yield row, _said(row)


@as_the_program_wrote()
def _said(row: Row[Any]) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(row.body)["value"]
    return body


def forget(desk: Desk, panelist_id: str, *, erased: bool = False) -> None:
    """No word of this person's stays, nor their patches, nor what had lifted a reaction of theirs.

    That they reacted, and to what, protects them: it stays without a note until they are erased. Then it stays as a
    reaction of nobody, which protects the others.
    """
    log = rows.skin_log
    desk.change(delete(log).where(log.c.panelist_id == panelist_id, log.c.kind != REACTED))
    desk.change(delete(rows.patches).where(rows.patches.c.panelist_id == panelist_id))
    for row, body in lines_of(desk, REACTED):
        if row.panelist_id == panelist_id:
            bare = canonical(body | {"note": ""}).decode()
            change = update(log).where(log.c.id == row.id)
            desk.change(change.values(panelist_id=None if erased else panelist_id, body=bare))
    _count_forgotten(desk)


def write_over(desk: Desk, number: int, body: Mapping[str, Any]) -> None:
    """Say something else in a line that stands, where words of it were struck; marks from before fit no more."""
    line = update(rows.skin_log).where(rows.skin_log.c.id == number)
    desk.change(line.values(body=canonical(body).decode()))
    _count_forgotten(desk)


def times_forgotten(desk: Desk) -> int:
    """How often lines were taken out on purpose: marks of the log from before say nothing any more."""
    row = desk.maybe(select(rows.settings.c.value).where(rows.settings.c.name == _FORGOTTEN))
    return 0 if row is None else int(row.value)


def _count_forgotten(desk: Desk) -> None:
    count = times_forgotten(desk) + 1
    desk.change(delete(rows.settings).where(rows.settings.c.name == _FORGOTTEN))
    desk.add(rows.settings, {"name": _FORGOTTEN, "value": str(count)})
    desk.moved["skin"] = None


class Patches:
    """Verbs on patch tests."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def add(self, patch: Patch, seen: Mapping[str, Any] | None = None) -> None:
        """Write a patch down with the formula as it is put on; ``seen``: what the gate saw, for the log."""
        self._desk.only_row(select(rows.panelists.c.id).where(rows.panelists.c.id == patch.panelist_id), "panelist")
        smelt = kept_bottles.smelt_as(self._desk, patch.trial_id)
        row = {name: getattr(patch, name) for name in ("id", "panelist_id", "code", "site", "applied_at")}
        row |= {"trial_id": smelt.trial_id, "bottle_id": smelt.id}
        formula = "" if patch.lines is None else canonical({"lines": patch.lines}).decode()
        self._desk.add(rows.patches, row | {"strength_percent": str(patch.strength_percent), "formula": formula})
        append_line(self._desk, PATCHED, {"patch": patch.id} | dict(seen or {}), patch.applied_at, patch.panelist_id)

    def hold(self, panelist_id: str) -> None:
        """Whoever else puts patches on this person waits until this transaction ends."""
        mine = select(rows.panelists.c.id).where(rows.panelists.c.id == panelist_id)
        self._desk.only_row(mine.with_for_update(), "panelist")

    def patch(self, patch_id: str) -> Patch:
        """The patch of this id with all its readings, or NotFound."""
        row = self._desk.only_row(select(rows.patches).where(rows.patches.c.id == patch_id), "patch")
        return next(iter(self._whole([row])))

    def all(self, trial_id: str | None = None) -> tuple[Patch, ...]:
        """All of them, or those of every bottle of one trial, oldest first."""
        query = select(rows.patches).order_by(rows.patches.c.applied_at, rows.patches.c.code)
        found = query if trial_id is None else query.where(rows.patches.c.trial_id == trial_id)
        return tuple(self._whole(self._desk.rows(found)))

    def read(self, patch_id: str, result: str, at: int, note: str = "") -> Patch:
        """Write down what was seen, if a reading of that kind may be made then."""
        before = self._held(patch_id)  # a reaction read at this moment is not passed by
        reading = before.check_reading(result, at, note)
        self._say(READING, before, {"result": result, "note": note}, at)
        return replace(before, readings=(*before.readings, reading))

    def cancel(self, patch_id: str, reason: str, at: int) -> Patch:
        """Give a patch up, with a reason: it opens nothing; a reaction to it is still taken."""
        before = self._held(patch_id)
        if before.cancelled_at is not None:
            raise StateError("This patch is cancelled already.")
        self._say(CANCEL, before, {"reason": reason}, at)
        return replace(before, cancelled_at=at)

    def ask(self, patch_id: str, changed: Iterable[str], at: int) -> Patch:
        """Write down what the conductor said has changed since this patch was put on."""
        before = self._held(patch_id)
        said = Asked(tuple(changed), at)
        self._say(ASKED, before, {"changed": said.changed}, at)
        return replace(before, asked=(*before.asked, said))

    def _held(self, patch_id: str) -> Patch:
        """The patch, kept from others until this transaction ends."""
        self._desk.only_row(select(rows.patches.c.id).where(rows.patches.c.id == patch_id).with_for_update(), "patch")
        return self.patch(patch_id)

    def _say(self, kind: str, patch: Patch, body: Mapping[str, Any], at: int) -> None:
        append_line(self._desk, kind, {"patch": patch.id} | dict(body), at, patch.panelist_id)

    def _whole(self, found: Iterable[Row[Any]]) -> Iterator[Patch]:
        readings: dict[str, list[Reading]] = {}
        asked: dict[str, list[Asked]] = {}
        gone: dict[str, int] = {}
        for row, body in lines_of(self._desk, READING, CANCEL, ASKED):
            if row.kind == READING:
                readings.setdefault(body["patch"], []).append(Reading(body["result"], row.at, body["note"]))
            elif row.kind == ASKED:
                asked.setdefault(body["patch"], []).append(Asked(tuple(body["changed"]), row.at))
            else:
                gone[body["patch"]] = row.at
        for row in found:
            told = (tuple(readings.get(row.id, ())), tuple(asked.get(row.id, ())), gone.get(row.id))
            yield _patch_of(row, *told)


class Reactions:
    """Verbs on reactions, stops, and what may lift them."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def add(self, reaction: Reaction) -> None:
        """Write down a reaction; it stays, also when the person's answers are forgotten."""
        body = {
            "materials": _listed(reaction.material_ids),
            "trials": reaction.trial_ids,
            "session": reaction.session_id,
            "patch": reaction.patch_id,
            "note": reaction.note,
        }
        append_line(self._desk, REACTED, body, reaction.at, reaction.panelist_id)

    def after_stop(self, session_id: str, panelist_id: str | None, trial_ids: tuple[str, ...]) -> None:
        """Somebody stopped on skin: whatever the session's trials are made of is what they reacted to."""
        self.add(Reaction(panelist_id, self.materials_of(trial_ids), self._desk.now(), trial_ids, session_id))

    def materials_of(self, trial_ids: Iterable[str]) -> frozenset[str] | None:
        """What these trials are made of; None where the formula of one of them is not known."""
        found: set[str] = set()
        for trial_id in trial_ids:
            known = known_materials(gate_lines(self._desk, trial_id)) if whole_said(self._desk, trial_id) else None
            if known is None:
                return None
            found |= known
        return frozenset(found)

    def all(self) -> tuple[Reaction, ...]:
        """Every reaction written down, oldest first, those lifted since included."""
        return tuple(_reaction_of(row, body) for row, body in lines_of(self._desk, REACTED))

    def advise(self, advice: Advice) -> None:
        """Write down which materials somebody qualified allowed on this person's skin again."""
        body = {"materials": _listed(advice.material_ids), "who": advice.who, "given_on": advice.given_on}
        append_line(self._desk, ADVISED, body | {"note": advice.note}, advice.at, advice.panelist_id)

    def advice(self) -> tuple[Advice, ...]:
        """All advice written down, oldest first; whether it still lifts a reaction is for the gate to say."""
        return tuple(
            Advice(
                row.panelist_id,
                frozenset(body["materials"]),
                body["who"],
                date.fromisoformat(body["given_on"]),
                row.at,
                body["note"],
            )
            for row, body in lines_of(self._desk, ADVISED)
        )

    def decide(self, go_ahead: GoAhead) -> None:
        """Write down which materials the conductor allows on others again than the one who reacted."""
        body = {"materials": _listed(go_ahead.material_ids), "reason": go_ahead.reason}
        append_line(self._desk, DECIDED, body, go_ahead.at)

    def go_aheads(self) -> tuple[GoAhead, ...]:
        """All decisions to allow materials again, oldest first."""
        found = lines_of(self._desk, DECIDED)
        return tuple(GoAhead(frozenset(body["materials"]), body["reason"], row.at) for row, body in found)

    def unwell(self) -> tuple[Unwell, ...]:
        """Who stopped a session without a reaction, oldest first."""
        stops, ballots = rows.stops, rows.ballots
        query = select(ballots.c.panelist_id, stops.c.session_id, stops.c.at)
        joined = query.join(ballots, ballots.c.id == stops.c.ballot_id)
        mine = joined.where(stops.c.kind == "unwell", ballots.c.panelist_id.is_not(None))
        return tuple(
            Unwell(row.panelist_id, row.session_id, row.at)
            for row in self._desk.rows(mine.order_by(stops.c.at, stops.c.id))
        )

    def explain(self, said: Explained) -> None:
        """Write down what a stop without a reaction was."""
        append_line(self._desk, STOPPED, {"reason": said.reason}, said.at, said.panelist_id)

    def explained(self) -> tuple[Explained, ...]:
        """What stops without a reaction were said to be, oldest first."""
        found = lines_of(self._desk, STOPPED)
        return tuple(Explained(row.panelist_id, body["reason"], row.at) for row, body in found)

    def wear(self, worn: DayWorn) -> None:
        """Write down that somebody wore a trial for a day."""
        append_line(self._desk, WORN, {"trial": worn.trial_id, "found": worn.found}, worn.at, worn.panelist_id)

    def days_worn(self) -> tuple[DayWorn, ...]:
        """Every day a trial was worn, oldest first, as far as nobody took it back."""
        found = lines_of(self._desk, WORN)
        return tuple(DayWorn(row.panelist_id, body["trial"], body["found"], row.at) for row, body in found)

    def lines(self) -> tuple[tuple[str, str | None, dict[str, Any], int], ...]:
        """Every line as it stands: kind, person, what it says, when; oldest first."""
        return tuple((row.kind, row.panelist_id, body, row.at) for row, body in lines_of(self._desk))


def _listed(material_ids: frozenset[str] | None) -> list[str] | None:
    return None if material_ids is None else sorted(material_ids)


@as_the_program_wrote()
def _reaction_of(row: Row[Any], body: dict[str, Any]) -> Reaction:
    known = None if body["materials"] is None else frozenset(body["materials"])
    more = (tuple(body["trials"]), body["session"], body["patch"], body["note"])
    return Reaction(row.panelist_id, known, row.at, *more)


@as_the_program_wrote()
def _patch_of(row: Row[Any], readings: tuple[Reading, ...], asked: tuple[Asked, ...], gone: int | None) -> Patch:
    listed = json.loads(row.formula)["value"]["lines"] if row.formula else None
    lines = (
        None
        if listed is None
        else tuple(
            Worn(
                one["material_id"], read_number(one["share_percent"]), decimal_of("stock percent", one["stock_percent"])
            )
            for one in listed
        )
    )
    return Patch(
        row.id,
        row.panelist_id,
        row.bottle_id or row.trial_id,
        row.code,
        row.site,
        decimal_of("strength percent", row.strength_percent),
        row.applied_at,
        lines,
        readings,
        asked,
        gone,
    )
