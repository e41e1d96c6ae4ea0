"""Rows to frozen values and back; nothing is lost on the way."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import fields
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import Row

from evaluation.ground import checks
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import decimal_of
from evaluation.ground.terms import medium_of
from evaluation.kinds import Separation
from evaluation.sessions import (
    DEVIATIONS,
    STATES,
    Answer,
    Ballot,
    Deviation,
    Plan,
    Record,
    Seat,
    Serving,
    Session,
    StripAge,
)
from evaluation.store.engine import as_the_program_wrote
from evaluation.values.bottles import Bottle
from evaluation.values.briefs import Brief
from evaluation.values.descriptors import Descriptor
from evaluation.values.people import Panelist
from evaluation.values.second_strips import SecondStrip
from evaluation.values.trials import STORED, Trial, bottle_name

ERASED = "erased"


def flat(value: Any) -> dict[str, Any]:
    """The fields of a frozen value by name."""
    return {field.name: getattr(value, field.name) for field in fields(value)}


# --- plans ----------------------------------------------------------------------------------------------------


def plan_text(plan: Plan) -> str:
    """The plan as canonical JSON."""
    return canonical(plan).decode()


@as_the_program_wrote()
def plan_of(text: str) -> Plan:
    """The plan written by ``plan_text``, by the reader of the version it was written in."""
    return _read_plan(text)


@lru_cache(maxsize=64)
def _read_plan(text: str) -> Plan:
    """The same text is the same value, and every tap of every phone asks for it; the text comes from the store."""
    body = json.loads(text)
    return _READERS[checks.choice("version of a sealed plan", body["version"], tuple(_READERS))](body["value"])


def _flat_plan(value: dict[str, Any]) -> Plan:
    """Version 1: all kinds with the same fields; a field added since keeps its old meaning."""
    for name in ("alpha", "beta", "pd"):
        value[name] = decimal_of(name, value[name])
    if "size" in value:
        value["size"] = decimal_of("size", value["size"])
    for name in ("left_out", "confirmed", "other_trial_ids", "expected_order", "sureness_weights", "asked_pairs"):
        value[name] = tuple(value.get(name, ()))
    for name in ("ages", "skin_ages"):
        value[name] = tuple(StripAge(**age) for age in value.get(name, ()))
    value["descriptors"] = tuple(Descriptor(**one) for one in value.get("descriptors", ()))
    if "second_strips" in value:
        value["second_strips"] = tuple(_second_strip(**one) for one in value["second_strips"])
    if value.get("separation"):
        value["separation"] = _separation(**value["separation"])
    value["seats"] = tuple(Seat(**seat) for seat in value["seats"])
    return Plan.of(**value)


def _second_strip(material: str, percent: str) -> SecondStrip:
    return SecondStrip(material, decimal_of("percent of a second strip", percent))


def _separation(changes: list[str], made: list[str], likely: list[str], interactions: bool) -> Separation:
    return Separation(tuple(changes), tuple(made), tuple(likely), interactions)


_READERS: Final[Mapping[int, Callable[[dict[str, Any]], Plan]]] = MappingProxyType({1: _flat_plan})


# --- trial book and panel -------------------------------------------------------------------------------------


@as_the_program_wrote()
def brief_of(row: Row[Any]) -> Brief:
    """The brief a row holds."""
    return Brief(row.id, row.title, row.text, row.made_at)


_STRENGTHS: Final = ("strength_percent", "skin_strength_percent")


def trial_row(trial: Trial) -> dict[str, Any]:
    """A trial as columns, without what its first bottle is."""
    return {name: getattr(trial, name) for name in ("id", "brief_id", "label", "parent_id", "changed", "made_at")}


def bottle_row(bottle: Bottle) -> dict[str, Any]:
    """A bottle as columns; strengths are kept as text, exact."""
    given = flat(bottle)
    return given | {name: None if given[name] is None else str(given[name]) for name in _STRENGTHS}


@as_the_program_wrote()
def bottle_of(row: Row[Any]) -> Bottle:
    """The bottle a row holds, strengths exact."""
    values = dict(row._mapping)
    return Bottle(**values | _exact(row))


@as_the_program_wrote()
def trial_of(row: Row[Any]) -> Trial:
    """The trial a row of ``kept_bottles.SMELT`` holds, seen through a bottle of it."""
    further = row.id != row.trial_id
    label = bottle_name(row.label, row.mark) if further else row.label
    about = (row.id, row.brief_id, label, row.parent_id, row.changed)
    weighed = _exact(row)
    return Trial(
        *about,
        weighed["strength_percent"],
        row.mixed_on,
        row.diluted_on,
        row.batch,
        row.made_at,
        weighed["skin_strength_percent"],
        row.lots,
        weighed["stored"],
        row.trial_id if further else "",
    )


@as_the_program_wrote()
def bare_trial_of(row: Row[Any]) -> Trial:
    """The trial a row of its own table holds: nothing of any bottle."""
    return Trial(row.id, row.brief_id, row.label, row.parent_id, row.changed, None, None, None, "", row.made_at)


def _exact(row: Row[Any]) -> dict[str, Any]:
    weighed = {one: _strength(one, getattr(row, one)) for one in _STRENGTHS}
    return weighed | {"stored": checks.term("stored", row.stored, STORED)}


def _strength(name: str, told: str | None) -> Decimal | None:
    return None if told is None else decimal_of(name.replace("_", " "), told)


@as_the_program_wrote()
def panelist_of(row: Row[Any]) -> Panelist:
    """The person a row holds."""
    return Panelist(row.id, row.alias, row.note, row.active, row.made_at)


# --- sessions -------------------------------------------------------------------------------------------------


def plan_columns(plan: Plan) -> dict[str, Any]:
    """What the sessions table holds of a plan: the whole, and the brief; the trials are looked up."""
    return {
        "brief_id": plan.brief_id,
        "plan": plan_text(plan),
    }


def session_row(session: Session) -> dict[str, Any]:
    """A draft as columns: not sealed, whatever the session says of its hash."""
    fixed = {"id": session.id, "state": session.state, "made_at": session.made_at}
    return fixed | plan_columns(session.plan) | {"sealed_at": None, "sealed_hash": "", "commitment": ""}


@as_the_program_wrote()
def session_of(row: Row[Any]) -> Session:
    """The session a row holds; ArgumentError for a state this version does not know."""
    return Session(row.id, plan_of(row.plan), checks.term("state", row.state, STATES), row.made_at, row.sealed_hash)


def serving_row(serving: Serving, session_id: str, position: int) -> dict[str, Any]:
    """A set as columns, with its place in the draw of the whole session."""
    words = {"codes": " ".join(serving.codes), "sites": "; ".join(serving.sites)}
    words["dips"] = " ".join(map(str, serving.dips))
    return flat(serving) | {"session_id": session_id, "position": position} | words


@as_the_program_wrote()
def serving_of(row: Row[Any]) -> Serving:
    """The set a row holds; nothing in it says which trial lies behind a code."""
    return Serving(
        row.id,
        row.seat,
        row.place,
        row.age_seconds,
        row.replicate,
        tuple(row.codes.split()),
        spare=row.spare,
        void=row.void,
        medium=medium_of(row.medium),
        sites=tuple(row.sites.split("; ")) if row.sites else (),
        dips=tuple(map(int, row.dips.split())),
    )


def ballot_of(row: Row[Any]) -> Ballot:
    """The ballot a row holds, without the hash of its link."""
    return Ballot(row.id, row.session_id, row.seat, row.panelist_id, row.issue, row.finished_at)


@as_the_program_wrote()
def answer_of(row: Row[Any]) -> Answer:
    """``row`` carries the personal text beside the answer; once that is erased, the value is empty."""
    value = row.value if row.text_digest is None else row.text or ""
    return Answer(row.ballot_id, row.serving_id, row.question, value, row.at)


@as_the_program_wrote()
def deviation_of(row: Row[Any]) -> Deviation:
    """The deviation a row holds, with the words that stand for an erased person's."""
    return Deviation(row.serving_id, row.seat, checks.term("kind", row.kind, DEVIATIONS), row.text or ERASED, row.at)


def record_of(row: Row[Any]) -> Record:
    """The record a row holds, its hash unchecked."""
    return Record(row.session_id, row.sequence, row.at, row.kind, row.body, row.hash)
