"""The change between two formulas: worked by hand, recovered after planted edits, and against a brute-force route."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import chain, combinations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from evaluation.formulas import (
    ADDED,
    EXCHANGED,
    LOWERED,
    MADE_UP,
    OTHER_LOT,
    OTHER_STOCK,
    RAISED,
    REMOVED,
    Accord,
    Change,
    Difference,
    Formula,
    as_decimal,
    difference,
)
from evaluation.wording.of_formulas import how_much
from tests.formulas.made import ETHANOL, MATERIALS, formula, formulas, line

BASE = formula(
    line("Bergamot", 5),
    line("Fig leaf", 2),
    line("Vetiver", 6, 100, "Wood"),
    line("Cedar", 2, 100, "Wood"),
    line("Labdanum", 1, 10, "Wood"),
    line("Ethanol", 84),
)


def told(found: Difference) -> list[tuple[str, str, Fraction | None]]:
    """Kind, accord or materials, ratio."""
    return [(one.kind, one.accord or name(one), one.ratio) for one in found.changes]


def name(one: Change) -> str:
    names = ", ".join(each.name for each in one.materials)
    return names + (" → " + (one.instead_accord or ", ".join(each.name for each in one.instead)) if one.instead else "")


def with_parts(made: Formula, **parts: object) -> Formula:
    changed = {key.replace("_", " "): Decimal(str(value)) for key, value in parts.items()}
    return replace(
        made, lines=tuple(replace(one, parts=changed.get(one.material.name, one.parts)) for one in made.lines)
    )


# --- by hand --------------------------------------------------------------------------------------------------------


def test_one_line_raised_and_the_solvent_made_up() -> None:
    found = difference(BASE, with_parts(BASE, Fig_leaf=3, Ethanol=83))
    assert told(found) == [(RAISED, "Fig leaf", Fraction(3, 2))]
    assert [(one.kind, name(one), one.before, one.after) for one in found.besides] == [(MADE_UP, "Ethanol", 84, 83)]
    assert (found.scale, found.rest) == (1, 1)


def test_nothing_made_up_thins_all_else() -> None:
    """By hand: 100 parts became 125, so what stayed makes up four fifths of what it did."""
    found = difference(BASE, with_parts(BASE, Fig_leaf=27))
    assert told(found) == [(RAISED, "Fig leaf", Fraction(27, 2))]
    assert found.besides == ()
    assert found.rest == Fraction(4, 5)


def test_what_was_weighed_counts_and_not_what_the_parts_were_said_to_make() -> None:
    """125 parts said to be 100: what stayed is thinner all the same."""
    said = replace(BASE, out_of=Decimal(100))
    assert difference(said, with_parts(said, Fig_leaf=27)).rest == Fraction(4, 5)


def test_an_accord_of_three_is_one_change() -> None:
    raised = difference(BASE, with_parts(BASE, Vetiver=9, Cedar=3, Labdanum="1.5", Ethanol="79.5"))
    assert told(raised) == [(RAISED, "Wood", Fraction(3, 2))]
    assert {one.name for one in raised.changes[0].materials} == {"Vetiver", "Cedar", "Labdanum"}
    without = Formula(tuple(one for one in BASE.lines if one.accord != "Wood"))
    assert told(difference(BASE, without)) == [(REMOVED, "Wood", None)]
    assert told(difference(without, BASE)) == [(ADDED, "Wood", None)]


def test_an_accord_taken_more_of_is_one_change() -> None:
    fewer, more = (replace(BASE, accords=(Accord("Wood", "", Decimal(parts)),)) for parts in ("9", "12"))
    assert told(difference(fewer, more)) == [(RAISED, "Wood", Fraction(4, 3))]


def test_an_accord_changed_inside_is_told_by_its_lines() -> None:
    found = difference(BASE, with_parts(BASE, Vetiver=3))
    assert told(found) == [(LOWERED, "Vetiver", Fraction(1, 2))]
    assert found.changes[0].within == "Wood"
    two = difference(BASE, with_parts(BASE, Vetiver=3, Cedar=3))
    assert told(two) == [(LOWERED, "Vetiver", Fraction(1, 2)), (RAISED, "Cedar", Fraction(3, 2))]


def test_nested_accords_are_named_from_outside() -> None:
    nested = replace(
        BASE,
        accords=(Accord("Wood", "Base"), Accord("Base")),
        lines=(*BASE.lines, line("Iris butter", 1, accord="Base")),
    )
    doubled = replace(nested, accords=(Accord("Wood", "Base"), Accord("Base", "", Decimal(20))))
    assert told(difference(nested, doubled)) == [(RAISED, "Base", Fraction(2))]
    inner = replace(nested, accords=(Accord("Wood", "Base", Decimal(18)), Accord("Base")))
    found = difference(nested, inner)
    assert told(found) == [(RAISED, "Wood", Fraction(2))]
    assert found.changes[0].within == "Base"


def test_one_material_for_another_at_the_same_place() -> None:
    lines = list(BASE.lines)
    lines[1] = line("Pink pepper", 4)
    found = difference(BASE, Formula(tuple(lines), BASE.accords))
    assert told(found) == [(EXCHANGED, "Fig leaf → Pink pepper", None)]
    assert (found.changes[0].before, found.changes[0].after) == (2, 4)
    elsewhere = Formula(
        (*(one for one in BASE.lines if one.material.name != "Fig leaf"), line("Pink pepper", 4)), BASE.accords
    )
    assert sorted(told(difference(BASE, elsewhere))) == [(ADDED, "Pink pepper", None), (REMOVED, "Fig leaf", None)]


def test_one_accord_for_another_at_the_same_place() -> None:
    lines = tuple(
        replace(one, accord="Resin", material=MATERIALS[{"Vetiver": 4, "Cedar": 6, "Labdanum": 7}[one.material.name]])
        if one.accord
        else one
        for one in BASE.lines
    )
    found = difference(BASE, Formula(lines, (Accord("Resin"),)))
    assert told(found) == [(EXCHANGED, "Wood", None)]
    assert found.changes[0].instead_accord == "Resin"


def test_a_formula_of_a_thousand_is_the_same_formula() -> None:
    scaled = replace(BASE, lines=tuple(replace(one, parts=one.parts * 10) for one in BASE.lines))
    assert difference(BASE, scaled).same
    assert difference(replace(BASE, out_of=Decimal(100)), replace(scaled, out_of=Decimal(1000))).same
    found = difference(BASE, with_parts(scaled, Fig_leaf=30))
    assert told(found) == [(RAISED, "Fig leaf", Fraction(3, 2))]
    assert found.scale == 10


def test_all_doubled_in_the_same_whole_is_less_solvent() -> None:
    """One change, not one a line: what stayed makes up twice the share."""
    small = formula(line("Vetiver", 2), line("Cedar", 3), line("Ethanol", 95))
    found = difference(small, with_parts(small, Vetiver=4, Cedar=6, Ethanol=90))
    assert told(found) == [(LOWERED, "Ethanol", Fraction(90, 190))]
    assert (found.scale, found.rest) == (2, 2)


def test_shares_written_anew_after_a_change_are_one_change() -> None:
    """Fig leaf raised from 2 to 27 without make-up, then all written in parts of 100 again: 100/125 of each."""
    anew = with_parts(BASE, Bergamot=4, Fig_leaf="21.6", Vetiver="4.8", Cedar="1.6", Labdanum="0.8", Ethanol="67.2")
    found = difference(BASE, anew)
    assert told(found) == [(RAISED, "Fig leaf", Fraction(27, 2))]
    assert found.rest == Fraction(4, 5)


def test_the_same_weight_of_another_stock_is_told_beside() -> None:
    lines = tuple(
        replace(one, parts=Decimal(100), stock_percent=Decimal("0.1")) if one.material.name == "Labdanum" else one
        for one in BASE.lines
    )
    found = difference(BASE, with_parts(Formula(lines, BASE.accords), Labdanum=100, Ethanol=84 - 99 + 40))
    assert told(found) == [(LOWERED, "Ethanol", Fraction(25, 84))]  # the whole grew: nothing was made up
    (stock,) = [one for one in found.besides if one.kind == OTHER_STOCK]
    assert (name(stock), stock.told) == ("Labdanum", ("10 %", "0.1 %"))


def test_another_lot_is_told_where_both_are_known() -> None:
    def lots(lot: str) -> Formula:
        return replace(
            BASE, lines=tuple(replace(one, lot=lot if one.material.name == "Cedar" else "") for one in BASE.lines)
        )

    (found,) = difference(lots("A1"), lots("B2")).besides
    assert (found.kind, name(found), found.told) == (OTHER_LOT, "Cedar", ("A1", "B2"))
    assert difference(lots("A1"), lots("")).same


def test_regrouping_is_no_change() -> None:
    assert difference(BASE, replace(BASE, accords=(), lines=tuple(replace(one, accord="") for one in BASE.lines))).same


def test_a_material_gone_to_another_accord_is_one_change() -> None:
    moved = replace(
        BASE,
        accords=(*BASE.accords, Accord("Green")),
        lines=tuple(
            replace(one, accord="Green", parts=Decimal(4)) if one.material.name == "Cedar" else one
            for one in BASE.lines
        ),
    )
    found = difference(BASE, moved)
    assert told(found) == [(RAISED, "Cedar", Fraction(2))]
    assert found.changes[0].within == "Green"


def test_an_accord_that_brings_more_of_a_material_is_one_change() -> None:
    more = replace(
        BASE,
        accords=(*BASE.accords, Accord("Green")),
        lines=(*BASE.lines, line("Pink pepper", 1, accord="Green"), line("Bergamot", 1, accord="Green")),
    )
    assert told(difference(BASE, more)) == [(ADDED, "Green", None)]


def test_solvents_alone_are_a_change() -> None:
    both = formula(line("Cedar", 5), line("Ethanol", 50), line("Carrier", 45))
    found = difference(both, with_parts(both, Ethanol=60, Carrier=35))
    assert [one.kind for one in found.changes] == [RAISED, LOWERED]
    assert found.besides == ()


# --- planted edits are found again ------------------------------------------------------------------------------------

ratios = st.sampled_from([Decimal("0.5"), Decimal("1.25"), Decimal(2), Decimal(3)])


@given(st.lists(st.sampled_from(MATERIALS), min_size=4, max_size=8, unique=True), st.data())
def test_planted_edits_are_found_again(materials: list[object], data: st.DataObject) -> None:
    names = [one.name for one in materials]  # type: ignore[attr-defined]
    first = formula(*(line(one, n + 1) for n, one in enumerate(names)), line("Ethanol", 900))
    touched = data.draw(st.lists(st.sampled_from(names), min_size=1, max_size=len(names) // 2, unique=True))
    factors = {one: data.draw(ratios) for one in touched}
    lines = tuple(
        replace(one, parts=one.parts * factors.get(one.material.name, Decimal(1))) for one in first.lines[:-1]
    )
    rest = Decimal(900) + sum(one.parts for one in first.lines[:-1]) - sum(one.parts for one in lines)
    second = Formula((*lines, replace(first.lines[-1], parts=rest)))
    found = difference(first, second)
    assert {one.materials[0].name: one.ratio for one in found.changes} == {
        one: Fraction(f) for one, f in factors.items()
    }
    assert [one.kind for one in found.besides] == ([MADE_UP] if rest != 900 else [])


# --- a brute-force second route ---------------------------------------------------------------------------------------


def walked(made: Formula, accord: str = "") -> Iterator[tuple[str, str, Fraction]]:
    """Every line opened from the top down: accord, material, weight of the material itself. No code in common."""
    inner = [one for one in made.accords if one.within == accord]
    for one in made.lines:
        if one.accord == accord:
            yield accord, one.material.id, Fraction(one.parts) * Fraction(one.stock_percent) / 100
    for one in inner:
        below = list(walked(made, one.name))
        size = weight(made, one.name)
        times = Fraction(1) if one.parts is None else Fraction(one.parts) / size
        yield from ((where, material, amount * times) for where, material, amount in below)


def weight(made: Formula, accord: str) -> Fraction:
    own = sum((Fraction(one.parts) for one in made.lines if one.accord == accord), Fraction(0))
    return own + sum(
        (
            weight(made, one.name) if one.parts is None else Fraction(one.parts)
            for one in made.accords
            if one.within == accord
        ),
        Fraction(0),
    )


def by_material(made: Formula) -> Counter[str]:
    found: Counter[str] = Counter()
    for _, material, amount in walked(made):
        found[material] += amount  # type: ignore[assignment]
    return found


@st.composite
def pairs(draw: st.DrawFn) -> tuple[Formula, Formula]:
    """A formula, and the same after a few edits of any kind; or two that have little in common."""
    first = draw(formulas())
    if draw(st.integers(0, 4)) == 0:
        return first, draw(formulas())
    lines = list(first.lines)
    for _ in range(draw(st.integers(0, 3))):
        place = draw(st.integers(0, len(lines) - 1))
        edit = draw(st.sampled_from(["parts", "stock", "material", "new"]))
        if edit == "parts":
            lines[place] = replace(lines[place], parts=lines[place].parts * draw(ratios))
        elif edit == "stock":
            lines[place] = replace(lines[place], stock_percent=draw(st.sampled_from([Decimal(5), Decimal(100)])))
        elif edit == "material":
            lines[place] = replace(lines[place], material=draw(st.sampled_from(MATERIALS)))
        else:
            lines.insert(place, replace(lines[place], material=draw(st.sampled_from([*MATERIALS, ETHANOL]))))
    accords = tuple(replace(one, parts=draw(st.sampled_from([one.parts, Decimal(7)]))) for one in first.accords)
    return first, Formula(tuple(lines), accords, first.out_of)


@given(pairs())
def test_what_is_told_is_exactly_what_differs(pair: tuple[Formula, Formula]) -> None:
    first, second = pair
    found = difference(first, second)
    one, two = by_material(first), by_material(second)
    differ = {material for material in {*one, *two} if two[material] != found.scale * one[material]}
    made_up = [each for each in found.besides if each.kind == MADE_UP]
    told_of = [each.id for change in (*found.changes, *made_up) for each in change.touched]
    assert set(told_of) == differ
    for change in found.changes:
        if change.ratio is not None:
            assert (change.kind == RAISED) == (change.ratio > 1)
            assert change.ratio != 1


@given(pairs())
def test_parts_told_account_for_the_whole_change(pair: tuple[Formula, Formula]) -> None:
    """With pure materials: what all changes together add, on one scale, is what the total grew by."""
    first, second = (
        replace(one, lines=tuple(replace(each, stock_percent=Decimal(100)) for each in one.lines)) for one in pair
    )
    found = difference(first, second)
    told_of = [*found.changes, *(one for one in found.besides if one.kind == MADE_UP)]
    grown = sum((one.after - found.scale * one.before for one in told_of), Fraction(0))
    compensated = _compensated(first, second, found.scale)
    assert grown + compensated == weight(second, "") - found.scale * weight(first, "")


def _compensated(first: Formula, second: Formula, scale: Fraction) -> Fraction:
    """Nothing: materials that only went from one accord to another have the same weight in both."""
    one, two = by_material(first), by_material(second)
    return sum((two[m] - scale * one[m] for m in {*one, *two} if two[m] == scale * one[m]), Fraction(0))


@given(pairs())
def test_back_is_the_mirror_of_there(pair: tuple[Formula, Formula]) -> None:
    there, back = difference(*pair), difference(*reversed(pair))
    turned = {ADDED: REMOVED, REMOVED: ADDED, RAISED: LOWERED, LOWERED: RAISED}
    assert there.scale * back.scale == 1
    assert there.rest * back.rest == 1

    def mirrored(found: Difference, turn: bool) -> Counter[object]:
        return Counter(
            (
                turned.get(one.kind, one.kind) if turn else one.kind,
                frozenset(each.id for each in one.touched),
                frozenset({one.accord, one.instead_accord}),
                (1 / one.ratio if turn else one.ratio) if one.ratio else None,
                (one.after, one.before) if turn else (one.before, one.after),
            )
            for one in found.changes
        )

    assert mirrored(there, False) == mirrored(back, True)


@given(pairs())
def test_a_formula_and_itself_are_the_same(pair: tuple[Formula, Formula]) -> None:
    assert difference(pair[0], pair[0]).same


@given(pairs())
def test_changes_are_as_few_as_any_choice_of_accords_makes_them(pair: tuple[Formula, Formula]) -> None:
    """Every set of accords is tried: those whose lines all changed alike count as one, every other line by itself."""
    first, second = pair
    found = difference(first, second)
    singles = _singles(first, second, found.scale)
    inside = {name: _inside(first, second, name) for name in {one.name for one in (*first.accords, *second.accords)}}
    valid = [
        name
        for name, keys in inside.items()
        if keys and keys <= singles.keys() and len({singles[key] for key in keys}) == 1
    ]
    fewest = len(singles)
    for chosen in chain.from_iterable(combinations(valid, size) for size in range(len(valid) + 1)):
        taken = [inside[name] for name in chosen]
        if all(one.isdisjoint(two) for one, two in combinations(taken, 2)):
            fewest = min(fewest, len(chosen) + len(singles.keys() - frozenset().union(*taken)))
    made_up = sum(one.kind == MADE_UP for one in found.besides)
    assert len(found.changes) + made_up + sum(one.kind == EXCHANGED for one in found.changes) == fewest


def _keyed(made: Formula) -> Counter[tuple[str, str]]:
    found: Counter[tuple[str, str]] = Counter()
    for accord, material, amount in walked(made):
        found[accord, material] += amount  # type: ignore[assignment]
    return found


def _inside(first: Formula, second: Formula, accord: str) -> frozenset[tuple[str, str]]:
    def within(made: Formula, name: str) -> bool:
        parents = {one.name: one.within for one in made.accords}
        while name:
            if name == accord:
                return True
            name = parents.get(name, "")
        return False

    return frozenset(key for made in (first, second) for key in _keyed(made) if within(made, key[0]))


def _singles(first: Formula, second: Formula, scale: Fraction) -> dict[tuple[str, str], object]:
    """What each line's change would be called by itself, by accord and material."""
    one, two = _keyed(first), _keyed(second)
    totals = by_material(first), by_material(second)
    found: dict[tuple[str, str], object] = {}
    for material in {key[1] for key in (*one, *two)}:
        if totals[1][material] == scale * totals[0][material]:
            continue
        homes = [{key[0] for key in side if key[1] == material} for side in (one, two)]
        if homes[0] - homes[1] and homes[1] - homes[0]:
            found["moved", material] = "moved"
            continue
        for key in ((home, material) for home in homes[0] | homes[1]):
            ratio = two[key] / (scale * one[key]) if key in one and key in two else None
            if ratio != 1:
                found[key] = ratio if ratio is not None else ("new" if key in two else "gone")
    return found


@given(formulas(out_of=False), st.sampled_from([Decimal(10), Decimal("0.1"), Decimal(3)]), st.data())
def test_written_on_another_scale_it_has_the_same_changes(made: Formula, times: Decimal, data: st.DataObject) -> None:
    """One line more, then all parts of the formula itself times ten: never more changes than without that.

    Two materials that stayed tell the scale; of one nobody knows whether it or the scale changed.
    """
    assume(len({one.material.name for one in made.lines} - {"Ethanol", "Pink pepper"}) > 1)
    more = Formula((*made.lines, line("Pink pepper", data.draw(st.sampled_from([1, 2, 50])))), made.accords)
    scaled = Formula(
        tuple(replace(one, parts=one.parts if one.accord else one.parts * times) for one in more.lines),
        tuple(_scaled(more, one, times) for one in more.accords),
    )
    plain, again = difference(made, more), difference(made, scaled)
    assert len(again.changes) <= len(plain.changes) == 1
    assert again.changes[0].kind in (ADDED, RAISED, LOWERED)


def _scaled(made: Formula, accord: Accord, times: Decimal) -> Accord:
    """What it is of the formula, so many times."""
    if accord.within:
        return accord
    parts = as_decimal(weight(made, accord.name)) if accord.parts is None else accord.parts
    assert isinstance(parts, Decimal)  # a sum of decimals
    return replace(accord, parts=parts * times)


@pytest.mark.parametrize("out_of", [None, Decimal(100)])
def test_a_single_material_that_grew_has_grown(out_of: Decimal | None) -> None:
    first, second = (formula(line("Vetiver", parts), line("Ethanol", 100 - parts), out_of=out_of) for parts in (2, 3))
    assert told(difference(first, second)) == [(RAISED, "Vetiver", Fraction(3, 2))]


@pytest.mark.parametrize(
    ("parts", "words"),
    [("5.4", "2 times"), ("1.35", "half"), ("1.8", "two thirds"), ("1.6875", "62.5 %")],
)
def test_how_much_is_told_as_it_is_weighed(parts: str, words: str) -> None:
    """Common practice, no source: a perfumer halves a line, nobody weighs "0.5 times"."""
    assert how_much(Fraction(parts) / Fraction("2.7")) == words
