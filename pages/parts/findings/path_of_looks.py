"""The verdict of a sequential session: word, sentence, the path within its limits, and exact risks instead of a p."""

from __future__ import annotations

from typing import Any

import streamlit as st
from parts import frame, small_tables
from parts.findings import facts_told

from evaluation import charts, wording
from evaluation.actions.two_findings import TwoFound
from evaluation.judging.sequences import SequentialEntry
from evaluation.tables import results
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_looks, of_panels
from evaluation.wording.of_verdicts import whom

said = small_tables.as_html


def show_path(found: TwoFound, style: str, *, dark: bool = False) -> None:
    """Nothing where the session is judged once. ``style`` is that of the verdict's head and of the numbers."""
    entry = found.sequence
    if entry is None:
        return
    word = wording.verdict_name(entry.verdict, found.names)
    where = f"strip age {facts_told.age_name(entry.age_minutes)}"
    st.html(
        f'{style}<div class="mo-head"><p class="mo-word">{said(word)}</p>'
        f"<p>{said(sentence_case(trial_name(*found.names)))} · {said(where)}</p></div>"
    )
    st.markdown(frame.plain(_sentence(found, entry)))
    chart = picture(found, dark=dark)
    if chart is not None:
        st.altair_chart(chart, theme=None, width="stretch")
        st.caption("Points: right answers at each look taken. Marks: the limits at which a look stops the session.")
    st.header("The numbers", anchor=False)
    numbers = (*of_looks.facts(entry), ("Speaks for", whom(entry.speaks_for)))
    rows = "".join(f"<dt>{said(name)}</dt><dd>{said(told)}</dd>" for name, told in numbers)
    st.html(f'{style}<dl class="mo-facts">{rows}</dl>')
    _looks(entry)
    _opinion(found, entry)


def picture(found: TwoFound, *, dark: bool = False, width: int | None = None) -> Any | None:
    """The path within its limits; None where no look was taken."""
    entry = found.sequence
    if entry is None or not entry.looks:
        return None
    lower = "stop, undecided" if entry.beta_exact is None else "not noticed"
    return charts.path_within_limits(results.look_rows(entry), lower_says=lower, dark=dark, width=width)


def _looks(entry: SequentialEntry) -> None:
    rows = [
        (
            str(look.assessments),
            str(look.correct),
            of_looks.limit_words(look.assessments, look.lower, look.upper),
            of_looks.state_words(look.outcome),
        )
        for look in entry.looks
    ]
    with st.expander("Look by look"):
        small_tables.table(("Answers", "Right", "Limits", "Said"), [[said(cell) for cell in row] for row in rows])


def _opinion(found: TwoFound, entry: SequentialEntry) -> None:
    if not entry.assessments:
        return
    st.header("A second opinion, never the verdict", anchor=False)
    opinion = found.sequence_opinion
    told = (of_panels.ONE_ANSWER_EACH,) if opinion is None else of_panels.opinion_lines(entry, opinion)
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in told))


def _sentence(found: TwoFound, entry: SequentialEntry) -> str:
    """Without the word that stands above it."""
    return sentence_case(of_looks.without_word(entry, found.loss_of(entry)))


def caveats(found: TwoFound) -> tuple[str, ...]:
    """What a verdict reached by looks rests on."""
    return () if found.sequence is None else of_looks.caveats(found.sequence)
