"""The rule of a session judged once, or of a file: it takes counts and gives verdict words; no rounding, no sentences.

The rule in short (DEVELOPERS.md has it with reasons):

* lower tail first: at most this many correct by guessing with probability ≤ alpha means that something is the
  wrong way round, and nothing else is concluded;
* *noticed*: exact p ≤ the level used, a tie counts (``correct >= minimum_correct``);
* *small*: ``correct <= maximum_correct``, where that limit exists. Where several people answered more than once it is
  that of this panel, a share of such sets and never of people; ``spread`` says what may be said of people like it;
* answers weighed by the sureness said, where that was sealed: *noticed* is then the weight of right answers against
  its exact law given the words said, at every step of what follows; *small* and the lower tail stay those of the count;
* several ages: one primary age at full alpha is the session's verdict, the others are Holm-corrected among
  themselves and confirm only if the primary is noticed; without a primary, Holm over all. Ages that cannot confirm
  are exploratory: a number and no word (their words came out "noticed" in .07 to .08 of sessions in which nothing
  is), except *not noticed*, whose beta is not corrected, so that "at no age" can be said.

Holm and *small*: the beta side is not corrected. A claim of few noticers is made for each age by itself, and "at no
age" is the claim that every age passes: its risk is at most beta because a single failing age forbids it
(intersection-union test, Berger 1982, Technometrics 24, 295–300, from memory).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from types import MappingProxyType
from typing import Final

from evaluation.counting.tallies import AnyPooled, AnyTally, Pooled, PooledVotes, PreferenceTally, Tally
from evaluation.errors import ArgumentError
from evaluation.judging import figures
from evaluation.judging.entries import (
    BELOW_GUESSING,
    CHECK_THE_KEY,
    EXPLORATORY,
    FIRST_PREFERRED,
    NO_ANSWERS,
    NO_PREFERENCE_SHOWN,
    NO_WORD,
    NOT_NOTICED,
    NOTICED,
    NOTICED_BUT_SMALL,
    OUT_OF_REACH,
    PEOPLE_LIKE_THIS,
    PEOPLE_NEEDED,
    POOLED,
    PREFERENCES,
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
    Weighed,
    rules_of,
)
from evaluation.judging.figures import Facts
from evaluation.kinds import kind_of
from evaluation.statistics.laws.several_questions import steps
from evaluation.statistics.preference.votes import TIES_RULES

__all__ = [
    "PREFERENCES",
    "VERDICTS",
    "AnyEntry",
    "AnyPooled",
    "AnyTally",
    "Entry",
    "PreferenceEntry",
    "PreferenceTally",
    "Rules",
    "Tally",
    "allowed",
    "judge_tallies",
    "levels",
    "rules_of",
    "speaks_for",
    "word",
]


# --- judging --------------------------------------------------------------------------------------------------


def judge_tallies(tallies: Iterable[AnyTally | AnyPooled], rules: Rules) -> tuple[AnyEntry, ...]:
    """One entry per tally, in the order given; the ages of one comparison and method are one family."""
    given = tuple(one if isinstance(one, AnyPooled) else one.pooled() for one in tallies)
    families: dict[tuple[str, str], list[int]] = {}
    for place, tally in enumerate(given):
        families.setdefault((tally.comparison, tally.method), []).append(place)
    _check_primary(given, rules)
    _check_weights(given, rules)
    judged: dict[int, AnyEntry] = {}
    for places in families.values():
        entries = _judge_family([given[place] for place in places], rules)
        judged.update(zip(places, entries, strict=True))
    return tuple(judged[place] for place in range(len(given)))


def _check_primary(tallies: Sequence[AnyPooled], rules: Rules) -> None:
    ages = {tally.age_minutes for tally in tallies}
    if tallies and rules.primary_age is not None and rules.primary_age not in ages:
        known = ", ".join(sorted(map(_written, ages)))
        asked = _written(rules.primary_age)
        raise ArgumentError(f"primary_age must be one of the strip ages answered ({known}), not {asked}.")


def _check_weights(tallies: Sequence[AnyPooled], rules: Rules) -> None:
    """Weights hold for answers whose sureness was counted, one a person or of one nose."""
    for one in tallies if rules.weights else ():
        if not isinstance(one, Pooled):
            continue
        if one.replicated:
            raise ArgumentError(
                f"weights must be left out: several people answered about {one.comparison!r} more than once, and one "
                "who is always sure would speak for the panel."
            )
        if not one.said:
            raise ArgumentError(f"weights must be left out: how sure people were of {one.comparison!r} is not known.")


def _written(age: float | str) -> str:
    return age if isinstance(age, str) else f"{age:g}"


def _judge_family(family: Sequence[AnyPooled], rules: Rules) -> list[AnyEntry]:
    ages = [tally.age_minutes for tally in family]
    if len(set(ages)) != len(ages):
        raise ArgumentError(f"strip ages of {family[0].comparison!r} must differ.")
    p_values = [_p_value(pooled, rules) for pooled in family]
    reaches = [partial(_reaches, pooled, rules) for pooled in family]
    steps = levels(ages, p_values, reaches, rules)
    return [_entered(*one, rules) for one in zip(family, p_values, steps, strict=True)]


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
    """Level used, p within the family and outcome of each member; a family of one keeps full alpha."""
    found: dict[int, tuple[float, float, bool]] = {}
    level, going = alpha, True
    for place, left, adjusted in steps([p_values[i] for i in members]):
        i = members[place]
        if going:
            level = alpha / left
            going = reaches[i](level)
        found[i] = (level, adjusted, going)
    return found


# --- exact comparisons with a level ---------------------------------------------------------------------------


def _p_value(pooled: AnyPooled, rules: Rules) -> float:
    if isinstance(pooled, Pooled):
        if rules.weights:
            return figures.weighed_p_value(pooled.said, pooled.method, rules.weights)
        return figures.p_value(pooled.correct, pooled.assessments, pooled.method)
    return figures.preference_p_value(*pooled.votes, rules.ties)


def _reaches(pooled: AnyPooled, rules: Rules, level: float) -> bool:
    """True where the p-value is at most ``level``, settled in whole numbers."""
    if isinstance(pooled, Pooled):
        weighed = _weighed(pooled, level, rules)
        if weighed is not None:
            return _reached(weighed.right, weighed.needed)
        return _reached(pooled.correct, figures.minimum(pooled.assessments, pooled.method, level))
    leader, votes = _leader(pooled, rules)
    return _reached(leader, figures.preference_minimum(votes, level))


def _weighed(pooled: Pooled, level: float, rules: Rules) -> Weighed | None:
    """The answers by weight, where weights were sealed."""
    if not rules.weights:
        return None
    right, total = (
        sum(weight * counted[place] for weight, counted in zip(rules.weights, pooled.said, strict=True))
        for place in (1, 0)
    )
    needed = figures.least_weight(pooled.said, pooled.method, rules.weights, level)
    p_value = figures.weighed_p_value(pooled.said, pooled.method, rules.weights)
    return Weighed(rules.weights, pooled.said, right, total, needed, p_value)


def _reached(count: int, least: int | None) -> bool:
    return least is not None and count >= least


def _leader(pooled: PooledVotes, rules: Rules) -> tuple[int, int]:
    """Votes of the leader and votes that count, by the sealed rule for ties."""
    return TIES_RULES[rules.ties](*pooled.votes)


# --- entries --------------------------------------------------------------------------------------------------


def word(correct: int, minimum: int | None, maximum: int | None, turned: bool) -> str:
    """The verdict on a count: ``turned`` says that the lower tail reached alpha, and comes first."""
    return _of_both(_reached(correct, minimum), correct, maximum, turned)


def _of_both(noticed: bool, correct: int, maximum: int | None, turned: bool) -> str:
    small = maximum is not None and correct <= maximum
    return UNDECIDED if turned else _WORD[noticed, small]


_WORD: Final = MappingProxyType(
    {
        (True, False): NOTICED,
        (False, True): NOT_NOTICED,
        (True, True): NOTICED_BUT_SMALL,
        (False, False): UNDECIDED,
    }
)


def allowed(verdict: str, confirmatory: bool) -> str:
    """The word an age may carry: an exploratory one has none, *not noticed* excepted."""
    return verdict if confirmatory or verdict == NOT_NOTICED else NO_WORD


def speaks_for(panelists: int, replicated: bool) -> str:
    """Whom a verdict speaks for; ``replicated``: somebody of several people answered more than once."""
    if panelists == 1:
        return THIS_NOSE
    return PEOPLE_LIKE_THIS if panelists >= PEOPLE_NEEDED and not replicated else THIS_PANEL


def _entered(pooled: AnyPooled, p_value: float, step: Step, rules: Rules) -> AnyEntry:
    if isinstance(pooled, Pooled):
        return _entry(pooled, p_value, step, rules)
    return _preference_entry(pooled, p_value, step, rules)


def _entry(pooled: Pooled, p_value: float, step: Step, rules: Rules) -> Entry:
    replicated = pooled.replicated
    facts = figures.facts(pooled.correct, pooled.assessments, pooled.method, step.alpha_used, rules, replicated)
    weighed = _weighed(pooled, step.alpha_used, rules)
    noticed = _reached(pooled.correct, facts.minimum) if weighed is None else _reached(weighed.right, weighed.needed)
    found = _of_both(noticed, pooled.correct, facts.maximum, facts.turned)
    verdict = allowed(found, step.confirmatory)
    undecided = verdict == UNDECIDED
    return Entry(
        comparison=pooled.comparison,
        method=pooled.method,
        age_minutes=pooled.age_minutes,
        panelists=pooled.panelists,
        assessments=pooled.assessments,
        correct=pooled.correct,
        p_value=p_value if weighed is None else figures.p_value(pooled.correct, pooled.assessments, pooled.method),
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
        maximum_correct=facts.maximum,
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
        reason=_reason(pooled, facts) if found == UNDECIDED else "",
        stand_out=_stand_out(pooled, rules.alpha) if replicated else None,
        own=pooled.own,
        speaks_for=speaks_for(pooled.panelists, replicated),
        settle=figures.settle(pooled.method, rules.alpha, rules.beta, rules.pd) if undecided else None,
        notes=_notes(pooled, facts, step),
        weighed=weighed,
    )


def _reason(pooled: Pooled, facts: Facts) -> str:
    if pooled.assessments == 0:
        return NO_ANSWERS
    if not facts.turned:
        return ""
    return REVERSED if kind_of(pooled.method).directed else CHECK_THE_KEY


def _notes(pooled: Pooled, facts: Facts, step: Step) -> tuple[str, ...]:
    said = {
        SEVERAL_ANSWERS: pooled.replicated,
        OUT_OF_REACH: facts.minimum is None,
        BELOW_GUESSING: facts.maximum is None,
        EXPLORATORY: not step.confirmatory,
    }
    return tuple(note for note, holds in said.items() if holds)


def _stand_out(pooled: Pooled, alpha: float) -> int:
    """How many people's own answers reach alpha by themselves, Holm-corrected over the panelists.

    People with equal counts have equal p-values and pass together: the levels of later steps are only wider.
    """
    alike = Counter(pooled.own)
    standing = 0
    for right, asked in sorted(alike, key=lambda own: figures.p_value(*own, pooled.method)):
        level = alpha / (len(pooled.own) - standing)
        if not _reached(right, figures.minimum(asked, pooled.method, level)):
            break
        standing += alike[right, asked]
    return standing


def _preference_entry(pooled: PooledVotes, p_value: float, step: Step, rules: Rules) -> PreferenceEntry:
    leader, votes = _leader(pooled, rules)
    share = figures.shares(*pooled.votes, rules.ties, rules.alpha)
    minimum = figures.preference_minimum(votes, step.alpha_used)
    reached = _reached(leader, minimum)
    still_open = step.confirmatory and not reached
    replicated = sum(pooled.answers) > pooled.panelists
    return PreferenceEntry(
        comparison=pooled.comparison,
        method=pooled.method,
        age_minutes=pooled.age_minutes,
        panelists=pooled.panelists,
        assessments=sum(pooled.answers),
        first=pooled.votes[0],
        second=pooled.votes[1],
        none=pooled.votes[2],
        first_answers=pooled.answers[0],
        second_answers=pooled.answers[1],
        none_answers=pooled.answers[2],
        votes=votes,
        p_value=p_value,
        p_family=step.p_family,
        alpha=rules.alpha,
        alpha_used=step.alpha_used,
        beta=rules.beta,
        pd=rules.pd,
        primary_age=rules.primary_age,
        ties=rules.ties,
        primary=step.primary,
        confirmatory=step.confirmatory,
        minimum_correct=minimum,
        share_first=share[0],
        share_low=share[1],
        share_high=share[2],
        level=1.0 - rules.alpha,
        verdict=allowed(_preference_word(pooled.votes, reached), step.confirmatory),
        speaks_for=speaks_for(pooled.panelists, replicated),
        settle=figures.preference_settle(rules.alpha, rules.beta, rules.pd) if still_open else None,
        notes=_preference_notes(pooled, minimum, step),
    )


def _preference_word(votes: tuple[int, int, int], reached: bool) -> str:
    if not reached:
        return NO_PREFERENCE_SHOWN
    return FIRST_PREFERRED if votes[0] > votes[1] else SECOND_PREFERRED


def _preference_notes(pooled: PooledVotes, minimum: int | None, step: Step) -> tuple[str, ...]:
    said = {
        NO_ANSWERS: sum(pooled.answers) == 0,
        POOLED: pooled.panelists == 1 and sum(pooled.answers) > 1,
        SEVERAL_ANSWERS: 1 < pooled.panelists < sum(pooled.answers),
        OUT_OF_REACH: minimum is None,
        EXPLORATORY: not step.confirmatory,
    }
    return tuple(note for note, holds in said.items() if holds)
