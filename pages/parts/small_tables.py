"""Small tables for the bench, as plain HTML: they wrap on a phone, copy as text, and need no data frame."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import streamlit as st

from evaluation.ground.markup import Html, joined, template
from evaluation.ground.tables_digits import fixed

STYLE: Final = Html("""<style>
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
  .mo-wide .mo-table {width: max-content; min-width: 100%;} .mo-wide .mo-table td {max-width: 14rem;}
  .mo-bar {min-width: 2rem;} .mo-table td:has(.mo-bar) ~ td, .mo-table td:has(+ td .mo-bar) {white-space: nowrap;}}
.mo-hash {font-family: monospace; font-size: .85rem; overflow-wrap: anywhere;}
</style>""")


_CODES: Final = template('{% for code in each %}<span class="mo-pair">{{ code }}</span>{% endfor %}')
_BAR: Final = template(
    '<span class="mo-bar" role="img" aria-label="{{ said }}"><i style="width:{{ percent }}%"></i></span>'
)
_TABLE: Final = template(
    '<table class="mo-table"><thead><tr>{% for word in head %}<th>{{ word }}</th>{% endfor %}</tr></thead><tbody>'
    '{% for row, aside in rows %}<tr{% if aside %} class="mo-aside"{% endif %}>{% for cell, kind in row %}'
    '<td{% if kind %} class="{{ kind }}"{% endif %}>{{ cell }}</td>{% endfor %}</tr>{% endfor %}</tbody></table>'
)
_WIDE: Final = template('<div class="mo-wide" role="group" aria-label="Table" tabindex="0">{{ table }}</div>')


def codes(each: Sequence[str]) -> Html:
    """Codes in tray order."""
    return _CODES(each=each)


def progress_bar(done: int, total: int) -> Html:
    """How far, as a bar that says it in words too."""
    return _BAR(said=f"{done} of {total}", percent=fixed(100 * done / total if total else 0, 0))


def table(
    head: Sequence[str], rows: Iterable[Sequence[str]], aside: Sequence[bool] = (), *, wide: bool = False
) -> None:
    """Cells are text, or HTML a template made (codes, a bar). ``aside`` strikes rows through, ``wide`` scrolls."""
    struck = {number for number, out in enumerate(aside) if out}
    marked = [([(cell, _kind(cell)) for cell in row], number in struck) for number, row in enumerate(rows)]
    told = _TABLE(head=head, rows=marked)
    st.html(STYLE + (_WIDE(table=told) if wide else told))


def as_html(text: object) -> Html:
    """Text as HTML that shows it as it is: nothing in it is read as a tag."""
    return joined([str(text)])


def _kind(cell: str) -> str:
    return "mo-codes" if isinstance(cell, Html) and "mo-pair" in cell else ""
