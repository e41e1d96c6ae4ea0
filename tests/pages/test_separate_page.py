"""The page Separate changes through the entry page: proposed, refused, written into the book, on to the plan."""

from __future__ import annotations

from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from evaluation.actions import book, plan, separating
from tests.pages.test_conductor_pages import by_label, opened, press, said
from tests.scenes import Scene
from tests.separations import three_changes

__all__ = ["opened"]  # a fixture of the page tests


@pytest.fixture
def made(notebook: Any) -> Scene:
    return three_changes(notebook, people=6)


def words(app: AppTest) -> str:
    return "\n".join(
        one for kind in ("markdown", "caption", "info", "warning", "error", "success") for one in said(app, kind)
    )


def test_from_two_formulas_to_bottles_in_the_book_and_a_sealed_plan(opened: Any, notebook: Any, made: Scene) -> None:
    app = opened("separate")
    told = words(app)
    assert "8 bottles; 4 strips a nose and sitting, 2 sittings each, 8 strips each in all." in told
    assert "All combinations are there" in told
    by_label(app.radio, "Mix").set_value("every second combination").run()
    assert "- These bottles cannot tell Vetiver from Cedar and Iris together." in words(app)  # behind a tap
    assert "- What two of these changes do only in each other’s company" in words(app)
    assert "Writing puts 3 new trials into the trial book; of trials there are already, 1 further bottle." in words(app)
    app = press(app, "Write these bottles into the trial book")
    assert "4 bottles are in the trial book, 3 new trials among them" in words(app)
    (draft,) = separating.to_smell(notebook, made.brief_id)
    assert draft.plan.title == "Which of 3 changes does what, on trial 7"
    by_label(app.radio, "Mix").set_value("every second combination").run()
    assert "The trial book has all of these already" in words(app)
    assert "Write these bottles once more" in [one.label for one in app.button]
    assert separating.separation_of(draft.plan).made == ("000", "110", "101", "011")
    assert len(book.trials(notebook, made.brief_id)) == 5  # the base is a further bottle
    assert "from 5 g of concentrate in each flask; this sheet is for 10 g." in words(app)
    assert "Write it before you seal: afterwards it cannot be written any more" in words(app)
    app = press(app, "Plan the session")
    assert "Write it on the page Separate changes before you seal" in words(app)
    assert "Changes told apart: Vetiver, Cedar and Iris." in words(app)
    app.switch_page("plan.py").run()  # the test driver does not stay where a page has sent it
    app = press(app, "Seal this plan")
    assert plan.session(notebook, draft.id).state == "sealed", words(app)
    assert separating.to_smell(notebook, made.brief_id)[0].state == "sealed"


def test_what_is_held_likely_takes_the_fraction_away_with_the_reason(opened: Any, made: Scene) -> None:
    app = opened("separate")
    by_label(app.multiselect, "Held likely to work together").set_value(["Vetiver:Cedar"]).run()
    assert "these bottles cannot tell Iris from Vetiver and Cedar together, which you hold likely" in words(app)
    assert "Every second combination" not in by_label(app.radio, "Mix").options


def test_a_change_is_asked_for_its_name_only_where_it_is_ticked(opened: Any, made: Scene) -> None:
    app = opened("separate")
    names = [one.label for one in app.text_input if one.label.startswith("What it is called in the findings")]
    assert len({*names}) == 3
    app.checkbox[0].uncheck().run()
    left = [one.label for one in app.text_input if one.label.startswith("What it is called in the findings")]
    assert left == names[1:]


def test_five_people_and_two_names_are_told_what_is_possible(opened: Any, notebook: Any, made: Scene) -> None:
    book.change_panelist(notebook, made.panelist_ids[0], active=False)
    app = opened("separate")
    by_label(app.button_group, "Changes").set_value("Typed").run()
    by_label(app.text_area, "Changes by name").set_value("more cedar; Cedar; +2\nless bergamot; Bergamot; -1").run()
    assert by_label(app.radio, "Mix").options == ["All combinations"]
    assert "this panel and these bottles only" in words(app)


@pytest.mark.parametrize(
    ("typed", "refused"),
    [
        ("more cedar; Oak; 2", "Line 1 must name a material of the trial book, and 'Oak' is none."),
        ("more cedar; Cedar; 2", "Changes must be 2 to 6, not 1: tick or type that many."),
        ("no cedar; Cedar; -9\nfig", "A change without amounts: no formulas and no weighing sheet are made."),
        ("no cedar; Cedar; -9\nfig; Iris; 1", "No cedar must take at most the 2 parts of Cedar that are there, not 9."),
        ("a:b; Cedar; 1\nfig; Iris; 1", "named without a colon"),
    ],
)
def test_what_does_not_stand_is_one_sentence_and_nothing_is_stored(
    opened: Any, notebook: Any, made: Scene, typed: str, refused: str
) -> None:
    before = book.trials(notebook, made.brief_id)
    app = opened("separate")
    by_label(app.button_group, "Changes").set_value("Typed").run()
    by_label(app.text_area, "Changes by name").set_value(typed).run()
    assert refused in words(app)
    assert book.trials(notebook, made.brief_id) == before


def test_an_empty_book_is_led_to_the_trial_book(opened: Any) -> None:
    assert "Begin with the trial book" in words(opened("separate"))
