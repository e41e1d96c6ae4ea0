"""One line of a benchmark, and how a time is taken."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Row:
    """``ratio`` is theirs / ours: how many times faster we are; below 1 we are slower."""

    name: str
    ours_seconds: float
    theirs_seconds: float
    ratio: float
    note: str


def seconds(call: Callable[[], Any], repeats: int = 1) -> float:
    """Shortest of several runs: the one least disturbed by the rest of the machine."""
    best = float("inf")
    for _ in range(repeats):
        begin = time.perf_counter()
        call()
        best = min(best, time.perf_counter() - begin)
    return best


def compared(name: str, ours: float, theirs: float, note: str) -> Row:
    return Row(name, ours, theirs, theirs / ours, note)
