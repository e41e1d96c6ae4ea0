"""The entry of every run: who is there decides which pages exist."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import streamlit as st
from parts import house, style
from parts.doors import visitor
from parts.doors.front import CONDUCTOR_PAGES

from evaluation.actions import doors
from evaluation.actions.doors import BALLOT, CONDUCTOR

HERE: Final = Path(__file__).resolve().parent
OPEN: Final = '<p><a href="/first-passphrase" target="_self">Choose a passphrase</a></p>'
SIGNED_IN: Final = (
    '<p><a href="/passphrase" target="_self">Change the passphrase</a></p>'
    '<p><a href="/leave" target="_self">Sign out</a></p>'
)


def main() -> None:
    """Decide the role, list its pages, run the one asked for."""
    role = visitor.current().role
    bare = role != CONDUCTOR
    st.set_page_config(
        page_title="Smelling ballot" if role == BALLOT else "Mouillette",
        layout="centered" if bare else "wide",
        initial_sidebar_state="collapsed" if bare else "auto",
        menu_items={},
    )
    style.apply(bare)
    page = st.navigation(_pages(role), position="hidden" if bare else "sidebar", expanded=True)
    if role == CONDUCTOR:
        _aside()
    page.run()


def _aside() -> None:
    """Under the list of pages: the way out, or how to shut the door behind oneself."""
    here = house.current()
    links = SIGNED_IN if doors.has_passphrase(here.notebook) else OPEN
    demo = "<p>Demo: invented people and scents. Nothing is kept.</p>" if here.demo else ""
    st.sidebar.html(f"{demo}{links}")


def _pages(role: str) -> list[Any]:
    if role == CONDUCTOR:
        return [st.Page(HERE / f"{name}.py", title=title) for name, title in CONDUCTOR_PAGES]
    if role == BALLOT:
        return [st.Page(HERE / "ballot.py", title="Ballot", default=True)]
    return [st.Page(_sign_in, title="Sign in", url_path="door", default=True)]


def _sign_in() -> None:
    st.title("Mouillette")
    st.write("Invited to smell? Open the link you were given. It opens your ballot.")
    st.write("Running the session?")
    st.html('<a href="/sign-in" target="_self">Sign in</a>')


main()
