"""What a plan can find before anybody smells (evaluation/outlook.py), against a plain enumeration with scipy."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import binom, ncf, norm

from evaluation.errors import ArgumentError, KindError
from evaluation.outlook import Alternative, Outlook, outlook, outlook_of
from tests.scenes import plan
from tests.test_verdicts import GUESSING, naive


def asked(
    method: str, people: int, replicates: int = 1, ages: int = 1, primary: bool = True, **risks: float
) -> Outlook:
    chosen = {"alpha": 0.05, "beta": 0.05, "pd": 0.30} | risks
    return outlook(method, people, replicates, ages, chosen["alpha"], chosen["beta"], chosen["pd"], primary)


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


def test_replicates_of_several_people_cannot_end_in_not_noticed() -> None:
    assert "not noticed" in asked("triangle", 1, 12, pd=0.9).possible
    assert "not noticed" in asked("triangle", 60).possible
    found = asked("triangle", 10, 6)
    assert "not noticed" in found.impossible
    assert "replicated limit" in found.reasons
    assert found.to_confirm == ("not noticed",)


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
        ({"replicates": 13}, "replicates must be from 1 to 12"),
        ({"ages": 0}, "ages must be 1 or more"),
        ({"alpha": 0.0}, "alpha must lie between 0 and 1"),
        ({"pd": 1.0}, "pd must lie between 0 and 1"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(broken: dict[str, Any], message: str) -> None:
    sound = {"method": "triangle", "people": 8, "replicates": 1, "ages": 1, "alpha": 0.05, "beta": 0.05, "pd": 0.3}
    with pytest.raises((ArgumentError, KindError), match=message):
        outlook(**(sound | broken))
