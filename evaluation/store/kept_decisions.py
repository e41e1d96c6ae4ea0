"""Decisions of a brief: appended in a chain of their own, never changed, never removed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Any, Final

from sqlalchemy import Row, select

from evaluation.errors import ArgumentError, StateError
from evaluation.store import chain, new_id, rows
from evaluation.store.desk import Desk, End, refused_as
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.translate import flat, record_of
from evaluation.values.decisions import Decision, hash_of

STRUCK: Final = "struck"  # the kind by which a log covers what words were struck from
DECIDED: Final = "decision"  # the kind of record by which a session's log holds a decision


class Decisions:
    """Verbs on decisions."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def add(
        self, brief_id: str, trial_id: str, word: str, reason: str, evidence: str, supersedes: str | None = None
    ) -> Decision:
        """Append a decision with the evidence as it stands; two at once: the second is told to look again."""
        self._check_family(brief_id, trial_id)
        before = self.decisions(brief_id)
        self._check_superseded(before, supersedes)
        previous = before[-1].hash if before else ""
        bare = Decision(
            new_id(),
            brief_id,
            len(before) + 1,
            trial_id,
            word,
            reason.strip(),
            evidence,
            supersedes,
            self._desk.now(),
            previous,
        )
        decision = replace(bare, hash=hash_of(bare))
        with refused_as(StateError("Another decision was written at this moment: look at it, then decide again.")):
            self._desk.add(rows.decisions, flat(decision))
        self._tell_log(decision)
        self._desk.moved[f"decisions {brief_id}"] = End(decision.number, decision.hash, decision.at)
        return decision

    def _tell_log(self, decision: Decision) -> None:
        """The session of the brief that was sealed last, of those opened, holds the newest decision in its log."""
        sessions = rows.sessions.c
        mine = select(sessions.id).where(sessions.brief_id == decision.brief_id, sessions.state == "opened")
        row = self._desk.maybe(mine.order_by(sessions.sealed_at.desc(), sessions.id).limit(1))
        if row is not None:
            body = {"number": decision.number, "decision": decision.hash}
            chain.append_record(self._desk, row.id, DECIDED, body)

    def _told_in_logs(self, brief_id: str) -> Iterator[tuple[int, str]]:
        query = select(rows.records).join(rows.sessions, rows.sessions.c.id == rows.records.c.session_id)
        mine = query.where(rows.sessions.c.brief_id == brief_id, rows.records.c.kind == DECIDED)
        for row in self._desk.rows(mine):
            body = chain.read_body(record_of(row))
            yield body["number"], body["decision"]

    def decisions(self, brief_id: str) -> tuple[Decision, ...]:
        """Oldest first, those superseded included."""
        query = select(rows.decisions).where(rows.decisions.c.brief_id == brief_id)
        return tuple(decision_of(row) for row in self._desk.rows(query.order_by(rows.decisions.c.number)))

    def verify(self, brief_id: str) -> bool:
        """True if every record stands as it was written, and none is missing between the first and the last."""
        found = self.decisions(brief_id)
        whole = [one.number for one in found] == list(range(1, len(found) + 1))
        chained = all(later.previous == earlier.hash for earlier, later in pairwise(found))
        first = not found or not found[0].previous
        written = {(one.number, one.hash) for one in found}
        if not written.issuperset(self._told_in_logs(brief_id)):
            return False
        struck = set(self._struck(brief_id))
        stand = all(hash_of(one) == one.hash or (one.hash, hash_of(one)) in struck for one in found)
        return whole and chained and first and stand

    def _struck(self, brief_id: str) -> Iterator[tuple[str, str]]:
        """The hash a decision was written with, and what it hashes to since words were struck from its reason."""
        query = select(rows.records).join(rows.sessions, rows.sessions.c.id == rows.records.c.session_id)
        mine = query.where(rows.sessions.c.brief_id == brief_id, rows.records.c.kind == STRUCK)
        bodies = (chain.read_body(record_of(row)) for row in self._desk.rows(mine))
        return ((body["hash"], body["as"]) for body in bodies if "decision" in body)

    def _check_family(self, brief_id: str, trial_id: str) -> None:
        self._desk.only_row(select(rows.briefs.c.id).where(rows.briefs.c.id == brief_id), "brief")
        trial = self._desk.only_row(select(rows.trials.c.brief_id).where(rows.trials.c.id == trial_id), "trial")
        if trial.brief_id != brief_id:
            raise ArgumentError("trial must belong to the brief that is decided about.")

    def _check_superseded(self, before: tuple[Decision, ...], supersedes: str | None) -> None:
        if supersedes is None:
            return
        if supersedes not in {one.id for one in before}:
            raise ArgumentError("superseded decision must be an earlier one of this brief.")
        if supersedes in {one.supersedes for one in before}:
            raise StateError("This decision is superseded already: supersede the one that took its place.")


@as_the_program_wrote()
def decision_of(row: Row[Any]) -> Decision:
    """The decision a row holds."""
    return Decision(**row._mapping)
