"""Sheets to print, as links to routes that build them anew each time, and the way to answers from paper."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlencode

import streamlit as st
from parts.bench import progress
from parts.house import House

from evaluation.actions import timetable
from evaluation.ground.markup import Html, joined, template
from evaluation.sessions import Session
from evaluation.sheets.stocks import PAPERS, STOCKS

OPEN: Final[tuple[tuple[str, str, str], ...]] = (
    ("ballots", "Paper ballots", "One card for each person and set, codes only."),
    ("strip-labels", "Strip labels", "One code each; spare sets on sheets of their own."),
    ("times", "Times for each person", "One page each; without a timetable the times are written in."),
    ("preparers", "Times for whoever prepares", "Codes only."),
)
UNTIMED: Final = "Times for whoever prepares and a calendar with alarms come here once there is a timetable."
KEYED: Final = (
    ("preparation", "Preparation sheet"),
    ("letter-key", "Letter key"),
    ("vial-labels", "Vial labels"),
)
OVER_TO_PAPER: Final = (
    "A phone or the Wi-Fi fails: choose that person above under “For whom” and print the paper ballots, which are the "
    "cards still open. They go on with the first of them; what they had locked is stored. Type the cards in here. When "
    "the phone is back its link goes on after the last card typed in: type before the phone goes on, so that nothing "
    "is asked twice. A card that is answered on both keeps the answer that came in first."
)
_STYLE: Final = Html("""<style>
.mo-sheets {border-collapse: collapse; width: 100%;}
.mo-sheets td {padding: .3rem 1rem .3rem 0; vertical-align: middle;}
.mo-sheets a, .mo-sheets button {display: inline-block; margin: .15rem 0; white-space: nowrap;
  min-height: 44px; padding: 0 .9rem;
  border: 1px solid currentColor; border-radius: .4rem; color: inherit; background: none; font: inherit;
  line-height: 42px; text-decoration: none; cursor: pointer;}
.mo-sheets form {display: inline;} .mo-sheets small {opacity: .86;}
</style>""")
_ROW: Final = template(
    "<tr><td>{{ words }}{% if more %}<br><small>{{ more }}</small>{% endif %}</td><td>{{ links }}</td></tr>"
)
_UNTIMED: Final = template('<tr><td colspan="2"><small>{{ words }}</small></td></tr>')
_SHEETS: Final = template('<table class="mo-sheets">{% for row in rows %}{{ row }}{% endfor %}</table>')
_TYPE_IN: Final = template('<p class="mo-sheets"><a href="{{ address }}" target="_self">{{ words }}</a></p>')
_LINK: Final = template('<a href="{{ address }}" target="_blank">{{ words }}</a>')
_FORM: Final = template(
    '<form method="post" action="{{ address }}" target="_blank">{% for key, value in fields.items() %}'
    '<input type="hidden" name="{{ key }}" value="{{ value }}">{% endfor %}<button>{{ button }}</button></form> '
)


def list_sheets(here: House, session: Session) -> None:
    """How it is to be printed, then a link for each sheet, then the way back from paper."""
    wish = _wish(here, session)
    timed = timetable.latest(here.notebook, session) is not None
    offered = [one for one in OPEN if timed or one[0] != "preparers"]
    rows = [_row(session, name, words, more, wish) for name, words, more in offered]
    if timed:
        calendar = _link(session, "calendar", "Calendar", wish)
        rows.append(_ROW(words="Calendar, an alarm before each set", more="", links=calendar))
    else:
        rows.append(_UNTIMED(words=UNTIMED))
    st.html(_STYLE + _SHEETS(rows=rows))
    st.caption(
        "Print at 100 %, not fitted to the page: on each label sheet a line tells whether it came out right. The "
        "preparation sheet, the letter key and vial labels show the key: they are beside it, under “Key for whoever "
        "prepares”."
    )
    st.html(_STYLE + _TYPE_IN(address=f"/paper/{session.id}", words="Type in answers from paper"))
    st.caption(OVER_TO_PAPER)


def keyed(session: Session, panelist_id: str | None) -> None:
    """Sheets made from the key, each behind a tap that is logged; shown once it is said who is looking."""
    paper = st.session_state.get(f"sheet paper {session.id}", "a4")
    stock = st.session_state.get(f"sheet stock {session.id}") or next(iter(STOCKS))
    rows = []
    for name, words in KEYED:
        forms = joined(_form(session, name, form, panelist_id or "", paper, stock) for form in ("pdf", "html"))
        rows.append(_ROW(words=words, more="", links=forms))
    st.html(_STYLE + Html("<p>On paper, each one logged like a look:</p>") + _SHEETS(rows=rows))


def _wish(here: House, session: Session) -> dict[str, str]:
    left, middle, right = st.columns(3)
    paper = left.selectbox(
        "Paper", list(PAPERS), format_func=lambda one: PAPERS[one].name, key=f"sheet paper {session.id}"
    )
    stocks = [name for name, stock in STOCKS.items() if stock.paper is PAPERS[paper]]
    stock = middle.selectbox(
        "Labels", stocks, format_func=lambda one: STOCKS[one].name, key=f"sheet stock {session.id}"
    )
    seats = {seat.seat: seat.alias for seat in progress.seats_of(here, session.id) if seat.panelist_id is not None}
    everybody = {0: "Everybody"} | seats
    seat = right.selectbox(
        "For whom", list(everybody), format_func=everybody.__getitem__, key=f"sheet seat {session.id}"
    )
    used = left.text_input("Labels already used on the first sheet", "0", max_chars=3, key="sheet used")
    shift_right = middle.text_input("Move labels right, in mm", "0", max_chars=5, key="sheet right")
    shift_down = right.text_input("Move labels down, in mm", "0", max_chars=5, key="sheet down")
    qr = st.checkbox("A QR code of the code on each strip label", key="sheet qr")
    said = {"paper": paper, "stock": stock, "seat": str(seat), "used": used, "right": shift_right, "down": shift_down}
    return said | ({"qr": "1"} if qr else {})


def _row(session: Session, name: str, words: str, more: str, wish: dict[str, str]) -> Html:
    links = Html(" ").join(_link(session, name, form.upper(), wish | {"form": form}) for form in ("pdf", "html"))
    return _ROW(words=words, more=more, links=links)


def _link(session: Session, name: str, words: str, wish: dict[str, str]) -> Html:
    return _LINK(address=f"/sheets/{session.id}/{name}?{urlencode(wish)}", words=words)


def _form(session: Session, name: str, form: str, looking: str, paper: str, stock: str) -> Html:
    fields = {"looking": looking, "form": form, "paper": paper, "stock": stock}
    return _FORM(address=f"/sheets/{session.id}/key/{name}", fields=fields, button=form.upper())
