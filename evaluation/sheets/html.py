"""The same sheets as HTML, at true size in millimetres, for printing from a browser. Nothing is fetched."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from html import escape
from types import MappingProxyType
from typing import Final

import segno

from evaluation.actions.paper_reading import LINE_MM
from evaluation.sheets.labels import RULER_AT, RULER_NOTE, placed
from evaluation.sheets.paper import Paper, Printing
from evaluation.sheets.values import BallotCard, Break, Cards, Head, Item, Label, Labels, Option, Sheet, Table, Text

_STYLE: Final = """
* { box-sizing: border-box; }
html { color: #000; background: #fff; font: 10pt/1.35 "DejaVu Sans", "Noto Sans", system-ui, sans-serif; }
body { margin: 0; }
main { margin: 10mm 12mm; } h1 { font-size: 20pt; margin: 0 0 3mm; } h2 { font-size: 14pt; margin: 5mm 0 1mm; }
p { margin: 0 0 2mm; } .small { font-size: 8pt; } .lead { font-size: 12pt; font-weight: 700; }
.foot { font-size: 7pt; margin-top: 4mm; } .break { break-before: page; }
table { border-collapse: collapse; width: 100%; margin: 0 0 4mm; } thead { display: table-header-group; }
th { text-align: left; font-size: 8pt; font-weight: 400; border-bottom: .3mm solid #000; padding: 1mm 2mm 1mm 0; }
td { border-bottom: .1mm solid #000; padding: 1mm 2mm 1mm 0; vertical-align: top; white-space: pre-wrap; }
tr { break-inside: avoid; } td.tick { width: 7mm; } .box { display: inline-block; border: .3mm solid #000; }
td.tick .box { width: 4mm; height: 4mm; }
.card { break-inside: avoid; padding: 6mm 0 4mm; border-bottom: .2mm dashed #000; }
.card header { display: flex; justify-content: space-between; font-size: 15pt; font-weight: 700; }
.card .place { display: flex; justify-content: space-between; margin: 1mm 0 2mm; }
.codes { display: flex; gap: 3mm; margin-bottom: 3mm; } .codes div { text-align: center; font-size: 8pt; }
.codes b { display: block; width: 26mm; border: .3mm solid #000; font-size: 17pt; padding: 1mm 0; }
.item { break-inside: avoid; margin: 0 0 4mm; } .item h3 { font-size: 11.5pt; margin: 0; } .item p { margin: 0; }
.options { display: flex; flex-wrap: wrap; gap: 2mm 7mm; font-size: 13pt; margin-top: 1.5mm; align-items: center; }
.options .box { width: 5mm; height: 5mm; margin-right: 2mm; vertical-align: -.8mm; } .options sup { font-size: 7pt; }
.rated { display: flex; gap: 12mm; align-items: flex-start; } .rated .options, .scale { font-size: 9pt; gap: 2mm 3mm; }
.mark { width: MARKmm; flex: none; margin-top: 3mm; } .mark i { display: block; height: 3.6mm; position: relative;
  border: solid #000; border-width: 0 .35mm; }
.mark i::after { content: ""; position: absolute; left: 0; right: 0; top: 1.65mm; border-top: .35mm solid #000; }
.mark span { display: flex; justify-content: space-between; font-size: 7.5pt; }
.order { display: flex; gap: 6mm; font-size: 8pt; margin-top: 2mm; } .order .box { display: block; width: 24mm;
  height: 12mm; }
.stock { position: relative; overflow: hidden; break-after: page; }
.label { position: absolute; display: flex; flex-direction: column; align-items: center; justify-content: center;
  text-align: center; overflow: hidden; } .label b { line-height: 1; } .label.cut { outline: .1mm solid #000; }
.label small { font-size: 6pt; } .label.qr { flex-direction: row; gap: 1mm; }
.ruler { position: absolute; top: 5mm; width: 100mm; height: 3mm; border: solid #000; border-width: 0 .2mm; }
.ruler::after { content: ""; position: absolute; left: 0; right: 0; top: 1.4mm; border-top: .2mm solid #000; }
.note { position: absolute; font-size: 6pt; white-space: nowrap; }
"""


def sheet_html(sheet: Sheet) -> str:
    """A sheet of paragraphs and tables."""
    body = "".join(_block(block) for block in sheet.blocks)
    return _page(sheet.head, sheet.paper, f"<main>{body}{_foot(sheet.head)}</main>", 0)


def cards_html(cards: Cards) -> str:
    """Paper ballots."""
    body = "".join(_card(cards, card) for card in cards.cards) or "<p>No card is open.</p>"
    return _page(cards.head, cards.paper, f"<main>{body}</main>", 0)


def labels_html(labels: Labels, printing: Printing) -> str:
    """Labels at the places of their stock."""
    stock = printing.stock
    size = f"width:{stock.paper.width}mm;height:{stock.paper.height}mm"
    sheets = []
    for name, sheet in placed(labels, printing):
        note, foot = escape(f"{RULER_NOTE} · {name} · {stock.name}"), escape(labels.head.foot())
        sheets.append(
            f'<section class="stock" style="{size}"><div class="ruler" style="left:{RULER_AT[0]}mm"></div>'
            f'<div class="note" style="left:{RULER_AT[0] + 102}mm;top:5mm">{note}</div>'
            + "".join(_label(label, left, top, printing) for label, left, top in sheet)
            + f'<div class="note" style="left:{RULER_AT[0]}mm;bottom:5mm">{foot}</div></section>'
        )
    return _page(labels.head, stock.paper, "".join(sheets) or "<p>No labels.</p>", 0)


def _page(head: Head, paper: Paper, body: str, margin: int) -> str:
    size = f"@page {{ size: {paper.width}mm {paper.height}mm; margin: {margin}; }}"
    title = escape(f"{head.sheet} · {head.seal}")
    style = _STYLE.replace("MARK", str(LINE_MM))
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{title}</title>'
        f"<style>{size}{style}</style></head><body>{body}</body></html>"
    )


def _foot(head: Head) -> str:
    return f'<p class="foot">{escape(head.foot())}</p>'


# --- paragraphs and tables --------------------------------------------------------------------------------------------

_TAGS: Final = MappingProxyType({"warning": "h1", "head": "h2"})


def _block(block: Text | Table | Break) -> str:
    if isinstance(block, Break):
        return '<div class="break"></div>'
    if isinstance(block, Table):
        return _table(block)
    tag = _TAGS.get(block.style, "p")
    return f'<{tag} class="{block.style}">{escape(block.text)}</{tag}>' if block.text else ""


def _table(block: Table) -> str:
    tick = '<td class="tick"><span class="box"></span></td>' if block.tick else ""
    head = ("<th></th>" if block.tick else "") + "".join(f"<th>{escape(name)}</th>" for name in block.columns)
    rows = "".join(f"<tr>{tick}{''.join(_cells(block, row))}</tr>" for row in block.rows)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"


def _cells(block: Table, row: tuple[str, ...]) -> Iterable[str]:
    for number, cell in enumerate(row):
        told = escape(cell)
        yield f"<td>{f'<b>{told}</b>' if number in block.bold else told}</td>"


# --- cards ------------------------------------------------------------------------------------------------------------


def _card(cards: Cards, card: BallotCard) -> str:
    codes = "".join(f"<div><b>{escape(c)}</b>{escape(n)}</div>" for c, n in zip(card.codes, card.notes, strict=True))
    told = f"Smell at {escape(card.at)} · smelt at ____ : ____" if card.at else "Smelt at ____ : ____"
    cautions = " ".join((*cards.cautions, *(cards.skin_cautions if card.skin else ())))
    how = f'<p class="small">{escape(card.how)}</p>' if card.how else ""
    lead = f"<p>{escape(card.lead)}</p>" if card.lead else ""
    return (
        f'<section class="card"><header><span>{escape(card.alias)}</span><span>Card {card.label}</span></header>'
        f'<div class="place"><span>{escape(card.place)}</span><span>{told if card.codes else ""}</span></div>'
        f'<div class="codes">{codes}</div>{how}{lead}{"".join(_ITEMS[item.kind](item) for item in card.items)}'
        f'<p class="small">{escape(cautions)}</p>{_foot(cards.head)}</section>'
    )


def _named(item: Item) -> str:
    return f"<h3>{escape(item.asked)}</h3>" + (f"<p class=small>{escape(item.below)}</p>" if item.below else "")


def _options(options: tuple[Option, ...]) -> str:
    return "".join(
        f'<span><span class="box"></span>{escape(option.label)}'
        f"{f'<sup> {escape(option.typed)}</sup>' if option.typed else ''}</span>"
        for option in options
    )


def _boxes(item: Item) -> str:
    return f'<div class="item">{_named(item)}<div class="options">{_options(item.options)}</div></div>'


def _line(item: Item) -> str:
    low, high = map(escape, item.ends)
    mark = f'<div class="mark"><i></i><span><span>{low}</span><span>{high}</span></span></div>'
    options = f'<div class="options">{_options(item.options)}</div>'
    return f'<div class="item">{_named(item)}<div class="rated">{mark}{options}</div></div>'


def _scale(item: Item) -> str:
    ends = f"<p class=small>0: {escape(item.ends[0])} · 9: {escape(item.ends[1])}</p>" if any(item.ends) else ""
    return f'<div class="item">{_named(item)}<div class="options scale">{_options(item.options)}</div>{ends}</div>'


def _order(item: Item) -> str:
    said = {1: " best", item.boxes: " last"}
    places = range(1, item.boxes + 1)
    boxes = "".join(f'<span><span class="box"></span>{place}{said.get(place, "")}</span>' for place in places)
    return f'<div class="item">{_named(item)}<div class="order">{boxes}</div></div>'


_ITEMS: Final[Mapping[str, Callable[[Item], str]]] = MappingProxyType(
    {"boxes": _boxes, "line": _line, "scale": _scale, "order": _order}
)


# --- labels -----------------------------------------------------------------------------------------------------------


def _label(label: Label, left: float, top: float, printing: Printing) -> str:
    stock = printing.stock
    qr = printing.qr and not label.small
    kinds = f"label{' cut' if stock.cut else ''}{' qr' if qr else ''}"
    place = f"left:{left:.5g}mm;top:{top:.5g}mm;width:{stock.width:.5g}mm;height:{stock.height:.5g}mm"
    size = min(stock.height * 0.62, stock.width * (0.24 if qr else 0.42))
    small = f"<small>{escape(label.small)}</small>" if label.small else ""
    return (
        f'<div class="{kinds}" style="{place}">{_qr(label.text, stock.height - 2.4) if qr else ""}'
        f'<b style="font-size:{size:.4g}mm">{escape(label.text)}</b>{small}</div>'
    )


def _qr(text: str, side: float) -> str:
    source = segno.make(text, error="m", micro=False).svg_data_uri(border=4)
    return f'<img src="{escape(source)}" alt="" style="height:{side:.4g}mm">'
