"""What an opened round of pairs or ranking says of every two of its trials."""

from __future__ import annotations

from collections.abc import Iterator

from evaluation.actions.round_findings import round_findings
from evaluation.evidence import CAMPS, FIRST, NEITHER, PREFERENCE, SECOND, SPLIT, Collected, Point
from evaluation.rounds import Pair, RoundFound
from evaluation.sessions import Session
from evaluation.store import Notebook
from evaluation.wording_verdicts import count, p_words


def rounds(notebook: Notebook, session: Session) -> Collected:
    """People's preferences for every two trials, camps where they are shown."""
    parts = round_findings(notebook, session.id).found
    points = tuple(point for part in parts for pair in part.pairs for point in _of_pair(part, pair))
    return Collected(points, gaps=tuple(told for part in parts for told in _beside(part)))


def _of_pair(found: RoundFound, pair: Pair) -> Iterator[Point]:
    about = (found.plan.trial_ids[pair.first], found.plan.trial_ids[pair.second], found.medium, None)
    outcome = NEITHER if not pair.shown else FIRST if pair.better == pair.first else SECOND
    votes = ("", pair.for_first, pair.for_second, pair.people)
    yield Point(PREFERENCE, *about, outcome, True, _sentence(found, pair), *votes)
    if pair.camps:
        yield Point(CAMPS, *about, SPLIT, True, _camps(found, pair), *votes)


def _sentence(found: RoundFound, pair: Pair) -> str:
    one, other = found.names[pair.first], found.names[pair.second]
    even = f", {pair.even} both alike" if pair.even else ""
    people = count(pair.people, "person", "people")
    p = p_words(pair.p_family, pair.alpha)
    if pair.shown:
        worse, most = (other, pair.for_first) if pair.better == pair.first else (one, pair.for_second)
        better = found.names[pair.better]
        return f"{better} is preferred to {worse} by {most} of {people}{even} ({p}, corrected for all pairs)."
    votes = f"{pair.for_first} of {people} for trial {one}, {pair.for_second} for trial {other}"
    return f"No preference shown between {one} and {other}: {votes}{even} ({p}, corrected for all pairs)."


def _camps(found: RoundFound, pair: Pair) -> str:
    return (
        f"The panel falls into two camps about {found.names[pair.first]} and {found.names[pair.second]}: some keep "
        "preferring the one, some the other."
    )


def _beside(found: RoundFound) -> Iterator[str]:
    if not found.answered:
        yield "No answers came in that count."
    if found.nearer:
        told = ", ".join(f"{name} ({count(times, 'time', 'times')})" for name, times in found.nearer)
        yield f"Said to be the nearer to the brief of a pair, in answers and not tested: {told}."
