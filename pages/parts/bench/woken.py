"""After a sleep of the machine, or of the page: what the bench missed, until somebody has read it."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame
from parts.house import House

from evaluation.actions import live
from evaluation.actions.live import Missed
from evaluation.sessions import Session
from evaluation.wording.of_bench import missed_words

ASLEEP_MS: Final = (
    60_000  # the bench looks every few seconds: longer without a look, and something may have been missed
)
SEEN: Final = "Seen"
_looked: dict[str, int] = {}  # when any bench of this process last looked at a session
_missed: dict[str, Missed] = {}


def look(here: House, session: Session) -> None:
    """Before the timetable follows what is late: was nobody looking, and what was due meanwhile?"""
    now = here.notebook.clock.now()
    last = _looked.get(session.id)
    _looked[session.id] = now
    if last is None or now - last < ASLEEP_MS or session.state != "smelling":
        return
    found = live.missed(here.notebook, session.id, last)
    if found is not None:
        _missed[session.id] = found


def tell(session: Session) -> None:
    """What was missed, and a tap that takes it away."""
    found = _missed.get(session.id)
    if found is None:
        return
    st.warning(frame.plain(missed_words(found.since, found.until, found.zone, _things(found))))
    if st.button(SEEN, key="missed seen"):
        _missed.pop(session.id, None)
        st.rerun()


def _things(found: Missed) -> tuple[tuple[str, str, int, int], ...]:
    """What was to be done, for whom, which set, and when."""
    dips = ((("apply for" if one.sites else "dip for"), one.alias, one.number, one.at) for one in found.dips)
    return (*dips, *(("call", one.alias, one.number, one.at) for one in found.calls))
