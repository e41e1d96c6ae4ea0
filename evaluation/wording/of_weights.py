"""Answers weighed by the sureness said with them: what it is worth before anybody smells, and what is sealed of it."""

from __future__ import annotations

from typing import Final

from evaluation.ground.terms import SURENESS
from evaluation.judging.entries import THIS_NOSE
from evaluation.planning.outlook import Outlook
from evaluation.planning.weights import ByWeight
from evaluation.wording.of_verdicts import bare, percent, risk

LEAD: Final = (
    "Everybody says with each answer how sure they were. Surer answers can count for more in “noticed”: finer steps, "
    "and more where sureness tells something."
)
NOTE: Final = (
    "Sealed with the plan, for “noticed” only: “not noticed” and every limit stay by count, and findings show both "
    "numbers. An answer without a word counts as a guess. Say nothing of it to the panel: whoever says “sure” to "
    "everything only turns it back into a count."
)
KEPT_BY_COUNT: Final = "“Not noticed” and every limit stay by count."


def weights_words(weights: tuple[int, ...]) -> str:
    """ "guess 2, unsure 3, fairly sure 4, sure 5" """
    return ", ".join(f"{word} {weight}" for word, weight in zip(SURENESS, weights, strict=True))


def offer(outlook: Outlook, found: ByWeight) -> tuple[str, str]:
    """Why it is offered, and power both ways in plain words."""
    return (
        f"By count {outlook.minimum_correct} of {outlook.assessments} right are needed; when everybody guesses that "
        f"happens with a chance of {bare(outlook.true_alpha)}, though {risk(outlook.alpha_used)} is allowed.",
        power_line(outlook, found),
    )


def power_line(outlook: Outlook, found: ByWeight) -> str:
    """The chance to find the change that matters, by count and by weight."""
    notice = "of such sets are told apart" if outlook.speaks_for == THIS_NOSE else "notice"
    return (
        f"If {percent(found.pd)} {notice}, “noticed” is reached with a chance of {percent(found.by_count)} by count; "
        f"by weight {percent(found.says_nothing)} where sureness tells nothing about being right, and "
        f"{percent(found.as_in_data)} where it tells as much as in 2,720 open odour triangles (Ravia et al. 2020)."
    )


def not_offered(outlook: Outlook) -> str:
    """Why the count is left alone, where its steps are fine."""
    return (
        f"Weighing answers by how sure people are is not offered here: by count the true alpha risk is "
        f"{bare(outlook.true_alpha)} of {risk(outlook.alpha_used)}, so there is little to gain and some power to lose."
    )


def needed_line(outlook: Outlook, found: ByWeight) -> str:
    """What is needed for *noticed* by weight."""
    return (
        f"“Noticed” is judged by weight ({weights_words(found.weights)}): how much is needed hangs on the words said; "
        f"at the earliest it is reached with {found.fewest_right} of {outlook.assessments} right, and where all say "
        f"the same word with {outlook.minimum_correct}. The true alpha risk is then about {bare(found.true_alpha)}."
    )


def sealed_line(weights: tuple[int, ...]) -> str:
    """The sealed rule in one sentence."""
    return (
        f"“Noticed” is judged with each right answer weighed by the sureness said: {weights_words(weights)}; no word "
        f"counts as a guess. {KEPT_BY_COUNT}"
    )
