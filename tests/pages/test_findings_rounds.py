"""Findings of rounds and rankings: the sentences, the pictures' rows and the page with its files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.findings import file_routes, preferred
from streamlit.testing.v1 import AppTest

from evaluation.actions import bench, book, findings
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.actions.round_findings import RoundFindings, round_findings
from evaluation.charts import round_pictures as drawn
from evaluation.tables import standings
from evaluation.wording import of_rounds
from tests import scenes

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


def opened(notebook: Any, worth: Any, people: int = 12, **changes: Any) -> RoundFindings:
    session = scenes.scene(notebook, people=people).smelling(**changes)
    scenes.answer_by_worth(notebook, session.id, worth)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return round_findings(notebook, session.id)


def worth(seat: int, letter: str) -> float:
    """Nine of twelve people and more like B best; C is last for all."""
    return {"A": 2, "B": 1 if seat <= 1 else 3, "C": 0}[letter]


def camps(seat: int, letter: str) -> float:
    return {"A": seat % 2, "B": 1 - seat % 2, "C": -1}[letter]


def shown_text(app: AppTest) -> str:
    parts = [*app.markdown, *app.header, *app.caption, *app.get("html")]
    return " ".join(str(getattr(one, "value", None) or one.proto.body) for one in parts)


def test_the_sentence_counts_people(notebook: Any) -> None:
    (part,) = opened(notebook, worth, method="round").found
    lines = of_rounds.summary_lines(part)
    assert lines[0].startswith(
        "Trial 8 is preferred to trial 7 by 11 of 12 people (family p = .006"
    )  # 2 × 13 / 4096, the last of three
    assert lines[1].startswith("Trial 8 is preferred to trial 9 by 12 of 12 people")


def test_camps_leave_no_average(notebook: Any) -> None:
    (part,) = opened(notebook, camps, method="round", replicates=4).found
    lines = of_rounds.summary_lines(part)
    assert "splits into two camps over trials 7 and 8: of 12 people 6 keep to trial 7, 6 to trial 8" in lines[0]
    assert standings.merits(part).empty
    assert standings.merit_rows(part).empty
    assert not any(
        "rial 7 is preferred to trial 8" in line or "rial 8 is preferred to trial 7" in line for line in lines
    )
    assert not any("scale" in name for name, _ in of_rounds.facts(part))


def test_nothing_shown_is_not_sameness(notebook: Any) -> None:
    (part,) = opened(notebook, lambda seat, letter: (seat + "ABC".index(letter)) % 3, people=3, method="ranking").found
    lines = of_rounds.summary_lines(part)
    assert lines[0] == (
        "No order shown: no pair is told apart by preference. That does not say that all are liked alike."
    )
    assert "go in a circle" in lines[1]  # the three cyclic orders: Condorcet's own case
    assert any("Nobody answered twice" in line for line in of_rounds.caveats(part))


def test_the_one_in_front_is_the_one_more_people_prefer(notebook: Any) -> None:
    rows = standings.pair_rows(opened(notebook, worth, method="round").found[0])
    assert (rows["for_front"] >= rows["for_back"]).all()
    assert rows.iloc[0][["front", "back", "for_front"]].tolist() == ["8", "7", 11]
    assert "8|7" in str(drawn.pairs(rows).to_dict())


@pytest.mark.parametrize("method", ["round", "ranking"])
def test_the_page_and_its_files(app: AppTest, notebook: Any, method: str) -> None:
    found = opened(notebook, worth, method=method)
    app.switch_page("findings.py").run()
    assert not app.exception
    text = shown_text(app)
    assert "Trial 8 is preferred to trial 7 by 11 of 12 people" in text
    assert "36 sets planned" in text if method == "round" else "12 sets planned" in text
    for name, (_, build) in preferred.TABLES.items():
        made = preferred.file(found, name)
        assert made is not None
        assert made[1] is not None
        rows = len(build(found.found[0]))
        assert len(made[1].decode("utf-8-sig").splitlines()) == (rows + 1 if rows else 1)
    assert preferred.file(found, "verdict.csv") is None
    here = SimpleNamespace(notebook=notebook)
    kind, content = file_routes._made(here, found.context.session.id, "pairs.csv", False) or ("", None)
    assert kind.startswith("text/csv")
    assert content is not None
    assert b"trial 8 preferred" in content


def test_what_else_could_be_smelt_is_said_of_each_pair(app: AppTest, notebook: Any) -> None:
    opened(notebook, worth, method="round")
    third = next(one for one in book.trials(notebook, book.briefs(notebook)[0].id) if one.label == "9")
    with notebook.writing() as tx:  # as an older trial book may have it: the action refuses this once it was served
        tx.book.replace_trial(replace(third, strength_percent=Decimal(12)))
    app.switch_page("findings.py").run()
    assert not app.exception
    text = shown_text(app).replace("\\", "")
    assert "Trials 7 and 9: The solutions differ in strength (10 % and 12 %)" in text
    assert "Trials 8 and 9: The solutions differ in strength (10 % and 12 %)" in text
    assert "Trials 7 and 8: The" not in text


def test_merits_are_drawn_where_people_are_not_of_one_mind(app: AppTest, notebook: Any) -> None:
    """Every order of three occurs, so the table is regular; four of them more often than their reverse."""
    orders = ("ABC", "ACB", "BAC", "BCA", "CAB", "CBA", "BAC", "BCA", "BAC", "ABC", "BCA", "BAC")
    found = opened(notebook, lambda seat, letter: -orders[seat - 1].index(letter), method="round").found[0]
    assert found.merits is not None
    assert found.merits.condition == "regular"
    rows = standings.merit_rows(found)
    assert set(rows["best"]) == {"8"}
    assert ((rows["low"] < rows["chance"]) & (rows["chance"] < rows["high"])).all()
    app.switch_page("findings.py").run()
    assert not app.exception
    assert "chance of being preferred to trial 8" in shown_text(app)
