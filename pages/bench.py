"""Bench: who smells which codes in which order, the links, live progress, and everything between seal and close."""

from __future__ import annotations

from functools import partial
from typing import Final

import streamlit as st
from parts import frame, house, small_tables
from parts.bench import (
    choosing,
    continue_or_stop,
    due_now,
    links,
    log_lines,
    making_times,
    preparers_key,
    progress,
    sheet_links,
    steps,
    stops,
    trays,
)
from parts.house import House

from evaluation import wording
from evaluation.serving import cautions
from evaluation.sessions import SKIN, Session

STATES: Final = ("sealed", "smelling", "closed")
CAUTIONS: Final = (
    "A strip is smelt by one person only and never passed on. The strips of one set are dipped together, in the order "
    "drawn for it, within 10 % of the strip age or 20 s, whichever is less. Nobody talks about the strips until "
    f"everybody has finished. {cautions.ASK_BEFORE_STRIPS}"
)

CAUTIONS_OF_PAIRS: Final = (
    "A pair is smelt by one person only and never passed on. Both strips of a pair are dipped at once, the pairs of "
    "one set one after the other, in the order drawn for it, within 10 % of the strip age. Nobody talks about the "
    f"pairs until everybody has finished. {cautions.ASK_BEFORE_STRIPS}"
)

SKIN_CAUTIONS: Final = (
    "On skin: wash with unscented soap, rinse, dry and wait 30 min before applying; equal small amounts, no rubbing; "
    "places at least 5 cm apart on one arm; nothing else on them for 24 h before and after (common practice, no "
    f"source). Never undiluted, and only what the skin gate has let through. {cautions.SKIN_RULE} "
    f"{cautions.ASK_ON_THE_DAY} Follow current safety standards, your local rules and licensed advice; this tool gives "
    "none."
)


def show_bench(here: House) -> None:
    """The whole page for one session that is sealed or further; the key lies behind taps that the log remembers."""
    frame.page(
        "Bench", "The sealed session on the table: trays, links, progress, and closing.", caution=True, wide=True
    )
    session = choosing.pick(here.notebook, STATES, "bench session", solo=False)
    if session is None:
        frame.empty(
            "No sealed session is waiting. Plan one, seal it, and it comes here to be prepared and smelt. A session "
            "smelt alone is led on the page Alone.",
            "plan.py",
            "Plan a session",
        )
        return
    stops.show_stops(here, session)
    st.caption(CAUTIONS_OF_PAIRS if session.plan.strips_a_code > 1 else CAUTIONS)
    if SKIN in session.plan.media:
        st.caption(SKIN_CAUTIONS)
    _head(session)
    if session.state == "sealed":
        steps.start(here, session)
    if session.state == "closed":
        st.markdown("This session is closed: no more answers. The key is opened on the findings page.")
        frame.page_link("findings.py", "Go to the findings")
    anew = session.state != "closed" and links.tell_new_links(here, session)
    _live(here, session)
    _work(here, session, new_links=anew)


def _head(session: Session) -> None:
    plan = session.plan
    st.header(frame.plain(plan.title), anchor=False)
    named = f" · more {frame.plain(plan.descriptor)}" if plan.descriptor else ""
    now = choosing.STATE_WORDS[session.state].capitalize()
    st.markdown(f"**{now}** · {wording.method_name(plan.method)}{named} · {choosing.times(plan)}")
    st.html(f'{small_tables.STYLE}Sealed with the hash <span class="mo-hash">{session.sealed_hash}</span>')


def _live(here: House, session: Session) -> None:
    due_now.show_what_is_due(here, session)
    st.header("Progress", anchor=False)
    continue_or_stop.show_newest_look(here, session)
    smelling = session.state == "smelling"
    progress.show_progress(here, session, partial(steps.close, here, session) if smelling else None)
    with st.columns(2)[0]:
        steps.void(here, session)


def _work(here: House, session: Session, *, new_links: bool) -> None:
    open_now = session.state != "closed"
    if open_now:
        with st.expander("Timetable: plan it, or change it"):
            making_times.ask_for_timetable(here, session)
        with st.expander("Timetable: by preparer and by person"):
            due_now.whole(here, session)
        with st.expander("A wrong time of dipping"):
            due_now.correct(here, session)
        with st.expander("Key for whoever prepares the strips"):
            preparers_key.show_key(here, session)
        with st.expander("Trays: codes in order"):
            trays.list_trays(here, session)
        with st.expander("Links and QR codes", expanded=new_links or session.state == "sealed"):
            links.show_ballot_links(here, session)
        with st.expander("Sheets, labels and paper answers"):
            sheet_links.list_sheets(here, session)
        with st.expander("A spoilt set"):
            steps.spoilt(here, session)
    with st.expander("Something did not go by the plan"):
        steps.deviation(here, session)
    if open_now and any(seat.panelist_id is None for seat in session.plan.seats):
        with st.expander("Seat somebody on a spare seat"):
            steps.seat_somebody(here, session)
    with st.expander("Emergency: what is on somebody’s skin"):
        stops.emergency(here, session)
    with st.expander("Log of this session"):
        log_lines.show_log(here, session)


show_bench(house.current())
