"""Bottles on the page Trial book, through the entry page."""

from __future__ import annotations

from typing import Any

from evaluation.actions import book, bottle_book
from tests.pages.test_conductor_pages import by_label, opened, press
from tests.pages.test_formula_tab import at, trials, words

__all__ = ["opened", "trials"]  # fixtures of the page tests


def test_a_bottle_is_added_shown_and_corrected(opened: Any, notebook: Any, trials: Any) -> None:
    app = at(opened("briefs"), "Bottles")
    assert "Bottle 1" in words(app)
    by_label(app.text_input, "Mark on the bottle").set_value("1")
    app = press(app, "Add bottle")
    assert "Mark must be new among the bottles of the trial, and '1' is taken." in words(app)
    assert len(bottle_book.bottles(notebook, trials[1].id)) == 1
    by_label(app.text_input, "Mark on the bottle").set_value("2")
    by_label(app.selectbox, "Kept").set_value("warm")
    by_label(app.text_input, "Lots, suppliers").set_value("bergamot lot 12")
    app = press(app, "Add bottle")
    told = words(app)
    assert "Bottle 2 of trial 8 is in the book." in told
    assert "lots: bergamot lot 12 · kept in the warm" in told
    added = bottle_book.bottles(notebook, trials[1].id)[1]
    app = by_label(app.selectbox, "Bottle").set_value(added.id).run()
    app.selectbox(f"{added.id} kept").set_value("window")
    app = press(app, "Save bottle")
    assert "Trial 8, bottle 2, is corrected." in words(app)
    assert bottle_book.bottles(notebook, trials[1].id)[1].stored == "window"
    assert [one.label for one in book.trials(notebook, trials[0].brief_id)] == ["7", "8"]
