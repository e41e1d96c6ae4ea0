"""What a page does while the program cannot be reached: a line of its own, no dialog over it, nothing typed is lost.

The framework covers the page with a dialog about itself as soon as a connection fails, or an address is not known. No
dialog is ours; it is shut before it is drawn, and what is said instead is one line at the foot of the page. What was
typed into named fields is kept by the browser tab, for this tab only, and put back after a reload until it was sent
and not refused. Nothing of it leaves the browser.
"""

from __future__ import annotations

from typing import Final

import streamlit as st

from evaluation.ground.markup import template

CUT_OFF: Final = (
    "No connection to the program. Keep this page open: it goes on by itself, and what you have typed stays here."
)
AGAIN: Final = "What you had typed before the page was loaded anew is here again. It is not stored yet."

# One that could not be shut stays to be seen: hidden it would lock the page.
HIDDEN: Final = '[data-testid="stDialog"]:has(button[aria-label="Close"]) {visibility: hidden;}'
_STYLE: Final = f"""<style>
{HIDDEN}
.cut-off {{position: fixed; z-index: 1000000; left: 0; right: 0; bottom: 0; margin: 0; padding: .8rem 1rem;
  font-size: 1rem; line-height: 1.4; color: Canvas; background: CanvasText;}}
</style>"""
_LINES: Final = template(
    '<p id="cut-off" class="cut-off" role="status" hidden>{{ lost }}</p>'
    '<p id="typed-again" class="cut-off" role="status" hidden>{{ again }}</p>'
)

# Shared by both sides. The observer shuts the dialog in the same turn in which it is put into the page.
NO_DIALOG: Final = """
if (!window.noDialog) {
  window.isConnected = () =>
    document.querySelector('[data-testid="stApp"]')?.dataset.testConnectionState === 'CONNECTED';
  window.noDialog = new MutationObserver(() => {
    document.querySelector('[data-testid="stDialog"] button[aria-label="Close"]')?.click();
  });
  window.noDialog.observe(document.body, {childList: true, subtree: true});
  window.putTyped = (field, value, stay) => {
    const kind = field.tagName === 'TEXTAREA' ? HTMLTextAreaElement : HTMLInputElement;
    field.focus();
    Object.getOwnPropertyDescriptor(kind.prototype, 'value').set.call(field, value);
    field.dispatchEvent(new Event('input', {bubbles: true}));
    if (stay) return;
    field.dispatchEvent(new FocusEvent('focusout', {bubbles: true}));
    field.blur();
  };
}"""

# Names are those of the fields (the framework's classes of keys). A field is put back once a load. After a button was
# pressed and its run is over, what was typed in its form is forgotten unless a refusal stands on the page, and
# elsewhere what is no longer there.
_TYPED: Final = """
if (!window.typedKept) {
  let away = 0, pressed = null, tries = 0;
  const texts = 'input[type="text"]:not([role="combobox"]), textarea';
  const fields = texts + ', [data-testid="stForm"] input[role="combobox"]';  // elsewhere a list leads somewhere
  const back = new Set();
  const place = () => 'typed ' + location.pathname;
  const kept = () => { try { return JSON.parse(sessionStorage.getItem(place()) || '{}'); } catch { return {}; } };
  const keep = (all) => { try { sessionStorage.setItem(place(), JSON.stringify(all)); } catch {} };
  const nameOf = (field) => {
    const holder = field.closest('[class*="st-key-"]');
    if (!holder || holder.querySelectorAll(fields).length !== 1) return '';
    if (field.closest('[data-testid="stDateInput"]')) return '';
    return [...holder.classList].find((one) => one.startsWith('st-key-'));
  };
  const there = (name) => document.getElementsByClassName(name)[0]?.querySelector(fields);
  document.addEventListener('input', (event) => {
    if (!event.isTrusted || !event.target.matches(texts)) return;
    document.getElementById('typed-again').hidden = true;
    const name = nameOf(event.target);
    if (name) { back.add(name); keep({...kept(), [name]: event.target.value}); }
  }, true);
  const chosen = (option) => {
    const box = document.querySelector('[data-testid="stForm"] input[role="combobox"][aria-expanded="true"]');
    const name = box && nameOf(box);
    if (!name) return;
    const put = (value) => { back.add(name); keep({...kept(), [name]: value}); };
    if (option) put(option.textContent.trim());  // at once: the page may be loaded anew before the list has shut
    else setTimeout(() => put(box.value), 300);
  };
  document.addEventListener('pointerup', (event) => {
    const option = event.target.closest('[role="option"]');
    if (option) chosen(option);
  }, true);
  document.addEventListener('keydown', (event) => { if (event.key === 'Enter') chosen(); }, true);
  const choose = (box, value) => {
    window.putTyped(box, value, true);
    setTimeout(() => {
      const option = [...document.querySelectorAll('[role="option"]')].find((one) => one.textContent.trim() === value);
      const act = (kind, of) => option?.dispatchEvent(new of(kind, {bubbles: true, cancelable: true, button: 0}));
      for (const kind of ['pointerdown', 'pointerup']) act(kind, PointerEvent);
      act('click', MouseEvent);
      box.blur();
      setTimeout(() => { if (box.value !== value && tries++ < 3) back.delete(nameOf(box)); }, 600);
    }, 300);
  };
  document.addEventListener('click', (event) => {
    const button = event.target.closest('[data-testid="stButton"] button, [data-testid="stFormSubmitButton"] button');
    if (!button || !event.isTrusted) return;
    document.getElementById('typed-again').hidden = true;
    pressed = {ticks: 0, form: button.closest('[data-testid="stForm"]')};
    pressed.names = pressed.form ? [...pressed.form.querySelectorAll(fields)].map(nameOf) : [];
  }, true);
  const forget = () => {
    const all = kept(), refused = document.querySelector('[data-testid="stAlertContentError"]');
    for (const name of Object.keys(all)) {
      if (!there(name) || (!refused && pressed.names.includes(name))) delete all[name];
    }
    keep(all);
    pressed = null;
  };
  const putBack = () => {
    const open = (field) => field && !field.closest('[inert]') && field.checkVisibility();
    const stale = Object.entries(kept()).filter(([name]) => open(there(name)) && !back.has(name));
    for (const [name] of stale) back.add(name);
    const [name, value] = stale.find(([name, value]) => there(name).value !== value) || [];
    if (!name) return;
    for (const [one] of stale.slice(stale.findIndex(([each]) => each === name) + 1)) back.delete(one);
    const field = there(name);  // one at a time: each may start a run
    if (field.matches(texts)) window.putTyped(field, value);
    else choose(field, value);
    document.getElementById('typed-again').hidden = false;
  };
  window.typedKept = setInterval(() => {
    const line = document.getElementById('cut-off');
    if (!line) return;
    away = window.isConnected() ? 0 : away + 1;
    line.hidden = away < 2;
    const app = document.querySelector('[data-testid="stApp"]');
    if (away || app?.dataset.testScriptState !== 'notRunning') return;
    if (pressed && ++pressed.ticks >= 2) forget();
    else if (!pressed) putBack();
  }, 500);
}"""


def watch() -> None:
    """Once a page of the conductor, near its top."""
    shown = f"{_STYLE}{_LINES(lost=CUT_OFF, again=AGAIN)}<script>{NO_DIALOG}{_TYPED}</script>"
    st.html(shown, unsafe_allow_javascript=True)
