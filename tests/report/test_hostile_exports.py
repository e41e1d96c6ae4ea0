"""Exports altered by somebody who knows how they are made: each gives a report or one sentence, and never a traceback."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import cache
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

import pytest

from evaluation.ground import archives, intake
from evaluation.report import export
from evaluation.report.command import main
from evaluation.sessions import Record
from evaluation.store import Notebook, chain
from tests import attacks, kept
from tests.attacks import Ended

BASES = (
    "one-nose", "ranking-opened", "triangle-opened", "preference-opened", "profile-one-nose", "skin-2-afc", "round-opened",
    "looks-closed-early", "alone-triangle", "what-did-not-go-by-the-plan", "strip-and-skin-a-stop", "alone-looks",
    "null-sets", "skin-ranking", "on-paper", "alone-tetrad", "profile-of-every-scale",
)  # fmt: skip


@cache
def base(name: str) -> dict[str, bytes]:
    """The parts of a kept export."""
    return attacks.unzipped((kept.EXPORTS / f"{name}.zip").read_bytes())


def signed(parts: dict[str, bytes], **told: Any) -> bytes:
    """Parts with a manifest that fits them."""
    about = json.loads(parts["manifest.json"])["value"] | told
    about["sha256"] = {name: sha256(data).hexdigest() for name, data in parts.items() if name != "manifest.json"}
    return attacks.zipped(parts | {"manifest.json": attacks.spelt({"value": about, "version": 1})})


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
    name = chance.choice(BASES)
    parts = dict(base(name))
    how = chance.choice(
        (
            "bytes",
            "parts",
            "value",
            "value",
            "value",
            "unlogged",
            "unlogged",
            "chained",
            "chained",
            "everywhere",
            "everywhere",
        )
    )
    if how == "bytes":
        return f"{name} bytes", attacks.turned(chance, attacks.zipped(parts))
    if how == "parts":
        return f"{name} parts", attacks.shuffled_parts(chance, parts)
    if how == "everywhere":
        return _everywhere(chance, name, parts)
    copy = json.loads(parts["session.json"])
    done = [how, name]
    told: dict[str, Any] = {}
    if how == "chained":
        record = chance.choice(copy["value"]["rows"]["records"])
        body = json.loads(record["body"])
        done.append(record["kind"] + " " + attacks.spoil(chance, body["value"]))
        try:
            record["body"] = json.dumps(body, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
            if record["kind"] == "seal" and isinstance(body["value"].get("plan"), dict):
                plan = {"value": body["value"]["plan"], "version": 1}
                copy["value"]["rows"]["sessions"][0]["plan"] = canonical_text(plan)
            told["last_hash"] = chained(copy["value"])
        except (TypeError, ValueError, KeyError):
            return "nothing", b""
    else:
        done += [attacks.spoil(chance, copy["value"]) for _ in range(chance.choice((1, 1, 1, 3)))]
        told = {"log_holds": False} if how == "unlogged" else {}
        heads = copy["value"].get("rows") if isinstance(copy["value"].get("rows"), dict) else {}
        told |= _last(heads)
    parts["session.json"] = attacks.spelt(copy)
    return " ".join(done), signed(parts, **told)


def canonical_text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def _last(rows: Any) -> dict[str, Any]:
    try:
        return {"last_hash": rows["records"][-1]["hash"]}
    except (KeyError, IndexError, TypeError):
        return {}


def _everywhere(chance: Random, name: str, parts: dict[str, bytes]) -> tuple[str, bytes]:
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
    return f"everywhere {name} {key} {before[:40]} -> {after[:40]}", signed(parts, last_hash=last, log_holds=holds)


def _near(chance: Random, value: Any) -> Any:
    held = {"one": value}
    attacks._nudged(chance, held, "one")
    return held["one"]


def tried(seeds: Iterator[int] | range, folder: Path, ended: Ended, whole: int = 10) -> None:
    """Put each case before the command; every tenth report that comes is drawn as page and PDF as well."""
    file = folder / "hostile.zip"
    for seed in seeds:
        done, data = attack(seed)
        if not data:
            continue
        file.write_bytes(data)
        words = [str(file), "--numbers"]
        words += ["--html", str(folder / "r.html"), "--pdf", str(folder / "r.pdf")] if seed % whole == 0 else []
        attacks.put_before(main, words, f"{seed} {done}", ended)


def test_altered_exports_give_a_report_or_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(150), tmp_path, ended, whole=75)
    assert ended.failures == []
    assert ended["refused"] > 50  # they are hostile …
    assert ended["told"] > 5  # … and some get past digests and chain, to the reading of what was written


@pytest.mark.slow
@pytest.mark.parametrize("part", range(100))
def test_a_hundred_thousand_altered_exports_give_a_report_or_one_sentence(part: int, tmp_path: Path) -> None:
    ended = Ended()
    tried(range(part * 1000, part * 1000 + 1000), tmp_path, ended, whole=100)
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
