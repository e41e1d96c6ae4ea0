"""What a panel can find where several trials are compared - profiles, rounds of pairs, rankings - before it smells."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, factorial
from types import MappingProxyType
from typing import Final

from evaluation.judging import figures
from evaluation.kinds import Method, Ranking, Round, Separation
from evaluation.planning.effect_sizes import EffectSize, effect_size
from evaluation.serving.asking import rated
from evaluation.sessions import SKIN, Plan
from evaluation.statistics.ratings.paired import smallest_mean
from evaluation.values.scales import scale_of

# What a session of the method is there to say; confirmed in words where the panel is too small ever to say it.
ASKED_FOR: Final = MappingProxyType(
    {"profile": "a descriptor moved", "round": "a trial preferred", "ranking": "trials ranked apart"}
)
FEWEST_IN_FAMILY: Final = 6  # a row rated by fewer people is described, never tested
STRIPS_BEFORE_REST: Final = 12  # a long break after so many strips (our proposal; common practice, no source)
SECONDS_A_STRIP: Final = 40  # to prepare: write the code, dip, wipe, set in the holder (our proposal)
SECONDS_A_RATING: Final = 6  # of tapping: ten descriptors in a minute (our aim)


@dataclass(frozen=True, slots=True)
class Load:
    """What a session asks of whoever prepares and of each nose; minutes are rounded up.

    ``places`` are on skin, of all people together, ``places_each`` of one. ``smellings`` counts what one nose smells: a
    strip smelt again counts again. ``at_once`` is the most at one age, ``sittings`` how many parts they make, each at
    an age of its own or after a long rest.
    """

    strips: int
    places: int
    preparer_minutes: int
    strips_each: int
    places_each: int
    smellings: int
    at_once: int
    sittings: int
    ratings: int
    tapping_minutes: int


@dataclass(frozen=True, slots=True)
class Prospect:
    """What such a panel can and cannot find.

    ``least_p`` is the smallest p-value any answers could give, corrected for all ``rows`` where these are corrected
    step by step (rounds); ``rows`` how many differences are tested together; ``judges`` how many people answer about
    each of them.
    Profiles: ``smallest_row`` and ``smallest_family`` are mean differences, in standard deviations of people's
    differences, found with power 1 − beta by one row alone, and by one row among all at the most (Bonferroni; the
    family's own correction needs no more, as it uses how rows hang together). None where nothing is tested.
    Rounds: ``needed`` people of ``judges`` must prefer the same trial of a pair at the strictest step, None: never.
    """

    method: Method
    people: int
    trials: int
    rows: int
    judges: int
    alpha: float
    beta: float
    least_p: float
    load: Load
    smallest_row: float | None = None
    smallest_family: float | None = None
    needed: int | None = None
    twice: bool = False  # people answer about the same thing more than once
    ordered: bool = False  # an order is expected in advance
    effects: EffectSize | None = None  # of bottles that separate changes: sizes are of main effects
    chosen: bool = False  # pairs were chosen beforehand: ``judges`` is the most that one of them gets

    @property
    def can_be_sealed(self) -> bool:
        """A panel too small to test can still describe, if the conductor confirms that it is no test."""
        return True

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """What can never be found, whatever is answered."""
        return () if self.least_p <= self.alpha else (ASKED_FOR[self.method],)


def prospect_of(plan: Plan) -> Prospect:
    """The prospect of a plan whose method compares several trials."""
    rows, judges, alpha, beta = rows_of(plan), judges_of(plan), float(plan.alpha), float(plan.beta)
    if plan.design.separation is not None:
        return _of_effects(plan, plan.design.separation)
    tested = plan.kind.rates and rows > 0 and judges >= FEWEST_IN_FAMILY
    return Prospect(
        plan.method,
        plan.people,
        plan.samples,
        rows,
        judges,
        alpha,
        beta,
        float(_LEAST[plan.method](plan)),
        load_of(plan),
        smallest_row=smallest_mean(judges, alpha, beta) if tested else None,
        smallest_family=smallest_mean(judges, alpha / rows, beta) if tested else None,
        needed=figures.preference_minimum(judges, alpha / rows) if plan.kind.pairs else None,
        twice=plan.replicates > 1 or _pair_again(plan),
        chosen=plan.kind.pairs and bool(Round.of(plan).asked_pairs),
        ordered=plan.kind.ranks and bool(Ranking.of(plan).expected_order),
    )


def _of_effects(plan: Plan, separation: Separation) -> Prospect:
    alpha, beta = float(plan.alpha), float(plan.beta)
    size = effect_size(separation, plan.people, plan.replicates, _tested(plan), alpha, beta)
    return Prospect(
        plan.method,
        plan.people,
        len(plan.trial_ids),
        size.rows,
        plan.people,
        alpha,
        beta,
        size.least_p,
        load_of(plan),
        twice=plan.replicates > separation.sittings_a_round,
        effects=size,
    )


def rows_of(plan: Plan) -> int:
    """Differences tested together: descriptor × age × pair of trials for a profile, pairs of trials otherwise."""
    return _pairs(plan) * _tested(plan) if plan.kind.rates else _pairs(plan)


def _tested(plan: Plan) -> int:
    """Descriptors in numbers times ages."""
    tested = sum(scale_of(one.scale).on_points for one in rated(plan))
    return tested * sum(len(plan.ages_on(medium)) for medium in plan.media)


def judges_of(plan: Plan) -> int:
    """People who answer about each difference; in a part round the fewest that any pair is sure to get, of pairs chosen
    beforehand the most that one gets.
    """
    if not plan.kind.pairs:
        return plan.people
    if Round.of(plan).asked_pairs:
        return max(_people_by_pair(Round.of(plan)).values())
    return plan.people * plan.sets_a_round // _pairs(plan)


def _pair_again(plan: Plan) -> bool:
    """Whether a nose smells a chosen pair more than once."""
    own = [Round.of(plan).pairs_at(seat.number) for seat in plan.seats] if plan.kind.pairs else []
    return any(len({*pairs}) < len(pairs) for pairs in own)


def _people_by_pair(asked: Round) -> Counter[str]:
    """Of pairs chosen beforehand: people, not answers."""
    return Counter(pair for seat in range(1, len(asked.asked_pairs) + 1) for pair in {*asked.pairs_at(seat)})


def load_of(plan: Plan) -> Load:
    """Strips, minutes, and what one nose smells and rates."""
    smellings = plan.sets_per_nose * plan.strips_a_set
    ratings = plan.sets_per_nose * len(rated(plan)) if plan.kind.rates else 0
    ages, sittings = _at_each_age(plan), _in_blocks(plan)
    places = plan.sets_a_round * plan.replicates * plan.strips_a_set if SKIN in plan.media else 0
    return Load(
        strips=plan.strips,
        places=places * plan.people,
        preparer_minutes=ceil(plan.strips * SECONDS_A_STRIP / 60),
        strips_each=plan.strips // plan.people,
        places_each=places,
        smellings=smellings,
        at_once=plan.sets_a_round if sittings else max(ages),
        sittings=sittings or sum(ceil(strips / STRIPS_BEFORE_REST) for strips in ages),
        ratings=ratings,
        tapping_minutes=ceil(ratings * SECONDS_A_RATING / 60),
    )


def _in_blocks(plan: Plan) -> int:
    """Sittings of a nose where bottles separate changes: each its own block; 0 for any other session."""
    return 0 if plan.design.separation is None else plan.replicates


def _at_each_age(plan: Plan) -> list[int]:
    """Strips, or places on skin, one nose smells at each age; the warm-up strip comes at the first."""
    each = plan.sets_a_round * plan.replicates * plan.strips_a_set
    counts = [each] * sum(len(plan.ages_on(medium)) for medium in plan.media)
    counts[0] += plan.design.warm_up
    return counts


def _pairs(plan: Plan) -> int:
    return plan.samples * (plan.samples - 1) // 2


def _signs(people: int) -> Fraction:
    """All signs alike: 2 of the 2^n patterns of an exact two-sided sign test or sign flip."""
    return min(Fraction(1), Fraction(2, 2**people))


def _flips(plan: Plan) -> Fraction:
    """A family of rows has the patterns of one; with too few people, or nothing rated on a line, there is no test."""
    tested = rows_of(plan) and plan.people >= FEWEST_IN_FAMILY
    return _signs(plan.people) if tested else Fraction(1)


def _votes(plan: Plan) -> Fraction:
    """Everybody prefers the same trial of one pair, at the strictest of Holm's steps over the pairs."""
    return min(Fraction(1), _signs(judges_of(plan)) * rows_of(plan))


def _ranks(plan: Plan) -> Fraction:
    """Everybody ranks alike: t! of the t!^n tables of Friedman's exact law, 1 of them towards an expected order."""
    alike = plan.people if Ranking.of(plan).expected_order else plan.people - 1
    return Fraction(1, factorial(plan.samples) ** alike)


_LEAST: Final[Mapping[str, Callable[[Plan], Fraction]]] = MappingProxyType(
    {"profile": _flips, "round": _votes, "ranking": _ranks}
)
