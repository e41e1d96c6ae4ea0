"""Choosing a session on the bench and on the findings page."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

import streamlit as st
from parts import state, typed_values

from evaluation import wording
from evaluation.actions import plan
from evaluation.sessions import SKIN, STRIP, Plan, Session
from evaluation.store import Notebook

STATE_WORDS: Final = {
    "draft": "draft",
    "sealed": "sealed, not started",
    "smelling": "smelling now",
    "closed": "closed, key not opened",
    "opened": "opened",
    "void": "void",
}


def pick(
    notebook: Notebook,
    states: Collection[str],
    key: str,
    solo: bool | None = None,
    rather: Collection[str] = (),
) -> Session | None:
    """The chosen session if it is in one of ``states``, else the newest that is; a selector where there are several.

    ``solo`` takes only sessions held alone, or only those held with a panel. Where none is chosen and some are in a
    state of ``rather``, it is the newest of these.
    """
    listed = [one for one in plan.sessions(notebook) if one.state in states]
    found = {one.id: one for one in listed if solo is None or one.plan.solo == solo}
    if not found:
        return None
    newest = max(found.values(), key=lambda one: (one.state in rather, one.made_at)).id
    # names hold the state: a selector kept over a change of state would go on showing the old one
    key = f"{key} {' '.join(sorted(f'{one.id[:6]}{one.state}' for one in found.values()))}"
    wanted = state.chosen_session()
    start = wanted if wanted in found else newest
    if st.session_state.get(key) not in found or st.session_state.get(f"{key} of") != wanted:
        st.session_state[key] = start
    if len(found) > 1:
        picked = st.selectbox("Session", list(found), format_func=lambda one: name(found[one]), key=key)
    else:
        picked = start
    state.choose_session(picked)
    st.session_state[f"{key} of"] = picked
    return found[picked]


def name(session: Session) -> str:
    """A session the way the selector writes it."""
    return f"{session.plan.title} ({wording.method_name(session.plan.method)}, {STATE_WORDS[session.state]})"


def ages(plan_: Plan) -> str:
    """The strip ages of a plan, with the primary one named where there are several."""
    words = [typed_values.age_name(age.seconds) for age in plan_.ages]
    if len(words) == 1:
        return words[0]
    primary = typed_values.age_name(plan_.primary) if isinstance(plan_.primary, int) else plan_.primary
    return ", ".join(words) + (f"; primary: {primary}" if primary else "; no primary age")


def times(plan_: Plan) -> str:
    """When it is smelt, and how much there is to prepare, on each medium."""
    told = []
    if STRIP in plan_.media:
        told.append(f"strip age {ages(plan_)} · {plan_.strips} strips")
    if SKIN in plan_.media:
        told.append(f"on skin {skin_times(plan_)} after application · {skin_places(plan_)} a person")
    return " · ".join(told)


def skin_times(plan_: Plan) -> str:
    """The times since application; of a session on skin alone with the primary one named, as strip ages are."""
    if STRIP not in plan_.media:
        return ages(plan_)
    return ", ".join(typed_values.age_name(age.seconds) for age in plan_.ages_on(SKIN))


def skin_places(plan_: Plan) -> str:
    """How many places on skin each person gives."""
    sets = plan_.sets_a_round * plan_.replicates if plan_.kind.rates else 1
    return f"{plan_.strips_a_set * sets} places"
