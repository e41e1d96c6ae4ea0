"""Random draws anybody can repeat from a seed, and the balanced orders that sessions were dealt from before."""

from __future__ import annotations

import hashlib
import hmac
from collections.abc import Iterable, Sequence
from typing import Final, TypeVar

from evaluation.errors import ArgumentError
from evaluation.ground import checks

T = TypeVar("T")

SEED_BYTES: Final = 32


class Stream:
    """Random numbers anybody can draw again from the seed: HMAC-SHA-256 of a counter, read as integers.

    Kept apart from the language's generators so that a referee can check a sealed draw without this program.
    """

    def __init__(self, seed: bytes, purpose: str) -> None:
        if len(seed) != SEED_BYTES:
            raise ArgumentError(f"seed must have {SEED_BYTES} bytes, not {len(seed)}.")
        self._key = hmac.new(seed, purpose.encode(), hashlib.sha256).digest()
        self._count = 0

    def below(self, bound: int) -> int:
        """A whole number from 0 to ``bound`` - 1, each equally likely."""
        limit = (1 << 64) - (1 << 64) % bound  # a draw past the last whole multiple would favour small numbers
        while True:
            block = hmac.digest(self._key, self._count.to_bytes(8, "big"), "sha256")
            self._count += 1
            drawn = int.from_bytes(block[:8], "big")
            if drawn < limit:
                return drawn % bound

    def shuffled(self, items: Iterable[T]) -> list[T]:
        """The items in random order (Fisher and Yates)."""
        mixed = list(items)
        for last in range(len(mixed) - 1, 0, -1):
            other = self.below(last + 1)
            mixed[last], mixed[other] = mixed[other], mixed[last]
        return mixed

    def pick(self, items: Sequence[T]) -> T:
        """One of the items, each equally likely."""
        return items[self.below(len(items))]


def balanced(trays: Sequence[str], people: int, stream: Stream) -> list[str]:
    """One tray for each of ``people``: every tray equally often, what is left over as even as can be, shuffled.

    The left-over trays alternate between compositions (AAB, ABB, …), so that eight people on six triangle trays
    still smell either trial as the odd one four times each.
    """
    full, left = divmod(people, len(trays))
    return stream.shuffled([*trays] * full + _alternating(trays, stream)[:left])


def _alternating(trays: Sequence[str], stream: Stream) -> list[str]:
    by_composition: dict[int, list[str]] = {}
    for tray in stream.shuffled(trays):
        by_composition.setdefault(tray.count("A"), []).append(tray)
    groups = stream.shuffled(by_composition.values())
    return [group[turn] for turn in range(max(map(len, groups))) for group in groups if turn < len(group)]


def williams(treatments: int) -> tuple[tuple[int, ...], ...]:
    """Serving orders in which every treatment follows every other equally often (Williams 1949).

    Returns ``treatments`` rows when even, twice as many when odd, of treatment numbers from 0: each treatment comes
    once in every position per ``treatments`` rows, each ordered pair of neighbours equally often. Built from the
    zig-zag row 0, 1, t-1, 2, t-2, … moved on cyclically, and mirrored when t is odd.
    """
    t = checks.whole("treatments", treatments, 2, 100)
    zigzag = [0]
    for step in range(1, t):
        zigzag.append((step + 1) // 2 if step % 2 else t - step // 2)
    rows = [tuple((first + shift) % t for first in zigzag) for shift in range(t)]
    return tuple(rows) if t % 2 == 0 else tuple(rows + [row[::-1] for row in rows])
