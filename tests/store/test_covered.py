"""What verdicts speak of is under the hash: labels, titles, groupings, instants of finishing, the newest decision."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import text

from evaluation.actions import book
from evaluation.clock import SteppedClock
from evaluation.ground.canonical import canonical
from evaluation.keeping import told
from evaluation.report import export
from evaluation.store import Notebook, read_body
from evaluation.store.backup import checking
from evaluation.store.engine import transaction
from tests import kept
from tests.store.prepared import Held, alone, held, raw

EVIDENCE = canonical({"points": []}).decode()


@pytest.fixture
def made(notebook: Notebook) -> Held:
    """An opened session of two ages with one seat finished, and a decision made on it."""
    found = held(notebook, minutes=(5, 60))
    for question in ("choice", "sure"):
        found.lock(found.answer(1, question, value="" if question == "choice" else "guess"))
    with notebook.writing() as tx:
        tx.ballots.finish(found.ballot_ids[0])
    found.step("close", "open")
    with notebook.writing() as tx:
        tx.decisions.add("brief", "trial-7", "keep", "clear at both ages", EVIDENCE)
        tx.decisions.add("brief", "trial-8", "drop", "not needed", EVIDENCE)
    return found


def stands(made: Held) -> bool:
    """What check says of the whole notebook."""
    return not checking.check(made.notebook).damage


def test_all_of_it_stands_as_it_was_written(made: Held) -> None:
    assert made.verifies()
    found = checking.check(made.notebook)
    assert (found.damage, found.uncovered) == ((), 0)
    assert "not covered" not in told.counts(found)


SWAPPED = (
    "UPDATE trials SET label = 'for a while' WHERE id = 'trial-7'",
    "UPDATE trials SET label = '7' WHERE id = 'trial-8'",
    "UPDATE trials SET label = '8' WHERE id = 'trial-7'",
)


@pytest.mark.parametrize(
    "statements",
    [
        SWAPPED,
        ("UPDATE trials SET label = '8a' WHERE id = 'trial-8'",),
        ("UPDATE briefs SET title = 'A wet garden'",),
        ("UPDATE ballots SET finished_at = finished_at + 1 WHERE finished_at IS NOT NULL",),
        ("UPDATE ballots SET finished_at = NULL",),
        ("UPDATE ballots SET finished_at = 5000 WHERE seat = 2",),
        ("UPDATE personal_texts SET text = '8' WHERE text = '7'",),
    ],
)
def test_what_is_changed_behind_the_log_is_noticed(made: Held, statements: tuple[str, ...]) -> None:
    for statement in statements:
        raw(made.notebook, statement)
    assert not made.verifies()
    assert not stands(made)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE groupings SET pattern = 'BAA' WHERE pattern = (SELECT min(pattern) FROM groupings)",
        "DELETE FROM groupings",
        "DELETE FROM decisions WHERE number = 2",
        "DELETE FROM decisions",
    ],
)
def test_changed_groupings_and_a_lost_newest_decision_are_noticed(made: Held, statement: str) -> None:
    raw(made.notebook, statement)
    assert not stands(made)


def test_a_newest_decision_written_anew_is_noticed(made: Held) -> None:
    """Somebody who works out its hash anew; nothing after it covers it but the session's log."""
    from evaluation.values.decisions import hash_of

    with made.notebook.reading() as tx:
        newest = replace(tx.decisions.decisions("brief")[-1], word="keep")
    raw(made.notebook, "UPDATE decisions SET word = 'keep', hash = :hash WHERE number = 2", hash=hash_of(newest))
    with made.notebook.reading() as tx:
        assert not tx.decisions.verify("brief")


def test_the_log_holds_no_name_and_no_grouping_in_the_clear(made: Held) -> None:
    with made.notebook.reading() as tx:
        records = tx.log.records(made.id)
        assert tx.log.texts(made.id) == {}  # nobody's own words are among them
    with transaction(made.notebook._engine, "reading") as connection:
        texts = {row.digest: row.text for row in connection.execute(text("SELECT * FROM personal_texts"))}
    seal = read_body(records[0])
    assert set(seal["named"]) == {"brief", "trial-7", "trial-8"}
    assert {name: texts[one["digest"]] for name, one in seal["named"].items()} == {
        "brief": "A dry garden",
        "trial-7": "7",
        "trial-8": "8",
    }
    assert len(seal["groupings"]) == 64
    assert not any("A dry garden" in record.body for record in records)


def test_another_title_goes_into_the_logs_that_hold_the_one_before(made: Held) -> None:
    book.change_brief(made.notebook, "brief", "A wet garden", "Fig leaf after rain.")
    with made.notebook.reading() as tx:
        assert [record.kind for record in tx.log.records(made.id)][-1] == "renamed"
    assert stands(made)
    raw(made.notebook, "UPDATE briefs SET title = 'A dry garden'")  # as it once was
    assert not made.verifies()


def test_a_label_of_a_void_session_may_change(notebook: Notebook) -> None:
    made = held(notebook)
    made.step("void")
    book.change_trial(notebook, "trial-8", label="8a")
    assert made.verifies()


def test_an_export_is_covered_too(made: Held) -> None:
    with export.opened(export.export(made.notebook, made.id)) as copied:
        assert copied.log_held
        raw(copied.notebook, SWAPPED[0])
        with copied.notebook.reading() as tx:
            assert not tx.log.verify(made.id)


def test_alone_it_is_the_same(notebook: Notebook) -> None:
    made = held(notebook)
    solo = alone(notebook, "alone", "closed")
    assert solo.verifies()
    assert stands(made)
    raw(notebook, SWAPPED[0])
    assert not solo.verifies()


@pytest.mark.parametrize("name", [one.name.removesuffix(".sql.gz") for one in kept.dumps()][:4])
def test_notebooks_of_before_stand_and_say_what_is_not_covered(name: str, tmp_path: Path) -> None:
    file = kept.unpack(kept.DUMPS / f"{name}.sql.gz", tmp_path / "n.sqlite")
    clock = SteppedClock(kept.read(kept.DUMPS / f"{name}.facts.json")["now"], step=1)
    with closing(Notebook.open(file, clock)) as notebook:
        found = checking.check(notebook)
        raw(notebook, "UPDATE trials SET label = label || '!'")
        assert checking.check(notebook).damage == ()  # which is what is said of it
    assert found.damage == ()
    assert found.uncovered == len(found.logs) > 0
    assert told.counts(found).endswith(told.NOT_COVERED.format(logs=told.count(found.uncovered, "log")))


EXPORTS = sorted(kept.EXPORTS.glob("*.zip"))


@pytest.mark.parametrize("file", EXPORTS[:: max(1, len(EXPORTS) // 10)], ids=lambda one: one.stem)
def test_kept_exports_still_verify(file: Path) -> None:
    """Ten of them, one of every few kinds; opening one checks its log."""
    with export.opened(file) as copied:
        assert copied.log_held
