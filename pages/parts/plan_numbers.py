"""The live numbers of a plan: short sentences, and one small table of better designs."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st
from parts import frame, plan_words

from evaluation.outlook import Outlook, outlook_of
from evaluation.sessions import Plan


def waiting(problem: str) -> None:
    """What is missing before there are numbers."""
    _title()
    st.warning(frame.plain(frame.sentence(problem)))
    st.markdown("The numbers appear as soon as the plan stands.")


def show(plan: Plan) -> None:
    """Everything this plan can find and asks for."""
    outlook = outlook_of(plan)
    said = plan_words.lines(outlook)
    _title()
    if outlook.minimum_correct is None:
        st.error(said.first)
    else:
        st.markdown(f"**{said.first}**")
    st.markdown(_listed((*said.rest, plan_words.work(plan))))
    if said.cannot:
        st.warning("  \n".join(said.cannot))
    _better(outlook)


def to_confirm(plan: Plan) -> tuple[str, ...]:
    """Verdict words that cannot occur and must be confirmed before sealing."""
    return outlook_of(plan).to_confirm


def _title() -> None:
    st.subheader("What this panel can find", anchor=False)


def _better(outlook: Outlook) -> None:
    rows = plan_words.better(outlook)
    if rows:
        st.markdown(f"**{plan_words.BETTER_LEAD}**")
        _table(("Design", "Power", "Strips a nose", "Speaks for"), rows)


def _listed(sentences: Sequence[str]) -> str:
    return "\n".join(f"- {each}" for each in sentences)


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """A small plain table: reads on a phone, and without the weight of a data grid."""
    lines = [" | ".join(head), "|".join("---" for _ in head), *(" | ".join(row) for row in rows)]
    st.markdown("\n".join(f"| {line} |" for line in lines))
