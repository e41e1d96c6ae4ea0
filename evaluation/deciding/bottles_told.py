"""What a session says, by trial: bottles of two trials speak for the trials, two of one trial of bottles only."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from evaluation.deciding.evidence import Collected, Point


def names_of(smelt: Mapping[str, str]) -> dict[str, str]:
    """Under which id each bottle of a session is told: its trial's, where no other bottle of that trial was smelt."""
    bottles = Counter(smelt.values())
    return {bottle: trial if bottles[trial] == 1 else bottle for bottle, trial in smelt.items()}


def by_trial(found: Collected, smelt: Mapping[str, str]) -> Collected:
    """The same, told of trials; ``smelt``: of each bottle its trial. What two bottles of one trial showed stands apart,
    under their own ids: no decision rests on it.
    """
    named = names_of(smelt)
    apart = tuple(one for one in found.points if smelt[one.first_id] == smelt[one.second_id])
    return replace(
        found,
        points=tuple(_of_trials(one, smelt) for one in found.points if one not in apart),
        of_bottles=apart,
        distances=tuple(replace(one, trial_id=named[one.trial_id]) for one in found.distances),
        said=tuple(replace(one, trial_id=named[one.trial_id]) for one in found.said),
    )


def _of_trials(point: Point, smelt: Mapping[str, str]) -> Point:
    return replace(point, first_id=smelt[point.first_id], second_id=smelt[point.second_id])
