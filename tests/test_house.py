"""How the house is written: names say what, branches are few, public functions are told.

The linter is asked about planted code, set up as CI runs it.
"""

from __future__ import annotations

import ast
import subprocess
import sys

import pytest

from tests.rooms import ROOT, SOURCES

SAYS_NOTHING = {"show", "one", "found", "at", "it", "do", "go"}  # as the name of a function
RULES = ("C901", "PLR0912", "D102", "D103")
FIELD_TERMS = "evaluation.statistics."  # a function of mathematics is evaluated at a point

ELEVEN_WAYS = "\n".join(
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
        ("def _share(people: int) -> float:\n    return 1 / people\n", set()),
    ],
)
def test_the_linter_refuses_a_public_function_that_tells_nothing(source: str, expected: set[str]) -> None:
    for name in ("evaluation/planted.py", "pages/parts/planted.py"):
        assert complaints(source, name) == expected


def test_no_file_asks_the_linter_to_overlook_that() -> None:
    sources = {name: path.read_text(encoding="utf-8") for name, path in SOURCES.items()}
    assert not [name for name, source in sources.items() if any(rule in source for rule in RULES)]
