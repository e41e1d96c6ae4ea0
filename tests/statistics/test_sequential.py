"""Sequential plans against enumeration of every path, Wald's closed forms, and fractions throughout."""

from __future__ import annotations

import dataclasses
import math
from fractions import Fraction
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import SequentialPlan, chance, minimum_correct, sequential_plan
from evaluation.statistics.forced_choice.methods import METHODS
from evaluation.statistics.several_looks.absorption import exactly_absorbed

ENDS = ("noticed", "not noticed", "undecided")
methods = st.sampled_from(sorted(METHODS))
risks = st.sampled_from([0.3, 0.2, 0.1, 0.05, 0.01])
shares = st.sampled_from([0.15, 0.25, 0.3, 0.5, 0.75])


def guessing(method: str) -> Fraction:
    return {"duo-trio": Fraction(1, 2), "2-afc": Fraction(1, 2), "two-out-of-five": Fraction(1, 10)}.get(
        method, Fraction(1, 3)
    )


def every_path(plan: SequentialPlan, p: Fraction) -> tuple[dict[str, Fraction], Fraction]:
    """All sequences of right and wrong up to the end, each followed to where the plan's limits stop it."""
    end = plan.max_assessments
    assert end is not None
    found, mean = dict.fromkeys(ENDS, Fraction(0)), Fraction(0)
    limits = [(k, plan.lower(k), plan.upper(k)) for k in range(1, end + 1)]
    weights = [p**right * (1 - p) ** (end - right) for right in range(end + 1)]
    for path in product((0, 1), repeat=end):
        weight, correct = weights[sum(path)], 0
        word, asked = "undecided", end
        for (k, lower, upper), right in zip(limits, path, strict=True):
            correct += right
            if upper is not None and correct >= upper:
                word, asked = "noticed", k
                break
            if lower is not None and correct <= lower:
                word, asked = "not noticed", k
                break
        found[word] += weight
        mean += weight * asked
    return found, mean


@pytest.mark.parametrize(
    ("method", "alpha", "beta", "pd", "every", "end"),
    [
        ("triangle", 0.05, 0.05, 0.5, 1, 12),
        ("triangle", 0.1, 0.2, 0.4, 1, 13),
        ("duo-trio", 0.2, 0.1, 0.5, 1, 12),
        ("duo-trio", 0.16, 0.19, 0.5, 2, 12),
        ("2-afc", 0.05, 0.3, 0.75, 3, 12),
        ("tetrad", 0.3, 0.3, 0.3, 4, 12),
        ("two-out-of-five", 0.05, 0.05, 0.3, 1, 11),
        ("3-afc", 0.01, 0.01, 0.9, 5, 10),
    ],
)
def test_every_path_by_hand(method: str, alpha: float, beta: float, pd: float, every: int, end: int) -> None:
    """2^n paths in fractions; only the limits are taken from the plan."""
    plan = sequential_plan(method, alpha, beta, pd, every, end)
    g = guessing(method)
    truth = g + Fraction(str(pd)) * (1 - g)
    by_hand = [every_path(plan, p) for p in (g, truth, Fraction(2, 5))]
    for p, (words, mean) in zip((g, truth, Fraction(2, 5)), by_hand, strict=True):
        found = plan.operating(proportion_correct=float(p))
        assert found.noticed == pytest.approx(float(words["noticed"]), rel=1e-12, abs=1e-15)
        assert found.not_noticed == pytest.approx(float(words["not noticed"]), rel=1e-12, abs=1e-15)
        assert found.undecided == pytest.approx(float(words["undecided"]), rel=1e-12, abs=1e-15)
        assert found.expected_assessments == pytest.approx(float(mean), rel=1e-12)
    at_null, at_truth = by_hand[0][0]["noticed"], by_hand[1][0]["not noticed"]
    assert at_null <= Fraction(str(alpha))
    assert at_truth <= Fraction(str(beta))
    assert plan.alpha_exact == pytest.approx(float(at_null), rel=1e-12)
    assert plan.beta_exact == pytest.approx(float(at_truth), rel=1e-12)


def wald(k: int, plan: SequentialPlan) -> tuple[int, int]:
    """Both limits at k from the likelihood ratio itself, every count tried: no lines, no rounding."""
    g = guessing(plan.method)
    truth = g + Fraction(str(plan.pd)) * (1 - g)
    alpha, beta = Fraction(str(plan.alpha)), Fraction(str(plan.beta))
    ratios = [(truth / g) ** d * ((1 - truth) / (1 - g)) ** (k - d) for d in range(k + 1)]
    lower = [d for d in range(k + 1) if ratios[d] <= beta / (1 - alpha)]
    upper = [d for d in range(k + 1) if ratios[d] >= (1 - beta) / alpha]
    return max(lower, default=-1), min(upper, default=k + 1)


@given(methods, risks, risks, shares, st.integers(1, 60))
def test_limits_without_an_end_are_those_of_the_likelihood_ratio(
    method: str, alpha: float, beta: float, pd: float, k: int
) -> None:
    """Wald 1947: stop where the ratio reaches (1 − beta) / alpha or beta / (1 − alpha)."""
    plan = sequential_plan(method, alpha, beta, pd)
    lower, upper = wald(k, plan)
    assert (plan.lower(k), plan.upper(k)) == (lower if lower >= 0 else None, upper if upper <= k else None)


def test_a_count_on_the_line_stops() -> None:
    """Duo-trio, pd .5: four right make a ratio of 1.5⁴ = .81 / .16; three wrong of three make .5³ = .1 / .8."""
    on_upper, on_lower = sequential_plan("duo-trio", 0.16, 0.19, 0.5), sequential_plan("duo-trio", 0.2, 0.1, 0.5)
    assert on_upper.intercept_high + 4 * on_upper.slope == pytest.approx(4, abs=1e-12)
    assert on_upper.upper(4) == 4
    assert on_lower.intercept_low + 3 * on_lower.slope == pytest.approx(0, abs=1e-12)
    assert on_lower.lower(3) == 0
    # .12 / .96 and .02 / .16 are .5³ too, though the quotients of the floats lie below it
    assert sequential_plan("duo-trio", 0.04, 0.12, 0.5).lower(3) == 0
    assert sequential_plan("duo-trio", 0.84, 0.02, 0.5).lower(3) == 0
    # and a risk smaller by more than the last digits does not
    assert sequential_plan("duo-trio", 0.16 - 1e-11, 0.19, 0.5).upper(4) is None
    assert sequential_plan("duo-trio", 0.2, 0.1 - 1e-11, 0.5).lower(3) is None


def test_a_risk_that_is_met_exactly_at_the_end_counts() -> None:
    """Three triangles: all right has 1/27; the float nearest to it is as good."""
    for alpha in (1 / 27, (1 / 3) ** 3, 1 / 3 * 1 / 9):
        assert sequential_plan("triangle", alpha, 0.05, 0.5, max_assessments=3).upper(3) == 3
    assert sequential_plan("triangle", 1 / 27 - 1e-12, 0.05, 0.5, max_assessments=3).upper(3) is None


@given(methods, risks, risks, shares, st.integers(1, 12), st.integers(1, 14))
def test_an_end_keeps_both_risks_and_wastes_nothing(
    method: str, alpha: float, beta: float, pd: float, every: int, rounds: int
) -> None:
    plan = sequential_plan(method, alpha, beta, pd, every, every * rounds)
    assert plan.alpha_exact <= alpha * (1 + 1e-12)
    assert plan.beta_exact <= beta * (1 + 1e-12)
    end = every * rounds
    rows = [(k, -1 if low is None else low, k + 1 if high is None else high) for k, low, high in plan.limits()]
    g = guessing(method)
    *before, (_, lower, upper) = rows
    noticed, _ = exactly_absorbed(rows, g)
    assert float(noticed) == pytest.approx(plan.alpha_exact, rel=1e-10, abs=1e-15)
    # one correct fewer to be noticed at the last look would break alpha, or reach into the line below
    line = math.floor(plan.intercept_low + plan.slope * end + 1e-9)
    if upper - 1 > max(line, lower) and upper <= end:
        # the looks before stop at the counts sure to be noticed at the end; undo that to lower the end alone
        looser = [(k, low, high) for k, low, high in before]
        assert exactly_absorbed([*looser, (end, lower, upper - 1)], g)[0] > Fraction(str(alpha))


@given(methods, risks, risks, shares, st.integers(1, 6), st.integers(1, 20))
def test_limits_are_in_order(method: str, alpha: float, beta: float, pd: float, every: int, rounds: int) -> None:
    """Both never decrease, never meet, exist at looks only, and what is possible stays possible."""
    for plan in (
        sequential_plan(method, alpha, beta, pd, every, every * rounds),
        sequential_plan(method, alpha, beta, pd, every),
    ):
        seen: list[list[int]] = [[], []]
        for k in range(1, every * rounds + 1):
            limits = plan.lower(k), plan.upper(k)
            if k % every:
                assert limits == (None, None)
                assert plan.says(k, k) == plan.says(0, k) == "continue"
                continue
            for one, so_far in zip(limits, seen, strict=True):
                assert one is None or not so_far or one >= so_far[-1]
                assert one is not None or not so_far or plan.max_assessments is not None
                so_far.extend([] if one is None else [one])
            if None not in limits:
                assert limits[0] < limits[1]


@given(methods, risks, risks, shares, st.integers(1, 6), st.one_of(st.none(), st.integers(1, 15)))
def test_the_three_ends_add_up_and_more_noticing_is_noticed_more(
    method: str, alpha: float, beta: float, pd: float, every: int, rounds: int | None
) -> None:
    plan = sequential_plan(method, alpha, beta, pd, every, rounds and every * rounds)
    found = plan.operating(proportion_correct=np.linspace(0, 1, 21))
    assert found.noticed + found.not_noticed + found.undecided == pytest.approx(1.0, abs=1e-11)
    assert (np.diff(found.noticed) >= -1e-12).all()
    assert (np.diff(found.not_noticed) <= 1e-12).all()
    assert (found.expected_assessments >= every).all()
    if rounds is None:
        assert found.undecided.max() < 1e-12
    else:
        assert (found.expected_assessments <= every * rounds * (1 + 1e-12)).all()


@given(methods, risks, risks, shares, st.integers(1, 12))
def test_without_an_end_walds_inequalities_hold(method: str, alpha: float, beta: float, pd: float, every: int) -> None:
    """alpha′ / (1 − beta′) ≤ alpha / (1 − beta), the same turned, and the sum of the risks is not exceeded."""
    plan = sequential_plan(method, alpha, beta, pd, every)
    a, b = plan.alpha_exact, plan.beta_exact
    slack = 1 + 1e-9
    assert a / (1 - b) <= alpha / (1 - beta) * slack
    assert b / (1 - a) <= beta / (1 - alpha) * slack
    assert a + b <= (alpha + beta) * slack


def test_walds_approximations() -> None:
    """Wald's mean number ignores the overshoot, so it lies a little below the exact one; Wald 1947, 3.5."""
    for method in ("triangle", "duo-trio"):
        plan = sequential_plan(method, 0.05, 0.1, 0.1)
        g = chance(method)
        truth = g + 0.1 * (1 - g)
        up, down = math.log(0.9 / 0.05), math.log(0.1 / 0.95)
        right, wrong = math.log(truth / g), math.log((1 - truth) / (1 - g))
        at_null = (0.05 * up + 0.95 * down) / (g * right + (1 - g) * wrong)
        at_truth = (0.9 * up + 0.1 * down) / (truth * right + (1 - truth) * wrong)
        assert at_null < plan.expected_at_null < 1.08 * at_null
        assert at_truth < plan.expected_at_pd < 1.08 * at_truth
        # at a proportion equal to the slope: P(noticed) ≈ −low / (high − low), mean ≈ −low high / (s (1 − s))
        middle = plan.operating(proportion_correct=plan.slope)
        low, high, s = plan.intercept_low, plan.intercept_high, plan.slope
        assert middle.noticed == pytest.approx(-low / (high - low), abs=0.01)
        assert middle.expected_assessments == pytest.approx(-low * high / (s * (1 - s)), rel=0.08)


def test_random_walk_in_closed_form() -> None:
    """Triangle, pd .5, alpha = beta = .05: right − wrong walks between ±5 (gambler's ruin; Feller 1968, XIV.2–3).

    Slope 1/2 and ±2.124: 2 correct − n reaches 4.25 at 5. Ruin odds (q/p)⁵ = 1/32, mean 5 (31/33) / (1/3).
    """
    plan = sequential_plan("triangle", 0.05, 0.05, 0.5)
    assert plan.slope == pytest.approx(0.5, abs=1e-15)
    assert plan.alpha_exact == pytest.approx(1 / 33, rel=1e-10)
    assert plan.beta_exact == pytest.approx(1 / 33, rel=1e-10)
    assert plan.expected_at_null == pytest.approx(15 * 31 / 33, rel=1e-10)
    assert plan.operating(0.25).expected_assessments == pytest.approx(25, rel=1e-10)
    assert next(k for k in range(1, 30) if plan.upper(k) is not None or plan.lower(k) is not None) == 5


def test_one_look_is_the_test_of_fixed_length() -> None:
    """Sizes at which the line is out of reach of alpha: the last look is the only one and alone spends alpha."""
    for method, n in (("triangle", 12), ("triangle", 30), ("duo-trio", 24), ("tetrad", 60)):
        plan = sequential_plan(method, 0.05, 0.05, 0.3, n, n)
        line = math.floor(plan.intercept_low + plan.slope * n)
        fixed = minimum_correct(n, method, 0.05)
        assert fixed is not None
        assert plan.upper(n) == max(fixed, line + 1)
        assert plan.alpha_exact == pytest.approx(binom.sf(max(fixed, line + 1) - 1, n, chance(method)), rel=1e-12)
        lower = plan.lower(n)
        assert lower is not None
        truth = chance(method) + 0.3 * (1 - chance(method))
        assert binom.cdf(lower, n, truth) <= 0.05
        assert lower <= line or lower >= n * chance(method), "below guessing only where the line lies"


def test_an_end_below_guessing_concludes_nothing_beyond_the_line() -> None:
    """ISO 4120:2004, 8.2: three triangles, none right: beta would afford it, the line does not reach it."""
    plan = sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=3)
    assert (plan.lower(3), plan.upper(3)) == (None, 3)
    assert plan.says(0, 3) == "undecided"
    assert (1 / 3) ** 3 < 0.05


def test_a_line_that_would_overspend_is_moved() -> None:
    """Counts on the upper line do not overshoot it, those beyond the lower one do: Wald's lines then take too much."""
    moved = 0
    for method, alpha, beta, pd, every in product(("duo-trio", "triangle"), (0.16, 0.3), (0.01, 0.19), (0.5,), (1, 7)):
        endless = sequential_plan(method, alpha, beta, pd, every)
        ended = sequential_plan(method, alpha, beta, pd, every, 70)
        over = endless.alpha_exact > alpha or endless.beta_exact > beta
        moved += over
        assert ended.alpha_exact <= alpha * (1 + 1e-12)
        assert ended.beta_exact <= beta * (1 + 1e-12)
    assert moved, "no plan of these overspends: the case is not tested"


def test_says_follows_the_limits() -> None:
    plan = sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=12)
    assert [plan.says(x, 5) for x in range(6)] == ["not noticed", *["continue"] * 4, "noticed"]
    assert [plan.says(x, 12) for x in (4, 5, 7, 8)] == ["not noticed", "undecided", "undecided", "noticed"]
    endless = sequential_plan("triangle", 0.05, 0.05, 0.5)
    assert endless.says(6, 12) == "continue"


def test_answers_to_come_that_cannot_change_the_verdict_are_not_asked_for() -> None:
    plan = sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=12)
    assert plan.upper(12) == plan.upper(11) == 8
    assert plan.lower(11) == 3
    assert plan.lower(12) == 4
    longer, endless = (
        sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=24),
        sequential_plan("triangle", 0.05, 0.05, 0.5),
    )
    assert (longer.lower(23), longer.lower(24), endless.lower(23)) == (10, 11, 9), "10 of 23 ends at 11 of 24 at most"
    assert (longer.upper(23), longer.upper(24), endless.upper(23)) == (13, 13, 14)


def test_stopping_times() -> None:
    for end in (None, 24):
        plan = sequential_plan("triangle", 0.05, 0.05, 0.5, look_every=4, max_assessments=end)
        for pd in (0.0, 0.5, 1.0):
            times, found = plan.stopping(pd), plan.operating(pd)
            assert sum(times.noticed) == pytest.approx(found.noticed, abs=1e-12)
            assert sum(times.not_noticed) == pytest.approx(found.not_noticed, abs=1e-12)
            ended = np.add(times.noticed, times.not_noticed)
            mean = ended @ np.array(times.assessments) + times.undecided * times.assessments[-1]
            assert mean == pytest.approx(found.expected_assessments, rel=1e-9)
            assert all(n % 4 == 0 for n in times.assessments)
            half = times.within(0.5)
            assert ended[: times.assessments.index(half) + 1].sum() >= 0.5
            assert ended[: times.assessments.index(half)].sum() < 0.5
    assert sequential_plan("triangle", 0.05, 0.05, 0.5).stopping(1.0).assessments == (1, 2, 3, 4, 5)


def test_looks_where_answers_were_lost() -> None:
    """A round of 12 that brought 11: the totals are given; the limits there are the line's."""
    plan = sequential_plan("triangle", 0.05, 0.05, 0.3, looks=[11, 23, 35])
    assert (plan.looks, plan.max_assessments, plan.look_every) == ((11, 23, 35), 35, 1)
    endless = sequential_plan("triangle", 0.05, 0.05, 0.3)
    assert [plan.upper(k) for k in (11, 12, 23)] == [endless.upper(11), None, endless.upper(23)]
    assert plan.alpha_exact <= 0.05
    regular = sequential_plan("triangle", 0.05, 0.05, 0.3, 12, 36)
    assert sequential_plan("triangle", 0.05, 0.05, 0.3, looks=[12, 24, 36]).limits() == regular.limits()
    assert regular.looks is None


def test_shapes_and_echo() -> None:
    plan = sequential_plan("tetrad", 0.05, 0.1, 0.4, 6, 36)
    echoed = (plan.method, plan.alpha, plan.beta, plan.pd, plan.look_every, plan.max_assessments, plan.looks)
    assert echoed == ("tetrad", 0.05, 0.1, 0.4, 6, 36, None)
    assert plan == sequential_plan("tetrad", 0.05, 0.1, 0.4, 6, 36)
    assert isinstance(hash(plan), int)
    with pytest.raises(dataclasses.FrozenInstanceError):
        plan.pd = 0.5  # type: ignore[misc]
    table = plan.operating([[0.0, 0.2], [0.4, 1.0]])
    assert table.noticed.shape == table.expected_assessments.shape == (2, 2)
    assert table.noticed[0, 0] == plan.alpha_exact
    assert table.not_noticed[1, 0] == pytest.approx(plan.beta_exact, rel=1e-12)
    assert (table.expected_assessments[0, 0], table.expected_assessments[1, 0]) == pytest.approx(
        (plan.expected_at_null, plan.expected_at_pd)
    )
    one = plan.operating(0.2)
    assert isinstance(one.noticed, float)
    assert one.noticed == pytest.approx(table.noticed[0, 1], rel=1e-12)
    assert one.proportion_correct == pytest.approx(1 / 3 + 0.2 * 2 / 3)
    assert [row[0] for row in plan.limits(20)] == [6, 12, 18]
    assert len(sequential_plan("tetrad", 0.05, 0.1, 0.4).limits(100)) == 100


def test_ten_thousand_steps_keep_the_risk() -> None:
    """How long they take is for the benchmarks to say (``python -m benchmarks``): a busy machine would decide a test."""
    assert 0.04 < sequential_plan("triangle", 0.05, 0.05, 0.05, max_assessments=10_000).alpha_exact <= 0.05


REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"method": "hexad"}, "method must be one of 'triangle'"),
    ({"alpha": 0.0}, "alpha must lie between 0 and 1"),
    ({"beta": math.nan}, "beta must be a finite number|beta must lie"),
    ({"pd": 1.0}, "pd must lie between 0 and 1"),
    ({"alpha": 0.5, "beta": 0.5}, "alpha and beta must add up to less than 1, not 1"),
    ({"look_every": 0}, "look_every must be from 1 to"),
    ({"max_assessments": 0}, "max_assessments must be from 1 to 100000"),
    ({"max_assessments": 1_000_000}, "max_assessments must be from 1 to 100000"),
    ({"look_every": 12, "max_assessments": 50}, r"multiple of look_every \(12\), such as 48, not 50"),
    ({"look_every": 12, "max_assessments": 6}, "such as 12, not 6"),
    ({"looks": [12, 12]}, r"looks must hold increasing totals from 1 to 100000, not \[12, 12\]"),
    ({"looks": []}, "looks must hold increasing totals"),
    ({"looks": [0, 3]}, "looks must hold whole numbers from 1"),
    ({"looks": [3], "look_every": 3}, "looks must be given alone"),
    ({"pd": 0.001}, "pd must be large enough .* 100000 assessments"),
]


@pytest.mark.parametrize(("wrong", "says"), REFUSED)
def test_refused_arguments(wrong: dict[str, Any], says: str) -> None:
    with pytest.raises(ArgumentError, match=says):
        sequential_plan(**{"method": "triangle", "alpha": 0.05, "beta": 0.05, "pd": 0.3, **wrong})


def test_refused_questions() -> None:
    plan, endless = sequential_plan("triangle", 0.05, 0.05, 0.5, 3, 12), sequential_plan("triangle", 0.05, 0.05, 0.5)
    for call, says in (
        (lambda: plan.upper(13), "assessments must be from 1 to 12, not 13"),
        (lambda: plan.lower(0), "assessments must be from 1 to 12, not 0"),
        (lambda: plan.says(4, 3), "correct must be from 0 to 3, not 4"),
        (lambda: plan.operating(), "not neither"),
        (lambda: plan.operating(0.3, proportion_correct=0.5), "not both"),
        (lambda: plan.operating(1.5), "pd must be from 0 to 1"),
        (lambda: plan.operating(proportion_correct=[0.5, math.nan]), "proportion_correct must be from 0 to 1"),
        (lambda: plan.stopping([0.1]), "pd must be one number"),  # type: ignore[arg-type]
        (lambda: plan.stopping(0.3).within(1.0), "share must lie between 0 and 1"),
        (lambda: endless.limits(), "until must be a whole number from 1 to 100000: this plan has no last look"),
        (lambda: endless.limits(0), "until must be from 1"),
    ):
        with pytest.raises(ArgumentError, match=says):
            call()
    with pytest.raises(KindError, match="assessments"):
        plan.upper("3")  # type: ignore[arg-type]
    with pytest.raises(KindError, match="max_assessments"):
        sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=True)
