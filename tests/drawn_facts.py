"""What a draw laid down, as numbers: every set's order, dip order, places on skin and vials, for tests of their law."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, count, permutations
from typing import Any

import numpy as np
import pytest
from scipy import stats

from evaluation.serving import blinding
from evaluation.serving.blinding import Drawn, as_real, draw, is_null, orders
from evaluation.sessions import SITES, Plan, Serving
from tests.methods import STRIPS
from tests.scenes import ages, plan

Facts = dict[str, tuple[int, int]]  # name of a fact → what it came out as, and of how many


def on_strips(method: str) -> Plan:
    """Two people and a spare seat, two ages, two replicates and, where the method has them, two null sets."""
    several = {} if method == "preference" else {"replicates": 2, "null_sets": 2}
    return plan(2, 1, (5, 60), method=method, draw="independent", **several)


def on_both(method: str) -> Plan:
    """The same two people on strip and skin."""
    return plan(2, 1, method=method, medium="strip and skin", skin_ages=ages(30), draw="independent")


def drawn(planned: Plan, number: int) -> Drawn:
    numbers = count(1)
    return draw(planned, number.to_bytes(32, "big"), lambda: f"s{next(numbers)}")


def facts(planned: Plan, made: Drawn) -> Facts:
    """Each set is named by seat, age, medium and kind ("real 2" is the second real one), each fact by its set."""
    trays = orders(planned.method, planned.expected)
    ways = tuple(permutations(range(STRIPS[planned.method])))
    order_of, found, kinds = dict(made.key.orders), Facts(), dict[str, list[bool]]()
    for one in made.servings:
        order = order_of[one.id]
        here = f"{one.medium} of seat {one.seat} at {one.age_seconds}"
        kinds.setdefault(here, []).append(is_null(order))
        name = f"{'null' if is_null(order) else 'real'} {kinds[here].count(is_null(order))}, {here}"
        found[f"order of {name}"] = trays.index(as_real(order)), len(trays)
        found[f"dips of {name}"] = ways.index(one.dips), len(ways)
        if one.sites:
            found[f"places of {name}"] = _places(one)
        if planned.null_sets:
            found[f"vials of {name}"] = _vials(order)
    for here, null in kinds.items():
        if any(null):
            ways_to_lie = list(combinations(range(len(null)), sum(null)))
            lie = tuple(place for place, yes in enumerate(null) if yes)
            found[f"null sets, {here}"] = ways_to_lie.index(lie), len(ways_to_lie)
    if planned.method == "preference":
        first = {made.servings[at].seat: pattern for at, (_, pattern) in reversed([*enumerate(made.groupings)])}
        letters = {one.seat: order_of[one.id] for one in reversed(made.servings)}
        found |= {f"group of seat {s}": ("XY".index(p[letters[s].index("A")]), 2) for s, p in first.items()}
    return found


def _places(serving: Serving) -> tuple[int, int]:
    """Two codes lie mirrored; more in any sequence of the four places."""
    lie = tuple(map(SITES.index, serving.sites))
    ways = [(0, 2), (2, 0), (1, 3), (3, 1)] if len(lie) == 2 else list(permutations(range(len(SITES)), len(lie)))
    return ways.index(lie), len(ways)


def _vials(order: str) -> tuple[int, int]:
    """Of a real set in which two of four vials, of a null set of which trial."""
    if is_null(order):
        return ("Aa", "Bb").index("".join(sorted(set(order)))), 2
    return ("A" in order) + 2 * ("B" in order), 4


def few_codes(monkeypatch: pytest.MonkeyPatch) -> None:
    """A small pool of codes, for speed: codes come from a stream of their own and touch no order."""
    monkeypatch.setattr(blinding, "CODES", blinding.CODES[:110])
    monkeypatch.setattr(blinding, "REPEATING", ())


def table(planned: Plan, seeds: range) -> tuple[list[str], Any, list[int]]:
    """The facts of one draw for each seed: names, an array of seeds × facts, and how many ways each has."""
    listed = (facts(planned, drawn(planned, number)) for number in seeds)
    first = next(listed)
    rows = np.empty((len(seeds), len(first)), dtype=np.int16)
    rows[0] = [came for came, _ in first.values()]
    for at, one in enumerate(listed, start=1):
        rows[at] = [one[name][0] for name in first]
    return list(first), rows, [ways for _, ways in first.values()]


def joint_p(planned: Plan, seeds: range) -> Iterator[tuple[str, str, float]]:
    """Every two facts: p of their joint counts against all combinations equally likely (scipy.stats.chisquare).

    Two facts with so many combinations that fewer than 5 of each are expected are left to more seeds.
    """
    names, rows, ways = table(planned, seeds)
    for one, other in combinations(range(len(names)), 2):
        if len(seeds) < 5 * ways[one] * ways[other]:
            continue
        cells = rows[:, one].astype(np.int64) * ways[other] + rows[:, other]
        seen = np.bincount(cells, minlength=ways[one] * ways[other])
        yield names[one], names[other], float(stats.chisquare(seen).pvalue)
