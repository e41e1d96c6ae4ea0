"""Skin on the ballot: its cautions, where each code is, the stop one tap away on every screen, and what to do then."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from secrets import randbits
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import house
from parts.ballot import around_questions as words
from parts.ballot import look, scripts
from parts.doors import visitor

from evaluation.actions import ballot, doors
from evaluation.actions.ballot import BallotView
from evaluation.errors import MouilletteError, told_to_panelists
from evaluation.ground.markup import Html
from evaluation.serving import cautions as stated
from evaluation.serving import smelling
from evaluation.sessions import SKIN

UNWELL: Final = "unwell"
SKIN_STOP: Final = "Stop, my skin reacts"
# What to do comes before anything else, and stands alone: no question of the study beside it.
TO_DO: Final = MappingProxyType(
    {
        SKIN: (
            "Wash it off and tell the conductor now",
            (
                "Wash the place with plain soap and water. Then leave it alone: no rubbing, nothing put on it.",
                "Tell the conductor now, by voice: your stop is on their screen too.",
                "Swelling elsewhere, dizziness or trouble breathing: get medical help at once.",
                "If it gets worse, or anything shows in the next days: tell the conductor, and ask a doctor.",
            ),
        ),
        UNWELL: (
            "Go into fresh air and tell the conductor",
            (
                "Put the strip down. What is on your skin you may wash off with plain soap and water.",
                "Tell the conductor now, by voice: your stop is on their screen too.",
                "Trouble breathing, swelling or dizziness that stays: get medical help at once.",
                "What you have locked stays stored; you may close this page.",
            ),
        ),
    }
)
NOTHING_MORE: Final = "Nothing more is asked of you here. Thank you."
GO_ON: Final = "I have told the conductor and want to go on"
GO_ON_STRIPS: Final = f"{GO_ON} with the strips"
SKIN_STOPPED: Final = (
    "Your stop is stored, and nothing more on skin is asked of you. Swelling elsewhere, dizziness or trouble "
    "breathing: get medical help at once."
)
WENT_ON: Final = "You stopped and went on. Your stop is stored; stop again whenever you need to."
_AGAIN: Final = "stopped again"  # random, as the turn of a notice is
PLACES: Final = "On your skin"
NEW_PLACES: Final = "Now smell the places on your skin, without touching or rubbing them."

WELCOME_SKIN: Final = (
    "Trials were put on your inner forearms, each under a three-digit code. One question at a time: choose, then lock. "
    "A locked answer is final. A guess is a good answer.",
    "Do not talk about what you smell until everybody is done.",
)
WELCOME_BOTH: Final = (
    "You get paper strips under three-digit codes, and trials were put on your inner forearms under codes of their "
    "own. One question at a time: choose, then lock. A locked answer is final. A guess is a good answer.",
    WELCOME_SKIN[1],
)
CAUTIONS_SKIN: Final = (
    "Itching, burning, redness or a rash: tap “Stop, my skin reacts”, on every screen, then wash the place with plain "
    "soap and water. You need not give a reason.",
    "Do not rub, wash or cover the places. No flames near until they are dry.",
    stated.SKIN_YOU,
)

# Ours: a frame that no other button of the ballot has, in the colour of a warning.
STYLE: Final = (
    '<style>[data-testid="stMain"] .st-key-stop-skin [data-testid="stButton"] button {border: 3px solid var(--bad);'
    'background: none; min-height: 60px;} [data-testid="stMain"] .st-key-stop-skin [data-testid="stButton"] button p '
    "{color: var(--bad); font-weight: 700; font-size: 1.2rem;}</style>"
)


def welcome(view: BallotView) -> tuple[str, ...]:
    """What comes, before the cautions."""
    if not view.on_skin:
        return words.welcome(view.method, fan=any(one.fan for one in view.ways))
    return WELCOME_BOTH if view.on_strips else WELCOME_SKIN


def cautions(view: BallotView) -> tuple[str, ...]:
    """Those of what this session is smelt on; the last of the usual ones defers to rules and doctors."""
    if not view.on_skin:
        return words.CAUTIONS
    usual = words.CAUTIONS if view.on_strips else (stated.STOP, stated.DEFER)
    return (*CAUTIONS_SKIN, *usual)


def how_to_smell(view: BallotView) -> Iterator[tuple[str, tuple[str, ...]]]:
    """How to smell what this session is smelt on, under a heading each."""
    for at, one in enumerate(view.ways):
        yield (words.HOW_ON_SKIN, smelling.beside_strips(one)) if at else (words.HOW, smelling.lines(one))


def new(view: BallotView) -> str:
    """From the second set on: that there is something new to smell, and the rest before it."""
    rest = smelling.rest(view.way) if view.way else ""
    return f"{NEW_PLACES if view.medium == SKIN else words.NEXT_TRAY} {rest}".strip()


def places(view: BallotView) -> Iterator[Html]:
    """Where each code of the question is, on skin."""
    if view.medium == SKIN and view.question is not None and len(view.question.codes) == len(view.sites):
        named = [f"{code} {site}" for code, site in zip(view.question.codes, view.sites, strict=True)]
        yield look.tray(PLACES, named)


def draw(view: BallotView | None) -> None:
    """At the foot of every screen; after the last answer skin may react still."""
    with st.container(key="ballot-stops"):
        if view is None:
            return
        if view.off_skin:
            st.html(look.refusal(SKIN_STOPPED))
        elif view.on_skin:
            st.html(STYLE)
            st.button(SKIN_STOP, width="stretch", key="stop-skin", on_click=_stop, args=(SKIN,))
        if view.question is not None:  # for who went on after a stop as well
            st.button(words.STOP, type="tertiary", key="stop-unwell", on_click=_stop, args=(UNWELL,))
            if view.unwell:
                st.html(look.smaller(WENT_ON))


def first(view: BallotView | None) -> str:
    """The kind of stop whose screen comes before anything else: until its owner says that they want to go on."""
    if view is None:
        return ""
    stopped = [kind for kind, said in ((SKIN, view.off_skin), (UNWELL, view.unwell)) if said]
    return next((kind for kind in stopped if not st.session_state.get(_went_on(view.ballot.id, kind))), "")


def to_do(view: BallotView, kind: str) -> None:
    """What to do and whom to tell, alone on the screen; what is left of the study lies behind a tap of its own."""
    title, lines = TO_DO[kind]
    st.html(look.first_aid(title, lines))
    with st.container():
        if kind == UNWELL and view.on_skin and not view.off_skin:
            st.html(STYLE)
            st.button(SKIN_STOP, width="stretch", key="stop-skin", on_click=_stop, args=(SKIN,))
    with st.container():
        if view.question is not None or (view.state == "sealed" and view.sets):
            label = GO_ON_STRIPS if view.off_skin else GO_ON
            st.button(label, type="tertiary", key="stop-go-on", on_click=_go_on, args=(_went_on(view.ballot.id, kind),))
        else:
            st.html(look.refusal(NOTHING_MORE))
    st.html(scripts.announcement(_turn(view, kind), title), unsafe_allow_javascript=True)


def _go_on(key: str) -> None:
    st.session_state[key] = True


def _went_on(ballot_id: str, kind: str) -> str:
    return f"went on after {kind} {ballot_id}"


def _turn(view: BallotView, kind: str) -> int:
    """One number for each stop screen, so that it is spoken and takes the focus once at each stop."""
    again = st.session_state.get(_AGAIN, "")
    return int.from_bytes(hashlib.sha256(f"{_went_on(view.ballot.id, kind)}{again}".encode()).digest()[:6])


def _stop(kind: str) -> None:
    """Stored before anything is drawn. Who is there is looked up anew: a page may outlive its link."""
    known = visitor.current()
    if known.role != doors.BALLOT or known.ballot_id is None:
        return
    if st.session_state.pop(_went_on(known.ballot_id, kind), False):  # what to do comes first at every stop
        st.session_state[_AGAIN] = randbits(48)
    try:
        ballot.stop(house.current().notebook, known.ballot_id, kind)
    except MouilletteError as error:
        st.toast(told_to_panelists(error))
