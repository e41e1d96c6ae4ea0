"""How the house is written: names say what, branches are few, public functions are told, nothing lies about unused.

The linter is asked about planted code, set up as CI runs it.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterable, Iterator

import pytest
from parts.doors.front import CONDUCTOR_PAGES

from tests.rooms import ROOT, SOURCES

SAYS_NOTHING = {"show", "one", "found", "at", "it", "do", "go"}  # as the name of a function
RULES = ("C901", "PLR0912", "D100", "D101", "D102", "D103", "D104")
FIELD_TERMS = "evaluation.statistics."  # a function of mathematics is evaluated at a point

TOLD = '"""A module that was planted."""\n\n'
ELEVEN_WAYS = TOLD + "\n".join(
    [
        "def which(number: int) -> str:",
        '    """The name of a number."""',
        *(f'    if number == {number}:\n        return "{number}"' for number in range(11)),
        '    return ""\n',
    ]
)
TEN_WAYS = ELEVEN_WAYS.replace('    if number == 10:\n        return "10"\n', "").replace(
    '    if number == 9:\n        return "9"\n', ""
)


def empty_names(source: str) -> list[str]:
    """Functions and methods of a source, nested ones as well, whose names say nothing."""
    functions = (node for node in ast.walk(ast.parse(source)) if isinstance(node, ast.FunctionDef))
    return [f"{node.name} in line {node.lineno}" for node in functions if node.name in SAYS_NOTHING]


def test_the_name_of_a_function_says_what() -> None:
    ours = {name: path for name, path in SOURCES.items() if not name.startswith(FIELD_TERMS)}
    found = {name: empty_names(path.read_text(encoding="utf-8")) for name, path in ours.items()}
    assert not {name: empty for name, empty in found.items() if empty}


def test_an_empty_name_would_be_found() -> None:
    assert empty_names("class Page:\n    def show(self): ...\n") == ["show in line 2"]


def complaints(source: str, name: str) -> set[str]:
    """What the linter, set up as this repository sets it up, says of a file of this name."""
    pytest.importorskip("ruff", reason="the linter is no part of the run on lowest versions")
    command = [sys.executable, "-m", "ruff", "check", "--no-cache", "--output-format", "concise"]
    said = subprocess.run(
        [*command, "--stdin-filename", name, "-"], input=source, capture_output=True, text=True, cwd=ROOT, check=False
    )
    return {line.split()[1] for line in said.stdout.splitlines() if line.startswith(name)}


@pytest.mark.parametrize("name", ["evaluation/planted.py", "pages/parts/planted.py"])
def test_the_linter_refuses_an_eleventh_branch(name: str) -> None:
    assert {"C901", "PLR0912"} <= complaints(ELEVEN_WAYS, name)
    assert not complaints(TEN_WAYS, name)


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("def share(people: int) -> float:\n    return 1 / people\n", {"D103"}),
        ('class Panel:\n    """People."""\n\n    def share(self) -> float:\n        return 0.5\n', {"D102"}),
        ("class Panel:\n    people = 12\n", {"D101"}),
        ("def _share(people: int) -> float:\n    return 1 / people\n", set()),
    ],
)
def test_the_linter_refuses_a_public_function_that_tells_nothing(source: str, expected: set[str]) -> None:
    for name in ("evaluation/planted.py", "pages/parts/planted.py"):
        assert complaints(TOLD + source, name) == expected
        assert complaints(source, name) == expected | {"D100"}


def test_no_file_asks_the_linter_to_overlook_that() -> None:
    sources = {name: path.read_text(encoding="utf-8") for name, path in SOURCES.items()}
    assert not [name for name, source in sources.items() if any(rule in source for rule in RULES)]


# --- nothing that nobody uses -------------------------------------------------------------------------------------------


def made(source: str) -> Iterator[str]:
    """Names of the functions, classes and constants of a module."""
    for node in ast.parse(source).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            yield node.target.id
        elif isinstance(node, ast.Assign):
            yield from (target.id for target in node.targets if isinstance(target, ast.Name))


def unused(sources: Iterable[str], elsewhere: Iterable[str] = ()) -> list[str]:
    """Names that stand nowhere but where they are made; one that two modules bear counts as used by the other."""
    ours = list(sources)
    words = Counter(word for text in (*ours, *elsewhere) for word in re.findall(r"\w+", text))
    return sorted(name for text in ours for name in made(text) if words[name] == 1)


def test_nothing_is_made_that_nobody_uses() -> None:
    sources = [path.read_text(encoding="utf-8") for name, path in SOURCES.items() if ".migrations." not in name]
    tests = [path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py")]
    assert not unused(sources, tests)


def test_a_name_nobody_uses_would_be_found() -> None:
    assert unused(["MOST: int = 3\nLEAST = 1\n\ndef width() -> int:\n    return LEAST\n"], ["width()"]) == ["MOST"]


def test_every_page_that_is_listed_is_there() -> None:
    assert [name for name, _ in CONDUCTOR_PAGES if not (ROOT / "pages" / f"{name}.py").is_file()] == []
