"""The plan form, top to bottom: which job leads to which fields. Nothing is decided here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final
from zoneinfo import available_timezones

import streamlit as st
from parts.plan import filled_form, jobs, options, second_fields, several_fields, size, strip_ages, surer, two_fields
from parts.plan.filled_from import Room
from parts.plan.typed import Typed

from evaluation import wording
from evaluation.kinds import Method, kind_of
from evaluation.planning import sizes
from evaluation.sessions import ALWAYS_OUT
from evaluation.values.trials import sentence_case, trial_name

NOT_PLAIN: Final = "No, or I am not sure"
PLAIN: Final = "Yes, anybody would notice"
LONGEST_TITLE: Final = 120
LEAVES: Final = MappingProxyType(
    {
        "late": "Smelt too early or too late for its strip age",
        "overheard": "Heard or saw another's answer",
        "recognised": "Recognised a strip by sight, touch or wetness",
        "wrong code": "Locked another code than the one meant",
    }
)


def ask_for_plan(room: Room, start: Typed, *, known: bool) -> Typed | None:
    """All fields, top to bottom; None until the first question has its answer (``known``: a draft has it)."""
    several = len(room.trials) > 1  # of one trial there is no difference to ask about
    plain = plain_difference(room, start.plain_difference if known else None) if several else False
    if plain is None:
        return None
    chosen = job(room, replace(start, plain_difference=plain))
    typed = replace(start, plain_difference=plain, method=_method(start.method, chosen), fan=chosen == "fan")
    if chosen == "unnoticed":
        typed = replace(typed, unnoticed=True, size=sizes.STRICT)
    for part in PARTS[chosen]:
        typed = part(room, typed)
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


def job(room: Room, typed: Typed) -> str:
    """What the session is for; the first question says what is likeliest."""
    offered = jobs.offered(typed.plain_difference, len(room.trials))
    was = jobs.job_of(typed.method, fan=typed.fan)
    return st.radio(
        "**What is this session to find out?**",
        offered,
        index=offered.index(was) if was in offered else 0,
        format_func=lambda each: jobs.JOBS[each].question,
        captions=[jobs.JOBS[each].note for each in offered],
        **room.keyed(f"job {typed.plain_difference}"),
    )


def _method(was: Method, chosen: str) -> Method:
    """The method a draft has, while it does the job; else the first that does."""
    methods = jobs.JOBS[chosen].methods
    return was if was in methods else methods[0]


_TOLD_APART: Final[tuple[Callable[[Room, Typed], Typed], ...]] = (
    two_fields.trials,
    options.alone,
    two_fields.method,
    size.ask_for_size,
    strip_ages.times,
    two_fields.panel,
    two_fields.risks,
    size.costs,
    options.looks,
    surer.weigh,
    options.prior,
)
PARTS: Final[Mapping[str, tuple[Callable[[Room, Typed], Typed], ...]]] = MappingProxyType(
    {
        "noticed": _TOLD_APART,
        "unnoticed": _TOLD_APART,
        "preferred": (
            two_fields.trials,
            two_fields.preference,
            strip_ages.times,
            two_fields.panel,
            two_fields.risks,
        ),
        "profile": (
            several_fields.trials,
            several_fields.ratings,
            strip_ages.times,
            several_fields.strips,
            several_fields.panel,
            several_fields.risks,
        ),
        "round": (
            several_fields.trials,
            several_fields.ties,
            strip_ages.times,
            several_fields.panel,
            several_fields.pairs_each,
            several_fields.risks,
        ),
        "ranking": (
            several_fields.trials,
            several_fields.expected_order,
            strip_ages.times,
            several_fields.panel,
            several_fields.risks,
        ),
        "fan": (
            second_fields.trial,
            second_fields.strips,
            strip_ages.times,
            several_fields.panel,
            several_fields.risks,
        ),
    }
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
            for kind in filled_form.may_leave(typed.solo)
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
    if kind_of(typed.method).several:
        return _several_title(room, typed)
    first, second = (_label(room, typed.first_trial_id, "first"), _label(room, typed.second_trial_id, "second"))
    return sentence_case(f"{first} against {second}")


def _several_title(room: Room, typed: Typed) -> str:
    """ "Profile of trials 7, 8 and 9"; by number where the labels would be too long."""
    labels = [room.trials[each].label for each in typed.trial_ids]
    if typed.fan:
        return f"Materials beside {trial_name(*labels[:1])}" if labels else "Materials beside a trial"
    named = trial_name(*labels) if len(labels) > 1 else "some trials"
    lead = wording.method_name(typed.method)
    title = f"{lead} of {named}" if not kind_of(typed.method).pairs else f"{lead} over {named}"
    return title if len(title) <= LONGEST_TITLE else f"{lead} over {len(labels)} trials"


def _label(room: Room, trial_id: str | None, place: str) -> str:
    known = trial_id is not None and trial_id in room.trials
    return trial_name(room.trials[trial_id or ""].label) if known else f"{place} trial"
