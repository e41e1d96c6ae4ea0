"""Formulas on the page Trial book, through the entry page: entered in six fields, refused by cell, compared, weighed."""

from __future__ import annotations

from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from evaluation.actions import book, formulas, skin
from evaluation.formulas import read_lines
from tests.pages.test_conductor_pages import FIRST_QUESTION, by_label, opened, press, said

__all__ = ["opened"]  # a fixture of the page tests

TEXT = "Fig leaf base; 4\nCedar oil; 6; 10; L7; Wood\nVetiver oil; 2;;;Wood\nCarrier; 88"


def words(app: AppTest) -> str:
    return "\n".join(
        said(app, kind)[n]
        for kind in ("markdown", "caption", "info", "warning", "error", "success")
        for n in range(len(said(app, kind)))
    )


def at(app: AppTest, part: str) -> AppTest:
    """The trial book with one of its parts open, which is drawn only then."""
    app.session_state["part of the trial book"] = part
    return app.run()


def pasted(app: AppTest, text: str, out_of: str = "", new: bool = True) -> AppTest:
    by_label(app.text_area, "Formula, pasted or typed").set_value(text)
    by_label(app.text_input, "All parts together make").set_value(out_of)
    box = by_label(app.checkbox, "Names that are new are new materials")
    (box.check if new else box.uncheck)()
    return press(app, "Save formula")


@pytest.fixture
def trials(notebook: Any) -> Any:
    brief = book.add_brief(notebook, "Salt and fig")
    first = book.add_trial(notebook, brief.id, "7")
    return first, book.add_trial(notebook, brief.id, "8", first.id)


def test_a_formula_is_pasted_and_told(opened: Any, notebook: Any, trials: Any) -> None:
    app = at(opened("briefs"), "Formula")
    app = pasted(app, TEXT, "100", new=False)
    assert "are not among the materials: correct the name" in words(app)
    assert skin.materials(notebook) == ()
    app = pasted(app, TEXT.replace("; 88", "; 8x"), "100")
    assert "Line 4, column 2 (parts) must be a number" in words(app)
    assert formulas.formula(notebook, trials[1].id) is None
    app = pasted(app, TEXT, "100")
    assert "4 lines, 100 of 100 parts; active matter 94.6 %" in words(app)  # by hand: 4 + 0.6 + 2 + 88
    assert formulas.formula(notebook, trials[1].id) is not None


def test_a_trial_with_one_change_takes_six_fields_at_most(opened: Any, notebook: Any, trials: Any) -> None:
    """Label, what it is made from (offered), the text of the formula with one number changed: three are touched."""
    formulas.write(notebook, trials[1].id, read_lines(TEXT), new_materials=True)
    app, touched = at(opened("briefs"), "Formula"), 0
    by_label(app.text_input, "Label, such as 7").set_value("9")
    app, touched = press(app, "Add trial"), touched + 1
    assert "Copied from trial 8 to start with" in words(app)
    app = by_label(app.button_group, "Entered as").set_value("Paste").run()
    touched += 1
    box = by_label(app.text_area, "Formula, pasted or typed")
    box.set_value(box.value.replace("Fig leaf base; 4", "Fig leaf base; 6"))
    app, touched = press(app, "Save formula"), touched + 1
    assert touched <= 6
    nine = book.trials(notebook, trials[0].brief_id)[-1]
    found = formulas.between(notebook, trials[1].id, nine.id)
    assert found is not None
    assert [one.ratio for one in found.changes] == [1.5]
    assert "Trial 8 → trial 9: One change" in words(app)
    assert "Fig leaf base raised to 1.5 times: 4 to 6 parts." in words(app)


def test_compare_two_shows_the_change_between_any(opened: Any, notebook: Any, trials: Any) -> None:
    app = opened("briefs")
    assert "What was changed is not told" in words(app)
    formulas.write(notebook, trials[0].id, read_lines(TEXT), new_materials=True)
    formulas.write(notebook, trials[1].id, read_lines(TEXT.replace("6; 10", "12; 10").replace("; 2;", "; 4;")))
    told = words(opened("briefs"))
    assert "Accord Wood (Cedar oil and Vetiver oil) raised to 2 times: 8 to 16 parts." in told
    book.add_panelist(notebook, "Heron")
    app = opened("plan")
    first = by_label(app.radio, FIRST_QUESTION)
    app = first.set_value(first.options[1]).run()
    for label, one in zip(("First trial", "Second trial"), trials, strict=True):
        app = by_label(app.selectbox, label).set_value(one.id).run()
    told = words(app)
    assert "Accord Wood (Cedar oil and Vetiver oil) raised to 2 times" in told


def test_a_batch_sheet_says_which_line_the_scale_moves_too_far(opened: Any, notebook: Any, trials: Any) -> None:
    formulas.write(notebook, trials[1].id, read_lines(TEXT), new_materials=True)
    app = at(opened("briefs"), "Formula")
    assert "too far" not in words(app)
    by_label(app.text_input, "Batch, g").set_value("0,1")
    app = app.run()
    assert "The steps of this scale move" not in words(app)  # 2 mg on a scale of 1 mg: exact
    by_label(app.text_input, "Batch, g").set_value("0.11")
    app = app.run()
    assert "The steps of this scale move" in words(app)
    by_label(app.text_input, "Batch, g").set_value("nothing")
    assert "Batch must be a number" in words(app.run())


def test_a_formula_under_the_wrong_trial_is_taken_off(opened: Any, notebook: Any, trials: Any) -> None:
    formulas.write(notebook, trials[1].id, read_lines(TEXT), new_materials=True)
    app = press(at(opened("briefs"), "Formula"), "Take it off")
    assert "“Yes, it is to go” first" in words(app)
    by_label(app.checkbox, "Yes, it is to go").check()
    app = press(app, "Take it off")
    assert "Trial 8 has no formula now." in words(app)
    assert formulas.formula(notebook, trials[1].id) is None


def test_solvents_are_marked_where_they_stand(opened: Any, notebook: Any, trials: Any) -> None:
    formulas.write(notebook, trials[1].id, read_lines(TEXT), new_materials=True)
    app = at(opened("briefs"), "Formula")
    carrier = next(one for one in skin.materials(notebook) if one.name == "Carrier")
    by_label(app.multiselect, "Solvents and carriers").set_value([carrier.id])
    app = press(app, "Save solvents")
    assert next(one for one in skin.materials(notebook) if one.name == "Carrier").solvent
    assert "active matter 6.6 %" in words(app)


def test_what_a_formula_is_entered_with_is_drawn_once_its_part_is_open(opened: Any, notebook: Any, trials: Any) -> None:
    """Its table is the dearest thing of the page: drawn unasked it made the trial book slow."""
    app = opened("briefs")
    labels = [one.label for one in app.button]
    assert "Add trial" in labels
    assert not {"Save formula", "Add bottle"} & set(labels)
    assert "Save formula" in [one.label for one in at(app, "Formula").button]
