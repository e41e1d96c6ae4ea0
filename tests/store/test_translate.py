"""Rows to frozen values and back (evaluation/store/translate.py)."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation import sessions
from evaluation.errors import ArgumentError
from evaluation.ground import intake
from evaluation.ground.canonical import canonical
from evaluation.sessions import Plan, Seat, StripAge
from evaluation.store.translate import plan_of, plan_text
from tests import methods
from tests.scenes import plan

WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=40).filter(str.strip)
# As many digits as are read back: what has more is refused before it is a plan, see below.
RISKS = st.decimals(Decimal("0.0001"), Decimal("0.9999"), places=intake.MOST_DECIMAL_DIGITS)
IDS = st.text("0123456789abcdef", min_size=16, max_size=16)


@st.composite
def strip_ages(draw: st.DrawFn) -> tuple[StripAge, ...]:
    seconds = draw(st.sets(st.integers(sessions.YOUNGEST_SECONDS, sessions.OLDEST_SECONDS), min_size=1, max_size=4))
    return tuple(StripAge(one, draw(st.integers(5, one))) for one in sorted(seconds))


@st.composite
def panels(draw: st.DrawFn) -> tuple[Seat, ...]:
    people = draw(st.lists(IDS, min_size=1, max_size=6, unique=True))
    spare: list[str | None] = [None] * draw(st.integers(0, 3))
    return tuple(Seat(number, who) for number, who in enumerate([*people, *spare], start=1))


@st.composite
def plans(draw: st.DrawFn) -> Plan:
    """Any plan the values themselves accept."""
    method = draw(st.sampled_from(methods.METHODS))
    ages = draw(strip_ages())
    named: list[Any] = [age.seconds for age in ages]
    if len(ages) > 1:
        named += [None, sessions.OVERALL] if method == "preference" else [None]
    directed = method in methods.DIRECTED
    return Plan.of(
        brief_id=draw(IDS),
        title=draw(WORDS),
        method=method,
        first_trial_id="a" + draw(IDS),
        second_trial_id="b" + draw(IDS),
        medium="strip",
        ages=ages,
        primary=draw(st.sampled_from(named)),
        replicates=1 if method == "preference" else draw(st.integers(1, sessions.MOST_REPLICATES)),
        seats=draw(panels()),
        alpha=draw(RISKS),
        beta=draw(RISKS),
        pd=draw(RISKS),
        descriptor=draw(WORDS) if directed else "",
        expected=draw(st.sampled_from(("first", "second"))) if directed else "",
        ties_allowed=draw(st.booleans()),
        ties_rule=draw(st.sampled_from(sessions.TIES_RULES)),
        asks_nearer=draw(st.booleans()),
        plain_difference=draw(st.booleans()),
        left_out=(*sessions.ALWAYS_OUT, *draw(st.sampled_from(((), ("late",), ("late", "overheard"))))),
        confirmed=draw(st.sampled_from(((), ("noticed",), ("not noticed",)))),
        zone=draw(st.sampled_from(("UTC", "Europe/Paris", "America/St_Johns"))),
    )


@given(plans())
def test_a_plan_comes_back_from_the_store_as_it_was(planned: Plan) -> None:
    """The other way round is the language's own: ``==`` of frozen dataclasses, and the types of every field."""
    back = plan_of(plan_text(planned))
    assert back == planned
    assert [type(getattr(back, name)) for name in Plan.__slots__] == [
        type(getattr(planned, name)) for name in Plan.__slots__
    ]
    assert plan_text(back) == plan_text(planned)


@given(plans())
def test_a_stored_plan_is_what_the_seal_hashes(planned: Plan) -> None:
    assert plan_text(planned).encode() == canonical(planned)
    assert Decimal(json.loads(plan_text(planned))["value"]["alpha"]) == planned.alpha


def test_a_field_added_since_keeps_its_default() -> None:
    """A plan stored before the field ``zone`` existed must still open."""
    stored = json.loads(plan_text(plan(3)))
    del stored["value"]["zone"]
    assert plan_of(json.dumps(stored)) == plan(3)


FROM_A_FLOAT = Decimal.from_float(0.05)  # as somebody writes it in a notebook of Python: 55 digits


@pytest.mark.parametrize("name", ["alpha", "beta", "pd", "size"])
@pytest.mark.parametrize("given", [FROM_A_FLOAT, Decimal("1e-46"), Decimal("0." + "5" * 46)])
def test_a_decimal_that_would_not_be_read_back_is_refused_before_it_is_a_plan(name: str, given: Decimal) -> None:
    with pytest.raises(
        ArgumentError, match=f"^{name} may have at most 45 digits, and as many behind the point"
    ) as told:
        plan(**{name: given})
    assert str(told.value).count(". ") == 0


@pytest.mark.parametrize("given", [Decimal("0." + "5" * 45), Decimal("1e-45")])
def test_the_longest_decimals_that_are_taken_are_read_back(given: Decimal) -> None:
    planned = plan(alpha=given, size=given)
    assert plan_of(plan_text(planned)) == planned
