"""Bottles of a trial: added, corrected, held fast once they were smelt or worn, and named on what is printed."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import bench, book, bottle_book, findings
from evaluation.actions import plan as planning
from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.report import export
from evaluation.skin import PATCH_SITES, Patch
from evaluation.values.bottles import next_mark
from tests.scenes import Scene, answer_all, ballots, scene


@pytest.fixture
def made(notebook: Any) -> Scene:
    return scene(notebook)


def another(made: Scene, mark: str = "2", **more: Any) -> Any:
    known = {"strength_percent": Decimal(12), "stored": "warm", "mixed_on": date(2026, 1, 2)}
    return bottle_book.add_bottle(made.notebook, made.trial_ids[0], mark, **(known | more))


def test_a_bottle_is_added_under_a_mark_of_its_own(made: Scene) -> None:
    added = another(made, " 2 ", lots=" lot 9 ", batch=" B2 ")
    found = bottle_book.bottles(made.notebook, made.trial_ids[0])
    assert found[1:] == (added,)
    assert (added.mark, added.lots, added.batch, added.stored) == ("2", "lot 9", "B2", "warm")
    assert [one.label for one in bottle_book.smelt(made.notebook, made.brief_id)] == ["7", "7 bottle 2", "8"]
    assert next_mark(found) == "3"
    assert next_mark((*found, another(made, "4"))) == "5"
    with pytest.raises(ArgumentError, match="mark must be new"):
        another(made)
    with pytest.raises(NotFound):
        bottle_book.add_bottle(made.notebook, "nobody", "2")


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"mark": ""}, "mark must not be empty"),
        ({"mark": "x" * 13}, "at most 12 characters"),
        ({"strength_percent": Decimal(101)}, "at most 100 percent"),
        ({"stored": "fridge"}, "stored must be one of"),
        ({"mixed_on": date(2026, 2, 2), "diluted_on": date(2026, 2, 1)}, "must not lie before"),
    ],
)
def test_what_no_bottle_can_be_is_refused(made: Scene, fields: Any, said: str) -> None:
    added = another(made)
    with pytest.raises(ArgumentError, match=said):
        another(made, **({"mark": "3"} | fields))
    with pytest.raises(ArgumentError, match=said):
        bottle_book.change_bottle(made.notebook, added.id, **fields)
    assert bottle_book.bottles(made.notebook, made.trial_ids[0])[1:] == (added,)


def test_the_first_bottle_keeps_its_mark(made: Scene) -> None:
    with pytest.raises(ArgumentError, match="mark of a first bottle must be one of '1'"):
        bottle_book.change_bottle(made.notebook, made.trial_ids[0], mark="2")
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], stored="cold")
    assert book.trial(made.notebook, made.trial_ids[0]).stored == "cold"


def test_what_was_smelt_stays_and_what_nobody_said_may_come_late(made: Scene) -> None:
    added = another(made, stored="")
    made.sealed(first_trial_id=made.trial_ids[1], second_trial_id=added.id)
    bottle_book.change_bottle(made.notebook, added.id, stored="window", lots="lot 9")
    for fields in ({"mark": "B"}, {"stored": "dark"}, {"lots": "lot 8"}, {"batch": "B3"}, {"strength_percent": None}):
        with pytest.raises(StateError, match="Bottle 7 bottle 2 is in a sealed session"):
            bottle_book.change_bottle(made.notebook, added.id, **fields)
    with pytest.raises(StateError, match="is in a sealed session"):  # its bottle is called by it
        book.change_trial(made.notebook, made.trial_ids[0], label="70")
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], batch="B3")  # its first bottle was not smelt


def test_a_patch_holds_lots_and_storage_of_its_bottle_and_of_no_other(made: Scene) -> None:
    added = another(made)
    patch = Patch("p", made.panelist_ids[0], added.id, "482", PATCH_SITES[0], Decimal(10), 5)
    with made.notebook.writing() as tx:
        tx.patches.add(patch)
    with pytest.raises(StateError, match="was put on skin as a patch"):
        bottle_book.change_bottle(made.notebook, added.id, stored="dark")
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], stored="dark")
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], stored="cold")


def test_sheets_and_exports_name_the_bottle_and_no_export_its_lots(made: Scene) -> None:
    added = another(made, lots="lot-marker-9")
    session = made.smelling(first_trial_id=made.trial_ids[1], second_trial_id=added.id)
    told = repr(bench.letter_key(made.notebook, session.id, None))
    assert "7 bottle 2" in told
    for one in ballots(made.notebook, session.id):
        if one.panelist_id is not None:
            answer_all(made.notebook, one.id)
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    packed = export.export(made.notebook, session.id)
    assert b"lot-marker-9" not in packed


def test_bottles_differ_in_what_the_book_says_of_them(made: Scene) -> None:
    first = bottle_book.bottles(made.notebook, made.trial_ids[0])[0]
    same = {name: getattr(first, name) for name in ("strength_percent", "mixed_on", "diluted_on", "batch")}
    added = another(made, **same, lots="lot 9", stored="warm")
    kinds = ("lots", "stored")
    found = [one for one in planning.compare(made.notebook, first.id, added.id) if one.kind in kinds]
    assert [(one.kind, one.known) for one in found] == [("lots", False), ("stored", False)]
    bottle_book.change_bottle(made.notebook, first.id, lots="lot 8", stored="cold")
    found = [one for one in planning.compare(made.notebook, first.id, added.id) if one.kind in kinds]
    assert [(one.kind, one.first, one.second) for one in found] == [
        ("lots", "lot 8", "lot 9"),
        ("stored", "cold", "warm"),
    ]


@pytest.mark.parametrize("label", ["7 bottle 2", "7 bottle 1"])
def test_no_two_things_of_a_brief_bear_one_name(made: Scene, label: str) -> None:
    """A trial labelled like a bottle of another would stand on labels and sheets as that bottle."""
    with made.notebook.writing() as tx:
        tx.book.add_trial(replace(tx.book.trial(made.trial_ids[1]), id="like", label=label))
    with pytest.raises(ArgumentError, match=f"must make a new name within the brief, and '{label}' is taken"):
        another(made)
    assert len(bottle_book.bottles(made.notebook, made.trial_ids[0])) == 1
    book.change_trial(made.notebook, "like", label="9")
    added = another(made, "3")
    named = f"must make a new name within the brief, and '{label.replace('2', '3')}' is taken"
    with pytest.raises(ArgumentError, match=named):
        book.add_trial(made.notebook, made.brief_id, label.replace("2", "3"))
    with pytest.raises(ArgumentError, match=named):
        book.change_trial(made.notebook, "like", label=label.replace("2", "3"))
    assert bottle_book.change_bottle(made.notebook, added.id, mark="2").mark == "2"


def test_a_trial_descends_from_a_trial_and_not_from_a_bottle(made: Scene) -> None:
    added = another(made)
    with pytest.raises(ArgumentError, match="parent must be a trial of the book, and '7 bottle 2' is a bottle"):
        book.add_trial(made.notebook, made.brief_id, "9", added.id)


@pytest.mark.parametrize("fields", [{"mixed_on": date(2026, 2, 1)}, {"mixed_on": None}, {"batch": "B3"}])
def test_a_patch_holds_the_weighing_that_was_put_on(made: Scene, fields: Any) -> None:
    """Else a patch would go on speaking for another weighing, written over the one that was put on."""
    added = another(made, batch="B2")
    for bottle_id in (added.id, made.trial_ids[0]):
        with made.notebook.writing() as tx:
            tx.patches.add(Patch(bottle_id, made.panelist_ids[0], bottle_id, "482", PATCH_SITES[0], Decimal(10), 5))
    with pytest.raises(StateError, match="was put on skin as a patch: date mixed, batch, lots"):
        bottle_book.change_bottle(made.notebook, added.id, **fields)
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], mixed_on=date(2026, 1, 1), batch="B1")  # said late
    with pytest.raises(StateError, match="was put on skin as a patch"):
        book.change_trial(made.notebook, made.trial_ids[0], **fields)
