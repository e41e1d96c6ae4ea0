"""Ballots, links and answers (evaluation/store/ballots.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from evaluation.errors import AlreadyAnswered, ArgumentError, NotFound, StateError
from evaluation.store import Notebook, read_body
from tests.store.prepared import count, held


def test_a_locked_answer_comes_back_with_its_record(notebook: Notebook) -> None:
    made = held(notebook)
    choice, sure = made.answer(2), made.answer(2, "sure", value="fairly sure")
    made.lock(choice, sure)
    with notebook.reading() as tx:
        assert tx.ballots.answers(choice.ballot_id) == (choice, sure)
        assert tx.ballots.answers(made.ballot_ids[0]) == ()
        assert tx.ballots.session_answers(made.id) == (choice, sure)
        bodies = [read_body(one) for one in tx.log.records(made.id) if one.kind == "answer"]
    assert [body["value"] for body in bodies] == [choice.value, "fairly sure"]
    assert made.verifies()


def test_a_locked_answer_is_final(notebook: Notebook) -> None:
    made = held(notebook)
    answer = made.answer(1)
    made.lock(answer)
    before = count(notebook, "records")
    with pytest.raises(AlreadyAnswered, match="already answered"):
        made.lock(replace(answer, value=made.servings(1)[0].codes[1]))
    with notebook.reading() as tx:
        assert tx.ballots.answers(answer.ballot_id) == (answer,)
    assert count(notebook, "records") == before


def test_a_question_of_the_whole_session_is_final_too(notebook: Notebook) -> None:
    made = held(notebook)
    overheard = replace(made.answer(1, "overheard", value="no"), serving_id="")
    made.lock(overheard)
    with pytest.raises(AlreadyAnswered):
        made.lock(replace(overheard, value="yes"))
    made.lock(replace(overheard, ballot_id=made.ballot_ids[1]))
    assert count(notebook, "answers") == 2


def test_answers_are_locked_all_or_none(notebook: Notebook) -> None:
    made = held(notebook)
    choice, sure = made.answer(1), made.answer(1, "sure", value="sure")
    made.lock(sure)
    with pytest.raises(AlreadyAnswered):
        made.lock(choice, sure)
    with notebook.reading() as tx:
        assert tx.ballots.answers(choice.ballot_id) == (sure,)
    assert made.verifies()


@pytest.mark.parametrize("state", ["sealed", "closed", "opened"])
def test_answers_are_taken_only_while_smelling(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with pytest.raises(StateError, match="no answers are taken"):
        made.lock(made.answer(1))
    assert count(notebook, "answers") == 0


def test_a_finished_ballot_takes_no_more(notebook: Notebook) -> None:
    made = held(notebook)
    ballot_id = made.ballot_ids[0]
    with notebook.writing() as tx:
        finished = tx.ballots.finish(ballot_id)
    with notebook.writing() as tx:
        assert tx.ballots.finish(ballot_id) == finished
        assert [one.kind for one in tx.log.records(made.id)].count("finish") == 1
    assert finished.finished_at is not None
    with pytest.raises(StateError, match="finished"):
        made.lock(made.answer(1))
    made.lock(made.answer(2))
    assert made.verifies()


def test_an_answer_is_about_a_set_of_its_own_ballot(notebook: Notebook) -> None:
    made = held(notebook)
    other = made.answer(2)
    with pytest.raises(NotFound, match="No such serving at this seat"):
        made.lock(replace(other, ballot_id=made.ballot_ids[0]))
    with pytest.raises(NotFound, match="No such serving at this seat"):
        made.lock(replace(other, serving_id="nothing"))
    with pytest.raises(ArgumentError, match="same for all"), notebook.writing() as tx:
        tx.ballots.lock(made.ballot_ids[0], [other])
    with pytest.raises(StateError, match="withdrawn"):
        made.lock(replace(other, serving_id=made.servings(2)[-1].id))
    assert count(notebook, "answers") == 0


def test_a_remark_is_an_answer_whose_words_can_be_taken_back(notebook: Notebook) -> None:
    made = held(notebook)
    remark = made.answer(1, "remark", value="smells of Tobias' garage")
    made.lock(made.answer(1), remark)
    with notebook.reading() as tx:
        assert tx.ballots.answers(remark.ballot_id)[1] == remark
        assert "garage" not in "".join(one.body for one in tx.log.records(made.id))
    with notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
    with notebook.reading() as tx:
        assert tx.ballots.answers(remark.ballot_id)[1] == replace(remark, value="")
    assert made.verifies()


def test_a_link_is_known_by_its_hash_until_a_higher_issue(notebook: Notebook) -> None:
    made = held(notebook, "sealed")
    ballot = made.ballot(1)
    with notebook.writing() as tx:
        assert tx.ballots.by_token("first") is None
        tx.ballots.set_token(ballot.id, 1, "first")
        tx.ballots.set_token(ballot.id, 1, "first")
        assert tx.ballots.by_token("first") == ballot
        tx.ballots.set_token(ballot.id, 2, "second")
    with notebook.reading() as tx:
        assert tx.ballots.by_token("first") is None
        assert tx.ballots.by_token("second") == replace(ballot, issue=2) == tx.ballots.ballot(ballot.id)
    with pytest.raises(ArgumentError, match="must not go back"), notebook.writing() as tx:
        tx.ballots.set_token(ballot.id, 1, "first")
    with pytest.raises(ArgumentError, match="token"), notebook.writing() as tx:
        tx.ballots.set_token(made.ballot_ids[1], 1, "second")


def test_no_such_ballot_is_said_by_every_verb(notebook: Notebook) -> None:
    calls = {"ballot": (), "set_token": (1, "t"), "finish": (), "lock": ((),), "groups_for": ()}
    for verb, arguments in calls.items():
        with pytest.raises(NotFound, match=r"^No such ballot\.$"), notebook.writing() as tx:
            getattr(tx.ballots, verb)("nothing", *arguments)


# --- drafts -------------------------------------------------------------------------------------------------------


def test_the_latest_draft_of_each_question_counts_and_none_is_an_answer(notebook: Notebook) -> None:
    made = held(notebook)
    mine, serving, other = made.ballot_ids[0], made.servings(1)[0].id, made.servings(2)[0].id
    before = count(notebook, "records")
    with notebook.writing() as tx:
        for question, value in (("rate woody", "3.0"), ("rate green", "yes"), ("rate woody", "4.5")):
            tx.ballots.draft(mine, serving, question, value)
    with notebook.reading() as tx:
        assert tx.ballots.drafts(mine, serving) == {"rate woody": "4.5", "rate green": "yes"}
        assert tx.ballots.drafts(made.ballot_ids[1], other) == {}
        assert tx.ballots.answers(mine) == tx.ballots.session_answers(made.id) == ()
    assert (count(notebook, "answers"), count(notebook, "records")) == (3, before), "kept, and no part of the chain"
    made.lock(replace(made.answer(1, "rate woody", value="4.5"), serving_id=serving))
    assert made.verifies()


def test_drafts_are_taken_for_an_own_set_while_the_session_runs(notebook: Notebook) -> None:
    made = held(notebook)
    own, other = made.servings(1)[0].id, made.servings(2)[0].id
    with pytest.raises(NotFound), notebook.writing() as tx:
        tx.ballots.draft(made.ballot_ids[0], other, "rate woody", "3.0")
    with notebook.writing() as tx:
        tx.sittings.advance(made.id, "close")
    with pytest.raises(StateError, match="no answers are taken"), notebook.writing() as tx:
        tx.ballots.draft(made.ballot_ids[0], own, "rate woody", "3.0")
    assert count(notebook, "answers") == 0
