"""Drafts and what else than the formula could be smelt (evaluation/actions/plan.py)."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import book
from evaluation.actions import plan as planning
from evaluation.errors import ArgumentError, NotFound, StateError
from tests.scenes import scene


def test_a_draft_comes_changes_and_goes(notebook: Any) -> None:
    here = scene(notebook)
    draft = planning.add_draft(notebook, here.plan())
    assert (draft.state, draft.sealed_hash) == ("draft", "")
    assert planning.session(notebook, draft.id) == draft
    changed = planning.change_draft(notebook, draft.id, here.plan(title="Another", method="tetrad"))
    assert (changed.id, changed.plan.title, changed.plan.method) == (draft.id, "Another", "tetrad")
    assert planning.sessions(notebook, here.brief_id) == (changed,)
    planning.remove_draft(notebook, draft.id)
    assert planning.sessions(notebook) == ()


def test_sessions_are_listed_by_brief(notebook: Any) -> None:
    here, there = scene(notebook), scene(notebook)
    mine = planning.add_draft(notebook, here.plan())
    planning.add_draft(notebook, there.plan())
    assert [one.id for one in planning.sessions(notebook, here.brief_id)] == [mine.id]
    assert len(planning.sessions(notebook)) == 2


def test_trials_of_another_brief_are_refused(notebook: Any) -> None:
    here, there = scene(notebook), scene(notebook)
    with pytest.raises(ArgumentError, match="trials must be of the session's brief"):
        planning.add_draft(notebook, here.plan().changed(second_trial_id=there.trial_ids[1]))
    assert planning.sessions(notebook) == ()


def test_only_people_active_on_the_panel_are_planned(notebook: Any) -> None:
    here = scene(notebook)
    book.change_panelist(notebook, here.panelist_ids[0], active=False)
    with pytest.raises(ArgumentError, match="active on the panel page"):
        planning.add_draft(notebook, here.plan())


def test_nobody_and_nothing_unknown_is_planned(notebook: Any) -> None:
    here = scene(notebook)
    with pytest.raises(NotFound):
        planning.add_draft(notebook, here.plan().changed(first_trial_id="no such trial"))


def test_a_sealed_plan_is_neither_changed_nor_removed(notebook: Any) -> None:
    here = scene(notebook)
    sealed = here.sealed()
    with pytest.raises(StateError, match="A session that is sealed cannot be changed"):
        planning.change_draft(notebook, sealed.id, here.plan(title="Another"))
    with pytest.raises(StateError, match="A session that is sealed cannot be removed"):
        planning.remove_draft(notebook, sealed.id)
    assert planning.session(notebook, sealed.id) == sealed


def test_trials_that_differ_in_strength_are_named(notebook: Any) -> None:
    here = scene(notebook)
    book.change_trial(notebook, here.trial_ids[1], strength_percent=Decimal(12))
    found = {one.kind: one for one in planning.compare(notebook, *here.trial_ids)}
    assert (found["strength"].first, found["strength"].second, found["strength"].known) == ("10", "12", True)
    assert found["mixed"].known is False  # no dates were written down
