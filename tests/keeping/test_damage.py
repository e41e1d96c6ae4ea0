"""Damage is called damage: files cut, zeroed and altered, at the start and on demand, on the terminal and on a screen."""

from __future__ import annotations

import random
import re
import shutil
import sqlite3
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from evaluation.clock import SteppedClock
from evaluation.errors import Damaged, MouilletteError, StoreError
from evaluation.ground import terminal
from evaluation.keeping import at_start, backup_commands
from evaluation.keeping.own_copies import Keeper
from evaluation.store import Notebook, schema, stop_mark
from evaluation.store.backup import kept_copies
from tests.backups import held_by
from tests.store.prepared import add_draft, held, sealed

RELEASED = Path(__file__).resolve().parents[1] / "store" / "released"
SEED = 20261127
ONE_SENTENCE = re.compile(r"[^\n]+[.…]\n?")


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A notebook the app has closed: a session half smelt, one opened, its copies and the mark beside it."""
    file = tmp_path_factory.mktemp("sound") / "n.sqlite"
    opened = at_start.open_notebook(file, SteppedClock(step=1))
    made = held(opened.notebook, minutes=(5, 60))
    made.lock(made.answer(1), made.answer(1, "remark", value="greener"))
    other = sealed(opened.notebook, "other", add_draft(opened.notebook, "other"), seed=bytes(32))
    other.step("start")
    other.lock(other.answer(1))
    other.step("close", "open")
    assert Keeper(opened.notebook).look() is not None
    at_start.close(opened)
    assert stop_mark.read(file) == "clean"
    return file


@pytest.fixture
def file(sound: Path, tmp_path: Path) -> Path:
    """The same in a place of its own."""
    shutil.copytree(sound.parent, tmp_path / "kept")
    return tmp_path / "kept" / sound.name


def check(file: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """The command, in this process: exit code and all it said."""
    capsys.readouterr()
    code = backup_commands.main(["check", "--data", str(file)], file)
    said = capsys.readouterr()
    return code, said.out + said.err


def started(file: Path) -> tuple[str, ...]:
    """What a start tells: its refusal, or what goes to terminal and pages."""
    try:
        opened = at_start.open_notebook(file, SteppedClock(step=1))
    except MouilletteError as problem:
        return (str(problem),)
    opened.notebook.close()
    return opened.told + opened.alarms


# --- files broken as a whole ----------------------------------------------------------------------------------------


def _zeroed(first: int, count: int) -> Callable[[bytes], bytes]:
    return lambda whole: whole[:first] + bytes(len(whole[first : first + count])) + whole[first + count :]


BROKEN: dict[str, Callable[[bytes], bytes]] = {
    "cut to nothing": lambda whole: b"",
    "cut inside the header": lambda whole: whole[:60],
    "cut to one page": lambda whole: whole[:4096],
    "cut in the middle": lambda whole: whole[: len(whole) // 2],
    "without its last byte": lambda whole: whole[:-1],
    "header zeroed": _zeroed(0, 100),
    "first page zeroed": _zeroed(0, 4096),
    "a page in the middle zeroed": lambda whole: _zeroed(len(whole) // 8192 * 4096, 4096)(whole),
    "the last half zeroed": lambda whole: _zeroed(len(whole) // 2, len(whole))(whole),
    "zeros alone": lambda whole: bytes(len(whole)),
    "another text over its head": lambda whole: b"Dear Anna, " * 20 + whole[220:],
}


@pytest.mark.parametrize("marked", [True, False], ids=["after a clean stop", "after a kill"])
@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_called_damaged_and_its_newest_copy_named(
    name: str, marked: bool, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_bytes(BROKEN[name](file.read_bytes()))
    if not marked:
        stop_mark.take_away(file)
    (copy,) = kept_copies.copies(file)
    code, said = check(file, capsys)
    assert code == backup_commands.DAMAGED
    told = started(file)
    for sentences in (said, "\n".join(told)):
        assert "damaged" in sentences
        assert f"the newest copy is {copy.file}, made 2025-12-31 " in sentences
        assert f"python -m evaluation restore {copy.file} --data NEW_PLACE" in sentences
        assert "not a Mouillette notebook" not in sentences
    assert all(ONE_SENTENCE.fullmatch(one) for one in told)
    assert backup_commands.main(["restore", str(copy.file), "--data", str(file.parent / "back")], file) == 0


@pytest.mark.parametrize("name", [name for name in BROKEN if name != "another text over its head"])
def test_with_nothing_beside_it_a_broken_file_is_no_other_programs(name: str, file: Path, tmp_path: Path) -> None:
    alone = tmp_path / "alone.sqlite"
    alone.write_bytes(BROKEN[name](file.read_bytes()))
    if name == "cut to nothing":  # nothing tells it from a file that is to become one
        assert started(alone) == ()
        return
    with pytest.raises(Damaged, match=r"no copy lies in .*alone\.sqlite\.copies: restore your newest backup"):
        at_start.open_notebook(alone, SteppedClock(step=1))


# --- how it was left --------------------------------------------------------------------------------------------------


def test_a_clean_stop_is_known_by_its_mark_and_a_kill_by_none(file: Path) -> None:
    assert started(file) == ()  # started() closes it as a kill would: no mark is laid
    assert stop_mark.read(file) == "none"
    (said,) = started(file)
    assert "looked over: 1 brief, 2 sessions, 3 answers; every log holds." in said
    opened = at_start.open_notebook(file, SteppedClock(step=1))
    at_start.close(opened)
    assert started(file) == ()


def test_a_new_notebook_and_one_somebody_else_has_open_are_not_marked_wrongly(tmp_path: Path) -> None:
    assert started(tmp_path / "new.sqlite") == ()
    first = at_start.open_notebook(tmp_path / "new.sqlite", SteppedClock(step=1))
    second = at_start.open_notebook(tmp_path / "new.sqlite", SteppedClock(step=1))
    held(first.notebook)
    at_start.close(first)
    assert stop_mark.read(tmp_path / "new.sqlite") == "none"
    at_start.close(second)
    assert stop_mark.read(tmp_path / "new.sqlite") == "clean"


def test_what_was_written_behind_the_apps_back_is_told_at_the_start_and_by_a_check(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE panelists SET note = 'Another note'")  # no log speaks of it
        connection.commit()
    code, said = check(file, capsys)
    assert code == backup_commands.DAMAGED
    assert "not as it was when the app was last stopped" in said
    (alarm,) = started(file)
    assert "not as it was when the app was last stopped" in alarm
    assert "the newest copy is" in alarm


def test_a_broken_log_is_told_at_every_start(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE records SET at = at + 1 WHERE sequence = 2")
        connection.commit()
    for _ in range(2):
        opened = at_start.open_notebook(file, SteppedClock(step=1))
        assert "its log does not say what is stored; the newest copy is " in opened.alarms[-1]
        at_start.close(opened)
    assert stop_mark.read(file) == "none"


def test_a_check_leaves_the_file_and_its_mark_as_they_are(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    was = {one.name: one.read_bytes() for one in file.parent.iterdir() if one.is_file()}
    assert [check(file, capsys)[0] for _ in range(2)] == [0, 0]
    assert {one.name: one.read_bytes() for one in file.parent.iterdir() if one.is_file()} == was


# --- files of other programs -------------------------------------------------------------------------------------------


def _other(file: Path, journal: str, *, open_yet: bool) -> sqlite3.Connection | None:
    connection = sqlite3.connect(file)
    connection.execute(f"PRAGMA journal_mode={journal}")
    connection.execute("CREATE TABLE recipes (name TEXT)")
    connection.commit()
    connection.execute("INSERT INTO recipes VALUES ('soup')")
    connection.commit()
    if open_yet:
        return connection
    connection.close()
    return None


@pytest.mark.parametrize("words", [["check"], ["backup", "b.zip"], ["restore", "b.zip"]], ids=lambda words: words[0])
@pytest.mark.parametrize("open_yet", [False, True], ids=["closed", "open"])
@pytest.mark.parametrize("journal", ["DELETE", "WAL"])
def test_another_programs_database_stays_byte_for_byte(
    journal: str, open_yet: bool, words: list[str], sound: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (copy,) = kept_copies.copies(sound)
    words = [str(copy.file) if one == "b.zip" and words[0] == "restore" else one for one in words]
    other = tmp_path / "other.sqlite"
    theirs = _other(other, journal, open_yet=open_yet)
    was = {one.name: one.read_bytes() for one in tmp_path.iterdir()}
    assert backup_commands.main([*words, "--data", str(other)], other) == terminal.UNUSABLE
    assert "tables of another program" in capsys.readouterr().err
    with pytest.raises(StoreError, match="another program"):
        at_start.open_notebook(other, SteppedClock(step=1))
    assert {one.name: one.read_bytes() for one in tmp_path.iterdir()} == was
    if theirs is not None:
        assert theirs.execute("SELECT name FROM recipes").fetchall() == [("soup",)]
        theirs.close()


def test_a_notebook_whose_tables_lie_in_the_write_ahead_file_alone_is_ours(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / "n.sqlite")) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA wal_autocheckpoint=0")
        connection.executescript((RELEASED / f"{schema.OURS.head[:4]}.sql").read_text(encoding="utf-8"))
        for name in ("n.sqlite", "n.sqlite-wal"):  # as a kill just now would leave them
            shutil.copyfile(tmp_path / name, tmp_path / f"killed-{name}")
    assert (tmp_path / "killed-n.sqlite").stat().st_size <= 4096
    left = Notebook.open(tmp_path / "killed-n.sqlite", SteppedClock(step=1))
    with left.reading() as tx:
        assert tx.log.verify("session")
    left.close()


def test_a_check_takes_a_backup_or_a_notebook_not_both(sound: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (copy,) = kept_copies.copies(sound)
    assert backup_commands.main(["check", str(copy.file), "--data", str(sound)], sound) == terminal.UNUSABLE
    assert "not both" in capsys.readouterr().err


# --- single bits ------------------------------------------------------------------------------------------------------


def flips(whole: bytes, tries: int) -> Iterator[bytes]:
    """The file with one bit turned, at places spread over it, the same ones every time."""
    chance = random.Random(SEED)
    for number in range(tries):
        place = chance.randrange(number * len(whole) // tries, (number + 1) * len(whole) // tries)
        turned = bytearray(whole)
        turned[place] ^= 1 << chance.randrange(8)
        yield bytes(turned)


def turned(file: Path, tries: int, capsys: pytest.CaptureFixture[str], *, marked: bool) -> Counter[str]:
    """How many of that many turned bits were noticed, were harmless, or changed something unseen."""
    whole, was, found = file.read_bytes(), held_by(str(file)), Counter[str]()
    mark = stop_mark.mark_of(file).read_bytes()
    for one in flips(whole, tries):
        for left in file.parent.glob("n.sqlite-*"):
            left.unlink()
        file.write_bytes(one)
        stop_mark.mark_of(file).write_bytes(mark)
        if not marked:
            stop_mark.take_away(file)
        code, said = check(file, capsys)
        told = started(file)
        assert all(ONE_SENTENCE.fullmatch(line) for line in (*said.splitlines(), *told)), (said, told)
        noticed = code != 0 and any("damaged" in line or "not as it was" in line for line in told)
        found["noticed" if noticed else "harmless" if _holds(file, was) else "unseen"] += 1
    return found


def _holds(file: Path, was: object) -> bool:
    try:
        return held_by(str(file)) == was
    except (MouilletteError, ValueError):
        return False


def test_a_turned_bit_is_noticed_where_the_app_was_stopped(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert turned(file, 60, capsys, marked=True) == {"noticed": 60}


@pytest.mark.slow
def test_three_hundred_turned_bits_are_noticed(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert turned(file, 300, capsys, marked=True) == {"noticed": 300}


@pytest.mark.slow
def test_three_hundred_turned_bits_after_a_kill_reach_nobody_as_an_exception(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without the mark a word that no log covers may change unseen: a title, a note. The logs see the rest."""
    found = turned(file, 300, capsys, marked=False)
    assert found["unseen"] < 300 - found["noticed"]
    assert found["noticed"] > 0
