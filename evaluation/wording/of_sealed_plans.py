"""A sealed plan in words, and what the blindness of its session rests on: one telling for pages and report."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from types import MappingProxyType
from typing import Final

from evaluation.kinds import ByKind
from evaluation.kinds.two_trials import TwoTrials
from evaluation.sessions import GO_BACK_ONCE, NO_GOING_BACK, SKIN, Plan, StripAge
from evaluation.values.trials import trial_name
from evaluation.wording import of_draws, of_profiles, of_rounds, of_separations, of_sizes, of_solo, of_weights
from evaluation.wording.of_ballots import method_name, method_sentence
from evaluation.wording.of_bottles import meant_line
from evaluation.wording.of_profiles import age_words
from evaluation.wording.of_verdicts import count, on_media

JUDGED_ALONE: Final = "This session is judged alone: answers of other sessions are never added to it."
JUDGED_IN_SERIES: Final = (
    "This sitting is judged with the other sittings of its series, and with no other session: that was sealed before "
    "the first of them."
)
Names = tuple[str, ...]  # of the trials, in the order of the plan


def judged_line(plan: Plan) -> str:
    """By itself, or with the other sittings of its series."""
    return JUDGED_IN_SERIES if plan.series_id else JUDGED_ALONE


def plan_lines(plan: Plan, names: Names, people: Sequence[str] = ()) -> tuple[str, ...]:
    """The sealed plan, one sentence a line; ``people`` are the aliases of those who sit, where they are to be named."""
    return (*TOLD.of(plan.method)(plan, names), *_of_every_plan(plan, people))


def _of_every_plan(plan: Plan, people: Sequence[str]) -> Iterator[str]:
    if plan.design.separation is None:  # two weighings of a combination are told where it is told what each holds
        yield from filter(None, [meant_line(plan.meant)])
    yield from _times(plan)
    yield of_draws.sealed_line(plan)
    yield f"These leave the main analysis: {', '.join(plan.set_apart)}."
    if plan.confirmed:
        yield f"Confirmed before sealing that this cannot be the verdict: {', '.join(plan.confirmed)}."
    if plan.plain_difference:
        yield "The difference was held to be plain to everyone."
    if plan.going_back:
        yield f"Going back to what was smelt: {_BACK[plan.going_back]}."
    if people:
        yield f"{'Alone' if plan.solo else 'Panel'}: {', '.join(people)}."
    if spare := len(plan.seats) - plan.people:
        yield f"Spare seats: {spare}."
    yield f"Time zone: {plan.zone}."


_BACK: Final = MappingProxyType({NO_GOING_BACK: "no", GO_BACK_ONCE: "once, after the last one"})


def _times(plan: Plan) -> Iterator[str]:
    """The ages on each medium; the primary one is named where there are several."""
    for medium in plan.media:
        ages = plan.ages_on(medium)
        told = ", ".join(map(_with_tolerance, ages))
        if len(ages) > 1 and medium == plan.media[0]:
            told += _primary(plan)
        named = "Strip age" if len(ages) == 1 else "Strip ages"
        yield f"On skin {told} after application." if medium == SKIN else f"{named} {told}."


# --- two trials -------------------------------------------------------------------------------------------------------


def _two(plan: Plan, names: Names) -> Iterator[str]:
    yield f"{method_name(plan.method)}: {method_sentence(plan.method)}"
    if plan.descriptor:
        more = trial_name(names[0] if plan.expected == "first" else names[1])
        yield f"Asked for more {plan.descriptor}; {more} was expected to show more of it."
    apart = ", each judged by itself" if len(plan.media) > 1 else ""
    yield f"First trial {names[0]}, second trial {names[1]}, {on_media(plan.media)}{apart}, {plan.strips_a_set} a set."
    sets = "one set" if plan.replicates == 1 else f"{plan.replicates} sets"
    yield f"{_people(plan)}, {sets} each at each age."
    yield from of_sizes.risk_lines(plan)
    yield from _options(plan)


def _primary(plan: Plan) -> str:
    """Which age gives the verdict; where all ages are one family of tests, nothing is said of none."""
    if plan.primary is None:
        return "" if plan.kind.several else "; no primary age"
    return f"; primary: {age_words(plan.primary / 60) if isinstance(plan.primary, int) else plan.primary}"


def _with_tolerance(age: StripAge) -> str:
    return f"{age_words(age.minutes)} (give or take {age_words(age.tolerance_seconds / 60)})"


def _people(plan: Plan) -> str:
    return "One person, who prepared and smelt" if plan.solo else count(plan.people, "person", "people")


def _options(plan: Plan) -> Iterator[str]:
    """What not every plan has."""
    yield from _OWN.of(plan.method)(plan)
    if plan.null_sets:
        yield f"Null sets, in which one bottle is served as if it were two: {plan.null_sets} each."
    if plan.preparation:
        yield of_solo.prepared(plan)
    if plan.look_every:
        every = "answer" if plan.look_every == 1 else f"{plan.look_every} answers"
        yield f"Looked at after every {every}, at most {plan.assessments}, to stop as soon as the sealed rule allows."


def _ties(plan: Plan) -> Iterator[str]:
    yield f"“No preference” {'may' if plan.design.ties_allowed else 'may not'} be chosen; {_TIES[plan.ties_rule]}"
    if plan.design.asks_nearer:
        yield "Asked besides which is nearer the brief."


def _prior(plan: Plan) -> Iterator[str]:
    if plan.sureness_weights:
        yield of_weights.sealed_line(plan.sureness_weights)
    yield f"Prior of the second opinion, never of the verdict: {TwoTrials.of(plan).prior}."


def _profile(plan: Plan, names: Names) -> tuple[str, ...]:
    """Of a session that separates changes, what it separates comes first."""
    if plan.design.separation is None:
        return of_profiles.plan_lines(plan, names)
    return of_separations.plan_lines(plan, plan.design.separation, names)


_TIES: Final = MappingProxyType(
    {
        "drop": "such answers are left out of the test.",
        "split": "such answers are shared between both trials, an odd one against the leader.",
    }
)
_OWN: Final[ByKind[Callable[[Plan], Iterable[str]]]] = ByKind(
    "options to tell", {"forced choice": _prior, "preference": _ties}
)
TOLD: Final[ByKind[Callable[[Plan, Names], Iterable[str]]]] = ByKind(
    "a telling of the sealed plan",
    {
        "forced choice": _two,
        "preference": _two,
        "profile": _profile,
        "round": of_rounds.plan_lines,
        "ranking": of_rounds.plan_lines,
    },
)


# --- what the blindness rests on --------------------------------------------------------------------------------------


def blind_lines(plan: Plan, key_seen_by: Sequence[str]) -> Iterator[str]:
    """What the blindness of a session rests on; ``key_seen_by``: aliases, "" for somebody not on the panel."""
    if plan.solo:
        yield of_solo.SHUFFLED
        return
    looked = [alias for alias in key_seen_by if alias]
    if plan.people == 1:
        yield "One nose smelt alone: the blind rests on that person’s word; orders were drawn by chance, not balanced."
    yield from filter(None, [of_draws.law_line(plan)])
    if "" in key_seen_by:
        yield "The key was shown to somebody who did not smell: the blind rests on that person’s silence."
    if looked:
        yield f"The key was shown early to {', '.join(looked)}, whose answers stay out of the verdict."
    if not key_seen_by:
        yield "The key was never shown on the bench, so it is not on record how the trials were prepared."


def stopped_lines(stopped: Sequence[str]) -> Iterator[str]:
    """Whose skin part ended early; ``stopped`` are aliases."""
    if stopped:
        verb = "their" if len(stopped) > 1 else "the"
        yield f"Stopped because the skin reacted: {', '.join(stopped)}; {verb} skin part ended there."
