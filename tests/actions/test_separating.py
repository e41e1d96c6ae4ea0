"""Telling changes apart from base to findings: bottles in the book, weighed by a sheet, sealed, smelt, told, handed on."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest

from evaluation.actions import ballot, bench, book, bottle_book, decide, descent, formulas, plan, seal, separating
from evaluation.actions.findings import findings
from evaluation.actions.separating import Wanted
from evaluation.actions.tonight import next_by_worth
from evaluation.deciding.worth import Tonight
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import difference, opened
from evaluation.formulas.separated import NamedChange, changes_between, flask_marks
from evaluation.kinds import Separation
from evaluation.planning.layouts import ALL, HALF, ONE_AT_A_TIME, combinations_of
from evaluation.report import composing, export, numbers, web_page
from evaluation.sessions import Session
from evaluation.sheets import printing
from evaluation.sheets.pieces import Head, Table
from evaluation.sheets.printing import Wish
from evaluation.sheets.weigh_ins import Flask, enough_grams, scale_lines, weighing_sheet
from evaluation.wording import of_lineages
from evaluation.wording.of_evidence import gap_words
from evaluation.wording.of_separations import caveats_of, told_of
from tests.formulas.made import formula, line
from tests.scenes import RATED, SEED, Scene, ages, ballots, first_option, seats
from tests.separations import answered, three_changes

HEAD = Head("Weighing sheet", "Which does what", "", "27 November", 0)


@pytest.fixture
def made(notebook: Any) -> Scene:
    """A base with a formula, and a trial with three changes."""
    return three_changes(notebook)


def wanted(here: Scene, layout: str = ALL, weighings: int = 1, **more: Any) -> Wanted:
    from evaluation.actions import skin

    known = formulas.formulas(here.notebook, here.brief_id)
    changes = changes_between(*(known[one] for one in here.trial_ids), ["vetiver", "cedar", "iris"])
    own = Separation(("vetiver", "cedar", "iris"), combinations_of(layout, 3) * weighings, **more)
    solvent = next(one for one in skin.materials(here.notebook) if one.solvent)
    return Wanted(here.trial_ids[0], changes, own, solvent)


def fields(here: Scene, people: int = 8, sittings: int = 2, **more: Any) -> dict[str, Any]:
    when = ages(5, 60)
    given: dict[str, Any] = {"brief_id": here.brief_id, "title": "Which does what", "ages": when, "primary": None}
    panel = tuple(here.panelist_ids[:people])
    sitting = tuple(type(seats(1)[0])(number, who) for number, who in enumerate(panel, start=1))
    given |= {"replicates": sittings, "seats": sitting, "alpha": Decimal("0.05"), "beta": Decimal("0.20")}
    return given | {"pd": Decimal("0.30"), "descriptors": RATED[:2], "resmell": True, "zone": "UTC"} | more


def smelt(here: Scene, draft: Session, people: int | None = None) -> Session:
    return answered(here.notebook, seal.seal(here.notebook, draft.id, SEED), people)


# --- into the book ----------------------------------------------------------------------------------------------------


def test_bottles_are_written_with_their_formulas_and_a_draft_is_kept(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    assert separating.to_smell(made.notebook, made.brief_id) == (draft,)
    known = formulas.of_trials(made.notebook, draft.plan.trial_ids)
    assert len(known) == 8
    base = known[draft.plan.trial_ids[0]]
    assert difference(formulas.formula(made.notebook, made.trial_ids[0]), base).same
    for held, trial_id in zip(separating.separation_of(draft.plan).made, draft.plan.trial_ids, strict=True):
        parts = {one.line.material.name: one.parts for one in opened(known[trial_id])}
        more = [int(one) for one in held]
        assert parts["Vetiver"] == 6 + 3 * more[0]
        assert parts["Cedar"] == 2 + 2 * more[1]
        assert parts.get("Iris", 0) == more[2]
        assert parts["Ethanol"] == 87 - 3 * more[0] - 2 * more[1] - more[2]


def test_the_base_and_the_trial_with_all_changes_are_further_bottles_of_their_trials(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    smelt_of = {one.id: one for one in bottle_book.smelt(made.notebook, made.brief_id)}
    first, last = (smelt_of[draft.plan.trial_ids[at]] for at in (0, -1))
    assert (first.bottle_of, last.bottle_of) == made.trial_ids
    labels = [one.label for one in book.trials(made.notebook, made.brief_id)]
    assert labels[2:5] == ["separated 1 B", "separated 1 C", "separated 1 D"]
    again = separating.write_bottles(made.notebook, wanted(made), fields(made))
    assert len(book.trials(made.notebook, made.brief_id)) == len(labels)  # all are bottles of trials there are
    assert not {*again.plan.trial_ids} & {*draft.plan.trial_ids}


def test_no_two_flasks_are_called_alike_and_the_letter_on_the_sheet_is_that_of_the_name(made: Scene) -> None:
    book.add_trial(made.notebook, made.brief_id, "Separated 1 x")  # taken by somebody: the set is the second
    draft = separating.write_bottles(made.notebook, wanted(made, weighings=2), fields(made))
    told = separating.to_weigh(made.notebook, draft.id)
    names = [name for name, *_ in told.bottles]
    assert len({*names}) == 16
    assert names[1] == "trial separated 2 B bottle 1"
    assert max(map(len, names)) <= len("trial separated 2 B bottle 1")
    assert flask_marks(names) == (
        *("A", "B1", "C1", "D1", "E1", "F1", "G1", "H"), *("I", "B2", "C2", "D2", "E2", "F2", "G2", "P"),
    )  # fmt: skip
    sheet = printing.weighing_sheet(made.notebook, draft.id, Wish(form="html"), Decimal(100), Decimal("0.001"))
    assert "Flask B2: trial separated 2 B bottle 2, vetiver" in sheet.content.decode()
    changed = {one.label: one.changed for one in book.trials(made.notebook, made.brief_id)}
    assert changed["separated 2 D"] == "to tell changes apart: vetiver; cedar"


def test_flasks_whose_letters_would_contradict_their_names_are_numbered() -> None:
    assert flask_marks(["7", "separated 1 B bottle 2", "separated 2 B bottle 2"]) == ("1", "2", "3")
    assert flask_marks(["7", "7 with cedar", "7 with fig"]) == ("A", "B", "C")  # bottles of an earlier book


def test_a_second_weighing_is_a_second_bottle_of_each_and_means_the_batch(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made, weighings=2), fields(made))
    assert draft.plan.meant == "batch"
    assert len(draft.plan.trial_ids) == 16
    seal.seal(made.notebook, draft.id, SEED)


def test_nothing_is_written_where_the_plan_is_refused(made: Scene) -> None:
    before = book.trials(made.notebook, made.brief_id)
    with pytest.raises(ArgumentError, match="multiple of 2"):
        separating.write_bottles(made.notebook, wanted(made), fields(made, sittings=3))
    assert book.trials(made.notebook, made.brief_id) == before
    assert not plan.sessions(made.notebook, made.brief_id)


def test_changes_without_amounts_are_trials_without_formulas_told_in_words(made: Scene) -> None:
    own = Separation(("cedar", "fig"), combinations_of(ONE_AT_A_TIME, 2))
    named = Wanted(made.trial_ids[0], (NamedChange("cedar"), NamedChange("fig")), own)
    assert separating.formulas_of(made.notebook, named) is None
    draft = separating.write_bottles(made.notebook, named, fields(made, sittings=1))
    told = [one.changed for one in book.trials(made.notebook, made.brief_id)][2:]
    assert told == ["to tell changes apart: cedar", "to tell changes apart: fig"]
    with pytest.raises(StateError, match="has no formula in the trial book"):
        printing.weighing_sheet(made.notebook, draft.id, Wish(form="html"), Decimal(10), Decimal("0.001"))


# --- weighed ----------------------------------------------------------------------------------------------------------


def test_the_sheet_weighs_what_all_share_once_and_flasks_by_hand(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    sheet = printing.weighing_sheet(made.notebook, draft.id, Wish(form="html"), Decimal(10), Decimal("0.001"))
    text = sheet.content.decode()
    # Shared: bergamot 5, vetiver 6, cedar 2, ethanol 81 of 100: 94 %. Eight flasks of 10 g and a tenth: 88 g.
    for said in ("4.4", "5.28", "1.76", "71.28", "9.4", "NOT FOR PANELISTS", "within 4 hours"):
        assert said in text
    assert text.count("common part, from the beaker") == 8
    assert "0.6" in text  # the base flask: ethanol in the place of all three changes
    pdf = printing.weighing_sheet(made.notebook, draft.id, Wish(), Decimal(10), Decimal("0.001"))
    assert pdf.content.startswith(b"%PDF")


def test_the_sheet_says_from_how_many_grams_this_scale_will_do_and_what_a_weaker_stock_leaves_of_the_solvent() -> None:
    # By hand: the least line is half a step in 1 %: 0.05 g. Cedar 0.3 of 100 parts: 0.03 g in 10 g, so 16.67 g; of a
    # stock ten times weaker 0.3 g, which brings 0.27 g of the 0.4 g of ethanol beside it (4 of 100 parts).
    def flask(cedar: str, iris: str, ethanol: str) -> Flask:
        lines = [line("Bergamot", 90), line("Ethanol", ethanol)]
        more = [line(name, parts) for name, parts in (("Cedar", cedar), ("Iris butter", iris)) if parts != "0"]
        return Flask("trial 7", "some", formula(*lines, *more))

    flasks = [flask("0", "0", "10"), flask("0.3", "0", "9.7"), flask("0", "4", "6"), flask("0.3", "4", "5.7")]
    grams, step = Decimal(10), Decimal("0.001")
    assert enough_grams(flasks, step) == Fraction(50, 3)
    told = scale_lines(flasks, grams, step)
    assert "to within 1 % from 16.7 g of concentrate in each flask; this sheet is for 10 g" in told[0]
    # All share 5.7 of ethanol: the third flask weighs 0.03 g of its own, the fourth none to leave 0.27 g out of.
    assert "flask C and flask D would hold too little Ethanol" in told[1]
    assert len(scale_lines(flasks, Decimal("16.7"), step)) == 1
    roomy = [*flasks[:3], flask("0.3", "0", "9.7")]  # all share 6 of ethanol: 3.7 are left beside the cedar, 0.37 g
    assert "Either weigh 16.7 g in each flask, or weigh the lines marked" in scale_lines(roomy, grams, step)[1]
    tables = [one for one in weighing_sheet(HEAD, roomy, grams, step).blocks if isinstance(one, Table)]
    rows = {row[0]: row[2:] for row in tables[3].rows}  # the list, the beaker, flask A, flask B
    assert rows["Cedar"] == ("0.030", "too small: 0.300 g of the stock 10 times weaker, or more grams")
    assert rows["Ethanol"] == ("0.370", "with the weaker stock: 0.100 g")
    assert tables[2].rows[-1][3] == ""  # the base takes nothing from it: all its ethanol stays
    with pytest.raises(ArgumentError, match="step of the scale must be at most the batch"):
        scale_lines(flasks, Decimal("0.0001"), step)


def test_the_plan_knows_until_every_day_and_strength_is_written(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    assert separating.unwritten(made.notebook, draft.plan)
    separating.weighed(made.notebook, draft.id, date(2026, 11, 20), date(2026, 11, 21), None)
    assert separating.unwritten(made.notebook, draft.plan)
    separating.weighed(made.notebook, draft.id, date(2026, 11, 20), date(2026, 11, 21), Decimal(15))
    assert not separating.unwritten(made.notebook, draft.plan)


def test_days_and_strength_are_written_down_for_all_until_it_is_sealed(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    day = date(2026, 11, 20)
    separating.weighed(made.notebook, draft.id, day, day, Decimal(15))
    assert {one for _, one in separating.bottles_of(made.notebook, draft)} == {day}
    seal.seal(made.notebook, draft.id, SEED)
    with pytest.raises(StateError, match="stay as they were served"):
        separating.weighed(made.notebook, draft.id, day, day, Decimal(15))
    sheet = printing.weighing_sheet(made.notebook, draft.id, Wish(form="html"), Decimal(10), Decimal("0.001"))
    assert sheet.kind.startswith("text/html")  # sealed and not smelt yet: it may still be weighed
    bench.start(made.notebook, draft.id)
    with pytest.raises(StateError, match="weighed before they are smelt"):
        printing.weighing_sheet(made.notebook, draft.id, Wish(), Decimal(10), Decimal("0.001"))


def test_what_besides_the_changes_could_be_smelt_is_told_once_for_all_bottles_that_share_it(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    day = date(2026, 11, 20)
    separating.weighed(made.notebook, draft.id, day, day, Decimal(15))
    assert separating.unlike(made.notebook, draft.plan) == ()
    bottle_book.change_bottle(made.notebook, draft.plan.trial_ids[1], strength_percent=Decimal(12))
    (one,) = separating.unlike(made.notebook, draft.plan)
    assert (one.kind, one.bottles, one.of) == ("strength", 1, 7)


def test_the_second_block_is_a_sitting_of_its_own_and_told_at_its_first_strip(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    bench.start(made.notebook, seal.seal(made.notebook, draft.id, SEED).id)
    own, told = ballots(made.notebook, draft.id)[0], []
    for _ in range(16):  # eight strips at two ages
        view = ballot.view(made.notebook, own.id)
        told.append((view.replicate, view.sitting))
        answers = {asked.name: first_option(asked) for asked in view.screen}
        ballot.lock_screen(made.notebook, own.id, view.screen[0].serving_id, answers)
    assert [replicate for replicate, _ in told] == [1] * 8 + [2] * 8
    assert [sitting for _, sitting in told if sitting is not None] == [(2, 2)]
    assert told[8][1] == (2, 2)


# --- found ------------------------------------------------------------------------------------------------------------


def test_findings_tell_each_change_and_decision_report_and_export_carry_it(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made, interactions=True), fields(made))
    session = smelt(made, draft)
    found = findings(made.notebook, session.id)
    (part,) = found.found
    table = part.effects.table
    woody = table[(table["effect"] == "cedar") & (table["descriptor"] == "woody")].sort_values("age_minutes")
    assert woody["estimate"].tolist() == pytest.approx([2.0, 0.0], abs=0.4)
    assert woody["p_family"].tolist()[0] == 2 / 2**8
    assert part.differences is None
    told = told_of(part)
    assert told[0].startswith("Vetiver: more smoky at 5 min and 1 h (+1.")
    assert told[1].startswith("Cedar: more woody at 5 min (+")
    assert any(
        one.startswith(
            "Vetiver and cedar together, beyond what each does: no effect was shown; no descriptor moved beyond"
        )
        for one in told
    )
    assert any("One bottle for each combination" in one for one in caveats_of(part))
    seen = decide.evidence(made.notebook, made.brief_id)
    (shown,) = seen.sessions
    assert shown.separates
    assert not shown.points
    assert "cedar: more woody at 5 min" in " ".join(map(gap_words, shown.gaps))
    lineage = descent.of_brief(made.notebook, made.brief_id)
    assert not lineage.besides  # its bottles say nothing of any two of them
    (one,) = (lineage.steps[trial.id] for trial in seen.trials if trial.label == "separated 1 C")
    assert [heard.words for heard in of_lineages.heard(one, seen)] == [of_lineages.TOLD_APART]
    report = web_page.page(composing.report(made.notebook, session.id)).decode()
    for said in ("What each change did", "Changes told apart: vetiver, cedar and iris", "vetiver and cedar together"):
        assert said in report
    assert "balanced incomplete blocks" in report
    assert "Mixed model" not in report
    with export.opened(export.export(made.notebook, session.id)) as copied:
        assert numbers.of_profile(findings(copied.notebook, copied.session_id)) == numbers.of_profile(found)
    assert '"all_effects": null' in numbers.of_profile(found)


@pytest.mark.parametrize(("people", "exact"), [(5, 2 / 2**20), (2, 2 / 2**8)])
def test_under_six_people_pairs_of_bottles_are_turned_and_it_says_whom_it_speaks_for(
    made: Scene, people: int, exact: float
) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made, people))
    (part,) = findings(made.notebook, smelt(made, draft).id).found
    assert part.effects.by == "pairs"
    smoky = part.effects.table.query("effect == 'vetiver' and descriptor == 'smoky'")
    assert (smoky["flipped"] == 4 * people).all()
    assert smoky["p_value"].min() == pytest.approx(exact, abs=1e-12 if people == 2 else 1e-4)
    assert any("this panel and these bottles" in one for one in caveats_of(part))


def test_one_nose_with_four_pairs_gets_a_description_and_no_p_and_no_silent_interval(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made, 1))
    with pytest.raises(ArgumentError, match="can never end in"):
        seal.seal(made.notebook, draft.id, SEED)
    known = plan.change_draft(made.notebook, draft.id, draft.plan.changed(confirmed=("a descriptor moved",)))
    (part,) = findings(made.notebook, smelt(made, known).id).found
    assert part.effects.table["p_value"].isna().all()
    told = told_of(part)
    assert all("described only" in one for one in told[:3])
    assert "rest on fewer than 6 pairs of bottles (at most 4): described, with no p and no interval" in told[3]
    assert "inf" not in " ".join(told)
    (gap,) = decide.evidence(made.notebook, made.brief_id).sessions[0].gaps
    assert "vetiver, cedar and iris described only, by too few signs" in gap_words(gap)
    assert "no effect was shown" not in gap_words(gap)


def test_who_of_eight_planned_people_came_is_too_few_and_that_is_said(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made), fields(made))
    (part,) = findings(made.notebook, smelt(made, draft, people=5).id).found
    assert part.effects.by == "person"
    assert "rest on fewer than 6 people (at most 5)" in told_of(part)[-1]


def test_a_fraction_names_its_aliases_wherever_it_is_told(made: Scene) -> None:
    draft = separating.write_bottles(made.notebook, wanted(made, HALF), fields(made, sittings=1))
    session = smelt(made, draft)
    (part,) = findings(made.notebook, session.id).found
    assert "These bottles cannot tell vetiver from cedar and iris together." in caveats_of(part)


def test_bottles_that_tell_changes_apart_are_not_proposed_for_the_best(made: Scene) -> None:
    """Before, seven bottles on paper stood among the pairs for tonight; the two trials of the brief are asked about."""
    separating.write_bottles(made.notebook, wanted(made), fields(made))
    assert len(book.trials(made.notebook, made.brief_id)) == 8
    proposed = next_by_worth(made.notebook, made.brief_id, Tonight(made.panelist_ids[:4], 4))
    assert {each for own in proposed.asked for pair in own for each in pair} == set(made.trial_ids)
