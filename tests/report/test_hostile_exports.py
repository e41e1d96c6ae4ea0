"""Exports altered by somebody who knows how they are made: each gives a report or one sentence, and never a traceback."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterator
from contextlib import nullcontext
from decimal import Decimal
from functools import cache
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

import pytest

from evaluation.actions import aims, bench, findings
from evaluation.clock import SteppedClock
from evaluation.ground import archives, intake
from evaluation.report import export
from evaluation.report.command import main
from evaluation.sessions import Record
from evaluation.store import Notebook, chain
from evaluation.values.descriptors import Descriptor
from tests import again, attacks, kept, scenes
from tests.attacks import Ended
from tests.skin_scene import on_skin, ready

BASES = (
    "one-nose", "ranking-opened", "triangle-opened", "preference-opened", "profile-one-nose", "skin-2-afc", "round-opened",
    "looks-closed-early", "alone-triangle", "what-did-not-go-by-the-plan", "strip-and-skin-a-stop", "alone-looks",
    "null-sets", "skin-ranking", "on-paper", "alone-tetrad", "profile-of-every-scale",
)  # fmt: skip


# Small sessions of every kind, with a row or two of all that an export holds: most cases begin with one of them.
SMALL: dict[str, dict[str, Any]] = {
    "with formulas": {},
    "triangle": {"replicates": 2},
    "2-afc over two ages": {"method": "2-afc", "minutes": (5, 60)},
    "preference": {"method": "preference", "alpha": Decimal("0.2")},
    "with null sets": {"null_sets": 1, "replicates": 2},
    "looks": {"look_every": 5, "replicates": 2},
    "profile": {"method": "profile", "descriptors": (*scenes.RATED[:1], Descriptor("sweet", "check"))},
    "ranking": {"method": "ranking", "trials": 3},
    "on skin": on_skin() | {"alpha": Decimal("0.2")},
}


@cache
def base(name: str) -> dict[str, bytes]:
    """The parts of a kept export, or of a small one made here."""
    if name in SMALL:
        return attacks.unzipped(_made(SMALL[name]))
    return attacks.unzipped((kept.EXPORTS / f"{name}.zip").read_bytes())


def _made(changes: dict[str, Any]) -> bytes:
    notebook = Notebook.open(None, SteppedClock(step=1))
    scene = scenes.scene(notebook, people=5)
    aims.save_descriptors(notebook, scene.brief_id, scenes.RATED)
    ready(notebook, scene.trial_ids, scene.panelist_ids)
    session = scene.smelling(**changes)
    for number, one in enumerate(scenes.ballots(notebook, session.id)):
        if number < 2:
            scenes.answer_all(notebook, one.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    made = export.export(notebook, session.id, formulas=not changes)
    notebook.close()
    return made


def signed(parts: dict[str, bytes], packing: int = zipfile.ZIP_DEFLATED, **told: Any) -> bytes:
    """Parts with a manifest that fits them."""
    about = json.loads(parts["manifest.json"])["value"] | told
    about["sha256"] = {name: sha256(data).hexdigest() for name, data in parts.items() if name != "manifest.json"}
    return attacks.zipped(parts | {"manifest.json": attacks.spelt({"value": about, "version": 1})}, packing)


def chained(copy: Any) -> str:
    """Every record's hash anew, as whoever altered a body would write it; the last one."""
    previous = ""
    for row in copy["rows"]["records"]:
        previous = row["hash"] = chain.hash_of(previous, Record(**row))
    copy["rows"]["heads"][0]["hash"] = previous
    return previous


def attack(seed: int) -> tuple[str, bytes]:
    """A hostile export, and what was done to it."""
    chance = Random(seed)
    how = chance.choices(tuple(_WAYS), [weight for _, weight in _WAYS.values()])[0]
    name = chance.choice(BASES if chance.random() < 0.3 else tuple(SMALL))
    if how in ("bytes", "headers", "parts", "manifest"):  # what is whole all the same is worked out soonest
        name = "on skin"
    if how == "formulas":
        name = "with formulas"
    done, data = _WAYS[how][0](chance, dict(base(name)))
    return f"{how} {name} {done}", data


def _manifest(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """The manifest says something else, in its values or in how they are spelt."""
    if chance.random() < 0.5:
        done, parts["manifest.json"] = attacks.respelt(chance, parts["manifest.json"])
    else:
        told = json.loads(parts["manifest.json"])
        done = attacks.spoil(chance, told)
        parts["manifest.json"] = attacks.spelt(told)
    return done, attacks.zipped(parts, zipfile.ZIP_STORED)


def _spelling(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """One token of the session is spelt otherwise; the digests are right."""
    done, parts["session.json"] = attacks.respelt(chance, parts["session.json"])
    return done, signed(parts, zipfile.ZIP_STORED, **({"log_holds": False} if chance.random() < 0.5 else {}))


def _value(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """One value or a few; the digests are right, and half of them say themselves that the log does not hold."""
    copy = json.loads(parts["session.json"])
    done = [attacks.spoil(chance, copy["value"]) for _ in range(chance.choice((1, 1, 1, 3)))]
    told: dict[str, Any] = {"log_holds": False} if chance.random() < 0.5 else {}
    told |= _last(copy["value"].get("rows"))
    parts["session.json"] = attacks.spelt(copy)
    return " ".join(done), signed(parts, zipfile.ZIP_STORED, **told)


def _formulas(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """The formulas a file carries say something else; the digests are right."""
    if chance.random() < 0.5:
        done, parts["formulas.json"] = attacks.respelt(chance, parts["formulas.json"])
    else:
        told = json.loads(parts["formulas.json"])
        done = " ".join(attacks.spoil(chance, told) for _ in range(chance.choice((1, 1, 2))))
        parts["formulas.json"] = attacks.spelt(told)
    return done, signed(parts, zipfile.ZIP_STORED)


def _chained(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """A value in the body of a record, the log chained over it, and the plan as it was sealed there."""
    copy = json.loads(parts["session.json"])
    record = chance.choice(copy["value"]["rows"]["records"])
    body = json.loads(record["body"])
    done = record["kind"] + " " + attacks.spoil(chance, body["value"])
    try:
        record["body"] = canonical_text(body)
        if record["kind"] == "seal" and isinstance(body["value"].get("plan"), dict):
            plan = {"value": body["value"]["plan"], "version": 1}
            copy["value"]["rows"]["sessions"][0]["plan"] = canonical_text(plan)
        last = chained(copy["value"])
    except (TypeError, ValueError, KeyError):
        return "nothing", b""
    parts["session.json"] = attacks.spelt(copy)
    return done, signed(parts, zipfile.ZIP_STORED, last_hash=last)


def canonical_text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _last(rows: Any) -> dict[str, Any]:
    try:
        return {"last_hash": rows["records"][-1]["hash"]}
    except (KeyError, IndexError, TypeError):
        return {}


def _everywhere(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """One value of a plan, row or body changed wherever it stands, and the log chained over it: a consistent lie."""
    text = parts["session.json"].decode()
    rows = json.loads(text)["value"]["rows"]
    bodies = [json.loads(one["body"])["value"] for one in rows["records"]]
    told = [json.loads(rows["sessions"][0]["plan"])["value"], rows["servings"], rows["answers"], bodies]
    holder: Any = chance.choice(told)
    path = attacks.any_path(chance, holder)
    for one in path:
        holder = holder[one]
    key = next((one for one in reversed(path) if isinstance(one, str)), "")
    if isinstance(holder, dict | list):
        return "nothing", b""
    before = json.dumps(holder, ensure_ascii=False)
    after = json.dumps(chance.choice((*attacks.VALUES, _near(chance, holder))), ensure_ascii=False)
    for quote in ('"', '\\"', '\\\\\\"'):
        escaped = [json.dumps(one)[1:-1] if quote != '"' else one for one in (before, after)]
        text = text.replace(f"{quote}{key}{quote}:{escaped[0]}", f"{quote}{key}{quote}:{escaped[1]}")
    try:
        copy = json.loads(text)
        seal = next(one for one in copy["value"]["rows"]["records"] if one["kind"] == "seal")
        plan = json.loads(seal["body"])["value"]["plan"]
        copy["value"]["rows"]["sessions"][0]["plan"] = canonical_text({"value": plan, "version": 1})
        last = chained(copy["value"])
    except (ValueError, TypeError, KeyError, StopIteration):
        return "nothing", b""
    parts["session.json"] = attacks.spelt(copy)
    holds = chance.random() < 0.5
    return f"{key} {before[:40]} -> {after[:40]}", signed(parts, zipfile.ZIP_STORED, last_hash=last, log_holds=holds)


def _near(chance: Random, value: Any) -> Any:
    held = {"one": value}
    attacks._nudged(chance, held, "one")
    return held["one"]


# What is done to an export, and how often.
_WAYS: dict[str, tuple[Any, int]] = {
    "bytes": (attacks.bytes_altered, 5),
    "headers": (attacks.headers_altered, 7),
    "parts": (attacks.parts_altered, 6),
    "manifest": (_manifest, 7),
    "spelling": (_spelling, 15),
    "value": (_value, 30),
    "formulas": (_formulas, 8),
    "chained": (_chained, 15),
    "everywhere": (_everywhere, 15),
}


def tried(seeds: range, folder: Path, ended: Ended, whole: int = 500) -> None:
    """Put each case before the command; of each ``whole`` one goes into a new notebook and is drawn as page and PDF."""
    with again.exports_in_one_notebook():
        for seed in (one for one in seeds if one % whole):
            _case(seed, folder, ended)
    for seed in (one for one in seeds if one % whole == 0):
        _case(seed, folder, ended, "--html", str(folder / "r.html"), "--pdf", str(folder / "r.pdf"))


def _case(seed: int, folder: Path, ended: Ended, *words: str) -> None:
    done, data = attack(seed)
    if not data:
        return
    (folder / "hostile.zip").write_bytes(data)
    words = ("--formulas", *words) if done.startswith("formulas ") else words
    attacks.put_before(main, [str(folder / "hostile.zip"), "--numbers", *words], f"{seed} {done}", ended)


def test_altered_exports_give_a_report_or_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(150), tmp_path, ended, whole=150)
    assert ended.failures == []
    assert ended["refused"] > 50  # they are hostile …
    assert ended["told"] > 5  # … and some get past digests and chain, to the reading of what was written


def test_a_notebook_used_again_reports_what_a_new_one_does(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """What is tried cheaply is the program: one notebook for all cases says of each what a new one says."""
    told = []
    for inside in (again.exports_in_one_notebook, nullcontext):
        with inside():
            for name in ("one-nose", "ranking-opened", "one-nose"):
                assert main([str(kept.EXPORTS / f"{name}.zip"), "--numbers"]) == 0
        told.append(capsys.readouterr().out)
    assert told[0] == told[1]


@pytest.mark.slow
@pytest.mark.parametrize("part", range(100))
def test_a_hundred_thousand_altered_exports_give_a_report_or_one_sentence(part: int, tmp_path: Path) -> None:
    ended = Ended()
    tried(range(part * 1000, part * 1000 + 1000), tmp_path, ended)
    assert ended.failures == []


# --- one by one -------------------------------------------------------------------------------------------------------


def said_of(data: bytes, folder: Path, capsys: pytest.CaptureFixture[str], code: int = 2) -> str:
    (folder / "hostile.zip").write_bytes(data)
    assert main([str(folder / "hostile.zip")]) == code
    out, said = capsys.readouterr()
    assert (out == "", said.count("\n")) == (code == 2, 1)
    return said


def unlogged(name: str, change: Any) -> bytes:
    """An export with something changed that says itself that its log does not hold: nothing but reading refuses it."""
    parts = dict(base(name))
    copy = json.loads(parts["session.json"])
    change(copy["value"]["rows"])
    return signed(parts | {"session.json": attacks.spelt(copy)}, log_holds=False)


def _set(table: str, column: str, value: Any) -> Any:
    def change(rows: Any) -> None:
        rows[table][0][column] = value

    return change


def _in_the_plan(name: str, value: Any) -> Any:
    def change(rows: Any) -> None:
        plan = json.loads(rows["sessions"][0]["plan"])
        plan["value"][name] = value
        rows["sessions"][0]["plan"] = json.dumps(plan)

    return change


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (_set("trials", "strength_percent", "10x"), "strength percent must be a number such as 12.5, not '10x'"),
        (_set("trials", "strength_percent", "1e-999999999"), "strength percent must be a number"),
        (_set("trials", "strength_percent", "120"), "at most 100 percent"),
        (_set("trials", "made_at", 10**30), "at most 19 digits, not 31"),
        (_set("servings", "seat", 2**40), "row 1 of servings is nothing the program wrote"),
        (_set("servings", "codes", 7), "row 1 of servings is nothing the program wrote"),
        (_set("servings", "dips", "x"), "servings, row 1: this is nothing the program wrote"),
        (_set("servings", "medium", "glass"), "medium must be one of"),
        (_set("panelists", "alias", ""), "alias must not be empty"),
        (_set("briefs", "title", "\x1b[2J"), "title must not contain control characters"),
        (_set("records", "body", "[" * 500), "at most 24 deep"),
        (_in_the_plan("alpha", "NaN"), "alpha must be a number such as 12.5"),
        (_in_the_plan("replicates", 10**9), "replicates must be from 1 to 60"),
        (_in_the_plan("title", ["a"]), "title must be text"),
        (_in_the_plan("method", {}), "method"),
    ],
)
def test_what_is_read_goes_through_the_constructors_of_what_is_typed(
    change: Any, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said in said_of(unlogged("one-nose", change), tmp_path, capsys)


def rows_of_nothing(letters: int) -> bytes:
    """A session of a hundred megabytes that packs to a hundred kilobytes."""
    return b'{"value":{"session_id":"a","key":{},"rows":{"answers":[' + b"{}," * (letters // 3) + b'{}]}},"version":1}'


@pytest.mark.parametrize(
    "session",
    [
        rows_of_nothing(105_000_000),
        rows_of_nothing(900_000),
        b'{"value":' + b"[" * 900_000,
        b'{"value":{"rows":' + b"9" * 900_000 + b"}}",
        b'{"value":{"rows":"' + b"\\u0041" * 150_000 + b'"}}',
    ],
    ids=["a hundred megabytes", "many values", "deep", "a long number", "a long text"],
)
def test_a_bomb_is_refused_by_what_it_says_and_what_was_counted(
    session: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """No test measures time: what is counted is bytes unpacked and rows laid in."""
    parts = base("one-nose") | {"session.json": session}
    bomb = signed(parts)
    unpacked = []
    before = archives.Archive.chunks

    def counted(self: Any, *words: Any) -> Iterator[bytes]:
        for chunk in before(self, *words):
            unpacked.append(len(chunk))
            yield chunk

    monkeypatch.setattr(archives.Archive, "chunks", counted)
    monkeypatch.setattr(Notebook, "open", lambda *_: pytest.fail("it was laid in"))
    said_of(bomb, tmp_path, capsys)
    assert sum(unpacked) <= intake.EXPORT.most_unpacked(len(bomb))
    if len(session) > 10_000_000:
        assert sum(unpacked) == 0


def test_digests_are_looked_at_before_a_session_is_parsed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    read = []
    before = export.json_of
    monkeypatch.setattr(export, "json_of", lambda data, most: read.append(most.what) or before(data, most))
    parts = base("one-nose")
    said = said_of(attacks.zipped(parts | {"session.json": parts["session.json"] + b" "}), tmp_path, capsys)
    assert "its parts are not those its manifest names" in said
    assert read == ["a manifest"]


def test_a_report_that_cannot_be_written_leaves_nothing_behind(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "export.zip").write_bytes(attacks.zipped(base("one-nose")))
    words = [str(tmp_path / "export.zip"), "--html", str(tmp_path / "no folder" / "r.html")]
    assert main(words) == 2
    assert "r.html cannot be written: No such file or directory" in capsys.readouterr().err
    assert [one.name for one in tmp_path.iterdir()] == ["export.zip"]
