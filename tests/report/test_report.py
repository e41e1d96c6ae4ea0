"""Reports: pages that fetch nothing, PDF read back with pypdf, and the same bytes from the app and the command line."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from evaluation.actions import bench, findings, solo, solo_slips
from evaluation.errors import StillBlind
from evaluation.report import command, composing, export, print_out, web_page
from tests import scenes
from tests.actions import test_solo as alone
from tests.report.test_export import packed, parts, played

ROOT = Path(__file__).resolve().parents[2]
FETCHING = {"src", "href", "srcset", "action", "formaction", "data", "poster", "xlink:href", "background"}


class Reader(HTMLParser):
    """What a page would fetch or run, its tags, and the text of its numbers."""

    def __init__(self, page: bytes) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.fetched: list[str] = []
        self.handlers: list[str] = []
        self.ids: list[str] = []
        self.feed(page.decode())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.fetched += [value or "" for name, value in attrs if name in FETCHING]
        self.handlers += [name for name, _ in attrs if name.startswith("on")]
        self.ids += [value or "" for name, value in attrs if name == "id"]


def numbers_in(page: bytes) -> str:
    return unescape(page.decode().split('<pre id="numbers">')[1].split("</pre>")[0])


@pytest.fixture
def session(notebook: Any) -> str:
    _, session_id = played(notebook, people=8, minutes=(5, 60), primary=300)
    return session_id


def test_the_page_fetches_and_runs_nothing(notebook: Any, session: str) -> None:
    page = web_page.page(composing.report(notebook, session))
    read = Reader(page)
    assert read.tags.count("svg") == 1
    assert not {"script", "img", "link", "iframe", "object", "embed", "base", "image"} & set(read.tags)
    assert [one for one in read.fetched if not one.startswith("#")] == []
    assert read.handlers == []
    assert b"@import" not in page
    assert page.count(b"url(") == page.count(b"url(#")
    assert len(read.ids) == len(set(read.ids))


def test_names_and_remarks_are_text_not_markup(notebook: Any) -> None:
    scene = scenes.scene(notebook)
    session = scene.smelling(title="<script>alert(1)</script> & co")
    for one in scenes.ballots(notebook, session.id):
        scenes.answer_all(notebook, one.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    page = web_page.page(composing.report(notebook, session.id))
    assert "script" not in Reader(page).tags
    assert b"&lt;script&gt;alert(1)&lt;/script&gt; &amp; co" in page


def test_the_page_says_what_a_reader_needs(notebook: Any, session: str) -> None:
    found = findings.findings(notebook, session)
    told = unescape(web_page.page(composing.report(notebook, session)).decode())
    for needed in (
        found.context.session.sealed_hash,
        found.context.last_hash,
        "every line stands as it was written",
        "ISO 4120:2004",
        "No deviation was noted.",
        "it speaks for",
        "Confirmed before sealing",
        "never added",
    ):
        assert needed in told, needed


def test_the_document_is_read_back(notebook: Any, session: str) -> None:
    made = print_out.document(composing.report(notebook, session))
    read = PdfReader(io.BytesIO(made))
    told = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    found = findings.findings(notebook, session)
    assert found.context.last_hash in told.replace(" ", "")
    assert "Trial 7 against trial 8" in told
    assert f"page {len(read.pages)} of {len(read.pages)}" in told
    fonts = [font for page in read.pages for font in _fonts(page)]
    assert fonts
    assert all(fonts)
    images = [name for page in read.pages for name in _images(page["/Resources"])]
    assert images == []  # charts are lines and letters, no picture of them
    assert "needed" in told  # a word that stands in the chart only
    assert sum(abs(float(page.mediabox.width) - 595) < 1 for page in read.pages) == len(read.pages)


def _fonts(page: Any) -> list[bool]:
    """Whether each font of a page carries its own program."""
    found = []
    for font in page["/Resources"]["/Font"].values():
        own = font.get_object()
        below = own["/DescendantFonts"][0].get_object() if "/DescendantFonts" in own else own
        described = below.get("/FontDescriptor")
        found.append(described is not None and bool({"/FontFile2", "/FontFile3", "/FontFile"} & described.keys()))
    return found


def _images(resources: Any) -> list[str]:
    """Raster images, also those inside forms."""
    found = []
    for name, entry in (resources.get("/XObject") or {}).items():
        one = entry.get_object()
        if one["/Subtype"] == "/Image":
            found.append(name)
        elif "/Resources" in one:
            found += _images(one["/Resources"])
    return found


# --- the same from the file alone -----------------------------------------------------------------------------------


def run(*words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-m", "evaluation", "report", *words],
        cwd=ROOT,
        env=os.environ | environment,
        capture_output=True,
        timeout=300,
    )


def test_the_command_line_gives_the_bytes_of_the_app(notebook: Any, session: str, tmp_path: Path) -> None:
    """Also elsewhere: another time zone, another locale, another seed of the hashes."""
    file, made, printed = (tmp_path / name for name in ("session.zip", "report.html", "report.pdf"))
    file.write_bytes(export.export(notebook, session))
    report = composing.report(notebook, session)
    elsewhere = {"TZ": "Pacific/Auckland", "LC_ALL": "C", "LANG": "C", "PYTHONHASHSEED": "77"}
    done = run(str(file), "--numbers", "--html", str(made), "--pdf", str(printed), **elsewhere)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout.decode() == report.numbers == numbers_in(web_page.page(report))
    assert made.read_bytes() == web_page.page(report)
    assert _told(printed.read_bytes()) == _told(print_out.document(report))


@pytest.mark.parametrize("look_every", [0, 4])
def test_a_session_alone_with_a_wrong_strip_gives_the_same_from_its_file(notebook: Any, look_every: int) -> None:
    """One set of three of a kind, one spoilt and made anew, one with the wrong code locked."""
    session_id, clock = (
        scenes.scene(notebook, people=1).sealed(**alone.TRIANGLE, look_every=look_every).id,
        notebook.clock,
    )
    person = alone.Person(5, alone.keen)
    solo.spoilt(notebook, session_id, 1, "fell on the floor")
    alone.play(notebook, session_id, person, clock, "put away")
    picked = solo_slips.slips(notebook, session_id).sets[0].serving_id
    bench.note_deviation(notebook, session_id, 1, "wrong code", "meant another", picked)
    alone.play(notebook, session_id, person, clock, "marks")
    person.orders[2] = "A?A"
    alone.play(notebook, session_id, person, clock)
    told = composing.report(notebook, session_id)
    with export.opened(export.export(notebook, session_id)) as copy:
        assert composing.report(copy.notebook, session_id).numbers == told.numbers
    page = web_page.page(told).decode()
    assert "1 set was a wrong strip, as marks read after the answers say." in page
    assert "no set of this kind" in page
    assert "The orders came from shuffling, not balanced" in page
    found = json.loads(told.numbers)["found"]["strip"]
    if look_every:
        assert (found["sequence"]["wrong_strips"], found["strays_wrong"]) == (1, [])
        assert "answered wrong towards “noticed”, answered right towards “not noticed”." in page
        return
    ways = [found[name][0] for name in ("entries", "strays_wrong", "strays_right", "as_meant")]
    assert [(one["correct"], one["assessments"]) for one in ways] == [(7, 7), (7, 8), (8, 8), (6, 6)]
    for said in ("Wrong strips answered wrong", "Wrong strips answered right", "another code was locked"):
        assert said in page


def _told(made: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(made)).pages]


def test_the_numbers_are_those_of_the_findings(notebook: Any, session: str) -> None:
    found = findings.findings(notebook, session)
    told = json.loads(composing.report(notebook, session).numbers)
    assert told["last_hash"] == found.context.last_hash
    assert [one["p_value"] for one in told["found"]["strip"]["entries"]] == [
        one.p_value for one in found.found[0].entries
    ]
    assert [one["verdict"] for one in told["found"]["strip"]["entries"]] == [
        one.verdict for one in found.found[0].entries
    ]


def test_an_altered_file_is_refused_in_one_sentence(
    notebook: Any, session: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    members = parts(export.export(notebook, session))
    members["session.json"] = (
        members["session.json"]
        .replace(b'"value":"sure"', b'"value":"guess"')
        .replace(b'"value":"guess"', b'"value":"sure"', 1)
    )
    file = tmp_path / "altered.zip"
    file.write_bytes(packed(members))
    assert command.main([str(file)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "altered" in said.err


@pytest.mark.parametrize("words", [["nowhere.zip"], [], ["a.zip", "--nonsense"], [__file__]])
def test_what_cannot_be_used_is_said_in_one_sentence(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert command.main(words) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1


def test_there_is_no_report_before_opening(notebook: Any) -> None:
    with pytest.raises(StillBlind):
        composing.report(notebook, scenes.scene(notebook).smelling().id)


@pytest.mark.parametrize(
    "changes",
    [
        {"method": "preference", "confirmed": (), "minutes": (5, 60), "primary": "overall"},
        {"replicates": 4, "look_every": 8},
        {"null_sets": 1},
    ],
    ids=["preference", "looks", "null sets"],
)
def test_every_kind_of_session_is_set(notebook: Any, changes: dict[str, Any]) -> None:
    _, session_id = played(notebook, **changes)
    report = composing.report(notebook, session_id)
    assert Reader(web_page.page(report)).tags.count("svg") == 1
    assert len(PdfReader(io.BytesIO(print_out.document(report))).pages) >= 2
