"""Sheets from what the store holds. Those that show the key go by the same logged look as the key itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from evaluation.actions import bench, paper, separating, timetable, tracing
from evaluation.actions.paper import Card
from evaluation.errors import ArgumentError, StateError
from evaluation.ground import checks
from evaluation.sessions import Session
from evaluation.sheets import calendar_file, cards, html, labels, pdf, pdf_cards, preparing, times, weigh_ins, words
from evaluation.sheets.pieces import Cards, Head, Labels, Sheet
from evaluation.sheets.stocks import PAPERS, STOCKS, Printing
from evaluation.sheets.timing import Timing
from evaluation.store import Notebook

PDF: Final = "application/pdf"
HTML: Final = "text/html; charset=utf-8"
CSV: Final = "text/csv; charset=utf-8"
ICS: Final = "text/calendar; charset=utf-8"
FORMS: Final = ("pdf", "html")
PRINTABLE: Final = ("sealed", "smelling")
NO_TIMETABLE: Final = "There is no timetable yet: make one on the bench, then this sheet has times to show."


@dataclass(frozen=True, slots=True)
class Wish:
    """How a sheet is to be printed; ``stock`` names one of ``STOCKS``, ``seat`` 0 stands for everybody."""

    form: str = "pdf"
    paper: str = "a4"
    stock: str = "a4-65"
    used: int = 0
    right: float = 0.0
    down: float = 0.0
    qr: bool = False
    seat: int = 0

    def __post_init__(self) -> None:
        checks.choice("form", self.form, FORMS)
        checks.choice("paper", self.paper, tuple(PAPERS))
        checks.choice("labels", self.stock, tuple(STOCKS))

    @property
    def printing(self) -> Printing:
        """How labels are laid; ArgumentError for shifts and used labels the stock does not have room for."""
        return Printing(STOCKS[self.stock], self.used, self.right, self.down, self.qr)


@dataclass(frozen=True, slots=True)
class File:
    """A finished file."""

    name: str
    kind: str
    content: bytes


@dataclass(frozen=True, slots=True)
class _Desk:
    """What every sheet of one session starts from."""

    notebook: Notebook
    session: Session
    wish: Wish
    at: int  # when the sheet is made
    timing: Timing | None

    def head(self, sheet: str, *, codes_only: bool = True, warning: str = "", titled: bool = False) -> Head:
        plan = self.session.plan
        made = words.day_and_time(self.at, plan.zone)
        title = plan.title if titled else ""
        return Head(sheet, title, self.session.sealed_hash[:8], made, self.at, codes_only, warning)

    @property
    def cards(self) -> tuple[Card, ...]:
        """Of one seat, or of everybody."""
        listed = paper.cards(self.notebook, self.session.id)
        mine = tuple(card for card in listed if self.wish.seat in (0, card.seat))
        if not mine:
            raise ArgumentError("seat must be one that somebody sits on.")
        return mine

    def timed(self) -> Timing:
        if self.timing is None:
            raise StateError(NO_TIMETABLE)
        return self.timing


# --- for everybody's eyes ---------------------------------------------------------------------------------------------


def _ballots(desk: _Desk) -> Cards:
    plan = desk.session.plan
    with desk.notebook.reading() as tx:
        brief = tx.book.brief(plan.brief_id).text
    smelt = desk.timing.smelling() if desk.timing else {}
    head = desk.head("Ballot")
    still = _still_open(desk.cards)
    return cards.ballot_cards(head, plan, still, brief_text=brief, times=smelt, paper=PAPERS[desk.wish.paper])


def _still_open(listed: tuple[Card, ...]) -> tuple[Card, ...]:
    """Who goes over to paper in the middle gets the cards that are left; where none is, all."""
    return tuple(card for card in listed if card.open or card.waits) or listed


def _strips(desk: _Desk) -> Labels:
    seats = {card.seat for card in desk.cards}
    served = bench.servings(desk.notebook, desk.session.id)
    mine = [one for one in served if desk.wish.seat in (0, one.seat)]
    return labels.strip_labels(desk.head("Strip labels"), desk.session.plan, mine, seats)


def _people(desk: _Desk) -> Sheet:
    return times.people_sheet(desk.head("Times"), desk.session.plan, desk.cards, desk.timing, PAPERS[desk.wish.paper])


def _preparers(desk: _Desk) -> Sheet:
    head = desk.head("Times of preparers", titled=True)
    return times.preparers_sheet(head, desk.cards, desk.timed(), PAPERS[desk.wish.paper])


OPEN: Final[Mapping[str, Callable[[_Desk], Sheet | Cards | Labels]]] = MappingProxyType(
    {"ballots": _ballots, "strip-labels": _strips, "times": _people, "preparers": _preparers}
)


def open_sheet(notebook: Notebook, session_id: str, name: str, wish: Wish) -> File:
    """A sheet that shows codes only."""
    checks.choice("sheet", name, tuple(OPEN))
    desk = _desk(notebook, session_id, wish)
    return _file(desk, name, OPEN[name](desk))


def calendar(notebook: Notebook, session_id: str, wish: Wish) -> File:
    """The times of one panelist, or of everybody, for a calendar."""
    desk = _desk(notebook, session_id, wish)
    content = calendar_file.calendar(desk.session.plan, desk.cards, desk.timed(), desk.at, desk.session.sealed_hash[:8])
    return File(f"{_stem(desk, 'times')}.ics", ICS, content)


def answer_table(notebook: Notebook, session_id: str) -> File:
    """The table of open questions, to be filled in and sent back."""
    desk = _desk(notebook, session_id, Wish())
    text = paper.template(notebook, session_id)
    return File(f"{_stem(desk, 'answers')}.csv", CSV, text.encode("utf-8-sig"))  # spreadsheets read accents right so


# --- the key ----------------------------------------------------------------------------------------------------------


def _preparation(desk: _Desk, panelist_id: str | None) -> Sheet:
    head = desk.head("Preparation", codes_only=False, warning=words.NOT_FOR_PANELISTS, titled=True)
    prepared = bench.preparation(desk.notebook, desk.session.id, panelist_id)
    served = bench.servings(desk.notebook, desk.session.id)
    return preparing.preparation_sheet(head, desk.session.plan, prepared, served, desk.timing, PAPERS[desk.wish.paper])


def _key(desk: _Desk, panelist_id: str | None) -> Sheet:
    head = desk.head("Letter key, unopened", codes_only=False, warning=words.NOT_FOR_PANELISTS, titled=True)
    letters = bench.letter_key(desk.notebook, desk.session.id, panelist_id)
    return preparing.key_sheet(head, letters, _named(desk, panelist_id), PAPERS[desk.wish.paper])


def _vials(desk: _Desk, panelist_id: str | None) -> Labels:
    head = desk.head("Vial labels", codes_only=False)
    prepared = bench.preparation(desk.notebook, desk.session.id, panelist_id)
    return labels.vial_labels(head, prepared, desk.session.plan)


KEYED: Final[Mapping[str, Callable[[_Desk, str | None], Sheet | Labels]]] = MappingProxyType(
    {"preparation": _preparation, "letter-key": _key, "vial-labels": _vials}
)


def keyed_sheet(notebook: Notebook, session_id: str, name: str, wish: Wish, panelist_id: str | None) -> File:
    """A sheet made from the key: the look is logged, and a panelist who looks is marked unblinded."""
    checks.choice("sheet", name, tuple(KEYED))
    desk = _desk(notebook, session_id, wish)
    return _file(desk, name, KEYED[name](desk, panelist_id))


def _named(desk: _Desk, panelist_id: str | None) -> str:
    if panelist_id is None:
        return "somebody who does not smell in this session"
    with desk.notebook.reading() as tx:
        return tx.book.panelist(panelist_id).alias


# --- before sealing ---------------------------------------------------------------------------------------------------


def weighable(notebook: Notebook, session_id: str, grams: Decimal, resolution: Decimal) -> tuple[str, ...]:
    """What a scale with such steps can weigh of these bottles, in words; refused as the sheet is."""
    flasks = [weigh_ins.Flask(*one) for one in separating.to_weigh(notebook, session_id).bottles]
    return weigh_ins.scale_lines(flasks, grams, resolution)


def weighing_sheet(notebook: Notebook, session_id: str, wish: Wish, grams: Decimal, resolution: Decimal) -> File:
    """How the bottles of a draft that separates changes are weighed; refused where their formulas are not known."""
    return _weighed(separating.to_weigh(notebook, session_id), session_id, wish, (grams, resolution))


def trace_sheet(notebook: Notebook, series_id: str, wish: Wish, grams: Decimal, resolution: Decimal) -> File:
    """How the whole trial and the bottles without each suspect of a series are weighed, all on one sheet."""
    made = tracing.to_weigh(notebook, series_id)
    return _weighed(made, series_id, wish, (grams, resolution), weigh_ins.IN_THE_BOOK)


def _weighed(
    made: separating.ToWeigh, about: str, wish: Wish, scale: tuple[Decimal, Decimal], page: str = weigh_ins.SEPARATE
) -> File:
    head = Head(
        "Weighing sheet",
        made.title,
        "",
        words.day_and_time(made.at, made.zone),
        made.at,
        codes_only=False,
        warning=words.NOT_FOR_PANELISTS,
    )
    flasks = [weigh_ins.Flask(*one) for one in made.bottles]
    drawn = weigh_ins.weighing_sheet(head, flasks, *scale, PAPERS[wish.paper], page)
    stem = f"weighing-{about[:8]}"
    if wish.form == "html":
        return File(f"{stem}.html", HTML, _html(drawn, wish).encode())
    return File(f"{stem}.pdf", PDF, _pdf(drawn, wish))


# --- files ------------------------------------------------------------------------------------------------------------


def _desk(notebook: Notebook, session_id: str, wish: Wish) -> _Desk:
    with notebook.reading() as tx:
        session = tx.sittings.session(session_id)
    if session.state not in PRINTABLE:
        raise StateError(f"Sheets are printed while a session is sealed or being smelt; this one is {session.state}.")
    if session.plan.solo:
        raise StateError("Alone there is nobody to print for: the page Alone leads through every step.")
    return _Desk(notebook, session, wish, notebook.clock.now(), timing_of(notebook, session))


def timing_of(notebook: Notebook, session: Session) -> Timing | None:
    """The timetable as it stands, if there is one."""
    found = timetable.latest(notebook, session)
    return None if found is None else Timing(*found, session.plan.zone)


def _file(desk: _Desk, name: str, drawn: Sheet | Cards | Labels) -> File:
    stem = _stem(desk, name)
    if desk.wish.form == "html":
        return File(f"{stem}.html", HTML, _html(drawn, desk.wish).encode())
    return File(f"{stem}.pdf", PDF, _pdf(drawn, desk.wish))


def _pdf(drawn: Sheet | Cards | Labels, wish: Wish) -> bytes:
    if isinstance(drawn, Labels):
        return labels.labels_pdf(drawn, wish.printing)
    return pdf_cards.cards_pdf(drawn) if isinstance(drawn, Cards) else pdf.sheet_pdf(drawn)


def _html(drawn: Sheet | Cards | Labels, wish: Wish) -> str:
    if isinstance(drawn, Labels):
        return html.labels_html(drawn, wish.printing)
    return html.cards_html(drawn) if isinstance(drawn, Cards) else html.sheet_html(drawn)


def _stem(desk: _Desk, name: str) -> str:
    seat = f"-seat-{desk.wish.seat}" if desk.wish.seat else ""
    return f"{name}-{desk.session.sealed_hash[:8]}{seat}"
