"""The key for whoever prepares: behind a tap that asks who is looking, and written to the log."""

from __future__ import annotations

from itertools import groupby
from typing import Final

import streamlit as st
from parts import frame, small_tables, typed_values
from parts.bench import progress, sheet_links, trays
from parts.house import House

from evaluation.actions import bench, book
from evaluation.actions.bench import PreparedSet
from evaluation.serving.dipping import together_seconds
from evaluation.sessions import SKIN, Medium, Session
from evaluation.sheets import preparing
from evaluation.values.second_strips import COMMON

NOT_ON_THE_PANEL: Final = "not on the panel"
_LINES: Final = "preparation shown"
_LETTERS: Final = "letters shown"


def show_key(here: House, session: Session) -> None:
    """Who is looking, then two separate taps: code by vial letter, and letter by trial."""
    st.markdown(
        "The preparation list says into which vial each coded strip is dipped. The vials carry letters; which "
        "letter is which trial is shown apart, so that a helper can prepare without knowing the trials. Every look is "
        "logged. A panelist who looks, also before taking a spare seat, is marked unblinded, and that person’s "
        "answers leave the verdict."
    )
    sitting = {seat.panelist_id: seat.alias for seat in progress.seats_of(here, session.id) if seat.panelist_id}
    away = {one.id: one.alias for one in book.panelists(here.notebook) if one.id not in sitting}
    people = sitting | {person: f"{alias} (not in this session)" for person, alias in away.items()}
    who = st.selectbox(
        "Who is looking?",
        [NOT_ON_THE_PANEL, *people],
        index=None,
        format_func=lambda one: people.get(one, "Somebody who does not smell in this session"),
        placeholder="Choose before the key is shown",
        key=f"looking {session.id}",
    )
    if who in sitting:
        st.warning(f"{frame.plain(sitting[who])} smells in this session and will be marked unblinded.")
    left, right = st.columns(2)
    panelist_id = who if who in people else None
    if left.button("Show code and vial letter", disabled=who is None, width="stretch", key="show preparation"):
        with frame.one_sentence():
            _keep(_LINES, session, bench.preparation(here.notebook, session.id, panelist_id))
    if right.button("Show letter and trial", disabled=who is None, width="stretch", key="show letters"):
        with frame.one_sentence():
            _keep(_LETTERS, session, bench.letter_key(here.notebook, session.id, panelist_id))
    if who is not None:
        sheet_links.keyed(session, panelist_id)
    _shown(session)


def _keep(key: str, session: Session, shown: object) -> None:
    """Remember what was shown, so that a rerun is not logged as another look."""
    st.session_state[key] = (session.id, shown)


def _kept(key: str, session: Session) -> tuple[object, ...] | None:
    kept = st.session_state.get(key)
    return kept[1] if kept and kept[0] == session.id else None


def _shown(session: Session) -> None:
    lines, letters = _kept(_LINES, session), _kept(_LETTERS, session)
    if lines is None and letters is None:
        return
    if st.button("Hide the key", key="hide key"):
        for key in (_LINES, _LETTERS):
            st.session_state.pop(key, None)
        st.rerun()
    if letters is not None:
        small_tables.table(("Vial letter", "Holds"), letters)  # type: ignore[arg-type]
    if lines is not None:
        _preparation(session, lines)  # type: ignore[arg-type]


def _preparation(session: Session, lines: tuple[PreparedSet, ...]) -> None:
    if session.plan.strips_a_code > 1:
        st.markdown(f"{preparing.LEAD_OF_PAIRS} {preparing.TRAY_OF_PAIRS}")
    for (spare, medium, age, replicate), sets in groupby(lines, key=_round):
        title = "Spare sets" if spare else trays.round_name(session, age, replicate, medium)
        st.markdown(f"**{title}**" + ("" if spare or medium == SKIN else f" · {_dip_words(session, age)}"))
        rows = [(one.alias or f"spare seat {one.seat}", *_pairs(one, session.plan.strips_a_code > 1)) for one in sets]
        verb = "Apply" if medium == SKIN else "Dip"
        tray = ("Then lay on the tray, left to right",) if any(len(row) > 2 for row in rows) else ()
        small_tables.table(("Person", f"{verb} in this order: code → vial", *tray), rows)


def _round(one: PreparedSet) -> tuple[bool, Medium, int, int]:
    return one.spare, one.medium, one.age_seconds, one.replicate


def _pairs(one: PreparedSet, fan: bool) -> tuple[str, ...]:
    """What to dip in its drawn order and, where strips lie side by side, the codes as they lie."""
    first = f"{COMMON} + " if fan else ""
    into = [f"{code} → {first}{letter}{f' ({site})' if site else ''}" for code, letter, site in one.dipped]
    dips = small_tables.codes(into)
    return (dips,) if one.sites or len(one.codes) == 1 else (dips, small_tables.codes(one.codes))


def _dip_words(session: Session, age_seconds: int) -> str:
    """How close together the strips of one set are dipped, or of a fan its pairs."""
    if session.plan.strips_a_code > 1:
        return preparing.pairs_in_turn(age_seconds)
    return f"dip the strips of one set within {typed_values.age_name(together_seconds(age_seconds))}"
