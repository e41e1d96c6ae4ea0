"""Briefs, trials and people (evaluation/store/kept_book.py)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from evaluation.actions import aims, book
from evaluation.errors import ArgumentError, NotFound, StoreError
from evaluation.store import Notebook
from evaluation.values.briefs import Brief, Target
from evaluation.values.descriptors import Descriptor
from tests.store.prepared import count, fill, person, trial


def test_a_brief_comes_back_as_it_was_written(notebook: Notebook) -> None:
    first, second = Brief("b1", "Ünder the fig", "No sugar.\nLeaf, not fruit.", 5), Brief("b2", "Salt", "", 6)
    with notebook.writing() as tx:
        tx.book.add_brief(second)
        tx.book.add_brief(first)
    with notebook.reading() as tx:
        assert tx.book.brief("b1") == first
        assert tx.book.briefs() == (first, second)


def test_a_trial_comes_back_with_every_field(notebook: Notebook) -> None:
    fill(notebook)
    full = trial(
        "9",
        parent_id="trial-8",
        changed="less oakmoss",
        strength_percent=Decimal("18.250"),
        mixed_on=date(2026, 1, 30),
        diluted_on=date(2026, 2, 28),
        batch="B-4",
        made_at=2**40,
    )
    with notebook.writing() as tx:
        tx.book.add_trial(full)
    with notebook.reading() as tx:
        assert tx.book.trial("trial-9") == full
        assert str(tx.book.trial("trial-9").strength_percent) == "18.250"
        assert [one.label for one in tx.book.trials("brief")] == ["7", "8", "9"]


def test_a_trial_can_be_changed(notebook: Notebook) -> None:
    fill(notebook)
    changed = trial("8", label="8b", strength_percent=None, batch="B-5")
    with notebook.writing() as tx:
        tx.book.replace_trial(changed)
    with notebook.reading() as tx:
        assert tx.book.trial("trial-8") == changed


def test_a_label_is_taken_once_within_a_brief(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("other", "Salt", "", 901))
        tx.book.add_trial(trial("7", id="elsewhere", brief_id="other"))
    with pytest.raises(ArgumentError, match="label must be new"), notebook.writing() as tx:
        tx.book.add_trial(trial("7", id="again"))
    with pytest.raises(ArgumentError, match="label must be new"), notebook.writing() as tx:
        tx.book.replace_trial(trial("8", label="7"))
    assert count(notebook, "trials") == 3


@pytest.mark.parametrize("changes", [{"brief_id": "nowhere"}, {"parent_id": "nobody"}])
def test_a_trial_of_nothing_is_refused(notebook: Notebook, changes: dict[str, str]) -> None:
    fill(notebook)
    with pytest.raises(NotFound, match=r"^No such (brief|trial)\.$"), notebook.writing() as tx:
        tx.book.add_trial(trial("9", **changes))
    assert count(notebook, "trials") == 2


def test_a_trial_stays_in_its_brief_and_so_does_its_parent(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("other", "Salt", "", 901))
    with pytest.raises(ArgumentError, match="cannot move"), notebook.writing() as tx:
        tx.book.replace_trial(trial("7", brief_id="other"))
    with pytest.raises(ArgumentError, match="same brief"), notebook.writing() as tx:
        tx.book.add_trial(trial("1", brief_id="other", parent_id="trial-7"))


def test_a_panelist_comes_back_and_can_leave_the_panel(notebook: Notebook) -> None:
    fill(notebook)
    away = replace(person(2), active=False, note="back in May")
    with notebook.writing() as tx:
        tx.book.replace_panelist(away)
    with notebook.reading() as tx:
        assert tx.book.panelist("person-2") == away
        assert tx.book.panelists() == (person(1), person(3))
        assert tx.book.panelists(active_only=False) == (person(1), away, person(3))


def test_an_alias_is_taken_once_among_the_active(notebook: Notebook) -> None:
    fill(notebook)
    with pytest.raises(ArgumentError, match="alias must be new"), notebook.writing() as tx:
        tx.book.add_panelist(person(9, alias="Nose 1"))
    with pytest.raises(ArgumentError, match="alias must be new"), notebook.writing() as tx:
        tx.book.replace_panelist(person(2, alias="Nose 1"))
    assert count(notebook, "panelists") == 3
    with notebook.writing() as tx:
        tx.book.replace_panelist(person(1, active=False))
        tx.book.add_panelist(person(9, alias="Nose 1"))
    with pytest.raises(ArgumentError, match="alias must be new"), notebook.writing() as tx:
        tx.book.replace_panelist(person(1))


@pytest.mark.parametrize("verb", ["brief", "trial", "panelist", "erase_panelist"])
def test_what_is_not_there_is_said_to_be_so(notebook: Notebook, verb: str) -> None:
    what = verb.removeprefix("erase_")
    with pytest.raises(NotFound, match=f"^No such {what}\\.$"), notebook.writing() as tx:
        getattr(tx.book, verb)("nothing")


def test_changing_what_is_not_there_changes_nothing(notebook: Notebook) -> None:
    fill(notebook)
    with pytest.raises(NotFound), notebook.writing() as tx:
        tx.book.replace_panelist(person(9))
    with pytest.raises(NotFound), notebook.writing() as tx:
        tx.book.replace_trial(trial("9"))


def test_the_same_id_twice_is_refused_in_one_sentence(notebook: Notebook) -> None:
    fill(notebook)
    with pytest.raises(StoreError, match="there already"), notebook.writing() as tx:
        tx.book.add_brief(Brief("brief", "Again", "", 1))
    with notebook.reading() as tx:
        assert tx.book.brief("brief").title == "A dry garden"


def test_erasing_a_person_leaves_a_nameless_row_for_each(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
        tx.book.erase_panelist("person-2")
    with notebook.reading() as tx:
        gone = tx.book.panelist("person-1")
        assert (gone.alias, gone.note, gone.active) == ("erased person", "", False)
        assert tx.book.panelists() == (person(3),)


# --- what a brief wants rated and aims at -----------------------------------------------------------------------


def test_descriptors_and_targets_are_kept_apart_by_brief_with_every_version(notebook: Notebook) -> None:
    first, second = (book.add_brief(notebook, title).id for title in ("A dry garden", "Salt"))
    words = (
        Descriptor("bois sec, très", "category", "base", "cèdre", "aucun", "très", "Atlas 5 %"),
        Descriptor("vert"),
    )
    aims.save_descriptors(notebook, first, words)
    aims.save_descriptors(notebook, second, words[1:])
    steps = (
        (Target("vert", "at most", Decimal("2.50"), Decimal("0.5"), Decimal("0.1")),),
        (),
        (Target("bois sec, très", "about", Decimal(10)), Target("vert", "at least", Decimal(0), Decimal(10080))),
    )
    for targets in steps:
        aims.save_targets(notebook, first, targets)
    assert aims.descriptors(notebook, first) == words
    assert aims.descriptors(notebook, second) == words[1:]
    assert tuple(one.targets for one in aims.history(notebook, first)) == steps
    written = [one.written_at for one in aims.history(notebook, first)]
    assert written == sorted(set(written))
    assert aims.targets(notebook, second) is None


def test_a_refused_list_leaves_the_one_before(notebook: Notebook) -> None:
    brief = book.add_brief(notebook, "A dry garden").id
    aims.save_descriptors(notebook, brief, [Descriptor("woody")])
    with pytest.raises(ArgumentError, match="at most 40"):
        aims.save_descriptors(notebook, brief, [Descriptor(f"word {number}") for number in range(41)])
    aims.save_targets(notebook, brief, [Target("woody", "about", Decimal(5))])
    with pytest.raises(ArgumentError, match="at most 60"):
        aims.save_targets(notebook, brief, [Target(f"word {n}", "about", Decimal(5)) for n in range(61)])
    assert [one.name for one in aims.descriptors(notebook, brief)] == ["woody"]
    assert len(aims.history(notebook, brief)) == 1
