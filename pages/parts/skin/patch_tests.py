"""On the page Skin: coded patch tests, put on both trials of a pair at once and read twice."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import streamlit as st
from parts import frame, small_tables, state
from parts.skin.on_skin import zone

from evaluation.actions import skin, skin_gate
from evaluation.errors import ArgumentError
from evaluation.skin import (
    APART_HOURS,
    CANCELLED,
    CLEAR,
    FIRST,
    FIRST_HOURS,
    MISSED,
    REACTED,
    REACTION,
    READ,
    REPORT_DAYS,
    SECOND_HOURS,
    WAITING,
    Patch,
    moment,
)
from evaluation.skin import sentences as told_once
from evaluation.store import Notebook
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

HOW: Final = (
    "A small spot of each trial at its strength on skin, never stronger, away from the places that are smelt; left "
    "open and uncovered; no rubbing, scrubbing or cream there until both readings are done. Read it "
    f"{FIRST_HOURS[0]} to {FIRST_HOURS[1]} hours later and again from {SECOND_HOURS} hours on, at least {APART_HOURS} "
    f"hours after the first reading; until day {REPORT_DAYS} whoever has it tells you of anything that shows. At the "
    "first itch wash it off with plain soap and water (common practice, no source). A patch here is no diagnosis, and "
    "can itself make somebody allergic: do not repeat it without need."
)
RESULTS: Final = {CLEAR: "Nothing to see: clear", REACTION: "Any redness, swelling, itch or blister: reaction"}
TURNS: Final = {FIRST: "first reading", "second": "second reading"}
YES: Final = "Yes"
ANSWERS: Final = (YES, "No")
SINCE: Final = (
    "A clear patch speaks as long as nothing has changed: each patch is an exposure, so a new one is put on only where "
    "something has. Formula and strength are known here; ask for the rest, and answer for it. The answer is kept with "
    "its date."
)
ASK_HEALTH: Final = "Has anything changed in this person’s health, skin or medicine since then?"
ASK_BATCH: Final = "Is what will be put on another batch or solution than the patch was?"


def show_patch_tests(notebook: Notebook, trials: Sequence[Trial], people: Sequence[Panelist]) -> None:
    """Put on, wait, read twice; what was read stays."""
    st.markdown(HOW)
    if not trials or not people:
        where = ("panel.py", "Add people") if trials else ("briefs.py", "Open the trial book")
        frame.empty("Patch tests need a trial and somebody on the panel.", *where)
        return
    aliases, labels = {one.id: one.alias for one in people}, {one.id: one.label for one in trials}
    _put_on(notebook, aliases, labels)
    known = [one for one in skin.patches(notebook) if one.panelist_id in aliases and one.trial_id in labels]
    now = notebook.clock.now()
    _waiting(notebook, skin.waiting(known, now), aliases, labels)
    _ask(notebook, [one for one in known if one.standing(now).kind == READ and not one.changed], aliases, labels)
    _late(notebook, known, aliases, now)
    _done(known, aliases, labels, now)


# --- putting on -----------------------------------------------------------------------------------------------------


def _put_on(notebook: Notebook, aliases: Mapping[str, str], labels: Mapping[str, str]) -> None:
    st.subheader("Put patches on", anchor=False)
    who = st.selectbox("Person", list(aliases), index=None, format_func=aliases.__getitem__, key="patched")
    if who is None:
        return
    shown = {one: skin_gate.gate_of(notebook, one, [who], zone()) for one in labels}
    lacking = [one for one, found in shown.items() if any(block.kind == "patch" for block in found.blocks)]
    if not lacking:
        st.markdown(f"{frame.plain(aliases[who])} lacks no patch that could be put on now.")
        mine = [block for found in shown.values() for block in found.blocks if block.panelist_id == who]
        st.markdown("\n".join(f"- {frame.plain(each)}" for each in told_once(mine)))
        return
    with st.form(state.form_key("patches"), border=False):
        chosen = st.multiselect("Trials: both of a pair", lacking, default=lacking[-2:], format_func=labels.__getitem__)
        if st.form_submit_button("Draw codes and places; the patches go on now"):
            with frame.one_sentence():
                drawn = skin.put_on_patches(notebook, who, chosen, zone())
                state.clear_form("patches")
                first, until = moment(drawn[0].first_from, zone()), moment(drawn[0].first_until, zone())
                state.say(f"{len(drawn)} patches on {aliases[who]}: read them first between {first} and {until}.")
                st.rerun()


# --- reading --------------------------------------------------------------------------------------------------------


def _waiting(
    notebook: Notebook, waiting: Sequence[Patch], aliases: Mapping[str, str], labels: Mapping[str, str]
) -> None:
    st.subheader("Waiting to be read", anchor=False)
    if not waiting:
        st.markdown("None. Choose a person above to put patches on.")
        return
    now = notebook.clock.now()
    shown = st.toggle("Show which code is which trial (for whoever puts them on)", key="patch trials")
    head = ("Person", "Code", "Where", "Next reading", *(("Trial",) if shown else ()))
    small_tables.table(head, [_row(one, aliases, labels, now, shown=shown) for one in waiting])
    _reading(notebook, waiting, aliases, "first", (CLEAR, REACTION), now)
    with st.expander("Cancel a patch"):
        _cancel(notebook, waiting, aliases)


def _row(
    one: Patch, aliases: Mapping[str, str], labels: Mapping[str, str], now: int, *, shown: bool
) -> tuple[str, ...]:
    trial = (labels[one.trial_id],) if shown else ()
    return aliases[one.panelist_id], one.code, one.site, _next(one, now), *trial


def _next(one: Patch, now: int) -> str:
    """ "First: now, until 3 Jan 2026, 16:00", or when its turn begins."""
    stands = one.standing(now)
    turn = "First" if stands.kind == FIRST else "Second"
    since = "now" if stands.since <= now else f"from {moment(stands.since, zone())}"
    return f"{turn}: {since}" + (f", until {moment(stands.until, zone())}" if stands.until else "")


def _reading(
    notebook: Notebook,
    patches: Sequence[Patch],
    aliases: Mapping[str, str],
    key: str,
    results: tuple[str, ...],
    now: int,
) -> None:
    by_id = {one.id: one for one in patches}
    with st.form(state.form_key(f"reading {key}"), border=False):
        picked = st.selectbox(
            "Patch to read" if key == "first" else "Patch with a reaction",
            list(by_id),
            index=None,
            format_func=lambda one: _named(by_id[one], aliases, now),
        )
        result = st.radio("What is to be seen", results, index=None, format_func=RESULTS.__getitem__)
        note = st.text_input("Note", max_chars=400)
        if st.form_submit_button("Write down the reading"):
            with frame.one_sentence():
                done = skin.read_patch(notebook, _chosen("patch", picked), _chosen("result", result), note)
                state.clear_form(f"reading {key}")
                state.say(_told(done, aliases[done.panelist_id]))
                st.rerun()


def _chosen(name: str, value: str | None) -> str:
    if value is None:
        raise ArgumentError(f"{name} must be chosen.")
    return value


def _named(one: Patch, aliases: Mapping[str, str], now: int) -> str:
    turn = TURNS.get(one.standing(now).kind, "")
    return f"{aliases[one.panelist_id]}, code {one.code}{f', {turn}' if turn else ''}"


def _told(done: Patch, alias: str) -> str:
    last = done.readings[-1]
    if last.result == REACTION:
        return (
            f"Code {done.code} on {alias}: reaction. Wash it off, leave it alone, and get medical help at once for "
            "swelling elsewhere, dizziness or trouble breathing; what waits because of it stands on the tab Reactions."
        )
    stands = done.standing(last.at)
    more = f"read it again from {moment(stands.since, zone())} on" if stands.kind in WAITING else "both readings are in"
    return f"Code {done.code} on {alias}: clear; {more}."


def _cancel(notebook: Notebook, waiting: Sequence[Patch], aliases: Mapping[str, str]) -> None:
    by_id = {one.id: f"{aliases[one.panelist_id]}, code {one.code}" for one in waiting}
    with st.form(state.form_key("cancel patch"), border=False):
        picked = st.selectbox("Patch to cancel", list(by_id), index=None, format_func=by_id.__getitem__)
        reason = st.text_input("Why is it cancelled?", max_chars=400)
        st.caption("It opens nothing then; a reaction to it can still be written down.")
        if st.form_submit_button("Cancel this patch"):
            with frame.one_sentence():
                done = skin.cancel_patch(notebook, _chosen("patch", picked), reason)
                state.clear_form("cancel patch")
                state.say(f"Code {done.code} on {aliases[done.panelist_id]} is cancelled.")
                st.rerun()


# --- later ----------------------------------------------------------------------------------------------------------


def _ask(notebook: Notebook, clear: Sequence[Patch], aliases: Mapping[str, str], labels: Mapping[str, str]) -> None:
    """About patches that speak only once this is answered, else about any: something may change at any time."""
    old = [one for one in clear if not one.speaks(notebook.clock.now())]
    if old:
        st.subheader("What has changed since?", anchor=False)
        _changed(notebook, old, aliases, labels)
    elif clear:
        with st.expander("Something has changed since a clear patch"):
            _changed(notebook, clear, aliases, labels)


def _changed(notebook: Notebook, old: Sequence[Patch], aliases: Mapping[str, str], labels: Mapping[str, str]) -> None:
    st.markdown(SINCE)
    people = list(dict.fromkeys(one.panelist_id for one in old))
    who = st.selectbox("Person with these patches", people, format_func=aliases.__getitem__, key="old patches of")
    mine = {one.id: _patch_named(one, labels) for one in old if one.panelist_id == who}
    with st.form(state.form_key(f"changed {who}"), border=False):
        chosen = st.multiselect("Patches", list(mine), default=list(mine), format_func=mine.__getitem__)
        health = st.radio(ASK_HEALTH, ANSWERS, index=None, horizontal=True)
        batch = st.radio(ASK_BATCH, ANSWERS, index=None, horizontal=True)
        if st.form_submit_button("Write down the answers"):
            with frame.one_sentence():
                said = {"health": _chosen("answer about health", health), "batch": _chosen("answer about batch", batch)}
                changed = [name for name, answer in said.items() if answer == YES]
                skin.say_what_changed(notebook, chosen, changed)
                state.clear_form(f"changed {who}")
                more = "a new patch is needed" if changed else "these patches speak on"
                state.say(f"Written down for {aliases[who]}: {more}.")
                st.rerun()


def _patch_named(one: Patch, labels: Mapping[str, str]) -> str:
    return f"trial {labels[one.trial_id]}, put on {moment(one.applied_at, zone())}"


def _late(notebook: Notebook, known: Iterable[Patch], aliases: Mapping[str, str], now: int) -> None:
    """Whatever is not read as a reaction yet may still turn out to be one, also after it was cancelled."""
    still = [one for one in known if one.standing(now).kind not in (REACTED, *WAITING)]
    if still:
        with st.expander("A reaction that showed later"):
            _reading(notebook, still, aliases, "late", (REACTION,), now)


def _done(known: Iterable[Patch], aliases: Mapping[str, str], labels: Mapping[str, str], now: int) -> None:
    done = [one for one in known if one.standing(now).kind not in WAITING]
    if done:
        with st.expander(f"Done: {len(done)}"):
            st.markdown("\n".join(f"- {frame.plain(_result(one, aliases, labels, now))}" for one in done))


_RESULT: Final = {
    READ: "clear twice, last on {at}",
    REACTED: "reaction on {at}",
    CANCELLED: "cancelled on {at}",
    MISSED: "not read in time",
}


def _result(one: Patch, aliases: Mapping[str, str], labels: Mapping[str, str], now: int) -> str:
    stands = one.standing(now)
    result = _RESULT[stands.kind].format(at=moment(stands.since, zone()))
    notes = "; ".join(each.note for each in one.readings if each.note)
    changed = "; something has changed since" if one.changed else ""
    more = f" ({notes})" if notes else ""
    return f"{aliases[one.panelist_id]}, trial {labels[one.trial_id]}, code {one.code}: {result}{changed}{more}."
