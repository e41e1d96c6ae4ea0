"""What to smell next by its worth: what it looks at, what it proposes, and the plan that asks it, played to the end."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from sqlalchemy import update

from evaluation.actions import bench, book, decide, findings, seal
from evaluation.actions import plan as planning
from evaluation.actions.round_findings import round_findings
from evaluation.actions.tonight import next_by_worth, plan_tonight
from evaluation.deciding.worth import NextByWorth, Tonight
from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.report import brief as brief_report
from evaluation.report import export
from evaluation.sessions import Plan, Session
from evaluation.store.rows import records
from evaluation.wording import of_rounds, of_worth
from tests.scenes import SEED, Scene, answer_by_worth, scene


def open_(made: Scene, session: Session) -> Session:
    bench.close(made.notebook, session.id)
    return findings.open_session(made.notebook, session.id)


def opened(made: Scene, likes: str, **changes: Any) -> Session:
    """A session in which everybody likes trials in this order of letters, the best first."""
    session = made.smelling(**changes)
    answer_by_worth(made.notebook, session.id, lambda _, letter: -likes.index(letter))
    return open_(made, session)


def proposed(made: Scene, people: int = 5, strips: int = 12, **more: Any) -> NextByWorth:
    return next_by_worth(made.notebook, made.brief_id, Tonight(made.panelist_ids[:people], strips, **more))


def test_nothing_opened_still_proposes_from_the_lineage(notebook: Any) -> None:
    made = scene(notebook)
    made.trials(4)
    found = proposed(made)
    assert (found.answers, found.sessions, found.panel) == (0, 0, 5)
    assert [len(own) for own in found.asked] == [6] * 5
    assert found.strips == 60
    assert sum(chance for _, chance in found.chances) == pytest.approx(1)
    assert "No preference was opened yet" in of_worth.belief_line(found)
    told = " ".join(getattr(one, "text", "") for one in brief_report.report(notebook, made.brief_id).blocks)
    assert "No preference was opened yet" not in told
    assert of_worth.stop_line(found).startswith("Go on searching.")


def test_what_is_liked_is_believed_and_asked_about_most(notebook: Any) -> None:
    made = scene(notebook)
    made.trials(4)
    opened(made, "CBAD", method="round", trials=4)
    found = proposed(made)
    assert (found.answers, found.sessions, found.panel) == (48, 1, 8)
    assert found.pick.label == "9"
    told = " ".join(getattr(one, "text", "") for one in brief_report.report(notebook, made.brief_id).blocks)
    assert "The model has seen 48 preferences from 1 opened session." in told
    assert "never a verdict" in told
    first = Counter(trial for own in found.asked for pair in own for trial in pair)
    assert first.most_common(1)[0][0] == found.pick.id


def test_sealed_and_closed_sessions_say_nothing(notebook: Any) -> None:
    made = scene(notebook)
    made.trials(3)
    session = made.smelling(method="round", trials=3)
    answer_by_worth(notebook, session.id, lambda _, letter: -"CBA".index(letter))
    before = proposed(made)
    bench.close(notebook, session.id)
    closed = proposed(made)
    assert (before.answers, closed.answers) == (0, 0)
    assert closed.asked == before.asked
    findings.open_session(notebook, session.id)
    assert proposed(made).answers == 24


@pytest.mark.parametrize(
    ("method", "answers"),
    [("preference", 8), ("round", 24), ("ranking", 16), ("triangle", 0), ("profile", 0)],
)
def test_each_kind_gives_its_preferences_and_no_more(notebook: Any, method: str, answers: int) -> None:
    """Eight people: one choice of two, three pairs, two neighbours in a ranking; no preference by telling apart."""
    made = scene(notebook)
    made.trials(3)
    if method in ("triangle", "profile"):
        session = made.smelling(method=method, **({"trials": 3} if method == "profile" else {}))
        open_(made, session)
    else:
        opened(made, "BAC", method=method, **({"trials": 3} if method != "preference" else {"confirmed": ()}))
    assert proposed(made).answers == answers


def test_an_altered_log_teaches_nothing(notebook: Any) -> None:
    made = scene(notebook, people=3)
    made.trials(3)
    session = opened(made, "CBA", method="round", trials=3)
    assert proposed(made, 3).answers == 9
    with notebook.writing() as tx:
        mine = records.c.session_id == session.id
        tx._desk.connection.execute(update(records).where(mine & (records.c.sequence == 2)).values(hash="f" * 64))
    assert proposed(made, 3).answers == 0


def test_a_dropped_trial_is_out_of_the_running(notebook: Any) -> None:
    made = scene(notebook, people=3)
    trials = made.trials(4)
    opened(made, "CBAD", method="round", trials=4)
    decide.decide(notebook, made.brief_id, trials[2], "drop", "The client does not want it.")
    found = proposed(made)
    assert found.pick.id != trials[2]
    assert trials[2] not in found.asked_trials
    assert len(found.chances) == 3


def test_the_same_situation_proposes_the_same_and_others_do_not(notebook: Any) -> None:
    made = scene(notebook)
    made.trials(5)
    one, again, fewer, four = proposed(made), proposed(made), proposed(made, strips=8), proposed(made, people=4)
    assert (one.asked, one.seed) == (again.asked, again.seed)
    assert len({one.seed, fewer.seed, four.seed}) == 3


def test_minutes_limit_the_pairs(notebook: Any) -> None:
    made = scene(notebook)
    made.trials(4)
    assert [len(own) for own in proposed(made, minutes=10).asked] == [2] * 5


@pytest.mark.parametrize(("tonight", "named"), [(Tonight((), 12), "people"), (Tonight(("a",), 1), "strips a nose")])
def test_nobody_or_no_strips_are_refused(notebook: Any, tonight: Tonight, named: str) -> None:
    made = scene(notebook)
    made.trials(3)
    with pytest.raises(ArgumentError, match=named):
        next_by_worth(notebook, made.brief_id, tonight)


# --- the plan ---------------------------------------------------------------------------------------------------------


def sealed_plan(made: Scene, found: NextByWorth) -> Session:
    draft = plan_tonight(made.notebook, found)
    confirmed = replace(draft.plan, confirmed=planning.foreseen(draft.plan).to_confirm)
    planning.change_draft(made.notebook, draft.id, confirmed)
    return seal.seal(made.notebook, draft.id, SEED)


@pytest.mark.parametrize("people", [1, 3])
def test_the_proposal_is_sealed_served_answered_and_learnt_from(notebook: Any, people: int) -> None:
    made = scene(notebook)
    made.trials(5)
    found = proposed(made, people)
    session = bench.start(notebook, sealed_plan(made, found).id)
    letters = dict(zip("ABCDEFGH", session.plan.trial_ids, strict=False))
    assert session.plan.trial_ids == found.asked_trials
    assert session.plan.design.asked_seed == found.seed
    with notebook.reading() as tx:
        served = tx.sittings.servings(session.id)
    worthy = {trial: at for at, trial in enumerate(found.asked_trials)}
    answer_by_worth(notebook, session.id, lambda _, letter: worthy[letters[letter]])
    open_(made, session)
    with notebook.reading() as tx:
        orders = dict(tx.key.open_key(session.id).orders)
    for seat, asked in enumerate(found.asked, start=1):
        smelt = Counter(
            frozenset(letters[one] for one in orders[s.id]) for s in served if s.seat == seat and not s.spare
        )
        assert smelt == Counter(map(frozenset, asked))
    again = proposed(made, people)
    assert again.answers == 6 * people
    assert again.seed != found.seed
    part = round_findings(notebook, session.id).found[0]
    assert part.came.counted == 6 * people
    assert {frozenset((one.first, one.second)) for one in part.pairs} == {
        frozenset(session.plan.trial_ids.index(trial) for trial in (pair.first_id, pair.second_id))
        for pair in found.pairs
    }
    with export.opened(export.export(notebook, session.id)) as copy, copy.notebook.reading() as tx:
        assert tx.sittings.session(session.id).plan == session.plan
    told = " ".join(of_rounds.plan_lines(session.plan, part.names))
    assert f"drawn with seed {found.seed}" in told
    points = decide.outcome(notebook, made.brief_id).evidence.points
    assert {one.pair for one in points} == {frozenset((pair.first_id, pair.second_id)) for pair in found.pairs}


def test_two_trials_are_a_preference(notebook: Any) -> None:
    made = scene(notebook)
    found = proposed(made)
    assert (found.each, found.strips) == (1, 10)
    draft = plan_tonight(notebook, found)
    assert (draft.plan.method, draft.plan.trial_ids, draft.plan.people) == ("preference", made.trial_ids, 5)


def test_a_plan_without_a_proposal_is_spelt_as_before(notebook: Any) -> None:
    made = scene(notebook)
    plain = made.plan(method="round", trials=3)
    assert b"asked_" not in canonical(plain)
    with_pairs = plan_tonight(notebook, proposed(made, 2)).plan if len(made.trials(3)) == 3 else plain
    said = with_pairs.as_sealed()
    assert said["asked_pairs"]
    assert Plan.of(**said) == with_pairs


@pytest.mark.parametrize(
    "asked",
    [
        ("AB AC", "AB"),  # not as many for each
        ("AB AD", "AB AC"),  # no such trial
        ("AB AB", "AB AB"),  # the third trial is never smelt
        ("AB BC",),  # two people
        ("BA AC", "AB AC"),  # letters in order, the draw turns them
        ("AA BC", "AB AC"),
    ],
)
def test_pairs_that_do_not_fit_are_refused(notebook: Any, asked: tuple[str, ...]) -> None:
    made = scene(notebook, people=2)
    with pytest.raises(ArgumentError, match="pairs chosen beforehand"):
        made.plan(method="round", trials=3, asked_pairs=asked, asked_seed=1)


def test_only_rounds_take_chosen_pairs(notebook: Any) -> None:
    made = scene(notebook)
    with pytest.raises(ArgumentError, match="belong to a round"):
        made.plan(method="ranking", trials=3, asked_pairs=("AB",) * 8)
    with pytest.raises(ArgumentError, match="seed of chosen pairs"):
        made.plan(method="round", trials=3, asked_seed=5)


def test_a_line_begun_anew_and_bottles_are_taken_for_their_trials(notebook: Any) -> None:
    made = scene(notebook)
    book.add_trial(notebook, made.brief_id, "cedar", None, strength_percent=Decimal(10))
    found = proposed(made)
    assert [one.label for one in found.trials] == ["7", "8", "cedar"]
    assert plan_tonight(notebook, found).plan.kind.pairs
