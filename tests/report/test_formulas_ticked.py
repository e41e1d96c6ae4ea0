"""Formulas go into a report, or the file of everything, only where they were ticked for it, and the file says so."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from evaluation.actions import findings, formulas
from evaluation.actions.skin import change_material, materials
from evaluation.clock import SteppedClock
from evaluation.errors import StoreError
from evaluation.formulas import table_of
from evaluation.ground.canonical import canonical
from evaluation.report import brief, command, composing, export, packed_formulas, print_out, ticked_formulas, web_page
from evaluation.report.blocks import Report
from evaluation.store import Notebook
from tests.actions.test_decide import preferred
from tests.actions.test_formulas import MARKERS, TEXT, entered
from tests.report.test_export import parts
from tests.scenes import Scene, scene

# Beside the markers an accord in an accord, and a lot that no separator may take apart
NESTED = f'{TEXT}\nVexing accord; 6;;;Outer\nFern; 2,5; 50; "L; 7";Outer'


@pytest.fixture(scope="module")
def opened() -> Iterator[tuple[Scene, str]]:
    """Two trials with formulas, 4 to 6 parts of one material; a preference between them was opened. Only read."""
    notebook = Notebook.open(None, SteppedClock(step=1))
    made = scene(notebook)
    entered(made, NESTED, out_of=None)
    entered(made, NESTED.replace("oil; 4", "oil; 6").replace("90", "88"), trial=1, out_of=None)
    carrier = next(one for one in materials(notebook) if one.name == "Carrier")
    change_material(notebook, carrier.id, solvent=True)
    session = preferred(made)
    findings.open_session(notebook, session.id)
    yield made, session.id
    notebook.close()


def told(report: Report) -> list[str]:
    """The page, and the text of the PDF, both without blanks: narrow columns of paper break words."""
    pages = PdfReader(io.BytesIO(print_out.document(report))).pages
    printed = "".join(page.extract_text() for page in pages)
    return ["".join(text.split()) for text in (web_page.page(report).decode(), printed)]


def rewritten(data: bytes, formulas_told: Any) -> bytes:
    """The file with other formulas in it, its digests right."""
    members = parts(data) | {"formulas.json": canonical(formulas_told)}
    about = json.loads(members["manifest.json"])["value"]
    about["sha256"]["formulas.json"] = sha256(members["formulas.json"]).hexdigest()
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as packed:
        for name, content in (members | {"manifest.json": canonical(about)}).items():
            packed.writestr(name, content)
    return made.getvalue()


def test_a_ticked_report_tells_formulas_and_changes_and_says_so(opened: tuple[Scene, str]) -> None:
    made, session_id = opened
    for report in (
        composing.report(made.notebook, session_id, formulas=True),
        brief.report(made.notebook, made.brief_id, formulas=True),
    ):
        for text in told(report):
            assert all(one in text for one in MARKERS)
            assert "Zzyxmarkeroilraisedto1.5times:4to6parts." in text
            assert text.index("Thisfilecarriesformulas") < text.index("Zzyx")
        assert not any(one in report.numbers for one in MARKERS)


def test_without_the_tick_nothing_of_it_is_there(opened: tuple[Scene, str]) -> None:
    made, session_id = opened
    reports = (composing.report(made.notebook, session_id), brief.report(made.notebook, made.brief_id))
    texts = [text for report in reports for text in told(report)]
    texts += [data.decode("utf-8", "replace") for data in parts(export.export(made.notebook, session_id)).values()]
    assert not [one for one in (*MARKERS, "carries formulas", "carriesformulas") if any(one in text for text in texts)]


def test_where_the_book_has_no_formula_a_ticked_report_says_that(notebook: Any) -> None:
    page = web_page.page(brief.report(notebook, scene(notebook).brief_id, formulas=True)).decode()
    assert ticked_formulas.CARRIES_NONE in page
    assert "This file carries formulas" not in page


def test_the_file_of_everything_carries_them_there_and_back(opened: tuple[Scene, str]) -> None:
    made, session_id = opened
    data = export.export(made.notebook, session_id, formulas=True)
    members = parts(data)
    assert json.loads(members["manifest.json"])["value"]["formulas"] == packed_formulas.CARRIES
    plain = parts(export.export(made.notebook, session_id))
    assert members.keys() - plain.keys() == {"formulas.json"}
    assert {name: members[name] for name in ("session.json", "answers.csv", "log.csv")} == {
        name: plain[name] for name in ("session.json", "answers.csv", "log.csv")
    }
    with export.opened(data) as copy:
        assert copy.formulas
        for there, here in zip(*(_cells(one, made.trial_ids) for one in (copy.notebook, made.notebook)), strict=True):
            assert there == here
        again = composing.report(copy.notebook, copy.session_id, formulas=True)
        assert web_page.page(again) == web_page.page(composing.report(made.notebook, session_id, formulas=True))
        assert export.export(copy.notebook, copy.session_id, formulas=True) == data
        assert export.export(copy.notebook, copy.session_id) == export.export(made.notebook, session_id)


def _cells(notebook: Any, trial_ids: Sequence[str]) -> list[Any]:
    """Every formula as it is typed, and the names of its solvents."""
    found = formulas.of_trials(notebook, trial_ids)
    solvents = sorted({line.material.name for one in found.values() for line in one.lines if line.material.solvent})
    return [*((one, table_of(found[one]), found[one].out_of) for one in trial_ids), solvents]


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"trials": {"another": {"out_of": "", "lines": [["Fig", "4", "", "", ""]]}}}, "none the program wrote"),
        ({"solvents": "Carrier", "more": 1}, "none the program wrote"),
        ({"cells": ["Fig", "four", "", "", ""]}, "line 1, column 2 (parts) must be a number"),
        ({"cells": ["Fig", 4, "", "", ""]}, "none the program wrote"),
        ({"cells": ["Fig", "4"]}, "none the program wrote"),
        ({"out_of": "1e999"}, "none the program wrote"),
    ],
)
def test_formulas_altered_in_the_file_are_refused(
    opened: tuple[Scene, str], change: Mapping[str, Any], sentence: str
) -> None:
    made, session_id = opened
    data = export.export(made.notebook, session_id, formulas=True)
    given = json.loads(parts(data)["formulas.json"])["value"]
    one = given["trials"][made.trial_ids[0]]
    one["lines"] = [change["cells"]] if "cells" in change else one["lines"]
    one["out_of"] = change.get("out_of", one["out_of"])
    given |= {name: value for name, value in change.items() if name not in ("cells", "out_of")}
    with pytest.raises(StoreError) as refused, export.opened(rewritten(data, given)):
        pass
    assert sentence in str(refused.value)
    assert str(refused.value).startswith("The file was altered")


def test_bytes_of_the_formulas_are_under_the_digests(opened: tuple[Scene, str]) -> None:
    made, session_id = opened
    members = parts(export.export(made.notebook, session_id, formulas=True))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as packed:
        for name, content in members.items():
            packed.writestr(name, content.replace(b'"4"', b'"5"') if name == "formulas.json" else content)
    with pytest.raises(StoreError, match="was altered or is damaged"), export.opened(out.getvalue()):
        pass


def test_the_command_tells_them_only_where_asked_and_carried(
    opened: tuple[Scene, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    made, session_id = opened
    bare, ticked, page = (tmp_path / name for name in ("bare.zip", "ticked.zip", "report.html"))
    bare.write_bytes(export.export(made.notebook, session_id))
    ticked.write_bytes(export.export(made.notebook, session_id, formulas=True))
    assert command.main([str(ticked), "--html", str(page)]) == 0
    assert not any(one in page.read_text("utf-8") for one in MARKERS)
    page.unlink()
    assert command.main([str(bare), "--html", str(page), "--formulas"]) == 2
    assert "--formulas needs a file that carries formulas" in capsys.readouterr().err
    assert not page.exists()
    assert command.main([str(ticked), "--html", str(page), "--formulas"]) == 0
    assert page.read_bytes() == web_page.page(composing.report(made.notebook, session_id, formulas=True))
