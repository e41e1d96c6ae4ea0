"""What a series says so far: its word, the sentences behind it, the evidence after each sitting, its sittings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import streamlit as st
from parts import frame, small_tables, state, typed_values
from parts.bench.choosing import STATE_WORDS

from evaluation.actions import series_sittings, tracing
from evaluation.actions.series_sittings import SeriesFound
from evaluation.judging.adding_up import KEEP, Added
from evaluation.series import BySeries, OffNote, SearchSeries
from evaluation.series import Final as FinalDesign
from evaluation.sessions import Session
from evaluation.store import Notebook
from evaluation.wording import of_series, of_suspects

Shown = Callable[[SeriesFound], None]


def show_series(notebook: Notebook, found: SeriesFound) -> None:
    """Everything of one series that may be told; nothing of sittings that are not opened."""
    plan = found.sealed.plan
    st.header(frame.plain(plan.title), anchor=False)
    if not series_sittings.series_stands(notebook, found):
        st.error(of_series.ALTERED)
    about, _ = TOLD.of(found.sealed.kind.name)(found)
    where = "on skin" if plan.medium == "skin" else "on strips"
    age = typed_values.age_name(plan.ages[0].seconds)
    kind = of_series.kind_words(found.sealed.series).capitalize()
    st.caption(frame.plain(f"{kind} {found.sealed.number} · {about}, {where} at {age}"))
    SHOWN.of(found.sealed.kind.name)(found)
    if found.sealed.ended is not None:
        st.markdown(f"**Ended by you**: {frame.plain(found.sealed.ended.reason)}")
    with st.expander("Its sittings, and what was sealed"):
        _sittings(found)
        _sealed(found)


def _of_a_pair(found: SeriesFound) -> None:
    """Word, sentences and path of evidence of a series about one pair, or a final."""
    names = (found.names[0], found.names[1])
    st.markdown(f"### {frame.plain(of_series.series_word(found.added, names))}")
    told = [*of_series.series_lines(found.sealed.series, found.added, names)]
    if found.sealed.kind.keeps and found.word == KEEP:
        told += of_series.final_claims(found.added, found.met_before, found.makers_voted, found.without_makers)
    elif found.without_makers is not None:
        told.append(of_series.without_words(found.without_makers))
    st.markdown("\n".join(f"- {frame.plain(one)}" for one in told))
    _path(found.added, judged=found.sealed.plan.kind.judged, names=names)


def _of_suspects(found: SeriesFound) -> None:
    """Every suspect in order of suspicion, in words and numbers."""
    trace, plan = found.added.trace, found.sealed.plan
    assert trace is not None
    st.markdown(f"### {frame.plain(of_suspects.head_line(trace, plan.descriptor))}")
    rows = [
        (
            one.material,
            of_suspects.standing(one, place == 0),
            f"{one.right} of {one.asked}" if one.asked else "",
            of_series.odds(one.evidence) if one.asked else "",
        )
        for place, one in enumerate(trace.suspected)
    ]
    small_tables.table(("Suspect", "Stands", "Stronger with it", "Evidence"), rows, wide=True)
    after = tracing.waiting(found) if trace.next_up else ""
    lines = [*of_suspects.trace_lines(trace, found.names[0], tracing.on_bench(found), after)]
    if found.without_makers is not None and found.without_makers.trace is not None:
        lines.append(of_suspects.without_words(found.without_makers.trace, plan.descriptor))
    st.markdown("\n".join(f"- {frame.plain(one)}" for one in lines))


SHOWN: Final[BySeries[Shown]] = BySeries(
    "findings to show", {SearchSeries.name: _of_a_pair, FinalDesign.name: _of_a_pair, OffNote.name: _of_suspects}
)


def _pair_told(found: SeriesFound) -> tuple[str, tuple[str, ...]]:
    series = found.sealed.series
    question = of_series.question_words(series, (found.names[0], found.names[1]))
    return question, (*of_series.rule_words(series), of_series.ROUNDS)


def _suspects_told(found: SeriesFound) -> tuple[str, tuple[str, ...]]:
    series = found.sealed.series
    return of_suspects.question_of(series, found.names[0]), tuple(of_suspects.rules_of(series))


# The question in a line, and what was sealed of it
TOLD: Final[BySeries[Callable[[SeriesFound], tuple[str, tuple[str, ...]]]]] = BySeries(
    "a telling", {SearchSeries.name: _pair_told, FinalDesign.name: _pair_told, OffNote.name: _suspects_told}
)


def _path(added: Added, *, judged: bool, names: tuple[str, str]) -> None:
    if not added.looks:
        return
    ways = ("Right", "Wrong") if judged else (f"For {names[0]}", f"For {names[1]}")
    head = ["After", *ways, "No choice", "Evidence", *(["That few notice"] if judged else []), "Round"]
    rows = [
        (
            one.title,
            str(one.first),
            str(one.second),
            str(one.ties),
            of_series.either_way(one.evidence),
            *([of_series.either_way(one.mirror)] if judged and one.mirror is not None else []),
            "complete" if one.whole else "not complete",
        )
        for one in added.looks
    ]
    small_tables.table(head, rows, wide=True)
    st.caption(
        "All answers so far, after each opened sitting. Evidence: how many times the stake of a fair bet it is. A "
        "round is complete when every named person has answered equally often: only then is a preference, “not "
        "noticed” or a final read."
    )


def _sittings(found: SeriesFound) -> None:
    if not found.sessions:
        st.markdown("No sitting yet.")
    for one in found.sessions:
        _one_sitting(one)


def _one_sitting(one: Session) -> None:
    with frame.row():
        st.markdown(f"{frame.plain(one.plan.title)} · {STATE_WORDS[one.state]}", width="stretch")
        pressed = st.button("Go there", key=f"go to {one.id}")
    if pressed:
        state.choose_session(one.id, one.plan.brief_id)
        st.switch_page(_page_of(one))


_PAGES: Final = {"draft": "plan.py", "opened": "findings.py", "void": "findings.py", "closed": "findings.py"}


def _page_of(one: Session) -> str:
    alone = one.plan.solo and one.state in ("sealed", "smelling", "closed")
    return "solo.py" if alone else _PAGES.get(one.state, "bench.py")


def _sealed(found: SeriesFound) -> None:
    series = found.sealed.series
    lines = [
        *TOLD.of(found.sealed.kind.name)(found)[1],
        of_series.who_words(series, len(series.people)),
        of_series.ONLY_SERIES,
        f"Sealed hash {found.sealed.hash}",
    ]
    st.markdown("\n".join(f"- {frame.plain(one)}" for one in lines))
