"""The methods of the house by what their records say, for tests that try each of them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from evaluation.kinds import kinds

ALL_METHODS: Final = tuple(kind.method for kind in kinds())
FORCED_CHOICE: Final = tuple(kind.method for kind in kinds() if kind.judged)
METHODS: Final = tuple(kind.method for kind in kinds() if not kind.several)  # two trials, a verdict in words
SEVERAL: Final[Mapping[str, tuple[int, int]]] = MappingProxyType(
    {kind.method: kind.trials for kind in kinds() if kind.several}  # fewest and most trials
)
DIRECTED: Final = frozenset(kind.method for kind in kinds() if kind.directed)
STRIPS: Final[Mapping[str, int]] = MappingProxyType(
    {kind.method: kind.strips or 0 for kind in kinds() if not kind.several}
)
SIZED: Final = tuple(kind.method for kind in kinds() if kind.distance)
SOLO_METHODS: Final = tuple(kind.method for kind in kinds() if kind.alone)
