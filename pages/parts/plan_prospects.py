"""The live numbers of a plan over several trials: short sentences."""

from __future__ import annotations

import streamlit as st
from parts import frame, plan_table, plan_words

from evaluation.prospects import prospect_of
from evaluation.sessions import Plan
from evaluation.wording_prospects import prospect_lines


def show(plan: Plan) -> None:
    """What such a panel finds, and what the session asks of people."""
    prospect = prospect_of(plan)
    first, *rest = (plan_table.unbroken(frame.plain(line)) for line in prospect_lines(prospect))
    if prospect.to_confirm:
        st.warning(first)
    else:
        st.markdown(f"**{first}**")
    st.markdown("\n".join(f"- {line}" for line in (*rest, f"{plan_words.set_takes(plan)}.")))
