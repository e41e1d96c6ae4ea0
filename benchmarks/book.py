"""The trial book in use: twelve trials with nested accords and three bottles each, against the same trials bare.

The part Trials is open, as when one comes to the page. Both pages are drawn by the framework's own test runner, in
turns, so that what the machine does besides meets both.
"""

from __future__ import annotations

import logging
import sys
import time
from decimal import Decimal
from pathlib import Path
from statistics import median

from benchmarks.rows import Row, compared
from evaluation.actions import book, bottle_book, formulas
from evaluation.clock import SystemClock
from evaluation.formulas import read_lines
from evaluation.store import Notebook

TRIALS, TURNS = 12, 7
ROOT = Path(__file__).resolve().parents[1]
PAGES = ROOT / "pages"
LINES = (
    "Fig leaf base; 4",
    "Cedar oil; 6; 10;; Wood",
    "Vetiver oil; 2;;; Wood",
    "Wood; 8;;; Heart",
    "Iris butter; 1;;; Heart",
    "Carrier; {rest}",
)


def notebook(*, full: bool) -> Notebook:
    """Twelve trials in one line, each made from the one before with one change."""
    made = Notebook.open(None, SystemClock())
    brief, parent = book.add_brief(made, "Salt and fig"), None
    for number in range(1, TRIALS + 1):
        trial = book.add_trial(made, brief.id, str(number), parent, "a little more carrier", Decimal(12))
        parent = trial.id
        if full:
            typed = read_lines("\n".join(LINES).format(rest=80 + number))
            formulas.write(made, trial.id, typed, new_materials=True)
            for mark in ("2", "3"):
                bottle_book.add_bottle(made, trial.id, mark, strength_percent=Decimal(12), stored="cold")
    return made


def run() -> list[Row]:
    """One row: the full book and the bare one."""
    sys.path.insert(0, str(PAGES))
    from parts import house
    from parts.doors import visitor
    from parts.house import House
    from streamlit.testing.v1 import AppTest

    from evaluation.actions.doors import CONDUCTOR, Visitor

    logging.getLogger("streamlit").setLevel(logging.ERROR)
    visitor.current = lambda: Visitor(CONDUCTOR)
    books = {full: notebook(full=full) for full in (True, False)}
    apps, taken = {}, {True: list[float](), False: list[float]()}
    for full, one in books.items():
        house.put(House(one, bytes(32)))
        apps[full] = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120).run()
    for _ in range(TURNS):
        for full, one in books.items():
            house.put(House(one, bytes(32)))
            begin = time.perf_counter()
            apps[full].switch_page("briefs.py").run()
            taken[full].append(time.perf_counter() - begin)
    house.put(None)
    for one in books.values():
        one.close()
    ours, bare = median(taken[True]), median(taken[False])
    return [compared("trial book: 12 trials, 36 bottles, accords", ours, bare, "the same trials, bare")]
