"""The page Descriptors as the conductor uses it: words of a brief and its targets, nothing stored that does not stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.book import descriptor_list, target_list
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import aims, bench, book, findings
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.errors import ArgumentError
from evaluation.values.briefs import Target
from evaluation.values.descriptors import Descriptor
from tests.scenes import RATED, Scene, answer_all, ballots, scene

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def opened(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], AppTest]]:
    """Opens the page of a house with an in-memory notebook, as the conductor."""
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page() -> AppTest:
        app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        app.switch_page("descriptors.py").run()
        assert not app.exception
        return app

    yield open_page
    house.put(None)


def by(widgets: Any, label: str) -> Any:
    found = [each for each in widgets if each.label == label]
    assert found, f"no {label!r} among {[each.label for each in widgets]}"
    return found[0]


def press(app: AppTest, label: str) -> AppTest:
    app = by(app.button, label).click().run()
    assert not app.exception, app.exception
    return app


def shown(app: AppTest) -> str:
    kinds = [*app.markdown, *app.warning, *app.error, *app.success, *app.caption, *app.info]
    return "\n".join(each.value for each in kinds).replace("\\", "")


def names(notebook: Any, made: Scene) -> list[str]:
    return [one.name for one in aims.descriptors(notebook, made.brief_id)]


def test_without_a_brief_the_page_says_where_to_begin(opened: Any) -> None:
    assert "Begin with the trial book." in shown(opened())


def test_words_to_begin_with_are_ticked_by_family(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = opened()
    by(app.pills, "Base").set_value(["woody", "smoky"])
    by(app.pills, "Top").set_value(["green"])
    app = press(app, "Add to the list")
    assert names(notebook, made) == ["green", "woody", "smoky"]
    assert aims.descriptors(notebook, made.brief_id)[1].family == "base"
    assert "On the list: green, woody, smoky." in shown(app)
    assert "woody" not in by(app.pills, "Base").options


def test_nothing_ticked_is_refused(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = press(opened(), "Add to the list")
    assert "Choose one or more words to add." in shown(app)
    assert aims.descriptors(notebook, made.brief_id) == ()


def test_a_word_of_ones_own_is_added_changed_and_taken_off(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = opened()
    by(app.text_input, "Word").set_value("wet stone")
    by(app.text_input, "Family").set_value("heart")
    by(app.selectbox, "Scale").set_value("category")
    by(app.text_area, "What it means here").set_value("rain on slate")
    by(app.text_input, "Word at the low end").set_value("dry")
    by(app.text_input, "Word at the high end").set_value("soaked")
    by(app.text_input, "Reference to smell in training").set_value("geosmin 0.01 %")
    app = press(app, "Add word")
    kept = aims.descriptors(notebook, made.brief_id)[-1]
    assert kept == Descriptor("wet stone", "category", "heart", "rain on slate", "dry", "soaked", "geosmin 0.01 %")
    assert "dry to soaked · rain on slate · train with geosmin 0.01 %" in shown(app)

    app = by(app.selectbox, "Write or change").set_value("smoky").run()
    by(app.selectbox, "Scale").set_value("level")
    app = press(app, "Save word")
    assert names(notebook, made) == ["woody", "smoky", "green", "wet stone"], "it keeps its place"
    assert aims.descriptors(notebook, made.brief_id)[1].scale == "level"

    app = by(app.selectbox, "Write or change").set_value("woody").run()
    press(app, "Take off the list")
    assert names(notebook, made) == ["smoky", "green", "wet stone"]


@pytest.mark.parametrize(
    ("word", "sentence"),
    [
        ("", "Descriptor must not be empty."),
        ("Woody", "Descriptors must name each word once."),
        ("liking", "Descriptors must not be named strength or liking: those are questions of their own."),
    ],
)
def test_a_word_that_does_not_stand_is_refused(opened: Any, notebook: Any, word: str, sentence: str) -> None:
    made = scene(notebook)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = opened()
    by(app.text_input, "Word").set_value(word)
    app = press(app, "Add word")
    assert sentence in shown(app)
    assert aims.descriptors(notebook, made.brief_id) == RATED


def test_the_order_of_the_list_is_the_order_of_the_ballot(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = opened()
    by(app.multiselect, "Asked first, in this order; the others follow as they are").set_value(["green", "smoky"])
    press(app, "Save order")
    assert names(notebook, made) == ["green", "smoky", "woody"]


def test_targets_are_written_taken_off_and_kept_with_their_dates(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = opened()
    by(app.selectbox, "Descriptor").set_value("woody")
    by(app.selectbox, "Is to be").set_value("at least")
    by(app.text_input, "Value, 0 to 10").set_value("6,5")
    by(app.text_input, "Strip age in minutes").set_value("60")
    by(app.text_input, "Weight").set_value("2")
    app = press(app, "Add target")
    first = Target("woody", "at least", Decimal("6.5"), Decimal(60), Decimal(2))
    assert aims.targets(notebook, made.brief_id).targets == (first,)  # type: ignore[union-attr]
    assert "woody: at least 6.5 at 60 min, weight 2" in shown(app)

    by(app.selectbox, "Descriptor").set_value("liking")
    by(app.text_input, "Value, 0 to 10").set_value("7")
    app = press(app, "Add target")
    assert "liking: at least 7 over the whole dry-down" in shown(app)
    by(app.multiselect, "Targets to take off").set_value([0])
    app = press(app, "Take off")
    assert [one.descriptor for one in aims.targets(notebook, made.brief_id).targets] == ["liking"]  # type: ignore[union-attr]
    assert len(aims.history(notebook, made.brief_id)) == 3
    assert "woody: at least 6.5 at 60 min, weight 2; liking" in shown(app), "what was aimed at before is told"


@pytest.mark.parametrize(
    ("value", "minutes", "weight", "words"),
    [
        ("", "", "1", "value must be a number"),
        ("11", "", "1", "value of a target must be from 0 to 10, not 11"),
        ("5", "soon", "1", "strip age must be a number"),
        ("5", "0", "1", "moment of a target must be minutes within a week, not 0"),
        ("5", "", "0", "weight of a target must be from 0.1 to 10, not 0"),
    ],
)
def test_a_target_that_does_not_stand_is_refused(value: str, minutes: str, weight: str, words: str) -> None:
    with pytest.raises(ArgumentError, match=words):
        target_list.target_as_typed("woody", "about", value, minutes, weight)


def test_only_words_rated_in_numbers_can_be_aimed_at() -> None:
    listed = (
        Descriptor("woody"),
        Descriptor("soapy", "check"),
        Descriptor("sweet", "level"),
        Descriptor("green", "category"),
    )
    assert target_list.may_aim_at(listed) == ("woody", "green", "strength", "liking")


def test_targets_written_after_a_session_was_opened_are_shown_as_such(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    aims.save_targets(notebook, made.brief_id, [Target("woody", "about", Decimal(5))])
    session = made.smelling()
    for one in ballots(notebook, session.id):
        answer_all(notebook, one.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    before = aims.targets(notebook, made.brief_id)
    assert aims.opened_before(notebook, made.brief_id, before.written_at) == ()  # type: ignore[union-attr]
    assert "written after sessions" not in shown(opened())
    aims.save_targets(notebook, made.brief_id, [Target("woody", "about", Decimal(6))])
    now = aims.targets(notebook, made.brief_id)
    (late,) = aims.opened_before(notebook, made.brief_id, now.written_at)  # type: ignore[union-attr]
    assert late.session_id == session.id
    assert before.written_at < late.opened_at <= now.written_at  # type: ignore[union-attr]
    app = opened()
    assert "These targets were written after sessions of this brief were opened: “Trial 7 against trial 8”" in shown(
        app
    )
    other = book.add_brief(notebook, "Another")
    assert aims.opened_before(notebook, other.id, now.written_at) == ()  # type: ignore[union-attr]


def test_a_word_is_told_with_all_a_panel_is_told() -> None:
    one = Descriptor("woody", family="base", definition="dry cedar", reference="cedar oil")
    assert descriptor_list.line(one).replace("\\", "") == (
        "- **woody** (base)  \n  :small[line from 0 to 10, without marks · none to very · dry cedar · train with cedar oil]"
    )
