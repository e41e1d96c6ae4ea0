"""Paper ballots as PDF: two cards a page where they fit, else a page (or more) for each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from evaluation.actions.paper_reading import LINE_MM
from evaluation.sheets.pdf import FOOT, MARGIN, Drawing, leading
from evaluation.sheets.pieces import BallotCard, Cards, Item, Option

CROSS: Final = 5.0  # side of a box to cross
_ORDER_BOX: Final = (24.0, 12.0)
_ITEM_GAP: Final = 4.0


class _Writer:
    """One card at a time. Without ink it only measures, so that a question is never broken over two pages."""

    def __init__(self, cards: Cards) -> None:
        self.cards = cards
        self.on = Drawing(cards.head, cards.paper, cards.texts())
        self.left, self.right = MARGIN, cards.paper.width - MARGIN
        self.y = 0.0
        self.ink = True
        self._heights: dict[tuple[object, ...], float] = {}

    # --- pages --------------------------------------------------------------------------------------------------------

    def all(self) -> bytes:
        half = self.cards.paper.height / 2
        if all(self.whole(card) <= half - FOOT - 3 for card in self.cards.cards):
            self._by_two(half)
        else:
            for card in self.cards.cards:
                self._own_pages(card)
        if not self.cards.cards:
            self.on.page()
            self.on.put(MARGIN, MARGIN + 6, "No card is open.", 12)
        return self.on.bytes()

    def _by_two(self, half: float) -> None:
        for at, card in enumerate(self.cards.cards):
            if at % 2 == 0:
                self.on.page()
                self.on.dashed(0, half, self.cards.paper.width, half)
            else:
                self.on.foot(half - FOOT + 2)  # the upper card keeps its foot when the page is cut
            self.y = MARGIN - 3 + (at % 2) * half
            self.card(card, (at % 2 + 1) * half - FOOT - 3)
        if len(self.cards.cards) % 2:
            self.on.foot(half - FOOT + 2)

    def _own_pages(self, card: BallotCard) -> None:
        self.on.page()
        self.y = MARGIN - 3
        self.card(card, self.cards.paper.height - FOOT - 5)

    # --- one card -----------------------------------------------------------------------------------------------------

    def whole(self, card: BallotCard) -> float:
        """Height of a card."""
        shape = (card.lead, card.how, len(card.codes), any(card.notes), card.skin, card.items and _shape(card.items))
        if shape not in self._heights:
            self.ink, self.y = False, MARGIN - 3
            self.top(card)
            for item in card.items:
                self.item(item)
            self._heights[shape] = self.y + self.cautions_height(card)
            self.ink = True
        return self._heights[shape]

    def card(self, card: BallotCard, bottom: float) -> None:
        room = bottom - self.cautions_height(card)
        self.top(card)
        for item in card.items:
            if self.y + self.height(item) > room:
                self.cautions(card, bottom)
                self.on.page()
                self.y = MARGIN - 3
                self.top(card, again=True)
                bottom = self.cards.paper.height - FOOT - 5
                room = bottom - self.cautions_height(card)
            self.item(item)
        self.cautions(card, bottom)

    def top(self, card: BallotCard, again: bool = False) -> None:
        self.y += 6
        self.put(self.left, self.on.fitting(card.alias, 120, 15, True), 15, True)
        if self.ink:
            self.on.put_right(self.right, self.y, f"Card {card.label}{' (goes on)' if again else ''}", 13, True)
        self.y += 5.5
        self.put(self.left, card.place, 10)
        if self.ink and card.codes:
            told = f"Smell at {card.at} · smelt at ____ : ____" if card.at else "Smelt at ____ : ____"
            self.on.put_right(self.right, self.y, told, 10)
        self.y += 3.5
        self.codes(card)
        if card.how and not again:
            self.paragraph(card.how, 8)
        if card.lead and not again:
            self.paragraph(card.lead, 9)
        self.y += 1.5

    def codes(self, card: BallotCard) -> None:
        if not card.codes:
            return
        wide = min(26.0, (self.right - self.left) / len(card.codes) - 3)
        noted = any(card.notes)
        if self.ink:
            for at, (code, note) in enumerate(zip(card.codes, card.notes, strict=True)):
                left = self.left + at * (max(wide, 44.0 if noted and len(card.codes) < 5 else wide) + 3)
                self.on.box(left, self.y, wide, 9.5, 0.3)
                self.on.put_centred(left + wide / 2, self.y + 7.1, code, 17, True)
                self.on.put(left, self.y + 13, note, 8)
        self.y += 15 if noted else 11

    def height(self, item: Item) -> float:
        before, ink, self.ink = self.y, self.ink, False
        self.item(item)
        used, self.y, self.ink = self.y - before, before, ink
        return used

    def item(self, item: Item) -> None:
        self.y += _ITEM_GAP
        _KINDS[item.kind](self, item)

    # --- questions ----------------------------------------------------------------------------------------------------

    def boxes(self, item: Item) -> None:
        self.paragraph(item.asked, 11.5, True)
        if item.below:
            self.paragraph(item.below, 8.5)
        self.y += 1.5
        self.crosses(item.options, self.left, 13)

    def crosses(self, options: tuple[Option, ...], left: float, size: float, gap: float = 7) -> None:
        """Boxes with their labels, in as many rows as they need."""
        x = left
        for option in options:
            wide = CROSS + 2 + self.on.width(option.label, size) + self.on.width(option.typed, 7) + 2
            if x > left and x + wide > self.right:
                x, self.y = left, self.y + CROSS + 4
            if self.ink:
                self.on.box(x, self.y, CROSS, CROSS, 0.35)
                self.on.put(x + CROSS + 2, self.y + CROSS - 0.6, option.label, size)
                after = x + CROSS + 2.6 + self.on.width(option.label, size)
                self.on.put(after, self.y + CROSS - 2.4, option.typed, 7)
            x += wide + gap
        self.y += CROSS + 1

    def line(self, item: Item) -> None:
        """A line of 100 mm between end words, and boxes for what is no mark."""
        self.named(item)
        self.y += 6.5
        if self.ink:
            self.on.line(self.left, self.y, self.left + LINE_MM, self.y, 0.35)
            for end in (self.left, self.left + LINE_MM):
                self.on.line(end, self.y - 1.8, end, self.y + 1.8, 0.35)
            self.on.put(self.left, self.y + 5, item.ends[0], 7.5)
            self.on.put_right(self.left + LINE_MM, self.y + 5, item.ends[1], 7.5)
        self.y -= CROSS / 2
        self.crosses(item.options, self.left + LINE_MM + 12, 8.5)
        self.y += 2

    def scale(self, item: Item) -> None:
        """A row of boxes, end words under the first and the last of the scale."""
        self.named(item)
        self.y += 2.5
        top = self.y
        self.crosses(item.options, self.left, 8.5, 2.8)
        if any(item.ends):
            if self.ink and self.y - top < 2 * CROSS:
                self.on.put(self.left, self.y + 2.5, f"{item.ends[0]} · {item.ends[1]}", 7.5)
            self.y += 3

    def order(self, item: Item) -> None:
        self.paragraph(item.asked, 11.5, True)
        self.y += 2
        wide, high = _ORDER_BOX
        gap = min(6.0, (self.right - self.left - item.boxes * wide) / max(1, item.boxes - 1))
        for place in range(item.boxes if self.ink else 0):
            left = self.left + place * (wide + gap)
            self.on.box(left, self.y, wide, high, 0.35)
            said = "best" if place == 0 else "last" if place == item.boxes - 1 else ""
            self.on.put(left, self.y + high + 3.4, f"{place + 1} {said}".strip(), 8)
        self.y += high + 5

    def named(self, item: Item) -> None:
        """The word that is rated, its definition beside and below it."""
        self.y += leading(10.5)
        self.put(self.left, item.asked, 10.5, True)
        beside = self.left + self.on.width(item.asked, 10.5, True) + 3
        if item.below:
            lines = self.on.wrap(item.below, self.right - beside, 8)
            for at, line in enumerate(lines):
                self.y += leading(8) if at else 0
                self.put(beside, line, 8)

    # --- text ---------------------------------------------------------------------------------------------------------

    def put(self, left: float, text: str, size: float, bold: bool = False) -> None:
        if self.ink:
            self.on.put(left, self.y, text, size, bold)

    def paragraph(self, text: str, size: float, bold: bool = False) -> None:
        for line in self.on.wrap(text, self.right - self.left, size, bold):
            self.y += leading(size)
            self.put(self.left, line, size, bold)

    def _cautions(self, card: BallotCard) -> list[str]:
        listed = (*self.cards.cautions, *(self.cards.skin_cautions if card.skin else ()))
        return self.on.wrap(" ".join(listed), self.right - self.left, 8)

    def cautions_height(self, card: BallotCard) -> float:
        return len(self._cautions(card)) * leading(8) + 3

    def cautions(self, card: BallotCard, bottom: float) -> None:
        lines = self._cautions(card)
        for at, line in enumerate(lines):
            self.on.put(self.left, bottom - (len(lines) - 1 - at) * leading(8), line, 8)


_KINDS: Final[Mapping[str, Callable[[_Writer, Item], None]]] = MappingProxyType(
    {"boxes": _Writer.boxes, "line": _Writer.line, "scale": _Writer.scale, "order": _Writer.order}
)


def _shape(items: tuple[Item, ...]) -> tuple[object, ...]:
    """Cards alike in this are of one height: codes are all of one width."""
    return tuple((item.kind, item.asked, item.below, len(item.options), item.boxes) for item in items)


def cards_pdf(cards: Cards) -> bytes:
    """Every card; one panelist's one after the other."""
    return _Writer(cards).all()
