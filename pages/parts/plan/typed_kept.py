"""What stands in a plan form, kept by the program for a page that is loaded anew, until the draft is kept or sealed.

It is kept in memory, by browser (its cookie; at this machine without a passphrase there is one conductor), and lost
when the program ends; an open page then still has it and sends it again.
"""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import house
from parts.doors import visitor

HERE_AGAIN: Final = "What you had typed and chosen before the page was loaded anew is here again; it is not stored yet."
AFRESH: Final = "Begin with what is stored"
MOST: Final = 64  # forms; the oldest go first
_BACK: Final = "plan form put back"
_BEGAN: Final = "plan form began with "


def put_back(form: str, key: str) -> None:
    """Before any field of the form is drawn: what was in it, where this page knows nothing of it yet."""
    if any(str(name).startswith(key) for name in st.session_state):
        return
    found = house.current().typed.get(_whose(form), {})
    for name, value in found.items():
        st.session_state[f"{key}{name}"] = value
    if found:
        st.session_state[_BACK] = key


def tell(form: str, key: str) -> None:
    """That it was put back, and a way to begin anew."""
    if st.session_state.get(_BACK) != key:
        return
    with st.container(horizontal=True, vertical_alignment="center"):
        st.info(HERE_AGAIN)
        if st.button(AFRESH, key=f"afresh {form}"):
            forget(form)
            for name in [one for one in st.session_state if str(one).startswith(key)]:
                del st.session_state[name]
            st.rerun()


def keep(form: str, key: str) -> None:
    """After the form was drawn: what stands in it now, if it is not what the form began with."""
    told = {str(one).removeprefix(key): value for one, value in st.session_state.items() if str(one).startswith(key)}
    if st.session_state.setdefault(_BEGAN + form, told) == told:
        return
    kept = house.current().typed
    kept[_whose(form)] = told
    kept.move_to_end(_whose(form))
    while len(kept) > MOST:
        kept.popitem(last=False)


def forget(form: str) -> None:
    """It is kept elsewhere now, or thrown away."""
    house.current().typed.pop(_whose(form), None)
    for name in (_BACK, _BEGAN + form):
        st.session_state.pop(name, None)


def _whose(form: str) -> tuple[str, str]:
    cookie = st.context.cookies.get(visitor.VISIT_COOKIE)
    return cookie if isinstance(cookie, str) else "", form
