"""Formulas of bottles that separate changes: worked by hand, and shares kept whatever is made."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product

import pytest

from evaluation.errors import ArgumentError
from evaluation.formulas import difference, name_key, opened, total
from evaluation.formulas.separated import NamedChange, Weighed, bottles, changes_between, own_solvent, read_changes
from tests.formulas.made import ALL, ETHANOL, formula, line

KNOWN = {name_key(one.name): one for one in ALL.values()}
BASE = formula(line("Bergamot", 5), line("Vetiver", 6), line("Cedar", 2), line("Ethanol", 87))
CEDAR = NamedChange("more cedar", (Weighed(BASE.lines[2].material, Fraction(2)),))
LESS = NamedChange("less vetiver", (Weighed(BASE.lines[1].material, Fraction(-3)),))
EVERY = tuple("".join(one) for one in product("01", repeat=2))


def shares(made: object) -> dict[str, Fraction]:
    return {one.line.material.name: one.share for one in opened(made)}  # type: ignore[arg-type]


def test_by_hand_with_room_in_the_solvent_of_the_base() -> None:
    found = bottles(BASE, [CEDAR, LESS], EVERY, ETHANOL)
    assert found.room
    parts = [{one.line.material.name: one.parts for one in opened(each)} for each in found.formulas]
    assert parts == [
        {"Bergamot": 5, "Vetiver": 6, "Cedar": 2, "Ethanol": 87},
        {"Bergamot": 5, "Vetiver": 3, "Cedar": 2, "Ethanol": 90},
        {"Bergamot": 5, "Vetiver": 6, "Cedar": 4, "Ethanol": 85},
        {"Bergamot": 5, "Vetiver": 3, "Cedar": 4, "Ethanol": 88},
    ]
    assert difference(BASE, found.formulas[0]).same


def test_by_hand_without_room_all_bottles_are_thinner_alike() -> None:
    base = formula(line("Bergamot", 5), line("Vetiver", 5))
    found = bottles(base, [CEDAR, LESS], EVERY, ETHANOL)
    assert not found.room
    assert found.in_place == (2, 2, 0, 0)
    assert [total(one) for one in found.formulas] == [12] * 4
    assert [shares(one)["Bergamot"] for one in found.formulas] == [Fraction(5, 12)] * 4
    assert [shares(one).get("Ethanol", 0) for one in found.formulas] == [Fraction(n, 12) for n in (2, 5, 0, 3)]


@pytest.mark.parametrize("solvent_parts", [0, 1, 4, 87])
def test_no_line_that_a_bottle_does_not_change_has_another_share_there(solvent_parts: int) -> None:
    lines = [line("Bergamot", 5), line("Vetiver", 6), line("Cedar", 2)]
    base = formula(*lines, *([line("Ethanol", solvent_parts)] if solvent_parts else []))
    found = bottles(base, [CEDAR, LESS], EVERY, ETHANOL)
    for made, one in zip(EVERY, found.formulas, strict=True):
        assert total(one) == total(found.formulas[0])
        untouched = {"Bergamot"} | ({"Cedar"} if made[0] == "0" else set()) | ({"Vetiver"} if made[1] == "0" else set())
        for name in untouched:
            assert shares(one)[name] == shares(found.formulas[0])[name]


def test_changes_of_two_formulas_make_the_second_where_all_are_made() -> None:
    other = formula(line("Bergamot", 5), line("Vetiver", 9), line("Iris butter", 1), line("Ethanol", 85))
    changes = changes_between(BASE, other)
    assert [one.name for one in changes] == ["Vetiver", "Iris butter for Cedar"]
    (last,) = bottles(BASE, changes, ["11"], ETHANOL).formulas
    assert difference(other, last).same


def test_changes_written_on_another_scale_are_brought_to_that_of_the_base() -> None:
    tenfold = formula(line("Bergamot", 50), line("Vetiver", 90), line("Cedar", 20), line("Ethanol", 840))
    (change,) = changes_between(replace(BASE, out_of=Decimal(100)), replace(tenfold, out_of=Decimal(1000)))
    assert change.parts == 3


def test_an_accord_that_changed_is_one_change_and_parts_without_an_end_are_multiplied() -> None:
    rest = [line("Bergamot", 5)]
    base = formula(*rest, line("Vetiver", 1, 100, "Wood"), line("Cedar", 2, 100, "Wood"), line("Ethanol", 90))
    other = formula(*rest, line("Vetiver", 2, 100, "Wood"), line("Cedar", 4, 100, "Wood"), line("Ethanol", 87))
    (change,) = changes_between(base, other)
    assert change.name == "Wood"
    assert change.parts == 3
    thirds = NamedChange("a third", (Weighed(BASE.lines[0].material, Fraction(1, 3)),))
    (made,) = bottles(BASE, [thirds, CEDAR], ["10"], ETHANOL).formulas
    assert shares(made)["Bergamot"] == Fraction(16, 3) / 100


def test_typed_changes() -> None:
    found = read_changes(
        "more cedar; Cedar; +2\nmore cedar; Iris butter; 0,5; 10 %\nless vetiver\tVetiver\t−3\nonly named", KNOWN
    )
    assert [(one.name, one.parts) for one in found] == [
        ("more cedar", Fraction(5, 2)),
        ("less vetiver", -3),
        ("only named", 0),
    ]
    assert found[0].amounts[1].stock_percent == 10
    assert not found[2].amounts


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("x; Nothing known; 2", "line 1 must name a material"),
        ("x; Cedar; much", "line 1 must have a number"),
        ("; Cedar; 2", "line 1 must begin with the name"),
        ("x; Cedar; 2; 10; more", "at most four cells"),
        ("x; Cedar; 2; 0", "must be above 0"),
    ],
)
def test_what_is_typed_wrongly_is_named(text: str, message: str) -> None:
    with pytest.raises(ArgumentError, match=message):
        read_changes(text, KNOWN)


def test_taking_away_more_than_there_is_and_a_solvent_that_is_none_are_refused() -> None:
    much = NamedChange("no cedar", (Weighed(BASE.lines[2].material, Fraction(-3)),))
    with pytest.raises(ArgumentError, match="no cedar must take at most the 2 parts of Cedar"):
        bottles(BASE, [much, LESS], EVERY, ETHANOL)
    with pytest.raises(ArgumentError, match="solvent"):
        bottles(BASE, [CEDAR, LESS], EVERY, BASE.lines[0].material)


def test_the_own_solvent_is_the_one_there_is_most_of() -> None:
    assert own_solvent(BASE) == ETHANOL
    assert own_solvent(formula(line("Bergamot", 5))) is None
