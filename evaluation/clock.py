"""The only source of time below ``pages/``: instants are integer milliseconds since 1970, UTC."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import Protocol


class Clock(Protocol):
    """Anything that can say what time it is."""

    def now(self) -> int:
        """Milliseconds since 1970-01-01 00:00 UTC."""
        ...


class SystemClock:
    """The machine's clock."""

    def now(self) -> int:
        """As the machine has it: nobody checks whether its clock is right, or goes backwards."""
        return time.time_ns() // 1_000_000


@dataclass
class SteppedClock:
    """A clock that moves when told to: for tests and for drawing the demo, never for real data."""

    instant: int = 1_767_168_000_000  # 2025-12-31 08:00 UTC, an arbitrary fixed start
    step: int = 0
    _start: int = field(init=False)

    def __post_init__(self) -> None:
        self._start = self.instant

    def now(self) -> int:
        """The instant it was put to, after one more ``step``: asking moves it."""
        self.instant += self.step
        return self.instant

    def forward(self, *, minutes: float = 0.0, seconds: float = 0.0) -> None:
        """Move it on, rounded to whole milliseconds."""
        self.instant += round(minutes * 60_000 + seconds * 1_000)
