"""What was typed on the page Separate changes, read into values; knows no screen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from parts import typed_values
from parts.plan import filled_form

from evaluation.errors import ArgumentError
from evaluation.formulas.separated import NamedChange
from evaluation.kinds.separation import FEWEST_CHANGES, MOST_CHANGES
from evaluation.planning.layouts import Asked, Proposal
from evaluation.serving.blinding import law_now
from evaluation.serving.smelling import going_back_of
from evaluation.sessions import StripAge
from evaluation.values.briefs import Brief
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import scale_of
from evaluation.values.trials import trial_name

PD: Final = Decimal("0.30")  # sealed with every plan; ratings ask for no share of people


@dataclass(frozen=True, slots=True)
class TypedDesign:
    """The fields of the page."""

    changes: tuple[NamedChange, ...]
    people: tuple[str, ...]
    descriptors: tuple[Descriptor, ...]
    ages: str = "5, 60"
    tolerance: str = "10"
    asks_strength: bool = True
    resmell: bool = True
    rounds: int = 1
    likely: tuple[str, ...] = ()
    interactions: bool = False
    second_weighing: bool = False
    alpha: str = "0.05"
    beta: str = "0.20"
    spares: int = 0
    zone: str = "UTC"

    @property
    def strip_ages(self) -> tuple[StripAge, ...]:
        """The ages as they are sealed."""
        return typed_values.strip_ages(self.ages, self.tolerance)

    @property
    def rated(self) -> tuple[Descriptor, ...]:
        """The brief's descriptors that are rated in numbers."""
        return tuple(one for one in self.descriptors if scale_of(one.scale).on_points)


def asked_of(typed: TypedDesign) -> Asked:
    """What is to be proposed for; anything that does not stand is refused with one sentence."""
    if not FEWEST_CHANGES <= len(typed.changes) <= MOST_CHANGES:
        raise ArgumentError(
            f"changes must be {FEWEST_CHANGES} to {MOST_CHANGES}, not {len(typed.changes)}: tick or type that many."
        )
    if not typed.people:
        raise ArgumentError("panel must have at least one person: choose who smells.")
    ages = typed.strip_ages
    return Asked(
        changes=tuple(one.name.strip() for one in typed.changes),
        people=len(typed.people),
        descriptors=len(typed.rated) + typed.asks_strength,
        ages=len(ages),
        resmell=typed.resmell or len(ages) == 1,
        rounds=typed.rounds,
        likely=typed.likely,
        interactions=typed.interactions,
        second_weighing=typed.second_weighing,
        alpha=float(filled_form.risk("alpha", typed.alpha)),
        beta=float(filled_form.risk("beta", typed.beta)),
    )


def fields_of(typed: TypedDesign, chosen: Proposal, brief: Brief, base: str) -> Mapping[str, Any]:
    """The fields of the plan but for its bottles."""
    ages = typed.strip_ages
    return {
        "brief_id": brief.id,
        "title": title_of(typed, base),
        "ages": ages,
        "primary": ages[0].seconds if len(ages) == 1 else None,
        "replicates": chosen.sittings,
        "seats": filled_form.seats(typed.people, typed.spares),
        "alpha": filled_form.risk("alpha", typed.alpha),
        "beta": filled_form.risk("beta", typed.beta),
        "pd": PD,
        "zone": typed.zone,
        "going_back": going_back_of("profile"),
        "draw": law_now(solo=False),
        "descriptors": typed.rated,
        "asks_strength": typed.asks_strength,
        "resmell": typed.resmell and len(ages) > 1,
    }


def title_of(typed: TypedDesign, base: str) -> str:
    """What the session is called, short enough to be read whole: the plan itself names every change."""
    return f"Which of {len(typed.changes)} changes does what, on {trial_name(base)}"
