"""Each panelist's link, as a QR code and in letters, and the address it is built on."""

from __future__ import annotations

from typing import Final

import segno
import streamlit as st
from parts import frame, state
from parts.bench import progress
from parts.house import House

from evaluation.actions import doors
from evaluation.actions.bench import SeatProgress
from evaluation.ground.markup import Html, template
from evaluation.sessions import Session

_IMAGE: Final = template('<img src="{{ source }}" width="{{ side }}" height="{{ side }}" alt="{{ said }}">')
SIDE_PIXELS = 176  # a phone reads a code of 29 modules from a screen at arm's length at this size


def tell_new_links(here: House, session: Session) -> bool:
    """Whether links given out before open nothing any more, told where it is seen whatever is open on the page."""
    if doors.strange_links(here.notebook, here.secret, session.id):
        state.keep_in_mind(f"links anew {session.id}")  # once they are shown they are strange no more
    anew = state.in_mind(f"links anew {session.id}")
    if anew:
        st.warning(
            "The secret that links are made with was lost or exchanged. The links below are new; those given out "
            "before open nothing any more: hand these out."
        )
    return anew


def show_ballot_links(here: House, session: Session) -> None:
    """The address, then one card a person."""
    _address(here)
    st.caption("One link, one person: whoever opens it answers as that person. Show a code only to the one it is for.")
    links = here.ballot_links(session.id)
    seats = progress.seats_of(here, session.id)
    people = [seat for seat in seats if seat.panelist_id is not None]
    for first in range(0, len(people), 3):
        for place, seat in zip(st.columns(3), people[first : first + 3], strict=False):
            with place.container(border=True):
                _card(seat, links[seat.ballot_id])
    _renew(here, people)


def _card(seat: SeatProgress, link: str) -> None:
    st.markdown(f"**{frame.plain(seat.alias)}**" + (" · finished" if seat.finished else ""))
    if not seat.finished:
        st.html(qr_image(link, f"QR code of the ballot of {seat.alias}"))
        st.code(link, language=None, wrap_lines=True)


def qr_image(link: str, said: str) -> Html:
    """The link as a QR code: dark on white with its quiet zone, whatever the theme."""
    source = segno.make(link, error="m", micro=False).svg_data_uri(scale=4, border=4, dark="#000", light="#fff")
    return _IMAGE(source=source, side=SIDE_PIXELS, said=said)


def _address(here: House) -> None:
    if not (here.lan or here.public_url):
        again = "`python -m evaluation --lan`; everything is kept"
        if here.demo:
            again = "`python -m evaluation --demo --lan`; that is a new demo, and nothing done in this one is kept"
        st.warning(
            "The app listens on this machine only, so phones cannot reach these links. Stop it and start it with "
            f"{again}. On this machine the links work."
        )
        return
    if not here.public_url and len(here.addresses) > 1:
        now = here.address()
        picked = st.selectbox(
            "Address in the links",
            here.addresses,
            index=here.addresses.index(now) if now in here.addresses else 0,
            help="This machine has several. Choose the one of the network the phones are in.",
            key="bench address",
        )
        if picked != now:
            with frame.one_sentence():
                here.choose_address(picked)
    st.markdown(f"Phones must be able to open {frame.plain(here.address())}.")


def _renew(here: House, people: list[SeatProgress]) -> None:
    waiting = {seat.ballot_id: seat.alias for seat in people if not seat.finished}
    if not waiting:
        return
    with st.popover("Replace a link"):
        st.markdown("A new link ends the old one at once, on every phone it was opened on. Answers stay.")
        ballot_id = st.selectbox("Whose link", list(waiting), index=None, format_func=waiting.__getitem__, key="renew")
        if st.button("Replace the link", disabled=ballot_id is None, key="renew now") and ballot_id is not None:
            with frame.one_sentence():
                here.renew_link(ballot_id)
                state.say(f"{waiting[ballot_id]} has a new link; the old one no longer works.")
                st.rerun()
