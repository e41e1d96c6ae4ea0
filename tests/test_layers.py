"""Who may import whom, proved by reading the source (DEVELOPERS.md, "Direction of imports").

Each rule is a function from modules to findings; the second half of the file plants a violation for every rule and
asserts that it is found, so that a rule which cannot fail is noticed. The rooms and their rows stand in tests/rooms.py.
"""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from graphlib import CycleError, TopologicalSorter

import pytest

from tests.rooms import (
    BALLOT_LOADS,
    BALLOT_MAY_IMPORT,
    BALLOT_SCREEN_MAY_IMPORT,
    LAYERS,
    ROOT,
    SOURCES,
    listed,
    printed,
    rank,
    shown,
)

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
    "jinja2": ("evaluation.ground.markup",),
    "markupsafe": ("evaluation.ground.markup",),
    "html": ("evaluation.ground.markup",),  # nobody escapes by hand
    "altair": ("evaluation.charts",),
    "sqlalchemy": ("evaluation.store",),
    "alembic": ("evaluation.store",),
    "sqlite3": ("evaluation.store",),
    "psycopg": ("evaluation.store",),
    "scipy": ("evaluation.statistics",),
    "statsmodels": ("evaluation.statistics",),
}
LIGHT_ACTIONS = {"evaluation.actions.ballot", "evaluation.actions.begins"}  # what every tap of every phone runs
ASKS_THE_TIME = {"time", "time_ns", "monotonic", "monotonic_ns", "perf_counter", "perf_counter_ns", "process_time"}
ROUNDS_BY_NAME = {"round", "around", "round_"}
ROUNDS_BY_FORMAT = re.compile(r"^[-+ #0-9,_<>^=]*\.\d+[efgEFG%]$|%[-+ 0-9]*\.\d+[efg]")
# tables are where numbers are rounded for people; the stepped clock turns minutes into whole milliseconds.
MAY_ROUND = ("evaluation.tables.", "evaluation.ground.tables_digits", "evaluation.clock")
# Rounding by a format outside tables, as it stands today: how many at most, and it may only become less.
STILL_FORMATTED = {
    "evaluation.charts": 3,  # formats of axes, carried out by whoever draws the picture
    "evaluation.charts.round_pictures": 1,
    "evaluation.sheets.html": 6,  # millimetres of print, five digits
    "evaluation.statistics.forced_choice.panel_power": 1,  # inside an error
    "pages.parts.findings.profile_views": 1,  # how a browser shows a slider
}
# Names borne by two files and more. Screens stand outside: their names are addresses. This may only become less.
STILL_SHARED: dict[str, int] = {}


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


@cache
def modules() -> tuple[Module, ...]:
    """Every module of the two source folders, read once for all rules."""
    return tuple(parsed(name, path.read_text(encoding="utf-8")) for name, path in SOURCES.items())


@cache
def nodes(module: Module) -> tuple[ast.AST, ...]:
    """Everything in a module's tree."""
    return tuple(ast.walk(module.tree))


def imported(module: Module) -> Iterator[str]:
    """Dotted names a module imports anywhere in its body, also late and for annotations only."""
    for node in nodes(module):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                yield "." * node.level + (node.module or "")
            else:
                yield from _taken_from(str(node.module), [alias.name for alias in node.names])


def _taken_from(package: str, names: list[str]) -> Iterator[str]:
    """``from evaluation import sessions`` imports a module, ``from evaluation.sessions import Plan`` a name of one."""
    for name in names:
        taken = f"{package}.{name}"
        yield taken if package in ("evaluation", "pages") or _housed(taken) in SOURCES else package


def _housed(name: str) -> str:
    """Screens import ``parts``, which lie in ``pages/``."""
    return f"pages.{name}" if name.split(".")[0] == "parts" else name


def calls(module: Module) -> Iterator[ast.expr]:
    yield from (node.func for node in nodes(module) if isinstance(node, ast.Call))


# --- the rules ------------------------------------------------------------------------------------------------------


def upward_imports(module: Module) -> Iterator[str]:
    if module.name in OUTSIDE:
        return
    for place, child in _steps(module.name):
        if place in LAYERS and rank(place, child) is None and place != "":
            yield f"{module.name} stands in no row of {place}: give it one in tests/rooms.py"
    for name in imported(module):
        if name.split(".")[0] in ("evaluation", "parts", "pages") and not _stands_below(_housed(name), module.name):
            yield f"{module.name} imports {name}, which does not stand below it"


def _steps(name: str) -> list[tuple[str, str]]:
    """``evaluation.skin.materials`` is ``evaluation`` in the house, ``skin`` in evaluation, ``materials`` in skin."""
    parts = name.split(".")
    return [(".".join(parts[:depth]), parts[depth]) for depth in range(len(parts))]


def _stands_below(name: str, module: str) -> bool:
    for (place, child), (_, own) in zip(_steps(name), _steps(module), strict=False):
        if child != own:
            ranks = (rank(place, child), rank(place, own)) if place in LAYERS else (0, 1)
            return None not in ranks and ranks[0] < ranks[1]  # type: ignore[operator]
    return True


def relative_imports(module: Module) -> Iterator[str]:
    yield from (f"{module.name} imports {name}" for name in imported(module) if name.startswith("."))


def libraries_out_of_place(module: Module) -> Iterator[str]:
    for name in imported(module):
        homes = HOMES.get(name.split(".")[0])
        if homes and not any(module.name == home or module.name.startswith(home + ".") for home in homes):
            yield f"{module.name} imports {name}, which belongs to {' and '.join(homes)}"


def pages_below(module: Module) -> Iterator[str]:
    """Nothing below the pages knows a screen; within ``pages`` a screen imports from ``parts`` only, a part none."""
    screens = {name.split(".")[1] for name in SOURCES if name.startswith("pages.") and name.count(".") == 1} - {"parts"}
    unknown = {"pages"} | (screens - sys.stdlib_module_names) | ({"parts"} if module.room != "pages" else set())
    for name in imported(module):
        if name.split(".")[0] in unknown:
            yield f"{module.name} imports {name} of the pages"


def rounding(module: Module) -> Iterator[str]:
    if module.name.startswith(MAY_ROUND) or module.room == "pages":
        return
    for called in calls(module):
        name = called.id if isinstance(called, ast.Name) else getattr(called, "attr", "")
        if name in ROUNDS_BY_NAME:
            yield f"{module.name}:{called.lineno} rounds"


def rounding_formats(module: Module) -> list[int]:
    """Lines with a format that rounds: in an f-string, in ``format``, after a percent sign."""
    if module.name.startswith(MAY_ROUND):
        return []
    return [
        node.lineno
        for node in nodes(module)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and ROUNDS_BY_FORMAT.search(node.value)
    ]


def rounding_by_format(module: Module) -> Iterator[str]:
    lines = rounding_formats(module)
    if len(lines) > STILL_FORMATTED.get(module.name, 0):
        yield f"{module.name} rounds by a format in lines {lines}"


def asking_the_time(module: Module) -> Iterator[str]:
    """``anything.now()`` is asking unless it is a clock handed in; so are the readings of the module time."""
    if module.name == "evaluation.clock" or module.room == "pages":
        return
    for node in nodes(module):
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
        top = name.split(".")[0]
        if top == "evaluation" and not listed(name, BALLOT_MAY_IMPORT):
            yield f"{module.name} imports {name}"
        if top not in sys.stdlib_module_names | {"evaluation"}:
            yield f"{module.name} imports {name}, which is no part of the standard library"


def heavy_ballot_screen(module: Module) -> Iterator[str]:
    """What every phone's screens ask for of evaluation/, by name."""
    if not re.fullmatch(r"pages\.(parts\.)?ballot(\..*)?", module.name):
        return
    for name in imported(module):
        if name.split(".")[0] == "evaluation" and not listed(name, BALLOT_SCREEN_MAY_IMPORT):
            yield f"{module.name} imports {name}"


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
        rounding_by_format,
        asking_the_time,
        heavy_ballot,
        heavy_ballot_screen,
        hidden_imports,
        eager_surface,
    )
}


@pytest.mark.parametrize("rule", RULES.values(), ids=list(RULES))
def test_the_source_keeps_the_rule(rule: Callable[[Module], Iterator[str]]) -> None:
    assert [finding for module in modules() for finding in rule(module)] == []


@pytest.mark.parametrize("room", [room for room in LAYERS if room])
def test_the_rows_of_a_room_name_what_is_in_it_once(room: str) -> None:
    named = [child for row in LAYERS[room] for child in row]
    inside = {name.removeprefix(room + ".").split(".")[0] for name in SOURCES if name.startswith(room + ".")}
    assert sorted(named) == sorted(inside - {"__main__"})


def circles(trees: Iterable[Module]) -> list[str]:
    """A circle of imports, if there is one. Packages are left out: their surfaces import nothing but on first use."""
    packages = {name for name in SOURCES if SOURCES[name].name == "__init__.py"}
    known = {module.name: {_housed(name) for name in imported(module)} - packages for module in trees}
    try:
        TopologicalSorter({name: sorted(known[name] & set(known)) for name in known if name not in packages}).prepare()
    except CycleError as found:
        return [" → ".join(found.args[1])]
    return []


def test_no_imports_run_in_a_circle() -> None:
    assert circles(modules()) == []


def test_the_map_of_the_house_is_printed_from_the_rows() -> None:
    """Else: ``python tests/rooms.py`` writes it anew."""
    assert shown((ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")) == printed()


def shared_names(names: Iterable[str]) -> dict[str, int]:
    """How many files bear a name, where more than one does; screens and packages left out."""
    files = [name for name in names if not re.fullmatch(r"pages\.\w+|.*\b(__main__|migrations\..*)", name)]
    borne = Counter(name.rsplit(".", 1)[1] for name in files if "." in name and not _is_package(name))
    return {name: times for name, times in borne.items() if times > 1}


def _is_package(name: str) -> bool:
    return name in SOURCES and SOURCES[name].name == "__init__.py"


def test_no_two_files_share_a_name() -> None:
    """An editor's tabs, a traceback and a talk say the file's name without its folder."""
    assert {name: n for name, n in shared_names(SOURCES).items() if n > STILL_SHARED.get(name, 1)} == {}


def test_no_file_repeats_the_name_of_its_room() -> None:
    inside = [name.split(".")[-2:] for name in SOURCES if name.count(".") >= 2]
    assert [f"{room}/{file}" for room, file in inside if file.startswith((f"{room}_", f"{room.rstrip('s')}_"))] == []


def test_what_may_still_round_and_share_is_still_there() -> None:
    """The lists of what is left over shrink with what they list."""
    formats = {module.name: len(rounding_formats(module)) for module in modules()}
    assert {name: n for name, n in STILL_FORMATTED.items() if n > formats.get(name, 0)} == {}
    assert {name: n for name, n in STILL_SHARED.items() if n > shared_names(SOURCES).get(name, 1)} == {}


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
    assert [name for name in answered["modules"] if not listed(name, BALLOT_LOADS)] == []


def test_the_probe_sees_a_heavy_import() -> None:
    assert "numpy" in loaded_by("import evaluation.statistics as s; s.chance; import numpy")


# --- planted violations -----------------------------------------------------------------------------------------------

PLANTED = [
    ("upward_imports", "evaluation.statistics.forced_choice.difference", "from evaluation.sessions import Plan"),
    ("upward_imports", "evaluation.store.rows", "def f():\n    import evaluation.actions.book"),
    ("upward_imports", "evaluation.charts", "from evaluation.actions import book"),  # one row: no acquaintance
    ("upward_imports", "evaluation.values.trials", "from evaluation.values import briefs"),
    ("upward_imports", "evaluation.errors", "from evaluation.ground import checks"),
    ("upward_imports", "evaluation.counting.questions", "from evaluation.judging.verdicts import Tally"),
    ("upward_imports", "evaluation.newroom", ""),
    ("relative_imports", "evaluation.values.trials", "from . import checks"),
    ("relative_imports", "evaluation.store.rows", "from .notebook import Notebook"),
    ("libraries_out_of_place", "evaluation.judge", "import streamlit as st"),
    ("libraries_out_of_place", "evaluation.tables.results", "from altair import Chart"),
    ("libraries_out_of_place", "pages.findings", "import altair"),
    ("libraries_out_of_place", "pages.bench", "from fpdf import FPDF"),
    ("libraries_out_of_place", "pages.parts.house", "from html import escape"),
    ("libraries_out_of_place", "pages.parts.house", "import markupsafe"),
    ("libraries_out_of_place", "evaluation.actions.book", "from sqlalchemy.orm import Session"),
    ("libraries_out_of_place", "evaluation.demo", "import sqlite3"),
    ("libraries_out_of_place", "evaluation.charts_of_something", "import altair"),
    ("pages_below", "evaluation.actions.doors", "from parts import house"),
    ("pages_below", "evaluation.demo", "import pages.serve"),
    ("rounding", "evaluation.judging.verdicts", "shown = round(0.0512, 2)"),
    ("rounding", "evaluation.judge", "import numpy as np\nframe = np.round(3.3)"),
    ("rounding", "evaluation.charts", "frame.round(2)"),
    ("asking_the_time", "evaluation.store.log", "import time\nat = time.time_ns()"),
    ("asking_the_time", "evaluation.store.log", "from time import monotonic"),
    ("asking_the_time", "evaluation.actions.plan", "from datetime import date\ntoday = date.today()"),
    ("asking_the_time", "evaluation.actions.plan", "from datetime import datetime\ndatetime.now()"),
    ("asking_the_time", "evaluation.tables.results", "import pandas as pd\npd.Timestamp.now()"),
    ("asking_the_time", "evaluation.store.rows", "default = func.now"),
    ("heavy_ballot", "evaluation.actions.ballot", "from evaluation.judging.verdicts import Rules"),
    ("heavy_ballot", "evaluation.actions.ballot", "import pandas"),
    ("heavy_ballot", "evaluation.actions.ballot", "from evaluation.actions import bench"),
    ("heavy_ballot", "evaluation.actions.begins", "from evaluation.actions.findings import findings"),
    ("hidden_imports", "evaluation.values.trials", "import importlib\nimportlib.import_module('evaluation.demo')"),
    ("upward_imports", "evaluation.statistics.laws.binomial", "from evaluation.statistics.ratings.cells import Cells"),
    ("upward_imports", "evaluation.statistics.laws.binomial", "from evaluation.statistics import forced_choice"),
    ("upward_imports", "evaluation.statistics.ratings.cells", "from evaluation.statistics.ratings import reml"),
    ("upward_imports", "evaluation.statistics.laws.newlaw", ""),
    ("upward_imports", "evaluation.sessions", "import parts.frame"),
    ("pages_below", "pages.plan", "import bench"),
    ("pages_below", "pages.parts.frame", "from plan import main"),
    ("pages_below", "pages.parts.frame", "from pages import plan"),
    ("rounding_by_format", "evaluation.judging.verdicts", "f'{0.0512:.2f}'"),
    ("rounding_by_format", "pages.plan", "f'{0.0512:+.1%}'"),
    ("rounding_by_format", "pages.plan", "format(0.0512, '.3g')"),
    ("rounding_by_format", "pages.plan", "'%.1f of %s' % (0.0512, 1)"),
    ("heavy_ballot_screen", "pages.ballot", "from evaluation.wording.of_verdicts import sentence"),
    ("heavy_ballot_screen", "pages.parts.ballot.asking_back", "from evaluation.actions import findings"),
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
    ("rounding", "evaluation.tables.results", "round(0.0512, 2)"),
    ("rounding", "evaluation.tables.standings", "round(0.0512, 2)"),
    ("rounding_by_format", "evaluation.tables.results", "f'{0.0512:.2f}'"),
    ("rounding_by_format", "evaluation.judging.verdicts", "f'{0.0512:>8}'"),
    ("upward_imports", "evaluation.statistics.ratings.cells", "from evaluation.statistics.laws import inputs"),
    ("upward_imports", "pages.parts.frame", "from parts import state"),
    ("pages_below", "pages.plan", "from parts.frame import page"),
    ("heavy_ballot_screen", "pages.ballot", "from evaluation.actions.ballot import BallotView"),
    ("asking_the_time", "evaluation.actions.book", "notebook.clock.now()"),
    ("asking_the_time", "evaluation.store.log", "import time\ntime.sleep(0.1)"),
    ("heavy_ballot", "evaluation.actions.ballot", "from evaluation.store import Notebook\nimport dataclasses"),
    ("eager_surface", "evaluation", "from importlib import import_module"),
]


@pytest.mark.parametrize(("rule", "name", "source"), ALLOWED)
def test_what_is_allowed_is_not_called_a_violation(rule: str, name: str, source: str) -> None:
    assert list(RULES[rule](parsed(name, source))) == []


def test_a_planted_circle_is_found() -> None:
    one = parsed("evaluation.store.rows", "from evaluation.store.log import Line")
    other = parsed("evaluation.store.log", "def late():\n    from evaluation.store import rows")
    assert circles([one, other]) != []
    assert circles([one]) == []


def test_a_planted_twin_is_found() -> None:
    assert shared_names(["evaluation.values.skin", "evaluation.store.skin", "pages.skin"]) == {"skin": 2}
