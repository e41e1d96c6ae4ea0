"""The findings page of a large profile - 60 people, 20 descriptors, 6 ages, 3 trials - as the server runs it.

"ours" is the server's part in a process that has already imported the page, numbers not yet reckoned: until the
sentences and the first chart are sent, and the whole run. What the browser adds - fetching, drawing - is not in it.
"theirs" is the goal of 1.5 s for the first paint, so that a ratio above 1 keeps it.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

from benchmarks.rows import Row, compared, seconds

ROOT = Path(__file__).resolve().parents[1]
GOAL_SECONDS = 1.5
PEOPLE, WORDS, TRIALS, AGES = 60, 20, 3, (5, 30, 60, 120, 240, 480)


def run() -> list[Row]:
    for folder in (ROOT, ROOT / "pages"):
        if str(folder) not in sys.path:
            sys.path.insert(0, str(folder))
    session_id, notebook = _opened()
    return [
        compared("findings of a profile: reading and sentences", _reckoned(notebook, session_id), GOAL_SECONDS, _NOTE),
        *_pages(notebook),
    ]


_NOTE = "goal for the first paint; 60 people × 20 descriptors × 6 ages × 3 trials"


def _opened() -> tuple[str, Any]:
    from evaluation.actions import bench, findings
    from evaluation.clock import SteppedClock
    from evaluation.store import Notebook
    from evaluation.values.descriptors import Descriptor
    from tests import scenes

    notebook = Notebook.open(None, SteppedClock(step=1))
    scene = scenes.scene(notebook, people=PEOPLE)
    words = tuple(Descriptor(f"word {number}") for number in range(WORDS))
    session = scene.smelling(
        method="profile", trials=TRIALS, ages=scenes.ages(*AGES), minutes=AGES, primary=None, descriptors=words,
        asks_strength=False, resmell=True, confirmed=(),
    )  # fmt: skip
    scenes.answer_profile(notebook, session.id, lambda seat, letter, s, w: f"{(seat * len(w) + ord(letter)) % 9}.5")
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return session.id, notebook


def _reckoned(notebook: Any, session_id: str) -> float:
    from evaluation.actions import profile_findings as action
    from evaluation.wording.of_profiles import summary_lines

    def once() -> None:
        action._kept.clear()
        summary_lines(action.profile_findings(notebook, session_id).found[0])

    once()  # the libraries are loaded when a server has shown its first page
    return seconds(once, 2)


def _pages(notebook: Any) -> list[Row]:
    """The page as the framework runs it, first anew, then again with its numbers kept."""
    from parts import house
    from parts.doors import visitor
    from parts.findings import moved
    from streamlit.testing.v1 import AppTest

    from evaluation.actions import profile_findings as action
    from evaluation.actions.doors import CONDUCTOR, Visitor

    visitor.current = lambda: Visitor(CONDUCTOR)
    house.put(house.House(notebook, bytes(range(32))))
    app = AppTest.from_file(str(ROOT / "pages" / "app.py"), default_timeout=120)
    app.run()
    app.switch_page("findings.py").run()
    action._kept.clear()
    painted: list[float] = []
    below = moved._what_came_in  # what follows the sentences and the first chart

    def marked(found: Any) -> None:
        painted.append(time.perf_counter())
        below(found)

    moved._what_came_in = marked
    begin = time.perf_counter()
    first = seconds(lambda: app.run())
    moved._what_came_in = below
    again = seconds(lambda: app.run())
    house.put(None)
    paint = ("findings page of a profile, until sentences and first chart are sent", painted[0] - begin)
    names = (paint, ("findings page of a profile, whole run", first), ("the same again, numbers kept", again))
    return [compared(name, took, GOAL_SECONDS, _NOTE) for name, took in names]
