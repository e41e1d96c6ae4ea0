"""Small plain tables of the plan page."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st


def draw_table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """A small plain table: reads on a phone, and without the weight of a data grid."""
    lines = [" | ".join(head), "|".join(["---", *("---:" for _ in head[1:])]), *(" | ".join(row) for row in rows)]
    st.markdown("\n".join(f"| {line} |" for line in lines))


def unbroken(text: str) -> str:
    """No line may end between a number and its percent sign."""
    return text.replace(" %", "\N{NO-BREAK SPACE}%")
