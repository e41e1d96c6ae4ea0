"""What a plan can find, in sentences, in the order the plan page shows them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from evaluation.ground.tables_digits import fixed
from evaluation.judging.entries import BELOW_GUESSING, FIRST_PREFERRED, OUT_OF_REACH, THIS_NOSE, THIS_PANEL
from evaluation.judging.verdicts import speaks_for
from evaluation.kinds import kind_of
from evaluation.planning.designs import Curve, Surface
from evaluation.planning.outlook import (
    LOOKS_OF_SEVERAL,
    NOTHING_CAN_BE_CONCLUDED,
    REST_NEEDED,
    SETS_A_SITTING,
    STRIPS_A_SITTING,
    Alternative,
    Looks,
    Outlook,
    sittings,
)
from evaluation.planning.weights import ByWeight
from evaluation.wording import of_weights
from evaluation.wording.of_ballots import method_name
from evaluation.wording.of_verdicts import bare, count, percent, risk, whom

LineKind = Literal["found", "cannot", "better", "load", "nulls"]


@dataclass(frozen=True, slots=True)
class OutlookLine:
    """One sentence, and what it is about.

    ``kind``: what can be found, which verdict cannot occur, a better design, what a nose bears, what null sets catch.
    """

    kind: LineKind
    text: str


def told_lines(outlook: Outlook) -> tuple[OutlookLine, ...]:
    """What can be found; which verdicts cannot occur; a better design; strips per nose; each says which it is."""
    better = (_better(outlook, one) for one in outlook.better if _worth_saying(outlook))
    groups: tuple[tuple[LineKind, Iterable[str]], ...] = (
        ("found", _findable(outlook)),
        ("cannot", _impossible(outlook)),
        ("better", better),
        ("load", _load(outlook)),
        ("nulls", _nulls(outlook)),
    )
    return tuple(OutlookLine(kind, text) for kind, texts in groups for text in texts if text)


def outlook_lines(outlook: Outlook) -> tuple[str, ...]:
    """The same as sentences only."""
    return tuple(one.text for one in told_lines(outlook))


def needed_votes(outlook: Outlook) -> str:
    """ "6 of 6, 8 of 8, 9 of 10, 10 of 12" """
    return ", ".join(f"{least} of {people}" for people, least in outlook.needed)


# --- what can be found ------------------------------------------------------------------------------------------


def _findable(outlook: Outlook) -> tuple[str, ...]:
    if outlook.kind.votes:
        return _preference(outlook)
    said = _judged_once(outlook) if outlook.looks is None else _with_looks(outlook, outlook.looks)
    return (*said, _WHOM if outlook.replicated else "")


_WHOM: Final = (
    "With several sets per person every verdict speaks for this panel only, in shares of such sets, not for people "
    "like it."
)


def _judged_once(outlook: Outlook) -> tuple[str, ...]:
    asked = count(outlook.assessments, "answer", "answers")
    if outlook.minimum_correct is None:
        return (f"{asked} can never reach alpha {risk(outlook.alpha_used)}, even if all are right.", _sizes(outlook))
    if outlook.by_weight is not None:
        return _by_weight(outlook, outlook.by_weight)
    return (
        f"{outlook.minimum_correct} of {asked} right are needed for “noticed”; the true alpha risk is then "
        f"{bare(outlook.true_alpha)}.",
        f"If {percent(outlook.pd)} {_notice(outlook)}, this is found with power "
        f"{percent(outlook.power)}{_at_an_age(outlook)}.",
        _sizes(outlook),
        _smallest(outlook),
    )


def _by_weight(outlook: Outlook, found: ByWeight) -> tuple[str, ...]:
    own = (of_weights.needed_line(outlook, found), of_weights.power_line(outlook, found), of_weights.KEPT_BY_COUNT)
    return (*own, *(f"By count: {_lowered(one)}" for one in (_sizes(outlook), _smallest(outlook)) if one))


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _at_an_age(outlook: Outlook) -> str:
    """Where no age is primary, power hangs on how many of them have the change."""
    if outlook.power_at_every is None:
        return ""
    each = percent(outlook.power_at_every)
    return f" where only one age has it, and at each age with {each} where all of them have it"


def _with_looks(outlook: Outlook, looks: Looks) -> tuple[str, ...]:
    every = "answer" if looks.every == 1 else f"{looks.every} answers"
    first = f"Looked at after every {every}, at most {looks.most}"
    if looks.first_noticed is None:
        return (f"{first}: this can never stop as “noticed”.",)
    fewest = f"at the earliest with {looks.first_noticed[1]} of {looks.first_noticed[0]} right"
    return (
        f"{first}: it can stop as “noticed” {fewest}{_stops_as_not_noticed(looks)}.",
        f"The risks are exact for just these looks: alpha {bare(looks.alpha_exact)}{_beta(looks)}.",
        f"Expected: {_mean(looks.expected_guessing)} answers if {_guessing(outlook)}, {_mean(looks.expected_pd)} if "
        f"{percent(outlook.pd)} {_notice(outlook)}.",
        f"If {percent(outlook.pd)} {_notice(outlook)}, this is found with power {percent(outlook.power)} and stays "
        f"undecided with {percent(looks.undecided)}.",
        "Afterwards no p-value and no interval of the share are given: they hold for a fixed number of answers only.",
    )


def _guessing(outlook: Outlook) -> str:
    return "this nose only guesses" if outlook.speaks_for == THIS_NOSE else "everybody only guesses"


def _stops_as_not_noticed(looks: Looks) -> str:
    if looks.first_not_noticed is None:
        return ""
    asked, most = looks.first_not_noticed
    return f", as “not noticed” with {most or 'none'} of {asked} right"


def _beta(looks: Looks) -> str:
    """Nothing where the session never stops as not noticed: then there is no such risk."""
    return "" if looks.first_not_noticed is None else f", beta {bare(looks.beta_exact)}"


def _mean(assessments: float) -> str:
    """A mean number of answers, for reading: to one place."""
    return fixed(assessments, 1)


def _notice(outlook: Outlook) -> str:
    return "of such sets are told apart" if outlook.speaks_for == THIS_NOSE else "notice"


def _sizes(outlook: Outlook) -> str:
    if outlook.panel_size_stays is None:
        return "So small a share would need millions of answers."
    unit = "votes" if outlook.kind.votes else "answers"
    return (
        f"Power {percent(1 - outlook.beta)} takes {outlook.panel_size_stays} {unit} or more "
        f"(the tables of the standards give the first number that reaches it, {outlook.panel_size_first})."
    )


def _smallest(outlook: Outlook) -> str:
    if outlook.smallest_pd is None or outlook.smallest_pd >= 1.0:
        return ""
    share, unit = outlook.smallest_pd, _notice(outlook)
    if outlook.kind.votes:  # of those who toss a coin, half choose the same trial
        share, unit = (1 + share) / 2, "choose one of them"
    return f"The smallest change found with power {percent(1 - outlook.beta)} is one where {percent(share)} {unit}."


def _preference(outlook: Outlook) -> tuple[str, ...]:
    usual = f"Needed at alpha {risk(outlook.alpha_used)}: {needed_votes(outlook)}."
    people = count(outlook.people, "person", "people")
    if outlook.minimum_correct is None:
        return (f"{people} can never show a preference at alpha {risk(outlook.alpha_used)}.", usual, _sizes(outlook))
    return (
        f"{outlook.minimum_correct} of {people} must prefer one trial; the true alpha risk is then "
        f"{bare(outlook.true_alpha)}.",
        usual,
        f"If {percent((1 + outlook.pd) / 2)} choose one of them, this is found with power "
        f"{percent(outlook.power)}{_at_an_age(outlook)}.",
        _sizes(outlook),
        _smallest(outlook),
    )


# --- what cannot occur ------------------------------------------------------------------------------------------


def _impossible(outlook: Outlook) -> tuple[str, ...]:
    lines = tuple(_WHY[reason].format(pd=percent(outlook.pd)) for reason in outlook.reasons if reason in _WHY)
    if not outlook.impossible:
        return ()
    if NOTHING_CAN_BE_CONCLUDED in outlook.reasons or FIRST_PREFERRED in outlook.impossible:
        return (*lines, "Nothing can be concluded from such a session, so it cannot be sealed.")
    named = " or ".join(f"“{word}”" for word in outlook.impossible)
    return (f"This session cannot end with {named}.", *lines)


_WHY: Final = MappingProxyType(
    {
        OUT_OF_REACH: "Even all answers of one kind stay above alpha.",
        LOOKS_OF_SEVERAL: (
            "With looks, “not noticed” needs one answer per person or one nose: with several answers of several people "
            "too few right end it as undecided."
        ),
        BELOW_GUESSING: (
            "With so few answers the limit for “fewer than {pd} would notice” lies below guessing, "
            "where nothing is concluded."
        ),
    }
)


# --- a better design --------------------------------------------------------------------------------------------


def _worth_saying(outlook: Outlook) -> bool:
    return outlook.power < 1.0 - outlook.beta


def _better(outlook: Outlook, other: Alternative) -> str:
    load = f"{count(other.strips_per_nose, 'strip', 'strips')} per nose"
    times = sittings(other.method, other.sets_per_nose)
    if times > 1:
        load += f", in {times} sittings"
    named = _DESIGNS[other.kind].format(
        method=method_name(other.method), people=other.people, replicates=other.replicates
    )
    direction = (
        " with a named descriptor and direction" if other.kind == "method" and kind_of(other.method).directed else ""
    )
    same = "the same difference" if other.method != outlook.method else "such a share"
    power = percent(other.power)
    return f"{named}{direction} would find {same} with power {power} ({load}; speaks for {whom(other.speaks_for)})."


_DESIGNS: Final = MappingProxyType(
    {
        "method": "{method}",
        "one age": "One strip age instead of several",
        "replicates": "{replicates} sets per person at each strip age",
        "people": "{people} people",
    }
)


# --- how much a nose bears --------------------------------------------------------------------------------------


_SMELT_ON: Final = MappingProxyType(
    {
        "strip": ("strip", "strips"),
        "skin": ("place on skin", "places on skin"),
        "strip and skin": ("strip or place on skin", "strips and places on skin"),
    }
)


def _load(outlook: Outlook) -> tuple[str, ...]:
    strips = count(outlook.strips_per_nose, *_SMELT_ON[outlook.medium])
    whose = "Your nose" if outlook.solo else "Each nose"
    nulls = f", {count(outlook.null_sets, 'null set', 'null sets')} among them" if outlook.null_sets else ""
    lines = [f"{whose} smells {strips} in {count(outlook.sets_per_nose, 'set', 'sets')}{nulls}."]
    if REST_NEEDED in outlook.reasons:
        lines.append(
            f"More than {SETS_A_SITTING} sets or {STRIPS_A_SITTING} strips tire a nose: plan 10 to 15 minutes in "
            "fresh air after so many, or a second sitting (common practice, no source)."
        )
    return tuple(lines)


def _nulls(outlook: Outlook) -> tuple[str, ...]:
    """What the null sets would catch, or that they cannot."""
    nulls = outlook.nulls
    if nulls is None:
        return ()
    asked = count(nulls.assessments, "answer", "answers")
    if nulls.minimum is None:
        return (f"Null sets: {asked} to them can never show a leak, even if all are right.",)
    return (
        f"Null sets: of {asked} to them, {nulls.minimum} or more right warn of a leak in the preparation; one that "
        f"gives away {percent(outlook.pd)} of the sets would be caught with power {percent(nulls.power)}.",
    )


# --- what other designs would find ------------------------------------------------------------------------------


def advice(surface: Surface) -> str:
    """One sentence: which way of asking takes the fewest strips of a nose for the power asked for."""
    plan, own = surface.plan, surface.own
    if own.planned >= 1.0 - plan.beta:
        return f"Judged at the end, this design finds the difference with power {percent(own.planned)}: keep it."
    named, unnamed = _lightest(surface, directed=True), _lightest(surface, directed=False)
    now = f"Judged at the end, this plan finds the difference with power {percent(own.planned)}"
    if named.needed is None:
        return f"{now}, and power {percent(1.0 - plan.beta)} would take millions of answers, however it is asked."
    if own is named:
        return f"{now}, and no way of asking takes fewer strips: for power {percent(1.0 - plan.beta)} {_stay(own)}."
    first = f"{now}; for power {percent(1.0 - plan.beta)} take {_taken(named)}"
    if kind_of(own.method).directed:
        return f"{first}, or {_stay(own)}."
    if own is unnamed:
        return f"{first} if you can name a quality and the trial that has more of it, else {_stay(own)}."
    return (
        f"{first} if you can name a quality and the trial that has more of it, else {_taken(unnamed)}; "
        f"{_the(own)} would take {_cost(own)}."
    )


def _lightest(surface: Surface, *, directed: bool) -> Curve:
    """Fewest strips of a nose for the power asked for; of equals the most power as planned."""
    curves = [curve for curve in surface.curves if (kind_of(curve.method).directed) is directed]
    return min(curves, key=lambda curve: (curve.strips_needed or math.inf, -curve.planned))


def _taken(curve: Curve) -> str:
    return f"{_the(curve)} ({_cost(curve)})"


def _stay(curve: Curve) -> str:
    return f"stay with {_the(curve)} and plan {_cost(curve)}"


def _cost(curve: Curve) -> str:
    if curve.needed is None or curve.strips_needed is None:
        return "millions of answers"
    return f"{curve.needed} answers, {count(curve.strips_needed, 'strip', 'strips')} a nose"


def _the(curve: Curve) -> str:
    name = method_name(curve.method)
    return name if name[0].isdigit() else f"the {name[0].lower()}{name[1:]}"


def replicates_or_people(surface: Surface) -> str:
    """One sentence: the same number of answers from more people, or more often from these."""
    plan, own = surface.plan, surface.own
    power = percent(1.0 - plan.beta)
    if own.needed is None or own.sets_needed is None or own.strips_needed is None:
        return f"Power {power} for so small a difference would take millions of answers, of whatever people."
    times = sittings(plan.method, own.sets_needed)
    load = f"{count(own.strips_needed, 'strip', 'strips')} a nose in {count(times, 'sitting', 'sittings')}"
    sets = count(own.sets_needed - plan.null_sets, "set", "sets")
    if plan.null_sets:
        sets += f" and {count(plan.null_sets, 'null set', 'null sets')}"
    speaks = whom(speaks_for(own.needed, replicated=False))
    alone = plan.people == 1
    if own.needed <= plan.people:
        return f"Power {power} takes {own.needed} answers: one each from {own.needed} of these {plan.people} people."
    return (
        f"Power {power} takes {own.needed} answers: one from each of {own.needed} people, which speaks for {speaks}, "
        f"or {sets} from {_WHOSE[alone].format(people=plan.people)} ({load}), which {_ONLY[alone]}."
    )


_WHOSE: Final = MappingProxyType({True: "this one nose", False: "each of these {people} people"})
_ONLY: Final = MappingProxyType(
    {
        True: f"speaks for {THIS_NOSE} only",
        False: f"speaks for {THIS_PANEL} only and finds as much only if all notice alike",
    }
)


def saw_tooth(surface: Surface) -> str:
    """What the teeth are, and whether the plan stands just past one."""
    asked, own = surface.plan.assessments, surface.own
    step = 2 if surface.plan.solo and kind_of(own.method).mixed else 1  # alone, triangles come in pairs
    place = asked - surface.assessments[0] - step
    told = "The teeth are real: where one more right answer is needed, one answer more lowers the power"
    before = own.power[place] if place >= 0 else 0.0
    here, fewer = percent(own.planned), percent(before)
    if before > own.planned and here != fewer:
        return f"{told}; {asked - step} answers would find it with power {fewer}, the {asked} planned with {here}."
    return f"{told}."
