"""Lines, accords, shares, active matter and batches, against sums by hand and recomputed another way."""

from __future__ import annotations

import math
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.errors import ArgumentError
from evaluation.formulas import (
    Accord,
    Formula,
    Material,
    active_share,
    adds_up,
    as_decimal,
    batch,
    exact,
    opened,
    total,
    whole,
)
from tests.formulas.made import ETHANOL, formula, formulas, line

# By hand: the accord Wood is 20 parts of the whole, of which vetiver 3/4 and cedar 1/4; 5 + 20 + 75 = 100.
NESTED = formula(
    line("Bergamot", 5),
    line("Vetiver", 6, 10, "Wood"),
    line("Cedar", 2, 100, "Wood"),
    line("Ethanol", 75),
    accords=[Accord("Wood", "", Decimal(20))],
)


def shares(given: Formula) -> dict[str, Fraction]:
    return {one.line.material.name: one.share for one in opened(given)}


def test_an_accord_is_opened_to_its_materials() -> None:
    assert total(NESTED) == 100
    found = shares(NESTED)
    assert found == {
        "Bergamot": Fraction(5, 100),
        "Vetiver": Fraction(15, 100),
        "Cedar": Fraction(5, 100),
        "Ethanol": Fraction(75, 100),
    }
    # By hand: bergamot 5, vetiver 15 of a stock of 10 %, cedar 5; ethanol is none of it.
    assert active_share(NESTED) == Fraction(115, 1000)


def test_an_accord_without_parts_is_as_much_as_its_lines() -> None:
    made = formula(
        line("Cedar", 2, accord="Wood"), line("Vetiver", 6, accord="Wood"), line("Bergamot", 2), line("Cedar", 10)
    )
    assert [(one.line.material.name, one.parts) for one in opened(made)] == [
        ("Cedar", 2),
        ("Vetiver", 6),
        ("Bergamot", 2),
        ("Cedar", 10),
    ]


def test_accords_in_accords() -> None:
    """By hand: Heart is 30 of 40; inside it Rose is half; of Rose iris is one third: 30/40 × 1/2 × 1/3 = 1/8."""
    made = formula(
        line("Iris butter", 1, accord="Rose"),
        line("Ambrette", 2, accord="Rose"),
        line("Cedar", 4, accord="Heart"),
        line("Bergamot", 10),
        accords=[Accord("Heart", "", Decimal(30)), Accord("Rose", "Heart", Decimal(4))],
    )
    assert shares(made)["Iris butter"] == Fraction(1, 8)
    assert [one.accords for one in opened(made)][:2] == [("Heart", "Rose")] * 2


@given(formulas())
def test_opened_parts_make_the_total_whatever_nests(made: Formula) -> None:
    assert sum(one.parts for one in opened(made)) == total(made)
    assert sorted(one.line.parts for one in opened(made)) == sorted(one.parts for one in made.lines)
    if made.out_of is None:
        assert sum(one.share for one in opened(made)) == 1
        assert 0 <= active_share(made) <= 1
    assert whole(made) == (total(made) if made.out_of is None else made.out_of)


@given(formulas())
def test_lines_of_an_accord_stand_together(made: Formula) -> None:
    """Read in order, each accord begins once and ends once."""
    paths = [one.accords for one in opened(made)]
    for name in {name for path in paths for name in path}:
        inside = [name in path for path in paths]
        assert inside.count(True) == len(inside) - inside[::-1].index(True) - inside.index(True)


def test_whether_it_adds_up_to_what_was_said() -> None:
    lines = (line("Cedar", "99.9"),)
    assert adds_up(Formula(lines, out_of=Decimal(100)))  # a tenth of a point may lack: rounded lines
    assert not adds_up(Formula((line("Cedar", "99.89"),), out_of=Decimal(100)))
    assert adds_up(Formula((line("Cedar", "1001"),), out_of=Decimal(1000)))
    assert not adds_up(Formula((line("Cedar", "1001.1"),), out_of=Decimal(1000)))
    assert not adds_up(Formula(lines))  # nobody said what the parts make: a forgotten line would not show


@pytest.mark.parametrize(
    ("accords", "told"),
    [
        ([Accord("Wood", "Green"), Accord("Green", "Wood")], "inside itself"),
        ([Accord("Wood", "Wood")], "inside itself"),
        ([Accord("Wood"), Accord(" wood ")], "named twice"),
        ([Accord("Wood"), Accord("Empty")], "holds none"),
        ([Accord("Wood", "Elsewhere")], "must be one of the formula"),
        ([Accord("Green")], "must be one of the formula"),
        ([Accord("Wood"), Accord("Cedar")], "named like a material"),
    ],
)
def test_accords_that_cannot_be_are_refused(accords: list[Accord], told: str) -> None:
    with pytest.raises(ArgumentError, match=told):
        Formula((line("Cedar", 1, accord="Wood"),), tuple(accords))


def test_accords_nest_only_so_deep() -> None:
    names = [f"A{n}" for n in range(10)]
    chain = tuple(Accord(name, inner) for name, inner in zip(names, ["", *names], strict=False))
    with pytest.raises(ArgumentError, match="at most 8"):
        Formula((line("Cedar", 1, accord="A9"),), chain)


@pytest.mark.parametrize("parts", ["0", "-1", "NaN", "Infinity", "1E+30", "0.0000000000001"])
def test_parts_are_numbers_above_nothing(parts: str) -> None:
    with pytest.raises(ArgumentError):
        line("Cedar", parts)
    with pytest.raises(ArgumentError):
        Accord("Wood", "", Decimal(parts))
    with pytest.raises(ArgumentError):
        Formula((line("Cedar", 1),), out_of=Decimal(parts))


def test_a_formula_has_a_line_and_not_too_many() -> None:
    for lines in ((), (line("Cedar", 1),) * 401):
        with pytest.raises(ArgumentError, match="from 1 to 400 lines"):
            Formula(lines)


# --- batches ------------------------------------------------------------------------------------------------------


def test_a_batch_by_hand() -> None:
    """10 g of NESTED on a scale of 0.01 g: 0.5, 1.5, 0.5 and 7.5 g; of 0.4 g vetiver is 0.06 and bergamot 0.02."""
    made = batch(NESTED, Decimal(10), Decimal("0.01"))
    assert [one.grams for one in made.weigh_ins] == [Decimal("0.5"), Decimal("1.5"), Decimal("0.5"), Decimal("7.5")]
    assert made.too_far == ()
    assert made.grams == 10
    small = batch(NESTED, Decimal("0.43"), Decimal("0.01"))  # bergamot 0.0215, vetiver 0.0645, ethanol 0.3225
    assert [one.grams for one in small.weigh_ins] == [Decimal(t) for t in ("0.02", "0.06", "0.02", "0.32")]
    assert [one.line.line.material.name for one in small.too_far] == ["Bergamot", "Vetiver", "Cedar"]
    # By hand: half a step of 0.01 g is 1 % of 0.5 g, and the smallest line is 1/20 of the whole: 10 g.
    assert small.enough == 10


@given(
    formulas(),
    st.decimals("0.5", "5000", places=1),
    st.sampled_from([Decimal("0.1"), Decimal("0.01"), Decimal("0.0002")]),
)
def test_each_weigh_in_is_the_nearest_the_scale_can_show(made: Formula, grams: Decimal, step: Decimal) -> None:
    """A second route: decimals of 60 digits, quantised by the standard library."""
    found = batch(made, grams, step)
    for one in found.weigh_ins:
        assert one.grams % step == 0
        assert abs(Fraction(one.grams) - one.aim) <= Fraction(step) / 2
        steps = one.aim / Fraction(step)
        assert one.grams / step == Decimal(math.floor(steps + Fraction(1, 2)))
        assert one.too_far == (abs(Fraction(one.grams) - one.aim) > one.aim / 100)
    assert sum(one.aim for one in found.weigh_ins) == Fraction(grams)


@given(formulas(), st.sampled_from([Decimal("0.1"), Decimal("0.01"), Decimal("0.0002")]))
def test_from_enough_on_no_line_is_moved_too_far(made: Formula, step: Decimal) -> None:
    enough = batch(made, Decimal(10), step).enough
    whole_grams = Decimal(math.ceil(enough))
    if whole_grams <= 100_000:
        assert batch(made, whole_grams, step).too_far == ()


@pytest.mark.parametrize("aim", ["0.0125", "0.0225", "0.0124", "0.0126", "0.0004"])
def test_a_half_goes_up_as_on_paper(aim: str) -> None:
    made = formula(line("Cedar", aim), line("Ethanol", Decimal(1) - Decimal(aim)))
    (cedar, _) = batch(made, Decimal(1), Decimal("0.001")).weigh_ins
    assert cedar.grams == Decimal(aim).quantize(Decimal("0.001"), ROUND_HALF_UP)


@pytest.mark.parametrize(
    ("grams", "step", "off"),
    [
        ("0", "0.01", "1"),
        ("10", "0", "1"),
        ("10", "0.01", "0"),
        ("10", "11", "1"),
        ("NaN", "1", "1"),
        ("1e9", "1", "1"),
    ],
)
def test_a_batch_that_cannot_be_weighed_is_refused(grams: str, step: str, off: str) -> None:
    with pytest.raises(ArgumentError):
        batch(NESTED, Decimal(grams), Decimal(step), Decimal(off))


# --- materials and numbers ----------------------------------------------------------------------------------------


def test_a_material_may_have_a_class_or_minutes() -> None:
    assert Material("m", "Bergamot").window is None
    assert Material("m", "Bergamot", "top").window == (0, 15)
    assert Material("m", "Bergamot", "top", minutes=(0, 40)).window == (0, 40)
    for minutes in ((-1, 5), (5, 5), (9, 5), (0, 10**6)):
        with pytest.raises(ArgumentError, match="window of Bergamot"):
            Material("m", "Bergamot", minutes=minutes)
    assert not Material("m", "Bergamot").solvent
    assert ETHANOL.solvent


@given(st.fractions(min_value=0, max_value=10**6))
def test_a_number_is_never_rounded(value: Fraction) -> None:
    found = as_decimal(value)
    assert Fraction(found) == value
    left = value.denominator
    for prime in (2, 5):
        while left % prime == 0:
            left //= prime
    if left > 1:  # a prime other than 2 and 5: no end
        assert isinstance(found, Fraction)
    elif value.denominator < 10**20:
        assert isinstance(found, Decimal)


def test_a_number_without_end_says_so() -> None:
    assert exact(Decimal("4.50")) == "4.5"
    assert exact(Fraction(1, 8)) == "0.125"
    assert exact(Fraction(100, 3)) == "33.3333…"
    assert exact(Fraction(2, 3)) == "0.666666…"
