"""One more sitting of a series, and ending it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import streamlit as st
from parts import frame, state
from parts.book import change_told

from evaluation.actions import book, series_sittings
from evaluation.actions.series_sittings import SeriesFound
from evaluation.planning.outlook import sets_a_sitting
from evaluation.serving import cautions
from evaluation.sessions import Plan
from evaluation.store import Notebook
from evaluation.wording.of_verdicts import count

ASK_EVERYBODY: Final = (
    "Everybody in each sitting is simplest: only when every named person has answered equally often may everything be "
    "read. Who cannot come today smells in a sitting of their own, before the round is read."
)


def ask(notebook: Notebook, found: SeriesFound) -> None:
    """Who smells next, and how many sets; sealing leads on to the bench."""
    st.subheader("Next sitting", anchor=False)
    if found.running:
        st.info(
            f"Sealed and not opened yet: {count(found.running, 'sitting', 'sittings')}. Smell it, close it and open "
            "its key first, or go on with people who are not in it."
        )
    aliases = _aliases(notebook, found)
    if not aliases:
        frame.empty("Nobody who may take part is active on the panel.", "panel.py", "Open the panel")
        return
    open_panel = found.sealed.series.open_panel
    number = len(found.sittings) + found.running + 1
    if len(found.sealed.series.parts) == 1:
        plan = found.sealed.plan
        change_told.show_unlike(notebook, plan.first_trial_id, plan.second_trial_id, plan.meant)
    with st.form(f"sitting {found.sealed.id} {number}"):
        people = st.multiselect(
            "Who smells in it",
            list(aliases),
            default=[] if open_panel else list(aliases),
            format_func=aliases.__getitem__,
        )
        sets = 1 if open_panel or found.sealed.kind.once_a_day else _sets(found.sealed.plan)
        parts = list(found.sealed.series.parts)
        up = found.added.trace.next_up if found.added.trace is not None else ""
        place = parts.index(up) if up in parts else 0
        part = parts[0] if len(parts) == 1 else st.selectbox("Which suspect", parts, place)
        st.caption("Fresh faces only, each once." if open_panel else ASK_EVERYBODY)
        st.caption(cautions.ASK_BEFORE_STRIPS)
        if st.form_submit_button("Seal this sitting", type="primary"):
            with frame.one_sentence():
                title = f"{found.sealed.plan.title[:100]}, sitting {number}"
                sealed = series_sittings.seal_sitting(notebook, found.sealed.id, title, people, sets, part)
                state.choose_session(sealed.id, sealed.plan.brief_id)
                state.say(f"“{title}” is sealed: prepare and smell it on the bench.")
                st.switch_page("solo.py" if sealed.plan.solo else "bench.py")


def _sets(plan: Plan) -> int:
    """How many sets each smells: as many as a nose bears in a sitting; votes are one a sitting."""
    if plan.kind.once:
        return 1
    step = 2 if plan.solo and plan.kind.mixed else 1  # alone each pair of sets holds both compositions
    most = max(step, sets_a_sitting(plan.method) // step * step)
    return int(st.number_input("Sets each", step, most, min(most, plan.replicates), step))


def _aliases(notebook: Notebook, found: SeriesFound) -> Mapping[str, str]:
    active = {one.id: one.alias for one in book.panelists(notebook)}
    if not found.sealed.series.open_panel:
        return {one: active[one] for one in found.sealed.series.people if one in active}
    return {one: alias for one, alias in active.items() if one not in found.seated}


def offer_end(notebook: Notebook, found: SeriesFound) -> None:
    """End it before it is settled: nothing more is smelt for it."""
    with st.expander("End this series"), st.form(f"end {found.sealed.id}", border=False):
        st.markdown(
            "What was smelt stays and is told as it stands. A final that is ended counts as one that failed: the next "
            "one of this brief must speak five times louder."
            if found.sealed.kind.keeps
            else "What was smelt stays and is told as it stands; nothing more is added to it."
        )
        reason = st.text_input("Why it ends", max_chars=400)
        if st.form_submit_button("End it"):
            with frame.one_sentence():
                series_sittings.end(notebook, found.sealed.id, reason)
                state.say("It is ended.")
                st.rerun()
