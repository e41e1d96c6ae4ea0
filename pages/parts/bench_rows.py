"""Small tables for the bench, as plain HTML: they wrap on a phone, copy as text, and need no data frame."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from typing import Final

import streamlit as st

from evaluation.tables_digits import fixed

STYLE: Final = """<style>
.mo-table {border-collapse: collapse; width: 100%; font-size: 1rem;}
.mo-table th {text-align: left; font-weight: 600; font-size: .85rem; opacity: .86; padding: .2rem .8rem .2rem 0;}
.mo-table td {padding: .32rem .8rem .32rem 0; border-top: 1px solid rgba(128,128,128,.35); vertical-align: middle;}
.mo-table td:last-child, .mo-table th:last-child {padding-right: 0;}
.mo-when {white-space: nowrap; font-variant-numeric: tabular-nums; font-size: .9rem;}
.mo-table td.mo-codes {font-variant-numeric: tabular-nums; font-weight: 600; letter-spacing: .03em;}
.mo-table tr.mo-aside td {text-decoration: line-through; opacity: .6;}
.mo-wide {overflow-x: auto;}
.mo-wide .mo-table td {min-width: 3.5rem;}
.mo-pair {display: inline-block; margin-right: 1.1em; white-space: nowrap;}
.mo-bar {display: block; height: .5rem; min-width: 4rem; border: 1px solid currentColor; border-radius: .25rem;}
.mo-bar i {display: block; height: 100%; background: currentColor;}
@media (max-width: 480px) {.mo-table {font-size: .9rem;} .mo-table td, .mo-table th {padding-right: .45rem;}
  .mo-bar {min-width: 2rem;} .mo-table td:has(.mo-bar) ~ td, .mo-table td:has(+ td .mo-bar) {white-space: nowrap;}}
.mo-hash {font-family: monospace; font-size: .85rem; overflow-wrap: anywhere;}
</style>"""


def codes(each: Sequence[str]) -> str:
    """Codes in tray order."""
    return "".join(f'<span class="mo-pair">{escape(code)}</span>' for code in each)


def bar(done: int, total: int) -> str:
    """How far, as a bar that says it in words too."""
    share = 100 * done / total if total else 0
    said = f"{done} of {total}"
    return f'<span class="mo-bar" role="img" aria-label="{said}"><i style="width:{fixed(share, 0)}%"></i></span>'


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], aside: Sequence[bool] = (), *, wide: bool = False
) -> None:
    """Cells are HTML: escape what people typed with :func:`said`. ``aside`` strikes rows through, ``wide`` scrolls."""
    body = []
    for number, row in enumerate(rows):
        mark = ' class="mo-aside"' if number < len(aside) and aside[number] else ""
        body.append(f"<tr{mark}>" + "".join(_cell(cell) for cell in row) + "</tr>")
    top = "".join(f"<th>{escape(word)}</th>" for word in head)
    told = f'<table class="mo-table"><thead><tr>{top}</tr></thead><tbody>{"".join(body)}</tbody></table>'
    st.html(
        STYLE + (f'<div class="mo-wide" role="group" aria-label="Table" tabindex="0">{told}</div>' if wide else told)
    )


def said(text: object) -> str:
    """Text as HTML."""
    return escape(str(text))


def _cell(cell: str) -> str:
    kind = ' class="mo-codes"' if "mo-pair" in cell else ""
    return f"<td{kind}>{cell}</td>"
