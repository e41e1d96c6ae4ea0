"""What a session is for: the jobs offered after the first question, and the methods of each. No screen here."""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.kinds import Method, methods


@dataclass(frozen=True, slots=True)
class Job:
    """One thing a session can find out."""

    question: str
    note: str
    family: str

    @property
    def methods(self) -> tuple[Method, ...]:
        """The methods that find it out, the first one first."""
        return methods(lambda kind: kind.family == self.family)


JOBS: Final = MappingProxyType(
    {
        "noticed": Job("Was a change noticed?", "Two trials, told apart or not.", "forced choice"),
        "unnoticed": Job(
            "It must not be noticed",
            "A new lot, another supplier, a reformulation: asks for “not noticed” at a strict size, which takes many "
            "strips. A way to begin; every number can be changed.",
            "forced choice",
        ),
        "preferred": Job("Which of two is preferred?", "Two trials, side by side.", "preference"),
        "profile": Job(
            "Rate descriptors over the dry-down",
            "Two to six trials, one strip at a time: what moved, when, and by how much.",
            "profile",
        ),
        "round": Job(
            "Compare several trials in pairs", "Three to eight trials, pair after pair: which are liked.", "round"
        ),
        "ranking": Job("Rank several", "Three to six strips at once, put in order.", "ranking"),
        "fan": Job(
            "Which material might do it good?",
            "A fan of two strips: candidates on a second strip beside one trial, ranked blind with the trial alone "
            "among them. A quick look before you mix.",
            "ranking",
        ),
    }
)


def offered(plain_difference: bool, trials: int = 2) -> tuple[str, ...]:
    """Jobs after the first question: preference where the difference is plain, else whether it is noticed; of one trial
    only what needs no other.
    """
    if trials < 2:
        return ("fan",)
    others = ("noticed", "unnoticed") if plain_difference else ("preferred",)
    return tuple(name for name in JOBS if name not in others)


def job_of(method: Method, *, fan: bool = False) -> str:
    """The job a method does; that something must not be noticed is a way to begin, and is not kept."""
    if fan:
        return "fan"
    return next(name for name, job in JOBS.items() if method in job.methods)
