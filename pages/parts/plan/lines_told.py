"""Sentences of the live numbers, in groups, and what stands beside them: work, times, better designs. Draws nothing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from parts.plan import filled_form

from evaluation import statistics, wording
from evaluation.alone.foreseen import Foreseen, foreseen
from evaluation.ground.tables_digits import fixed
from evaluation.kinds import Method, kind_of
from evaluation.planning.outlook import FEW, Alternative, Outlook
from evaluation.serving.dipping import span
from evaluation.serving.smelling import seconds_of
from evaluation.sessions import SKIN, STRIP, Plan
from evaluation.wording import of_plans, of_prospects, of_sealed_plans
from evaluation.wording.of_verdicts import percent

BETTER_LEAD: Final = "Better designs for the same difference (equal d-prime), and what they cost"
FIVE: Final = "Five people can never reach .05, however much they agree."


@dataclass(frozen=True, slots=True)
class Lines:
    """The sentences of an outlook: the one to read first, the rest, and what cannot occur."""

    first: str
    rest: tuple[str, ...]
    cannot: tuple[str, ...]


def lines(outlook: Outlook) -> Lines:
    """The sentences of ``of_plans.told_lines`` by what they are about; better designs stand in a table of their own."""
    told = of_plans.told_lines(outlook)
    first, *rest = (one.text for one in told if one.kind not in ("cannot", "better"))
    cannot = tuple(one.text for one in told if one.kind == "cannot")
    if outlook.kind.votes and outlook.alpha_used <= 0.05:
        rest.insert(1, FIVE)
    return Lines(first, tuple(rest), cannot)


def summary(plan: Plan, labels: Mapping[str, str], aliases: Mapping[str, str]) -> tuple[str, ...]:
    """What was sealed, as findings and report tell it, with the people named."""
    people = [aliases.get(seat.panelist_id, "") for seat in plan.seats if seat.panelist_id is not None]
    names = plan.design.names(tuple(labels.get(one, "?") for one in plan.trial_ids))
    return of_sealed_plans.plan_lines(plan, names, people)


def set_takes(plan: Plan) -> str:
    """How long one set takes a nose."""
    return f"One set takes about {span(seconds_of(plan))}, from the first sniff to the locked answer, pauses included"


def work(plan: Plan) -> str:
    """Strips, dips and preparer minutes; places on skin."""
    on_skin = of_prospects.places_line(plan.people * plan.strips_a_set if SKIN in plan.media else 0)
    if STRIP not in plan.media:
        return on_skin
    if plan.solo:
        return work_alone(plan)
    load = filled_form.load(plan)
    spare = f"; {load.spare_strips} more for spare sets, dipped only when needed" if load.spare_strips else ""
    return (
        f"To prepare: {load.strips} strips, each dipped once, about {load.minutes} minutes (reckoned at "
        f"{filled_form.SECONDS_PER_STRIP} s a strip, our proposal){spare}. {on_skin}"
    ).rstrip()


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
