"""Notebooks with invented content that the store's tests start from; only verbs of the store are used."""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from sqlalchemy import text

from evaluation.clock import SteppedClock
from evaluation.formulas import Accord, Formula, Line
from evaluation.ground.canonical import canonical, digest
from evaluation.series import SearchSeries, Series
from evaluation.serving.blinding import Drawn, draw
from evaluation.sessions import Answer, Ballot, Plan, Serving, Session
from evaluation.skin import (
    CLEAR,
    HOUR_MS,
    LEFT_ON_SKIN,
    PATCH_SITES,
    REACTION,
    Advice,
    Explained,
    GoAhead,
    Material,
    Patch,
    Reaction,
    SkinLimit,
    worn,
)
from evaluation.store import Notebook, new_id
from evaluation.store.engine import transaction
from evaluation.values.bottles import Bottle
from evaluation.values.briefs import Brief
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial
from tests.scenes import SEED, plan

EVENTS = {"sealed": (), "smelling": ("start",), "closed": ("start", "close"), "opened": ("start", "close", "open")}


def trial(number: str, **changes: Any) -> Trial:
    fields: dict[str, Any] = {
        "id": f"trial-{number}",
        "brief_id": "brief",
        "label": number,
        "parent_id": None,
        "changed": "",
        "strength_percent": Decimal("12.50"),
        "mixed_on": None,
        "diluted_on": None,
        "batch": "",
        "made_at": 1000,
    }
    return Trial(**(fields | changes))


def person(number: int, **changes: Any) -> Panelist:
    fields: dict[str, Any] = {
        "id": f"person-{number}",
        "alias": f"Nose {number}",
        "note": "",
        "active": True,
        "made_at": 1000 + number,
    }
    return Panelist(**(fields | changes))


def fill(notebook: Notebook, people: int = 3) -> None:
    """One brief, two trials and a panel, with the ids that ``tests.scenes.plan`` names."""
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("brief", "A dry garden", "Fig leaf after rain.", 900))
        tx.book.add_trial(trial("7"))
        tx.book.add_trial(trial("8", parent_id="trial-7", changed="vetiver 2 to 3"))
        for number in range(1, people + 1):
            tx.book.add_panelist(person(number))


# A further bottle of trial 7.
WARM = Bottle(
    "warm", "trial-7", "2", Decimal("12.50"), date(2026, 1, 2), date(2026, 1, 30), "B-2", 4000, lots="L8", stored="warm"
)


@dataclass(frozen=True)
class Held:
    """A session in a notebook, and what was drawn for it."""

    notebook: Notebook
    id: str
    plan: Plan
    drawn: Drawn
    ballot_ids: tuple[str, ...]  # by seat, from seat 1

    def ballot(self, seat: int = 1) -> Ballot:
        with self.notebook.reading() as tx:
            return tx.ballots.ballots(self.id)[seat - 1]

    def servings(self, seat: int = 1) -> tuple[Serving, ...]:
        with self.notebook.reading() as tx:
            return tx.sittings.servings(self.id, seat)

    def answer(self, seat: int = 1, question: str = "choice", place: int = 1, value: str = "") -> Answer:
        """An answer about the set at ``place`` of a seat; by default the first code of it."""
        serving = next(s for s in self.servings(seat) if s.place == place and not s.void)
        return Answer(self.ballot_ids[seat - 1], serving.id, question, value or serving.codes[0], 5000)

    def lock(self, *answers: Answer) -> None:
        with self.notebook.writing() as tx:
            tx.ballots.lock(answers[0].ballot_id, answers)

    def step(self, *events: str) -> None:
        for event in events:
            with self.notebook.writing() as tx:
                tx.sittings.advance(self.id, event, {"reason": "spilt"} if event == "void" else None)

    def verifies(self) -> bool:
        with self.notebook.reading() as tx:
            return tx.log.verify(self.id)


def add_draft(notebook: Notebook, session_id: str = "session", people: int = 3, spare: int = 1, **changes: Any) -> Plan:
    planned = plan(people, spare, **changes)
    with notebook.writing() as tx:
        tx.sittings.add_session(Session(session_id, planned, "draft", 2000))
    return planned


def sealed(notebook: Notebook, session_id: str, planned: Plan, seed: bytes = SEED) -> Held:
    drawn = draw(planned, seed, new_id)
    commitment = digest(canonical(drawn.key))
    with notebook.writing() as tx:
        tx.sittings.seal(session_id, drawn, commitment, digest(canonical(planned)))
        ballot_ids = tuple(one.id for one in tx.ballots.ballots(session_id))
    return Held(notebook, session_id, planned, drawn, ballot_ids)


def held(notebook: Notebook, state: str = "smelling", people: int = 3, spare: int = 1, **changes: Any) -> Held:
    """A filled notebook with one session in ``state``."""
    fill(notebook, people + spare)
    made = sealed(notebook, "session", add_draft(notebook, "session", people, spare, **changes))
    made.step(*EVENTS[state])
    return made


def alone(notebook: Notebook, session_id: str = "session", state: str = "smelling", **changes: Any) -> Held:
    """A solo triangle session of one pair in a filled notebook, answered in full once it is closed."""
    planned = add_draft(notebook, session_id, 1, 0, **({"solo": True, "replicates": 2} | changes))
    made = sealed(notebook, session_id, planned)
    for event in EVENTS[state]:
        if event == "close":
            made.lock(*(made.answer(1, "choice", place) for place in range(1, planned.replicates + 1)))
        made.step(event)
    return made


def marked(made: Held, *orders: str) -> None:
    """Enter the marks of the first sets, in their places."""
    served = sorted(made.servings(1), key=lambda one: one.place)
    with made.notebook.writing() as tx:
        tx.key.enter_marks(made.id, {one.id: order for one, order in zip(served, orders, strict=False)})


def raw(notebook: Notebook, statement: str, **values: Any) -> None:
    """Change the data behind the program's back."""
    with transaction(notebook._engine, "writing") as connection:
        connection.execute(text(statement), values)


def take_newest(notebook: Notebook, count: int) -> None:
    """Remove the newest answers as somebody would who knows the form, head and all: what is left verifies as true."""
    for _ in range(count):
        raw(notebook, "DELETE FROM answers WHERE sequence = (SELECT max(sequence) FROM records)")
        raw(notebook, "DELETE FROM records WHERE sequence = (SELECT max(sequence) FROM records)")
    raw(notebook, "UPDATE heads SET sequence = (SELECT max(sequence) FROM records)")
    raw(notebook, "UPDATE heads SET hash = (SELECT hash FROM records WHERE sequence = heads.sequence)")


def count(notebook: Notebook, table: str) -> int:
    with transaction(notebook._engine, "reading") as connection:
        return int(connection.execute(text(f"SELECT count(*) FROM {table}")).scalar_one())


def about_skin(made: Held) -> None:
    """One line of every kind that is written down about skin: a patch read twice, a reaction, what lifts it."""
    with made.notebook.writing() as tx:
        now, peel = tx.clock.now(), Material("m1", "Cold-pressed peel", "top", phototoxic=True, made_at=5)
        tx.skin.add_material(peel)
        tx.skin.add_limit(SkinLimit("m1", Decimal("0.4"), "invented sheet 4", date(2020, 2, 1), LEFT_ON_SKIN, now))
        tx.skin.confirm_limit(tx.skin.limits()[0].number, "Ida Fern, chemist", now)
        tx.formulas.write("trial-7", Formula((Line(peel, Decimal(100)),), out_of=Decimal(100)))
        wood = (Line(peel, Decimal("2.5"), lot="L7"), Line(peel, Decimal(3), Decimal(10), accord="Wood"))
        nested = (Accord("Wood", "Heart"), Accord("Heart", "", Decimal("7.5")))
        tx.formulas.write("trial-8", Formula(wood, nested))
        lines = worn(tx.skin.lines("trial-7"))
        for name, site in zip(("p1", "p2", "p3"), PATCH_SITES, strict=False):
            tx.patches.add(Patch(name, "person-1", "trial-7", f"48{name[1]}", site, Decimal(10), now, lines))
        for hours in (50, 75):
            tx.patches.read("p1", CLEAR, now + hours * HOUR_MS)
        tx.patches.ask("p1", ("batch",), now + 900 * HOUR_MS)
        tx.patches.read("p2", REACTION, now + 30 * HOUR_MS, "red")
        tx.patches.cancel("p3", "washed off", now + 30 * HOUR_MS)
        tx.reactions.add(Reaction("person-1", frozenset({"m1"}), now + 30 * HOUR_MS, ("trial-7",), patch_id="p2"))
        then = now + 40 * HOUR_MS
        tx.reactions.decide(GoAhead(frozenset({"m1"}), "it was the soap", then))
        tx.reactions.advise(Advice("person-1", frozenset({"m1"}), "Dr Ida Fern", date(2026, 1, 2), then))
        tx.live.stop(made.ballot_ids[1], "unwell")
        tx.reactions.explain(Explained("person-2", "too warm a room", then))


def _with_null_sets(notebook: Notebook) -> Plan:
    return add_draft(notebook, "with null sets", null_sets=1, draw="independent")


def _in_a_series(notebook: Notebook) -> None:
    """A series of two trials, ended, with one sitting that was sealed for it."""
    with notebook.writing() as tx:
        found = tx.series.seal(Series(plan=plan(2), design=SearchSeries()))
    planned = found.sitting("Of a series", found.series.people)
    with notebook.writing() as tx:
        tx.sittings.add_session(Session("of a series", planned, "draft", 2000))
    sealed(notebook, "of a series", planned)
    with notebook.writing() as tx:
        tx.series.end(found.id, "the bottle broke")


def write_release(file: Path, dump: Path) -> None:
    """Fill ``file`` and write it down as SQL: run once for every schema that is released, and kept from then on."""
    made = held(Notebook.open(file, SteppedClock(step=1)), minutes=(5, 60))
    made.lock(made.answer(1), made.answer(1, "remark", value="greener than I thought"))
    ruined = made.servings(2)[0]
    with made.notebook.writing() as tx:
        tx.sittings.void_serving(ruined.id, "fell on the floor")
        tx.doors.set_setting("base url", "http://127.0.0.1:8501")
    marked(alone(made.notebook, "alone", "closed"), "ABA", "BBA")
    sealed(made.notebook, "with null sets", _with_null_sets(made.notebook))
    about_skin(made)
    with made.notebook.writing() as tx:
        tx.bottles.add(WARM)
    _in_a_series(made.notebook)
    made.notebook.close()
    with closing(sqlite3.connect(file)) as connection:
        dump.write_text("\n".join(connection.iterdump()) + "\n", encoding="utf-8")


if __name__ == "__main__":  # python -m tests.store.prepared NEW_FILE DUMP
    write_release(Path(sys.argv[1]), Path(sys.argv[2]))
