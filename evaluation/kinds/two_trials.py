"""Sessions that compare two trials: forced choices and paired preferences, with what each may have besides."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Any, ClassVar, Final, Self

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.terms import BALANCED, PREPARATIONS, PRIORS, SURENESS, Preparation, Prior, Side
from evaluation.kinds.design import Design, Frame, Refusal, Take, no_direction, refusing
from evaluation.kinds.facts import Method, kind_of, methods

MOST_SEATS: Final = 80
MOST_REPLICATES: Final = 60
MOST_NULL_SETS: Final = 4
MOST_WEIGHED: Final = 40  # answers at one age: what weighing them is worth is worked out before sealing up to here
LARGEST_WEIGHT: Final = 9  # of one word of sureness
LARGEST_SIZE: Final = 5  # d-prime: side by side all but 2 of 10 000 pick right

_FURTHER: Final = refusing("further trials, descriptors, re-smelling and warm-up do not belong to {method}.")


def _sized(method: str, value: Any = None) -> None:
    checks.choice("method of a plan with a size", method, methods(lambda kind: kind.distance))


def _alone(method: str, value: Any = None) -> None:
    checks.choice("method of a solo session", method, methods(lambda kind: kind.alone))


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoTrials(Design):
    """What every comparison of two trials has. ``prior``: of the second opinion, never of the verdict."""

    refused: ClassVar[Mapping[str, Refusal]] = MappingProxyType(
        dict.fromkeys(("other_trial_ids", "descriptors", "resmell", "warm_up"), _FURTHER)
    )

    first_trial_id: str
    second_trial_id: str
    prior: Prior = "flat"

    def __post_init__(self) -> None:
        checks.choice("prior", self.prior, PRIORS)
        if self.first_trial_id == self.second_trial_id:
            raise ArgumentError(
                "second trial must be another trial than the first: a trial cannot be told from itself."
            )

    @property
    def trial_ids(self) -> tuple[str, ...]:
        """Both, in the order of their letters."""
        return (self.first_trial_id, self.second_trial_id)


@dataclass(frozen=True, slots=True)
class Direction:
    """A descriptor, and the trial ("first" or "second") expected to show more of it."""

    descriptor: str
    expected: Side

    def __post_init__(self) -> None:
        checks.text("descriptor", self.descriptor, 40)
        checks.choice("expected", self.expected, ("first", "second"))


@dataclass(frozen=True, slots=True)
class Alone:
    """One person prepares and smells: what the strips are is entered afterwards from their hidden marks.

    ``preparation``: how they are made blind; "" in plans sealed before 2026-11-26, when nothing was said.
    """

    preparation: Preparation = ""

    def __post_init__(self) -> None:
        checks.choice("preparation", self.preparation, PREPARATIONS)


@dataclass(frozen=True, slots=True, kw_only=True)
class ForcedChoice(TwoTrials):
    """A forced choice of any method. ``size``: the d-prime that matters, beside the plan's pd; None: pd was said.

    ``look_every``: assessments between two looks; 0: judged once, at the end. ``null_sets``: sets a nose, at the
    primary age, in which one bottle is served as if it were two. ``sureness_weights``: what guess, unsure, fairly sure
    and sure weigh in *noticed*; (): every answer counts the same, as before 2026-11-27.
    """

    parts: ClassVar[frozenset[str]] = frozenset({"direction", "alone"})

    method: Method = field()
    direction: Direction | None = None
    size: Decimal | None = None
    alone: Alone | None = None
    look_every: int = 0
    null_sets: int = 0
    sureness_weights: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        TwoTrials.__post_init__(self)
        if (self.direction is not None) != self.kind.directed:
            no_direction(self.method)
        checks.whole("null sets", self.null_sets, 0, MOST_NULL_SETS)
        checks.whole("look every", self.look_every, 0, MOST_SEATS * MOST_REPLICATES)
        if self.size is not None:
            checks.decimal("size", self.size, LARGEST_SIZE)
            _sized(self.method)
        if self.alone is not None:
            _alone(self.method)
        if self.sureness_weights:
            check_weights(self.sureness_weights)

    @property
    def descriptor(self) -> str:
        """The word that names the direction; "" where none is named."""
        return self.direction.descriptor if self.direction else ""

    @property
    def expected(self) -> Side:
        """The trial expected to show more of the descriptor."""
        return self.direction.expected if self.direction else ""

    @property
    def solo(self) -> bool:
        """True where one person prepares and smells."""
        return self.alone is not None

    @property
    def preparation(self) -> Preparation:
        """Alone: how the strips are made blind."""
        return self.alone.preparation if self.alone else ""

    def check(self, plan: Frame) -> None:
        """Refuse what somebody alone cannot keep to, and looks that do not fit the panel."""
        if self.alone:
            _check_alone(self, plan)
        if self.look_every:
            _check_looks(self, plan)
        if self.sureness_weights:
            _check_weighed(self, plan)

    def flat(self) -> dict[str, Any]:
        """Its fields as a sealed plan writes them."""
        named = ("descriptor", "expected", "solo", "preparation")
        return Design.flat(self) | {name: getattr(self, name) for name in named}

    @classmethod
    def read(cls, method: Method, take: Take) -> Self:
        """From a flat plan; what only others have is left for the refusals."""
        own = {name: take(name) for name in ("first_trial_id", "second_trial_id", "prior", "size", "look_every")}
        own["sureness_weights"] = take("sureness_weights")
        alone = Alone(take("preparation")) if take("solo") else None
        direction = Direction(take("descriptor"), take("expected")) if kind_of(method).directed else None
        return cls(method=method, direction=direction, alone=alone, null_sets=take("null_sets"), **own)


def _check_alone(own: ForcedChoice, plan: Frame) -> None:
    if len(plan.seats) != 1:
        raise ArgumentError("panel of a solo session must be one person, without spare seats.")
    if own.kind.mixed and plan.replicates % 2:
        raise ArgumentError("replicates of a solo triangle must be even: each pair of sets holds both compositions.")
    if own.null_sets and (not own.preparation or own.look_every):
        raise ArgumentError(
            "null sets must be 0 alone where no way of preparing is named, and where looks are planned: nobody could "
            "tell which sets of a sitting are real before all marks are read."
        )


def check_weights(weights: tuple[int, ...]) -> None:
    """Refuse weights of the four words of sureness that are not four, not whole, or lighter for a surer word."""
    if len(weights) != len(SURENESS):
        raise ArgumentError(f"weights must be {len(SURENESS)}, one each for {', '.join(SURENESS)}, not {len(weights)}.")
    for word, weight in zip(SURENESS, weights, strict=True):
        checks.whole(f"weight of “{word}”", weight, 1, LARGEST_WEIGHT)
    if list(weights) != sorted(weights):
        raise ArgumentError("weights must not fall from guess to sure: a surer answer never counts for less.")


def _check_weighed(own: ForcedChoice, plan: Frame) -> None:
    """The weighed test holds where each guess is right by chance alone, whoever makes it, and is judged once."""
    if own.look_every:
        raise ArgumentError(
            "weights by sureness must be left out where looks are planned: the limits of looks are for counts."
        )
    if plan.replicates > 1 and plan.people > 1:
        raise ArgumentError(
            "weights by sureness must be left out where several people smell several sets each: one who is always sure "
            "would speak for the panel; plan one set a person, or one nose alone."
        )
    if plan.assessments > MOST_WEIGHED:
        raise ArgumentError(
            f"weights by sureness go with at most {MOST_WEIGHED} answers at each age, not {plan.assessments}: with "
            "more the count is as fine."
        )
    if plan.draw == BALANCED:
        raise ArgumentError("weights by sureness need orders that are each drawn by themselves, not balanced ones.")


LOOKS_ONCE: Final = "look every must be 0 for preferences and for several strip ages: judge those at the end."


def _check_looks(own: ForcedChoice, plan: Frame) -> None:
    if len(plan.ages) > 1:
        raise ArgumentError(LOOKS_ONCE)
    if plan.replicates > 1 and own.look_every % plan.people:
        raise ArgumentError(f"look every must be a multiple of {plan.people}: a panel is looked at after full rounds.")
    if own.alone and own.kind.mixed and own.look_every % 2:
        raise ArgumentError(
            "look every must be even for a solo triangle: the marks of half a pair would tell what the other half is."
        )
    _check_last_look(own.look_every, plan.assessments)


def _check_last_look(every: int, assessments: int) -> None:
    if every > assessments:
        raise ArgumentError(f"look every must be at most {assessments}, the assessments planned.")
    if assessments % every:
        raise ArgumentError(
            f"look every must divide the {assessments} answers planned, not be {every}: the last look "
            "comes after all of them."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Preference(TwoTrials):
    """Which of two is preferred; ``asks_nearer``: also which is nearer the brief (there must be a text to show)."""

    refused: ClassVar[Mapping[str, Refusal]] = MappingProxyType(
        {
            **TwoTrials.refused,
            "size": _sized,
            "solo": _alone,
            "look_every": refusing(LOOKS_ONCE),
            "null_sets": refusing("null sets must be 0 for preferences: there one trial cannot be served as two."),
        }
    )

    ties_allowed: bool = True
    asks_nearer: bool = True

    @property
    def method(self) -> Method:
        """The kind, by its method."""
        return "preference"

    def check(self, plan: Frame) -> None:
        """Refuse replicates: each person answers once."""
        if plan.replicates != 1:
            raise ArgumentError("replicates must be 1 for preferences: repeat the session on another day instead.")

    @classmethod
    def read(cls, method: Method, take: Take) -> Self:
        """From a flat plan."""
        return cls(
            **{
                name: take(name)
                for name in ("first_trial_id", "second_trial_id", "prior", "ties_allowed", "asks_nearer")
            }
        )
