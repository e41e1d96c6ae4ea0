"""Passphrase, visits, attempts and settings (evaluation/store/kept_doors.py)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StoreError
from evaluation.store import Notebook, Visit
from tests.store.prepared import held


def test_a_passphrase_is_kept_and_replaced(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        assert tx.doors.passphrase() is None
        tx.doors.set_passphrase("hash one")
        tx.doors.set_passphrase("hash two")
    with notebook.reading() as tx:
        assert tx.doors.passphrase() == "hash two"


def test_settings_are_kept_apart_from_the_passphrase(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.doors.set_passphrase("hash")
        tx.doors.set_setting("base url", "http://192.168.0.4:8501")
        tx.doors.set_setting("base url", "http://192.168.0.5:8501")
    with notebook.reading() as tx:
        assert tx.doors.setting("base url") == "http://192.168.0.5:8501"
        assert tx.doors.setting("zone") is None
        with pytest.raises(ArgumentError, match="its own verbs"):
            tx.doors.setting("passphrase hash")
    with pytest.raises(ArgumentError, match="its own verbs"), notebook.writing() as tx:
        tx.doors.set_setting("passphrase hash", "mine")


def test_a_visit_comes_back_and_ends_once(notebook: Notebook, clock: SteppedClock) -> None:
    visit = Visit("hash", "conductor", None, 10, 2**41)
    with notebook.writing() as tx:
        tx.doors.begin_visit(visit)
        assert tx.doors.visit("hash") == visit
        assert tx.doors.visit("other") is None
        tx.doors.end_visit("hash")
        ended = tx.doors.visit("hash")
        tx.doors.end_visit("hash")
        assert ended is not None
        assert ended.ended_at is not None
        assert tx.doors.visit("hash") == ended


def test_visits_end_by_role_or_by_ballot(notebook: Notebook) -> None:
    made = held(notebook)
    first, second = made.ballot_ids[0], made.ballot_ids[1]
    visits = [
        Visit("c", "conductor", None, 1, 9),
        Visit("b1", "ballot", first, 1, 9),
        Visit("b1 again", "ballot", first, 1, 9),
        Visit("b2", "ballot", second, 1, 9),
    ]

    def open_now() -> set[str]:
        with notebook.reading() as tx:
            found = [tx.doors.visit(one.token_hash) for one in visits]
        return {one.token_hash for one in found if one is not None and one.ended_at is None}

    with notebook.writing() as tx:
        for one in visits:
            tx.doors.begin_visit(one)
    for arguments, left in (
        ({"ballot_id": first}, {"c", "b2"}),
        ({"role": "conductor", "ballot_id": second}, {"c", "b2"}),
        ({"role": "conductor"}, {"b2"}),
        ({}, set()),
    ):
        with notebook.writing() as tx:
            tx.doors.end_visits(**arguments)
        assert open_now() == left


def test_a_visit_says_whose_ballot_it_is_for() -> None:
    with pytest.raises(ArgumentError, match="role"):
        Visit("h", "owner", None, 1, 2)
    with pytest.raises(ArgumentError, match="ballot must be named"):
        Visit("h", "ballot", None, 1, 2)
    with pytest.raises(ArgumentError, match="ballot must be named"):
        Visit("h", "conductor", "b", 1, 2)


def test_a_visit_to_no_ballot_or_under_a_known_token_is_refused(notebook: Notebook) -> None:
    visit = Visit("hash", "ballot", "nothing", 1, 2)
    with pytest.raises(StoreError), notebook.writing() as tx:
        tx.doors.begin_visit(visit)
    for _ in range(2):
        conductor = replace(visit, role="conductor", ballot_id=None)
        with notebook.writing() as tx:
            if tx.doors.visit("hash") is None:
                tx.doors.begin_visit(conductor)
    with pytest.raises(StoreError), notebook.writing() as tx:
        tx.doors.begin_visit(conductor)


def test_failures_are_counted_by_door_and_from_an_instant(notebook: Notebook, clock: SteppedClock) -> None:
    with notebook.writing() as tx:
        tx.doors.note_attempt("conductor", False)
        middle = clock.now()
        tx.doors.note_attempt("conductor", False)
        tx.doors.note_attempt("conductor", True)
        tx.doors.note_attempt("join", False)
    with notebook.reading() as tx:
        assert tx.doors.failures("conductor", 0) == 2
        assert tx.doors.failures("conductor", middle) == 1
        assert tx.doors.failures("conductor", clock.now()) == 0
        assert tx.doors.failures("nowhere", 0) == 0
