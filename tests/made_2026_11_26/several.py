"""Profiles, rounds of pairs and rankings with a panel. Run once with the state of 2026-11-26; see house.py."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

from evaluation.actions import aims, ballot, bench, book, decide
from evaluation.values.briefs import Target
from evaluation.values.descriptors import Descriptor
from tests.made_2026_11_26.house import House
from tests.made_2026_11_26.noses import Panel

LINE = (
    Descriptor(
        "woody", family="base", definition="Dry wood, freshly sawn.", low="none", high="very", reference="cedar, 1 %"
    ),
    Descriptor("smoky", family="base", low="none", high="very"),
    Descriptor("green", family="top", low="none", high="very"),
)
MIXED = (
    Descriptor("woody", low="none", high="very"),
    Descriptor("smoky", "category", "base"),
    Descriptor("green", "check", "top"),
    Descriptor("dose", "level"),
    Descriptor("sweet", "level", "base"),
    Descriptor("soapy", "check", "faults"),
)
PLANS: dict[str, tuple[str, dict[str, Any]]] = {
    "profile on lines": ("profile", {"labels": "7 8 9", "people": 6, "minutes": (5, 60), "descriptors": LINE}),
    "profile of every scale": ("profile", {"people": 8, "descriptors": MIXED, "asks_liking": True, "descriptor_order": "drawn"}),
    "profile, smelt again": ("profile", {"people": 5, "minutes": (5, 30, 120, 480), "primary": None, "descriptors": LINE[:2], "resmell": True}),
    "profile, warm-up and replicates": ("profile", {"people": 5, "descriptors": LINE, "warm_up": True, "replicates": 2, "asks_liking": True}),
    "profile, strength only": ("profile", {"people": 6, "minutes": (5, 60, 240), "descriptors": ()}),
    "profile, one nose": ("profile", {"people": 1, "replicates": 4, "descriptors": LINE[:2]}),
    "profile, just right with liking": ("profile", {"people": 12, "descriptors": MIXED[3:5], "asks_liking": True, "asks_strength": False}),
    "round": ("round", {"labels": "7 8 9 10", "people": 8}),
    "round, no ties": ("round", {"labels": "7 8 9", "people": 9, "ties_allowed": False, "asks_nearer": False}),
    "round, pairs each": ("round", {"labels": "7 8 9 10", "people": 10, "pairs_each": 3}),
    "round, replicates": ("round", {"labels": "7 8 9", "people": 5, "replicates": 2, "plain_difference": True}),
    "ranking": ("ranking", {"labels": "7 8 9 10", "people": 9}),
    "ranking, at an hour": ("ranking", {"labels": "7 8 9 10", "people": 9, "minutes": (60,)}),
    "ranking, order expected": ("ranking", {"labels": "7 8 9", "people": 8, "expected_order": "7 9 8", "replicates": 2}),
}  # fmt: skip
WORTH = {"A": 0.1, "B": 1.1, "C": 0.6, "D": 0.4}


def play(file: Path) -> House:
    house = House.new(file, "Rain on slate", "A wet roof at night; nothing sweet.", ("7", "8", "9", "10"))
    aims.save_descriptors(house.notebook, house.brief_id, LINE)
    aims.save_targets(house.notebook, house.brief_id, TARGETS)
    for name, (method, changes) in PLANS.items():
        expected = tuple(house.trials[one] for one in changes.get("expected_order", "").split())
        session = house.smelling(house.plan(name, method, **(changes | {"expected_order": expected})))
        house.smell(session, Panel(house, session, worth=WORTH))
        house.opened(name, session)
    apart(house)
    camps(house)
    tables_turned(house)
    return house


TARGETS = (
    Target("woody", "about", Decimal("6.5"), Decimal(5)),
    Target("green", "at most", Decimal(3), Decimal(60), Decimal("2.5")),
    Target("smoky", "at least", Decimal(4)),
)


def apart(house: House) -> None:
    """A profile with notes, drafts that were never locked, and people who left."""
    notebook = house.notebook
    plan = house.plan("profile, some left", "profile", "7 8 9", people=7, spare=1, minutes=(5, 60), descriptors=LINE)
    session = house.smelling(plan)
    hand = Panel(house, session)
    served = {(one.seat, one.place): one.id for one in bench.servings(notebook, session.id)}
    house.smell(session, hand, range(1, 5))
    house.smell(session, hand, range(5, 8), screens=4)
    left = house.ballots(session.id)[5].id
    screen = ballot.view(notebook, left).screen
    ballot.draft(notebook, left, screen[0].serving_id, {screen[0].name: "3.3", screen[1].name: "not smelt"})
    bench.note_deviation(notebook, session.id, 1, "wrong strip", "the strip of seat 2", served[1, 3])
    bench.note_deviation(notebook, session.id, 3, "late", "a phone call", served[3, 2])
    house.opened("profile, some left", session)


def camps(house: House) -> None:
    """Half of the panel likes one trial, half the other."""
    session = house.smelling(house.plan("round, two camps", "round", "7 8 9", people=10, replicates=2))
    one, other = (Panel(house, session, worth=worth) for worth in ({"A": 3, "B": 0, "C": 1}, {"A": 0, "B": 3, "C": 1}))
    house.smell(session, one, range(1, 6))
    house.smell(session, other, range(6, 11))
    house.opened("round, two camps", session)


def tables_turned(house: House) -> None:
    """Targets written anew after opening, a list of descriptors written anew, a decision on it."""
    house.clock.forward(minutes=5)
    aims.save_targets(house.notebook, house.brief_id, (*TARGETS, Target("liking", "at least", Decimal(6))))
    aims.save_descriptors(house.notebook, house.brief_id, (*LINE, Descriptor("musty", family="faults")))
    decide.decide(house.notebook, house.brief_id, house.trials["8"], "rework", "Less wood after an hour.")
    book.change_panelist(house.notebook, house.people["Leon"], active=False)
