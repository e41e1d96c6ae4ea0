"""Tracing an off-note: who can be suspected, the bottles without each, the sealed series and its next sitting."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import count
from typing import Final

from evaluation.actions import series_sittings
from evaluation.actions.separating import ToWeigh
from evaluation.actions.series_sittings import SeriesFound
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import Formula, Material, difference, opened
from evaluation.formulas.separated import own_solvent
from evaluation.formulas.without import without
from evaluation.ground import checks
from evaluation.planning import sizes
from evaluation.planning.outlook import sets_a_sitting
from evaluation.series import OffNote, SealedSeries, Series
from evaluation.series.off_notes import METHOD
from evaluation.serving.blinding import law_now
from evaluation.serving.smelling import going_back_of
from evaluation.sessions import DEVIATIONS, Plan, Seat, Session, StripAge
from evaluation.store import Notebook, Transaction, new_id
from evaluation.values.trials import LONGEST_LABEL, Trial, sentence_case, trial_name

ALPHA: Final = Decimal("0.05")
TO_TRACE: Final = "to trace an off-note"  # how the book tells these bottles
NEEDED: Final = ("mixed_on", "diluted_on", "strength_percent")  # of each bottle, before it is served
SHORTEST_WHOLE: Final = 4  # letters left of the whole trial's name where a suspect's is very long
USUAL_CAP: Final = 48  # six noses, two sets each, four evenings (our proposal)


@dataclass(frozen=True, slots=True)
class Suspectable:
    """A material of a trial that could be the one: its share of the whole, and the bottle without it, if it stands."""

    material: Material
    share: Fraction
    bottle: Trial | None


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of a series before it is sealed."""

    note: str
    people: tuple[str, ...]
    age: StripAge
    cap: int = USUAL_CAP
    sets: int = 1
    zone: str = "UTC"
    makers: tuple[str, ...] = ()


def suspectable(notebook: Notebook, trial_id: str) -> tuple[Suspectable, ...]:
    """Every material of a trial's formula but solvents, the largest share first; none where no formula is known."""
    with notebook.reading() as tx:
        formula = tx.formulas.formula(trial_id)
        if formula is None:
            return ()
        made = _children(tx, trial_id)
        known = {one.id: tx.formulas.formula(one.id) for one in made}
    solvent = own_solvent(formula)
    shares: dict[str, Fraction] = {}
    materials: dict[str, Material] = {}
    for one in opened(formula):
        if not one.line.material.solvent:
            materials[one.line.material.id] = one.line.material
            shares[one.line.material.id] = shares.get(one.line.material.id, Fraction(0)) + one.share
    listed = sorted(materials.values(), key=lambda one: -shares[one.id])
    return tuple(
        Suspectable(one, shares[one.id], None if solvent is None else _made(made, known, formula, one, solvent))
        for one in listed
    )


def solvent_of(notebook: Notebook, trial_id: str) -> Material | None:
    """What takes the place of a suspect: the solvent there is most of; None where none is marked, or no formula is."""
    with notebook.reading() as tx:
        formula = tx.formulas.formula(trial_id)
    return None if formula is None else own_solvent(formula)


def traceable(notebook: Notebook, brief_id: str) -> tuple[Trial, ...]:
    """Trials of a brief whose formula is known, without the bottles that were written to trace a note."""
    with notebook.reading() as tx:
        listed = [one for one in tx.book.trials(brief_id) if not one.changed.endswith(TO_TRACE)]
        known = tx.formulas.of_trials(one.id for one in listed)
    return tuple(one for one in listed if one.id in known)


def write_bottles(notebook: Notebook, trial_id: str, material_ids: Iterable[str]) -> Mapping[str, Trial]:
    """Trials of the book without each of these materials, with their formulas; those there are already stay.

    Each is a child of the whole trial, of its strength: what is to be mixed, not what was.
    """
    wanted = tuple(material_ids)
    with notebook.writing() as tx:
        whole, formula = tx.book.trial(trial_id), tx.formulas.formula(trial_id)
        if formula is None:
            raise ArgumentError("trial must be one whose formula is in the trial book.")
        solvent = own_solvent(formula)
        if solvent is None:
            raise ArgumentError("formula must have a material that is marked as solvent or carrier, in the trial book.")
        made = _children(tx, trial_id)
        known = {one.id: tx.formulas.formula(one.id) for one in made}
        held = {one.material.id: one.material for one in formula.lines}
        found: dict[str, Trial] = {}
        for each in wanted:
            if each not in held:
                raise ArgumentError("suspect must be a material of the trial.")
            bottle = _made(made, known, formula, held[each], solvent)
            found[each] = bottle or _write(tx, whole, held[each], solvent, without(formula, each, solvent))
    return found


def _children(tx: Transaction, trial_id: str) -> tuple[Trial, ...]:
    brief_id = tx.book.trial(trial_id).brief_id
    return tuple(one for one in tx.book.trials(brief_id) if one.parent_id == trial_id)


def _made(
    made: Iterable[Trial], known: Mapping[str, Formula | None], formula: Formula, material: Material, solvent: Material
) -> Trial | None:
    """The bottle without a material that stands in the book, by its formula."""
    wanted = without(formula, material.id, solvent)
    own = ((one, known[one.id]) for one in made)
    return next((one for one, has in own if has is not None and difference(has, wanted).same), None)


def _write(tx: Transaction, whole: Trial, material: Material, solvent: Material, formula: Formula) -> Trial:
    trial = Trial(
        new_id(),
        whole.brief_id,
        bottle_label(whole.label, material.name, {one.label for one in tx.book.trials(whole.brief_id)}),
        whole.trial_id,
        f"{material.name} out, its weight in {solvent.name}: {TO_TRACE}",
        whole.strength_percent,
        None,
        None,
        "",
        tx.clock.now(),
    )
    tx.book.add_trial(trial)
    tx.formulas.write(trial.id, formula)
    return trial


def bottle_label(whole: str, material: str, taken: Collection[str]) -> str:
    """ "7 − birch tar", not taken yet; where it is too long the whole's name is cut: the suspect tells apart."""
    for number in count(1):
        tail = "" if number == 1 else f" ({number})"
        room = LONGEST_LABEL - len(" − ") - len(tail)
        out = _cut(material, room - min(len(whole), SHORTEST_WHOLE))
        label = f"{_cut(whole, room - len(out))} − {out}{tail}"
        if label not in taken:
            return label
    raise AssertionError("numbers do not end")


def _cut(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 1].rstrip()}…"


# --- the series -------------------------------------------------------------------------------------------------------


def seal_trace(notebook: Notebook, trial_id: str, material_ids: Iterable[str], asked: Asked) -> SealedSeries:
    """Write the bottles that lack yet, and seal the series over all of them."""
    wanted = tuple(dict.fromkeys(material_ids))
    names = {one.material.id: one.material.name for one in suspectable(notebook, trial_id)}
    if not all(one in names for one in wanted):
        raise ArgumentError("suspects must be materials of the trial's formula, solvents left out.")
    _check(len(wanted), asked)
    bottles = write_bottles(notebook, trial_id, wanted)
    design = OffNote(tuple((names[one], bottles[one].id) for one in wanted), asked.cap)
    plan = _plan(notebook, trial_id, bottles[wanted[0]].id, asked)
    return series_sittings.seal_series(notebook, Series(plan=plan, design=design, makers=asked.makers))


def _check(suspects: int, asked: Asked) -> None:
    """Refused before anything is written."""
    OffNote(tuple((str(n), f"bottle {n}") for n in range(suspects)), asked.cap)
    checks.text("note", asked.note, 40)
    if not asked.people:
        raise ArgumentError("panel must have at least one person.")
    if not 1 <= asked.sets <= sets_a_sitting(METHOD):
        raise ArgumentError(f"sets each must be from 1 to {sets_a_sitting(METHOD)}, not {asked.sets}.")


def _plan(notebook: Notebook, trial_id: str, bottle_id: str, asked: Asked) -> Plan:
    with notebook.reading() as tx:
        whole = tx.book.trial(trial_id)
    size = sizes.STEPS[sizes.USUAL]
    return Plan.of(
        brief_id=whole.brief_id,
        title=f"Off-note {asked.note.strip()} in {trial_name(whole.label)}"[:120],
        method=METHOD,
        first_trial_id=trial_id,
        second_trial_id=bottle_id,
        descriptor=asked.note.strip(),
        expected="first",
        medium="strip",
        ages=(asked.age,),
        primary=asked.age.seconds,
        replicates=asked.sets,
        seats=tuple(Seat(number, one) for number, one in enumerate(asked.people, start=1)),
        alpha=ALPHA,
        beta=ALPHA,
        pd=sizes.sealed(size, METHOD),
        size=size,
        left_out=tuple(one for one in DEVIATIONS if one != "wrong code"),
        zone=asked.zone,
        going_back=going_back_of(METHOD),
        draw=law_now(solo=False),
    )


def next_sitting(notebook: Notebook, series_id: str) -> Session:
    """Seal the sitting that would tell most: everybody named, about the suspect whose turn it is."""
    found = series_sittings.series_found(notebook, series_id)
    trace = found.added.trace
    if trace is None:
        raise ArgumentError("series must be one about an off-note.")
    if not trace.next_up:
        raise StateError("This series has ended: what it says stands. Seal another to ask about others.")
    number = len(found.sittings) + found.running + 1
    title = f"{found.sealed.plan.title[:100]}, sitting {number}"
    people, sets = _active(notebook, found), found.sealed.plan.replicates
    return series_sittings.seal_sitting(notebook, series_id, title, people, sets, waiting(found))


def on_bench(found: SeriesFound) -> tuple[str, ...]:
    """Suspects whose sitting is sealed and not opened yet."""
    running = [one for one in found.sessions if one.state in series_sittings.RUNNING]
    return tuple(dict.fromkeys(found.sealed.part_of(one.plan) for one in running))


def unwritten(notebook: Notebook, found: SeriesFound) -> Mapping[str, tuple[str, ...]]:
    """What the book does not have of the bottles of the next sitting, by name; once sealed it can never be written."""
    ids = found.sealed.series.parts[waiting(found)]
    with notebook.reading() as tx:
        held = dict(zip(tx.bottles.names(ids), map(tx.bottles.bottle, ids), strict=True))
    lacking = {name: tuple(each for each in NEEDED if getattr(one, each) is None) for name, one in held.items()}
    return {name: lacks for name, lacks in lacking.items() if lacks}


def to_weigh(notebook: Notebook, series_id: str) -> ToWeigh:
    """The whole trial and every bottle of a series, as they are weighed: what all share once, then each."""
    found = series_sittings.series_found(notebook, series_id)
    if not isinstance(found.sealed.series.design, OffNote):
        raise ArgumentError("series must be one about an off-note.")
    plan, parts = found.sealed.plan, found.sealed.series.parts
    ids = (plan.first_trial_id, *(bottle for _, bottle in parts.values()))
    with notebook.reading() as tx:
        names, formulas = tx.bottles.names(ids), tx.formulas.of_trials(ids)
        at = tx.clock.now()
    holds = ("the whole trial", *(f"the whole without {one}" for one in parts))
    if missing := [name for name, each in zip(names, ids, strict=True) if each not in formulas]:
        raise StateError(f"{sentence_case(trial_name(missing[0]))} has no formula in the trial book: enter it there.")
    rows = zip(names, holds, ids, strict=True)
    listed = tuple((trial_name(name), held, formulas[each]) for name, held, each in rows)
    return ToWeigh(plan.title, plan.zone, at, listed)


def waiting(found: SeriesFound) -> str:
    """Who is smelt next, those counted whose sitting is sealed and not opened yet."""
    trace, design = found.added.trace, found.sealed.series.design
    assert trace is not None
    assert isinstance(design, OffNote)
    ahead = {*on_bench(found)}
    untold = [one for one in trace.suspected if not one.sittings and one.material not in ahead]
    order = [one for one in design.materials if one in {each.material for each in untold}]
    return order[0] if order else trace.next_up


def _active(notebook: Notebook, found: SeriesFound) -> tuple[str, ...]:
    with notebook.reading() as tx:
        here = {one.id for one in tx.book.panelists()}
    return tuple(one for one in found.sealed.series.people if one in here)


def traces(notebook: Notebook, brief_id: str) -> tuple[SeriesFound, ...]:
    """The series about off-notes of a brief, the newest first."""
    held = series_sittings.series_of(notebook, brief_id)
    return tuple(one for one in reversed(held) if isinstance(one.sealed.series.design, OffNote))
