"""What is proposed to separate changes: bottles and strips counted by hand, sizes against simulated panels."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from evaluation.kinds.separation import MOST_BOTTLES, STRIPS_A_SITTING
from evaluation.planning.effect_sizes import effect_size
from evaluation.planning.layouts import ALL, HALF, ONE_AT_A_TIME, QUARTER, Asked, best, proposal, proposals
from evaluation.planning.prospects import prospect_of
from evaluation.wording.of_separations import alias_lines, alias_sentence, exact_aliases, folded, proposal_lines
from tests.separations import NAMES, separating, separation


def asked(changes: int, people: int = 8, **more: object) -> Asked:
    return Asked(NAMES[:changes], people, 10, 3, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("changes", "offered"),
    [
        (2, {ONE_AT_A_TIME: 3, ALL: 4}),
        (3, {ONE_AT_A_TIME: 4, ALL: 8, HALF: 4}),
        (4, {ONE_AT_A_TIME: 5, ALL: 16, HALF: 8}),
        (5, {ONE_AT_A_TIME: 6, ALL: 32, HALF: 16, QUARTER: 8}),
        (6, {ONE_AT_A_TIME: 7, ALL: 64, HALF: 32, QUARTER: 16}),
    ],
)
def test_what_is_offered_and_what_is_too_much(changes: int, offered: dict[str, int]) -> None:
    found = proposals(asked(changes))
    assert {one.layout: one.bottles for one in found} == offered
    for one in found:
        assert bool(one.refused) == (one.bottles > MOST_BOTTLES)
        assert one.strips_a_sitting <= STRIPS_A_SITTING


@pytest.mark.parametrize(("people", "left"), [(5, {ALL}), (1, {ALL}), (6, {ONE_AT_A_TIME, ALL, HALF})])
def test_under_six_people_all_combinations_only(people: int, left: set[str]) -> None:
    assert {one.layout for one in proposals(asked(3, people)) if not one.refused} == left


def test_fresh_strips_at_many_ages_are_too_many_and_one_is_told_what_to_do() -> None:
    found = proposal(Asked(NAMES[:3], 8, 10, 4, resmell=False), ALL)
    assert "smell each strip again" in found.refused
    assert not proposal(Asked(NAMES[:3], 8, 10, 4, resmell=True), ALL).refused


def test_a_second_weighing_doubles_the_bottles_and_is_refused_beyond_sixteen() -> None:
    assert proposal(asked(3, second_weighing=True), ALL).bottles == 16
    assert proposal(asked(4, second_weighing=True), ALL).refused


def test_the_best_one_finds_the_smallest_effect() -> None:
    found = best(proposals(asked(3)))
    assert found is not None
    assert found.layout == ALL
    assert best(proposals(asked(3, people=1, likely=("cedar:fig",)))) is not None


def test_what_is_likely_takes_the_fraction_away() -> None:
    (half,) = (one for one in proposals(asked(3, likely=("cedar:fig",))) if one.layout == HALF)
    assert "cannot tell salt from cedar and fig together" in half.refused


@pytest.mark.parametrize(("people", "changes", "layout"), [(12, 3, ALL), (12, 3, ONE_AT_A_TIME), (4, 3, ALL)])
def test_the_size_told_is_found_with_the_power_told_by_the_test_of_a_library(
    people: int, changes: int, layout: str
) -> None:
    """Normal ratings of scatter 1, one descriptor and age, a true effect of the size told: scipy's t finds it in 80 %."""
    own, random = separation(changes, layout), np.random.default_rng(1)
    size = effect_size(own, people, own.sittings_a_round, 1, 0.05, 0.20)
    assert size.alone is not None
    made = np.array([[int(digit) for digit in one] for one in own.combinations])
    ratings = random.normal(size=(4000, people, len(made))) + size.alone * made[:, 0]
    if size.by == "person":
        with_it = made[:, 0] == 1
        base = made[:, 0] == 0 if layout == ALL else ~made.any(axis=1)
        signs = ratings[..., with_it].mean(axis=-1) - ratings[..., base].mean(axis=-1)
    else:
        code = made @ (1 << np.arange(changes))
        order = {int(one): at for at, one in enumerate(code)}
        pairs = [(order[one], order[one - 1]) for one in order if one & 1]
        signs = np.concatenate([ratings[..., two] - ratings[..., one] for two, one in pairs], axis=1)
    assert signs.shape[1] == size.signs
    assert signs.std() == pytest.approx(size.own, rel=0.02)
    power = (stats.ttest_1samp(signs, 0, axis=1).pvalue <= 0.05).mean()
    assert power == pytest.approx(0.80, abs=0.025)  # four standard errors of 4000 draws


def test_the_plan_tells_the_same_size_and_its_load() -> None:
    plan = separating(separation(3, ALL), people=8, minutes=(5, 60), resmell=True)
    found = prospect_of(plan)
    tested = 2  # strength at two ages
    assert found.effects == effect_size(separation(3, ALL), 8, 2, tested, 0.05, 0.05)
    assert (found.load.strips_each, found.load.at_once, found.load.sittings, found.load.smellings) == (8, 4, 2, 16)
    assert found.rows == 6
    assert found.least_p == 2 / 2**8
    assert not found.to_confirm


def test_one_nose_with_four_pairs_describes_and_says_so_before_sealing() -> None:
    found = prospect_of(separating(separation(3, ALL), people=1))
    assert found.to_confirm
    assert found.effects is not None
    assert found.effects.signs == 4
    four = prospect_of(separating(separation(4, ALL), people=1))
    assert not four.to_confirm
    assert four.least_p == 4 * 2 / 2**8


@pytest.mark.parametrize("layout", [ONE_AT_A_TIME, ALL, HALF])
def test_a_proposal_tells_bottles_strips_sittings_size_aliases_and_the_weighing(layout: str) -> None:
    told = " ".join(proposal_lines(proposal(asked(3), layout), 8))
    for said in (
        "bottles;",
        "strips a nose and sitting",
        "each",
        "scatters",
        "noncentral t",
        "weighed",
        "second weighing",
    ):
        assert said in told
    assert ("What two of these changes do only in each other’s company" in told) == (layout == HALF)
    assert ("blocks" in told) == (layout == ALL)


def test_what_cannot_be_told_is_one_sentence_before_the_exact_list_and_none_of_it_is_lost() -> None:
    """Half of three: one change looks like two others together; half of four: like three, two like two."""
    for changes, said in ((3, "What two of these"), (4, "What three of these")):
        half = separation(changes, HALF)
        told = proposal_lines(proposal(asked(changes), HALF), 8)
        (line,) = (one for one in told if "only in each other’s company" in one)
        assert line.startswith(said)
        assert not set(exact_aliases(half)) & set(told)
        assert exact_aliases(half) == alias_lines(half)
        plan_told = folded(["first", *alias_lines(half), "last"], half)
        assert plan_told == ("first", alias_sentence(half), "last")
    full = separation(3, ALL)
    assert exact_aliases(full) == ()
    assert folded(alias_lines(full), full) == alias_lines(full)


def test_the_number_of_tests_says_what_it_is_made_of() -> None:
    told = " ".join(proposal_lines(proposal(asked(4), HALF), 8))
    own = proposal(asked(4), HALF)
    each = own.size.rows // 4
    assert f"among all {own.size.rows} tested (4 changes, each in {each} ratings:" in told
