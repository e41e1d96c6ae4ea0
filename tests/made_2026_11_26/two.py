"""Sessions about two trials with a panel. Run once with the state of 2026-11-26; see house.py."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from evaluation.actions import anosmia, ballot, bench, book, decide, live, looks, paper
from evaluation.actions import timetable as planning
from evaluation.actions.timetable import Settings
from evaluation.sessions import ALWAYS_OUT, Session
from evaluation.timetable import NoFit
from evaluation.values.briefs import Target
from tests.made_2026_11_26.house import House, aged
from tests.made_2026_11_26.noses import Panel

# name: method, share noticed, plan
PLAIN: dict[str, tuple[str, float, dict[str, Any]]] = {
    "triangle": ("triangle", 0.75, {"people": 12}),
    "duo-trio": ("duo-trio", 0.4, {"people": 10, "pd": Decimal("0.5")}),
    "tetrad": ("tetrad", 0.5, {"people": 8, "minutes": (60,), "prior": "sceptical"}),
    "2-afc": ("2-afc", 0.7, {"people": 12}),
    "2-afc reversed": ("2-afc", -0.9, {"people": 9, "expected": "first", "alpha": Decimal("0.1")}),
    "3-afc": ("3-afc", 0.45, {"people": 10, "zone": "Europe/Berlin"}),
    "two-out-of-five": ("two-out-of-five", 0.35, {"people": 7, "prior": "hopeful"}),
    "preference": ("preference", 0, {"people": 11}),
    "preference, ties split": ("preference", 0, {"people": 10, "ties_rule": "split", "asks_nearer": False}),
    "preference, plain difference": ("preference", 0, {"people": 9, "ties_allowed": False, "plain_difference": True}),
    "preference, overall": ("preference", 0, {"people": 9, "minutes": (5, 60), "primary": "overall"}),
    "preference, three ages": ("preference", 0, {"people": 8, "minutes": (5, 30, 240), "primary": 1800}),
    "preference, no primary": ("preference", 0, {"people": 7, "minutes": (5, 60), "primary": None, "ties_allowed": False}),
    "ages with a primary": ("triangle", 0.7, {"people": 10, "minutes": (5, 60, 360), "primary": 3600}),
    "ages without a primary": ("2-afc", 0.6, {"people": 11, "minutes": (2, 30), "primary": None}),
    "replicates": ("triangle", 0.5, {"people": 6, "replicates": 3}),
    "replicates at two ages": ("tetrad", 0.4, {"people": 4, "replicates": 2, "minutes": (5, 45)}),
    "not noticed": ("2-afc", -0.1, {"people": 12, "replicates": 2, "pd": Decimal("0.5")}),
    "noticed, but small": ("2-afc", 0.28, {"people": 1, "replicates": 60, "pd": Decimal("0.5")}),
    "one nose, not noticed": ("triangle", -0.25, {"people": 1, "replicates": 30}),
    "check the key": ("triangle", -0.97, {"people": 12, "alpha": Decimal("0.1")}),
    "preference, the first": ("preference", 1, {"people": 12}),
    "one nose": ("2-afc", 0.8, {"people": 1, "replicates": 10}),
    "null sets": ("triangle", 0.6, {"people": 10, "null_sets": 1}),
    "null sets and replicates": ("tetrad", 0.5, {"people": 5, "null_sets": 2, "replicates": 2, "minutes": (5, 60)}),
}  # fmt: skip


def play(file: Path) -> House:
    house = House.new(file, "A dry garden", "Fig leaf after rain, no sugar.", ("7", "8", "9"))
    for name, (method, share, changes) in PLAIN.items():
        session = house.smelling(house.plan(name, method, **changes))
        worth = {"A": 1.2, "B": 0.1} if share == 1 else None
        house.smell(session, Panel(house, session, share, worth))
        house.opened(name, session)
    looked(house, "looks", {"look_every": 6, "people": 12, "replicates": 1}, 0.9)
    looked(house, "looks, replicates", {"look_every": 8, "people": 8, "replicates": 3, "null_sets": 1}, 0.35)
    looked(house, "looks, closed early", {"look_every": 4, "people": 12, "pd": Decimal("0.5")}, 0.25, seats=range(1, 7))
    apart(house)
    missing(house)
    timed(house)
    on_paper(house)
    decided(house)
    gaps(house)
    return house


def looked(house: House, name: str, changes: dict[str, Any], share: float, seats: Any = range(1, 81)) -> None:
    """Looks are asked for after every ballot; some noses go on after the one that stopped it."""
    session = house.smelling(house.plan(name, "triangle", **changes))
    hand = Panel(house, session, share)
    for one in house.ballots(session.id):
        if one.seat in seats:
            house.answer(one.id, hand, one.seat)
            looks.status(house.notebook, session.id)
    if name == "looks":
        bench.note_deviation(house.notebook, session.id, 2, "wrong strip", "code 2 lay on tray 3")
    house.opened(name, session)


def apart(house: House) -> None:
    """Everything that can be noted, a void set with its spare, a guest who is erased later, and who saw the key."""
    left_out = (*ALWAYS_OUT, "late", "overheard", "recognised")
    plan = house.plan("what did not go by the plan", "triangle", people=11, spare=2, minutes=(5, 60), left_out=left_out)
    session = house.smelling(plan)
    hand, notebook, people = Panel(house, session, 0.8), house.notebook, house.people
    guest = book.add_panelist(notebook, "Guest", "a friend of the house").id
    bench.seat_person(notebook, session.id, 12, guest)
    served = {(one.seat, one.place): one.id for one in bench.servings(notebook, session.id)}
    bench.void_serving(notebook, session.id, served[3, 1], "fell on the floor")
    house.smell(session, hand, range(1, 10))
    bench.void_serving(notebook, session.id, served[4, 2], "dipped twice")  # after it was answered
    house.smell(session, hand)
    house.answer(house.ballots(session.id)[11].id, hand, 12, said="I was only a guest.")
    bench.letter_key(notebook, session.id, people["Bruno"])
    bench.preparation(notebook, session.id, people["Edda"])
    for seat, kind, place in (
        (1, "late", 1),
        (6, "wrong strip", 2),
        (7, "ruined strip", 1),
        (8, "recognised", 1),
        (9, "overheard", 0),
    ):
        bench.note_deviation(
            notebook, session.id, seat, kind, f"{kind}, seen by the helper", served.get((seat, place), "")
        )
    bench.note_deviation(notebook, session.id, 10, "unblinded", ".")
    ballot.stop(notebook, house.ballots(session.id)[10].id, "unwell")
    house.opened("what did not go by the plan", session)
    book.erase_panelist(notebook, guest)


def missing(house: House) -> None:
    """Some never came, some left in the middle."""
    session = house.smelling(house.plan("some left", "duo-trio", people=9, minutes=(5, 60), pd=Decimal("0.4")))
    hand = Panel(house, session, 0.7)
    house.smell(session, hand, range(1, 5))
    house.smell(session, hand, range(5, 8), screens=3)
    house.opened("some left", session)


def timed(house: House) -> None:
    """With a timetable: real ages, dips tapped late, corrected, or never, and sets smelt late."""
    ages, out = aged(5, 20, 40), (*ALWAYS_OUT, "late")
    session = house.sealed(house.plan("real ages", "triangle", people=5, ages=ages, primary=1200, left_out=out))
    made = planning.make(house.notebook, session.id, Settings(house.clock.now() + 600_000, preparers=2))
    assert not isinstance(made, NoFit), made
    bench.start(house.notebook, session.id)
    follow_board(house, session, Panel(house, session, 0.7))
    first = next(one for one in bench.servings(house.notebook, session.id) if one.seat == 2)
    with house.notebook.reading() as tx:
        (dip,) = (one for one in tx.live.dips(session.id) if one.serving_id == first.id)
    live.correct(house.notebook, session.id, first.id, dip.dipped_at - 150_000, "tapped two and a half minutes late")
    house.opened("real ages", session)


def follow_board(house: House, session: Session, hand: Any) -> None:
    """Dip and smell as the board says; seat 4 never has a dip tapped, seat 3 is slow."""
    ballots = {one.seat: one.id for one in house.ballots(session.id)}
    for _ in range(200):
        board = live.board(house.notebook, session.id)
        if board is None or not board.calls:
            break
        dips = [one for one in board.dips if one.seat != 4]
        call = board.calls[0]
        if dips and dips[0].at <= call.at:
            wait(house, dips[0].at + (95_000 if dips[0].seat == 5 else 8_000))
            live.dipped(house.notebook, session.id, dips[0].serving_id)
            continue
        wait(house, call.at + (260_000 if call.seat == 3 else 5_000))
        house.answer(ballots[call.seat], hand, call.seat, screens=2)
    house.smell(session, hand)


def wait(house: House, until: int) -> None:
    house.clock.instant = max(house.clock.instant, until)


def on_paper(house: House) -> None:
    """Cards typed line by line with times and remarks, a table, and two people on phones."""
    session = house.sealed(house.plan("on paper", "tetrad", people=6, minutes=(5, 30), zone="Europe/Berlin"))
    bench.start(house.notebook, session.id)
    hand = Panel(house, session, 0.6)
    house.clock.instant -= house.clock.instant % 60_000
    dipped = house.clock.instant
    for one in bench.servings(house.notebook, session.id):
        if one.seat <= 3 and one.age_seconds == 300 and not one.spare:
            live.dipped(house.notebook, session.id, one.id)
    smelt = {1: f" @{at(dipped, 5)}", 2: f" @{at(dipped, 14)} # like wet slate"}
    house.smell(session, hand, (5, 6))
    house.clock.forward(minutes=20)
    for card in paper.cards(house.notebook, session.id):
        if card.seat <= 3:
            paper.enter(
                house.notebook,
                session.id,
                card.label,
                line(card, hand) + (smelt.get(card.seat, "") if card.number == 1 else ""),
            )
    filled = [",".join(paper.COLUMNS)]
    for card in paper.cards(house.notebook, session.id):
        if card.seat == 4:
            filled += [f"{card.label},,,{asked.name},,{hand(4, asked)}" for asked in card.questions]
    paper.enter_table(house.notebook, session.id, "\r\n".join(filled).encode())
    house.opened("on paper", session)


def line(card: Any, hand: Any) -> str:
    words = []
    for asked in card.questions:
        said = hand(card.seat, asked)
        words.append(said.split("|")[0].replace("+", " ") if "|" in said else str(asked.options.index(said) + 1))
    return " ".join(words) if card.serving else words[0].replace("1", "n").replace("2", "y")


def at(instant: int, minutes: int) -> str:
    """What a clock in Berlin shows so many minutes later."""
    return f"{datetime.fromtimestamp(instant / 1000 + 60 * minutes, ZoneInfo('Europe/Berlin')):%H:%M}"


def decided(house: House) -> None:
    """Targets, and a record of three decisions of which one supersedes another."""
    from evaluation.actions import aims

    aims.save_targets(
        house.notebook,
        house.brief_id,
        (Target("smoky", "at most", Decimal(3), Decimal(60)), Target("green", "about", Decimal("6.5"))),
    )
    first = decide.decide(house.notebook, house.brief_id, house.trials["8"], "keep", "The panel prefers it.")
    house.clock.forward(minutes=60)
    decide.decide(house.notebook, house.brief_id, house.trials["7"], "drop", "Nobody asks for it any more.")
    decide.decide(house.notebook, house.brief_id, house.trials["8"], "smell again", "On another day.", first.id)


def gaps(house: House) -> None:
    """The comparison of people over sessions must be possible with what was played."""
    touched = [
        one.session_id for one in anosmia.comparisons(house.notebook, house.brief_id) if one.method == "triangle"
    ]
    anosmia.gaps(house.notebook, house.brief_id, "vetiver", touched[:2])
