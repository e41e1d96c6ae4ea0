"""What may happen between seal and close: start, a spoilt set, a deviation, a late guest, close, void."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st
from parts import frame, state
from parts.bench import progress, trays
from parts.house import House

from evaluation.actions import bench, book, timetable
from evaluation.actions.bench import SeatProgress
from evaluation.sessions import DEVIATIONS, Session

WHOLE_SEAT = ""
HAPPENED = {
    "early": "Smelt too early for its strip age",
    "late": "Smelt too late for its strip age",
    "wrong strip": "A strip of another set or trial was served",
    "ruined strip": "A strip was spoilt",
    "unblinded": "Learnt what a code stands for",
    "overheard": "Heard or saw another’s answer",
    "recognised": "Recognised a strip by sight, touch or wetness",
    "wrong code": "Locked another code than the one meant",
}


def start(here: House, session: Session) -> None:
    """The tap that opens the ballots, with what is to be done before it."""
    st.markdown(
        "First prepare the strips from the key and hand out the links, both below. The ballots open when smelling "
        "starts; until then a panelist’s link shows a waiting page."
    )
    if timetable.latest(here.notebook, session) is None:
        st.markdown(
            "**No timetable yet.** Without one nobody is told when to dip or to smell and nobody taps “Dipped”, so how "
            "old the strips really were will not be known. Plan it below first, or keep the times by hand."
        )
    if st.button("Start smelling", type="primary", key="start smelling"):
        with frame.one_sentence():
            bench.start(here.notebook, session.id)
            state.say("Smelling has started: the ballots take answers.")
            st.rerun()


def close(here: House, session: Session, people: Sequence[SeatProgress]) -> None:
    """Close, after saying how many of ``people`` have not finished: those the progress beside it was drawn from."""
    unfinished = sum(not seat.finished for seat in people)
    with st.columns(2)[0].popover("Close the session", type="primary", width="stretch"):
        st.markdown(_closing(unfinished, len(people)))
        if st.button("Close now", type="primary", key="close now"):
            with frame.one_sentence():
                bench.close(here.notebook, session.id)
                state.say("The session is closed. Its key can be opened on the findings page.")
                st.rerun()


def _closing(unfinished: int, people: int) -> str:
    after = "After closing no answer can be added."
    if not unfinished:
        return f"Everybody has finished. {after}"
    verb = "has" if unfinished == 1 else "have"
    return (
        f"**{unfinished} of {people} {verb} not finished.** What is missing stays missing; it is not counted as wrong. "
        f"{after}"
    )


def void(here: House, session: Session) -> None:
    """Give the session up, with a reason."""
    with st.popover("Declare void", width="stretch"):
        st.markdown("A void session keeps everything and yields no verdict. This cannot be taken back.")
        reason = st.text_input("Reason", max_chars=400, key="void reason")
        if st.button("Declare the session void", key="void now"):
            with frame.one_sentence():
                bench.void(here.notebook, session.id, reason)
                state.say("The session is void. Everything in it is kept.")
                st.rerun()


def spoilt(here: House, session: Session) -> None:
    """Put a set aside; the seat's spare set takes its place."""
    names = trays.aliases(here, session)
    served = [s for s in bench.servings(here.notebook, session.id) if not s.void and not s.spare and s.seat in names]
    by_id = {s.id: s for s in served}
    st.markdown(
        "The seat’s spare set is served instead, with new codes. Answers already given to the spoilt set are kept but "
        "do not count."
    )
    with st.form(state.form_key("spoilt"), border=False):
        picked = st.selectbox(
            "Spoilt set",
            list(by_id),
            index=None,
            format_func=lambda one: trays.set_name(session, names, by_id[one]),
        )
        reason = st.text_input("Reason", max_chars=400)
        if st.form_submit_button("Put aside and serve the spare set"):
            with frame.one_sentence():
                spare = bench.void_serving(here.notebook, session.id, picked or "", reason)
                state.clear_form("spoilt")
                state.say(f"{names[spare.seat]} is served the spare set {' '.join(spare.codes)} instead.")
                st.rerun()


def deviation(here: House, session: Session) -> None:
    """Write down what did not go by the plan."""
    names = trays.aliases(here, session)
    served = {s.id: s for s in bench.servings(here.notebook, session.id) if not s.void and not s.spare}
    kept_out = ", ".join(session.plan.set_apart)
    st.markdown(f"Sealed rule: these leave the main analysis: {kept_out}. The findings show the count both ways.")
    seat = st.selectbox("Person", list(names), index=None, format_func=names.__getitem__, key="deviation seat")
    sets = [WHOLE_SEAT, *(s.id for s in served.values() if s.seat == seat)]
    with st.form(state.form_key("deviation"), border=False):
        serving_id = st.selectbox(
            "Which set",
            sets,
            format_func=lambda one: trays.set_name(session, names, served[one]) if one else "All sets of this person",
        )
        kind = st.selectbox("What happened", DEVIATIONS, index=None, format_func=HAPPENED.__getitem__)
        reason = st.text_input("Reason", max_chars=400)
        if st.form_submit_button("Write it down"):
            with frame.one_sentence():
                bench.note_deviation(here.notebook, session.id, seat or 0, kind or "", reason, serving_id)
                state.clear_form("deviation")
                state.say(f"Noted for {names[seat] if seat else ''}: {kind}.")
                st.rerun()


def seat_somebody(here: House, session: Session) -> None:
    """Give a free spare seat to somebody of the panel."""
    seats = progress.seats_of(here, session.id)
    sitting = {seat.panelist_id for seat in seats}
    free = [seat.seat for seat in seats if seat.panelist_id is None]
    people = {one.id: one.alias for one in book.panelists(here.notebook) if one.id not in sitting}
    if not free:
        st.markdown("This session has no free spare seat. Nobody joins a sealed session otherwise.")
        return
    with st.form(state.form_key("seat"), border=False):
        panelist_id = st.selectbox(
            "Who takes the next spare seat", list(people), index=None, format_func=people.__getitem__
        )
        if st.form_submit_button("Seat this person"):
            with frame.one_sentence():
                bench.seat_person(here.notebook, session.id, free[0], panelist_id or "")
                state.say(f"{people.get(panelist_id or '', '')} sits on seat {free[0]}.")
                st.rerun()
