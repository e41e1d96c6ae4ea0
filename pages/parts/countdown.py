"""A large countdown, as one component of our own: sound, vibration and a lit screen as far as the device allows.

It is told the remaining milliseconds, never a time of day: clocks of phones are off. Nothing relies on its alarm.
"""

from __future__ import annotations

from pathlib import Path
from typing import Final

import streamlit as st

_HERE: Final = Path(__file__).parent
READY: Final = "Ready: sound an alarm, keep the screen on"


def _read(ending: str) -> str:
    return (_HERE / f"countdown.{ending}").read_text(encoding="utf-8")


_component: Final = st.components.v2.component("countdown", js=_read("js"), css=_read("css"), isolate_styles=False)


def draw(
    key: str,
    label: str,
    remaining: int,
    over: str,
    *,
    turn: int,
    asks: bool = True,
    calm: bool = False,
    bare: bool = False,
) -> None:
    """``over`` stands in its place at zero; a new ``turn`` rings again. ``asks``: a run of its own now and then.

    ``calm``: one small line that neither rings nor asks. ``bare``: nothing to be seen, it only asks.
    """
    data = {"label": label, "remaining": remaining, "over": over, "ready": READY, "turn": turn}
    data |= {"asks": asks and not calm, "calm": calm, "bare": bare}
    # In a list: whatever lies in a dict at the top is looked at as a possible table, which loads pandas.
    _component(key=key, data=[data], on_ask_change=_asked)


def _asked() -> None:
    """The run that follows is what was asked for."""
