"""Templates escape by themselves, as the standard library does, and nobody else may build HTML of what people typed."""

from __future__ import annotations

from html import escape
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import UndefinedError

from evaluation.ground.markup import Html, joined, template

CELL = template("<p title='{{ title }}'>{{ text }}</p>")
LIST = template("{% for one in each %}<i>{{ one }}</i>{% endfor %}")


class Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.seen: list[object] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


@given(st.text(), st.text())
def test_whatever_is_put_in_comes_out_as_text(title: str, text: str) -> None:
    told = CELL(title=title, text=text)
    assert told == f"<p title='{escape(title)}'>{escape(text)}</p>"  # the standard library is the second route
    reader = Reader()
    reader.feed(told)
    reader.close()
    assert len(reader.seen) == 1
    assert reader.text == text.replace("\x00", "\ufffd") or "\r" in text or "\x00" in text


def test_what_a_template_made_is_not_escaped_again() -> None:
    once = CELL(title="", text="a < b")
    assert LIST(each=[once, "a < b", 3]) == f"<i>{once}</i><i>a &lt; b</i><i>3</i>"
    assert joined([once, "<b>"]) == f"{once}&lt;b&gt;"


def test_html_pieced_together_by_hand_counts_as_text() -> None:
    """An f-string is a text, whatever stands in it: put into a hole its tags show."""
    assert LIST(each=[f"<b>{CELL(title='', text='x')}</b>"]).startswith("<i>&lt;b&gt;")
    assert isinstance(Html("<b>") + "<i>", Html)
    assert Html("<b>") + "<i>" == "<b>&lt;i&gt;"


def test_a_hole_without_a_value_is_an_error() -> None:
    with pytest.raises(UndefinedError, match="text"):
        CELL(title="only")
