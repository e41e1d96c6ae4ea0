"""The rule of a sequential session: it takes the totals of its looks in order and gives one verdict with exact risks.

Beside ``verdicts``, with the same words, but never through them: once a session may have stopped early, the p-value and
the interval of a fixed number of assessments are not valid, so that no entry of that kind is made here at all.

* *noticed* where a look reaches the upper limit, *not noticed* where it falls to the lower one;
* lower tail first: so few right that guessing gives them with probability ≤ alpha means that something is the wrong
  way round. The session stops, undecided (taking a verdict away raises neither risk);
* several people with several answers each: the lower limit stops the session too, but undecided, as its risk is known
  for one answer per person or for one nose only;
* answers that were lost move the looks to come (``Total.to_come``), never those passed;
* wrong strips (alone: marks that are of no kind, ``marks``) are known only together with the score, by somebody who
  decides whether to go on. So they stay in their look, whose total and limits are the sealed ones, and the rule is
  followed twice: with all of them answered wrong, and with all of them answered right. *Noticed* is what the first way
  says, *not noticed* what the second says; the session is over once either has been said or both ways have ended.

Why that keeps both risks, whatever is called a wrong strip and why: the true count lies between the two ways at every
look. Where the lower way reaches the upper limit without having met the lower one, the true count has met it there or
before, and never the lower one: *noticed* so is *noticed* by the sealed rule, and no likelier than its alpha. The same
from above for *not noticed*. Limits recomputed for smaller totals would hold only if nobody ever called a mark
unreadable because of the answer (``tests/judging/test_sequences.py`` follows every way of calling them, against both).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final, Literal

from evaluation import statistics
from evaluation.judging import figures
from evaluation.judging.entries import (
    CHECK_THE_KEY,
    NO_ANSWERS,
    NOT_NOTICED,
    NOTICED,
    REVERSED,
    SEVERAL_ANSWERS,
    UNDECIDED,
)
from evaluation.judging.verdicts import speaks_for
from evaluation.kinds import Method, kind_of
from evaluation.sessions import Plan

if TYPE_CHECKING:
    from evaluation.statistics import SequentialPlan

CONTINUE: Final = "continue"
STOP_NOTICED: Final = "stop: noticed"
STOP_NOT_NOTICED: Final = "stop: not noticed"
STOP_UNDECIDED: Final = "stop: undecided"
END_UNDECIDED: Final = "end: undecided"
Outcome = Literal["continue", "stop: noticed", "stop: not noticed", "stop: undecided", "end: undecided"]

# Reasons of "undecided" that only a sequential session has
CLOSED_EARLY: Final = "closed early"

_VERDICT: Final = {STOP_NOTICED: NOTICED, STOP_NOT_NOTICED: NOT_NOTICED}


@dataclass(frozen=True, slots=True)
class Total:
    """What stood at one look: right answers of all looked at so far, and the totals still planned after it.

    ``wrong_strips`` of the assessments are of no kind, and none of ``correct``.
    """

    assessments: int
    correct: int
    to_come: tuple[int, ...]
    wrong_strips: int = 0


@dataclass(frozen=True, slots=True)
class Look:
    """One look that was taken, with the limits it was held against (None: that stop was not possible there)."""

    assessments: int
    correct: int
    lower: int | None
    upper: int | None
    outcome: Outcome
    wrong_strips: int = 0  # of the assessments, and none of ``correct``


@dataclass(frozen=True, slots=True)
class Rule:
    """What a plan seals about stopping; ``replicated``: several people, some with several answers."""

    method: Method
    alpha: float
    beta: float
    pd: float
    look_every: int
    planned: int
    replicated: bool


@dataclass(frozen=True, slots=True)
class SequentialEntry:
    """The verdict of a sequential session, with everything it rests on.

    ``assessments`` and ``correct`` stand at the newest look that was taken. ``alpha_exact`` is the probability of
    ending as noticed if everybody guesses, ``beta_exact`` of ending as not noticed if a share ``pd`` notices, both over
    the whole procedure; ``beta_exact`` and ``expected_at_pd`` are None where several people gave several answers.
    ``limits`` holds (assessments, lower, upper) of all looks, those not reached included. ``after`` counts answers that
    came in after the newest look, ``late`` those set apart only after their look, which therefore stay in. The p-value
    and the interval of a fixed number of assessments are withheld: they are not valid after stopping.
    """

    comparison: str
    method: Method
    age_minutes: float
    panelists: int
    assessments: int
    correct: int
    planned: int
    look_every: int
    looks: tuple[Look, ...]
    limits: tuple[tuple[int, int | None, int | None], ...]
    alpha: float
    beta: float
    pd: float
    alpha_exact: float
    beta_exact: float | None
    expected_at_null: float
    expected_at_pd: float | None
    after: int
    late: int
    verdict: str
    reason: str  # "" or one of REVERSED, CHECK_THE_KEY, SEVERAL_ANSWERS, CLOSED_EARLY, NO_ANSWERS
    speaks_for: str
    settle: int | None  # assessments of a fresh session judged once, where undecided
    wrong_strips: int = 0  # of ``assessments``: answered wrong towards *noticed*, answered right towards *not noticed*


@dataclass(frozen=True, slots=True)
class About:
    """What else an entry says of a session: whom it asked, and the answers that stand outside its looks."""

    comparison: str
    age_minutes: float
    panelists: int
    after: int = 0
    late: int = 0


def rule_of(plan: Plan) -> Rule:
    """The stopping rule a plan seals."""
    risks = (float(plan.alpha), float(plan.beta), float(plan.pd))
    replicated = plan.replicates > 1 and plan.people > 1
    return Rule(plan.method, *risks, plan.look_every, plan.assessments, replicated)


def planned_looks(rule: Rule, after: int = 0) -> tuple[int, ...]:
    """Totals still to look at after so many: every ``look_every`` from there, and all that were planned."""
    steps = tuple(range(after + rule.look_every, rule.planned, rule.look_every))
    return (*steps, rule.planned) if after < rule.planned else ()


def follow(totals: Iterable[Total], rule: Rule) -> tuple[Look, ...]:
    """The looks in turn, up to the first that stops."""
    taken: list[Look] = []
    going = _Going()
    for total in totals:
        look, going = _look(total, _passed(taken), rule, going)
        taken.append(look)
        if look.outcome != CONTINUE:
            break
    return tuple(taken)


@dataclass(frozen=True, slots=True)
class _Going:
    """Which way of counting wrong strips has met no limit yet; without such sets both are one."""

    as_wrong: bool = True
    as_right: bool = True


def _passed(looks: Iterable[Look]) -> tuple[int, ...]:
    return tuple(look.assessments for look in looks)


def _look(total: Total, passed: tuple[int, ...], rule: Rule, going: _Going) -> tuple[Look, _Going]:
    """One look, by the plan as it stands then: what was looked at, this, and what is still to come."""
    plan = _plan(rule, (*passed, total.assessments, *total.to_come))
    most = total.correct + total.wrong_strips
    low = plan.says(total.correct, total.assessments) if going.as_wrong else ""
    high = plan.says(most, total.assessments) if going.as_right else ""
    limits = plan.lower(total.assessments), plan.upper(total.assessments)
    told = _outcome(low, high, most, total, rule)
    look = Look(total.assessments, total.correct, *limits, told, total.wrong_strips)
    return look, _Going(low == CONTINUE, high == CONTINUE)


def _outcome(low: str, high: str, most: int, total: Total, rule: Rule) -> Outcome:
    """``low``, ``high``: what the plan says with wrong strips answered wrong, and right; "" where that way is over."""
    if low == NOTICED:
        return STOP_NOTICED
    if high == NOT_NOTICED and not rule.replicated and not _turned(most, total.assessments, rule):
        return STOP_NOT_NOTICED
    if CONTINUE in (low, high):
        return CONTINUE
    return STOP_UNDECIDED if total.to_come else END_UNDECIDED


def _turned(correct: int, assessments: int, rule: Rule) -> bool:
    return assessments > 0 and figures.turned(correct, assessments, rule.method, rule.alpha)


def _plan(rule: Rule, totals: tuple[int, ...]) -> SequentialPlan:
    """The sequential plan for these looks; a last look taken once more, as the end, is one look."""
    return _rebuilt(rule.method, rule.alpha, rule.beta, rule.pd, tuple(dict.fromkeys(totals)))


@lru_cache(256)
def _rebuilt(method: Method, alpha: float, beta: float, pd: float, totals: tuple[int, ...]) -> SequentialPlan:
    return statistics.sequential_plan(method, alpha, beta, pd, looks=totals)


def entry_of(totals: Iterable[Total], rule: Rule, about: About) -> SequentialEntry:
    """The verdict of a session that is over."""
    given = tuple(totals)
    looks = follow(given, rule)
    last = looks[-1] if looks else Look(0, 0, None, None, CONTINUE)
    coming = given[len(looks) - 1].to_come if looks else planned_looks(rule)
    plan = _plan(rule, (*_passed(looks), *coming))
    verdict = _VERDICT.get(last.outcome, UNDECIDED)
    undecided = verdict == UNDECIDED
    return SequentialEntry(
        comparison=about.comparison,
        method=rule.method,
        age_minutes=about.age_minutes,
        panelists=about.panelists,
        assessments=last.assessments,
        correct=last.correct,
        planned=rule.planned,
        look_every=rule.look_every,
        looks=looks,
        limits=_limits(looks, plan),
        alpha=rule.alpha,
        beta=rule.beta,
        pd=rule.pd,
        alpha_exact=plan.alpha_exact,
        beta_exact=None if rule.replicated else plan.beta_exact,
        expected_at_null=plan.expected_at_null,
        expected_at_pd=None if rule.replicated else plan.expected_at_pd,
        after=about.after,
        late=about.late,
        verdict=verdict,
        reason=_reason(last, plan, rule) if undecided else "",
        speaks_for=speaks_for(about.panelists, rule.replicated),
        settle=figures.settle(rule.method, rule.alpha, rule.beta, rule.pd) if undecided else None,
        wrong_strips=last.wrong_strips,
    )


def _limits(looks: tuple[Look, ...], plan: SequentialPlan) -> tuple[tuple[int, int | None, int | None], ...]:
    """Limits of looks passed as they were held against, of the others as the plan has them now."""
    held = {look.assessments: (look.assessments, look.lower, look.upper) for look in looks}
    return tuple(held.get(limit[0], limit) for limit in plan.limits())


def _reason(last: Look, plan: SequentialPlan, rule: Rule) -> str:
    if not last.assessments:
        return NO_ANSWERS
    if _turned(last.correct + last.wrong_strips, last.assessments, rule):
        return REVERSED if kind_of(rule.method).directed else CHECK_THE_KEY
    if last.outcome == CONTINUE:
        return CLOSED_EARLY
    lower = plan.lower(last.assessments)
    return SEVERAL_ANSWERS if rule.replicated and lower is not None and last.correct <= lower else ""
