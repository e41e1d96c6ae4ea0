"""One question as a control: nothing is chosen beforehand, and nothing chosen is an answer before it is locked."""

from __future__ import annotations

import re
from typing import Any, Final

import streamlit as st
from parts.ballot import around_questions as words
from parts.ballot import look

from evaluation import wording
from evaluation.sessions import Question

_MARKUP: Final = re.compile(r"[^\w\s.,:;?'’-]")
WIDEST_IN_A_ROW: Final = 3  # characters: three-digit codes stand side by side as on the tray, words below one another


def control(asked: Question, number: int, text: str) -> str | None:
    """Draw the choice of question ``number``; its value as the ballot stores it, or None while incomplete.

    ``text`` names the control for screen readers; labels are read as markup, so it keeps letters and stops only.
    """
    _DRAWN[_kind(asked)](asked, number, _MARKUP.sub(" ", text))
    return picked(asked, number)


def picked(asked: Question, number: int) -> str | None:
    """What is chosen at this moment, if it is a complete answer."""
    chosen: Any = st.session_state.get(_key(number))
    if asked.pick == 1:
        return chosen if chosen in asked.options else None
    ordered = [option for option in asked.options if option in (chosen or ())]
    return "+".join(ordered) if len(ordered) == asked.pick else None


def _kind(asked: Question) -> str:
    if asked.pick > 1:
        return "several"
    return "row" if all(len(option) <= WIDEST_IN_A_ROW and option.isdigit() for option in asked.options) else "list"


def _row(asked: Question, number: int, label: str) -> None:
    st.segmented_control(
        label, asked.options, required=True, key=_key(number), label_visibility="collapsed", width="stretch"
    )


def _several(asked: Question, number: int, label: str) -> None:
    st.segmented_control(
        label,
        asked.options,
        selection_mode="multi",
        key=_key(number),
        label_visibility="collapsed",
        width="stretch",
    )
    st.html(look.picked(words.still_to_pick(len(_chosen(number)), asked.pick)))


def _list(asked: Question, number: int, label: str) -> None:
    st.radio(
        label,
        asked.options,
        index=None,
        format_func=lambda value: wording.option_label(asked.name, value),
        key=_key(number),
        label_visibility="collapsed",
        width="stretch",
    )


def _chosen(number: int) -> tuple[str, ...]:
    return tuple(st.session_state.get(_key(number)) or ())


def _key(number: int) -> str:
    """Keys travel to the browser: they hold the number of the question and nothing else."""
    return f"choice-{number}"


_DRAWN: Final = {"row": _row, "several": _several, "list": _list}
