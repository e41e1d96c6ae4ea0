"""What a plan can and cannot find, worked out before anybody smells."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from evaluation import statistics
from evaluation.ground import checks
from evaluation.judging import figures
from evaluation.judging.entries import (
    BELOW_GUESSING,
    FIRST_PREFERRED,
    NO_PREFERENCE_SHOWN,
    NOT_NOTICED,
    NOTICED,
    NOTICED_BUT_SMALL,
    OUT_OF_REACH,
    PREFERENCES,
    SECOND_PREFERRED,
    UNDECIDED,
    VERDICTS,
)
from evaluation.judging.verdicts import speaks_for, word
from evaluation.kinds import Kind, Method, forced_choice, kind_of, kinds, strips_of
from evaluation.planning.null_sets import Nulls, null_outlook
from evaluation.planning.weights import ByWeight, by_weight
from evaluation.sessions import MOST_NULL_SETS, MOST_REPLICATES, STRIP, Media, Plan

# Reasons, besides those of a verdict
NOTHING_CAN_BE_CONCLUDED: Final = "nothing can be concluded"
FEW_ASSESSMENTS: Final = "few assessments"
REST_NEEDED: Final = "rest needed"
LOOKS_OF_SEVERAL: Final = "looks at several answers per person"

FEW: Final = 12  # under this many assessments the better design is shown (our rule)
# A long break after 4 sets or 12 strips: our proposal, common practice, no source.
SETS_A_SITTING: Final = 4
STRIPS_A_SITTING: Final = 12
PREFERENCE_PANELS: Final = (6, 8, 10, 12)  # panels whose needed votes are told


def sets_a_sitting(method: Method) -> int:
    """Sets to smell before a long rest: four, or fewer where these would be more than twelve strips."""
    return min(SETS_A_SITTING, STRIPS_A_SITTING // strips_of(method))


def sittings(method: Method, sets_per_nose: int) -> int:
    """Sittings, each before a long rest or on another day, that so many sets take."""
    return math.ceil(sets_per_nose / sets_a_sitting(method))


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another way to spend the evening; ``power`` is for the same difference, that is the same d-prime."""

    kind: str  # "method", "one age", "replicates" or "people"
    method: Method
    people: int
    replicates: int
    ages: int
    minimum_correct: int | None
    power: float
    sets_per_nose: int
    strips_per_nose: int
    speaks_for: str


@dataclass(frozen=True, slots=True)
class Looks:
    """When a sequential session may stop, and its exact risks for looking at just these totals.

    ``first_noticed`` and ``first_not_noticed`` are the earliest stops, (assessments, correct); None where there is
    none. Several answers of several people never stop as *not noticed*, nor does a count that guessing hardly explains
    (``verdicts``, lower tail first): at the lower line these end as undecided.
    """

    every: int
    most: int
    first_noticed: tuple[int, int] | None
    first_not_noticed: tuple[int, int] | None
    alpha_exact: float
    beta_exact: float
    expected_guessing: float
    expected_pd: float
    undecided: float  # probability of no verdict if a share pd notices


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a plan can find. ``alpha_used`` is the strictest level of the plan's family of ages.

    ``power`` is that of one age by itself. Where several ages are corrected over all, ``power_at_every`` is that of
    each if all of them have the change, answers at different ages taken as independent; else None.
    In a sequential session (``looks``) ``true_alpha`` and ``power`` are those of the whole procedure, and
    ``minimum_correct`` is the fewest that stop it as noticed at its last look.

    For preferences counts are people, ``power`` is for ``pd`` who prefer one trial while the others toss a coin, and
    ``needed`` lists (people, fewest votes) of usual panels.

    ``by_weight``: where *noticed* is judged by weight; every other number stays that of the count.
    """

    method: Method
    people: int
    replicates: int
    ages: int
    alpha: float
    beta: float
    pd: float
    primary: bool
    solo: bool
    look_every: int
    null_sets: int
    alpha_used: float
    assessments: int
    minimum_correct: int | None
    maximum_correct: int | None
    true_alpha: float
    power: float
    panel_size_first: int | None
    panel_size_stays: int | None
    smallest_pd: float | None
    d_prime: float | None
    possible: tuple[str, ...]
    impossible: tuple[str, ...]
    can_be_sealed: bool
    reasons: tuple[str, ...]
    better: tuple[Alternative, ...]
    needed: tuple[tuple[int, int], ...]
    sets_per_nose: int
    strips_per_nose: int
    speaks_for: str
    nulls: Nulls | None = None
    looks: Looks | None = None
    medium: Media = STRIP
    power_at_every: float | None = None
    by_weight: ByWeight | None = None

    @property
    def kind(self) -> Kind:
        """What holds of every session of this method."""
        return kind_of(self.method)

    @property
    def replicated(self) -> bool:
        """Several people answer more than once: the verdict speaks for this panel only."""
        return self.replicates > 1 and self.people > 1

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """Verdict words that cannot occur and that the conductor confirms in words before sealing."""
        return tuple(one for one in (NOTICED, NOT_NOTICED) if one in self.impossible)


def outlook_of(plan: Plan) -> Outlook:
    """The outlook of a plan."""
    risks = (float(plan.alpha), float(plan.beta), float(plan.pd))
    found = outlook(
        plan.method,
        plan.people,
        plan.replicates,
        len(plan.ages),
        *risks,
        plan.primary is not None,
        solo=plan.solo,
        look_every=plan.look_every,
        null_sets=plan.null_sets,
    )
    if plan.sureness_weights:
        found = _weighed(found, plan.sureness_weights)
    if plan.medium == STRIP:
        return found
    own = plan.sets_per_nose  # strip and skin are judged each by itself, but one nose smells both
    return replace(found, medium=plan.medium, sets_per_nose=own, strips_per_nose=own * strips_of(plan.method))


def _weighed(found: Outlook, weights: tuple[int, ...]) -> Outlook:
    """The same with *noticed* judged by weight: few right answers that are sure may then be noticed and small."""
    own = by_weight(found.assessments, found.method, found.alpha_used, found.pd, weights)
    few = own.fewest_right is not None and own.fewest_right <= (found.maximum_correct or -1)
    possible = tuple(one for one in VERDICTS if one in found.possible or (few and one == NOTICED_BUT_SMALL))
    impossible = tuple(one for one in VERDICTS if one not in possible)
    return replace(found, by_weight=own, possible=possible, impossible=impossible)


def outlook(
    method: Method,
    people: int,
    replicates: int,
    ages: int,
    alpha: float,
    beta: float,
    pd: float,
    primary: bool = True,
    *,
    solo: bool = False,
    look_every: int = 0,
    null_sets: int = 0,
) -> Outlook:
    """What ``people`` who smell ``replicates`` sets at each of ``ages`` strip ages can find.

    ``primary`` says whether one age was named as primary; without one every age is judged at Holm's strictest step.
    ``look_every`` above 0: a sequential session with looks after so many assessments. ``null_sets`` are of each nose.
    """
    checks.choice(
        "method", method, tuple(kind.method for kind in kinds() if (kind.alone if solo else not kind.several))
    )
    for name, number, least, most in (
        ("people", people, 1, 1 if solo else None),
        ("replicates", replicates, 1, MOST_REPLICATES),
        ("ages", ages, 1, None),
        ("look_every", look_every, 0, None),
        ("null_sets", null_sets, 0, MOST_NULL_SETS),
    ):
        checks.whole(name, number, least, most)
    for name, risk in (("alpha", alpha), ("beta", beta), ("pd", pd)):
        checks.risk(name, risk)
    return _outlook(method, people, replicates, ages, alpha, beta, pd, bool(primary), bool(solo), look_every, null_sets)


@lru_cache(256)
def _outlook(
    method: Method,
    people: int,
    replicates: int,
    ages: int,
    alpha: float,
    beta: float,
    pd: float,
    primary: bool,
    solo: bool,
    look_every: int,
    null_sets: int,
) -> Outlook:
    sets = replicates * ages + null_sets
    shell = Outlook(
        method=method,
        people=people,
        replicates=replicates,
        ages=ages,
        alpha=alpha,
        beta=beta,
        pd=pd,
        primary=primary,
        solo=solo,
        look_every=look_every,
        null_sets=null_sets,
        alpha_used=_level(method, ages, alpha, primary),
        assessments=people * replicates,
        minimum_correct=None,
        maximum_correct=None,
        true_alpha=0.0,
        power=0.0,
        panel_size_first=None,
        panel_size_stays=None,
        smallest_pd=None,
        d_prime=None,
        possible=(),
        impossible=(),
        can_be_sealed=False,
        reasons=(),
        better=(),
        needed=(),
        sets_per_nose=sets,
        strips_per_nose=sets * strips_of(method),
        speaks_for=speaks_for(people, replicates > 1 and people > 1),
        nulls=null_outlook(method, people * null_sets, alpha, pd) if null_sets else None,
    )
    if kind_of(method).votes:
        return _preference(shell)
    return _forced_choice(_with_looks(shell) if look_every else _judged_once(shell))


def _family(method: Method, ages: int) -> int:
    """Questions corrected together where no age is primary: preferences over ages have an overall choice too."""
    return ages + 1 if kind_of(method).votes and ages > 1 else ages


def _level(method: Method, ages: int, alpha: float, primary: bool) -> float:
    """Alpha of the primary age; without one Holm's first step."""
    return alpha if primary else alpha / _family(method, ages)


def _at_every(plan: Outlook, reach: Callable[[float], float]) -> float | None:
    family = _family(plan.method, plan.ages)
    if plan.primary or family == 1:
        return None
    return figures.power_at_every([reach(plan.alpha / (family - step)) for step in range(family)])


# --- forced choice --------------------------------------------------------------------------------------------


def _forced_choice(known: Outlook) -> Outlook:
    known = replace(
        known,
        panel_size_first=figures.panel_size(known.method, known.alpha_used, known.beta, known.pd, "first"),
        panel_size_stays=figures.panel_size(known.method, known.alpha_used, known.beta, known.pd, "stays"),
        d_prime=_distance(known.method, known.pd),
        impossible=tuple(one for one in VERDICTS if one not in known.possible),
        can_be_sealed=any(one in known.possible for one in (NOTICED, NOTICED_BUT_SMALL, NOT_NOTICED)),
    )
    return replace(known, reasons=_reasons(known), better=tuple(_better(known)))


def _judged_once(plan: Outlook) -> Outlook:
    """One verdict after all answers are in."""
    asked, method, level = plan.assessments, plan.method, plan.alpha_used
    most = figures.panel_maximum if plan.replicated else figures.maximum
    known = replace(
        plan,
        minimum_correct=figures.minimum(asked, method, level),
        maximum_correct=most(asked, method, plan.pd, plan.beta),
        true_alpha=statistics.actual_alpha(asked, method, level),
        power=statistics.power(asked, method, level, plan.pd),
        power_at_every=_at_every(plan, lambda step: statistics.power(asked, method, step, plan.pd)),
        smallest_pd=statistics.smallest_detectable(asked, method, level, plan.beta),
    )
    return replace(known, possible=_possible(known))


def _with_looks(plan: Outlook) -> Outlook:
    """A verdict as soon as a look allows one; the last look is after all answers."""
    asked = plan.assessments
    rule = statistics.sequential_plan(plan.method, plan.alpha_used, plan.beta, plan.pd, plan.look_every, asked)
    at_pd = rule.operating(plan.pd)
    limits = rule.limits()
    upper = [(n, high) for n, _, high in limits if high is not None]
    lower = [
        (n, low) for n, low, _ in limits if low is not None and not figures.turned(low, n, plan.method, plan.alpha)
    ]
    unsaid = plan.replicated  # see Looks
    looks = Looks(
        every=plan.look_every,
        most=asked,
        first_noticed=upper[0] if upper else None,
        first_not_noticed=lower[0] if lower and not unsaid else None,
        alpha_exact=rule.alpha_exact,
        beta_exact=rule.beta_exact,
        expected_guessing=rule.expected_at_null,
        expected_pd=rule.expected_at_pd,
        undecided=at_pd.undecided + (at_pd.not_noticed if unsaid else 0.0),
    )
    found = {
        NOTICED: looks.first_noticed is not None,
        NOT_NOTICED: looks.first_not_noticed is not None,
        UNDECIDED: looks.undecided > 0.0,
    }
    return replace(
        plan,
        minimum_correct=upper[-1][1] if upper else None,
        maximum_correct=lower[-1][1] if looks.first_not_noticed else None,
        true_alpha=rule.alpha_exact,
        power=at_pd.noticed,
        possible=tuple(one for one in VERDICTS if found.get(one, False)),
        looks=looks,
    )


def _possible(plan: Outlook) -> tuple[str, ...]:
    """The verdicts some number of correct answers leads to, every number tried."""
    asked = plan.assessments
    found = {
        word(
            correct,
            plan.minimum_correct,
            plan.maximum_correct,
            figures.turned(correct, asked, plan.method, plan.alpha),
        )
        for correct in range(asked + 1)
    }
    return tuple(one for one in VERDICTS if one in found)


def _reasons(plan: Outlook) -> tuple[str, ...]:
    several = plan.look_every > 0 and plan.replicated
    said = {
        NOTHING_CAN_BE_CONCLUDED: not plan.can_be_sealed,
        OUT_OF_REACH: plan.minimum_correct is None,
        LOOKS_OF_SEVERAL: several,
        BELOW_GUESSING: plan.maximum_correct is None and not several,
        FEW_ASSESSMENTS: plan.assessments < FEW,
        REST_NEEDED: plan.sets_per_nose > SETS_A_SITTING or plan.strips_per_nose > STRIPS_A_SITTING,
    }
    return tuple(reason for reason, holds in said.items() if holds)


def _distance(method: Method, pd: float) -> float | None:
    """The d-prime at which this method has ``pd``; None for a method without a published function."""
    if not kind_of(method).distance:
        return None
    guessing = statistics.chance(method)
    return statistics.d_prime(guessing + pd * (1.0 - guessing), method)


def _better(plan: Outlook) -> Iterator[Alternative]:
    """Designs that would find the same difference more often, in the order they are offered."""
    for other in _candidates(plan):
        if other.power > plan.power:
            yield other


def _candidates(plan: Outlook) -> Iterator[Alternative]:
    for method in forced_choice.offered():
        if method in compared(plan) and method != plan.method:
            yield _alternative(plan, "method", method=method)
    if plan.ages > 1 and not plan.primary:
        yield _alternative(plan, "one age", ages=1)
    if plan.replicates + 2 <= MOST_REPLICATES:
        yield _more_replicates(plan)
    if plan.panel_size_stays is not None and not plan.solo:
        yield _alternative(plan, "people", people=math.ceil(plan.panel_size_stays / plan.replicates))


def compared(plan: Outlook) -> tuple[Method, ...]:
    """Methods that can be compared with the plan's own at equal distance."""
    if plan.d_prime is None:
        return ()
    return tuple(one for one in forced_choice.compared() if kind_of(one).alone or not plan.solo)


def _more_replicates(plan: Outlook) -> Alternative:
    """The fewest replicates that reach the power, else the most there may be."""
    step = 2 if plan.solo and plan.kind.mixed else 1  # alone, triangles come in pairs
    for replicates in range(plan.replicates + step, MOST_REPLICATES + 1, step):
        tried = _alternative(plan, "replicates", replicates=replicates)
        if tried.power >= 1.0 - plan.beta:
            break
    return tried


def _alternative(
    plan: Outlook, kind: str, method: Method | None = None, people: int = 0, replicates: int = 0, ages: int = 0
) -> Alternative:
    method, people = method or plan.method, people or plan.people
    replicates, ages = replicates or plan.replicates, ages or plan.ages
    level, asked = _level(method, ages, plan.alpha, plan.primary), people * replicates
    sets = replicates * ages + plan.null_sets
    return Alternative(
        kind=kind,
        method=method,
        people=people,
        replicates=replicates,
        ages=ages,
        minimum_correct=figures.minimum(asked, method, level),
        power=_power(plan, asked, method, level),
        sets_per_nose=sets,
        strips_per_nose=sets * strips_of(method),
        speaks_for=speaks_for(people, replicates > 1 and people > 1),
    )


def _power(plan: Outlook, assessments: int, method: Method, level: float) -> float:
    """Power for the difference the plan has in mind: equal pd within the method, equal d-prime across methods."""
    if method == plan.method:
        return statistics.power(assessments, method, level, plan.pd)
    return statistics.power(assessments, method, level, d_prime=plan.d_prime)


# --- preference -----------------------------------------------------------------------------------------------


def _preference(plan: Outlook) -> Outlook:
    level, share = plan.alpha_used, figures.preference_share(plan.pd)
    minimum = figures.preference_minimum(plan.people, level)
    known = replace(
        plan,
        minimum_correct=minimum,
        # under no preference at all the test's power is its true risk
        true_alpha=statistics.preference_power(plan.people, level, 0.5),
        power=statistics.preference_power(plan.people, level, share),
        power_at_every=_at_every(plan, lambda step: statistics.preference_power(plan.people, step, share)),
        panel_size_first=figures.preference_size(level, plan.beta, plan.pd, "first"),
        panel_size_stays=figures.preference_size(level, plan.beta, plan.pd, "stays"),
        smallest_pd=figures.smallest_preference(plan.people, level, plan.beta) if minimum else None,
        possible=PREFERENCES if minimum else (NO_PREFERENCE_SHOWN,),
        impossible=() if minimum else (FIRST_PREFERRED, SECOND_PREFERRED),
        can_be_sealed=minimum is not None,
        needed=_needed(level),
    )
    said = {
        NOTHING_CAN_BE_CONCLUDED: minimum is None,
        OUT_OF_REACH: minimum is None,
        FEW_ASSESSMENTS: plan.people < FEW,
        REST_NEEDED: plan.sets_per_nose > SETS_A_SITTING or plan.strips_per_nose > STRIPS_A_SITTING,
    }
    return replace(known, reasons=tuple(reason for reason, holds in said.items() if holds))


def _needed(level: float) -> tuple[tuple[int, int], ...]:
    found = [(people, figures.preference_minimum(people, level)) for people in PREFERENCE_PANELS]
    return tuple((people, least) for people, least in found if least is not None)
