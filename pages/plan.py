"""Plan: what is decided before anybody smells, what such a panel can find, and the seal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

import streamlit as st
from parts import frame, house, state
from parts.book import pickers, pinned_on
from parts.plan import (
    as_series,
    bench_fits,
    exact_list,
    fields,
    filled_form,
    lines_told,
    live_numbers,
    separated_draft,
    skin_medium,
    typed_kept,
)
from parts.plan.filled_from import Room
from parts.plan.typed import Typed

from evaluation import wording
from evaluation.actions import aims, book, bottle_book, skin_gate
from evaluation.actions import plan as planning
from evaluation.actions import seal as sealing
from evaluation.errors import MouilletteError, NotFound
from evaluation.planning import sizes
from evaluation.sessions import Plan, Session
from evaluation.store import Notebook
from evaluation.values.briefs import Brief
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial
from evaluation.wording import of_draws

SEAL_NOTE: Final = (
    "Sealing freezes this plan with its analysis, hashes it, and draws codes and orders, which only whoever prepares "
    f"may ask for. {of_draws.PLAN_PAGE} Sealing protects against accident and later alteration, not against the "
    "owner of this machine."
)
SEAL_NOTE_ALONE: Final = (
    "Sealing freezes this plan with its analysis, hashes it, and draws the codes; orders come from your shuffle. It "
    "protects against accident and later alteration, not against the owner of this machine."
)
ONE_TRIAL: Final = (
    "Most sessions compare two trials, or two bottles of one, and this brief has one: add another in the trial book. "
    "Beside one trial candidate materials can be smelt."
)
AFTER: Final = {"sealed": "bench.py", "smelling": "bench.py", "closed": "findings.py", "opened": "findings.py"}
SOLO_PAGE: Final = "solo.py"
ONWARD: Final = {"bench.py": "Go to the bench", "findings.py": "Go to the findings", SOLO_PAGE: "Go on alone"}


def show_plan_page(notebook: Notebook) -> None:
    """The whole page: the form of a draft with its live numbers, or a sealed plan as it stands."""
    frame.page(
        "Plan", "Decide everything before anybody smells, and see what such a panel can find.", wide=True, caution=True
    )
    _follow(notebook)
    chosen = pickers.brief(notebook)
    if chosen is None:
        frame.empty("A session belongs to a brief and compares two of its trials. Begin with the trial book.")
        frame.page_link("briefs.py", "Open the trial book")
        return
    trials = {each.id: each for each in bottle_book.smelt(notebook, chosen.id)}
    session = _session(notebook)
    if session is not None and session.plan.brief_id != chosen.id:
        session = None
        state.choose_session(None)
    _sessions(notebook, chosen, session)
    if session is not None and session.state == "draft" and session.plan.design.separation is not None:
        _separated(notebook, session, trials)
    elif session is not None and (session.state != "draft" or session.plan.series_id):
        _sealed(session, trials, book.panelists(notebook, active_only=False))
    elif not trials:
        frame.empty(
            "A session compares two trials, or two bottles of one, and this brief has none: add them in the trial book."
        )
        frame.page_link("briefs.py", "Open the trial book")
    else:
        if len(trials) < 2:
            st.info(ONE_TRIAL)
            frame.page_link("briefs.py", "Open the trial book")
        people = {each.id: each for each in book.panelists(notebook)}
        key = state.form_key("new plan") if session is None else f"plan {session.id}"
        listed = aims.descriptors(notebook, chosen.id)
        if session is None:
            frame.page_link("separate.py", "Several changes at once? Separate them: which does what")
        _form(Room(key, notebook, trials, people, listed), chosen, session)


def _follow(notebook: Notebook) -> None:
    """Coming from another page, stand at the brief of the session chosen there."""
    session = _session(notebook) if pickers.arriving() else None
    if session is not None:
        state.choose_session(session.id, session.plan.brief_id)


def _session(notebook: Notebook) -> Session | None:
    """The chosen session, while it is there."""
    session_id = state.chosen_session()
    if session_id is None:
        return None
    try:
        return planning.session(notebook, session_id)
    except NotFound:
        state.choose_session(None)
        return None


# --- the sessions of the brief ------------------------------------------------------------------------------------


def _sessions(notebook: Notebook, brief: Brief, chosen: Session | None) -> None:
    found = sorted(planning.sessions(notebook, brief.id), key=lambda each: -each.made_at)
    if not found:
        return
    with st.expander(f"Sessions of this brief ({len(found)})", expanded=chosen is None):
        for each in found:
            here = chosen is not None and each.id == chosen.id
            method = wording.method_name(each.plan.method)
            with frame.row():
                st.markdown(f"**{frame.plain(each.plan.title)}** · {method} · {each.state}", width="stretch")
                label = "Continue" if each.state == "draft" else "Show"
                pressed = st.button("Shown below" if here else label, key=f"show {each.id}", disabled=here)
            if pressed:
                state.choose_session(each.id)
                st.rerun()
        if chosen is not None and st.button("New plan", icon=":material/add:"):
            state.choose_session(None)
            st.rerun()


# --- the form -----------------------------------------------------------------------------------------------------


def _form(room: Room, brief: Brief, session: Session | None) -> None:
    st.header("New plan" if session is None else f"Draft: {frame.plain(session.plan.title)}", anchor=False)
    form = _form_name(session)
    typed_kept.put_back(form, room.key)
    typed_kept.tell(form, room.key)
    left, right = st.columns([3, 2], gap="large")
    live_numbers.keep_in_sight()
    with left:
        typed = fields.ask_for_plan(room, _start(room, session), known=session is not None)
    typed_kept.keep(form, room.key)
    if typed is None:
        return
    plan, problem = _built(typed, brief)
    with right, st.container(border=True, key=live_numbers.KEY):
        if plan is None:
            live_numbers.waiting(problem)
        else:
            live_numbers.show_live_numbers(plan)
    if plan is not None:
        skin_medium.show_gate(room.notebook, plan)
        pinned_on.tell_foreseen(room.notebook, plan)
    if plan is not None and session is None:
        as_series.offer(room, plan)
    _ending(room, plan, problem, session)  # below both columns: on a phone the numbers are read before sealing


def _form_name(session: Session | None) -> str:
    """What the form is kept under: the same after the page is loaded anew."""
    return "new plan" if session is None else f"plan {session.id}"


def _start(room: Room, session: Session | None) -> Typed:
    """What the form begins with: the draft, or defaults with the newest two trials and the whole panel."""
    if session is not None:
        return filled_form.typed_of(session.plan)
    newest = [one for one in room.trials.values() if not one.bottle_of][-2:]
    newest = newest if len(newest) == 2 else list(room.trials.values())[-2:]
    first, second = newest[0], newest[-1]  # one and the same where there is but one
    return Typed(
        title="",
        plain_difference=False,
        method="triangle",
        first_trial_id=first.id,
        second_trial_id=second.id,
        people=tuple(room.people),
        zone=st.context.timezone or "UTC",
        null_sets=None,
        size=sizes.USUAL,
    )


def _built(typed: Typed, brief: Brief) -> tuple[Plan | None, str]:
    """The plan, or the sentence that says why there is none yet."""
    try:
        return filled_form.build(typed, brief), ""
    except MouilletteError as error:
        return None, str(error)


def _ending(room: Room, plan: Plan | None, problem: str, session: Session | None) -> None:
    """Keep the draft, remove it, or seal."""
    confirmed = _confirmations(room, plan) if plan is not None else ()
    timed = plan is None or bench_fits.confirmed(plan, room.key)
    st.subheader("Seal", anchor=False)
    st.markdown(SEAL_NOTE_ALONE if plan is not None and plan.solo else SEAL_NOTE)
    with st.container(horizontal=True):
        sealed = st.button("Seal this plan", type="primary", key="seal plan")
        kept = st.button("Save draft", key="save draft")
        removed = session is not None and st.button("Remove draft", key="remove draft")
    if removed and session is not None:
        _remove(room, session)
    elif (sealed or kept) and plan is None:
        frame.refuse(problem)
    elif sealed and not timed:
        frame.refuse(bench_fits.REFUSED)
    elif plan is not None and (sealed or kept):
        finish = _seal if sealed else _keep
        finish(room, replace(plan, confirmed=confirmed), session)


def _confirmations(room: Room, plan: Plan) -> tuple[str, ...]:
    """One tick in words for every verdict that cannot occur."""
    missing = live_numbers.to_confirm(plan)
    if missing:
        st.subheader("Verdicts that cannot occur", anchor=False)
    return tuple(
        verdict
        for verdict in missing
        if st.checkbox(
            live_numbers.confirmation(plan, verdict),
            verdict in plan.confirmed,
            key=f"{room.key} confirm {verdict}",
        )
    )


def _saved(notebook: Notebook, plan: Plan, session: Session | None) -> Session:
    typed_kept.forget(_form_name(session))
    if session is None:
        return planning.add_draft(notebook, plan)
    return planning.change_draft(notebook, session.id, plan)


def _keep(room: Room, plan: Plan, session: Session | None) -> None:
    with frame.one_sentence():
        saved = _saved(room.notebook, plan, session)
        _leave(saved, f"The draft “{plan.title}” is saved.")


def _seal(room: Room, plan: Plan, session: Session | None) -> None:
    with frame.one_sentence():
        sealing.check_outlook(plan)  # before anything is kept: a refused plan leaves all as it was
        skin_gate.check_plan(room.notebook, plan)
        saved = _saved(room.notebook, plan, session)
        state.choose_session(saved.id)
        sealed = sealing.seal(room.notebook, saved.id)
        _leave(sealed, f"“{plan.title}” is sealed.")


def _remove(room: Room, session: Session) -> None:
    with frame.one_sentence():
        planning.remove_draft(room.notebook, session.id)
        typed_kept.forget(_form_name(session))
        state.choose_session(None)
        state.say(f"The draft “{session.plan.title}” is removed.")
        st.rerun()


def _leave(session: Session, sentence: str) -> None:
    state.choose_session(session.id)
    state.clear_form("new plan")
    state.say(sentence)
    st.rerun()


# --- bottles that separate changes --------------------------------------------------------------------------------


def _separated(notebook: Notebook, session: Session, trials: Mapping[str, Trial]) -> None:
    """A draft made on the page Separate changes: who smells, what it finds, and the seal."""
    st.header(f"Draft: {frame.plain(session.plan.title)}", anchor=False)
    people = {each.id: each for each in book.panelists(notebook)}
    room = Room(f"separated {session.id}", notebook, trials, people)
    left, right = st.columns([3, 2], gap="large")
    live_numbers.keep_in_sight()
    with left:
        plan, problem = separated_draft.ask(room, session.plan)
    with right, st.container(border=True, key=live_numbers.KEY):
        if plan is None:
            live_numbers.waiting(problem)
        else:
            live_numbers.show_live_numbers(plan)
    _ending(room, plan, problem, session)


# --- after sealing ------------------------------------------------------------------------------------------------


def _onward(session: Session) -> None:
    """A link to where the session goes on."""
    alone = session.plan.solo and session.state != "opened"
    page = SOLO_PAGE if alone else AFTER[session.state]
    frame.page_link(page, ONWARD[page])


def _sealed(session: Session, trials: Mapping[str, Trial], people: Sequence[Panelist]) -> None:
    st.header(frame.plain(session.plan.title), anchor=False)
    if session.sealed_hash:
        st.markdown(f"This session is **{session.state}**. Its plan can no longer be changed. Sealed hash:")
        st.code(session.sealed_hash, language=None, wrap_lines=True)
        st.caption("The same hash stands on every report of this session: write it down if you want to prove it.")
    if session.state in AFTER:
        _onward(session)
    aliases = {each.id: each.alias for each in people}
    labels = {each.id: each.label for each in trials.values()}
    st.subheader("What was sealed", anchor=False)
    exact_list.show_lines(lines_told.summary(session.plan, labels, aliases), session.plan.design.separation)
    if session.plan.series_id:
        st.markdown("A sitting of a series: its answers count there, and what they can show is a matter of the series.")
        frame.page_link("series.py", "Go to its series")
        return
    with st.container(border=True):
        live_numbers.show_live_numbers(session.plan, settled=True)


show_plan_page(house.current().notebook)
