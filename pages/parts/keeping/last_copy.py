"""When and where the app last made a copy of its notebook by itself."""

from __future__ import annotations

from datetime import datetime
from typing import Final

import streamlit as st
from parts import frame
from parts.house import House

from evaluation.keeping import own_copies

NONE_KEPT: Final = "Nothing of this notebook is kept, so no copies are made of it."
ON_A_SERVER: Final = "On a database server the app makes no copies by itself: keep a backup every day."


def tell_last_copy(here: House) -> None:
    """On the page Backup: the newest copy, what is kept, and what hindered the last one."""
    st.markdown(frame.plain(sentence(here)))
    if here.keeper is not None:
        st.caption(
            f"Copies are made within half a minute after a session ends, and once a day while the app runs; the newest "
            f"{own_copies.KEPT} of each are kept, readable by their owner only, on the same disk as the notebook."
        )
    hindrance(here)


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
    found = own_copies.copies(where)
    if not found:
        return f"No copy has been made yet; they will lie in {own_copies.folder(where)}."
    newest = found[0]
    at = datetime.fromtimestamp(newest.at / 1000).astimezone()
    return f"Newest copy: {at.day} {at:%b %Y, %H:%M} ({own_copies.WHY[newest.why]}), in {newest.file}."
