"""What is kept of one person beside the log: counted, and forgotten as far as no result rests on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Table, delete, func, select, update

from evaluation.store import rows
from evaluation.store.desk import Desk


@dataclass(frozen=True, slots=True)
class Kept:
    """How much there is of somebody in each place."""

    sessions: int  # a seat in so many
    answers: int
    drafts: int  # tapped and not locked
    words: int  # remarks, and what was written about their sets
    stops: int
    links: int
    visits: int
    skin_answers: int
    patches: int
    skin_lines: int  # readings, advice, reactions and what else was said of their skin


class People:
    """Verbs on what is kept of people."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def kept(self, panelist_id: str) -> Kept:
        """What there is of this person; whoever is not known has nothing."""
        ballots, answers, texts = rows.ballots.c, rows.answers.c, rows.personal_texts.c
        own = select(ballots.id).where(ballots.panelist_id == panelist_id)
        return Kept(
            self._count(rows.ballots, ballots.panelist_id == panelist_id),
            self._count(rows.answers, answers.ballot_id.in_(own), answers.final),
            self._count(rows.answers, answers.ballot_id.in_(own), ~answers.final, answers.question != ""),
            self._count(rows.personal_texts, texts.panelist_id == panelist_id, texts.text.is_not(None)),
            self._count(rows.stops, rows.stops.c.ballot_id.in_(own)),
            self._count(rows.ballots, ballots.panelist_id == panelist_id, ballots.token_hash.is_not(None)),
            self._count(rows.visits, rows.visits.c.ballot_id.in_(own)),
            self._count(rows.skin_facts, rows.skin_facts.c.panelist_id == panelist_id),
            self._count(rows.patches, rows.patches.c.panelist_id == panelist_id),
            self._count(rows.skin_log, rows.skin_log.c.panelist_id == panelist_id),
        )

    def _count(self, table: Table, *which: Any) -> int:
        query = select(func.count().label("found")).select_from(table).where(*which)
        return int(self._desk.only_row(query, "row").found)


def forget(desk: Desk, panelist_id: str) -> None:
    """End their links and visits, and take away what was tapped and not locked.

    Of each set the instant of its first tap stays, without what was tapped: how old strips were when they were smelt is
    read off it.
    """
    ballots, answers = rows.ballots, rows.answers
    mine = ballots.c.panelist_id == panelist_id
    own = select(ballots.c.id).where(mine)
    desk.change(delete(rows.visits).where(rows.visits.c.ballot_id.in_(own)))
    desk.change(update(ballots).where(mine).values(token_hash=None, issue=ballots.c.issue + 1))
    drafts = answers.c.ballot_id.in_(own), ~answers.c.final
    first = select(func.min(answers.c.id)).where(*drafts).group_by(answers.c.ballot_id, answers.c.serving_id)
    kept = [row[0] for row in desk.rows(first)]
    desk.change(delete(answers).where(*drafts, answers.c.id.not_in(kept)))
    desk.change(update(answers).where(answers.c.id.in_(kept)).values(question="", value=""))
