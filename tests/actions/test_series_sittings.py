"""Series and finals through the app's actions: sealed, smelt in sittings, opened, and what they say together."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import update

from evaluation.actions import bench, book, decide, findings, series_sittings
from evaluation.actions import plan as planning
from evaluation.actions.tonight import next_by_worth
from evaluation.deciding.proposals import BROKEN, KEPT, LEAD, ONE_LEADS
from evaluation.deciding.worth import Tonight
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import Formula, Line
from evaluation.judging.adding_up import GAVE_UP, KEEP, OPEN
from evaluation.judging.entries import NO_WORD, NOTICED, OF_A_SERIES, SECOND_PREFERRED
from evaluation.skin import Material
from evaluation.store import rows
from evaluation.wording import of_series, of_worth
from tests.scenes import answer_by_worth, begun, scene
from tests.sittings_played import a_day_later, a_final, a_series, seal, tell_apart, vote


def found(here: Any, sealed: Any) -> Any:
    return series_sittings.series_found(here.notebook, sealed.id)


def test_answers_of_sittings_add_up_and_each_by_itself_has_no_word(notebook: Any) -> None:
    """Two noses with four triangles each could show nothing in a session: here they do in the second sitting."""
    here = scene(notebook, 2)
    sealed = a_series(here, 2)
    first = tell_apart(here, sealed, lambda seat, place: True)
    assert found(here, sealed).word == "undecided"
    tell_apart(here, sealed, lambda seat, place: True)
    seen = found(here, sealed)
    assert (seen.word, seen.added.last.answers, seen.added.last.whole) == (NOTICED, 4, True)
    (entry,) = findings.findings(here.notebook, first.id).found[0].entries
    assert (entry.verdict, entry.confirmatory, entry.notes, entry.correct) == (NO_WORD, False, (OF_A_SERIES,), 2)


def test_nothing_is_told_of_a_sitting_that_is_not_opened(notebook: Any) -> None:
    here = scene(notebook, 3)
    sealed = a_series(here, 3, method="preference")
    session = seal(here, sealed)
    bench.start(notebook, session.id)
    begun(notebook, session.id)
    answer_by_worth(notebook, session.id, lambda seat, letter: float(letter == "B"))
    bench.close(notebook, session.id)
    seen = found(here, sealed)
    assert (seen.word, seen.added.looks, seen.running) == (NO_WORD, (), 1)
    findings.open_session(notebook, session.id)
    assert len(found(here, sealed).added.looks) == 1


def test_five_noses_reach_a_preference_over_sittings(notebook: Any) -> None:
    """A session of five is refused, since no answer of theirs could show anything at .05."""
    here = scene(notebook, 5)
    sealed = a_series(here, 5, method="preference")
    for _ in range(3):
        vote(here, sealed, {})
    assert found(here, sealed).word == SECOND_PREFERRED


def test_what_is_void_and_what_was_smelt_before_count_nowhere(notebook: Any) -> None:
    here = scene(notebook, 3)
    earlier = here.smelling(people=3, confirmed=("not noticed", "noticed"))
    sealed = a_series(here, 3)
    spoilt = seal(here, sealed)
    bench.void(notebook, spoilt.id, "the strips were mixed up")
    tell_apart(here, sealed, lambda seat, place: True)
    assert found(here, sealed).added.last.answers == 3
    assert earlier.id not in {one.session_id for one in found(here, sealed).sittings}


def test_a_draft_of_a_sitting_cannot_leave_its_series(notebook: Any) -> None:
    here = scene(notebook, 3)
    sealed = a_series(here, 2)
    draft = series_sittings.next_sitting(notebook, sealed.id, "One", sealed.series.people)
    with pytest.raises(ArgumentError, match="must keep to its series"):
        planning.change_draft(notebook, draft.id, draft.plan.changed(alpha=Decimal("0.2")))
    with pytest.raises(ArgumentError, match="a changed panel starts a new series"):
        series_sittings.next_sitting(notebook, sealed.id, "Two", here.panelist_ids)
    assert planning.session(notebook, draft.id).plan == draft.plan


def test_what_cannot_be_sealed_leaves_no_draft(notebook: Any) -> None:
    here = scene(notebook, 2)
    sealed = a_series(here, 2)
    book.change_panelist(notebook, here.panelist_ids[1], active=False)
    with pytest.raises(ArgumentError, match="active"):
        seal(here, sealed)
    assert planning.sessions(notebook, here.brief_id) == ()


# --- finals -----------------------------------------------------------------------------------------------------------


def test_a_final_is_kept_by_fresh_answers_and_takes_no_more(notebook: Any) -> None:
    here = scene(notebook, 10)
    sealed = a_final(here, 10)
    vote(here, sealed, {1: 0.0})
    seen = found(here, sealed)
    assert (seen.word, seen.fresh, seen.added.needed, seen.over) == (KEEP, True, 25, True)
    with pytest.raises(StateError, match="it has ended in keep"):
        seal(here, sealed)
    assert series_sittings.finals_not_kept(notebook, here.brief_id) == ()


def test_a_final_that_failed_makes_the_next_five_times_dearer(notebook: Any) -> None:
    here = scene(notebook, 6)
    first = a_final(here, 6)
    vote(here, first, dict.fromkeys(range(1, 7), -1.0))
    assert found(here, first).word == GAVE_UP
    second = a_final(here, 6)
    assert (second.series.design.earlier, found(here, second).added.needed) == (1, 125)
    series_sittings.end(notebook, second.id, "the bottle is empty")
    third = a_final(here, 6)  # open ones and ended ones count as well
    assert third.series.design.earlier == 2
    two = Tonight(here.panelist_ids[:2], 12)
    next_up = next_by_worth(notebook, here.brief_id, two)
    assert len(next_up.finals) == 3
    sure = replace(next_up, standing=replace(next_up.standing, foreseen_loss=0.0))
    assert of_worth.stop_line(sure) == (
        "Final 3 (trial 8 against trial 7) is sealed and waits: 0 of 6 have voted. Seal its next sitting on the page "
        "Series, or end it there, before you search on."
    )
    seal(here, third)
    assert "Its sitting is on the bench" in of_worth.stop_line(
        replace(sure, finals=next_by_worth(notebook, here.brief_id, two).finals)
    )
    series_sittings.end(notebook, third.id, "no more of it")
    over = next_by_worth(notebook, here.brief_id, two)
    assert [one.over for one in over.finals] == [True] * 3
    of_8 = replace(over, standing=replace(over.standing, foreseen_loss=0.0, pick=1))
    assert of_worth.stop_line(of_8).startswith(
        "Trial 8 has had its final against trial 7, and that did not end in keep."
    )
    assert "125 times louder" in of_worth.stop_line(of_8)
    of_7 = replace(of_8, standing=replace(of_8.standing, pick=0))
    assert "3 finals of this brief did not end in keep, so any other is asked to speak 125 times louder" in (
        of_worth.stop_line(of_7)
    )
    told = " ".join(of_series.series_lines(first.series, found(here, first).added, ("7", "8")))
    assert re.search(
        r"The answers speak [\d.]+ to 1 against trial 8; to keep it they would have to speak 25 to 1 for it", told
    )


def test_votes_of_one_day_count_once(notebook: Any) -> None:
    here = scene(notebook, 5)
    sealed = a_final(here, 5)
    vote(here, sealed, {})
    vote(here, sealed, {})
    assert (found(here, sealed).word, len(found(here, sealed).added.again)) == (OPEN, 5)
    a_day_later(here)
    vote(here, sealed, {})
    seen = found(here, sealed)
    assert (seen.word, seen.added.last.answers, seen.added.repeats, seen.fresh) == (KEEP, 10, True, False)


def test_noses_that_met_the_two_before_and_makers_are_told(notebook: Any) -> None:
    here = scene(notebook, 9)
    before = here.smelling(people=6, method="preference", confirmed=())
    begun(notebook, before.id)
    answer_by_worth(notebook, before.id, lambda seat, letter: float(letter == "B"))
    bench.close(notebook, before.id)
    findings.open_session(notebook, before.id)
    sealed = a_final(here, 9, makers=here.panelist_ids[:2])
    vote(here, sealed, {})
    seen = found(here, sealed)
    assert (seen.word, seen.met_before, seen.makers_voted, seen.fresh) == (KEEP, 6, 2, False)
    assert seen.without_makers is not None
    assert (seen.without_makers.word, seen.without_makers.last.answers) == (OPEN, 7)


def test_noses_met_the_two_in_sessions_that_were_never_opened_too(notebook: Any) -> None:
    """A void one is told apart by its votes as well: who remembers a choice needs no key for that."""
    here = scene(notebook, 9)
    before = here.smelling(people=6, method="preference", confirmed=())
    begun(notebook, before.id)
    answer_by_worth(notebook, before.id, lambda seat, letter: float(letter == "B"))
    bench.close(notebook, before.id)
    sealed = a_final(here, 9)
    vote(here, sealed, {})
    assert (found(here, sealed).met_before, found(here, sealed).fresh) == (6, False)
    bench.void(notebook, before.id, "the strips were mixed up")
    assert (found(here, sealed).met_before, found(here, sealed).fresh) == (6, False)


def test_a_decision_reads_the_logs_of_all_sittings_of_a_series(notebook: Any) -> None:
    """The newest stands for all of them: one that was altered, or taken out of the series, must not go unseen."""
    here = scene(notebook, 10)
    sealed = a_final(here, 10)
    one = vote(here, sealed, dict.fromkeys((1, 2, 3), -1.0) | {4: 0.0, 5: 0.0})
    a_day_later(here)
    vote(here, sealed, {1: 0.0})
    assert decide.outcome(notebook, here.brief_id).proposal.rule == KEPT
    assert series_sittings.series_stands(notebook, found(here, sealed))
    with notebook.writing() as tx:
        tx.book._desk.change(update(rows.sessions).where(rows.sessions.c.id == one.id).values(series_id=None))
    assert not series_sittings.series_stands(notebook, found(here, sealed))
    assert found(here, sealed).added.last.answers == 10
    assert decide.outcome(notebook, here.brief_id).proposal.rule == BROKEN


def test_what_is_preferred_after_a_final_takes_its_keep_away(notebook: Any) -> None:
    """Else twelve of twelve for the other trial would stand below "keep"."""
    here = scene(notebook, 12)
    vote(here, a_final(here, 12), {})
    a_day_later(here)
    assert decide.outcome(notebook, here.brief_id).proposal.rule == KEPT
    later = here.smelling(people=12, method="preference", confirmed=("not noticed", "noticed"))
    begun(notebook, later.id)
    answer_by_worth(notebook, later.id, lambda seat, letter: float(letter == "A"))
    bench.close(notebook, later.id)
    findings.open_session(notebook, later.id)
    bears = decide.outcome(notebook, here.brief_id).proposal
    assert (bears.rule, bears.word, bears.trial_id) == (ONE_LEADS, LEAD, here.trial_ids[0])


def test_a_final_may_ask_which_is_nearer_the_brief(notebook: Any) -> None:
    here = scene(notebook, 9)
    sealed = a_final(here, 9, question="nearer")
    vote(here, sealed, {})
    assert found(here, sealed).word == KEEP


def test_the_simpler_one_by_few_enough_who_tell_them_apart(notebook: Any) -> None:
    here = scene(notebook, 8)
    sealed = a_final(here, 8, question="simpler", cap=200)
    for _ in range(2):
        a_day_later(here)
        tell_apart(here, sealed, lambda seat, place: seat == 1)
    assert found(here, sealed).word == KEEP


@pytest.mark.parametrize(
    ("changes", "said"),
    [({"cap": 8, "alpha": Decimal("0.01")}, "cap must let the evidence reach 125 to 1"), ({"cap": 5}, "cap must be")],
)
def test_a_final_that_could_never_speak_is_refused(notebook: Any, changes: dict[str, Any], said: str) -> None:
    here = scene(notebook, 4)
    with pytest.raises(ArgumentError, match=said):
        a_final(here, 4, **changes)
    assert series_sittings.series_of(notebook, here.brief_id) == ()


def test_a_brief_begun_anew_with_the_same_formula_goes_on_counting(notebook: Any) -> None:
    """Else a final that failed could be forgotten by writing its trials into another brief."""
    here, other, third = scene(notebook, 5), scene(notebook, 5), scene(notebook, 5)
    peel, moss = Material("m1", "Cold-pressed peel", "top", made_at=5), Material("m2", "Oakmoss", "base", made_at=6)
    one, both = (Line(peel, Decimal(100)),), (Line(peel, Decimal(50)), Line(moss, Decimal(50)))
    with notebook.writing() as tx:
        tx.skin.add_material(peel)
        tx.skin.add_material(moss)
        for brief, lines in ((here, one), (other, one), (third, both)):
            tx.formulas.write(brief.trial_ids[1], Formula(lines, out_of=Decimal(100)))
    failed = a_final(here, 5)
    vote(here, failed, dict.fromkeys(range(1, 6), -1.0))
    assert found(here, failed).word == GAVE_UP
    assert [len(series_sittings.finals_not_kept(notebook, one.brief_id)) for one in (here, other, third)] == [1, 1, 0]
