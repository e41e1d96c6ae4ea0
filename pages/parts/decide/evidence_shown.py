"""Evidence on screen: one block a session, never added up; the same for what stands now and what a decision froze."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from itertools import combinations
from typing import Final

import streamlit as st
from parts import frame, typed_values
from parts.book import target_list

from evaluation import wording
from evaluation.deciding.evidence import LASTING, MOVED, Distance, Evidence, Point, SessionShown
from evaluation.skin import moment
from evaluation.tables.results import shown
from evaluation.values.trials import sentence_case
from evaluation.wording.of_bottles import OF_BOTTLES
from evaluation.wording.of_decisions import said_line
from evaluation.wording.of_evidence import gap_words, point_words

_SAY_WHEN: Final = frozenset({MOVED, LASTING})  # their sentences tell the time themselves

SHOWN_ONLY: Final = " (shown only)"


def show_evidence(seen: Evidence, beside: Callable[[SessionShown], None] | None = None) -> None:
    """Every opened session, oldest first; ``beside`` draws what stands by the words of one."""
    if not seen.sessions:
        st.markdown("Nothing opened yet. A session shows here once it is closed and its key is opened.")
    for session in seen.sessions:
        st.markdown("\n".join(_session(session, seen)))
        if beside is not None:
            beside(session)
    if not all(point.weighs for point in seen.points):
        st.caption("Shown only: told beside the sealed analysis, which does not rest on it; it weighs nothing here.")
    if len(seen.sessions) > 1:
        st.caption("Each session stands by itself: no verdict adds answers of several, unless a series sealed that.")
    _waiting(seen)


def smelt_together(seen: Evidence) -> tuple[tuple[str, str], ...]:
    """Every two trials that were in one opened session, each pair once, in the order they were smelt."""
    compared = (session for session in seen.sessions if not session.separates)
    pairs = (pair for session in compared for pair in combinations(session.in_order, 2))
    return tuple(dict.fromkeys(pairs))


def local_day(instant: int) -> str:
    """When something was written, where the conductor is."""
    return moment(instant, target_list.zone())


def _waiting(seen: Evidence) -> None:
    if seen.waiting:
        st.caption(f"Sealed and not opened yet, and no part of this: {seen.waiting}.")


def _session(session: SessionShown, seen: Evidence) -> Iterator[str]:
    names = frame.plain(seen.name(*session.trial_ids))
    method = frame.plain(wording.method_name(session.method))
    about = f"{method} · {names} · opened {frame.plain(local_day(session.opened_at))}"
    yield f"**{frame.plain(session.title)}**  \n:small[{about}]\n"
    if not session.log_holds:
        yield "- **The log of this session no longer holds: it may have been changed.**"
    for point in session.points:
        yield f"- {_point(point, session, seen)}"
    if session.of_bottles:
        yield f"- {OF_BOTTLES}"
    for point in session.of_bottles:
        yield f"    - {_point(point, session, seen)}"
    for one in session.said:
        yield f"- {frame.plain(said_line(one, seen))}"
    for far in session.distances:
        yield f"- {frame.plain(_distance(far, seen))}"
    if session.distances:
        yield f"- {frame.plain(_targets(session, seen))}"
    for gap in session.gaps:
        yield f"- {frame.plain(gap_words(gap))}"


def _point(point: Point, session: SessionShown, seen: Evidence) -> str:
    bare = point.minutes is None or point.topic in _SAY_WHEN
    when = "" if bare or point.minutes is None else typed_values.age_name(int(point.minutes * 60))
    where = " ".join(one for one in (f"on {point.medium}" if point.medium == "skin" else "", when) if one)
    hint = "" if point.weighs else SHOWN_ONLY
    return (f"{frame.plain(where)}: " if where else "") + frame.plain(point_words(point, session, seen) + hint)


def _distance(far: Distance, seen: Evidence) -> str:
    told = f"{sentence_case(seen.name(far.trial_id))} lies {_number(far.distance)} points from the targets"
    if far.low is not None and far.high is not None:
        told += f" (interval {_number(far.low)} to {_number(far.high)})"
    if far.costliest:
        told += f"; {far.costliest} costs most"
    if far.nearest_in is not None:
        told += f"; nearest in {_number(far.nearest_in)} of 100 resamplings of this panel, which is no probability"
    return f"{told}."


def _targets(session: SessionShown, seen: Evidence) -> str:
    written = local_day(seen.targets_written_at) if seen.targets_written_at is not None else "at no known time"
    late = "after this session was opened, so not blind" if session.targets_late else "before this session was opened"
    return f"The targets were written {written}, {late}."


def _number(value: Decimal) -> str:
    return f"{shown(float(value), 2):g}"
