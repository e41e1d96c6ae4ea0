"""Backup and restore (evaluation/store/backup): everything of one instant, back again with the same numbers, or refused."""

from __future__ import annotations

import io
import itertools
import json
import random
import sqlite3
import stat
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import MetaData

from evaluation.clock import SteppedClock, SystemClock
from evaluation.errors import StoreError
from evaluation.ground import intake
from evaluation.report import export
from evaluation.store import Notebook, rows, schema
from evaluation.store.backup import checking, form, making, restoring, row_lines
from evaluation.store.engine import transaction
from evaluation.store.kept_doors import Visit
from tests import kept
from tests.backups import altered, backup_of, held_by, inside, made_of, members, one_row_each, zipped
from tests.postgres import own_schema, postgres
from tests.store.prepared import Held, add_draft, alone, fill, held, marked, raw, sealed

BOTH = ["file", postgres]


@pytest.fixture(params=BOTH)
def target(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """An empty place to restore into."""
    with ExitStack() as stack:
        yield stack.enter_context(own_schema()) if request.param == "postgres" else str(tmp_path / "back.sqlite")


def restored(archive: bytes, where: str, secret: bytes | None = None) -> restoring.Restored:
    return restoring.restore(io.BytesIO(archive), where, SteppedClock(step=1), secret)


# --- whole ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["smelling", "opened"])
def test_every_table_and_column_comes_back(lasting: str, target: str, state: str) -> None:
    """Driven by the tables there are: a table or a column that a backup leaves out fails here when it is made."""
    one_row_each(lasting, state)
    before = held_by(lasting)
    assert all(len(some) == 1 for some in before.values())
    restored(backup_of(lasting, bytes(32)), target)
    after = held_by(target)
    assert after["visits"][0].pop("ended_at") == before["visits"][0].pop("ended_at")
    assert after == before


def test_a_backup_holds_a_member_for_every_table_of_the_database(lasting: str) -> None:
    notebook = Notebook.open(lasting, SteppedClock(step=1))
    with transaction(notebook._engine, "reading") as connection:
        found = MetaData()
        found.reflect(connection)
    names = found.tables.keys() - {schema.VERSION_TABLE}
    assert names == rows.metadata.tables.keys()
    assert {form.table_member(name) for name in names} == {
        name for name in members(made_of(notebook)) if name.startswith(form.TABLES)
    }
    notebook.close()


@pytest.mark.parametrize("name", sorted(file.name for file in (Path(__file__).parent / "released").glob("*.sql")))
def test_a_backup_of_an_older_schema_is_brought_up_as_it_is_restored(name: str, tmp_path: Path) -> None:
    from tests.store.test_opening import _dumped

    older = _dumped(tmp_path / "older.sqlite", name)
    before = held_by(str(older))
    archive = backup_of(str(older))
    assert json.loads(members(archive)[form.MANIFEST])["schema"].startswith(name[:4])
    assert held_by(str(older)) == before  # it was not migrated for that
    assert restored(archive, str(tmp_path / "back.sqlite")).checked.damage == ()
    Notebook.open(older, SteppedClock(step=1)).close()
    brought_up, back = held_by(str(older)), held_by(str(tmp_path / "back.sqlite"))
    for table in ("ballots", "visits"):  # links and visits begin anew
        assert len(brought_up.pop(table)) == len(back.pop(table))
    assert back == brought_up


DUMPS = [file.name.removesuffix(".sql.gz") for file in kept.dumps()]


@pytest.mark.parametrize(
    ("name", "ways"),
    [
        *(pytest.param(name, ("file",), marks=[] if name == "alone" else pytest.mark.slow) for name in DUMPS),
        pytest.param("skin", ("postgres", "file"), marks=pytest.mark.postgres),
        *(pytest.param(one, ("postgres", "file"), marks=[pytest.mark.slow, pytest.mark.postgres]) for one in DUMPS),
    ],
)
def test_numbers_words_and_seals_of_every_kind_of_session_come_back(
    name: str, ways: tuple[str, ...], tmp_path: Path
) -> None:
    told = kept.read(kept.DUMPS / f"{name}.facts.json")
    where = str(kept.unpack(kept.DUMPS / f"{name}.sql.gz", tmp_path / "n.sqlite"))
    with ExitStack() as stack:
        for number, way in enumerate(ways):
            target = stack.enter_context(own_schema()) if way == "postgres" else str(tmp_path / f"{number}.sqlite")
            assert restored(backup_of(where), target).checked.damage == ()
            where = target
        notebook = stack.enter_context(closing(Notebook.open(where, SteppedClock(told["now"], step=1))))
        facts, seen = kept.facts(notebook)
        before = {part: told[part] for part in ("sessions", "briefs")}
        assert kept.differences(kept.only_kept(facts, before), before) == []
        for title, slug in told["exports"].items():
            numbers = kept.read(kept.EXPORTS / f"{slug}.numbers.json")
            assert kept.differences(kept.as_kept(seen[title].told, numbers), numbers) == [], title


def test_what_was_restored_goes_on(lasting: str, target: str) -> None:
    """Numbers that the database gives go on after those that came, and the logs go on from their last hash."""
    made = held(Notebook.open(lasting, SteppedClock(step=1)))
    made.lock(made.answer(1))
    archive = made_of(made.notebook)
    restored(archive, target)
    again = Held(Notebook.open(target, SteppedClock(step=1)), made.id, made.plan, made.drawn, made.ballot_ids)
    again.lock(again.answer(2))
    again.step("close", "open")
    assert again.verifies()
    with again.notebook.reading() as tx:
        assert tx.key.open_key(made.id) == made.drawn.key
        assert len(tx.ballots.session_answers(made.id)) == 2
    again.notebook.close()
    made.notebook.close()


def test_trials_are_laid_in_after_those_they_were_made_from(lasting: str, target: str) -> None:
    """By their names the youngest would come first."""
    from tests.store.prepared import trial

    notebook = Notebook.open(lasting, SteppedClock(step=1))
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.add_trial(trial("6", parent_id="trial-8"))
        tx.book.add_trial(trial("5", parent_id="trial-6"))
    restored(made_of(notebook), target)
    notebook.close()
    assert held_by(target)["trials"] == held_by(lasting)["trials"]


# --- one instant ------------------------------------------------------------------------------------------------------


class Interrupted(io.BytesIO):
    """Does something once, in the middle of the writing."""

    def __init__(self, act: Callable[[], None]) -> None:
        super().__init__()
        self._act: Callable[[], None] | None = act

    def write(self, data: Any) -> int:
        if self._act and self.tell():
            act, self._act = self._act, None
            act()
        return super().write(data)


def test_an_answer_is_acknowledged_while_a_backup_is_made_and_is_not_half_in_it(lasting: str, target: str) -> None:
    made = held(Notebook.open(lasting, SteppedClock(step=1)), minutes=(5, 60))
    made.lock(made.answer(1, place=1), made.answer(1, "sure", 1, "guess"))
    late = threading.Thread(
        target=lambda: made.lock(made.answer(1, place=2), made.answer(1, "sure", 2, "guess")), daemon=True
    )

    def answer() -> None:
        late.start()
        late.join(60)
        assert not late.is_alive(), "the answer waits for the backup"

    out = Interrupted(answer)
    making.make(made.notebook, out)
    with made.notebook.reading() as tx:
        assert len(tx.ballots.session_answers(made.id)) == 4
    made.notebook.close()
    assert restored(out.getvalue(), target).checked == checking.Checked(1, 1, 2, restored_logs(target), ())


def restored_logs(where: str) -> Any:
    notebook = Notebook.open(where, SteppedClock(step=1))
    try:
        return checking.check(notebook).logs
    finally:
        notebook.close()


def answering(made: Held, seat: int, acknowledged: list[tuple[str, str]], stop: threading.Event) -> None:
    """Lock screens of two answers, one after another, writing down each that was acknowledged."""
    for place in itertools.count(1):
        if stop.is_set() or place > len(made.plan.ages):
            return
        one = made.answer(seat, place=place)
        made.lock(one, made.answer(seat, "sure", place, "guess"))
        acknowledged.append((one.ballot_id, one.serving_id))


@pytest.mark.usefixtures("patient")
def test_all_that_was_acknowledged_before_is_in_it_and_screens_are_whole(lasting: str, tmp_path: Path) -> None:
    people = 6
    minutes = tuple(range(5, 65, 5))
    made = held(Notebook.open(lasting, SystemClock()), people=people, spare=0, minutes=minutes)
    acknowledged: list[tuple[str, str]] = []
    stop = threading.Event()
    at_work = [
        threading.Thread(target=answering, args=(made, seat, acknowledged, stop)) for seat in range(1, people + 1)
    ]
    archives: list[tuple[set[tuple[str, str]], bytes]] = []
    for one in at_work:
        one.start()
    try:
        for _ in range(3):
            before = set(acknowledged)
            archives.append((before, made_of(made.notebook)))
    finally:
        stop.set()
        for one in at_work:
            one.join()
    made.notebook.close()
    for number, (before, archive) in enumerate(archives):
        where = str(tmp_path / f"{number}.sqlite")
        assert restored(archive, where).checked.damage == ()
        found = held_by(where)["answers"]
        screens = [
            {(row["ballot_id"], row["serving_id"]) for row in found if row["question"] == one}
            for one in ("choice", "sure")
        ]
        assert screens[0] == screens[1]
        assert before <= screens[0]


# --- keys and secret --------------------------------------------------------------------------------------------------


def test_keys_of_unopened_sessions_are_a_part_of_their_own(notebook: Notebook) -> None:
    opened = held(notebook, "opened")
    shut = sealed(notebook, "shut", add_draft(notebook, "shut"), seed=bytes(32))
    marked(alone(notebook, "alone", "closed"), "ABA", "BBA")
    found = members(made_of(notebook))
    parts = {name: data.decode() for name, data in found.items()}
    hidden = [json.loads(line) for line in parts[form.SEALED_KEYS].splitlines()]
    assert {one["table"] for one in hidden} == {"keys", "key_orders", "marks", "groupings"}
    assert {one["row"]["session_id"] for one in hidden if one["table"] == "keys"} == {"shut", "alone"}
    shown = [json.loads(line) for line in parts[form.table_member("keys")].splitlines()]
    assert [one["session_id"] for one in shown] == [opened.id]
    elsewhere = "".join(text for name, text in parts.items() if name != form.SEALED_KEYS)
    assert shut.drawn.key.seed not in elsewhere
    assert opened.drawn.key.seed in elsewhere
    about = parts[form.README]
    assert all(name in about for name in (form.SEALED_KEYS, form.SECRET, form.MANIFEST))


def test_the_secret_is_in_it_only_when_asked_for(notebook: Notebook) -> None:
    fill(notebook)
    secret = bytes(range(32))
    without, with_it = made_of(notebook), made_of(notebook, secret)
    assert form.SECRET not in members(without)
    assert all(secret.hex().encode() not in data for data in members(without).values())
    assert members(with_it)[form.SECRET].decode().strip() == secret.hex()


def test_a_secret_too_short_for_the_doors_is_damage(notebook: Notebook, tmp_path: Path) -> None:
    fill(notebook)
    archive = altered(made_of(notebook, bytes(32)), _part(form.SECRET, b"00\n"))
    assert "line 1 of" in refused(archive, tmp_path / "place")


@pytest.mark.parametrize(
    ("carried", "there", "stay"),
    [(None, None, False), (b"1" * 32, None, True), (b"1" * 32, b"1" * 32, True), (b"1" * 32, b"2" * 32, False)],
    ids=["no secret", "its own", "the same", "another"],
)
def test_links_stay_only_with_the_secret_they_were_made_with(
    tmp_path: Path, carried: bytes | None, there: bytes | None, stay: bool
) -> None:
    from evaluation.actions import doors
    from evaluation.errors import Refused

    made = held(Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1)))
    token = doors.links(made.notebook, b"1" * 32, made.id)[made.ballot_ids[0]]
    cookie, _ = doors.join(made.notebook, token)
    archive = made_of(made.notebook, carried)
    made.notebook.close()
    restored(archive, str(tmp_path / "back.sqlite"), there)
    back = Notebook.open(tmp_path / "back.sqlite", SteppedClock(step=1))
    if stay:
        assert doors.check_link(back, token).id == made.ballot_ids[0]
    else:
        with pytest.raises(Refused):
            doors.check_link(back, token)
    assert doors.who(back, cookie).role == doors.NOBODY  # whoever was in comes in anew
    anew = doors.links(back, there or carried or b"3" * 32, made.id)[made.ballot_ids[0]]
    assert doors.check_link(back, anew).id == made.ballot_ids[0]
    back.close()


# --- places -----------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A backup of a session half smelt, one alone, and one opened."""
    notebook = Notebook.open(tmp_path_factory.mktemp("source") / "n.sqlite", SteppedClock(step=1))
    made = held(notebook, minutes=(5, 60))
    made.lock(made.answer(1), made.answer(1, "remark", value="greener"))
    marked(alone(notebook, "alone", "closed"), "ABA", "BBA")
    other = sealed(notebook, "other", add_draft(notebook, "other"), seed=bytes(32))
    other.step("start")
    other.lock(other.answer(1))
    other.step("close", "open")
    found = made_of(notebook)
    notebook.close()
    return found


def test_a_place_where_only_doors_were_opened_is_empty(target: str, archive: bytes) -> None:
    """Whoever chose a passphrase there stays in, and the setting of the place wins."""
    notebook = Notebook.open(target, SteppedClock(step=1))
    with notebook.writing() as tx:
        tx.doors.set_setting("public address", "http://here")
        tx.doors.note_attempt("conductor", False)
    assert restoring.is_empty(notebook)
    restoring.restore_into(io.BytesIO(archive), notebook)
    assert not restoring.is_empty(notebook)
    with notebook.reading() as tx:
        assert tx.doors.setting("public address") == "http://here"
        assert len(tx.sittings.sessions()) == 3
    notebook.close()


def test_a_backup_of_this_very_place_comes_back_to_whoever_is_in_it(target: str) -> None:
    """The visit that is open here is in the backup, too, as one that is over: the one of here stays."""
    notebook = Notebook.open(target, SteppedClock(step=1))
    with notebook.writing() as tx:
        tx.doors.begin_visit(Visit("a hash", "conductor", None, 1, 1 << 50, None))
    restoring.restore_into(io.BytesIO(made_of(notebook)), notebook)
    with notebook.reading() as tx:
        assert tx.doors.visit("a hash") is not None
    notebook.close()


def test_a_place_with_anything_in_it_stays_as_it_is(target: str, archive: bytes) -> None:
    notebook = Notebook.open(target, SteppedClock(step=1))
    with notebook.writing() as tx:
        from evaluation.values.briefs import Brief

        tx.book.add_brief(Brief("only", "A brief", "", 5))
    before = held_by(target)
    with pytest.raises(StoreError, match="stays as it is"):
        restored(archive, target)
    with pytest.raises(StoreError, match="stays as it is"):
        restoring.restore_into(io.BytesIO(archive), notebook)
    notebook.close()
    assert held_by(target) == before


def test_what_is_left_of_another_notebook_is_not_played_into_the_new_file(tmp_path: Path, archive: bytes) -> None:
    (tmp_path / "back.sqlite-wal").write_bytes(b"older")
    with pytest.raises(StoreError, match="move it away"):
        restored(archive, str(tmp_path / "back.sqlite"))
    assert inside(tmp_path) == ["back.sqlite-wal"]


@pytest.mark.parametrize("where", ["no/such/folder/n.sqlite", ".", None], ids=["folder missing", "a folder", "memory"])
def test_a_place_that_is_none_is_refused(
    where: str | None, archive: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(StoreError):
        restored(archive, where)  # type: ignore[arg-type]
    assert inside(tmp_path) == []


def test_what_is_restored_is_its_owners_only(tmp_path: Path, archive: bytes) -> None:
    restored(archive, str(tmp_path / "back.sqlite"))
    assert inside(tmp_path) == ["back.sqlite", "back.sqlite.anchor"]
    assert {stat.S_IMODE((tmp_path / name).stat().st_mode) for name in inside(tmp_path)} == {0o600}


def test_a_backup_appears_whole_and_its_owners_only_or_not_at_all(tmp_path: Path) -> None:
    with form.new_file(tmp_path / "b.zip") as out:
        assert inside(tmp_path) != ["b.zip"]
        out.write(b"whole")
    assert stat.S_IMODE((tmp_path / "b.zip").stat().st_mode) == 0o600
    with pytest.raises(StoreError, match="there already"), form.new_file(tmp_path / "b.zip"):
        raise AssertionError("nothing is begun")
    with pytest.raises(ZeroDivisionError), form.new_file(tmp_path / "c.zip") as out:
        out.write(b"half" * (1 // len(inside(tmp_path / "nothing"))))
    assert inside(tmp_path) == ["b.zip"]
    assert (tmp_path / "b.zip").read_bytes() == b"whole"


# --- damage -----------------------------------------------------------------------------------------------------------


def refused(archive: bytes, folder: Path) -> str:
    """The one sentence with which an archive is refused; nothing was written."""
    folder.mkdir(exist_ok=True)
    with pytest.raises(StoreError) as problem:
        restored(archive, str(folder / "back.sqlite"))
    assert inside(folder) == []
    sentence = str(problem.value)
    assert "\n" not in sentence
    assert sentence.endswith(".")
    return sentence


def test_a_backup_cut_short_anywhere_is_refused(archive: bytes, tmp_path: Path) -> None:
    for length in [*range(0, 60, 7), *range(60, len(archive), len(archive) // 25), len(archive) - 1]:
        refused(archive[:length], tmp_path / "place")


def flipped(archive: bytes, tries: int, folder: Path) -> tuple[int, int]:
    """How often one turned bit was refused, and how often the rows came back all the same."""
    drawn, counts = random.Random(5), [0, 0]
    whole = folder / "whole.sqlite"
    restored(archive, str(whole))
    wanted = held_by(str(whole))
    for number in range(tries):
        bit = drawn.randrange(len(archive) * 8)
        turned = bytearray(archive)
        turned[bit // 8] ^= 1 << bit % 8
        where = folder / f"{number}.sqlite"
        try:
            restored(bytes(turned), str(where))
        except StoreError:
            assert not where.exists()
            counts[0] += 1
        else:
            assert held_by(str(where)) == wanted
            counts[1] += 1
    return counts[0], counts[1]


def test_a_turned_bit_is_refused_or_harmless(archive: bytes, tmp_path: Path) -> None:
    noticed, _ = flipped(archive, 30, tmp_path)
    assert noticed > 20


@pytest.mark.slow
def test_three_hundred_turned_bits_are_refused_or_harmless(archive: bytes, tmp_path: Path) -> None:
    noticed, harmless = flipped(archive, 300, tmp_path)
    assert noticed > 250
    assert noticed + harmless == 300


def _row(parts: dict[str, bytes], table: str, change: Callable[[dict[str, Any]], None]) -> None:
    """Change the first row of a table."""
    name = form.table_member(table)
    first, rest = parts[name].split(b"\n", 1)
    row = json.loads(first)
    change(row)
    parts[name] = row_lines.line(row) + rest


def _set(table: str, column: str, value: Any) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    return lambda parts, _: _row(parts, table, lambda row: row.update({column: value}))


def _part(name: str, data: bytes) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    return lambda parts, _: parts.update({name: data})


def _gone(name: str) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    def change(parts: dict[str, bytes], manifest: dict[str, Any]) -> None:
        del parts[name], manifest["members"][name]

    return change


def _told(**more: Any) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    return lambda _, manifest: manifest.update(more)


def _log(**more: Any) -> Callable[[dict[str, bytes], dict[str, Any]], None]:
    return lambda _, manifest: manifest["logs"][0].update(more)


ANSWERS = form.table_member("answers")
ALTERED: dict[str, tuple[Callable[[dict[str, bytes], dict[str, Any]], None], str]] = {
    "an answer": (_set("answers", "value", "000"), "log of a session"),
    "an instant": (_set("answers", "at", 7), "log of a session"),
    "a record": (_set("records", "kind", "closed"), "log of a session"),
    "a key": (
        lambda parts, _: parts.update({form.SEALED_KEYS: parts[form.SEALED_KEYS].replace(b'"AAB"', b'"BBA"')}),
        "log of a session",
    ),
    "a remark": (_set("personal_texts", "text", "sweeter"), "log of a session"),
    "an answer left out": (_part(ANSWERS, b""), "log of a session"),
    "a last hash": (_log(last_hash="0"), "log of a session"),
    "a log said to be broken": (_log(holds=False), "log of a session"),
    "a column more": (_set("briefs", "more", 1), "line 1 of tables/briefs.jsonl"),
    "a column less": (lambda parts, _: _row(parts, "briefs", lambda row: row.pop("text")), "line 1 of tables/briefs"),
    "a number for words": (_set("briefs", "title", 7), "line 1 of tables/briefs"),
    "words for a number": (_set("answers", "at", "7"), "line 1 of tables/answers"),
    "a number too large": (_set("answers", "at", 1 << 63), "line 1 of tables/answers"),
    "a number of a thousand digits": (
        _part(ANSWERS, b'{"id":' + b"9" * 10_000 + b"}\n"),
        "line 1 of tables/answers",
    ),
    "yes as a number": (_set("answers", "final", 1), "line 1 of tables/answers"),
    "a day that is none": (_set("bottles", "mixed_on", "2026-02-30"), "line 1 of tables/bottles"),
    "nothing where something must be": (_set("briefs", "title", None), "line 1 of tables/briefs"),
    "half a letter": (
        lambda parts, _: _part(form.table_member("briefs"), parts["tables/briefs.jsonl"].replace(b"A dry", b"\\ud800"))(
            parts, {}
        ),
        "tables/briefs",
    ),
    "one row twice": (lambda parts, _: parts.update({ANSWERS: parts[ANSWERS] * 2}), "tables/answers"),
    "a reference to nothing": (_set("answers", "ballot_id", "nobody"), "refers to one that is not in it"),
    "no JSON": (_part(ANSWERS, b"[1, 2\n"), "line 1 of tables/answers"),
    "nested without end": (_part(ANSWERS, b"[" * 200_000 + b"\n"), "line 1 of tables/answers"),
    "a list for a row": (_part(ANSWERS, b"[1, 2]\n"), "line 1 of tables/answers"),
    "a key of another table": (_part(form.SEALED_KEYS, b'{"table": "answers", "row": {}}\n'), "line 1 of keys-of-"),
    "a table gone": (_gone(ANSWERS), "its tables are not those"),
    "the keys gone": (_gone(form.SEALED_KEYS), "its tables are not those"),
    "a part more": (_part("tables/more.jsonl", b"{}\n"), "not those its manifest names"),
    "a part of another kind": (_part("../../evil.txt", b"x"), "its parts are others"),
    "a newer schema": (_told(schema="9999_later"), "newer version"),
    "an older schema": (_told(schema="0001_main_job"), "its tables are not those"),
    "no logs": (_told(logs=[]), "log of a session"),
    "a newer form": (_told(format=2), "newer version"),
    "another program": (_told(what="notes"), "speaks of something else"),
    "no columns": (_told(columns={}), "its tables are not those"),
    "columns that are none": (_told(columns=7), "its manifest cannot be read"),
    "a log that is none": (_told(logs=[7]), "its manifest cannot be read"),
    "an instant that is none": (_told(made_at="now"), "its manifest cannot be read"),
}


@pytest.mark.parametrize("name", ALTERED)
def test_an_altered_backup_is_refused_with_its_reason(name: str, archive: bytes, tmp_path: Path) -> None:
    change, reason = ALTERED[name]
    assert reason in refused(altered(archive, change), tmp_path / "place")


def test_a_copy_that_a_newer_version_made_of_this_form_comes_back(archive: bytes, tmp_path: Path) -> None:
    """It copies before it changes the form, and cannot read the logs of one that is not its own."""
    (tmp_path / "copy.zip").write_bytes(altered(archive, _told(logs=None)))
    back = restoring.restore(tmp_path / "copy.zip", tmp_path / "back.sqlite", SteppedClock(step=1))
    assert [one.holds for one in back.checked.logs] == [True] * 3
    assert back.checked.damage == ()


def test_what_is_changed_without_its_digest_is_damage(archive: bytes, tmp_path: Path) -> None:
    parts = members(archive)
    parts[ANSWERS] += b"\n"
    assert f"{ANSWERS} is not as its manifest says" in refused(zipped(parts), tmp_path / "place")


def test_nothing_reaches_a_place_that_was_open_when_the_backup_was_altered(archive: bytes, target: str) -> None:
    notebook = Notebook.open(target, SteppedClock(step=1))
    with pytest.raises(StoreError, match="log of a session"):
        restoring.restore_into(io.BytesIO(altered(archive, ALTERED["an answer"][0])), notebook)
    assert restoring.is_empty(notebook)
    notebook.close()


def test_files_of_other_kinds_are_refused_with_their_reason(notebook: Notebook, tmp_path: Path) -> None:
    opened = held(notebook, "opened")
    place = tmp_path / "place"
    assert "export of one session" in refused(export.export(notebook, opened.id), place)
    assert "a backup must be a zip" in refused(b"", place)
    assert "a backup must be a zip" in refused(b"SQLite format 3\0" + bytes(4096), place)
    assert "its parts are others" in refused(zipped({"word/document.xml": b"<x/>"}), place)
    with pytest.raises(StoreError, match="cannot be read"):
        restoring.restore(tmp_path / "nothing.zip", place / "n.sqlite", SteppedClock())


def test_what_would_unpack_to_too_much_is_refused_unread(
    archive: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bomb = altered(
        archive, _part(ANSWERS, b" " * (intake.BACKUP.free + intake.BACKUP.times * len(archive) * 20) + b"\n")
    )
    monkeypatch.setattr(form, "_digest_size_lines", None)  # no part of it may be unpacked
    monkeypatch.setattr(form, "_manifest", None)
    assert "may unpack to at most" in refused(bomb, tmp_path / "place")


def test_many_parts_and_other_packing_are_refused_unread(
    archive: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import zipfile

    monkeypatch.setattr(form, "_manifest", None)
    many = {form.table_member(f"t{number}"): b"" for number in range(intake.BACKUP.members)}
    assert "may have at most 200 parts" in refused(zipped(members(archive) | many), tmp_path / "place")
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_LZMA) as packed:
        for name, data in members(archive).items():
            packed.writestr(name, data)
    assert "must be packed plainly" in refused(out.getvalue(), tmp_path / "place")
    twice = io.BytesIO(archive)
    with zipfile.ZipFile(twice, "a") as packed, pytest.warns(UserWarning, match="Duplicate"):
        packed.writestr(form.MANIFEST, b"{}")
    assert "each of its parts once" in refused(twice.getvalue(), tmp_path / "place")


# --- checks -----------------------------------------------------------------------------------------------------------


def test_a_check_finds_what_was_altered_and_where(notebook: Notebook) -> None:
    made = held(notebook, "opened")
    sound = checking.check(notebook)
    assert (sound.sessions, sound.damage) == (1, ())
    assert [(one.id, one.state, one.holds) for one in sound.logs] == [(made.id, "opened", True)]
    for statement in (
        "UPDATE records SET at = at + 1 WHERE sequence = 2",
        "UPDATE keys SET seed = 'other'",
        "UPDATE records SET body = '[' WHERE sequence = 1",
        "DELETE FROM heads",
    ):
        raw(notebook, statement)
        (sentence,) = checking.check(notebook).damage
        assert made.plan.title in sentence


def test_a_backup_of_a_broken_log_says_so_and_can_be_restored(notebook: Notebook, tmp_path: Path) -> None:
    """What is damaged is kept as it is: it must not become less by being saved."""
    held(notebook, "opened")
    raw(notebook, "UPDATE records SET at = at + 1 WHERE sequence = 2")
    archive = made_of(notebook)
    assert [one["holds"] for one in json.loads(members(archive)[form.MANIFEST])["logs"]] == [False]
    assert restored(archive, str(tmp_path / "back.sqlite")).checked.damage != ()


def test_a_file_with_many_broken_pages_is_called_damaged(tmp_path: Path) -> None:
    file = tmp_path / "n.sqlite"
    held(Notebook.open(file, SteppedClock(step=1)), people=20, spare=0).notebook.close()
    data = bytearray(file.read_bytes())
    for page in range(20, len(data) // 4096, 2):
        data[page * 4096 + 100 : page * 4096 + 1100] = bytes(1000)
    file.write_bytes(data)
    with pytest.raises(StoreError, match="notebook is damaged"):
        Notebook.open_unchanged(file, SteppedClock())


def test_a_check_of_a_file_with_a_broken_page_says_damaged(tmp_path: Path) -> None:
    """Of an index: every query still works, and finds nothing by it."""
    file = tmp_path / "n.sqlite"
    held(Notebook.open(file, SteppedClock(step=1)), people=20, spare=0).notebook.close()
    with closing(sqlite3.connect(file)) as connection:
        (root,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'ix_answers_session_id'"
        ).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    data = bytearray(file.read_bytes())
    data[(root - 1) * size : root * size] = bytes(size)
    file.write_bytes(data)
    notebook = Notebook.open_unchanged(file, SteppedClock())
    assert "damaged" in checking.check(notebook).damage[0]
    notebook.close()
