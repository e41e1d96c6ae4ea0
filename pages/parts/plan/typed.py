"""What stands in the plan form, as it was typed or chosen."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation.kinds import Method
from evaluation.sessions import (
    STRIP,
    DescriptorOrder,
    DeviationKind,
    GoingBack,
    Media,
    Preparation,
    Prior,
    Side,
    TiesRule,
)
from evaluation.values.descriptors import Descriptor
from evaluation.values.trials import Meant


@dataclass(frozen=True, slots=True)
class Typed:
    """What stands in the form, as it was typed or chosen."""

    title: str
    plain_difference: bool
    method: Method
    first_trial_id: str | None
    second_trial_id: str | None
    ages: str = "5"
    tolerance: str = "10"
    primary: int | str | None = ""  # "": nothing chosen yet, so the first that is offered
    replicates: int = 1
    people: tuple[str, ...] = ()
    spares: int = 1
    alpha: str = "0.05"
    beta: str = "0.05"
    pd: str = "0.30"
    size: str = "share"  # a step of sizes.STEPS, "own", or "share": pd itself
    of_hundred: str = "76"  # the own size, in people of 100 who pick right
    unnoticed: bool = False  # begun as "must not be noticed"
    descriptor: str = ""
    expected: Side = "second"
    ties_allowed: bool = True
    ties_rule: TiesRule = "drop"
    also_out: tuple[DeviationKind, ...] = ("late", "recognised", "wrong code")
    zone: str = "UTC"
    solo: bool = False
    preparation: Preparation | None = None  # alone; None: nothing chosen yet, so what the strip ages leave room for
    look_every: int = 0
    null_sets: int | None = 0  # None: one where the panel can afford it
    prior: Prior = "flat"
    medium: Media = STRIP
    skin_ages: str = "30"  # minutes since application, where strips have ages of their own
    trial_ids: tuple[str, ...] = ()  # of a profile, round or ranking
    descriptors: tuple[Descriptor, ...] | None = None  # None: nothing chosen yet, so the whole list of the brief
    descriptor_order: DescriptorOrder = "fixed"
    asks_strength: bool = True
    asks_liking: bool = False
    resmell: bool = True
    warm_up: bool = False
    pairs_each: int = 0
    asked_pairs: tuple[str, ...] = ()  # a proposal that was taken over: a text of pairs for each of the people
    asked_seed: int = 0  # and what it was drawn with
    expected_order: tuple[str, ...] = ()
    meant: Meant | None = ""  # of bottles of one trial; None: not said yet
    weights: str = ""  # of guess, unsure, fairly sure and sure; "": by count
    fan: bool = False  # a ranking whose codes are two strips
    second_strips: tuple[tuple[str, str], ...] = ()  # of a fan: material and percent
    second_solvent: str = "ethanol"
    going_back: GoingBack = ""  # "": nothing chosen yet, so what the method begins with


def on_skin(typed: Typed) -> bool:
    """Whether anything is put on skin."""
    return typed.medium != STRIP
