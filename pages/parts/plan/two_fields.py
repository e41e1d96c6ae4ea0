"""Fields of plans about two trials: the pair, how it is asked, people and risks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import streamlit as st
from parts.book import change_told
from parts.plan import bottles_meant, filled_form, who_smells
from parts.plan import options as plan_options
from parts.plan.filled_from import Room
from parts.plan.typed import Typed, on_skin

from evaluation import wording
from evaluation.deciding.claims import finer
from evaluation.kinds import Method, kind_of, strips_of
from evaluation.planning.by_direction import method_prices
from evaluation.sessions import MOST_REPLICATES, Side, TiesRule
from evaluation.values.trials import Meant, trial_name
from evaluation.wording.of_claims import finer_words
from evaluation.wording.of_kinds import WORDS
from evaluation.wording.of_sizes import direction_line

ALPHA: Final = 0.05  # at which methods are compared before risks are said
THAN: Final = "triangle"  # what the others are held against
PREFERENCE: Final = (
    "**Preference.** Two strips at each strip age: which is preferred and, where the brief has a text, which is nearer "
    "to it. After the last age one choice over all of them, and for each trial whether they would wear it and how "
    "strong it was. One answer per person; to repeat, hold the session again on another day."
)


def trials(room: Room, typed: Typed) -> Typed:
    """First and second bottle, which difference is meant where they are of one trial, and what else could be smelt."""
    st.subheader("Trials", anchor=False)
    labels = {each.id: each.label for each in room.trials.values()}
    left, right = st.columns(2)
    first = left.selectbox(
        "First trial",
        list(labels),
        index=_place(labels, typed.first_trial_id),
        format_func=lambda each: labels.get(each, ""),
        placeholder="Choose",
        **room.keyed("first"),
    )
    second = right.selectbox(
        "Second trial",
        list(labels),
        index=_place(labels, typed.second_trial_id),
        format_func=lambda each: labels.get(each, ""),
        placeholder="Choose",
        **room.keyed("second"),
    )
    meant = bottles_meant.ask(room, typed, (first, second))
    _mismatches(room, first, second, meant or "")
    return replace(typed, first_trial_id=first, second_trial_id=second, meant=meant)


def _mismatches(room: Room, first: str | None, second: str | None, meant: Meant) -> None:
    if first is None or second is None or first == second:
        return
    change_told.show_changes(room.notebook, [(first, second)], {one.id: one.label for one in room.trials.values()})
    change_told.show_unlike(room.notebook, first, second, meant)


def method(room: Room, typed: Typed) -> Typed:
    """One of the six ways to tell apart; the named quality where the method wants one."""
    st.subheader("Method", anchor=False)
    st.markdown(direction_line(method_prices(ALPHA, alone=typed.solo)))
    offered = filled_form.methods(typed.solo)
    chosen = st.radio(
        "Method",
        offered,
        index=offered.index(typed.method) if typed.method in offered else 0,
        format_func=wording.method_name,
        captions=[_note(each) for each in offered],
        label_visibility="collapsed",
        **room.keyed("method alone" if typed.solo else "method"),
    )
    typed = replace(typed, method=chosen)
    return direction(room, typed) if kind_of(chosen).directed else typed


def _note(method: Method) -> str:
    """What the method asks and, where it takes more strips than a triangle and finds less, up to which size."""
    found = finer(method, THAN) if strips_of(method) > strips_of(THAN) else None
    note = WORDS.of(method).plan
    return f"{note} {finer_words(found)}" if found else note


def preference(room: Room, typed: Typed) -> Typed:
    """Which of two is preferred."""
    st.subheader("Method", anchor=False)
    st.markdown(PREFERENCE)
    return ties(room, replace(typed, method="preference", solo=False, look_every=0))


def direction(room: Room, typed: Typed) -> Typed:
    """The named quality and the trial expected to show more of it."""
    left, right = st.columns(2)
    said = left.text_input(
        "Quality to compare, such as fresh", typed.descriptor, max_chars=40, **room.keyed("descriptor")
    )
    labels: dict[Side, str] = {
        "first": _label(room, typed.first_trial_id, "first trial"),
        "second": _label(room, typed.second_trial_id, "second trial"),
    }
    expected = right.radio(
        "Which do you expect to have more of it?",
        list(labels),
        index=list(labels).index(typed.expected),
        format_func=labels.__getitem__,
        **room.keyed("expected"),
    )
    return replace(typed, descriptor=said, expected=expected)


def ties(room: Room, typed: Typed) -> Typed:
    """Whether “no preference” is offered, and how it counts."""
    allowed = st.checkbox("Offer “no preference” as an answer", typed.ties_allowed, **room.keyed("ties allowed"))
    if not allowed:
        return replace(typed, ties_allowed=False)
    rules: dict[TiesRule, str] = {"drop": "leave it out of the test", "split": "count half for each trial"}
    rule = st.radio(
        "“No preference”: how it counts",
        list(rules),
        index=list(rules).index(typed.ties_rule),
        format_func=rules.__getitem__,
        horizontal=True,
        **room.keyed("ties rule"),
    )
    return replace(typed, ties_allowed=True, ties_rule=rule)


def panel(room: Room, typed: Typed) -> Typed:
    """Who smells, how often, and how many seats stay free."""
    st.subheader("Panel", anchor=False)
    if typed.solo:
        typed = plan_options.preparing(room, plan_options.one_person(room, typed))
        return plan_options.null_sets(room, typed)
    typed = who_smells.people(room, typed)
    left, right = st.columns(2)
    typed = who_smells.spares(room, typed, left)
    replicates = 1
    if not kind_of(typed.method).votes and not on_skin(typed):
        replicates = right.number_input(
            "Sets per panelist at each age",
            1,
            MOST_REPLICATES,
            typed.replicates,
            help="More than one set per person makes the verdict speak for this panel only.",
            **room.keyed("replicates"),
        )
    return plan_options.null_sets(room, replace(typed, replicates=int(replicates)))


def risks(room: Room, typed: Typed) -> Typed:
    """Alpha and beta, and for preferences how many more than by chance matter; see ``plan.size`` for the others."""
    st.subheader("Risks", anchor=False)
    one, two, three = st.columns(3)
    alpha = one.text_input("Alpha risk", typed.alpha, help=_ALPHA, **room.keyed("alpha"))
    beta = two.text_input("Beta risk", typed.beta, help=_BETA, **room.keyed("beta"))
    if not kind_of(typed.method).votes:
        return replace(typed, alpha=alpha, beta=beta)
    pd = three.text_input("Preference beyond chance that matters (pd)", typed.pd, help=_PD, **room.keyed("pd"))
    return replace(typed, alpha=alpha, beta=beta, pd=pd)


_ALPHA: Final = "The chance of calling it noticed when everybody only guesses. 0.05 is usual."
_BETA: Final = "The chance of missing a change that is really noticed by the share that matters."
_PD: Final = (
    "The share of people who really prefer one of them, while the others toss a coin, from which on it matters to you."
)


def _label(room: Room, trial_id: str | None, otherwise: str) -> str:
    return trial_name(room.trials[trial_id].label) if trial_id is not None and trial_id in room.trials else otherwise


def _place(options: Mapping[str, Any] | Sequence[str], wanted: str | None) -> int | None:
    listed = list(options)
    return listed.index(wanted) if wanted in listed else None
