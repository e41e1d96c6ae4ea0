"""Trial book and panel (evaluation/actions/book.py)."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import book
from evaluation.errors import ArgumentError, NotFound, StateError
from tests.scenes import scene


def test_what_is_written_is_read_back(notebook: Any) -> None:
    brief = book.add_brief(notebook, "  A dry garden ", "Fig leaf after rain.")
    seven = book.add_trial(notebook, brief.id, "7", None, "", Decimal("10"), date(2026, 9, 1), date(2026, 9, 2), "b1")
    eight = book.add_trial(notebook, brief.id, "8", seven.id, "vetiver 2 to 3")
    ana = book.add_panelist(notebook, " Ana ", "left-handed")
    assert brief.title == "A dry garden"
    assert book.briefs(notebook) == (brief,)
    assert book.brief(notebook, brief.id) == brief
    assert book.trials(notebook, brief.id) == (seven, eight)
    assert book.trial(notebook, eight.id).parent_id == seven.id
    assert book.panelists(notebook) == (ana,)
    assert ana.alias == "Ana"


def test_each_thing_gets_an_id_of_its_own(notebook: Any) -> None:
    made = [book.add_panelist(notebook, alias).id for alias in ("Ana", "Bo", "Cleo")]
    assert len(set(made)) == 3
    assert not any(
        name in one for one in made for name in ("Ana", "Bo", "Cleo")
    )  # sealed records hold the id: it must not name anybody


def test_a_trial_is_corrected_in_place(notebook: Any) -> None:
    brief = book.add_brief(notebook, "Brief")
    seven = book.add_trial(notebook, brief.id, "7")
    changed = book.change_trial(notebook, seven.id, strength_percent=Decimal(12), batch="b2")
    assert book.trials(notebook, brief.id) == (changed,)
    assert (changed.id, changed.label, changed.batch) == (seven.id, "7", "b2")


def test_a_correction_that_cannot_be_changes_nothing(notebook: Any) -> None:
    brief = book.add_brief(notebook, "Brief")
    seven = book.add_trial(notebook, brief.id, "7")
    with pytest.raises(ArgumentError, match="strength must be above 0"):
        book.change_trial(notebook, seven.id, strength_percent=Decimal(0))
    assert book.trial(notebook, seven.id) == seven


def test_parents_are_trials_of_the_same_brief(notebook: Any) -> None:
    one, other = book.add_brief(notebook, "One"), book.add_brief(notebook, "Other")
    stranger = book.add_trial(notebook, other.id, "3")
    with pytest.raises(ArgumentError, match="parent must be a trial of the same brief, and '3' is not"):
        book.add_trial(notebook, one.id, "7", stranger.id)
    assert book.trials(notebook, one.id) == ()
    with pytest.raises(NotFound):
        book.add_trial(notebook, one.id, "7", "nobody")


def test_a_trial_never_descends_from_its_own_descendant(notebook: Any) -> None:
    brief = book.add_brief(notebook, "Brief")
    first = book.add_trial(notebook, brief.id, "1")
    second = book.add_trial(notebook, brief.id, "2", first.id)
    third = book.add_trial(notebook, brief.id, "3", second.id)
    with pytest.raises(ArgumentError, match="parent must not descend from the trial itself"):
        book.change_trial(notebook, first.id, parent_id=third.id)
    assert book.trial(notebook, first.id).parent_id is None


def test_an_inactive_person_leaves_the_list_and_can_come_back(notebook: Any) -> None:
    ana = book.add_panelist(notebook, "Ana")
    book.change_panelist(notebook, ana.id, active=False)
    assert book.panelists(notebook) == ()
    assert [one.id for one in book.panelists(notebook, active_only=False)] == [ana.id]
    assert book.change_panelist(notebook, ana.id, active=True, alias="Anna").alias == "Anna"
    assert book.panelists(notebook)[0].alias == "Anna"


def test_two_people_who_are_there_bear_two_aliases(notebook: Any) -> None:
    ana = book.add_panelist(notebook, "Ana")
    with pytest.raises(ArgumentError, match="alias must be new among active panelists: 'Ana' is taken"):
        book.add_panelist(notebook, "Ana")
    book.change_panelist(notebook, ana.id, active=False)
    assert book.add_panelist(notebook, "Ana").id != ana.id


@pytest.mark.parametrize("lookup", [book.brief, book.trial])
def test_what_is_not_there_is_said_not_to_be(notebook: Any, lookup: Any) -> None:
    with pytest.raises(NotFound):
        lookup(notebook, "nothing")


def test_an_empty_name_stores_nothing(notebook: Any) -> None:
    with pytest.raises(ArgumentError, match="title must not be empty"):
        book.add_brief(notebook, "   ")
    with pytest.raises(ArgumentError, match="alias must not be empty"):
        book.add_panelist(notebook, "")
    assert book.briefs(notebook) == ()
    assert book.panelists(notebook) == ()


def test_what_a_sealed_session_served_is_not_rewritten(notebook: Any) -> None:
    here = scene(notebook)
    served = here.trial_ids[0]
    book.change_trial(notebook, served, batch="b9")  # nothing is sealed yet
    here.sealed()
    before = book.trial(notebook, served)
    with pytest.raises(StateError, match="is in a sealed session: label, strength, dates and batch stay"):
        book.change_trial(notebook, served, strength_percent=Decimal(14))
    assert book.trial(notebook, served) == before
    assert book.change_trial(notebook, served, changed="A word about the change.").changed == "A word about the change."


def test_the_text_shown_to_panelists_stays_once_a_session_is_sealed(notebook: Any) -> None:
    here = scene(notebook)
    book.change_brief(notebook, here.brief_id, "Title", "A first text.")
    here.sealed()
    assert book.change_brief(notebook, here.brief_id, "Better title", "A first text.").title == "Better title"
    with pytest.raises(StateError, match="text must stay as it was"):
        book.change_brief(notebook, here.brief_id, "Better title", "Another text.")
    assert book.brief(notebook, here.brief_id).text == "A first text."


def test_somebody_erased_leaves_no_alias(notebook: Any) -> None:
    ana = book.add_panelist(notebook, "Ana", "left-handed")
    book.erase_panelist(notebook, ana.id)
    assert book.panelists(notebook) == ()
    assert "Ana" not in str(book.panelists(notebook, active_only=False))


def test_whoever_was_erased_does_not_come_back(notebook: Any) -> None:
    """Set active again, "erased person" was ticked for the next plans and given seats."""
    here = scene(notebook, 3)
    book.erase_panelist(notebook, here.panelist_ids[0])
    with pytest.raises(ArgumentError, match="panelist must not be somebody who was erased: add a new person"):
        book.change_panelist(notebook, here.panelist_ids[0], active=True)
    assert here.panelist_ids[0] not in {one.id for one in book.panelists(notebook)}
