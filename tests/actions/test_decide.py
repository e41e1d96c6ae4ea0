"""From sealed sessions to a decision on record, through the actions people use."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import aims, bench, book, decide, findings
from evaluation.actions.collect import COLLECTORS
from evaluation.deciding.claims import together
from evaluation.deciding.evidence import Evidence, Point, frozen, thawed
from evaluation.errors import ArgumentError, Damaged
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Question, Serving, Session
from evaluation.values.briefs import Target
from evaluation.wording.of_decisions import headline, said_line, would_change
from evaluation.wording.of_evidence import gap_words, point_words
from evaluation.wording.of_next_smellings import next_words
from evaluation.wording.of_verdicts import sentence
from tests.actions.test_findings_skin import answered, directed
from tests.methods import ALL_METHODS
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
    sequence = findings.findings(notebook, session.id).found[0].sequence
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
    assert (found.proposal.word, found.proposal.trial_id) == ("lead", made.trial_ids[1])
    told = headline(found.proposal, found.evidence)
    among = "found among 2 comparisons of two trials in 2 opened sessions"
    assert told.startswith(f"Lead: trial 8, {among}: against trial 7, noticed, preferred by 8 of 8 people")
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
    assert headline(found.proposal, found.evidence).startswith("Smell again trial 8: ")


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
    assert tuple(map(gap_words, session.gaps)) == (
        "Targets that were not rated here, and are no part of the distance: green at 999 min.",
    )
    assert (found.proposal.word, found.proposal.trial_id) == ("lead", made.trial_ids[1])
    assert "nearer the targets of the brief" in headline(found.proposal, found.evidence)


def test_targets_written_after_opening_are_shown_and_weigh_nothing(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, rated(made).id)
    aims.save_targets(notebook, made.brief_id, (Target("woody", "at least", Decimal(8)),))
    found = decide.outcome(notebook, made.brief_id)
    far = next(one for one in found.evidence.points if one.topic == "distance to the brief")
    assert (far.seen_from(made.trial_ids[0]).outcome, far.weighs) == ("second", False)
    assert "decides nothing" in told_of(found.evidence, far)
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
    assert (found.proposal.word, found.proposal.trial_id) == ("lead", eight)


def test_camps_of_a_round_propose_nothing(notebook: Any) -> None:
    made = scene(notebook)
    session = made.smelling(method="round", trials=3, replicates=4)
    answer_by_worth(notebook, session.id, lambda seat, letter: "ABC".index(letter) * (1.0 if seat % 2 else -1.0))
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    found = decide.outcome(notebook, made.brief_id)
    assert found.proposal.rule == "opposite camps"
    assert "two camps" in headline(found.proposal, found.evidence)


# --- what a sentence may claim --------------------------------------------------------------------------------------


def shown_next(notebook: Any, made: Scene) -> str:
    found = decide.outcome(notebook, made.brief_id)
    return " ".join(" ".join(next_words(one, found.evidence)) for one in found.next)


def test_two_trials_of_an_opened_profile_were_compared(notebook: Any) -> None:
    """ "Nobody has compared these two blind" stood above an opened profile of the two."""
    made = scene(notebook)
    assert "Nobody has compared these two blind" in shown_next(notebook, made)
    findings.open_session(notebook, rated(made).id)
    told = shown_next(notebook, made)
    assert "Nobody has compared" not in told
    assert "They were rated in one session; which of them people want was not asked." in told


def test_a_pair_of_a_round_that_nobody_answered_about_is_not_held_against_anything(notebook: Any) -> None:
    made = scene(notebook)
    session = made.smelling(method="round", trials=4, pairs_each=2)
    answer_by_worth(notebook, session.id, lambda seat, letter: "ABCD".index(letter) * 1.0, people=1)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    seen = decide.evidence(notebook, made.brief_id)
    silent = [one for one in seen.points if not one.weighs]
    assert (len(silent), len(seen.points)) == (4, 6)  # one person came, two pairs of six
    for one in silent:
        assert told_of(seen, one).startswith("Nobody answered about trials ")
        assert together(seen, one.first_id, one.second_id).sessions == ()
    assert decide.outcome(notebook, made.brief_id).proposal.among.comparisons == len(seen.points) - len(silent)


def told_of(seen: Evidence, point: Point) -> str:
    session = next(one for one in seen.sessions if point in one.points)
    return point_words(point, session, seen)


def all_late(made: Scene, **changes: Any) -> Session:
    """A closed session of which the sealed rule leaves out every answer: all were smelt late."""
    session = triangles(made, left_out=("wrong strip", "ruined strip", "unblinded", "late"), **changes)
    for seat in range(1, 9):
        bench.note_deviation(made.notebook, session.id, seat, "late", "the room was locked")
    return session


def test_where_every_answer_came_late_the_reason_is_told_and_nobody_is_asked_for_more_people(notebook: Any) -> None:
    made = scene(notebook)
    session = all_late(made)
    findings.open_session(notebook, session.id)
    found = findings.findings(notebook, session.id)
    why = "8 of 8 answers were smelt late, so none counts"
    assert (
        sentence(found.found[0].entries[0], found.context.names, found.found[0].loss_of(found.found[0].entries[0]))
        == f"Undecided: {why}."
    )
    seen = decide.outcome(notebook, made.brief_id)
    assert told_of(seen.evidence, seen.evidence.points[0]) == f"Undecided: {why}."
    assert headline(seen.proposal, seen.evidence) == f"Smell again trial 8: {why} (trials 7 and 8)."
    told = " ".join((*would_change(seen.proposal, seen.evidence), shown_next(notebook, made)))
    assert "each strip smelt at its age. More people would not change it." in told
    assert "more assessments" not in told
    assert (seen.next[0].method, seen.next[0].assessments) == ("triangle", 8)  # as it was planned


def test_a_round_of_which_nothing_counts_says_why(notebook: Any) -> None:
    made = scene(notebook)
    kinds = ("wrong strip", "ruined strip", "unblinded", "overheard")
    session = made.smelling(method="round", trials=3, left_out=kinds)
    answer_by_worth(notebook, session.id, lambda seat, letter: float(letter == "B"))
    bench.close(notebook, session.id)
    for seat in range(1, 9):
        bench.note_deviation(notebook, session.id, seat, "overheard", "the door stood open")
    findings.open_session(notebook, session.id)
    seen = decide.outcome(notebook, made.brief_id)
    assert seen.proposal.rule == "no answer counts"
    assert "24 of 24 sets were left out (overheard), so none counts" in told_of(seen.evidence, seen.evidence.points[0])
    assert "More people would not change it" in shown_next(notebook, made)
    assert [one.method for one in seen.next].count("round") == 1  # once, not for each of its pairs


def test_what_most_people_called_a_trial_stands_beside_its_lead(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, preferred(made).id)  # whoever answers takes the first offer: "very weak"
    seen = decide.outcome(notebook, made.brief_id)
    assert seen.proposal.trial_id == made.trial_ids[1]
    assert "; but 8 of 8 people called it weak or very weak." in headline(seen.proposal, seen.evidence)
    told = [said_line(one, seen.evidence) for session in seen.evidence.sessions for one in session.said]
    assert "Of trial 8, how strong it is: 8 very weak (8 people)." in told
    decision = decide.decide(notebook, made.brief_id, made.trial_ids[1], "keep", "they want it anyhow")
    assert decide.as_it_stood(decision).sessions == seen.evidence.sessions


def test_a_decision_answers_the_proposal_until_more_is_opened(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, preferred(made).id)

    def answers() -> tuple[Any, ...]:
        return decide.answered(decide.outcome(notebook, made.brief_id), decide.record(notebook, made.brief_id))

    assert answers() == ()
    decide.decide(notebook, made.brief_id, made.trial_ids[0], "rework", "another trial: answers nothing")
    assert answers() == ()
    kept = decide.decide(notebook, made.brief_id, made.trial_ids[1], "keep", "liked by all")
    assert answers() == (kept,)
    findings.open_session(notebook, triangles(made).id)
    assert answers() == ()


def test_a_trial_dropped_on_record_is_not_asked_about(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, triangles(made).id)
    assert decide.outcome(notebook, made.brief_id).next != ()
    dropped = decide.decide(notebook, made.brief_id, made.trial_ids[0], "drop", "never liked")
    assert decide.outcome(notebook, made.brief_id).next == ()
    decide.decide(notebook, made.brief_id, made.trial_ids[0], "smell again", "after all", dropped.id)
    assert decide.outcome(notebook, made.brief_id).next != ()


def test_every_kind_of_session_has_a_collector() -> None:
    assert all(COLLECTORS.get(method) for method in ALL_METHODS)


# --- facts, and words made of them ------------------------------------------------------------------------------------


def looked_at(made: Scene) -> Session:
    return triangles(made, look_every=4, replicates=1)


@pytest.mark.parametrize("of", ["triangle", "preference", "looks", "profile", "round", "ranking"])
def test_evidence_freezes_facts_and_gives_the_same_words_back(notebook: Any, of: str) -> None:
    """What is frozen holds no sentence, and what is thawed says to the letter what is said now."""
    made = scene(notebook)
    held = {"triangle": triangles, "preference": preferred, "looks": looked_at, "profile": rated}
    session = held[of](made) if of in held else ranked(made, of)
    findings.open_session(notebook, session.id)
    seen = decide.evidence(notebook, made.brief_id)
    told = [told_of(seen, one) for one in seen.points]
    assert told
    text = frozen(seen)
    assert not any(one in text for one in told)
    back = thawed(text)
    assert back == seen
    assert [told_of(back, one) for one in back.points] == told
    gaps = [gap_words(one) for session in seen.sessions for one in session.gaps]
    assert [gap_words(one) for session in back.sessions for one in session.gaps] == gaps
    assert not any(one in text for one in gaps)


def test_evidence_frozen_with_sentences_is_told_as_it_was_written(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, triangles(made).id)
    old = json.loads(frozen(decide.evidence(notebook, made.brief_id)))
    (point,) = old["value"]["sessions"][0]["points"]
    del point["facts"]
    point["sentence"] = "Noticed: in the words of that day."
    old["value"]["sessions"][0]["gaps"] = ["What was missing then."]
    back = thawed(json.dumps(old))
    assert [told_of(back, one) for one in back.points] == ["Noticed: in the words of that day."]
    assert [gap_words(one) for one in back.sessions[0].gaps] == ["What was missing then."]


@pytest.mark.parametrize("spoilt", ["1e-999999999", "9" * 400, 7, "nonsense"])
def test_a_spoilt_number_in_frozen_evidence_is_one_sentence_and_no_gigabyte(notebook: Any, spoilt: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, triangles(made).id)
    kept = decide.decide(notebook, made.brief_id, made.trial_ids[0], "keep", "as the panel had it")
    old = json.loads(kept.evidence)
    old["value"]["sessions"][0]["alpha"] = spoilt
    with pytest.raises(ArgumentError, match="alpha must be a number written out as text, not"):
        decide.as_it_stood(replace(kept, evidence=json.dumps(old)))
    del old["value"]["sessions"][0]["alpha"]
    with pytest.raises(Damaged, match="holds what the program never wrote"):
        decide.as_it_stood(replace(kept, evidence=json.dumps(old)))


def test_which_is_nearer_is_told_by_its_own_words(notebook: Any) -> None:
    made = scene(notebook)
    findings.open_session(notebook, preferred(made).id)
    seen = decide.evidence(notebook, made.brief_id)
    liked = next(one for one in seen.points if one.topic == "preferred")
    near = next(one for one in seen.points if one.topic == "held nearer the brief")
    assert told_of(seen, liked).startswith("Trial 8 preferred: 8 of 8 people for trial 8")
    assert told_of(seen, near).split(": ")[0] in {"Trial 7 nearer the brief", "Trial 8 nearer the brief"} | {
        "Neither shown nearer"
    }


def ranked(made: Scene, method: str) -> Session:
    session = made.smelling(method=method, trials=3)
    answer_by_worth(made.notebook, session.id, lambda seat, letter: "ABC".index(letter) * 1.0)
    return bench.close(made.notebook, session.id)
