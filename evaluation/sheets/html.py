"""The same sheets as HTML, at true size in millimetres, for printing from a browser. Nothing is fetched."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import segno

from evaluation.actions.paper_reading import LINE_MM
from evaluation.ground.markup import Html, joined, template
from evaluation.sheets.labels import RULER_AT, RULER_NOTE, placed
from evaluation.sheets.pieces import BallotCard, Break, Cards, Head, Item, Label, Labels, Sheet, Table, Text
from evaluation.sheets.stocks import Paper, Printing

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
.label .told { display: flex; flex-direction: column; align-items: center; } .label small { font-size: 6pt; }
.label.qr { flex-direction: row; gap: 1mm; }
.ruler { position: absolute; top: 5mm; width: 100mm; height: 3mm; border: solid #000; border-width: 0 .2mm; }
.ruler::after { content: ""; position: absolute; left: 0; right: 0; top: 1.4mm; border-top: .2mm solid #000; }
.note { position: absolute; font-size: 6pt; white-space: nowrap; }
"""
_PAGE: Final = template(
    '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{{ title }}</title>'
    "<style>{{ style }}</style></head><body>{{ body }}</body></html>"
)
_MAIN: Final = template("<main>{% for block in blocks %}{{ block }}{% endfor %}</main>")
_FOOT: Final = template('<p class="foot">{{ text }}</p>')
_STOCK: Final = template(
    '<section class="stock" style="width:{{ width }}mm;height:{{ height }}mm">'
    '<div class="ruler" style="left:{{ at }}mm"></div>'
    '<div class="note" style="left:{{ at + 102 }}mm;top:5mm">{{ note }}</div>'
    "{% for label in labels %}{{ label }}{% endfor %}"
    '<div class="note" style="left:{{ at }}mm;bottom:5mm">{{ foot }}</div></section>'
)
_BREAK: Final = Html('<div class="break"></div>')
_TEXT: Final = template('<{{ tag }} class="{{ block.style }}">{{ block.text }}</{{ tag }}>')
_TABLE: Final = template(
    "<table><thead><tr>{% if block.tick %}<th></th>{% endif %}{% for name in block.columns %}<th>{{ name }}</th>"
    "{% endfor %}</tr></thead><tbody>{% for row in block.rows %}<tr>"
    '{% if block.tick %}<td class="tick"><span class="box"></span></td>{% endif %}{% for cell in row %}<td>'
    "{% if loop.index0 in block.bold %}<b>{{ cell }}</b>{% else %}{{ cell }}{% endif %}</td>{% endfor %}</tr>"
    "{% endfor %}</tbody></table>"
)
_CARD: Final = template(
    '<section class="card"><header><span>{{ card.alias }}</span><span>Card {{ card.label }}</span></header>'
    '<div class="place"><span>{{ card.place }}</span><span>{% if card.codes %}'
    "{% if card.at %}Smell at {{ card.at }} · smelt at ____ : ____{% else %}Smelt at ____ : ____{% endif %}"
    '{% endif %}</span></div><div class="codes">{% for code, note in codes %}<div><b>{{ code }}</b>{{ note }}</div>'
    '{% endfor %}</div>{% if card.how %}<p class="small">{{ card.how }}</p>{% endif %}'
    "{% if card.lead %}<p>{{ card.lead }}</p>{% endif %}{% for item in items %}{{ item }}{% endfor %}"
    '<p class="small">{{ cautions }}</p>{{ foot }}</section>'
)
_ITEM: Final = template(
    '<div class="item"><h3>{{ item.asked }}</h3>{% if item.below %}<p class=small>{{ item.below }}</p>{% endif %}'
    "{{ control }}</div>"
)
_OPTIONS: Final = template(
    '<div class="options{{ kind }}">{% for option in options %}<span><span class="box"></span>{{ option.label }}'
    "{% if option.typed %}<sup> {{ option.typed }}</sup>{% endif %}</span>{% endfor %}</div>"
)
_RATED: Final = template(
    '<div class="rated"><div class="mark"><i></i><span><span>{{ item.ends[0] }}</span><span>{{ item.ends[1] }}</span>'
    "</span></div>{{ options }}</div>"
)
_ENDS: Final = template("<p class=small>{{ item.ends[0] }} · {{ item.ends[1] }}</p>")
_ORDER: Final = template(
    '<div class="order">{% for place in range(1, boxes + 1) %}<span><span class="box"></span>{{ place }}'
    "{% if place == boxes %} last{% elif place == 1 %} best{% endif %}</span>{% endfor %}</div>"
)
_LABEL: Final = template(
    '<div class="{{ kinds }}" style="{{ place }}">{{ qr }}<span class="told"><b style="font-size:{{ size }}mm">'
    "{{ label.text }}</b>{% if label.small %}<small>{{ label.small }}</small>{% endif %}</span></div>"
)
_QR: Final = template('<img src="{{ source }}" alt="" style="height:{{ side }}mm">')


def sheet_html(sheet: Sheet) -> Html:
    """A sheet of paragraphs and tables."""
    blocks = [*map(_block, sheet.blocks), _foot(sheet.head)]
    return _page(sheet.head, sheet.paper, _MAIN(blocks=blocks))


def cards_html(cards: Cards) -> Html:
    """Paper ballots, one card for each set that is open, or a line that none is."""
    blocks = [_card(cards, card) for card in cards.cards] or [Html("<p>No card is open.</p>")]
    return _page(cards.head, cards.paper, _MAIN(blocks=blocks))


def labels_html(labels: Labels, printing: Printing) -> Html:
    """Labels at the places of their stock."""
    stock = printing.stock
    sheets = [
        _STOCK(
            width=stock.paper.width,
            height=stock.paper.height,
            at=RULER_AT[0],
            note=f"{RULER_NOTE} · {name} · {stock.name}",
            labels=[_label(label, left, top, printing) for label, left, top in sheet],
            foot=labels.head.foot(),
        )
        for name, sheet in placed(labels, printing)
    ]
    return _page(labels.head, stock.paper, joined(sheets or [Html("<p>No labels.</p>")]))


def _page(head: Head, paper: Paper, body: Html) -> Html:
    size = f"@page {{ size: {paper.width}mm {paper.height}mm; margin: 0; }}"
    style = Html(size + _STYLE.replace("MARK", str(LINE_MM)))
    return _PAGE(title=f"{head.sheet} · {head.seal}", style=style, body=body)


def _foot(head: Head) -> Html:
    return _FOOT(text=head.foot())


# --- paragraphs and tables --------------------------------------------------------------------------------------------

_TAGS: Final = MappingProxyType({"warning": "h1", "head": "h2"})


def _block(block: Text | Table | Break) -> Html:
    if isinstance(block, Break):
        return _BREAK
    if isinstance(block, Table):
        return _TABLE(block=block)
    return _TEXT(block=block, tag=_TAGS.get(block.style, "p")) if block.text else Html()


# --- cards ------------------------------------------------------------------------------------------------------------


def _card(cards: Cards, card: BallotCard) -> Html:
    return _CARD(
        card=card,
        codes=list(zip(card.codes, card.notes, strict=True)),
        items=[_ITEM(item=item, control=_CONTROLS[item.kind](item)) for item in card.items],
        cautions=" ".join((*cards.cautions, *(cards.skin_cautions if card.skin else ()))),
        foot=_foot(cards.head),
    )


def _boxes(item: Item, kind: str = "") -> Html:
    return _OPTIONS(options=item.options, kind=kind)


def _line(item: Item) -> Html:
    return _RATED(item=item, options=_boxes(item))


def _scale(item: Item) -> Html:
    options = _boxes(item, " scale")
    return options + _ENDS(item=item) if any(item.ends) else options


def _order(item: Item) -> Html:
    return _ORDER(boxes=item.boxes)


_CONTROLS: Final[Mapping[str, Callable[[Item], Html]]] = MappingProxyType(
    {"boxes": _boxes, "line": _line, "scale": _scale, "order": _order}
)


# --- labels -----------------------------------------------------------------------------------------------------------


def _label(label: Label, left: float, top: float, printing: Printing) -> Html:
    stock = printing.stock
    qr = printing.qr and label.scanned
    size = min(stock.height * 0.62, stock.width * (0.24 if qr else 0.42))
    return _LABEL(
        label=label,
        kinds=f"label{' cut' if stock.cut else ''}{' qr' if qr else ''}",
        place=f"left:{left:.5g}mm;top:{top:.5g}mm;width:{stock.width:.5g}mm;height:{stock.height:.5g}mm",
        size=f"{size:.4g}",
        qr=_qr(label.text, stock.height - 2.4) if qr else "",
    )


def _qr(text: str, side: float) -> Html:
    source = segno.make(text, error="m", micro=False).svg_data_uri(border=4)
    return _QR(source=source, side=f"{side:.4g}")
