"""The pages in the repository say what is there: commands, names, options, folders, links, printed results."""

from __future__ import annotations

import ast
import doctest
import io
import itertools
import re
import shlex
import subprocess
import sys
from contextlib import redirect_stdout, suppress
from functools import cache
from pathlib import Path

import pytest

import evaluation
from evaluation.__main__ import main
from tests.rooms import SOURCES

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "demo_sessions").glob("*.md"), *(ROOT / "tests").rglob("*.md")])
MENTIONED = set(re.findall(r"`([^`\n]+)`", README + DEVELOPERS))


def blocks(text: str) -> list[str]:
    return re.findall(r"^```\w*\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)


# --- commands ---------------------------------------------------------------------------------------------------------


def test_the_test_command_stands_once_and_by_itself() -> None:
    """.ci/run takes the line out of README.md by this pattern and runs it."""
    line = r"python3 -m venv .venv && .venv/bin/pip install -e '.[test]' && .venv/bin/pytest"
    assert [one for one in README.splitlines() if one == line] == [line]
    (pattern,) = re.findall(r"grep -E \"(.*?)\" README.md", (ROOT / ".ci" / "run").read_text(encoding="utf-8"))
    assert [one for one in README.splitlines() if re.search(pattern, one)] == [line]


def test_the_start_command_makes_its_own_environment_and_has_its_windows_line() -> None:
    assert "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/python -m evaluation --demo\n" in README
    for command in (r"\pip install .;", r"\python -m evaluation --demo", r"\pip install -e '.[test]';", r"\pytest"):
        assert rf".venv\Scripts{command}" in README


def parts_of(block: str) -> list[list[str]]:
    return [shlex.split(part) for line in block.splitlines() for part in line.split(" && ") if line.startswith(".venv")]


def test_every_program_of_the_commands_comes_with_the_test_extra() -> None:
    asked = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    programs = {words[0].rsplit("/", 1)[1] for block in blocks(DEVELOPERS) for words in parts_of(block)}
    assert {"pytest", "python", "ruff", "mypy"} <= programs
    assert all(program in {"python", "pip"} or f'"{program}>=' in asked for program in programs)


def test_every_module_run_by_a_command_exists() -> None:
    for name in re.findall(r"python -m (\w+)", README + DEVELOPERS):
        assert name in {"venv"} or (ROOT / name / "__main__.py").is_file(), name


@cache
def options(*words: str) -> frozenset[str]:
    told = io.StringIO()
    with redirect_stdout(told), suppress(SystemExit):
        main([*words, "--help"])
    return frozenset(re.findall(r"(?<![\w-])--[a-z-]+", told.getvalue())) - {"--help"}


COMMANDS = ("judge", "report", "backup", "restore", "check", "passphrase")


@pytest.mark.parametrize("words", [(), *((one,) for one in COMMANDS)], ids=["app", *COMMANDS])
def test_every_option_has_its_line_in_the_readme(words: tuple[str, ...]) -> None:
    found = options(*words)
    some = {
        (): {"--data", "--demo", "--lan", "--port"},
        ("judge",): {"--alpha", "--json"},
        ("report",): {"--html", "--pdf"},
        ("backup",): {"--data", "--with-secret"},
        ("restore",): {"--data"},
        ("check",): {"--data"},
        ("passphrase",): {"--data", "--only-code"},
    }
    assert found >= some[words]
    rows = [re.match(r"\| `(--[a-z-]+)", line) for line in README.splitlines()]
    assert found <= {row[1] for row in rows if row}


def test_the_readme_lists_no_option_that_is_gone() -> None:
    rows = [re.match(r"\| `(--[a-z-]+)", line) for line in README.splitlines()]
    assert {row[1] for row in rows if row} <= options().union(*map(options, COMMANDS))


# --- names ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", evaluation.__all__)
def test_every_public_name_is_in_the_readme(name: str) -> None:
    assert f"`{name}`" in README


def test_every_variable_the_program_reads_is_explained() -> None:
    read = set()
    for folder in ("evaluation", "pages", "tests", ".ci"):
        for path in (ROOT / folder).rglob("*"):
            if path.is_file() and (path.suffix == ".py" or path.name == "run"):
                read |= set(re.findall(r"\bMOUILLETTE_[A-Z_]+\b", path.read_text(encoding="utf-8")))
    explained = {name for name in MENTIONED if name.startswith("MOUILLETTE_")}
    assert read <= explained


# --- what is named ----------------------------------------------------------------------------------------------------

FILE = re.compile(r"[\w.-]+\.(py|md|csv|txt|toml|png|json|css|js)")


def defined(body: list[ast.stmt]) -> set[str]:
    """The names a module or a class gives to functions, classes, values and fields, not what it imports."""
    names = {one.name for one in body if isinstance(one, ast.FunctionDef | ast.ClassDef)}
    for one in body:
        targets = one.targets if isinstance(one, ast.Assign) else [one.target] if isinstance(one, ast.AnnAssign) else []
        names |= {target.id for target in targets if isinstance(target, ast.Name)}
    return names


# What reads the whole house is read once and when it is asked for: every process that runs tests collects this file.


@cache
def listed_files() -> tuple[str, ...]:
    found = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    return tuple(found.stdout.split())


@cache
def all_text() -> str:
    ours = (path for path in listed_files() if path.endswith((".py", ".toml", "check_values.csv")))
    return "\n".join((ROOT / path).read_text(encoding="utf-8") for path in ours)


@cache
def all_words() -> frozenset[str]:
    return frozenset(re.findall(r"\w+", all_text()))


@cache
def parsed() -> dict[str, ast.Module]:
    return {name: ast.parse(path.read_text(encoding="utf-8")) for name, path in SOURCES.items()}


@cache
def defined_by_module() -> dict[str, set[str]]:
    return {name: defined(tree.body) for name, tree in parsed().items()}


@cache
def classes() -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for node in itertools.chain.from_iterable(map(ast.walk, parsed().values())):
        if isinstance(node, ast.ClassDef):
            found.setdefault(node.name, set()).update(defined(node.body))
    return found


def in_a_module(parts: list[str]) -> bool:
    """Whether a dotted name ends at a module, or at what one defines."""
    modules = [f".{name}." for name in SOURCES]
    if any(module.endswith(f".{'.'.join(parts)}.") for module in modules):
        return True
    ends = f".{'.'.join(parts[:-1])}."
    return any(f".{name}.".endswith(ends) and parts[-1] in own for name, own in defined_by_module().items())


def in_a_class(parts: list[str]) -> bool:
    """Whether each part is of the class the one before names; ``plan.kind.directed`` says so of a Plan and a Kind."""
    pairs = itertools.pairwise(parts)
    return all(attribute in classes().get(held[0].upper() + held[1:], set()) for held, attribute in pairs)


def names_nothing(name: str) -> bool:
    """Whether something between backticks looks like a name of ours, and is none; a made file's name stands in code."""
    if FILE.fullmatch(name):
        return all(Path(path).name != name for path in listed_files()) and name not in all_text()
    if re.fullmatch(r"[A-Za-z_]\w*(\.\w+)+", name):
        return not (in_a_module(name.split(".")) or in_a_class(name.split(".")))
    return bool(re.fullmatch(r"\w+", name)) and name not in all_words()


def test_every_name_the_developers_page_gives_exists() -> None:
    given = set(re.findall(r"`([^`\n]+)`", re.sub(r"^```.*?^```", "", DEVELOPERS, flags=re.MULTILINE | re.DOTALL)))
    assert len(given) > 100
    assert sorted(filter(names_nothing, given)) == []


def test_a_name_that_is_gone_would_be_found() -> None:
    gone = [
        "Plan.media_" + "of",
        "checks.reas" + "ons",
        "plan.kind.direct" + "ly",
        "nowhere" + ".py",
        "smell_" + "before",
    ]
    assert list(filter(names_nothing, gone)) == gone
    assert not any(map(names_nothing, ["Plan.media", "checks.reason", "plan.kind.directed", "clock.py", "smell_at"]))


# --- map and links ------------------------------------------------------------------------------------------------------


def test_every_folder_of_the_map_exists_and_every_folder_is_on_it() -> None:
    named = {name.rstrip("/") for name in MENTIONED if name.endswith("/")}
    assert [name for name in named if not (ROOT / name).is_dir()] == []
    tops = {path.split("/")[0] for path in listed_files() if "/" in path}
    assert tops <= named


def test_nothing_else_lies_at_the_top() -> None:
    """What a command left behind there once went along with a commit, a notebook of 370 kB."""
    files = {path for path in listed_files() if "/" not in path}
    known = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"}
    assert sorted(name for name in files - known if not name.startswith(".")) == []


def test_every_file_of_the_map_exists() -> None:
    suffixes = (".py", ".md", ".csv", ".txt", ".toml", ".png", ".json")
    for name in MENTIONED:
        if name.endswith(suffixes) and "/" in name and " " not in name:
            assert (ROOT / name).is_file(), name


def test_every_module_is_on_the_map() -> None:
    """The printed map names each file of each room; what the store keeps in rooms of its own is left to their folder."""
    for name in SOURCES:
        room, stem = name.rsplit(".", 1) if "." in name else ("", name)
        if (
            room not in {"", "evaluation.store.anchors", "evaluation.store.backup"}
            and "migrations" not in name
            and stem != "__main__"
        ):
            assert re.search(rf"\b{stem}\b", DEVELOPERS), name


@pytest.mark.parametrize("page", PAGES, ids=[str(page.relative_to(ROOT)) for page in PAGES])
def test_no_link_inside_the_repository_is_dead(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        if not re.match(r"[a-z]+:", target):
            assert (page.parent / target).exists(), target


def test_a_dead_link_would_be_found(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("[gone](nowhere.md)")
    with pytest.raises(AssertionError, match=re.escape("nowhere.md")):
        test_no_link_inside_the_repository_is_dead(page)


# --- printed results ----------------------------------------------------------------------------------------------------


def test_the_judge_example_prints_what_the_readme_shows() -> None:
    block = next(block for block in blocks(README) if block.startswith("$ python -m evaluation judge"))
    command, shown = block.split("\n", 1)
    words = shlex.split(command.removeprefix("$ python "))
    done = subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == shown


def test_what_the_readme_says_of_eight_triangles_is_so() -> None:
    """By the binomial law: at the share it names no number of right answers at or above guessing shows similarity."""
    from scipy import stats

    text = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    (told,) = re.findall(r"eight triangles can never show that fewer than (\d+) % notice", text)

    def can(share: float) -> bool:
        right = share + (1 - share) / 3
        return any(stats.binom.cdf(most, 8, right) <= 0.05 and 3 * most >= 8 for most in range(9))

    assert not can(int(told) / 100)
    assert can(0.6)  # of so large a share eight triangles do show it: the share has to be named


def test_the_answers_of_the_example_are_those_of_the_demo() -> None:
    from evaluation import demo
    from evaluation.actions import book, findings
    from evaluation.clock import SteppedClock
    from evaluation.store import Notebook
    from evaluation.tables import results

    notebook = Notebook.open(None, SteppedClock(step=1))
    first = demo.load(notebook)[0]
    found = findings.findings(notebook, first.id)
    aliases = {one.id: one.alias for one in book.panelists(notebook)}
    notebook.close()
    frame = results.answers_to_judge(found.found[0].rows, found.found[0].comparison, first.plan.method)
    frame["panelist"] = frame["panelist"].map(aliases)
    kept = (ROOT / "demo_sessions" / "birch-tar.csv").read_text(encoding="utf-8")
    assert results.csv_text(frame).replace("\r\n", "\n") == kept


def test_the_python_examples_run_and_print_what_they_show() -> None:
    examples = [block for block in blocks(README) if block.startswith((">>>", "import pandas"))]
    assert len(examples) == 2
    for number, block in enumerate(examples):
        if block.startswith(">>>"):
            test = doctest.DocTestParser().get_doctest(block, {}, f"README {number}", "README.md", 0)
            assert doctest.DocTestRunner().run(test).failed == 0
        else:
            done = subprocess.run([sys.executable, "-c", block], cwd=ROOT, capture_output=True, text=True, check=True)
            assert done.stdout.splitlines()[0].startswith("5.0 noticed 0.0187")


def test_the_changelog_keeps_its_form() -> None:
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    assert re.search(r"^## \[Unreleased\]$", text, flags=re.MULTILINE)
    kinds = set(re.findall(r"^### (.+)$", text, flags=re.MULTILINE))
    assert kinds <= {"Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"}


def test_no_entry_of_the_changelog_stands_twice() -> None:
    """A merge of both sides brings moved lines back; kinds of change stand in their usual order."""
    text = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    begun = [line[:60] for line in text.splitlines() if line.startswith("- ")]
    assert [line for line in begun if begun.count(line) > 1] == []
    unreleased = text.split("## [Unreleased]")[1].split("\n## ")[0]
    kinds = ["Added", "Changed", "Deprecated", "Removed", "Fixed", "Security"]
    listed = re.findall(r"^### (.+)$", unreleased, flags=re.MULTILINE)
    assert listed == [kind for kind in kinds if kind in listed]


def test_decisions_are_dated() -> None:
    decisions = DEVELOPERS.split("\n## Decisions\n")[1]
    entries = [line for line in decisions.splitlines() if line.startswith("* ")]
    assert len(entries) >= 5
    assert all(re.match(r"\* \*\*\d{4}-\d{2}-\d{2}, [^*]+\.\*\* ", line) for line in entries)


def test_a_rule_tells_its_day_and_what_replaces_a_superseded_one_too() -> None:
    rules, decisions = DEVELOPERS.split("## Rules and reasons")[1].split("\n## Decisions\n")
    entries = re.findall(r"^\* .*(?:\n  .*)*", rules, flags=re.MULTILINE)
    assert len(entries) > 90
    assert [one for one in entries if not re.search(r"\*\* .*\(\d{4}-\d{2}-\d{2}\)\Z", one, re.DOTALL)] == []
    struck = re.findall(r"^\* .*(?:\n  .*)*", decisions.split("### Superseded")[1], flags=re.MULTILINE)
    assert [one for one in struck if not re.search(r"~~.*~~.*\(\d{4}-\d{2}-\d{2}\)", one, re.DOTALL)] == []
    assert rules.count("\n### ") >= 15


def test_what_is_sorted_in_no_longer_stands_among_the_newest() -> None:
    """A merge of both sides brings old lines back."""
    rules, decisions = DEVELOPERS.split("## Rules and reasons")[1].split("\n## Decisions\n")
    sorted_in = {title.lower() for title in re.findall(r"^\* \*\*([^*]+)\.\*\*", rules, flags=re.MULTILINE)}
    newest = re.findall(r"^\* \*\*[\d-]+, ([^*]+)\.\*\*", decisions.split("### Superseded")[0], flags=re.MULTILINE)
    assert [title for title in newest if title.lower() in sorted_in] == []


def test_the_map_fits_on_one_screen() -> None:
    assert len(DEVELOPERS.split("## Map\n")[1].split("\n## ")[0].splitlines()) <= 42
