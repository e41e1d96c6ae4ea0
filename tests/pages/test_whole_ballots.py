"""Whole ballots of every method as a phone hears them, all bytes of it, searched for what it may not know.

The phone is a websocket and plain requests, no browser: what a browser hears besides is in
tests/browser/test_ballot_browser.py. Answers with one choice are locked over the wire; those of other screens beside it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from decimal import Decimal
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from evaluation.actions import ballot, book, doors
from evaluation.clock import SystemClock
from evaluation.kinds import kind_of
from evaluation.sessions import Session
from evaluation.store import Notebook
from tests.methods import ALL_METHODS, SEVERAL
from tests.pages.wire import Running, Tab, choose_and_lock, raw, running
from tests.scenes import Scene, ballots, begun, first_option, key_of, scene

PEOPLE = 8
LABELS = ("Quince-4101", "Quince-4102", "Quince-4103")
CHANGED = "less of the orchard base"
MARKED_UP = re.compile(rb"<(style|script)>.*?</\1>", re.DOTALL)
CODE = re.compile(rb"(?<![0-9A-Za-z#.:])[1-9]\d\d(?![0-9A-Za-z.])")


@dataclass
class Orchard:
    server: Running
    scene: Scene
    secret: bytes

    @property
    def notebook(self) -> Any:
        return self.scene.notebook

    def smelling(self, method: str) -> Session:
        """A session of a method; every set is dipped and begun, so that no ballot waits."""
        more: dict[str, Any] = {"method": method, "title": f"Orchard {method}"}
        if method in SEVERAL:
            more |= {"other_trial_ids": self.third}
        session = self.scene.smelling(**more)
        begun(self.notebook, session.id)
        return session

    @property
    def third(self) -> tuple[str, ...]:
        return tuple(one.id for one in book.trials(self.notebook, self.scene.brief_id) if one.label == LABELS[2])

    def heard(self, session: Session, seat: int) -> bytes:
        """All that a phone is sent from the link to the thanks."""
        mine = ballots(self.notebook, session.id)[seat - 1].id
        joined = self.server.get(f"/join/{doors.links(self.notebook, self.secret, session.id)[mine]}")
        page = self.server.get("/", joined.cookies)
        with self.server.open(joined.cookies) as tab:
            while asked := ballot.view(self.notebook, mine).screen:
                self.lock(tab, mine, asked)
            tab.run()
            assert b"Thank you" in raw(tab.frames)
            return b"\n".join((joined.text.encode(), page.text.encode(), raw(tab.frames)))

    def lock(self, tab: Tab, ballot_id: str, asked: Any) -> None:
        if len(asked) == 1 and asked[0].pick == 1 and asked[0].kind != "ranking" and not asked[0].scale:
            choose_and_lock(tab)
        else:
            tab.run()
            told = {one.name: first_option(one) for one in asked}
            ballot.lock_screen(self.notebook, ballot_id, asked[0].serving_id, told)


@contextmanager
def _orchard(folder: Path) -> Iterator[Orchard]:
    file = folder / "orchard.sqlite"
    notebook = Notebook.open(file, SystemClock())
    made = scene(notebook, PEOPLE)
    own = [
        book.add_trial(notebook, made.brief_id, label, None, CHANGED, strength_percent=Decimal(10)).id
        for label in LABELS
    ]
    with running("--data", str(file), cwd=folder) as server:
        there = Scene(notebook, made.brief_id, (own[0], own[1]), made.panelist_ids)
        yield Orchard(server, there, doors.server_secret(file))
    notebook.close()


def _hidden(orchard: Orchard, session: Session) -> list[str]:
    """Labels, ids, seed and hashes: words that no phone may be sent."""
    with orchard.notebook.reading() as tx:
        plan = session.plan
        served = tx.sittings.servings(session.id)
        records = tx.log.records(session.id)
        people = [tx.book.panelist(seat.panelist_id) for seat in plan.seats if seat.panelist_id]
    key = key_of(orchard.notebook, session.id)
    links = doors.links(orchard.notebook, orchard.secret, session.id)
    return [
        *LABELS,
        CHANGED,
        plan.title,
        *(plan.brief_id, session.id, session.sealed_hash, key.seed, orchard.secret.hex()),
        *plan.trial_ids,
        *(each for one in people for each in (one.alias, one.id)),
        *(one.id for one in served),
        *links.keys(),
        *links.values(),
        *(one.hash for one in records),
    ]


def _hits(orchard: Orchard, session: Session, seat: int, told: bytes) -> list[str]:
    found = [one for one in _hidden(orchard, session) if one.encode() in told]
    with orchard.notebook.reading() as tx:
        served = tx.sittings.servings(session.id)
    mine = {code for one in served if one.seat == seat and not one.spare for code in one.codes}
    assert all(code.encode() in told for code in mine), "the recording works"
    foreign = {code for one in served for code in one.codes} - mine
    shown = set(CODE.findall(MARKED_UP.sub(b"", told)))
    return found + sorted(code for code in foreign if code.encode() in shown)


@pytest.mark.parametrize("method", ALL_METHODS)
def test_a_whole_ballot_of_each_method_tells_nothing(orchard: Orchard, method: str) -> None:
    session = orchard.smelling(method)
    assert _hits(orchard, session, 3, orchard.heard(session, 3)) == []


@pytest.fixture(scope="module")
def orchard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Orchard]:
    with _orchard(tmp_path_factory.mktemp("orchard")) as made:
        yield made


def test_what_is_searched_for_would_be_found(orchard: Orchard) -> None:
    session = orchard.smelling("triangle")
    told = orchard.heard(session, 2)
    for one in _hidden(orchard, session):
        assert _hits(orchard, session, 2, told + one.encode()) == [one]
    other = _hits(orchard, session, 2, told + b" " + orchard.heard(session, 1))
    assert len(other) >= 2, "the codes of another seat are seen to be another's"


@pytest.mark.slow
def test_seven_hundred_and_sixteen_ballots_of_all_methods_tell_nothing(tmp_path: Path) -> None:
    """As many as were recorded when this was first tried by an outsider, spread over the methods."""
    left = count(716, -1)
    with _orchard(tmp_path) as made:
        while True:
            for method in ALL_METHODS:
                session = made.smelling(method)
                assert kind_of(method)
                for seat in range(1, PEOPLE + 1):
                    assert _hits(made, session, seat, made.heard(session, seat)) == [], (method, seat)
                    if next(left) == 1:
                        return
