"""Findings of a profile: what moved in sentences, then one view at a time, so that only what is looked at is reckoned.

The sentences need the whole family; the first curve does not. The curve is therefore drawn first, below the place the
sentences are then put into.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import streamlit as st
from parts import (
    bench_rows,
    findings_ages,
    findings_differences,
    findings_profile_files,
    findings_profile_views,
    findings_record,
    frame,
)
from parts.house import House

from evaluation import wording_profiles, wording_sealed
from evaluation.actions.opened import Context, log_holds
from evaluation.actions.profile_findings import ProfileFindings, profile_findings
from evaluation.profiles import ProfileFound
from evaluation.sessions import SKIN, Session
from evaluation.wording_profiles import age_words

said = bench_rows.said

STYLE = """<style>
.mo-moved {border-left: .35rem solid var(--mo-accent, #6A3552); padding: .1rem 0 .1rem 1rem; margin: .4rem 0;}
.mo-moved p {margin: 0 0 .5rem; font-size: 1.25rem; line-height: 1.4; overflow-wrap: anywhere;}
.mo-moved p:last-child {margin: 0;}
@media (prefers-color-scheme: dark) {.mo-moved {--mo-accent: #D9A3C2;}}
</style>"""


def show(here: House, session: Session) -> None:
    """Everything of one opened profile, strip and skin one after the other."""
    findings_ages.warn(here, session)
    found = profile_findings(here.notebook, session.id, check_log=False)
    for part in found.found:
        if len(found.found) > 1:
            st.header("On skin" if part.medium == SKIN else "On strips", anchor=False, divider="gray")
        _part(found, part)
    _what_came_in(found)
    _remarks(found.context)
    st.header("What this does not say, and what it rests on", anchor=False)
    _lines(_caveats(here, found))
    with st.expander("What was sealed"):
        checked = replace(found.context, log_holds=log_holds(here.notebook, session.id))  # slow: after the numbers
        findings_record.show(checked)
    with st.expander("Files"):
        findings_profile_files.show(found)


def _part(found: ProfileFindings, part: ProfileFound) -> None:
    sentences = st.empty()
    findings_profile_views.show(found, part)
    lines = wording_profiles.summary_lines(part)
    sentences.html(f'{STYLE}<div class="mo-moved">{"".join(f"<p>{said(line)}</p>" for line in lines)}</div>')


def _what_came_in(found: ProfileFindings) -> None:
    st.header("What came in and what was left out", anchor=False)
    for part in found.found:
        where = f"{part.medium.capitalize()}, " if len(found.found) > 1 else ""
        _lines(f"{where}{wording_profiles.came_line(one)}" for one in part.came)
        if part.reduced:
            st.markdown(
                "With every answer, those left out by the sealed rule included; the findings are the sealed ones:"
            )
            _lines(wording_profiles.summary_lines(part, everything=True))
    if found.context.noted:
        rows = [
            (one.panelist, "all" if one.age is None else age_words(one.age / 60), one.kind, one.reason,
             "left out" if one.leaves else "counted")
            for one in found.context.noted
        ]  # fmt: skip
        _table(("Person", "Strips", "What happened", "Reason", "In the main analysis"), rows)


def _remarks(context: Context) -> None:
    if context.remarks:
        st.header("Remarks", anchor=False)
        rows = [
            (
                "at the end" if isinstance(one.age, str) else age_words(one.age / 60),
                one.panelist,
                one.text,
            )
            for one in context.remarks
        ]
        _table(("Age", "Person", "Remark"), rows)


def _caveats(here: House, found: ProfileFindings) -> tuple[str, ...]:
    listed = [line for part in found.found for line in wording_profiles.caveats(part)]
    if len(found.found) > 1:
        listed.append("Strip and skin are two families, each at its own alpha risk; their answers are never added.")
    listed.append(wording_sealed.JUDGED_ALONE)
    listed += wording_sealed.blind_lines(found.plan, found.context.key_seen_by)
    listed += wording_sealed.stopped_lines(found.context.stopped)
    listed += findings_differences.lines(here, found.context.session)
    return tuple(dict.fromkeys(listed))


def _lines(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> None:
    bench_rows.table(head, [[said(cell) for cell in row] for row in rows], wide=True)
