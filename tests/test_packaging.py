"""From sdist to wheel to a clean environment to an empty folder to a browser; and what the version lists promise."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tarfile
import tomllib
import venv
import zipfile
from collections.abc import Iterator
from email.parser import Parser
from importlib import metadata
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
OPTIONAL = [*EXTRAS["postgres"], *EXTRAS["pictures"]]
ASKED_FOR = [*PROJECT["dependencies"], *OPTIONAL, *(one for one in EXTRAS["test"] if not one.startswith("mouillette"))]


# --- version lists ------------------------------------------------------------------------------------------------------


def pinned(name: str) -> dict[str, str]:
    """Package → exact version, of a list in .ci; every line must be just that or a remark."""
    found = {}
    for line in (ROOT / ".ci" / name).read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            matched = re.fullmatch(r"([A-Za-z0-9_.-]+(?:\[[a-z]+\])?)==([0-9][0-9a-z.]*)", line)
            assert matched, f"{name}: {line!r} is not a name with an exact version"
            found[matched[1].lower()] = matched[2]
    return found


def bounds() -> dict[str, str]:
    split = (line.split(",")[0].split(">=") for line in ASKED_FOR)
    return {name.lower(): version for name, version in split}


def test_every_dependency_has_a_lower_bound_and_the_framework_an_upper_one_too() -> None:
    """Private names of the framework are patched (pages/parts/neutral.py): the next minor version may lack them."""
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+(\[[a-z]+\])?>=[0-9.]+(,<[0-9.]+)?", line) for line in ASKED_FOR)
    (bounded,) = [line for line in ASKED_FOR if "<" in line]
    name, below = bounded.split(">=")[0], bounded.split("<")[1]
    major, minor = numbers(pinned("constraints.txt")[name])[:2]
    assert (name, numbers(below)) == ("streamlit", (major, minor + 1))


def test_the_lowest_versions_are_the_bounds() -> None:
    assert pinned("lowest.txt") == bounds()


def test_the_exact_versions_cover_every_dependency_and_keep_its_bound() -> None:
    exact = pinned("constraints.txt")
    for name, bound in bounds().items():
        assert numbers(exact[name.split("[")[0]]) >= numbers(bound), name


def numbers(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", version))


def test_every_library_the_code_imports_is_asked_for() -> None:
    """Not left to what another library happens to bring along."""
    from tests.test_layers import imported, modules

    known_as = {"argon2": "argon2-cffi", "fpdf": "fpdf2", "vl_convert": "vl-convert-python"}
    names = {name.split(".")[0] for module in modules() for name in imported(module)}
    own = {"evaluation", "parts", *(path.stem for path in (ROOT / "pages").glob("*.py"))}
    asked = {re.split(r"[>\[]", line)[0].lower() for line in [*PROJECT["dependencies"], *OPTIONAL]}
    foreign = names - own - set(sys.stdlib_module_names)
    assert {known_as.get(name, name) for name in foreign} <= asked


def test_what_is_not_repeated_on_the_lowest_versions_calls_no_library() -> None:
    """.ci/run repeats of tests/actions what asks the few actions that call a library themselves; to all others what
    libraries do comes through rooms below.
    """
    from tests.test_layers import imported, modules

    own = {"evaluation", *sys.stdlib_module_names}
    actions = [module for module in modules() if module.room == "actions"]
    callers = [one.name for one in actions if {name.split(".")[0] for name in imported(one)} - own]
    repeated = re.findall(r"tests/actions/\w+\.py", (ROOT / ".ci" / "run").read_text(encoding="utf-8"))
    asked = "".join((ROOT / one).read_text(encoding="utf-8") for one in repeated)
    assert len(actions) > 20
    assert "evaluation.actions.doors" in callers
    missing = [one for one in callers if not re.search(rf"{re.escape(one)}\b|import .*\b{one.split('.')[-1]}\b", asked)]
    assert missing == []


# --- the wheel ------------------------------------------------------------------------------------------------------------


def run(*command: str | Path, cwd: Path, **more: Any) -> str:
    done = subprocess.run([str(part) for part in command], cwd=cwd, capture_output=True, text=True, timeout=600, **more)
    assert done.returncode == 0, f"{command}\n{done.stdout[-2000:]}\n{done.stderr[-4000:]}"
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The sdist, and the wheel made from it (not from the checkout)."""
    out = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", out, ROOT, cwd=out)
    return next(out.glob("*.tar.gz")), next(out.glob("*.whl"))


@pytest.mark.packaging
def test_the_wheel_holds_one_package_with_screens_and_demo_inside(built: tuple[Path, Path]) -> None:
    names = zipfile.ZipFile(built[1]).namelist()
    tops = {name.split("/")[0] for name in names}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"evaluation"}
    assert {"evaluation/_pages/serve.py", "evaluation/_pages/app.py", "evaluation/_pages/parts/house.py"} <= set(names)
    assert {"evaluation/_demo_sessions/house.json", "evaluation/py.typed", "evaluation/__main__.py"} <= set(names)
    checkout = {f"evaluation/{path.relative_to(ROOT / 'evaluation')}" for path in (ROOT / "evaluation").rglob("*.py")}
    assert checkout <= set(names)
    assert any(name.endswith("licenses/LICENSE") for name in names)
    fonts = {
        f"evaluation/sheets/fonts/{name}" for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf", "LICENCE-DejaVu.txt")
    }
    assert fonts <= set(names)
    assert not any("__pycache__" in name or name.endswith((".sqlite", ".secret")) for name in names)


@pytest.mark.packaging
def test_the_sdist_holds_what_is_needed_to_test_it(built: tuple[Path, Path]) -> None:
    with tarfile.open(built[0]) as packed:
        names = {name.split("/", 1)[1] for name in packed.getnames() if "/" in name}
    for needed in ("pyproject.toml", "README.md", "LICENSE", ".ci/run", "tests/conftest.py", "pages/serve.py"):
        assert needed in names
    assert not any(name.startswith((".venv", "screenshots")) for name in names)


@pytest.fixture(scope="module")
def elsewhere(built: tuple[Path, Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Python of a clean environment that holds the wheel, and of libraries only what the wheel's own metadata asks for.

    Those are lent by this environment, link by link, as far as one asks for the other: fetching, unpacking and compiling
    them again took minutes. So that pip finds them all by those names is not tested here; CI installs the checkout with
    pip before any test runs, from the same list.
    """
    folder = tmp_path_factory.mktemp("clean")
    venv.create(folder, with_pip=False)
    python = folder / ("Scripts" if os.name == "nt" else "bin") / "python"
    run(
        sys.executable,
        "-m",
        "pip",
        "--python",
        python,
        "install",
        "--quiet",
        "--no-deps",
        "--no-index",
        built[1],
        cwd=folder,
    )
    site = Path(run(python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))", cwd=folder).strip())
    for lent in asked_for_by(wheel_requirements(built[1])).values():
        lend(lent, site)
    return python


def wheel_requirements(wheel: Path) -> list[str]:
    """What a wheel asks for, as it is written in its metadata."""
    packed = zipfile.ZipFile(wheel)
    (name,) = [one for one in packed.namelist() if one.endswith(".dist-info/METADATA")]
    return Parser().parsestr(packed.read(name).decode()).get_all("Requires-Dist", [])


def asked_for_by(lines: list[str], extra: str = "") -> dict[str, metadata.Distribution]:
    """The libraries of this environment that the lines ask for, and those ask for in turn."""
    found: dict[str, metadata.Distribution] = {}
    known: set[tuple[str, str]] = set()
    left = [(line, extra) for line in lines]
    while left:
        line, extra = left.pop()
        wanted = Requirement(line)
        if wanted.marker and not wanted.marker.evaluate({"extra": extra}):
            continue
        for part in {"", *wanted.extras} - {extra for name, extra in known if name == wanted.name.lower()}:
            known.add((wanted.name.lower(), part))
            found[wanted.name.lower()] = metadata.distribution(wanted.name)
            left += [(one, part) for one in metadata.requires(wanted.name) or ()]
    return found


def lend(library: metadata.Distribution, site: Path) -> None:
    """Link what a library has installed into another environment."""
    for name in {Path(file).parts[0] for file in library.files or ()} - {"..", "__pycache__"}:
        if not (site / name).exists():
            (site / name).symlink_to(Path(str(library.locate_file(name))).resolve())


@pytest.mark.packaging
def test_the_wheel_asks_for_what_the_project_asks_for(built: tuple[Path, Path]) -> None:
    """No more and no less, so that whoever installs it gets what the code imports (a test above compares those)."""
    ours = ("extra == 'test'", "extra == 'fuzz'")  # for whoever works on the program
    asked = {spelt(line) for line in wheel_requirements(built[1]) if not any(one in spelt(line) for one in ours)}
    offered = {spelt(f"{line}; extra == '{extra}'") for extra in ("postgres", "pictures") for line in EXTRAS[extra]}
    assert asked == {spelt(line) for line in PROJECT["dependencies"]} | offered


def spelt(line: str) -> str:
    return str(Requirement(line)).replace('"', "'")


@pytest.mark.packaging
def test_what_the_wheel_does_not_ask_for_is_not_lent(elsewhere: Path, tmp_path: Path) -> None:
    """The environment is clean: libraries that only tests need, and this checkout, are not to be found in it."""
    code = "import importlib.util as u; print([n for n in {!r} if u.find_spec(n)])"
    absent = ["statsmodels", "pytest", "hypothesis", "playwright", "psycopg", "pypdf", "tests", "pages", "pip"]
    env = clean_environment(tmp_path)
    assert run(elsewhere, "-c", code.format([*absent, "streamlit"]), cwd=tmp_path, env=env) == "['streamlit']\n"


def clean_environment(home: Path) -> dict[str, str]:
    kept = {
        name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "MOUILLETTE", "PYTEST"))
    }
    return {**kept, "HOME": str(home), "XDG_DATA_HOME": str(home / "data")}


@pytest.mark.packaging
def test_the_command_works_from_an_empty_folder(elsewhere: Path, tmp_path: Path) -> None:
    env = clean_environment(tmp_path)
    told = run(elsewhere, "-m", "evaluation", "--help", cwd=tmp_path, env=env)
    assert "--demo" in told
    command = elsewhere.with_name("mouillette.exe" if os.name == "nt" else "mouillette")
    assert "--lan" in run(command, "--help", cwd=tmp_path, env=env)
    rows = "\n".join(f"3 and 4,triangle,P{n},1,5,{int(n < 9)}" for n in range(12))
    (tmp_path / "a.csv").write_text(f"comparison,method,panelist,replicate,age_minutes,correct\n{rows}\n")
    assert "noticed" in run(elsewhere, "-m", "evaluation", "judge", "a.csv", cwd=tmp_path, env=env).lower()
    where = run(elsewhere, "-c", "import evaluation; print(evaluation.__file__)", cwd=tmp_path, env=env)
    assert str(ROOT) not in where


@pytest.fixture(scope="module")
def demo(elsewhere: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The demo, started in an empty folder; yields its address."""
    empty = tmp_path_factory.mktemp("empty")
    process = subprocess.Popen(
        [elsewhere, "-m", "evaluation", "--demo", "--port", "0"],
        cwd=empty,
        env=clean_environment(empty),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    assert process.stdout is not None
    line = process.stdout.readline()
    found = re.search(r"http://localhost:\d+", line)
    assert found, line + process.stdout.read()
    from tests.browser.conftest import wait_until_it_answers

    wait_until_it_answers(found[0])
    yield found[0]
    process.terminate()
    process.wait(60)
    process.stdout.close()
    assert list(empty.rglob("*.sqlite*")) == []  # the demo keeps nothing


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    from tests.browser.engine import launched

    with launched() as opened:
        yield opened


@pytest.mark.packaging
@pytest.mark.browser
def test_a_browser_opens_demo_ballot_and_findings_of_the_installed_wheel(demo: str, browser: Any) -> None:
    from tests.browser.waiting import PATIENCE, opened, read, settled, until

    conductor = browser.new_context(viewport={"width": 1200, "height": 1000})
    conductor.set_default_timeout(PATIENCE)
    page = conductor.new_page()
    page.goto(f"{demo}/findings")
    page.get_by_role("combobox").first.wait_for()
    until(page, lambda: chosen_from(page, "Is the birch tar heard?", "8 of 12 answers right"), "the session chosen")
    page.get_by_text("8 of 12 right").wait_for()  # in the chart
    settled(page)
    keep(page, "verdict", {"x": 300, "y": 205, "width": 900, "height": 470})  # the picture in README.md
    page.get_by_role("link", name="Bench", exact=True).click()
    start = page.get_by_role("button", name="Start smelling")
    start.wait_for()
    settled(page)
    start.click()
    page.get_by_text("Smelling has started").first.wait_for()
    opened(page, "Links and QR codes")  # the page shuts this part when smelling starts
    link = re.search(r"/join/\S+", read(page.get_by_text(re.compile(r"/join/\S+$")).first, r"/join/\S+"))
    assert link
    phone = browser.new_context(viewport={"width": 390, "height": 844})
    phone.set_default_timeout(PATIENCE)
    ballot = phone.new_page()
    ballot.goto(demo + link[0])
    ballot.get_by_role("button", name="Begin").click()
    ballot.get_by_role("button", name="Begin").wait_for(state="detached")
    settled(ballot)
    ballot.get_by_role("button", name="Smell now anyway").click()  # nobody tapped when the strips were dipped
    ballot.get_by_role("button", name="Lock this answer").wait_for()
    settled(ballot)
    said = read(ballot.locator("body"), "earthy")
    assert not re.search(r"Finding|Bench|birch|planks", said)
    keep(ballot, "packaged_ballot")
    phone.close()
    conductor.close()


def chosen_from(page: Any, option: str, told: str) -> bool:
    """Choose from the first list; one opened while the page still settles closes again."""
    from tests.browser.waiting import settled

    settled(page)
    if not page.get_by_text(told).is_visible():
        page.get_by_role("combobox").first.click(timeout=5_000)
        page.get_by_role("option", name=option).click(timeout=5_000)
        page.get_by_text(told).wait_for(timeout=15_000)
    return True


def keep(page: Any, name: str, part: dict[str, int] | None = None) -> None:
    """A picture for somebody to look at, where there is such a one."""
    from tests.browser.conftest import picture_taken

    if os.environ.get("MOUILLETTE_SCREENSHOTS"):
        picture_taken(page, name, clip=part)


# --- CI itself --------------------------------------------------------------------------------------------------------


def test_on_the_lowest_versions_every_test_is_there_with_few_of_its_cases(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests import conftest

    def case(name: str, **params: Any) -> Any:
        return SimpleNamespace(path="a file", originalname=name, callspec=SimpleNamespace(params=params))

    tables = [case("table", n=n) for n in range(7)]
    places = [case("kept", where=where, n=n) for n in (1, 2) for where in ("memory", "file", "postgres")]
    items = [SimpleNamespace(path="a file", name="alone"), *tables, *places]
    config = SimpleNamespace(hook=SimpleNamespace(pytest_deselected=lambda items: None))
    few = list(items)
    conftest.pytest_collection_modifyitems(config, few)  # type: ignore[arg-type]
    assert few == items
    monkeypatch.setenv("MOUILLETTE_CASES", "few")
    conftest.pytest_collection_modifyitems(config, few)  # type: ignore[arg-type]
    assert few == [items[0], tables[0], tables[3], tables[6], places[0], places[2]]


SKIPPING = """
import pytest

@pytest.mark.{mark}
def test_one():
    pytest.skip("nothing here")
"""


@pytest.mark.parametrize(("mark", "wanted", "code"), [("browser", "1", 1), ("postgres", "1", 1), ("browser", "", 0), ("slow", "1", 0)])  # fmt: skip
def test_a_skip_is_a_failure_where_ci_wants_none(tmp_path: Path, mark: str, wanted: str, code: int) -> None:
    shutil.copy(ROOT / "tests" / "conftest.py", tmp_path)
    (tmp_path / "test_skipping.py").write_text(SKIPPING.format(mark=mark))
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-m", "", "-c", ROOT / "pyproject.toml", tmp_path],
        cwd=ROOT, capture_output=True, text=True, timeout=300,
        env={**os.environ, "MOUILLETTE_NO_SKIPS": wanted, "PYTEST_ADDOPTS": ""},
    )  # fmt: skip
    assert done.returncode == code, done.stdout
    assert ("was skipped: " in done.stdout) is bool(code)


def test_ci_installs_what_it_needs_and_asks_nothing() -> None:
    """CI starts on a bare machine, as root, without standard input, and names no address to fetch from."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    for needed in ("chromium", "postgresql", "python3-venv", "MOUILLETTE_NO_SKIPS=1", "lowest.txt", "constraints.txt"):
        assert needed in script
    listed = script + "".join((ROOT / ".ci" / name).read_text() for name in ("constraints.txt", "lowest.txt"))
    assert "://" not in listed.replace("postgresql://tests@127.0.0.1:$port", "")
    assert "--index-url" not in listed
    assert not re.search(r"(?m)^\s*read |apt-get install(?! -y)", script)
