"""Bottles in the store (evaluation/store/kept_bottles.py): what is smelt of a trial, and who asks for it by which id."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from evaluation.errors import ArgumentError, NotFound
from evaluation.formulas import Formula, Line, Material
from evaluation.skin import PATCH_SITES, Bar, Patch
from evaluation.store import Notebook
from tests.store.prepared import WARM, add_draft, count, fill, raw, sealed, trial


def with_warm(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.bottles.add(WARM)


def test_a_trial_begins_with_a_bottle_that_says_what_it_says(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.replace_trial(trial("7", batch="B-5", stored="cold", lots="L1"))
    with notebook.reading() as tx:
        (first,) = tx.bottles.of_trial("trial-7")
    assert (first.id, first.trial_id, first.mark, first.first) == ("trial-7", "trial-7", "1", True)
    assert (first.strength_percent, first.batch, first.stored, first.lots) == (Decimal("12.50"), "B-5", "cold", "L1")
    assert count(notebook, "bottles") == 2


def test_a_trial_is_seen_through_a_bottle_of_it(notebook: Notebook) -> None:
    with_warm(notebook)
    with notebook.reading() as tx:
        assert tx.bottles.bottle("warm") == WARM
        assert [one.id for one in tx.bottles.of_trial("trial-7")] == ["trial-7", "warm"]
        seen = tx.book.trial("warm")
        assert [one.id for one in tx.book.trials("brief")] == ["trial-7", "trial-8"]
        assert [one.id for one in tx.bottles.smelt("brief")] == ["trial-7", "warm", "trial-8"]
    assert (seen.label, seen.bottle_of, seen.trial_id, seen.brief_id) == ("7 bottle 2", "trial-7", "trial-7", "brief")
    assert (seen.strength_percent, seen.mixed_on, seen.diluted_on) == (
        WARM.strength_percent,
        WARM.mixed_on,
        WARM.diluted_on,
    )
    assert (seen.batch, seen.lots, seen.stored) == ("B-2", "L8", "warm")


@pytest.mark.parametrize(
    ("wrong", "error", "said"),
    [
        (replace(WARM, id="other"), ArgumentError, "mark must be new among the bottles of the trial, and '2' is taken"),
        (replace(WARM, id="other", mark="1"), ArgumentError, "mark must be new"),
        (replace(WARM, id="other", trial_id="nobody"), NotFound, "No such trial"),
    ],
)
def test_a_bottle_that_does_not_fit_is_refused(notebook: Notebook, wrong: Any, error: Any, said: str) -> None:
    with_warm(notebook)
    with pytest.raises(error, match=said), notebook.writing() as tx:
        tx.bottles.add(wrong)
    with pytest.raises(ArgumentError, match="cannot become one of another trial"), notebook.writing() as tx:
        tx.bottles.replace(replace(WARM, trial_id="trial-8"))
    with pytest.raises(ArgumentError, match="not one seen through a further bottle"), notebook.writing() as tx:
        tx.book.replace_trial(tx.book.trial("warm"))
    assert count(notebook, "bottles") == 3


def test_a_formula_and_a_bar_are_those_of_the_trial_a_patch_is_of_the_bottle(notebook: Notebook) -> None:
    with_warm(notebook)
    with notebook.writing() as tx:
        peel = Material("m1", "Peel", "top", made_at=5)
        tx.skin.add_material(peel)
        tx.formulas.write("trial-7", Formula((Line(peel, Decimal(100)),), out_of=Decimal(100)))
        tx.skin.bar(Bar("warm", None, "barred", "a rash", 7))
        tx.patches.add(Patch("p1", "person-1", "warm", "482", PATCH_SITES[0], Decimal(10), 9))
        tx.patches.add(Patch("p2", "person-1", "trial-7", "483", PATCH_SITES[1], Decimal(10), 9))
    with notebook.reading() as tx:
        assert tx.formulas.formula("warm") == tx.formulas.formula("trial-7")
        assert tx.skin.lines("warm")
        assert tx.skin.whole_said("warm")
        assert tx.reactions.materials_of(["warm"]) == {"m1"}
        assert [one.trial_id for one in tx.skin.bars(["trial-7", "warm", "trial-8"])] == ["trial-7", "warm"]
        assert [one.trial_id for one in tx.patches.all("trial-7")] == ["warm", "trial-7"]


def test_a_session_of_two_bottles_of_one_trial_is_sealed_under_their_names(notebook: Notebook) -> None:
    with_warm(notebook)
    made = sealed(notebook, "session", add_draft(notebook, people=2, spare=0, second_trial_id="warm"))
    assert made.verifies()
    assert count(notebook, "sessions WHERE first_trial_id = 'trial-7' AND second_trial_id = 'trial-7'") == 1
    assert [count(notebook, f"personal_texts WHERE text = '{one}'") for one in ("7", "7 bottle 2")] == [1, 1]
    with notebook.writing() as tx:
        tx.bottles.replace(replace(WARM, mark="3"))
    assert not made.verifies()  # the log holds what the verdict will speak of


@pytest.mark.parametrize("trial", ["trial-8", "warm"])
def test_a_bottle_written_over_as_one_of_another_trial_is_noticed(notebook: Notebook, trial: str) -> None:
    """Its name may stay as it was sealed; two bottles of one trial would be read as two trials, and count for one."""
    with_warm(notebook)
    made = sealed(notebook, "session", add_draft(notebook, people=2, spare=0, second_trial_id="warm"))
    columns = "brief_id, parent_id, changed, made_at"
    raw(
        notebook,
        f"INSERT INTO trials (id, label, {columns}) SELECT 'warm', '7 bottle 2', {columns} FROM trials LIMIT 1",
    )
    assert made.verifies()
    raw(notebook, "UPDATE bottles SET trial_id = :trial, mark = :mark WHERE id = 'warm'", trial=trial, mark=trial[:1])
    assert not made.verifies()
