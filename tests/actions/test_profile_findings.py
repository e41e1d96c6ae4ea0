"""A profile, end to end in memory: a truth is hidden in the answers and comes back from the opened session."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product
from typing import Any

import pandas as pd
import pytest

from evaluation.actions import aims, bench, book, findings
from evaluation.actions import opened as opened_session
from evaluation.actions.profile_findings import ProfileFindings, profile_findings
from evaluation.counting.profiles import COLUMNS, profile_found
from evaluation.errors import StateError, StillBlind
from evaluation.sessions import Deviation, Serving, StripAge
from evaluation.tables import results
from evaluation.values.descriptors import Descriptor
from evaluation.wording import of_profiles
from tests import scenes
from tests.skin_scene import ready

Rate = Callable[[int, str, Serving, str], str]
MINUTES = (5, 60, 240)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=8)


def opened(scene: scenes.Scene, rate: Rate, people: int | None = None, **changes: Any) -> ProfileFindings:
    session = scene.smelling(
        **({"method": "profile", "ages": scenes.ages(*MINUTES), "primary": None, "minutes": MINUTES} | changes)
    )
    scenes.answer_profile(scene.notebook, session.id, rate, people)
    return open_it(scene, session.id)


def open_it(scene: scenes.Scene, session_id: str) -> ProfileFindings:
    bench.close(scene.notebook, session_id)
    findings.open_session(scene.notebook, session_id)
    return profile_findings(scene.notebook, session_id)


def woody_for_an_hour(seat: int, letter: str, serving: Serving, word: str) -> str:
    """The second trial is more woody, by 1 … 3 points, up to 60 minutes; each person has a level of their own."""
    more = letter == "B" and word == "woody" and serving.age_seconds <= 3600
    return f"{3 + seat / 4 + (1 + seat % 3 if more else 0):.1f}"


def test_a_hidden_truth_comes_back(scene: scenes.Scene) -> None:
    found = opened(scene, woody_for_an_hour).found[0]
    table = found.differences.table.set_index(["descriptor", "age_minutes"])
    shifts = [1 + seat % 3 for seat in range(1, 9)]
    for word, age in product(("woody", "smoky", "green", "strength"), MINUTES):
        moved = word == "woody" and age <= 60
        assert table.loc[(word, age), "difference"] == pytest.approx(sum(shifts) / 8 if moved else 0.0)
        # eight people who all moved the same way: 2 of 2^8 patterns of signs, by counting
        assert table.loc[(word, age), "p_value"] == (2 / 2**8 if moved else 1.0)
    assert len(table) == 4 * len(MINUTES)
    assert found.differences.pairs == (("7", "8"),)


@pytest.mark.parametrize(("people", "given"), [(5, False), (6, True)])
def test_the_mixed_model_gives_no_p_where_nothing_is_tested(scene: scenes.Scene, people: int, given: bool) -> None:
    """Fewer than six people are described (``prospects``): five sign flips cannot go below .0625."""
    part = opened(scene, woody_for_an_hour, people).found[0]
    assert part.model.random == "full"  # people may differ in how they see the ages
    assert part.model.table["F"][:3].notna().all()  # woody: the other words do not vary here
    assert bool(part.model.table["p_value"].notna().any()) is given
    told = results.effects_shown(part)
    assert bool(told["p"].notna().any()) is given
    assert "inf" not in results.csv_text(results.effects(part))


def test_the_numbers_of_a_profile_are_told_in_words(scene: scenes.Scene) -> None:
    """One strip a person, trial and age: by the design what people find of a trial at one age is the scatter itself."""
    part = opened(scene, woody_for_an_hour).found[0]
    shown = results.effects_shown(part)
    assert list(shown)[:5] == ["descriptor", "effect", "p", "F", "df"]
    assert shown["df"][0] == "1 and 7"  # two trials, eight people, by hand
    apart = "how people differ in the trials at each age cannot be told apart from the scatter of single ratings"
    notes = set(shown["note"]) if "note" in shown else set(of_profiles.model_lines(part))
    assert any(apart in one for one in notes)
    assert not any("panelist:" in one or "residual" in one for one in notes)
    assert list(results.moved_between(part, "7", "8"))[:4] == ["descriptor", "age", "difference", "p in the family"]


def test_a_note_of_every_row_is_said_once(scene: scenes.Scene) -> None:
    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:  # every word varies, so that each is fitted
        return f"{(seat * 7 + 'AB'.index(letter) * 3 + serving.age_seconds // 60 + len(word)) % 9:.1f}"

    part = opened(scene, rate).found[0]
    assert "note" not in results.effects_shown(part)
    assert [line.startswith("In every row: ") for line in of_profiles.model_lines(part)] == [False, True]


def test_rows_are_what_was_answered(scene: scenes.Scene) -> None:
    """Each row against the ballot's own words, with the trial looked up in the key."""
    found = opened(scene, lambda seat, letter, s, w: f"{seat}.{'AB'.index(letter)}").found[0]
    rows = found.rows
    assert tuple(rows.columns) == COLUMNS
    assert len(rows) == 8 * 2 * len(MINUTES) * 4
    assert sorted(rows["age_minutes"].unique()) == list(map(float, MINUTES))
    for row in rows.itertuples():
        assert row.rating == row.seat + (0.1 if row.trial == "8" else 0.0)
        assert row.panelist == f"Nose {row.seat}"


def test_not_smelt_and_skip_are_no_ratings_and_no_zeros(scene: scenes.Scene) -> None:
    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
        if word == "smoky":
            return {1: "not smelt", 2: "skip", 3: "0.0"}.get(seat, "5.0")
        return "5.0"

    found = opened(scene, rate).found[0]
    smoky = found.rows[(found.rows["descriptor"] == "smoky") & (found.rows["age_minutes"] == 5)]
    assert smoky["rating"].isna().sum() == 4  # two people, two trials
    assert (smoky["rating"] == 0.0).sum() == 2
    assert [(one.not_smelt, one.skipped) for one in found.came] == [(2, 2)] * 3
    row = found.differences.table.query("descriptor == 'smoky' and age_minutes == 5").iloc[0]
    assert (row.panelists, row.left_out) == (6, 2)


def test_the_warm_up_never_counts(scene: scenes.Scene) -> None:
    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
        return "9.9" if serving.warm_up else "4.0"

    found = opened(scene, rate, warm_up=True).found[0]
    assert set(found.rows["rating"]) == {4.0}
    assert [(one.planned, one.came_in) for one in found.came] == [(16, 16)] * 3


def test_what_the_sealed_rule_leaves_out_is_shown_both_ways(scene: scenes.Scene) -> None:
    session = scene.smelling(method="profile", ages=scenes.ages(5), minutes=(5,))
    strip = next(one for one in bench.servings(scene.notebook, session.id) if one.seat == 1)
    kind = session.plan.left_out[0]
    with scene.notebook.writing() as tx:
        tx.sittings.note_deviation(session.id, Deviation(strip.id, 1, kind, "fell down", 0))
    scenes.answer_profile(scene.notebook, session.id, lambda *_: "4.0")
    found = open_it(scene, session.id).found[0]
    assert found.reduced
    assert found.came[0].left_out == ((kind, 1),)
    assert (found.came[0].came_in, found.came[0].counted) == (16, 15)
    assert set(found.differences.table["panelists"]) == {7}
    assert set(found.all_differences.table["panelists"]) == {8}


def test_nothing_left_out_needs_no_second_way(scene: scenes.Scene) -> None:
    found = opened(scene, woody_for_an_hour).found[0]
    assert not found.reduced
    assert found.all_differences is None


def test_still_blind_until_opened(scene: scenes.Scene) -> None:
    session = scene.smelling(method="profile")
    for step in (lambda: None, lambda: bench.close(scene.notebook, session.id)):
        step()
        with pytest.raises(StillBlind):
            profile_findings(scene.notebook, session.id)


def test_strip_and_skin_are_two_families(notebook: Any, scene: scenes.Scene) -> None:
    ready(notebook, scene.trial_ids, scene.panelist_ids)
    found = opened(
        scene,
        lambda seat, letter, s, w: "6.0" if s.medium == "skin" and letter == "B" else "3.0",
        medium="strip and skin",
        ages=scenes.ages(5),
        skin_ages=(StripAge(600, 60),),
        primary=300,
    )
    strip, skin = found.found
    assert (strip.medium, skin.medium) == ("strip", "skin")
    assert set(strip.differences.table["difference"]) == {0.0}
    assert set(skin.differences.table["difference"]) == {3.0}
    assert set(skin.rows["age_minutes"]) == {10.0}


def test_words_to_check_levels_and_points_keep_apart(scene: scenes.Scene) -> None:
    words = (Descriptor("smoky", "check"), Descriptor("sweetness", "level"), Descriptor("woody", "category"))

    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
        if word == "smoky":
            return "yes" if letter == "B" and seat <= 6 else "no"
        return {"sweetness": "too strong" if letter == "B" else "right", "woody": "7"}.get(word, "5.0")

    found = opened(scene, rate, descriptors=words, asks_liking=True).found[0]
    assert set(found.differences.table["descriptor"]) == {"woody", "strength", "liking"}
    pair = found.counted["checked"].pairs[0]
    # six people checked it for the second trial only: exact McNemar, 2 × (1/2)^6
    assert (pair.first_only, pair.second_only, pair.p_value) == (0, 6, 2 * 0.5**6)
    sides = {(one.trial, one.age_minutes): (one.weak.people, one.right.people, one.strong.people)
             for one in found.counted["levels"].rows}  # fmt: skip
    assert sides[("7", 5.0)] == (0, 8, 0)
    assert sides[("8", 5.0)] == (0, 0, 8)
    assert {row.descriptor for row in found.people.rows} == {"woody", "strength"}


def test_nobody_answered_and_nothing_breaks(scene: scenes.Scene) -> None:
    found = opened(scene, lambda *_: "5.0", people=0).found[0]
    assert found.rows.empty
    assert [found.differences, found.model, found.decay, found.people, found.counted] == [None] * 4 + [{}]
    assert [one.came_in for one in found.came] == [0, 0, 0]


def test_one_person_alone(scene: scenes.Scene) -> None:
    found = opened(scene, woody_for_an_hour, people=1).found[0]
    assert not found.differences.table["in_family"].any()
    assert found.model is None
    assert found.people is not None


def test_order_of_answers_does_not_matter(scene: scenes.Scene) -> None:
    from dataclasses import replace

    session_id = opened(scene, woody_for_an_hour).context.session.id
    with scene.notebook.reading() as tx:
        held = opened_session.held_of(tx, session_id)
    turned = replace(held, answers=held.answers[::-1], servings=held.servings[::-1], ballots=held.ballots[::-1])
    pd.testing.assert_frame_equal(profile_found(held).rows, profile_found(turned).rows)


def test_another_method_is_refused(scene: scenes.Scene) -> None:
    session = scene.smelling(method="ranking", trials=3)
    open_it_only(scene, session.id)
    with scene.notebook.reading() as tx, pytest.raises(StateError, match="profile"):
        profile_found(opened_session.held_of(tx, session.id))


def open_it_only(scene: scenes.Scene, session_id: str) -> None:
    bench.close(scene.notebook, session_id)
    findings.open_session(scene.notebook, session_id)


def test_numbers_are_kept_but_a_name_that_was_erased_is_not(scene: scenes.Scene) -> None:
    once = opened(scene, woody_for_an_hour)
    again = profile_findings(scene.notebook, once.context.session.id)
    assert again.found[0] is once.found[0]
    book.erase_panelist(scene.notebook, scene.panelist_ids[0])
    after = profile_findings(scene.notebook, once.context.session.id)
    assert "Nose 1" not in set(after.found[0].rows["panelist"])


def test_targets_written_after_the_key_was_open_are_called_late(scene: scenes.Scene) -> None:
    from decimal import Decimal

    from evaluation.values.briefs import Target

    aims.save_targets(scene.notebook, scene.brief_id, [Target("woody", "at least", Decimal(5))])
    found = opened(scene, woody_for_an_hour)
    assert (found.aims_late, len(found.aims.targets)) == (False, 1)
    aims.save_targets(scene.notebook, scene.brief_id, [Target("woody", "at least", Decimal(6))])
    assert profile_findings(scene.notebook, found.context.session.id).aims_late
