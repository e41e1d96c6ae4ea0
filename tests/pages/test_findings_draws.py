"""Which law drew a session, and how often each place was chosen, on the findings page; the draw on the plan page."""

from __future__ import annotations

from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from streamlit.testing.v1 import AppTest

from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.report import export
from tests.report.test_export import played

ROOT = Path(__file__).resolve().parents[2]
BEFORE = "This session was sealed when orders were still balanced over the panel"


@pytest.fixture
def page(monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """The words of the findings page around a notebook, seen by the conductor."""
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def words(notebook: Any) -> str:
        house.put(house.House(notebook, bytes(range(32))))
        app = AppTest.from_file(str(ROOT / "pages" / "app.py"), default_timeout=120)
        app.switch_page("findings.py").run()
        assert not app.exception
        return " ".join(
            [
                *(one.value.replace("\\", "") for one in app.markdown),
                *(unescape(one.proto.body) for one in app.get("html")),
            ]
        )

    yield words
    house.put(None)


def test_places_chosen_stand_with_the_caveats(page: Any, notebook: Any) -> None:
    played(notebook)
    told = page(notebook)
    assert "Of 8 answers that count, 8 chose the first code, 0 the second and 0 the third." in told
    assert "Every order was drawn by itself" in told
    assert "guessing is right with a chance of exactly one third" in told
    assert "<td>first code</td><td>8</td><td>8</td>" in told
    assert BEFORE not in told


@pytest.mark.parametrize("name", ["triangle", "preference", "ranking"])
def test_a_session_sealed_before_says_what_its_orders_mean(page: Any, name: str) -> None:
    with export.opened(ROOT / "tests" / "report" / "released" / f"{name}.zip") as copy:
        told = page(copy.notebook)
    assert BEFORE in told
    assert "drawn by itself" not in told
