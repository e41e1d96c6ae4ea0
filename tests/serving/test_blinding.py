"""Codes and serving orders (evaluation/serving/blinding.py): balance, secrecy, and what the key makes right."""

from __future__ import annotations

import hashlib
import hmac
import math
from collections import Counter
from itertools import count, pairwise, permutations, product
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from evaluation.errors import ArgumentError
from evaluation.serving import draws
from evaluation.serving.blinding import CODES, REPEATING, Drawn, as_real, correct_value, draw, is_null, orders
from evaluation.serving.draws import Stream, balanced, williams
from evaluation.sessions import Plan
from tests.methods import FORCED_CHOICE, METHODS, STRIPS
from tests.scenes import SEED, ages, plan

seeds = st.binary(min_size=32, max_size=32)


def drawn(planned: Plan, seed: bytes = SEED, met: dict[int, tuple[str, ...]] | None = None) -> Drawn:
    numbers = count(1)
    return draw(planned, seed, lambda: f"serving-{next(numbers)}", met)


def trays(made: Drawn, **wanted: Any) -> list[str]:
    """Orders of the servings that match, in the order of the servings."""
    order = dict(made.key.orders)
    return [order[s.id] for s in made.servings if all(getattr(s, name) == value for name, value in wanted.items())]


# --- orders -----------------------------------------------------------------------------------------------------------

# Triangle: J. Soc. Cosmet. Chem. 22 (1971) and ISO 4120 list these six; the others by counting arrangements.
WRITTEN = {
    "triangle": {"ABB", "BAB", "BBA", "AAB", "ABA", "BAA"},
    "duo-trio": {"AAB", "ABA", "BAB", "BBA"},  # reference first
    "2-afc": {"AB", "BA"},
    "preference": {"AB", "BA"},
    "tetrad": {"AABB", "ABAB", "ABBA", "BAAB", "BABA", "BBAA"},
}


@pytest.mark.parametrize("method", WRITTEN)
def test_the_trays_are_those_written_down(method: str) -> None:
    assert set(orders(method)) == WRITTEN[method]
    assert len(orders(method)) == len(WRITTEN[method])


def test_two_out_of_five_has_twenty_trays() -> None:
    assert len(set(orders("two-out-of-five"))) == 2 * math.comb(5, 2)


def test_three_afc_holds_the_stronger_trial_once() -> None:
    assert set(orders("3-afc", "first")) == {"ABB", "BAB", "BBA"}
    assert set(orders("3-afc", "second")) == {"AAB", "ABA", "BAA"}


@given(method=st.sampled_from(METHODS), cycles=st.integers(1, 3), seed=seeds, minutes=st.sampled_from([(5,), (5, 60)]))
def test_over_a_full_cycle_every_order_comes_equally_often_at_each_age(
    method: str, cycles: int, seed: bytes, minutes: tuple[float, ...]
) -> None:
    people = cycles * len(orders(method, "second"))
    assume(people <= 40)
    made = drawn(plan(method=method, people=people, minutes=minutes), seed)
    for age in ages(*minutes):
        assert Counter(trays(made, age_seconds=age.seconds)) == dict.fromkeys(orders(method, "second"), cycles)


@given(seed=seeds, replicates=st.integers(1, 3))
def test_eight_people_at_triangles_smell_either_trial_as_the_odd_one_four_times(seed: bytes, replicates: int) -> None:
    made = drawn(plan(people=8, replicates=replicates), seed)
    for replicate in range(1, replicates + 1):
        found = trays(made, replicate=replicate)
        assert sum(tray.count("A") == 1 for tray in found) == 4
        assert max(Counter(found).values()) - min(Counter(found).get(o, 0) for o in orders("triangle")) <= 1


@given(method=st.sampled_from(METHODS), people=st.integers(1, 30), seed=seeds)
def test_what_is_left_over_is_as_even_as_can_be(method: str, people: int, seed: bytes) -> None:
    offered = orders(method, "second")
    served = Counter(balanced(offered, people, Stream(seed, "test")))
    counts = [served.get(tray, 0) for tray in offered]
    assert sum(counts) == people
    assert max(counts) - min(counts) <= 1
    compositions = Counter(tray.count("A") for tray in served.elements())
    if len({tray.count("A") for tray in offered}) == 2:
        by_composition = [compositions.get(size, 0) for size in {tray.count("A") for tray in offered}]
        assert max(by_composition) - min(by_composition) <= 1


def test_every_panelist_meets_every_order_at_every_seat() -> None:
    """Balance over the panel says nothing about a seat: each seat's order is uniform over seeds (chi-square)."""
    first_seat, last_seat = Counter[str](), Counter[str]()
    for number in range(600):
        found = trays(drawn(plan(people=8), number.to_bytes(32, "big")), spare=False)
        first_seat[found[0]] += 1
        last_seat[found[-1]] += 1
    for seat in (first_seat, last_seat):
        assert stats.chisquare([seat[order] for order in orders("triangle")]).pvalue > 1e-4


def test_orders_within_a_panelist_are_independent() -> None:
    """Two replicates of one seat: all 36 pairs of orders, repeats too, equally often over seeds."""
    pairs = Counter[tuple[str, str]]()
    for number in range(1200):
        made = drawn(plan(people=6, replicates=2), number.to_bytes(32, "big"))
        one, two = trays(made, seat=1, spare=False)
        pairs[one, two] += 1
    expected = list(product(orders("triangle"), repeat=2))
    assert stats.chisquare([pairs[pair] for pair in expected]).pvalue > 1e-4


def test_a_guesser_who_bets_that_all_orders_come_once_stays_within_alpha() -> None:
    """Six replicates: whoever believes that each order comes once has nothing to gain here.

    The danger (DEVELOPERS.md, rules): with every order once within a person, eliminating the orders already seen beats
    the binomial (true level .060 at 18). Here a guesser who gets even the truth of each past set as a present, and
    then picks the position most likely among the orders not seen yet, is right in a third of the sets, as chance says.
    """
    right = total = 0
    for number in range(400):
        made = drawn(plan(people=3, replicates=6), number.to_bytes(32, "big"))
        for seat in (1, 2, 3):
            left = list(orders("triangle"))
            for tray in trays(made, seat=seat, spare=False):
                odd_places = Counter(_odd_place(order) for order in left or orders("triangle"))
                right += _odd_place(tray) == odd_places.most_common(1)[0][0]
                total += 1
                left = [order for order in left if order != tray]
    assert stats.binomtest(right, total, 1 / 3, alternative="greater").pvalue > 0.001


def _odd_place(tray: str) -> int:
    return tray.index("A" if tray.count("A") == 1 else "B")


def test_the_same_guesser_would_win_if_every_order_came_once() -> None:
    """The test above can fail: against a draw without repeats the same rule is right far more often."""
    right = total = 0
    for number in range(400):
        left = list(orders("triangle"))
        for tray in Stream(number.to_bytes(32, "big"), "no repeats").shuffled(orders("triangle")):
            right += _odd_place(tray) == Counter(map(_odd_place, left)).most_common(1)[0][0]
            total += 1
            left.remove(tray)
    assert stats.binomtest(right, total, 1 / 3, alternative="greater").pvalue < 1e-6


def test_a_panel_of_one_draws_each_set_by_itself() -> None:
    """Balanced over a panel of one, the first tray of a shuffled list: uniform, so plain independent draws."""
    seen = Counter[str]()
    for number in range(600):
        seen.update(trays(drawn(plan(people=1, replicates=2), number.to_bytes(32, "big")), spare=False))
    assert stats.chisquare([seen[order] for order in orders("triangle")]).pvalue > 1e-4


# --- codes ------------------------------------------------------------------------------------------------------------


@given(method=st.sampled_from(METHODS), people=st.integers(1, 12), seed=seeds, minutes=st.sampled_from([(5,), (5, 60)]))
def test_codes_are_unique_and_tell_nothing(method: str, people: int, seed: bytes, minutes: tuple[float, ...]) -> None:
    made = drawn(plan(method=method, people=people, spare=1, minutes=minutes), seed)
    codes = [code for serving in made.servings for code in serving.codes]
    assert len(codes) == len(set(codes))
    assert all(len(serving.codes) == STRIPS[method] for serving in made.servings)
    assert all(len(code) == 3 and code.isdecimal() and code[0] != "0" for code in codes)
    assert not {"111", "123", "321", "234", "987", "999"} & set(codes)


def test_the_pool_of_codes_is_what_it_says() -> None:
    """Counted by hand: 9·9·8 codes of three different digits, less 7 counting up (123 … 789) and 8 down (210 … 987)."""
    assert len(CODES) == len(set(CODES)) == 9 * 9 * 8 - 7 - 8
    assert not set(CODES) & set(REPEATING)
    assert all(len(set(code)) == 2 and code[1:] != "00" for code in REPEATING)


def test_codes_met_before_are_not_used_again_while_others_are_left() -> None:
    met = CODES[:600]
    made = drawn(plan(people=1), met={1: met})
    assert not {code for serving in made.servings for code in serving.codes} & set(met)


def test_where_all_codes_were_met_the_longest_forgotten_come_back_first() -> None:
    every = (*CODES, *REPEATING)
    made = drawn(plan(people=1), met={1: every})
    assert {code for serving in made.servings for code in serving.codes} == set(every[:6])  # a set and its spare


def test_a_session_too_large_for_three_digits_is_refused() -> None:
    with pytest.raises(ArgumentError, match="need 1680 codes and there are"):
        drawn(plan(people=80, replicates=6))  # 80 people, 6 sets and a spare one, 3 strips


# --- the draw as a whole ------------------------------------------------------------------------------------------------


def test_the_same_seed_draws_the_same_and_another_seed_another() -> None:
    planned = plan(people=6, spare=1, minutes=(5, 60))
    assert drawn(planned) == drawn(planned)
    assert drawn(planned).key.orders != drawn(planned, bytes(32)).key.orders


def test_the_draw_of_a_known_seed_stays_what_it_was() -> None:
    """A sealed draw must come out again years later: the first codes follow from HMAC-SHA-256 as documented."""
    stream, key = Stream(SEED, "codes"), hmac.new(SEED, b"codes", hashlib.sha256).digest()
    by_hand = [
        int.from_bytes(hmac.new(key, turn.to_bytes(8, "big"), hashlib.sha256).digest()[:8], "big") % 1000
        for turn in range(20)
    ]
    assert [stream.below(1000) for _ in range(20)] == by_hand  # none of the twenty falls past the last multiple


def test_every_seat_has_its_sets_by_age_and_replicate_and_one_spare() -> None:
    made = drawn(plan(people=2, spare=1, minutes=(5, 60), replicates=2))
    for seat in (1, 2, 3):
        mine = [s for s in made.servings if s.seat == seat]
        rounds = [(s.place, s.age_seconds, s.replicate, s.spare) for s in mine]
        assert rounds == [
            (1, 300, 1, False), (2, 300, 2, False), (3, 3600, 1, False), (4, 3600, 2, False), (5, 0, 0, True),
        ]  # fmt: skip
    assert len({s.id for s in made.servings}) == len(made.servings)


def test_the_key_names_the_order_of_every_serving_and_two_letters() -> None:
    made = drawn(plan(people=4))
    assert {serving_id for serving_id, _ in made.key.orders} == {s.id for s in made.servings}
    assert len(set(made.key.letters)) == 2
    assert not set(made.key.letters) & {"A", "B", "I", "O", "S", "Z"}
    assert made.key.seed == SEED.hex()


def test_servings_carry_nothing_of_the_key() -> None:
    """What a page may see of a serving holds codes, place and time, and no order, seed or letter."""
    shown = set(drawn(plan()).servings[0].__slots__)
    assert shown == {
        "id", "seat", "place", "age_seconds", "replicate", "codes", "spare", "void", "medium", "sites", "dips"
    }  # fmt: skip


@given(seed=seeds)
def test_groupings_say_which_codes_belong_together_and_not_to_which_trial(seed: bytes) -> None:
    made = drawn(plan(method="preference", people=6, minutes=(5, 60), primary=300), seed)
    order = dict(made.key.orders)
    for seat in range(1, 7):
        mine = [s.id for s in made.servings if s.seat == seat]
        dealt = {(letter, group) for i in mine for letter, group in zip(order[i], dict(made.groupings)[i], strict=True)}
        assert dealt in ({("A", "X"), ("B", "Y")}, {("A", "Y"), ("B", "X")})


def test_groupings_are_dealt_to_each_seat_by_itself() -> None:
    both = Counter(dict(drawn(plan(method="preference", people=1), n.to_bytes(32, "big")).groupings)["serving-1"][0]
                   for n in range(200))  # fmt: skip
    assert stats.binomtest(both["X"], 200).pvalue > 1e-4


# --- random numbers -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bound", [2, 3, 6, 7, 10, 97])
def test_below_is_uniform(bound: int) -> None:
    stream = Stream(SEED, f"uniform {bound}")
    counts = np.bincount([stream.below(bound) for _ in range(6000)], minlength=bound)
    assert len(counts) == bound
    assert stats.chisquare(counts).pvalue > 1e-4


def test_below_throws_away_what_would_favour_small_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    """2**64 leaves 1 over modulo 3: a block of all ones is the one past the last whole multiple, and is not used."""
    blocks = iter([b"\xff" * 32, (5).to_bytes(8, "big") + bytes(24)])

    stream = Stream(SEED, "rejection")
    monkeypatch.setattr(draws.hmac, "digest", lambda *_: next(blocks))
    assert stream.below(3) == 2


def test_shuffling_reaches_every_arrangement_equally_often() -> None:
    stream = Stream(SEED, "shuffle")
    seen = Counter("".join(stream.shuffled("abcd")) for _ in range(4800))
    assert set(seen) == {"".join(p) for p in permutations("abcd")}
    assert stats.chisquare(list(seen.values())).pvalue > 1e-4


def test_a_seed_has_32_bytes() -> None:
    with pytest.raises(ArgumentError, match="seed must have 32 bytes, not 31"):
        Stream(bytes(31), "x")


# --- what an order makes right ------------------------------------------------------------------------------------------


def by_brute_force(method: str, order: str) -> set[frozenset[frozenset[int]]]:
    """Every way to sort the places of a tray into groups of the method's sizes in which no group mixes trials."""
    size = len(order)
    sizes = {"triangle": 1, "tetrad": 2, "two-out-of-five": 2}[method]
    found = set()
    for picked in permutations(range(size), sizes):
        rest = set(range(size)) - set(picked)
        if len({order[i] for i in picked}) == 1 and len({order[i] for i in rest}) == 1:
            found.add(frozenset({frozenset(picked), frozenset(rest)}))
    return found


CODES_HERE = ("482", "915", "306", "671", "528")


@pytest.mark.parametrize("method", ["triangle", "tetrad", "two-out-of-five"])
def test_the_right_answer_is_the_only_sorting_without_a_mixed_group(method: str) -> None:
    for order in orders(method):
        codes = CODES_HERE[: len(order)]
        said = correct_value(method, order, codes)
        groups = {frozenset(codes.index(code) for code in part.split("+")) for part in said.split("|")}
        rest = set(range(len(order))) - set().union(*groups)
        sorting = frozenset({*groups, frozenset(rest)} - {frozenset()})
        assert by_brute_force(method, order) == {sorting}


def test_duo_trio_is_right_when_the_choice_smells_like_the_reference() -> None:
    for order in orders("duo-trio"):
        picked = CODES_HERE.index(correct_value("duo-trio", order, CODES_HERE[:3]))
        assert picked > 0
        assert order[picked] == order[0]


@pytest.mark.parametrize(("method", "expected"), list(product(["2-afc", "3-afc"], ["first", "second"])))
def test_the_stronger_one_is_the_trial_expected_to_be(method: str, expected: str) -> None:
    for order in orders(method, expected):
        picked = CODES_HERE.index(correct_value(method, order, CODES_HERE[: len(order)], expected))
        assert order[picked] == {"first": "A", "second": "B"}[expected]
        assert order.count(order[picked]) == 1


@given(method=st.sampled_from(FORCED_CHOICE), people=st.integers(1, 10), seed=seeds)
def test_the_right_answer_is_always_one_of_the_options_a_ballot_offers(method: str, people: int, seed: bytes) -> None:
    from evaluation.serving.asking import questions

    planned = plan(method=method, people=people)
    made = drawn(planned, seed)
    for serving in (s for s in made.servings if not s.spare):
        asked = questions(planned, (serving,))[0]
        said = correct_value(method, made.key.order(serving.id), serving.codes, planned.expected)
        assert said in asked.options if asked.pick == 1 else set(said.split("+")) <= set(asked.options)


def test_guessing_is_right_as_often_as_the_method_says() -> None:
    """Exact: over all trays and all answers the share of right ones is the guessing probability of the method.

    Guessing probabilities: 1/3, 1/2, 1/3, 1/2, 1/3, 1/10 (ASTM E1885/ISO 4120/ISO 10399, from memory).
    """
    from evaluation.serving.asking import questions
    from evaluation.sessions import Serving

    guessing = {"triangle": 3, "duo-trio": 2, "tetrad": 3, "2-afc": 2, "3-afc": 3, "two-out-of-five": 10}
    for method, one_in in guessing.items():
        planned, right, offered = plan(method=method), 0, 0
        for order in orders(method, "second"):
            codes = CODES_HERE[: len(order)]
            asked = questions(planned, (Serving("s", 1, 1, 300, 1, codes),))[0]
            said = correct_value(method, order, codes, "second")
            ways = [p for p in permutations(asked.options, asked.pick) if list(p) == sorted(p, key=asked.options.index)]
            offered += len(ways)
            right += sum("+".join(way) == said for way in ways)
        assert offered == right * one_in


# --- Williams squares (orders of ratings, a later issue) ------------------------------------------------------------------


@pytest.mark.parametrize("treatments", [2, 3, 4, 5, 6, 7, 8, 9])
def test_williams_orders_balance_places_and_neighbours(treatments: int) -> None:
    """The defining property (Williams 1949): each pair of neighbours equally often, each place equally often."""
    rows = williams(treatments)
    neighbours = Counter(pair for row in rows for pair in pairwise(row))
    places = Counter(pair for row in rows for pair in enumerate(row))
    assert len(neighbours) == treatments * (treatments - 1)
    assert len(set(neighbours.values())) == 1
    assert len(places) == treatments**2
    assert len(set(places.values())) == 1
    assert len(rows) == (treatments if treatments % 2 == 0 else 2 * treatments)


@pytest.mark.parametrize("method", ["triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"])
def test_no_pair_of_vial_letters_tells_a_null_set_from_a_real_one(method: str) -> None:
    made = plan(12, method=method, replicates=2, null_sets=1)
    names = map(str, count())
    drawn = draw(made, SEED, lambda: next(names))
    served = [order for _, order in drawn.key.orders]
    pairs = {frozenset(order) for order in served}
    real = {frozenset(pair) for pair in ("AB", "Ab", "aB", "ab")}
    assert pairs == real | {frozenset("Aa"), frozenset("Bb")}
    assert sum(map(is_null, served)) == 12
    assert {frozenset(order) for order in served if is_null(order)} == pairs - real
    trays = set(orders(method, made.expected))
    assert {as_real(order) for order in served} <= trays
