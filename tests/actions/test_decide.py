"""From sealed sessions to a decision on record, through the actions people use."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import aims, bench, book, decide, findings
from evaluation.actions.collect import COLLECTORS
from evaluation.blinding import correct_value
from evaluation.briefs import Target
from evaluation.errors import ArgumentError
from evaluation.sessions import ALL_METHODS, Question, Serving, Session
from evaluation.wording_decisions import headline
from tests.actions.test_findings_skin import answered, directed
from tests.scenes import Scene, answer_all, answer_by_worth, answer_profile, ballots, key_of, scene
from tests.skin_scene import ready


def preferred(made: Scene) -> Session:
    """A closed preference in which everybody likes the second trial."""
    session = made.smelling(method="preference", confirmed=())
    answer_by_worth(made.notebook, session.id, lambda seat, letter: float(letter == "B"))
    return bench.close(made.notebook, session.id)


def triangles(made: Scene, **changes: Any) -> Session:
    """A closed triangle session in which everybody is right."""
    session = made.smelling(**changes)
    orders = dict(key_of(made.notebook, session.id).orders)

    def right(asked: Question) -> str:
        if asked.name != "choice":
            return asked.options[0]
        return correct_value("triangle", orders[asked.serving_id], asked.codes, "")

    for one in ballots(made.notebook, session.id):
        answer_all(made.notebook, one.id, right)
    return bench.close(made.notebook, session.id)


def test_nothing_leaks_before_a_session_is_opened(notebook: Any) -> None:
    made = scene(notebook)
    empty = decide.evidence(notebook, made.brief_id)
    for state in ("sealed", "smelling", "closed"):
        session = made.sealed() if state == "sealed" else made.smelling() if state == "smelling" else triangles(made)
        assert session.state == state
    seen = decide.evidence(notebook, made.brief_id)
    assert seen.sessions == empty.sessions == ()
    assert seen.waiting == 3
    assert decide.outcome(notebook, made.brief_id).proposal.rule == "nothing opened"
    void = bench.void(notebook, made.sealed().id, "rained off")
    assert void.state == "void"
    assert decide.evidence(notebook, made.brief_id) == seen


def test_evidence_shows_each_opened_session_and_bears_a_proposal(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, triangles(made).id)
    found = decide.outcome(notebook, made.brief_id)
    assert [(one.topic, one.outcome, one.people) for one in found.evidence.points] == [("noticed", "noticed", 8)]
    assert (found.proposal.rule, found.next[0].method) == ("told apart, no better one", "preference")


def test_a_session_with_looks_speaks_with_its_own_verdict(notebook: Any) -> None:
    made = scene(notebook)
    session = triangles(made, look_every=4, confirmed=("not noticed", "noticed"))
    findings.open_session(notebook, session.id)
    sequence = findings.findings(notebook, session.id).sequence
    assert sequence is not None
    points = decide.evidence(notebook, made.brief_id).points
    assert [(one.topic, one.outcome, one.weighs) for one in points] == [("noticed", sequence.verdict, True)]


def test_strip_and_skin_are_two_points_and_do_not_contradict(notebook: Any) -> None:
    made = scene(notebook, people=12)
    ready(notebook, made.trial_ids, made.panelist_ids)
    session = made.smelling(**directed())
    answered(made, session, {"strip": 12, "skin": 7})
    found = decide.outcome(notebook, made.brief_id)
    told = [(one.medium, one.minutes, one.outcome) for one in found.evidence.points]
    assert told == [("strip", 5, "noticed"), ("skin", 30, "undecided")]
    assert found.proposal.rule == "told apart, no better one"


def test_a_preference_and_a_difference_make_one_proposal_and_stay_two_sessions(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, triangles(made).id)
    session = preferred(made)
    findings.open_session(notebook, session.id)
    found = decide.outcome(notebook, made.brief_id)
    assert [one.session_id for one in found.evidence.sessions][-1] == session.id
    assert (found.proposal.word, found.proposal.trial_id) == ("keep", made.trial_ids[1])
    assert headline(found.proposal, found.evidence).startswith("Keep 8: against 7, noticed, preferred by 8 of 8 people")
    votes = [one for one in found.evidence.points if one.topic == "preferred" and one.weighs]
    assert [(one.for_first, one.for_second, one.people) for one in votes] == [(0, 8, 8)]


def test_a_decision_keeps_its_evidence_while_the_brief_goes_on(notebook: Any) -> None:
    made = scene(notebook)
    first = decide.decide(notebook, made.brief_id, made.trial_ids[1], "smell again", "nobody smelt it yet")
    findings.open_session(notebook, triangles(made).id)
    aims.save_targets(notebook, made.brief_id, (Target("woody", "at least", Decimal(6)),))
    second = decide.decide(notebook, made.brief_id, made.trial_ids[1], "keep", "plain to all", first.id)
    book.change_trial(notebook, made.trial_ids[1], changed="vetiver 2 to 4")
    record = decide.record(notebook, made.brief_id)
    assert record.holds
    assert record.decisions == (first, second)
    assert record.standing == (second,)
    assert decide.as_it_stood(first).sessions == ()
    frozen = decide.as_it_stood(second)
    assert [one.changed for one in frozen.trials] == ["", "vetiver 2 to 3"]
    assert frozen.sessions[0].targets_late
    assert decide.evidence(notebook, made.brief_id).trials[1].changed == "vetiver 2 to 4"


def test_frozen_evidence_names_nobody(notebook: Any) -> None:
    """So that a person can be erased while decisions stay as they were."""
    made = scene(notebook)
    findings.open_session(notebook, preferred(made).id)
    decision = decide.decide(notebook, made.brief_id, made.trial_ids[1], "keep", "liked")
    for panelist in book.panelists(notebook):
        assert panelist.alias not in decision.evidence
        assert panelist.id not in decision.evidence
        book.erase_panelist(notebook, panelist.id)
    assert decide.record(notebook, made.brief_id) == decide.Record((decision,), True)


def test_a_reason_is_required(notebook: Any) -> None:
    made = scene(notebook)
    with pytest.raises(ArgumentError, match="reason"):
        decide.decide(notebook, made.brief_id, made.trial_ids[0], "keep", "   ")
    assert decide.record(notebook, made.brief_id).decisions == ()


def test_the_proposal_names_the_trials_of_the_book(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, triangles(made).id)
    found = decide.outcome(notebook, made.brief_id)
    assert headline(found.proposal, found.evidence).startswith("Smell again 8: ")


def rated(made: Scene) -> Session:
    """A closed profile in which everybody finds the second trial woodier, by 3 to 4 points."""
    session = made.smelling(method="profile")

    def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
        more = 3 + seat / 10 if letter == "B" and word == "woody" else 0
        return f"{4 + more + (seat % 3) / 10:.1f}"

    answer_profile(made.notebook, session.id, rate)
    return bench.close(made.notebook, session.id)


def test_a_profile_says_what_moved_and_which_is_nearer_the_targets(notebook: Any) -> None:
    made = scene(notebook)
    aims.save_targets(
        notebook,
        made.brief_id,
        (Target("Woody", "at least", Decimal(8)), Target("green", "at most", Decimal(2), Decimal(999))),
    )
    findings.open_session(notebook, rated(made).id)
    found = decide.outcome(notebook, made.brief_id)
    session = found.evidence.sessions[0]
    moved = [(one.descriptor, one.outcome) for one in session.points if one.topic == "moved"]
    assert moved == [("woody", "second")]
    # people's mean gap to 8: 4 + (seat % 3) / 10 for the first trial, 3 + seat / 10 less for the second
    first = 4 - sum(seat % 3 for seat in range(1, 9)) / 80
    assert {one.trial_id: float(one.distance) for one in session.distances} == pytest.approx(
        {made.trial_ids[0]: first, made.trial_ids[1]: first - 3 - 4.5 / 10}
    )
    assert session.gaps == ("Targets that were not rated here, and are no part of the distance: green at 999 min.",)
    assert (found.proposal.word, found.proposal.trial_id) == ("keep", made.trial_ids[1])
    assert "nearer the targets of the brief" in headline(found.proposal, found.evidence)


def test_targets_written_after_opening_are_shown_and_weigh_nothing(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, rated(made).id)
    aims.save_targets(notebook, made.brief_id, (Target("woody", "at least", Decimal(8)),))
    found = decide.outcome(notebook, made.brief_id)
    far = next(one for one in found.evidence.points if one.topic == "distance to the brief")
    assert (far.seen_from(made.trial_ids[0]).outcome, far.weighs) == ("second", False)
    assert "decides nothing" in far.sentence
    assert found.proposal.word == ""


def test_a_round_says_who_prefers_what_of_every_two(notebook: Any) -> None:
    made = scene(notebook)
    session = made.smelling(method="round", trials=3)
    answer_by_worth(notebook, session.id, lambda seat, letter: float(letter == "B"))
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    found = decide.outcome(notebook, made.brief_id)
    votes = {
        (one.first_id, one.second_id): (one.for_first, one.for_second, one.outcome) for one in found.evidence.points
    }
    seven, eight, nine = made.trials(3)
    assert votes == {(seven, eight): (0, 8, "second"), (seven, nine): (0, 0, "neither"), (eight, nine): (8, 0, "first")}
    assert (found.proposal.word, found.proposal.trial_id) == ("keep", eight)


def test_camps_of_a_round_propose_nothing(notebook: Any) -> None:
    made = scene(notebook)
    session = made.smelling(method="round", trials=3, replicates=4)
    answer_by_worth(notebook, session.id, lambda seat, letter: "ABC".index(letter) * (1.0 if seat % 2 else -1.0))
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    found = decide.outcome(notebook, made.brief_id)
    assert found.proposal.rule == "opposite camps"
    assert "two camps" in headline(found.proposal, found.evidence)


def test_every_kind_of_session_has_a_collector() -> None:
    assert set(COLLECTORS) == set(ALL_METHODS)
