"""An invented house, its trials and panel, and how a session is planned, sealed, smelt and opened in it.

Part of the script that made the files in tests/report/released/ and tests/store/released/2026-11-26/. It was run once,
with the program as it stood on 2026-11-26, and is never run again: the files are what counts. It is kept so that one
can read what is in them, and is not meant to work with any later state of the program.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from hashlib import sha256
from pathlib import Path
from typing import Any

from evaluation.actions import ballot, bench, book, findings, seal
from evaluation.actions import plan as planning
from evaluation.clock import SteppedClock
from evaluation.planning.outlook import outlook_of
from evaluation.planning.prospects import prospect_of
from evaluation.sessions import Ballot, Plan, Question, Seat, Session, StripAge
from evaluation.store import Notebook
from tests.methods import SEVERAL

FIRST_DAY = 1_793_610_000_000  # 2026-11-02 09:00 UTC
Hand = Callable[[int, Question], str]  # seat, what is asked -> the answer
ALIASES = ("Ada", "Bruno", "Cleo", "Dimitri", "Edda", "Florian", "Greta", "Hugo", "Ines", "Jonas", "Klara", "Leon")


@dataclass
class House:
    """A notebook with a brief, trials by label, and people by alias; ``done`` names the opened sessions."""

    notebook: Notebook
    clock: SteppedClock
    brief_id: str = ""
    trials: dict[str, str] = field(default_factory=dict)
    people: dict[str, str] = field(default_factory=dict)
    done: dict[str, str] = field(default_factory=dict)
    left: dict[str, str] = field(default_factory=dict)  # sessions in other states, by name

    @classmethod
    def new(cls, file: Path, brief: str, text: str, labels: Iterable[str]) -> House:
        clock = SteppedClock(FIRST_DAY, step=1)
        house = cls(Notebook.open(file, clock), clock)
        house.brief_id = book.add_brief(house.notebook, brief, text).id
        for alias in ALIASES:
            house.people[alias] = book.add_panelist(house.notebook, alias).id
        for label in labels:
            house.add_trial(label)
        return house

    def add_trial(self, label: str) -> None:
        parent = list(self.trials.values())[-1] if self.trials else None
        changed = f"vetiver {len(self.trials)} to {len(self.trials) + 1}" if parent else ""
        told = (parent, changed, Decimal("12.50"), date(2026, 10, 1), date(2026, 10, 20), "invented batch")
        self.trials[label] = book.add_trial(self.notebook, self.brief_id, label, *told).id

    def plan(
        self,
        title: str,
        method: str,
        labels: str = "7 8",
        people: int = 8,
        spare: int = 0,
        minutes: Any = (5,),
        **more: Any,
    ) -> Plan:
        """A plan whose impossible verdicts are confirmed."""
        ids = [self.trials[label] for label in labels.split()]
        sitting = [Seat(n, who) for n, who in enumerate(list(self.people.values())[:people], start=1)]
        free = [Seat(people + n, None) for n in range(1, spare + 1)]
        ages = more.pop("ages", None) or aged(*minutes)
        fields: dict[str, Any] = {
            "brief_id": self.brief_id,
            "title": title,
            "method": method,
            "first_trial_id": ids[0],
            "second_trial_id": ids[1],
            "other_trial_ids": tuple(ids[2:]),
            "medium": "strip",
            "ages": ages,
            "primary": ages[0].seconds,
            "replicates": 1,
            "seats": (*sitting, *free),
            "alpha": Decimal("0.05"),
            "beta": Decimal("0.05"),
            "pd": Decimal("0.30"),
        }
        if method in ("2-afc", "3-afc"):
            fields |= {"descriptor": "smoky", "expected": "second"}
        made = Plan.of(**(fields | more))
        outlook: Any = prospect_of(made) if method in SEVERAL else outlook_of(made)
        return replace(made, confirmed=tuple(outlook.to_confirm))

    def sealed(self, plan: Plan) -> Session:
        draft = planning.add_draft(self.notebook, plan)
        self.clock.forward(minutes=3)
        return seal.seal(self.notebook, draft.id, sha256(plan.title.encode()).digest())

    def smelling(self, plan: Plan) -> Session:
        session = self.sealed(plan)
        self.clock.forward(minutes=10)
        return bench.start(self.notebook, session.id)

    def ballots(self, session_id: str) -> list[Ballot]:
        with self.notebook.reading() as tx:
            return sorted(tx.ballots.ballots(session_id), key=lambda one: one.seat)

    def answer(self, ballot_id: str, hand: Hand, seat: int, screens: int = 1000, said: str = "") -> None:
        """Answer so many screens of a ballot, with a remark at the first."""
        for _ in range(screens):
            screen = ballot.view(self.notebook, ballot_id).screen
            if not screen:
                return
            values = {asked.name: hand(seat, asked) for asked in screen}
            ballot.lock_screen(self.notebook, ballot_id, screen[0].serving_id, values, said)
            self.clock.forward(seconds=20)
            said = ""

    def smell(self, session: Session, hand: Hand, seats: Iterable[int] = range(1, 81), screens: int = 1000) -> None:
        remarks = {2: "Greener than I thought, like a cut stem.", 5: "=SUM(1) and “quotes”, Zoë"}
        for one in self.ballots(session.id):
            if one.panelist_id is not None and one.seat in seats:
                self.answer(one.id, hand, one.seat, screens, remarks.get(one.seat, ""))

    def opened(self, name: str, session: Session) -> None:
        """Close, open, and remember under ``name``; the next session is on another day."""
        bench.close(self.notebook, session.id)
        self.clock.forward(minutes=2)
        findings.open_session(self.notebook, session.id)
        self.done[name] = session.id
        self.clock.forward(minutes=300)


def aged(*minutes: float) -> tuple[StripAge, ...]:
    return tuple(StripAge(int(m * 60), max(5, int(m * 6))) for m in minutes)
