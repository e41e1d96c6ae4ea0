"""The picture of a lineage: nothing overlaps at the width of a phone, every trial and step stands in it once."""

from __future__ import annotations

import re
from collections import Counter
from html import unescape
from html.parser import HTMLParser

from hypothesis import given
from parts.book import lineage_drawn as drawn

from evaluation.deciding.lineages import Lineage, places
from tests import lineages
from tests.deciding.test_lineages import Parents, trees


class Read(HTMLParser):
    """Text by the class of the element it stands in, and how many elements of each class there are."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.text: dict[str, list[str]] = {}
        self.seen: Counter[str] = Counter()
        self.feed(html.split("</style>")[1])

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        name = (dict(attrs).get("class") or tag).split()[0]
        self.open.append(name)
        self.seen[name] += 1
        self.text.setdefault(name, []).append("")

    def handle_endtag(self, tag: str) -> None:
        self.open.pop()

    def handle_data(self, data: str) -> None:
        for name in self.open:
            self.text[name][-1] += data


def tree(parents: Parents) -> Lineage:
    made = [(one, parent) for one, parent in parents.items()]
    return lineages.lineage(lineages.trials(made))


@given(trees(255))
def test_no_label_line_or_word_overlaps_at_390_pixels(parents: Parents) -> None:
    """Across a row: lines that pass, then the label with its word; or the line of the step, then its words."""
    width = drawn.PHONE - drawn.AROUND
    for one in places(parents):
        passing = [drawn.left_of(lane)[1] for lane in range(one.lane)]
        label, own, words = drawn.left_of(one.lane)
        assert passing == sorted(set(passing))
        assert all(line + 2 < label for line in passing)  # half of the heaviest line is less than 2
        assert label < own < label + drawn.BOX
        assert own + 2 < words
        assert words + drawn.NARROWEST <= width
        assert label + drawn.BOX <= width


@given(trees(20))
def test_every_trial_and_every_step_stands_in_the_picture_once(parents: Parents) -> None:
    found = tree(parents)
    read = Read(drawn.picture(found))
    assert Counter(read.text.get("mo-label", [])) == Counter(parents.keys())
    assert read.seen["mo-edge"] == sum(parent is not None for parent in parents.values())
    assert drawn.picture(found) == drawn.picture(tree(parents))


def test_the_style_sheet_reckons_places_as_the_layout_does() -> None:
    """Both say a label begins a step right of the one before, its line in the middle of it, words beside the line."""
    assert drawn.left_of(3) == (
        3 * drawn.STEP,
        3 * drawn.STEP + drawn.BOX / 2,
        3 * drawn.STEP + drawn.BOX / 2 + drawn.WORDS,
    )
    assert "left: calc(var(--at) * var(--step) + var(--box) / 2)" in drawn.STYLE
    assert "padding-left: calc(var(--at) * var(--step))" in drawn.STYLE
    assert "calc(var(--at) * var(--step) + var(--box) / 2 + var(--words))" in drawn.STYLE
    assert f"--step:{drawn.STEP}px;--box:{drawn.BOX}px;--words:{drawn.WORDS}px" in drawn.picture(tree({"1": None}))


def test_text_is_text_whatever_a_trial_is_called() -> None:
    rude = '<b onclick="x">7</b>'
    html = drawn.picture(lineages.lineage(lineages.trials([(rude, None), ("8", rude)], "<script>alert(1)</script>")))
    assert "<script" not in html
    assert rude not in html
    assert rude in unescape(html)


def test_the_list_says_whatever_the_picture_says() -> None:
    """Words of the picture, the key and numbers in boxes apart, are found in the list beside it."""
    from parts.book import lineage_shown

    found = tree({"1": None, "2": "1", "3": "1"})
    listed = "\n".join(lineage_shown.item(found, one) for one in found.places).replace("\\", "").casefold()
    for words in Read(drawn.picture(found)).text["mo-edge"]:
        for one in re.split(" · ", words):
            for told in one.removesuffix("not smelt").split("From "):
                assert told.casefold() in listed
    assert "not smelt" in listed
