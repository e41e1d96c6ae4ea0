"""Findings of a round of pairs or a ranking: sentences, people for each pair, merits, and what it rests on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, Final

import pandas as pd
import streamlit as st
from parts import frame, small_tables
from parts.book import change_told, pinned_on
from parts.findings import downloads, real_ages, report_links, smelt_besides, what_was_sealed
from parts.house import House

from evaluation import charts
from evaluation.actions.round_findings import RoundFindings, round_findings
from evaluation.charts import round_pictures as drawn
from evaluation.counting.rounds import RoundFound
from evaluation.ground.tables_digits import percent
from evaluation.sessions import SKIN, Session
from evaluation.tables import results, standings
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_rounds, of_sealed_plans
from evaluation.wording.of_verdicts import on_media

said = small_tables.as_html
WIDTH: Final = 720
KINDS: Final = {"png": "image/png", "svg": "image/svg+xml"}

STYLE: Final = """<style>
.mo-order {border-left: .35rem solid var(--mo-accent, #6A3552); padding: .1rem 0 .1rem 1rem; margin: .4rem 0;}
.mo-order p {margin: 0 0 .5rem; font-size: 1.25rem; line-height: 1.4; overflow-wrap: anywhere;}
.mo-order p:last-child {margin: 0;}
@media (prefers-color-scheme: dark) {.mo-order {--mo-accent: #D9A3C2;}}
</style>"""


def show_what_was_preferred(here: House, session: Session) -> None:
    """Everything of one opened round or ranking, strip and skin one after the other."""
    real_ages.warn(here, session)
    found = round_findings(here.notebook, session.id)
    for part in found.found:
        if len(found.found) > 1:
            st.header("On skin" if part.medium == SKIN else "On strips", anchor=False, divider="gray")
        _part(here, found, part)
    _what_came_in(found)
    if found.context.remarks:
        st.header("Remarks", anchor=False)
        _table(("Person", "Remark"), [(one.panelist, one.text) for one in found.context.remarks])
    st.header("What this does not say, and what it rests on", anchor=False)
    _lines(_caveats(here, found))
    change_told.show_changes_of(here.notebook, found.context.session.plan, found.context.names)
    with st.expander("What was sealed"):
        what_was_sealed.show_seal(found.context)
    with st.expander("Files"):
        _files(found)


def _part(here: House, found: RoundFindings, part: RoundFound) -> None:
    lines = of_rounds.summary_lines(part)
    st.html(f'{STYLE}<div class="mo-order">{"".join(f"<p>{said(line)}</p>" for line in lines)}</div>')
    if part is found.found[0]:  # windows are of strips, which come first
        pinned_on.tell_pinned(here.notebook, found)
    if not part.answered:
        return
    if part.plan.strips_a_code > 1:
        frame.page_link("briefs.py", "Write the bottle to mix into the trial book")
    st.header("People for each pair", anchor=False)
    st.altair_chart(drawn.pairs(standings.pair_rows(part), dark=_dark()), theme=None, width="stretch")
    st.caption(
        "Each bar counts people, in front the trial more of them prefer; between, those who liked both as often. "
        "In strong colour where the preference is shown. Dashed: one half."
    )
    merits = standings.merit_rows(part)
    if not merits.empty:
        st.header("On one scale", anchor=False)
        st.altair_chart(drawn.merits(merits, dark=_dark()), theme=None, width="stretch")
        best = frame.plain(trial_name(str(merits["best"].iloc[0])))
        st.caption(
            f"Dot: chance of being preferred to {best}, ties aside, with its "
            f"{percent(part.level)} interval by people; not corrected for several pairs."
        )
    st.header("The numbers", anchor=False)
    _table(("", ""), of_rounds.facts(part))
    rows = standings.pairs(part).drop(columns="medium").astype(str)
    _table([name.capitalize() for name in rows.columns], rows.to_numpy().tolist())
    if part.nearer:
        _table(("Trial", "Times nearer to the brief"), [(name, str(number)) for name, number in part.nearer])


def _what_came_in(found: RoundFindings) -> None:
    st.header("What came in and what was left out", anchor=False)
    for part in found.found:
        where = f"{sentence_case(on_media([part.medium]))}: " if len(found.found) > 1 else ""
        _lines([f"{where}{of_rounds.came_line(part.came)}"])
        if part.reduced:
            st.markdown(
                "With every answer, those left out by the sealed rule included; the findings are the sealed ones:"
            )
            _lines(of_rounds.summary_lines(part.of_all))
    if found.context.noted:
        rows = [
            (one.panelist, one.kind, one.reason, "left out" if one.leaves else "counted") for one in found.context.noted
        ]
        _table(("Person", "What happened", "Reason", "In the main analysis"), rows)


def _caveats(here: House, found: RoundFindings) -> tuple[str, ...]:
    listed = [line for part in found.found for line in of_rounds.caveats(part)]
    if len(found.found) > 1:
        listed.append("Strip and skin are two families, each at its own alpha risk; their answers are never added.")
    listed.append(of_sealed_plans.JUDGED_ALONE)
    listed += of_sealed_plans.blind_lines(found.plan, found.context.key_seen_by)
    listed += of_sealed_plans.stopped_lines(found.context.stopped)
    listed += smelt_besides.other_differences(here, found.context.session)
    return tuple(dict.fromkeys(listed))


# --- files --------------------------------------------------------------------------------------------------------

TABLES: Final[dict[str, tuple[str, Callable[[RoundFound], pd.DataFrame]]]] = {
    "pairs.csv": ("People for each pair (CSV)", standings.pairs),
    "merits.csv": ("Merits (CSV)", standings.merits),
    "ranks.csv": ("Ranks of each person (CSV)", standings.ranks),
    "answers.csv": ("Every answer with what the key makes of it (CSV)", standings.answers),
}


def file(found: RoundFindings, name: str) -> tuple[str, bytes | None] | None:
    """Media type and content of one file; None where there is none of this name, no content where none can be drawn."""
    if name in TABLES:
        frames = [one for one in map(TABLES[name][1], found.found) if len(one)]
        whole = pd.concat(frames, ignore_index=True) if frames else pd.DataFrame()
        return downloads.CSV, results.csv_text(whole).encode("utf-8-sig")
    stem, _, kind = name.rpartition(".")
    part = next((one for one in found.found if stem == f"{one.medium}-pairs"), None)
    if part is None or kind not in KINDS:
        return None
    rows = standings.pair_rows(part)
    return KINDS[kind], None if rows.empty else charts.picture(drawn.pairs(rows, width=WIDTH), kind)


def _files(found: RoundFindings) -> None:
    links = [(name, words) for name, (words, build) in TABLES.items() if any(len(build(one)) for one in found.found)]
    if downloads.can_draw():
        drawn_ = [one for one in found.found if one.answered]
        links += [
            (f"{one.medium}-pairs.{k}", f"People for each pair, {on_media([one.medium])} ({k.upper()})")
            for one in drawn_
            for k in KINDS
        ]
    own = said(found.context.session.id)
    listed = report_links.ticked_links(found.context.session.id)
    listed += "".join(
        f'<li><a href="/files/{own}/{said(name)}" download target="_self">{said(words)}</a></li>'
        for name, words in links
    )
    st.html(f'<ul style="line-height: 2.2">{listed}</ul>')


def _dark() -> bool:
    theme = getattr(st.context, "theme", None)
    return getattr(theme, "type", None) == "dark"


def _lines(lines: Iterable[str]) -> None:
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))


def _table(head: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    small_tables.table(tuple(head), [[said(str(cell)) for cell in row] for row in rows], wide=True)
