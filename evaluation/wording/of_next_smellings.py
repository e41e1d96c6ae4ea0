"""What to smell next, in sentences: the two trials, why these, what it takes, and what a small panel can do instead."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil
from types import MappingProxyType
from typing import Final

from evaluation.deciding import proposals
from evaluation.deciding.evidence import Evidence
from evaluation.deciding.next_smellings import PROFILE_TIMES, RATED, SITTINGS, UNSMELT, WHICH_WAY, NextSmelling
from evaluation.kinds import kind_of
from evaluation.values.trials import sentence_case
from evaluation.wording.of_ballots import method_name
from evaluation.wording.of_decisions import on_time
from evaluation.wording.of_verdicts import count, none_counted, percent, risk


def next_words(one: NextSmelling, evidence: Evidence) -> tuple[str, str, str]:
    """Title, why, and what it takes."""
    pair = sentence_case(evidence.name(one.first_id, one.second_id))
    why = _WHY[one.why]
    if one.why == proposals.LOST:
        why = f"{sentence_case(none_counted(one.assessments, one.lost))}."
    return f"{pair}: {method_name(one.method)}", why, " ".join(_takes(one))


_WHY: Final = MappingProxyType(
    {
        proposals.DISAGREEING: "What was opened about these two contradicts itself.",
        proposals.SEVERAL_LEAD: "Both lead, and they were never set against each other.",
        proposals.CIRCLE: "The trials beat one another in a circle.",
        proposals.WAVERING: "One of them did better once, and another time it was not shown.",
        proposals.LOST: "",
        proposals.TOLD: "They are told apart; which of them people want is not known.",
        proposals.OPEN: "Undecided so far; a fresh session stands beside the one there is, never added to it.",
        RATED: "They were rated in one session; which of them people want was not asked.",
        UNSMELT: "Nobody has compared these two blind.",
        proposals.CAMPS_STAND: "The panel is in two camps; ask the people the scent is for.",
        proposals.LIKED_AWAY: "Preferred one way, nearer the other: rate what takes it away from the brief.",
        WHICH_WAY: "One does better; rating both would say what moved, and when.",
    }
)


def _takes(one: NextSmelling) -> Iterator[str]:
    if one.why == proposals.LOST:
        yield on_time(tuple(kind for kind, _ in one.lost))
    elif kind_of(one.method).rates:
        yield (
            f"At least {one.people} people rate both at {PROFILE_TIMES} strip ages: {one.strips} strips. More people "
            "teach more here than ratings said twice."
        )
    elif one.beyond:
        yield from _instead(one)
    else:
        yield from _enough(one)


def _enough(one: NextSmelling) -> Iterator[str]:
    yield (
        f"{count(one.assessments, 'assessment', 'assessments')} find it with power {percent(1 - one.beta)} if "
        f"{_share(one, one.pd)} (alpha {risk(one.alpha)}): {one.people} people once each, {one.strips} strips."
    )
    if one.replicates:
        yield (
            f"Your {one.panel} people would each smell {one.replicates} sets, over several sittings; that would speak "
            "for this panel only, more people picked by lot speak for people like them."
        )


def _share(one: NextSmelling, pd: float) -> str:
    """The share at which the size is reckoned; the tetrad's is said in terms of a triangle, at the same distance."""
    if kind_of(one.method).votes:
        return f"{_up((1 + pd) / 2)} prefer one of them"
    return f"{percent(pd)} would notice{' in a triangle' if one.in_triangles else ''}"


def _up(share: float) -> str:
    """Whole percent, never less than the share: what is found is found from there on."""
    return f"{ceil(share * 100 - 1e-9)} %"


# --- more than the panel can smell ------------------------------------------------------------------------------------


def _instead(one: NextSmelling) -> Iterator[str]:
    """What these people can do: the size of difference they do find, or that they find none."""
    people = count(one.panel, "person", "people")
    if not kind_of(one.method).votes:
        yield from _instead_of_sets(one, people)
    elif one.needed is None or one.finds is None:
        yield f"Your {people} could not show a preference, whatever they answer."
    else:
        yield (
            f"With your {people}, {one.needed} of {one.panel} would have to prefer the same one; that is found with "
            f"power {percent(1 - one.beta)} if {_share(one, one.finds)}."
        )


def _instead_of_sets(one: NextSmelling, people: str) -> Iterator[str]:
    if one.finds is None or one.finds >= 1.0:
        yield f"Your {people} could not show a difference in {SITTINGS} sittings, whatever they answer."
        return
    yield (
        f"Your {people} can smell {one.capacity} sets in {SITTINGS} sittings; these find it with power "
        f"{percent(1 - one.beta)} if {_up(one.finds)} of such sets are told apart, for this panel only."
    )


def more_than_can_be_smelt(found: Iterable[NextSmelling]) -> tuple[str, ...]:
    """Said once below all of them: how many it would take, and what can be done instead."""
    beyond = {(one.method, one.assessments): one for one in found if one.beyond and one.why != proposals.LOST}
    return tuple(_beyond(one) for one in beyond.values())


def _beyond(one: NextSmelling) -> str:
    people = count(one.panel, "person", "people")
    small = f"{method_name(one.method)}: to find it with power {percent(1 - one.beta)} if {_share(one, one.pd)} takes"
    if kind_of(one.method).votes:
        return (
            f"{small} {one.assessments} people with one vote each, and you have {one.panel}. What can be done instead: "
            f"{_SERIES}, set trials against each other that differ more, or decide by your own reason."
        )
    return (
        f"{small} {one.assessments} sets, more than your {people} can smell in {SITTINGS} sittings. What can be done "
        f"instead: {_SERIES}, look for plainer differences only, or ask for one named quality (2-AFC)."
    )


_SERIES: Final = (
    "seal a series of the two on the page Plan, whose answers add up over as many sittings as your people like, and a "
    "final before you keep one"
)
