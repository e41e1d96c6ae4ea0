"""A day on skin before a trial is kept: written down through the skin gate only, and gone with whose skin it was."""

from __future__ import annotations

from typing import Any

import pytest

from evaluation.actions import book, worn_a_day
from evaluation.errors import ArgumentError, StateError
from tests.scenes import scene
from tests.skin_scene import ready


def test_a_day_on_skin_is_written_down_and_goes_with_its_person(notebook: Any) -> None:
    own = scene(notebook, 2)
    ready(notebook, own.trial_ids, own.panelist_ids)
    worn_a_day.wear_for_a_day(notebook, own.trial_ids[1], own.panelist_ids[0], "soft, gone by the evening")
    (found,) = worn_a_day.days_worn(notebook, own.trial_ids[1])
    assert (found.alias, found.found) == ("Nose 1", "soft, gone by the evening")
    assert worn_a_day.days_worn(notebook, own.trial_ids[0]) == ()
    with pytest.raises(ArgumentError, match="what was found must be given in words"):
        worn_a_day.wear_for_a_day(notebook, own.trial_ids[1], own.panelist_ids[0], ".")
    book.erase_panelist(notebook, own.panelist_ids[0])
    assert worn_a_day.days_worn(notebook, own.trial_ids[1]) == ()


def test_nobody_wears_what_the_gate_is_shut_for(notebook: Any) -> None:
    own = scene(notebook, 2)
    with pytest.raises(StateError, match="The skin gate is shut"):
        worn_a_day.wear_for_a_day(notebook, own.trial_ids[1], own.panelist_ids[0], "soft, gone by the evening")
    assert worn_a_day.days_worn(notebook, own.trial_ids[1]) == ()
