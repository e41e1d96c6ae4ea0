"""Words of small facts that several pages tell: what lies between two trials, and which method finds less."""

from __future__ import annotations

from collections.abc import Mapping

from evaluation.deciding.claims import Between, Finer
from evaluation.values.trials import Mismatch, trial_name
from evaluation.wording.of_ballots import method_name


def agreement_words(found: Between, mismatches: tuple[Mismatch, ...], labels: Mapping[str, str]) -> str:
    """Where strength, age and batch agree: what a difference may come from. Nothing where they do not."""
    if mismatches:
        return ""
    return f"Strength, age and batch agree as the book has them. {between_words(found, labels)}"


def between_words(found: Between, labels: Mapping[str, str]) -> str:
    """From what a difference of two trials comes, as far as the book tells."""
    if not found.related:
        return "The book knows no origin the two share, so it does not tell what was changed between them."
    steps = trial_name(*(labels[one] for one in found.steps))
    if len(found.steps) == 1:
        return (
            f"One step lies between the two, the one that made {steps}: what is smelt apart comes from what was "
            "changed there, all of it together."
        )
    return (
        f"{len(found.steps)} steps lie between the two, those that made {steps}: what is smelt apart comes from all of "
        "them together, and from which of them is not known."
    )


def finer_words(found: Finer) -> str:
    """In what sense one method finds less than another, and up to which size; cut, so that neither is overstated."""
    than = method_name(found.than).lower()
    return (
        f"Finds smaller differences than the {than}, for one strip more: so up to differences that a {than} gets right "
        f"in {_whole(found.right)} of 100, and as long as the fourth strip does not make the two seem "
        f"{_whole(found.spare)} % nearer. Tired noses and heavy scents lose that."
    )


def _whole(share: float) -> int:
    return int(share * 100)
