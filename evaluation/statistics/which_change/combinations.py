"""Which bottles tell several changes apart? Designs in which each change is made or not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations, product
from types import MappingProxyType
from typing import Final

import numpy as np
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import whole
from evaluation.statistics.laws.inputs import Ints

FEWEST, MOST = 2, 6  # changes
LONGEST_EFFECT: Final = 3  # three-way: of longer ones nobody speaks
FROM_CHANGES: Final = MappingProxyType({1: 2, 2: 3, 4: 5})  # fraction → fewest changes it is offered for

# (changes, fraction) → words: the changes of each are made in an even number of every bottle, so that the base is one.
# Half: the one word of all changes. Quarter: D = AB, E = AC; and E = ABC, F = BCD (Box, Hunter & Hunter 2005,
# Statistics for Experimenters, ch. 6, table of fractions; from memory).
_QUARTERS: Final = MappingProxyType({5: ((0, 1, 3), (0, 2, 4)), 6: ((0, 1, 2, 4), (1, 2, 3, 5))})


@dataclass(frozen=True, slots=True, eq=False)
class Factorial:
    """What :func:`factorial` found; the first two fields echo its arguments.

    Attributes
    ----------
    runs : frame, one row a bottle, one column a change, 1 where it is made; the base, all 0, comes first.
    aliases : effects up to three-way that these bottles cannot tell from one another, each group once; none of a full
    design.
    """

    changes: tuple[str, ...]
    fraction: int
    runs: pd.DataFrame
    aliases: tuple[tuple[str, ...], ...]


def factorial(changes: Sequence[str], fraction: int = 1) -> Factorial:
    """Which bottles tell these changes apart?

    Parameters
    ----------
    changes : 2 to 6 names, none twice, none with a colon
    fraction : {1, 2, 4}
        All combinations, every second, every fourth: 2 from three changes on, 4 from five on.

    Returns
    -------
    Factorial

    Raises
    ------
    ArgumentError, KindError
        Fewer or more changes, a name twice, empty or with a colon; a fraction that is not offered for so few.

    Notes
    -----
    An effect is the column of products of −1 and +1. Effects whose columns agree up to sign share one estimate: which
    of them it is, these bottles do not tell. What agrees with the mean is left out, as no bottle tells it at all. The
    half is the one of highest resolution; of quarters those with main effects free of one another, of six changes also
    free of two-way effects.

    It does not promise that a panel can smell so many bottles, nor that an effect is there. One bottle of each
    combination leaves the error of weighing inside the effect.

    References
    ----------
    Box, Hunter & Hunter 2005, Statistics for Experimenters, chapters 5 and 6 (from memory).

    Examples
    --------
    >>> found = factorial(["cedar", "fig", "salt"], fraction=2)
    >>> found.runs.to_numpy().tolist()
    [[0, 0, 0], [1, 1, 0], [1, 0, 1], [0, 1, 1]]
    >>> found.aliases
    (('cedar', 'fig:salt'), ('fig', 'cedar:salt'), ('salt', 'cedar:fig'))
    """
    names = names_of(changes)
    part = _fraction(fraction, len(names))
    made = np.array([row for row in _all(len(names)) if _held(row, _words(len(names), part))], dtype=np.int64)
    return Factorial(names, part, pd.DataFrame(made, columns=list(names)), tuple(_aliases(names, made)))


# --- arguments --------------------------------------------------------------------------------------------------------


def names_of(changes: Sequence[str]) -> tuple[str, ...]:
    """The checked names of changes: 2 to 6, none twice, none with a colon."""
    if isinstance(changes, str) or not isinstance(changes, Iterable):
        raise KindError(f"changes must be a list of {FEWEST} to {MOST} names, not {changes!r}.")
    names = tuple(changes)
    if not FEWEST <= len(names) <= MOST:
        raise ArgumentError(f"changes must be {FEWEST} to {MOST} names, not {len(names)}.")
    for name in names:
        if not isinstance(name, str):
            raise KindError(f"changes must be names, not {name!r}.")
        if not name.strip() or ":" in name:
            raise ArgumentError(f"changes must be names with a letter and without a colon, not {name!r}.")
    if len(set(names)) < len(names):
        raise ArgumentError(f"changes must be named once each, not {list(names)!r}.")
    return names


def _fraction(fraction: int, number: int) -> int:
    part = whole("fraction", fraction)
    if part not in FROM_CHANGES:
        raise ArgumentError(f"fraction must be 1, 2 or 4, not {part}.")
    if number < FROM_CHANGES[part]:
        offered = [str(one) for one, least in FROM_CHANGES.items() if number >= least]
        raise ArgumentError(
            f"fraction must be {' or '.join(offered)} for {number} changes, not {part}: 2 is offered from 3 changes "
            "on, 4 from 5 on."
        )
    return part


# --- bottles ----------------------------------------------------------------------------------------------------------


def _all(number: int) -> Iterator[tuple[int, ...]]:
    """Every combination, the first change in turn the fastest: Yates' order."""
    return (row[::-1] for row in product((0, 1), repeat=number))


def _words(number: int, part: int) -> tuple[tuple[int, ...], ...]:
    if part == 1:
        return ()
    return (tuple(range(number)),) if part == 2 else _QUARTERS[number]


def _held(row: Sequence[int], words: Iterable[Sequence[int]]) -> bool:
    return all(sum(row[place] for place in word) % 2 == 0 for word in words)


def _aliases(names: Sequence[str], made: Ints) -> Iterator[tuple[str, ...]]:
    """Effects by their column, its first sign turned to +; those alone with theirs are aliased with none."""
    signs = 2 * made - 1
    groups: dict[tuple[int, ...], list[str]] = {}
    for ways in range(1, LONGEST_EFFECT + 1):
        for places in combinations(range(len(names)), ways):
            column = signs[:, list(places)].prod(axis=1)
            key = tuple((column * column[0]).tolist())
            groups.setdefault(key, []).append(":".join(names[place] for place in places))
    mean = (1,) * len(made)
    return (tuple(effects) for column, effects in groups.items() if column != mean and len(effects) > 1)
