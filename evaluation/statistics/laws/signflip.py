"""Sign-flip tests: if two things are alike, each person's differences are as likely with all their signs turned.

If each person would rate two things alike but for chance, a person's differences are as likely with all signs turned.
The pattern of signs that was met is then one of 2^n equally likely ones. A pattern and its opposite give the same
|sum|, so half of them tell all: the first person's sign stays. Splitting the people in two halves makes every pattern's
sum the sum of one entry of each of two small tables.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from evaluation.statistics.laws.inputs import Floats

FEWEST_DRAWS, MOST_DRAWS = 99, 1_000_000  # patterns at random, where not all are used
FEWEST_PEOPLE: Final = 6  # with 5 the smallest two-sided p is 2/32 = .0625: no interval at 95 % ends anywhere
# Every pattern up to so many people: half a million patterns by size, 32,768 by rank, which sorts each row's patterns
EXACT_PEOPLE: Final = {"max-T": 20, "min-p": 16}
# |sum| / root of (n × sum of squares) lies from 0 to 1; patterns nearer than this to the one met are ties of it, split
# by the last digits of sums of decimal ratings
NEAR: Final = 1e-10
_SAMPLE: Final = (
    31  # every so many-th value tells where the extreme ones begin; odd, since patterns come in powers of 2
)
_BLOCK: Final = 64  # rows multiplied at once when patterns are drawn

Bools = npt.NDArray[np.bool_]
Places = npt.NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Patterns:
    """The sign patterns: ``left`` and ``right`` hold those of two parts of the people, every left with every right.

    The first one, all signs as met, is always among them.
    """

    left: Floats
    right: Floats
    exact: bool

    @property
    def amount(self) -> int:
        """How many patterns there are, the one as met included."""
        return int(self.left.shape[0] * self.right.shape[0])

    def sums(self, differences: Floats) -> Iterator[Floats]:
        """For each column of (people × rows), the sums of all patterns; the array is used again for the next."""
        split = self.left.shape[1]
        for begin in range(0, differences.shape[1], _BLOCK):
            block = differences[:, begin : begin + _BLOCK]
            left = np.ascontiguousarray((self.left @ block[:split]).T)
            right = np.ascontiguousarray((self.right @ block[split:]).T)
            yield from self._added(left, right)

    def _added(self, left: Floats, right: Floats) -> Iterator[Floats]:
        if right.shape[1] == 1:
            yield from left + right
            return
        table = np.empty((left.shape[1], right.shape[1]))
        for one, other in zip(left, right, strict=True):
            np.add(one[:, None], other, out=table)
            yield table.ravel()


@dataclass(frozen=True, slots=True, eq=False)
class Flips:
    """What the patterns say of each row; ``by`` is how rows were made comparable, ``family`` which rows share p_family.

    ``p_family`` is NaN outside the family.
    """

    p_value: Floats
    p_family: Floats
    low: Floats
    high: Floats
    family: Bools
    patterns: int
    exact: bool
    by: str


def all_patterns(people: int) -> Patterns:
    """One of each pair of opposite patterns: 2^(people − 1)."""
    half = (people + 1) // 2
    signs = _signs(half)
    return Patterns(signs[: max(1, signs.shape[0] // 2)], _signs(people - half), exact=True)


def _signs(people: int) -> Floats:
    """All patterns of so many signs, the plain one first; the first person's sign turns in the second half."""
    bits = np.arange(2**people)[:, None] >> np.arange(people - 1, -1, -1) & 1
    return 1.0 - 2.0 * bits.astype(np.float64)


def drawn_patterns(people: int, draws: int, seed: int) -> Patterns:
    """The pattern met and ``draws`` random ones: counting the one met keeps the level (Phipson & Smyth 2010)."""
    random = np.random.default_rng(seed)
    signs = 1.0 - 2.0 * random.integers(0, 2, (draws + 1, people)).astype(np.float64)
    signs[0] = 1.0
    return Patterns(signs, np.zeros((1, 0)), exact=False)


def flip_signs(
    differences: Floats, level: float | None, draws: int, seed: int, exact_people: int | None = None
) -> Flips:
    """Each row's p, the family's p and the interval of (people × rows) differences; NaN where a person has none.

    Up to ``exact_people`` people every pattern is used, else ``draws`` are drawn with ``seed``. Without a ``level`` no
    intervals are worked out.
    """
    present = ~np.isnan(differences)
    people = present.sum(axis=0)
    filled = np.where(present, differences, 0.0)[present.any(axis=1)]
    scale = np.sqrt(people * (filled**2).sum(axis=0))
    scale[scale == 0.0] = 1.0  # all differences 0: every pattern's sum is 0, so all tie and p is 1
    unit = filled / scale
    family = people >= FEWEST_PEOPLE
    best = (_ByRank if np.unique(people[family]).size > 1 else _BySize)(family)
    most = EXACT_PEOPLE[best.name] if exact_people is None else exact_people
    few = filled.shape[0] <= most
    patterns = all_patterns(filled.shape[0]) if few else drawn_patterns(filled.shape[0], draws, seed)
    p_value, low, high = _rows(patterns, unit, present[present.any(axis=1)], level, best)
    p_value[people == 0] = np.nan
    low[~family], high[~family] = -np.inf, np.inf
    return Flips(
        p_value, best.shares(unit), low * scale, high * scale, family, patterns.amount, patterns.exact, best.name
    )


def _rows(
    patterns: Patterns, unit: Floats, present: Bools, level: float | None, best: _Best
) -> tuple[Floats, Floats, Floats]:
    """p, low and high of each row, in one pass over the sums of its patterns."""
    p_value, low, high = (np.full(unit.shape[1], np.nan) for _ in range(3))
    limits = None if level is None else _Limits(patterns, level)
    for row, sums in enumerate(patterns.sums(unit)):
        if limits is not None and best.family[row]:
            low[row], high[row] = limits.of(sums, present[:, row])
        size = np.abs(sums, out=sums)
        p_value[row] = np.count_nonzero(size >= size[0] - NEAR) / size.size
        best.add(row, size)
    return p_value, low, high


class _Best:
    """Collects, pattern by pattern, the most extreme row of the family."""

    name = ""

    def __init__(self, family: Bools) -> None:
        self.family = family
        self.extreme: Floats | None = None

    def add(self, row: int, size: Floats) -> None:
        raise NotImplementedError

    def shares(self, unit: Floats) -> Floats:
        raise NotImplementedError


class _BySize(_Best):
    """max-T: all rows hold the same number of people, so their sizes compare (Westfall & Young 1993)."""

    name = "max-T"

    def add(self, row: int, size: Floats) -> None:
        if self.family[row]:
            self.extreme = size.copy() if self.extreme is None else np.maximum(self.extreme, size, out=self.extreme)

    def shares(self, unit: Floats) -> Floats:
        met = np.abs(unit.sum(axis=0))
        return _shares(self.family, self.extreme, lambda found: found.size - np.searchsorted(found, met - NEAR))


class _ByRank(_Best):
    """min-p: rows differ in their number of people, so each pattern is ranked within its row first."""

    name = "min-p"

    def __init__(self, family: Bools) -> None:
        super().__init__(family)
        self.met = np.full(family.size, np.nan)

    def add(self, row: int, size: Floats) -> None:
        if not self.family[row]:
            return
        ranks = _ranks(size)
        self.met[row] = ranks[0]
        self.extreme = ranks if self.extreme is None else np.minimum(self.extreme, ranks, out=self.extreme)

    def shares(self, unit: Floats) -> Floats:
        return _shares(self.family, self.extreme, lambda found: np.searchsorted(found, self.met, side="right"))


def _ranks(size: Floats) -> Floats:
    """For each pattern, how many of its row are as large or larger."""
    order = np.argsort(size)
    ordered = size[order]
    starts = np.concatenate(([True], np.diff(ordered) > NEAR))  # values that near each other are one value
    below = np.maximum.accumulate(np.where(starts, np.arange(size.size), 0))
    ranks = np.empty(size.size)
    ranks[order] = size.size - below
    return ranks


def _shares(family: Bools, extreme: Floats | None, counted: Callable[[Floats], Places]) -> Floats:
    found = np.full(family.size, np.nan)
    if extreme is not None:
        found[family] = (counted(np.sort(extreme)) / extreme.size)[family]
    return found


class _Limits:
    """The interval: all constant shifts d that the test of "differences − d" does not refuse at 1 − level.

    With d below the mean, turning the signs of the people in A makes the sum as extreme if their mean is at most d. So
    the lower limit is the c-th smallest mean of a set of people, c − 1 the number of patterns that alpha allows; the
    set without anybody (all signs as met) always counts. The upper limit mirrors it.
    """

    def __init__(self, patterns: Patterns, level: float) -> None:
        self.patterns = patterns
        # p ≤ alpha is refused, a tie too; the last digit of 1 − level must not decide
        self.place = int((1.0 - level) * patterns.amount * (1.0 + 1e-12) + 1e-9)
        self.known: dict[bytes, tuple[Floats, Places]] = {}
        self.means = np.empty((2, patterns.amount))

    def of(self, sums: Floats, present: Bools) -> tuple[float, float]:
        shares, nobody = self._sizes(present)
        np.subtract(sums[0], sums, out=self.means[0])
        np.add(sums[0], sums, out=self.means[1])
        self.means *= shares
        if self.place < nobody.size:
            return -np.inf, np.inf
        means = self.means.ravel()
        means[nobody] = np.inf
        low = _smallest(means, self.place - nobody.size)
        np.negative(means, out=means)
        means[nobody] = np.inf
        return low, -_smallest(means, self.place - nobody.size)

    def _sizes(self, present: Bools) -> tuple[Floats, Places]:
        """1 / (2 × people) of each pattern's set A and of all others, and the places where such a set is empty."""
        key = present.tobytes()
        if key not in self.known:
            if len(self.known) > _BLOCK:
                self.known.clear()
            column = present.astype(np.float64)[:, None]
            signs = next(self.patterns.sums(column))
            twice = np.stack((column.sum() - signs, column.sum() + signs))
            nobody = twice < 0.5
            self.known[key] = 1.0 / np.where(nobody, 1.0, twice), np.flatnonzero(nobody)
        return self.known[key]


def _smallest(values: Floats, place: int) -> float:
    """The ``place``-th smallest value, from 0; a look at a sample puts most values aside."""
    wanted = place // _SAMPLE + 4 * int(np.sqrt(place / _SAMPLE)) + 8
    sample = values[::_SAMPLE]
    if 4 * wanted < sample.size:
        low = values[values <= np.partition(sample, wanted)[wanted]]
        if low.size > place:
            values = low
    return float(np.partition(values, place)[place])
