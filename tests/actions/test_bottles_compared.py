"""Sessions of bottles: of one trial with the difference that is meant, of two trials as sessions of the trials."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import anosmia, bench, book, bottle_book, decide, findings, formulas
from evaluation.actions import plan as planning
from evaluation.actions.skin_gate import gate_of
from evaluation.deciding.claims import called, search
from evaluation.deciding.evidence import Said, frozen, thawed
from evaluation.errors import ArgumentError, StateError, StoreError
from evaluation.formulas import read_lines
from evaluation.report import composing, export, web_page
from evaluation.store.translate import plan_of, plan_text
from evaluation.values.trials import MEANT, differ_as_meant
from evaluation.wording import mismatch
from evaluation.wording.of_bottles import OF_BOTTLES
from evaluation.wording.of_decisions import headline
from evaluation.wording.of_evidence import point_words
from evaluation.wording.of_sealed_plans import plan_lines
from tests import attacks
from tests.actions.test_decide import triangles
from tests.report.test_hostile_exports import signed
from tests.scenes import Scene, answer_by_worth, scene
from tests.skin_scene import ready

# By what is meant: the mismatches that are meant, and a bottle that differs from the first in everything.
MEANS = {
    "lots": {"lots"},
    "batch": {"batch"},
    "age": {"mixed", "diluted"},
    "stored": {"stored"},
    "strength": {"strength"},
}
FIRST = {
    "strength_percent": Decimal(10),
    "mixed_on": date(2026, 1, 1),
    "diluted_on": date(2026, 1, 2),
    "batch": "B1",
    "lots": "lot 1",
    "stored": "cold",
}
OTHER = {
    "strength_percent": Decimal(15),
    "mixed_on": date(2024, 1, 1),
    "diluted_on": date(2024, 1, 2),
    "batch": "B2",
    "lots": "lot 2",
    "stored": "warm",
}


@pytest.fixture
def made(notebook: Any) -> Scene:
    return scene(notebook)


def bottled(made: Scene, trial: int = 0, **other: Any) -> str:
    """A second bottle of a trial whose first is known in everything; the id of the second."""
    bottle_book.change_bottle(made.notebook, made.trial_ids[trial], **FIRST)
    return bottle_book.add_bottle(made.notebook, made.trial_ids[trial], "2", **(OTHER | other)).id


@pytest.mark.parametrize("meant", MEANT[1:])
def test_what_is_meant_is_never_warned_of_and_everything_else_is(made: Scene, meant: Any) -> None:
    second = bottled(made)
    pair = (made.trial_ids[0], second)
    everything = {one for kinds in MEANS.values() for one in kinds}
    found = planning.compare(made.notebook, *pair, meant=meant)
    assert {one.kind for one in found} == everything - MEANS[meant]
    assert all(one.known and mismatch(one).endswith("that alone can be smelt.") for one in found)
    session = made.sealed(second_trial_id=second, meant=meant)
    told = " ".join(plan_lines(session.plan, ("7", "7 bottle 2")))
    assert "Bottles of one trial; the difference meant: " in told


def test_between_bottles_of_two_trials_everything_is_warned_of(made: Scene) -> None:
    second = bottled(made, trial=1)
    bottle_book.change_bottle(made.notebook, made.trial_ids[0], **FIRST)
    for meant in MEANT:
        found = planning.compare(made.notebook, made.trial_ids[0], second, meant=meant)
        assert {one.kind for one in found} == {one for kinds in MEANS.values() for one in kinds}


@pytest.mark.parametrize(
    ("other", "meant", "said"),
    [
        ({}, "", "the difference meant must be named where two bottles of one trial are compared"),
        ({"stored": "cold"}, "stored", "must differ in what is meant, kept otherwise, such as warm against cold"),
        ({"stored": ""}, "stored", "trials 7 and 7 bottle 2 must differ in what is meant"),
        ({"mixed_on": date(2026, 1, 2), "diluted_on": date(2026, 1, 3)}, "age", "must differ in what is meant"),
    ],
)
def test_a_difference_that_is_not_in_the_book_is_not_sealed(made: Scene, other: Any, meant: Any, said: str) -> None:
    """Two years old and a day apart is one age: a tenth of the elder's."""
    second = bottled(made, **other)
    with pytest.raises(ArgumentError, match=said):
        made.sealed(second_trial_id=second, meant=meant)
    assert planning.sessions(made.notebook) == ()


def test_no_difference_of_bottles_is_meant_between_trials(made: Scene) -> None:
    with pytest.raises(ArgumentError, match="between bottles of one trial only"):
        made.sealed(meant="batch")
    with pytest.raises(ArgumentError, match="difference meant must be one of"):
        made.plan(meant="weather")


def test_a_plan_of_before_is_spelt_as_before(made: Scene) -> None:
    """What no plan of then said is not written, so that its spelling, and with it its hash, stays byte for byte."""
    old = made.plan()
    assert "meant" not in plan_text(old)
    assert plan_of(plan_text(old)) == old
    new = replace(old, meant="age")
    assert plan_of(plan_text(new)) == new
    told = [json.loads(plan_text(one))["value"] for one in (old, new)]
    assert told[1] == told[0] | {"meant": "age"}


def test_two_bottles_of_one_trial_decide_nothing(made: Scene) -> None:
    second = bottled(made)
    formulas.write(made.notebook, made.trial_ids[0], read_lines("Fig; 1"), new_materials=True)
    session = triangles(made, second_trial_id=second, meant="age")
    findings.open_session(made.notebook, session.id)
    found = decide.outcome(made.notebook, made.brief_id)
    (shown,) = found.evidence.sessions
    assert (shown.points, [one.outcome for one in shown.of_bottles]) == ((), ["noticed"])
    assert found.evidence.name(*shown.trial_ids) == "trials 7 bottle 1 and 7 bottle 2"
    assert found.evidence.name(made.trial_ids[0]) == "trial 7"
    assert point_words(shown.of_bottles[0], shown, found.evidence)
    assert (found.proposal.rule, found.proposal.word, found.proposal.trial_id) == ("nothing shown", "", "")
    assert found.proposal.among.comparisons == 0
    assert "7 bottle" not in headline(found.proposal, found.evidence)
    assert thawed(frozen(found.evidence)) == found.evidence
    assert anosmia.comparisons(made.notebook, made.brief_id) == ()
    pair = (made.trial_ids[0], second)
    assert formulas.between_all(made.notebook, [pair]) == {}


def test_bottles_of_two_trials_speak_for_the_trials(made: Scene) -> None:
    second = bottled(made, trial=1)
    for changes in ({}, {"second_trial_id": second}):
        session = made.smelling(method="preference", confirmed=(), **changes)
        answer_by_worth(made.notebook, session.id, lambda seat, letter: float(letter == "B"))
        bench.close(made.notebook, session.id)
        findings.open_session(made.notebook, session.id)
    found = decide.outcome(made.notebook, made.brief_id)
    one, two = found.evidence.sessions
    assert one.trial_ids == two.trial_ids == made.trial_ids
    assert [(p.first_id, p.second_id, p.outcome) for p in two.points] == [
        (p.first_id, p.second_id, p.outcome) for p in one.points
    ]
    assert {said.trial_id for said in two.said} == set(made.trial_ids)
    assert (found.proposal.word, found.proposal.trial_id) == ("lead", made.trial_ids[1])
    assert found.proposal.among.comparisons == 2


def test_among_several_each_pair_speaks_for_what_it_is(made: Scene) -> None:
    """7, 7 bottle 2 and 8 in one ranking: 7 against its own bottle stands apart, both against 8 speak for trial 7."""
    second = bottled(made)
    changes = {"second_trial_id": second, "other_trial_ids": (made.trial_ids[1],), "meant": "batch"}
    session = made.smelling(method="ranking", **changes)
    answer_by_worth(made.notebook, session.id, lambda seat, letter: float("ABC".index(letter)))
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    (shown,) = decide.evidence(made.notebook, made.brief_id).sessions
    assert shown.trial_ids == (made.trial_ids[0], second, made.trial_ids[1])
    assert shown.smelt == set(made.trial_ids)
    assert {one.pair for one in shown.points} == {frozenset(made.trial_ids)}
    assert {one.pair for one in shown.of_bottles} == {frozenset((made.trial_ids[0], second))}
    seen = decide.evidence(made.notebook, made.brief_id)
    assert search(seen).comparisons == 2  # each of the two bottles against trial 8
    of_seven = Said(made.trial_ids[0], "strength", "strip", ())
    told = replace(seen, sessions=(replace(shown, said=(of_seven, replace(of_seven, trial_id=made.trial_ids[1]))),))
    assert [len(called(told, one)) for one in made.trial_ids] == [0, 1]  # of trial 7 it was said of a bottle


def test_a_null_set_is_one_bottle_in_two_vials(made: Scene) -> None:
    second = bottled(made)
    session = made.sealed(second_trial_id=second, meant="batch", null_sets=1)
    told = bench.letter_key(made.notebook, session.id, None)
    assert sorted(name for _, name in told) == ["7 bottle 1", "7 bottle 1", "7 bottle 2", "7 bottle 2"]


def test_a_patch_of_one_bottle_opens_nothing_for_another(made: Scene) -> None:
    who = made.panelist_ids[:1]
    ready(made.notebook, made.trial_ids, who)
    second = bottled(made)
    bottle_book.change_bottle(made.notebook, second, skin_strength_percent=Decimal(10))
    assert gate_of(made.notebook, made.trial_ids[0], who, "UTC").open
    found = gate_of(made.notebook, second, who, "UTC")
    assert [(one.kind, "no patch test of trial 7 bottle 2" in one.told) for one in found.blocks] == [("patch", True)]


def test_a_formula_is_held_by_whichever_bottle_was_smelt_or_worn(made: Scene) -> None:
    second = bottled(made, trial=1)
    formulas.write(made.notebook, made.trial_ids[1], read_lines("Fig; 1"), new_materials=True)
    made.sealed(second_trial_id=second)
    with pytest.raises(StateError, match="Trial 8 is in a sealed session: its formula stays"):
        formulas.write(made.notebook, made.trial_ids[1], read_lines("Fig; 2"))
    with pytest.raises(StateError, match="its formula stays"):
        formulas.remove(made.notebook, made.trial_ids[1])


@pytest.mark.parametrize(
    ("media", "smelt", "worn", "differ"),
    [
        (("strip",), 15, 10, True),
        (("skin",), 15, 10, False),  # on skin they are one strength, whatever is smelt on strips
        (("skin",), 10, 15, True),
        (("skin",), 10, None, False),  # not known
        (("strip", "skin"), 10, 15, True),
    ],
)
def test_two_strengths_are_those_of_what_is_smelt(made: Scene, media: Any, smelt: Any, worn: Any, differ: bool) -> None:
    first = replace(book.trial(made.notebook, made.trial_ids[0]), skin_strength_percent=Decimal(10))
    other = replace(first, strength_percent=Decimal(smelt), skin_strength_percent=worn and Decimal(worn))
    assert differ_as_meant(first, other, date(2026, 3, 1), "strength", media=media) is differ


def test_a_session_of_bottles_leaves_what_was_decided_and_what_is_asked_next(made: Scene) -> None:
    """It says nothing of trials: a decision still answers the proposal, and no trial counts as carried further by it."""
    second = bottled(made, trial=1)
    judged = triangles(made)
    findings.open_session(made.notebook, judged.id)
    about = decide.outcome(made.notebook, made.brief_id).proposal.trial_id
    decide.decide(made.notebook, made.brief_id, about or made.trial_ids[0], "smell again", "not enough")
    before = decide.outcome(made.notebook, made.brief_id)
    record = decide.record(made.notebook, made.brief_id)
    assert decide.answered(before, record) == record.decisions
    session = triangles(
        made, first_trial_id=made.trial_ids[1], second_trial_id=second, meant="age", alpha=Decimal("0.2")
    )
    findings.open_session(made.notebook, session.id)
    after = decide.outcome(made.notebook, made.brief_id)
    assert [one.of_one_trial for one in after.evidence.sessions] == [False, True]
    assert (after.proposal, after.next) == (before.proposal, before.next)
    assert decide.answered(after, record) == record.decisions


@pytest.mark.parametrize("which", [0, 1])
def test_a_file_that_lacks_a_bottle_is_no_copy(made: Scene, which: int) -> None:
    """Also one that owns that its log does not hold: what its plan names must be there to be spoken of."""
    second = bottled(made)
    session = triangles(made, second_trial_id=second, meant="age")
    findings.open_session(made.notebook, session.id)
    parts = attacks.unzipped(export.export(made.notebook, session.id))
    copy = json.loads(parts["session.json"])
    gone = (made.trial_ids[0], second)[which]
    told = copy["value"]["rows"]["bottles"]
    copy["value"]["rows"]["bottles"] = [one for one in told if one["id"] != gone]
    parts["session.json"] = attacks.spelt(copy)
    with pytest.raises(StoreError, match="This is no copy of a session"), export.opened(signed(parts, log_holds=False)):
        pass


def test_findings_of_bottles_of_one_trial_name_both_by_their_marks(made: Scene) -> None:
    """ "Trial 7" alone would read as the trial; a session of two trials calls them as before."""
    second = bottled(made)
    judged = triangles(made, second_trial_id=second, meant="age")
    findings.open_session(made.notebook, judged.id)
    found = findings.findings(made.notebook, judged.id)
    assert found.context.names == found.found[0].names == ("7 bottle 1", "7 bottle 2")
    assert OF_BOTTLES in web_page.page(composing.report(made.notebook, judged.id)).decode()
    trials = triangles(made, first_trial_id=second)
    findings.open_session(made.notebook, trials.id)
    assert findings.findings(made.notebook, trials.id).context.names == ("7 bottle 2", "8")
    assert OF_BOTTLES not in web_page.page(composing.report(made.notebook, trials.id)).decode()


def test_who_weighed_anew_is_told_to_add_a_bottle_and_who_renames_a_trial(made: Scene) -> None:
    made.sealed()
    with pytest.raises(StateError, match=r"once they are said\. Add a new bottle instead\.$"):
        book.change_trial(made.notebook, made.trial_ids[0], batch="B2")
    with pytest.raises(StateError, match=r"Add a new trial instead\.$"):
        book.change_trial(made.notebook, made.trial_ids[0], label="70")
