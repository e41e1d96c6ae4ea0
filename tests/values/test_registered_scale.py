"""Scales that only tests know are put on a brief, planned, answered by tap and by paper, printed, found and told.

Each number is counted by hand from the rule by which the people answer.
"""

from __future__ import annotations

import ast
import io
import json
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from evaluation.actions import aims, ballot, bench, paper, paper_reading
from evaluation.actions import plan as planning
from evaluation.actions import seal as sealing
from evaluation.actions.findings import open_session
from evaluation.actions.profile_findings import ProfileFindings, profile_findings
from evaluation.counting.profiles import COUNTED, curves
from evaluation.errors import ArgumentError
from evaluation.planning.prospects import prospect_of
from evaluation.report import composing, export, numbers, web_page
from evaluation.serving.asking import RATE
from evaluation.sheets.printing import Wish, open_sheet
from evaluation.tables import results
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import POINTS, Scale, Step, counted_families, scale_names, scale_of, scales
from evaluation.wording import of_profiles
from evaluation.wording.of_profiles import COUNTS, SCALES
from tests import scenes
from tests.new_scales import NEW, STEPS, new_scales, rated
from tests.rooms import SOURCES

PEOPLE = 8
WORDS = ("line", "category", "check", "level")


@pytest.fixture(autouse=True)
def known() -> Iterator[None]:
    with new_scales():
        yield


def rate(seat: int, letter: str, serving: Any, word: str) -> str:
    """Trial 8 is two steps drier for all; six find moss in it only, one is unsure; it is wood to half of them."""
    if word == "dry":
        return STEPS[3 if letter == "B" else 1]
    if word == "mossy":
        return "unsure" if seat == 1 else "yes" if letter == "B" and seat <= 7 else "no"
    return "flower" if letter == "A" else "wood" if seat <= 4 else "other"


@pytest.fixture
def smelling(notebook: Any) -> Any:
    """A profile planned with the words of its brief."""
    here = scenes.scene(notebook, PEOPLE)
    aims.save_descriptors(notebook, here.brief_id, rated())
    listed = aims.descriptors(notebook, here.brief_id)
    assert listed == rated()
    plan = here.plan(method="profile", descriptors=listed, asks_strength=False)
    assert prospect_of(plan).rows == 1  # of two trials at one age, only what is rated in points
    return bench.start(notebook, sealing.seal(notebook, planning.add_draft(notebook, plan).id, scenes.SEED).id)


def opened(notebook: Any, session_id: str) -> ProfileFindings:
    bench.close(notebook, session_id)
    open_session(notebook, session_id)
    return profile_findings(notebook, session_id)


@pytest.fixture
def found(notebook: Any, smelling: Any) -> ProfileFindings:
    scenes.answer_profile(notebook, smelling.id, rate)
    return opened(notebook, smelling.id)


def test_what_is_tapped_must_be_an_answer_of_the_scale(notebook: Any, smelling: Any) -> None:
    view = ballot.view(notebook, scenes.ballots(notebook, smelling.id)[0].id)
    assert [asked.name for asked in view.screen] == [RATE + one.name for one in rated()]
    dry, mossy, nearest = view.screen
    assert dry.options == (*STEPS, "not smelt", "skip")
    assert mossy.options == ("no", "yes", "unsure", "skip")
    assert ballot.checked_value(nearest, "wood") == "wood"
    for asked, wrong in ((dry, "2.5"), (mossy, "not smelt"), (nearest, "leaf")):
        with pytest.raises(ArgumentError, match=r"^Choose one of: "):
            ballot.checked_value(asked, wrong)


def test_what_is_typed_from_paper_is_the_place_of_a_step_or_its_own_letter(notebook: Any, smelling: Any) -> None:
    card = paper.cards(notebook, smelling.id)[0]
    assert [paper_reading.how(asked) for asked in card.open] == [
        "type one of 1 (none), 2 (slight), 3 (medium), 4 (strong), 5 (very strong), n (not smelt), s (skip)",
        "type one of n (no), y (yes), u (unsure), s (skip)",
        "type one of 1 (flower), 2 (wood), 3 (other), n (not smelt), s (skip)",
    ]
    with pytest.raises(ArgumentError, match="answer to “rate dry” cannot be '6'"):
        paper.enter(notebook, smelling.id, card.label, "6 y 1")
    paper.enter(notebook, smelling.id, card.label, "4 u n")
    with notebook.reading() as tx:
        stored = [(one.question, one.value) for one in tx.ballots.session_answers(smelling.id)]
    assert stored == [("rate dry", "strong"), ("rate mossy", "unsure"), ("rate nearest", "not smelt")]


@pytest.mark.parametrize("form", ["html", "pdf"])
def test_the_card_shows_each_step(notebook: Any, smelling: Any, form: str) -> None:
    sheet = open_sheet(notebook, smelling.id, "ballots", Wish(form=form)).content
    if form == "pdf":
        pypdf = pytest.importorskip("pypdf", reason="pypdf reads the printed card back")
        text = pypdf.PdfReader(io.BytesIO(sheet)).pages[0].extract_text()
    else:
        text = sheet.decode()
    assert [word for word in (*STEPS, "unsure", "flower", "Dry", "Mossy") if word not in text] == []


def test_points_are_compared_and_drawn_by_the_numbers_of_the_steps(found: ProfileFindings) -> None:
    (part,) = found.found
    table = part.differences.table
    assert list(table["descriptor"]) == ["dry"]
    # from slight (2.5) to strong (7.5), all eight alike: 2 of 2^8 patterns of signs
    assert (table["difference"][0], table["p_value"][0]) == (5.0, 2 / 2**8)
    assert part.words(POINTS) == ("dry",)
    assert dict(curves(part, ("dry",)).means.set_index("trial")["mean"]) == {"7": 2.5, "8": 7.5}
    assert "Trial 8 is more dry than trial 7" in of_profiles.summary_lines(part)[0]


def test_what_is_no_point_is_counted_in_its_family_and_what_is_no_number_apart(found: ProfileFindings) -> None:
    (part,) = found.found
    assert list(part.counted) == ["checked", "likeness"]
    (pair,) = part.counted["checked"].pairs
    # whoever was unsure says neither: six of the other seven find it in trial 8 only, exact McNemar
    assert (pair.panelists, pair.first_only, pair.second_only, pair.p_value) == (7, 0, 6, 2 * 0.5**6)
    (came,) = part.came
    assert (came.ratings, came.not_smelt, came.skipped, came.apart) == (3 * 16 - 2, 0, 0, (("unsure", 2),))
    assert of_profiles.came_line(came).endswith("46 answers, 0 “not smelt”, 0 skipped, 2 “unsure”.")
    assert "“Not smelt”, “unsure” and skipped answers are missing, never 0; people seldom miss at random." in (
        of_profiles.caveats(part)
    )
    words = COUNTS.of("likeness")
    assert sorted(words.lines(part.counted["likeness"], part.alpha)) == [
        "nearest of trial 7: 8 said flower.",
        "nearest of trial 8: 4 said other.",
        "nearest of trial 8: 4 said wood.",
    ]
    assert results.counted("likeness", part)["people"].tolist() == [8, 4, 4]


def test_the_sealed_plan_and_the_report_tell_it(notebook: Any, smelling: Any, found: ProfileFindings) -> None:
    text = repr(composing.report(notebook, smelling.id))
    told = ("Rated in five steps: dry.", "Rated as yes, no or unsure: mossy.", "Likeness", "2 “unsure”", "dry")
    assert [one for one in told if one not in text] == []
    page = web_page.page(composing.report(notebook, smelling.id)).decode()
    assert "What moved, on strip" in page
    assert "Words to check" in page


def test_the_export_gives_the_same_numbers(notebook: Any, smelling: Any, found: ProfileFindings) -> None:
    told = numbers.of_profile(found)
    (part,) = json.loads(told)["found"].values()
    assert part["came"][0]["apart"] == [["unsure", 2]]
    assert [row["people"] for row in part["likeness"]] == [8, 4, 4]
    assert part["levels"] is None  # a file names what was always counted, asked or not
    with export.opened(export.export(notebook, smelling.id)) as copy:
        assert numbers.of_profile(profile_findings(copy.notebook, copy.session_id)) == told


def test_a_file_made_before_is_spelt_as_it_was(notebook: Any) -> None:
    here = scenes.scene(notebook, PEOPLE)
    session = here.smelling(method="profile")
    scenes.answer_profile(notebook, session.id, lambda *_: "5.0")
    (part,) = json.loads(numbers.of_profile(opened(notebook, session.id)))["found"].values()
    assert "apart" not in part["came"][0]
    assert (part["checked"], part["levels"], "likeness" in part) == (None, None, False)


# --- the table itself ---------------------------------------------------------------------------------------------------


def test_every_scale_has_its_rows() -> None:
    for scale in scales():
        assert SCALES.of(scale.name).how
    for family in counted_families():
        assert COUNTED.of(family)
        assert COUNTS.of(family)
    assert of_profiles.what_is_tested() == (
        "Differences are tested on lines, numbers and steps; ticks, levels, answers and likenesses are counted."
    )
    files = [COUNTS.of(family).file for family in counted_families()]
    assert len(set(files)) == len(files)


def test_no_other_scale_is_read() -> None:
    for name in (None, "", "Line", "choice", 3):
        with pytest.raises(ArgumentError, match=r"^scale must be one of 'line', 'category', 'check', 'level', 'five'"):
            scale_of(name)  # type: ignore[arg-type]
    wrong: Any = "six"
    with pytest.raises(ArgumentError, match=r"^scale must be one of"):
        Descriptor("woody", wrong)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"steps": NEW[0].steps[:1]}, "two or more"),
        ({"control": "line"}, "none on a line"),
        ({"steps": (Step("a", 0.0), Step("a", 1.0))}, "must differ"),
        ({"steps": (Step("a", 0.0, "s"), Step("b", 1.0))}, "must differ"),  # s is what is typed for "skip"
        ({"steps": (Step("a", 0.0, "2 3"), Step("b", 1.0))}, "a word each"),
        ({"steps": (Step("a", 0.0), Step("b", 11.0))}, "points from 0 to 10"),
        ({"outs": ("away",)}, "must be known"),
        ({"untouched": "away"}, "one of its answers"),
    ],
)
def test_a_scale_that_cannot_be_answered_is_refused(change: dict[str, Any], said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        replace(NEW[0], **change)


def test_a_scale_is_taken_once_and_nothing_stays_of_it() -> None:
    with pytest.raises(ArgumentError, match="five is taken"), new_scales():
        pass
    assert scale_names() == (*WORDS, "five", "unsure", "likeness")
    assert isinstance(scale_of("likeness"), Scale)


def _scales_told_apart(source: str) -> list[int]:
    """Lines on which something is held against the name of a scale of the house."""

    def named(node: ast.AST) -> bool:
        whole = node.elts if isinstance(node, ast.Tuple | ast.Set | ast.List) else [node]
        return any(isinstance(one, ast.Constant) and one.value in WORDS for one in whole)

    def asked(node: ast.AST) -> bool:
        return isinstance(node, ast.Attribute) and node.attr in ("scale", "kind")

    compared = [one for one in ast.walk(ast.parse(source)) if isinstance(one, ast.Compare)]
    return [one.lineno for one in compared if asked(one.left) and any(map(named, one.comparators))]


def test_nobody_tells_scales_apart_by_their_names() -> None:
    told = {name: path.read_text(encoding="utf-8") for name, path in SOURCES.items()}
    found = {name: _scales_told_apart(text) for name, text in told.items() if any(f'"{one}"' in text for one in WORDS)}
    assert {name: lines for name, lines in found.items() if lines} == {}
    assert _scales_told_apart('a.scale in ("line", "category")\nif q.kind == "check": pass') == [1, 2]
