"""Bottles that separate changes, against textbook tables and brute force; suspects, against exact recursion."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable
from fractions import Fraction
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import Factorial, accumulated_evidence, factorial, suspects
from tests.statistics.test_martingales import ever, evidence

OFFERED = [(number, part) for number in range(2, 7) for part, least in ((1, 2), (2, 3), (4, 5)) if number >= least]


def named(number: int) -> list[str]:
    return list("abcdef"[:number])


@pytest.mark.parametrize(("number", "part"), OFFERED)
def test_bottles_are_as_many_as_they_should_all_different_and_balanced(number: int, part: int) -> None:
    found = factorial(named(number), part)
    rows = found.runs.to_numpy()
    assert list(found.runs.columns) == named(number)
    assert len(rows) == 2**number // part
    assert len(np.unique(rows, axis=0)) == len(rows)
    assert rows[0].tolist() == [0] * number  # the base
    assert set(np.unique(rows)) == {0, 1}
    assert (rows.sum(axis=0) * 2 == len(rows)).all()  # each change in half of the bottles
    signs = 2 * rows - 1
    assert (signs.T @ signs == len(rows) * np.eye(number)).all()  # main effects free of one another


@pytest.mark.parametrize(("number", "part"), OFFERED)
def test_aliases_are_those_of_brute_force(number: int, part: int) -> None:
    """Every two effects up to three-way: aliased where their columns agree in every bottle, or in none."""
    found = factorial(named(number), part)
    columns = {}
    for ways in (1, 2, 3):
        for chosen in combinations(named(number), ways):
            column = np.ones(len(found.runs))
            for name in chosen:
                column = column * np.where(found.runs[name] == 1, 1, -1)
            if abs(column.sum()) < len(column):  # not the mean
                columns[":".join(chosen)] = column
    together = {
        frozenset((one, two))
        for one, two in combinations(columns, 2)
        if abs(columns[one] @ columns[two]) == len(found.runs)
    }
    assert {frozenset(pair) for group in found.aliases for pair in combinations(group, 2)} == together
    assert len({effect for group in found.aliases for effect in group}) == sum(map(len, found.aliases))  # once each


def groups(found: Factorial) -> set[tuple[str, ...]]:
    return set(found.aliases)


def test_aliases_of_the_textbook_tables() -> None:
    """Box, Hunter & Hunter 2005, chapter 6 (from memory): 2^(3-1), 2^(4-1), 2^(5-2) with D = AB, E = AC, 2^(6-2)."""
    assert factorial(named(4)).aliases == ()
    assert groups(factorial(named(3), 2)) == {("a", "b:c"), ("b", "a:c"), ("c", "a:b")}
    assert {("a:b", "c:d"), ("a:c", "b:d"), ("a:d", "b:c")} <= groups(factorial(named(4), 2))
    assert all(len(one.split(":")) != 2 for group in factorial(named(5), 2).aliases for one in group if "a" in group)
    quarter = factorial(named(5), 4)
    assert {group[:3] for group in quarter.aliases if group[0] == "a"} == {("a", "b:d", "c:e")}
    sixths = factorial(named(6), 4)
    assert not [group for group in sixths.aliases if len(group[0]) == 1 and len(group[1].split(":")) == 2]  # res. IV
    assert ("a:b", "c:e") in {group[:2] for group in sixths.aliases}


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: factorial(["a"]), r"^changes must be 2 to 6 names, not 1"),
        (lambda: factorial([*named(6), "g"]), r"^changes must be 2 to 6 names, not 7"),
        (lambda: factorial(["a", "a"]), r"^changes must be named once each, not \['a', 'a'\]"),
        (lambda: factorial(["a", "b:c"]), r"^changes must be names with a letter and without a colon, not 'b:c'"),
        (lambda: factorial(["a", " "]), r"^changes must be names with a letter"),
        (
            lambda: factorial(["a", "b"], 2),
            r"^fraction must be 1 for 2 changes, not 2: 2 is offered from 3 changes on, 4",
        ),
        (lambda: factorial(named(4), 4), r"^fraction must be 1 or 2 for 4 changes, not 4"),
        (lambda: factorial(named(4), 3), r"^fraction must be 1, 2 or 4, not 3"),
        (
            lambda: suspects({"a": 1}, {"b": 1}),
            r"^right must name the same materials as asked \(\['b'\]\), not \['a'\]",
        ),
        (lambda: suspects({"a": 1, 1: 1}, {"a": 1, 2: 1}), r"^right must name the same materials as asked"),  # type: ignore[dict-item]
        (lambda: suspects({}, {}), r"^asked must name one material or more"),
        (lambda: suspects({"a": 3}, {"a": 2}), r"^right of a must be from 0 to asked \(2\), not 3"),
        (lambda: suspects({"a": -1}, {"a": 2}), r"^right of a must be 0 or more, not -1"),
        (lambda: suspects({"a": 0.5}, {"a": 2}), r"^right of a must be a whole number"),
        (lambda: suspects({"a": 1}, {"a": 2}, 1.0), r"^alpha must lie between 0 and 1"),
    ],
)
def test_what_is_refused_is_named(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ArgumentError, match=message):
        call()


def test_other_things_are_no_names_and_no_mappings() -> None:
    for call in (lambda: factorial("ab"), lambda: factorial([1, 2]), lambda: suspects([1], [2])):  # type: ignore[list-item, arg-type]
        with pytest.raises(KindError):
            call()


# --- suspects ---------------------------------------------------------------------------------------------------------

counts = st.integers(0, 20).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(st.dictionaries(st.sampled_from("abcdef"), counts, min_size=1), st.sampled_from(("0.05", "0.1", "0.2")))
def test_suspicion_is_the_formula_and_the_level_is_that_of_all_sealed(
    given_: dict[str, tuple[int, int]], alpha: str
) -> None:
    found = suspects({n: r for n, (r, _) in given_.items()}, {n: a for n, (_, a) in given_.items()}, float(alpha))
    exact = {name: evidence(right, asked - right, Fraction(1, 2)) for name, (right, asked) in given_.items()}
    table = found.table.set_index("material")
    assert set(table.index) == set(given_)
    for name, value in exact.items():
        assert table.loc[name, "evidence"] == float(value)
        assert bool(table.loc[name, "accused"]) == (value * Fraction(alpha) >= len(given_))
    told = [exact[name] for name in found.table["material"]]
    assert told == sorted(told, reverse=True)


def test_of_six_innocent_materials_any_is_accused_in_at_most_alpha() -> None:
    """Exact recursion for one, looked at after each of 100 answers, times six."""

    def accused_at(n: int) -> range:
        least = bisect_left(
            range(n + 1), True, key=lambda r: accumulated_evidence(r, n, "2-afc").noticed(0.05, among=6)[0]
        )
        return range(least, n + 1)

    one = ever(accused_at, 0.5, 100)[-1]
    assert 0 < 6 * one <= 0.05
    assert ever(accused_at, 0.9, 30)[-1] > 0.8  # a guilty one is found in time


def test_a_level_is_met_by_a_tie_whatever_the_number_of_suspects() -> None:
    """By hand: E of two right is (1.25² + 1.5² + 1.75²) / 3 = 55/24; of one right triangle 2, which meets 1 / .5."""
    two = accumulated_evidence([2], [2], "2-afc")
    assert two.evidence[0] == float(Fraction(55, 24))
    assert two.noticed(24 / 55)[0] == (Fraction(55, 24) * Fraction(repr(24 / 55)) >= 1)
    assert accumulated_evidence([1], [1], "2-afc").noticed(0.5, among=1) == (False,)  # 1.5 < 2
    assert accumulated_evidence([1], [1], "triangle").noticed(0.5, among=1) == (True,)  # 2 = 1 / .5
    assert not suspects({"a": 0, "b": 0}, {"a": 0, "b": 0}).table["accused"].any()
    long = suspects({"a": 40_000, "b": 50_000}, {"a": 40_000, "b": 50_000}).table
    assert long["evidence"].tolist() == [math.inf, math.inf]
    assert long["material"].tolist() == ["b", "a"]  # told apart by what a float cannot hold
