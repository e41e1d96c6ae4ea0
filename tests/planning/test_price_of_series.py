"""What a series costs beside a fixed number: the figures of issue 15, and the range the plan page tells."""

from __future__ import annotations

from decimal import Decimal

import pytest

from evaluation.planning import sizes
from evaluation.planning.price_of_series import DEARER, price_of, prices_by_method, votes_of_final
from tests.scenes import plan


def test_strips_at_d_prime_one_by_method() -> None:
    """Medians set before the code was written, by a recursion apart from it (issue 15): 771, 212, 48 and 40 strips."""
    found = dict(prices_by_method(Decimal(1), 0.05, 0.05))
    assert {method: found[method] for method in ("triangle", "tetrad", "3-afc", "2-afc")} == {
        "triangle": 771,
        "tetrad": 212,
        "3-afc": 48,
        "2-afc": 40,
    }


@pytest.mark.parametrize(("method", "step"), [("triangle", "marked"), ("tetrad", "moderate"), ("2-afc", "moderate")])
def test_to_be_as_sure_takes_one_and_a_half_times_a_rightly_chosen_number(method: str, step: str) -> None:
    """Within the range that is told; against the first number with that power, which standards list, a little more."""
    size = sizes.STEPS[step]
    named = {"descriptor": "smokier", "expected": "second"} if method == "2-afc" else {}
    price = price_of(plan(method=method, size=size, pd=sizes.sealed(size, method), **named))  # type: ignore[arg-type]
    assert price.fixed is not None
    assert price.as_sure is not None
    assert DEARER[0] - 0.05 <= price.as_sure / price.fixed <= DEARER[1]


def test_half_of_all_finals_are_short_where_most_prefer_the_trial() -> None:
    """Nine in ten within 37 votes at .80: the issue asks for .95 of first finals of up to 60."""
    assert votes_of_final(25.0, 0.8) == (17, 37)
    half, most = votes_of_final(125.0, 0.8)
    assert (half, most) == (24, 50)
