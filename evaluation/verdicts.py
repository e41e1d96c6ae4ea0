"""The rule: counts of one session or file in, verdict words out. No rounding, no sentences.

The rule in short (DEVELOPERS.md has it with reasons):

* lower tail first: at most this many correct by guessing with probability ≤ alpha means that something is the
  wrong way round, and nothing else is concluded;
* *noticed*: exact p ≤ the level used, a tie counts (``correct >= minimum_correct``);
* *small*: ``correct <= maximum_correct``, where that limit exists and one may speak of people;
* several ages: one primary age at full alpha is the session's verdict, the others are Holm-corrected among
  themselves and confirm only if the primary is noticed; without a primary, Holm over all.

Holm and *small*: the beta side is not corrected. A claim of few noticers is made for each age by itself, and "at no
age" is the claim that every age passes: its risk is at most beta because a single failing age forbids it
(intersection-union test, Berger 1982, Technometrics 24, 295–300, from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation import figures, statistics
from evaluation.entries import (
    BELOW_GUESSING,
    CHECK_THE_KEY,
    FIRST_PREFERRED,
    NO_ANSWERS,
    NO_PREFERENCE_SHOWN,
    NOT_NOTICED,
    NOTICED,
    NOTICED_BUT_SMALL,
    OUT_OF_REACH,
    PEOPLE_LIKE_THIS,
    PEOPLE_NEEDED,
    POOLED,
    PREFERENCES,
    PRIMARY_MISSING,
    REPLICATED_LIMIT,
    REVERSED,
    SECOND_PREFERRED,
    SEVERAL_ANSWERS,
    THIS_NOSE,
    THIS_PANEL,
    UNDECIDED,
    VERDICTS,
    AnyEntry,
    Entry,
    PreferenceEntry,
    Rules,
    rules_of,
)
from evaluation.errors import ArgumentError
from evaluation.figures import Facts
from evaluation.sessions import DIRECTED
from evaluation.tallies import AnyTally, PreferenceTally, Tally

__all__ = [
    "PREFERENCES",
    "VERDICTS",
    "AnyEntry",
    "AnyTally",
    "Entry",
    "PreferenceEntry",
    "PreferenceTally",
    "Rules",
    "Tally",
    "judge_tallies",
    "levels",
    "rules_of",
    "speaks_for",
    "word",
]


# --- judging --------------------------------------------------------------------------------------------------


def judge_tallies(tallies: Iterable[AnyTally], rules: Rules) -> tuple[AnyEntry, ...]:
    """One entry per tally, in the order given; the ages of one comparison and method are one family."""
    given = tuple(tallies)
    families: dict[tuple[str, str], list[int]] = {}
    for place, tally in enumerate(given):
        families.setdefault((tally.comparison, tally.method), []).append(place)
    _check_primary(given, rules)
    judged: dict[int, AnyEntry] = {}
    for places in families.values():
        entries = _judge_family([given[place] for place in places], rules)
        judged.update(zip(places, entries, strict=True))
    return tuple(judged[place] for place in range(len(given)))


def _check_primary(tallies: Sequence[AnyTally], rules: Rules) -> None:
    ages = {tally.age_minutes for tally in tallies}
    if tallies and rules.primary_age is not None and rules.primary_age not in ages:
        known = ", ".join(sorted(f"{age:g}" if isinstance(age, int | float) else age for age in ages))
        raise ArgumentError(f"primary_age must be one of the strip ages answered ({known}), not {rules.primary_age}.")


def _judge_family(family: Sequence[AnyTally], rules: Rules) -> list[AnyEntry]:
    ages = [tally.age_minutes for tally in family]
    if len(set(ages)) != len(ages):
        raise ArgumentError(f"strip ages of {family[0].comparison!r} must differ.")
    sums = [_summed(tally, rules) for tally in family]
    steps = levels(ages, [one.p_value for one in sums], [one.reaches for one in sums], rules)
    return [_entered(tally, one, step, rules) for tally, one, step in zip(family, sums, steps, strict=True)]


@dataclass(frozen=True, slots=True)
class Step:
    """The place of one age in its family, and whether its p-value reached the level it was compared with."""

    primary: bool
    confirmatory: bool
    alpha_used: float
    p_family: float
    reached: bool


def levels(
    ages: Sequence[float | str],
    p_values: Sequence[float],
    reaches: Sequence[Callable[[float], bool]],
    rules: Rules,
) -> list[Step]:
    """The level of every age. ``reaches[i](level)`` says exactly whether age i's p-value is at most ``level``."""
    primary = ages[0] if rules.primary_age is None and len(ages) == 1 else rules.primary_age
    named = [i for i, age in enumerate(ages) if age == primary]
    others = [i for i in range(len(ages)) if i not in named]
    first = _holm(named, p_values, reaches, rules.alpha)
    rest = _holm(others, p_values, reaches, rules.alpha)
    gate = primary is None or any(passed for _, _, passed in first.values())
    steps = {i: Step(True, True, *found) for i, found in first.items()}
    steps |= {i: Step(False, gate, *found) for i, found in rest.items()}
    return [steps[i] for i in range(len(ages))]


def _holm(
    members: Sequence[int], p_values: Sequence[float], reaches: Sequence[Callable[[float], bool]], alpha: float
) -> dict[int, tuple[float, float, bool]]:
    """Level used, p within the family and outcome of each member (Holm 1979); a family of one keeps full alpha."""
    order = sorted(members, key=lambda i: p_values[i])
    adjusted = [float(p) for p in statistics.holm([p_values[i] for i in order])] if len(order) > 1 else []
    found: dict[int, tuple[float, float, bool]] = {}
    level, going = alpha, True
    for rank, i in enumerate(order):
        if going:
            level = alpha / (len(order) - rank)
            going = reaches[i](level)
        found[i] = (level, adjusted[rank] if adjusted else p_values[i], going)
    return found


# --- sums of a tally ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Counted:
    """Pooled answers of a forced choice."""

    method: str
    panelists: int
    assessments: int
    correct: int
    replicated: bool  # several answers from at least one of several people
    p_value: float

    def reaches(self, level: float) -> bool:
        least = figures.minimum(self.assessments, self.method, level)
        return least is not None and self.correct >= least


@dataclass(frozen=True, slots=True)
class _Voted:
    """Votes of a preference: of people, or the answers of a panel of one."""

    panelists: int
    first: int
    second: int
    none: int
    answers: tuple[int, int, int]
    leader: int
    votes: int
    p_value: float

    def reaches(self, level: float) -> bool:
        least = figures.preference_minimum(self.votes, level)
        return least is not None and self.leader >= least


def _summed(tally: AnyTally, rules: Rules) -> _Counted | _Voted:
    return _counted(tally) if isinstance(tally, Tally) else _voted(tally, rules)


def _counted(tally: Tally) -> _Counted:
    people, asked, correct = len(tally.people), sum(tally.assessments), sum(tally.correct)
    p_value = figures.tested(correct, asked, tally.method).p_value if asked else 1.0
    return _Counted(tally.method, people, asked, correct, 1 < people < asked, p_value)


def _voted(tally: PreferenceTally, rules: Rules) -> _Voted:
    answers = (sum(tally.first), sum(tally.second), sum(tally.none))
    each = list(zip(tally.first, tally.second, tally.none, strict=True))
    people = sum(any(own) for own in each)
    first, second, none = answers if people == 1 else _majorities(each)
    leader, votes = max(first, second), first + second
    if rules.ties == "split":  # halves; an odd tie rounds the leader down
        leader, votes = leader + none // 2, votes + none
    p_value = figures.preferred(first, second, none, rules.ties).p_value if first + second + none else 1.0
    return _Voted(people, first, second, none, answers, leader, votes, p_value)


def _majorities(each: Iterable[tuple[int, int, int]]) -> tuple[int, int, int]:
    """One vote per person: the answer given most often; an even split is no preference."""
    votes = [0, 0, 0]
    for first, second, none in each:
        if first > max(second, none):
            votes[0] += 1
        elif second > max(first, none):
            votes[1] += 1
        elif first or second or none:
            votes[2] += 1
    return votes[0], votes[1], votes[2]


# --- entries --------------------------------------------------------------------------------------------------


def word(correct: int, minimum: int | None, maximum: int | None, turned: bool) -> str:
    """The verdict on a count: ``turned`` says that the lower tail reached alpha, and comes first."""
    if turned:
        return UNDECIDED
    noticed = minimum is not None and correct >= minimum
    small = maximum is not None and correct <= maximum
    return _WORD[noticed, small]


_WORD: Final = MappingProxyType(
    {
        (True, False): NOTICED,
        (False, True): NOT_NOTICED,
        (True, True): NOTICED_BUT_SMALL,
        (False, False): UNDECIDED,
    }
)


def speaks_for(panelists: int, replicated: bool) -> str:
    """Whom a verdict speaks for; ``replicated``: somebody of several people answered more than once."""
    if panelists == 1:
        return THIS_NOSE
    return PEOPLE_LIKE_THIS if panelists >= PEOPLE_NEEDED and not replicated else THIS_PANEL


def _entered(tally: AnyTally, summed: _Counted | _Voted, step: Step, rules: Rules) -> AnyEntry:
    if isinstance(tally, Tally) and isinstance(summed, _Counted):
        return _entry(tally, summed, step, rules)
    assert isinstance(tally, PreferenceTally)
    assert isinstance(summed, _Voted)
    return _preference_entry(tally, summed, step, rules)


def _entry(tally: Tally, counted: _Counted, step: Step, rules: Rules) -> Entry:
    facts = figures.facts(counted.correct, counted.assessments, tally.method, step.alpha_used, rules)
    maximum = None if counted.replicated else facts.maximum
    verdict = word(counted.correct, facts.minimum, maximum, facts.turned)
    undecided = verdict == UNDECIDED
    return Entry(
        comparison=tally.comparison,
        method=tally.method,
        age_minutes=tally.age_minutes,
        panelists=counted.panelists,
        assessments=counted.assessments,
        correct=counted.correct,
        p_value=counted.p_value,
        p_family=step.p_family,
        alpha=rules.alpha,
        alpha_used=step.alpha_used,
        beta=rules.beta,
        pd=rules.pd,
        primary_age=rules.primary_age,
        ties=rules.ties,
        primary=step.primary,
        confirmatory=step.confirmatory,
        minimum_correct=facts.minimum,
        maximum_correct=maximum,
        proportion_correct=facts.proportion,
        discriminators=facts.share[0],
        discriminators_low=facts.share[1],
        discriminators_high=facts.share[2],
        d_prime=facts.distance[0],
        d_prime_low=facts.distance[1],
        d_prime_high=facts.distance[2],
        level=facts.level,
        upper_limit=facts.upper_limit,
        verdict=verdict,
        reason=_reason(counted, facts) if undecided else "",
        stand_out=_stand_out(tally, rules.alpha) if counted.replicated else None,
        speaks_for=speaks_for(counted.panelists, counted.replicated),
        settle=figures.settle(tally.method, rules.alpha, rules.beta, rules.pd) if undecided else None,
        notes=_notes(counted, facts, step, rules),
    )


def _reason(counted: _Counted, facts: Facts) -> str:
    if counted.assessments == 0:
        return NO_ANSWERS
    if facts.turned:
        return REVERSED if counted.method in DIRECTED else CHECK_THE_KEY
    return REPLICATED_LIMIT if counted.replicated and _within(counted.correct, facts.maximum) else ""


def _within(correct: int, maximum: int | None) -> bool:
    return maximum is not None and correct <= maximum


def _notes(counted: _Counted, facts: Facts, step: Step, rules: Rules) -> tuple[str, ...]:
    said = {
        SEVERAL_ANSWERS: counted.replicated,
        OUT_OF_REACH: facts.minimum is None,
        BELOW_GUESSING: facts.maximum is None,
        PRIMARY_MISSING: rules.primary_age is not None and not step.primary and not step.confirmatory,
    }
    return tuple(note for note, holds in said.items() if holds)


def _stand_out(tally: Tally, alpha: float) -> int:
    """How many people's own answers reach alpha by themselves, Holm-corrected over the panelists."""
    own = list(zip(tally.correct, tally.assessments, strict=True))
    p_values = [figures.tested(right, asked, tally.method).p_value for right, asked in own]
    reaches = [_Counted(tally.method, 1, asked, right, False, 1.0).reaches for right, asked in own]
    return sum(passed for _, _, passed in _holm(range(len(own)), p_values, reaches, alpha).values())


def _preference_entry(tally: PreferenceTally, voted: _Voted, step: Step, rules: Rules) -> PreferenceEntry:
    replicated = sum(voted.answers) > voted.panelists
    share = figures.shares(voted.first, voted.second, voted.none, rules.ties, rules.alpha)
    minimum = figures.preference_minimum(voted.votes, step.alpha_used)
    return PreferenceEntry(
        comparison=tally.comparison,
        method=tally.method,
        age_minutes=tally.age_minutes,
        panelists=voted.panelists,
        assessments=sum(voted.answers),
        first=voted.first,
        second=voted.second,
        none=voted.none,
        first_answers=voted.answers[0],
        second_answers=voted.answers[1],
        none_answers=voted.answers[2],
        votes=voted.votes,
        p_value=voted.p_value,
        p_family=step.p_family,
        alpha=rules.alpha,
        alpha_used=step.alpha_used,
        beta=rules.beta,
        pd=rules.pd,
        primary_age=rules.primary_age,
        ties=rules.ties,
        primary=step.primary,
        confirmatory=step.confirmatory,
        minimum=minimum,
        share_first=share[0],
        share_low=share[1],
        share_high=share[2],
        level=1.0 - rules.alpha,
        verdict=_preference_word(voted, step.reached),
        speaks_for=speaks_for(voted.panelists, replicated),
        settle=None if step.reached else figures.preference_settle(rules.alpha, rules.beta, rules.pd),
        notes=_preference_notes(voted, minimum, step, rules),
    )


def _preference_word(voted: _Voted, reached: bool) -> str:
    if not reached:
        return NO_PREFERENCE_SHOWN
    return FIRST_PREFERRED if voted.first > voted.second else SECOND_PREFERRED


def _preference_notes(voted: _Voted, minimum: int | None, step: Step, rules: Rules) -> tuple[str, ...]:
    said = {
        NO_ANSWERS: sum(voted.answers) == 0,
        POOLED: voted.panelists == 1 and sum(voted.answers) > 1,
        SEVERAL_ANSWERS: 1 < voted.panelists < sum(voted.answers),
        OUT_OF_REACH: minimum is None,
        PRIMARY_MISSING: rules.primary_age is not None and not step.primary and not step.confirmatory,
    }
    return tuple(note for note, holds in said.items() if holds)
