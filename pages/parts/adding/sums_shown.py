"""What a series says so far: its word, the sentences behind it, the evidence after each sitting, its sittings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import streamlit as st
from parts import frame, small_tables, state, typed_values
from parts.bench.choosing import STATE_WORDS

from evaluation.actions.series_sittings import SeriesFound
from evaluation.judging.adding_up import KEEP, Added
from evaluation.series import BySeries, SearchSeries
from evaluation.series import Final as FinalDesign
from evaluation.sessions import Session
from evaluation.wording import of_series

Shown = Callable[[SeriesFound], None]


def show_series(found: SeriesFound) -> None:
    """Everything of one series that may be told; nothing of sittings that are not opened."""
    plan, names = found.sealed.plan, found.names[:2]
    st.header(frame.plain(plan.title), anchor=False)
    about = of_series.question_words(found.sealed.series, (names[0], names[1]))
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
    st.markdown("\n".join(f"- {frame.plain(one)}" for one in told))
    _path(found.added, judged=found.sealed.plan.kind.judged, names=names)


SHOWN: Final[BySeries[Shown]] = BySeries(
    "findings to show", {SearchSeries.name: _of_a_pair, FinalDesign.name: _of_a_pair}
)


def _path(added: Added, *, judged: bool, names: tuple[str, str]) -> None:
    if not added.looks:
        return
    ways = ("Right", "Wrong") if judged else (f"For {names[0]}", f"For {names[1]}")
    head = ["After", *ways, "No choice", "Evidence", *(["That few notice"] if judged else []), "Read"]
    rows = [
        (
            one.title,
            str(one.first),
            str(one.second),
            str(one.ties),
            of_series.odds(one.evidence),
            *([of_series.odds(one.mirror)] if judged and one.mirror is not None else []),
            "yes" if one.whole else "round not complete",
        )
        for one in added.looks
    ]
    small_tables.table(head, rows, wide=True)
    st.caption("All answers so far, after each opened sitting. Evidence: how many times the stake of a fair bet it is.")


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
        *of_series.rule_words(series),
        of_series.who_words(series, len(series.people)),
        of_series.ONLY_SERIES,
        of_series.ROUNDS,
        f"Sealed hash {found.sealed.hash}",
    ]
    st.markdown("\n".join(f"- {frame.plain(one)}" for one in lines))
