"""Sealing (evaluation/actions/seal.py): what is frozen, what is drawn, what is refused."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields, is_dataclass
from typing import Any

import pytest

from evaluation.actions import book, seal
from evaluation.actions import plan as planning
from evaluation.errors import ArgumentError, StateError, StillBlind
from tests.scenes import SEED, ballots, key_of, scene


def sealed_again(plan: dict[str, Any], key: dict[str, Any]) -> str:
    """The sealed hash by hashlib and json alone, from plan and key written as plain values."""

    def spelt(value: Any) -> bytes:
        body = {"version": 1, "value": value}
        return json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()

    def of(part: bytes) -> str:
        return hashlib.sha256(len(part).to_bytes(8, "big") + part).hexdigest()

    return of(spelt({"plan": plan, "commitment": of(spelt(key))}))


def plain(value: Any) -> Any:
    """A value as JSON would hold it, decimals without trailing zeros."""
    if is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, dict):
        return {name: plain(one) for name, one in value.items()}
    if isinstance(value, tuple):
        return [plain(one) for one in value]
    return value if value is None or isinstance(value, bool | int | str) else str(value.normalize())


def test_the_sealed_hash_can_be_computed_again_by_anybody(notebook: Any) -> None:
    session = scene(notebook).sealed()
    key = key_of(notebook, session.id)
    assert session.sealed_hash == sealed_again(plain(session.plan.as_sealed()), plain(key))


def test_the_seed_given_is_the_seed_in_the_key(notebook: Any) -> None:
    session = scene(notebook).sealed()
    assert key_of(notebook, session.id).seed == SEED.hex()


def test_without_a_seed_each_seal_draws_its_own(notebook: Any) -> None:
    here = scene(notebook)
    keys = []
    for _ in range(2):
        draft = planning.add_draft(notebook, here.plan())
        keys.append(key_of(notebook, seal.seal(notebook, draft.id).id))
    assert len({key.seed for key in keys}) == 2
    assert all(len(bytes.fromhex(key.seed)) == 32 for key in keys)


def test_sealing_lays_down_servings_and_one_ballot_a_seat(notebook: Any) -> None:
    session = scene(notebook).sealed(spare=2)
    with notebook.reading() as tx:
        served = tx.sittings.servings(session.id)
    assert session.state == "sealed"
    assert len(served) == 10 * 2  # eight people and two spare seats, each one set and one spare set
    assert [(b.seat, b.issue, b.finished_at) for b in ballots(notebook, session.id)] == [
        (seat, 1, None) for seat in range(1, 11)
    ]


def test_a_session_is_sealed_once(notebook: Any) -> None:
    session = scene(notebook).sealed()
    with pytest.raises(StateError):
        seal.seal(notebook, session.id)
    assert planning.session(notebook, session.id) == session


def test_codes_are_not_met_twice_by_the_same_nose(notebook: Any) -> None:
    here = scene(notebook, people=2)
    met: dict[int, set[str]] = {1: set(), 2: set()}
    for number in range(4):
        draft = planning.add_draft(notebook, here.plan(method="2-afc", descriptor="smokier", expected="second",
                                                       replicates=6, confirmed=("noticed", "not noticed")))  # fmt: skip
        session = seal.seal(notebook, draft.id, bytes([number]) * 32)
        with notebook.reading() as tx:
            served = tx.sittings.servings(session.id)
        for seat, before in met.items():
            codes = {code for one in served if one.seat == seat for code in one.codes}
            assert not codes & before
            before |= {code for one in served if one.seat == seat and not one.spare for code in one.codes}


def test_a_spare_seat_holds_no_code_a_guest_may_have_met(notebook: Any) -> None:
    here = scene(notebook, people=10)
    guests = here.panelist_ids[8:]
    before = seal.seal(notebook, planning.add_draft(notebook, here.plan()).id, SEED)
    draft = planning.add_draft(notebook, here.plan(people=8, spare=2))
    with notebook.reading() as tx:
        met = {code for one in guests for code in tx.sittings.codes_met(one)}
    for number in range(8):  # a draw that ignored them would meet one of six codes in most of eight sessions
        after = seal.seal(notebook, planning.add_draft(notebook, draft.plan).id, bytes([number]) * 32)
        with notebook.reading() as tx:
            assert before.id != after.id
            spare = {code for one in tx.sittings.servings(after.id) if one.seat > 8 for code in one.codes}
        assert not spare & met


def test_a_panel_that_can_find_nothing_is_refused(notebook: Any) -> None:
    """Two triangles: even both right has probability 1/9 by guessing; no count ever shows similarity either."""
    here = scene(notebook, people=2)
    draft = planning.add_draft(notebook, here.plan(confirmed=("noticed", "not noticed")))
    with pytest.raises(ArgumentError, match="can reach neither of the verdicts"):
        seal.seal(notebook, draft.id)
    assert planning.session(notebook, draft.id).state == "draft"


def test_a_verdict_that_cannot_occur_is_confirmed_in_words_first(notebook: Any) -> None:
    """Eight triangles: the similarity limit lies below guessing (the rules: at n = 6-20 and pd .30 it always does)."""
    draft = planning.add_draft(notebook, scene(notebook).plan(confirmed=()))
    with pytest.raises(ArgumentError, match="confirm that this session can never end in: not noticed"):
        seal.seal(notebook, draft.id)
    assert planning.session(notebook, draft.id).state == "draft"


def test_somebody_set_inactive_since_the_draft_is_noticed(notebook: Any) -> None:
    here = scene(notebook)
    draft = planning.add_draft(notebook, here.plan())
    book.change_panelist(notebook, here.panelist_ids[3], active=False)
    with pytest.raises(ArgumentError, match="active on the panel page"):
        seal.seal(notebook, draft.id)


def test_nobody_gets_the_key_of_a_sealed_session_by_the_second_verb(notebook: Any) -> None:
    session = scene(notebook).sealed()
    with notebook.reading() as tx, pytest.raises(StillBlind):
        tx.key.open_key(session.id)


def test_the_log_holds_plan_and_hashes_and_nothing_of_the_key(notebook: Any) -> None:
    session = scene(notebook).sealed()
    with notebook.reading() as tx:
        (record,) = tx.log.records(session.id)
        assert tx.log.verify(session.id)
    key = key_of(notebook, session.id)
    assert record.kind == "seal"
    assert session.sealed_hash in record.body
    assert key.seed not in record.body
    assert not any(f'"{order}"' in record.body for _, order in key.orders)
