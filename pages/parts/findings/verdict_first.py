"""The verdict first, then its numbers, the picture, every strip age, both analyses, and what people wrote."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

import pandas as pd
import streamlit as st
from parts import frame, small_tables
from parts.findings import facts_told, path_of_looks, person_by_person

from evaluation import charts
from evaluation.actions.opened import Context, Noted, Remark
from evaluation.actions.two_findings import TwoFindings, TwoFound
from evaluation.judging.entries import AnyEntry, Entry, PreferenceEntry
from evaluation.sessions import OVERALL, SKIN
from evaluation.tables import results
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_solo
from evaluation.wording.of_verdicts import marks_line

said = small_tables.as_html

STYLE: Final = """<style>
.mo-head {border-left: .35rem solid var(--mo-accent, #6A3552); padding: .1rem 0 .1rem 1rem; margin: .4rem 0 0;}
.mo-head p {margin: 0;}
.mo-word {font-size: 2.6rem; line-height: 1.15; font-weight: 700; letter-spacing: -.01em; overflow-wrap: anywhere;}
.mo-facts {display: grid; grid-template-columns: minmax(9rem, 16rem) 1fr; gap: .3rem 1.2rem; margin: .2rem 0 !important;
  padding: 0 !important;}
.mo-facts dt {opacity: .86; margin: 0 !important; padding: 0;}
.mo-facts dd {margin: 0 !important; padding: 0; font-weight: 600; font-variant-numeric: tabular-nums;}
@media (max-width: 30rem) {
  .mo-word {font-size: 2.1rem;} .mo-facts {grid-template-columns: 1fr; gap: 0;}
  .mo-facts dd {margin: 0 0 .5rem !important;}
}
@media (prefers-color-scheme: dark) {.mo-head {--mo-accent: #D9A3C2;}}
</style>"""


def show_verdicts(found: TwoFindings, warn: Callable[[], None]) -> None:
    """Everything between the verdict and the sealed record; ``warn`` draws what stands beside the verdict."""
    parts = found.found
    for part in parts:
        path_of_looks.show_path(part, STYLE, dark=_dark())
        for entry in facts_told.heads(part.entries):
            _verdict(part, entry)
    warn()
    for part in parts:
        if len(parts) > 1:
            st.header("On skin" if part.medium == SKIN else "On strips", anchor=False, divider="gray")
        _part(found.context, part)


def _part(about: Context, found: TwoFound) -> None:
    """Everything below the verdict, of one medium."""
    leading = facts_told.heads(found.entries)
    chart = picture(found, dark=_dark())
    if chart is not None:
        st.altair_chart(chart, theme=None, width="stretch")
        st.caption(_reading(found))
    for entry in (one for one in leading if one.assessments):
        _numbers(found, entry, titled=len(leading) > 1)
    person_by_person.show_people(found, leading)
    if len(found.entries) > 1:
        _ages(found)
    _both_ways(found, about.noted_on(found.medium))
    _further(found)
    _sureness(found)
    _remarks(found, about.remarks_on(found.medium))


def _verdict(found: TwoFound, entry: AnyEntry) -> None:
    where = facts_told.place(entry, len(found.entries), found.medium)
    st.html(
        f'{STYLE}<div class="mo-head"><p class="mo-word">{said(facts_told.word(entry, found.names))}</p>'
        f"<p>{said(sentence_case(trial_name(*found.names)))} · {said(where)}</p></div>"
    )
    st.markdown(frame.plain(facts_told.sentence(entry, found.names, found.loss_of(entry))))


def _numbers(found: TwoFound, entry: AnyEntry, *, titled: bool) -> None:
    age = f", {facts_told.place(entry, 1)[:1].lower()}{facts_told.place(entry, 1)[1:]}" if titled else ""
    st.header(f"The numbers{age}", anchor=False)
    rows = "".join(f"<dt>{said(n)}</dt><dd>{said(t)}</dd>" for n, t in facts_told.facts(entry, found.names))
    st.html(f'{STYLE}<dl class="mo-facts">{rows}</dl>')


# --- the picture --------------------------------------------------------------------------------------------------


def picture(found: TwoFound, *, dark: bool = False, width: int | None = None) -> Any | None:
    """Guessing against seen, or people's preferences; None where nobody answered."""
    preference = found.plan.kind.votes
    frame_ = results.preference_rows(found.entries) if preference else results.guessing_rows(found.entries)
    if frame_.empty:
        return None
    drawn = [entry for entry in found.entries if entry.assessments]
    frame_ = _named_ages(frame_, drawn)
    if preference:
        return charts.preferences(frame_, *map(trial_name, found.names), dark=dark, width=width)
    return charts.guess_against_seen(frame_, dark=dark, width=width)


def _named_ages(rows: pd.DataFrame, drawn: Sequence[AnyEntry]) -> pd.DataFrame:
    return rows.assign(age=[facts_told.age_name(entry.age_minutes) for entry in drawn])


def _reading(found: TwoFound) -> str:
    level = results.shown(found.entries[0].level * 100, 1)
    if found.plan.kind.votes:
        return (
            f"Bar: people for either trial. Dot and line below: the left trial’s share of {_votes(found)}, with "
            f"its exact {level:g} % interval; the mark in the middle is one half."
        )
    return marks_line(found.entries, f"exact {level:g} % interval")


def _votes(found: TwoFound) -> str:
    """What the share is one of: votes are what the sealed rule for ties lets into the test."""
    halved = found.plan.ties_rule == "split"
    return "the votes, “no preference” counted half for each" if halved else "the votes of those who chose"


def _dark() -> bool:
    theme = getattr(st.context, "theme", None)
    return getattr(theme, "type", None) == "dark"


# --- every age, both ways -----------------------------------------------------------------------------------------


def _ages(found: TwoFound) -> None:
    st.header(f"At each {facts_told.age_term(found.medium)}", anchor=False)
    named = found.entries[0].primary_age is not None
    st.markdown(
        "The primary one gives the session’s verdict. The others are corrected among themselves (Holm) and confirm "
        "only if the primary one does; otherwise they are exploratory."
        if named
        else "No age was named primary: all are corrected together (Holm)."
    )
    rows = [_age_row(found, entry, results.standing(entry) if named else "") for entry in found.entries]
    weighed = ("By weight", "p by weight") if found.plan.sureness_weights else ()
    holm = "p by weight, Holm" if weighed else "p, Holm"
    _table((_when(found), "Verdict", *weighed, _counted(found), "Exact p", holm), rows)


def _when(found: TwoFound) -> str:
    """The head of a column of times."""
    return facts_told.age_term(found.medium).capitalize()


def _age_row(found: TwoFound, entry: AnyEntry, standing: str) -> tuple[str, ...]:
    needed = entry.minimum_correct
    age = facts_told.age_name(entry.age_minutes)
    return (
        f"{age}, {standing}" if standing else age,
        facts_told.word(entry, found.names),
        *facts_told.weight_cells(entry),
        f"{_count(entry)} ({'none is enough' if needed is None else f'needed {needed}'})",
        facts_told.p_cell(entry.p_value, entry.alpha_used),
        facts_told.p_in_family(entry),
    )


def _counted(found: TwoFound) -> str:
    return _either(found, "none") if found.plan.kind.votes else "Right"


def _either(found: TwoFound, neither: str) -> str:
    """The head of a column of people for one, neither and the other trial."""
    first, second = map(trial_name, found.names)
    return f"{sentence_case(first)} / {neither} / {second}"


def _count(entry: AnyEntry) -> str:
    if isinstance(entry, Entry):
        return f"{entry.correct} of {entry.assessments}"
    return f"{entry.first} / {entry.none} / {entry.second}"


def _both_ways(found: TwoFound, noted: Sequence[Noted]) -> None:
    """What came in, what was left out and why; the count with everything where the rule left something out."""
    missing = any(loss.answered < loss.planned for loss in found.losses)
    if not (missing or noted or found.reduced or found.unrecognised or found.as_meant):
        return
    st.header("What came in and what was left out", anchor=False)
    if missing or found.reduced:
        ages = [_age(one.age) for one in found.losses]
        lost = results.losses(found.losses).assign(**{"strip age": ages})
        _frame(lost.rename(columns={"strip age": facts_told.age_term(found.medium)}))
        st.caption("What is missing is not counted as wrong: the needed counts are those for the answers that came in.")
    if noted:
        _table(
            ("Person", "Age", "What happened", "Reason", "In the main analysis"),
            [
                (one.panelist, "all" if one.age is None else _age(one.age), one.kind, one.reason, _kept(one.leaves))
                for one in noted
            ],
        )
    if found.reduced and found.entries:
        st.markdown("The sealed analysis, and the same with every answer. The verdict is the sealed one’s.")
        _ways(found, {"sealed": found.entries, "all": found.all_entries})
    if found.unrecognised:
        st.markdown(
            "The sealed analysis, and the same without the sets that were recognised by sight, touch or wetness. The "
            "verdict is the sealed one’s."
        )
        _ways(found, {"sealed": found.entries, "without": found.unrecognised})
    if found.as_meant:
        st.markdown(of_solo.AS_MEANT)
        _ways(found, {"sealed": found.entries, "without": found.as_meant})
    if found.strays_wrong:
        st.markdown(of_solo.STRAYS)
        strays = {of_solo.AS_WRONG: found.strays_wrong, of_solo.AS_RIGHT: found.strays_right}
        _ways(found, {of_solo.LEFT_OUT: found.entries, **strays})


def _ways(found: TwoFound, ways: Mapping[str, Sequence[AnyEntry]]) -> None:
    """At every age one row for each way of counting."""
    ages = zip(*ways.values(), strict=True)
    rows = [_way(found, name, entry) for each in ages for name, entry in zip(ways, each, strict=True)]
    weighed = ("By weight", "p by weight") if found.plan.sureness_weights else ()
    _table((_when(found), "Answers", "Verdict", *weighed, _counted(found), "Exact p"), rows)


def _kept(leaves: bool) -> str:
    return "left out" if leaves else "counted"


def _way(found: TwoFound, way: str, entry: AnyEntry) -> tuple[str, ...]:
    age, word = facts_told.age_name(entry.age_minutes), facts_told.word(entry, found.names)
    weighed = facts_told.weight_cells(entry)
    return age, way, word, *weighed, _count(entry), facts_told.p_cell(entry.p_value, entry.alpha_used)


# --- what else was asked ------------------------------------------------------------------------------------------


def _further(found: TwoFound) -> None:
    """Preferences: nearness to the brief, wearing, strength."""
    asked = [entry for entry in found.nearer if isinstance(entry, PreferenceEntry) and entry.assessments]
    if asked:
        st.header("Which is nearer to the brief", anchor=False)
        st.markdown("A further question, two-sided; it does not change the verdict.")
        rows = [
            (
                facts_told.age_name(entry.age_minutes),
                sentence_case(facts_told.nearer_word(entry, found.names)),
                _count(entry),
                facts_told.p_cell(entry.p_value, entry.alpha_used),
            )
            for entry in asked
        ]
        _table((_when(found), "Found", _either(found, "neither"), "Exact p"), rows)
    if found.impressions:
        st.header("Wearing and strength", anchor=False)
        st.markdown("People who said so of each trial.")
        _frame(results.impressions(found.impressions, _column_names(found)))


def _column_names(found: TwoFound) -> tuple[str, str]:
    one, other = (sentence_case(trial_name(label)) for label in found.names)
    return (one, other) if one != other else (f"{one} (first)", f"{other} (second)")


def _sureness(found: TwoFound) -> None:
    if not any(one.answers for one in found.sureness):
        return
    judged = found.plan.kind.judged  # a preference is never right or wrong
    st.header("How sure, and how often right" if judged else "How sure", anchor=False)
    if len(found.plan.ages) > 1:
        st.markdown(f"Over every {facts_told.age_term(found.medium)}.")
    if any(one.correct is not None and one.answers for one in found.sureness):
        rows = [(one.sure, str(one.correct or 0), str(one.answers - (one.correct or 0))) for one in found.sureness]
        _table(("Said", "Right", "Wrong"), rows)
    else:
        _table(("Said", "Answers"), [(one.sure, str(one.answers)) for one in found.sureness])


def _remarks(found: TwoFound, remarks: Sequence[Remark]) -> None:
    if not remarks:
        return
    st.header("Remarks", anchor=False)
    rows = [(_age(one.age), one.panelist, one.text) for one in remarks]
    _table((_when(found), "Person", "Remark"), rows)


def _age(age: int | str) -> str:
    return "at the end" if age == OVERALL else facts_told.seconds_name(age)


def _frame(rows: pd.DataFrame) -> None:
    """A frame of counts as a table; a missing cell stays empty."""
    body = [tuple("" if pd.isna(cell) else str(cell) for cell in row) for row in rows.itertuples(index=False)]
    _table([str(name).capitalize() if str(name).islower() else str(name) for name in rows.columns], body)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    small_tables.table(head, [[said(cell) for cell in row] for row in rows], wide=True)
