"""Receipts of locked answers: given by the lock, kept by the phone, accepted or called lost by a later check."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.actions import ballot
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError
from evaluation.ground.receipts import read_receipt, receipt_of
from evaluation.keeping import receipts_told
from evaluation.store import Notebook
from tests.keeping.test_backup_commands import run
from tests.store.prepared import Held, held, raw, take_newest

HASHES = st.binary(min_size=32, max_size=32).map(bytes.hex)


@pytest.fixture
def made(tmp_path: Path) -> Iterator[Held]:
    found = held(Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1)))
    yield found
    found.notebook.close()


def locked(made: Held, seat: int) -> str:
    """Lock the first question of a seat as its phone does; the receipt."""
    asked = ballot.view(made.notebook, made.ballot_ids[seat - 1]).question
    assert asked is not None
    return ballot.lock(made.notebook, made.ballot_ids[seat - 1], asked.serving_id, asked.name, asked.options[0])


def told(made: Held, *receipts: str) -> list[tuple[bool, str]]:
    return [(one.held, one.sentence) for one in receipts_told.look_up(made.notebook, receipts)]


@given(HASHES)
def test_a_receipt_is_read_however_it_was_written_down(record: str) -> None:
    receipt = receipt_of(record)
    for spelt in (receipt, receipt.upper(), receipt.replace("-", " "), receipt.replace("-", ""), f" {receipt}\n"):
        assert read_receipt(spelt) == receipt
    assert receipt.replace("-", "")[:10] not in record  # nothing of the hash itself is told


@given(HASHES, st.integers(0, 11), st.integers(1, 15))
def test_a_slip_of_the_pen_is_mostly_no_receipt(record: str, place: int, by: int) -> None:
    """Eight bits of check: one slip in 256 passes, and is called lost then."""
    bare = receipt_of(record).replace("-", "")
    slipped = bare[:place] + f"{(int(bare[place], 16) + by) % 16:x}" + bare[place + 1 :]
    with suppress(ArgumentError):
        assert read_receipt(slipped) != receipt_of(record)


def test_of_all_single_slips_hardly_any_passes() -> None:
    bare = receipt_of("a").replace("-", "")
    slips = [bare[:n] + digit + bare[n + 1 :] for n in range(12) for digit in "0123456789abcdef" if digit != bare[n]]
    passed = 0
    for slip in slips:
        with suppress(ArgumentError):
            passed += bool(read_receipt(slip))
    assert len(slips) == 180
    assert passed <= 3  # 150 slips of the body with one chance in 256 each


@pytest.mark.parametrize(
    "text", ["", "9538", "9538-4cf0-5bdd", "9538-4cf0-5bdcc", "g538-4cf0-5bdc", "9538-4cf0-5bdc" * 9]
)
def test_what_is_no_receipt_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(ArgumentError, match="three groups of four"):
        read_receipt(text)


def test_several_receipts_are_found_in_any_text() -> None:
    wanted = [receipt_of(one) for one in ("a", "b", "c")]
    for between in (" ", "\n", ", ", "; ", " - "):
        assert [read_receipt(one) for one in receipts_told.several(between.join(wanted))] == wanted


def test_each_lock_gives_a_receipt_that_is_accepted(made: Held) -> None:
    first, second = locked(made, 1), locked(made, 2)
    assert first != second
    assert told(made, first, second) == [
        (
            True,
            f"Receipt {receipt}: the answer is here, locked by Nose {seat} in session 'Trial 7 against trial 8' on "
            "2025-12-31 08:00 UTC.",
        )
        for seat, receipt in ((1, first), (2, second))
    ]


def test_a_lost_answer_is_called_lost_by_its_receipt(made: Held) -> None:
    kept, lost = locked(made, 1), locked(made, 2)
    take_newest(made.notebook, 1)
    assert [one for one, _ in told(made, kept, lost)] == [True, False]
    assert told(made, lost)[0][1] == f"Receipt {lost}: {receipts_told.LOST}"


def test_an_answer_whose_row_is_gone_is_lost_though_the_log_has_it(made: Held) -> None:
    lost = locked(made, 1)
    raw(made.notebook, "DELETE FROM answers")
    assert [one for one, _ in told(made, lost)] == [False]


def test_the_receipt_of_a_screen_goes_with_any_of_its_answers(made: Held) -> None:
    """It is that of the last record of the screen, whose hash covers those before."""
    receipt = ballot.lock_screen(
        made.notebook,
        made.ballot_ids[0],
        (asked := ballot.view(made.notebook, made.ballot_ids[0]).screen[0]).serving_id,
        {asked.name: asked.options[0]},
        "hay",
    )
    assert told(made, receipt)[0][0]
    raw(made.notebook, "DELETE FROM answers WHERE question = 'remark'")
    assert not told(made, receipt)[0][0]


def test_an_erased_person_is_told_by_no_name(made: Held) -> None:
    receipt = locked(made, 1)
    with made.notebook.writing() as tx:
        tx.book.erase_panelist("person-1")
    assert "Nose 1" not in told(made, receipt)[0][1]
    assert told(made, receipt)[0][0]


def _checked(made: Held, *receipts: str) -> subprocess.CompletedProcess[str]:
    words = [word for one in receipts for word in ("--receipt", one)]
    return run("check", "--data", str(made.notebook.where), *words)


def test_the_command_accepts_calls_lost_and_refuses(made: Held, tmp_path: Path) -> None:
    kept, lost = locked(made, 1), locked(made, 2)
    done = _checked(made, kept, lost)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("the answer is here") == 2
    take_newest(made.notebook, 1)
    done = _checked(made, kept, lost)
    assert done.returncode == 1
    assert [f"{kept}: the answer is here" in done.stdout, f"{lost}: lost" in done.stdout] == [True, True]
    done = _checked(made, "9538-4cf0-5bdd")
    assert done.returncode == 2
    assert "was mistyped" in done.stderr
    done = run("check", tmp_path / "n.zip", "--receipt", kept)
    assert (done.returncode, done.stdout) == (2, "")
    assert "leave FILE out" in done.stderr
