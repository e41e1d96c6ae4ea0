"""What a plan can find, in sentences, in the order the plan page shows them."""

from __future__ import annotations

import math
from types import MappingProxyType
from typing import Final

from evaluation.entries import BELOW_GUESSING, FIRST_PREFERRED, OUT_OF_REACH, REPLICATED_LIMIT, THIS_NOSE
from evaluation.outlook import (
    NOTHING_CAN_BE_CONCLUDED,
    REST_NEEDED,
    SETS_A_SITTING,
    STRIPS_A_SITTING,
    Alternative,
    Outlook,
)
from evaluation.sessions import DIRECTED
from evaluation.wording_ballot import method_name
from evaluation.wording_verdicts import bare, count, percent, risk


def outlook_lines(outlook: Outlook) -> tuple[str, ...]:
    """What can be found; which verdicts cannot occur; a better design; strips per nose."""
    lines = (
        *_findable(outlook),
        *_impossible(outlook),
        *(_better(outlook, one) for one in outlook.better if _worth_saying(outlook)),
        *_load(outlook),
    )
    return tuple(line for line in lines if line)


def needed_votes(outlook: Outlook) -> str:
    """ "6 of 6, 8 of 8, 9 of 10, 10 of 12" """
    return ", ".join(f"{least} of {people}" for people, least in outlook.needed)


# --- what can be found ------------------------------------------------------------------------------------------


def _findable(outlook: Outlook) -> tuple[str, ...]:
    return _preference(outlook) if outlook.method == "preference" else _forced_choice(outlook)


def _forced_choice(outlook: Outlook) -> tuple[str, ...]:
    asked = count(outlook.assessments, "answer", "answers")
    if outlook.minimum_correct is None:
        return (f"{asked} can never reach alpha {risk(outlook.alpha_used)}, even if all are right.", _sizes(outlook))
    return (
        f"{outlook.minimum_correct} of {asked} right are needed for 'noticed'; the true alpha risk is then "
        f"{bare(outlook.true_alpha)}.",
        f"If {percent(outlook.pd)} {_notice(outlook)}, this is found with power {percent(outlook.power)}.",
        _sizes(outlook),
        _smallest(outlook),
    )


def _notice(outlook: Outlook) -> str:
    return "of such sets are told apart" if outlook.speaks_for == THIS_NOSE else "notice"


def _sizes(outlook: Outlook) -> str:
    if outlook.panel_size_stays is None:
        return "So small a share would need millions of answers."
    unit = "votes" if outlook.method == "preference" else "answers"
    return (
        f"Power {percent(1 - outlook.beta)} takes {outlook.panel_size_stays} {unit} or more "
        f"(the tables of the standards give the first number that reaches it, {outlook.panel_size_first})."
    )


def _smallest(outlook: Outlook) -> str:
    if outlook.smallest_pd is None or outlook.smallest_pd >= 1.0:
        return ""
    share, unit = outlook.smallest_pd, _notice(outlook)
    if outlook.method == "preference":  # of those who toss a coin, half choose the same trial
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
        f"If {percent((1 + outlook.pd) / 2)} choose one of them, this is found with power {percent(outlook.power)}.",
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
    named = " or ".join(f"'{word}'" for word in outlook.impossible)
    return (f"This session cannot end with {named}.", *lines)


_WHY: Final = MappingProxyType(
    {
        OUT_OF_REACH: "Even all answers of one kind stay above alpha.",
        BELOW_GUESSING: (
            "With so few answers the limit for 'fewer than {pd} would notice' lies below guessing, "
            "where nothing is concluded."
        ),
        REPLICATED_LIMIT: "From people who answer more than once it cannot be said how few people would notice.",
    }
)


# --- a better design --------------------------------------------------------------------------------------------


def _worth_saying(outlook: Outlook) -> bool:
    return outlook.power < 1.0 - outlook.beta


def _better(outlook: Outlook, other: Alternative) -> str:
    load = f"{count(other.strips_per_nose, 'strip', 'strips')} per nose"
    sittings = math.ceil(max(other.sets_per_nose / SETS_A_SITTING, other.strips_per_nose / STRIPS_A_SITTING))
    if sittings > 1:
        load += f", in {sittings} sittings"
    named = _DESIGNS[other.kind].format(
        method=method_name(other.method), people=other.people, replicates=other.replicates
    )
    direction = " with a named descriptor and direction" if other.kind == "method" and other.method in DIRECTED else ""
    same = "the same difference" if other.method != outlook.method else "such a share"
    power = percent(other.power)
    return f"{named}{direction} would find {same} with power {power} ({load}; speaks for {other.speaks_for})."


_DESIGNS: Final = MappingProxyType(
    {
        "method": "{method}",
        "one age": "One strip age instead of several",
        "replicates": "{replicates} sets per person at each strip age",
        "people": "{people} people",
    }
)


# --- how much a nose bears --------------------------------------------------------------------------------------


def _load(outlook: Outlook) -> tuple[str, ...]:
    strips = count(outlook.strips_per_nose, "strip", "strips")
    lines = [f"Each nose smells {strips} in {count(outlook.sets_per_nose, 'set', 'sets')}."]
    if REST_NEEDED in outlook.reasons:
        lines.append(
            f"More than {SETS_A_SITTING} sets or {STRIPS_A_SITTING} strips tire a nose: plan 10 to 15 minutes in "
            "fresh air after so many, or a second sitting (common practice, no source)."
        )
    return tuple(lines)
