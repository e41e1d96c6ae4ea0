"""A report as PDF: the fonts and pages of the sheets, with each chart laid in as vectors."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from typing import Final

from evaluation import charts
from evaluation.report.blocks import Block, Chart, Report
from evaluation.report.web_page import NO_CHARTS
from evaluation.sheets.pdf import MM_PER_POINT, Flow
from evaluation.sheets.pieces import Head, Sheet, Table, Text

POINTS_PER_MM: Final = 1 / MM_PER_POINT


@dataclass(frozen=True, slots=True)
class _Placed:
    """A chart of so many points, laid on a page; left and bottom in points from the lower left corner."""

    page: int
    left: float
    bottom: float
    scale: float
    content: bytes


def document(report: Report) -> bytes:
    """The whole document. ArgumentError names signs that the fonts lack."""
    texts = (*_opening(report), *_plain(report.blocks), *_closing(report))
    flow = Flow(Sheet(_head(report), texts))  # all texts are handed in, so that missing signs are named first
    placed = [one for block in (*_opening(report), *report.blocks, *_closing(report)) for one in _set(flow, block)]
    return _with_charts(flow.on.bytes(), placed)


def _head(report: Report) -> Head:
    return Head("Report", report.title, report.seal, report.day, report.instant, codes_only=False)


def _opening(report: Report) -> tuple[Text, ...]:
    return (Text(report.title, "warning"), Text(f"Report · last entry of the record {report.day}", "small"))


def _closing(report: Report) -> tuple[Text, ...]:
    if not report.numbers:
        return ()
    told = "“report FILE --numbers” prints them from the exported data; the SHA-256 of what it prints for this report:"
    return (Text("All numbers", "head"), Text(told), Text(report.numbers_hash))


def _plain(blocks: tuple[Block, ...]) -> Iterator[Text | Table]:
    for block in blocks:
        yield Text(block.caption or NO_CHARTS) if isinstance(block, Chart) else block


def _set(flow: Flow, block: Block) -> Iterator[_Placed]:
    if isinstance(block, Text):
        flow.text(block)
    elif isinstance(block, Table):
        flow.table(block)
    else:
        made = charts.picture(block.drawn, "pdf") if find_spec("pypdf") else None
        if made is None:
            flow.text(Text(NO_CHARTS, "small"))
            return
        yield _laid(flow, made)
        flow.text(Text(block.caption, "small"))


def _laid(flow: Flow, made: bytes) -> _Placed:
    """Room for a chart as wide as the text, on the next page where this one is full."""
    from pypdf import PdfReader

    box = PdfReader(io.BytesIO(made)).pages[0].mediabox
    scale = (flow.right - flow.left) * POINTS_PER_MM / float(box.width)
    height = float(box.height) * scale * MM_PER_POINT
    if flow.y + height + 12 > flow.bottom:
        flow.open()
    flow.y += height + 2
    bottom = (flow.sheet.paper.height - flow.y) * POINTS_PER_MM
    return _Placed(flow.on.pdf.page - 1, flow.left * POINTS_PER_MM, bottom, scale, made)


def _with_charts(content: bytes, placed: list[_Placed]) -> bytes:
    if not placed:
        return content
    from pypdf import PdfReader, PdfWriter, Transformation

    writer = PdfWriter(clone_from=io.BytesIO(content))
    for one in placed:
        chart = PdfReader(io.BytesIO(one.content)).pages[0]
        at = Transformation().scale(one.scale).translate(one.left, one.bottom)
        writer.pages[one.page].merge_transformed_page(chart, at)
    made = io.BytesIO()
    writer.write(made)
    return made.getvalue()
