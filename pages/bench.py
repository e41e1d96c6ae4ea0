"""Bench: who smells which codes in which order, the links, live progress, and everything between seal and close."""

from __future__ import annotations

from functools import partial
from typing import Final

import streamlit as st
from parts import (
    bench_choose,
    bench_key,
    bench_links,
    bench_live,
    bench_log,
    bench_looks,
    bench_rows,
    bench_sheets,
    bench_steps,
    bench_stops,
    bench_times,
    bench_timing,
    bench_trays,
    frame,
    house,
)
from parts.house import House

from evaluation import cautions, wording
from evaluation.sessions import SKIN, Session

STATES: Final = ("sealed", "smelling", "closed")
CAUTIONS: Final = (
    "A strip is smelt by one person only and never passed on. The strips of one set are dipped together, in the order "
    "drawn for it, within 10 % of the strip age or 20 s, whichever is less. Nobody talks about the strips until "
    f"everybody has finished. {cautions.ASK_BEFORE_STRIPS}"
)

SKIN_CAUTIONS: Final = (
    "On skin: wash with unscented soap, rinse, dry and wait 30 min before applying; equal small amounts, no rubbing; "
    "places at least 5 cm apart on one arm; nothing else on them for 24 h before and after (common practice, no "
    f"source). Never undiluted, and only what the skin gate has let through. {cautions.SKIN_RULE} "
    f"{cautions.ASK_ON_THE_DAY} Follow current safety standards, your local rules and licensed advice; this tool gives "
    "none."
)


def show(here: House) -> None:
    frame.page(
        "Bench", "The sealed session on the table: trays, links, progress, and closing.", caution=True, wide=True
    )
    session = bench_choose.pick(here.notebook, STATES, "bench session", solo=False)
    if session is None:
        frame.empty(
            "No sealed session is waiting. Plan one, seal it, and it comes here to be prepared and smelt. A session "
            "smelt alone is led on the page Alone.",
            "plan.py",
            "Plan a session",
        )
        return
    bench_stops.show(here, session)
    st.caption(CAUTIONS)
    if SKIN in session.plan.media:
        st.caption(SKIN_CAUTIONS)
    _head(session)
    if session.state == "sealed":
        bench_steps.start(here, session)
    if session.state == "closed":
        st.markdown("This session is closed: no more answers. The key is opened on the findings page.")
        frame.page_link("findings.py", "Go to the findings")
    _live(here, session)
    _work(here, session)


def _head(session: Session) -> None:
    plan = session.plan
    st.header(frame.plain(plan.title), anchor=False)
    named = f" · more {frame.plain(plan.descriptor)}" if plan.descriptor else ""
    now = bench_choose.STATE_WORDS[session.state].capitalize()
    st.markdown(f"**{now}** · {wording.method_name(plan.method)}{named} · {bench_choose.times(plan)}")
    st.html(f'{bench_rows.STYLE}Sealed with the hash <span class="mo-hash">{session.sealed_hash}</span>')


def _live(here: House, session: Session) -> None:
    bench_times.show(here, session)
    st.header("Progress", anchor=False)
    bench_looks.show(here, session)
    smelling = session.state == "smelling"
    bench_live.show(here, session, partial(bench_steps.close, here, session) if smelling else None)
    with st.columns(2)[0]:
        bench_steps.void(here, session)


def _work(here: House, session: Session) -> None:
    open_now = session.state != "closed"
    if open_now:
        with st.expander("Timetable: plan it, or change it"):
            bench_timing.show(here, session)
        with st.expander("Timetable: by preparer and by person"):
            bench_times.whole(here, session)
        with st.expander("A wrong time of dipping"):
            bench_times.correct(here, session)
        with st.expander("Key for whoever prepares the strips"):
            bench_key.show(here, session)
        with st.expander("Trays: codes in order"):
            bench_trays.show(here, session)
        with st.expander("Links and QR codes", expanded=session.state == "sealed"):
            bench_links.show(here, session)
        with st.expander("Sheets, labels and paper answers"):
            bench_sheets.show(here, session)
        with st.expander("A spoilt set"):
            bench_steps.spoilt(here, session)
    with st.expander("Something did not go by the plan"):
        bench_steps.deviation(here, session)
    if open_now and any(seat.panelist_id is None for seat in session.plan.seats):
        with st.expander("Seat somebody on a spare seat"):
            bench_steps.seat_somebody(here, session)
    with st.expander("Emergency: what is on somebody’s skin"):
        bench_stops.emergency(here, session)
    with st.expander("Log of this session"):
        bench_log.show(here, session)


show(house.current())
