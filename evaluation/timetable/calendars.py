"""What one nose and one preparer can still do: the first free time from a given second on.

The search also runs backwards in time, on mirrored tasks: nothing here knows which way time goes.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence

from evaluation.timetable.quantities import Bench, Window


class Hours:
    """Spans in which something may happen."""

    __slots__ = ("begins", "ends")

    def __init__(self, windows: Sequence[Window]) -> None:
        self.begins = [begin for begin, _ in windows]
        self.ends = [end for _, end in windows]

    def first(self, low: int, length: int) -> int | None:
        """The first second from ``low`` on at which ``length`` seconds lie within one span."""
        at = max(bisect_right(self.begins, low) - 1, 0)
        while at < len(self.begins):
            start = max(low, self.begins[at])
            if start + length <= self.ends[at]:
                return start
            at += 1
        return None


class Hand:
    """One preparer."""

    __slots__ = ("begins", "ends", "hours")

    def __init__(self, hours: Hours) -> None:
        self.hours = hours
        self.begins: list[int] = []
        self.ends: list[int] = []

    def first(self, low: int, length: int) -> int | None:
        """The first second from ``low`` on at which a dip of ``length`` seconds can begin."""
        at = bisect_right(self.ends, low)
        while (start := self.hours.first(low, length)) is not None:
            while at < len(self.ends) and self.ends[at] <= start:
                at += 1
            if at == len(self.begins) or self.begins[at] >= start + length:
                return start
            low = self.ends[at]
        return None

    def holds(self, begin: int, length: int) -> bool:
        """Whether a dip can begin just then."""
        at = bisect_right(self.ends, begin)
        free = at == len(self.begins) or self.begins[at] >= begin + length
        return free and self.hours.first(begin, length) == begin

    def add(self, begin: int, length: int) -> None:
        """Take this time for a dip; whether it is free was asked before."""
        at = bisect_left(self.begins, begin)
        self.begins.insert(at, begin)
        self.ends.insert(at, begin + length)

    def remove(self, begin: int) -> None:
        """Give the time of the dip begun then back."""
        at = bisect_left(self.begins, begin)
        del self.begins[at], self.ends[at]


class Nose:
    """One panelist: sets smelt, rests, sittings, and (skin) the minutes in which something is applied."""

    __slots__ = ("break_", "busy", "cap", "hours", "rest", "smell", "starts")

    def __init__(self, hours: Hours, bench: Bench) -> None:
        self.hours = hours
        self.smell = bench.seconds_per_smell
        self.rest = bench.rest_seconds
        self.cap = bench.sets_per_sitting
        self.break_ = bench.sitting_break_seconds
        self.starts: list[int] = []
        self.busy: list[Window] = []

    def first(self, low: int, high: int) -> int | None:
        """The first second in ``low … high`` at which this nose can begin a set."""
        while (start := self.hours.first(low, self.smell)) is not None and start <= high:
            low = self._later(start)
            if low == start:
                return start
        return None

    def holds(self, starts: Sequence[int]) -> bool:
        """Whether sets can begin at all these seconds together."""
        added: list[int] = []
        for start in starts:
            if self.first(start, start) != start:
                break
            self.add(start)
            added.append(start)
        for start in added:
            self.remove(start)
        return len(added) == len(starts)

    def _later(self, start: int) -> int:
        """``start`` itself if a set may begin there, else a second before which none may."""
        at = bisect_left(self.starts, start)
        if at and start < self.starts[at - 1] + self.smell + self.rest:
            return self.starts[at - 1] + self.smell + self.rest
        if at < len(self.starts) and start + self.smell + self.rest > self.starts[at]:
            return self.starts[at] + self.smell + self.rest
        for begin, end in self.busy:
            if begin < start + self.smell and start < end:
                return end
        return self._rested(start, at)

    def _rested(self, start: int, at: int) -> int:
        """Keep to the sets a nose may take without a break between sittings."""
        before = self._run(start, range(at - 1, -1, -1))
        after = self._run(start, range(at, len(self.starts)))
        if before + 1 + after <= self.cap:
            return start
        if before:
            return self.starts[at - 1] + self.smell + self.break_
        return self.starts[at] + self.smell + self.rest

    def _run(self, start: int, places: range) -> int:
        """Sets that follow each other from ``start`` on, one way, with less than a break between."""
        count, edge = 0, start
        for at in places:
            if abs(self.starts[at] - edge) - self.smell >= self.break_ or count == self.cap:
                break
            count, edge = count + 1, self.starts[at]
        return count

    def free(self, begin: int, end: int) -> int:
        """``begin`` if nothing is smelt or applied from there to ``end``, else when what is in the way is over."""
        for start in self.starts:
            if start < end and begin < start + self.smell:
                return start + self.smell
        for busy in self.busy:
            if busy[0] < end and begin < busy[1]:
                return busy[1]
        return begin

    def add(self, start: int) -> None:
        """Take this time for a smelling; whether it is free was asked before."""
        insort(self.starts, start)

    def remove(self, start: int) -> None:
        """Give the time of the smelling begun then back."""
        del self.starts[bisect_left(self.starts, start)]
