"""The timetable on the bench: what is due now and next, the tap "Dipped", the call list, and the whole plan."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import countdown, frame, small_tables, state, typed_values
from parts.bench import woken
from parts.doors import visitor
from parts.house import House

from evaluation.actions import bench, live, timetable
from evaluation.actions.live import Board, ToCall, ToDip
from evaluation.errors import MouilletteError
from evaluation.serving.dipping import in_turn
from evaluation.sessions import Session
from evaluation.timetable import NoFit, by_preparer

EVERY: Final = "2.5s"
FRESH_MS: Final = 10_000
SHOWN: Final = 5
NOW: Final = "now"
_KEPT: Final = "live bench kept"
_STUCK: Final = "live bench stuck"


def show_what_is_due(here: House, session: Session) -> None:
    """The live part refreshes itself; nothing without a timetable."""
    if live.board(here.notebook, session.id) is None:
        return
    every = EVERY if session.state in ("sealed", "smelling") else None
    st.fragment(_pulse, run_every=every)(here, session)


def _pulse(here: House, session: Session) -> None:
    visitor.require("conductor")
    woken.look(here, session)
    board = _board(here, session)
    if board is None:
        return
    woken.tell(session)
    if stuck := st.session_state.get(_STUCK, {}).get(session.id):
        st.warning(f"The timetable could not follow what has happened. {frame.plain(stuck)} The last one stands.")
    _next(board)
    left, right = st.columns(2)
    with left:
        _dips(here, session, board)
    with right:
        _calls(board)
    flowed = "" if board.why == "planned" else " It was planned anew as things happened."
    st.caption(f"Timetable, revision {board.revision}; it ends at {clock(board.ends_at, board.zone)}.{flowed}")


def _board(here: House, session: Session) -> Board | None:
    """The board at the newest line of the log, at most ten seconds old; then the plan follows what is late."""
    newest, now = bench.last_event(here.notebook, session.id), here.notebook.clock.now()
    kept = st.session_state.get(_KEPT)
    if kept is None or kept[:2] != (session.id, newest) or not 0 <= now - kept[2] < FRESH_MS:
        _follow(here, session)
        kept = (session.id, newest, now, live.board(here.notebook, session.id))
        st.session_state[_KEPT] = kept
    board: Board | None = kept[3]
    return board


def _follow(here: House, session: Session) -> None:
    if session.state != "smelling":
        return
    try:
        found = live.follow(here.notebook, session.id)
    except MouilletteError as error:
        _stick(session, str(error))
        return
    if found is not None:
        _stick(session, found.sentence if isinstance(found, NoFit) else "")


def _stick(session: Session, sentence: str) -> None:
    st.session_state[_STUCK] = {session.id: sentence}


def _next(board: Board) -> None:
    """The one thing that comes first, large."""
    coming: list[ToDip | ToCall] = [*board.dips[:1], *[one for one in board.calls if one.dipped][:1]]
    if not coming:
        st.markdown("Everything is dipped and smelt." if not board.calls else "Waiting for the last sets.")
        return
    first = min(coming, key=lambda one: one.at)
    label = f"{_verb(first)}: {first.alias}, set {first.number}, {' '.join(first.codes)}"
    countdown.draw("bench-countdown", label, first.at - board.moment, NOW, turn=first.at // 1000, asks=False)


def _verb(one: ToDip | ToCall) -> str:
    if isinstance(one, ToCall):
        return "Call"
    return "Apply" if one.sites else "Dip"


def _dips(here: House, session: Session, board: Board) -> None:
    st.markdown("**To dip**" if board.dips else "**To dip:** nothing more.")
    for one in board.dips[:SHOWN]:
        words, tap = st.columns([3, 1], vertical_alignment="center")
        words.markdown(_dip_line(one, board))
        done = "Applied" if one.sites else "Dipped"
        if tap.button(done, key=f"dipped {one.serving_id}", type="primary" if one == board.dips[0] else "secondary"):
            with frame.one_sentence():
                live.dipped(here.notebook, session.id, one.serving_id)
                st.rerun()
    _more(len(board.dips))


def _dip_line(one: ToDip, board: Board) -> str:
    late = " **late**" if one.late else ""
    codes = " ".join(f"{code} {site}".strip() for code, site in _placed(one))
    hand = f" · preparer {one.preparer}" if any(each.preparer > 1 for each in board.dips) else ""
    return f"**{clock(one.at, board.zone)}**{late} · {frame.plain(one.alias)}, set {one.number}: {codes}{hand}"


def _placed(one: ToDip) -> list[tuple[str, str]]:
    return list(zip(one.codes, one.sites or ("",) * len(one.codes), strict=True))


def _calls(board: Board) -> None:
    st.markdown("**To call**" if board.calls else "**To call:** nobody more.")
    lines = [_call_line(one, board) for one in board.calls[: 2 * SHOWN]]
    st.markdown("\n".join(f"- {line}" for line in lines))
    _more(len(board.calls), 2 * SHOWN)


def _call_line(one: ToCall, board: Board) -> str:
    due = one.at - board.moment <= live.SOON_MS
    said = f"Call {frame.plain(one.alias)}: set {one.number}, smell at {clock(one.at, board.zone)}"
    said = f"**{said}**" if due and one.dipped else said
    if one.late:
        return f"{said} · **late**: kept, and noted"
    return said if one.dipped else f"{said} · not dipped yet"


def _more(count: int, shown: int = SHOWN) -> None:
    if count > shown:
        st.caption(f"and {count - shown} more")


def clock(instant: int, zone: str) -> str:
    """Time of day, with the day where it is another one than the first."""
    at = datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone))
    return f"{at:%H:%M:%S}" if at.second else f"{at:%H:%M}"


# --- correcting, and the whole plan -----------------------------------------------------------------------------------


def correct(here: House, session: Session) -> None:
    """A tap that came too late, or on the wrong set."""
    board = live.board(here.notebook, session.id)
    done = {} if board is None else {one.serving_id: one for one in board.done}
    if not done:
        st.markdown("Nothing is dipped yet.")
        return
    zone = session.plan.zone
    with st.form(state.form_key("correct dip"), border=False):
        picked = st.selectbox(
            "Set",
            list(done),
            index=None,
            format_func=lambda one: f"{done[one].alias}, set {done[one].number}: tapped {clock(done[one].at, zone)}",
        )
        minutes = st.text_input("Minutes by which it was dipped before the tap", "1", max_chars=6)
        reason = st.text_input("Reason", max_chars=400)
        if st.form_submit_button("Correct"):
            with frame.one_sentence():
                if picked is None:
                    frame.refuse(MouilletteError("Choose the set first."))
                    return
                earlier = typed_values.number("minutes", minutes, "1.5")
                live.correct(here.notebook, session.id, picked, done[picked].at - int(earlier * 60_000), reason)
                state.clear_form("correct dip")
                state.say(f"Corrected for {done[picked].alias}, set {done[picked].number}.")
                st.rerun()


def whole(here: House, session: Session) -> None:
    """Per preparer and per person, from the latest revision."""
    found, board = timetable.latest(here.notebook, session), live.board(here.notebook, session.id)
    if found is None or board is None:
        st.markdown("Nothing is planned yet: “Timetable: plan it, or change it” above does it.")
        return
    plan, start = found
    known = {one.id: one for one in bench.servings(here.notebook, session.id)}
    names = {one.seat: one.alias for one in bench.progress(here.notebook, session.id)}

    def time_of(second: int) -> str:
        return clock(start + 1000 * second, session.plan.zone)

    for hand, lines in by_preparer(plan).items():
        st.markdown(f"**Preparer {hand + 1}**")
        rows = [
            (
                time_of(line.dip_from),
                names[int(line.panelist)],
                small_tables.codes(in_turn(known[line.serving_id])[0]),
            )
            for line in lines
            if line.serving_id in known
        ]
        small_tables.table(("Dip at", "For", "Codes, as dipped"), rows)
    st.markdown("**Who smells when**")
    people = sorted(plan.lines, key=lambda line: (int(line.panelist), line.smell_from))
    small_tables.table(
        ("Person", "Smell at", "Age", "Codes"),
        [
            (
                names[int(line.panelist)],
                time_of(line.smell_from),
                typed_values.age_name(known[line.serving_id].age_seconds),
                small_tables.codes(known[line.serving_id].codes),
            )
            for line in people
            if line.serving_id in known
        ],
    )
    total, strips = plan.totals, plan.totals.strips * session.plan.strips_a_code
    st.caption(
        f"{strips} strips or places in {total.dips} dips, {-(-total.preparer_seconds // 60)} min of preparing."
        + (f" Kept overnight: {frame.plain(board.keeper)}." if board.keeper else "")
    )
