"""The methods of forced choice between two trials: how each is laid out, what is asked, what is right.

One method is a row here, a row of ``statistics/forced_choice/methods.py`` (its guessing, its d-prime), and its words.
"""

from __future__ import annotations

from itertools import permutations
from types import MappingProxyType
from typing import Final

from evaluation.kinds.facts import Codes, Forced, Kind, Method, methods
from evaluation.kinds.two_trials import ForcedChoice

FORCED_CHOICE: Final = "forced choice"
WAYS_TO_PAIR: Final = ((0, 1, 2, 3), (0, 2, 1, 3), (0, 3, 1, 2))


def orders(*compositions: str) -> tuple[str, ...]:
    """All distinct orders of strips that hold, say, "AAB" or "ABB"."""
    return tuple(sorted({"".join(order) for one in compositions for order in permutations(one)}))


# --- what may be chosen -----------------------------------------------------------------------------------------------


def each(codes: Codes) -> tuple[str, ...]:
    """Any of the codes."""
    return tuple(codes)


def after_the_first(codes: Codes) -> tuple[str, ...]:
    """Any but the reference, which lies first."""
    return tuple(codes[1:])


def two_pairs(c: Codes) -> tuple[str, ...]:
    """The three ways to sort four codes into pairs."""
    return tuple(f"{c[i]}+{c[j]}|{c[k]}+{c[m]}" for i, j, k, m in WAYS_TO_PAIR)


# --- what is right ----------------------------------------------------------------------------------------------------


def odd(order: str, codes: Codes, expected: str) -> str:
    """The code of the trial that is there once."""
    return codes[order.index("A" if order.count("A") == 1 else "B")]


def match(order: str, codes: Codes, expected: str) -> str:
    """The code of the same trial as the reference."""
    return codes[order.index(order[0], 1)]


def stronger(order: str, codes: Codes, expected: str) -> str:
    """The code of the trial expected to show more."""
    return codes[order.index("A" if expected == "first" else "B")]


def pairs(order: str, codes: Codes, expected: str) -> str:
    """Both pairs, as a way to pair is written."""
    one = [code for code, trial in zip(codes, order, strict=True) if trial == order[0]]
    other = [code for code, trial in zip(codes, order, strict=True) if trial != order[0]]
    return f"{'+'.join(one)}|{'+'.join(other)}"


def fewer(order: str, codes: Codes, expected: str) -> str:
    """The two codes of the trial that is there twice."""
    few = "A" if order.count("A") == 2 else "B"
    return "+".join(code for code, trial in zip(codes, order, strict=True) if trial == few)


# --- the methods ------------------------------------------------------------------------------------------------------

# All distinct trays of each method, equally likely. Triangle: ABB BAB BBA AAB ABA BAA (J. Soc. Cosmet. Chem. 22, 1971;
# ISO 4120). Duo-trio: either trial as the reference, four orders (from memory, ISO 10399). 3-AFC: the trial expected to
# be stronger once.
METHODS: Final = (
    Kind(
        method="triangle",
        family=FORCED_CHOICE,
        design=ForcedChoice,
        strips=3,
        trays=MappingProxyType({"": orders("AAB", "ABB")}),
        forced=Forced(offers=each, right=odd, alone=True, mixed=True),
    ),
    Kind(
        method="duo-trio",
        family=FORCED_CHOICE,
        design=ForcedChoice,
        strips=3,
        trays=MappingProxyType({"": tuple(reference + pair for reference in "AB" for pair in ("AB", "BA"))}),
        forced=Forced(offers=after_the_first, right=match, reference=True),
    ),
    Kind(
        method="tetrad",
        family=FORCED_CHOICE,
        design=ForcedChoice,
        strips=4,
        trays=MappingProxyType({"": orders("AABB")}),
        forced=Forced(offers=two_pairs, right=pairs, alone=True, sorts=True),
    ),
    Kind(
        method="2-afc",
        family=FORCED_CHOICE,
        design=ForcedChoice,
        strips=2,
        trays=MappingProxyType({"": orders("AB")}),
        forced=Forced(offers=each, right=stronger, directed=True, alone=True),
    ),
    Kind(
        method="3-afc",
        family=FORCED_CHOICE,
        design=ForcedChoice,
        strips=3,
        trays=MappingProxyType({"first": orders("ABB"), "second": orders("AAB")}),
        forced=Forced(offers=each, right=stronger, directed=True, alone=True),
    ),
    Kind(
        method="two-out-of-five",
        family=FORCED_CHOICE,
        design=ForcedChoice,
        strips=5,
        trays=MappingProxyType({"": orders("AAABB", "AABBB")}),
        forced=Forced(offers=each, right=fewer, pick=2, mixed=True, distance=False),
    ),
)

# Methods with a d-prime, as they are listed, and as they are offered: the strongest first.
_LISTED: Final[tuple[Method, ...]] = ("triangle", "tetrad", "3-afc", "2-afc", "duo-trio")
_OFFERED: Final[tuple[Method, ...]] = ("2-afc", "tetrad", "3-afc", "triangle", "duo-trio")


def compared() -> tuple[Method, ...]:
    """Methods that can be held against one another at an equal d-prime, as they are listed."""
    return _with_others(_LISTED)


def offered() -> tuple[Method, ...]:
    """The same as they are offered, the strongest first."""
    return _with_others(_OFFERED)


def _with_others(first: tuple[Method, ...]) -> tuple[Method, ...]:
    return (*first, *methods(lambda kind: kind.distance and kind.method not in first))
