"""Just about right: how many find a level too weak or too strong, and do they like the trial less?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from scipy import special

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk
from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.laws.intervals import clopper_pearson
from evaluation.statistics.preference.votes import preference_test
from evaluation.statistics.ratings.cells import Cells, read_cells

LEVELS: MappingProxyType[str, float] = MappingProxyType({"too weak": -1.0, "right": 0.0, "too strong": 1.0})
# Taken where a frame of liking holds several descriptors
LIKING = "liking"
# Both: common practice, no source
FEWEST_PEOPLE = 10
SMALLEST_PERCENT = 20


@dataclass(frozen=True, slots=True)
class JustRightSide:
    """The people on one side, or in the middle; part of :class:`JustRightRow`.

    Attributes
    ----------
    people : how many said so; ``share`` of those who answered, with its exact interval ``low`` … ``high``.
    with_liking : of them, how many also said how well they like the trial.
    liked_less : mean liking of those who find it right − mean liking of these, on the scale of liking: above 0, these
        like it less. An association. None for the middle, and where ``says`` tells why.
    liked_less_low, liked_less_high : its interval (Welch).
    """

    people: int
    share: float
    low: float
    high: float
    with_liking: int
    liked_less: float | None
    liked_less_low: float | None
    liked_less_high: float | None
    says: str


@dataclass(frozen=True, slots=True)
class JustRightRow:
    """One level of one trial at one age; part of :class:`JustAboutRight`.

    Attributes
    ----------
    descriptor, trial, age_minutes : labels; descriptor "" and age 0.0 where the frame has none.
    panelists : people who answered.
    weak, right, strong : a :class:`JustRightSide` each.
    p_value : exact, two-sided, of "those who do not find it right are as often for too weak as for too strong"; 1.0
        where nobody is off.
    """

    descriptor: Any
    trial: Any
    age_minutes: float
    panelists: int
    weak: JustRightSide
    right: JustRightSide
    strong: JustRightSide
    p_value: float


@dataclass(frozen=True, slots=True)
class JustAboutRight:
    """What :func:`just_about_right` found; ``level`` echoes its argument.

    Attributes
    ----------
    rows : one :class:`JustRightRow` for each descriptor, trial and age that has an answer.
    dropped : rows of the frame without an answer.
    again : rows of the frame whose replicate number was given before; they count as further replicates.
    """

    level: float
    rows: tuple[JustRightRow, ...]
    dropped: int
    again: int

    @property
    def table(self) -> pd.DataFrame:
        """One row for each row and side; ``said`` is too weak, right or too strong. Columns: :class:`JustRightSide`."""
        names = ("descriptor", "trial", "age_minutes", "panelists", "p_value")
        return pd.DataFrame(
            [
                {name: getattr(row, name) for name in names}
                | {"said": said}
                | {name: getattr(side, name) for name in JustRightSide.__slots__}
                for row in self.rows
                for said, side in zip(LEVELS, (row.weak, row.right, row.strong), strict=True)
            ]
        )


def just_about_right(frame: pd.DataFrame, liking: pd.DataFrame | None = None, *, level: float = 0.95) -> JustAboutRight:
    """How many find a level too weak, right or too strong, and how much less do those who find it off like the trial?

    Parameters
    ----------
    frame : DataFrame, one row for each answer
        Columns ``panelist, trial`` and ``rating`` ("too weak", "right", "too strong", or numbers below, at and above 0;
        missing = skipped, dropped), and if there are several ``descriptor``, ``age_minutes`` and ``replicate``.
    liking : DataFrame, default None
        Columns ``panelist, trial`` and ``rating`` (any scale, higher = liked better), and ``age_minutes`` where liking
        was asked at each age; without that column one liking stands for all ages. Several descriptors: the one called
        ``"liking"`` is taken.
    level : float, between 0 and 1
        Confidence of the intervals.

    Returns
    -------
    JustAboutRight

    Raises
    ------
    ArgumentError, KindError
        A column missing, no answer at all, a word that is none of the three, an age missing or negative; level
        outside (0, 1).

    Notes
    -----
    People are counted, not answers: several answers of one panelist to one question count as the side that more than
    half of them take, else as right; several likings as their mean. Too weak and too strong are never set off against
    each other. ``liked_less`` is an association: people who dislike a trial also find fault with its levels, so a
    level set right need not make them like it. It is given only where both groups hold 10 people and the side 20 % of
    all who answered (common practice, no source); the sides are other people, so the interval compares people with
    people. Nothing is corrected for looking at several levels.

    References
    ----------
    Clopper & Pearson 1934, Biometrika 26, 404–413; Welch 1947, Biometrika 34, 28–35 (both from memory). p: exact sign
    test.

    Examples
    --------
    >>> said = ["too weak"] * 12 + ["right"] * 16 + ["too strong"] * 2
    >>> people = pd.DataFrame({"panelist": range(30), "trial": 7})
    >>> score = [4, 5, 6] * 4 + [7, 8] * 8 + [6, 6]
    >>> row = just_about_right(people.assign(rating=said), people.assign(rating=score)).rows[0]
    >>> row.weak.people, row.weak.share, round(row.weak.low, 3), round(row.weak.high, 3), round(row.p_value, 4)
    (12, 0.4, 0.227, 0.594, 0.0129)
    >>> row.weak.liked_less, round(row.weak.liked_less_low, 2), row.strong.says
    (2.5, 1.91, 'no mean: 2 people, it takes 10 on each side')
    """
    level = risk("level", level)
    read = read_cells(_as_numbers(frame))
    said = _majority(read)
    liked = None if liking is None else _liking(liking, read)
    return JustAboutRight(level, tuple(_rows(read, said, liked, level)), read.dropped, read.again)


def _as_numbers(frame: Any) -> Any:
    """The three words as −1, 0 and 1."""
    if not isinstance(frame, pd.DataFrame) or "rating" not in frame.columns:
        return frame  # read_cells says what is wrong
    ratings = frame["rating"].tolist()
    unknown = [one for one in ratings if isinstance(one, str) and one not in LEVELS]
    if unknown:
        raise ArgumentError(f"frame: rating must be one of {', '.join(LEVELS)} or a number, not {unknown[0]!r}.")
    plain = [LEVELS[one] if isinstance(one, str) else one for one in ratings]
    return frame.assign(rating=pd.Series(plain, index=frame.index))


def _majority(read: Cells) -> Floats:
    """−1, 0 or 1 in each cell, NaN where nobody answered."""
    number = read.number()
    weak, strong = (read.total((np.sign(read.values) == side).astype(np.float64)) for side in (-1, 1))
    side = (2.0 * strong > number).astype(np.float64) - (2.0 * weak > number)
    return np.where(number > 0, side, np.nan)


def _liking(liking: pd.DataFrame, read: Cells) -> Floats:
    """Liking of each panelist, trial and age of ``read`` (panelists, trials, ages); NaN where there is none."""
    liked = read_cells(liking)
    if len(liked.descriptors) > 1 and LIKING not in liked.descriptors:
        raise ArgumentError(f"liking must hold one descriptor, or one called {LIKING!r}, not {liked.descriptors!r}.")
    means = liked.means()[:, :, liked.descriptors.index(LIKING) if len(liked.descriptors) > 1 else 0, :]
    found = np.full((len(read.panelists), len(read.trials), len(read.ages)), np.nan)
    at_each = "age_minutes" in liking.columns
    places = [{label: at for at, label in enumerate(known)} for known in (liked.panelists, liked.trials, liked.ages)]
    for person, trial, age in np.ndindex(found.shape):
        labels = (read.panelists[person], read.trials[trial], read.ages[age] if at_each else liked.ages[0])
        there = [place.get(label) for place, label in zip(places, labels, strict=True)]
        if None not in there:
            found[person, trial, age] = means[tuple(there)]
    return found


def _rows(read: Cells, said: Floats, liked: Floats | None, level: float) -> Iterator[JustRightRow]:
    for word, trial, age in np.ndindex(len(read.descriptors), len(read.trials), len(read.ages)):
        answers = said[:, trial, word, age]
        there = ~np.isnan(answers)
        if not there.any():
            continue
        scores = np.full(there.sum(), np.nan) if liked is None else liked[there, trial, age]
        sides = [_side(answers[there], scores, value, level, liked is not None) for value in LEVELS.values()]
        yield JustRightRow(
            descriptor=read.descriptors[word],
            trial=read.trials[trial],
            age_minutes=read.ages[age],
            panelists=int(there.sum()),
            weak=sides[0],
            right=sides[1],
            strong=sides[2],
            p_value=preference_test(sides[0].people, sides[2].people, sides[1].people).p_value,
        )


def _side(answers: Floats, scores: Floats, value: float, level: float, asked: bool) -> JustRightSide:
    here, scored = answers == value, ~np.isnan(scores)
    people = int(here.sum())
    low, high = clopper_pearson(people, answers.size, level)
    these, right = scores[here & scored], scores[(answers == 0.0) & scored]
    says = "" if value == 0.0 else _withheld(people, answers.size, these.size, right.size, asked)
    less, less_low, less_high = (None, None, None) if says or value == 0.0 else _welch(right, these, level)
    return JustRightSide(people, people / answers.size, low, high, these.size, less, less_low, less_high, says)


def _withheld(people: int, answered: int, scored: int, right: int, asked: bool) -> str:
    """Why the mean is not given; empty where it is."""
    if not asked:
        return "no mean: liking was not given"
    if min(scored, right) < FEWEST_PEOPLE:
        return f"no mean: {min(scored, right)} people, it takes {FEWEST_PEOPLE} on each side"
    if 100 * people < SMALLEST_PERCENT * answered:
        return f"no mean: fewer than {SMALLEST_PERCENT} % say so"
    return ""


def _welch(right: Floats, these: Floats, level: float) -> tuple[float, float, float]:
    """Mean of ``right`` − mean of ``these``, and Welch's interval."""
    difference = float(right.mean() - these.mean())
    parts = [float(np.var(one, ddof=1)) / one.size for one in (right, these)]
    error = sum(parts)
    if error == 0.0:  # everybody on a side said the same: the data hold no spread to judge by
        return difference, -math.inf, math.inf
    df = error**2 / sum(part**2 / (one.size - 1) for part, one in zip(parts, (right, these), strict=True))
    wide = float(special.stdtrit(df, (1.0 + level) / 2.0)) * math.sqrt(error)
    return difference, difference - wide, difference + wide
