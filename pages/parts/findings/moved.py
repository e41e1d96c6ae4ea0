"""Findings of a profile: what moved in sentences, then one view at a time, so that only what is looked at is reckoned.

The sentences need the whole family; the first curve does not. The curve is therefore drawn first, below the place the
sentences are then put into.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import streamlit as st
from parts import frame, small_tables
from parts.book import change_told, pinned_on
from parts.findings import profile_downloads, profile_views, real_ages, smelt_besides, what_was_sealed
from parts.house import House

from evaluation.actions.opened import Context, log_holds
from evaluation.actions.profile_findings import ProfileFindings, profile_findings
from evaluation.counting.profiles import ProfileFound
from evaluation.sessions import SKIN, Session
from evaluation.values.trials import sentence_case
from evaluation.wording import of_profiles, of_sealed_plans, of_separations
from evaluation.wording.of_profiles import age_words
from evaluation.wording.of_verdicts import on_media

said = small_tables.as_html

STYLE = """<style>
.mo-moved {border-left: .35rem solid var(--mo-accent, #6A3552); padding: .1rem 0 .1rem 1rem; margin: .4rem 0;}
.mo-moved p {margin: 0 0 .5rem; font-size: 1.25rem; line-height: 1.4; overflow-wrap: anywhere;}
.mo-moved p:last-child {margin: 0;}
@media (prefers-color-scheme: dark) {.mo-moved {--mo-accent: #D9A3C2;}}
</style>"""


def show_what_moved(here: House, session: Session) -> None:
    """Everything of one opened profile, strip and skin one after the other."""
    real_ages.warn(here, session)
    found = profile_findings(here.notebook, session.id, check_log=False)
    for part in found.found:
        if len(found.found) > 1:
            st.header("On skin" if part.medium == SKIN else "On strips", anchor=False, divider="gray")
        _part(here, found, part)
    _what_came_in(found)
    _remarks(found.context)
    st.header("What this does not say, and what it rests on", anchor=False)
    _lines(_caveats(here, found))
    if found.found[0].separation is None:  # every two of sixteen bottles would say nothing
        change_told.show_changes_of(here.notebook, found.context.session.plan, found.context.names)
    with st.expander("What was sealed"):
        checked = replace(found.context, log_holds=log_holds(here.notebook, session.id))  # slow: after the numbers
        what_was_sealed.show_seal(checked)
    with st.expander("Files"):
        profile_downloads.list_files(found)


def _part(here: House, found: ProfileFindings, part: ProfileFound) -> None:
    sentences, beside = st.empty(), st.container()
    profile_views.show_chosen_view(found, part)
    lines = of_separations.told_of(part)
    sentences.html(f'{STYLE}<div class="mo-moved">{"".join(f"<p>{said(line)}</p>" for line in lines)}</div>')
    if part is found.found[0] and part.separation is None:  # windows are of strips, which come first
        with beside:
            pinned_on.tell_pinned(here.notebook, found)


def _what_came_in(found: ProfileFindings) -> None:
    st.header("What came in and what was left out", anchor=False)
    for part in found.found:
        where = f"{sentence_case(on_media([part.medium]))}, " if len(found.found) > 1 else ""
        _lines(f"{where}{of_profiles.came_line(one)}" for one in part.came)
        if part.reduced:
            st.markdown(
                "With every answer, those left out by the sealed rule included; the findings are the sealed ones:"
            )
            _lines(of_separations.told_of(part, everything=True))
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
    listed = [line for part in found.found for line in of_separations.caveats_of(part)]
    if len(found.found) > 1:
        listed.append("Strip and skin are two families, each at its own alpha risk; their answers are never added.")
    listed.append(of_sealed_plans.JUDGED_ALONE)
    listed += of_sealed_plans.blind_lines(found.plan, found.context.key_seen_by)
    listed += of_sealed_plans.stopped_lines(found.context.stopped)
    listed += smelt_besides.other_differences(here, found.context.session)
    return tuple(dict.fromkeys(listed))


def _lines(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))


def _table(head: tuple[str, ...], rows: Sequence[tuple[str, ...]]) -> None:
    small_tables.table(head, [[said(cell) for cell in row] for row in rows], wide=True)
