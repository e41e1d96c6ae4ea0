"""An export carries all of an opened session: the same numbers come out of it, and what was altered is refused."""

from __future__ import annotations

import io
import json
import zipfile
from hashlib import sha256
from typing import Any

import pytest

from evaluation.actions import bench, book, findings
from evaluation.errors import StillBlind, StoreError
from evaluation.ground.canonical import canonical
from evaluation.report import export, numbers
from tests import scenes
from tests.skin_scene import DOCUMENT, on_skin, ready


def played(notebook: Any, people: int = 8, **changes: Any) -> tuple[scenes.Scene, str]:
    """An opened session; everybody takes the first offer, one person writes a remark."""
    scene = scenes.scene(notebook, people=people)
    session = scene.smelling(**changes)
    for one in scenes.ballots(notebook, session.id):
        if one.panelist_id is not None:
            scenes.answer_all(notebook, one.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return scene, session.id


def parts(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def packed(members: dict[str, bytes]) -> bytes:
    """Members as a zip whose manifest fits them: somebody who alters a file and knows how it is made."""
    about = json.loads(members["manifest.json"])["value"]
    about["sha256"] = {n: sha256(d).hexdigest() for n, d in members.items() if n != "manifest.json"}
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as out:
        for name, data in (members | {"manifest.json": canonical(about)}).items():
            out.writestr(name, data)
    return made.getvalue()


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"minutes": (5, 60), "primary": 300},
        {"method": "2-afc"},
        {"method": "preference", "confirmed": (), "minutes": (5, 60), "primary": "overall"},
        {"replicates": 4, "look_every": 8},
        {"null_sets": 1},
    ],
    ids=["triangle", "two ages", "2-afc", "preference", "looks", "null sets"],
)
def test_the_same_numbers_come_out_of_the_file(notebook: Any, changes: dict[str, Any]) -> None:
    _, session_id = played(notebook, **changes)
    own = findings.findings(notebook, session_id)
    with export.opened(export.export(notebook, session_id)) as copy:
        found = findings.findings(copy.notebook, copy.session_id)
        assert copy.log_held
    assert found == own
    assert numbers.of_two(found) == numbers.of_two(own)


def test_the_same_session_gives_the_same_file(notebook: Any) -> None:
    _, session_id = played(notebook)
    data = export.export(notebook, session_id)
    assert export.export(notebook, session_id) == data
    with export.opened(data) as copy:
        assert export.export(copy.notebook, copy.session_id) == data


@pytest.mark.parametrize("state", ["sealed", "smelling", "closed"])
def test_nothing_is_exported_before_opening(notebook: Any, state: str) -> None:
    scene = scenes.scene(notebook)
    session = scene.sealed() if state == "sealed" else scene.smelling()
    if state == "closed":
        bench.close(notebook, session.id)
    with pytest.raises(StillBlind):
        export.export(notebook, session.id)


def test_an_erased_person_stays_erased(notebook: Any) -> None:
    scene, session_id = played(notebook)
    before = export.export(notebook, session_id)
    assert b"Nose 3" in parts(before)["session.json"]
    book.erase_panelist(notebook, scene.panelist_ids[2])
    after = export.export(notebook, session_id)
    assert b"Nose 3" not in b"".join(parts(after).values())
    with export.opened(after) as copy:
        assert copy.log_held


def test_neither_links_nor_notes_go_along(notebook: Any) -> None:
    _, session_id = played(notebook)
    told = json.loads(parts(export.export(notebook, session_id))["session.json"])["value"]["rows"]
    assert not told.keys() & {"visits", "settings", "skin_facts", "formula_lines", "patches"}
    assert {row["token_hash"] for row in told["ballots"]} == {None}


def test_what_the_skin_gate_saw_of_a_formula_stays_at_home(notebook: Any) -> None:
    scene = scenes.scene(notebook)
    ready(notebook, scene.trial_ids, scene.panelist_ids)
    session = scene.smelling(**on_skin())
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    data = export.export(notebook, session.id)
    told = b"".join(parts(data).values()).decode()
    assert "Vetiver oil" not in told
    assert DOCUMENT not in told
    with export.opened(data) as copy:
        assert copy.log_held
    with notebook.reading() as tx:
        assert any("Vetiver oil" in one for one in tx.log.texts(session.id).values())  # it is kept where it was seen
        assert tx.log.verify(session.id)


def _answer(copy: Any) -> None:
    row = next(row for row in copy["rows"]["answers"] if row["question"] == "sure")
    row["value"] = "sure" if row["value"] != "sure" else "guess"


def _order(copy: Any) -> None:
    serving, order = copy["key"]["orders"][0]
    copy["key"]["orders"][0] = [serving, order[::-1] if order != order[::-1] else "AAB"]


def _plan(copy: Any) -> None:
    copy["rows"]["sessions"][0]["plan"] = copy["rows"]["sessions"][0]["plan"].replace('"alpha":"0.05"', '"alpha":"0.1"')


def _record(copy: Any) -> None:
    copy["rows"]["records"].pop()


def _hash(copy: Any) -> None:
    copy["rows"]["records"][2]["hash"] = "0" * 64


def _column(copy: Any) -> None:
    del copy["rows"]["servings"][0]["codes"]


def _table(copy: Any) -> None:
    del copy["rows"]["stops"]


@pytest.mark.parametrize("alter", [_answer, _order, _plan, _record, _hash, _column, _table])
def test_a_file_altered_with_a_manifest_that_fits_is_refused(notebook: Any, alter: Any) -> None:
    _, session_id = played(notebook)
    members = parts(export.export(notebook, session_id))
    copy = json.loads(members["session.json"])
    alter(copy["value"])
    members["session.json"] = json.dumps(copy).encode()
    with pytest.raises(StoreError) as refused, export.opened(packed(members)):
        pass
    assert "\n" not in str(refused.value)
    assert "altered" in str(refused.value)


def test_a_damaged_file_is_refused(notebook: Any) -> None:
    _, session_id = played(notebook)
    data = export.export(notebook, session_id)
    members = parts(data)
    with pytest.raises(StoreError, match="damaged"), export.opened(data[: len(data) // 2]):
        pass
    members["answers.csv"] += b"\n"
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as out:
        for name, one in members.items():
            out.writestr(name, one)
    with pytest.raises(StoreError, match="altered or is damaged"), export.opened(made.getvalue()):
        pass


def _locked(data: bytes) -> bytes:
    """Every member said to be under a password: bit 0 of the flags (APPNOTE.TXT 4.4.4, from memory)."""
    locked = bytearray(data)
    for mark, flags in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.find(mark)
        while at >= 0:
            locked[at + flags] |= 1
            at = data.find(mark, at + 4)
    return bytes(locked)


def _garbled(data: bytes) -> bytes:
    """The packed bytes of the first member are no packed bytes: a block type that does not exist (RFC 1951, 3.2.3)."""
    begins = 30 + int.from_bytes(data[26:28], "little") + int.from_bytes(data[28:30], "little")
    return data[:begins] + b"\x07" + data[begins + 1 :]


def _deep(data: bytes) -> bytes:
    return packed(parts(data) | {"session.json": b"[" * 200_000 + b"]" * 200_000})


def _deep_manifest(data: bytes) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as out:
        for name, one in (parts(data) | {"manifest.json": b"[" * 200_000}).items():
            out.writestr(name, one)
    return made.getvalue()


@pytest.mark.parametrize("spoil", [_locked, _garbled, _deep, _deep_manifest])
def test_whatever_is_wrong_with_a_file_is_said_in_one_sentence(notebook: Any, spoil: Any) -> None:
    _, session_id = played(notebook)
    data = spoil(export.export(notebook, session_id))
    with pytest.raises(StoreError, match="damaged"), export.opened(data):
        pass


def _no_log(copy: Any) -> None:
    copy["rows"]["records"], copy["rows"]["personal_texts"] = [], []
    copy["rows"]["heads"][0] |= {"sequence": 0, "hash": ""}


def _body(copy: Any) -> None:
    """A log that was chained anew over a line that cannot be read."""
    from evaluation.sessions import Record
    from evaluation.store import chain

    previous = ""
    copy["rows"]["records"][1]["body"] = "[]"
    for row in copy["rows"]["records"]:
        previous = row["hash"] = chain.hash_of(previous, Record(**row))
    copy["rows"]["heads"][0]["hash"] = previous


@pytest.mark.parametrize("alter", [_no_log, _body])
def test_a_log_nobody_can_read_is_said_in_one_sentence(notebook: Any, alter: Any) -> None:
    _, session_id = played(notebook)
    members = parts(export.export(notebook, session_id))
    copy = json.loads(members["session.json"])
    alter(copy["value"])
    members["session.json"] = json.dumps(copy).encode()
    with pytest.raises(StoreError, match="altered"), export.opened(packed(members)):
        pass


def test_a_log_that_does_not_stand_is_told(notebook: Any) -> None:
    """A file of such a session can be had and read, and says so."""
    from sqlalchemy import text

    _, session_id = played(notebook)
    with notebook.writing() as tx:
        tx.book._desk.change(
            text(
                "UPDATE answers SET at = at + 1 WHERE question = 'sure' AND sequence = (SELECT max(sequence) FROM answers WHERE question = 'sure')"
            )
        )
    with export.opened(export.export(notebook, session_id)) as copy:
        assert not copy.log_held
