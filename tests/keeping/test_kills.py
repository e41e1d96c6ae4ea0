"""The app killed without a goodbye while ten people answer: no acknowledged answer is lost, changed or doubled."""

from __future__ import annotations

import json
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from evaluation.clock import SystemClock
from evaluation.keeping import at_start
from tests.scenes import ages, ballots, begun, scene

ROOT = Path(__file__).resolve().parents[2]
PEOPLE = 10
pytestmark = pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="This system has no SIGKILL.")

# Opens the notebook as the app does and lets ten people answer at once, each in a thread, each going on where their
# ballot stands; every answer is said only after it was acknowledged.
APP = """
import json, random, sys, threading
from evaluation.actions import ballot
from evaluation.clock import SystemClock
from evaluation.keeping import at_start

opened = at_start.open_notebook(sys.argv[1], SystemClock())
print(json.dumps({"alarms": opened.alarms}), flush=True)
saying = threading.Lock()

def answer(ballot_id, seed):
    chance = random.Random(seed)
    while screen := ballot.view(opened.notebook, ballot_id).screen:
        told = {asked.name: chance.choice(asked.options) for asked in screen}
        ballot.lock_screen(opened.notebook, ballot_id, screen[0].serving_id, told)
        with saying:
            print(json.dumps([ballot_id, screen[0].serving_id, told]), flush=True)

people = [threading.Thread(target=answer, args=(one, f"{one} {sys.argv[2]}")) for one in sys.argv[3:]]
for one in people:
    one.start()
for one in people:
    one.join()
print(json.dumps({"finished": True}), flush=True)
sys.stdin.read()
"""


def _killed(file: Path, turn: int, ballot_ids: list[str], after: int) -> tuple[list[tuple[str, str, str, str]], bool]:
    """What was acknowledged until the kill, which comes once ``after`` were, and whether all had answered by then."""
    words = [sys.executable, "-c", APP, str(file), str(turn), *ballot_ids]
    acknowledged: list[tuple[str, str, str, str]] = []
    finished = False
    with subprocess.Popen(words, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as app:
        assert app.stdout is not None
        assert json.loads(app.stdout.readline()) == {"alarms": []}
        for number, line in enumerate(app.stdout, start=1):
            told = json.loads(line)
            if isinstance(told, dict):
                finished = True
            else:
                ballot_id, serving_id, values = told
                acknowledged += [(ballot_id, serving_id, name, value) for name, value in values.items()]
            if finished or number == after:
                app.send_signal(signal.SIGKILL)  # what it said before it died is read to the end
    return acknowledged, finished


def _kills(folder: Path, kills: int) -> int:
    """Kill the app that many times, on as many notebooks as that takes; returns how many answers were acknowledged."""
    chance, done, checked = random.Random(20261127), 0, 0
    while done < kills:
        file = folder / f"{done}.sqlite"
        opened = at_start.open_notebook(file, SystemClock())
        session = scene(opened.notebook, PEOPLE).smelling(ages=ages(5, 10, 20, 40, 60))
        begun(opened.notebook, session.id)
        ballot_ids = [one.id for one in ballots(opened.notebook, session.id)]
        at_start.close(opened)
        acknowledged: list[tuple[str, str, str, str]] = []
        finished, first = False, done
        while done < kills and not finished:
            told, finished = _killed(file, done, ballot_ids, chance.randint(3, 15))
            acknowledged += told
            done += 1
            _all_there(file, session.id, acknowledged, done - first)
        checked += len(acknowledged)
    return checked


def _all_there(file: Path, session_id: str, acknowledged: list[tuple[str, str, str, str]], kills: int) -> None:
    opened = at_start.open_notebook(file, SystemClock())  # after a kill this looks the whole notebook over
    assert opened.alarms == ()
    with opened.notebook.reading() as tx:
        found = tx.ballots.session_answers(session_id)
    opened.notebook.close()
    stored = [(one.ballot_id, one.serving_id, one.question, one.value) for one in found]
    assert len(set(acknowledged)) == len(acknowledged)
    assert set(acknowledged) <= set(stored)  # none lost, none changed
    places = [one[:3] for one in stored]
    assert len(set(places)) == len(places)  # none doubled
    assert len(stored) - len(acknowledged) <= PEOPLE * kills  # stored just before a kill, not said any more


def test_three_kills_lose_no_acknowledged_answer_of_ten_ballots(tmp_path: Path) -> None:
    assert _kills(tmp_path, 3) >= 9


@pytest.mark.slow
def test_a_hundred_kills_lose_no_acknowledged_answer(tmp_path: Path) -> None:
    assert _kills(tmp_path, 100) > 500
