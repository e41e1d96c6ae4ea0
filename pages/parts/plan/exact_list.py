"""What bottles cannot tell apart, exactly, behind a tap."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st
from parts import frame

from evaluation.kinds import Separation
from evaluation.wording import of_separations


def show_lines(lines: Sequence[str], separation: Separation | None) -> None:
    """The lines of a plan; what its bottles cannot tell in one sentence, and exactly behind a tap."""
    told = lines if separation is None else of_separations.folded(lines, separation)
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in told))
    if separation is not None:
        show_exact_aliases(separation)


def show_exact_aliases(separation: Separation) -> None:
    """Nothing where all combinations are there, or none of two changes."""
    exact = of_separations.exact_aliases(separation)
    if exact:
        with st.expander("What these bottles cannot tell, in full"):
            st.markdown("\n".join(f"- {frame.plain(line)}" for line in (of_separations.TOGETHER, *exact)))
