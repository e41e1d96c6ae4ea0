"""A final: fresh answers about one trial that was named beforehand, the only way to propose that it is kept.

What was found while searching was found among many comparisons. A final asks one question of one trial against the one
the brief stands at, and must speak the louder the oftener a final of the brief was held in vain: see ``multiple``.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import ClassVar, Literal, get_args
from typing import Final as Constant

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.series.sealed import SeriesDesign
from evaluation.sessions import Plan

Question = Literal["preferred", "nearer", "simpler"]
QUESTIONS: Constant[tuple[Question, ...]] = get_args(Question)
SIMPLER: Constant = "simpler"  # few enough tell the two apart, so that the simpler one does

# Thresholds: (FIRST / alpha) · AGAIN^f. The chance that any final of a brief keeps a trial that is no better is then at
# most alpha · (1 + 1/5 + 1/25 + …) / 1.25 = alpha: Ville's inequality, a final at a time.
FIRST: Constant = Decimal("1.25")
AGAIN: Constant = 5
GIVEN_UP: Constant = Decimal("0.2")  # below it the final ends: the answers speak five to one against
MOST_EARLIER: Constant = 40
FEWEST_VOTES, MOST_VOTES = 8, 1000  # eight votes of one mind are the fewest that can reach 25 to 1


@dataclass(frozen=True, slots=True)
class HeldFinal:
    """A final that has not ended in *keep*, and so asks more of any other: one that is over, or one still running.

    ``voted`` of ``people`` have answered in it, opened or not; nothing of what they answered. ``on_bench``: a sitting
    of it is sealed and not opened yet.
    """

    number: int
    brief_id: str
    trial_id: str
    trial: str
    other: str
    over: bool
    voted: int
    people: int
    on_bench: bool


@dataclass(frozen=True, slots=True)
class Final(SeriesDesign):
    """``challenger``: which of the plan's two trials it is held for. ``cap``: answers after which it ends undecided.

    ``earlier``: finals of the brief, or of one that shares its trials, that had not ended in *keep* when it was sealed.
    """

    name: ClassVar[str] = "final"

    question: Question
    challenger: Literal["first", "second"]
    cap: int
    earlier: int = 0

    def __post_init__(self) -> None:
        checks.choice("question", self.question, QUESTIONS)
        checks.choice("challenger", self.challenger, ("first", "second"))
        checks.whole("cap", self.cap, FEWEST_VOTES, MOST_VOTES)
        checks.whole("earlier finals", self.earlier, 0, MOST_EARLIER)

    @property
    def multiple(self) -> Decimal:
        """What 1/alpha is multiplied by: 1.25, five times that after one final that failed, and so on."""
        return FIRST * Decimal(AGAIN) ** self.earlier

    def check(self, plan: Plan) -> None:
        """Preferred and nearer are votes, *simpler* needs answers that are right or wrong."""
        fits = plan.kind.judged if self.question == SIMPLER else plan.kind.votes
        if not fits:
            asked = "a forced choice" if self.question == SIMPLER else "a preference"
            raise ArgumentError(f"method must be {asked} where a final asks for {self.question}, not {plan.method}.")
        if self.question == "nearer" and not plan.design.asks_nearer:
            raise ArgumentError("a final on nearness must ask which is nearer the brief.")

    def trial_of(self, plan: Plan) -> str:
        """The trial it is held for."""
        return plan.first_trial_id if self.challenger == "first" else plan.second_trial_id

    def other_of(self, plan: Plan) -> str:
        """The trial the brief stands at."""
        return plan.second_trial_id if self.challenger == "first" else plan.first_trial_id
