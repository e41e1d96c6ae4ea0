"""The size that matters: one d-prime for all methods, the share each seals for it, and what a *not noticed* takes."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some
from parts.plan import filled_form
from parts.plan.typed import Typed
from scipy.stats import binom, norm

from evaluation import wording
from evaluation.actions import plan as planning
from evaluation.errors import ArgumentError
from evaluation.judging.verdicts import Rules, Tally, judge_tallies
from evaluation.planning import sizes
from evaluation.planning.outlook import outlook, outlook_of
from evaluation.statistics import chance, d_prime, proportion_correct
from evaluation.store.translate import plan_of, plan_text
from evaluation.values.briefs import Brief
from evaluation.wording import of_sizes
from tests import scenes
from tests.methods import FORCED_CHOICE, SIZED

BRIEF = Brief("b", "Salt on warm stone", "Dry and mineral.", 0)
TABLE = Path(__file__).parents[1] / "reference" / "check_values.csv"  # its README names the sources
GUESSING = {"triangle": 1 / 3, "duo-trio": 1 / 2, "tetrad": 1 / 3, "2-afc": 1 / 2, "3-afc": 1 / 3}


def typed(method: str = "triangle", **fields: Any) -> Typed:
    base = Typed("8 against 7", False, method, "t7", "t8", people=("ann", "bo"), descriptor="fresh", size="marked")
    return replace(base, **fields)


# --- conversions --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("step", "told"), [("slight", 65), ("moderate", 76), ("marked", 88)])
def test_a_step_is_told_by_people_of_a_hundred_who_pick_right_side_by_side(step: str, told: int) -> None:
    """Second route: two strips, each smelt with a spread of 1, differ by d′ with spread √2, so Φ(d′/√2) pick right."""
    share = 100 * norm.cdf(float(sizes.STEPS[step]) / 2**0.5)
    assert sizes.of_hundred(sizes.STEPS[step]) == pytest.approx(share, abs=1e-9)
    assert of_sizes.people(sizes.of_hundred(sizes.STEPS[step])) == str(told) == f"{share:.0f}"


def published() -> list[tuple[str, float, float]]:
    """Rows e-pub-…: percent correct by d-prime (Ennis 1993; tetrad: Ennis & Jesionka 2011; remembered two places)."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["id"].startswith("e-pub-") and row["agrees"] == "yes"]
    said = [(json.loads(row["inputs"]), json.loads(row["expected"])) for row in rows]
    return [(given["method"].lower(), given["d"], found["remembered"]) for given, found in said]


@pytest.mark.parametrize(("method", "distance", "right"), published())
def test_the_share_a_plan_seals_is_that_of_the_published_percent_correct(
    method: str, distance: float, right: float
) -> None:
    share = (right - GUESSING[method]) / (1 - GUESSING[method])
    half = 0.005 / (1 - GUESSING[method])  # two places were published
    assert float(sizes.sealed(Decimal(distance), method)) == pytest.approx(share, abs=half + 1e-6)


def test_one_share_is_two_sizes_and_one_size_two_shares() -> None:
    """The issue's figures: .30 is d′ 1.64 in a triangle and .545 in a 2-AFC."""
    assert d_prime(1 / 3 + 0.30 * 2 / 3, "triangle") == pytest.approx(1.64, abs=0.005)
    assert d_prime(0.5 + 0.30 / 2, "2-afc") == pytest.approx(0.545, abs=0.0005)
    assert sizes.sealed(sizes.STEPS["marked"], "triangle") == pytest.approx(Decimal("0.30"), abs=Decimal("0.001"))
    assert sizes.sealed(sizes.STEPS["marked"], "2-afc") == pytest.approx(Decimal("0.754"), abs=Decimal("0.001"))
    assert sizes.sealed(sizes.STEPS["slight"], "2-afc") == pytest.approx(Decimal("0.30"), abs=Decimal("0.001"))


@given(some.integers(51, 99))
def test_an_own_size_comes_back_as_it_was_typed(people: int) -> None:
    size = sizes.size_of_choice("own", Decimal(people))
    assert size is not None
    assert float(size) == pytest.approx(norm.ppf(people / 100) * 2**0.5, abs=1e-6)
    made = filled_form.build(typed(size="own", of_hundred=str(people)), BRIEF)
    assert filled_form.typed_of(made).of_hundred == str(people)
    assert filled_form.build(filled_form.typed_of(made), BRIEF) == made


@pytest.mark.parametrize("text", ["50", "100", "0", "-3"])
def test_an_own_size_that_nobody_or_everybody_reaches_is_refused(text: str) -> None:
    with pytest.raises(ArgumentError, match=rf"^people of 100 who pick right must be from 51 to 99, not {text}\.$"):
        filled_form.build(typed(size="own", of_hundred=text), BRIEF)


# --- plans --------------------------------------------------------------------------------------------------------


@settings(deadline=None)
@given(
    some.lists(some.sampled_from(SIZED), min_size=1, max_size=6),
    some.one_of(some.sampled_from(sorted(sizes.STEPS)), some.integers(51, 99)),
)
def test_switching_the_method_keeps_the_size_and_works_out_its_share(ways: list[str], said: str | int) -> None:
    own = {"size": said} if isinstance(said, str) else {"size": "own", "of_hundred": str(said)}
    plan = filled_form.build(typed(ways[0], **own), BRIEF)
    first = plan.size
    for method in ways:
        plan = filled_form.build(replace(filled_form.typed_of(plan), method=method, descriptor="fresh"), BRIEF)
        assert plan.size == first
        right = chance(method) + float(plan.pd) * (1 - chance(method))
        assert right == pytest.approx(float(proportion_correct(float(first or 0), method)), abs=1e-6)
        sizes.check(plan)


def test_a_share_said_as_in_published_tables_stays_what_was_typed() -> None:
    for method in FORCED_CHOICE:
        plan = filled_form.build(typed(method, size="share", pd="0.25"), BRIEF)
        assert (plan.pd, plan.size) == (Decimal("0.25"), None)
        assert filled_form.typed_of(plan).size == "share"


def test_two_out_of_five_and_preference_keep_the_share() -> None:
    for method in ("two-out-of-five", "preference"):
        plan = filled_form.build(typed(method, pd="0.25"), BRIEF)
        assert (plan.pd, plan.size) == (Decimal("0.25"), None)
        with pytest.raises(ArgumentError, match="method of a plan with a size must be one of"):
            plan.changed(size=Decimal(1))
    with pytest.raises(ArgumentError, match=r"^size must be left out for two-out-of-five"):
        sizes.sealed(Decimal(1), "two-out-of-five")


@pytest.mark.parametrize("size", [Decimal(0), Decimal(5), Decimal("-1"), Decimal("NaN"), 1.0])
def test_a_size_out_of_range_is_refused(size: Any) -> None:
    with pytest.raises(ArgumentError, match="size must lie between 0 and 5, both excluded"):
        scenes.plan(size=size)


def test_a_plan_made_before_sizes_were_said_keeps_its_spelling() -> None:
    old = plan_text(scenes.plan())
    assert "size" not in json.loads(old)["value"]
    assert plan_of(old).size is None
    assert plan_text(plan_of(old)) == old


def test_the_size_is_sealed_beside_the_share_of_the_method_and_read_back(notebook: Any) -> None:
    scene = scenes.scene(notebook)
    pd = sizes.sealed(Decimal("1.64"), "triangle")
    session = scene.sealed(size=Decimal("1.64"), pd=pd)
    plan = planning.session(notebook, session.id).plan
    assert (plan.size, plan.pd) == (Decimal("1.64"), pd)
    assert '"size":"1.64"' in plan_text(plan)
    assert session.sealed_hash != scenes.scene(notebook).sealed(pd=pd).sealed_hash


def test_a_plan_whose_share_is_not_that_of_its_size_cannot_be_sealed(notebook: Any) -> None:
    with pytest.raises(ArgumentError, match=r"^pd must be 0\.127070 in a triangle at the size 1, not 0\.3\.$"):
        scenes.scene(notebook).sealed(size=Decimal(1))


def test_the_outlook_of_a_new_plan_is_that_of_the_share_it_began_with_before() -> None:
    """The marked size is pd .3005 in a triangle: the limits are those of .30, but for one count of 45 and of 68."""
    pd = float(sizes.sealed(sizes.STEPS[sizes.USUAL], "triangle"))
    for people in range(6, 81):
        new, old = (outlook("triangle", people, 1, 1, 0.05, 0.05, share) for share in (pd, 0.30))
        assert new.minimum_correct == old.minimum_correct
        assert (new.maximum_correct == old.maximum_correct) is (people not in {45, 68})
        assert new.power == pytest.approx(old.power, abs=0.003)


# --- what a "not noticed" takes -----------------------------------------------------------------------------------


@pytest.mark.parametrize("step", ["moderate", "marked"])
@pytest.mark.parametrize("solo", [False, True])
def test_from_the_answers_told_no_count_leaves_it_undecided(step: str, solo: bool) -> None:
    """Every count tried, by scipy's binomial: below the fewest that are noticed, all support "not noticed"."""
    for cost in sizes.costs(sizes.STEPS[step], 0.05, 0.05, solo):
        assert cost.answers is not None
        n, guessing = cost.answers, GUESSING[cost.method]
        right = guessing + float(cost.pd) * (1 - guessing)
        fewest = next(x for x in range(n + 1) if binom.sf(x - 1, n, guessing) <= 0.05)
        assert binom.cdf(fewest - 1, n, right) <= 0.05
        assert fewest - 1 >= n * guessing, "no limit lies below guessing, where nothing is concluded"
        short = n - 1
        before = next(x for x in range(short + 1) if binom.sf(x - 1, short, guessing) <= 0.05)
        assert binom.cdf(before - 1, short, right) > 0.05, "one answer fewer can end undecided"


def test_the_costs_are_put_fewest_strips_first_and_alone_only_what_can_be_done_alone() -> None:
    found = sizes.costs(sizes.STEPS["moderate"], 0.05, 0.05)
    assert [one.strips for one in found] == sorted(one.strips or 0 for one in found)
    assert {one.method for one in found} == set(SIZED)
    assert "duo-trio" not in {one.method for one in sizes.costs(sizes.STEPS["moderate"], 0.05, 0.05, True)}


@pytest.mark.parametrize(("people", "replicates"), [(8, 1), (20, 1), (60, 1), (6, 4), (1, 12)])
def test_how_likely_not_noticed_is_when_nobody_can_tell_is_exact(people: int, replicates: int) -> None:
    found = outlook("tetrad", people, replicates, 1, 0.05, 0.05, 0.52)
    most = found.maximum_correct
    expected = 0.0 if most is None else binom.cdf(most, people * replicates, 1 / 3)
    assert sizes.quiet(found) == pytest.approx(expected, abs=1e-12)


def test_nothing_is_said_of_not_noticed_beforehand_where_looks_stop_the_session() -> None:
    assert sizes.quiet(outlook("triangle", 12, 1, 1, 0.05, 0.05, 0.30, look_every=4)) is None


# --- sentences ----------------------------------------------------------------------------------------------------


def test_the_sentence_of_a_size_names_people_size_share_and_method() -> None:
    plan = filled_form.build(typed(size="moderate"), BRIEF)
    assert of_sizes.size_line(plan) == (
        "What matters: a difference at which, of 100 people who smell the two side by side and know what to look for, "
        "76 pick right (d-prime 1); that is 12.7 % who notice in a triangle."
    )
    assert of_sizes.size_line(scenes.plan()) == (
        "What matters: 30 % who notice in a triangle, said as a share, and another difference in another method."
    )


def test_the_sealed_risks_are_told_with_the_method_and_the_size() -> None:
    plan = filled_form.build(typed("2-afc", size="moderate"), BRIEF)
    risks, size = of_sizes.risk_lines(plan)
    assert risks == "Risks: alpha .05, beta .05, with a share of .520500 that would matter in a 2-AFC."
    assert size == of_sizes.size_line(plan)
    old = "Risks: alpha .05, beta .05, with a share of .30 that would matter in a triangle."
    assert of_sizes.risk_lines(scenes.plan()) == (old,)


@pytest.mark.parametrize(
    ("method", "named"), [("triangle", "in a triangle, at beta risk"), ("2-afc", "in a 2-AFC, at beta risk")]
)
def test_a_verdict_names_the_method_its_share_belongs_to(method: str, named: str) -> None:
    people = tuple(map(str, range(200)))
    right = tuple(int(each < 200 * GUESSING[method]) for each in range(200))  # as many as by guessing
    tally = Tally("x", method, 5, people, right, (1,) * 200)
    (entry,) = judge_tallies([tally], Rules())
    assert entry.verdict == "not noticed"
    assert f"fewer than 30 % would notice {named}" in wording.sentence(entry)


def test_a_plan_says_what_a_not_noticed_at_its_size_costs_and_how_seldom_it_gets_there() -> None:
    plan = filled_form.build(typed(size="moderate", people=tuple("abcdefghijkl")), BRIEF)
    told = of_sizes.not_noticed_lines(plan, outlook_of(plan))
    by_method = {one.method: one for one in sizes.costs(Decimal(1), 0.05, 0.05)}
    triangle, tetrad = by_method["triangle"], by_method["tetrad"]
    assert f"{tetrad.answers} tetrads ({tetrad.strips} strips)" in told[0]
    assert f"{triangle.answers} triangles ({triangle.strips} strips)" in told[0]
    assert len(told) == 1, "that twelve can never end so is said where the plan says what cannot occur"
    plan = filled_form.build(typed("2-afc", size="moderate", people=tuple(map(str, range(20)))), BRIEF)
    most = next(x for x in range(20, 0, -1) if binom.cdf(x, 20, norm.cdf(2**-0.5)) <= 0.05)
    (_, told_too) = of_sizes.not_noticed_lines(plan, outlook_of(plan))
    assert told_too == (
        f"If nobody can tell, 20 2-AFC pairs end as “not noticed” with probability {binom.cdf(most, 20, 0.5):.1%} only: "
        "plan more, or a method that takes fewer."
    ).replace("%", " %")
    assert of_sizes.not_noticed_lines(scenes.plan(), outlook_of(scenes.plan())) == ()
