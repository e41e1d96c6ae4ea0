"""Whether the surer answers are to count for more: offered where the count's own steps are coarse."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import streamlit as st
from parts import typed_values
from parts.plan import filled_form, plain_table
from parts.plan.filled_from import Room
from parts.plan.typed import Typed, on_skin

from evaluation.errors import MouilletteError
from evaluation.planning import weights
from evaluation.planning.outlook import Outlook, outlook
from evaluation.wording import of_weights

TITLE: Final = "How sure people are"
WANTED: Final = "Let surer answers count for more in “noticed”"
FIELD: Final = "What guess, unsure, fairly sure and sure weigh"


def weigh(room: Room, typed: Typed) -> Typed:
    """Both powers in plain words and the offer, where the count is coarse; else nothing, or why not in one line."""
    plan = _foreseen(typed)
    if plan is None or plan.minimum_correct is None:
        return replace(typed, weights="")
    st.subheader(TITLE, anchor=False)
    if not weights.is_coarse(plan.assessments, plan.method, plan.alpha_used):
        st.caption(of_weights.not_offered(plan))
        return replace(typed, weights="")
    return _offered(room, typed, plan)


def _offered(room: Room, typed: Typed, plan: Outlook) -> Typed:
    own = _usual(typed)
    found = weights.by_weight(plan.assessments, plan.method, plan.alpha_used, plan.pd, own)
    st.markdown(plain_table.unbroken(" ".join((of_weights.LEAD, *of_weights.offer(plan, found)))))
    if not st.checkbox(WANTED, bool(typed.weights), **room.keyed("weighed")):
        return replace(typed, weights="")
    st.caption(of_weights.NOTE)
    said = st.text_input(FIELD, ", ".join(map(str, own)), **room.keyed("weights"))
    return replace(typed, weights=said.strip() or "none")


def _usual(typed: Typed) -> tuple[int, ...]:
    """The weights of the draft, or those a plan begins with."""
    try:
        return filled_form.weights_of(typed) or weights.USUAL
    except MouilletteError:
        return weights.USUAL


def _foreseen(typed: Typed) -> Outlook | None:
    """What the count finds; None where weights have no place, or the plan does not stand yet."""
    sets = 1 if on_skin(typed) else typed.replicates
    if (
        typed.plain_difference
        or typed.look_every
        or not typed.people
        or 1 < len(typed.people) < sets * len(typed.people)
    ):
        return None
    try:
        ages = typed_values.strip_ages(typed.ages, typed.tolerance)
        primary = filled_form.primary_of(typed.primary, ages, typed.method) is not None
        alpha, beta = filled_form.risk("alpha", typed.alpha), filled_form.risk("beta", typed.beta)
        risks = (float(alpha), float(beta), float(filled_form.share_of(typed)))
        return outlook(typed.method, len(typed.people), sets, len(ages), *risks, primary, solo=typed.solo)
    except MouilletteError:
        return None  # said where the whole plan is built
