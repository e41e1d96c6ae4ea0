"""Trial book, panel and plan as the conductor uses them, through the entry page.

What must hold: each bad input gets one clear sentence and nothing stored is changed; the main path leads from an
empty book to a sealed plan. Numbers shown are compared with the exact statistics, which have reference values of their
own in tests/reference.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import book
from evaluation.actions import plan as planning
from evaluation.actions.doors import CONDUCTOR, Visitor
from tests.scenes import Scene, scene

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def opened(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], AppTest]]:
    """Opens a page of a house with an in-memory notebook, as the conductor."""
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page(name: str) -> AppTest:
        app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        app.switch_page(f"{name}.py").run()
        assert not app.exception
        return app

    yield open_page
    house.put(None)


def said(app: AppTest, kind: str) -> list[str]:
    """The sentences of one kind on the page, free of the marks that keep typed text plain."""
    assert not app.exception, app.exception
    return [each.value.replace("\\", "") for each in getattr(app, kind)]


def by_label(widgets: Any, label: str) -> Any:
    found = [each for each in widgets if each.label == label]
    assert found, f"no {label!r} among {[each.label for each in widgets]}"
    return found[0]


def press(app: AppTest, label: str) -> AppTest:
    return by_label(app.button, label).click().run()


def fill(app: AppTest, **texts: str) -> None:
    for label, text in texts.items():
        by_label([*app.text_input, *app.text_area], label.replace("_", " ")).set_value(text)


@pytest.mark.parametrize("page", ["briefs", "panel", "plan"])
def test_every_page_opens_on_an_empty_notebook_and_teaches(opened: Any, page: str) -> None:
    app = opened(page)
    assert said(app, "title")
    assert said(app, "info")
    assert not said(app, "error")


# --- trial book -----------------------------------------------------------------------------------------------


def test_a_brief_and_its_trials_are_written_into_the_book(opened: Any, notebook: Any) -> None:
    app = opened("briefs")
    fill(app, Title="A dry garden", What_the_scent_must_be="Fig leaf after rain.")
    app = press(app, "Add brief")
    assert said(app, "success") == ["Brief “A dry garden” is in the book."]
    for label, strength in (("1", "15"), ("2", "12,5")):
        by_label(app.text_input, "Label, such as 7").set_value(label)
        by_label(app.text_input, "Strength of the smelling solution, % w/w").set_value(strength)
        app = press(app, "Add trial")
    (brief,) = book.briefs(notebook)
    one, two = book.trials(notebook, brief.id)
    assert (one.label, one.strength_percent, one.parent_id) == ("1", Decimal(15), None)
    assert (two.label, two.strength_percent, two.parent_id) == ("2", Decimal("12.5"), one.id)
    assert any("**Trial 2**, from trial 1" in each.value for each in app.markdown)


@pytest.mark.parametrize(
    ("label", "strength", "sentence"),
    [
        ("9", "strong", "Strength must be a number such as 15 or 12.5, not 'strong'."),
        ("9", "0", "Strength must be above 0 and at most 100 percent, not 0."),
        ("9", "101", "Strength must be above 0 and at most 100 percent, not 101."),
        ("", "15", "Label must not be empty."),
        ("8", "15", "Label must be new within the brief: there is a trial '8' already."),
    ],
)
def test_a_trial_that_does_not_stand_is_refused_and_not_stored(
    opened: Any, notebook: Any, label: str, strength: str, sentence: str
) -> None:
    made = scene(notebook)
    app = opened("briefs")
    by_label(app.text_input, "Label, such as 7").set_value(label)
    by_label(app.text_input, "Strength of the smelling solution, % w/w").set_value(strength)
    app = press(app, "Add trial")
    assert said(app, "error") == [sentence]
    assert len(book.trials(notebook, made.brief_id)) == 2


def test_a_brief_without_a_title_is_refused(opened: Any, notebook: Any) -> None:
    app = press(opened("briefs"), "Add brief")
    assert said(app, "error") == ["Title must not be empty."]
    assert book.briefs(notebook) == ()


def test_what_a_difference_comes_from_is_told_step_by_step(opened: Any, notebook: Any) -> None:
    """ "What is smelt apart comes from the change itself" stood over pairs two and four changes apart."""
    made = scene(notebook)
    ids = made.trials(3)
    made_on = {"mixed_on": date(2026, 9, 1), "diluted_on": date(2026, 10, 1), "batch": "1"}
    for trial_id, parent in zip(ids, (None, *ids), strict=False):
        book.change_trial(notebook, trial_id, parent_id=parent, strength_percent=Decimal(10), **made_on)
    app = opened("briefs")
    by_label(app.selectbox, "One trial").select_index(0)
    app = by_label(app.selectbox, "Another trial").select_index(2).run()
    (told,) = said(app, "success")
    assert "2 steps lie between the two, those that made trials 8 and 9" in told
    assert "from which of them is not known" in told
    app = by_label(app.selectbox, "Another trial").select_index(1).run()
    (told,) = said(app, "success")
    assert "One step lies between the two, the one that made trial 8" in told
    assert "all of it together" in told


def test_a_trial_is_corrected(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = opened("briefs")
    app.text_input(key=f"{made.trial_ids[0]} batch").set_value("B 12")
    app = press(app, "Save corrections")
    assert book.trial(notebook, made.trial_ids[0]).batch == "B 12"
    assert book.trial(notebook, made.trial_ids[0]).strength_percent == Decimal(10)


def test_comparing_says_what_else_could_be_smelt(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    book.change_trial(notebook, made.trial_ids[1], strength_percent=Decimal(12))
    warnings = said(opened("briefs"), "warning")
    assert any("10" in each and "12" in each and "can be smelt" in each for each in warnings)
    assert any("recorded" in each for each in warnings)  # no dates in the scene


# --- panel ----------------------------------------------------------------------------------------------------


def test_people_join_the_panel_and_can_be_set_inactive(opened: Any, notebook: Any) -> None:
    app = opened("panel")
    by_label(app.text_input, "Alias").set_value("Wren")
    app = press(app, "Add to the panel")
    assert [each.alias for each in book.panelists(notebook)] == ["Wren"]
    app = press(app, "Set inactive")
    assert book.panelists(notebook) == ()
    app = press(app, "Set active")
    assert len(book.panelists(notebook)) == 1


def test_the_panel_page_asks_for_no_health_details(opened: Any) -> None:
    assert "nothing about health" in said(opened("panel"), "info")[0]


@pytest.mark.parametrize(
    ("alias", "sentence"),
    [("Nose 3", "Alias must be new among active panelists: 'Nose 3' is taken."), (" ", "Alias must not be empty.")],
)
def test_an_alias_that_does_not_stand_is_refused(opened: Any, notebook: Any, alias: str, sentence: str) -> None:
    scene(notebook)
    app = opened("panel")
    by_label(app.text_input, "Alias").set_value(alias)
    app = press(app, "Add to the panel")
    assert said(app, "error") == [sentence]
    assert len(book.panelists(notebook, active_only=False)) == 8


# --- plan -----------------------------------------------------------------------------------------------------

FIRST_QUESTION = "**Is the difference plain to everyone?** (two finished, different trials)"
NOT_NOTICED = "I know that this session can never end in “not noticed”, whatever is answered."


SIZE = "Size that matters"


def begun(opened: Any, answer: int = 0) -> AppTest:
    """The plan page with its first question answered: 0 no or not sure, 1 yes."""
    app = opened("plan")
    first = by_label(app.radio, FIRST_QUESTION)
    return first.set_value(first.options[answer]).run()


def shown(app: AppTest) -> str:
    assert not app.exception, app.exception
    return "\n".join(each.value for each in app.markdown)


def sessions_of(notebook: Any, made: Scene) -> tuple[Any, ...]:
    return planning.sessions(notebook, made.brief_id)


def test_what_the_bench_would_refuse_is_told_before_sealing_in_the_unit_of_the_field(
    opened: Any, notebook: Any
) -> None:
    made = scene(notebook)
    app = begun(opened)
    by_label(app.text_input, "Strip ages in minutes").set_value("1").run()
    (told,) = [one.value.replace("\\", "") for one in app.warning if "timetable" in one.value]
    assert "This would do: strip ages in minutes: 2" in told
    for box in app.checkbox:
        if box.label == NOT_NOTICED:
            box.check()
    app.button(key="seal plan").click().run()
    assert any("kept by hand" in one.value for one in app.error)
    assert not [one for one in sessions_of(notebook, made) if one.state == "sealed"]
    next(one for one in app.checkbox if "kept by hand" in one.label).check()
    app.button(key="seal plan").click().run()
    assert [one.state for one in sessions_of(notebook, made)] == ["sealed"]


def test_nothing_else_is_asked_before_the_first_question(opened: Any, notebook: Any) -> None:
    scene(notebook)
    app = opened("plan")
    assert [each.label for each in app.radio] == [FIRST_QUESTION]
    assert by_label(app.radio, FIRST_QUESTION).value is None
    assert not app.text_input


def test_from_an_empty_book_to_a_sealed_plan(opened: Any, notebook: Any) -> None:
    made = scene(notebook, people=8)
    app = begun(opened)
    # triangle, 8 assessments, alpha .05: 6 right are needed (FAO V7180E, Appendix A, n = 8)
    assert "6 of 8 answers right are needed" in shown(app)
    by_label(app.checkbox, NOT_NOTICED).check()
    app = press(app, "Seal this plan")
    (session,) = sessions_of(notebook, made)
    assert session.state == "sealed"
    assert len(session.sealed_hash) == 64
    assert [each.value for each in app.code] == [session.sealed_hash]
    assert session.plan.confirmed == ("not noticed",)
    assert said(app, "success") == ["“Trial 7 against trial 8” is sealed."]
    with notebook.reading() as tx:
        assert tx.sittings.servings(session.id)


def test_sealing_without_the_confirmation_is_refused_and_keeps_nothing(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = press(begun(opened), "Seal this plan")
    assert said(app, "error") == ["Before sealing, confirm that this session can never end in: not noticed."]
    assert sessions_of(notebook, made) == ()


@pytest.mark.parametrize(
    ("label", "typed", "sentence"),
    [
        ("Alpha risk", "0", "Alpha must lie between 0 and 1, both excluded, not 0."),
        ("Alpha risk", "5 in 100", "Alpha must be a number such as 0.05, not '5 in 100'."),
        ("Beta risk", "1", "Beta must lie between 0 and 1, both excluded, not 1."),
        ("Share that matters (pd)", "1", "pd must lie between 0 and 1, both excluded, not 1."),
        ("Strip ages in minutes", "", "Strip ages must name one or more times in minutes, such as 5, 60, 360."),
        ("Strip ages in minutes", "0.1", "Strip age must be from 0.5 to 10080 minutes, not 0.1."),
        ("Tolerance, % of the age", "0", "Tolerance must be above 0 and at most 50 percent of the strip age, not 0."),
    ],
)
def test_a_bad_entry_gets_one_sentence_and_nothing_is_stored(
    opened: Any, notebook: Any, label: str, typed: str, sentence: str
) -> None:
    made = scene(notebook)
    app = begun(opened)
    if "pd" in label:
        app = by_label(app.radio, SIZE).set_value("share").run()
    app = by_label(app.text_input, label).set_value(typed).run()
    assert sentence in said(app, "warning")
    for button in ("Save draft", "Seal this plan"):
        app = press(app, button)
        assert said(app, "error") == [sentence]
    assert sessions_of(notebook, made) == ()


def test_a_trial_against_itself_is_refused(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    by_label(app.selectbox, "Second trial").set_value(made.trial_ids[0])
    app = press(app, "Save draft")
    (sentence,) = said(app, "error")
    assert sentence.endswith("a trial cannot be told from itself.")
    assert sessions_of(notebook, made) == ()


def test_an_empty_panel_is_refused(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    by_label(app.pills, "Panelists: tap to add or leave out").set_value([])
    app = press(app, "Seal this plan")
    assert said(app, "error") == ["Panel must have at least one person."]
    assert sessions_of(notebook, made) == ()


def test_a_panel_too_small_for_alpha_says_so_offers_better_and_cannot_be_sealed(opened: Any, notebook: Any) -> None:
    # two triangles by chance: (1/3)² = .111 > .05
    made = scene(notebook, people=2)
    app = begun(opened)
    assert any("2 answers can never reach alpha .05, even if all are right." in each for each in said(app, "error"))
    assert "Better designs" in shown(app)
    for box in app.checkbox:
        if box.label.startswith("I know"):
            box.check()
    app = press(app, "Seal this plan")
    assert any("neither of the verdicts" in each for each in said(app, "error"))
    assert sessions_of(notebook, made) == ()


def test_a_plain_difference_skips_to_preference_and_says_what_panels_need(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened, answer=1)
    text = shown(app)
    # the rules (DEVELOPERS.md), preferences: 6 of 6, 8 of 8, 9 of 10, 10 of 12; five can never reach .05
    assert "6 of 6, 8 of 8, 9 of 10, 10 of 12" in text
    assert "Five people can never reach .05" in text
    assert "Method" not in [each.label for each in app.radio]
    press(app, "Save draft")
    (session,) = sessions_of(notebook, made)
    assert (session.plan.method, session.plan.plain_difference, session.plan.replicates) == ("preference", True, 1)


def test_a_draft_is_saved_changed_and_removed(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = press(begun(opened), "Save draft")
    by_label(app.text_input, "Strip ages in minutes").set_value("5, 60")
    app = app.run()
    by_label(app.number_input, "Sets per panelist at each age").set_value(2)
    app = press(app, "Save draft")
    (draft,) = sessions_of(notebook, made)
    assert (draft.state, [age.seconds for age in draft.plan.ages], draft.plan.replicates) == ("draft", [300, 3600], 2)
    assert draft.plan.primary == 300
    app = press(app, "Remove draft")
    assert not app.exception
    assert sessions_of(notebook, made) == ()


def test_of_several_ages_the_first_is_primary_until_another_is_chosen(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    app = by_label(app.text_input, "Strip ages in minutes").set_value("5, 60, 360").run()
    app = press(app, "Save draft")
    assert sessions_of(notebook, made)[0].plan.primary == 300
    chooser = by_label(app.selectbox, "Primary age: gives the session its verdict")
    assert chooser.options[1] == "1 h"
    chooser.select_index(1)
    app = press(app, "Save draft")
    assert sessions_of(notebook, made)[0].plan.primary == 3600


def test_a_session_chosen_elsewhere_is_shown_with_its_own_brief(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    session = made.sealed()
    book.add_brief(notebook, "Night ferry")
    app = opened("panel")
    app.session_state["chosen brief"] = book.briefs(notebook)[1].id
    app.session_state["chosen session"] = session.id
    app.switch_page("plan.py").run()
    assert [each.value for each in app.code] == [session.sealed_hash]
    assert "First trial 7, second trial 8, on strips, 3 a set." in shown(app).replace("\\", "")


def test_a_tetrad_is_not_offered_without_the_size_up_to_which_it_finds_more(opened: Any, notebook: Any) -> None:
    from evaluation.deciding.claims import finer
    from evaluation.wording.of_claims import finer_words

    scene(notebook)
    offered = by_label(begun(opened).radio, "Method")
    notes = dict(zip(offered.options, offered.proto.captions, strict=True))
    found = finer("tetrad", "triangle")
    assert found is not None
    assert finer_words(found) in notes["Tetrad"]
    assert "up to differences that a triangle gets right in" in notes["Tetrad"]
    assert not any("smaller differences" in note for name, note in notes.items() if name != "Tetrad")


def test_a_named_quality_goes_into_the_plan(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    app = by_label(app.radio, "Method").set_value("2-afc").run()
    assert "The quality to compare must be named, such as fresh." in said(app, "warning")
    by_label(app.text_input, "Quality to compare, such as fresh").set_value("smokier")
    press(app, "Save draft")
    (draft,) = sessions_of(notebook, made)
    assert (draft.plan.method, draft.plan.descriptor, draft.plan.expected) == ("2-afc", "smokier", "second")


# --- plan: alone, looks, null sets, what other designs would find ---------------------------------------------

ALONE = "I prepare and smell alone"
LOOKS = "Look in between and stop early"


def captions(app: AppTest) -> str:
    return "\n".join(said(app, "caption"))


def test_a_plan_alone_is_made_and_sealed(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    assert "Your shuffle is the draw" not in captions(app)
    app = by_label(app.checkbox, ALONE).check().run()
    assert "orders are random, not balanced, and the blinding rests on your word" in captions(app)
    assert by_label(app.radio, "Method").options == ["Triangle", "Tetrad", "2-AFC", "3-AFC"]
    assert "Spare seats" not in [each.label for each in app.number_input]
    nulls = by_label(app.number_input, "Null sets per nose")
    assert nulls.value == 0
    assert "mixed with the others so that you do not know which it is" in captions(app)
    assert "From 3 on they can warn." in captions(app)
    way = by_label(app.radio, "How do you make the strips blind?")
    assert [each.split(":")[0] for each in way.options] == ["Vials", "Clips"]
    assert "12 sets in 3 sittings on 2 days, about 36 min to 1 h 31 min a day" in shown(app)
    app = way.set_value("clips").run()
    assert "Strip age must be at least 6 minutes with clips" in "\n".join(said(app, "warning")).replace("\\", "")
    app = by_label(app.radio, "How do you make the strips blind?").set_value("vials").run()
    # 8 of 12 triangles reach .05 (FAO V7180E, Appendix A, n = 12)
    assert "8 of 12 answers right are needed" in shown(app)
    assert "Your nose smells 36 strips in 12 sets." in shown(app)
    app = by_label(app.number_input, "Sets at each age").set_value(24).run()
    app = by_label(app.checkbox, LOOKS).check().run()
    assert by_label(app.selectbox, "Answers from look to look").options == ["4: 6 looks, the last after all 24 answers"]
    app = press(app, "Save draft")
    (draft,) = sessions_of(notebook, made)
    plan = draft.plan
    assert (plan.solo, plan.replicates, plan.look_every, plan.people, len(plan.seats)) == (True, 24, 4, 1, 1)
    assert "recognised" in plan.left_out
    assert plan.preparation == "vials"
    for tick in app.checkbox:
        if tick.label.startswith("I know that"):
            tick.check()
    app = press(app, "Seal this plan")
    assert sessions_of(notebook, made)[0].state == "sealed"
    assert "Looked at after every 4 answers, at most 24" in shown(app).replace("\\", "")


def test_looks_that_do_not_fit_are_said_and_not_kept(opened: Any, notebook: Any) -> None:
    scene(notebook)
    app = begun(opened)
    app = by_label(app.checkbox, ALONE).check().run()
    app = by_label(app.number_input, "Sets at each age").set_value(6).run()
    app = by_label(app.checkbox, LOOKS).check().run()
    assert "Looks need at least two whole sittings: plan a multiple of 4 sets, 8 or more." in said(app, "warning")
    app = by_label(app.text_input, "Strip ages in minutes").set_value("5, 60").run()
    assert LOOKS not in [each.label for each in app.checkbox]


def test_a_panel_with_looks_sees_their_exact_risks(opened: Any, notebook: Any) -> None:
    from evaluation.statistics import sequential_plan

    scene(notebook)
    app = by_label(begun(opened).radio, SIZE).set_value("share").run()
    by_label(app.text_input, "Share that matters (pd)").set_value("0.6")
    app = by_label(app.checkbox, LOOKS).check().run()
    assert by_label(app.selectbox, "Answers from look to look").value == 1
    exact = sequential_plan("triangle", 0.05, 0.05, 0.6, 1, 8)
    assert f"alpha {exact.alpha_exact:.3f}".replace("0.", ".") in shown(app)
    assert f"Expected: {exact.expected_at_null:.1f} answers if everybody only guesses" in shown(app)
    assert "Afterwards no p-value and no interval of the share are given" in shown(app)


def test_a_null_set_is_offered_and_can_be_declined(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    nulls = by_label(app.number_input, "Null sets per nose")
    assert nulls.value == 1
    assert "colour, dose, age or wet length" in captions(app)
    # 8 null answers: 6 right or more (FAO V7180E, Appendix A, n = 8)
    assert "Null sets: of 8 answers to them, 6 or more right warn" in shown(app)
    app = nulls.set_value(0).run()
    assert "Null sets: of" not in shown(app)
    press(app, "Save draft")
    assert sessions_of(notebook, made)[0].plan.null_sets == 0


def test_too_many_sets_offer_no_null_set(opened: Any, notebook: Any) -> None:
    scene(notebook)
    app = begun(opened)
    app = by_label(app.number_input, "Sets per panelist at each age").set_value(4).run()
    assert by_label(app.number_input, "Null sets per nose").value == 0


def test_the_prior_is_sealed_with_the_plan(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened)
    assert "It never makes the verdict" in shown(app)
    by_label(app.radio, "What do you believe before anybody smells?").set_value("hopeful")
    press(app, "Save draft")
    assert sessions_of(notebook, made)[0].plan.design.prior == "hopeful"


def test_other_designs_are_shown_with_one_sentence_and_a_table(opened: Any, notebook: Any) -> None:
    scene(notebook)
    app = begun(opened)
    assert "What other designs would find" in [each.label for each in app.expander]
    text = shown(app).replace("\N{NO-BREAK SPACE}", " ")
    assert "take 2-AFC (16 answers, 6 strips a nose) if you can name a quality" in text
    assert "else the tetrad (23 answers, 16 strips a nose); the triangle would take 73 answers, 33 strips" in text
    assert "| **Triangle** | 19.3 % | 6 | 33 |" in text
    assert "one from each of 73 people, which speaks for people like this panel, if picked from them by lot" in text
    assert "or 10 sets and 1 null set from each of these 8 people (33 strips a nose in 3 sittings)" in text
    assert "7 answers would find it with power 28.5 %, the 8 planned with 19.3 %" in captions(app).replace(
        "\N{NO-BREAK SPACE}", " "
    )


def test_a_preference_has_none_of_these(opened: Any, notebook: Any) -> None:
    scene(notebook)
    app = begun(opened, 1)
    assert not {ALONE, LOOKS} & {each.label for each in app.checkbox}
    assert "Null sets per nose" not in [each.label for each in app.number_input]
    assert not {"What other designs would find", "Second opinion"} & {each.label for each in app.expander}


def test_trials_that_differ_in_strength_are_warned_about_while_planning(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    book.change_trial(notebook, made.trial_ids[1], strength_percent=Decimal(12))
    assert any("can be smelt" in each for each in said(begun(opened), "warning"))
