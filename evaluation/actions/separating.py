"""Telling changes apart: bottles into the trial book with their formulas, and a draft of the session for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final

from evaluation.actions.bottle_book import changed, check_unserved
from evaluation.actions.plan import check_references, compare
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import Formula, Material, difference
from evaluation.formulas.separated import TO_TELL, Bottles, NamedChange, bottles, flask_label, next_set
from evaluation.kinds import Separation
from evaluation.sessions import STRIP, Plan, Session
from evaluation.store import Notebook, Transaction, new_id
from evaluation.values.bottles import Bottle, next_mark
from evaluation.values.trials import Trial, sentence_case, trial_name
from evaluation.wording import mismatch
from evaluation.wording.of_separations import made_words

WEIGHED_IN: Final = ("draft", "sealed")  # states of a session whose bottles are still to be weighed
WEIGHINGS: Final = ("weighing 1", "weighing 2")  # the batch of each bottle: what two of one trial differ in


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be mixed: which changes of which base, and what an absent change is replaced by.

    ``solvent`` None: nothing is known of what the changes weigh, and no formula is made.
    """

    base_id: str
    changes: tuple[NamedChange, ...]
    separation: Separation
    solvent: Material | None = None


def formulas_of(notebook: Notebook, wanted: Wanted) -> Bottles | None:
    """The formula of each combination; None where the base's, or what a change weighs, is not known."""
    with notebook.reading() as tx:
        return _formulas(tx, wanted)


def new_trials(notebook: Notebook, wanted: Wanted) -> int:
    """How many new trials :func:`write_bottles` would put into the book; the rest are further bottles."""
    with notebook.reading() as tx:
        made, known = _formulas(tx, wanted), _known(tx, wanted.base_id)
        return sum(_there(wanted, known, made, place) is None for place in range(len(wanted.separation.combinations)))


def write_bottles(notebook: Notebook, wanted: Wanted, fields: Mapping[str, Any]) -> Session:
    """Write the bottles into the trial book, and keep a draft of the session; ``fields`` are all others of its plan.

    A combination whose formula a trial of the brief has already is a further bottle of that trial, the base always.
    Nothing is written where any of it is refused.
    """
    with notebook.writing() as tx:
        made = _formulas(tx, wanted)
        ids = _written(tx, wanted, made)
        first, second, *others = ids
        named = {"first_trial_id": first, "second_trial_id": second, "other_trial_ids": tuple(others)}
        meant = "batch" if wanted.separation.weighings > 1 else ""
        kept = Plan.of(**fields, **named, method="profile", medium=STRIP, separation=wanted.separation, meant=meant)
        check_references(tx, kept)
        session = Session(new_id(), kept, "draft", tx.clock.now())
        tx.sittings.add_session(session)
        return session


@dataclass(frozen=True, slots=True)
class ToWeigh:
    """What a weighing sheet tells: each bottle with its name, what it holds in words, and its formula."""

    title: str
    zone: str
    at: int
    bottles: tuple[tuple[str, str, Formula], ...]


def to_weigh(notebook: Notebook, session_id: str) -> ToWeigh:
    """The bottles of a session as they are weighed, before it is smelt; refused where one has no formula there."""
    with notebook.reading() as tx:
        session = tx.sittings.session(session_id)
        if session.state not in WEIGHED_IN:
            raise StateError(f"Bottles are weighed before they are smelt; this session is {session.state}.")
        plan = session.plan
        names, separation = tx.bottles.names(plan.trial_ids), separation_of(plan)
        formulas = tx.formulas.of_trials(plan.trial_ids)
        listed = []
        for trial_id, name, made in zip(plan.trial_ids, names, separation.made, strict=True):
            if trial_id not in formulas:
                raise StateError(
                    f"{sentence_case(trial_name(name))} has no formula in the trial book: enter it there, then print "
                    "the sheet."
                )
            listed.append((trial_name(name), made_words(made, separation.changes), formulas[trial_id]))
        return ToWeigh(plan.title, plan.zone, tx.clock.now(), tuple(listed))


def weighed(
    notebook: Notebook,
    session_id: str,
    mixed_on: date | None,
    diluted_on: date | None,
    strength_percent: Decimal | None,
) -> None:
    """Write into every bottle of a draft the days on which all were mixed and diluted, and their strength."""
    with notebook.writing() as tx:
        for one in draft_of(tx, session_id).plan.trial_ids:
            before = tx.bottles.bottle(one)
            after = replace(before, mixed_on=mixed_on, diluted_on=diluted_on, strength_percent=strength_percent)
            check_unserved(tx, tx.book.trial(one), changed(before, after))
            tx.bottles.replace(after)


@dataclass(frozen=True, slots=True)
class Unlike:
    """What besides the changes could be smelt of so many bottles against the base of their weighing."""

    kind: str
    line: str
    bottles: int
    of: int


def unlike(notebook: Notebook, plan: Plan) -> tuple[Unlike, ...]:
    """In what else than the changes bottles differ today, or what is not known of both; what is alike told once."""
    size = len(separation_of(plan).combinations)
    weighed = [plan.trial_ids[at : at + size] for at in range(0, len(plan.trial_ids), size)]
    pairs = [(mine[0], other) for mine in weighed for other in mine[1:]]
    found = Counter(
        (one.kind, mismatch(one)) for pair in pairs for one in compare(notebook, *pair, plan.zone, plan.meant)
    )
    return tuple(Unlike(kind, line, number, len(pairs)) for (kind, line), number in found.items())


def unwritten(notebook: Notebook, plan: Plan) -> bool:
    """Whether a day or the strength of any bottle is not written down; once sealed it never can be."""
    with notebook.reading() as tx:
        held = [tx.bottles.bottle(one) for one in plan.trial_ids]
    return any(None in (one.mixed_on, one.diluted_on, one.strength_percent) for one in held)


def draft_of(tx: Transaction, session_id: str) -> Session:
    """A draft that separates changes; refused where it is no draft any more, or separates none."""
    session = tx.sittings.session(session_id)
    if session.state != "draft":
        raise StateError("Bottles of a sealed session stay as they were served.")
    separation_of(session.plan)
    return session


def to_smell(notebook: Notebook, brief_id: str) -> tuple[Session, ...]:
    """The sessions of a brief that separate changes and are not smelt yet, drafts and sealed ones, the newest first."""
    with notebook.reading() as tx:
        every = tx.sittings.sessions(brief_id)
        found = [one for one in every if one.state in WEIGHED_IN and one.plan.design.separation is not None]
    return tuple(sorted(found, key=lambda one: -one.made_at))


def bottles_of(notebook: Notebook, session: Session) -> tuple[tuple[str, date | None], ...]:
    """The bottles of a plan by label, each with the day it was mixed."""
    with notebook.reading() as tx:
        return tuple((one.label, one.mixed_on) for one in map(tx.book.trial, session.plan.trial_ids))


def separation_of(plan: Plan) -> Separation:
    """What the bottles of a plan separate; refused of any other plan."""
    if plan.design.separation is None:
        raise ArgumentError("session must be one that separates changes.")
    return plan.design.separation


# --- into the book ----------------------------------------------------------------------------------------------------


def _formulas(tx: Transaction, wanted: Wanted) -> Bottles | None:
    base = tx.formulas.formula(wanted.base_id)
    if base is None or wanted.solvent is None or not all(one.amounts for one in wanted.changes):
        return None
    return bottles(base, wanted.changes, wanted.separation.combinations, wanted.solvent)


def _written(tx: Transaction, wanted: Wanted, made: Bottles | None) -> list[str]:
    """The ids of all bottles, in the order in which the separation tells what they hold."""
    known = _known(tx, wanted.base_id)
    number = next_set(one.label for one in tx.book.trials(tx.book.trial(wanted.base_id).brief_id))
    listed: list[str] = []
    trials: dict[str, str] = {}
    for place, combination in enumerate(wanted.separation.combinations):
        trial_id = _there(wanted, known, made, place)
        if trial_id is None:
            formula = None if made is None else made.formulas[place]
            trials[combination] = _add_trial(tx, wanted, combination, formula, flask_label(number, place))
            listed.append(trials[combination])
        else:
            trials[combination] = trial_id
            listed.append(_add_bottle(tx, trial_id, WEIGHINGS[0]))
    if wanted.separation.weighings > 1:
        listed += [_add_bottle(tx, trials[one], WEIGHINGS[1]) for one in wanted.separation.combinations]
    return listed


def _known(tx: Transaction, base_id: str) -> dict[str, Formula]:
    """The formulas of the brief's trials, the base's first."""
    brief_id = tx.book.trial(base_id).brief_id
    ids = [base_id, *(one.id for one in tx.book.trials(brief_id) if one.id != base_id)]
    found = tx.formulas.of_trials(ids)
    return {one: found[one] for one in ids if one in found}


def _there(wanted: Wanted, known: dict[str, Formula], made: Bottles | None, place: int) -> str | None:
    """The trial a bottle is a further one of; without formulas that without any change is a bottle of the base."""
    if made is None:
        return None if "1" in wanted.separation.combinations[place] else wanted.base_id
    formula = made.formulas[place]
    return next((trial_id for trial_id, one in known.items() if difference(one, formula).same), None)


def _add_trial(tx: Transaction, wanted: Wanted, combination: str, formula: Formula | None, label: str) -> str:
    base = tx.book.trial(wanted.base_id)
    changes = wanted.separation.changes
    held = made_words(combination, changes)
    each = "; ".join(name for name, digit in zip(changes, combination, strict=True) if digit == "1")
    trial = Trial(
        new_id(), base.brief_id, label, base.id, f"{TO_TELL}{each or held}",
        None, None, None, WEIGHINGS[0], tx.clock.now(),
    )  # fmt: skip
    tx.book.add_trial(trial)
    if formula is not None:
        tx.formulas.write(trial.id, formula)
    return trial.id


def _add_bottle(tx: Transaction, trial_id: str, batch: str) -> str:
    mark = next_mark(tx.bottles.of_trial(trial_id))
    bottle = Bottle(new_id(), trial_id, mark, None, None, None, batch, tx.clock.now())
    tx.bottles.add(bottle)
    return bottle.id
