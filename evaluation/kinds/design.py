"""The base class of the values that hold what one kind of session has of its own, beside the frame every plan has.

A value holds what its kind can have and nothing else, so that what cannot be combined cannot be written down. Sealed
plans are written flat, all kinds with the same fields (see ``flat``): that spelling is hashed, so it never changes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from decimal import Decimal
from types import MappingProxyType
from typing import Any, ClassVar, Final, Protocol, Self, cast

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.terms import PRIORS, Law, Medium, Preparation, Side
from evaluation.kinds.facts import Kind, Method, kind_of, methods
from evaluation.kinds.separation import Separation

# The fields of a flat plan that belong to some kinds only, with what they say where they belong to none. A field that
# was added after plans were sealed is not written where it says this.
NOT_SAID: Final[Mapping[str, Any]] = MappingProxyType(
    {
        "descriptor": "",
        "expected": "",
        "ties_allowed": True,
        "asks_nearer": True,
        "solo": False,
        "look_every": 0,
        "null_sets": 0,
        "prior": "flat",
        "other_trial_ids": (),
        "descriptors": (),
        "descriptor_order": "fixed",
        "asks_strength": True,
        "asks_liking": False,
        "resmell": False,
        "warm_up": False,
        "pairs_each": 0,
        "asked_pairs": (),
        "asked_seed": 0,
        "expected_order": (),
        "size": None,
        "preparation": "",
        "sureness_weights": (),
        "second_strips": (),
        "second_solvent": "",
        "separation": None,
    }
)
ADDED_SINCE: Final = frozenset(
    {
        *("size", "preparation", "sureness_weights", "asked_pairs", "asked_seed", "second_strips", "second_solvent"),
        "separation",
    }
)

Take = Callable[..., Any]  # name of a field, and what it is where it is not written
Refusal = Callable[[str, Any], None]  # method and value of a field that does not belong to the kind


class Frame(Protocol):
    """What a value may ask of the plan it stands in."""

    @property
    def design(self) -> Design:
        """The value of its kind of session."""

    @property
    def replicates(self) -> int:
        """How often each person smells the same comparison at each age."""

    @property
    def people(self) -> int:
        """Seats without the spare ones."""

    @property
    def assessments(self) -> int:
        """Answers planned at each age, over all people."""

    @property
    def ages(self) -> Sequence[Any]:
        """Strip ages, youngest first."""

    @property
    def seats(self) -> Sequence[Any]:
        """All seats, the spare ones included."""

    @property
    def media(self) -> tuple[Medium, ...]:
        """What is smelt on: strip, skin, or both."""

    @property
    def draw(self) -> Law:
        """The law of the draw."""


class Design:
    """What a session of one kind compares and asks. What a kind has not says so: no looks, no null sets, not alone."""

    __slots__ = ()

    refused: ClassVar[Mapping[str, Refusal]] = MappingProxyType({})
    parts: ClassVar[frozenset[str]] = frozenset({"trial_ids"})  # fields that a flat plan spells in others

    @property
    def method(self) -> Method:
        """The kind, by its method."""
        raise NotImplementedError

    @property
    def trial_ids(self) -> tuple[str, ...]:
        """All trials compared, in the order of their letters."""
        raise NotImplementedError

    @property
    def kind(self) -> Kind:
        """What holds of every session of this kind."""
        return kind_of(self.method)

    @property
    def descriptor(self) -> str:
        """The word that names the direction; "" where none is named."""
        return ""

    @property
    def expected(self) -> Side:
        """The trial expected to show more of the descriptor; "" where none is named."""
        return ""

    @property
    def solo(self) -> bool:
        """True where one person prepares and smells; the shuffle is the draw."""
        return False

    @property
    def preparation(self) -> Preparation:
        """Alone: how the strips are made blind."""
        return ""

    @property
    def look_every(self) -> int:
        """Assessments between two looks of a sequential session; 0: judged once, at the end."""
        return 0

    @property
    def size(self) -> Decimal | None:
        """The d-prime that matters, beside the plan's pd; None: pd was said, or no share of people matters."""
        return None

    @property
    def null_sets(self) -> int:
        """Sets a nose, at one age, in which one bottle is served as if it were two."""
        return 0

    @property
    def sureness_weights(self) -> tuple[int, ...]:
        """What guess, unsure, fairly sure and sure weigh in *noticed*; (): every answer counts the same."""
        return ()

    @property
    def ties_allowed(self) -> bool:
        """True where "no preference" is an answer."""
        return False

    @property
    def asks_nearer(self) -> bool:
        """True where it is also asked which is nearer the brief."""
        return False

    @property
    def resmell(self) -> bool:
        """True where each panelist smells the own strip again at every age, under its old code."""
        return False

    @property
    def warm_up(self) -> bool:
        """True where one strip is smelt before the others whose ratings do not count."""
        return False

    @property
    def separation(self) -> Separation | None:
        """What its trials tell apart; None where they are compared with one another."""
        return None

    @property
    def samples(self) -> int:
        """What the letters of an order stand for: the trials; of a fan the trial alone, then beside each candidate."""
        return len(self.trial_ids)

    @property
    def strips_a_code(self) -> int:
        """Strips under one code: two in a fan, where the trial's strip is held beside another."""
        return 1

    @property
    def codes_a_set(self) -> int:
        """Codes on one tray."""
        return self.kind.strips or self.samples

    @property
    def strips_a_set(self) -> int:
        """Strips (or skin sites) in one set."""
        return self.codes_a_set * self.strips_a_code

    def names(self, labels: tuple[str, ...]) -> tuple[str, ...]:
        """What its letters are called, by the labels of its trials."""
        return labels

    @property
    def sets_a_round(self) -> int:
        """Sets one nose smells at one age in one replicate."""
        return 1

    @property
    def needs_strips(self) -> bool:
        """True where a session on skin cannot be held like this."""
        return bool(self.solo or self.look_every or self.null_sets or self.warm_up)

    def check(self, plan: Frame) -> None:
        """Refuse what does not go together with the frame."""

    def flat(self) -> dict[str, Any]:
        """Its fields as a sealed plan writes them."""
        first, second, *others = self.trial_ids if len(self.trial_ids) > 1 else self.trial_ids * 2
        own = {one.name: getattr(self, one.name) for one in fields(cast(Any, self)) if one.name not in self.parts}
        own |= {"method": self.method, "first_trial_id": first, "second_trial_id": second}
        return own | {"other_trial_ids": tuple(others)}

    @classmethod
    def read(cls, method: Method, take: Take) -> Self:
        """The value from a flat plan, whose fields ``take`` gives by name."""
        raise NotImplementedError

    @classmethod
    def of(cls, plan: Frame) -> Self:
        """The value of a plan of this kind; ArgumentError for a plan of another."""
        if not isinstance(plan.design, cls):
            raise ArgumentError(f"method must be that of a {cls.__name__.lower()}, not {plan.design.method}.")
        return plan.design


class Flat:
    """A flat plan while it is read: what nobody took is looked at in the end."""

    def __init__(self, given: Mapping[str, Any]) -> None:
        self._left = dict(given)

    def take(self, name: str, *otherwise: Any) -> Any:
        """A field, or what it says where it is not written."""
        return self._left.pop(name, NOT_SAID[name]) if name in NOT_SAID else self._left.pop(name, *otherwise)

    def rest(self, kind: Kind) -> tuple[tuple[str, Any], ...]:
        """What was said of fields that mean nothing for this kind: refused, or kept because it was sealed so."""
        unknown = sorted(self._left.keys() - NOT_SAID.keys())
        if unknown:
            raise ArgumentError(f"plan must have no field {', '.join(unknown)}.")
        said = {name: value for name, value in self._left.items() if NOT_SAID[name] != value}
        for name, value in said.items():
            (kind.design.refused.get(name) or _ANYWHERE.get(name, _kept))(kind.method, value)
        return tuple(sorted(said.items()))


def _kept(method: str, value: Any) -> None:
    """Nothing to refuse: it was written with plans of any kind, and read in none of this."""


def refusing(sentence: str) -> Refusal:
    """A refusal in one sentence, in which ``{method}`` is the plan's."""

    def refuse(method: str, value: Any) -> None:
        raise ArgumentError(sentence.format(method=method))

    return refuse


def _no_preparation(method: str, value: Any) -> None:
    checks.choice("preparation", value, ("",))


def _no_pairs(method: str, value: Any) -> None:
    checks.whole("pairs each", value, 0, 0)


def _a_prior(method: str, value: Any) -> None:
    checks.choice("prior", value, PRIORS)


def no_direction(method: str, value: Any = None) -> None:
    """Refuse a descriptor or an expected direction."""
    directed = " and ".join(methods(lambda kind: kind.directed))
    raise ArgumentError(f"descriptor and expected direction belong to {directed}, not to {method}.")


_ANYWHERE: Final[Mapping[str, Refusal]] = MappingProxyType(
    {
        "descriptor": no_direction,
        "expected": no_direction,
        "preparation": _no_preparation,
        "sureness_weights": refusing("weights by sureness must be left out of a {method}: nothing is right there."),
        "pairs_each": _no_pairs,
        "asked_pairs": refusing("pairs chosen beforehand belong to a round, not to {method}."),
        "expected_order": refusing("expected order must hold each trial of a ranking once."),
        "separation": refusing("changes are separated by ratings, not by a {method}."),
        "prior": _a_prior,
        "second_strips": refusing("second strips belong to a ranking, not to {method}."),
        "second_solvent": refusing("second strips belong to a ranking, not to {method}."),
    }
)


def read(flat: Flat) -> Design:
    """The value of a flat plan, of the kind its method names."""
    kind = kind_of(flat.take("method"))
    return cast(Design, kind.design.read(kind.method, flat.take))
