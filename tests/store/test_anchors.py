"""The end of a log cannot vanish unseen (evaluation/store/anchors): each fault once, what is lost and that it is noticed.

Most faults are tried on copies of the files as a kill would leave them: the newest answers lie in the write-ahead file.
"""

from __future__ import annotations

import json
import os
import shutil
import stat
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from evaluation.clock import SteppedClock
from evaluation.errors import StoreError
from evaluation.ground.canonical import canonical
from evaluation.store import Notebook
from evaluation.store.anchors import anchor, journal, server_table
from evaluation.store.anchors.end_marks import known_of
from evaluation.store.backup import checking, restoring
from evaluation.store.engine import transaction
from tests.backups import made_of
from tests.store.prepared import Held, about_skin, held, raw, take_newest

ROOT = Path(__file__).resolve().parents[2]
LEFT_BEHIND = ("", "-wal", ".anchor")


def reopened(where: str | Path) -> Notebook:
    return Notebook.open(where, SteppedClock(step=1))


def told(where: str | Path) -> tuple[str, ...]:
    """What the next start says of the end of the logs."""
    with closing(reopened(where)) as notebook:
        assert notebook.anchor is not None
        return notebook.anchor.sentences


def looked(where: str | Path) -> checking.Checked:
    """What a check says, with nothing opened before."""
    with closing(Notebook.open_unchanged(where, SteppedClock(step=1))) as notebook:
        return checking.check(notebook)


@pytest.fixture
def made(lasting: str) -> Iterator[Held]:
    """A session in which nobody has answered yet, on a file and on a server."""
    found = held(reopened(lasting), people=6)
    yield found
    found.notebook.close()


@pytest.fixture
def in_file(tmp_path: Path) -> Iterator[Held]:
    """The same in a file."""
    found = held(reopened(tmp_path / "n.sqlite"), people=6)
    yield found
    found.notebook.close()


def file_of(made: Held) -> Path:
    return Path(str(made.notebook.where))


def as_killed(made: Held, folder: Path) -> Path:
    """The files as they would lie there had the power gone now."""
    folder.mkdir()
    for end in LEFT_BEHIND:
        shutil.copy(f"{file_of(made)}{end}", folder / f"n.sqlite{end}")
    return folder / "n.sqlite"


# --- a lost end -------------------------------------------------------------------------------------------------------


def _deleted(wal: Path) -> None:
    wal.unlink()


def _emptied(wal: Path) -> None:
    wal.write_bytes(b"")


def _cut(wal: Path) -> None:
    wal.write_bytes(wal.read_bytes()[: wal.stat().st_size * 2 // 3])


def _zeroed(wal: Path) -> None:
    size = wal.stat().st_size
    wal.write_bytes(wal.read_bytes()[: size // 2] + bytes(size - size // 2))


@pytest.mark.parametrize("fault", [_deleted, _emptied, _cut, _zeroed])
def test_a_spoilt_write_ahead_file_is_noticed(in_file: Held, tmp_path: Path, fault: Callable[[Path], None]) -> None:
    """Six answers, each acknowledged; the file verifies as true afterwards and yet they are counted, by name."""
    with transaction(in_file.notebook._engine, "reading") as connection:
        connection.rollback()
        connection.connection.driver_connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # type: ignore[union-attr]
    for seat in range(1, 7):
        in_file.lock(in_file.answer(seat))
    file = as_killed(in_file, tmp_path / "killed")
    fault(Path(f"{file}-wal"))
    found = looked(file)
    assert all(log.holds for log in found.logs)
    lost = 6 - found.answers
    assert lost > 0
    (sentence,) = found.damage
    assert f"{lost} acknowledged answer" in sentence
    assert [f"1 of Nose {seat}" in sentence for seat in range(1, 7)] == [seat > 6 - lost for seat in range(1, 7)]
    assert "until 2025-12-31 08:00:00 UTC" in sentence
    assert told(file) == (sentence,)
    assert told(file) == (sentence,)  # until somebody has read it


def test_records_removed_with_the_head_set_back_are_noticed(made: Held, lasting: str) -> None:
    for seat in (1, 2, 3):
        made.lock(made.answer(seat))
    take_newest(made.notebook, 2)
    assert made.verifies()
    (sentence,) = looked(lasting).damage
    assert sentence.startswith("2 acknowledged answers are missing at the end of session 'Trial 7 against trial 8'")
    assert "1 of Nose 2, 1 of Nose 3." in sentence
    assert told(lasting) == (sentence,)


def test_answers_given_anew_do_not_hide_what_was_lost(made: Held, lasting: str) -> None:
    for seat in (1, 2):
        made.lock(made.answer(seat))
    take_newest(made.notebook, 2)
    again = Held(reopened(lasting), made.id, made.plan, made.drawn, made.ballot_ids)
    for seat in (1, 2, 3):
        again.lock(again.answer(seat))
    again.notebook.close()
    (sentence,) = told(lasting)
    assert sentence.startswith("2 acknowledged answers are missing")
    assert looked(lasting).damage == (sentence,)


def test_an_older_copy_put_in_place_is_noticed(in_file: Held, tmp_path: Path) -> None:
    in_file.lock(in_file.answer(1))
    older = as_killed(in_file, tmp_path / "older")
    for seat in (2, 3, 4):
        in_file.lock(in_file.answer(seat))
    newer = as_killed(in_file, tmp_path / "newer")
    for end in ("", "-wal"):
        shutil.copy(f"{older}{end}", f"{newer}{end}")
    (sentence,) = looked(newer).damage
    assert sentence.startswith("3 acknowledged answers are missing")
    assert told(newer) == (sentence,)


def test_the_right_file_put_back_is_all_well_again(in_file: Held, tmp_path: Path) -> None:
    in_file.lock(in_file.answer(1))
    older = as_killed(in_file, tmp_path / "older")
    in_file.lock(in_file.answer(2))
    newer, kept = as_killed(in_file, tmp_path / "newer"), as_killed(in_file, tmp_path / "kept")
    for end in ("", "-wal"):
        shutil.copy(f"{older}{end}", f"{newer}{end}")
    assert len(told(newer)) == 1
    for end in ("", "-wal"):
        Path(f"{newer}{end}").unlink(missing_ok=True)
        shutil.copy(f"{kept}{end}", f"{newer}{end}")
    assert told(newer) == looked(newer).damage == ()


def test_a_notebook_that_is_gone_altogether_is_missed_by_name(in_file: Held, tmp_path: Path) -> None:
    for seat in (1, 2):
        in_file.lock(in_file.answer(seat))
    file = as_killed(in_file, tmp_path / "killed")
    for end in ("", "-wal"):
        Path(f"{file}{end}").unlink()
    (sentence,) = told(file)
    assert sentence.startswith("2 acknowledged answers are missing at the end of a session that is gone too: ")
    assert "1 of Nose 1, 1 of Nose 2." in sentence


def test_what_else_ends_a_log_is_missed_too(made: Held, lasting: str) -> None:
    about_skin(made)
    made.step("close", "open")
    with made.notebook.writing() as tx:
        tx.decisions.add("brief", "trial-7", "keep", "clear", canonical({"points": []}).decode())
    raw(made.notebook, "DELETE FROM decisions")
    raw(made.notebook, "DELETE FROM skin_log WHERE id > (SELECT max(id) - 2 FROM skin_log)")
    in_the_log, *found = looked(lasting).damage
    assert in_the_log == "Brief 'A dry garden': its decisions do not stand as they were written."
    assert [one.split(".")[0] for one in found] == [
        "2 lines are missing at the end of what is kept about skin: trust no clearance",
        "1 decision is missing at the end of brief 'A dry garden'",
    ]
    assert told(lasting) == tuple(found)


def test_what_was_read_is_told_no_more(made: Held, lasting: str) -> None:
    made.lock(made.answer(1))
    take_newest(made.notebook, 1)
    with closing(reopened(lasting)) as notebook:
        assert notebook.anchor is not None
        assert notebook.anchor.missing
        notebook.anchor.settle()
        assert notebook.anchor.sentences == ()
    assert told(lasting) == looked(lasting).damage == ()


# --- nothing lost, nothing said ---------------------------------------------------------------------------------------

KILLED = """
import os, sys
from evaluation.clock import SteppedClock
from evaluation.errors import StoreError
from evaluation.ground.canonical import canonical
from evaluation.store import Notebook
from evaluation.store.anchors.anchor import Anchor
from tests.store.prepared import held

made = held(Notebook.open(sys.argv[1], SteppedClock(step=1)))
made.lock(made.answer(1))
Anchor.keep = lambda *_: os._exit(9)
made.lock(made.answer(2))
"""


def test_killed_between_commit_and_anchor_nothing_is_lost_nor_said(lasting: str) -> None:
    done = subprocess.run([sys.executable, "-c", KILLED, lasting], cwd=ROOT, timeout=300, check=False)
    assert done.returncode == 9
    with closing(Notebook.open_unchanged(lasting, SteppedClock())) as notebook:
        assert notebook.anchor is not None
        before = notebook.anchor._lines.known().marks["session session"].count
    assert looked(lasting).damage == told(lasting) == ()
    with closing(reopened(lasting)) as notebook, notebook.reading() as tx:
        assert tx.log.last("session") == before + 1
        assert notebook.anchor is not None
        mark = notebook.anchor._lines.known().marks["session session"]
        assert mark.count == before + 1  # the anchor caught up
        assert [one.answers for one in mark.people] == [1, 1]


def test_an_anchor_cut_anywhere_says_nothing_wrong(in_file: Held, tmp_path: Path) -> None:
    for seat in (1, 2, 3):
        in_file.lock(in_file.answer(seat))
    file = as_killed(in_file, tmp_path / "killed")
    whole = Path(f"{file}.anchor").read_bytes()
    first, known = len(whole.split(b"\n\n")[0]) + 1, journal.read(whole).marks["session session"]
    for size in range(first, len(whole)):
        cut = journal.read(whole[:size])
        assert cut.unreadable == 0, size
        assert all(one.count <= known.count for one in cut.marks.values()), size
    for size in range(first, len(whole), len(whole) // 6):
        Path(f"{file}.anchor").write_bytes(whole[:size])
        assert looked(file).damage == (), size
    assert told(file) == ()
    assert looked(file).damage == ()


def test_after_a_cut_line_the_next_is_read(in_file: Held) -> None:
    file = file_of(in_file)
    with Path(f"{file}.anchor").open("ab") as out:
        out.write(b'\n240 deadbeef {"mark":{"at":17')
    in_file.lock(in_file.answer(1))
    known = journal.read(Path(f"{file}.anchor").read_bytes())
    assert known.unreadable == 0
    assert [one.answers for one in known.marks["session session"].people] == [1]


def test_an_altered_anchor_is_said_to_be(in_file: Held, tmp_path: Path) -> None:
    in_file.lock(in_file.answer(1))
    file = as_killed(in_file, tmp_path / "killed")
    place = Path(f"{file}.anchor")
    place.write_bytes(place.read_bytes().replace(b'"answers":1', b'"answers":7'))
    note = anchor.UNREADABLE.format(count=1)
    assert looked(file).damage == (note,)
    assert told(file) == (note,)
    assert journal.read(place.read_bytes()).unreadable == 0


@pytest.mark.parametrize("left", [None, b"", b"\n", b"\x00" * 40])
def test_an_anchor_that_is_gone_is_said_to_be(in_file: Held, tmp_path: Path, left: bytes | None) -> None:
    in_file.lock(in_file.answer(1))
    file = as_killed(in_file, tmp_path / "killed")
    place = Path(f"{file}.anchor")
    place.unlink() if left is None else place.write_bytes(left)
    assert anchor.MISSING in looked(file).damage
    assert anchor.MISSING in told(file)
    with closing(reopened(file)) as notebook:
        assert notebook.anchor is not None
        notebook.anchor.settle()
    assert looked(file).damage == told(file) == ()


def test_an_anchor_taken_away_while_the_app_runs_is_begun_anew_and_said(in_file: Held) -> None:
    in_file.lock(in_file.answer(1))
    journal.beside(file_of(in_file)).unlink()
    in_file.lock(in_file.answer(2))
    in_file.notebook.close()
    assert told(file_of(in_file)) == (journal.GONE.format(name="n.sqlite.anchor"),)


def test_a_notebook_of_before_is_anchored_when_it_is_opened(made: Held, lasting: str, tmp_path: Path) -> None:
    """What has no anchor because it never had one lacks nothing."""
    made.lock(made.answer(1))
    archive = tmp_path / "backup.zip"
    archive.write_bytes(made_of(made.notebook))
    older = tmp_path / "older.sqlite"
    restoring.restore(archive, older, SteppedClock(step=1))
    journal.beside(older).unlink()
    assert told(older) == looked(older).damage == ()
    known = journal.read(journal.beside(older).read_bytes())
    assert [(one.alias, one.answers) for one in known.marks["session session"].people] == [("Nose 1", 1)]


# --- several at once --------------------------------------------------------------------------------------------------

TOGETHER = """
import sys
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from evaluation.store.anchors import journal, server_table

journal.LONG, server_table.LONG = 2000, 5
notebook = Notebook.open(sys.argv[1], SystemClock())
for number in range(25):
    with notebook.writing() as tx:
        tx.log.append("session", "looked in", {"number": number})
notebook.close()
"""


def test_two_processes_anchor_one_notebook(made: Held, lasting: str, patient: None) -> None:
    """With journals so short that each writes the whole anew again and again under the other's hands."""
    made.notebook.close()
    both = [subprocess.Popen([sys.executable, "-c", TOGETHER, lasting], cwd=ROOT) for _ in range(2)]
    assert [one.wait(300) for one in both] == [0, 0]
    assert looked(lasting).damage == told(lasting) == ()
    with closing(reopened(lasting)) as notebook, notebook.reading() as tx:
        assert notebook.anchor is not None
        known = notebook.anchor._lines.known()
        assert (known.marks["session session"].count, known.unreadable) == (tx.log.last("session"), 0)


def test_the_journal_stays_short(in_file: Held, monkeypatch: pytest.MonkeyPatch) -> None:
    place = journal.beside(file_of(in_file))
    assert in_file.notebook.anchor is not None
    monkeypatch.setattr(in_file.notebook.anchor._lines, "_long", 4000)
    monkeypatch.setattr(journal, "LONG", 4000)
    in_file.lock(in_file.answer(1))
    sizes = []
    for number in range(60):
        with in_file.notebook.writing() as tx:
            tx.log.append(in_file.id, "looked in", {"number": number})
        sizes.append(place.stat().st_size)
    assert max(sizes) < 4000 + 400
    assert any(later < sooner for sooner, later in pairwise(sizes))
    known = journal.read(place.read_bytes())
    assert [one.answers for one in known.marks["session session"].people] == [1]
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


# --- where it is kept -------------------------------------------------------------------------------------------------


@pytest.mark.postgres
@pytest.mark.parametrize("statement", ["UPDATE {} SET line = ''", "DELETE FROM {}", "TRUNCATE {}"])
def test_on_a_server_the_anchor_takes_new_lines_only(statement: str) -> None:
    from tests.postgres import own_schema

    with own_schema() as where, closing(reopened(where)) as notebook:
        held(notebook)
        with transaction(notebook._engine, "reading") as connection:
            schema = server_table._schema(connection)
        with (
            pytest.raises(StoreError, match=r"permission denied|takes new lines only"),
            transaction(notebook._engine, "writing") as connection,
        ):
            connection.execute(text(statement.format(f"{schema}.lines")))


@pytest.mark.postgres
def test_on_a_server_the_anchor_is_read_from_its_last_summary(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.postgres import own_schema

    monkeypatch.setattr(server_table, "LONG", 6)
    with own_schema() as where, closing(reopened(where)) as notebook:
        made = held(notebook, people=6)
        for seat in range(1, 7):
            made.lock(made.answer(seat))
        table = server_table.ServerTable(notebook._engine, lambda: 0)
        assert [one.answers for one in table.known().marks["session session"].people] == [1] * 6
        assert table._since_whole <= 6


def test_nobody_is_refused_because_the_anchor_cannot_be_written(in_file: Held) -> None:
    """The answer is stored; that its loss would go unseen is said, until the anchor can be written again."""
    place = journal.beside(file_of(in_file))
    place.unlink()
    place.mkdir()
    in_file.lock(in_file.answer(1))
    assert in_file.notebook.anchor is not None
    (sentence,) = in_file.notebook.anchor.sentences
    assert "cannot be written (Is a directory): answers are stored" in sentence
    place.rmdir()
    in_file.lock(in_file.answer(2))
    assert in_file.notebook.anchor.trouble == ""


# --- people -----------------------------------------------------------------------------------------------------------


def test_an_erased_person_is_in_no_anchor(in_file: Held) -> None:
    in_file.lock(in_file.answer(1))
    place = journal.beside(file_of(in_file))
    assert b"Nose 1" in place.read_bytes()
    with in_file.notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
    assert b"Nose 1" not in place.read_bytes()
    in_file.notebook.close()
    assert told(file_of(in_file)) == ()


def test_an_erased_person_is_taken_out_at_the_next_start_where_the_process_ended_before(
    in_file: Held, monkeypatch: pytest.MonkeyPatch
) -> None:
    in_file.lock(in_file.answer(1))
    monkeypatch.setattr(anchor.Anchor, "keep", lambda *_: None)
    with in_file.notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
    in_file.notebook.close()
    place = journal.beside(file_of(in_file))
    assert b"Nose 1" in place.read_bytes()
    assert told(file_of(in_file)) == ()
    assert b"Nose 1" not in place.read_bytes()


@pytest.mark.postgres
def test_on_a_server_no_alias_is_in_the_anchor() -> None:
    """It takes new lines only, so nobody could be taken out of it."""
    from tests.postgres import own_schema

    with own_schema() as where, closing(reopened(where)) as notebook:
        made = held(notebook)
        made.lock(made.answer(1))
        assert notebook.anchor is not None
        assert notebook.anchor._lines.known().named() == frozenset()


def test_words_about_skin_taken_out_on_purpose_are_no_loss(made: Held, lasting: str) -> None:
    about_skin(made)
    with made.notebook.writing() as tx:
        tx.skin.forget("person-1")
    assert looked(lasting).damage == told(lasting) == ()
    raw(made.notebook, "DELETE FROM skin_log WHERE id = (SELECT max(id) FROM skin_log)")
    assert len(looked(lasting).damage) == 1


# --- restored ---------------------------------------------------------------------------------------------------------


def test_a_restore_anchors_anew_and_says_what_is_not_in_it(in_file: Held, tmp_path: Path) -> None:
    in_file.lock(in_file.answer(1))
    archive = tmp_path / "backup.zip"
    archive.write_bytes(made_of(in_file.notebook))
    in_file.lock(in_file.answer(2))
    file = as_killed(in_file, tmp_path / "killed")
    for end in ("", "-wal"):
        Path(f"{file}{end}").unlink()
    made = restoring.restore(archive, file, SteppedClock(step=1))
    assert [one.split(":")[0] for one in made.beyond] == [
        "1 acknowledged answer is missing at the end of session 'Trial 7 against trial 8'"
    ]
    assert looked(file).damage == told(file) == ()


def test_a_restore_into_an_empty_place_is_anchored(made: Held, lasting: str, tmp_path: Path) -> None:
    from tests.postgres import own_schema

    made.lock(made.answer(1))
    archive = tmp_path / "backup.zip"
    archive.write_bytes(made_of(made.notebook))
    with own_schema() if "://" in lasting else _file_in(tmp_path) as target:
        reopened(target).close()  # there, and empty
        assert restoring.restore(archive, target, SteppedClock(step=1)).beyond == ()
        with closing(reopened(target)) as notebook:
            take_newest(notebook, 1)
        assert [one.split(" at ")[0] for one in looked(target).damage] == ["1 acknowledged answer is missing"]


class _file_in:  # noqa: N801 - stands where ``own_schema`` does
    def __init__(self, folder: Path) -> None:
        self._file = folder / "target.sqlite"

    def __enter__(self) -> str:
        return str(self._file)

    def __exit__(self, *_: object) -> None:
        return None


def test_rows_that_cannot_be_read_are_told_in_a_sentence(in_file: Held) -> None:
    in_file.lock(in_file.answer(1))
    raw(in_file.notebook, "UPDATE records SET at = 'never' WHERE sequence = 3")
    assert in_file.notebook.anchor is not None
    (sentence,) = in_file.notebook.anchor.look()
    assert sentence.startswith("Whether the logs reach as far as the anchor knows cannot be told: ")


# --- lines ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "line",
    [
        {"mark": {"log": "other", "count": 1, "hash": "", "at": 1, "version": 0, "people": []}},
        {"mark": {"log": "skin"}},
        {"mark": {"log": 7, "count": 1, "hash": "", "at": 1, "version": 0, "people": []}},
        {"unheard of": 1},
        {"lost": None},
        ["anew"],
    ],
)
def test_a_line_nobody_wrote_is_counted_and_stops_nothing(line: Any) -> None:
    known = known_of([{"anew": 1}, line, {"note": "after"}])
    assert (known.unreadable, known.notes, known.marks) == (1, ["after"], {})


def test_the_newest_mark_counts_in_whatever_order_they_came() -> None:
    def mark(count: int, version: int = 0, answers: int = 0) -> dict[str, Any]:
        people = [{"ballot_id": "b", "answers": answers, "panelist_id": "p", "alias": "Ida"}]
        told = {"log": "skin", "count": count, "hash": f"{count}", "at": count, "version": version, "people": people}
        return {"mark": told}

    known = known_of([{"anew": 1}, mark(5, answers=2), mark(4, answers=3)])
    assert (known.marks["skin"].count, known.marks["skin"].people[0].answers) == (5, 3)
    known = known_of([{"anew": 1}, mark(9), mark(4, version=1), mark(8)])
    assert (known.marks["skin"].count, known.marks["skin"].version) == (4, 1)
    assert known_of(json.loads(json.dumps(list(known.lines(2))))).marks == known.marks


def test_the_anchor_is_synced_before_an_answer_is_acknowledged(in_file: Held, monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    sync = os.fsync

    def counted(handle: int) -> None:
        seen.append(os.readlink(f"/proc/self/fd/{handle}"))
        sync(handle)

    if not Path("/proc/self/fd").exists():
        pytest.skip("The system does not say what a handle belongs to.")
    monkeypatch.setattr(os, "fsync", counted)
    in_file.lock(in_file.answer(1), in_file.answer(1, "remark", value="hay"))
    assert seen == [f"{file_of(in_file)}.anchor"]  # once a transaction, whatever it holds
