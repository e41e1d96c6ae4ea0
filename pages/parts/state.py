"""What the conductor pages hand to one another: the chosen brief and session, and one sentence of what was done.

The only place that names these keys of ``st.session_state``. Nothing here ever enters the address of a page.
"""

from __future__ import annotations

from typing import Final

import streamlit as st

_BRIEF: Final = "chosen brief"
_SESSION: Final = "chosen session"
_SAID: Final = "said"
_MIND: Final = "in mind: "
_FORMS: Final = "form number of "


def chosen_brief() -> str | None:
    """Id of the brief the conductor works on, or None."""
    return _text(_BRIEF)


def choose_brief(brief_id: str | None) -> None:
    """Work on this brief from now on; the session chosen before is let go when the brief changes."""
    if brief_id != chosen_brief():
        st.session_state[_SESSION] = None
    st.session_state[_BRIEF] = brief_id


def chosen_session() -> str | None:
    """Id of the session the conductor works on, or None."""
    return _text(_SESSION)


def choose_session(session_id: str | None, brief_id: str | None = None) -> None:
    """Work on this session from now on, and on the brief it belongs to where that is given."""
    if brief_id is not None:
        st.session_state[_BRIEF] = brief_id
    st.session_state[_SESSION] = session_id


def say(sentence: str) -> None:
    """Keep one sentence for the top of the next run: what has just been done."""
    st.session_state[_SAID] = sentence


def take_sentence() -> str:
    """The sentence kept by :func:`say`, "" for none; it is told once, a second call finds nothing."""
    return str(st.session_state.pop(_SAID, ""))


def keep_in_mind(what: str) -> None:
    """Something that is to be said on every run of this browser from now on."""
    st.session_state[_MIND + what] = True


def in_mind(what: str) -> bool:
    """Whether :func:`keep_in_mind` was called for this in this browser tab since it was opened."""
    return bool(st.session_state.get(_MIND + what))


def _text(key: str) -> str | None:
    value = st.session_state.get(key)
    return value if isinstance(value, str) else None


def form_key(name: str) -> str:
    """Key of a form that is to stand empty again after :func:`clear_form`."""
    return f"{name} {st.session_state.get(_FORMS + name, 0)}"


def clear_form(name: str) -> None:
    """Give the form ``name`` a new key, so that it starts empty."""
    st.session_state[_FORMS + name] = int(st.session_state.get(_FORMS + name, 0)) + 1
