"""Two bottles of one trial on the page Plan, through the entry page: the plan asks which difference is meant."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from evaluation.actions import bottle_book, findings
from evaluation.actions import plan as planning
from evaluation.wording.of_bottles import OF_BOTTLES
from tests.actions.test_decide import triangles
from tests.pages.test_conductor_pages import begun, by_label, opened, press, said, sessions_of
from tests.scenes import scene

__all__ = ["opened"]  # a fixture of the page tests
ASKED = "Which difference between the bottles of one trial is meant?"


def test_the_plan_asks_which_difference_is_meant_and_warns_of_every_other(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    first = made.trial_ids[0]
    bottle_book.change_bottle(notebook, first, stored="cold", mixed_on=date(2026, 1, 1))
    known = bottle_book.bottles(notebook, first)[0]
    same = {"strength_percent": known.strength_percent, "diluted_on": known.diluted_on, "batch": known.batch}
    second = bottle_book.add_bottle(notebook, first, "2", stored="warm", mixed_on=date(2024, 1, 1), **same)
    app = begun(opened)
    assert ASKED not in [one.label for one in app.radio]
    app = by_label(app.selectbox, "First trial").set_value(first).run()
    app = by_label(app.selectbox, "Second trial").set_value(second.id).run()
    assert by_label(app.radio, ASKED).value is None
    app = press(app, "Save draft")
    assert "The difference meant must be chosen where two bottles of one trial are compared." in said(app, "error")
    assert sessions_of(notebook, made) == ()
    app = by_label(app.radio, ASKED).set_value("stored").run()
    warned = "\n".join(said(app, "warning"))
    assert "They were mixed on different days" in warned
    assert "They were kept differently" not in warned
    app = press(app, "Save draft")
    (draft,) = sessions_of(notebook, made)
    assert (draft.plan.trial_ids, draft.plan.meant) == ((first, second.id), "stored")
    assert by_label(app.radio, ASKED).value == "stored"


def test_bottles_worn_at_two_strengths_are_warned_of_before_sealing(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    first = made.trial_ids[0]
    bottle_book.change_bottle(notebook, first, stored="cold", skin_strength_percent=Decimal(10))
    second = bottle_book.add_bottle(notebook, first, "2", stored="warm", strength_percent=Decimal(10)).id
    bottle_book.change_bottle(notebook, second, skin_strength_percent=Decimal(15))
    draft = planning.add_draft(notebook, made.plan(second_trial_id=second, meant="stored", medium="skin"))
    app = opened("panel")
    app.session_state["chosen session"] = draft.id
    app.switch_page("plan.py").run()
    warned = "\n".join(said(app, "warning"))
    assert "Trials 7 and 7 bottle 2 are put on skin at different strengths: that alone can be smelt." in warned
    meant = replace(draft.plan, meant="strength")
    assert planning.worn_unlike(notebook, meant) == planning.worn_unlike(notebook, made.plan()) == ()


def test_findings_of_two_bottles_say_what_they_decide_and_what_else_was_smelt(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    first = made.trial_ids[0]
    bottle_book.change_bottle(notebook, first, stored="cold", batch="B1")
    second = bottle_book.add_bottle(notebook, first, "2", stored="warm", batch="B2").id
    session = triangles(made, second_trial_id=second, meant="stored")
    findings.open_session(notebook, session.id)
    app = opened("panel")
    app.session_state["chosen session"] = session.id
    app.switch_page("findings.py").run()
    warned = "\n".join(said(app, "warning"))
    assert OF_BOTTLES in warned
    assert "They come from different batches (B1 and B2)" in warned
    assert "They were kept differently" not in warned
    app.switch_page("decide.py").run()
    told = "\n".join(said(app, "markdown"))
    assert OF_BOTTLES in told
    assert "trials 7 bottle 1 and 7 bottle 2" in told
