"""Sessions that compare several trials: profiles, rounds of pairs, rankings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations
from types import MappingProxyType
from typing import Any, ClassVar, Final, Self

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.intake import shortened
from evaluation.ground.terms import DESCRIPTOR_ORDERS, STRIP, DescriptorOrder
from evaluation.kinds.design import Design, Frame, Refusal, Take, refusing
from evaluation.kinds.facts import Method, methods
from evaluation.kinds.separation import FEWEST_BY_PERSON, MOST_BOTTLES, STRIPS_A_SITTING, Separation
from evaluation.values.descriptors import Descriptor, check_list
from evaluation.values.scales import scale_of
from evaluation.values.second_strips import SecondStrip, beside_names, check_second_strips

_TOGETHER: Final = refusing("a {method} cannot be held alone, with looks, or with null sets.")
_RATED: Final = refusing("descriptors, re-smelling and warm-up belong to profiles.")


def _no_size(method: str, value: Any) -> None:
    checks.choice("method of a plan with a size", method, methods(lambda kind: kind.distance))


def _an_order(method: str, value: Any) -> None:
    checks.choice("descriptor order", value, DESCRIPTOR_ORDERS)


def _trials(take: Take) -> tuple[str, ...]:
    return (take("first_trial_id"), take("second_trial_id"), *take("other_trial_ids"))


@dataclass(frozen=True, slots=True)
class SeveralTrials(Design):
    """What every comparison of several trials has."""

    refused: ClassVar[Mapping[str, Refusal]] = MappingProxyType(
        {
            **dict.fromkeys(("solo", "look_every", "null_sets"), _TOGETHER),
            **dict.fromkeys(("descriptors", "resmell", "warm_up"), _RATED),
            "size": _no_size,
            "descriptor_order": _an_order,
        }
    )

    trial_ids: tuple[str, ...] = field()

    def __post_init__(self) -> None:
        if self.trial_ids[:1] == self.trial_ids[1:2]:
            raise ArgumentError(
                "second trial must be another trial than the first: a trial cannot be told from itself."
            )
        fewest, most = self.trials_allowed
        if len({*self.trial_ids}) != len(self.trial_ids) or not fewest <= len(self.trial_ids) <= most:
            raise ArgumentError(f"trials of a {self.method} must be {fewest} to {most} different ones.")

    @property
    def trials_allowed(self) -> tuple[int, int]:
        """Fewest and most."""
        return self.kind.trials

    @property
    def pairs(self) -> int:
        """How many pairs its trials make."""
        return len(self.trial_ids) * (len(self.trial_ids) - 1) // 2


@dataclass(frozen=True, slots=True)
class Profile(SeveralTrials):
    """What is rated of each strip, in the order of the list; strength and liking are questions of their own.

    ``resmell``: each panelist smells the own strip again at every age, under its old code. ``warm_up``: one strip
    before the others whose ratings do not count. ``separation``: its trials are bottles that tell several changes
    apart; each replicate is then a sitting, in which a nose smells a block of them.
    """

    descriptors: tuple[Descriptor, ...] = ()
    descriptor_order: DescriptorOrder = "fixed"
    asks_strength: bool = True
    asks_liking: bool = False
    resmell: bool = False
    warm_up: bool = False
    separation: Separation | None = None

    def __post_init__(self) -> None:
        SeveralTrials.__post_init__(self)
        checks.choice("descriptor order", self.descriptor_order, DESCRIPTOR_ORDERS)
        check_list(self.descriptors)
        if not (self.descriptors or self.asks_strength or self.asks_liking):
            raise ArgumentError("descriptors must be one or more, or strength or liking must be asked.")
        if self.separation is not None:
            _check_separating(self, self.separation)

    @property
    def trials_allowed(self) -> tuple[int, int]:
        """Fewest and most: more where they separate changes, since no nose smells them all at once."""
        return self.kind.trials if self.separation is None else (self.kind.trials[0], MOST_BOTTLES)

    @property
    def method(self) -> Method:
        """The kind, by its method."""
        return "profile"

    @property
    def sets_a_round(self) -> int:
        """A set is one strip: as many as there are trials, or as a sitting holds."""
        return len(self.trial_ids) if self.separation is None else self.separation.strips_a_sitting

    def check(self, plan: Frame) -> None:
        """Refuse what bottles that separate changes cannot be: on skin, too many strips, too few people."""
        if self.separation is not None:
            _check_frame(self, self.separation, plan)

    @property
    def ratings(self) -> int:
        """Questions about one strip."""
        return len(self.descriptors) + self.asks_strength + self.asks_liking

    @classmethod
    def read(cls, method: Method, take: Take) -> Self:
        """From a flat plan."""
        own = ("descriptors", "descriptor_order", "asks_strength", "asks_liking", "resmell", "warm_up", "separation")
        return cls(_trials(take), **{name: take(name) for name in own})


def _check_separating(own: Profile, separation: Separation) -> None:
    if len(separation.made) != len(own.trial_ids):
        raise ArgumentError(
            f"separation must say of each of the {len(own.trial_ids)} trials what it holds, not of "
            f"{len(separation.made)}."
        )
    if not all(scale_of(one.scale).on_points for one in own.descriptors):
        raise ArgumentError("descriptors of a session that separates changes must be rated in numbers, from 0 to 10.")


def _check_frame(own: Profile, separation: Separation, plan: Frame) -> None:
    if plan.media != (STRIP,):
        raise ArgumentError("bottles that separate changes are smelt on strips: skin has no room for them.")
    if plan.replicates % separation.sittings_a_round:
        raise ArgumentError(
            f"sittings of a nose must be a multiple of {separation.sittings_a_round}, in which it smells each "
            f"combination, not {plan.replicates}."
        )
    strips = separation.strips_a_sitting * (1 if own.resmell else len(plan.ages)) + own.warm_up
    if strips > STRIPS_A_SITTING:
        raise ArgumentError(
            f"strips a nose and sitting must be at most {STRIPS_A_SITTING}, not {strips}: smell each strip again at "
            "the later ages, or take fewer ages."
        )
    if plan.people < FEWEST_BY_PERSON and (not separation.full or separation.interactions):
        raise ArgumentError(
            f"with fewer than {FEWEST_BY_PERSON} people changes are separated by all combinations only, and each by "
            f"itself, not two together: mix all of them, or ask {FEWEST_BY_PERSON} people."
        )


MOST_SEED: Final = 2**32 - 1  # of a proposal: short enough to be copied by hand


def _one_age(method: str, plan: Frame) -> None:
    if len(plan.ages) > 1:
        raise ArgumentError(f"a {method} has one strip age: plan another session for another age.")


@dataclass(frozen=True, slots=True)
class Round(SeveralTrials):
    """A round of pairs; ``pairs_each``: pairs each nose smells, 0: all of them.

    ``asked_pairs``: pairs chosen beforehand, one text a seat by the letters of the trials, such as "AB AC AB"; more
    seats begin again with the first. (): none were chosen. ``asked_seed``: of the draw that chose them, 0 if none did.
    """

    pairs_each: int = 0
    ties_allowed: bool = True
    asks_nearer: bool = True
    asked_pairs: tuple[str, ...] = ()
    asked_seed: int = 0

    @property
    def method(self) -> Method:
        """The kind, by its method."""
        return "round"

    @property
    def sets_a_round(self) -> int:
        """A set is one pair."""
        return len(self.pairs_at(1)) if self.asked_pairs else self.pairs_each or self.pairs

    def pairs_at(self, seat: int) -> tuple[str, ...]:
        """The pairs chosen for a seat; () where none were chosen."""
        return tuple(self.asked_pairs[(seat - 1) % len(self.asked_pairs)].split()) if self.asked_pairs else ()

    def check(self, plan: Frame) -> None:
        """Refuse a second age, too few pairs each for every pair to be smelt twice, and chosen ones that do not fit."""
        _one_age(self.method, plan)
        checks.whole("seed of chosen pairs", self.asked_seed, 0, MOST_SEED if self.asked_pairs else 0)
        if self.asked_pairs:
            _check_asked(self, plan)
        checks.whole("pairs each", self.pairs_each, 0, self.pairs)
        if self.pairs_each and plan.people * self.pairs_each < 2 * self.pairs:
            raise ArgumentError(
                f"pairs each must be at least {-(-2 * self.pairs // plan.people)} for {plan.people} people, so that "
                f"each of the {self.pairs} pairs is smelt twice."
            )

    @classmethod
    def read(cls, method: Method, take: Take) -> Self:
        """From a flat plan."""
        own = ("pairs_each", "ties_allowed", "asks_nearer", "asked_pairs", "asked_seed")
        return cls(_trials(take), **{name: take(name) for name in own})


def _check_asked(design: Round, plan: Frame) -> None:
    """Chosen pairs: as many a seat, in letters of these trials, every trial among them, and one row a person."""
    letters = "ABCDEFGH"[: len(design.trial_ids)]
    known = {"".join(pair) for pair in combinations(letters, 2)}
    rows = [one.split() if isinstance(one, str) else [] for one in design.asked_pairs]
    asked = {pair for row in rows for pair in row}
    if not asked <= known or {*"".join(asked)} != {*letters} or len({len(row) for row in rows}) != 1:
        raise ArgumentError(
            f"pairs chosen beforehand must be as many for each person, such as AB AC, with each of {letters} at least "
            f"once, not {shortened(design.asked_pairs)}."
        )
    if design.pairs_each or len(rows) != plan.people:
        raise ArgumentError(
            f"pairs chosen beforehand must be chosen for each of the {plan.people} people, and then no number of pairs "
            f"each is said, not for {len(rows)}."
        )


@dataclass(frozen=True, slots=True)
class Ranking(SeveralTrials):
    """A ranking; ``expected_order``: trial ids in an order expected in advance, least first.

    ``second_strips`` make it a fan: one trial, and under each code its strip beside a second one, which carries a
    candidate material or, for the trial alone, nothing but ``second_solvent``. Letter A is the trial alone.
    """

    expected_order: tuple[str, ...] = ()
    second_strips: tuple[SecondStrip, ...] = ()
    second_solvent: str = ""

    def __post_init__(self) -> None:
        if self.fan:
            self._check_fan()
            return
        if self.second_solvent:
            raise ArgumentError("a solvent of second strips belongs to materials on second strips.")
        SeveralTrials.__post_init__(self)
        if self.expected_order and sorted(self.expected_order) != sorted(self.trial_ids):
            raise ArgumentError("expected order must hold each trial of a ranking once.")

    def _check_fan(self) -> None:
        check_second_strips(self.second_strips, self.second_solvent)
        if len(self.trial_ids) != 1:
            raise ArgumentError("a ranking with second strips holds them beside one trial: leave out the other trials.")
        if self.expected_order:
            raise ArgumentError("expected order belongs to rankings of trials, not to one with second strips.")

    @property
    def method(self) -> Method:
        """The kind, by its method."""
        return "ranking"

    @property
    def fan(self) -> bool:
        """True where each code is two strips, one of the trial and a second one beside it."""
        return bool(self.second_strips)

    @property
    def samples(self) -> int:
        """One a trial; of a fan the trial alone, and beside each second strip."""
        return 1 + len(self.second_strips) if self.fan else len(self.trial_ids)

    @property
    def strips_a_code(self) -> int:
        """Two in a fan."""
        return 2 if self.fan else 1

    @property
    def needs_strips(self) -> bool:
        """A fan is of paper."""
        return self.fan

    def names(self, labels: tuple[str, ...]) -> tuple[str, ...]:
        """The trials; of a fan the trial alone, and beside each second strip."""
        return beside_names(labels[0], self.second_strips) if self.fan else labels

    def check(self, plan: Frame) -> None:
        """Refuse a second age."""
        _one_age(self.method, plan)

    @classmethod
    def read(cls, method: Method, take: Take) -> Self:
        """From a flat plan."""
        trials, strips = _trials(take), take("second_strips")
        if strips and trials[:1] == trials[1:]:  # a flat plan names the one trial of a fan twice
            trials = trials[:1]
        return cls(trials, take("expected_order"), strips, take("second_solvent"))
