"""On the panel page: what is kept of one person and where, a name struck from texts, erasing, and what copies hold."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path
from typing import Final

import streamlit as st
from parts import frame, small_tables, state
from parts.house import House

from evaluation.actions import book
from evaluation.keeping import copies_of_people
from evaluation.store.backup.kept_copies import Copy
from evaluation.store.kept_book import ERASED_ALIAS
from evaluation.store.named_texts import NamedIn
from evaluation.values.people import Panelist
from evaluation.wording import of_people

ELSEWHERE: Final = (
    "What is not in the notebook is yours to see to: receipts on their own phone; labels, sheets and reports you "
    "printed; files of sessions and reports you handed out, which hold aliases; backups you downloaded or wrote by "
    "command."
)
ON_A_SERVER: Final = (
    "The database server keeps erased rows until it next tidies up (VACUUM), and its own backups and write-ahead log "
    "hold what was there: ask whoever runs it."
)
TEXTS: Final = (
    "No program knows whom a text means. These name {alias}: read each, and strike the name where it means this person "
    "before you erase, for afterwards nobody knows what to look for."
)
AFTER: Final = (
    "Alias, note, remarks, links, taps that were not locked and everything about skin go for good; the alias is struck "
    "from who keeps the strips and from why a trial may or may not go on skin. Answers stay in their sessions under a "
    "number that leads to nobody: results stay, and every log holds. This cannot be taken back."
)
COPIES: Final = (
    "A copy of the notebook holds everybody who was in it that day. Backups elsewhere hold them too: destroy those, or "
    "keep them shut until a newer one takes their place, and erase again after bringing one back."
)
QUOTED: Final = 300  # letters of a text: enough to see whom it means


def show_what_is_kept(here: House, people: Collection[Panelist]) -> None:
    """Folded into one choice: nothing is looked up before a person is chosen."""
    st.header("What is kept of a person", anchor=False)
    named = [one for one in people if one.alias != ERASED_ALIAS]
    each = st.selectbox(
        "Person to look at", named, index=None, format_func=lambda one: one.alias, placeholder="Choose a person"
    )
    if each is not None:
        _counted(here, each)
        _texts(here, each)
        _erase(here, each)
    _copies(here, [one.id for one in people if one.alias == ERASED_ALIAS])


def _counted(here: House, each: Panelist) -> None:
    beside = "" if here.notebook.where is None or here.database_server else f"{Path(here.notebook.where).name}.anchor"
    rows = of_people.kept_rows(book.kept_of(here.notebook, each.id), beside)
    st.html(small_tables.STYLE)
    small_tables.table(("What, and where", "How many", "When erased"), rows)
    st.caption(ELSEWHERE)
    if here.database_server:
        st.caption(ON_A_SERVER)


# --- texts ----------------------------------------------------------------------------------------------------------


def _texts(here: House, each: Panelist) -> None:
    st.subheader("Texts that name them", anchor=False)
    word = st.text_input(
        "Name to look for", each.alias, max_chars=200, key=f"name {each.id}", help="An alias of before, a real name."
    ).strip()
    found = book.texts_naming(here.notebook, word) if word else ()
    if not found:
        st.markdown(f"No text names {frame.plain(word)}." if word else "Type a name.")
        return
    st.markdown(TEXTS.format(alias=frame.plain(word)))
    for number, place in enumerate(found):
        _text(here, place, word, number)


def _text(here: House, place: NamedIn, word: str, number: int) -> None:
    with st.container(border=True):
        st.markdown(f"**{frame.plain(of_people.where_named(place))}**")
        frame.quote(place.text if len(place.text) <= QUOTED else f"{place.text[:QUOTED]} …")
        if place.stays:
            st.caption(f"Stays as it is: {place.stays}.")
        elif st.button("Strike the name", key=f"strike {number} {place.table} {place.column} {place.key}"):
            with frame.one_sentence():
                book.strike(here.notebook, place, word)
                state.say("The name is struck; results and logs stand as they did.")
                st.rerun()


# --- erasing ----------------------------------------------------------------------------------------------------------


def _erase(here: House, each: Panelist) -> None:
    with st.popover(f"Erase {frame.plain(each.alias)}"):
        st.markdown(AFTER)
        if st.button("Erase for good", key=f"erase {each.id}"):
            with frame.one_sentence():
                book.erase_panelist(here.notebook, each.id)
                state.say("The person is erased. Look below for copies that still hold them.")
                st.rerun()


def _copies(here: House, erased: list[str]) -> None:
    if not erased:
        return
    st.subheader("What copies hold of people who were erased", anchor=False)
    st.markdown(COPIES)
    if here.demo or not st.toggle("Look into the copies of this notebook", key="look into copies"):
        return
    found = copies_of_people.holding(here.notebook, erased)
    for one in found.unread:
        st.markdown(f"Cannot be read, so that nobody knows: {frame.plain(one.named)}.")
    if not found.holding:
        st.success("No copy that the app made of this notebook and that can be read holds anybody who was erased.")
        return
    st.markdown("\n".join(f"* {frame.plain(one.named)}" for one in found.holding))
    _replace(here, found.holding)


def _replace(here: House, old: tuple[Copy, ...]) -> None:
    kept = "" if here.database_server else "A copy of now is made first. "
    st.markdown(f"{kept}Without them you cannot go back to how the notebook was on those days.")
    if st.button(f"Take {'this copy' if len(old) == 1 else f'these {len(old)} copies'} away"):
        with frame.one_sentence():
            copies_of_people.replace_copies(here.notebook, old)
            state.say("Taken away. Backups you made yourself are where you put them.")
            st.rerun()
