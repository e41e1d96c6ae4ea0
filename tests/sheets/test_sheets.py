"""Sheets read back: PDF by pypdf (text, boxes, positions in millimetres), HTML by the standard parser."""

from __future__ import annotations

import hashlib
import io
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from evaluation.actions import ballot, bench, book, paper
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError
from evaluation.sheets import cards, fonts, html, labels, pdf, pdf_cards
from evaluation.sheets import printing as desk
from evaluation.sheets.pieces import Head, Label, LabelGroup, Labels, Sheet, Text
from evaluation.sheets.printing import Wish
from evaluation.sheets.stocks import A4, LETTER, STOCKS, Printing
from evaluation.sheets.timing import Timing
from evaluation.store import Notebook
from evaluation.timetable import Line, Timetable, Totals
from evaluation.values.descriptors import Descriptor
from tests import scenes
from tests.methods import ALL_METHODS, METHODS

MM = 72 / 25.4  # points in a millimetre: PDF counts in 1/72 inch (ISO 32000-1, 8.3.2.3)
HEAD = Head("Strip labels", "", "0123abcd", "25 Nov 2026 10:42", 1_795_603_320_000)
LIST = (
    Descriptor("woody", definition="Dry wood, cedar", low="no wood", high="all wood"),
    Descriptor("smoky", "category"),
    Descriptor("sweet", "check"),
    Descriptor("musky", "level"),
)
TITLE = "Secret seven against secret eight"


def reader(content: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(content))


def text_of(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in reader(content).pages)


def placed_texts(page: Any) -> list[tuple[str, float, float]]:
    """Each piece of text with the left end of its base line, in mm from the left upper corner."""
    found: list[tuple[str, float, float]] = []
    height = float(page.mediabox.height)

    def visit(text: str, matrix: Any, place: Any, *_: Any) -> None:
        if text.strip():
            found.append((text.strip(), (place[4] + matrix[4]) / MM, (height - place[5] - matrix[5]) / MM))

    page.extract_text(visitor_text=visit)
    return found


def drawn_lines(page: Any, document: PdfReader) -> list[tuple[float, float, float, float]]:
    """Straight lines in mm from the left upper corner."""
    height, at, found = float(page.mediabox.height) / MM, (0.0, 0.0), []
    for operands, operator in ContentStream(page.get_contents(), document).operations:
        if operator in (b"m", b"l"):
            point = (float(operands[0]) / MM, height - float(operands[1]) / MM)
            if operator == b"l":
                found.append((*at, *point))
            at = point
    return found


@pytest.fixture(scope="module")
def room() -> Any:
    """A panel and sessions of every method, made once."""
    notebook = Notebook.open(None, SteppedClock(step=1))
    scene = scenes.scene(notebook)
    more = (book.add_trial(notebook, scene.brief_id, "Nine secret").id,)
    first = book.add_trial(notebook, scene.brief_id, "Seven secret").id
    second = book.add_trial(notebook, scene.brief_id, "Eight secret").id
    several = {"profile": {"descriptors": LIST, "asks_liking": True}, "round": {}, "ranking": {}}
    made = {}
    for method in ALL_METHODS:
        extra: dict[str, Any] = {"other_trial_ids": more, **several[method]} if method in several else {}
        extra |= {"title": TITLE, "first_trial_id": first, "second_trial_id": second, "zone": "Europe/Paris"}
        confirmed = ("not noticed",) if method in METHODS else ()
        made[method] = scene.smelling(method=method, confirmed=confirmed, spare=1 * (method in METHODS), **extra)
    yield notebook, made
    notebook.close()


def timing(notebook: Any, session: Any) -> Timing:
    served = [one for one in bench.servings(notebook, session.id) if not one.spare and one.seat <= 8]
    lines = [
        Line(one.id, str(one.seat), one.seat % 2, at := 90 * one.seat + 600 * one.place, at + 15,
             at + 15 + one.age_seconds, at + 105 + one.age_seconds, one.age_seconds + 7)
        for one in served
    ]  # fmt: skip
    table = Timetable(tuple(lines), 9000, 8000, Totals(3 * len(lines), len(lines), 15 * len(lines)))
    return Timing(table, 1_767_168_000_000, session.plan.zone)


@pytest.fixture
def timed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(desk, "timing_of", timing)


# --- what panelists get -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["pdf", "html"])
@pytest.mark.parametrize("sheet", ["ballots", "strip-labels", "times"])
@pytest.mark.parametrize("method", ALL_METHODS)
def test_nothing_of_the_key_is_on_what_panelists_get(
    room: Any, timed: None, method: str, sheet: str, form: str
) -> None:
    notebook, made = room
    session = made[method]
    key = scenes.key_of(notebook, session.id)
    read = shown if form == "html" else text_of
    told = read(desk.open_sheet(notebook, session.id, sheet, Wish(form=form)).content)
    plan = session.plan
    assert "secret" not in told.lower()  # neither a trial's label nor the title, which may name the trials
    assert "NOT FOR PANELISTS" not in told
    assert not [letter for letter in key.letters if re.search(rf"\b{letter}\b", told.replace("A4", ""))]
    assert not [order for _, order in key.orders if re.search(rf"\b{order}\b", told) and len(order) > 1]
    assert key.seed not in told
    assert session.sealed_hash[:8] in told
    assert "codes only" in told
    seated = [one for one in bench.servings(notebook, session.id) if not one.spare and one.seat <= plan.people]
    assert all(code in told for one in seated for code in one.codes)


def shown(content: bytes) -> str:
    """The text of an HTML page, every tag closed in its order."""
    read = _Reader()
    read.feed(content.decode())
    assert read.open == []
    return " ".join(read.texts)


class _Reader(HTMLParser):
    VOID = ("meta", "img", "br", "input")

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        assert dict(attrs).get("src", "data:").startswith("data:")  # nothing is fetched
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open[-1:] != ["style"]:
            self.texts.append(data)


def test_who_goes_over_to_paper_gets_the_cards_that_are_left(notebook: Any) -> None:
    session = scenes.scene(notebook, people=3).smelling(replicates=2)
    first = scenes.ballots(notebook, session.id)[0]
    for _ in range(2):  # of the first set: the choice, and how sure
        (asked, *_) = ballot.view(notebook, first.id).screen
        ballot.lock_screen(notebook, first.id, asked.serving_id, {asked.name: asked.options[0]})

    def printed(seat: int) -> list[str]:
        told = text_of(desk.open_sheet(notebook, session.id, "ballots", Wish(seat=seat)).content)
        return re.findall(r"Card (\d+-\d+)", told)

    assert printed(1) == ["1-2", "1-3"]
    assert printed(2) == ["2-1", "2-2", "2-3"]


def test_there_is_one_card_for_each_panelist_and_set_and_one_at_the_end(room: Any) -> None:
    notebook, made = room
    for method, session in made.items():
        told = text_of(desk.open_sheet(notebook, session.id, "ballots", Wish()).content)
        wanted = [card.label for card in paper.cards(notebook, session.id)]
        assert len(wanted) == 8 * (session.plan.sets_per_nose + 1)
        assert re.findall(r"Card (\d+-\d+)", told) == wanted, method


def test_every_line_of_a_profile_measures_100_mm_and_has_its_end_words(room: Any) -> None:
    notebook, made = room
    document = reader(desk.open_sheet(notebook, made["profile"].id, "ballots", Wish()).content)
    page = document.pages[0]
    lines = [one for one in drawn_lines(page, document) if one[1] == one[3] and abs(one[2] - one[0]) > 50]
    assert [abs(one[2] - one[0]) for one in lines] == pytest.approx(
        [100, 100, 100], abs=0.02
    )  # woody, strength, liking
    ends = {text: left for text, left, _ in placed_texts(page)}
    assert ends["no wood"] == pytest.approx(lines[0][0], abs=0.05)
    on = pdf.Drawing(HEAD, A4, ())
    wide = on.width("all wood", 7.5)
    on.close()
    assert ends["all wood"] + wide == pytest.approx(lines[0][2], abs=0.05)
    told = page.extract_text()
    assert all(f"{number}" in told for number in range(10))
    assert "too strong" in told
    assert "Dry wood, cedar" in told


def test_a_long_card_goes_on_on_the_next_page_under_its_name_and_inside_the_page(room: Any) -> None:
    notebook, made = room
    plan = made["profile"].plan
    many = tuple(Descriptor(f"word {number}", definition="long " * 70) for number in range(30))
    card = paper.cards(notebook, made["profile"].id)[0]
    from dataclasses import replace

    from evaluation.serving.asking import questions

    longer = plan.changed(descriptors=many)
    asked = tuple(q for q in questions(longer, (card.serving,)) if q.serving_id)
    document = reader(pdf_cards.cards_pdf(cards.ballot_cards(HEAD, longer, [replace(card, questions=asked)])))
    assert len(document.pages) > 2
    assert all("Card 1-1 (goes on)" in page.extract_text() for page in document.pages[1:])
    said = "\n".join(page.extract_text() for page in document.pages)
    assert all(f"Word {number}\n" in said or f"Word {number} " in said for number in range(30))
    for page in document.pages:
        assert all(0 < down < A4.height - 5 for _, _, down in placed_texts(page))


def test_typed_numbers_on_a_card_are_those_the_conductor_types(room: Any) -> None:
    notebook, made = room
    card = paper.cards(notebook, made["preference"].id)[0]
    items = cards.ballot_cards(HEAD, made["preference"].plan, [card], brief_text="Green.").cards[0].items
    assert [(one.label, one.typed) for one in items[1].options] == [
        ("guess", "1"), ("unsure", "2"), ("fairly sure", "3"), ("sure", "4")]  # fmt: skip
    assert items[0].options[-1] == items[0].options[-1].__class__("no preference", "0")


# --- key and preparation --------------------------------------------------------------------------------------------------


def test_the_letter_key_is_on_a_sheet_of_its_own_and_says_whom_it_is_not_for(room: Any) -> None:
    notebook, made = room
    session = made["triangle"]
    told = text_of(desk.keyed_sheet(notebook, session.id, "letter-key", Wish(), None).content)
    for letter, label in bench.letter_key(notebook, session.id, None):
        assert re.search(rf"{letter}\s+{label}", told)
    assert told.count("NOT FOR PANELISTS") == 2  # on top and in the foot
    assert "not opened" in told
    assert "somebody who does not smell" in told
    prepared = text_of(desk.keyed_sheet(notebook, session.id, "preparation", Wish(), None).content)
    assert "Seven secret" not in prepared
    assert "NOT FOR PANELISTS" in prepared


def test_the_preparation_sheet_holds_every_set_once_in_order_and_spare_sets_apart(room: Any) -> None:
    notebook, made = room
    session = made["triangle"]
    pages = reader(desk.keyed_sheet(notebook, session.id, "preparation", Wish(), None).content).pages
    told = [re.sub(r"\s+", " ", page.extract_text()) for page in pages]
    prepared = bench.preparation(notebook, session.id, None)
    for one in prepared:
        line = " · ".join(f"{code} → {letter}" for code, letter, _ in one.dipped) + f" {' '.join(one.codes)}"
        assert [line in page for page in told].index(True) == (1 if one.spare or not one.alias else 0)
        assert sum(page.count(line) for page in told) == 1
    assert "3 strips a set" in told[0]


def test_with_a_timetable_the_preparation_goes_by_preparer_and_time(room: Any, timed: None) -> None:
    notebook, made = room
    session = made["triangle"]
    told = text_of(desk.keyed_sheet(notebook, session.id, "preparation", Wish(), None).content)
    assert told.index("Preparer 1") < told.index("Preparer 2")
    # 08:00 UTC is 09:00 in Paris in winter; seat 1, place 1 is dipped 690 s later, by the second preparer
    assert "09:11:30" in told[told.index("Preparer 2") :]
    times = text_of(desk.open_sheet(notebook, session.id, "times", Wish()).content)
    assert "09:16:45" in times  # 690 + 15 + 300 s
    own = text_of(desk.open_sheet(notebook, session.id, "times", Wish(seat=2)).content)
    assert "Nose 2" in own
    assert "Nose 1" not in own
    hands = text_of(desk.open_sheet(notebook, session.id, "preparers", Wish()).content)
    assert "09:11:30" in hands


def test_without_a_timetable_times_are_left_to_be_written(room: Any) -> None:
    notebook, made = room
    assert "____ : ____" in text_of(desk.open_sheet(notebook, made["triangle"].id, "times", Wish()).content)
    with pytest.raises(StateError, match="no timetable"):
        desk.open_sheet(notebook, made["triangle"].id, "preparers", Wish())


def test_a_look_by_paper_is_logged_and_unblinds_like_any_other(notebook: Any) -> None:
    scene = scenes.scene(notebook)
    session = scene.sealed()
    desk.open_sheet(notebook, session.id, "ballots", Wish())
    assert not [one for one in bench.log(notebook, session.id) if one.kind == "key shown"]
    for count, name in enumerate(desk.KEYED, start=1):
        desk.keyed_sheet(notebook, session.id, name, Wish(), scene.panelist_ids[2])
        assert len([one for one in bench.log(notebook, session.id) if one.kind == "key shown"]) == count
    with notebook.reading() as tx:
        assert [(one.seat, one.kind) for one in tx.sittings.deviations(session.id)] == [(3, "unblinded")]


def test_sheets_are_printed_before_closing_only(notebook: Any) -> None:
    session = scenes.scene(notebook).smelling()
    bench.close(notebook, session.id)
    with pytest.raises(StateError, match="sealed or being smelt"):
        desk.open_sheet(notebook, session.id, "ballots", Wish())


# --- labels -------------------------------------------------------------------------------------------------------------

# Widths and pitches worked by hand from the sheet: (left margin, top margin, from label to label)
MEASURED = {
    "a4-65": (4.75, 10.7, 40.6, 21.2),
    "a4-21": (7.25, 15.15, 66.0, 38.1),
    "letter-30": (4.7625, 12.7, 69.85, 25.4),
    "letter-80": (7.62, 12.7, 52.07, 12.7),
}


@pytest.mark.parametrize("name", STOCKS)
def test_labels_fit_their_sheet(name: str) -> None:
    stock = STOCKS[name]
    corners = list(stock.places())
    assert len(corners) == stock.count
    assert all(left >= 3.9 and left + stock.width <= stock.paper.width - 3.9 for left, _ in corners)
    assert all(top >= 9.9 and top + stock.height <= stock.paper.height - 9.9 for _, top in corners)  # room for the line
    if name in MEASURED:
        left, top, across, down = MEASURED[name]
        assert corners[0] == pytest.approx((left, top), abs=0.01)
        assert corners[1][0] - corners[0][0] == pytest.approx(across, abs=0.01)
        assert corners[stock.columns][1] - corners[0][1] == pytest.approx(down, abs=0.01)


@pytest.mark.parametrize("name", STOCKS)
@pytest.mark.parametrize("moved", [(0.0, 0.0), (1.5, -2.0)])
def test_each_code_lies_in_the_middle_of_its_label(name: str, moved: tuple[float, float]) -> None:
    stock = STOCKS[name]
    codes = [str(code) for code in range(101, 101 + stock.count)]
    printing = Printing(stock, right=moved[0], down=moved[1])
    made = Labels(HEAD, (LabelGroup("Strips", tuple(map(Label, codes))),))
    document = reader(labels.labels_pdf(made, printing))
    assert len(document.pages) == 1
    page = document.pages[0]
    assert float(page.mediabox.width) / MM == pytest.approx(stock.paper.width, abs=0.01)
    assert float(page.mediabox.height) / MM == pytest.approx(stock.paper.height, abs=0.01)
    found = {text: (left, down) for text, left, down in placed_texts(page)}
    on = pdf.Drawing(HEAD, A4, ())
    for code, (left, top) in zip(codes, stock.places(), strict=True):
        size = labels.text_size(on, code, stock.width - 2.4, stock.height * 0.52)
        middle = found[code][0] + on.width(code, size, True) / 2
        assert middle == pytest.approx(left + stock.width / 2 + moved[0], abs=0.1)
        digits = size * 25.4 / 72 * 0.73  # height of a digit: 1493 of 2048 units in this font
        assert found[code][1] - digits / 2 == pytest.approx(top + stock.height / 2 + moved[1], abs=0.1)
    on.close()


def test_each_label_sheet_has_a_line_of_100_mm(room: Any) -> None:
    notebook, made = room
    document = reader(desk.open_sheet(notebook, made["tetrad"].id, "strip-labels", Wish(stock="a4-189")).content)
    assert len(document.pages) == 2  # spare ones apart
    for page in document.pages:
        level = [abs(x2 - x1) for x1, y1, x2, y2 in drawn_lines(page, document) if y1 == y2]
        assert max(level) == pytest.approx(100, abs=0.02)
        assert "100 mm when printed at 100 %" in page.extract_text()


def test_strip_labels_hold_codes_and_nothing_else(room: Any) -> None:
    notebook, made = room
    for session in made.values():
        document = reader(desk.open_sheet(notebook, session.id, "strip-labels", Wish(stock="a4-65")).content)
        inside = [t for page in document.pages for t, _, down in placed_texts(page) if 10.7 < down < 297 - 10.7]
        served = bench.servings(notebook, session.id)
        assert sorted(inside) == sorted({code for one in served for code in one.codes})


def test_used_labels_are_passed_over_on_the_first_sheet_only(room: Any) -> None:
    made = Labels(HEAD, (LabelGroup("Strips", tuple(Label(str(n)) for n in range(101, 170))),))
    printing = Printing(STOCKS["a4-65"], used=63)
    sheets = list(labels.placed(made, printing))
    assert [len(sheet) for _, sheet in sheets] == [2, 65, 2]
    assert sheets[0][1][0][1:] == list(STOCKS["a4-65"].places())[63]
    assert len(reader(labels.labels_pdf(made, printing)).pages) == 3


def test_a_qr_code_on_a_label_is_the_code(room: Any) -> None:
    """Its dark modules, read from the page, are those of segno's matrix for the same text."""
    import segno

    made = Labels(HEAD, (LabelGroup("Strips", (Label("482"),)),))
    document = reader(labels.labels_pdf(made, Printing(STOCKS["a4-21"], qr=True)))
    page = document.pages[0]
    stream = ContentStream(page.get_contents(), document)
    rects = [[float(x) / MM for x in operands] for operands, operator in stream.operations if operator == b"re"]
    module = min(abs(high) for _, _, _, high in rects)
    area = sum(abs(wide) * abs(high) for _, _, wide, high in rects)
    dark = sum(bool(cell) for row in segno.make("482", error="m", micro=False).matrix for cell in row)
    assert area / module**2 == pytest.approx(dark, rel=0.02)


def test_which_strip_of_a_pair_stands_below_its_code_on_the_smallest_label_with_a_qr_code() -> None:
    made = Labels(HEAD, (LabelGroup("Strips", (Label("482", "right"),)),))
    smallest = min(STOCKS.values(), key=lambda stock: stock.width * stock.height)
    printing = Printing(smallest, qr=True)
    _, top = next(iter(smallest.places()))
    lines = {text: down for text, _, down in placed_texts(reader(labels.labels_pdf(made, printing)).pages[0])}
    assert top < lines["482"] < lines["right"] - 2 < top + smallest.height - 2  # 6 pt are 2.1 mm
    page = str(html.labels_html(made, printing))
    assert re.search(r'<img[^>]*><span class="told"><b[^>]*>482</b><small>right</small></span></div>', page)


@pytest.mark.parametrize("changed", [{"used": 65}, {"used": -1}, {"right": 5.1}, {"down": float("nan")}])
def test_printing_out_of_range_is_refused(changed: dict[str, Any]) -> None:
    with pytest.raises(ArgumentError):
        Printing(STOCKS["a4-65"], **changed)


# --- every PDF ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("paper_name", "size"), [("a4", A4), ("letter", LETTER)])
def test_fonts_are_embedded_sizes_are_true_and_pages_are_numbered(room: Any, paper_name: str, size: Any) -> None:
    notebook, made = room
    document = reader(desk.open_sheet(notebook, made["duo-trio"].id, "ballots", Wish(paper=paper_name)).content)
    assert document.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"  # ISO 32000-1, 12.2
    for number, page in enumerate(document.pages, start=1):
        told = page.extract_text()
        assert f"page {number} of {len(document.pages)}" in told
        assert (float(page.mediabox.width) / MM, float(page.mediabox.height) / MM) == pytest.approx(
            (size.width, size.height), abs=0.01
        )
        for font in page["/Resources"]["/Font"].values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            assert "/FontFile2" in inner["/FontDescriptor"].get_object()


def test_names_in_many_letters_come_out_as_they_are() -> None:
    name = "Zoë Łukasz Ελένη Борис Nguyễn Şükrü"
    assert name in text_of(pdf.sheet_pdf(Sheet(HEAD, (Text(name), Text("e\u0301tude")))))
    assert "étude" in text_of(pdf.sheet_pdf(Sheet(HEAD, (Text("e\u0301tude"),))))


def test_signs_the_font_lacks_are_named_before_anything_is_printed() -> None:
    with pytest.raises(ArgumentError, match="“香” in “香り 5”") as refused:
        pdf.sheet_pdf(Sheet(HEAD, (Text("fine"), Text("香り 5"))))
    assert str(refused.value).count(".") == 1


def test_the_fonts_are_the_released_ones() -> None:
    """Compared with the sums in the folder's README, which are those of release 2.37 as npm's dejavu-fonts-ttf has it."""
    listed = dict(re.findall(r"`(\S+\.ttf)` \| `([0-9a-f]{64})`", (fonts.FOLDER / "README.md").read_text("utf-8")))
    found = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in fonts.FOLDER.glob("*.ttf")}
    assert found == listed
    assert len(found) == 2
    assert "Bitstream Vera" in (fonts.FOLDER / "LICENCE-DejaVu.txt").read_text("utf-8")
