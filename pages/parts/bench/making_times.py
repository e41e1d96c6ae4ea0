"""The form of the timetable: what the bench can do and who is there when. What does not fit is one sentence."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time
from typing import Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import frame, state, typed_values
from parts.bench import progress
from parts.house import House

from evaluation.actions import live, timetable
from evaluation.actions.timetable import Settings
from evaluation.errors import ArgumentError
from evaluation.ground import intake
from evaluation.ground.intake import shortened
from evaluation.serving.smelling import seconds_of
from evaluation.sessions import Session
from evaluation.timetable import NoFit

ABOUT: Final = (
    "Who dips what when, and who smells when, so that every strip has its age and every nose its rest. Nothing of it "
    "is sealed: it may be planned again until the first dip, and follows by itself afterwards. The strips of a "
    "set are dipped in the order drawn for it, and lie on the tray in that of the ballot."
)
ASK: Final = ("ask me", "the first time", "the second time")
COLUMNS: Final = "Somebody who is not there all the time, one a line, such as “Nose 3: 14:00-15:30, 16:15-18:00”"
TIME: Final = re.compile(r"\d{1,2}:\d{2}", re.ASCII)
SPAN: Final = re.compile(rf"({TIME.pattern})\s*[-–]\s*({TIME.pattern})", re.ASCII)


def ask_for_timetable(here: House, session: Session) -> None:
    """The form; after the first dip, what may still be changed."""
    board = live.board(here.notebook, session.id)
    if board is not None and board.done:
        _change(here, session)
        return
    st.markdown(ABOUT)
    zone = ZoneInfo(session.plan.zone)
    today = datetime.fromtimestamp(here.notebook.clock.now() / 1000, UTC).astimezone(zone)
    with st.form(f"timetable {session.id}", border=False):
        left, middle, right = st.columns(3)
        day = left.date_input("Day", today.date())
        begins = middle.text_input(f"First dip at ({session.plan.zone})", f"{today:%H:%M}", max_chars=5)
        ends = right.text_input("All over by (may stay empty)", max_chars=5)
        preparers = left.text_input("Preparers", "1", max_chars=2)
        named = "Pairs dipped a minute, both strips at once" if session.plan.strips_a_code > 1 else "Dips a minute"
        dips = middle.text_input(named, str(timetable.dips_a_minute(session.plan)), max_chars=2)
        smell = right.text_input(
            "Seconds to smell one set",
            str(seconds_of(session.plan)),
            max_chars=4,
            help="From its first strip to the locked answer, with the pauses between its strips.",
        )
        rest = left.text_input("Rest between two sets, seconds", "180", max_chars=5)
        sets = middle.text_input("Sets in one sitting", "4", max_chars=2)
        pause = right.text_input("Break between sittings, minutes", "15", max_chars=4)
        coming = st.text_area(COLUMNS, max_chars=4000)
        keeper = ""
        if timetable.needs_keeper(session.plan):
            keeper = st.text_input("Who keeps the strips until the next day, open, and in which room", max_chars=200)
        twice = st.selectbox("If a time comes twice that day, because clocks go back, it means", ASK)
        if st.form_submit_button("Plan the timetable", type="primary"):
            with frame.one_sentence():
                clocks = _Clocks(session.plan.zone, day, twice)
                begin = clocks.instant(begins)
                _made(
                    here,
                    session,
                    Settings(
                        begin,
                        preparers=_whole("preparers", preparers),
                        dips_per_minute=_whole("dips a minute", dips),
                        smell_seconds=_whole("seconds to smell", smell),
                        rest_seconds=_whole("rest", rest),
                        sets_per_sitting=_whole("sets in one sitting", sets),
                        break_seconds=60 * _whole("break", pause),
                        latest_end=clocks.instant(ends) if ends.strip() else None,
                        there=_coming(here, session, coming, clocks),
                        keeper=keeper,
                    ),
                )


def _made(here: House, session: Session, settings: Settings) -> None:
    found = timetable.make(here.notebook, session.id, settings)
    if isinstance(found, NoFit):
        st.warning(frame.plain(found.sentence))
        for other in found.others[:3]:
            st.caption(frame.plain(f"Or: {other.sentence}"))
        return
    state.say(f"The timetable is kept as revision {found.number}.")
    st.rerun()


def _change(here: House, session: Session) -> None:
    """Once strips are dipped, the rest is planned anew with other hands or another end."""
    st.markdown("Strips are dipped already: what is still to come is planned anew from now, what has happened stays.")
    with st.form(f"change timetable {session.id}", border=False):
        preparers = st.text_input("Preparers from now on", "1", max_chars=2)
        if st.form_submit_button("Plan the rest anew"):
            with frame.one_sentence():
                found = live.flow(here.notebook, session.id, "changed", {"preparers": _whole("preparers", preparers)})
                if isinstance(found, NoFit):
                    st.warning(frame.plain(found.sentence))
                    return
                state.say("The rest is planned anew." if found else "Nothing had to move.")
                st.rerun()


class _Clocks:
    """Times of day of one day in the zone of the session; what does not exist or comes twice is asked about."""

    def __init__(self, zone: str, day: date, twice: str) -> None:
        self._zone, self._day, self._twice = zone, day, twice

    def instant(self, typed: str) -> int:
        said = typed.strip()
        try:
            at = time.fromisoformat(said.rjust(5, "0")) if TIME.fullmatch(said) else None
        except ValueError:  # 24:61
            at = None
        if at is None:
            raise ArgumentError(f"time must be a time of day such as 14:05, not {shortened(said)}.")
        found = timetable.instants(datetime.combine(self._day, at), self._zone)
        if not found:
            raise ArgumentError(f"{said} does not exist on that day: the clocks go forward. Type another time.")
        if len(found) > 1 and self._twice == ASK[0]:
            raise ArgumentError(f"{said} comes twice on that day: say below which one is meant.")
        return found[-1] if self._twice == ASK[2] else found[0]


def _coming(here: House, session: Session, typed: str, clocks: _Clocks) -> dict[int, tuple[tuple[int, int], ...]]:
    seats = {one.alias: one.seat for one in progress.seats_of(here, session.id) if one.panelist_id is not None}
    found: dict[int, tuple[tuple[int, int], ...]] = {}
    intake.check_size(len(typed), intake.LINE)
    for line in filter(None, map(str.strip, typed.splitlines())):
        alias, _, spans = line.rpartition(": ") if ": " in line else ("", "", line)
        if alias.strip() not in seats:
            raise ArgumentError(f"{shortened(line)} must begin with the name of somebody who sits here, then a colon.")
        named = SPAN.findall(spans)
        if not named:
            raise ArgumentError(f"{shortened(line)} must name times such as 14:00-15:30.")
        found[seats[alias.strip()]] = tuple((clocks.instant(a), clocks.instant(b)) for a, b in named)
    return found


def _whole(name: str, text: str) -> int:
    value = typed_values.number(name, text, "2")
    if value != int(value):
        raise ArgumentError(f"{name} must be a whole number, not {shortened(text.strip())}.")
    return int(value)
