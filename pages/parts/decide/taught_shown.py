"""What a brief has taught, on the page Decision: what each change moved, and its picture over the ages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import pandas as pd
import streamlit as st
from parts import frame, small_tables

from evaluation.actions.learnt import brief_taught
from evaluation.charts import profile_pictures as charts
from evaluation.deciding.evidence import Evidence
from evaluation.deciding.taught import Learnt
from evaluation.store import Notebook
from evaluation.tables import taught_rows as tables
from evaluation.wording import of_taught
from evaluation.wording.of_taught import Told

MOST_IN_SIGHT: Final = 4  # changes told at once; more are folded away
READING: Final = (
    "Size of a disc: how far the change moved it, in points. Blue: more of it with the change; orange: less. A ring "
    "and full colour: its interval leaves 0 outside. Pale: it does not, which is not “nothing”. A cross: no interval."
)


def show_taught(notebook: Notebook, seen: Evidence) -> None:
    """Changes that moved something first; one line where nothing can be learnt yet."""
    found = brief_taught(notebook, seen)
    st.caption(of_taught.LEAD)
    pairs = list(zip(found.learnt, of_taught.told(found, seen, with_formulas=True), strict=True))
    pairs.sort(key=lambda pair: not pair[0].moved)
    for _, told in pairs[:MOST_IN_SIGHT]:
        _lines(told)
    if len(pairs) > MOST_IN_SIGHT:
        with st.expander(f"The other {len(pairs) - MOST_IN_SIGHT}"):
            for _, told in pairs[MOST_IN_SIGHT:]:
                _lines(told)
    drawn = [(one, told.title) for one, told in pairs if one.rows]
    if drawn:
        with st.expander("Each change over the ages"):
            _picture(drawn)
    st.caption(frame.plain(" ".join(of_taught.taught_lines(found))))


def _lines(told: Told) -> None:
    st.markdown("\n".join([f"**{frame.plain(told.title)}**", "", *(f"- {frame.plain(one)}" for one in told.lines)]))


def _picture(drawn: Sequence[tuple[Learnt, str]]) -> None:
    place = 0
    if len(drawn) > 1:
        place = st.selectbox("Change", range(len(drawn)), format_func=lambda at: drawn[at][1], key="change taught")
    one, title = drawn[place]
    chart = charts.difference_map(tables.learnt_map(one), tables.ages_of(one), title, dark=_dark())
    st.altair_chart(chart, theme=None, width="stretch")
    st.caption(READING)
    _numbers(tables.learnt_numbers(one))


def _numbers(rows: pd.DataFrame) -> None:
    head = [str(name).capitalize() for name in rows.columns]
    cells = [[small_tables.as_html(cell) for cell in row] for row in rows.itertuples(index=False)]
    small_tables.table(head, cells, wide=True)


def _dark() -> bool:
    theme = getattr(st.context, "theme", None)
    return getattr(theme, "type", None) == "dark"
