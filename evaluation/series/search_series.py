"""A series about one pair while a brief is searched: noticed or not, or which of the two is preferred."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from evaluation.errors import ArgumentError
from evaluation.series.sealed import SeriesDesign
from evaluation.sessions import Plan


@dataclass(frozen=True, slots=True)
class SearchSeries(SeriesDesign):
    """A pair whose answers add up; what it finds is a lead. All it needs stands in the plan of its sittings."""

    name: ClassVar[str] = "search series"

    def check(self, plan: Plan) -> None:
        """Only answers that are right or wrong, and votes, add up."""
        if not (plan.kind.judged or plan.kind.votes):
            raise ArgumentError(f"method must be a forced choice or a preference to add up, not {plan.method}.")
