"""When and where the app last made a copy of its notebook by itself."""

from __future__ import annotations

from datetime import datetime
from typing import Final

import streamlit as st
from parts import frame
from parts.house import House

from evaluation.store.backup import kept_copies

NONE_KEPT: Final = "Nothing of this notebook is kept, so no copies are made of it."
ON_A_SERVER: Final = (
    "On a database server the app copies by itself only before a new version of it changes the form of the notebook: "
    "keep a backup every day."
)


def tell_last_copy(here: House) -> None:
    """On the page Backup: the newest copies, what is kept, and what hindered the last one."""
    st.markdown(frame.plain(sentence(here)))
    changed = _before_changes(here)
    if changed:
        st.markdown(frame.plain(changed))
    if here.keeper is not None:
        st.caption(
            "Copies are made within half a minute after a session ends, once a day while the app runs, and before a "
            f"new version changes the notebook's form; the newest {kept_copies.KEPT} of each are kept, readable by "
            "their owner only, on the same disk as the notebook."
        )
    hindrance(here)


def tell_alarms(here: House) -> None:
    """What was found at the start to be not as it was left or written, before anything else of a page."""
    for alarm in here.alarms:
        tell_alarm(alarm)


def tell_alarm(alarm: str) -> None:
    """One sentence; the command in it stands by itself, as it is typed: in a sentence its hyphens break."""
    said, command, where = alarm.partition(kept_copies.COMMAND)
    frame.refuse(f"{said.removesuffix(' with ')}, by this command:" if command else alarm)
    if command:
        st.code(f"{command}{where.rstrip('.')}", language=None, wrap_lines=True)


def hindrance(here: House) -> None:
    """What hindered the last copy, loudly."""
    if here.keeper is not None and here.keeper.trouble:
        st.warning(frame.plain(here.keeper.trouble))


def sentence(here: House) -> str:
    """The newest copy in one sentence."""
    where = here.notebook.where
    if here.demo or where is None:
        return NONE_KEPT
    if here.database_server:
        return ON_A_SERVER
    found = kept_copies.copies(where)
    if not found:
        return f"No copy has been made yet; they will lie in {kept_copies.folder(where)}."
    return f"Newest copy: {_when(found[0])} ({kept_copies.WHY[found[0].why]}), in {found[0].file}."


def _before_changes(here: House) -> str:
    """The newest copy in an older form; on a server, of those that were made on this machine."""
    where = here.notebook.where
    if here.demo or where is None:
        return ""
    found = [one for one in kept_copies.copies(where) if one.why == kept_copies.BEFORE]
    if not found:
        return ""
    return f"Before this program last changed the form of the notebook: {_when(found[0])}, in {found[0].file}."


def _when(copy: kept_copies.Copy) -> str:
    at = datetime.fromtimestamp(copy.at / 1000).astimezone()
    return f"{at.day} {at:%b %Y, %H:%M}"
