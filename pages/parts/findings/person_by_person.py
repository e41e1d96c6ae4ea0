"""Beside the verdict: each person of a panel with several answers, null sets, and a second opinion."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import streamlit as st
from parts import frame, small_tables
from parts.findings import facts_told

from evaluation.actions.two_findings import PanelFound, TwoFound
from evaluation.judging.entries import AnyEntry, Entry
from evaluation.wording import of_panels

said = small_tables.as_html

STYLE = """<style>
.mo-people {display: grid; grid-template-columns: minmax(7rem, 14rem) 1fr; gap: .3rem 1.2rem;
  margin: .2rem 0 !important; padding: 0 !important;}
.mo-people dt {margin: 0 !important; padding: 0; font-weight: 600; overflow-wrap: anywhere;}
.mo-people dd {margin: 0 !important; padding: 0; font-variant-numeric: tabular-nums;}
@media (max-width: 30rem) {
  .mo-people {grid-template-columns: 1fr; gap: 0;} .mo-people dd {margin: 0 0 .5rem !important;}
}
</style>"""


def show_people(found: TwoFound, leading: Sequence[AnyEntry]) -> None:
    """For the entries that give the verdict: people and second opinion; the null sets once for the session."""
    _null_sets(found)
    beside = dict(zip(map(id, found.entries), zip(found.panels, found.opinions, strict=True), strict=True))
    for entry in leading:
        panel, _ = beside[id(entry)]
        if panel is not None and isinstance(entry, Entry):
            _people(entry, panel, _where(entry, leading))
    for entry in leading:
        _, opinion = beside[id(entry)]
        if isinstance(entry, Entry) and entry.assessments:
            st.header(f"A second opinion, never the verdict{_where(entry, leading)}", anchor=False)
            _lines((of_panels.ONE_ANSWER_EACH,) if opinion is None else of_panels.opinion_lines(entry, opinion))


def _where(entry: AnyEntry, leading: Sequence[AnyEntry]) -> str:
    """Which strip age, where several lead."""
    if len(leading) == 1:
        return ""
    place = facts_told.place(entry, 1)
    return f", {place[:1].lower()}{place[1:]}"


def _people(entry: Entry, panel: PanelFound, where: str) -> None:
    st.header(f"Person by person{where}", anchor=False)
    rows = "".join(
        f"<dt>{said(one.panelist)}</dt><dd>"
        f"{said(of_panels.person_line(one.correct, one.assessments, one.expected, one.stands_out))}</dd>"
        for one in panel.people
    )
    st.html(f'{STYLE}<dl class="mo-people">{rows}</dl>')
    st.caption(of_panels.EXPECTED)
    _lines(of_panels.spread_lines(entry, panel.spread))


def _null_sets(found: TwoFound) -> None:
    if not found.plan.null_sets:
        return
    st.header("Null sets", anchor=False)
    st.markdown("In these one trial was served as if it were two. They are scored beside the real sets, never in them.")
    control = found.null_control
    if control is None:
        st.markdown("No answers to null sets came in that count.")
        return
    word, counts = of_panels.null_lines(control)
    (st.warning if control.noticed else st.info)(word)
    st.markdown(frame.plain(counts))


def _lines(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
