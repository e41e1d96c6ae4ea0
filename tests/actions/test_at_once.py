"""Two who act at the same moment, each over a connection of their own: neither passes by what the other has done."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from evaluation.actions import ballot, bench, seal, skin
from evaluation.actions import plan as planning
from evaluation.clock import SteppedClock
from evaluation.errors import MouilletteError, StateError
from evaluation.sessions import Seat
from evaluation.skin import CLEAR, EXCLUSIONS, PATCH_SITES, REACTION, Patch
from evaluation.store import Notebook
from tests.postgres import own_schema, postgres
from tests.scenes import SEED, Scene, ballots, first_option, scene
from tests.skin_scene import HOUR, on_skin, ready

WAITED = 0.4  # seconds the second one is given while the first is still at it


@pytest.fixture(params=["file", postgres])
def lasting(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    if request.param == "file":
        yield str(tmp_path / "notebook.sqlite")
        return
    with own_schema() as place:
        yield place


class Rival:
    """Somebody in another process: begins when told, and may have to wait."""

    def __init__(self, where: str, clock: SteppedClock, act: Callable[[Notebook], Any]) -> None:
        self._thread = threading.Thread(target=self._run, args=(where, clock, act))
        self.refused: MouilletteError | None = None

    def _run(self, where: str, clock: SteppedClock, act: Callable[[Notebook], Any]) -> None:
        own = Notebook.open(where, clock)
        try:
            act(own)
        except MouilletteError as problem:
            self.refused = problem
        finally:
            own.close()

    def meanwhile(self) -> None:
        self._thread.start()
        self._thread.join(WAITED)

    def done(self) -> MouilletteError | None:
        self._thread.join()
        return self.refused


@pytest.fixture
def made(lasting: str, clock: SteppedClock) -> Iterator[Scene]:
    own = scene(Notebook.open(lasting, clock))
    yield own
    own.notebook.close()


def test_a_draft_changed_while_it_is_sealed_passes_nobody_by_the_gate(
    made: Scene, lasting: str, clock: SteppedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    *asked, stranger = made.panelist_ids
    ready(made.notebook, made.trial_ids, asked)
    plan = made.plan(people=7, **on_skin())
    session = planning.add_draft(made.notebook, plan)
    swapped = replace(plan, seats=(*plan.seats[:-1], Seat(plan.seats[-1].number, stranger)))

    def change(notebook: Notebook) -> None:
        with notebook.writing() as tx:
            tx.sittings.replace_plan(session.id, swapped)

    rival, drawn = Rival(lasting, clock, change), seal.draw

    def slowly(*given: Any) -> Any:
        rival.meanwhile()
        return drawn(*given)

    monkeypatch.setattr(seal, "draw", slowly)
    seal.seal(made.notebook, session.id, SEED)
    assert isinstance(rival.done(), StateError)
    with made.notebook.reading() as tx:
        stored = tx.sittings.session(session.id)
        assert tx.log.verify(session.id)
    assert stored.plan == replace(plan, draw="independent")  # as everything is drawn that is sealed now
    assert stranger not in {one.panelist_id for one in ballots(made.notebook, session.id)}


def test_a_reaction_is_not_written_over_by_a_clear_reading_of_the_same_moment(
    made: Scene, lasting: str, clock: SteppedClock
) -> None:
    who, trial_id = made.panelist_ids[0], made.trial_ids[0]
    ready(made.notebook, (trial_id,), ())
    now = clock.now()
    with made.notebook.writing() as tx:
        strength = tx.book.trial(trial_id).skin_strength_percent
        assert strength is not None
        tx.patches.add(Patch("patch", who, trial_id, "482", PATCH_SITES[0], strength, now - 50 * HOUR))
    rival = Rival(lasting, clock, lambda own: skin.read_patch(own, "patch", CLEAR))
    with made.notebook.writing() as tx:
        tx.patches.read("patch", REACTION, tx.clock.now())
        rival.meanwhile()
    assert isinstance(rival.done(), StateError)
    assert [[each.result for each in one.readings] for one in skin.patches(made.notebook)] == [[REACTION]]


def test_patches_drawn_in_two_windows_are_put_on_once(
    made: Scene, lasting: str, clock: SteppedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    who = made.panelist_ids[0]
    ready(made.notebook, made.trial_ids, [who])
    skin.forget(made.notebook, who)
    skin.record_facts(made.notebook, who, consent=True, **dict.fromkeys(EXCLUSIONS, False))
    rival = Rival(lasting, clock, lambda own: skin.put_on_patches(own, who, made.trial_ids))
    drawn = skin._drawn

    def slowly(*given: Any) -> Any:
        rival.meanwhile()
        return drawn(*given)

    monkeypatch.setattr(skin, "_drawn", slowly)
    skin.put_on_patches(made.notebook, who, made.trial_ids)
    assert isinstance(rival.done(), StateError)
    assert len(skin.patches(made.notebook)) == 2


def test_a_set_replaced_while_the_last_answer_is_locked_keeps_the_ballot_open(
    made: Scene, lasting: str, clock: SteppedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    session = made.smelling()
    own = ballots(made.notebook, session.id)[0]
    while len((view := ballot.view(made.notebook, own.id)).screen) and view.number < view.total:
        values = {one.name: first_option(one) for one in view.screen}
        ballot.lock_screen(made.notebook, own.id, view.screen[0].serving_id, values)
    first = next(one for one in bench.servings(made.notebook, session.id) if one.seat == own.seat)
    rival = Rival(lasting, clock, lambda other: bench.void_serving(other, session.id, first.id, "dropped"))
    screen, asked = ballot._screen_now, view.screen

    def slowly(*given: Any) -> Any:
        rival.meanwhile()
        return screen(*given)

    monkeypatch.setattr(ballot, "_screen_now", slowly)
    try:
        ballot.lock_screen(made.notebook, own.id, asked[0].serving_id, {one.name: first_option(one) for one in asked})
    finally:
        rival.done()
    assert rival.refused is None
    assert [one.finished for one in bench.progress(made.notebook, session.id) if one.seat == own.seat] == [False]
