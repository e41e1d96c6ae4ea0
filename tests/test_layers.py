"""Who may import whom, proved by reading the source (DEVELOPERS.md, "Direction of imports").

Each rule is a function from modules to findings; the second half of the file plants a violation for every rule and
asserts that it is found, so that a rule which cannot fail is noticed.
"""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

# Bottom first. A module imports only from rows below its own; two of one row do not know each other. A package
# (actions, statistics, store) counts as one module and orders itself.
ROWS: tuple[tuple[str, ...], ...] = (
    ("errors",),
    ("checks", "states"),
    ("clock", "canonical", "places"),
    ("statistics",),
    ("descriptors",),
    ("briefs", "people", "trials"),
    ("skin",),
    ("decisions", "sessions"),
    ("cautions", "smelling"),
    ("asking", "dipping", "draws"),
    ("serving_orders",),
    ("blinding", "timetable"),
    ("marks", "tallies"),
    ("questions",),
    ("entries", "habits", "profiles", "rounds"),
    ("figures",),
    ("verdicts",),
    ("outlook", "spread", "nulls", "sequences", "prospects"),
    ("alone", "designs", "evidence", "sizes"),
    ("claims",),
    ("proposals",),
    ("next_smellings",),
    ("store",),
    ("wording_ballot", "wording_draws"),
    ("wording_verdicts",),
    (
        "wording_plans",
        "wording_panels",
        "wording_looks",
        "wording_prospects",
        "wording_profiles",
        "wording_rounds",
        "wording_solo",
        "wording_sizes",
    ),
    ("wording_claims", "wording_decisions"),
    ("wording_next",),
    ("wording",),
    ("tables",),
    ("tables_rounds",),
    ("actions", "charts"),
    ("answers",),
    ("answer_files",),
    ("sheets", "judge", "demo"),
    ("report",),
)
RANK = {name: rank for rank, row in enumerate(ROWS) for name in row}
PAGES = len(ROWS)
OUTSIDE = {"evaluation", "evaluation.__main__"}  # the public surface (lazy) and the command line
SURFACES = {"evaluation", "evaluation.statistics", "evaluation.store"}
LAZY = SURFACES | {"evaluation.wording"}  # names resolved on first use (PEP 562)

# Third-party library → the only places it may be imported in (module prefixes).
HOMES = {
    "streamlit": ("pages",),
    "starlette": ("pages",),
    "uvicorn": ("pages",),
    "segno": ("pages", "evaluation.sheets"),
    "fpdf": ("evaluation.sheets",),
    "altair": ("evaluation.charts",),
    "sqlalchemy": ("evaluation.store",),
    "alembic": ("evaluation.store",),
    "sqlite3": ("evaluation.store",),
    "psycopg": ("evaluation.store",),
    "scipy": ("evaluation.statistics",),
    "statsmodels": ("evaluation.statistics",),
}
BALLOT_MAY_IMPORT = {"asking", "descriptors", "dipping", "sessions", "smelling", "store", "checks", "errors"}
LIGHT_ACTIONS = {"evaluation.actions.ballot", "evaluation.actions.begins"}  # what every tap of every phone runs
ASKS_THE_TIME = {"time", "time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns", "process_time"}
ROUNDS_BY_NAME = {"round", "around", "round_"}
# tables.py is where numbers are rounded for people; the stepped clock turns minutes into whole milliseconds.
MAY_ROUND = {"evaluation.tables", "evaluation.clock"}


@dataclass(frozen=True)
class Module:
    """One source file, by the dotted name it is imported under."""

    name: str
    tree: ast.Module

    @property
    def room(self) -> str:
        """The row entry it belongs to: ``evaluation.store.rows`` → ``store``; everything of pages → ``pages``."""
        parts = self.name.split(".")
        return "pages" if parts[0] == "pages" else (parts[1] if len(parts) > 1 else "")


def parsed(name: str, source: str) -> Module:
    return Module(name, ast.parse(source))


def modules() -> list[Module]:
    """Every module of the two source folders."""
    found = []
    for top in ("evaluation", "pages"):
        for path in sorted((ROOT / top).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            dotted = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
            found.append(parsed(dotted, path.read_text(encoding="utf-8")))
    return found


def imported(module: Module) -> Iterator[str]:
    """Dotted names a module imports anywhere in its body, also late and for annotations only."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                yield "." * node.level + (node.module or "")
            elif node.module == "evaluation":
                yield from (f"evaluation.{alias.name}" for alias in node.names)
            else:
                yield str(node.module)


def calls(module: Module) -> Iterator[ast.expr]:
    yield from (node.func for node in ast.walk(module.tree) if isinstance(node, ast.Call))


# --- the rules ------------------------------------------------------------------------------------------------------


def upward_imports(module: Module) -> Iterator[str]:
    if module.name in OUTSIDE:
        return
    own = PAGES if module.room == "pages" else RANK.get(module.room)
    if own is None:
        yield f"{module.name} stands in no row: give it one"
        return
    for name in imported(module):
        if not name.startswith("evaluation."):
            continue
        room = name.split(".")[1]
        if room == module.room:
            continue
        if RANK.get(room, PAGES) >= own:
            yield f"{module.name} imports {name}, which does not stand below it"


def relative_imports(module: Module) -> Iterator[str]:
    yield from (f"{module.name} imports {name}" for name in imported(module) if name.startswith("."))


def libraries_out_of_place(module: Module) -> Iterator[str]:
    for name in imported(module):
        homes = HOMES.get(name.split(".")[0])
        if homes and not any(module.name == home or module.name.startswith(home + ".") for home in homes):
            yield f"{module.name} imports {name}, which belongs to {' and '.join(homes)}"


def pages_below(module: Module) -> Iterator[str]:
    """Nothing below the pages knows a screen; within ``pages`` a screen imports from ``parts`` only."""
    screens = {path.stem for path in (ROOT / "pages").glob("*.py")}
    for name in imported(module):
        top = name.split(".")[0]
        if module.room != "pages" and top in {"pages", "parts"} | (screens - sys.stdlib_module_names):
            yield f"{module.name} imports {name} of the pages"


def rounding(module: Module) -> Iterator[str]:
    if module.name in MAY_ROUND or module.room == "pages":
        return
    for called in calls(module):
        name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
        if name in ROUNDS_BY_NAME:
            yield f"{module.name}:{called.lineno} rounds"


def asking_the_time(module: Module) -> Iterator[str]:
    """``anything.now()`` is asking unless it is a clock handed in; so are the readings of the module time."""
    if module.name == "evaluation.clock" or module.room == "pages":
        return
    for node in ast.walk(module.tree):
        if isinstance(node, ast.ImportFrom) and node.module == "time":
            taken = {alias.name for alias in node.names} & (ASKS_THE_TIME | {"localtime", "gmtime"})
            yield from (f"{module.name}:{node.lineno} takes {name} from time" for name in sorted(taken))
        if isinstance(node, ast.Attribute) and _asks(node):
            yield f"{module.name}:{node.lineno} asks for the time by {ast.unparse(node)}"


def _asks(node: ast.Attribute) -> bool:
    base = ast.unparse(node.value)
    if base == "time":
        return node.attr in ASKS_THE_TIME | {"localtime", "gmtime"}
    if node.attr == "now":  # the store's desk passes on the clock it was opened with
        return base.split(".")[-1].lstrip("_") not in {"clock", "desk"}
    return node.attr in {"today", "utcnow"}


def heavy_ballot(module: Module) -> Iterator[str]:
    """The ballot's action runs at every tap: it knows a few rooms, its light neighbour and the standard library."""
    if module.name not in LIGHT_ACTIONS:
        return
    for name in imported(module):
        top, *rest = name.split(".")
        if name in LIGHT_ACTIONS:
            continue
        if top == "evaluation" and rest[0] not in BALLOT_MAY_IMPORT:
            yield f"{module.name} imports {name}"
        if top not in sys.stdlib_module_names | {"evaluation"}:
            yield f"{module.name} imports {name}, which is no part of the standard library"


def hidden_imports(module: Module) -> Iterator[str]:
    """Imports by a text escape this file: only the lazy public surfaces, the command line and pages use them."""
    if module.name in OUTSIDE | LAZY or module.room == "pages":
        return
    for called in calls(module):
        if ast.unparse(called) in {"import_module", "importlib.import_module", "__import__"}:
            yield f"{module.name}:{called.lineno} imports by a text"


def eager_surface(module: Module) -> Iterator[str]:
    """The lazy surfaces import nothing of the project when they are imported."""
    if module.name not in SURFACES:
        return
    for node in module.tree.body:  # an import for the type checker only stands inside an if
        inner = Module(module.name, ast.Module([node], []))
        if isinstance(node, ast.Import | ast.ImportFrom) and any(n.startswith("evaluation") for n in imported(inner)):
            yield f"{module.name}:{node.lineno} is not lazy"


RULES: dict[str, Callable[[Module], Iterator[str]]] = {
    rule.__name__: rule
    for rule in (
        upward_imports,
        relative_imports,
        libraries_out_of_place,
        pages_below,
        rounding,
        asking_the_time,
        heavy_ballot,
        hidden_imports,
        eager_surface,
    )
}


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_the_source_keeps_the_rule(rule: Callable[[Module], Iterator[str]]) -> None:
    assert [finding for module in modules() for finding in rule(module)] == []


def test_every_row_that_exists_is_a_file_or_package() -> None:
    """The table names no room that was never built, but for those the next issues bring."""
    later = {"decisions", "report"}
    exists = {path.stem for path in (ROOT / "evaluation").iterdir() if path.suffix == ".py" or path.is_dir()}
    assert set(RANK) - exists <= later


def test_no_page_is_named_like_a_standard_module() -> None:
    """The folder of the entry script comes first on sys.path: a page ``statistics.py`` would hide the standard one."""
    names = {path.stem for path in (ROOT / "pages").iterdir() if not path.name.startswith(("_", "."))}
    assert names & (sys.stdlib_module_names | {"evaluation", "tests", "streamlit", "pandas", "numpy"}) == set()


# --- what a fresh process loads ---------------------------------------------------------------------------------------

HEAVY = ("pandas", "numpy", "scipy", "statsmodels", "altair", "streamlit", "segno", "fpdf")


def loaded_by(statement: str) -> set[str]:
    """Top-level packages in sys.modules after ``statement`` ran in a fresh interpreter."""
    code = f"import json, sys\n{statement}\nprint(json.dumps(sorted({{m.split('.')[0] for m in sys.modules}})))"
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True, timeout=300
    )
    return set(json.loads(done.stdout.splitlines()[-1]))


@pytest.mark.parametrize(
    "statement", ["import evaluation", "import evaluation.statistics", "import evaluation.actions.ballot"]
)
def test_light_imports_load_nothing_heavy(statement: str) -> None:
    assert loaded_by(statement) & set(HEAVY) == set()


def test_answering_a_ballot_loads_nothing_heavy() -> None:
    """Whole ballots - triangle, profile, round, ranking - in a fresh process; another one sealed their sessions."""
    done = subprocess.run(
        [sys.executable, str(ROOT / "tests" / "light_ballot.py")], cwd=ROOT, capture_output=True, text=True, timeout=600
    )
    assert done.returncode == 0, done.stderr
    answered = json.loads(done.stdout.splitlines()[-1])
    # Which one, how sure, heard another's answer; two strips of four ratings; three pairs of three; one order.
    assert answered["answers"] == [3, 2 * 4 + 1, 3 * 3 + 1, 1 + 1]
    assert set(answered["loaded"]) & set(HEAVY) == set()


def test_the_probe_sees_a_heavy_import() -> None:
    assert "numpy" in loaded_by("import evaluation.statistics as s; s.chance; import numpy")


# --- planted violations -----------------------------------------------------------------------------------------------

PLANTED = [
    ("upward_imports", "evaluation.statistics.forced_choice.difference", "from evaluation.sessions import Plan"),
    ("upward_imports", "evaluation.store.rows", "def f():\n    import evaluation.actions.book"),
    ("upward_imports", "evaluation.charts", "from evaluation.actions import book"),  # one row: no acquaintance
    ("upward_imports", "evaluation.trials", "from evaluation import briefs"),
    ("upward_imports", "evaluation.errors", "from evaluation import checks"),
    ("upward_imports", "evaluation.questions", "from evaluation.verdicts import Tally"),
    ("upward_imports", "evaluation.newroom", ""),
    ("relative_imports", "evaluation.trials", "from . import checks"),
    ("relative_imports", "evaluation.store.rows", "from .notebook import Notebook"),
    ("libraries_out_of_place", "evaluation.judge", "import streamlit as st"),
    ("libraries_out_of_place", "evaluation.tables", "from altair import Chart"),
    ("libraries_out_of_place", "pages.findings", "import altair"),
    ("libraries_out_of_place", "pages.bench", "from fpdf import FPDF"),
    ("libraries_out_of_place", "evaluation.actions.book", "from sqlalchemy.orm import Session"),
    ("libraries_out_of_place", "evaluation.demo", "import sqlite3"),
    ("libraries_out_of_place", "evaluation.charts_of_something", "import altair"),
    ("pages_below", "evaluation.actions.doors", "from parts import house"),
    ("pages_below", "evaluation.demo", "import pages.serve"),
    ("rounding", "evaluation.verdicts", "shown = round(0.0512, 2)"),
    ("rounding", "evaluation.judge", "import numpy as np\nframe = np.round(3.3)"),
    ("rounding", "evaluation.charts", "frame.round(2)"),
    ("asking_the_time", "evaluation.store.log", "import time\nat = time.time_ns()"),
    ("asking_the_time", "evaluation.store.log", "from time import monotonic"),
    ("asking_the_time", "evaluation.actions.plan", "from datetime import date\ntoday = date.today()"),
    ("asking_the_time", "evaluation.actions.plan", "from datetime import datetime\ndatetime.now()"),
    ("asking_the_time", "evaluation.tables", "import pandas as pd\npd.Timestamp.now()"),
    ("asking_the_time", "evaluation.store.rows", "default = func.now"),
    ("heavy_ballot", "evaluation.actions.ballot", "from evaluation.verdicts import Rules"),
    ("heavy_ballot", "evaluation.actions.ballot", "import pandas"),
    ("heavy_ballot", "evaluation.actions.ballot", "from evaluation.actions import begins"),  # or anything else of them
    ("heavy_ballot", "evaluation.actions.begins", "from evaluation.actions.findings import findings"),
    ("hidden_imports", "evaluation.trials", "import importlib\nimportlib.import_module('evaluation.demo')"),
    ("eager_surface", "evaluation", "from evaluation.store import Notebook"),
    ("eager_surface", "evaluation.statistics", "import evaluation.statistics.forced_choice.panel_power"),
]


@pytest.mark.parametrize(("rule", "name", "source"), PLANTED)
def test_a_planted_violation_is_found(rule: str, name: str, source: str) -> None:
    assert list(RULES[rule](parsed(name, source))) != []


ALLOWED = [
    ("upward_imports", "evaluation.actions.seal", "from evaluation.actions.plan import check_references"),
    ("upward_imports", "pages.plan", "from evaluation.actions import plan"),
    ("upward_imports", "evaluation.__main__", "from evaluation import judge"),
    ("libraries_out_of_place", "pages.parts.house", "import streamlit"),
    ("libraries_out_of_place", "evaluation.store.rows", "import sqlalchemy as sa"),
    ("rounding", "evaluation.tables", "round(0.0512, 2)"),
    ("rounding", "evaluation.wording", "f'{0.0512:.2f}'"),
    ("asking_the_time", "evaluation.actions.book", "notebook.clock.now()"),
    ("asking_the_time", "evaluation.store.log", "import time\ntime.sleep(0.1)"),
    ("heavy_ballot", "evaluation.actions.ballot", "from evaluation.store import Notebook\nimport dataclasses"),
    ("eager_surface", "evaluation", "from importlib import import_module"),
]


@pytest.mark.parametrize(("rule", "name", "source"), ALLOWED)
def test_what_is_allowed_is_not_called_a_violation(rule: str, name: str, source: str) -> None:
    assert list(RULES[rule](parsed(name, source))) == []
