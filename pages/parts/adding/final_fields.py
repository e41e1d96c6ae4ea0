"""Sealing a final: one question about one trial that is named beforehand, and what it will take."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final

import streamlit as st
from parts import frame, state, typed_values
from parts.book import change_told

from evaluation.actions import decide, series_sittings
from evaluation.errors import MouilletteError
from evaluation.planning import sizes
from evaluation.planning.price_of_series import votes_of_final
from evaluation.series import Final as FinalDesign
from evaluation.series import Question, Series
from evaluation.series.finals import SIMPLER
from evaluation.serving.smelling import going_back_of
from evaluation.sessions import DEVIATIONS, Plan, Seat
from evaluation.store import Notebook
from evaluation.values.briefs import Brief
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial, trial_name
from evaluation.wording import of_series

WHAT: Final = (
    "What was found while searching is a lead: among several comparisons chance alone makes one now and then. A final "
    "asks fresh answers one question about one trial, named now, against the one the brief stands at. "
    f"{of_series.KEEP_RULE}"
)
_QUESTIONS: Final[dict[Question, str]] = {
    "preferred": "It is preferred",
    "nearer": "It is nearer the brief",
    "simpler": "It is the simpler one, and few enough tell the two apart",
}
ALPHA: Final = Decimal("0.05")
SIMPLER_METHOD: Final = "tetrad"
USUAL_CAP: Final = 60


def ask(notebook: Notebook, brief: Brief, trials: Sequence[Trial], people: Sequence[Panelist]) -> None:
    """The form, the price, and the seal."""
    st.markdown(WHAT)
    design, plan, makers = _typed(brief, _in_order(trials, decide.smelt(notebook, brief.id)), people, notebook)
    if plan is None or design is None:
        return
    change_told.show_unlike(notebook, plan.first_trial_id, plan.second_trial_id)
    before = series_sittings.finals_not_kept(notebook, brief.id)
    needed = float(FinalDesign(design.question, design.challenger, design.cap, len(before)).multiple / plan.alpha)
    for told in of_series.before_words(before, needed):
        st.warning(frame.plain(told))
    if design.question != SIMPLER:
        st.markdown(frame.plain(of_series.final_price_words(needed, votes_of_final(needed, 0.8), plan.people)))
    if makers:
        st.caption(f"{of_series.NOT_CLAIMED} Findings stand with and without their votes.")
    labels = {one.id: trial_name(one.label) for one in trials}
    pair = (labels[design.trial_of(plan)], labels[design.other_of(plan)])
    meant = st.checkbox(frame.plain(of_series.price_tick(*pair, needed)), key=f"meant {plan.trial_ids} {len(before)}")
    if st.button("Seal this final", type="primary", key="seal final", disabled=not meant):
        with frame.one_sentence():
            sealed = series_sittings.seal_series(notebook, Series(plan=plan, design=design, makers=makers))
            state.say(f"“{sealed.plan.title}” is sealed: seal its first sitting now.")
            st.rerun()


def _in_order(trials: Sequence[Trial], smelt: frozenset[str]) -> list[Trial]:
    """Trials as in the book, those nobody smelt last."""
    return sorted(trials, key=lambda one: one.id not in smelt)


def _typed(
    brief: Brief, trials: Sequence[Trial], people: Sequence[Panelist], notebook: Notebook
) -> tuple[FinalDesign | None, Plan | None, tuple[str, ...]]:
    labels = {one.id: trial_name(one.label) for one in trials}
    listed = list(labels)
    left, right = st.columns(2)
    lead = decide.lead(notebook, brief.id)
    trial = left.selectbox(
        "The trial it is held for",
        listed,
        index=listed.index(lead) if lead in listed else None,
        format_func=labels.__getitem__,
        placeholder="choose: no trial leads by the evidence",
    )
    if trial is None:
        return None, None, ()
    parent = next((one.parent_id for one in trials if one.id == trial), None)
    stands = listed.index(parent) if parent in listed else 0
    other = right.selectbox("Against the one the brief stands at", listed, index=stands, format_func=labels.__getitem__)
    asked = [one for one in _QUESTIONS if one != "nearer" or brief.text]
    question = st.radio("What fresh answers are to show", asked, format_func=_QUESTIONS.__getitem__)
    aliases = {one.id: one.alias for one in people}
    named = st.multiselect(
        "Who votes: one vote a nose and day", list(aliases), list(aliases), format_func=aliases.__getitem__
    )
    makers = st.multiselect(
        "Who of them made these trials or knows the formulas", named, format_func=aliases.__getitem__
    )
    one, two, three = st.columns(3)
    medium = one.radio("Smelt on", ["strip", "skin"], horizontal=True)
    age = two.text_input("Age in minutes when it is smelt", "30")
    cap = three.number_input("Ends after so many votes", 8, 1000, USUAL_CAP)
    zone = st.context.timezone or "UTC"
    try:
        design = FinalDesign(question, "second", int(cap))
        fields = {"medium": medium, "zone": zone, "brief_id": brief.id, "asks_nearer": bool(brief.text)}
        plan = _plan((str(other), str(trial)), question, named, age, labels, fields)
    except MouilletteError as error:
        frame.refuse(error)
        return None, None, ()
    return design, plan, tuple(makers)


def _plan(
    pair: tuple[str, str],
    question: Question,
    people: Sequence[str],
    age: str,
    labels: dict[str, str],
    fields: dict[str, Any],
) -> Plan:
    (strip_age,) = typed_values.strip_ages(age, "10")[:1]
    method: Any = SIMPLER_METHOD if question == SIMPLER else "preference"
    size = sizes.STEPS[sizes.USUAL] if question == SIMPLER else None
    own = fields if method == "preference" else {name: fields[name] for name in fields if name != "asks_nearer"}
    return Plan.of(
        **own,
        title=f"Final: {labels[pair[1]]} against {labels[pair[0]]}"[:120],
        method=method,
        first_trial_id=pair[0],
        second_trial_id=pair[1],
        ages=(strip_age,),
        primary=strip_age.seconds,
        replicates=1,
        seats=tuple(Seat(number, one) for number, one in enumerate(people, start=1)),
        alpha=ALPHA,
        beta=ALPHA,
        pd=Decimal("0.30") if size is None else sizes.sealed(size, method),
        size=size,
        left_out=tuple(one for one in DEVIATIONS if one != "wrong code"),
        going_back=going_back_of(method),
    )
