"""Labels for strips (codes) and vials (letters): what stands on them, and the PDF at the places of the stock."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Final

import segno

from evaluation.actions.bench import PreparedSet
from evaluation.serving.dipping import in_turn
from evaluation.sessions import SKIN, Plan, Serving
from evaluation.sheets import words
from evaluation.sheets.pdf import MM_PER_POINT, Drawing
from evaluation.sheets.pieces import Head, Label, LabelGroup, Labels
from evaluation.sheets.stocks import Printing
from evaluation.values.second_strips import COMMON, SIDES

RULER_AT: Final = (12.0, 6.5)  # left end, in the margin above the labels
RULER_NOTE: Final = "100 mm when printed at 100 %"
QUIET: Final = 4  # modules of white around a QR code (ISO/IEC 18004)
_TEXT_SHARE: Final = 0.52  # of the label's height
_CAP: Final = 0.73  # height of a digit in the size of this font
_INSET: Final = 1.2


def strip_labels(head: Head, plan: Plan, servings: Iterable[Serving], taken: Iterable[int]) -> Labels:
    """One label a strip, in the order of dipping: round by round, seat by seat; two of a pair follow one another,
    the left one first, in every pair alike. Sets on skin carry no label.

    ``taken``: the seats somebody sits on. Spare sets, and sets of seats nobody took, come apart on sheets of their own.
    """
    seats, met = set(taken), set[str]()
    planned: list[Label] = []
    spare: list[Label] = []
    for one in sorted(servings, key=lambda s: (s.age_seconds, s.replicate, s.seat, s.place)):
        if one.void or one.medium == SKIN:
            continue
        fresh = [code for code in in_turn(one)[0] if code not in met]  # an own strip smelt again has its label already
        met.update(fresh)
        (spare if one.spare or one.seat not in seats else planned).extend(
            Label(code, side) for code in fresh for side in (SIDES if plan.strips_a_code > 1 else ("",))
        )
    groups = (LabelGroup("Strips", tuple(planned)), LabelGroup("Spare strips", tuple(spare)))
    return Labels(head, tuple(group for group in groups if group.labels))


def vial_labels(head: Head, prepared: Sequence[PreparedSet], plan: Plan) -> Labels:
    """One label a vial letter; what is in it stands on the letter key only. Of a fan one for the trial besides."""
    letters = sorted({letter for one in prepared for letter in one.letters})
    letters = [COMMON, *letters] if plan.strips_a_code > 1 else letters
    small = f"{words.FLAMMABLE.split(':')[0]} · seal {head.seal}"
    return Labels(head, (LabelGroup("Vials", tuple(Label(letter, small, scanned=False) for letter in letters)),))


Placed = tuple[Label, float, float]  # a label and its left upper corner


def placed(labels: Labels, printing: Printing) -> Iterator[tuple[str, list[Placed]]]:
    """Sheet by sheet: the name of its group, and its labels with their places."""
    places = [(left + printing.right, top + printing.down) for left, top in printing.stock.places()]
    used = printing.used
    for group in labels.groups:
        free = places[used:]
        rest = list(group.labels)
        while rest:
            yield group.name, [(label, *place) for label, place in zip(rest, free, strict=False)]
            rest, free = rest[len(free) :], places
        used = 0


def labels_pdf(labels: Labels, printing: Printing) -> bytes:
    """Labels at true size, with a line of 100 mm on every sheet to check by."""
    on = Drawing(labels.head, printing.stock.paper, labels.texts())
    for name, sheet in placed(labels, printing):
        _open(on, printing, name)
        for label, left, top in sheet:
            _label(on, label, left, top, printing)
    if not labels.groups:
        _open(on, printing, "no labels")
    return on.bytes()


def _open(on: Drawing, printing: Printing, name: str) -> None:
    stock = printing.stock
    on.page(foot=False)
    on.ruler(RULER_AT[0], RULER_AT[1], f"{RULER_NOTE} · {name} · {stock.name}")
    on.foot(stock.paper.height - 6)
    if stock.cut:
        _cutting_lines(on, printing)


def _cutting_lines(on: Drawing, printing: Printing) -> None:
    stock = printing.stock
    left, top = stock.left + printing.right, stock.top + printing.down
    right, bottom = left + stock.columns * stock.width, top + stock.rows * stock.height
    for column in range(stock.columns + 1):
        on.line(left + column * stock.width, top, left + column * stock.width, bottom, 0.1)
    for row in range(stock.rows + 1):
        on.line(left, top + row * stock.height, right, top + row * stock.height, 0.1)


def _label(on: Drawing, label: Label, left: float, top: float, printing: Printing) -> None:
    width, height = printing.stock.width, printing.stock.height
    if printing.qr and label.scanned:
        side = min(height - 2 * _INSET, width / 2)
        _qr(on, label.text, left + _INSET, top + (height - side) / 2, side)
        left, width = left + side + _INSET, width - side - _INSET
    size = text_size(on, label.text, width - 2 * _INSET, height * (0.45 if label.small else _TEXT_SHARE))
    middle = top + height * (0.44 if label.small else 0.5)
    on.put_centred(left + width / 2, middle + size * MM_PER_POINT * _CAP / 2, label.text, size, True)
    if label.small:
        small = on.wrap(label.small, width - 2 * _INSET, 6)
        for at, line in enumerate(reversed(small[:2])):
            on.put_centred(left + width / 2, top + height - _INSET - at * 2.6, line, 6)


def text_size(on: Drawing, text: str, width: float, height: float) -> float:
    """Points at which ``text`` fills the height or, where it is wide, the width."""
    by_height = height / (MM_PER_POINT * _CAP)
    return min(by_height, 10 * width / on.width(text, 10, True), 40.0)


def _qr(on: Drawing, text: str, left: float, top: float, side: float) -> None:
    """Dark modules of each row as few rectangles as can be."""
    matrix = segno.make(text, error="m", micro=False).matrix
    module = side / (len(matrix) + 2 * QUIET)
    for row, line in enumerate(matrix):
        column = 0
        for dark, run in groupby(line):
            length = len(list(run))
            if dark:
                at = (left + (QUIET + column) * module, top + (QUIET + row) * module)
                on.pdf.rect(*at, length * module, module, style="F")
            column += length
