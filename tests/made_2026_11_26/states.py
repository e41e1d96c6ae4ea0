"""Sessions in every state, with doors and links. Run once with the state of 2026-11-26; see house.py."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from evaluation.actions import ballot, bench, doors, live, looks
from evaluation.actions import plan as planning
from evaluation.actions import timetable as times
from evaluation.actions.timetable import Settings
from evaluation.errors import Refused
from tests.made_2026_11_26.house import House
from tests.made_2026_11_26.noses import Panel
from tests.made_2026_11_26.several import LINE, MIXED

PLANS: dict[str, dict[str, Any]] = {
    "triangle": {"method": "triangle", "people": 6, "spare": 1},
    "preference": {"method": "preference", "people": 6, "minutes": (5, 60), "primary": "overall"},
    "profile": {"method": "profile", "labels": "7 8 9", "people": 6, "minutes": (5, 60), "descriptors": LINE, "warm_up": True},
    "round": {"method": "round", "labels": "7 8 9", "people": 6},
    "ranking": {"method": "ranking", "labels": "7 8 9", "people": 6},
}  # fmt: skip
SECRET = bytes(range(32))


def play(file: Path) -> House:
    house = House.new(file, "A harbour at night", "Tar, rope, cold air.", ("7", "8", "9"))
    for method, changes in PLANS.items():
        states(house, method, changes)
    plan = house.plan(
        "profile, drawn order, smelling", "profile", people=6, descriptors=MIXED, descriptor_order="drawn"
    )
    smelling(house, "profile, drawn order, smelling", plan, screens=1)
    plan = house.plan("null sets, smelling", "tetrad", people=6, null_sets=1, replicates=2)
    smelling(house, "null sets, smelling", plan, screens=3)
    with_looks(house)
    with_timetable(house)
    at_the_door(house)
    return house


def states(house: House, method: str, changes: dict[str, Any]) -> None:
    """A draft, sealed, half smelt, closed, opened, and given up at three moments."""
    draft = planning.add_draft(house.notebook, house.plan(f"{method}, draft", **changes))
    house.left[f"{method}, draft"] = draft.id
    house.left[f"{method}, sealed"] = house.sealed(house.plan(f"{method}, sealed", **changes)).id
    smelling(
        house,
        f"{method}, smelling",
        house.plan(f"{method}, smelling", **changes),
        screens=1 if method in ("triangle", "ranking") else 3,
    )
    closed = house.smelling(house.plan(f"{method}, closed", **changes))
    house.smell(closed, Panel(house, closed))
    bench.close(house.notebook, closed.id)
    house.left[f"{method}, closed"] = closed.id
    opened = house.smelling(house.plan(f"{method}, opened", **changes))
    house.smell(opened, Panel(house, opened), range(1, 6))
    house.opened(f"{method}, opened", opened)
    void = house.sealed(house.plan(f"{method}, void", **changes))
    if method != "triangle":
        bench.start(house.notebook, void.id)
        house.smell(void, Panel(house, void), range(1, 3), screens=2)
    if method == "profile":
        bench.close(house.notebook, void.id)
    bench.void(house.notebook, void.id, "A window stood open.")
    house.left[f"{method}, void"] = void.id


def smelling(house: House, name: str, plan: Any, screens: int) -> None:
    """Some are done, some in the middle, some have not begun."""
    session = house.smelling(plan)
    hand = Panel(house, session)
    house.smell(session, hand, range(1, 3))
    house.smell(session, hand, range(3, 5), screens=screens)
    half = house.ballots(session.id)[4].id
    screen = ballot.view(house.notebook, half).screen
    if screen[0].kind in ("line", "category", "check", "level"):
        ballot.draft(
            house.notebook,
            half,
            screen[0].serving_id,
            {screen[0].name: "7.1" if screen[0].kind == "line" else screen[0].options[0]},
        )
    house.left[name] = session.id
    house.clock.forward(minutes=300)


def with_looks(house: House) -> None:
    session = house.smelling(house.plan("looks, smelling", "triangle", people=12, look_every=4))
    hand = Panel(house, session, 0.5)
    house.smell(session, hand, range(1, 7))
    looks.status(house.notebook, session.id)
    house.left["looks, smelling"] = session.id


def with_timetable(house: House) -> None:
    """A timetable under way: some dipped, one smelt, one planned anew."""
    session = house.sealed(house.plan("timetable, smelling", "duo-trio", people=6, minutes=(5, 30)))
    times.make(house.notebook, session.id, Settings(house.clock.now() + 60_000))
    bench.start(house.notebook, session.id)
    board = live.board(house.notebook, session.id)
    assert board is not None
    for dip in board.dips[:4]:
        house.clock.instant = max(house.clock.instant, dip.at + 40_000)
        live.dipped(house.notebook, session.id, dip.serving_id)
    board = live.board(house.notebook, session.id)
    assert board is not None
    call = next(one for one in board.calls if one.dipped)
    house.clock.instant = max(house.clock.instant, call.at)
    mine = house.ballots(session.id)[call.seat - 1].id
    house.answer(mine, Panel(house, session), call.seat, screens=2)
    live.flow(house.notebook, session.id, "changed", {"preparers": 2})
    house.left["timetable, smelling"] = session.id
    sealed = house.sealed(house.plan("timetable, sealed", "3-afc", people=6, minutes=(5, 24 * 60)))
    told = Settings(house.clock.now() + 3_600_000, keeper="Ines, open, in the north room")
    times.make(house.notebook, sealed.id, told)
    house.left["timetable, sealed"] = sealed.id


def at_the_door(house: House) -> None:
    """A passphrase, wrong tries, visits that go on and that ended, links given and renewed, an address."""
    notebook, words = house.notebook, "invented words at a door"
    first = doors.set_first_passphrase(notebook, words)
    for wrong in ("no such words", "nor these words"):
        try:
            doors.sign_in(notebook, wrong)
        except Refused:
            continue
    doors.sign_in(notebook, words)
    doors.sign_out(notebook, first)
    given = doors.links(notebook, SECRET, house.left["triangle, smelling"])
    doors.join(notebook, given[house.ballots(house.left["triangle, smelling"])[2].id])
    doors.renew_link(notebook, SECRET, house.ballots(house.left["triangle, smelling"])[1].id)
    with notebook.writing() as tx:
        tx.doors.set_setting("base url", "http://127.0.0.1:8501")
