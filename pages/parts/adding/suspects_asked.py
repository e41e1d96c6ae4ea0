"""Tracing an off-note: suspects ticked in a formula, the note named, bottles written, series sealed, next sitting."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final
from urllib.parse import urlencode

import streamlit as st
from parts import frame, small_tables, state, typed_values
from parts.book import change_told

from evaluation.actions import tracing
from evaluation.actions.series_sittings import SeriesFound
from evaluation.actions.tracing import Asked, Suspectable
from evaluation.ground.markup import template
from evaluation.ground.tables_digits import significant
from evaluation.judging.suspecting import fewest_right
from evaluation.planning.outlook import sets_a_sitting
from evaluation.series.off_notes import FEWEST, FEWEST_ANSWERS, METHOD, MOST, MOST_ANSWERS
from evaluation.serving import cautions
from evaluation.store import Notebook
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial, trial_name
from evaluation.wording import of_suspects

NO_SOLVENT: Final = (
    "No material of this formula is marked as solvent or carrier: mark the one the concentrate is made up with, in the "
    "trial book under “Solvents and carriers in it”."
)
SEAL_NEXT: Final = "Seal the next sitting"
SEAL_WITHOUT: Final = "Seal it all the same: of these bottles that will never be written"
_LINK: Final = template('<a href="{{ address }}" target="_blank">{{ words }}</a>')
_LINKS: Final = template("<p>{% for link in links %}{{ link }}{% if not loop.last %} · {% endif %}{% endfor %}</p>")
WRITTEN: Final = "The bottles are written into the trial book, each with its formula and a batch sheet."


def ask(notebook: Notebook, trials: Sequence[Trial], people: Sequence[Panelist]) -> None:
    """Which trial, which suspects, which note, who smells; then the bottles and the seal."""
    labels = {one.id: trial_name(one.label) for one in trials}
    trial = st.selectbox("Trial the note is in", list(labels), len(labels) - 1, format_func=labels.__getitem__)
    listed = {one.material.id: one for one in tracing.suspectable(notebook, trial)}
    if tracing.solvent_of(notebook, trial) is None:
        st.warning(NO_SOLVENT)
        frame.page_link("briefs.py", "Mark the solvent, in the trial book")
        return
    chosen = st.pills(
        f"Suspects, {FEWEST} to {MOST}: tap to add or leave out",
        list(listed),
        selection_mode="multi",
        wrap=True,
        format_func=lambda each: _named(listed[each]),
        key=f"suspects {trial}",
    )
    note = st.text_input(
        "The note, as a word that fits “Which one is more …?”", placeholder="rubbery", max_chars=40, key="off-note"
    )
    aliases = {one.id: one.alias for one in people}
    named = st.multiselect("Who smells", list(aliases), list(aliases), format_func=aliases.__getitem__)
    makers = st.multiselect("Who of them made it or knows the formula", named, format_func=aliases.__getitem__)
    one, two, three = st.columns(3)
    age = one.text_input("Strip age in minutes", "30", key="off-note age")
    sets = two.number_input("Pairs a nose and sitting", 1, sets_a_sitting(METHOD), 2)
    cap = three.number_input("Answers about one suspect, at most", FEWEST_ANSWERS, MOST_ANSWERS, tracing.USUAL_CAP)
    _told(len(chosen), int(cap))
    with st.container(horizontal=True):
        wrote = st.button("Write the bottles", key="write bottles", disabled=not chosen)
        sealed = st.button("Seal the series", type="primary", key="seal trace", disabled=not chosen)
    if wrote:
        with frame.one_sentence():
            tracing.write_bottles(notebook, trial, chosen)
            state.say(WRITTEN)
            st.rerun()
    if sealed:
        with frame.one_sentence():
            (strip_age,) = typed_values.strip_ages(age, "10")[:1]
            zone = st.context.timezone or "UTC"
            asked = Asked(note, tuple(named), strip_age, int(cap), int(sets), zone, tuple(makers))
            made = tracing.seal_trace(notebook, trial, chosen, asked)
            state.say(f"“{made.plan.title}” is sealed. {WRITTEN}")
            st.rerun()
    _bottles(listed)


def _named(one: Suspectable) -> str:
    return f"{frame.plain(one.material.name)} {significant(float(one.share * 100), 2)} %"


def _told(suspects: int, cap: int) -> None:
    """What such a series asks, before anything is sealed."""
    if suspects < FEWEST:
        return
    alpha = float(tracing.ALPHA)
    lines = [
        of_suspects.needed_words(suspects, alpha),
        f"At the soonest {fewest_right(suspects / alpha)} answers about one suspect, all finding the note stronger "
        f"with it; {2 * cap * suspects} strips if nobody ever stands out.",
        of_suspects.MIX,
        of_suspects.NAMES,
    ]
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
    st.caption(cautions.ASK_BEFORE_STRIPS)


def _bottles(listed: Mapping[str, Suspectable]) -> None:
    """The bottles there are, and what stands in each in the place of its suspect."""
    rows = [
        (one.bottle.label, f"{significant(float(one.share * 100), 3)} % of the whole, for {one.material.name}")
        for one in listed.values()
        if one.bottle is not None
    ]
    if rows:
        with st.expander("Bottles without a suspect, in the trial book"):
            small_tables.table(("Bottle", "Solvent in its place"), rows)
            st.markdown(of_suspects.MIX)
            frame.page_link("briefs.py", "Batch sheets, in the trial book")


def offer_next(notebook: Notebook, found: SeriesFound) -> None:
    """The sitting that would tell most, sealed with one press where its bottles are written down."""
    trace = found.added.trace
    if trace is None or not trace.next_up:
        return
    _weighing(found)
    suspect = tracing.waiting(found)
    if found.running:
        st.info(f"{found.running} sitting is sealed and not opened yet: what it says may change who is smelt next.")
    people, sets = len(found.sealed.series.people), found.sealed.plan.replicates
    st.markdown(
        frame.plain(
            f"The next sitting asks {people} noses about {suspect}, {sets} pairs each: {2 * people * sets} strips. "
            f"Each pair is drawn by itself. {of_suspects.UNTOLD}"
        )
    )
    change_told.show_unlike(notebook, *found.sealed.series.parts[suspect])
    ready = _written_down(notebook, found)
    if st.button(SEAL_NEXT, type="primary", key=f"next {found.sealed.id}", disabled=not ready):
        with frame.one_sentence():
            session = tracing.next_sitting(notebook, found.sealed.id)
            state.choose_session(session.id, session.plan.brief_id)
            state.say(f"“{session.plan.title}” is sealed: prepare and smell it on the bench.")
            st.switch_page("bench.py")


def _written_down(notebook: Notebook, found: SeriesFound) -> bool:
    """Whether it may be sealed: days and strengths stand in the book, or it is ticked that they never will."""
    lacking = tracing.unwritten(notebook, found)
    if not lacking:
        return True
    st.warning(frame.plain(of_suspects.unwritten_words(lacking)))
    frame.page_link("briefs.py", "Write it down, in the trial book")
    return st.checkbox(SEAL_WITHOUT, key=f"without {found.sealed.id} {len(found.sessions)}")


def _weighing(found: SeriesFound) -> None:
    """One sheet for the whole trial and every bottle, as long as there is more to smell."""
    with st.expander("Weigh the bottles: one sheet for all", expanded=not found.sessions):
        left, right = st.columns(2)
        asked = {
            "grams": left.text_input("Concentrate in each flask, g", "10", key=f"trace grams {found.sealed.id}"),
            "step": right.text_input("Step of the scale, g", "0.001", key=f"trace step {found.sealed.id}"),
        }
        address = f"/sheets/{found.sealed.id}/trace-weighing"
        forms = {"pdf": "Weighing sheet (PDF)", "html": "to print from the browser"}
        made = [_LINK(address=f"{address}?{urlencode(asked | {'form': form})}", words=forms[form]) for form in forms]
        st.html(_LINKS(links=made))
        st.caption(
            "It mixes what all bottles share once, then flask by flask, and tells what each holds: keep it from "
            "everybody who smells."
        )
