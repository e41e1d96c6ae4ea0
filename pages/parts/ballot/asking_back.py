"""On the ballot: a set begins with a tap, and where its strips are not of their age the ballot asks back first, once.

What is asked is worked out on the server by the function that judges the set afterwards (``ballot.begin``).
"""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import countdown
from parts.ballot import around_questions as words
from parts.ballot import calling as call
from parts.ballot import look
from parts.ballot import stop_screens as stopping

from evaluation.actions.ballot import BallotView
from evaluation.ground.markup import joined
from evaluation.serving.dipping import UNKNOWN, Judged, span
from evaluation.sessions import EARLY, LATE, SKIN, Medium

SMELL: Final = "Smell now"
ANYWAY: Final = "Smell now anyway"
WAIT: Final = "Wait"
NOW: Final = "{named}: smell now"
TAP: Final = "Tap as you take up the first strip."
TAP_SKIN: Final = "Tap as you begin with the first place."
READY: Final = "Wait until strips with these codes are before you."
AGED: Final = "{done} {real} ago, planned {planned}: smell now anyway?"
UNTOLD: Final = (
    "Nobody has tapped “Dipped” for these strips, so their age is not known; planned {planned}. Smell now anyway?"
)
UNTOLD_SKIN: Final = (
    "Nobody has tapped “Applied” for these places, so their age is not known; planned {planned}. Smell now anyway?"
)
BELOW: Final = {
    EARLY: "That is too early. Are these the codes you were called for? Smelt now, they are noted as early.",
    LATE: "That is later than planned, and waiting does not help. Smelt now, they are noted as late.",
    UNKNOWN: "If somebody keeps the times, tell them first. Smelt now, their age stays unknown.",
}


def draw(view: BallotView) -> bool:
    """True while the set that comes next has not begun; nothing while it waits for its time."""
    asked = view.question
    if asked is None or not asked.serving_id or view.begun or view.warm_up or view.age is None or call.waits(view):
        return False
    word = view.age.word
    named = words.place(view.method, view.medium, view.set_number, view.sets, view.age_seconds)[0]
    title = question(view.age, view.medium) if word else NOW.format(named=named)
    on_skin = view.medium == SKIN
    tap = TAP_SKIN if on_skin else TAP if view.set_number > 1 else f"{READY} {TAP}"
    codes = joined(stopping.places(view)) or look.tray(words.TRAY, asked.codes)
    st.html(
        look.line(named, f"planned {words.age(view.age_seconds)}") + look.question(title, BELOW.get(word, "")) + codes
    )
    rest = stopping.new(view) if view.set_number > 1 else ""
    st.html(look.smaller(f"{rest} {tap}".strip()))
    waiting = word == EARLY or view.smell_in > call.SOON_MS
    if waiting:
        st.button(WAIT, type="primary", width="stretch", key="ballot-wait", on_click=call.wait)
    label, kind = (ANYWAY if word else SMELL), ("secondary" if waiting else "primary")
    args = (asked.serving_id, word)
    st.button(label, type=kind, width="stretch", key=f"begin-set-{word}", on_click=call.begin, args=args)  # type: ignore[arg-type]
    if view.smell_at is not None:  # a dip that is tapped meanwhile is seen
        countdown.draw("ballot-looks", "", 0, "", turn=0, bare=True)
    return True


def question(age: Judged, medium: Medium) -> str:
    """What is asked back, with the real age as far as it is known."""
    planned = "" if age.planned is None else span(age.planned.seconds)
    if age.real is None:
        return (UNTOLD_SKIN if medium == SKIN else UNTOLD).format(planned=planned)
    done = "Applied" if medium == SKIN else "Dipped"
    return AGED.format(done=done, real=span(age.real // 1000), planned=planned)


def place(view: BallotView) -> tuple[str, str]:
    """The line above a question of a set: the age its strips really had, and what was planned where that differs."""
    which, usual = words.place(view.method, view.medium, view.set_number, view.sets, view.age_seconds)
    age = view.age
    if age is None or not view.begun or not age.word or view.warm_up:
        return which, usual
    planned = f"planned {words.age(view.age_seconds)}"
    if age.real is None:
        return which, f"age not known, {planned}"
    since = "after application" if view.medium == SKIN else "after dipping"
    return which, f"{age.word}: smelt {span(age.real // 1000)} {since}, {planned}"
