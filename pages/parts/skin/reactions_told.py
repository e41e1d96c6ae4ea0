"""On the page Skin: reactions, what waits because of them, what may lift that, and stops that were none."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

import streamlit as st
from parts import frame, state
from parts.skin.on_skin import zone

from evaluation.actions import skin_reactions as actions
from evaluation.actions.skin_reactions import Line, ToDecide
from evaluation.errors import ArgumentError
from evaluation.skin import Material, Unwell, moment
from evaluation.store import Notebook
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

ABOUT: Final = (
    "A reaction speaks of materials, not of one trial: whatever shares a line with what was on that skin, solvents "
    "too, is shut for that person, and goes on nobody until you decide. A formula that is not known counts as shared."
)
ADVICE: Final = (
    "An advice of somebody qualified, such as a doctor or dermatologist who knows of the reaction, lifts exactly the "
    "materials it names, for this person only; then a new patch comes first. This tool gives no such advice."
)
DECIDE: Final = (
    "Decide which materials may be applied to others again, and why. Whoever reacted still needs an advice. What is "
    "not chosen goes on waiting; leave out what you suspect."
)
EXPLAIN: Final = "Write down what the stop was, and why skin may go on with this person; until then it does not."
NONE: Final = "No reaction is on record."


def show_reactions(notebook: Notebook, trials: Sequence[Trial], people: Sequence[Panelist]) -> None:
    """What is on record, then what can be done about it."""
    st.markdown(ABOUT)
    found = actions.reactions(notebook)
    labels = {one.id: one.label for one in trials}
    st.markdown("\n".join(f"- {frame.plain(_told(one, labels))}" for one in reversed(found)) or NONE)
    aliases = {one.id: one.alias for one in people}
    _stops(notebook, actions.stopped(notebook, list(aliases)), aliases)
    _decide(notebook, _together(one.for_all for one in found))
    _advise(notebook, found, aliases)
    if trials and people:
        with st.expander("Write down a reaction you were told of"):
            _report(notebook, labels, aliases)
    log = actions.log(notebook)
    if log:
        with st.expander(f"All that was written down about skin: {len(log)}"):
            st.markdown("\n".join(f"- {frame.plain(_line(one))}" for one in log[:200]))


def _told(one: ToDecide, labels: Mapping[str, str]) -> str:
    known = [labels[each] for each in one.reaction.trial_ids if each in labels]
    to = f" to trial {' and '.join(known)}" if known else ""
    whose = one.alias or "Somebody who was erased"
    note = f" ({one.reaction.note})" if one.reaction.note else ""
    return f"{moment(one.reaction.at, zone())}: {whose} reacted{to}{note}. {_waits(one)}"


def _waits(one: ToDecide) -> str:
    """What waits for the conductor, and what for an advice; of a formula that is not known it may be anything."""
    unknown = " (the formula that was on is not known)" if one.unknown else ""
    for_all = f"Waits for your decision: {_names(one.for_all)}{unknown}" if one.for_all else "Decided for others"
    for_one = f"; stays off this person’s skin without an advice: {_names(one.for_one)}" if one.for_one else ""
    return f"{for_all}{for_one}."


def _names(materials: Iterable[Material]) -> str:
    return ", ".join(one.name for one in materials)


def _together(groups: Iterable[tuple[Material, ...]]) -> dict[str, str]:
    found = {one.id: one.name for group in groups for one in group}
    return dict(sorted(found.items(), key=lambda each: each[1].casefold()))


# --- what can be done -----------------------------------------------------------------------------------------------


def _decide(notebook: Notebook, names: Mapping[str, str]) -> None:
    if not names:
        return
    st.subheader("Decide for others", anchor=False)
    st.markdown(DECIDE)
    with st.form(state.form_key("decide"), border=False):
        chosen = st.multiselect("Materials that may be applied again", list(names), format_func=names.__getitem__)
        reason = st.text_input("Why may they be applied again?", max_chars=400)
        if st.form_submit_button("They may be applied again"):
            with frame.one_sentence():
                actions.decide(notebook, chosen, reason)
                state.clear_form("decide")
                state.say(f"{', '.join(names[one] for one in chosen)}: may be applied to others again.")
                st.rerun()


def _advise(notebook: Notebook, found: Iterable[ToDecide], aliases: Mapping[str, str]) -> None:
    waits: dict[str, list[tuple[Material, ...]]] = {}
    for one in found:
        if one.for_one and one.reaction.panelist_id in aliases:
            waits.setdefault(str(one.reaction.panelist_id), []).append(one.for_one)
    if not waits:
        return
    st.subheader("An advice about one person", anchor=False)
    st.markdown(ADVICE)
    who = st.selectbox("Person who reacted", list(waits), index=None, format_func=aliases.__getitem__, key="advised")
    if who is not None:
        _advice(notebook, who, aliases[who], _together(waits[who]))


def _advice(notebook: Notebook, who: str, alias: str, names: Mapping[str, str]) -> None:
    with st.form(state.form_key(f"advice {who}"), border=False):
        chosen = st.multiselect("Materials the advice names", list(names), format_func=names.__getitem__)
        advised = st.text_input("Who advised: name and profession", max_chars=200)
        given_on = st.date_input("Day of the advice", None)
        note = st.text_input("What was said", max_chars=400)
        if st.form_submit_button("Write down the advice"):
            with frame.one_sentence():
                actions.advise(notebook, who, chosen, advised, given_on, note, zone())
                state.clear_form(f"advice {who}")
                state.say(f"The advice about {alias} is written down; a new patch comes before skin.")
                st.rerun()


def _stops(notebook: Notebook, found: Sequence[Unwell], aliases: Mapping[str, str]) -> None:
    if not found:
        return
    st.subheader("Stopped without a reaction", anchor=False)
    st.markdown(EXPLAIN)
    when = {one.panelist_id: f"{aliases[one.panelist_id]}, {moment(one.at, zone())}" for one in found}
    with st.form(state.form_key("explain"), border=False):
        who = st.selectbox("Who stopped", list(when), index=None, format_func=when.__getitem__)
        reason = st.text_input("What was it, and why may skin go on?", max_chars=400)
        if st.form_submit_button("Write down the reason"):
            with frame.one_sentence():
                actions.explain(notebook, _picked("person", who), reason)
                state.clear_form("explain")
                state.say(f"Written down for {aliases[_picked('person', who)]}.")
                st.rerun()


def _report(notebook: Notebook, labels: Mapping[str, str], aliases: Mapping[str, str]) -> None:
    with st.form(state.form_key("report"), border=False):
        who = st.selectbox("Who reacted", list(aliases), index=None, format_func=aliases.__getitem__)
        chosen = st.multiselect("Trials that were on this skin", list(labels), format_func=labels.__getitem__)
        note = st.text_input("What was seen, and when", max_chars=400)
        if st.form_submit_button("Write down the reaction"):
            with frame.one_sentence():
                actions.report(notebook, _picked("person", who), chosen, note)
                state.clear_form("report")
                state.say(f"The reaction of {aliases[_picked('person', who)]} is written down.")
                st.rerun()


def _picked(name: str, value: str | None) -> str:
    if value is None:
        raise ArgumentError(f"{name} must be chosen.")
    return value


# --- the log --------------------------------------------------------------------------------------------------------


def _line(one: Line) -> str:
    whose = f", {one.who}" if one.who else ""
    more = "; ".join(filter(None, (_part(one.said.get(name)) for name in _SAID)))
    return f"{moment(one.at, zone())}{whose}: {one.kind}{f' ({more})' if more else ''}"


_SAID: Final = ("result", "materials", "who", "given_on", "reason", "changed", "note", "kept", "merged")


def _part(value: Any) -> str:
    if isinstance(value, dict):
        return f"kept {value['name']}"
    if isinstance(value, list):
        return ", ".join(one["name"] if isinstance(one, dict) else str(one) for one in value)
    return str(value or "")
