"""A timetable with the instant it begins and its time zone, so that sheets can print times of day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from evaluation.sheets import words
from evaluation.timetable import Line, Timetable


@dataclass(frozen=True, slots=True)
class Timing:
    """A timetable, the instant its seconds count from (milliseconds, UTC), and the zone it is told in."""

    timetable: Timetable
    start: int
    zone: str

    @property
    def lines(self) -> Mapping[str, Line]:
        """The lines of the timetable by the serving they are about."""
        return {line.serving_id: line for line in self.timetable.lines}

    @property
    def day(self) -> str:
        """The day it begins, in the zone of the session, such as "Friday 4 December 2026"."""
        here = words.local(self.start, self.zone)
        return f"{here:%A} {here.day} {here:%B %Y}"

    def clock(self, seconds: int) -> str:
        """Second of the timetable as a time of day."""
        return words.clock(self.start, seconds, self.zone)

    def smelling(self) -> dict[str, str]:
        """When each serving is smelt."""
        return {serving: self.clock(line.smell_from) for serving, line in self.lines.items()}
