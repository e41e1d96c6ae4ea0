"""The frame every conductor page shares: title line, cautions, and errors as one sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

import streamlit as st
from parts import cut_off, house, state

from evaluation.errors import MouilletteError

STRIPS_CAUTION: Final = (
    "Strips carry ethanol, which is flammable: keep flames and heat away and air the room. Follow your local rules "
    "and licensed advice; this tool gives none."
)
_MARKDOWN: Final = re.compile(r"([\\`*_{}\[\]()<>#+\-!|$~:^.=])")
# Browsers draw links of bare addresses after escapes are undone. A word joiner, which shows nothing and which names of
# hosts ignore when such an address is copied, stands where their pattern needs a letter.
_ADDRESS: Final = re.compile(r"https?://|www(?=\.)|@", re.IGNORECASE)
_JOINER: Final = "\u2060"
# Headings that leave room for the text, quotes as readable as text, and no line wider than is read at ease.
_STYLE: Final = """<style>
[data-testid="stMainBlockContainer"] {max-width: WIDTH; padding-left: 1.5rem; padding-right: 1.5rem;}
[data-testid="stMarkdownContainer"] blockquote, [data-testid="stMarkdownContainer"] blockquote p {
  color: inherit; opacity: 1;}
h1 {font-size: 1.9rem !important; padding: 0 0 .25rem !important;}
h2 {font-size: 1.3rem !important; padding: 1rem 0 .25rem !important;}
h3 {font-size: 1.08rem !important; padding: .75rem 0 .25rem !important;}
</style>"""


def page(title: str, lead: str = "", *, caution: bool = False, wide: bool = False) -> None:
    """Open a page: its title, one line on what it is for, what was just done, and the caution on strips."""
    st.set_page_config(page_title=title, layout="wide" if wide else "centered")
    st.html(_STYLE.replace("WIDTH", "76rem" if wide else "52rem"))
    st.title(title, anchor=False)
    if lead:
        st.markdown(lead)
    if caution:
        strips_caution()
    cut_off.watch()
    _missing()
    _said()


def _missing() -> None:
    """What was acknowledged and is not in the notebook any more, on every page until somebody has read it."""
    with st.container():
        for sentence in house.current().notebook.alarms:
            st.error(plain(sentence))


def _said() -> None:
    """What was just done, in a place that is always there.

    Were the place to come and go with its sentence, everything below would change its position and be built anew: tabs
    would fall back to the first one and hide a refusal, and opened parts would close.
    """
    done = state.take_sentence()
    with st.container():
        if done:
            st.success(plain(done))


def strips_caution() -> None:
    """The safety sentence for strips."""
    st.caption(f"**Safety.** {STRIPS_CAUTION}")


@contextmanager
def one_sentence() -> Iterator[None]:
    """Run actions inside; whatever they refuse is shown as one sentence, and the page goes on below.

    ``with frame.one_sentence(): bench.close(notebook, session_id); st.rerun()``
    """
    try:
        yield
    except MouilletteError as error:
        refuse(error)


def refuse(error: MouilletteError | str) -> None:
    """Show one refusing sentence."""
    st.error(plain(sentence(str(error))))


def sentence(message: str) -> str:
    """A message with a capital first letter; the symbol pd stays small."""
    return message if message.startswith("pd ") else message[:1].upper() + message[1:]


def plain(text: str) -> str:
    """Text that people typed, so that it shows as typed and formats nothing; a bare address becomes no link either."""
    return _MARKDOWN.sub(r"\\\1", _ADDRESS.sub(f"\\g<0>{_JOINER}", text))


def quote(text: str) -> None:
    """A text that somebody wrote, line by line as it was written."""
    st.markdown("\n".join(f"> {plain(line)}  " for line in text.splitlines()))


def row() -> Any:
    """A row that stays one row on a phone: text to the left, its button to the right."""
    return st.container(horizontal=True, horizontal_alignment="distribute", vertical_alignment="center")


def empty(teaching: str, link: str = "", label: str = "") -> None:
    """An empty state that says what belongs here, with the page to go to for it (``link`` such as ``"plan.py"``)."""
    st.info(teaching)
    if link:
        page_link(link, label)


def page_link(name: str, label: str) -> None:
    """A link to another conductor page, such as ``"plan.py"``."""
    st.page_link(name, label=label, icon=":material/arrow_forward:")
