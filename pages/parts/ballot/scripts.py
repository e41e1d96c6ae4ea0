"""The few lines that run in the panelist's browser: they announce, hold parts ready, and repeat a tap that got lost."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Final

import streamlit as st
from parts import cut_off
from parts.ballot import receipts_kept

AGAIN_KEY: Final = "ballot-again"  # a button nobody sees, pressed by the watch below
_NEEDED: Final = (
    "Radio",
    "ButtonGroup",
    "TextArea",
    "BidiComponent",
)  # parts the framework would fetch only when first drawn

# A tap while the connection is down shows as chosen, but the server never hears of it and the lock stays shut. Where
# a complete choice and a shut lock stand together for two seconds, everything chosen is sent once more; from four on,
# and whenever the browser or the framework knows that it is cut off, a line says so; also where a lock that was pressed
# stands there unchanged for as long: a server that sleeps leaves the connection as it was.
_WATCH: Final = """
if (!window.ballotWatch) {
  let stuck = 0, lasting = 0, away = 0, sent = 0, pressed = null, turn = 0;
  window.ballotWatch = setInterval(() => {
    const shut = document.querySelector('[class*="st-key-lock-"] button:disabled');
    const one = document.querySelector('[class*="st-key-choice-"] :is(input:checked, [aria-checked="true"])');
    const two = document.querySelectorAll('[class*="st-key-choice-"] [aria-pressed="true"]').length === 2;
    const placed = document.querySelector('.rate-place[aria-pressed="true"]');
    const waits = shut && (one || two || placed);
    stuck = waits ? stuck + 1 : 0;
    lasting = waits ? lasting + 1 : 0;
    const state = document.querySelector('[data-testid="stApp"]')?.dataset.testConnectionState;
    away = state && state !== 'CONNECTED' ? away + 1 : 0;
    const open = document.querySelector('[class*="st-key-lock-"] button:enabled');
    sent = open && open === pressed && window.ballotTurn === turn ? sent + 1 : 0;
    if (!sent) pressed = null;
    const lost = document.getElementById('ballot-lost');
    if (lost) lost.hidden = navigator.onLine && lasting < 4 && sent < 4 && away < 2;
    if (stuck >= 2) { stuck = 0; document.querySelector('.st-key-ballot-again button')?.click(); }
  }, 1000);
  document.addEventListener('click', (event) => {
    const lock = event.target.closest('[class*="st-key-lock-"] button');
    if (lock) { pressed = lock; sent = 0; turn = window.ballotTurn; }
  }, true);
}"""

# What is chosen or written and not locked yet is kept by this tab of the phone, under a mark that only this question of
# this ballot has, and put back once after a reload. Nothing of it is sent before a tap would send it.
_CHOSEN: Final = """
if (!window.ballotChosen) {
  const name = 'smelling-chosen', places = '[data-variant=segmented_control], [data-testid=stRadioOption]';
  const on = (one) =>
    one.matches('[aria-checked="true"], [aria-pressed="true"]') || !!one.querySelector('input:checked');
  const options = () => [...document.querySelectorAll('[class*="st-key-choice-"]')].flatMap((e) =>
    [...e.querySelectorAll(places)]);
  const mark = () => document.getElementById('ballot-mark')?.dataset.mark;
  const remark = () => document.querySelector('[class*="st-key-remark-"] textarea');
  const read = () => { try { return JSON.parse(sessionStorage.getItem(name) || 'null'); } catch { return null; } };
  let before = read();
  const keep = () => {
    const now = mark();
    if (!now || before) return;
    const chosen = options().map((one, place) => on(one) ? place : -1).filter((place) => place >= 0);
    const said = remark()?.value || '';
    try { sessionStorage.setItem(name, JSON.stringify({mark: now, chosen, said})); } catch {}
  };
  const putBack = () => {
    const now = mark();
    if (!now || !window.isConnected()) return;
    if (before.mark !== now) { before = null; return; }
    const shown = options();
    if (before.chosen.length && !shown.length) return;
    if (!shown.some(on)) for (const place of before.chosen) shown[place]?.click();
    before.chosen = [];
    if (before.said && !remark()) document.querySelector('[class*="st-key-add-"] button')?.click();
    else {
      if (before.said && !remark().value) window.putTyped(remark(), before.said);
      before = null;
    }
  };
  document.addEventListener('click', (event) => {
    if (event.isTrusted) before = before && mark() === before.mark && event.target.closest(places) ? null : before;
    setTimeout(keep, 100);
  }, true);
  document.addEventListener('input', keep, true);
  window.addEventListener('pagehide', keep);
  window.ballotChosen = setInterval(() => { if (before) putBack(); }, 1000);
}"""


@cache
def once_a_page() -> str:
    """The script every page load runs once: the watch, and fetching what later questions are drawn with.

    A phone that loses its network between two questions could not fetch the parts of the next one any more.
    """
    folder = Path(st.__file__).parent / "static" / "static" / "js"
    found = [file.name for part in _NEEDED for file in sorted(folder.glob(f"{part}.*.js"))]
    fetched = "".join(f'import("/static/js/{name}").catch(() => 0);' for name in found)
    return f"<script>{fetched}{cut_off.NO_DIALOG}{_WATCH}{_CHOSEN}</script>"


# A new strip is read from its top, wherever the thumb was on the one before.
_TO_THE_TOP: Final = (
    'const ask = document.getElementById("ballot-ask"); if (ask) ask.focus();'
    "document.querySelector('[data-testid=\"stMain\"]')?.scrollTo(0, 0);"
)


def announcement(turn: int, said: str, focus: bool = True, receipt: str = "") -> str:
    """A script that, once per turn, speaks ``said`` in the live region and moves the focus to the new question.

    A ``receipt`` is kept by the phone.
    """
    moved = _TO_THE_TOP if focus else ""
    moved += receipts_kept.keep(receipt) if receipt else ""
    text = json.dumps(said).replace("<", "\\u003c")  # cannot end the script, whatever a sentence quotes
    return (
        f"<script>if (window.ballotTurn !== {turn:d}) {{window.ballotTurn = {turn:d};"
        f'const live = document.getElementById("ballot-live"); if (live) live.textContent = {text};'
        f"{moved}}}</script>"
    )
