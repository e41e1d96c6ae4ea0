"""A guesser that learns from triangle ballots whose answers it is told, and still guesses the others by chance alone.

It sees what a ballot holds: codes, places, ages, the order of the sets, who else sits where. Chance is one in three; how
far from it luck may go is the binomial's, from a library.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterator

import pytest
from scipy.stats import binomtest

from evaluation.serving.blinding import draw
from evaluation.sessions import BALANCED, INDEPENDENT, Plan, Serving
from tests.scenes import plan

SESSIONS, PEOPLE, REPLICATES = 8, 40, 3
Seen = dict[str, Hashable]
Set = tuple[Seen, int]  # what is seen of a set, and which of its three strips is the odd one


def _odd(order: str) -> int:
    return next(place for place, letter in enumerate(order) if order.count(letter) == 1)


def _seen(served: Serving, before: Serving | None) -> Seen:
    """Whatever somebody might look for in a set; the set before it is on the same ballot."""
    numbers = [int(code) for code in served.codes]
    seen: Seen = {f"digit {at}.{n}": code[n] for at, code in enumerate(served.codes) for n in range(3)}
    seen |= {f"odd number {at}": number % 2 for at, number in enumerate(numbers)}
    seen |= {"rank": tuple(sorted(range(3), key=numbers.__getitem__)), "place": served.place}
    seen |= {"seat": served.seat, "seat and place": (served.seat, served.place), "age": served.age_seconds}
    seen |= {"sum": sum(numbers) % 3, "sums": tuple(sum(map(int, code)) % 3 for code in served.codes)}
    seen |= {"spread": max(range(3), key=lambda at: abs(numbers[at] - sorted(numbers)[1]))}
    if before is not None:
        earlier = [int(code) for code in before.codes]
        seen["rank before"] = tuple(sorted(range(3), key=earlier.__getitem__))
        seen["higher than before"] = tuple(now > then for now, then in zip(numbers, earlier, strict=True))
    return seen


def _sets(planned: Plan, seed: bytes) -> Iterator[Set]:
    names = iter(range(10**9))
    drawn = draw(planned, seed, lambda: f"{next(names):032x}")
    orders = dict(drawn.key.orders)
    before: dict[int, Serving] = {}
    for served in drawn.servings:
        yield _seen(served, before.get(served.seat)), _odd(orders[served.id])
        before[served.seat] = served


def _all_sets(law: str) -> list[Set]:
    planned = plan(PEOPLE, minutes=(5, 60), replicates=REPLICATES, draw=law)
    return [one for number in range(SESSIONS) for one in _sets(planned, bytes([number]) * 32)]


class Guesser:
    """Counts how often each thing seen went with each place, and takes the place that is likeliest by all of them."""

    def __init__(self, told: list[Set]) -> None:
        self.often: dict[tuple[str, Hashable], Counter[int]] = defaultdict(Counter)
        for seen, odd in told:
            for one in seen.items():
                self.often[one][odd] += 1

    def guess(self, seen: Seen) -> int:
        shares = [1.0, 1.0, 1.0]
        for one in seen.items():
            counts = self.often[one]
            shares = [shares[at] * 3 * (counts[at] + 1) / (counts.total() + 3) for at in range(3)]
        return shares.index(max(shares))


def _right(sets: list[Set], mark: Callable[[Seen, int], Seen] = lambda seen, _: seen) -> tuple[int, int]:
    """How many of the second half are guessed right by a guesser that was told the first, and of how many."""
    marked = [(mark(seen, odd), odd) for seen, odd in sets]
    half = len(marked) // 2
    guesser = Guesser(marked[:half])
    return sum(guesser.guess(seen) == odd for seen, odd in marked[half:]), len(marked) - half


@pytest.mark.parametrize("law", [INDEPENDENT, BALANCED])
def test_a_guesser_that_learns_from_ballots_is_right_by_chance(law: str) -> None:
    right, asked = _right(_all_sets(law))
    assert asked > 1000
    assert binomtest(right, asked, 1 / 3, alternative="greater").pvalue > 0.001, f"{right} of {asked}"


def test_it_would_notice_what_is_there_to_be_noticed() -> None:
    """In one set of three the highest code is that of the odd strip: enough for the guesser to be far from chance."""

    def leaking(seen: Seen, odd: int) -> Seen:
        if seen["sum"]:
            return seen
        return seen | {"rank": (*(at for at in range(3) if at != odd), odd)}

    right, asked = _right(_all_sets(INDEPENDENT), leaking)
    assert binomtest(right, asked, 1 / 3, alternative="greater").pvalue < 1e-6, f"{right} of {asked}"
