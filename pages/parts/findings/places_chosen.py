"""How often each place was chosen, below the caveats: one sentence and a small table."""

from __future__ import annotations

import streamlit as st
from parts import frame, small_tables
from parts.small_tables import as_html

from evaluation.actions.two_findings import TwoFindings
from evaluation.counting import habits
from evaluation.sessions import SKIN
from evaluation.wording import of_draws


def show_places_chosen(found: TwoFindings) -> None:
    """Of strips and skin apart, where a session had both."""
    for part in found.found:
        chosen = habits.chosen_places(part.plan, part.rows)
        if chosen is None:
            continue
        on = "On skin: " if part.medium == SKIN else ""
        st.markdown(frame.plain(on + of_draws.places_line(chosen)))
        rows = of_draws.places_rows(chosen)
        small_tables.table(of_draws.PLACES_HEAD, [[as_html(cell) for cell in row] for row in rows])
