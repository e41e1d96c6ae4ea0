"""What the model of a brief believes of its trials, what it would have smelt tonight, and when to stop searching."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from statistics import NormalDist
from typing import Final

import numpy as np
import numpy.typing as npt

from evaluation.deciding.top_two import minutes_of
from evaluation.errors import ArgumentError
from evaluation.series.finals import HeldFinal
from evaluation.statistics import BriefMerits
from evaluation.values.trials import Trial

STOP_LOSS: Final = 0.10  # merit foreseen to be lost: a preference of 54 : 46
STOP_CHANCE: Final = 0.90  # that one trial is the best

Floats = npt.NDArray[np.float64]


def given_away(merit: float) -> float:
    """The share of choices in which a trial wins that is better by so much merit: .10 is .54."""
    return NormalDist().cdf(merit)


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """What the model believes of the trials that are still in the running.

    ``inside``: their places; ``best_chance`` is 0 for the others. None of it is a verdict, and no risk is held by it.
    """

    inside: tuple[int, ...]
    best_chance: Floats
    pick: int
    foreseen_loss: float

    @property
    def stop(self) -> bool:
        """Whether searching on is worth less than holding a final; that the model believes so is no finding."""
        return self.foreseen_loss <= STOP_LOSS or float(self.best_chance[self.pick]) >= STOP_CHANCE


def standing(merits: BriefMerits, out: Collection[int] = ()) -> Standing:
    """Chances of the trials by the draws of the model; ``out``: places of trials that somebody decided to drop."""
    inside = [one for one in range(len(merits.expected)) if one not in out]
    if len(inside) < 2:
        raise ArgumentError(f"trials in the running must be two or more, not {len(inside)}.")
    drawn = merits.drawn[:, inside]
    chance = np.zeros(len(merits.expected))
    chance[inside] = np.bincount(drawn.argmax(axis=1), minlength=len(inside)) / len(drawn)
    pick = inside[int(merits.expected[inside].argmax())]
    return Standing(tuple(inside), chance, pick, float((drawn.max(axis=1) - merits.drawn[:, pick]).mean()))


@dataclass(frozen=True, slots=True)
class Tonight:
    """Who is there, how many strips each may smell, and how many minutes there are (None: as many as it takes)."""

    people: tuple[str, ...]
    strips: int
    minutes: int | None = None


@dataclass(frozen=True, slots=True)
class PairTonight:
    """Two trials, how often they are smelt tonight, and by how many noses."""

    first_id: str
    second_id: str
    times: int
    noses: int


@dataclass(frozen=True, slots=True, eq=False)
class NextByWorth:
    """What the model believes of a brief, and what it would have smelt tonight; its chances are no verdict.

    ``asked``: for each of ``tonight.people`` pairs of trial ids, in the order of the book. ``panel``: how many people
    the belief is about, those of tonight and all who answered. ``seed`` draws all of it: the same notebook, people and
    strips propose the same again. ``finals``: that did not end in *keep*, over or running; for each of them any other
    must speak five times louder.
    """

    brief_id: str
    trials: tuple[Trial, ...]
    standing: Standing
    tonight: Tonight
    panel: int
    answers: int
    sessions: int
    asked: tuple[tuple[tuple[str, str], ...], ...]
    seed: int
    finals: tuple[HeldFinal, ...] = ()

    @property
    def running(self) -> HeldFinal | None:
        """A final of this brief that is sealed and not over: nothing else is held before it is read."""
        return next((one for one in self.finals if not one.over and one.brief_id == self.brief_id), None)

    @property
    def failed(self) -> HeldFinal | None:
        """The newest final that was held about the trial one would take now, and did not end in *keep*."""
        about = [one for one in self.finals if one.over and one.trial_id == self.pick.id]
        return about[-1] if about else None

    @property
    def each(self) -> int:
        """Pairs for each nose."""
        return len(self.asked[0])

    @property
    def strips(self) -> int:
        """Of all noses together, each dipped once."""
        return 2 * self.each * len(self.asked)

    @property
    def minutes(self) -> int:
        """From the first sniff to the last answer of one nose, rests included."""
        return minutes_of(self.each)

    @property
    def chances(self) -> tuple[tuple[Trial, float], ...]:
        """Trials in the running with their chance to be the best, the likeliest first."""
        chance = self.standing.best_chance
        order = sorted(self.standing.inside, key=lambda place: -chance[place])
        return tuple((self.trials[place], float(chance[place])) for place in order)

    @property
    def pick(self) -> Trial:
        """The trial one would take now."""
        return self.trials[self.standing.pick]

    @property
    def pick_chance(self) -> float:
        """Its chance to be the best."""
        return float(self.standing.best_chance[self.standing.pick])

    @property
    def pairs(self) -> tuple[PairTonight, ...]:
        """Every pair once, the one smelt most often first."""
        times = Counter(pair for own in self.asked for pair in own)
        noses = Counter(pair for own in self.asked for pair in {*own})
        return tuple(PairTonight(*pair, count, noses[pair]) for pair, count in times.most_common())

    @property
    def asked_trials(self) -> tuple[str, ...]:
        """Ids of the trials that are smelt tonight, in the order of the book."""
        smelt = {trial for own in self.asked for pair in own for trial in pair}
        return tuple(one.id for one in self.trials if one.id in smelt)
