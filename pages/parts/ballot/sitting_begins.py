"""Above the first strip of a further sitting: that one ends here, and when to go on."""

from __future__ import annotations

import streamlit as st

from evaluation.actions.ballot import BallotView


def draw(view: BallotView) -> bool:
    """One sentence, which holds nobody; with a timetable the call says when to smell, block after block at each age."""
    place = st.container()  # always there: a line that came and went would move the buttons under a thumb
    if view.sitting is not None and view.smell_at is None and not view.begun:
        number, of = view.sitting
        place.info(
            f"Sitting {number} of {of} begins here. Go on after a long rest, or on the day you were told: your answers "
            "so far are kept, and this page waits."
        )
    return False
