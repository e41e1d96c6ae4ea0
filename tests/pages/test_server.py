"""The server as a whole: what it refuses, what it keeps to itself, what is in force, and how it starts."""

from __future__ import annotations

import importlib.util
import json
import os
import re
import shutil
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from streamlit.proto.BackMsg_pb2 import BackMsg
from websockets.exceptions import InvalidStatus

from evaluation.actions import doors
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.pages.conftest import Desk
from tests.pages.wire import PATIENCE, ROOT, everything, press, raw, running
from tests.scenes import scene

HERE = Path(__file__).resolve().parent


# --- refusals -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host",
    ["elsewhere.example", "localhost.elsewhere.example", "127.0.0.1@elsewhere.example", "[", "127.0.0.1.elsewhere.example",
     "[::1].elsewhere.example", "somebody@localhost", "localhost/elsewhere.example", "localhost:port", "localhost..",
     "localhost,elsewhere.example", "127.1", "2130706433", "0.0.0.0"],
)  # fmt: skip
def test_a_foreign_host_is_refused(desk: Desk, host: str) -> None:
    refused = desk.server.get("/_stcore/health", host=host)
    assert (refused.status, refused.text) == (403, "This address does not belong to Mouillette.")


def test_our_own_names_are_accepted(desk: Desk) -> None:
    for host in ("localhost", "127.0.0.1", "[::1]", "LOCALHOST", "localhost."):
        assert desk.server.get("/_stcore/health", host=f"{host}:{desk.server.port}").status == 200


@pytest.mark.parametrize("origin", ["", "null", "https://elsewhere.example", "http://localhost:1", "http://127.0.0.1"])
def test_a_websocket_from_elsewhere_or_from_nowhere_is_refused(desk: Desk, origin: str) -> None:
    with pytest.raises(InvalidStatus) as refused, desk.server.open(origin=origin):
        pass
    assert refused.value.response.status_code == 403


def test_a_websocket_under_a_foreign_host_is_refused(desk: Desk) -> None:
    foreign = f"http://elsewhere.example:{desk.server.port}"
    with pytest.raises(InvalidStatus) as refused, desk.server.open(host="elsewhere.example", origin=foreign):
        pass
    assert refused.value.response.status_code == 403


def test_a_get_needs_no_origin_and_bears_no_foreign_one(desk: Desk) -> None:
    assert desk.server.get("/").status == 200
    assert desk.server.get("/", origin=desk.server.origin).status == 200
    assert desk.server.get("/", origin="https://elsewhere.example").status == 403


@pytest.mark.parametrize(
    "path",
    ["/_stcore/metrics", "/_stcore/agent/interact", "/_stcore/agent/openapi.json", "/_stcore/agent/mcp",
     "/_stcore/script-health-check", "/_stcore/upload_file/one/two", "/auth/login", "/auth/logout", "/oauth2callback"],
)  # fmt: skip
def test_side_doors_of_the_framework_are_shut(desk: Desk, path: str) -> None:
    assert desk.server.get(path).status == 404


def test_every_response_carries_the_security_headers(desk: Desk) -> None:
    for path in ("/", "/sign-in", "/join/nothing", "/_stcore/health"):
        answer = desk.server.get(path)
        assert answer.header("referrer-policy") == "same-origin"
        assert answer.header("x-content-type-options") == "nosniff"
        assert "frame-ancestors 'none'" in answer.header("content-security-policy")
        assert "http" not in answer.header("content-security-policy")  # nothing may come from another place


# --- what it keeps to itself -----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def checkout(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the app in a checkout with a remote, a tracking branch and an untracked file beside the pages.

    That is when the framework would answer; nothing is fetched, the remote is only named.
    """
    if shutil.which("git") is None:
        pytest.skip("git is not installed, so nothing could be told.")
    folder = tmp_path_factory.mktemp("checkout")
    for name in ("evaluation", "pages"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    for words in (
        ["init", "-q", "-b", "main"],
        ["add", "pyproject.toml"],
        ["-c", "user.name=x", "-c", "user.email=x@example.org", "commit", "-q", "-m", "x"],
        ["remote", "add", "origin", "https://github.com/example/example.git"],
        ["update-ref", "refs/remotes/origin/main", "HEAD"],
        ["branch", "-q", "--set-upstream-to=origin/main"],
    ):
        subprocess.run(["git", "-C", str(folder), *words], check=True, capture_output=True)
    (folder / "pages" / "secret-vetiver.txt").write_text("x")
    return folder


def test_git_information_is_not_given(checkout: Path, tmp_path: Path) -> None:
    environment = {"PYTHONPATH": str(checkout)}
    with (
        running("--data", str(tmp_path / "n.sqlite"), cwd=checkout, environment=environment) as server,
        server.open() as tab,
    ):
        tab.run()
        tab.say(BackMsg(load_git_info=True))
        tab.run()
        tab.run()  # the answer, if there were one, came before the end of this
    assert "git_info_changed" not in {frame.WhichOneof("type") for frame in tab.frames}
    assert b"vetiver" not in raw(tab.frames)


def test_without_our_change_git_information_would_be_given(checkout: Path) -> None:
    """The framework's own look finds the checkout and the file, so the test above can fail."""
    asked = (
        "from streamlit.git_util import GitRepo; "
        f"repo = GitRepo({str(checkout / 'pages' / 'app.py')!r}); print(repo.get_repo_info(), repo.untracked_files)"
    )
    found = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout
    assert "secret-vetiver" in found


def early(source: str) -> set[str]:
    """Ways to act before a run has looked up who is there: callbacks run first, dialogs without the entry page.

    A word in quotes is none: "rerun" asks for the page anew and calls nothing.
    """
    return set(re.findall(r"\b(on_click|on_(?:\w+_)?change|on_submit|on_select|st\.dialog)\b(?!=\")", source))


def test_no_conductor_page_acts_before_the_role_is_looked_up() -> None:
    """Pages act in the run itself; the ballot's callbacks ask for the visitor themselves.

    They are in pages/ballot.py (the rating component is handed its own from there), stop_screens.py, calling.py and asking_back.py.
    The countdown's does nothing: the run it causes is what is wanted.
    """
    own = {"ballot.py", "asking_back.py", "stop_screens.py", "rating.py", "calling.py", "countdown.py"}
    files = [file for file in (ROOT / "pages").rglob("*.py") if file.name not in own]
    assert {file.name: early(file.read_text()) for file in files if early(file.read_text())} == {}
    assert early("st.button('x', on_click=act)") == {"on_click"}
    assert early('st.tabs(PARTS, on_change="rerun")') == set()
    assert early("component(on_answers_change=act)") == {"on_answers_change"}
    assert early((ROOT / "pages" / "ballot.py").read_text()) == {"on_click"}
    assert "on_answers_change=tapped" in (ROOT / "pages" / "parts" / "ballot" / "rating.py").read_text()


@pytest.mark.parametrize("where", ["page", "fragment", "callback"])
def test_a_failing_page_shows_our_sentence_and_nothing_else(checkout: Path, tmp_path: Path, where: str) -> None:
    failing = 'def fail():\n    raise RuntimeError("secret vetiver")\n'
    body = {"page": "fail()", "fragment": "st.fragment(fail)()", "callback": "st.button('press', on_click=fail)"}
    (checkout / "pages" / "panel.py").write_text(f"import streamlit as st\n{failing}{body[where]}\n")
    environment = {"PYTHONPATH": str(checkout)}
    with (
        running("--data", str(tmp_path / "n.sqlite"), cwd=checkout, environment=environment) as server,
        server.open() as tab,
    ):
        tab.run(page_name="panel")
        if where == "callback":
            press(tab, "press")
    assert "nothing you entered before was lost" in everything(tab.frames)
    assert b"vetiver" not in raw(tab.frames)
    assert str(checkout).encode() not in raw(tab.frames)


def test_messages_a_visitor_has_no_business_sending_are_not_heard() -> None:
    from parts import neutral

    for field, value in (("clear_cache", True), ("set_run_on_save", True), ("load_git_info", True)):
        assert not neutral._heard(BackMsg(**{field: value}))
    uploading = BackMsg()
    uploading.file_urls_request.SetInParent()
    assert not neutral._heard(uploading)
    installing = BackMsg()
    installing.backend_operation_request.install_skills.SetInParent()
    assert not neutral._heard(installing)
    loading = BackMsg()
    loading.backend_operation_request.dataframe_chunk.SetInParent()
    assert neutral._heard(loading)
    assert neutral._heard(BackMsg(stop_script=True))
    assert not neutral._heard(BackMsg())


def test_the_first_frame_tells_nothing_about_this_machine(desk: Desk) -> None:
    with desk.server.open() as tab:
        tab.run()
    told = next(frame.new_session for frame in tab.frames if frame.WhichOneof("type") == "new_session")
    assert told.main_script_path == told.name == "app"
    assert set(told.initialize.environment_info.ListFields()[0][1]) <= set("untold")
    sent = raw(tab.frames)
    import streamlit

    for hidden in (str(ROOT), str(Path.home()), streamlit.__version__, sys.version.split()[0], str(desk.file)):
        assert hidden.encode() not in sent


def test_a_panelists_frames_hold_nothing_of_the_trial(desk: Desk) -> None:
    with desk.server.open(desk.join()) as tab:
        tab.run()
    sent = everything(tab.frames)
    with desk.notebook.reading() as tx:
        plan = tx.sittings.session(desk.session_id).plan
        hidden = [plan.title, plan.first_trial_id, plan.second_trial_id, plan.brief_id, desk.session_id]
        hidden += [seat.panelist_id or "" for seat in plan.seats] + [tx.book.brief(plan.brief_id).title, "vetiver"]
        codes = tx.sittings.servings(desk.session_id, 1)[0].codes
    assert all(code in sent for code in codes)  # the ballot was really there
    assert [one for one in hidden if one in sent] == []


def test_no_connection_leaves_the_machine(tmp_path: Path) -> None:
    notes = tmp_path / "heard.txt"
    notes.touch()
    command = (str(HERE / "audited.py"), str(notes))
    with running("--data", str(tmp_path / "n.sqlite"), "--lan", command=command) as server:
        with server.open() as tab:
            tab.run()
        with pytest.raises(InvalidStatus), server.open(origin="https://elsewhere.example"):
            pass
        server.get("/_stcore/host-config")
    outward = [line for line in notes.read_text().splitlines() if not _stays_here(line)]
    assert outward == []


def _stays_here(line: str) -> bool:
    event, _, what = line.partition(" ")
    if event in ("socket.getaddrinfo", "socket.gethostbyname"):
        return what in ("127.0.0.1", "::1", "localhost", "0.0.0.0", "None")
    return "'127.0.0.1'" in what or "'::1'" in what


def test_the_ear_hears_connections_that_do_leave(tmp_path: Path) -> None:
    """The audit above would notice the framework's own look-up of a public address."""
    notes = tmp_path / "heard.txt"
    notes.touch()
    script = tmp_path / "leaks.py"
    script.write_text(
        "import runpy, sys, types\n"
        f"sys.path.insert(0, {str(ROOT)!r})\n"
        f"sys.argv = ['audited.py', {str(notes)!r}]\n"
        "leaking = types.ModuleType('evaluation.__main__')\n"
        "def main(argv):\n"
        "    from streamlit import net_util\n"
        "    net_util.get_internal_ip()\n"
        "    return 0\n"
        "leaking.main = main\n"
        "sys.modules['evaluation.__main__'] = leaking\n"
        f"runpy.run_path({str(HERE / 'audited.py')!r}, run_name='__main__')\n"
    )
    subprocess.run([sys.executable, str(script)], check=True, capture_output=True)
    assert [line for line in notes.read_text().splitlines() if not _stays_here(line)]


# --- what is in force --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def inside(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The report of a fresh process that served, joined and answered (see inside.py)."""
    file = tmp_path_factory.mktemp("inside") / "n.sqlite"
    notebook = Notebook.open(file, SystemClock())
    session = scene(notebook).smelling()
    secret = doors.server_secret(file)
    token = next(iter(doors.links(notebook, secret, session.id).values()))
    notebook.close()
    done = subprocess.run(
        [sys.executable, str(HERE / "inside.py"), str(file), token],
        capture_output=True,
        text=True,
        timeout=4 * PATIENCE,
    )
    assert done.returncode == 0, done.stderr
    report: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return {**report, "secret": secret}


def test_an_answer_over_the_websocket_loads_nothing_heavy(inside: dict[str, Any]) -> None:
    assert inside["answers"] == 1
    heavy = ("statsmodels", "altair", "scipy.stats", "alembic", "hypothesis")
    assert [name for name in inside["loaded"] if name.startswith(heavy)] == []


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("runner.postScriptGC", False),
        ("runner.magicEnabled", False),
        ("client.showErrorDetails", "none"),
        ("client.toolbarMode", "viewer"),
        ("browser.gatherUsageStats", False),
        ("server.address", "127.0.0.1"),
        ("server.headless", True),
        ("server.enableCORS", True),
        ("server.enableXsrfProtection", True),
        ("server.enableStaticServing", False),
        ("server.fileWatcherType", "none"),
        ("server.maxUploadSize", 5),
        ("server.maxWidgetStateSize", 1),
        ("server.allowedHosts", ["127.0.0.1", "::1", "localhost"]),
        ("logger.hideWelcomeMessage", True),
        ("global.developmentMode", False),
    ],
)
def test_a_setting_is_in_force_in_the_running_server(inside: dict[str, Any], name: str, value: object) -> None:
    assert inside["settings"][name] == value


def test_our_cookie_secret_is_in_force(inside: dict[str, Any]) -> None:
    assert inside["settings"]["server.cookieSecret"] == doors.derive(inside["secret"], "framework cookie").hex()


# --- starting -----------------------------------------------------------------------------------------------------------


def started(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "evaluation", *words],
        capture_output=True, text=True, cwd=ROOT, env={**os.environ, **environment}, timeout=4 * PATIENCE,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--port", "70000"], "from 1 to 65535"),
        (["--port", "eight"], "from 1 to 65535"),
        (["--data"], "expected one argument"),
        (["--data", "/"], "is a folder"),
        (["--demo", "--data", "x.sqlite"], "choose one of the two"),
        (["--public-url", "smell.example.org"], "https://smell.example.org"),
        (["--open"], "nrecognized arguments: --open"),
    ],
)
def test_wrong_arguments_are_one_sentence_and_exit_code_2(words: list[str], says: str) -> None:
    ended = started(*words)
    assert ended.returncode == 2
    assert says in ended.stderr
    assert len(ended.stderr.strip().splitlines()) == 1
    assert ended.stdout == ""


def test_a_port_in_use_is_one_sentence(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        ended = started("--port", port, "--data", str(tmp_path / "n.sqlite"))
    assert ended.returncode == 2
    assert (
        ended.stderr == f"Port {port} is in use already: stop the other program, or choose another one with --port.\n"
    )


def test_a_database_server_needs_the_secret_from_the_environment() -> None:
    ended = started("--data", "postgresql://nobody@127.0.0.1:1/none")
    assert ended.returncode == 2
    assert len(ended.stderr.strip().splitlines()) == 1


def test_help_names_every_option_and_loads_nothing() -> None:
    ended = started("--help")
    assert ended.returncode == 0
    for option in ("--data", "--port", "--lan", "--public-url", "--demo", "judge"):
        assert option in ended.stdout
    seen = (
        "import sys\nfrom evaluation.__main__ import main\n"
        "try: main(['--help'])\nexcept SystemExit: pass\n"
        "print(sorted({n.split('.')[0] for n in sys.modules} & {'streamlit', 'sqlalchemy', 'numpy', 'scipy', 'pandas'}))"
    )
    loaded = subprocess.run([sys.executable, "-c", seen], capture_output=True, text=True, cwd=ROOT, check=True)
    assert loaded.stdout.splitlines()[-1] == "[]"


def test_it_starts_from_any_folder_and_keeps_the_data_in_the_users_own(tmp_path: Path) -> None:
    home = tmp_path / "home"
    with running(cwd=tmp_path, environment={"XDG_DATA_HOME": str(home), "HOME": str(home)}) as server:
        assert "Open http://localhost:" in server.said[0]
    file = home / "mouillette" / "mouillette.sqlite"
    assert file.is_file()
    assert file.with_name(file.name + ".secret").stat().st_mode & 0o777 == 0o600


def test_on_the_network_it_names_its_addresses_and_asks_everybody_for_the_passphrase(tmp_path: Path) -> None:
    with running("--data", str(tmp_path / "n.sqlite"), "--lan") as server, server.open() as tab:
        assert "/sign-in" in everything(tab.run())
        assert server.told("set-up code")


# --- colours ------------------------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, "relative luminance"."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, two: str) -> float:
    """Contrast ratio, WCAG 2.2, "contrast ratio"."""
    lighter, darker = sorted((luminance(one), luminance(two)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_reckoned_as_wcag_does() -> None:
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)  # WCAG 2.2: ratios range from 1 to 21
    assert contrast("#777777", "#FFFFFF") == pytest.approx(4.48, abs=0.01)  # WebAIM's well-known near miss


@pytest.mark.parametrize("ground", ["backgroundColor", "secondaryBackgroundColor"])
@pytest.mark.parametrize("name", ["LIGHT", "DARK"])
def test_every_text_colour_reaches_double_a(name: str, ground: str) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text."""
    from parts import palette

    colours = getattr(palette, name)
    texts = {key: value for key, value in colours.items() if key.endswith("TextColor") or key in SHOWN_AS_TEXT}
    assert len(texts) >= 10
    assert {
        key: contrast(value, colours[ground]) for key, value in texts.items() if contrast(value, colours[ground]) < 4.5
    } == {}


SHOWN_AS_TEXT = ("textColor", "primaryColor", "linkColor")


def test_the_demo_starts_with_its_scenario(tmp_path: Path) -> None:
    if importlib.util.find_spec("evaluation.demo") is None:
        pytest.skip("The demo scenario is not there yet.")
    with running("--demo", cwd=tmp_path) as server, server.open() as tab:
        tab.run()
        assert server.told("nothing is kept")
    assert list(tmp_path.iterdir()) == []
