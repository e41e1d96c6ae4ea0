"""The app killed without a goodbye, and its database server too, while ten people answer: nothing acknowledged goes.

Killed is a process that opens the notebook and locks answers as the app does; the web server itself is killed in
tests/browser/test_ballot_browser.py. Ten ballots each time, on a file and on a database server, checked after each
fault: no acknowledged answer is lost, changed or doubled, and every log holds.
"""

from __future__ import annotations

import json
import random
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from evaluation.clock import SystemClock
from evaluation.keeping import at_start
from evaluation.store.backup import checking
from tests.postgres import OwnServer, bring_up, own_schema, own_server
from tests.scenes import ages, ballots, begun, scene

ROOT = Path(__file__).resolve().parents[2]
PEOPLE = 10
pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="This system has no SIGKILL.")

Place = Callable[[], AbstractContextManager[str]]  # an empty place for a notebook
Answer = tuple[str, str, str, str]  # ballot, serving, question, value

# Opens the notebook as the app does and lets ten people answer at once, each in a thread, each going on where their
# ballot stands; every answer is said only after it was acknowledged, and what was refused is tried again.
APP = """
import json, random, sys, threading
from evaluation.actions import ballot
from evaluation.clock import SystemClock
from evaluation.errors import MouilletteError
from evaluation.keeping import at_start

opened = at_start.open_notebook(sys.argv[1], SystemClock())
saying = threading.Lock()

def say(told):
    with saying:
        print(json.dumps(told), flush=True)

def answer(ballot_id, chance):
    screen = ballot.view(opened.notebook, ballot_id).screen
    if screen:
        told = {asked.name: chance.choice(asked.options) for asked in screen}
        ballot.lock_screen(opened.notebook, ballot_id, screen[0].serving_id, told)
        say([ballot_id, screen[0].serving_id, told])
    return bool(screen)

def answer_all(ballot_id, seed):
    chance, more = random.Random(seed), True
    while more:
        try:
            more = answer(ballot_id, chance)
        except MouilletteError as problem:
            say({"refused": str(problem)})
            threading.Event().wait(0.05)

say({"alarms": opened.alarms})
people = [threading.Thread(target=answer_all, args=(one, f"{one} {sys.argv[2]}")) for one in sys.argv[3:]]
for one in people:
    one.start()
for one in people:
    one.join()
say({"finished": True})
sys.stdin.read()
"""


@dataclass
class Heard:
    """What the people at one notebook were told, over all that happened to it."""

    acknowledged: list[Answer] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    faults: int = 0
    finished: bool = False

    def take(self, line: str) -> bool:
        """One line the app said; True where it acknowledged a screen."""
        told = json.loads(line)
        if isinstance(told, list):
            ballot_id, serving_id, values = told
            self.acknowledged += [(ballot_id, serving_id, name, value) for name, value in values.items()]
            return True
        self.refused += [told["refused"]] if "refused" in told else []
        self.finished = self.finished or "finished" in told
        return False


@contextmanager
def _app(place: str, turn: int, ballot_ids: list[str]) -> Iterator[tuple[subprocess.Popen[str], Iterator[str]]]:
    words = [sys.executable, "-c", APP, place, str(turn), *ballot_ids]
    with subprocess.Popen(words, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as app:
        assert app.stdout is not None
        try:
            assert json.loads(app.stdout.readline()) == {"alarms": []}
            yield app, iter(app.stdout)
        finally:
            app.kill()


def _killed(place: str, turn: int, ballot_ids: list[str], chance: random.Random, heard: Heard) -> None:
    """Kill the app once that many screens were acknowledged; what it said before it died is read to the end."""
    left = chance.randint(3, 15)
    with _app(place, turn, ballot_ids) as (app, lines):
        for line in lines:
            left -= heard.take(line)
            if left == 0 or heard.finished:
                app.send_signal(signal.SIGKILL)
    heard.faults += 1


def _new_notebook(place: str) -> tuple[str, list[str]]:
    opened = at_start.open_notebook(place, SystemClock())
    session = scene(opened.notebook, PEOPLE).smelling(ages=ages(5, 10, 20, 40, 60))
    begun(opened.notebook, session.id)
    ballot_ids = [one.id for one in ballots(opened.notebook, session.id)]
    at_start.close(opened)
    return session.id, ballot_ids


def _all_there(place: str, session_id: str, heard: Heard) -> None:
    opened = at_start.open_notebook(place, SystemClock())  # of a file, after a kill, this looks all of it over
    assert opened.alarms == ()
    assert "://" not in place or checking.check(opened.notebook).damage == ()
    with opened.notebook.reading() as tx:
        found = tx.ballots.session_answers(session_id)
    opened.notebook.close()
    stored = [(one.ballot_id, one.serving_id, one.question, one.value) for one in found]
    assert len(set(heard.acknowledged)) == len(heard.acknowledged)
    assert set(heard.acknowledged) <= set(stored)  # none lost, none changed
    assert len({one[:3] for one in stored}) == len(stored)  # none doubled
    assert (
        len(stored) - len(heard.acknowledged) <= PEOPLE * heard.faults
    )  # stored just before a fault, not said any more


def _kills(new_place: Place, kills: int) -> int:
    """Kill the app that many times, on as many notebooks as that takes; returns how many answers were acknowledged."""
    chance, done, checked = random.Random(20261127), 0, 0
    while done < kills:
        with new_place() as place:
            session_id, ballot_ids = _new_notebook(place)
            heard = Heard()
            while done < kills and not heard.finished:
                _killed(place, done, ballot_ids, chance, heard)
                done += 1
                _all_there(place, session_id, heard)
        assert heard.refused == []
        checked += len(heard.acknowledged)
    return checked


# --- a file ---------------------------------------------------------------------------------------------------------


def _files(folder: Path) -> Place:
    @contextmanager
    def new_file() -> Iterator[str]:
        yield str(folder / f"{len(list(folder.glob('*.sqlite')))}.sqlite")

    return new_file


def test_three_kills_lose_no_acknowledged_answer_of_ten_ballots(tmp_path: Path) -> None:
    assert _kills(_files(tmp_path), 3) >= 9


@pytest.mark.slow
def test_a_hundred_kills_lose_no_acknowledged_answer(tmp_path: Path) -> None:
    assert _kills(_files(tmp_path), 100) > 500


# --- a database server ----------------------------------------------------------------------------------------------


@contextmanager
def _schema() -> Iterator[str]:
    with own_schema() as place:
        bring_up(place)
        yield place


@pytest.mark.postgres
def test_a_kill_of_the_app_on_a_server_loses_no_acknowledged_answer() -> None:
    assert _kills(_schema, 1) >= 3


@pytest.mark.slow
@pytest.mark.postgres
def test_sixty_one_kills_of_the_app_on_a_server_lose_no_acknowledged_answer() -> None:
    assert _kills(_schema, 61) > 300


def _restarted(server: OwnServer, restarts: int) -> Heard:
    """Restart the server that many times under one app, at once or by the book in turn, and let people finish."""
    session_id, ballot_ids = _new_notebook(server.url)
    chance, heard = random.Random(20261127), Heard()
    left = chance.randint(2, 5)
    with _app(server.url, 0, ballot_ids) as (app, lines):
        for line in lines:
            left -= heard.take(line)
            if left == 0 and heard.faults < restarts:
                server.restart("immediate" if heard.faults % 2 else "fast")
                heard.faults += 1
                left = chance.randint(2, 5)
            if heard.finished:
                app.send_signal(signal.SIGKILL)
    _all_there(server.url, session_id, heard)
    return heard


@pytest.mark.slow
def test_eight_restarts_of_the_database_server_lose_no_acknowledged_answer() -> None:
    with own_server() as server:
        heard = _restarted(server, 8)
    assert heard.faults == 8
    assert heard.finished
    assert len(heard.acknowledged) > 40
    assert set(heard.refused) <= REFUSED, heard.refused  # in these sentences, and never taken for stored
    assert heard.refused


REFUSED = {
    "The database cannot be reached: check the address, the name and that it is running.",
}
