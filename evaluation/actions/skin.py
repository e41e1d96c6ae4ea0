"""Skin: materials and limits, formulas, what people say, patch tests, barred trials, stops and the emergency."""

from __future__ import annotations

import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from evaluation.actions import book, bottle_book
from evaluation.actions.bench import vials_of
from evaluation.actions.sitting import aliases
from evaluation.actions.skin_gate import gates_of, refuse_shut, trials_seen
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import Exact
from evaluation.ground import checks
from evaluation.serving.blinding import CODES
from evaluation.sessions import SKIN, Medium
from evaluation.skin import (
    BARRED,
    CANCELLED,
    CLEAR,
    PATCH_SITES,
    REACTION,
    READ,
    RETURNED,
    WAITING,
    Bar,
    FormulaLine,
    Gate,
    Material,
    Patch,
    Reaction,
    SkinFacts,
    SkinLimit,
    known_materials,
    shares,
    worn,
)
from evaluation.store import Notebook, Transaction, new_id
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial


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
    medium: Medium
    site: str  # "" on a strip
    trial: str
    strength_percent: Decimal | None  # of the solution
    materials: tuple[tuple[str, Exact | None], ...]  # with the percent each makes up of what was applied


# --- materials, limits, formulas ----------------------------------------------------------------------------------


def materials(notebook: Notebook) -> tuple[Material, ...]:
    """Every material entered, by name."""
    with notebook.reading() as tx:
        return tx.skin.materials()


def limits(notebook: Notebook) -> tuple[SkinLimit, ...]:
    """Every limit ever entered, oldest first: the latest of a material and a kind of use counts."""
    with notebook.reading() as tx:
        return tx.skin.limits()


def lines(notebook: Notebook, trial_id: str) -> tuple[FormulaLine, ...]:
    """The formula of a trial, line by line as it was typed; none where none was entered."""
    with notebook.reading() as tx:
        return tx.skin.lines(trial_id)


def add_material(
    notebook: Notebook,
    name: str,
    volatility: str = "",
    natural: bool = False,
    phototoxic: bool = False,
    note: str = "",
    solvent: bool = False,
    minutes: tuple[int, int] | None = None,
    limit: tuple[Decimal, str, date, str] | None = None,
) -> Material:
    """Enter something formulas are made of, with its ``limit`` as ``add_limit`` takes it, or neither of both."""
    now = notebook.clock.now()
    material = Material(new_id(), name.strip(), volatility, natural, phototoxic, note.strip(), now, solvent, minutes)
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


def confirm_limit(notebook: Notebook, number: int, who: str) -> None:
    """Somebody looked and found the document of this limit still current; dated and logged."""
    said = checks.reason("who looked", who, 200)
    with notebook.writing() as tx:
        tx.skin.confirm_limit(number, said, tx.clock.now())


def set_strength(notebook: Notebook, trial_id: str, percent: Decimal | None) -> Trial:
    """Enter how strong the solution put on skin is; what was put on in a sealed session stays."""
    bottle_book.change_bottle(notebook, trial_id, skin_strength_percent=percent)
    return book.trial(notebook, trial_id)


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
    """Delete what this person said about skin and health, and their patch tests; that they reacted stays."""
    with notebook.writing() as tx:
        tx.skin.forget(panelist_id)


# --- patch tests --------------------------------------------------------------------------------------------------


def patches(notebook: Notebook) -> tuple[Patch, ...]:
    """Every patch test, oldest first, the cancelled ones included."""
    with notebook.reading() as tx:
        return tx.patches.all()


def put_on_patches(
    notebook: Notebook, panelist_id: str, trial_ids: Sequence[str], zone: str = "UTC"
) -> tuple[Patch, ...]:
    """Begin the patch tests of these trials on one person, now: codes and sites are drawn, away from smelling sites.

    A patch is on skin too: all but the patch itself must be in order. It is put on at the strength to be worn, and
    only where none speaks: each patch is an exposure.
    """
    if not 1 <= len(set(trial_ids)) <= len(PATCH_SITES):
        raise ArgumentError(f"trials must be 1 to {len(PATCH_SITES)} that lack a patch, not {len(set(trial_ids))}.")
    with notebook.writing() as tx:
        tx.patches.hold(panelist_id)  # two windows: the second sees the patches of the first
        person, now = tx.book.panelist(panelist_id), tx.clock.now()
        known = tx.patches.all()
        _refuse_second(tx, person, trial_ids, known, now)
        shown = gates_of(tx, tuple(trial_ids), [person], zone)
        refuse_shut(_but_patches(one) for one in shown)
        _refuse_needless(person, shown)
        drawn = _drawn(tx, person.id, tuple(trial_ids), known, now)
        seen = {one.trial_id: trials_seen([one])[0] for one in shown}
        for patch in drawn:
            tx.patches.add(patch, {"seen": seen[patch.trial_id]})
    return tuple(sorted(drawn, key=lambda patch: patch.code))


def _refuse_second(
    tx: Transaction, person: Panelist, trial_ids: Sequence[str], known: Iterable[Patch], now: int
) -> None:
    for one in known:
        mine = one.panelist_id == person.id and one.trial_id in trial_ids
        if mine and one.standing(now).kind in WAITING:
            raise StateError(
                f"{person.alias} has a patch of trial {tx.book.trial(one.trial_id).label} that waits to be read (code "
                f"{one.code}): read it, or cancel it with a reason, before another is put on."
            )


def _but_patches(shown: Gate) -> Gate:
    """A patch that lacks is what is being put on; everything else must be in order."""
    return replace(shown, blocks=tuple(one for one in shown.blocks if one.kind != "patch"))


def _refuse_needless(person: Panelist, shown: Iterable[Gate]) -> None:
    for one in shown:
        if one.open:
            raise StateError(
                f"{person.alias} has a clear patch of trial {one.label} that still speaks: each patch is an exposure, "
                "so another is put on only where something has changed."
            )


def _drawn(
    tx: Transaction, panelist_id: str, trial_ids: tuple[str, ...], known: Iterable[Patch], now: int
) -> list[Patch]:
    used = {one.code for one in known}
    random = secrets.SystemRandom()
    codes = random.sample([code for code in CODES if code not in used] or CODES, len(trial_ids))
    sites = _free_sites([one for one in known if one.panelist_id == panelist_id], now, random)
    if len(sites) < len(trial_ids):
        raise StateError("There are patches on this person already: wait until their sites are free again.")
    given = zip(trial_ids, codes, sites, strict=False)
    return [_put_on(tx, new_id(), panelist_id, trial_id, code, site, now) for trial_id, code, site in given]


def _free_sites(mine: Iterable[Patch], now: int, random: secrets.SystemRandom) -> list[str]:
    """Sites in drawn order: a place is free once its patch is clear twice or a week old; cancelled ones come last."""
    young = [(one.site, one.standing(now).kind) for one in mine if now < one.report_until]
    busy = {site for site, kind in young if kind not in (READ, CANCELLED)}
    given_up = {site for site, kind in young if kind == CANCELLED}
    free = [site for site in PATCH_SITES if site not in busy]
    random.shuffle(free)
    return sorted(free, key=lambda site: site in given_up)


def _put_on(tx: Transaction, patch_id: str, panelist_id: str, trial_id: str, code: str, site: str, now: int) -> Patch:
    strength = tx.book.trial(trial_id).skin_strength_percent
    assert strength is not None  # the gate has seen to it
    return Patch(patch_id, panelist_id, trial_id, code, site, strength, now, worn(tx.skin.lines(trial_id)))


def read_patch(notebook: Notebook, patch_id: str, result: str, note: str = "") -> Patch:
    """Write down what is seen now: clear in the hours of the first and of the second reading, a reaction at any time.

    A reaction speaks of all materials that were put on.
    """
    checks.choice("result", result, (CLEAR, REACTION))
    with notebook.writing() as tx:
        now = tx.clock.now()
        read = tx.patches.read(patch_id, result, now, note.strip())
        if result == REACTION:
            known = known_materials(read.lines)
            about = (read.trial_id,)
            tx.reactions.add(Reaction(read.panelist_id, known, now, about, patch_id=patch_id, note=note.strip()))
    return read


def cancel_patch(notebook: Notebook, patch_id: str, reason: str) -> Patch:
    """Give a patch up, with a reason: it opens nothing, and a reaction to it is still taken."""
    said = checks.reason("reason", reason)
    with notebook.writing() as tx:
        if tx.patches.patch(patch_id).standing(tx.clock.now()).kind not in WAITING:
            raise StateError("Only a patch that waits to be read can be cancelled.")
        return tx.patches.cancel(patch_id, said, tx.clock.now())


def say_what_changed(notebook: Notebook, patch_ids: Sequence[str], changed: Sequence[str]) -> tuple[Patch, ...]:
    """Answer what has changed since these patches were put on, of ``CHANGES``; () where nothing has. Dated and logged.

    A patch after which something changed speaks no more, whatever is answered later.
    """
    checks.whole("patches", len(set(patch_ids)), 1)
    with notebook.writing() as tx:
        now = tx.clock.now()
        if any(tx.patches.patch(one).standing(now).kind != READ for one in patch_ids):
            raise StateError("Only a patch that is clear twice is asked about.")
        return tuple(tx.patches.ask(one, changed, now) for one in patch_ids)


def waiting(listed: Iterable[Patch], now: int) -> tuple[Patch, ...]:
    """Those that wait to be read, the next one first."""
    found = [(one.standing(now).since, one.code, one) for one in listed if one.standing(now).kind in WAITING]
    return tuple(one for *_, one in sorted(found, key=lambda each: each[:2]))


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
    said = checks.reason("reason", reason)
    with notebook.writing() as tx:
        tx.skin.bar(Bar(trial_id, None, kind, said, tx.clock.now()))


# --- at the table -------------------------------------------------------------------------------------------------


def stops(notebook: Notebook, session_id: str) -> tuple[SeatStop, ...]:
    """Who stopped, newest first: cheap enough to ask every few seconds."""
    with notebook.reading() as tx:
        found = tx.live.stops(session_id)
        people = aliases(tx, session_id) if found else {}
    return tuple(SeatStop(one.seat, people.get(one.seat, ""), one.kind, one.at) for one in reversed(found))


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


def _before(code: str, medium: Medium, site: str, trial: Trial, own: tuple[FormulaLine, ...]) -> BeforeSeat:
    strength = trial.skin_strength_percent if medium == SKIN else trial.strength_percent
    made_of = tuple((share.material.name, share.percent) for share in shares(own, strength, ()))
    return BeforeSeat(code, medium, site, trial.label, strength, made_of)
