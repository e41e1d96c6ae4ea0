"""The fields of the plan form: each group of widgets reads and returns what was typed, nothing is decided here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final
from zoneinfo import available_timezones

import streamlit as st
from parts import entries, frame, plan_form, plan_options, plan_skin
from parts.plan_form import Typed
from parts.plan_room import Room

from evaluation import wording
from evaluation.actions import plan as planning
from evaluation.errors import MouilletteError
from evaluation.sessions import ALWAYS_OUT, DIRECTED, MOST_REPLICATES, OVERALL, SKIN

NOT_PLAIN: Final = "No, or I am not sure"
PLAIN: Final = "Yes, anybody would notice"
METHOD_NOTES: Final = MappingProxyType(
    {
        "triangle": "Three strips, two of them alike: which is the odd one? No word for the difference is needed.",
        "duo-trio": "A reference strip, then two: which of the two matches it? Simple, but needs more answers.",
        "tetrad": "Four strips, two of each trial: sort them into two pairs. Finds smaller differences than the "
        "triangle for one strip more.",
        "2-afc": "Two strips: which has more of a quality you name? Least smelling, and the strongest test "
        "where you know what changed.",
        "3-afc": "Three strips, one of the trial you expect to be stronger: which has most of a quality you name?",
        "two-out-of-five": "Five strips, two of one trial and three of the other: find the two. Guessing rarely "
        "succeeds, but five strips tire the nose.",
    }
)
LEAVES: Final = MappingProxyType(
    {
        "late": "Smelt outside the tolerance of its strip age",
        "overheard": "Heard or saw another's answer",
        "recognised": "Recognised a strip by sight, touch or wetness",
    }
)


def ask(room: Room, start: Typed, *, known: bool) -> Typed | None:
    """All fields, top to bottom; None until the first question has its answer (``known``: a draft has it)."""
    plain = plain_difference(room, start.plain_difference if known else None)
    if plain is None:
        return None
    typed = trials(room, replace(start, plain_difference=plain))
    typed = plan_options.alone(room, typed)
    typed = method(room, typed)
    typed = times(room, typed)
    typed = panel(room, typed)
    typed = risks(room, typed)
    typed = plan_options.looks(room, typed)
    typed = plan_options.prior(room, typed)
    return particulars(room, typed)


def plain_difference(room: Room, answered: bool | None) -> bool | None:
    """The first question: is there anything to find out by telling apart?"""
    said = st.radio(
        "**Is the difference plain to everyone?** (two finished, different trials)",
        [NOT_PLAIN, PLAIN],
        index=None if answered is None else int(answered),
        captions=["Ask whether it is noticed at all.", "Skip that, and ask which is preferred."],
        **room.keyed("plain"),
    )
    return None if said is None else said == PLAIN


def trials(room: Room, typed: Typed) -> Typed:
    """First and second trial, and what besides the change could be smelt."""
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
    _mismatches(room, first, second)
    return replace(typed, first_trial_id=first, second_trial_id=second)


def _mismatches(room: Room, first: str | None, second: str | None) -> None:
    if first is None or second is None or first == second:
        return
    found = planning.compare(room.notebook, first, second)
    if found:
        lines = "\n".join(f"- {frame.plain(wording.mismatch(each))}" for each in found)
        st.warning(lines)


def method(room: Room, typed: Typed) -> Typed:
    """Preference for a plain difference, else one of the six; the named quality where the method wants one."""
    st.subheader("Method", anchor=False)
    if typed.plain_difference:
        st.markdown(
            "**Preference.** Two strips at each strip age: which is preferred and, where the brief has a text, which "
            "is nearer to it. After the last age one choice over all of them, and for each trial whether they would "
            "wear it and how strong it was. One answer per person; to repeat, hold the session again on another day."
        )
        return ties(room, replace(typed, method="preference"))
    offered = plan_form.methods(typed.solo)
    chosen = st.radio(
        "Method",
        offered,
        index=offered.index(typed.method) if typed.method in offered else 0,
        format_func=wording.method_name,
        captions=[METHOD_NOTES[each] for each in offered],
        label_visibility="collapsed",
        **room.keyed("method alone" if typed.solo else "method"),
    )
    typed = replace(typed, method=chosen)
    return direction(room, typed) if chosen in DIRECTED else typed


def direction(room: Room, typed: Typed) -> Typed:
    """The named quality and the trial expected to show more of it."""
    left, right = st.columns(2)
    said = left.text_input(
        "Quality to compare, such as fresh", typed.descriptor, max_chars=40, **room.keyed("descriptor")
    )
    labels = {
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
    rules = {"drop": "leave it out of the test", "split": "count half for each trial"}
    rule = st.radio(
        "“No preference”: how it counts",
        list(rules),
        index=list(rules).index(typed.ties_rule),
        format_func=rules.__getitem__,
        horizontal=True,
        **room.keyed("ties rule"),
    )
    return replace(typed, ties_allowed=True, ties_rule=rule)


def times(room: Room, typed: Typed) -> Typed:
    """Medium, strip ages, their tolerance, and which of them is primary."""
    st.subheader("Strips and strip ages", anchor=False)
    typed = plan_skin.ask(room, typed)
    left, right = st.columns([2, 1])
    ages = left.text_input(
        plan_skin.SKIN_TIMES if typed.medium == SKIN else "Strip ages in minutes",
        typed.ages,
        help=plan_skin.TIMES_HELP
        if typed.medium == SKIN
        else "Minutes since dipping, such as 5, 60, 360. Fresh strips under new codes are dipped for every age.",
        **room.keyed("ages"),
    )
    tolerance = right.text_input(
        "Tolerance, % of the age",
        typed.tolerance,
        help="How far off a strip may be before the answer counts as late. 10 % is our rule.",
        **room.keyed("tolerance"),
    )
    typed = plan_skin.times(room, replace(typed, ages=ages, tolerance=tolerance))
    return replace(typed, primary=primary(room, typed))


def primary(room: Room, typed: Typed) -> int | str | None:
    """The age that gives the session its verdict, asked where there are several."""
    try:
        ages = entries.strip_ages(typed.ages, typed.tolerance)
    except MouilletteError:
        return None  # said where the whole plan is built
    if len(ages) == 1:
        return ages[0].seconds
    choices = plan_form.primary_choices(ages, typed.method)
    place = st.selectbox(
        "Primary age: gives the session its verdict",
        range(len(choices)),
        index=choices.index(typed.primary) if typed.primary in choices else 0,
        format_func=lambda each: _primary_name(choices[each]),
        help="The other ages are corrected among themselves and count only if the primary one shows something.",
        key=f"{room.key} primary {typed.method == 'preference'} {typed.ages}",
        persist_state="session",
    )
    return choices[place]


def panel(room: Room, typed: Typed) -> Typed:
    """Who smells, how often, and how many seats stay free."""
    st.subheader("Panel", anchor=False)
    if typed.solo:
        return plan_options.null_sets(room, plan_options.one_person(room, typed))
    people = st.pills(
        "Panelists: tap to add or leave out",
        list(room.people),
        selection_mode="multi",
        wrap=True,
        default=[each for each in typed.people if each in room.people],
        format_func=lambda each: frame.plain(room.people[each].alias),
        **room.keyed("people"),
    )
    if not room.people:
        frame.page_link("panel.py", "Nobody is on the panel yet: add people there")
    left, right = st.columns(2)
    spares = left.number_input(
        "Spare seats",
        0,
        20,
        typed.spares,
        help="Drawn in advance for somebody who joins late; nobody else can join after sealing.",
        **room.keyed("spares"),
    )
    replicates = 1
    if typed.method != "preference" and not plan_form.on_skin(typed):
        replicates = right.number_input(
            "Sets per panelist at each age",
            1,
            MOST_REPLICATES,
            typed.replicates,
            help="More than one set per person makes the verdict speak for this panel only.",
            **room.keyed("replicates"),
        )
    typed = replace(typed, people=tuple(people), spares=int(spares), replicates=int(replicates))
    return plan_options.null_sets(room, typed)


def risks(room: Room, typed: Typed) -> Typed:
    """Alpha, beta and the share that matters."""
    st.subheader("Risks", anchor=False)
    one, two, three = st.columns(3)
    wanted = "Preference beyond chance that matters (pd)" if typed.plain_difference else "Share that matters (pd)"
    alpha = one.text_input("Alpha risk", typed.alpha, help=_ALPHA, **room.keyed("alpha"))
    beta = two.text_input("Beta risk", typed.beta, help=_BETA, **room.keyed("beta"))
    pd = three.text_input(wanted, typed.pd, help=_PD, **room.keyed("pd"))
    return replace(typed, alpha=alpha, beta=beta, pd=pd)


_ALPHA: Final = "The chance of calling it noticed when everybody only guesses. 0.05 is usual."
_BETA: Final = "The chance of missing a change that is really noticed by the share that matters."
_PD: Final = (
    "The share of people who really notice, from which on the change matters to you: under 0.25 small, "
    "0.25 to 0.35 medium, above that large."
)


def particulars(room: Room, typed: Typed) -> Typed:
    """Title, what leaves the primary analysis, and the time zone."""
    with st.expander("Title, deviations and time zone"):
        title = st.text_input(
            "Title", typed.title, max_chars=120, placeholder=default_title(room, typed), **room.keyed("title")
        )
        st.markdown(
            f"Always left out of the primary analysis: {', '.join(ALWAYS_OUT)}. Findings show the count with and "
            "without them."
        )
        out = [
            kind
            for kind in plan_form.may_leave(typed.solo)
            if st.checkbox(f"Leave out too: {LEAVES[kind].lower()}", kind in typed.also_out, **room.keyed(kind))
        ]
        zones = sorted(available_timezones())
        zone = st.selectbox(
            "Time zone shown on every sheet",
            zones,
            index=zones.index(typed.zone) if typed.zone in zones else zones.index("UTC"),
            **room.keyed("zone"),
        )
    return replace(typed, title=title.strip() or default_title(room, typed), also_out=tuple(out), zone=zone)


def default_title(room: Room, typed: Typed) -> str:
    """What a session is called when nobody says: its trials."""
    first = _label(room, typed.first_trial_id, "first trial")
    return f"{first} against {_label(room, typed.second_trial_id, 'second trial')}"


def _label(room: Room, trial_id: str | None, otherwise: str) -> str:
    return room.trials[trial_id].label if trial_id is not None and trial_id in room.trials else otherwise


def _place(options: Mapping[str, Any] | Sequence[str], wanted: str | None) -> int | None:
    listed = list(options)
    return listed.index(wanted) if wanted in listed else None


def _primary_name(choice: int | str | None) -> str:
    if choice is None:
        return "None: every age counts alike, corrected over all (Holm)"
    return "The choice over all ages" if choice == OVERALL else entries.age_name(int(choice))
