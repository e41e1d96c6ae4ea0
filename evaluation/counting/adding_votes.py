"""Answers of opened sittings as they add up in a series: whose, which way, on which day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from evaluation.counting.questions import FIRST, SECOND, Assessment, Held

FOR, AGAINST, TIE = 1, -1, 0
_WAYS: Mapping[object, int] = {True: FOR, False: AGAINST, FIRST: FOR, SECOND: AGAINST}


@dataclass(frozen=True, slots=True)
class Vote:
    """One counted answer. ``way``: right, or for the first trial (1); wrong, or for the second (−1); no choice (0)."""

    person: str
    way: int
    day: date
    at: int


@dataclass(frozen=True, slots=True)
class Sitting:
    """One opened sitting of a series: its votes as they came in, of one part of the series."""

    session_id: str
    title: str
    opened_at: int
    votes: tuple[Vote, ...]
    part: str = ""

    def counted(self, without: Iterable[str] = ()) -> tuple[int, int, int]:
        """Votes for, against, and ties; without those of some people."""
        left = frozenset(without)
        found = Counter(one.way for one in self.votes if one.person not in left)
        return found[FOR], found[AGAINST], found[TIE]


def votes_of(held: Held, rows: Iterable[Assessment], *, nearer: bool = False) -> tuple[Vote, ...]:
    """The answers that count, oldest first; ``nearer``: which is nearer the brief, not which is preferred."""
    at = {(one.ballot_id, one.serving_id): one.at for one in held.answers if one.question == "choice"}
    ballots = {one.seat: one.id for one in held.ballots}
    zone = ZoneInfo(held.plan.zone)
    found = []
    for row in rows:
        way = _way(row, nearer)
        if row.counted and way is not None:
            moment = at[ballots[row.seat], row.serving_id]
            found.append(Vote(row.panelist_id, way, _day(moment, zone), moment))
    return tuple(sorted(found, key=lambda one: (one.at, one.person)))


def _way(row: Assessment, nearer: bool) -> int | None:
    """None where it was not asked or not answered."""
    if nearer or row.correct is None:
        said = row.nearer if nearer else row.preferred
        return None if not said else _WAYS.get(said, TIE)
    return _WAYS[row.correct]


def _day(moment: int, zone: ZoneInfo) -> date:
    return datetime.fromtimestamp(moment / 1000, UTC).astimezone(zone).date()


def once_a_day(sittings: Iterable[Sitting]) -> tuple[tuple[Sitting, ...], tuple[Vote, ...]]:
    """The sittings with one vote a nose and day, the first; and the votes that do not count for it."""
    taken: set[tuple[str, date]] = set()
    again: list[Vote] = []
    kept = []
    for one in sittings:
        kept.append(_first_of_day(one, taken, again))
    return tuple(kept), tuple(again)


def _first_of_day(one: Sitting, taken: set[tuple[str, date]], again: list[Vote]) -> Sitting:
    votes: list[Vote] = []
    for vote in one.votes:
        (again if (vote.person, vote.day) in taken else votes).append(vote)
        taken.add((vote.person, vote.day))
    return Sitting(one.session_id, one.title, one.opened_at, tuple(votes), one.part)


def answers_each(sittings: Iterable[Sitting]) -> Counter[str]:
    """How many answers of each person count."""
    return Counter(vote.person for one in sittings for vote in one.votes)


def whole_rounds(sittings: Iterable[Sitting], people: Iterable[str]) -> Iterator[bool]:
    """After each sitting: has every named person answered equally often?

    In the first round too: half of a panel that is named speaks for that half, and whoever seats the fans first would
    have them speak for all. ``people``: those named beforehand; none where everybody is fresh and answers once.
    """
    named, given = tuple(people), Counter[str]()
    for one in sittings:
        given.update(vote.person for vote in one.votes)
        yield len({given[person] for person in named or given}) <= 1
