"""Receipts of locked answers, kept by the browser they were locked in: a panelist's phone, or that of somebody alone.

Should an answer be missing later, it can be shown by its receipt that it had been stored. Only text is written to the
page, and only what looks like a receipt; a browser that keeps nothing shows those of this page.
"""

from __future__ import annotations

import json
from typing import Final

import streamlit as st

from evaluation.ground.markup import template

_STYLE: Final = """<style>
.receipts {margin: 1.5rem 0 0; font-size: 1rem; line-height: 1.4; color: var(--ink, inherit);}
.receipts summary {min-height: 44px; padding: .6rem 0; cursor: pointer; text-decoration: underline;
  text-underline-offset: .2em;}
.receipts ul {list-style: none; margin: 0; padding: 0; font-variant-numeric: tabular-nums;}
.receipts li {margin: 0 0 .35rem; font-size: 1rem; user-select: text;}
</style>"""

_KEEPING: Final = """
if (!window.receiptKept) {
  const form = /^[0-9a-f]{4}(-[0-9a-f]{4}){2}$/, name = 'smelling-receipts';
  let here = [];
  const kept = () => {
    try {
      const found = JSON.parse(localStorage.getItem(name) || '[]');
      return Array.isArray(found) ? found.filter((one) => form.test(one && one.receipt)) : [];
    } catch { return here; }
  };
  window.receiptKept = (receipt) => {
    const found = kept();
    if (form.test(receipt) && !found.some((one) => one.receipt === receipt)) {
      found.push({receipt, at: Date.now()});
      here = found.slice(-200);
      try { localStorage.setItem(name, JSON.stringify(here)); } catch {}
    }
    const box = document.getElementById('receipts'), list = box?.querySelector('ul');
    if (!list) return;
    box.hidden = !found.length;
    list.replaceChildren(...found.map((one) => {
      const line = document.createElement('li');
      const when = new Date(one.at).toLocaleString([], {dateStyle: 'short', timeStyle: 'short'});
      line.textContent = when + ' · ' + one.receipt;
      return line;
    }));
  };
}"""

_BOX: Final = template(
    '<details id="receipts" class="receipts" hidden><summary>{{ title }}</summary><p>{{ text }}</p><ul></ul></details>'
)


def show_box(title: str, text: str, receipt: str = "") -> None:
    """Where the browser shows the receipts it keeps, a new one too; shut, and out of sight until there is one."""
    shown = f"{_STYLE}{_BOX(title=title, text=text)}<script>{_KEEPING}{keep(receipt)}</script>"
    st.html(shown, unsafe_allow_javascript=True)


def keep(receipt: str) -> str:
    """The line of script that has the browser keep a receipt; without one the box alone is filled."""
    return f"window.receiptKept?.({json.dumps(receipt)});"
