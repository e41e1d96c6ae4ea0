"""Sentences of the bench while people smell."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

NOTHING: Final = "Nothing was due meanwhile; go on."
NEXT: Final = (
    "The timetable is planned anew from now, and what is due comes first below. Strips that have lain too long are "
    "smelt at once and noted as late; dip a set again only where its strips are no longer at hand, by “A spoilt set”."
)


def missed_words(since: int, until: int, zone: str, things: Sequence[tuple[str, str, int, int]]) -> str:
    """What was due while nobody looked: ``things`` are (what, person, number of the set, instant)."""
    between = f"Nobody looked at this bench from {_clock(since, zone)} to {_clock(until, zone)}"
    told = f"{between}: the machine slept, or the page was away."
    if not things:
        return f"{told} {NOTHING}"
    listed = "; ".join(f"{what} {who}, set {number} ({_clock(at, zone)})" for what, who, number, at in things)
    return f"{told} Missed meanwhile: {listed}. {NEXT}"


def _clock(instant: int, zone: str) -> str:
    return f"{datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone)):%H:%M}"
