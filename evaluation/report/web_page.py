"""A report as one page that fetches nothing: no script, charts drawn into it, made to be printed."""

from __future__ import annotations

import re
from typing import Final

from evaluation import charts
from evaluation.ground.markup import Html, template
from evaluation.report.blocks import Block, Chart, Report
from evaluation.sheets.pieces import Table, Text

NO_CHARTS: Final = "The charts are left out: drawing them needs the extra “pictures”."
_STYLE: Final = Html("""
html { color: #1b1720; background: #fff; font: 11pt/1.5 "DejaVu Sans", "Noto Sans", system-ui, sans-serif; }
body { max-width: 46rem; margin: 0 auto; padding: 2rem 1rem; overflow-wrap: anywhere; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 0 0 .3rem; } h2 { font-size: 1.15rem; margin: 2rem 0 .5rem; }
p { margin: 0 0 .5rem; } .lead { font-size: 1.12rem; font-weight: 600; border-left: .3rem solid #6A3552;
  padding-left: .8rem; margin: .8rem 0; } .small, figcaption { font-size: .82rem; color: #4c4653; }
table { border-collapse: collapse; width: 100%; margin: .6rem 0 1rem; font-size: .86rem; }
thead { display: table-header-group; } tr, figure { break-inside: avoid; }
th, td { text-align: left; vertical-align: top; padding: .25rem .6rem .25rem 0; border-bottom: 1px solid #d8d3dc; }
table { overflow-wrap: break-word; } .wide { overflow-x: auto; }
figure { margin: 1rem 0; } svg { max-width: 100%; height: auto; }
pre { font-size: .68rem; white-space: pre-wrap; } h2 { break-after: avoid; }
@page { margin: 16mm; }
@media print { .wide { overflow: visible; } table { overflow-wrap: anywhere; }
  body { max-width: none; padding: 0; } html { font-size: 9.5pt; } }
""")


_PAGE: Final = template(
    '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
    '<meta name="viewport" content="width=device-width, initial-scale=1"><title>{{ report.title }}</title>'
    "<style>{{ style }}</style></head><body><h1>{{ report.title }}</h1>"
    '<p class="small">Report · last entry of the record {{ report.day }} · seal {{ report.seal }}</p>'
    "{% for block in blocks %}{{ block }}{% endfor %}{{ numbers }}</body></html>\n"
)
_TEXT: Final = template('<{{ tag }} class="{{ block.style }}">{{ block.text }}</{{ tag }}>')
_TABLE: Final = template(
    '<div class="wide"><table><thead><tr>{% for one in block.columns %}<th scope="col">{{ one }}</th>{% endfor %}</tr>'
    "</thead><tbody>{% for row in block.rows %}<tr>{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>"
    "{% endfor %}</tbody></table></div>"
)
_FIGURE: Final = template("<figure>{{ picture }}<figcaption>{{ caption }}</figcaption></figure>")
_NO_FIGURE: Final = template('<p class="small">{{ told }}</p>')
_NUMBERS: Final = template(
    '<h2>All numbers</h2><p class="small">As “report FILE --numbers” prints them from the exported data; SHA-256 '
    "{{ report.numbers_hash }}.</p><details><summary>Show</summary>"
    '<pre id="numbers">{{ report.numbers }}</pre></details>'
)


def page(report: Report) -> bytes:
    """The whole page, as it is stored."""
    blocks, drawn = [], 0
    for block in report.blocks:
        drawn += isinstance(block, Chart)
        blocks.append(_block(block, drawn))
    numbers = _NUMBERS(report=report) if report.numbers else ""
    return _PAGE(report=report, style=_STYLE, blocks=blocks, numbers=numbers).encode()


def _block(block: Block, drawn: int) -> Html:
    if isinstance(block, Text):
        return _TEXT(block=block, tag="h2" if block.style == "head" else "p")
    return _TABLE(block=block) if isinstance(block, Table) else _figure(block, drawn)


def _figure(block: Chart, drawn: int) -> Html:
    made = charts.picture(block.drawn, "svg")
    if made is None:
        return _NO_FIGURE(told=NO_CHARTS)
    return _FIGURE(picture=Html(_own_ids(made.decode(), drawn)), caption=block.caption)


def _own_ids(svg: str, drawn: int) -> str:
    """Names of clips counted from 1 in each chart: the renderer counts on from picture to picture."""
    known: dict[str, str] = {}
    for name in re.findall(r'\bid="([^"]+)"', svg):
        known.setdefault(name, f"chart{drawn}-{len(known) + 1}")
    svg = re.sub(r'\bid="([^"]+)"', lambda found: f'id="{known[found[1]]}"', svg)
    return re.sub(r"url\(#([^)]+)\)", lambda found: f"url(#{known.get(found[1], found[1])})", svg)
