"""The trial book in a real browser: the lineage measured at the width of a phone, and a formula typed into its table.

The picture is set on a bare page with the margins of the app: no server is needed to see whether words overlap.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from typing import Any

from parts.book import lineage_drawn as drawn
from playwright.sync_api import BrowserContext, Page, expect

from evaluation.actions import book, formulas, plan, skin
from evaluation.clock import SystemClock
from evaluation.deciding.lineages import Held, Lineage
from evaluation.formulas import read_lines
from evaluation.store import Notebook
from tests import lineages, made_briefs
from tests.browser.conftest import LAPTOP, PHONE, Served, Snap
from tests.browser.waiting import settled, until
from tests.formulas.made import formula, line

LONG = "Cedar shed after rain, colder and longer"  # 40 letters, the most a label may have
WORDY = "less of the smoke, more of the wet wood, and the pepper of trial 2 back in at half of what it was " * 3
# Left, right, top and bottom of all labels, words and lines that can be seen
MEASURE = """() => [...document.querySelectorAll(
  ".mo-label, .mo-decided, .mo-edge, .mo-beside > div, .mo-key span, .mo-tree i")].map(one => {
    const box = one.getBoundingClientRect(), kind = one.className.split(" ")[0] || "i";
    const pad = kind == "mo-edge" ? parseFloat(getComputedStyle(one).paddingLeft) : 0;
    const above = kind == "mo-edge" ? 7 : 0;
    return [one.tagName == "I" ? (one.classList.contains("turn") ? "turn" : "line") : kind,
            box.left + pad, box.right, box.top + above, box.bottom - above];})"""


def smelt(*pairs: tuple[str, str]) -> list[Any]:
    return [made_briefs.triangle(n, pair, 10 - n % 7, 12) for n, pair in enumerate(pairs, start=1)]


def chosen() -> dict[str, Lineage]:
    """No trial, one, twelve in a deep chain, a wide star, two roots, long titles, formulas, no parent and child."""
    seven = formula(line("Bergamot", 8), line("Vetiver", 4), line("Cedar", 2))
    eight = formula(line("Bergamot", 10), line("Cedar", 2), line("Pink pepper", 1), line("Iris butter", 1))
    held = [Held("sealed", ("3", "4"))]
    rng = random.Random(7)
    any_tree = [("1", None), *((str(n), str(rng.randint(1, n - 1))) for n in range(2, 26))]
    long = lineages.trials([(LONG, None), (LONG[:-1], LONG), ("x" * 40, LONG), ("4", LONG[:-1])], WORDY)
    return {
        "none": lineages.lineage(()),
        "one": lineages.lineage(lineages.chain(1)),
        "chain": lineages.lineage(
            lineages.chain(12), smelt(("1", "2"), ("2", "3"), ("2", "3")), held, {"2": "drop"}, lead="12"
        ),
        "star": lineages.lineage(
            lineages.star(10), smelt(("1", "4"), ("2", "4")), decided={"4": "keep", "5": "rework"}
        ),
        "roots": lineages.lineage(
            lineages.trials([("1", None), ("2", None), ("3", "1"), ("4", "2")]),
            smelt(("1", "2")),
            formulas={"1": seven, "3": eight},
        ),
        "long": lineages.lineage(long, smelt((LONG, LONG[:-1]), ("x" * 40, "4")), decided={"x" * 40: "smell again"}),
        "any": lineages.lineage(lineages.trials(any_tree), smelt(("1", "2"), ("20", "21"))),
    }


def shown(page: Page, found: Lineage) -> None:
    margin = (drawn.AROUND - 26) // 2  # border and padding of the card are 26
    page.set_content(
        f'<body style="margin: 0 {margin}px; font: 16px/1.5 sans-serif; --mou-quiet: #5B5548">{drawn.picture(found)}'
    )


def test_nothing_overlaps_or_runs_out_of_a_phone(device: Callable[..., BrowserContext], snap: Snap) -> None:
    page = device(PHONE).new_page()
    for name, found in chosen().items():
        shown(page, found)
        snap(page, f"lineage-{name}-390", full_page=True)
        boxes = page.evaluate(MEASURE)
        assert sum(kind == "mo-label" for kind, *_ in boxes) == len(found.places) + 2 * len(found.besides), name
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], name
        assert page.evaluate("(t => t.scrollWidth - t.clientWidth)(document.querySelector('.mo-tree'))") == 0, name
        assert overlaps(boxes) == [], name


def overlaps(boxes: list[list[Any]]) -> list[tuple[Any, Any]]:
    """Words or labels that meet one another or a line; behind each label its own line may run."""
    words = [one for one in boxes if one[0] not in ("line", "turn")]
    found = [(one, other) for one, other in combinations(words, 2) if _meet(one, other)]
    for line_box in (one for one in boxes if one[0] == "line"):
        own = (line_box[1] + line_box[2] - drawn.BOX) / 2  # where the label on this line begins
        crossed = [one for one in words if _meet(one, line_box)]
        found += [(one, line_box) for one in crossed if one[0] != "mo-label" or abs(one[1] - own) > 2]
    return found


def _meet(one: list[Any], other: list[Any]) -> bool:
    _, left, right, top, bottom = one
    _, other_left, other_right, other_top, other_bottom = other
    apart = right <= other_left + 0.5 or other_right <= left + 0.5
    return not (apart or bottom <= other_top + 0.5 or other_bottom <= top + 0.5)


def test_the_picture_prints_without_a_dark_ground_or_a_split_trial(device: Callable[..., BrowserContext]) -> None:
    page = device(PHONE, "dark").new_page()
    shown(page, chosen()["chain"])
    page.emulate_media(media="print")
    colours = page.evaluate(
        """() => ["color", "backgroundColor"].map(one => getComputedStyle(document.querySelector(".mo-tree"))[one])"""
    )
    assert colours == ["rgb(0, 0, 0)", "rgb(255, 255, 255)"]
    assert page.evaluate("getComputedStyle(document.querySelector('.mo-trial')).breakInside") == "avoid"


# --- the table of a formula -------------------------------------------------------------------------------------------

TEXT = "Fig leaf base; 4\nCedar oil; 6; 10; L7; Wood\nCarrier; 90"


def at_the_table(page: Page, served: Served) -> None:
    """The page anew, with the formula of the trial made last: the parent's, as long as it has none."""
    page.goto(served.origin)
    page.get_by_role("tab", name="Formula").click()
    page.get_by_text("Copied from trial 7 to start with").wait_for()
    settled(page)


def typed_into(page: Page, row: int, column: int, text: str) -> None:
    """Type into a cell as a person does: the arrow keys lead there, Enter opens it and leaves it.

    The table is painted; beside the paint it keeps a grid for screen readers, in which the outcome is read.
    """
    until(page, lambda: _at_first_cell(page), "the first cell of the table")
    at = [*((1, down) for down in range(1, row + 1)), *((right + 1, row) for right in range(1, column + 1))]
    for across, down in at:
        page.keyboard.press("ArrowDown" if across == 1 else "ArrowRight")
        expect(page.locator(f"#glide-cell-{across}-{down}")).to_have_attribute("aria-selected", "true")
    page.keyboard.press("Enter")
    cell = page.locator(".gdg-input")
    cell.fill(text)
    cell.press("Enter")
    expect(page.locator(f"#glide-cell-{column + 1}-{row}")).to_have_text(text)


def _at_first_cell(page: Page) -> bool:
    """Whether the keys go to the first cell; if not they are sent there, which leads nowhere while it is drawn anew."""
    if page.locator("#glide-cell-1-0").get_attribute("aria-selected") == "true":
        return True
    page.get_by_test_id("data-grid-canvas").focus()
    page.keyboard.press("Control+Home")
    return False


def test_a_formula_is_typed_into_its_table_and_a_bad_line_is_named(
    served: Served, device: Callable[..., BrowserContext]
) -> None:
    """It begins with the parent's; what does not stand is named by line and column and nothing is kept of it."""
    notebook = Notebook.open(served.file, SystemClock())
    brief = book.add_brief(notebook, "Salt and fig")
    seven = book.add_trial(notebook, brief.id, "7").id
    eight = book.add_trial(notebook, brief.id, "8", seven).id
    formulas.write(notebook, seven, read_lines(TEXT), new_materials=True)
    page = device(LAPTOP).new_page()
    at_the_table(page, served)
    typed_into(page, 1, 1, "four")
    page.get_by_role("button", name="Save formula").click()
    expect(page.get_by_role("alert").filter(has_text="Line 2, column 2 (parts) must be a number")).to_be_visible()
    assert formulas.formula(notebook, eight) is None
    at_the_table(page, served)
    expect(page.locator("#glide-cell-2-1")).to_have_text("6")
    typed_into(page, 1, 1, "9")
    page.get_by_role("button", name="Save formula").click()
    page.get_by_text("Formula of trial 8 saved").wait_for()
    found = formulas.between(notebook, seven, eight)
    assert found is not None
    assert [(one.materials[0].name, one.ratio) for one in found.changes] == [("Cedar oil", Fraction(3, 2))]
    page.get_by_role("tab", name="Trials").click()
    expect(page.locator(".mo-tree .mo-edge")).to_contain_text("accord Wood raised to 1.5 times")
    notebook.close()


def test_an_off_note_is_traced_from_the_formula_to_the_bench(
    served: Served, device: Callable[..., BrowserContext], snap: Snap
) -> None:
    """As a perfumer would: from the formula, suspects ticked, the note named, the series sealed, a sitting in one press."""
    notebook = Notebook.open(served.file, SystemClock())
    brief = book.add_brief(notebook, "Old gloves")
    trial = book.add_trial(notebook, brief.id, "1", strength_percent=Decimal(12)).id
    formulas.write(notebook, trial, read_lines("Guaiac; 9\nStyrax; 4\nBase; 87"), new_materials=True)
    base = next(one.id for one in skin.materials(notebook) if one.name == "Base")
    skin.change_material(notebook, base, solvent=True)
    for alias in ("Wren", "Pike"):
        book.add_panelist(notebook, alias)
    page = device(LAPTOP).new_page()
    page.goto(served.origin)
    settled(page)
    page.get_by_role("tab", name="Formula").click()
    page.get_by_role("link", name="Trace an off-note in it").click()
    expect(page.get_by_role("heading", name="Trace an off-note")).to_be_visible()
    settled(page)
    for name in ("Guaiac 9 %", "Styrax 4 %"):
        page.get_by_text(name, exact=True).click()
        settled(page)
    note = page.get_by_label("The note, as a word")
    note.fill("rubbery")
    note.press("Enter")
    expect(page.get_by_text("A suspect stands out when the evidence against it reaches 40 to 1")).to_be_visible()
    settled(page)
    snap(page, "off-note-suspects", full_page=True)
    page.get_by_role("button", name="Seal the series").click()
    sheet = page.get_by_role("link", name="to print from the browser").get_attribute("href")
    answer = page.request.get(f"{served.origin}{sheet}")
    assert (answer.status, "Weighing sheet" in answer.text()) == (200, True)
    snap(page, "off-note-sealed", full_page=True)
    page.get_by_text("Seal it all the same").click()
    page.get_by_role("button", name="Seal the next sitting").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Bench")
    (session,) = plan.sessions(notebook, brief.id)
    assert (session.state, session.plan.descriptor, session.plan.people) == ("sealed", "rubbery", 2)
    notebook.close()
