"""After a loss: the copy named is the newest that holds what is missing, and that none does is said."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from evaluation.clock import SteppedClock
from evaluation.keeping import at_start
from evaluation.store import Notebook
from evaluation.store.backup import form, kept_copies, lost_ends, making
from evaluation.store.backup.kept_copies import DAILY, Copy
from tests.store.prepared import Held, about_skin, held, raw, take_newest


@pytest.fixture
def made(tmp_path: Path, clock: SteppedClock) -> Iterator[Held]:
    found = held(Notebook.open(tmp_path / "n.sqlite", clock))
    yield found
    found.notebook.close()


def copied(made: Held, clock: SteppedClock) -> Copy:
    clock.instant += kept_copies.HOUR
    one = kept_copies.new_copy(str(made.notebook.where), clock.now(), DAILY)
    with form.new_file(one.file) as out:
        making.make(made.notebook, out)
    return one


def way_out(made: Held) -> str:
    """What is said of copies to whoever looks now."""
    assert made.notebook.anchor is not None
    return lost_ends.how_to_restore(str(made.notebook.where), made.notebook.anchor.lost())


def test_a_copy_made_after_the_loss_is_not_named(made: Held, clock: SteppedClock) -> None:
    made.lock(made.answer(1))
    made.lock(made.answer(2))
    whole = copied(made, clock)
    take_newest(made.notebook, 1)
    copied(made, clock)
    said = way_out(made)
    assert said == (
        f"the newest copy that holds what is missing is {whole.named}: restore it into a new file with python -m "
        f"evaluation restore {whole.file} --data NEW_PLACE"
    )
    assert made.notebook.anchor is not None
    made.notebook.anchor.begin()  # the next start notices it
    made.lock(made.answer(2))  # answered anew, and more than there was
    made.lock(made.answer(3))
    copied(made, clock)
    assert way_out(made) == said


def test_of_two_that_hold_it_the_newer_is_named(made: Held, clock: SteppedClock) -> None:
    made.lock(made.answer(1))
    copied(made, clock)
    newer = copied(made, clock)
    take_newest(made.notebook, 1)
    copied(made, clock)
    assert newer.named in way_out(made)


def test_where_no_copy_holds_it_that_is_said(made: Held, clock: SteppedClock) -> None:
    made.lock(made.answer(1))
    copied(made, clock)
    made.lock(made.answer(2))
    take_newest(made.notebook, 1)
    copied(made, clock)
    place = kept_copies.folder(str(made.notebook.where))
    assert way_out(made).startswith(f"there is no copy in {place} that holds what is missing: restore a backup of ")


def test_a_copy_that_cannot_be_read_holds_nothing(made: Held, clock: SteppedClock) -> None:
    made.lock(made.answer(1))
    sound, spoilt = copied(made, clock), copied(made, clock)
    spoilt.file.write_bytes(spoilt.file.read_bytes()[:-50])
    take_newest(made.notebook, 1)
    assert sound.named in way_out(made)


def test_a_copy_of_what_was_damaged_already_is_no_way_out_of_the_damage(made: Held, clock: SteppedClock) -> None:
    where = str(made.notebook.where)
    sound = copied(made, clock)
    assert lost_ends.how_to_restore(where, ()).startswith(f"the newest copy is {sound.named}: ")
    raw(made.notebook, "UPDATE records SET at = at + 1 WHERE sequence = 2")
    copied(made, clock)  # as the app does, which goes on
    assert lost_ends.how_to_restore(where, ()).startswith(f"the newest copy whose logs all hold is {sound.named}: ")
    sound.file.unlink()
    assert lost_ends.how_to_restore(where, ()).startswith(
        f"there is no copy in {kept_copies.folder(where)} whose logs all hold: "
    )


def _decided(made: Held) -> None:
    with made.notebook.writing() as tx:
        tx.decisions.add(made.plan.brief_id, made.plan.first_trial_id, "keep", "as it is", "{}", None)


LOGS: dict[str, tuple[Callable[[Held], None], str]] = {
    "decisions": (_decided, "DELETE FROM decisions"),
    "skin": (about_skin, "DELETE FROM skin_log WHERE id = (SELECT max(id) FROM skin_log)"),
}


@pytest.mark.parametrize("log", LOGS)
def test_other_logs_are_looked_for_as_well(log: str, made: Held, clock: SteppedClock) -> None:
    write, taken = LOGS[log]
    write(made)
    whole = copied(made, clock)
    raw(made.notebook, taken)
    copied(made, clock)
    assert whole.named in way_out(made)


def test_the_start_names_it_on_the_pages_however_the_app_was_stopped(made: Held, clock: SteppedClock) -> None:
    made.lock(made.answer(1))
    whole = copied(made, clock)
    take_newest(made.notebook, 1)
    copied(made, clock)
    where = str(made.notebook.where)
    made.notebook.close()
    for _ in ("killed", "stopped"):
        opened = at_start.open_notebook(where, clock)
        try:
            assert any("acknowledged answer is missing" in one for one in opened.notebook.alarms)
            assert opened.alarms == (
                f"The newest copy that holds what is missing is {whole.named}: restore it into a new file with python "
                f"-m evaluation restore {whole.file} --data NEW_PLACE.",
            )
        finally:
            at_start.close(at_start.Opened(opened.notebook))
