"""One person who prepares, smells and enters the marks. Run once with the state of 2026-11-26; see house.py."""

from __future__ import annotations

import random
from decimal import Decimal
from pathlib import Path
from typing import Any

from evaluation.actions import bench as tables
from evaluation.actions import findings, solo
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Session
from tests.made_2026_11_26.house import House

# name: method, share noticed, plan, and where it stops
PLANS: dict[str, tuple[str, float, dict[str, Any], str]] = {
    "alone, triangle": ("triangle", 0.7, {"replicates": 12}, "done"),
    "alone, tetrad": ("tetrad", 0.5, {"replicates": 8}, "done"),
    "alone, 2-afc": ("2-afc", 0.6, {"replicates": 12}, "done"),
    "alone, 3-afc": ("3-afc", 0.4, {"replicates": 9, "expected": "first"}, "done"),
    "alone, two ages": ("triangle", 0.6, {"replicates": 6, "minutes": (5, 60), "zone": "Europe/Lisbon"}, "done"),
    "alone, looks": ("triangle", 1.0, {"replicates": 24, "look_every": 6}, "done"),
    "alone, looks to the end": ("2-afc", 0.35, {"replicates": 24, "look_every": 8}, "done"),
    "alone, looks, not noticed": ("triangle", -0.3, {"replicates": 24, "look_every": 6, "pd": Decimal("0.5")}, "done"),
    "alone, sealed": ("triangle", 0.7, {"replicates": 12}, "lay out"),
    "alone, answering": ("triangle", 0.7, {"replicates": 12}, "answer"),
    "alone, to put away": ("2-afc", 0.7, {"replicates": 10}, "put away"),
    "alone, resting": ("tetrad", 0.7, {"replicates": 8}, "rest"),
    "alone, marks due": ("3-afc", 0.7, {"replicates": 9}, "marks"),
    "alone, looks with marks due": ("triangle", 0.3, {"replicates": 12, "look_every": 6}, "marks"),
    "alone, closed": ("triangle", 0.5, {"replicates": 12}, "open"),
    "alone, to be closed": ("tetrad", 0.5, {"replicates": 8}, "close"),
}  # fmt: skip


def play(file: Path) -> House:
    house = House.new(file, "Alone at night", "", ("7", "8"))
    for name, (method, share, changes, until) in PLANS.items():
        session = house.sealed(house.plan(name, method, people=1, solo=True, **changes))
        Alone(house, session, share, begin=until not in ("lay out",)).play(until)
        (house.done if until == "done" else house.left)[name] = session.id
        house.clock.forward(minutes=300)
    given_up(house)
    return house


def given_up(house: House) -> None:
    session = house.sealed(house.plan("alone, void", "2-afc", people=1, solo=True, replicates=8))
    Alone(house, session, 0.5).play("rest")
    tables.void(house.notebook, session.id, "The vials were mixed up.")
    house.left["alone, void"] = session.id


class Alone:
    """Shuffles envelopes and strips, answers, and reads the marks; sets are told by sight now and then."""

    def __init__(self, house: House, session: Session, share: float, begin: bool = True) -> None:
        self.house, self.session, self.share, self.begin = house, session, share, begin
        self.chance = random.Random(session.plan.title)
        self.envelopes: list[str] = []
        self.orders: dict[int, str] = {}
        self.sets = 0

    def play(self, until: str) -> None:
        """To the third step of the kind ``until``, where there are so many sets; "lay out" is the first."""
        while True:
            step = solo.next_step(self.house.notebook, self.session.id)
            if step.kind == until and (until not in ("answer", "put away", "rest") or step.number >= 3):
                return
            self.take(step)
            self.house.clock.forward(seconds=15)

    def take(self, step: Any) -> None:
        notebook, key = self.house.notebook, self.session.id
        if step.kind == "rest" and step.number % 5:
            self.house.clock.forward(seconds=step.rest_ms / 1000)
        elif step.kind in ("lay out", "rest"):
            self.prepare(step)
            solo.laid_out(notebook, key, step.number, early=step.kind == "rest")
        elif step.kind == "answer":
            said = "Smoke, at last." if step.number == 2 and step.question.name == "choice" else ""
            solo.answer(notebook, key, step.question.serving_id, step.question.name, self.reply(step), said)
        elif step.kind == "put away":
            solo.put_away(notebook, key, step.number)
        elif step.kind == "close":
            tables.close(notebook, key)
        elif step.kind == "marks":
            solo.enter_marks(notebook, key, {one.place: self.orders[one.place] for one in step.due})
        else:
            assert step.kind == "open", step.kind
            findings.open_session(notebook, key)

    def prepare(self, step: Any) -> None:
        if step.compositions:
            self.envelopes = list(step.compositions)
            self.chance.shuffle(self.envelopes)
        strips = list(self.envelopes.pop())
        self.chance.shuffle(strips)
        self.orders[step.number] = "".join(strips)

    def reply(self, step: Any) -> str:
        if step.question.name == "recognised":
            return "yes" if self.chance.random() < 0.15 else "no"
        if step.question.name == "choice" and self.chance.random() < self.share:
            plan = self.session.plan
            return correct_value(plan.method, self.orders[step.number], step.codes, plan.expected)
        if step.question.name == "choice" and self.chance.random() < -self.share:
            right = correct_value(self.session.plan.method, self.orders[step.number], step.codes)
            return next(one for one in step.codes if one != right)
        return str(self.chance.choice(step.question.options))
