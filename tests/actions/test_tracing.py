"""Tracing an off-note from the formula to the decision: bottles, sealed series, sittings, who stands out, what is saved.

Expected numbers are worked by hand beside each case; evidence by the definition of the issue's formula.
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from evaluation.actions import bench, book, decide, findings, formulas, series_sittings, skin, tracing
from evaluation.actions.tracing import Asked
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import Formula, Line, Material, opened, read_lines, total
from evaluation.formulas.separated import own_solvent
from evaluation.formulas.without import without
from evaluation.judging.suspecting import NOBODY, SEARCHING, STANDS_OUT, Suspected, fewest_right, next_suspect
from evaluation.report import brief as brief_report
from evaluation.report import composing, export
from evaluation.series import OffNote
from evaluation.sessions import StripAge
from evaluation.sheets import printing
from evaluation.sheets.pieces import Text
from evaluation.sheets.printing import Wish
from evaluation.wording import of_suspects
from evaluation.wording.of_evidence import gap_words
from tests import scenes

FORMULA = "Cedar oil; 20\nBirch tar; 2; 10\nFig base; 30\nCarrier; 48"


def made(notebook: Any, people: int = 6) -> tuple[scenes.Scene, dict[str, str]]:
    """Trial 7 of the scene with a formula, its solvent marked, and its materials by name."""
    scene = scenes.scene(notebook, people)
    formulas.write(notebook, scene.trial_ids[0], read_lines(FORMULA), Decimal(100), new_materials=True)
    named = {one.name: one.id for one in skin.materials(notebook)}
    skin.change_material(notebook, named["Carrier"], solvent=True)
    return scene, named


def asked(scene: scenes.Scene, **changes: Any) -> Asked:
    fields: dict[str, Any] = {"note": "rubbery", "people": scene.panelist_ids, "age": StripAge(1800, 180), "sets": 2}
    return Asked(**fields | changes)


def smelt(notebook: Any, session: Any, right: float) -> None:
    """A sitting answered by rule: so large a share of each person's sets finds the note in the whole trial."""
    orders = dict(scenes.key_of(notebook, session.id).orders)
    bench.start(notebook, session.id)
    count = 0
    for one in scenes.ballots(notebook, session.id):

        def how(question: Any) -> str:
            nonlocal count
            if question.name != "choice":
                return scenes.first_option(question)
            count += 1
            whole = question.codes[orders[question.serving_id].index("A")]
            other = next(code for code in question.codes if code != whole)
            return whole if (count * right) % 1 < right else other

        scenes.answer_all(notebook, one.id, how)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)


def test_without_a_material_every_other_share_stays() -> None:
    """By hand: 2 parts of 100 go, 2 parts of carrier come; in an accord too, and no other line moves."""
    tar, cedar, carrier = (Material(n, n, solvent=n == "carrier") for n in ("tar", "cedar", "carrier"))
    whole = Formula((Line(tar, Decimal(2), Decimal(10)), Line(cedar, Decimal(50)), Line(carrier, Decimal(48))))
    bare = without(whole, "tar", carrier)
    assert own_solvent(whole) == carrier
    assert total(bare) == total(whole) == 100
    shares = {one.line.material.id: one.share for one in opened(bare) if one.line.material.id == "cedar"}
    assert shares == {"cedar": Fraction(1, 2)}
    assert [(one.material.id, one.parts, one.stock_percent) for one in bare.lines] == [
        ("cedar", 50, 100),
        ("carrier", 50, 100),
    ]
    with pytest.raises(ArgumentError, match="solvent must be one that is marked"):
        without(whole, "tar", cedar)
    with pytest.raises(ArgumentError, match="material must be one of the formula"):
        without(whole, "rose", carrier)


def test_the_bottles_are_written_once(notebook: Any) -> None:
    scene, named = made(notebook)
    whole = scene.trial_ids[0]
    listed = tracing.suspectable(notebook, whole)
    assert [(one.material.name, one.share, one.bottle) for one in listed] == [
        ("Fig base", Fraction(3, 10), None),
        ("Cedar oil", Fraction(1, 5), None),
        ("Birch tar", Fraction(1, 50), None),
    ]
    first = tracing.write_bottles(notebook, whole, [named["Birch tar"], named["Cedar oil"]])
    again = tracing.write_bottles(notebook, whole, [named["Birch tar"], named["Cedar oil"]])
    assert first == again
    tar = first[named["Birch tar"]]
    assert (tar.label, tar.parent_id, tar.strength_percent) == ("7 − Birch tar", whole, Decimal(10))
    between = formulas.between(notebook, whole, tar.id)
    assert between is not None
    assert [(one.kind, one.materials[0].name) for one in between.changes] == [("removed", "Birch tar")]


def test_where_a_name_is_too_long_the_whole_is_cut_and_never_the_suspect(notebook: Any) -> None:
    scene, named = made(notebook)
    long = "1 with Bergamot oil, Pink pepper oil (4)"
    book.change_trial(notebook, scene.trial_ids[0], label=long)
    wanted = [named["Cedar oil"], named["Birch tar"]]
    first, second = tracing.write_bottles(notebook, scene.trial_ids[0], wanted).values()
    assert (first.label, second.label) == (  # 40 letters at most, counted by hand
        "1 with Bergamot oil, Pink p… − Cedar oil",
        "1 with Bergamot oil, Pink p… − Birch tar",
    )
    taken = {first.label}
    again = tracing.bottle_label(long, "Cedar oil", taken)
    assert (again, len(again)) == ("1 with Bergamot oil, Pi… − Cedar oil (2)", 40)
    material = "Absolute of a very long name from a far away land"
    told = tracing.bottle_label("cedar", material, ())
    assert (told, len(told)) == ("ced… − Absolute of a very long name fro…", 40)


def test_one_sheet_weighs_the_whole_and_every_bottle(notebook: Any) -> None:
    """By hand, 100 g each: all three share 30 fig, 48 carrier and nothing of the suspects; 10 % spare in the beaker."""
    scene, named = made(notebook)
    wanted = [named["Cedar oil"], named["Birch tar"]]
    sealed = tracing.seal_trace(notebook, scene.trial_ids[0], wanted, asked(scene))
    listed = tracing.to_weigh(notebook, sealed.id).bottles
    assert [(name, holds) for name, holds, _ in listed] == [
        ("trial 7", "the whole trial"),
        ("trial 7 − Cedar oil", "the whole without Cedar oil"),
        ("trial 7 − Birch tar", "the whole without Birch tar"),
    ]
    sheet = printing.trace_sheet(notebook, sealed.id, Wish(form="html"), Decimal(100), Decimal("0.001"))
    text = sheet.content.decode()
    for grams in ("99.000", "158.400"):  # 3 × 30 × 1.1 and 3 × 48 × 1.1
        assert grams in text
    assert "In the trial book, for each trial, write down the day they were mixed" in text
    assert "Separate changes" not in text
    assert printing.trace_sheet(notebook, sealed.id, Wish(), Decimal(100), Decimal("0.001")).content[:4] == b"%PDF"


def test_what_is_not_written_down_of_the_next_bottles_is_told(notebook: Any) -> None:
    scene, named = made(notebook)
    wanted = [named["Cedar oil"], named["Birch tar"]]
    sealed = tracing.seal_trace(notebook, scene.trial_ids[0], wanted, asked(scene))
    lacking = tracing.unwritten(notebook, series_sittings.series_found(notebook, sealed.id))
    assert lacking == {"7": ("mixed_on", "diluted_on"), "7 − Cedar oil": ("mixed_on", "diluted_on")}
    assert of_suspects.unwritten_words(lacking).startswith(
        "Not written down yet of trial 7: the day it was mixed and the day it was diluted; trial 7 − Cedar oil: the day"
    )


def test_a_series_is_sealed_over_suspects_and_asks_the_likeliest_next(notebook: Any) -> None:
    scene, named = made(notebook)
    wanted = [named["Cedar oil"], named["Birch tar"], named["Fig base"]]
    sealed = tracing.seal_trace(notebook, scene.trial_ids[0], wanted, asked(scene))
    assert isinstance(sealed.series.design, OffNote)
    assert sealed.series.design.materials == ("Cedar oil", "Birch tar", "Fig base")
    asked_about = []
    for right in (0.5, 1.0, 0.5, 1.0):  # cedar and fig are guessed at, the tar is found
        session = tracing.next_sitting(notebook, sealed.id)
        asked_about.append(sealed.part_of(session.plan))
        assert (session.plan.descriptor, session.plan.expected, session.plan.strips_a_set) == ("rubbery", "first", 2)
        smelt(notebook, session, right)
        found = series_sittings.series_found(notebook, sealed.id)
        if found.word == STANDS_OUT:
            break
    # 3 suspects at .05 ask for 60 to 1: 9 of 9 give 3 times more than that, and a sitting has 12 answers
    assert asked_about == ["Cedar oil", "Birch tar"]
    trace = found.added.trace
    assert trace is not None
    assert (trace.needed, trace.suspected[0].material, trace.suspected[0].right) == (60.0, "Birch tar", 12)
    expected = sum((1 + b) ** 12 for b in (0.25, 0.5, 0.75)) / 3
    assert trace.suspected[0].evidence == pytest.approx(expected)
    # 24 answers were asked of 3 × 48; those left of each are saved, two strips a pair
    assert (trace.strips, trace.saved) == (48, 2 * (36 + 36 + 48))
    with pytest.raises(StateError, match="has ended"):
        tracing.next_sitting(notebook, sealed.id)
    told = " ".join(of_suspects.trace_lines(trace, "7"))
    assert "Birch tar: the note stronger with it in 12 of 12 answers" in told
    assert "Stopped early: 48 strips smelt, 240 saved" in told
    assert "mix trial 7 with less of Birch tar" in told


def test_the_decision_page_and_reports_carry_it(notebook: Any) -> None:
    scene, named = made(notebook)
    sealed = tracing.seal_trace(
        notebook, scene.trial_ids[0], [named["Cedar oil"], named["Birch tar"]], asked(scene, cap=12)
    )
    smelt(notebook, tracing.next_sitting(notebook, sealed.id), 0.5)
    last = tracing.next_sitting(notebook, sealed.id)
    smelt(notebook, last, 0.5)
    found = series_sittings.series_found(notebook, sealed.id)
    assert found.word == NOBODY
    seen = decide.outcome(notebook, scene.brief_id)
    (shown,) = seen.evidence.sessions
    assert not shown.points
    assert not seen.proposal.word
    assert [trial.label for trial in tracing.traceable(notebook, scene.brief_id)] == ["7"]
    assert len(decide.no_candidates(notebook, scene.brief_id)) == 2  # bottles without a suspect are never the best
    assert {one for each in seen.next for one in (each.first_id, each.second_id)} <= {*scene.trial_ids}
    assert "Off-note “rubbery” in trial 7, over 2 sittings: Nobody stands out" in gap_words(shown.gaps[0])
    made_ = decide.decide(notebook, scene.brief_id, scene.trial_ids[0], "rework", "Nothing stands out by itself.")
    assert decide.as_it_stood(made_) == seen.evidence
    told = [one.text for one in brief_report.report(notebook, scene.brief_id).blocks if isinstance(one, Text)]
    assert any("Off-note “rubbery”" in line for line in told)
    report = composing.report(notebook, last.id)
    with export.opened(export.export(notebook, last.id)) as copy:
        assert composing.report(copy.notebook, copy.session_id).numbers == report.numbers


def test_what_cannot_be_traced_is_refused_before_anything_is_written(notebook: Any) -> None:
    scene, named = made(notebook)
    whole = scene.trial_ids[0]
    before = book.trials(notebook, scene.brief_id)
    for wanted, changes, said in (
        ([named["Cedar oil"]], {}, "suspects must be from 2"),
        ([named["Cedar oil"], named["Carrier"]], {}, "solvents left out"),
        ([named["Cedar oil"], named["Birch tar"]], {"people": ()}, "at least one person"),
        ([named["Cedar oil"], named["Birch tar"]], {"note": " "}, "note must not be empty"),
        ([named["Cedar oil"], named["Birch tar"]], {"sets": 99}, "sets each must be from 1 to"),
    ):
        with pytest.raises(ArgumentError, match=said):
            tracing.seal_trace(notebook, whole, wanted, asked(scene, **changes))
    assert book.trials(notebook, scene.brief_id) == before
    assert tracing.suspectable(notebook, scene.trial_ids[1]) == ()


def one(material: str, evidence: float = 1.0, sittings: int = 1, asked_: int = 12, accused: bool = False) -> Suspected:
    return Suspected(material, 0, asked_, evidence, accused, sittings)


def test_everybody_is_asked_about_once_then_the_likeliest_until_the_cap() -> None:
    order = ("a", "b", "c")
    assert next_suspect([one("a", 3), one("b", sittings=0, asked_=0), one("c", sittings=0, asked_=0)], order, 48) == "b"
    assert next_suspect([one("a", 3), one("b", 7), one("c", 0.2)], order, 48) == "b"
    assert next_suspect([one("a", 3), one("b", 7, asked_=48), one("c", 0.2)], order, 48) == "a"
    assert next_suspect([one("a", 3, accused=True), one("b", 7), one("c", 0.2)], order, 48) == ""
    assert next_suspect([one("a", asked_=48), one("b", asked_=48)], ("a", "b"), 48) == ""


def test_how_soon_it_may_end() -> None:
    """By hand: a third of 1.25^n + 1.5^n + 1.75^n is 39.8 at n = 8 and 66.6 at n = 9, so 60 asks for 9."""
    assert fewest_right(60) == 9
    assert SEARCHING != NOBODY
