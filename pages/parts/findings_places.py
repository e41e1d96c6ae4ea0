"""How often each place was chosen, below the caveats: one sentence and a small table."""

from __future__ import annotations

import streamlit as st
from parts import bench_rows, frame
from parts.bench_rows import said

from evaluation import habits, wording_draws
from evaluation.actions.two_findings import TwoFindings
from evaluation.sessions import SKIN


def show(found: TwoFindings) -> None:
    """Of strips and skin apart, where a session had both."""
    for part in found.found:
        chosen = habits.chosen_places(part.plan, part.rows)
        if chosen is None:
            continue
        on = "On skin: " if part.medium == SKIN else ""
        st.markdown(frame.plain(on + wording_draws.places_line(chosen)))
        rows = wording_draws.places_rows(chosen)
        bench_rows.table(wording_draws.PLACES_HEAD, [[said(cell) for cell in row] for row in rows])
