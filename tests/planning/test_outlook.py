"""What a plan can find before anybody smells (evaluation/planning/outlook.py), against a plain enumeration with scipy."""

from __future__ import annotations

import math
from decimal import Decimal
from itertools import combinations_with_replacement
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import binom, ncf, norm

from evaluation import wording
from evaluation.errors import ArgumentError, KindError
from evaluation.planning.designs import surface
from evaluation.planning.outlook import Alternative, Looks, Outlook, outlook, outlook_of
from evaluation.statistics import sequential_plan
from tests.holm import multipletests
from tests.judging.test_verdicts import GUESSING, naive
from tests.scenes import ages, plan


def asked(method: str, people: int, replicates: int = 1, ages: int = 1, primary: bool = True, **others: Any) -> Outlook:
    chosen = {"alpha": 0.05, "beta": 0.05, "pd": 0.30} | others
    risks = [chosen.pop(name) for name in ("alpha", "beta", "pd")]
    return outlook(method, people, replicates, ages, *risks, primary, **chosen)


def one(found: Outlook, kind: str, method: str = "") -> Alternative:
    (match,) = [o for o in found.better if o.kind == kind and (not method or o.method == method)]
    return match


# --- which verdicts can occur -----------------------------------------------------------------------------------


@pytest.mark.parametrize("method", list(GUESSING))
@pytest.mark.parametrize("people", [1, 2, 3, 4, 5, 6, 8, 12, 20, 24, 36, 60, 150])
def test_possible_verdicts_are_those_some_count_leads_to(method: str, people: int) -> None:
    found = asked(method, people)
    words = {word for word, _ in naive(people, method, 0.05, 0.05, 0.30)}
    assert set(found.possible) == words
    assert set(found.possible) | set(found.impossible) == {"noticed", "not noticed", "noticed, but small", "undecided"}
    assert not set(found.possible) & set(found.impossible)
    assert found.can_be_sealed == bool(words - {"undecided"})


@pytest.mark.parametrize("people", [1, 2])
def test_a_plan_that_can_conclude_nothing_is_refused(people: int) -> None:
    """Triangle: 2 of 2 right has p = 1/9, so nothing reaches .05 under three people (1/27: J. Soc. Cosmet. Chem. 22)."""
    found = asked("triangle", people)
    assert not found.can_be_sealed
    assert found.reasons[:2] == ("nothing can be concluded", "alpha out of reach")
    assert asked("triangle", 3).can_be_sealed


@pytest.mark.parametrize("people", range(6, 21))
def test_the_limit_lies_below_guessing_in_small_panels(people: int) -> None:
    """The rules (DEVELOPERS.md): at n = 6–20 and pd .30 always."""
    found = asked("triangle", people)
    assert found.maximum_correct is None
    assert "limit below guessing" in found.reasons
    assert found.to_confirm == ("not noticed",)


@pytest.mark.parametrize(("people", "replicates"), [(2, 3), (4, 12), (8, 4), (10, 6), (12, 12)])
def test_replicates_of_several_people_end_in_not_noticed_for_this_panel(people: int, replicates: int) -> None:
    """Hoeffding 1956 (from memory): the binomial limit holds for unequal chances where it lies one below the mean."""
    found, n = asked("triangle", people, replicates), people * replicates
    truth = 1 / 3 + 0.3 * 2 / 3
    most = max((x for x in range(n + 1) if binom.cdf(x, n, truth) <= 0.05 and x <= n * truth - 1), default=-1)
    assert found.maximum_correct == (most if most >= n / 3 else None)
    # so few that guessing explains them with probability .05 or less are never concluded from (verdicts, lower tail)
    counts = [x for x in range(max(most, -1) + 1) if binom.cdf(x, n, 1 / 3) > 0.05] if most >= n / 3 else []
    assert ("not noticed" in found.possible) == bool(counts)
    assert found.speaks_for == "this panel"


def test_nothing_to_confirm_where_both_verdicts_can_occur() -> None:
    assert asked("triangle", 60).to_confirm == ()


# --- numbers ----------------------------------------------------------------------------------------------------


def test_thirty_five_triangles_of_a_published_example() -> None:
    """A statistics blog, March 2013 (read; row d-blog-35): n = 35, pd 1/3: critical 17, alpha .0442, power .8417."""
    found = asked("triangle", 35, pd=1 / 3)
    assert found.minimum_correct == 17
    assert (found.true_alpha, found.power) == (pytest.approx(0.0442, abs=5e-5), pytest.approx(0.8417, abs=5e-5))


@pytest.mark.parametrize(
    ("pd", "beta", "first"), [(0.2, 0.2, 87), (0.3, 0.2, 40), (0.3, 0.05, 66), (0.4, 0.1, 30), (0.5, 0.2, 16)]
)
def test_panel_sizes_of_the_triangle_table(pd: float, beta: float, first: int) -> None:
    """ISO 4120 Table A.3 (from memory, exact binomial agrees): the first n that reaches the power."""
    found = asked("triangle", 12, pd=pd, beta=beta)
    assert found.panel_size_first == first
    assert found.panel_size_stays is not None
    assert found.panel_size_stays >= first


def test_the_smallest_change_is_found_with_the_power_asked_for() -> None:
    found = asked("triangle", 12)
    assert found.smallest_pd is not None
    truth = 1 / 3 + found.smallest_pd * 2 / 3
    assert binom.sf(found.minimum_correct - 1, 12, truth) == pytest.approx(0.95)
    assert asked("triangle", 2).smallest_pd is None


def test_without_a_primary_age_the_strictest_step_counts() -> None:
    assert asked("triangle", 12, ages=3, primary=False).alpha_used == pytest.approx(0.05 / 3)
    assert asked("triangle", 12, ages=3).alpha_used == 0.05
    assert asked("preference", 12, ages=3, primary=False).alpha_used == pytest.approx(
        0.05 / 4
    )  # and the overall choice


# --- better designs ---------------------------------------------------------------------------------------------


def test_methods_are_compared_at_equal_distance() -> None:
    """The triangle by the noncentral F and 2-AFC by the normal integral (Ennis 1993, from memory), solved by scipy."""
    found = asked("triangle", 8)
    truth = 1 / 3 + 0.3 * 2 / 3
    distance = brentq(lambda d: ncf.sf(3, 1, 1, 2 * d * d / 3) - truth, 0.01, 10)
    assert found.d_prime == pytest.approx(distance)
    pair = one(found, "method", "2-afc")
    assert pair.power == pytest.approx(binom.sf(7 - 1, 8, norm.cdf(distance / np.sqrt(2))))
    assert (pair.minimum_correct, pair.strips_per_nose) == (7, 2)


def test_equal_pd_would_have_hidden_the_gain() -> None:
    """A tetrad has the triangle's numbers at equal pd (check-values, 1): the gain shows at equal distance only."""
    found = asked("triangle", 12)
    assert asked("tetrad", 12).power == found.power
    assert one(found, "method", "tetrad").power > found.power + 0.1


def test_every_better_design_is_better() -> None:
    for method in GUESSING:
        found = asked(method, 8, ages=2, primary=False)
        assert all(other.power > found.power for other in found.better)
        assert {other.kind for other in found.better} >= {"replicates", "people"}
    assert not [other for other in asked("two-out-of-five", 8).better if other.kind == "method"]


def test_one_age_is_better_where_a_wider_level_takes_fewer_right() -> None:
    """2-AFC, 8 people: 7 right reach .05 (p = .035), only 8 reach .025."""
    found = asked("2-afc", 8, ages=2, primary=False)
    assert (found.minimum_correct, one(found, "one age").minimum_correct) == (8, 7)
    assert not [other for other in asked("2-afc", 8, ages=2).better if other.kind == "one age"]


def test_more_replicates_speak_for_this_panel() -> None:
    found = asked("triangle", 12)
    more = one(found, "replicates")
    assert more.power >= 0.95
    assert (found.speaks_for, more.speaks_for) == ("people like this panel", "this panel")
    assert more.sets_per_nose == more.replicates
    fewer = outlook("triangle", 12, more.replicates - 1, 1, 0.05, 0.05, 0.3)
    assert fewer.power < 0.95


def test_more_people_than_now_have_the_power() -> None:
    more = one(asked("triangle", 12), "people")
    assert (more.people, more.power >= 0.95) == (73, True)


# --- strips -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "replicates", "ages", "strips", "tired"),
    [
        ("triangle", 4, 1, 12, False),
        ("triangle", 5, 1, 15, True),
        ("tetrad", 3, 1, 12, False),
        ("tetrad", 2, 2, 16, True),
        ("2-afc", 2, 2, 8, False),
        ("2-afc", 5, 1, 10, True),
        ("preference", 1, 3, 6, False),
    ],
)
def test_strips_per_nose_and_when_it_tires(method: str, replicates: int, ages: int, strips: int, tired: bool) -> None:
    """More than 12 strips or 4 sets a sitting (our proposal: common practice, no source)."""
    found = asked(method, 8, replicates, ages)
    assert found.strips_per_nose == strips
    assert ("rest needed" in found.reasons) == tired


@pytest.mark.parametrize(("method", "nulls", "strips", "tired"), [("triangle", 1, 12, False), ("tetrad", 1, 16, True)])
def test_null_sets_are_smelt_too(method: str, nulls: int, strips: int, tired: bool) -> None:
    found = asked(method, 8, 3, null_sets=nulls)
    assert (found.sets_per_nose, found.strips_per_nose) == (4, strips)
    assert ("rest needed" in found.reasons) == tired
    assert found.assessments == 24, "null answers are never counted among the real ones"
    assert found.power == asked(method, 8, 3).power
    assert all(other.sets_per_nose == other.replicates * other.ages + nulls for other in found.better)


# --- null sets --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "guessing", "level"), [("triangle", 1 / 3, 0.05), ("tetrad", 1 / 3, 0.05), ("2-afc", 1 / 2, 0.025)]
)
@pytest.mark.parametrize(("people", "sets"), [(2, 1), (8, 1), (6, 2), (12, 4)])
def test_what_null_sets_catch(method: str, guessing: float, level: float, people: int, sets: int) -> None:
    """Said: "it would have caught pd {x} with power {y}". With a direction both ways count, each at half."""
    nulls, n = asked(method, people, null_sets=sets).nulls, people * sets
    assert nulls is not None
    reaching = [x for x in range(n + 1) if binom.sf(x - 1, n, guessing) <= level]
    assert (nulls.assessments, nulls.minimum) == (n, reaching[0] if reaching else None)
    truth = guessing + 0.3 * (1 - guessing)
    assert nulls.power == pytest.approx(binom.sf(reaching[0] - 1, n, truth) if reaching else 0.0)
    assert asked(method, people).nulls is None


# --- looks ------------------------------------------------------------------------------------------------------


def walked(limits: Any, truth: float) -> tuple[float, float, float, float]:
    """Noticed, not noticed, undecided, mean number of answers: block by block with scipy's binomial."""
    going, before = np.array([1.0]), 0
    noticed = not_noticed = mean = 0.0
    for n, low, high in limits:
        mean += going.sum() * (n - before)
        going = np.convolve(going, binom.pmf(np.arange(n - before + 1), n - before, truth))
        x = np.arange(n + 1)
        up, down = x >= (n + 1 if high is None else high), x <= (-1 if low is None else low)
        noticed, not_noticed = noticed + going[up].sum(), not_noticed + going[down].sum()
        going, before = np.where(up | down, 0.0, going), n
    return noticed, not_noticed, going.sum(), mean


def looked(found: Outlook) -> Looks:
    assert found.looks is not None
    return found.looks


@pytest.mark.parametrize(("method", "people", "replicates", "every"), [("triangle", 24, 1, 1), ("2-afc", 1, 40, 4)])
def test_a_plan_with_looks_has_the_exact_risks_of_its_looks(
    method: str, people: int, replicates: int, every: int
) -> None:
    found = asked(method, people, replicates, look_every=every, pd=0.5, solo=people == 1)
    looks = looked(found)
    limits = sequential_plan(method, 0.05, 0.05, 0.5, every, people * replicates).limits()
    guessing = GUESSING[method]
    by_guessing, at_pd = walked(limits, float(guessing)), walked(limits, float(guessing + 0.5 * (1 - guessing)))
    assert looks.alpha_exact == pytest.approx(by_guessing[0]) == pytest.approx(found.true_alpha)
    assert looks.beta_exact == pytest.approx(at_pd[1])
    assert found.power == pytest.approx(at_pd[0])
    assert looks.undecided == pytest.approx(at_pd[2])
    assert (looks.expected_guessing, looks.expected_pd) == (pytest.approx(by_guessing[3]), pytest.approx(at_pd[3]))
    assert max(looks.alpha_exact, looks.beta_exact) <= 0.05
    assert looks.expected_guessing < looks.most == people * replicates
    assert {"noticed", "not noticed"} <= set(found.possible)
    assert "noticed, but small" in found.impossible


def test_a_panel_with_several_answers_each_never_stops_as_not_noticed() -> None:
    found = asked("triangle", 6, 8, look_every=6, pd=0.5)
    assert found.possible == ("noticed", "undecided")
    assert found.to_confirm == ("not noticed",)
    assert "looks at several answers per person" in found.reasons
    limits = sequential_plan("triangle", 0.05, 0.05, 0.5, 6, 48).limits()
    at_pd = walked(limits, 2 / 3)
    assert looked(found).undecided == pytest.approx(at_pd[1] + at_pd[2])  # at the lower line it ends undecided
    assert "not noticed" in asked("triangle", 1, 48, look_every=6, pd=0.5).possible
    assert "not noticed" in asked("triangle", 48, look_every=6, pd=0.5).possible


def test_the_earliest_stops_are_those_of_the_limits() -> None:
    looks = looked(asked("triangle", 24, look_every=4, pd=0.5))
    limits = sequential_plan("triangle", 0.05, 0.05, 0.5, 4, 24).limits()
    assert looks.first_noticed == next((n, high) for n, _, high in limits if high is not None)
    # none of 8 right has probability (2/3)^8 = .039 by guessing: that is the wrong way round, not "not noticed"
    least = next((n, low) for n, low, _ in limits if low is not None and binom.cdf(low, n, 1 / 3) > 0.05)
    assert looks.first_not_noticed == least


# --- alone ------------------------------------------------------------------------------------------------------


def test_alone_the_other_designs_are_those_one_person_can_hold() -> None:
    found = asked("triangle", 1, 8, solo=True)
    assert found.speaks_for == "this nose"
    assert {other.method for other in found.better} == {"triangle", "tetrad", "2-afc", "3-afc"}
    assert not [other for other in found.better if other.kind == "people"]
    assert one(found, "replicates").replicates % 2 == 0  # pairs of envelopes, one of either kind


# --- the power surface ------------------------------------------------------------------------------------------


def share(method: str, d: float) -> float:
    """Proportion correct at a distance: the decision rules as integrals (from memory, Ennis 1993; Ennis & Jesionka)."""
    a, b = norm.cdf(d / 2**0.5), norm.cdf(d / 6**0.5)

    def three(z: float) -> float:
        return float(norm.pdf(z - d) * norm.cdf(z) ** 2)

    def tetrad(z: float) -> float:
        return float(norm.pdf(z) * (2 * norm.cdf(z) * norm.cdf(z - d) - norm.cdf(z - d) ** 2))

    return {
        "triangle": lambda: float(ncf.sf(3, 1, 1, 2 * d * d / 3)),
        "duo-trio": lambda: float(1 - a - b + 2 * a * b),
        "2-afc": lambda: float(a),
        "3-afc": lambda: float(quad(three, -9, d + 9)[0]),
        "tetrad": lambda: float(1 - 2 * quad(tetrad, -9, 9)[0]),
    }[method]()


@pytest.mark.parametrize("method", ["triangle", "tetrad", "2-afc"])
def test_the_surface_compares_at_equal_distance_tooth_by_tooth(method: str) -> None:
    found = surface(asked(method, 8, 2))
    assert found is not None
    distance = found.plan.d_prime
    assert distance == pytest.approx(brentq(lambda d: share(method, d) - share_at(method, 0.3), 0.01, 10))
    assert [curve.method for curve in found.curves] == ["triangle", "tetrad", "3-afc", "2-afc", "duo-trio"]
    for curve in found.curves:
        guessing, truth = float(GUESSING[curve.method]), share(curve.method, float(distance or 0))
        for n, power in zip(found.assessments, curve.power, strict=True):
            least = next((x for x in range(n + 1) if binom.sf(x - 1, n, guessing) <= 0.05), n + 1)
            assert power == pytest.approx(binom.sf(least - 1, n, truth), abs=1e-9)
        assert any(later < earlier for earlier, later in zip(curve.power, curve.power[1:], strict=False))
        assert curve.planned == curve.power[found.assessments.index(16)]
    assert found.own.planned == pytest.approx(found.plan.power)


def share_at(method: str, pd: float) -> float:
    return float(GUESSING[method]) + pd * (1 - float(GUESSING[method]))


def test_strips_for_the_power_asked_for() -> None:
    """73 triangles keep power .95 at pd .30 (test above); 8 people smell ten each, and one null set."""
    found = surface(asked("triangle", 8, null_sets=1))
    assert found is not None
    assert (found.own.needed, found.own.sets_needed, found.own.strips_needed) == (73, 11, 33)
    assert [curve.strips for curve in found.curves] == [6, 8, 6, 4, 6]
    alone = surface(asked("triangle", 1, 8, solo=True))
    assert alone is not None
    assert alone.own.sets_needed == 74  # whole pairs
    assert "duo-trio" not in [curve.method for curve in alone.curves]


def test_a_large_plan_stays_in_sight() -> None:
    found = surface(asked("triangle", 80, 6))
    assert found is not None
    assert found.assessments[0] < 480 < found.assessments[-1]
    assert len(found.assessments) <= 160


def test_no_surface_without_a_distance() -> None:
    assert surface(asked("two-out-of-five", 8)) is None
    assert surface(asked("preference", 8)) is None


# --- preferences ------------------------------------------------------------------------------------------------


def test_what_a_preference_needs() -> None:
    """The rules (DEVELOPERS.md): 6 of 6, 8 of 8, 9 of 10, 10 of 12; five people can never reach .05."""
    found = asked("preference", 12)
    assert found.needed == ((6, 6), (8, 8), (10, 9), (12, 10))
    assert found.minimum_correct == 10
    assert found.can_be_sealed
    for people in range(1, 6):
        few = asked("preference", people)
        assert (few.can_be_sealed, few.possible) == (False, ("no preference shown",))


def test_power_of_a_preference_counts_both_tails() -> None:
    found = asked("preference", 12, pd=0.6)
    assert found.power == pytest.approx(binom.sf(9, 12, 0.8) + binom.cdf(2, 12, 0.8))
    assert found.true_alpha == pytest.approx(2 * binom.sf(9, 12, 0.5))
    assert found.smallest_pd is not None
    share = (1 + found.smallest_pd) / 2
    assert binom.sf(9, 12, share) + binom.cdf(2, 12, share) == pytest.approx(0.95)


# --- plans and bad input ----------------------------------------------------------------------------------------


def test_a_plan_has_the_outlook_of_its_numbers() -> None:
    made = plan(9, spare=3, minutes=(5, 30), replicates=2, alpha=Decimal("0.10"), primary=None)
    assert outlook_of(made) == asked("triangle", 9, 2, 2, primary=False, alpha=0.1)


@pytest.mark.parametrize(
    ("broken", "message"),
    [
        ({"method": "quadrangle"}, "method must be one of"),
        ({"people": 0}, "people must be 1 or more, not 0"),
        ({"people": 2.5}, "people must be a whole number"),
        ({"replicates": 61}, "replicates must be from 1 to 60"),
        ({"null_sets": 5}, "null_sets must be from 0 to 4"),
        ({"look_every": -1}, "look_every must be"),
        ({"look_every": 3}, "must be a multiple of look_every"),
        ({"solo": True}, "people must be from 1 to 1"),
        (
            {"solo": True, "people": 1, "method": "duo-trio"},
            "method must be one of 'triangle', 'tetrad', '2-afc', '3-afc'",
        ),
        ({"ages": 0}, "ages must be 1 or more"),
        ({"alpha": 0.0}, "alpha must lie between 0 and 1"),
        ({"pd": 1.0}, "pd must lie between 0 and 1"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(broken: dict[str, Any], message: str) -> None:
    sound = {"method": "triangle", "people": 8, "replicates": 1, "ages": 1, "alpha": 0.05, "beta": 0.05, "pd": 0.3}
    with pytest.raises((ArgumentError, KindError), match=message):
        outlook(**(sound | broken))


def test_a_nose_on_strip_and_skin_smells_both_and_is_told_so() -> None:
    age = ages(30)
    on_skin = plan(people=12, method="2-afc", medium="skin")
    both = plan(people=12, method="2-afc", medium="strip and skin", skin_ages=age)
    found = outlook_of(both)
    assert (found.sets_per_nose, found.strips_per_nose) == (2, 4)
    assert "Each nose smells 4 strips and places on skin in 2 sets." in wording.outlook_lines(found)
    assert "Each nose smells 2 places on skin in 1 set." in wording.outlook_lines(outlook_of(on_skin))
    assert found.minimum_correct == outlook_of(on_skin).minimum_correct  # each medium is judged by itself


# --- several ages, none of them primary ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "people", "ages", "pd"), [("triangle", 30, 3, 0.3), ("2-afc", 30, 3, 0.4), ("2-afc", 9, 2, 0.6)]
)
def test_power_at_every_age_is_that_of_holm_over_all_counts(method: str, people: int, ages: int, pd: float) -> None:
    """Against statsmodels' Holm over every combination of counts, weighted by scipy's binomial."""
    plan = outlook(method, people, 1, ages, 0.05, 0.05, pd, primary=False)
    guess = {"triangle": 1 / 3, "2-afc": 1 / 2}[method]
    law = binom.pmf(range(people + 1), people, guess + (1 - guess) * pd)
    values = binom.sf([count - 1 for count in range(people + 1)], people, guess)
    order = [one for one in range(people + 1) if law[one] > 1e-9]
    found = 0.0
    for counts in combinations_with_replacement(order, ages):
        alike = math.factorial(ages) / math.prod(math.factorial(counts.count(one)) for one in set(counts))
        weight = alike * math.prod(law[one] for one in counts)
        if weight > 1e-12:
            found += weight * multipletests([values[one] for one in counts], 0.05, "holm")[0].mean()
    assert plan.power_at_every == pytest.approx(found, abs=1e-6)
    levels = {int(np.argmax(values <= 0.05 / step)) for step in range(1, ages + 1)}  # fewest right at each step
    assert (plan.power < plan.power_at_every) == (len(levels) > 1)  # nine answers need 8 right at both steps


def test_the_power_told_where_all_ages_have_the_change() -> None:
    """.43 at the strictest step, .58 at each of three ages that all have it (enumerated above)."""
    plan = outlook("2-afc", 30, 1, 3, 0.05, 0.05, 0.4, primary=False)
    assert (round(plan.power, 2), round(plan.power_at_every or 0, 2)) == (0.43, 0.58)
    told = " ".join(wording.outlook_lines(plan))
    assert "43.2 % where only one age has it, and at each age with 58.4 % where all of them have it" in told


def test_a_primary_age_or_a_single_one_has_one_power() -> None:
    assert outlook("triangle", 30, 1, 3, 0.05, 0.05, 0.3, primary=True).power_at_every is None
    assert outlook("triangle", 30, 1, 1, 0.05, 0.05, 0.3, primary=False).power_at_every is None
