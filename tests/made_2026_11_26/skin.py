"""Sessions on skin, with all that the gate wants. Run once with the state of 2026-11-26; see house.py."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from evaluation.actions import ballot, bench, live
from evaluation.actions import skin as gate
from evaluation.actions import timetable as planning
from evaluation.actions.timetable import Settings
from evaluation.skin import EXCLUSIONS, LEFT_ON_SKIN
from evaluation.timetable import NoFit
from evaluation.values.descriptors import Descriptor
from tests.made_2026_11_26.house import House, aged
from tests.made_2026_11_26.noses import Panel
from tests.methods import SEVERAL

RATED = (Descriptor("woody", low="none", high="very"), Descriptor("green", "category"))
SMELLERS = 7  # of the house are asked about skin; two more are excluded
NOT_ME = dict.fromkeys(EXCLUSIONS, False)
HOUR = 60


def play(file: Path) -> House:
    house = House.new(file, "Warm skin", "Amber on a wrist.", ("7", "8", "9", "10", "11", "12", "13"))
    formulas(house)
    people(house)
    patches(house)
    simple(house, "skin, preference", "preference", minutes=(30,), asks_nearer=False)
    simple(house, "skin, 2-afc", "2-afc", minutes=(60,))
    simple(house, "skin, profile", "profile", minutes=(15, 120), descriptors=RATED, asks_liking=True)
    simple(house, "skin, ranking", "ranking", "7 8 9", minutes=(30,))
    both(house, "strip and skin, 2-afc", "2-afc", skin_ages=aged(30))
    both(house, "strip and skin, preference", "preference", skin_ages=aged(60))
    both(house, "strip and skin, profile", "profile", minutes=(5, 60), skin_ages=aged(30, 120), descriptors=RATED)
    both(house, "strip and skin, ranking", "ranking", "7 8 9", skin_ages=aged(30))
    timed(house)
    states(house)
    stopped(house)
    barred(house)
    return house


def formulas(house: House) -> None:
    """Limits that followed one another, names equal but for case and blanks, a document of 1970, a trial hardly diluted."""
    notebook, made = house.notebook, {}
    old, new = date(2024, 3, 1), date(2026, 2, 1)
    for name, volatility, natural, light, limits in (
        ("Vetiver oil", "base", True, False, (("20", "invented sheet 4", old), ("18.5", "invented sheet 5", new))),
        ("vetiver  oil", "base", True, False, (("12", "invented sheet 4b", new),)),
        ("Amber base", "base", False, False, (("60", "invented sheet 9", date(1970, 1, 1)),)),
        ("AMBER BASE", "", False, False, (("55", "invented sheet 9, second print", new),)),
        ("Bergamot, pressed", "top", True, True, (("2", "invented sheet 11", new),)),
        ("Iris root", "heart", True, False, ()),
    ):
        made[name] = gate.add_material(notebook, name, volatility, natural, light, "an invented material")
        house.clock.forward(minutes=1)
        for percent, document, dated in limits:
            gate.add_limit(notebook, made[name].id, Decimal(percent), document, dated, LEFT_ON_SKIN)
            house.clock.forward(minutes=1)
    gate.add_limit(notebook, made["Iris root"].id, Decimal("1.5"), "invented sheet 12", old, "rinsed off")
    for number, label in enumerate(house.trials):
        names = ("vetiver  oil", "AMBER BASE") if label in ("9", "10") else ("Vetiver oil", "Amber base")
        typed = [(made[names[0]].id, Decimal(40), Decimal(10)), (made[names[1]].id, Decimal("59.5"), Decimal(100))]
        typed.append((made["Bergamot, pressed"].id, Decimal("0.5"), Decimal("12.5")))
        gate.write_lines(notebook, house.trials[label], typed)
        strength = {"11": "99.9", "12": "12.5"}.get(label, f"{15 - number}")
        gate.set_strength(notebook, house.trials[label], Decimal(strength))
    gate.set_strength(notebook, house.trials["13"], None)


def people(house: House) -> None:
    listed = list(house.people.values())
    for who in listed[:SMELLERS]:
        gate.record_facts(house.notebook, who, consent=True, **NOT_ME)
    gate.record_facts(house.notebook, listed[7], consent=True, **(NOT_ME | {"asthma": True}))
    gate.record_facts(house.notebook, listed[8], consent=False, **NOT_ME)
    gate.record_facts(house.notebook, listed[9], consent=True, **NOT_ME)


def patches(house: House) -> None:
    """Clear ones of four trials, a reaction, one that waits and one that nobody read in time."""
    listed, trials = list(house.people.values()), house.trials
    put = {
        who: gate.put_on_patches(house.notebook, who, [trials[one] for one in ("7", "8", "9", "10")])
        for who in listed[:SMELLERS]
    }
    lost = gate.put_on_patches(house.notebook, listed[9], [trials["7"]])
    house.clock.forward(minutes=50 * HOUR)
    for patch in (one for many in put.values() for one in many):
        gate.read_patch(house.notebook, patch.id, "clear", "nothing to see")
    house.clock.forward(minutes=50 * HOUR)
    again = gate.put_on_patches(house.notebook, listed[9], [trials["9"]])
    house.clock.forward(minutes=20 * HOUR)
    gate.read_patch(house.notebook, again[0].id, "reaction", "red, itching")
    gate.put_on_patches(house.notebook, listed[9], [trials["8"]])
    assert lost


def simple(house: House, name: str, method: str, labels: str = "7 8", **changes: Any) -> None:
    session = house.smelling(house.plan(name, method, labels, people=6, medium="skin", **changes))
    house.smell(session, Panel(house, session, 0.6))
    house.opened(name, session)


def both(house: House, name: str, method: str, labels: str = "7 8", **changes: Any) -> None:
    plan = house.plan(name, method, labels, people=6, medium="strip and skin", **changes)
    session = house.smelling(plan)
    hand = Panel(house, session, 0.7)
    first = next(one for one in bench.servings(house.notebook, session.id) if one.seat == 2 and one.medium == "strip")
    if method not in SEVERAL:  # the others have no spare sets
        bench.void_serving(house.notebook, session.id, first.id, "bent")
    house.smell(session, hand)
    house.opened(name, session)


def timed(house: House) -> None:
    """A timetable with washing and drying, applications tapped, real ages on skin."""
    session = house.sealed(
        house.plan("skin, real ages", "preference", people=6, medium="skin", minutes=(30,), asks_nearer=False)
    )
    house.clock.forward(minutes=24 * HOUR)
    made = planning.make(house.notebook, session.id, Settings(house.clock.now() + 60_000))
    assert not isinstance(made, NoFit), made
    bench.start(house.notebook, session.id)
    hand, ballots = Panel(house, session), {one.seat: one.id for one in house.ballots(session.id)}
    while (board := live.board(house.notebook, session.id)) is not None and board.calls:
        dip, call = (board.dips[:1] or [None])[0], board.calls[0]
        house.clock.instant = max(house.clock.instant, dip.at if dip and dip.at <= call.at else call.at) + 20_000
        if dip and dip.at <= call.at:
            live.dipped(house.notebook, session.id, dip.serving_id)
        else:
            house.answer(ballots[call.seat], hand, call.seat, screens=2)
    house.smell(session, hand)
    house.opened("skin, real ages", session)


def states(house: House) -> None:
    """Sealed, half smelt, and given up."""
    changes: dict[str, Any] = {"people": 6, "medium": "skin", "minutes": (30,), "asks_nearer": False}
    house.left["skin, sealed"] = house.sealed(house.plan("skin, sealed", "preference", "9 10", **changes)).id
    smelling = house.smelling(house.plan("skin, smelling", "preference", "9 10", **changes))
    house.smell(smelling, Panel(house, smelling), range(1, 4), screens=2)
    house.left["skin, smelling"] = smelling.id
    void = house.smelling(house.plan("skin, void", "2-afc", "9 10", people=6, medium="skin", minutes=(30,)))
    bench.void(house.notebook, void.id, ".")
    house.left["skin, void"] = void.id


def stopped(house: House) -> None:
    """Somebody's skin reacts in a session of both media: what they had on is shown, the trials are barred."""
    session = house.smelling(
        house.plan("strip and skin, a stop", "2-afc", "7 10", people=6, medium="strip and skin", skin_ages=aged(30))
    )
    hand = Panel(house, session, 0.6)
    house.smell(session, hand, range(1, 4))
    third = house.ballots(session.id)[3].id
    house.answer(third, hand, 4, screens=1)
    ballot.stop(house.notebook, third, "skin")
    gate.emergency(house.notebook, session.id, 4)
    house.smell(session, hand)
    ballot.stop(house.notebook, house.ballots(session.id)[5].id, "unwell")
    house.opened("strip and skin, a stop", session)


def barred(house: House) -> None:
    gate.let_back(house.notebook, house.trials["7"], "It was the soap: patch of it clear twice.")
    gate.take_off(house.notebook, house.trials["12"], "The supplier recalled a lot.")
