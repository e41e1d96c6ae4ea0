"""What is gained before anybody smells if surer answers count for more, and where that is offered at all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from evaluation import statistics
from evaluation.kinds import Method
from evaluation.statistics.forced_choice.weighing import MOST_FORESEEN, weighing

USUAL: Final = (2, 3, 4, 5)  # of guess, unsure, fairly sure and sure
# Only where the count attains less than this, and less than so much of its level: elsewhere there is little to gain
# (the second is ours, so that a small alpha is not taken for coarse steps).
COARSE: Final = 0.03
COARSE_SHARE: Final = 0.6
# How people use the four words: 2,720 odour triangles of 61 people (Ravia et al. 2020, Nature 588, 118, supplementary
# table 3), confidence cut at .25, .5 and .75: how often each word was said, and how often it was right then. Worked out
# again by tests/statistics/test_weighing.py where the data are at hand.
SAID: Final = (0.117, 0.168, 0.282, 0.434)
RIGHT: Final = (0.404, 0.376, 0.497, 0.664)


@dataclass(frozen=True, slots=True)
class ByWeight:
    """What *noticed* by weight is worth beside *noticed* by count, for ``pd`` who notice.

    ``true_alpha`` with the words said as often as in open data; ``says_nothing`` is the power where sureness tells
    nothing about being right, ``as_in_data`` where whoever notices speaks as those did who were right there, and
    whoever guesses as everybody did. ``fewest_right``: fewest right answers with which it can be reached at all.
    """

    weights: tuple[int, ...]
    assessments: int
    pd: float
    true_alpha: float
    by_count: float
    says_nothing: float
    as_in_data: float
    fewest_right: int | None


def is_coarse(assessments: int, method: Method, level: float) -> bool:
    """Whether the count's steps leave so much of its level unused that weighing is offered."""
    if not 1 <= assessments <= MOST_FORESEEN:
        return False
    return 0.0 < statistics.actual_alpha(assessments, method, level) < min(COARSE, COARSE_SHARE * level)


@lru_cache(256)
def by_weight(assessments: int, method: Method, level: float, pd: float, weights: tuple[int, ...]) -> ByWeight:
    """Power by count and by weight; at most 40 answers."""
    found = weighing(assessments, method, level, weights)
    guessing = statistics.chance(method)
    said, right = spoken(pd, guessing)
    everybody = _shares(SAID)
    return ByWeight(
        weights=weights,
        assessments=assessments,
        pd=pd,
        true_alpha=found.reached(everybody, [guessing] * len(SAID)),
        by_count=statistics.power(assessments, method, level, pd),
        says_nothing=found.reached(everybody, [guessing + pd * (1.0 - guessing)] * len(SAID)),
        as_in_data=found.reached(said, right),
        fewest_right=found.fewest_right,
    )


def spoken(pd: float, guessing: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """How often each word is said, and right then, where a share ``pd`` notices.

    Who notices speaks as those did who were right in the data (lucky guesses among them: so it tells less than it
    might), who guesses as everybody did there.
    """
    noticing = _shares([often * hit for often, hit in zip(SAID, RIGHT, strict=True)])
    parts = [(pd * one, (1.0 - pd) * other) for one, other in zip(noticing, _shares(SAID), strict=True)]
    said = tuple(one + other for one, other in parts)
    return said, tuple((one + other * guessing) / (one + other) for one, other in parts)


def _shares(often: tuple[float, ...] | list[float]) -> tuple[float, ...]:
    return tuple(one / sum(often) for one in often)
