"""A fan of two strips from plan to decision: strips counted twice, a control that looks like the others, a bottle.

Expected numbers are worked by hand beside each case.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.actions import bench, decide, findings, pins, timetable, tonight, would_fit
from evaluation.actions.round_findings import round_findings
from evaluation.counting.fans import fan_of
from evaluation.deciding.worth import Tonight
from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.planning.prospects import load_of
from evaluation.report import composing, export, web_page
from evaluation.serving import smelling
from evaluation.serving.dipping import SECONDS_PER_PAIR, pace_of, together_seconds, youngest_of_pairs
from evaluation.sessions import GO_BACK_ONCE, Plan
from evaluation.sheets import labels, preparing
from evaluation.sheets.pieces import Head
from evaluation.store.translate import plan_of, plan_text
from evaluation.timetable import Bench, NoFit, Person, Wanted, plan_timetable, tasks
from evaluation.values.second_strips import COMMON, SecondStrip
from evaluation.wording.of_evidence import gap_words
from tests import scenes

CEDAR, FIG, IRIS = (SecondStrip(*one) for one in (("cedar", Decimal("0.2")), ("fig", Decimal(1)), ("iris", Decimal(2))))
HEAD = Head("Preparation", "", "seal", "today", 0)


def planned(scene: scenes.Scene, **changes: Any) -> Plan:
    return scene.plan(**scenes.fan(scene, CEDAR, FIG, IRIS) | changes)


def smelling_of(notebook: Any, people: int = 8, **changes: Any) -> Any:
    from evaluation.actions import plan as planning
    from evaluation.actions import seal

    draft = planning.add_draft(notebook, planned(scenes.scene(notebook, people), **changes))
    return bench.start(notebook, seal.seal(notebook, draft.id, scenes.SEED).id)


def opened(notebook: Any, worth: Any, people: int = 8) -> Any:
    session = smelling_of(notebook, people)
    scenes.answer_by_worth(notebook, session.id, worth)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return session


def cedar_does_good(seat: int, letter: str) -> float:
    """Everybody puts cedar (B) first and the trial alone (A) before fig and iris."""
    return {"A": 2, "B": 3, "C": 1, "D": 0}[letter]


def nobody_wants_any(seat: int, letter: str) -> float:
    return {"A": 3, "B": 2, "C": 1, "D": 0}[letter]


def test_two_strips_a_code_are_counted_for_nose_and_preparer(notebook: Any) -> None:
    plan = planned(scenes.scene(notebook))
    assert (plan.samples, plan.codes_a_set, plan.strips_a_set, plan.strips) == (4, 4, 8, 64)  # 8 people × 4 pairs × 2
    load = load_of(plan)
    assert (load.strips_each, load.smellings, load.at_once, load.sittings) == (8, 8, 8, 1)


def test_a_plan_without_second_strips_is_spelt_as_before(notebook: Any) -> None:
    scene = scenes.scene(notebook)
    ranking, fan = scene.plan(method="ranking"), planned(scene)
    assert b"second_strips" not in canonical(ranking)
    assert b"second_solvent" not in canonical(ranking)
    assert plan_of(plan_text(fan)) == fan
    assert fan.as_sealed()["second_trial_id"] == fan.trial_ids[0]


@pytest.mark.parametrize(
    ("changes", "named"),
    [
        ({"second_strips": (CEDAR,)}, "must be 2 to 5"),
        ({"second_strips": (CEDAR, CEDAR)}, "different ones"),
        ({"second_solvent": " "}, "solvent of the second strips"),
        ({"medium": "skin"}, "second strips"),
        ({"method": "round"}, "another trial than the first"),
        ({"method": "triangle", "second_trial_id": "another"}, "belong to a ranking"),
    ],
)
def test_what_is_no_fan_is_refused(notebook: Any, changes: dict[str, Any], named: str) -> None:
    with pytest.raises(ArgumentError, match=named):
        planned(scenes.scene(notebook), **changes)


def test_neat_is_refused_and_what_a_strip_stands_for_is_reckoned() -> None:
    with pytest.raises(ArgumentError, match="never neat"):
        SecondStrip("cedar", Decimal(100))
    # a dip of a 15 % trial carries 15 of 100; 2 parts to 100 of its concentrate would be 0.3 of 100
    assert SecondStrip("cedar", Decimal("0.3")).parts_beside(Decimal(15)) == 2


def test_the_control_is_drawn_and_dipped_like_the_others(notebook: Any) -> None:
    session = smelling_of(notebook)
    prepared = bench.preparation(notebook, session.id, None)
    key = dict(bench.letter_key(notebook, session.id, None))
    assert key[COMMON] == "7"
    assert sorted(key.values()) == sorted(
        ["7", "blank: ethanol, nothing in it", *(f"{one.name} in ethanol" for one in (CEDAR, FIG, IRIS))]
    )
    blank = next(letter for letter, held in key.items() if held.startswith("blank"))
    assert {len(one.codes) for one in prepared} == {4}
    assert all(sorted(one.letters) == sorted(key.keys() - {COMMON}) for one in prepared)
    assert len({one.letters.index(blank) for one in prepared if not one.spare}) > 1  # at no fixed place
    sheet = " ".join(preparing.preparation_sheet(HEAD, session.plan, prepared, ()).texts())
    assert f"{COMMON} + {blank}" in sheet
    # 30 minutes: a tenth is 3 minutes; the 20 s of single strips are not asked of pairs
    assert "8 strips a set in 4 pairs: both strips of a pair at once, the pairs one after the other" in sheet
    assert "within 3 minutes from the first to the last" in sheet
    assert "20 s" not in sheet
    assert "each as its safety document says" in sheet
    assert not any(one.material in sheet for one in (CEDAR, FIG, IRIS))  # a helper who dips need not know them
    strips = labels.strip_labels(HEAD, session.plan, bench.servings(notebook, session.id), range(1, 9))
    assert [len(one.labels) for one in strips.groups] == [64]  # two a code
    # which strip is the trial's is kept from before the dip, and reads the same of the trial alone and of candidates
    assert [one.small for one in strips.groups[0].labels] == ["left", "right"] * 32
    assert all(
        one.text == two.text
        for one, two in zip(strips.groups[0].labels[::2], strips.groups[0].labels[1::2], strict=True)
    )
    assert f"the strip “left” is for the vial {COMMON}" in sheet
    assert "the strip “left” on the left and on top in every pair" in sheet
    assert "at the rim of its own vial" in sheet
    assert labels.vial_labels(HEAD, prepared, session.plan).groups[0].labels[0].text == COMMON


def test_what_nose_and_hands_are_told_speaks_of_pairs(notebook: Any) -> None:
    how = smelling.way(planned(scenes.scene(notebook)))
    told = smelling.paragraph(how)
    for said in ("four pairs", "both dipped ends together", "Never smell one strip of a pair by itself"):
        assert said in told
    assert "both dipped ends of a pair together" in smelling.reminder(how)
    assert "a minute between pairs" in smelling.reminder(how)
    assert "Each pair once more at most." in smelling.reminder(replace(how, going_back=GO_BACK_ONCE))


def test_the_bench_finds_times_for_pairs_dipped_at_once(notebook: Any) -> None:
    from evaluation.actions import plan as planning
    from evaluation.actions import seal

    draft = planning.add_draft(notebook, planned(scenes.scene(notebook, 3)))
    sealed = seal.seal(notebook, draft.id, scenes.SEED)
    made = timetable.make(notebook, sealed.id, timetable.Settings(notebook.clock.now()))
    assert made.body["totals"]["dips"] == 3  # type: ignore[union-attr]
    # 3 people × 4 pairs × 10 s, both strips of a pair at once: the pace the ages are counted with, too
    assert made.body["totals"]["preparer_seconds"] == 120  # type: ignore[union-attr]
    assert pace_of(made.body).dip == pace_of(None, sealed.plan.strips_a_code).dip == SECONDS_PER_PAIR  # type: ignore[union-attr]


MORE = (SecondStrip("moss", Decimal(1)), SecondStrip("plum", Decimal(1)))


@pytest.mark.parametrize(
    ("strips", "minutes", "refused"),
    [
        ((CEDAR, FIG, IRIS), 5, False),  # 4 pairs: 30 s from first to last, a tenth of 300 s
        ((CEDAR, FIG, IRIS, *MORE), 5, True),  # 6 pairs: 50 s
        ((CEDAR, FIG, IRIS, *MORE), 9, False),
    ],
)
def test_the_plan_knows_what_one_pair_of_hands_can_keep(
    notebook: Any, strips: tuple[SecondStrip, ...], minutes: int, refused: bool
) -> None:
    scene = scenes.scene(notebook)
    plan = scene.plan(**scenes.fan(scene, *strips) | {"minutes": (minutes,)})
    assert would_fit.refused(plan) is refused
    assert (youngest_of_pairs(plan.codes_a_set) > 60 * minutes) is refused
    if refused:  # and names the age that would do
        assert would_fit.Way("ages", "9") in would_fit.ways(plan)


def test_the_bench_says_why_so_many_pairs_find_no_time() -> None:
    told = plan_timetable([Wanted("s", "one", 300, 30, 6, pairs=True)], [Person("one")], Bench(seconds_per_dip=10))
    assert isinstance(told, NoFit)
    assert told.sentence == (
        "The 6 pairs of a set at 5 min are dipped 50 s apart; a tenth of the age, here 30 s, is allowed. "
        "Dipping a strip, or both of a pair, in 6 s in place of 10 s would do."
    )


@given(age=st.integers(10, 100_000), pairs=st.booleans())
def test_sheet_and_timetable_bound_a_set_alike(age: int, pairs: bool) -> None:
    wanted = Wanted("s", "one", age, 0, 4, pairs=pairs)
    assert tasks.together_seconds(wanted) == together_seconds(age, 2 if pairs else 1)


def test_findings_name_the_bottle_to_mix_and_say_that_a_fan_is_none(notebook: Any) -> None:
    session = opened(notebook, cedar_does_good)
    found = round_findings(notebook, session.id)
    assert found.context.names == ("7 alone", "7 beside cedar 0.2 %", "7 beside fig 1 %", "7 beside iris 2 %")
    fan = fan_of(found.found[0])
    assert fan is not None
    best = fan.candidates[0]
    assert (best.material, best.for_it, best.for_alone, best.shown, best.parts) == ("cedar", 8, 0, True, 2.0)  # 0.2/10
    from evaluation.wording.of_rounds import summary_lines

    lines = " ".join(summary_lines(found.found[0]))
    assert "Trial 7 beside cedar 0.2 % is preferred to trial 7 alone by 8 of 8 people" in lines
    assert "A fan is no mixture" in lines
    assert "Bottle to mix: trial 7 with cedar in it, to begin with 2 parts to 100 parts of its concentrate" in lines


def test_where_nothing_does_good_no_bottle_is_proposed(notebook: Any) -> None:
    session = opened(notebook, nobody_wants_any)
    from evaluation.wording.of_rounds import summary_lines

    lines = " ".join(summary_lines(round_findings(notebook, session.id).found[0]))
    assert "No bottle is proposed" in lines
    assert "Bottle to mix" not in lines


def test_a_fan_stands_beside_and_weighs_nothing(notebook: Any) -> None:
    session = opened(notebook, cedar_does_good)
    seen = decide.outcome(notebook, session.plan.brief_id)
    (shown,) = seen.evidence.sessions
    assert shown.of_one_trial
    assert not shown.points
    assert "Bottle to mix: trial 7 with cedar" in gap_words(shown.gaps[0])
    assert not seen.proposal.word
    made = decide.decide(
        notebook, session.plan.brief_id, session.plan.trial_ids[0], "rework", "Cedar is worth a bottle."
    )
    assert decide.as_it_stood(made) == seen.evidence
    proposed = tonight.next_by_worth(notebook, session.plan.brief_id, Tonight(("a",), 12, None))
    assert proposed.answers == 0  # what a fan found is no answer about trials
    assert pins.pinned(notebook, findings.findings(notebook, session.id)) == ()


def test_report_and_export_carry_it(notebook: Any) -> None:
    session = opened(notebook, cedar_does_good)
    report = composing.report(notebook, session.id)
    page = web_page.page(report).decode()
    assert "Bottle to mix" in page
    assert "Second strips: each material in ethanol" in page
    with export.opened(export.export(notebook, session.id)) as copy:
        again = composing.report(copy.notebook, copy.session_id)
    assert again.numbers == report.numbers
    assert '"fan"' in report.numbers
    assert web_page.page(again).decode() == page
