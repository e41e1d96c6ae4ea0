"""The page Decision as the conductor uses it: nothing before opening, a proposal with its reason, a record that stays."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import book, decide, findings, series_sittings
from evaluation.actions import plan as planning
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.wording.of_decisions import LEAD_IS
from tests.actions.test_decide import preferred, triangles
from tests.scenes import scene
from tests.wording.test_trial_names import LABELS, bare

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def opened(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], AppTest]]:
    """Opens the page of a house with an in-memory notebook, as the conductor."""
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page() -> AppTest:
        app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        app.switch_page("decide.py").run()
        assert not app.exception
        return app

    yield open_page
    house.put(None)


def shown(app: AppTest) -> str:
    assert not app.exception, app.exception
    kinds = [*app.markdown, *app.error, *app.success, *app.caption, *app.info]
    return "\n".join(each.value for each in kinds).replace("\\", "")


def bare_label(widget: Any) -> str:
    return str(widget.label).replace("\\", "")


def by(widgets: Any, label: str) -> Any:
    found = [each for each in widgets if each.label == label]
    assert found, f"no {label!r} among {[each.label for each in widgets]}"
    return found[0]


def write(app: AppTest, trial_id: str | None, word: str | None, reason: str) -> AppTest:
    if word is not None:
        by(app.radio, "Decision").set_value(word)
    if trial_id is not None:
        by(app.selectbox, "Trial").set_value(trial_id)
    by(app.text_area, "Reason").set_value(reason)
    return by(app.button, "Write decision").click().run()


def test_without_a_brief_the_page_says_where_to_begin(opened: Any) -> None:
    assert "Begin with the trial book." in shown(opened())


def test_before_opening_only_that_a_session_waits_is_told(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    bare = shown(opened())
    assert "Nothing opened yet" in bare
    triangles(made)
    told = shown(opened())
    assert "Sealed and not opened yet, and no part of this: 1." in told
    new = {line for line in told.splitlines() if line not in bare.splitlines()}
    assert all("not opened yet" in line for line in new if line.strip()), new


def test_the_proposal_its_reason_and_every_session_are_shown(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    for session in (triangles(made), preferred(made)):
        findings.open_session(notebook, session.id)
    told = shown(opened())
    assert "in 2 opened sessions: against trial 7, noticed, preferred by 8 of 8 people" in told
    assert "What would change it:" in told
    assert "Each session stands by itself" in told
    assert "8 of 8 people for trial 8, 0 for trial 7" in told


def test_a_decision_is_written_with_its_evidence_and_superseded(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = write(opened(), made.trial_ids[1], "smell again", "nobody smelt it")
    assert "1. Smell again trial 8" in shown(app)
    first = decide.record(notebook, made.brief_id).decisions[0]
    findings.open_session(notebook, preferred(made).id)
    app = opened()
    by(app.selectbox, "Takes the place of").set_value(first.id)
    app = write(app, made.trial_ids[1], "keep", "all prefer it")
    told = shown(app)
    assert "~~1. Smell again trial 8~~ superseded by 2" in told
    assert "Decided: keep" in told
    record = decide.record(notebook, made.brief_id)
    assert [one.reason for one in record.decisions] == ["nobody smelt it", "all prefer it"]
    assert [len(decide.as_it_stood(one).sessions) for one in record.decisions] == [0, 1]


def test_a_lead_is_explained_and_kept_by_a_person_only(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, preferred(made).id)
    told = shown(opened())
    assert "Lead: trial 8, found among 1 comparison of two trials in 1 opened session" in told
    assert LEAD_IS in told
    assert "Keep" not in told
    told = shown(write(opened(), made.trial_ids[1], "keep", "it is what the brief asks for"))
    assert told.index("1. Keep trial 8") < told.index("Lead: trial 8")  # what was decided comes first now
    assert "it is what the brief asks for" in told


@pytest.mark.parametrize("page", ["decide.py", "findings.py", "briefs.py"])
def test_no_sentence_of_a_page_names_a_trial_by_its_bare_label(opened: Any, notebook: Any, page: str) -> None:
    made = scene(notebook)
    for trial_id, label in zip(made.trial_ids, LABELS, strict=False):
        book.change_trial(notebook, trial_id, label=label)
    findings.open_session(notebook, preferred(made).id)
    decide.decide(notebook, made.brief_id, made.trial_ids[0], "drop", "nobody wants it")
    app = opened()
    app.switch_page(page).run()
    drawn = [re.sub('<span class="mo-label[^>]*>[^<]*</span>', "|", one.proto.body) for one in app.get("html")]
    told = [*shown(app).splitlines(), *(re.sub("<[^>]*>", "|", one) for one in drawn)]  # a mark stands alone, no word
    assert bare(line.replace("*", "") for line in told) == []
    assert any(f"trial {LABELS[1]}" in line.lower() for line in told)


@pytest.mark.parametrize(
    ("trial", "word", "reason", "said"),
    [
        (True, "keep", "  ", "Reason must not be empty"),
        (True, None, "liked", "Choose a decision and the trial"),
        (False, "keep", "liked", "Choose a decision and the trial"),
    ],
)
def test_what_is_missing_is_said_and_nothing_is_written(
    opened: Any, notebook: Any, trial: bool, word: str | None, reason: str, said: str
) -> None:
    made = scene(notebook)
    app = write(opened(), made.trial_ids[1] if trial else None, word, reason)
    assert said in shown(app)
    assert decide.record(notebook, made.brief_id).decisions == ()


# --- the next smelling by its worth -----------------------------------------------------------------------------------


def test_pairs_for_tonight_are_proposed_and_one_press_fills_a_plan(opened: Any, notebook: Any) -> None:
    made = scene(notebook, people=3)
    trials = made.trials(4)
    app = opened()
    told = shown(app)
    assert "No preference was opened yet" in told
    assert "never a verdict" in told
    assert "3 noses, 6 pairs each: 36 strips, about 24 minutes" in told
    by(app.number_input, "Strips a nose").set_value(4).run()
    by(app.multiselect, "Who is there tonight").set_value(list(made.panelist_ids[:2])).run()
    assert "2 noses, 2 pairs each: 8 strips, about 6 minutes" in shown(app)
    by(app.button, "Plan these pairs").click().run()
    [draft] = planning.sessions(notebook, made.brief_id)
    assert (draft.state, draft.plan.method, draft.plan.people) == ("draft", "round", 2)
    assert draft.plan.design.asked_seed > 0
    assert {*draft.plan.trial_ids} <= {*trials}
    assert "for a search and not for a test" in app.warning[-1].value
    by(app.checkbox, "Ask the proposed pairs, 2 each").uncheck().run()
    assert not [one for one in app.warning if "for a search" in one.value]


def test_with_one_trial_or_nobody_there_nothing_is_proposed(opened: Any, notebook: Any) -> None:
    lonely = book.add_brief(notebook, "A wet garden")
    book.add_trial(notebook, lonely.id, "1")
    made = scene(notebook, people=2)
    app = opened()
    by(app.selectbox, "Brief").set_value(made.brief_id).run()
    by(app.multiselect, "Who is there tonight").set_value([]).run()
    assert "People who are there tonight must be one or more." in shown(app)
    assert not [one for one in app.button if one.label == "Plan these pairs"]
    by(app.selectbox, "Brief").set_value(lonely.id).run()
    assert not app.multiselect


def test_a_final_is_offered_for_the_lead_of_the_decision_page(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    made.trials(3)  # a newer trial, which would come first else
    findings.open_session(notebook, preferred(made).id)
    app = opened()
    app.switch_page("decide.py").run()
    app.switch_page("series.py").run()
    held = next(one for one in app.selectbox if one.label == "The trial it is held for")
    against = next(one for one in app.selectbox if one.label == "Against the one the brief stands at")
    assert (held.value, against.value) == (made.trial_ids[1], made.trial_ids[0])
    assert by(app.button, "Seal this final").disabled
    tick = "Sealed, it counts at once: unless it ends in keep, the next final needs {} to 1 instead of {} to 1."
    (meant,) = [one for one in app.checkbox if tick.format(125, 25) in bare_label(one)]
    meant.check().run()
    by(app.button, "Seal this final").click().run()
    (sealed,) = series_sittings.series_of(notebook, made.brief_id)
    assert sealed.sealed.series.trial_ids == made.trial_ids
    assert "Nothing opened yet" in shown(app)
    told = "\n".join(one.value for one in app.warning).replace("\\", "")
    assert "1 still running. Sealed now, it would need 125 to 1." in told
    assert "Final 1 (trial 8 against trial 7) still runs: 0 of 8 have voted." in told
    assert [one for one in app.checkbox if tick.format(625, 125) in bare_label(one)]
    assert by(app.button, "Seal this final").disabled  # the next one is asked for anew
    told = shown(opened())
    assert "Final 1 (trial 8 against trial 7) is sealed and waits: 0 of 8 have voted. Seal its next sitting" in told
    assert "hold a final about" not in told


def test_where_no_trial_leads_a_final_begins_with_none_and_what_nobody_smelt_is_last(
    opened: Any, notebook: Any
) -> None:
    made = scene(notebook)
    newest = book.add_trial(notebook, made.brief_id, "0")
    triangles(made)
    app = opened()
    app.switch_page("series.py").run()
    held = by(app.selectbox, "The trial it is held for")
    assert held.value is None
    assert held.options[-1] == "trial 0"
    assert not [one for one in app.button if one.label == "Seal this final"]
    held.set_value(newest.id).run()
    assert by(app.button, "Seal this final").disabled
