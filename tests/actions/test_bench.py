"""The bench (evaluation/actions/bench.py): preparation, progress, and what may happen on the way."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from evaluation.actions import ballot, bench, book
from evaluation.errors import ArgumentError, NotFound, StateError
from tests.scenes import Scene, answer_all, ballots, key_of, scene


@pytest.fixture
def here(notebook: Any) -> Scene:
    return scene(notebook)


def kinds(notebook: Any, session_id: str) -> list[str]:
    return [record.kind for record in bench.log(notebook, session_id)]


def deviations(notebook: Any, session_id: str) -> list[tuple[int, str, str]]:
    with notebook.reading() as tx:
        return [(one.seat, one.kind, one.reason) for one in tx.sittings.deviations(session_id)]


def test_start_close_and_void_are_logged_in_order(notebook: Any, here: Scene) -> None:
    session = here.sealed()
    assert bench.start(notebook, session.id).state == "smelling"
    assert bench.close(notebook, session.id).state == "closed"
    assert bench.void(notebook, session.id, "the vials were swapped").state == "void"
    assert kinds(notebook, session.id) == ["seal", "start", "close", "void"]
    with notebook.reading() as tx:
        assert tx.log.verify(session.id)


@pytest.mark.parametrize("deed", [bench.start, bench.close])
def test_a_step_out_of_turn_is_refused_and_logs_nothing(notebook: Any, here: Scene, deed: Any) -> None:
    session = here.smelling()
    bench.close(notebook, session.id)
    before = bench.log(notebook, session.id)
    with pytest.raises(StateError, match="A session that is closed cannot"):
        deed(notebook, session.id)
    assert bench.log(notebook, session.id) == before


def test_giving_a_session_up_needs_a_reason(notebook: Any, here: Scene) -> None:
    session = here.sealed()
    with pytest.raises(ArgumentError, match="reason must not be empty"):
        bench.void(notebook, session.id, "  ")


def test_progress_counts_answers_without_saying_them(notebook: Any, here: Scene) -> None:
    session = here.smelling(spare=1)
    first, second = ballots(notebook, session.id)[:2]
    answer_all(notebook, first.id)
    asked = ballot.view(notebook, second.id).question
    assert asked is not None
    ballot.lock(notebook, second.id, asked.serving_id, "choice", asked.options[0], "with a remark")
    seats = bench.progress(notebook, session.id)
    assert [(s.answered, s.total, s.sets_done, s.sets, s.finished) for s in seats[:3]] == [
        (3, 3, 1, 1, True), (1, 3, 0, 1, False), (0, 3, 0, 1, False),
    ]  # fmt: skip
    assert [s.alias for s in seats][:2] == ["Nose 1", "Nose 2"]
    assert (seats[8].alias, seats[8].panelist_id) == ("", None)
    assert seats[2].last_at is None
    assert seats[0].last_at is not None


def test_progress_of_a_preference_counts_the_closing_questions(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="preference", minutes=(5, 60), primary="overall", confirmed=())
    mine = ballots(notebook, session.id)[0]
    locked = answer_all(notebook, mine.id)
    seat = bench.progress(notebook, session.id)[0]
    assert (seat.answered, seat.total, seat.sets_done, seat.sets) == (locked, locked, 2, 2)


# --- the key for whoever prepares ---------------------------------------------------------------------------------------


def test_preparation_gives_each_code_its_vial_letter(notebook: Any, here: Scene) -> None:
    session = here.sealed(spare=1)
    lines = bench.preparation(notebook, session.id, None)
    key = key_of(notebook, session.id)
    order = dict(key.orders)
    served = {s.codes: s for s in bench.servings(notebook, session.id)}
    letter = dict(zip("AB", key.letters, strict=True))
    assert len(lines) == len(served) == 18
    for line in lines:
        assert line.letters == tuple(letter[trial] for trial in order[served[line.codes].id])
    assert [line.spare for line in lines] == [False] * 9 + [True] * 9  # spare sets last


def test_the_letter_key_is_a_sheet_of_its_own(notebook: Any, here: Scene) -> None:
    session = here.sealed()
    key = key_of(notebook, session.id)
    told = dict(bench.letter_key(notebook, session.id, None))
    assert told == {key.letters[0]: "7", key.letters[1]: "8"}
    prepared = bench.preparation(notebook, session.id, None)
    assert not {"7", "8"} & {letter for line in prepared for letter in line.letters}


def test_looking_at_the_key_is_logged_and_unblinds_who_looks(notebook: Any, here: Scene) -> None:
    session = here.sealed()
    looker = here.panelist_ids[2]
    bench.preparation(notebook, session.id, looker)
    bench.letter_key(notebook, session.id, looker)
    assert kinds(notebook, session.id) == ["seal", "key shown", "deviation", "key shown"]  # one deviation, not two
    assert [(seat, kind) for seat, kind, _ in deviations(notebook, session.id)] == [(3, "unblinded")]


def test_a_helper_who_does_not_smell_unblinds_nobody(notebook: Any, here: Scene) -> None:
    session = here.sealed()
    helper = book.add_panelist(notebook, "Helper")
    bench.preparation(notebook, session.id, None)
    bench.preparation(notebook, session.id, helper.id)
    assert deviations(notebook, session.id) == []
    bodies = [json.loads(record.body) for record in bench.log(notebook, session.id) if record.kind == "key shown"]
    assert helper.id in json.dumps(bodies)


def test_the_key_is_not_for_preparing_once_the_session_is_closed(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    bench.close(notebook, session.id)
    for look in (bench.preparation, bench.letter_key):
        with pytest.raises(StateError, match="The key is for preparing strips"):
            look(notebook, session.id, None)


def test_aliases_are_read_when_shown_and_sealed_nowhere(notebook: Any, here: Scene) -> None:
    """A person may be renamed after sealing: the log and the servings hold the random id only."""
    session = here.sealed()
    book.change_panelist(notebook, here.panelist_ids[0], alias="Somebody else")
    assert bench.progress(notebook, session.id)[0].alias == "Somebody else"
    assert "Nose 1" not in "".join(record.body for record in bench.log(notebook, session.id))
    with notebook.reading() as tx:
        assert tx.log.verify(session.id)


def test_a_reason_travels_as_a_digest_and_can_be_read_beside_the_log(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    bench.note_deviation(notebook, session.id, 1, "late", "Nose 1 came at noon")
    assert "noon" not in "".join(record.body for record in bench.log(notebook, session.id))
    assert deviations(notebook, session.id) == [(1, "late", "Nose 1 came at noon")]


# --- spoilt sets and spare seats ------------------------------------------------------------------------------------------


def test_a_void_set_is_replaced_by_the_spare_one_with_new_codes(notebook: Any, here: Scene) -> None:
    session = here.smelling(minutes=(5, 60))
    mine = ballots(notebook, session.id)[0]
    old = ballot.view(notebook, mine.id).question
    assert old is not None
    spare = bench.void_serving(notebook, session.id, old.serving_id, "the strip fell down")
    new = ballot.view(notebook, mine.id)
    assert new.question is not None
    assert new.question.serving_id == spare.id
    assert not set(new.question.codes) & set(old.codes)
    assert (new.set_number, new.age_seconds, spare.place, spare.replicate) == (1, 300, 1, 1)
    assert "void serving" in kinds(notebook, session.id)


def test_answers_to_a_void_set_stay_written_and_are_asked_anew(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    mine = ballots(notebook, session.id)[0]
    answer_all(notebook, mine.id)
    served = [s for s in bench.servings(notebook, session.id) if s.seat == 1 and not s.spare]
    bench.void_serving(notebook, session.id, served[0].id, "wrong vial")
    view = ballot.view(notebook, mine.id)
    assert view.question is not None
    assert (view.question.name, view.number, view.total) == ("choice", 2, 3)  # overheard is answered already
    assert answer_all(notebook, mine.id) == 2
    with notebook.reading() as tx:
        assert len(tx.ballots.answers(mine.id)) == 5
    assert bench.progress(notebook, session.id)[0].finished


def test_there_is_one_spare_set_a_seat(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    first = next(s for s in bench.servings(notebook, session.id) if s.seat == 1 and not s.spare)
    second = bench.void_serving(notebook, session.id, first.id, "fell down")
    with pytest.raises(StateError, match="no spare set left for seat 1"):
        bench.void_serving(notebook, session.id, second.id, "fell down again")
    with pytest.raises(StateError, match="void already"):
        bench.void_serving(notebook, session.id, first.id, "once more")


def test_a_set_is_voided_with_a_reason_and_in_its_own_session(notebook: Any, here: Scene) -> None:
    session, other = here.smelling(), here.smelling()
    theirs = bench.servings(notebook, other.id)[0]
    with pytest.raises(ArgumentError, match="set must be one of this session's"):
        bench.void_serving(notebook, session.id, theirs.id, "mixed up")
    with pytest.raises(ArgumentError, match="reason must not be empty"):
        bench.void_serving(notebook, session.id, bench.servings(notebook, session.id)[0].id, "")
    bench.close(notebook, session.id)
    with pytest.raises(StateError, match="while a session is sealed or smelling; this one is closed"):
        bench.void_serving(notebook, session.id, bench.servings(notebook, session.id)[0].id, "late")


def test_somebody_who_comes_late_takes_a_spare_seat(notebook: Any, here: Scene) -> None:
    session = here.smelling(spare=1)
    guest = book.add_panelist(notebook, "Guest")
    bench.seat_person(notebook, session.id, 9, guest.id)
    seat = bench.progress(notebook, session.id)[8]
    assert (seat.alias, seat.panelist_id) == ("Guest", guest.id)
    assert answer_all(notebook, seat.ballot_id) == 3
    assert "seat" in kinds(notebook, session.id)


def test_a_seat_is_taken_once_and_by_somebody_new(notebook: Any, here: Scene) -> None:
    session = here.smelling(spare=2)
    guest = book.add_panelist(notebook, "Guest")
    with pytest.raises(StateError, match="Seat 1 is taken"):
        bench.seat_person(notebook, session.id, 1, guest.id)
    with pytest.raises(StateError, match="sits in the session already"):
        bench.seat_person(notebook, session.id, 9, here.panelist_ids[0])
    with pytest.raises(NotFound):
        bench.seat_person(notebook, session.id, 12, guest.id)
    book.change_panelist(notebook, guest.id, active=False)
    with pytest.raises(ArgumentError, match="person must be active"):
        bench.seat_person(notebook, session.id, 9, guest.id)


def test_who_saw_the_key_and_then_takes_a_seat_sits_unblinded(notebook: Any, here: Scene) -> None:
    session = here.sealed(spare=1)
    helper = book.add_panelist(notebook, "Helper")
    bench.preparation(notebook, session.id, helper.id)
    bench.seat_person(notebook, session.id, 9, helper.id)
    assert [(seat, kind) for seat, kind, _ in deviations(notebook, session.id)] == [(9, "unblinded")]


def test_deviations_belong_to_a_seat_that_exists_and_come_before_opening(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    served = bench.servings(notebook, session.id)
    mine = next(s for s in served if s.seat == 1)
    bench.note_deviation(notebook, session.id, 1, "late", "ten minutes", mine.id)
    with pytest.raises(ArgumentError, match="set must be one of that seat's"):
        bench.note_deviation(notebook, session.id, 2, "late", "ten minutes", mine.id)
    with pytest.raises(NotFound):
        bench.note_deviation(notebook, session.id, 77, "late", "ten minutes")
    with pytest.raises(ArgumentError, match="kind must be one of"):
        bench.note_deviation(notebook, session.id, 1, "bored", "yawned")
    bench.close(notebook, session.id)
    bench.note_deviation(notebook, session.id, 2, "overheard", "said so afterwards")
    with notebook.writing() as tx:
        tx.sittings.advance(session.id, "open")
    with pytest.raises(StateError):
        bench.note_deviation(notebook, session.id, 3, "late", "too late for that")
    assert len(deviations(notebook, session.id)) == 2


def test_the_last_event_moves_with_every_answer(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    before = bench.last_event(notebook, session.id)
    answer_all(notebook, ballots(notebook, session.id)[0].id)
    assert bench.last_event(notebook, session.id) == before + 4  # three answers, and the ballot's end
    assert bench.last_event(notebook, session.id) == len(bench.log(notebook, session.id))


def test_a_serving_shows_no_more_than_codes_place_and_time(notebook: Any, here: Scene) -> None:
    served = bench.servings(notebook, here.sealed().id)
    assert replace(served[0]) == served[0]
    assert not any("order" in name or "trial" in name for name in served[0].__slots__)
