"""How often each place was chosen, below the caveats: one sentence and a small table."""

from __future__ import annotations

import streamlit as st
from parts import bench_rows, findings_words, frame
from parts.bench_rows import said

from evaluation import habits, wording_draws
from evaluation.actions.findings import Findings
from evaluation.sessions import SKIN


def show(found: Findings) -> None:
    """Of strips and skin apart, where a session had both."""
    for part in (found, found.on_skin):
        chosen = habits.chosen_places(part.session.plan, part.rows) if part else None
        if part is None or chosen is None:
            continue
        on = "On skin: " if findings_words.medium_of(part) == SKIN else ""
        st.markdown(frame.plain(on + wording_draws.places_line(chosen)))
        rows = wording_draws.places_rows(chosen)
        bench_rows.table(wording_draws.PLACES_HEAD, [[said(cell) for cell in row] for row in rows])
