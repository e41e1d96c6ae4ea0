"""What stands on a sheet, before anything is drawn: frozen values that PDF and HTML read alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from evaluation.sheets.stocks import A4, Paper


@dataclass(frozen=True, slots=True)
class Head:
    """What is printed on every page. ``title`` is "" on what panelists get: it may name the trials."""

    sheet: str  # "Preparation", "Ballots", …
    title: str
    seal: str  # first signs of the sealed hash; "" before sealing
    made: str  # day and time in the session's zone
    instant: int  # the same in milliseconds: the file's own date
    codes_only: bool = True
    warning: str = ""  # printed large at the top, and in the foot of each page

    def foot(self) -> str:
        """One line for every page."""
        named = [self.warning, self.sheet, self.title, f"seal {self.seal}" if self.seal else "", self.made]
        return " · ".join(one for one in [*named, "codes only" if self.codes_only else ""] if one)


@dataclass(frozen=True, slots=True)
class Text:
    """A paragraph; ``style`` is "plain", "small", "lead", "head" or "warning"."""

    text: str
    style: str = "plain"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head that is repeated on every page; ``widths`` are shares, ``tick``: a box to tick in front."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    tick: bool = False
    bold: tuple[int, ...] = ()  # columns in bold


@dataclass(frozen=True, slots=True)
class Break:
    """The next page begins here."""


Block = Text | Table | Break


@dataclass(frozen=True, slots=True)
class Sheet:
    """A document of paragraphs and tables."""

    head: Head
    blocks: tuple[Block, ...]
    paper: Paper = A4

    def texts(self) -> Iterator[str]:
        """Everything that will be printed."""
        yield self.head.foot()
        for block in self.blocks:
            if isinstance(block, Text):
                yield block.text
            if isinstance(block, Table):
                yield from block.columns
                yield from (cell for row in block.rows for cell in row)


@dataclass(frozen=True, slots=True)
class Option:
    """One box to tick; ``typed`` is what is typed for it, "" where it is the label itself."""

    label: str
    typed: str = ""
    note: str = ""  # such as "reference", or where on the skin


@dataclass(frozen=True, slots=True)
class Item:
    """One question on a card.

    ``kind``: "boxes" (cross one of some), "line" (mark a line of 100 mm), "scale" (cross one of a row of boxes, with
    words at the ends), "order" (write codes into boxes, best first).
    """

    kind: str
    asked: str
    below: str = ""
    options: tuple[Option, ...] = ()
    ends: tuple[str, str] = ("", "")
    boxes: int = 0

    def texts(self) -> Iterator[str]:
        """Everything printed of it: checked for signs the fonts lack before anything is drawn."""
        yield from (self.asked, self.below, *self.ends)
        for option in self.options:
            yield from (option.label, option.typed, option.note)


@dataclass(frozen=True, slots=True)
class BallotCard:
    """One card for one panelist and one set."""

    label: str
    alias: str
    place: str  # "Set 2 of 4 · 10 minutes after dipping"
    codes: tuple[str, ...]
    notes: tuple[str, ...]  # under each code: reference, site on the skin
    lead: str
    items: tuple[Item, ...]
    skin: bool = False
    at: str = ""  # when to smell, by the timetable
    how: str = ""  # how to smell what is on it

    def texts(self) -> Iterator[str]:
        """Everything printed on the card, its questions included."""
        yield from (self.label, self.alias, self.place, self.lead, self.at, self.how, *self.codes, *self.notes)
        for item in self.items:
            yield from item.texts()


@dataclass(frozen=True, slots=True)
class Cards:
    """All cards of a session."""

    head: Head
    cards: tuple[BallotCard, ...]
    cautions: tuple[str, ...]
    skin_cautions: tuple[str, ...] = ()
    paper: Paper = A4

    def texts(self) -> Iterator[str]:
        """Everything printed on the sheet, cautions and foot included."""
        yield from (self.head.foot(), *self.cautions, *self.skin_cautions)
        for card in self.cards:
            yield from card.texts()


@dataclass(frozen=True, slots=True)
class Label:
    """One sticker: a code (or a vial letter) and nothing that tells a trial. ``scanned``: it may carry a QR code."""

    text: str
    small: str = ""
    scanned: bool = True


@dataclass(frozen=True, slots=True)
class LabelGroup:
    """Stickers that begin on a sheet of their own."""

    name: str
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True)
class Labels:
    """Stickers in the order of the stock."""

    head: Head
    groups: tuple[LabelGroup, ...]

    def texts(self) -> Iterator[str]:
        """Everything printed on the labels and at the foot of their sheets."""
        yield self.head.foot()
        for group in self.groups:
            yield group.name
            for label in group.labels:
                yield from (label.text, label.small)
