"""Who sits where: the store is asked for names once, however many people sit, and by everybody through one function."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest

from evaluation.actions import ages, bench, book, findings, sitting, skin
from evaluation.store.kept_book import Book
from tests import scenes


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often the store was asked for one panelist, and for all."""
    counted: Counter[str] = Counter()
    for name in ("panelist", "panelists"):
        own = getattr(Book, name)

        def counting(self: Book, *given: Any, own: Any = own, name: str = name, **more: Any) -> Any:
            counted[name] += 1
            return own(self, *given, **more)

        monkeypatch.setattr(Book, name, counting)
    return counted


READERS: dict[str, Callable[[Any, str], Any]] = {
    "progress": bench.progress,
    "findings": findings.findings,
    "real ages": ages.real_ages,
    "stops": skin.stops,
}


@pytest.mark.parametrize("reader", READERS)
def test_the_store_is_asked_for_names_once(notebook: Any, asked: Counter[str], reader: str) -> None:
    session = opened(scenes.scene(notebook, people=12))
    asked.clear()
    READERS[reader](notebook, session)
    assert asked["panelist"] == 0
    assert asked["panelists"] <= 1


def test_names_by_seat_and_by_person_leave_out_free_seats_and_keep_who_left(notebook: Any) -> None:
    scene = scenes.scene(notebook, people=3)
    session = scene.smelling(spare=1)
    book.change_panelist(notebook, scene.panelist_ids[1], active=False)
    with notebook.reading() as tx:
        assert sitting.aliases(tx, session.id) == {1: "Nose 1", 2: "Nose 2", 3: "Nose 3"}
        assert list(sitting.aliases_by_person(tx, session.id)) == list(scene.panelist_ids)


def opened(scene: scenes.Scene) -> str:
    session = scene.smelling()
    for own in scenes.ballots(scene.notebook, session.id):
        scenes.answer_all(scene.notebook, own.id)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    return session.id
