"""A rest: until when, a countdown that runs in the browser, and a look now and then whether it is over."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import solo_words, visitor
from parts.house import House

from evaluation.actions import solo
from evaluation.actions.solo import REST, SoloStep

EVERY_SECONDS: Final = 5
# The server tells what is left at every look; between two looks the browser counts, so that no second costs a run.
_COUNT: Final = """<script>
window.soloEnd = performance.now() + LEFT;
if (!window.soloCount) {
  const two = (n) => String(n).padStart(2, "0");
  window.soloTick = () => {
    const shown = document.getElementById("solo-left");
    if (!shown) return;
    const s = Math.max(0, Math.ceil((window.soloEnd - performance.now()) / 1000));
    const h = Math.floor(s / 3600);
    shown.textContent = (h ? h + ":" + two(Math.floor(s / 60) % 60) : Math.floor(s / 60)) + ":" + two(s % 60);
  };
  window.soloCount = setInterval(window.soloTick, 500);
}
window.soloTick();
</script>"""


def show(here: House, step: SoloStep) -> None:
    """The rest in hand; the page goes on by itself when it is over."""
    st.fragment(_pulse, run_every=EVERY_SECONDS)(here, step.session.id)
    st.caption(solo_words.rest(step))


def _pulse(here: House, session_id: str) -> None:
    visitor.require("conductor")
    step = solo.next_step(here.notebook, session_id)
    if step.kind != REST:
        st.rerun()
    st.html(
        f'<p>Next set not before <strong>{clock_time(step)}</strong>: <span role="timer" id="solo-left" '
        f'style="font-variant-numeric: tabular-nums; font-weight: 600;"></span> to go.</p>'
        + _COUNT.replace("LEFT", str(int(step.rest_ms))),
        unsafe_allow_javascript=True,
    )


def clock_time(step: SoloStep) -> str:
    """When the rest ends, where the session is held; with the day where that is another one."""
    zone = ZoneInfo(step.session.plan.zone)
    ends = datetime.fromtimestamp(step.next_at / 1000, UTC).astimezone(zone)
    begun = datetime.fromtimestamp((step.next_at - step.rest_ms) / 1000, UTC).astimezone(zone)
    return f"{ends:%H:%M}" if ends.date() == begun.date() else f"{ends:%d %b %H:%M}"
