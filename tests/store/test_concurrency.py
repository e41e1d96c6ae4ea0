"""Several people answering at once, and a process that dies (evaluation/store)."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from evaluation.clock import SteppedClock, SystemClock
from evaluation.errors import AlreadyAnswered, MouilletteError, StateError
from evaluation.sessions import Answer, Plan
from evaluation.store import Notebook
from tests.store.prepared import Held, add_draft, fill, held, sealed

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.usefixtures("patient")


def at_once(calls: Sequence[Callable[[], None]]) -> list[MouilletteError | None]:
    """Make all calls at the same moment, each in a thread of its own; what each raised."""
    start = threading.Barrier(len(calls))

    def run(call: Callable[[], None]) -> MouilletteError | None:
        start.wait()
        try:
            call()
        except MouilletteError as refused:
            return refused
        return None

    with ThreadPoolExecutor(len(calls)) as pool:
        return list(pool.map(run, calls))


def _locking(where: str, *answers: Answer) -> Callable[[], None]:
    """Lock through a notebook of its own, as another process would."""
    notebook = Notebook.open(where, SystemClock())

    def call() -> None:
        try:
            with notebook.writing() as tx:
                tx.ballots.lock(answers[0].ballot_id, answers)
        finally:
            notebook.close()

    return call


def test_of_two_who_lock_one_question_exactly_one_wins(lasting: str) -> None:
    made = held(Notebook.open(lasting, SteppedClock(step=1)), minutes=(5, 10, 20, 40, 60))
    for place in range(1, 6):
        codes = made.servings(1)[place - 1].codes
        rivals = [made.answer(1, place=place, value=code) for code in codes[:2]]
        outcomes = at_once([_locking(lasting, rival) for rival in rivals])
        won = [rival for rival, refused in zip(rivals, outcomes, strict=True) if refused is None]
        assert len(won) == 1
        assert [type(refused) for refused in outcomes if refused] == [AlreadyAnswered]
        with made.notebook.reading() as tx:
            stored = [one for one in tx.ballots.answers(rivals[0].ballot_id) if one.serving_id == won[0].serving_id]
        assert stored == won
    assert made.verifies()
    made.notebook.close()


def test_twenty_who_answer_at_once_lose_nothing(lasting: str) -> None:
    made = held(Notebook.open(lasting, SteppedClock(step=1)), people=20, spare=0, minutes=(5, 60))
    sheets = [
        [made.answer(seat, question, place) for place in (1, 2) for question in ("choice", "sure", "remark")]
        for seat in range(1, 21)
    ]

    def locking(sheet: list[Answer]) -> Callable[[], None]:
        def call() -> None:
            for first, second in zip(sheet[::2], sheet[1::2], strict=True):
                made.lock(first, second)

        return call

    assert at_once([locking(sheet) for sheet in sheets]) == [None] * 20
    with made.notebook.reading() as tx:
        for sheet in sheets:
            assert list(tx.ballots.answers(sheet[0].ballot_id)) == sheet
        assert [one.kind for one in tx.log.records(made.id)].count("answer") == 120
    assert made.verifies()
    made.notebook.close()


def test_no_answer_slips_in_after_close(lasting: str) -> None:
    """Whoever comes second waits for the head row and then sees the session closed."""
    made = held(Notebook.open(lasting, SteppedClock(step=1)), people=6, spare=0)
    calls = [_locking(lasting, made.answer(seat)) for seat in range(1, 7)]
    outcomes = at_once([lambda: made.step("close"), *calls])
    assert outcomes[0] is None
    assert {type(refused) for refused in outcomes[1:]} <= {type(None), StateError}
    with made.notebook.reading() as tx:
        kinds = [one.kind for one in tx.log.records(made.id)]
        stored = tx.ballots.session_answers(made.id)
    assert kinds[-1] == "close"
    assert len(stored) == outcomes[1:].count(None)
    assert made.verifies()
    made.notebook.close()


def test_several_who_open_an_empty_place_at_once_all_find_one_schema(lasting: str) -> None:
    opened: list[Notebook] = []
    assert at_once([lambda: opened.append(Notebook.open(lasting, SystemClock()))] * 4) == [None] * 4
    for notebook in opened:
        with notebook.reading() as tx:
            assert tx.book.briefs() == ()
        notebook.close()


# Locks one answer after another, saying so after each commit; then dies in the middle of a transaction.
CHILD = """
import sys
from evaluation.clock import SystemClock
from evaluation.sessions import Answer
from evaluation.store import Notebook

where, ballot_id, *serving_ids = sys.argv[1:]
notebook = Notebook.open(where, SystemClock())
for serving_id in serving_ids[:-1]:
    with notebook.writing() as tx:
        tx.ballots.lock(ballot_id, [Answer(ballot_id, serving_id, "choice", "123", 1)])
    print("acknowledged", serving_id, flush=True)
with notebook.writing() as tx:
    tx.ballots.lock(ballot_id, [Answer(ballot_id, serving_ids[-1], "choice", "123", 1)])
    print("inside", flush=True)
    sys.stdin.read()
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="This system has no SIGKILL.")
def test_a_killed_process_loses_nothing_it_acknowledged(lasting: str) -> None:
    made = held(Notebook.open(lasting, SteppedClock(step=1)), minutes=(5, 10, 20, 40, 60))
    ids = [one.id for one in made.servings(1) if not one.spare]
    made.notebook.close()
    arguments = [sys.executable, "-c", CHILD, lasting, made.ballot_ids[0], *ids]
    with subprocess.Popen(arguments, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        said = [child.stdout.readline().split() for _ in ids]
        os.kill(child.pid, signal.SIGKILL)
    assert said == [*(["acknowledged", one] for one in ids[:-1]), ["inside"]]
    _check_after_the_kill(replace(made, notebook=Notebook.open(lasting, SystemClock())), ids)


def _check_after_the_kill(made: Held, ids: list[str]) -> None:
    with made.notebook.reading() as tx:
        assert [one.serving_id for one in tx.ballots.answers(made.ballot_ids[0])] == ids[:-1]
    assert made.verifies()
    made.lock(made.answer(1, place=len(ids)))
    assert made.verifies()
    made.notebook.close()


def test_a_plan_is_sealed_by_one_of_two(lasting: str) -> None:
    notebook = Notebook.open(lasting, SteppedClock(step=1))
    fill(notebook)
    planned: Plan = add_draft(notebook)
    made: list[Held] = []
    outcomes = at_once([lambda: made.append(sealed(notebook, "session", planned))] * 2)
    assert sorted(map(str, map(type, outcomes))) == sorted(map(str, (type(None), StateError)))
    assert made[0].verifies()
    with notebook.reading() as tx:
        assert tx.sittings.servings("session") == made[0].drawn.servings
    notebook.close()
