"""What a session that separates changes seals beside its trials: which bottle holds which change, and what was held
likely. Imports nothing heavy: plans are read on every tap of every phone.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import prod
from typing import Final, Literal

from evaluation.errors import ArgumentError
from evaluation.ground import checks

MOST_BOTTLES: Final = 16  # on the bench of one session
MOST_AT_ONCE: Final = 6  # bottles a nose smells side by side in one sitting; more are served in blocks
STRIPS_A_SITTING: Final = 12  # before a long rest (our proposal; common practice, no source)
FEWEST_CHANGES, MOST_CHANGES = 2, 6
FEWEST_BY_PERSON: Final = 6  # people: five signs cannot go below 2/32
# Combinations → the bottles of one sitting, and the sittings in which one nose smells each combination: every two
# combinations meet equally often over all classes of blocks (``serving.incomplete_blocks``).
BLOCKS: Final = {7: (3, 3), 8: (4, 2), 16: (4, 4)}

Effect = tuple[int, ...]  # places of one change, or of two together
By = Literal["person", "pairs"]


@dataclass(frozen=True, slots=True)
class Separation:
    """Which changes are separated, and which trial of the plan holds which.

    ``made``: for each trial of the plan, in their order, one digit a change, "1" where it is made: "011". Two trials of
    one spelling are two weighings of one combination, of which each nose smells one in a sitting. ``likely``: two-way
    effects held likely before sealing, as "cedar:fig". ``interactions``: two-way effects are tested too.
    """

    changes: tuple[str, ...]
    made: tuple[str, ...]
    likely: tuple[str, ...] = ()
    interactions: bool = False

    def __post_init__(self) -> None:
        _check_names(self.changes)
        _check_made(self)
        _check_likely(self)
        if self.interactions and not self.holds_two_way:
            raise ArgumentError(
                "two changes together can be tested only where these bottles tell every two-way effect from all main "
                "and other two-way effects: mix all combinations, or a finer fraction."
            )

    @property
    def combinations(self) -> tuple[str, ...]:
        """Each combination once, in the order of the trials."""
        return tuple(dict.fromkeys(self.made))

    @property
    def weighings(self) -> int:
        """Bottles of each combination."""
        return len(self.made) // len(self.combinations)

    @property
    def full(self) -> bool:
        """True where every combination is there."""
        return len(self.combinations) == 1 << len(self.changes)

    @property
    def one_at_a_time(self) -> bool:
        """True where no bottle holds two changes."""
        return not any(one.count("1") > 1 for one in self.made)

    @property
    def holds_two_way(self) -> bool:
        """True where no main or two-way effect is the alias of another, and bottles hold two changes at all."""
        return not self.one_at_a_time and next(self.aliases(2), None) is None

    @property
    def effects(self) -> tuple[str, ...]:
        """What is tested: each change, and every two together where that was sealed."""
        two = combinations(range(len(self.changes)), 2) if self.interactions else ()
        return tuple(self.name_of(one) for one in (*((at,) for at in range(len(self.changes))), *two))

    @property
    def strips_a_sitting(self) -> int:
        """Bottles one nose smells in a sitting."""
        return BLOCKS[len(self.combinations)][0] if self.in_blocks else len(self.combinations)

    @property
    def sittings_a_round(self) -> int:
        """Sittings in which one nose smells each combination."""
        return BLOCKS[len(self.combinations)][1] if self.in_blocks else 1

    @property
    def in_blocks(self) -> bool:
        """True where there are more combinations than are smelt side by side."""
        return len(self.combinations) > MOST_AT_ONCE

    def name_of(self, effect: Effect) -> str:
        """As tables have it: "cedar", "cedar:fig"."""
        return ":".join(self.changes[at] for at in effect)

    def aliases(self, most: int = 3) -> Iterator[tuple[str, ...]]:
        """Effects of up to ``most`` changes that these bottles cannot tell from one another, each group once.

        None where no bottle holds two changes: there two together are not seen at all.
        """
        if self.one_at_a_time:
            return
        mean = (1,) * len(self.combinations)
        for column, group in self._by_column(most).items():
            if len(group) > 1 and column != mean:
                yield tuple(map(self.name_of, group))

    def _by_column(self, most: int) -> dict[tuple[int, ...], list[Effect]]:
        """Effects by their column of signs over the combinations, its first sign turned to +."""
        signs = [tuple(1 if digit == "1" else -1 for digit in one) for one in self.combinations]
        found: dict[tuple[int, ...], list[Effect]] = {}
        for ways in range(1, most + 1):
            for effect in combinations(range(len(self.changes)), ways):
                column = [prod(row[at] for at in effect) for row in signs]
                found.setdefault(tuple(one * column[0] for one in column), []).append(effect)
        return found


def analysed_by(people: int) -> By:
    """Whose signs are turned: those of people, from six planned ones on, else those of pairs of bottles."""
    return "person" if people >= FEWEST_BY_PERSON else "pairs"


def _check_names(changes: Sequence[str]) -> None:
    if not FEWEST_CHANGES <= len(changes) <= MOST_CHANGES:
        raise ArgumentError(f"changes must be {FEWEST_CHANGES} to {MOST_CHANGES}, not {len(changes)}.")
    for name in changes:
        checks.text("change", name, 60)
        if ":" in name:
            raise ArgumentError(f"change must be named without a colon, not {name!r}.")
    if len({name.casefold() for name in changes}) < len(changes):
        raise ArgumentError("changes must be named once each.")


def _check_made(own: Separation) -> None:
    if not 0 < len(own.made) <= MOST_BOTTLES:
        raise ArgumentError(f"bottles that separate changes must be at most {MOST_BOTTLES}, not {len(own.made)}.")
    for one in own.made:
        if len(one) != len(own.changes) or set(one) - {"0", "1"}:
            raise ArgumentError(f"bottles must say of each change 0 or 1, such as {'0' * len(own.changes)}.")
    if len({own.made.count(one) for one in own.made}) > 1 or own.weighings > 2:
        raise ArgumentError("every combination must have one bottle, or every one two.")
    if "0" * len(own.changes) not in own.made:
        raise ArgumentError("the base, without any of the changes, must be among the bottles.")
    if len(own.combinations) > MOST_AT_ONCE and len(own.combinations) not in BLOCKS:
        raise ArgumentError(f"combinations must be at most {MOST_AT_ONCE}, or 7, 8 or 16, to be served evenly.")
    _check_told_apart(own)


def _check_told_apart(own: Separation) -> None:
    """Every single change beside the base, or every two changes in all four ways equally often."""
    if own.one_at_a_time and len(own.combinations) == len(own.changes) + 1:
        return
    for first, second in combinations(range(len(own.changes)), 2):
        ways = Counter(one[first] + one[second] for one in own.combinations)
        if len(ways) < 4 or len(set(ways.values())) > 1:
            raise ArgumentError(
                "bottles must tell every change from every other: the base and each change alone, all combinations, or "
                f"a regular fraction of them; they do not tell {own.changes[first]} from {own.changes[second]}."
            )


def _check_likely(own: Separation) -> None:
    """No main effect may share its column with a two-way effect that is held likely."""
    pairs = {own.name_of(two) for two in combinations(range(len(own.changes)), 2)}
    for one in own.likely:
        checks.choice("likely effect of two changes together", one, tuple(pairs))
    for group in own.aliases(2):
        mains, likely = [one for one in group if ":" not in one], [one for one in group if one in own.likely]
        if mains and likely:
            raise ArgumentError(
                f"these bottles cannot tell {mains[0]} from {together(likely[0])}, which you hold likely: mix all "
                "combinations, or another fraction, or do not tick it."
            )


def together(effect: str) -> str:
    """A two-way effect in words: "cedar and fig together"."""
    *front, last = effect.split(":")
    return f"{', '.join(front)} and {last} together" if front else last
