"""The log and its hash chain (evaluation/store/log.py, chain.py, audit.py)."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, KindError, NotFound
from evaluation.sessions import Deviation
from evaluation.store import Notebook, read_body
from tests.store.prepared import Held, add_draft, fill, held, raw


@pytest.fixture
def busy(notebook: Notebook) -> Held:
    """A session in which everything happened that the log speaks of."""
    made = held(notebook, "sealed", people=3, spare=1, minutes=(5, 60))
    with notebook.writing() as tx:
        tx.key.key_for_preparer(made.id, "person-1")
        tx.sittings.seat_person(made.id, 4, "person-4")
    made.step("start")
    made.lock(made.answer(1), made.answer(1, "remark", value="like hay"))
    made.lock(made.answer(2), made.answer(2, "sure", value="guess"))
    void = made.servings(2)[1]
    with notebook.writing() as tx:
        tx.sittings.void_serving(void.id, "fell on the floor")
        tx.sittings.note_deviation(made.id, Deviation("", 3, "late", "the bus", 7000))
        tx.ballots.finish(tx.ballots.ballots(made.id)[0].id)
    made.step("close", "open")
    return made


def test_records_count_up_and_each_covers_the_one_before(busy: Held) -> None:
    with busy.notebook.reading() as tx:
        records = tx.log.records(busy.id)
        assert tx.log.last(busy.id) == len(records) > 10
    assert [one.sequence for one in records] == list(range(1, len(records) + 1))
    assert len({one.hash for one in records}) == len(records)
    assert busy.verifies()


def test_a_part_of_the_log_is_that_part(busy: Held) -> None:
    with busy.notebook.reading() as tx:
        records = tx.log.records(busy.id)
        assert tx.log.part(busy.id, 3, 7) == records[2:7]
        assert tx.log.part(busy.id, len(records), len(records) + 5) == records[-1:]


def test_the_chain_can_be_checked_without_this_program(busy: Held) -> None:
    """Written out anew with hashlib and json: parts with their length before them, canonical JSON, version 1."""

    def hashed(*parts: bytes) -> str:
        return hashlib.sha256(b"".join(len(part).to_bytes(8, "big") + part for part in parts)).hexdigest()

    with busy.notebook.reading() as tx:
        records = tx.log.records(busy.id)
    previous = ""
    for one in records:
        value = {name: getattr(one, name) for name in ("session_id", "sequence", "at", "kind", "body")}
        text = json.dumps({"version": 1, "value": value}, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
        assert one.hash == hashed(previous.encode(), text.encode())
        previous = one.hash


def test_anything_may_be_written_down_but_what_has_a_verb_of_its_own(notebook: Notebook) -> None:
    made = held(notebook)
    with notebook.writing() as tx:
        record = tx.log.append(
            made.id, "link renewed", {"ballot_id": "x", "reason": "lost phone", "panelist_id": "person-1"}
        )
        assert tx.log.records(made.id)[-1] == record
        body = read_body(record)
        assert tx.log.texts(made.id)[body["reason"]["digest"]] == "lost phone"
    assert body["ballot_id"] == "x"
    assert made.verifies()
    for kind in ("answer", "seal", "start", "open", "key shown", "deviation", "seat", "finish", "void serving"):
        with pytest.raises(ArgumentError, match="its own verb"), notebook.writing() as tx:
            tx.log.append(made.id, kind, {})
    with pytest.raises(KindError), notebook.writing() as tx:
        tx.log.append(made.id, "measured", {"share": 0.5})
    with pytest.raises(NotFound, match="No such session"), notebook.writing() as tx:
        tx.log.append("nothing", "measured", {})
    assert made.verifies()


def test_a_draft_has_an_empty_log_that_stands(notebook: Notebook) -> None:
    fill(notebook)
    add_draft(notebook)
    with notebook.reading() as tx:
        assert tx.log.records("session") == ()
        assert tx.log.last("session") == tx.log.last("nothing") == 0
        assert tx.log.verify("session")
        with pytest.raises(NotFound):
            tx.log.verify("nothing")


# Each of these is one way to make another result out of the same session behind the program's back.
TAMPERING = {
    "an answer's value": "UPDATE answers SET value = '999' WHERE question = 'choice'",
    "an answer's time": "UPDATE answers SET at = at + 1",
    "an answer taken away": "DELETE FROM answers WHERE question = 'sure'",
    "an answer made not final": "UPDATE answers SET final = (1 = 0) WHERE question = 'sure'",
    "an answer moved to another ballot": "UPDATE answers SET ballot_id = (SELECT id FROM ballots WHERE seat = 3) WHERE question = 'sure'",
    "an answer of nobody's": "INSERT INTO answers (id, session_id, ballot_id, serving_id, question, value, at, final) "
    "SELECT 900, session_id, id, '', 'overheard', 'no', 1, (1 = 1) FROM ballots WHERE seat = 3",
    "a remark": "UPDATE personal_texts SET text = 'like roses' WHERE text = 'like hay'",
    "a salt alone": "UPDATE personal_texts SET salt = NULL WHERE text = 'like hay'",
    "a text of no record": "INSERT INTO personal_texts (digest, session_id) SELECT 'x', id FROM sessions",
    "a deviation's kind": "UPDATE deviations SET kind = 'overheard' WHERE kind = 'late'",
    "a deviation taken away": "DELETE FROM deviations WHERE kind = 'unblinded'",
    "a serving's codes": "UPDATE servings SET codes = '111 222 333' WHERE seat = 1 AND place = 1",
    "a void serving made good": "UPDATE servings SET void = (1 = 0)",
    "who sits where": "UPDATE ballots SET panelist_id = NULL WHERE seat = 4",
    "the state": "UPDATE sessions SET state = 'closed'",
    "the plan": "UPDATE sessions SET plan = replace(plan, '0.05', '0.10')",
    "the sealed hash": "UPDATE sessions SET sealed_hash = 'other'",
    "the commitment": "UPDATE sessions SET commitment = 'other'",
    "a record's body": "UPDATE records SET body = replace(body, 'guess', 'sure') WHERE kind = 'answer'",
    "a record's time": "UPDATE records SET at = at - 60000 WHERE kind = 'close'",
    "a record's kind": "UPDATE records SET kind = 'note' WHERE kind = 'key shown'",
    "a record's hash": "UPDATE records SET hash = 'f' WHERE sequence = 2",
    "the last record taken away": "DELETE FROM records WHERE kind = 'open'",
    "the head": "UPDATE heads SET sequence = sequence + 1",
}


@pytest.mark.parametrize("change", TAMPERING.values(), ids=TAMPERING)
def test_tampering_is_found(busy: Held, change: str) -> None:
    assert busy.verifies()
    raw(busy.notebook, change)
    assert not busy.verifies()


def test_an_erased_person_leaves_a_log_that_stands_and_holds_none_of_their_words(busy: Held) -> None:
    with busy.notebook.writing() as tx:
        before = tx.log.records(busy.id)
        assert {"like hay", "fell on the floor", "the bus"} <= set(tx.log.texts(busy.id).values())
        for number in (1, 2, 3):
            tx.book.erase_panelist(f"person-{number}")
    with busy.notebook.reading() as tx:
        assert tx.log.texts(busy.id) == {}
        assert tx.log.records(busy.id) == before
        assert {one.reason for one in tx.sittings.deviations(busy.id)} == {"erased"}
    assert busy.verifies()


def test_the_file_itself_forgets_an_erased_persons_words(tmp_path: Path) -> None:
    notebook = Notebook.open(tmp_path / "notebook.sqlite", SteppedClock(step=1))
    made = held(notebook)
    for seat, said in ((1, "unmistakable-words " * 40), (2, "like hay " * 40), (3, "like wood " * 40)):
        made.lock(made.answer(seat, "remark", value=said.strip()))
    with notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
    notebook.close()
    files = list(tmp_path.iterdir())
    assert files
    assert not [file.name for file in files if b"unmistakable-words" in file.read_bytes()]


def test_the_same_words_twice_have_two_digests(notebook: Notebook) -> None:
    made = held(notebook)
    made.lock(made.answer(1, "remark", value="hay"), made.answer(1))
    made.lock(made.answer(2, "remark", value="hay"))
    with notebook.reading() as tx:
        assert sorted(tx.log.texts(made.id).values()) == ["hay", "hay"]
