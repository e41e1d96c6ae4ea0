"""The trial book in a real browser: the lineage measured at the width of a phone.

The picture is set on a bare page with the margins of the app: no server is needed to see whether words overlap.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from parts.book import lineage_drawn as drawn
from playwright.sync_api import BrowserContext, Page

from evaluation.deciding.lineages import Lineage
from tests import lineages, made_briefs
from tests.browser.conftest import PHONE
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
    held = [SimpleNamespace(state="sealed", plan=SimpleNamespace(trial_ids=("3", "4")))]
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


@pytest.mark.parametrize("name", list(chosen()))
def test_nothing_overlaps_or_runs_out_of_a_phone(
    device: Callable[..., BrowserContext], name: str, screenshots: Path
) -> None:
    found, page = chosen()[name], device(PHONE).new_page()
    shown(page, found)
    boxes = page.evaluate(MEASURE)
    assert sum(kind == "mo-label" for kind, *_ in boxes) == len(found.places) + 2 * len(found.besides)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate("(t => t.scrollWidth - t.clientWidth)(document.querySelector('.mo-tree'))") == 0
    words = [one for one in boxes if one[0] not in ("line", "turn")]
    for one, other in combinations(words, 2):
        assert not _meet(one, other), (one, other)
    for line_box in (one for one in boxes if one[0] == "line"):
        assert not [one for one in words if one[0] != "mo-label" and _meet(one, line_box)]
        for label in (one for one in words if one[0] == "mo-label" and _meet(one, line_box)):
            assert abs(line_box[1] + line_box[2] - 2 * label[1] - drawn.BOX) < 4  # its own line, behind it
    page.screenshot(path=str(screenshots / f"lineage-{name}-390.png"), full_page=True)


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
