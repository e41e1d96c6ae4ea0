"""How often each place was chosen (evaluation/counting/habits.py), by which law a session was drawn, and the words of both."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from evaluation.counting.habits import PlacesChosen, chosen_places
from evaluation.counting.questions import Assessment
from evaluation.report import composing, export
from evaluation.wording import of_draws
from tests.methods import METHODS, SOLO_METHODS
from tests.report.test_export import played
from tests.scenes import plan

CODES = ("482", "155", "730", "614", "209")
RELEASED = Path(__file__).parents[1] / "report" / "released"


def row(chosen: str, codes: tuple[str, ...], *left_out: str) -> Assessment:
    return Assessment(1, "p", "Nose", 300, 1, "s", codes, chosen, None, "", "", "", "", left_out, left_out)


# method, strips, answers, and by hand: which places of the tray were chosen how often
ANSWERS = [
    ("triangle", 3, ("482", "482", "730"), ((1, 2), (2, 0), (3, 1))),
    ("3-afc", 3, ("155", "482", "730"), ((1, 1), (2, 1), (3, 1))),
    ("2-afc", 2, ("155", "155"), ((1, 0), (2, 2))),
    ("duo-trio", 3, ("155", "730", "730"), ((2, 1), (3, 2))),
    ("tetrad", 4, ("482+155|730+614", "482+614|155+730"), ((2, 1), (3, 0), (4, 1))),
    ("two-out-of-five", 5, ("482+209", "155+482"), ((1, 2), (2, 1), (3, 0), (4, 0), (5, 1))),
]


@pytest.mark.parametrize(("method", "strips", "answers", "wanted"), ANSWERS, ids=[one[0] for one in ANSWERS])
def test_places_are_counted_from_the_tray(
    method: str, strips: int, answers: tuple[str, ...], wanted: tuple[tuple[int, int], ...]
) -> None:
    rows = [row(one, CODES[:strips]) for one in answers]
    assert chosen_places(plan(method=method), rows) == PlacesChosen(method, len(answers), wanted)


def test_no_preference_has_no_place_and_neither_has_a_choice_over_all_ages() -> None:
    rows = [row("482", CODES[:2]), row("none", CODES[:2]), row("482 155", ()), row("155", CODES[:2], "unblinded")]
    assert chosen_places(plan(method="preference"), rows) == PlacesChosen("preference", 2, ((1, 1), (2, 0)), none=1)
    assert chosen_places(plan(), []) is None


def test_the_sentence_and_the_table_say_the_same() -> None:
    found = PlacesChosen("triangle", 12, ((1, 7), (2, 3), (3, 2)))
    said = "Of 12 answers that count, 7 chose the first code, 3 the second and 2 the third."
    assert of_draws.places_line(found) == said
    assert of_draws.places_rows(found) == (
        ("first code", "7", "12"),
        ("second code", "3", "12"),
        ("third code", "2", "12"),
    )
    pairs = PlacesChosen("tetrad", 4, ((2, 1), (3, 0), (4, 3)))
    assert "1 put the first code with the second, 0 with the third and 3 with the fourth" in of_draws.places_line(pairs)
    votes = PlacesChosen("preference", 1, ((1, 0), (2, 0)), none=1)
    assert of_draws.places_line(votes).startswith("Of the 1 answer that counts, 0 chose")
    assert of_draws.places_rows(votes)[-1] == ("no preference", "1", "1")


@pytest.mark.parametrize("method", METHODS)
def test_what_the_law_means_is_one_sentence_for_each_method(method: str) -> None:
    now = of_draws.law_line(plan(method=method, draw="independent"))
    before = of_draws.law_line(plan(method=method))
    assert "drawn by itself" in now
    assert before.startswith("This session was sealed when orders were still balanced over the panel")
    assert (".10" if method == "preference" else ".145") in before  # tests/counting/test_order_habits.py
    for told in (now, before):
        assert told.endswith(".")
        assert "\n" not in told
    assert of_draws.law_line(plan(1, method=method)) == ""  # balanced over one nose is drawn by itself


@pytest.mark.parametrize("method", SOLO_METHODS)
def test_alone_the_seal_says_that_the_shuffle_is_the_draw(method: str) -> None:
    for draw in ("balanced", "shuffled"):
        alone = plan(1, method=method, solo=True, replicates=2, draw=draw)
        assert "the shuffle is the draw" in of_draws.sealed_line(alone)
        assert ("given which trial is the odd one" in of_draws.sealed_line(alone)) == (method == "triangle")
        assert of_draws.law_line(alone) == ""


def told(notebook: Any, session_id: str) -> str:
    return "\n".join(text for block in composing.report(notebook, session_id).blocks for text in _texts(block))


def _texts(block: Any) -> list[str]:
    cells = [cell for line in getattr(block, "rows", ()) for cell in line]
    return [getattr(block, "text", ""), *getattr(block, "columns", ()), *cells]


@pytest.mark.parametrize(
    "changes",
    [{}, {"method": "2-afc"}, {"method": "tetrad"}, {"method": "preference", "confirmed": ()}, {"null_sets": 1}],
    ids=["triangle", "2-afc", "tetrad", "preference", "null sets"],
)
def test_a_report_says_how_often_each_place_was_chosen(notebook: Any, changes: dict[str, Any]) -> None:
    """Everybody takes the first offer, eight people once."""
    _, session_id = played(notebook, **changes)
    text = told(notebook, session_id)
    assert "Of 8 answers that count, 8 " in text
    assert "drawn by itself" in text
    assert "still balanced over the panel" not in text


@pytest.mark.parametrize("name", ["demo-1-birch-tar", "demo-3-which-cedar", "demo-6-where-wood-stays", "round"])
def test_a_session_sealed_before_says_so(name: str) -> None:
    with export.opened(RELEASED / f"{name}.zip") as copy:
        text = told(copy.notebook, copy.session_id)
    assert "sealed when orders were still balanced over the panel" in text
    assert "balanced over the panel, strips dipped in tray order" in text
    assert "drawn by itself" not in text
