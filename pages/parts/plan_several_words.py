"""What a plan over several trials says, line by line; no screen here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from parts.entries import age_name

from evaluation import wording
from evaluation.descriptors import Descriptor
from evaluation.dipping import span
from evaluation.kinds import Profile, Ranking, Round
from evaluation.sessions import BALANCED, GO_BACK_ONCE, INDEPENDENT, NO_GOING_BACK, SKIN, STRIP, Plan
from evaluation.smelling import seconds_of
from evaluation.trials import trial_name

MEDIA_NAMES: Final = MappingProxyType({"strip": "smelling strips", "skin": "skin", "strip and skin": "strips and skin"})
SCALE_NAMES: Final = MappingProxyType(
    {
        "line": "line 0 to 10",
        "category": "numbers 0 to 9",
        "check": "tick",
        "level": "too weak, right, too strong",
    }
)


def summary(plan: Plan, labels: Mapping[str, str], people: list[str]) -> list[str]:
    """Every field of the plan."""
    named = trial_name(*(labels.get(trial, "?") for trial in plan.trial_ids))
    spare = len(plan.seats) - plan.people
    return [
        f"{wording.method_name(plan.method)}: {named}",
        f"Medium: {MEDIA_NAMES[plan.medium]}",
        *_ages(plan),
        f"Panel: {', '.join(people)}; spare seats: {spare}",
        *_OWN[plan.method](plan, labels),
        f"Alpha {plan.alpha}, beta {plan.beta}; the difference is {'' if plan.plain_difference else 'not '}held to be "
        "plain to everyone",
        *going_back(plan),
        f"Left out of the primary analysis: {', '.join(plan.set_apart)}",
        *([f"Confirmed: cannot end in “{'”, “'.join(plan.confirmed)}”"] if plan.confirmed else []),
        f"Time zone: {plan.zone}",
    ]


def going_back(plan: Plan) -> list[str]:
    """Whether one may smell again before answering; nothing of a plan sealed before that was asked."""
    if not plan.going_back:
        return []
    again = {NO_GOING_BACK: "no", GO_BACK_ONCE: "once, after the last one"}[plan.going_back]
    return [f"Going back to what was smelt: {again}. {set_takes(plan)}"]


def set_takes(plan: Plan) -> str:
    """How long one set takes a nose."""
    return f"One set takes about {span(seconds_of(plan))}, from the first sniff to the locked answer, pauses included"


def _ages(plan: Plan) -> list[str]:
    names = {STRIP: "Strip ages", SKIN: "Times on skin"}
    return [
        f"{names[medium]}: "
        + ", ".join(
            f"{age_name(age.seconds)} (give or take {age_name(age.tolerance_seconds)})" for age in plan.ages_on(medium)
        )
        for medium in plan.media
    ]


def _profile(plan: Plan, labels: Mapping[str, str]) -> list[str]:
    own = Profile.of(plan)
    order = "in a drawn order for each panelist" if own.descriptor_order == "drawn" else "in this order for everybody"
    asked = [word for word, is_asked in (("strength", own.asks_strength), ("liking", own.asks_liking)) if is_asked]
    rated = [f"Descriptors, {order}: {'; '.join(map(descriptor, own.descriptors))}"] if own.descriptors else []
    strips = "own strips smelt again under their old codes" if own.resmell else "fresh strips under new codes"
    return [
        *rated,
        f"Asked besides: {' and '.join(asked) or 'nothing'}",
        f"Strips of each trial per panelist at each age: {plan.replicates}",
        *([f"At later ages: {strips}"] if len(plan.ages) > 1 and STRIP in plan.media else []),
        *(["One warm-up strip first, whose ratings do not count"] if own.warm_up else []),
    ]


def descriptor(one: Descriptor) -> str:
    """A word with its scale and end words."""
    low, high = wording.rating_ends(one.name, one.scale, one.low, one.high)
    ends = f", “{low}” to “{high}”" if low or high else ""
    return f"{one.name} ({SCALE_NAMES[one.scale]}{ends})"


_FIRST: Final = MappingProxyType(
    {BALANCED: "every pair in both orders", INDEPENDENT: "which of a pair comes first drawn for each"}
)


def _round(plan: Plan, labels: Mapping[str, str]) -> list[str]:
    own = Round.of(plan)
    return [
        f"Pairs each panelist smells: {own.sets_a_round} of {own.pairs}, {_FIRST[plan.draw]}",
        f"Times each panelist smells a pair: {plan.replicates}",
        f"No preference: {'offered' if own.ties_allowed else 'not offered'}",
        f"Asked besides: how sure{' and which is nearer the brief' if own.asks_nearer else ''}",
    ]


def _ranking(plan: Plan, labels: Mapping[str, str]) -> list[str]:
    expected = Ranking.of(plan).expected_order
    order = trial_name(*(labels.get(trial, "?") for trial in expected)) if expected else ""
    return [
        f"Rankings of each panelist: {plan.replicates}",
        f"Expected order, least liked first: {order}" if order else "No order is expected in advance",
    ]


_OWN: Final[Mapping[str, Callable[[Plan, Mapping[str, str]], list[str]]]] = MappingProxyType(
    {"profile": _profile, "round": _round, "ranking": _ranking}
)
