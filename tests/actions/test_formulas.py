"""Formulas in the trial book: entered, refused by cell, copied from the parent, held fast, and told to nobody else."""

from __future__ import annotations

import io
import logging
import re
import zipfile
from decimal import Decimal
from typing import Any

import pytest
from pypdf import PdfReader

from evaluation.actions import ballot, bench, book, bottle_book, findings, formulas, skin
from evaluation.actions.skin_gate import gate_of
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import RAISED, read_lines
from evaluation.report import brief, composing, export, print_out, web_page
from tests.rooms import ROOT
from tests.scenes import Scene, answer_all, ballots, scene

TEXT = "Zzyx marker oil; 4\nQwop marker resin; 6; 10; lot-marker-77; Vexing accord\nCarrier; 90"


def entered(made: Scene, text: str = TEXT, trial: int = 0, out_of: Any = Decimal(100)) -> Any:
    return formulas.write(made.notebook, made.trial_ids[trial], read_lines(text), out_of, new_materials=True)


@pytest.fixture
def made(notebook: Any) -> Scene:
    return scene(notebook)


def test_an_unknown_name_is_refused_and_nothing_is_stored(made: Scene) -> None:
    typed = read_lines(TEXT)
    with pytest.raises(ArgumentError, match=r"^line 1, column 1 \(material\): 'Zzyx marker oil' is not among"):
        formulas.write(made.notebook, made.trial_ids[0], typed)
    assert formulas.unknown(made.notebook, typed) == ("Zzyx marker oil", "Qwop marker resin", "Carrier")
    assert skin.materials(made.notebook) == ()
    assert formulas.formula(made.notebook, made.trial_ids[0]) is None


def test_a_bad_line_stores_neither_formula_nor_new_materials(made: Scene) -> None:
    with pytest.raises(ArgumentError, match=r"^line 2, column 3 \(stock\)"):
        entered(made, "Fig; 4\nCedar; 2; 200")
    assert skin.materials(made.notebook) == ()
    before = entered(made)
    with pytest.raises(ArgumentError, match="line 1"):
        entered(made, "Fig; none")
    assert formulas.formula(made.notebook, made.trial_ids[0]) == before


def test_materials_of_the_book_are_those_of_the_skin_gate(made: Scene) -> None:
    entered(made)
    named = [one.name for one in skin.materials(made.notebook)]
    assert named == ["Carrier", "Qwop marker resin", "Zzyx marker oil"]
    assert [one.material.name for one in skin.lines(made.notebook, made.trial_ids[0])] == [
        "Zzyx marker oil",
        "Qwop marker resin",
        "Carrier",
    ]
    entered(made, "zzyx  MARKER oil; 1\nCarrier; 99", trial=1)  # no second material
    assert [one.name for one in skin.materials(made.notebook)] == named


def test_it_starts_from_the_nearest_trial_it_was_made_from(made: Scene) -> None:
    notebook, (first, second) = made.notebook, made.trial_ids
    book.change_trial(notebook, second, parent_id=first)
    third = book.add_trial(notebook, made.brief_id, "third", second)
    assert formulas.start_from(notebook, third.id) is None
    written = entered(made)
    start = formulas.start_from(notebook, third.id)
    assert start is not None
    assert (start[0].id, start[1]) == (first, written)
    assert formulas.formula(notebook, third.id) is None  # offered, not kept
    assert formulas.start_from(notebook, first) is None


def test_the_change_between_two(made: Scene) -> None:
    assert formulas.between(made.notebook, *made.trial_ids) is None
    entered(made)
    assert formulas.between(made.notebook, *made.trial_ids) is None
    entered(made, TEXT.replace("oil; 4", "oil; 6").replace("90", "88"), trial=1)
    carrier = next(one for one in skin.materials(made.notebook) if one.name == "Carrier")
    skin.change_material(made.notebook, carrier.id, solvent=True)
    found = formulas.between(made.notebook, *made.trial_ids)
    assert found is not None
    assert [(one.kind, one.materials[0].name, one.ratio) for one in found.changes] == [
        (RAISED, "Zzyx marker oil", Decimal("1.5"))
    ]
    pair = made.trial_ids
    assert formulas.between_all(made.notebook, [pair, pair, (pair[0], "none")]) == {pair: found}


def test_a_sealed_session_holds_a_formula_fast_but_takes_a_late_one(made: Scene) -> None:
    entered(made)
    made.sealed()
    assert entered(made).lines  # the same again changes nothing
    with pytest.raises(StateError, match="is in a sealed session: its formula stays"):
        entered(made, "Carrier; 100")
    with pytest.raises(StateError, match="is in a sealed session"):
        formulas.remove(made.notebook, made.trial_ids[0])
    assert entered(made, "Carrier; 100", trial=1).lines  # of the other nobody had entered one
    with pytest.raises(StateError, match="is in a sealed session"):
        entered(made, "Carrier; 99", trial=1)


def test_skin_wants_to_know_what_the_parts_add_up_to(made: Scene) -> None:
    def told() -> list[str]:
        found = gate_of(made.notebook, made.trial_ids[0], [], "UTC")
        return [one.told for one in found.blocks if one.kind == "formula"]

    assert "no formula lines" in told()[0]
    entered(made, out_of=None)
    assert "Nobody said what the parts" in told()[0]
    entered(made, out_of=Decimal(200))
    assert "add up to 50 %" in told()[0]
    entered(made)
    assert told() == []


# --- nobody else is told ----------------------------------------------------------------------------------------------

MARKERS = ("Zzyx", "Qwop", "lot-marker-77", "Vexing")


def test_no_log_report_or_export_carries_a_formula(
    made: Scene, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str]
) -> None:
    caplog.set_level(logging.DEBUG)
    entered(made)
    entered(made, TEXT.replace("4", "5"), trial=1)
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], lots="Zzyx, lot-marker-77")
    session = made.smelling()
    seen: list[str] = []
    for one in ballots(made.notebook, session.id):
        if one.panelist_id is not None:
            seen.append(repr(ballot.view(made.notebook, one.id)))
            answer_all(made.notebook, one.id)
            seen.append(repr(ballot.view(made.notebook, one.id)))
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    packed = export.export(made.notebook, session.id)
    with zipfile.ZipFile(io.BytesIO(packed)) as members:
        seen += [members.read(name).decode("utf-8", "replace") for name in members.namelist()]
    seen += _reports(made.notebook, session.id)
    with made.notebook.reading() as tx:
        seen += [*map(repr, tx.log.records(session.id)), *tx.log.texts(session.id).values()]
    out = capsys.readouterr()
    seen += [caplog.text, out.out, out.err]
    assert len(seen) > 20
    assert [one for one in MARKERS if any(one in each for each in seen)] == []
    assert "Zzyx" in repr(formulas.formula(made.notebook, made.trial_ids[0]))  # the marker is where it belongs


def _reports(notebook: Any, session_id: str) -> list[str]:
    """The session’s report and that of its brief, as page, text of the PDF and numbers."""
    made = composing.report(notebook, session_id)
    with notebook.reading() as tx:
        brief_id = tx.sittings.session(session_id).plan.brief_id
    listed = [web_page.page(made).decode(), made.numbers, web_page.page(brief.report(notebook, brief_id)).decode()]
    for one in (made, brief.report(notebook, brief_id)):
        pages = PdfReader(io.BytesIO(print_out.document(one))).pages
        listed += [page.extract_text() for page in pages]
    return listed


def test_only_the_conductors_screens_ask_for_formulas() -> None:
    """By import: neither sheets, findings nor the ballot know the action or the words, and of reports only the parts
    that tell formulas where they were ticked."""
    known = {
        str(path.relative_to(ROOT))
        for folder in ("evaluation", "pages")
        for path in (ROOT / folder).rglob("*.py")
        if re.search(
            r"actions import (.*, )?(formulas|pins)\b|of_formulas|tx\.formulas|book import .*made_of|"
            r"(foreseen|pinned)_lines",  # a report counts changes by handed_on and counted_lines
            path.read_text("utf-8"),
        )
    }
    assert known == {
        "evaluation/actions/formulas.py",
        "evaluation/actions/pins.py",
        "evaluation/actions/learnt.py",
        "evaluation/actions/separating.py",
        "evaluation/actions/tracing.py",
        "evaluation/wording/of_pinning.py",
        "evaluation/wording/of_taught.py",
        "evaluation/actions/descent.py",
        "evaluation/actions/shared_trials.py",
        "evaluation/report/export.py",
        "evaluation/report/ticked_formulas.py",
        "evaluation/report/packed_formulas.py",
        "evaluation/wording/of_lineages.py",
        "pages/briefs.py",
        "pages/parts/book/change_told.py",
        "pages/parts/book/made_of.py",
        "pages/parts/book/pinned_on.py",
        "pages/parts/separate/asked.py",
        "pages/parts/separate/proposed.py",
        "pages/separate.py",
    }
