"""What the live numbers show besides the sentences of evaluation/wording.py; no screen here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from parts import plan_form, plan_several_words
from parts.entries import age_name

from evaluation import statistics, wording, wording_sizes
from evaluation.alone.foreseen import Foreseen, foreseen
from evaluation.dipping import span
from evaluation.kinds import Method, kind_of
from evaluation.kinds.two_trials import TwoTrials
from evaluation.outlook import FEW, Alternative, Outlook
from evaluation.sessions import CLIPS, OVERALL, SKIN, STRIP, VIALS, Plan
from evaluation.tables_digits import fixed
from evaluation.trials import trial_name
from evaluation.wording_verdicts import percent

BETTER_LEAD: Final = "Better designs for the same difference (equal d-prime), and what they cost"
FIVE: Final = "Five people can never reach .05, however much they agree."


@dataclass(frozen=True, slots=True)
class Lines:
    """The sentences of an outlook: the one to read first, the rest, and what cannot occur."""

    first: str
    rest: tuple[str, ...]
    cannot: tuple[str, ...]


def lines(outlook: Outlook) -> Lines:
    """The sentences of ``wording.outlook_lines`` in groups; better designs stand in a table of their own."""
    plain = replace(outlook, better=())
    first, *rest = wording.outlook_lines(replace(plain, impossible=()))
    cannot = tuple(line for line in wording.outlook_lines(plain) if line not in {first, *rest})
    if outlook.kind.votes and outlook.alpha_used <= 0.05:
        rest.insert(1, FIVE)
    return Lines(first, tuple(rest), cannot)


def summary(plan: Plan, labels: Mapping[str, str], aliases: Mapping[str, str]) -> list[str]:
    """What a plan says, line by line."""
    people = [aliases.get(seat.panelist_id, "") for seat in plan.seats if seat.panelist_id is not None]
    if plan.kind.several:
        return plan_several_words.summary(plan, labels, people)
    pair = trial_name(*(labels.get(trial, "?") for trial in (plan.first_trial_id, plan.second_trial_id)))
    more = trial_name(labels.get(_expected(plan), "?"))
    named = f", {plan.descriptor}, more of it expected in {more}" if plan.descriptor else ""
    ages = ", ".join(f"{age_name(age.seconds)} (give or take {age_name(age.tolerance_seconds)})" for age in plan.ages)
    return [
        f"{wording.method_name(plan.method)}: {pair}{named}",
        f"{'On skin' if plan.medium == SKIN else 'Strip ages'}: {ages}; {_primary(plan)}",
        *_on_skin_too(plan),
        f"Alone: {', '.join(people)}{_ALONE[plan.preparation]}"
        if plan.solo
        else f"Panel: {', '.join(people)}; spare seats: {len(plan.seats) - len(people)}",
        f"Sets per panelist at each age: {plan.replicates}",
        *([f"Null sets per nose: {plan.null_sets}"] if plan.null_sets else []),
        *([f"Looked at after every {plan.look_every} answers, at most {plan.assessments}"] if plan.look_every else []),
        f"Alpha {plan.alpha}, beta {plan.beta}, pd {plan.pd}",
        *([] if plan.kind.votes else [wording_sizes.size_line(plan)]),
        *([f"No preference: {_TIES[plan.design.ties_allowed, plan.ties_rule]}"] if plan.kind.votes else []),
        *([] if plan.kind.votes else [f"Prior of the second opinion: {TwoTrials.of(plan).prior}"]),
        *plan_several_words.going_back(plan),
        f"Left out of the primary analysis: {', '.join(plan.set_apart)}",
        f"Time zone: {plan.zone}",
    ]


def _on_skin_too(plan: Plan) -> list[str]:
    ages = ", ".join(
        f"{age_name(age.seconds)} (give or take {age_name(age.tolerance_seconds)})" for age in plan.skin_ages
    )
    return [f"On skin too, judged by itself, after application: {ages}"] if ages else []


def _expected(plan: Plan) -> str:
    return plan.first_trial_id if plan.expected == "first" else plan.second_trial_id


def _primary(plan: Plan) -> str:
    if plan.primary is None:
        return "no primary age, all count alike"
    return f"primary: {'the choice over all ages' if plan.primary == OVERALL else age_name(int(plan.primary))}"


_ALONE: Final = MappingProxyType({"": "", CLIPS: "; marks under clips", VIALS: "; vials drawn blind"})
_TIES: Final = MappingProxyType(
    {
        (True, "drop"): "offered, left out of the test",
        (True, "split"): "offered, half for each trial",
        (False, "drop"): "not offered",
        (False, "split"): "not offered",
    }
)


def work(plan: Plan) -> str:
    """Strips, dips and preparer minutes."""
    if STRIP not in plan.media:
        return f"To prepare: {plan.people * plan.strips_a_set} places on skin, each with the same small amount."
    if plan.solo:
        return work_alone(plan)
    load = plan_form.load(plan)
    spare = f"; {load.spare_strips} more for spare sets, dipped only when needed" if load.spare_strips else ""
    return (
        f"To prepare: {load.strips} strips, each dipped once, about {load.minutes} minutes (reckoned at "
        f"{plan_form.SECONDS_PER_STRIP} s a strip, our proposal){spare}."
    )


def work_alone(plan: Plan) -> str:
    """Strips, sittings, days and hours of one person who does everything."""
    found = foreseen(plan)
    sittings = "one sitting" if found.sittings == 1 else f"{found.sittings} sittings"
    days = "one day" if len(found.days) == 1 else f"{len(found.days)} days"
    return (
        f"Alone: {plan.strips} strips, each dipped once; {plan.sets_per_nose} sets in {sittings} on {days}, "
        f"{_hours(found)} a day from the first thing done to the last, preparing, ageing and rests included (reckoned "
        "from our proposals, nobody has measured it)."
    )


def _hours(found: Foreseen) -> str:
    """The shortest and the longest day."""
    minutes = sorted(day.minutes for day in found.days)
    least, most = (span(60 * one) for one in (minutes[0], minutes[-1]))
    return f"about {most}" if least == most else f"about {least} to {most}"


def better(outlook: Outlook) -> list[tuple[str, str, str, str]]:
    """Design, pd, power and strips a nose; none where the plan is large and strong enough."""
    if outlook.assessments >= FEW and outlook.power >= 1.0 - outlook.beta:
        return []
    return [
        (design(each), _pd_there(outlook, each.method), percent(each.power), str(each.strips_per_nose))
        for each in outlook.better
    ]


def _pd_there(outlook: Outlook, method: Method) -> str:
    """The share that notices the same difference under another method: what to type as pd after changing to it."""
    if method == outlook.method or outlook.d_prime is None:
        return fixed(outlook.pd, 2)
    guessing = statistics.chance(method)
    right = float(statistics.proportion_correct(outlook.d_prime, method))
    return fixed((right - guessing) / (1.0 - guessing), 2)


def design(other: Alternative) -> str:
    """What would be done otherwise."""
    if other.kind == "method":
        named = ", naming a quality" if kind_of(other.method).directed else ""
        return f"{wording.method_name(other.method)}{named}"
    if other.kind == "replicates" and other.people == 1:
        return f"{other.replicates} sets, for {other.speaks_for}"
    return _DESIGNS[other.kind].format(people=other.people, replicates=other.replicates, whom=other.speaks_for)


_DESIGNS: Final = MappingProxyType(
    {
        "one age": "One strip age only",
        "replicates": "{replicates} sets per panelist, for {whom}",
        "people": "{people} panelists, for {whom}",
    }
)
