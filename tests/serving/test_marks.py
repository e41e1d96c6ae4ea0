"""Marks of a solo session (evaluation/serving/marks.py): every mix-up of two sets enumerated, and what people type."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations, combinations_with_replacement, permutations, product

import pytest

from evaluation.errors import ArgumentError
from evaluation.serving.asking import questions
from evaluation.serving.blinding import correct_value, is_null, laid_out, orders
from evaluation.serving.marks import as_stored, check, is_right, of_no_kind
from evaluation.sessions import Serving
from tests import scenes
from tests.methods import SOLO_METHODS, STRIPS

CODES = ("482", "517", "903", "246")
CHANCE = {"triangle": Fraction(1, 3), "tetrad": Fraction(1, 3), "2-afc": Fraction(1, 2), "3-afc": Fraction(1, 3)}
PLANNED = {"triangle": ("AAB", "ABB"), "tetrad": ("AABB", "AABB"), "2-afc": ("AB", "AB"), "3-afc": ("AAB", "AAB")}
EXPECTED = {"2-afc": "second", "3-afc": "second"}


def expected(method: str) -> str:
    return EXPECTED.get(method, "")


def codes(method: str) -> tuple[str, ...]:
    return CODES[: STRIPS[method]]


def offered(method: str) -> tuple[str, ...]:
    """Every answer the ballot takes."""
    plan = scenes.plan(1, method=method, solo=True, replicates=2)
    serving = Serving("s", 1, 1, 300, 1, codes(method))
    return next(one.options for one in questions(plan, (serving,)) if one.name == "choice")


def shuffled(contents: str) -> Counter[str]:
    """Every way the strips of a set come to hand, each as likely."""
    return Counter("".join(way) for way in permutations(contents))


def stays(method: str, order: str) -> bool:
    return not of_no_kind(method, order, expected(method))


def right(method: str, order: str, answer: str) -> bool:
    return is_right(method, order, codes(method), answer, expected(method))


# --- guessing stays chance ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", SOLO_METHODS)
def test_whatever_a_set_holds_and_whatever_is_answered_guessing_is_chance_or_the_set_leaves(method: str) -> None:
    for contents in map("".join, combinations_with_replacement("AB?", STRIPS[method])):
        ways = shuffled(contents)
        assert len({stays(method, order) for order in ways}) == 1  # by what it holds, never by how it lies
        if stays(method, contents):
            for answer in offered(method):
                hits = sum(number for order, number in ways.items() if right(method, order, answer))
                assert Fraction(hits, ways.total()) == CHANCE[method], (contents, answer)


@pytest.mark.parametrize("method", SOLO_METHODS)
def test_of_two_mixed_up_sets_what_stays_is_binomial(method: str) -> None:
    """One or two strips change groups, or a foreign one comes in, before the shuffle: for every pair of answers each
    set that stays is right with the guessing chance, whether or not the other one was."""
    first, second = PLANNED[method]
    mixed = {(first, second), (f"{first[:-1]}?", second)}
    for number in (1, 2):
        places = list(combinations(range(STRIPS[method]), number))
        mixed |= {exchanged(first, second, one, other) for one, other in product(places, places)}
    for one, other in mixed:
        trays = [(a, b, n * m) for (a, n), (b, m) in product(shuffled(one).items(), shuffled(other).items())]
        staying = [stays(method, one), stays(method, other)]
        for answers in product(offered(method), repeat=2):
            seen: Counter[tuple[bool, ...]] = Counter()
            for a, b, weight in trays:
                hits = (right(method, a, answers[0]), right(method, b, answers[1]))
                seen[tuple(hit for hit, kept in zip(hits, staying, strict=True) if kept)] += weight
            for pattern in product((True, False), repeat=sum(staying)):
                likely = Fraction(1)
                for hit in pattern:
                    likely *= CHANCE[method] if hit else 1 - CHANCE[method]
                assert Fraction(seen[pattern], seen.total()) == likely, (one, other, answers)


def exchanged(first: str, second: str, mine: tuple[int, ...], theirs: tuple[int, ...]) -> tuple[str, str]:
    one, other = list(first), list(second)
    for here, there in zip(mine, theirs, strict=True):
        one[here], other[there] = other[there], one[here]
    return "".join(sorted(one)), "".join(sorted(other))


def test_a_pair_of_one_kind_stays_and_three_of_a_kind_leave() -> None:
    assert {exchanged("AAB", "ABB", (2,), (0,)), exchanged("AAB", "ABB", (0,), (1,))} == {
        ("AAA", "BBB"),
        ("ABB", "AAB"),
    }
    assert [of_no_kind("triangle", order) for order in ("ABA", "AAB", "BBA")] == [False] * 3
    assert [of_no_kind("triangle", order) for order in ("AAA", "BBB", "AB?", "???")] == [True] * 4
    assert [of_no_kind("tetrad", order) for order in ("ABAB", "AAAB", "ABBB", "AAAA", "AB?A")] == [False, *[True] * 4]
    assert [of_no_kind("2-afc", order, "second") for order in ("AB", "BA", "AA", "B?")] == [False, False, True, True]


def test_three_afc_with_the_stronger_trial_twice_would_be_right_by_guessing_in_two_of_three() -> None:
    """Why it leaves although an answer could be called right: B is the stronger one, and A B B holds it twice."""
    for place in range(3):
        hits = sum(number for order, number in shuffled("ABB").items() if order[place] == "B")
        assert Fraction(hits, shuffled("ABB").total()) == Fraction(2, 3)
    assert of_no_kind("3-afc", "ABB", "second")
    assert not of_no_kind("3-afc", "ABB", "first")


def test_strips_that_stray_after_the_shuffle_break_it_unless_they_are_called_foreign() -> None:
    """The excluded case: the first strips of two laid trays change places, and the trays are read as they lie.

    Of the sets that then look like A B B after A A B the odd one is never the first. Read by code nothing is changed;
    as "?" both sets leave, and the others are as they were.
    """
    seen: Counter[int] = Counter()
    for one, other in product(permutations("AAB"), permutations("ABB")):
        laid = (other[0], *one[1:]), (one[0], *other[1:])
        if sorted(laid[0]) == ["A", "B", "B"] and sorted(laid[1]) == ["A", "A", "B"]:
            seen[laid[0].index("A")] += 1
    assert seen[0] == 0 < seen[1] == seen[2]
    assert of_no_kind("triangle", "?AB")


def test_no_set_of_a_panel_is_of_no_kind() -> None:
    for method in set(laid_out()) - {"3-afc"}:
        assert not [order for order in orders(method) if of_no_kind(method, order)]
    for side in ("first", "second"):
        assert not [order for order in orders("3-afc", side) if of_no_kind("3-afc", order, side)]
    assert [is_null(order) for order in ("AAa", "aAA", "bB", "AAA", "BBB", "AAB", "A?A", "")] == [True] * 3 + [
        False
    ] * 5
    assert not of_no_kind("triangle", "AaA")  # a null set is laid out like a real one
    assert of_no_kind("tetrad", "AAAa")
    assert is_right("triangle", "ABA", CODES[:3], correct_value("triangle", "ABA", CODES[:3]))


# --- what people type -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("typed", ["ABA", "a b a", "A, B, A", " a-b.A ", "A/B/A"])
def test_marks_are_read_as_people_type_them(typed: str) -> None:
    assert as_stored(scenes.plan(1, solo=True, replicates=2), 3, CODES[:3], typed) == "ABA"


def test_a_strip_that_is_neither_is_a_question_mark() -> None:
    assert as_stored(scenes.plan(1, solo=True, replicates=2), 3, CODES[:3], "a?b") == "A?B"


@pytest.mark.parametrize("typed", ["", "AB", "ABAB", "ABC", "A B 1", "aab aab", "482"])
def test_anything_else_is_told_in_one_sentence_what_is_accepted(typed: str) -> None:
    with pytest.raises(ArgumentError) as refused:
        as_stored(scenes.plan(1, solo=True, replicates=2), 3, CODES[:3], typed)
    assert str(refused.value) == (
        "Set 3: enter 3 letters in the order of the codes 482, 517, 903, each of them A, B or ?, such as A A B."
    )


def test_the_store_takes_nothing_that_is_no_mark() -> None:
    plan = scenes.plan(1, solo=True, replicates=2)
    for order in ("AAA", "A?B"):
        check(plan, order)
    for order in ("", "AB", "ABC", "aab", "AABB"):
        with pytest.raises(ArgumentError, match="marks must be 3 of A, B"):
            check(plan, order)
