"""Decisions are appended with their evidence, can be superseded, and show when they were altered."""

from __future__ import annotations

import pytest
from sqlalchemy import text

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.ground.canonical import canonical
from evaluation.store import Notebook
from evaluation.store.engine import transaction
from tests.store.prepared import fill

EVIDENCE = canonical({"noticed": True}).decode()


def test_decisions_are_kept_in_order_and_superseded_not_changed(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        first = tx.decisions.add("brief", "trial-8", "keep", "  nearer the brief  ", EVIDENCE)
        second = tx.decisions.add("brief", "trial-8", "rework", "too sweet on skin", EVIDENCE, first.id)
    with notebook.reading() as tx:
        assert tx.decisions.decisions("brief") == (first, second)
        assert tx.decisions.verify("brief")
    assert (first.number, first.reason, first.previous) == (1, "nearer the brief", "")
    assert (second.number, second.supersedes, second.previous) == (2, first.id, first.hash)


@pytest.mark.parametrize(
    ("changes", "error", "said"),
    [
        ({"word": "maybe"}, ArgumentError, "decision must be one of 'keep', 'rework', 'drop', 'smell again'"),
        ({"reason": "  "}, ArgumentError, "reason must not be empty"),
        ({"trial_id": "trial-99"}, NotFound, "No such trial"),
        ({"brief_id": "nowhere"}, NotFound, "No such brief"),
        ({"supersedes": "unknown"}, ArgumentError, "an earlier one of this brief"),
    ],
)
def test_what_cannot_be_decided_is_refused_and_nothing_is_kept(
    notebook: Notebook, changes: dict[str, str], error: type[Exception], said: str
) -> None:
    fill(notebook)
    given = {"brief_id": "brief", "trial_id": "trial-8", "word": "keep", "reason": "liked", "evidence": EVIDENCE}
    with pytest.raises(error, match=said), notebook.writing() as tx:
        tx.decisions.add(**(given | changes))  # type: ignore[arg-type]
    with notebook.reading() as tx:
        assert tx.decisions.decisions("brief") == ()


def test_a_decision_is_superseded_once(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        first = tx.decisions.add("brief", "trial-8", "keep", "liked", EVIDENCE)
        tx.decisions.add("brief", "trial-7", "keep", "simpler", EVIDENCE, first.id)
    with pytest.raises(StateError, match="superseded already"), notebook.writing() as tx:
        tx.decisions.add("brief", "trial-8", "drop", "after all", EVIDENCE, first.id)


@pytest.mark.parametrize(
    "altered",
    [
        "UPDATE decisions SET reason = 'prettier' WHERE number = 1",
        "UPDATE decisions SET evidence = '{}' WHERE number = 2",
        "UPDATE decisions SET word = 'drop' WHERE number = 3",
        "DELETE FROM decisions WHERE number = 2",
        "DELETE FROM decisions WHERE number = 1",
    ],
)
def test_what_is_altered_afterwards_shows(notebook: Notebook, altered: str) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        for word in ("keep", "rework", "smell again"):
            tx.decisions.add("brief", "trial-8", word, "because", EVIDENCE)
        assert tx.decisions.verify("brief")
    with transaction(notebook._engine, "writing") as connection:
        connection.execute(text(altered))
    with notebook.reading() as tx:
        assert not tx.decisions.verify("brief")
