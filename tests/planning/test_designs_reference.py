"""Serving orders against the reference rows of topic l: tests/reference/check_values.csv."""

from __future__ import annotations

import csv
import json
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from evaluation.serving.blinding import orders as orders_of
from evaluation.serving.draws import williams

REFERENCE = Path(__file__).parents[1] / "reference" / "check_values.csv"
RECORDS = list(csv.DictReader(REFERENCE.read_text(encoding="utf-8").splitlines()))


def rows_about(topic: str) -> list[Any]:
    return [
        pytest.param(
            json.loads(one["inputs"]),
            json.loads(one["expected"]),
            f"{one['source']} [{one['provenance']}]",
            id=one["id"],
        )
        for one in RECORDS
        if one["topic"] == topic
    ]


@pytest.mark.parametrize(("inputs", "expected", "source"), rows_about("l Williams design"))
def test_williams_rows(inputs: dict[str, int], expected: dict[str, Any], source: str) -> None:
    treatments = inputs["t"]
    design = williams(treatments)
    if isinstance(expected["rows"], list):
        assert {"".join(str(one + 1) for one in row) for row in design} == set(expected["rows"]), source
        return
    places = Counter((place, one) for row in design for place, one in enumerate(row))
    neighbours = Counter(pair for row in design for pair in pairwise(row))
    assert len(design) == expected["rows"], source
    assert len(places) == treatments**2, source
    assert set(places.values()) == {expected["each_product_each_position"]}, source
    assert len(neighbours) == expected["distinct_ordered_pairs"], source
    assert set(neighbours.values()) == {expected["each_ordered_neighbour_pair"]}, source


@pytest.mark.parametrize(("inputs", "expected", "source"), rows_about("l triangle orders"))
def test_triangle_orders(inputs: dict[str, Any], expected: dict[str, Any], source: str) -> None:
    orders = orders_of("triangle")
    assert sorted(orders) == sorted(expected["orders"]), source
    odd = [min(order, key=order.count) for order in orders]
    assert odd.count("A") == expected["A_odd"], source
    assert odd.count("B") == expected["B_odd"], source
    positions = Counter(order.index(one) for order, one in zip(orders, odd, strict=True))
    assert set(positions.values()) == {expected["odd_position_each"]}, source


@pytest.mark.parametrize(("inputs", "expected", "source"), rows_about("l duo-trio orders"))
def test_duo_trio_orders(inputs: dict[str, Any], expected: dict[str, Any], source: str) -> None:
    orders = orders_of("duo-trio")  # reference first, then the pair
    assert len(set(orders)) == len(orders) == expected["balanced"], source
    assert all(sorted(order[1:]) == ["A", "B"] for order in orders), source
    assert Counter(order[0] for order in orders) == dict.fromkeys("AB", expected["constant"]), source
