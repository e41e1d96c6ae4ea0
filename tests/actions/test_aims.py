"""What a brief wants rated and aims at: written anew, never overwritten."""

from __future__ import annotations

from decimal import Decimal

import pytest

from evaluation.actions import aims, book
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, NotFound
from evaluation.store import Notebook
from evaluation.values.briefs import Target
from evaluation.values.descriptors import Descriptor


@pytest.fixture
def notebook() -> Notebook:
    return Notebook.open(None, SteppedClock(step=1))


def test_lists_come_back_as_they_were_saved(notebook: Notebook) -> None:
    brief = book.add_brief(notebook, "A dry garden").id
    assert aims.descriptors(notebook, brief) == ()
    listed = (
        Descriptor("woody", family="base", low="none", high="very"),
        Descriptor("green", "check", definition="cut grass"),
    )
    aims.save_descriptors(notebook, brief, listed)
    assert aims.descriptors(notebook, brief) == listed
    aims.save_descriptors(notebook, brief, listed[:1])
    assert aims.descriptors(notebook, brief) == listed[:1]


def test_targets_keep_what_was_aimed_at_before(notebook: Notebook) -> None:
    brief = book.add_brief(notebook, "A dry garden").id
    assert aims.targets(notebook, brief) is None
    first = (Target("woody", "at least", Decimal("6.5"), Decimal(60), Decimal(2)),)
    second = (*first, Target("sweet", "at most", Decimal(3)))
    aims.save_targets(notebook, brief, first)
    aims.save_targets(notebook, brief, second)
    assert [one.targets for one in aims.history(notebook, brief)] == [first, second]
    now = aims.targets(notebook, brief)
    assert now is not None
    assert now.targets == second
    assert now.written_at > aims.history(notebook, brief)[0].written_at


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"kind": "near"}, "kind of target must be one of 'at least', 'at most', 'about', not 'near'."),
        ({"value": Decimal("10.1")}, "value of a target must be from 0 to 10, not 10.1."),
        ({"weight": Decimal(0)}, "weight of a target must be from 0.1 to 10, not 0."),
        ({"minutes": Decimal(0)}, "moment of a target must be minutes within a week, not 0."),
    ],
)
def test_a_target_that_cannot_be_says_why(changes: dict[str, object], said: str) -> None:
    fields: dict[str, object] = {"descriptor": "woody", "kind": "about", "value": Decimal(5)}
    with pytest.raises(ArgumentError) as refused:
        Target(**(fields | changes))  # type: ignore[arg-type]
    assert str(refused.value) == said


def test_lists_that_contradict_themselves_are_refused_and_nothing_is_stored(notebook: Notebook) -> None:
    brief = book.add_brief(notebook, "A dry garden").id
    with pytest.raises(ArgumentError, match="each word once"):
        aims.save_descriptors(notebook, brief, [Descriptor("woody"), Descriptor("Woody")])
    with pytest.raises(ArgumentError, match="questions of their own"):
        aims.save_descriptors(notebook, brief, [Descriptor("strength")])
    twice = Target("woody", "about", Decimal(5))
    with pytest.raises(ArgumentError, match="each descriptor, moment and kind once"):
        aims.save_targets(notebook, brief, [twice, Target("woody", "about", Decimal(6))])
    assert aims.descriptors(notebook, brief) == ()
    assert aims.targets(notebook, brief) is None


def test_a_brief_that_is_not_there(notebook: Notebook) -> None:
    with pytest.raises(NotFound):
        aims.save_targets(notebook, "nowhere", [])
