"""What the rule gives back: verdict words, reasons and notes, the rules it was asked under, one entry per question."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any, Final

from evaluation.counting.tallies import check_age
from evaluation.ground import checks
from evaluation.kinds import Method
from evaluation.kinds.two_trials import check_weights
from evaluation.sessions import TIES_RULES, Plan

NOTICED: Final = "noticed"
NOT_NOTICED: Final = "not noticed"
NOTICED_BUT_SMALL: Final = "noticed, but small"
UNDECIDED: Final = "undecided"
VERDICTS: Final = (NOTICED, NOT_NOTICED, NOTICED_BUT_SMALL, UNDECIDED)

FIRST_PREFERRED: Final = "first preferred"
SECOND_PREFERRED: Final = "second preferred"
NO_PREFERENCE_SHOWN: Final = "no preference shown"
NO_WORD: Final = ""  # an exploratory age: a number, no verdict
PREFERENCES: Final = (FIRST_PREFERRED, SECOND_PREFERRED, NO_PREFERENCE_SHOWN)

# Reasons of "undecided"
REVERSED: Final = "reversed"
CHECK_THE_KEY: Final = "check the key"
NO_ANSWERS: Final = "no answers"

# Notes: what else must be said
BELOW_GUESSING: Final = "limit below guessing"
OUT_OF_REACH: Final = "alpha out of reach"
SEVERAL_ANSWERS: Final = "several answers per person"
EXPLORATORY: Final = "exploratory"
POOLED: Final = "answers of one person"
OF_A_SERIES: Final = "of a series"

THIS_NOSE: Final = "this nose"
THIS_PANEL: Final = "this panel"
PEOPLE_LIKE_THIS: Final = "people like this panel"
PEOPLE_NEEDED: Final = 12  # our rule: fewer people do not stand for others


@dataclass(frozen=True, slots=True)
class Rules:
    """The sealed risks and rules; ``primary_age`` in minutes, ``"overall"``, or None: no age is primary."""

    alpha: float = 0.05
    beta: float = 0.05
    pd: float = 0.30
    primary_age: float | str | None = None
    ties: str = "drop"
    weights: tuple[int, ...] = ()  # of guess, unsure, fairly sure and sure in *noticed*; (): by count

    def __post_init__(self) -> None:
        for name in ("alpha", "beta", "pd"):
            checks.risk(name, getattr(self, name))
        checks.choice("ties", self.ties, TIES_RULES)
        if self.primary_age is not None:
            check_age("primary_age", self.primary_age)
        if self.weights:
            check_weights(self.weights)


def rules_of(plan: Plan) -> Rules:
    """The rules a plan seals."""
    primary = plan.primary / 60 if isinstance(plan.primary, int) else plan.primary
    return Rules(float(plan.alpha), float(plan.beta), float(plan.pd), primary, plan.ties_rule, plan.sureness_weights)


@dataclass(frozen=True, slots=True)
class Weighed:
    """Answers weighed by the sureness said with them, as was sealed: *noticed* where ``right`` is at least ``needed``.

    ``said``: (answers, right) for each word, guess first, blanks among them. ``needed``: least weight of right answers
    that reaches alpha_used given these words; None where even all right is not enough.
    """

    weights: tuple[int, ...]
    said: tuple[tuple[int, int], ...]
    right: int
    total: int
    needed: int | None
    p_value: float


@dataclass(frozen=True, slots=True)
class Entry:
    """The verdict on one forced-choice comparison at one strip age, with everything it rests on.

    ``alpha_used`` is the level the raw ``p_value`` was compared with: alpha itself, or the step of Holm's procedure,
    alpha / (m - rank + 1); from the first failing step on the procedure compares no further and that step's level
    stands, so that everywhere *noticed* means ``correct >= minimum_correct``. ``p_family`` is to be compared with
    alpha. The two-sided exact limits have level 1 - 2 alpha: their lower end leaves zero as the test at alpha does.
    Where one of several people answered more than once, ``own`` holds each one's (correct, assessments), the limits
    are of the share of such sets this panel notices, and ``spread.spread_of`` says how the people differ.
    An age that is not ``confirmatory`` has the verdict "": a number and no word, *not noticed* excepted.

    With ``weighed`` *noticed* is judged by weight, and ``p_family`` and ``alpha_used`` are those of the weighed p;
    ``p_value``, ``minimum_correct`` and every limit stay those of the count, which then decides nothing about it.
    """

    comparison: str
    method: Method
    age_minutes: float | str
    panelists: int
    assessments: int
    correct: int
    p_value: float
    p_family: float
    alpha: float
    alpha_used: float
    beta: float
    pd: float
    primary_age: float | str | None
    ties: str
    primary: bool
    confirmatory: bool
    minimum_correct: int | None
    maximum_correct: int | None
    proportion_correct: float | None
    discriminators: float | None
    discriminators_low: float | None
    discriminators_high: float | None
    d_prime: float | None
    d_prime_low: float | None
    d_prime_high: float | None
    level: float
    upper_limit: float | None
    verdict: str
    reason: str
    stand_out: int | None
    own: tuple[tuple[int, int], ...]
    speaks_for: str
    settle: int | None
    notes: tuple[str, ...]
    weighed: Weighed | None = field(default=None, metadata={"later": True})


@dataclass(frozen=True, slots=True)
class PreferenceEntry:
    """The verdict on one preference at one strip age: votes are people's, one each, unless there is one nose only.

    ``minimum_correct`` is the fewest votes for one trial that reach ``alpha_used``; every entry carries that name.
    An age that is not ``confirmatory`` has the verdict "": a number and no word.
    """

    comparison: str
    method: Method
    age_minutes: float | str
    panelists: int
    assessments: int
    first: int
    second: int
    none: int
    first_answers: int
    second_answers: int
    none_answers: int
    votes: int
    p_value: float
    p_family: float
    alpha: float
    alpha_used: float
    beta: float
    pd: float
    primary_age: float | str | None
    ties: str
    primary: bool
    confirmatory: bool
    minimum_correct: int | None
    share_first: float | None
    share_low: float | None
    share_high: float | None
    level: float
    verdict: str
    speaks_for: str
    settle: int | None
    notes: tuple[str, ...]


AnyEntry = Entry | PreferenceEntry


def of_a_series(entry: AnyEntry) -> AnyEntry:
    """The numbers of a sitting without a word: the series it was sealed for speaks, not the sitting by itself."""
    common: dict[str, Any] = {"verdict": NO_WORD, "confirmatory": False, "settle": None, "notes": (OF_A_SERIES,)}
    if isinstance(entry, PreferenceEntry):
        return replace(entry, **common)
    return replace(entry, **common, reason="", stand_out=None)
