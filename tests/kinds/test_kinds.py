"""Kinds of session: what their records say, and tables by them."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from evaluation.errors import ArgumentError
from evaluation.kinds import ByKind, Kind, kind_of, kinds, method_of, registered
from evaluation.statistics.forced_choice.methods import METHODS

NEW: Any = "new"  # no method of the house: a kind that only a test knows


def test_every_method_of_the_statistics_has_a_kind_that_is_judged() -> None:
    judged = {kind.method for kind in kinds() if kind.judged}
    assert judged == set(METHODS)
    assert {kind.method for kind in kinds() if kind.distance} == {one.name for one in METHODS.values() if one.model}


@pytest.mark.parametrize("kind", [one for one in kinds() if one.forced], ids=lambda kind: kind.method)
def test_guessing_among_what_is_offered_is_right_by_the_chance_of_the_method(kind: Kind) -> None:
    """Every way of answering, counted over every tray: right as often as the statistics say (a second route)."""
    from itertools import combinations

    forced, codes = kind.forced, ("482", "155", "903", "267", "731")[: kind.strips]
    assert forced is not None
    for expected in ("first", "second") if kind.directed else ("",):
        trays = kind.orders(expected)
        offered = ["+".join(picked) for picked in combinations(forced.offers(codes), forced.pick)]
        for answer in offered:
            right = sum(forced.right(order, codes, expected) == answer for order in trays)
            assert right == METHODS[kind.method].guessing * len(trays)  # type: ignore[index]


def test_what_a_record_says_of_the_kinds_of_the_house() -> None:
    assert [kind.method for kind in kinds() if kind.several] == ["profile", "round", "ranking"]
    assert {kind.method for kind in kinds() if kind.directed} == {"2-afc", "3-afc"}
    assert {kind.method for kind in kinds() if kind.alone} == {"triangle", "tetrad", "2-afc", "3-afc"}
    assert {kind.method for kind in kinds() if kind.likes} == {"preference", "round"}
    with pytest.raises(ArgumentError, match="expected must be one of 'first', 'second'"):
        kind_of("3-afc").orders()
    with pytest.raises(ArgumentError, match=r"method must be one of .triangle., .*, not .triangel."):
        method_of("triangel")


def test_a_table_finds_a_row_by_the_method_and_else_by_the_family() -> None:
    table = ByKind("words", {"forced choice": "alike", "tetrad": "own"})
    assert [table.of(method) for method in ("triangle", "tetrad")] == ["alike", "own"]
    assert table.get("profile") is None
    with pytest.raises(ArgumentError, match="profile has none"):
        table.of("profile")
    with pytest.raises(ArgumentError, match="tetrad has words already"):
        table.register("tetrad", "again")
    with pytest.raises(ArgumentError, match="'tetra' must be a method or a family"):
        table.register("tetra", "misspelt")


def test_a_kind_is_known_as_long_as_it_is_registered() -> None:
    table = ByKind("words", {"forced choice": "alike"})
    with registered(replace(kind_of("triangle"), method=NEW, family="kinds of tests")) as kind:
        assert kinds()[-1] is kind is kind_of(NEW)
        with table.registered(kind.family, "of a test"):
            assert table.of(NEW) == "of a test"
        assert table.get(NEW) is None
        with pytest.raises(ArgumentError, match="new is a kind of session already"), registered(kind):
            pass
    with pytest.raises(ArgumentError):
        kind_of(NEW)


def test_the_type_checker_finds_a_misspelt_word_of_a_closed_set(tmp_path: Path) -> None:
    """A method, a state, a medium, a deviation that is none: each line is refused, and none of the right ones."""
    lines = {
        'session.state == "openned"': 'session.state == "opened"',
        'session.plan.method == "triangel"': 'session.plan.method == "triangle"',
        'serving.medium == "skn"': 'serving.medium == "skin"',
        'replace(session.plan, draw="by hand")': 'replace(session.plan, draw="shuffled")',
        'Deviation("", 1, "lateness", "said", 0)': 'Deviation("", 1, "late", "said", 0)',
    }
    head = "from dataclasses import replace\nfrom evaluation.sessions import Deviation, Serving, Session\n"
    body = [f"    {line}" for pair in lines.items() for line in pair]
    file = tmp_path / "misspelt.py"
    file.write_text(f"{head}\ndef f(session: Session, serving: Serving) -> None:\n" + "\n".join(body) + "\n")
    root = Path(__file__).resolve().parents[2]
    told = subprocess.run(
        [sys.executable, "-m", "mypy", "--config-file", str(root / "pyproject.toml"), str(file)],
        cwd=root,
        capture_output=True,
        text=True,
    ).stdout
    found = {int(line.split(":")[1]) for line in told.splitlines() if ": error:" in line}
    assert found == {5, 7, 9, 11, 13}, told
