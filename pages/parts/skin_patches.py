"""On the page Skin: coded patch tests, put on both trials of a pair at once and read two days later."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

import streamlit as st
from parts import bench_rows, frame, state
from parts.skin_trials import zone

from evaluation.actions import skin
from evaluation.people import Panelist
from evaluation.skin import CLEAR, PATCH_HOURS, PATCH_LATEST_HOURS, REACTION, Patch, moment
from evaluation.store import Notebook
from evaluation.trials import Trial

HOW: Final = (
    "A small spot of each trial at its strength on skin, away from the places that are smelt, covered by nothing that "
    f"itself irritates. Read it from {PATCH_HOURS} to {PATCH_LATEST_HOURS} hours later; take it off and wash at the "
    "first itch (common practice, no source). A patch here is no diagnosis, and can itself make somebody allergic: do "
    "not repeat it without need."
)
RESULTS: Final = {CLEAR: "Nothing to see: clear", REACTION: "Any redness, swelling, itch or blister: reaction"}


def show(notebook: Notebook, trials: Sequence[Trial], people: Sequence[Panelist]) -> None:
    """Put on, wait, read."""
    st.markdown(HOW)
    if not trials or not people:
        frame.empty("Patch tests need a trial and somebody on the panel.")
        return
    aliases, labels = {one.id: one.alias for one in people}, {one.id: one.label for one in trials}
    _put_on(notebook, aliases, labels)
    known = [one for one in skin.patches(notebook) if one.panelist_id in aliases and one.trial_id in labels]
    _waiting(notebook, skin.unread(known), aliases, labels)
    read = [one for one in known if one.result]
    if read:
        with st.expander(f"Read: {len(read)}"):
            st.markdown("\n".join(f"- {frame.plain(_read(one, aliases, labels))}" for one in read))
        with st.expander("A reaction that showed later"):
            _reading(notebook, [one for one in read if one.result == CLEAR], aliases, "late", (REACTION,))


def _put_on(notebook: Notebook, aliases: Mapping[str, str], labels: Mapping[str, str]) -> None:
    with st.form(state.form_key("patches"), border=False):
        who = st.selectbox("Person", list(aliases), index=None, format_func=aliases.__getitem__)
        chosen = st.multiselect(
            "Trials: both of a pair", list(labels), default=list(labels)[-2:], format_func=labels.__getitem__
        )
        if st.form_submit_button("Draw codes and places; the patches go on now"):
            with frame.one_sentence():
                drawn = skin.put_on_patches(notebook, who or "", chosen)
                state.clear_form("patches")
                first = moment(drawn[0].read_from, zone())
                state.say(f"{len(drawn)} patches on {aliases[drawn[0].panelist_id]}: read them from {first} on.")
                st.rerun()


def _waiting(
    notebook: Notebook, waiting: Sequence[Patch], aliases: Mapping[str, str], labels: Mapping[str, str]
) -> None:
    st.subheader("Waiting to be read", anchor=False)
    if not waiting:
        st.markdown("None.")
        return
    shown = st.toggle("Show which code is which trial (for whoever puts them on)", key="patch trials")
    head = ("Person", "Code", "Where", "Read between", *(("Trial",) if shown else ()))
    bench_rows.table(head, [_row(one, aliases, labels, shown=shown) for one in waiting])
    _reading(notebook, waiting, aliases, "first", (CLEAR, REACTION))


def _row(one: Patch, aliases: Mapping[str, str], labels: Mapping[str, str], *, shown: bool) -> tuple[str, ...]:
    between = f"{moment(one.read_from, zone())} and {moment(one.read_until, zone())}"
    cells = (aliases[one.panelist_id], one.code, one.site, between, *((labels[one.trial_id],) if shown else ()))
    return tuple(map(bench_rows.said, cells))


def _reading(
    notebook: Notebook, patches: Sequence[Patch], aliases: Mapping[str, str], key: str, results: tuple[str, ...]
) -> None:
    by_id = {one.id: one for one in patches}
    with st.form(state.form_key(f"reading {key}"), border=False):
        picked = st.selectbox(
            "Patch to read",
            list(by_id),
            index=None,
            format_func=lambda one: f"{aliases[by_id[one].panelist_id]}, code {by_id[one].code}",
        )
        result = st.radio("What is to be seen", results, index=None, format_func=RESULTS.__getitem__)
        note = st.text_input("Note", max_chars=400)
        if st.form_submit_button("Write down the reading"):
            with frame.one_sentence():
                done = skin.read_patch(notebook, picked or "", result or "", note)
                state.clear_form(f"reading {key}")
                state.say(f"Code {done.code} on {aliases[done.panelist_id]}: {done.result}.")
                st.rerun()


def _read(one: Patch, aliases: Mapping[str, str], labels: Mapping[str, str]) -> str:
    on = moment(one.read_at or 0, zone())
    note = f" ({one.note})" if one.note else ""
    return f"{aliases[one.panelist_id]}, trial {labels[one.trial_id]}, code {one.code}: {one.result} on {on}{note}."
