"""Several answers per person: how the people differ, and what may be said of people like them.

The verdict word of an entry speaks for this panel. Here stands what else the same answers say: the beta-binomial of
people, who may be expected to be right how often, and a second word of people who were not there. That one needs 12
panelists (our rule) and comes from limits that hold for any distribution of people (``statistics.people_limits``).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from evaluation import statistics
from evaluation.judging.entries import CHECK_THE_KEY, PEOPLE_NEEDED, REVERSED, UNDECIDED, Entry
from evaluation.judging.verdicts import allowed, word
from evaluation.kinds import Method

MOST_ANSWERS = 1000  # of one person; more than any nose gives, and what the statistics take

Own = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Spread:
    """How the people of one entry differ; shares of right answers from 0 to 1, in the order of ``entry.own``.

    Limits of ``mu`` (mean over people) and ``gamma`` (0: all alike, 1: each always or never) have ``level``; gamma and
    ``overdispersion_p`` are None where these answers cannot tell. ``expected`` is what to expect of each person next,
    ``standing`` who stands out by their own answers. ``people_low`` and ``people_high`` are one-sided limits, at
    alpha_used and beta, of the mean share of such sets that people like this panel notice; None, with
    ``people_verdict`` "", where ``people_missing`` more people would be needed. An exploratory age has no word of
    people either, *not noticed* excepted.
    """

    mu: float
    mu_low: float
    mu_high: float
    gamma: float | None
    gamma_low: float
    gamma_high: float
    level: float
    overdispersion_p: float | None
    expected: tuple[float | None, ...]
    standing: tuple[bool, ...]
    people_missing: int
    people_maximum: int | None
    people_low: float | None
    people_high: float | None
    people_verdict: str


def spread_of(entry: Entry) -> Spread | None:
    """How the people differ; None where each answered once, or one of them beyond all measure often."""
    if not entry.own or max(asked for _, asked in entry.own) > MOST_ANSWERS:
        return None
    turned = entry.reason in (REVERSED, CHECK_THE_KEY)
    risks = (entry.alpha, entry.alpha_used, entry.beta, entry.pd)
    alike = tuple(sorted(entry.own))  # who is asked first must not change a last digit
    found = _spread(alike, entry.method, *risks, entry.level, turned)
    expected, standing = dict(zip(alike, found.expected, strict=True)), dict(zip(alike, found.standing, strict=True))
    return replace(
        found,
        people_verdict=allowed(found.people_verdict, entry.confirmatory),
        expected=tuple(expected[pair] for pair in entry.own),
        standing=tuple(standing[pair] for pair in entry.own),
    )


@lru_cache(4096)
def _spread(
    own: Own, method: Method, alpha: float, alpha_used: float, beta: float, pd: float, level: float, turned: bool
) -> Spread:
    right, asked = ([pair[i] for pair in own] for i in (0, 1))
    found = statistics.replicated_difference(right, asked, method, alpha=alpha)
    mu, gamma = found.interval(level), found.interval(level, of="gamma")
    people = _people(own, method, alpha_used, beta, pd, turned)
    return Spread(
        mu=found.mu,
        mu_low=mu.low,
        mu_high=mu.high,
        gamma=found.gamma,
        gamma_low=gamma.low,
        gamma_high=gamma.high,
        level=level,
        overdispersion_p=None if found.between is None else found.between.p_value,
        expected=tuple(one.shrunken for one in found.panelists),
        standing=tuple(one.stands_out for one in found.panelists),
        people_missing=people_missing(len(own)),
        people_maximum=people.maximum,
        people_low=people.low,
        people_high=people.high,
        people_verdict=people.verdict,
    )


def people_missing(panelists: int) -> int:
    """How many panelists short of speaking for people like them."""
    return max(0, PEOPLE_NEEDED - panelists)


@dataclass(frozen=True, slots=True)
class _People:
    """What may be said of people like this panel; nothing by default."""

    maximum: int | None = None
    low: float | None = None
    high: float | None = None
    verdict: str = ""


def _people(own: Own, method: Method, alpha: float, beta: float, pd: float, turned: bool) -> _People:
    """Noticed: the lower limit of what people notice leaves 0. Small: as the limit for people has it."""
    if people_missing(len(own)):
        return _People()
    right, asked = ([pair[i] for pair in own] for i in (0, 1))
    limits = statistics.people_limits(right, asked, method, pd, alpha, beta)
    least = 0 if limits.lower_limit > 0.0 else None
    verdict = UNDECIDED if turned else word(sum(right), least, limits.maximum_correct, turned)
    return _People(limits.maximum_correct, limits.lower_limit, limits.upper_limit, verdict)
