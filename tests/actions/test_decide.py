"""From sealed sessions to a decision on record, through the actions people use."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import aims, bench, book, decide, findings
from evaluation.blinding import correct_value
from evaluation.briefs import Target
from evaluation.errors import ArgumentError
from evaluation.sessions import Question, Session
from evaluation.wording_decisions import headline
from tests.scenes import Scene, answer_all, answer_by_worth, ballots, key_of, scene


def preferred(made: Scene) -> Session:
    """A closed preference in which everybody likes the second trial."""
    session = made.smelling(method="preference", confirmed=())
    answer_by_worth(made.notebook, session.id, lambda seat, letter: float(letter == "B"))
    return bench.close(made.notebook, session.id)


def triangles(made: Scene) -> Session:
    """A closed triangle session in which everybody is right."""
    session = made.smelling()
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
