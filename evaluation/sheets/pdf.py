"""Drawing on PDF pages at true size: text, lines, boxes, a foot on every page. All lengths in millimetres."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from typing import Final

from fpdf import FPDF
from fpdf.prefs import ViewerPreferences

from evaluation.errors import ArgumentError
from evaluation.sheets import fonts
from evaluation.sheets.pieces import Break, Head, Sheet, Table, Text
from evaluation.sheets.stocks import Paper

FAMILY: Final = "sheet"
MARGIN: Final = 12.0
FOOT: Final = 7.0  # from the lower edge to the foot's base line
MM_PER_POINT: Final = 25.4 / 72
SIZES: Final = {"plain": 10.0, "small": 8.0, "lead": 12.0, "head": 14.0, "warning": 20.0}
TICK: Final = 4.0
_GAP: Final = 2.0


class Drawing:
    """A PDF under way."""

    def __init__(self, head: Head, paper: Paper, texts: Iterable[str]) -> None:
        self.head, self.paper = head, paper
        self.pdf = FPDF(unit="mm", format=(paper.width, paper.height))
        self.pdf.set_auto_page_break(False)
        self.pdf.set_margins(0, 0)
        self.pdf.c_margin = 0
        self.pdf.add_font(FAMILY, "", fonts.REGULAR)
        self.pdf.add_font(FAMILY, "B", fonts.BOLD)
        try:
            fonts.check(texts, self._covered())
        except ArgumentError:
            self.close()
            raise
        self._describe()
        self._feet: list[tuple[int, float, float]] = []
        self._widths: dict[tuple[str, float, bool], float] = {}
        self._wrapped: dict[tuple[str, float, float, bool], list[str]] = {}

    def _covered(self) -> frozenset[int]:
        """Code points that both fonts can draw."""
        regular, bold = (self.pdf.fonts[f"{FAMILY}{style}"] for style in ("", "B"))
        return frozenset(regular.cmap) & frozenset(bold.cmap)  # type: ignore[union-attr]

    def _describe(self) -> None:
        self.pdf.set_title(f"{self.head.sheet} · {self.head.seal}")
        self.pdf.set_lang("en")
        self.pdf.set_creator("Mouillette")
        self.pdf.set_creation_date(datetime.fromtimestamp(self.head.instant / 1000, UTC))
        # Printed as it is: a viewer that shrinks to fit would spoil labels and 100 mm lines.
        self.pdf.viewer_preferences = ViewerPreferences(print_scaling="None", display_doc_title=True)

    # --- primitives ---------------------------------------------------------------------------------------------------

    def page(self, foot: bool = True) -> None:
        """Begin a page; ``foot``: with the line every page carries, which is drawn at the very end."""
        self.pdf.add_page()
        self.pdf.set_line_width(0.2)
        if foot:
            self.foot(self.paper.height - FOOT)

    def foot(self, base: float, left: float = MARGIN) -> None:
        """What every page carries: what it is, of which session, and its number; drawn when all pages are known."""
        self._feet.append((self.pdf.page, base, left))

    def _draw_feet(self) -> None:
        pages = self.pdf.pages_count
        for page, base, left in self._feet:
            self.pdf.page = page
            self.pdf.set_font(FAMILY, "B", 8)  # each page keeps its own font: make sure that it is set anew
            number = f"page {page} of {pages}"
            self.put(left, base, self.fitting(self.head.foot(), self.paper.width - left - MARGIN - 26, 7), 7)
            self.put(self.paper.width - MARGIN - self.width(number, 7), base, number, 7)
        self.pdf.page = pages

    def put(self, left: float, base: float, text: str, size: float, bold: bool = False) -> None:
        """Text on its base line."""
        if text:
            self.pdf.set_font(FAMILY, "B" if bold else "", size)
            self.pdf.text(left, base, fonts.printable(text))

    def put_right(self, right: float, base: float, text: str, size: float, bold: bool = False) -> None:
        """Text that ends at ``right``."""
        self.put(right - self.width(text, size, bold), base, text, size, bold)

    def put_centred(self, middle: float, base: float, text: str, size: float, bold: bool = False) -> None:
        """Text with its middle at ``middle``."""
        self.put(middle - self.width(text, size, bold) / 2, base, text, size, bold)

    def line(self, x: float, y: float, to_x: float, to_y: float, thick: float = 0.2) -> None:
        """From one point to another, in millimetres from the upper left corner."""
        self.pdf.set_line_width(thick)
        self.pdf.line(x, y, to_x, to_y)

    def box(self, left: float, top: float, width: float, height: float, thick: float = 0.25) -> None:
        """An empty frame."""
        self.pdf.set_line_width(thick)
        self.pdf.rect(left, top, width, height)

    def dashed(self, x: float, y: float, to_x: float, to_y: float) -> None:
        """A thin broken line, to cut along."""
        self.pdf.set_line_width(0.15)
        self.pdf.set_dash_pattern(2, 2)
        self.pdf.line(x, y, to_x, to_y)
        self.pdf.set_dash_pattern()

    def ruler(self, left: float, y: float, note: str) -> None:
        """A line of exactly 100 mm with its ends marked, to hold a ruler to."""
        self.line(left, y, left + 100, y, 0.2)
        for at in range(0, 101, 10):
            half = 1.4 if at % 50 == 0 else 0.7
            self.line(left + at, y - half, left + at, y + half, 0.2)
        self.put(left + 102, y + 0.9, note, 6)

    def bytes(self) -> bytes:
        """The finished file; nothing can be drawn after it."""
        self._draw_feet()
        made = bytes(self.pdf.output())
        self.close()
        return made

    def close(self) -> None:
        """The library keeps its font files open."""
        for font in self.pdf.fonts.values():
            font.ttfont.close()  # type: ignore[union-attr]

    # --- measuring ----------------------------------------------------------------------------------------------------

    def width(self, text: str, size: float, bold: bool = False) -> float:
        """Millimetres a text takes on one line."""
        known = (text, size, bold)
        if known not in self._widths:
            self.pdf.set_font(FAMILY, "B" if bold else "", size)
            self._widths[known] = float(self.pdf.get_string_width(fonts.printable(text)))
        return self._widths[known]

    def wrap(self, text: str, width: float, size: float, bold: bool = False) -> list[str]:
        """Lines no wider than ``width``; a word wider than that is broken."""
        known = (text, width, size, bold)
        if known not in self._wrapped:
            self._wrapped[known] = [one for part in text.split("\n") for one in self._wrap(part, width, size, bold)]
        return self._wrapped[known]

    def _wrap(self, text: str, width: float, size: float, bold: bool) -> list[str]:
        lines = [""]
        for word in fonts.printable(text).split(" "):
            longer = f"{lines[-1]} {word}".strip()
            if self.width(longer, size, bold) <= width:
                lines[-1] = longer
                continue
            pieces = self._broken(word, width, size, bold)
            lines += pieces if lines[-1] else []
            if not lines[0]:
                lines = pieces
        return lines

    def _broken(self, word: str, width: float, size: float, bold: bool) -> list[str]:
        pieces = [""]
        for sign in word:
            if pieces[-1] and self.width(pieces[-1] + sign, size, bold) > width:
                pieces.append("")
            pieces[-1] += sign
        return pieces

    def fitting(self, text: str, width: float, size: float, bold: bool = False) -> str:
        """``text``, cut short with … where it is too wide."""
        if self.width(text, size, bold) <= width:
            return text
        short = fonts.printable(text)
        while short and self.width(f"{short}…", size, bold) > width:
            short = short[:-1]
        return f"{short}…"


def leading(size: float) -> float:
    """From one base line to the next."""
    return size * MM_PER_POINT * 1.3


# --- sheets of paragraphs and tables ----------------------------------------------------------------------------------


class Flow:
    """Blocks one below the other, on as many pages as they need."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.on = Drawing(sheet.head, sheet.paper, sheet.texts())
        self.left, self.right = MARGIN, sheet.paper.width - MARGIN
        self.bottom = sheet.paper.height - FOOT - 6
        self.y = 0.0
        self.open()

    def open(self) -> None:
        """Go on at the top of a new page."""
        self.on.page()
        self.y = MARGIN

    def text(self, block: Text) -> None:
        """Set a paragraph; it may run over pages, and a heading is not left alone at the foot of one."""
        size, bold = SIZES[block.style], block.style in ("head", "warning", "lead")
        lines = self.on.wrap(block.text, self.right - self.left, size, bold)
        above = 3.0 if block.style == "head" else 0.0
        keep = 25.0 if block.style == "head" else 0.0  # a heading is not left alone at the foot of a page
        if self.y + above + len(lines) * leading(size) + keep > self.bottom:
            self.open()
            above = 0.0
        self.y += above
        for line in lines:
            if self.y + leading(size) > self.bottom:
                self.open()
            self.y += leading(size)
            self.on.put(self.left, self.y - 0.25 * leading(size), line, size, bold)
        self.y += 1.6

    def table(self, block: Table) -> None:
        """Set a table; a row stays on one page, and the head is repeated on each."""
        places = self._places(block)
        self._columns(block, places)
        for row in block.rows:
            cells = [
                self.on.wrap(cell, width, 10, number in block.bold)
                for number, (cell, (_, width)) in enumerate(zip(row, places, strict=True))
            ]
            height = max(len(cell) for cell in cells) * leading(10) + 2.2
            if self.y + height > self.bottom:
                self.open()
                self._columns(block, places)
            self._row(block, places, cells, height)
        self.y += 4

    def _places(self, block: Table) -> list[tuple[float, float]]:
        """Left edge and width of each column."""
        left = self.left + (TICK + 3 if block.tick else 0)
        room = self.right - left
        found = []
        for share in block.widths:
            wide = room * share / sum(block.widths)
            found.append((left, wide - _GAP))
            left += wide
        return found

    def _columns(self, block: Table, places: list[tuple[float, float]]) -> None:
        if self.y + 20 > self.bottom:
            self.open()
        self.y += leading(8)
        for name, (left, width) in zip(block.columns, places, strict=True):
            self.on.put(left, self.y - 1, self.on.fitting(name, width, 8), 8)
        self.on.line(self.left, self.y, self.right, self.y, 0.3)

    def _row(self, block: Table, places: list[tuple[float, float]], cells: list[list[str]], height: float) -> None:
        if block.tick:
            self.on.box(self.left, self.y + 1.1, TICK, TICK)
        for number, (lines, (left, _)) in enumerate(zip(cells, places, strict=True)):
            for at, line in enumerate(lines, start=1):
                self.on.put(left, self.y + at * leading(10), line, 10, number in block.bold)
        self.y += height
        self.on.line(self.left, self.y, self.right, self.y, 0.08)


def sheet_pdf(sheet: Sheet) -> bytes:
    """A sheet of paragraphs and tables."""
    flow = Flow(sheet)
    for block in sheet.blocks:
        if isinstance(block, Text):
            flow.text(block)
        elif isinstance(block, Table):
            flow.table(block)
        elif isinstance(block, Break):
            flow.open()
    return flow.on.bytes()
