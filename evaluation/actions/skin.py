"""Skin: materials and limits, formulas, what people say, patch tests, barred trials, stops and the emergency."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from evaluation import checks
from evaluation.actions import book
from evaluation.actions.bench import vials_of
from evaluation.actions.skin_gate import gates_of, refuse_shut
from evaluation.blinding import CODES
from evaluation.errors import ArgumentError, StateError
from evaluation.sessions import SKIN
from evaluation.skin import (
    BARRED,
    PATCH_SITES,
    RETURNED,
    UNREAD,
    Bar,
    FormulaLine,
    Gate,
    Material,
    Patch,
    SkinFacts,
    SkinLimit,
    shares,
)
from evaluation.store import Notebook, Transaction, new_id
from evaluation.trials import Trial


@dataclass(frozen=True, slots=True)
class SeatStop:
    """Somebody stopped, by the alias the bench calls them."""

    seat: int
    alias: str
    kind: str
    at: int


@dataclass(frozen=True, slots=True)
class BeforeSeat:
    """What one code of a seat is: shown in an emergency only."""

    code: str
    medium: str
    site: str  # "" on a strip
    trial: str
    strength_percent: Decimal | None  # of the solution
    materials: tuple[tuple[str, Decimal | None], ...]  # with the percent each makes up of what was applied


# --- materials, limits, formulas ----------------------------------------------------------------------------------


def materials(notebook: Notebook) -> tuple[Material, ...]:
    with notebook.reading() as tx:
        return tx.skin.materials()


def limits(notebook: Notebook) -> tuple[SkinLimit, ...]:
    with notebook.reading() as tx:
        return tx.skin.limits()


def lines(notebook: Notebook, trial_id: str) -> tuple[FormulaLine, ...]:
    with notebook.reading() as tx:
        return tx.skin.lines(trial_id)


def add_material(
    notebook: Notebook,
    name: str,
    volatility: str = "",
    natural: bool = False,
    phototoxic: bool = False,
    note: str = "",
    limit: tuple[Decimal, str, date, str] | None = None,
) -> Material:
    """Enter something formulas are made of, with its ``limit`` as ``add_limit`` takes it, or neither of both."""
    now = notebook.clock.now()
    material = Material(new_id(), name.strip(), volatility, natural, phototoxic, note.strip(), now)
    with notebook.writing() as tx:
        tx.skin.add_material(material)
        if limit is not None:
            percent, document, dated_on, kind_of_use = limit
            tx.skin.add_limit(SkinLimit(material.id, percent, document.strip(), dated_on, kind_of_use, now))
    return material


def change_material(notebook: Notebook, material_id: str, **fields: Any) -> Material:
    """Correct a material's name, class or marks."""
    with notebook.writing() as tx:
        material = replace(tx.skin.material(material_id), **fields)
        tx.skin.replace_material(material)
    return material


def add_limit(
    notebook: Notebook, material_id: str, percent: Decimal, document: str, dated_on: date, kind_of_use: str
) -> SkinLimit:
    """Enter a limit as its safety document has it; the one entered last counts, none is changed."""
    limit = SkinLimit(material_id, percent, document.strip(), dated_on, kind_of_use, notebook.clock.now())
    with notebook.writing() as tx:
        tx.skin.add_limit(limit)
    return limit


def write_lines(
    notebook: Notebook, trial_id: str, typed: Sequence[tuple[str, Decimal, Decimal]]
) -> tuple[FormulaLine, ...]:
    """Write a trial's formula: material id, share of the formula and strength of the stock, both in percent.

    It stays as it was once the trial has been on somebody's skin: patch and session speak of what was put on.
    """
    with notebook.writing() as tx:
        trial = tx.book.trial(trial_id)
        _check_unworn(tx, trial)
        listed = tuple(FormulaLine(tx.skin.material(one), share, stock) for one, share, stock in typed)
        tx.skin.write_lines(trial_id, listed)
    return listed


def _check_unworn(tx: Transaction, trial: Trial) -> None:
    sessions = tx.sittings.sessions(trial.brief_id)
    worn = any(one.state != "draft" and SKIN in one.plan.media and trial.id in one.plan.trial_ids for one in sessions)
    if worn or tx.skin.patches(trial.id):
        raise StateError(
            f"Trial {trial.label} has been on skin: its formula lines stay as they were. Add a new trial instead."
        )


def set_strength(notebook: Notebook, trial_id: str, percent: Decimal | None) -> Trial:
    """Enter how strong the solution put on skin is; what was put on in a sealed session stays."""
    return book.change_trial(notebook, trial_id, skin_strength_percent=percent)


# --- people -------------------------------------------------------------------------------------------------------


def facts(notebook: Notebook, panelist_ids: Iterable[str]) -> dict[str, SkinFacts]:
    """What each of these people said last."""
    with notebook.reading() as tx:
        return tx.skin.facts(panelist_ids)


def record_facts(notebook: Notebook, panelist_id: str, **answers: bool) -> SkinFacts:
    """Write down a person's yes or no to consent and to each thing that keeps people off skin."""
    said = SkinFacts(panelist_id=panelist_id, at=notebook.clock.now(), **answers)
    with notebook.writing() as tx:
        if not tx.book.panelist(panelist_id).active:
            raise ArgumentError("person must be active on the panel page.")
        tx.skin.add_facts(said)
    return said


def forget(notebook: Notebook, panelist_id: str) -> None:
    """Delete what this person said about skin and health, and their patch tests."""
    with notebook.writing() as tx:
        tx.skin.forget(panelist_id)


# --- patch tests --------------------------------------------------------------------------------------------------


def patches(notebook: Notebook) -> tuple[Patch, ...]:
    with notebook.reading() as tx:
        return tx.skin.patches()


def put_on_patches(notebook: Notebook, panelist_id: str, trial_ids: Sequence[str]) -> tuple[Patch, ...]:
    """Begin the patch tests of these trials on one person, now: codes and sites are drawn, away from smelling sites.

    A patch is on skin too: all but the patch itself must be in order.
    """
    checks.whole("trials", len(set(trial_ids)), 1, len(PATCH_SITES))
    with notebook.writing() as tx:
        person = tx.book.panelist(panelist_id)
        shown = gates_of(tx, tuple(trial_ids), [person], "UTC")
        refuse_shut(_but_patches(one) for one in shown)
        drawn = _drawn(tx, person.id, tuple(trial_ids), notebook.clock.now())
        for patch in drawn:
            tx.skin.add_patch(patch)
    return tuple(sorted(drawn, key=lambda patch: patch.code))


def _but_patches(shown: Gate) -> Gate:
    """A reaction and what else waiting cannot mend stay; a patch that lacks is what is being put on."""
    lasting = tuple(one for one in shown.blocks if one.kind != "patch" or not shown.first_possible)
    return replace(shown, blocks=lasting)


def _drawn(tx: Transaction, panelist_id: str, trial_ids: tuple[str, ...], now: int) -> list[Patch]:
    known = tx.skin.patches()
    used = {one.code for one in known}
    busy = {one.site for one in known if one.panelist_id == panelist_id and now < one.read_until}
    sites = [site for site in PATCH_SITES if site not in busy]
    if len(sites) < len(trial_ids):
        raise StateError("There are patches on this person already: wait until their sites are free again.")
    random = secrets.SystemRandom()
    codes = random.sample([code for code in CODES if code not in used] or CODES, len(trial_ids))
    mixed = random.sample(sites, len(trial_ids))
    strengths = [tx.book.trial(one).skin_strength_percent for one in trial_ids]
    given = zip(trial_ids, codes, mixed, strengths, strict=True)
    return [
        Patch(new_id(), panelist_id, trial_id, code, site, strength, now)
        for trial_id, code, site, strength in given
        if strength is not None  # the gate has seen to it
    ]


def read_patch(notebook: Notebook, patch_id: str, result: str, note: str = "") -> Patch:
    """Write down what is seen now: clear from 48 to 96 hours on, a reaction at any time."""
    checks.choice("result", result, ("clear", "reaction"))
    with notebook.writing() as tx:
        return tx.skin.read_patch(patch_id, result, tx.clock.now(), note.strip())


def unread(listed: Iterable[Patch]) -> tuple[Patch, ...]:
    """Those that wait to be read."""
    return tuple(one for one in listed if one.result == UNREAD)


# --- barred trials ------------------------------------------------------------------------------------------------


def bars(notebook: Notebook, trial_ids: Iterable[str]) -> dict[str, Bar]:
    """The latest word on each trial that was ever taken off skin."""
    with notebook.reading() as tx:
        return {bar.trial_id: bar for bar in tx.skin.bars(trial_ids)}


def take_off(notebook: Notebook, trial_id: str, reason: str) -> None:
    """Bar a trial from skin for everybody."""
    _bar(notebook, trial_id, BARRED, reason)


def let_back(notebook: Notebook, trial_id: str, reason: str) -> None:
    """Let a barred trial return, with the reason why it may."""
    with notebook.reading() as tx:
        known = tx.skin.bars([trial_id])
    if not known or known[-1].kind != BARRED:
        raise StateError("This trial is not barred from skin.")
    _bar(notebook, trial_id, RETURNED, reason)


def _bar(notebook: Notebook, trial_id: str, kind: str, reason: str) -> None:
    said = checks.text("reason", reason, 400)
    with notebook.writing() as tx:
        tx.skin.bar(Bar(trial_id, None, kind, said, tx.clock.now()))


# --- at the table -------------------------------------------------------------------------------------------------


def stops(notebook: Notebook, session_id: str) -> tuple[SeatStop, ...]:
    """Who stopped, newest first: cheap enough to ask every few seconds."""
    with notebook.reading() as tx:
        found = tx.live.stops(session_id)
        people = {one.seat: one.panelist_id for one in tx.ballots.ballots(session_id)} if found else {}
        aliases = {seat: tx.book.panelist(who).alias for seat, who in people.items() if who is not None}
    return tuple(SeatStop(one.seat, aliases.get(one.seat, ""), one.kind, one.at) for one in reversed(found))


def emergency(notebook: Notebook, session_id: str, seat: int) -> tuple[BeforeSeat, ...]:
    """What one person has on the skin or before them, by code, with its materials. Logged; that seat is unblinded."""
    with notebook.writing() as tx:
        key = tx.key.seat_in_emergency(session_id, seat)
        plan = tx.sittings.session(session_id).plan
        served = [one for one in tx.sittings.servings(session_id, seat) if not one.spare]
        trial_of = dict(zip(vials_of(plan), plan.trial_ids * 2, strict=False))
        known = {one: (tx.book.trial(one), tx.skin.lines(one)) for one in plan.trial_ids}
    found: dict[str, BeforeSeat] = {}
    for one in sorted(served, key=lambda s: (s.medium != SKIN, s.place)):
        sites = one.sites or ("",) * len(one.codes)
        for code, site, letter in zip(one.codes, sites, key.order(one.id), strict=True):
            trial, own = known[trial_of[letter]]
            found[code] = _before(code, one.medium, site, trial, own)
    return tuple(found.values())


def _before(code: str, medium: str, site: str, trial: Trial, own: tuple[FormulaLine, ...]) -> BeforeSeat:
    strength = trial.skin_strength_percent if medium == SKIN else trial.strength_percent
    made_of = tuple((share.material.name, share.percent) for share in shares(own, strength, ()))
    return BeforeSeat(code, medium, site, trial.label, strength, made_of)
