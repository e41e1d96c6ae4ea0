"""Words beside a verdict: how the people of a panel differ, null sets, a second opinion, a material somebody misses."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from evaluation.ground import tables_digits
from evaluation.judging.entries import CHECK_THE_KEY, NO_WORD, PEOPLE_NEEDED, REVERSED, Entry
from evaluation.judging.nulls import NullControl
from evaluation.judging.sequences import SequentialEntry
from evaluation.judging.spread import Spread
from evaluation.statistics import Belief, MissedMaterial, chance
from evaluation.wording.of_verdicts import bare, count, p_words, percent, risk, verdict_name

# --- several answers per person ---------------------------------------------------------------------------------------


def spread_lines(entry: Entry, spread: Spread) -> tuple[str, ...]:
    """How the people of a panel differ, and what may be said of people like them, one sentence or two a line."""
    return (_mean(entry, spread), _differ(entry, spread), _people(entry, spread))


def _mean(entry: Entry, spread: Spread) -> str:
    limits = f"from {_whole(spread.mu_low)} to {_whole(spread.mu_high)}, {_whole(spread.level)} likelihood interval"
    guessing = _whole(chance(entry.method))
    return f"Right on average over people: {_whole(spread.mu)} of answers ({limits}; guessing gives {guessing})."


def _differ(entry: Entry, spread: Spread) -> str:
    if spread.gamma is None or spread.overdispersion_p is None:
        return "These answers cannot tell how much the people differ."
    shown = p_words(spread.overdispersion_p, entry.alpha)
    limits = f"from {bare(spread.gamma_low, 2)} to {bare(spread.gamma_high, 2)}"
    return (
        f"How much the people differ (gamma: 0 all alike, 1 each always or never): {bare(spread.gamma, 2)}, {limits}. "
        f"People who are all alike would differ this much by chance with {shown}."
    )


def _people(entry: Entry, spread: Spread) -> str:
    """Of people who were not there: refused with too few, else the second word and its limits."""
    if spread.people_missing:
        more = count(spread.people_missing, "person", "people")
        return (
            f"Nothing is said of people like this panel: that needs {PEOPLE_NEEDED} people, {more} more than sat here."
        )
    if entry.reason in (REVERSED, CHECK_THE_KEY):
        return "Nothing is said of people like this panel before that is cleared up."
    if spread.people_verdict == NO_WORD:
        return "Nothing is said of people like this panel at an exploratory age."
    return (
        f"Of people like this panel: {verdict_name(spread.people_verdict).lower()}; {_people_limits(entry, spread)} of "
        f"such sets on average. This holds only if the panel was picked from them by chance, which friends are not."
    )


def _people_limits(entry: Entry, spread: Spread) -> str:
    assert spread.people_low is not None
    assert spread.people_high is not None
    low = f"at least {percent(spread.people_low)} (alpha {risk(entry.alpha_used)})"
    high = f"at most {percent(spread.people_high)} (beta {risk(entry.beta)})"
    if spread.people_low == 0.0:
        return f"they notice {high}"
    return f"they notice {low} and {high}" if spread.people_high < 1.0 else f"they notice {low}"


def person_line(right: int, asked: int, expected: float | None, stands_out: bool) -> str:
    """One panelist of a panel with several answers each."""
    told = f"{right} of {asked} right"
    if expected is not None:
        told += f"; to be expected next: {_whole(expected)} right"
    return f"{told}; stands out by these answers alone" if stands_out else told


EXPECTED: Final = (
    "What is to be expected next is drawn towards the panel as far as its people are alike. It claims nothing about "
    "anybody: only who stands out does, corrected for looking at everybody. A share below guessing means no more "
    "than guessing."
)


def _whole(share: float) -> str:
    """A share in whole percent; never 0 or 100 by rounding alone."""
    if 0.0 < share < 0.005:
        return "under 1 %"
    return "over 99 %" if 0.995 < share < 1.0 else tables_digits.percent(share)


# --- null sets --------------------------------------------------------------------------------------------------------

CHECK_FOR_LEAKS: Final = "check colour, dose, age, wet length, and anything else that tells two vials apart"


def null_lines(found: NullControl) -> tuple[str, ...]:
    """What the null sets say; never part of the verdict."""
    told = (
        f"{found.correct} of {count(found.assessments, 'null set', 'null sets')} “right”, from "
        f"{count(found.panelists, 'person', 'people')} ({_null_limits(found)}, {p_words(found.p_value, found.alpha)})."
    )
    return (f"{_null_word(found)}", told)


def _null_word(found: NullControl) -> str:
    if found.noticed:
        return (
            f"Noticed, though there was nothing to notice: a leak, or a chance of at most {risk(found.alpha)}. "
            f"Before you rely on the verdict, {CHECK_FOR_LEAKS}."
        )
    caught = f"it would have caught a pd of {percent(found.pd)} with power {bare(found.power, 2)}"
    return f"Quiet. This does not clear the preparation; {caught}."


def _null_limits(found: NullControl) -> str:
    alpha = risk(found.alpha)
    if found.minimum is None:
        return f"even all would not show a leak at alpha {alpha}"
    if found.reversed_maximum is None:
        return f"{found.minimum} would show a leak at alpha {alpha}"
    return f"{found.minimum} or more, or {found.reversed_maximum} or fewer, would show a leak at alpha {alpha}"


# --- a second opinion -------------------------------------------------------------------------------------------------

_PRIORS: Final = MappingProxyType(
    {
        "sceptical": "small shares held likelier",
        "flat": "every share held as likely",
        "hopeful": "large shares likelier",
    }
)
ONE_ANSWER_EACH: Final = (
    "No second opinion: it needs one answer per person, or all answers of one nose; pooled answers of several people "
    "would make it too sure."
)


def opinion_lines(entry: Entry | SequentialEntry, found: Belief) -> tuple[str, ...]:
    """The posterior probability of more than the sealed share, and how much it hangs on the prior."""
    nose = entry.panelists == 1
    share = percent(found.limit)
    what = f"this nose tells apart more than {share} of such sets" if nose else f"more than {share} notice"
    sealed = str(found.prior)
    each = ", ".join(f"{name} {_whole(value)}" for name, value in found.sensitivity)
    return (
        f"Probability that {what}: {_whole(found.probability_above)}; before any answer it was "
        f"{_whole(found.prior_above)}. The prior was sealed: {sealed} ({_PRIORS[sealed]}).",
        f"How much it hangs on the prior: {each}.",
    )


# --- a material somebody misses ---------------------------------------------------------------------------------------

CHECK_ALONE: Final = (
    "The check: the material alone, diluted, against two blanks of the solvent; pick one of three, three rounds, the "
    "places drawn by lot by somebody else. Pass marks (our proposal): 3 of 3 smells it, 2 repeats with three new "
    "rounds, 0 or 1 is flagged. One in 27 who cannot smell it passes by luck."
)
NO_CLEARANCE: Final = (
    "Few answers seldom reach this, so that nobody is named does not clear anybody. Answers stay in their verdicts: "
    "only a rule sealed before smelling leaves somebody out."
)
_SAYS: Final = MappingProxyType(
    {
        "smells it": "Smells it, at this dilution, today.",
        "repeat": "Unclear: three new rounds, judged alone.",
        "flag": "Flagged for this material: a reason to look at the answers with and without, and no diagnosis.",
    }
)


def missed_line(alias: str, material: str, one: MissedMaterial, alpha: float) -> str:
    """One panelist who misses a material others notice."""
    return (
        f"{alias} seems to miss {material}: {one.correct_with} of {one.assessments_with} right where it was changed, "
        f"{one.correct_without} of {one.assessments_without} elsewhere; the others did better where it was changed "
        f"({p_words(one.p_family, alpha)}, corrected for looking at everybody)."
    )


def check_words(says: str) -> str:
    """The outcome of the check with the material alone."""
    return _SAYS[says]
