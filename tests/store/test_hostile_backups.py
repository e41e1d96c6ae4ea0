"""Backups altered by somebody who knows how they are made: each comes back, with what is wrong in it, or one sentence."""

from __future__ import annotations

import io
import json
import zipfile
from contextlib import redirect_stderr, redirect_stdout
from decimal import Decimal
from functools import cache
from hashlib import sha256
from pathlib import Path
from random import Random
from typing import Any

import pytest

from evaluation.actions import (
    aims,
    ballot,
    bench,
    bottle_book,
    decide,
    doors,
    findings,
    formulas,
    live,
    skin,
    timetable,
)
from evaluation.clock import SteppedClock
from evaluation.errors import MouilletteError, StoreError
from evaluation.formulas import read_lines
from evaluation.ground import archives, intake
from evaluation.keeping.backup_commands import main
from evaluation.store import Notebook
from evaluation.store.backup import form, restoring
from tests import again, attacks, scenes
from tests.actions.test_solo import Person, keen, play
from tests.attacks import Ended
from tests.backups import made_of
from tests.sittings_played import a_series
from tests.skin_scene import on_skin, ready

UNSERVED = "2"  # the mark of a bottle that no session speaks of


@cache
def base() -> dict[str, bytes]:
    """The parts of a small backup with a row or two in every table: opened, on skin, alone, and a sealed session."""
    clock = SteppedClock(step=1)
    notebook = Notebook.open(None, clock)
    scene = scenes.scene(notebook, people=3)
    aims.save_descriptors(notebook, scene.brief_id, scenes.RATED)
    ready(notebook, scene.trial_ids, scene.panelist_ids)
    formulas.write(notebook, scene.trials(3)[2], read_lines(ACCORD), new_materials=True)
    bottle_book.add_bottle(notebook, scene.trial_ids[0], UNSERVED, lots="of another supplier")
    _opened(notebook, scene)
    _on_skin(notebook, scene)
    play(notebook, scene.sealed(title="alone", people=1, solo=True, replicates=4).id, Person(3, keen), clock)
    another = scene.sealed(title="another")
    timetable.make(notebook, another.id, timetable.Settings(notebook.clock.now() + 60_000))
    _doors(notebook, another.id)
    a_series(scene, 3)
    parts = attacks.unzipped(made_of(notebook))
    notebook.close()
    return parts


ACCORD = "material;parts;accord\nLeaf;2;Green\nFig;3;Green\nVetiver oil;4;\n"


def _opened(notebook: Notebook, scene: scenes.Scene) -> None:
    session = scene.smelling()
    seats = scenes.ballots(notebook, session.id)
    live.dipped(notebook, session.id, bench.servings(notebook, session.id)[0].id)
    bench.note_deviation(notebook, session.id, seats[0].seat, "overheard", "somebody said it aloud")
    for one in seats[:2]:
        scenes.answer_all(notebook, one.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    decide.decide(notebook, scene.brief_id, scene.trial_ids[0], "drop", "it is not dry")


def _on_skin(notebook: Notebook, scene: scenes.Scene) -> None:
    """Smelt on skin; one of them stopped."""
    session = scene.smelling(**on_skin() | {"alpha": Decimal("0.3")})
    skin.take_off(notebook, scene.trials(3)[2], "it reddened somebody")
    ballot.stop(notebook, scenes.ballots(notebook, session.id)[0].id, "skin")


def _doors(notebook: Notebook, session_id: str) -> None:
    """A passphrase, who came in, and who did not."""
    doors.set_first_passphrase(notebook, "a long passphrase of ours")
    with pytest.raises(MouilletteError):
        doors.sign_in(notebook, "another passphrase of theirs")
    doors.join(notebook, next(iter(doors.links(notebook, bytes(32), session_id).values())))


def signed(parts: dict[str, bytes], manifest: dict[str, Any], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    """Parts with a manifest that fits them."""
    told = manifest["members"]
    for name, data in parts.items():
        told[name] = {"sha256": sha256(data).hexdigest(), "bytes": len(data), "lines": data.count(b"\n")}
    return attacks.zipped(parts | {form.MANIFEST: attacks.spelt(manifest)}, packing)


def attack(seed: int) -> tuple[str, bytes]:
    """A hostile backup, and what was done to it."""
    chance = Random(seed)
    parts = dict(base())
    how = chance.choices(tuple(_OF_ALL), [weight for _, weight in _OF_ALL.values()])[0]
    if _OF_ALL[how][0] is not None:
        done, data = _OF_ALL[how][0](chance, parts)
        return f"{how} {done}", data
    manifest = json.loads(parts.pop(form.MANIFEST))
    full = sorted(name for name, data in parts.items() if name.endswith(form.LINES) and data)
    name = chance.choice(full)
    lines = parts[name].splitlines(keepends=True)
    at = chance.randrange(len(lines))
    done = f"{how} {name}:{at + 1} " + _CHANGED[how](chance, lines, at)
    parts[name] = b"".join(lines)
    if chance.random() < 0.3:  # what it says of the logs is not held against what is found
        for log in manifest["logs"] or ():
            log["holds"] = False
    return done, signed(parts, manifest, zipfile.ZIP_STORED)


def _manifest(chance: Random, parts: dict[str, bytes]) -> tuple[str, bytes]:
    """The manifest says something else, in its values or in how they are spelt."""
    if chance.random() < 0.4:
        done, parts[form.MANIFEST] = attacks.respelt(chance, parts[form.MANIFEST])
    else:
        told = json.loads(parts[form.MANIFEST])
        done = attacks.spoil(chance, told)
        parts[form.MANIFEST] = attacks.spelt(told)
    return done, attacks.zipped(parts, zipfile.ZIP_STORED)


# What is done to a backup, and how often; None: to a line of one member.
_OF_ALL: dict[str, tuple[Any, int]] = {
    "bytes": (attacks.bytes_altered, 5),
    "headers": (attacks.headers_altered, 7),
    "parts": (attacks.parts_altered, 7),
    "manifest": (_manifest, 8),
    "row": (None, 38),
    "body": (None, 18),
    "spelling": (None, 12),
    "lines": (None, 5),
}


def _row(chance: Random, lines: list[bytes], at: int) -> str:
    row = json.loads(lines[at])
    done = attacks.spoil(chance, row)
    lines[at] = attacks.spelt(row) + b"\n"
    return done


def _body(chance: Random, lines: list[bytes], at: int) -> str:
    """A value inside what is kept as JSON: a plan, a log's line, a list, a formula."""
    row = json.loads(lines[at])
    kept = [name for name, value in row.items() if isinstance(value, str) and value.startswith("{")]
    if not kept:
        return _row(chance, lines, at)
    name = chance.choice(kept)
    told = json.loads(row[name])
    done = attacks.spoil(chance, told)
    row[name] = attacks.spelt(told).decode("utf-8", "replace")
    lines[at] = attacks.spelt(row) + b"\n"
    return f"{name} {done}"


def _lines(chance: Random, lines: list[bytes], at: int) -> str:
    hostile = (
        b"",
        b"{}\n",
        b"null\n",
        b"[" * 5000 + b"\n",
        b"\xff\n",
        lines[at].rstrip(),
        b"9" * 5000 + b"\n",
        lines[at] * 2,
    )
    which = chance.randrange(len(hostile) + 1)
    if which == len(hostile):
        del lines[at]
    else:
        lines[at] = hostile[which]
    return str(which)


def _spelling(chance: Random, lines: list[bytes], at: int) -> str:
    """One token of a line is spelt otherwise, a line end in it or none."""
    done, line = attacks.respelt(chance, lines[at].rstrip(b"\n"))
    lines[at] = line + b"\n"
    return done


_CHANGED = {"row": _row, "body": _body, "lines": _lines, "spelling": _spelling}


def tried(seeds: range, folder: Path, ended: Ended, whole: int = 500) -> None:
    """Check each in one notebook; of each ``whole`` one goes into a file, one into a notebook that is there."""
    left = []
    with again.backups_in_one_notebook():
        for seed in seeds:
            if seed % whole > 1 and not _looked_over(seed, folder, ended):
                left.append(seed)
    there = Notebook.open(None, SteppedClock(step=1))
    for seed in seeds:
        if seed % whole == 1:
            _brought_in(seed, there, ended)
            there = again.emptied(there)
        elif seed % whole == 0 or seed in left:
            _restored(seed, folder, ended)
    there.close()


def _looked_over(seed: int, folder: Path, ended: Ended) -> bool:
    """By the command ``check``; False for one that asks for migrations."""
    done, data = attack(seed)
    (folder / "hostile.zip").write_bytes(data)
    try:
        _commanded(["check", str(folder / "hostile.zip")], f"{seed} {done}", ended)
    except again.Older:
        return False
    return True


def _brought_in(seed: int, there: Notebook, ended: Ended) -> None:
    """Into a notebook that is open and empty, as the page does it: what is refused leaves it empty."""
    done, data = attack(seed)
    before = ended["refused"]
    attacks.sent_in(lambda: restoring.restore_into(io.BytesIO(data), there), f"{seed} {done}", ended)
    if ended["refused"] > before and not restoring.is_empty(there):
        ended.failed(f"{seed} {done}", "refused, and something is left")


def _restored(seed: int, folder: Path, ended: Ended) -> None:
    """By the command ``restore`` into a new file: what is refused leaves none."""
    done, data = attack(seed)
    given, place = folder / "hostile.zip", folder / f"{seed}.sqlite"
    given.write_bytes(data)
    code = _commanded(["restore", str(given), "--data", str(place)], f"{seed} {done}", ended)
    given.unlink()
    if code == 2 and any(folder.iterdir()):
        ended.failed(f"{seed} {done}", f"refused, and {[one.name for one in folder.iterdir()]} is left")
    for left in folder.iterdir():
        left.unlink()


def _commanded(words: list[str], done: str, ended: Ended) -> int:
    """The exit code: 0, 1 with the damage it has line by line, or 2 with one sentence; how it ended is counted."""
    out, err = io.StringIO(), io.StringIO()
    ended.begin(done)
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = main(words, Path("nowhere"))
    except again.Older:
        raise
    except BaseException as problem:
        ended.failed(done, problem)
        return 1
    said = err.getvalue()
    bad = (said.count("\n") != 1 or out.getvalue()) if code == 2 else bool(said) != (code == 1)
    if bad or code not in (0, 1, 2) or max(map(len, (out.getvalue() + said).splitlines())) > 600:
        ended.failed(done, f"code {code}, said {said[:700]!r}")
    ended["refused" if code == 2 else "told"] += 1
    return code


def test_altered_backups_come_back_or_are_refused_in_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(100), tmp_path, ended)
    assert ended.failures == []
    assert ended["refused"] > 40
    assert ended["told"] > 5


def test_the_backup_that_is_altered_has_a_row_of_every_table() -> None:
    told = json.loads(base()[form.MANIFEST])
    hidden = {json.loads(line)["table"] for line in base()[form.SEALED_KEYS].splitlines()}
    empty = {name for name in told["columns"] if not told["members"][form.table_member(name)]["lines"]}
    assert empty - hidden == set()


def test_a_notebook_used_again_finds_in_a_backup_what_a_new_one_does() -> None:
    """What is tried cheaply is the program: one notebook for all cases says of each what a new file says."""
    cases = [attack(seed)[1] for seed in range(2, 7)]
    told = [[_said(data) for data in cases]]
    with again.backups_in_one_notebook():
        told += [[_said(data) for data in cases]]
    assert told[0] == told[1]


def _said(data: bytes) -> str:
    try:
        return repr(restoring.look_over(io.BytesIO(data), SteppedClock()).checked)
    except MouilletteError as problem:
        return str(problem)


@pytest.mark.slow
@pytest.mark.parametrize("part", range(100))
def test_a_hundred_thousand_altered_backups_come_back_or_are_refused(part: int, tmp_path: Path) -> None:
    ended = Ended()
    tried(range(part * 1000, part * 1000 + 1000), tmp_path, ended)
    assert ended.failures == []


# --- one by one -------------------------------------------------------------------------------------------------------


def changed(table: str, column: str, value: Any) -> bytes:
    """A backup with a row of a table changed, and digests that fit: the first that no log speaks of."""
    parts = dict(base())
    manifest = json.loads(parts.pop(form.MANIFEST))
    told = [json.loads(line) for line in parts[form.table_member(table)].splitlines()]
    next(row for row in told if row.get("mark", UNSERVED) == UNSERVED)[column] = value
    parts[form.table_member(table)] = b"".join(attacks.spelt(row) + b"\n" for row in told)
    return signed(parts, manifest)


@pytest.mark.parametrize(
    ("table", "column", "value", "said"),
    [
        ("bottles", "strength_percent", "10x", "strength percent must be a number such as 12.5, not '10x'"),
        ("bottles", "strength_percent", "1e-999999999", "strength percent must be a number such as 12.5"),
        ("panelists", "alias", "\x1b[2J", "alias must not contain control characters"),
        ("brief_sheets", "body", "[" * 100, "at most 24 deep"),
        ("skin_limits", "percent", "much", "percent must be a number such as 12.5, not 'much'"),
    ],
)
def test_a_row_of_which_no_value_can_be_made_is_told_as_damage(table: str, column: str, value: str, said: str) -> None:
    try:
        damage = " ".join(restoring.look_over(io.BytesIO(changed(table, column, value)), SteppedClock()).checked.damage)
    except StoreError as problem:
        damage = str(problem)
    assert said in damage


@pytest.mark.parametrize(
    "line", [b"[" * 4_000_000, b"{}," * 1_000_000, b"9" * 4_000_000, b'"' + b"\\u0041" * 600_000 + b'"']
)
def test_a_bomb_is_refused_by_what_was_counted(line: bytes, monkeypatch: pytest.MonkeyPatch) -> None:
    parts = dict(base())
    manifest = json.loads(parts.pop(form.MANIFEST))
    bomb = signed(parts | {form.table_member("answers"): line + b"\n"}, manifest)
    unpacked = []
    before = archives.Archive.chunks

    def counted(self: Any, *words: Any) -> Any:
        for chunk in before(self, *words):
            unpacked.append(len(chunk))
            yield chunk

    monkeypatch.setattr(archives.Archive, "chunks", counted)
    with pytest.raises(StoreError, match="line 1 of tables/answers"):
        restoring.look_over(io.BytesIO(bomb), SteppedClock())
    assert sum(unpacked) <= 2 * intake.BACKUP.most_unpacked(len(bomb))  # once for the digests, once for the rows


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("made_at", 2**62, "its manifest cannot be read"),
        ("made_at", -1, "its manifest cannot be read"),
        ("schema", "a" * 100_000, "newer version"),
        ("schema", "9999\n\x1b[2J", r"newer version (schema 9999\n\x1b[2J)"),
    ],
)
def test_what_a_manifest_says_is_told_shortly_and_before_anything_is_restored(
    name: str, value: Any, said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An instant that no calendar has ended in a traceback once all was restored."""
    parts = dict(base())
    parts[form.MANIFEST] = attacks.spelt(json.loads(parts[form.MANIFEST]) | {name: value})
    (tmp_path / "hostile.zip").write_bytes(attacks.zipped(parts))
    assert main(["restore", str(tmp_path / "hostile.zip"), "--data", str(tmp_path / "new")], Path("nowhere")) == 2
    told = capsys.readouterr().err
    assert said in told
    assert len(told) < 300
    assert not (tmp_path / "new").exists()
