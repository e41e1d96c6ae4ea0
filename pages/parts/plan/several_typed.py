"""Plans over several trials without their screen: what was typed → the fields of the plan, and back."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from parts.plan.typed import Typed
from parts.typed_values import number

from evaluation.errors import ArgumentError
from evaluation.kinds import Ranking, kind_of
from evaluation.kinds.design import NOT_SAID
from evaluation.sessions import SKIN, STRIP, Plan, StripAge
from evaluation.values.briefs import Brief
from evaluation.values.second_strips import SecondStrip, check_second_strips


def fields(typed: Typed, brief: Brief, ages: Sequence[StripAge]) -> dict[str, Any]:
    """The fields a profile, round or ranking has of its own."""
    if typed.fan:
        return _fan(typed, ages)
    first, second, *others = _trials(typed)
    return {
        "first_trial_id": first,
        "second_trial_id": second,
        "other_trial_ids": tuple(others),
        "primary": ages[0].seconds if len(ages) == 1 else None,
        **_FIELDS[typed.method](typed, brief, ages),
    }


def typed_of(plan: Plan) -> dict[str, Any]:
    """What the form shows of a draft over several trials, besides what every plan has."""
    if not plan.kind.several:
        return {}
    said = {**NOT_SAID} | plan.as_sealed()  # what was added since is not written where nobody said it
    return {"trial_ids": plan.trial_ids} | {name: said[name] for name in _SHOWN} | _shown_of_fan(plan)


def _shown_of_fan(plan: Plan) -> dict[str, Any]:
    if not plan.kind.ranks or not Ranking.of(plan).fan:
        return {}
    own = Ranking.of(plan)
    strips = tuple((one.material, f"{one.percent:f}") for one in own.second_strips)
    return {"fan": True, "second_strips": strips, "second_solvent": own.second_solvent}


def _fan(typed: Typed, ages: Sequence[StripAge]) -> dict[str, Any]:
    """A ranking with second strips beside one trial, which a flat plan names twice."""
    if not typed.trial_ids:
        raise ArgumentError("the trial the materials are held beside must be chosen.")
    strips, solvent = tuple(_second_strip(*one) for one in named(typed)), typed.second_solvent.strip()
    check_second_strips(strips, solvent)  # without any it would be read as a ranking of one trial
    return {
        "first_trial_id": typed.trial_ids[0],
        "second_trial_id": typed.trial_ids[0],
        "primary": ages[0].seconds if len(ages) == 1 else None,
        "replicates": 1,
        "second_strips": strips,
        "second_solvent": solvent,
    }


def _second_strip(name: str, told: str) -> SecondStrip:
    return SecondStrip(name, number(f"percent of {name}", told, "1"))


def named(typed: Typed) -> tuple[tuple[str, str], ...]:
    """The candidates with a name, as typed."""
    return tuple((name.strip(), told) for name, told in typed.second_strips if name.strip())


_SHOWN: Final = (
    *("descriptors", "descriptor_order", "asks_strength", "asks_liking", "resmell", "warm_up"),
    *("pairs_each", "asked_pairs", "asked_seed", "expected_order"),
)


def pairs(trials: int) -> int:
    """Pairs among so many trials."""
    return trials * (trials - 1) // 2


def fewest_pairs(trials: int, people: int) -> int:
    """Pairs each nose smells at least, so that every pair is smelt at least twice."""
    return min(pairs(trials), max(1, -(-2 * pairs(trials) // people))) if people else pairs(trials)


def may_resmell(typed: Typed, ages: int) -> bool:
    """Own strips are smelt again where there are strips and several ages of them."""
    return ages > 1 and typed.medium != SKIN


def _trials(typed: Typed) -> tuple[str, ...]:
    fewest, most = kind_of(typed.method).trials
    if not fewest <= len(typed.trial_ids) <= most:
        raise ArgumentError(f"trials of a {typed.method} must be {fewest} to {most}, not {len(typed.trial_ids)}.")
    return typed.trial_ids


def _profile(typed: Typed, brief: Brief, ages: Sequence[StripAge]) -> dict[str, Any]:
    return {
        "replicates": typed.replicates,
        "descriptors": typed.descriptors or (),
        "descriptor_order": typed.descriptor_order,
        "asks_strength": typed.asks_strength,
        "asks_liking": typed.asks_liking,
        "resmell": typed.resmell and may_resmell(typed, len(ages)),
        "warm_up": typed.warm_up and typed.medium == STRIP,
    }


def _round(typed: Typed, brief: Brief, ages: Sequence[StripAge]) -> dict[str, Any]:
    return {
        "replicates": typed.replicates,
        "pairs_each": typed.pairs_each,
        "asked_pairs": typed.asked_pairs,
        "asked_seed": typed.asked_seed,
        "ties_allowed": typed.ties_allowed,
        "ties_rule": typed.ties_rule,
        "asks_nearer": bool(brief.text),
    }


def _ranking(typed: Typed, brief: Brief, ages: Sequence[StripAge]) -> dict[str, Any]:
    return {"replicates": 1, "expected_order": typed.expected_order}


_FIELDS: Final[Mapping[str, Callable[[Typed, Brief, Sequence[StripAge]], dict[str, Any]]]] = MappingProxyType(
    {"profile": _profile, "round": _round, "ranking": _ranking}
)
