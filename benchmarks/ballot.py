"""From tap to stored row: phones on the real server against a bare insert and commit into the same kind of file.

Every phone holds a websocket of its own, thinks about three seconds, chooses and locks. Timed is the way from sending
the lock to the frame that says "Stored.", which is drawn after the commit; the rows are counted afterwards.
"""

from __future__ import annotations

import asyncio
import http.client
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from statistics import median
from typing import Any

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import connect

from benchmarks.rows import Row, compared
from evaluation.actions import ballot, bench, book, doors, plan, seal
from evaluation.clock import SystemClock
from evaluation.kinds import ForcedChoice
from evaluation.sessions import Plan, Seat, StripAge
from evaluation.store import Notebook

ROOT = Path(__file__).resolve().parents[1]
PHONES = (10, 50, 100)
SEATS, REPLICATES = 50, 4  # as many as three-digit codes allow in one session
THINK = 3.0  # seconds between answers, half more or less: quicker than any nose
LOCK, STORED, ANYWAY = "Lock this answer", b"Stored.", "Smell now anyway"
INSERTS = 400
LOCKS = 150


def run() -> list[Row]:
    """Median and 95th percentile at 10, 50 and 100 phones."""
    rows = []
    for phones in PHONES:
        with tempfile.TemporaryDirectory() as folder:
            theirs = bare_inserts(Path(folder) / "bare.sqlite")
            ours = asyncio.run(answered(Path(folder) / "notebook.sqlite", phones))
        for name, share in (("median", 0.5), ("95th percentile", 0.95)):
            note = f"one SQLite insert and commit, synchronous=FULL; {len(ours)} answers"
            label = f"ballot tap to stored row, {phones} phones, {name}"
            rows.append(compared(label, quantile(ours, share), quantile(theirs, share), note))
    return [*rows, *anchored()]


def anchored() -> list[Row]:
    """What it costs to anchor each lock before it is acknowledged: the store alone, with and without, in turn."""
    times: dict[bool, list[float]] = {True: [], False: []}
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "notebook.sqlite"
        sessions(file, SEATS)
        notebook = Notebook.open(file, SystemClock())
        bare = replace(notebook, _anchor=None)
        with notebook.reading() as tx:
            ids = [one.id for session in tx.sittings.sessions() for one in tx.ballots.ballots(session.id)]
        for number in range(2 * LOCKS):
            ballot_id, with_anchor = ids[number // 2 % len(ids)], number % 2 == 0
            asked = ballot.view(notebook, ballot_id).question
            assert asked is not None, "fewer questions than locks"
            begin = time.perf_counter()
            ballot.lock(notebook if with_anchor else bare, ballot_id, asked.serving_id, asked.name, asked.options[0])
            times[with_anchor].append(time.perf_counter() - begin)
        notebook.close()
    note = f"the same lock without the anchor, in turn; {LOCKS} of each"
    return [
        compared(
            f"lock in the store with its anchor, {name}",
            quantile(times[True], share),
            quantile(times[False], share),
            note,
        )
        for name, share in (("median", 0.5), ("95th percentile", 0.95))
    ]


def quantile(times: list[float], share: float) -> float:
    ordered = sorted(times)
    return median(ordered) if share == 0.5 else ordered[min(len(ordered) - 1, round(share * (len(ordered) - 1)))]


def bare_inserts(file: Path) -> list[float]:
    """What the disk alone takes."""
    line = sqlite3.connect(file, isolation_level=None)
    line.execute("PRAGMA journal_mode=WAL")
    line.execute("PRAGMA synchronous=FULL")
    line.execute("CREATE TABLE answers (ballot TEXT, question TEXT, value TEXT, at INTEGER)")
    times = []
    for number in range(INSERTS):
        begin = time.perf_counter()
        line.execute("BEGIN IMMEDIATE")
        line.execute("INSERT INTO answers VALUES (?, ?, ?, ?)", (f"ballot {number}", "choice", "482", number))
        line.execute("COMMIT")
        times.append(time.perf_counter() - begin)
    line.close()
    return times


async def answered(file: Path, phones: int) -> list[float]:
    """Seconds from tap to stored row of every answer all the phones gave."""
    tokens = sessions(file, phones)
    with served(file) as port:
        hands = [Phone(port, token, random.Random(number)) for number, token in enumerate(tokens)]
        await asyncio.gather(*(hand.answer_all() for hand in hands))
    times = [one for hand in hands for one in hand.times]
    assert stored(file) == len(times), "an answer was lost"
    return times


def sessions(file: Path, phones: int) -> list[str]:
    """As many sessions as it takes for a seat to each phone, all being smelt; the tokens of their links."""
    notebook = Notebook.open(file, SystemClock())
    brief = book.add_brief(notebook, "Benchmark", "")
    pair = [book.add_trial(notebook, brief.id, label).id for label in ("1", "2")]
    tokens: list[str] = []
    while len(tokens) < phones:
        people = min(SEATS, phones - len(tokens))
        seats = tuple(Seat(n, book.add_panelist(notebook, f"{len(tokens) + n}").id) for n in range(1, people + 1))
        draft = plan.add_draft(notebook, design(brief.id, pair, seats))
        bench.start(notebook, seal.seal(notebook, draft.id).id)
        tokens += doors.links(notebook, doors.server_secret(file), draft.id).values()
    notebook.close()
    return tokens


def design(brief_id: str, pair: list[str], seats: tuple[Seat, ...]) -> Plan:
    risk = Decimal("0.05")
    return Plan(
        brief_id=brief_id,
        title="Benchmark",
        design=ForcedChoice(method="triangle", first_trial_id=pair[0], second_trial_id=pair[1]),
        medium="strip",
        ages=(StripAge(300, 30),),
        primary=300,
        replicates=REPLICATES,
        seats=seats,
        alpha=risk,
        beta=risk,
        pd=Decimal("0.30"),
        confirmed=("not noticed",),
    )


@contextmanager
def served(file: Path) -> Iterator[int]:
    """The real server in a process of its own; yields its port."""
    process = subprocess.Popen(
        [sys.executable, "-m", "evaluation", "--data", str(file), "--port", "0"],
        cwd=file.parent,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None
        yield int(process.stdout.readline().split("http://localhost:")[1].split()[0])
    finally:
        process.terminate()
        process.wait(20)


def stored(file: Path) -> int:
    with sqlite3.connect(file) as line:
        return int(line.execute("SELECT count(*) FROM answers").fetchone()[0])


@dataclass
class Phone:
    """One panelist's browser, reduced to what it says and hears."""

    port: int
    token: str
    chance: random.Random
    times: list[float] = field(default_factory=list)
    page: str = ""

    async def answer_all(self) -> None:
        await asyncio.sleep(self.chance.uniform(0, 2))
        cookies = await asyncio.to_thread(self.join)
        origin = f"http://localhost:{self.port}"
        address = f"ws://localhost:{self.port}/_stcore/stream"
        headers = {"Cookie": cookies}
        async with connect(
            address, origin=origin, subprotocols=["streamlit", "x"], additional_headers=headers, max_size=None
        ) as line:
            frames, _ = await self.say(line, BackMsg(), "")
            while True:
                frames = await self.begin_set(line, frames)
                choice = newest(frames, "button_group", "radio")
                if not choice:
                    break
                await asyncio.sleep(self.chance.uniform(THINK / 2, THINK * 1.5))
                frames = await self.choose_and_lock(line, choice)

    async def begin_set(self, line: Any, frames: list[Any]) -> list[Any]:
        """Nobody tapped when the strips were dipped: the ballot asks once a set, and is told to go on."""
        asked = next((each for each in elements(frames, "button") if each[0].label == ANYWAY), None)
        if asked is None:
            return frames
        said = BackMsg()
        said.rerun_script.widget_states.widgets.add(id=asked[0].id, trigger_value=True)
        return (await self.say(line, said, asked[1]))[0]

    def join(self) -> str:
        """Open the link; the cookies it sets."""
        line = http.client.HTTPConnection("localhost", self.port, timeout=60)
        line.request("GET", f"/join/{self.token}")
        reply = line.getresponse()
        reply.read()
        line.close()
        return "; ".join(value.split(";")[0] for key, value in reply.getheaders() if key.lower() == "set-cookie")

    async def choose_and_lock(self, line: Any, choice: tuple[Any, str]) -> list[Any]:
        widget, fragment = choice
        said = BackMsg()
        state = said.rerun_script.widget_states.widgets.add(id=widget.id)
        if isinstance(widget.options[0], str):
            state.string_value = self.chance.choice(widget.options)
        else:
            state.string_array_value.data.append(self.chance.choice(widget.options).content)
        frames, _ = await self.say(line, said, fragment)
        lock = next(each for each, _ in elements(frames, "button") if each.label == LOCK and not each.disabled)
        said.rerun_script.widget_states.widgets.add(id=lock.id, trigger_value=True)
        begin = time.perf_counter()
        frames, at = await self.say(line, said, fragment)
        self.times.append(at - begin)
        return frames

    async def say(self, line: Any, said: BackMsg, fragment: str) -> tuple[list[Any], float]:
        """Send, and hear everything to the end of the run; with the moment at which "Stored." came, if it did."""
        said.rerun_script.fragment_id = fragment
        said.rerun_script.page_script_hash = self.page
        said.rerun_script.context_info.url = f"http://localhost:{self.port}/"
        await line.send(said.SerializeToString())
        frames, at = [], 0.0
        while True:
            data = await asyncio.wait_for(line.recv(), 120)
            if not at and STORED in data:
                at = time.perf_counter()
            frame = ForwardMsg.FromString(data)
            frames.append(frame)
            kind = frame.WhichOneof("type")
            if kind == "new_session":
                self.page = frame.new_session.page_script_hash or self.page
            elif kind == "navigation":
                self.page = frame.navigation.page_script_hash
            elif kind == "script_finished" and "SUCCESS" in frame.ScriptFinishedStatus.Name(frame.script_finished):
                return frames, at or time.perf_counter()


def elements(frames: list[Any], *kinds: str) -> list[tuple[Any, str]]:
    """Elements of some kinds that were drawn, each with its fragment."""
    drawn = [
        (frame.delta.new_element, frame.delta.fragment_id) for frame in frames if frame.WhichOneof("type") == "delta"
    ]
    return [(getattr(one, one.WhichOneof("type")), where) for one, where in drawn if one.WhichOneof("type") in kinds]


def newest(frames: list[Any], *kinds: str) -> tuple[Any, str] | None:
    found = elements(frames, *kinds)
    return found[-1] if found else None
