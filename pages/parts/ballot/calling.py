"""On the ballot: when its owner is to smell next. It waits until called, and a tap ends the waiting at any time."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import countdown, house
from parts.ballot import around_questions as words
from parts.ballot import look
from parts.doors import visitor

from evaluation.actions import ballot, doors
from evaluation.actions.ballot import BallotView
from evaluation.errors import MouilletteError, told_to_panelists
from evaluation.sessions import EARLY, SKIN

WAIT: Final = "Wait until you are called"
NOW: Final = "Now"
CALLED: Final = "I was called: smell now"
OPEN: Final = "Keep this page open. Phones may stay silent: listen for your name."
FIRST: Final = "You smell first at {time}, by the timetable as it stands. Wait until you are called."
SOON_MS: Final = 2_000
_CALLED: Final = "ballot called"


def draw(view: BallotView) -> bool:
    """True while the set that comes next is to wait."""
    asked = view.question
    if asked is None or not waits(view):
        return False
    named = words.place(view.method, view.medium, view.set_number, view.sets, view.age_seconds)[0]
    st.html(look.question(WAIT, f"{named}: smell at {clock(view)}. {OPEN}"))
    # A new turn rings again: when the time was moved, not at every run.
    countdown.draw("ballot-countdown", _what(view), view.smell_in, NOW, turn=(view.smell_at or 0) // 1000)
    st.button(CALLED, width="stretch", key="ballot-called", on_click=begin, args=(asked.serving_id,))
    return True


def waits(view: BallotView) -> bool:
    """Whether the time of the set that comes next has not come, and nobody has said that they were called."""
    asked = view.question
    if asked is None or not asked.serving_id or view.smell_at is None or view.begun:
        return False
    early = view.age is not None and view.age.word == EARLY
    if view.smell_in <= (0 if early else SOON_MS):
        return False
    return bool(st.session_state.get(_CALLED) != asked.serving_id)


def _what(view: BallotView) -> str:
    if view.medium == SKIN:
        return "Until you smell the places on your skin"
    return "Your strips are dipped" if view.dipped else "Until you smell"


def begin(serving_id: str, asked: str = "") -> None:
    """The set begins, if nothing is to be asked first. Who is there is looked up anew: a page may outlive its link."""
    known = visitor.current()
    st.session_state[_CALLED] = serving_id  # what is asked comes in the place of the waiting
    if known.role != doors.BALLOT or known.ballot_id is None:
        return
    try:
        ballot.begin(house.current().notebook, known.ballot_id, serving_id, asked)
    except MouilletteError as error:
        st.toast(told_to_panelists(error))


def wait() -> None:
    """Let the person wait again for the next call."""
    st.session_state.pop(_CALLED, None)


def clock(view: BallotView) -> str:
    """The time of day of the next smelling, on the clocks of the session."""
    at = datetime.fromtimestamp((view.smell_at or 0) / 1000, UTC).astimezone(ZoneInfo(view.zone))
    return f"{at:%H:%M:%S}" if at.second else f"{at:%H:%M}"


def first(view: BallotView) -> tuple[str, ...]:
    """A line for the waiting page; nothing where no time is known."""
    return () if view.smell_at is None else (FIRST.format(time=clock(view)),)
