"""The live numbers of a plan over several trials: short sentences."""

from __future__ import annotations

import streamlit as st
from parts import frame
from parts.plan import lines_told, plain_table

from evaluation.planning.prospects import prospect_of
from evaluation.sessions import Plan
from evaluation.wording.of_prospects import prospect_lines


def show_prospect(plan: Plan) -> None:
    """What such a panel finds, and what the session asks of people."""
    prospect = prospect_of(plan)
    first, *rest = (plain_table.unbroken(frame.plain(line)) for line in prospect_lines(prospect))
    if prospect.to_confirm:
        st.warning(first)
    else:
        st.markdown(f"**{first}**")
    st.markdown("\n".join(f"- {line}" for line in (*rest, f"{lines_told.set_takes(plan)}.")))
