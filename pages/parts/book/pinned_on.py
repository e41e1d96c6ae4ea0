"""What a session can be pinned on: on the plan before it is sealed, and beside the verdict wherever it stands."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

import streamlit as st
from parts import frame

from evaluation.actions import pins
from evaluation.actions.opened import Findings
from evaluation.deciding.evidence import Evidence, SessionShown
from evaluation.deciding.pinning import Pinning
from evaluation.sessions import Plan
from evaluation.store import Notebook
from evaluation.wording import of_pinning

MOST_IN_SIGHT: Final = 3  # pairs of trials told at once; more are folded away
BEFORE: Final = "What this session can be pinned on"
BESIDE: Final = "What this can be pinned on"


def tell_foreseen(notebook: Notebook, plan: Plan) -> None:
    """Before sealing; nothing where no two formulas are known."""
    found = pins.foreseen(notebook, plan)
    if found:
        st.subheader(BEFORE, anchor=False)
        _tell(found, of_pinning.foreseen_lines)


def tell_pinned(notebook: Notebook, found: Findings[Any]) -> None:
    """Beside the verdict of an opened session."""
    told = pins.pinned(notebook, found)
    if told:
        st.markdown(f"**{BESIDE}**")
        _tell(told, of_pinning.pinned_lines)


def beside_session(notebook: Notebook, seen: Evidence) -> Callable[[SessionShown], None]:
    """What draws it, folded away, by the words of one opened session; nothing where no two formulas are known."""
    told = pins.pinned_by_session(notebook, seen)

    def draw(session: SessionShown) -> None:
        if told.get(session.session_id):
            with st.expander(BESIDE):
                _listed(told[session.session_id], of_pinning.pinned_lines)

    return draw


def _tell(found: Sequence[Pinning], words: Callable[[Pinning], tuple[str, ...]]) -> None:
    """Pairs in which something moved first."""
    ordered = sorted(found, key=lambda each: not each.moved)
    _listed(ordered[:MOST_IN_SIGHT], words)
    if len(ordered) > MOST_IN_SIGHT:
        with st.expander(f"The other {len(ordered) - MOST_IN_SIGHT} pairs of trials"):
            _listed(ordered[MOST_IN_SIGHT:], words)


def _listed(found: Sequence[Pinning], words: Callable[[Pinning], tuple[str, ...]]) -> None:
    for each in found:
        head, *rest = words(each)
        st.markdown("\n".join([frame.plain(head), "", *(f"- {frame.plain(line)}" for line in rest)]))
    told = of_pinning.assumptions(found)
    if told:
        st.caption(frame.plain(" ".join(told)))
