"""The lineage of a brief out of a notebook: what is opened, sealed and decided, whatever bottles were smelt."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import update

from evaluation.actions import book, decide, descent, findings, formulas
from evaluation.deciding.lineages import SEALED
from evaluation.formulas import read_lines
from evaluation.report import composing, export, web_page
from evaluation.store.rows import heads
from evaluation.wording import of_lineages
from tests.actions.test_bottles_compared import bottled
from tests.actions.test_decide import preferred, triangles
from tests.scenes import scene


def test_a_lineage_is_read_from_the_book_its_sessions_and_its_record(notebook: Any) -> None:
    made = scene(notebook)
    seven, eight = made.trial_ids
    nine = book.add_trial(notebook, made.brief_id, "9", seven, "drier").id
    bare = descent.of_brief(notebook, made.brief_id)
    assert [one.trial_id for one in bare.places] == [seven, eight, nine]
    assert of_lineages.list_lines(bare, eight) == ("Vetiver 2 to 3.", "Not smelt.")
    session = preferred(made)
    assert of_lineages.list_lines(descent.of_brief(notebook, made.brief_id), eight)[1] == "Sealed, not opened yet."
    findings.open_session(notebook, session.id)
    found = descent.of_brief(notebook, made.brief_id)
    told = "Trial 8 preferred at 5 min; trial 8 held nearer the brief at 5 min"
    assert [one.words for one in of_lineages.heard(found.steps[eight], found.evidence)] == [told]
    assert (found.lead, found.decided) == (eight, {})
    for trial_id, text in ((seven, "Fig; 4\nCedar; 2"), (eight, "Fig; 6\nCedar; 2")):
        formulas.write(notebook, trial_id, read_lines(text), new_materials=True)
    decide.decide(notebook, made.brief_id, eight, "keep", "it is what was asked for")
    found = descent.of_brief(notebook, made.brief_id)
    assert of_lineages.change_words(found.steps[eight], found.evidence) == "Fig raised to 1.5 times"
    assert of_lineages.decided_words(found, eight) == "Decided: keep"
    assert found.steps[nine].change is None


def test_a_session_of_two_trials_is_beside_the_tree_where_neither_was_made_from_the_other(notebook: Any) -> None:
    made = scene(notebook)
    nine = book.add_trial(notebook, made.brief_id, "9", made.trial_ids[0]).id
    made.sealed(method="preference", confirmed=(), first_trial_id=nine, title="9 against 8")
    found = descent.of_brief(notebook, made.brief_id)
    assert [{one.first_id, one.second_id} for one in found.besides] == [{made.trial_ids[1], nine}]
    assert of_lineages.beside_lines(found) == ("Trials 8 and 9: Sealed, not opened yet.",)


def test_formulas_read_together_are_those_read_one_by_one(notebook: Any) -> None:
    made = scene(notebook)
    third = made.trials(3)[2]
    texts = ("Wood; 20;;;Shed\nShed; 30\nCedar; 1; 10; L7;Wood\nMusk; 2,5;;;Shed", "Musk; 1\nCedar; 2; 50")
    for trial_id, text in zip(made.trial_ids, texts, strict=True):
        formulas.write(notebook, trial_id, read_lines(text), new_materials=True)
    together = formulas.of_trials(notebook, [*made.trial_ids, third, "no such trial"])
    assert together == {one: formulas.formula(notebook, one) for one in made.trial_ids}


def test_a_further_bottle_speaks_for_its_trial_and_brings_its_formula_into_a_ticked_file(notebook: Any) -> None:
    made = scene(notebook)
    seven, eight = made.trial_ids
    for trial_id, text in ((seven, "Fig; 4\nCedar; 2"), (eight, "Fig; 6\nCedar; 2")):
        formulas.write(notebook, trial_id, read_lines(text), new_materials=True)
    session = triangles(made, first_trial_id=bottled(made, 0, batch="second"))
    assert descent.of_brief(notebook, made.brief_id).steps[eight].ahead == SEALED
    findings.open_session(notebook, session.id)
    found = descent.of_brief(notebook, made.brief_id)
    assert [one.words for one in of_lineages.heard(found.steps[eight], found.evidence)] == ["Noticed at 5 min"]
    assert found.besides == ()
    page = web_page.page(composing.report(notebook, session.id, formulas=True))
    assert b"Fig raised to 1.5 times" in page
    with export.opened(export.export(notebook, session.id, formulas=True)) as copy:
        assert formulas.of_trials(copy.notebook, [seven, eight]).keys() == {seven, eight}
        assert web_page.page(composing.report(copy.notebook, session.id, formulas=True)) == page


def test_what_was_opened_is_found_once_and_again_when_something_went_on(
    notebook: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each change shows at once: a trial more, a session sealed, one opened."""
    made, looked = scene(notebook), []
    found_anew = decide.evidence
    monkeypatch.setattr(decide, "evidence", lambda *asked: looked.append(asked) or found_anew(*asked))
    first = descent.of_brief(notebook, made.brief_id)
    assert descent.of_brief(notebook, made.brief_id) == first
    assert len(looked) == 1
    book.add_trial(notebook, made.brief_id, "9", made.trial_ids[0])
    assert len(descent.of_brief(notebook, made.brief_id).places) == 3
    session = preferred(made)
    assert descent.of_brief(notebook, made.brief_id).steps[made.trial_ids[1]].ahead == SEALED
    findings.open_session(notebook, session.id)
    for _ in range(3):
        assert descent.of_brief(notebook, made.brief_id).lead == made.trial_ids[1]
    assert len(looked) == 4
    decide.decide(notebook, made.brief_id, made.trial_ids[1], "drop", "too dry")
    assert descent.of_brief(notebook, made.brief_id).decided == {made.trial_ids[1]: "drop"}


def test_a_session_opened_by_a_clock_ahead_of_ours_shows_as_soon_as_ours_comes_there(notebook: Any, clock: Any) -> None:
    """Two processes on one store: what was found while theirs was ahead must not be kept."""
    made = scene(notebook)
    session = preferred(made)
    clock.forward(minutes=2)
    findings.open_session(notebook, session.id)
    clock.forward(minutes=-1)
    assert descent.of_brief(notebook, made.brief_id).lead == ""
    clock.forward(minutes=1)
    assert descent.of_brief(notebook, made.brief_id).lead == made.trial_ids[1]


def test_a_log_as_long_as_another_with_another_end_is_read_anew(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A copy that was restored may go on otherwise, to as many records."""
    made, looked = scene(notebook), []
    session = preferred(made)
    findings.open_session(notebook, session.id)
    found_anew = decide.evidence
    monkeypatch.setattr(decide, "evidence", lambda *asked: looked.append(asked) or found_anew(*asked))
    for _ in range(2):
        descent.of_brief(notebook, made.brief_id)
    with notebook.writing() as tx:
        tx._desk.connection.execute(update(heads).where(heads.c.session_id == session.id).values(hash="f" * 64))
    descent.of_brief(notebook, made.brief_id)
    assert len(looked) == 2
