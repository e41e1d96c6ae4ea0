"""What did each change do, over all sessions that were rated? One mixed model for each descriptor and strip age."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from numbers import Real
from typing import Any, Final

import numpy as np
import pandas as pd
from scipy.special import stdtrit

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import risk
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.ratings.crossed import fit_crossed
from evaluation.statistics.ratings.effects import dense
from evaluation.statistics.ratings.frames import Coded, Ratings, coded_column, column_of, ratings_of
from evaluation.statistics.which_change.never_apart import NOT_TOLD, Group, Separated, separated

RATED: Final = ("panelist", "session", "bottle", "descriptor", "age_minutes", "rating")
COLUMNS: Final = (
    "descriptor", "age_minutes", "changes", "signs", "told", "estimate", "low", "high", "freedom", "bottles",
    "panelists", "sessions",
)  # fmt: skip
FEWEST_FREEDOM: Final = 2


@dataclass(frozen=True, slots=True, eq=False)
class LearntEffects:
    """What :func:`learnt_effects` found; the first two fields echo its arguments.

    Attributes
    ----------
    table : one row for each descriptor, strip age and group of changes:

        ``changes``, ``signs``, ``told``
            names of those that stand together, −1 for one that went where the first came; ``"alone"``, ``"together"``
            (one number for all of them) or ``"not told"`` (none).
        ``estimate``, ``low``, ``high``
            points of the scale, and the interval by itself; NaN with fewer than two degrees of ``freedom``.
        ``bottles``, ``panelists``
            how many were rated there.
        ``sessions``
            those that held bottles with and without side by side.
    groups : the same groups over all descriptors and ages together: ``(changes, told)`` each.
    """

    changes: tuple[str, ...]
    level: float
    table: pd.DataFrame
    groups: tuple[tuple[tuple[str, ...], str], ...]


def learnt_effects(frame: pd.DataFrame, changes: Sequence[str], *, level: float = 0.95) -> LearntEffects:
    """What did each change do to each descriptor, at each strip age, over all sessions?

    Parameters
    ----------
    frame : data frame of ratings
        Columns ``panelist``, ``session``, ``bottle``, ``descriptor``, ``age_minutes``, ``rating`` (numbers; empty: not
        smelt or skipped) and one column of numbers for each change, alike in all rows of a bottle: how often it was
        made on the way to that bottle, mostly 0 or 1.
    changes : names of those columns
    level : float, between 0 and 1
        Confidence of each interval, by itself.

    Returns
    -------
    LearntEffects

    Raises
    ------
    ArgumentError, KindError
        Columns lacking or there twice, a change named like a column of ratings, a change that is no finite number or
        differs within a bottle, a rating that is no finite number, a level outside (0, 1).

    Notes
    -----
    At each strip age a rating is the sum of what every change did (fixed), a deviation of the person, of the session
    and of the bottle, and the rest; variances by restricted likelihood, never below 0. Changes are taken to add up. An
    interval is by t with bottles − changes − 1 degrees of freedom, since a bottle is weighed once and its error is in
    every rating of it; sessions that share no bottle with the others cost one more for each such set. Balanced, with
    the variance of bottles above 0, this is the interval of least squares over the means of bottles.

    Changes that came and went together in every session have one number together. A change that no session shows with
    and without it, all else being known, has none: what differs between days may be the day.

    It learns and decides nothing: intervals stand for themselves, so of many some miss by chance; they speak for the
    people who rated, as how people differ about a change is not in the model. Ratings are taken to scatter normally.

    References
    ----------
    Searle, Casella & McCulloch 1992, Variance Components, ch. 6.

    Examples
    --------
    >>> import pandas as pd
    >>> rows = [(p, "one", b, "woody", 5, b % 2, p % 3 + 2 * (b % 2) + (b * p % 5) / 10)
    ...         for p in range(6) for b in range(6)]
    >>> names = ["panelist", "session", "bottle", "descriptor", "age_minutes", "cedar", "rating"]
    >>> row = learnt_effects(pd.DataFrame(rows, columns=names), ["cedar"]).table.iloc[0]
    >>> row.changes, round(float(row.estimate), 2), int(row.freedom)
    (('cedar',), 2.0, 4)
    """
    names, confidence = _names(changes), risk("level", level)
    held = _Rated.of(frame, names)
    every = held.part(np.flatnonzero(~np.isnan(held.read.rating)))
    groups = () if every is None else tuple((_called(names, one), one.told) for one in every.found.groups)
    rows = [row for part in held.parts() for row in _learnt(part, names, confidence)]
    return LearntEffects(names, confidence, pd.DataFrame(rows, columns=list(COLUMNS)), groups)


# --- arguments --------------------------------------------------------------------------------------------------------


def _names(changes: Sequence[str]) -> tuple[str, ...]:
    if isinstance(changes, str) or not isinstance(changes, Sequence) or not all(isinstance(o, str) for o in changes):
        raise KindError(f"changes must be a list of names, not {changes!r}.")
    if len(set(changes)) < len(changes) or not changes:
        raise ArgumentError(f"changes must be one name or more, each once, not {list(changes)!r}.")
    taken = [one for one in changes if one in RATED]
    if taken:
        raise ArgumentError(f"changes must not be called as a column of ratings is ({', '.join(RATED)}): {taken[0]!r}.")
    return tuple(changes)


def _made_of(frame: pd.DataFrame, names: tuple[str, ...], bottle: Coded) -> Floats:
    """Bottles × changes."""
    rows = np.array([_numbers(name, column_of(frame, name)) for name in names], dtype=np.float64).T
    made = np.zeros((len(bottle.labels), len(names)))
    made[bottle.codes] = rows
    for row, change in zip(*np.nonzero(rows != made[bottle.codes]), strict=True):
        raise ArgumentError(
            f"frame: {names[change]} must be one number in all rows of a bottle; those of bottle "
            f"{bottle.labels[bottle.codes[row]]!r} differ."
        )
    return made


def _numbers(name: str, column: pd.Series) -> list[float]:
    given = column.tolist()
    for one in given:
        if not isinstance(one, Real | np.bool_) or not np.isfinite(float(one)):
            raise ArgumentError(f"frame: {name} must be a finite number in every row, not {one!r}.")
    return list(map(float, given))


# --- part by part -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """The ratings of one descriptor at one age, places counted from 0, and what their bottles can tell."""

    descriptor: Any
    age: Any
    people: Ints
    session: Ints
    bottle: Ints
    rating: Floats
    found: Separated
    rests_on: tuple[tuple[Any, ...], ...]  # for each group


@dataclass(frozen=True, slots=True, eq=False)
class _Rated:
    read: Ratings
    session: Coded
    made: Floats

    @staticmethod
    def of(frame: Any, names: tuple[str, ...]) -> _Rated:
        if not isinstance(frame, pd.DataFrame):
            raise KindError(f"frame must be a pandas data frame, not {type(frame).__name__}.")
        lacking = [name for name in (*RATED, *names) if name not in frame.columns]
        if lacking:
            told = ", ".join(RATED)
            raise ArgumentError(
                f"frame must have the columns {told} and one for each change; it lacks {', '.join(lacking)}."
            )
        columns = {name: column_of(frame, name) for name in RATED}
        read = ratings_of(pd.DataFrame(columns).rename(columns={"bottle": "trial"}))
        return _Rated(read, coded_column("session", columns["session"]), _made_of(frame, names, read.trial))

    def parts(self) -> Iterator[_Part]:
        """By descriptor and age, each where something was rated."""
        ages = len(self.read.age.labels)
        key = self.read.descriptor.codes * ages + self.read.age.codes
        rated = ~np.isnan(self.read.rating)
        for one in np.unique(key[rated]):
            part = self.part(np.flatnonzero(rated & (key == one)))
            assert part is not None  # something was rated there
            yield part

    def part(self, rows: Ints) -> _Part | None:
        """The ratings of these rows; None of no row."""
        if not rows.size:
            return None
        bottle, session = self.read.trial.codes[rows], self.session.codes[rows]
        there = np.unique(bottle)
        labels = [self.session.labels[one] for one in np.unique(session)]
        bottle, session = dense(bottle), dense(session)
        smelt = [np.unique(bottle[session == one]) for one in range(len(labels))]
        made = self.made[there]
        found = separated(made, smelt)
        return _Part(
            self.read.descriptor.labels[self.read.descriptor.codes[rows[0]]],
            self.read.age.labels[self.read.age.codes[rows[0]]],
            dense(self.read.panelist.codes[rows]),
            session,
            bottle,
            self.read.rating[rows],
            found,
            tuple(_side_by_side(made, one, smelt, labels) for one in found.groups),
        )


def _side_by_side(made: Floats, group: Group, smelt: Sequence[Ints], labels: Sequence[Any]) -> tuple[Any, ...]:
    own = made[:, list(group.places)]
    return tuple(
        label for label, bottles in zip(labels, smelt, strict=True) if np.ptp(own[bottles], axis=0).max(initial=0) > 0
    )


def _learnt(part: _Part, names: tuple[str, ...], level: float) -> Iterator[tuple[Any, ...]]:
    if not part.found.groups:
        return
    x = np.column_stack([np.ones(len(part.rating)), part.found.columns[part.bottle]])
    deviations = {"panelist": part.people, "bottle": part.bottle, "session": part.session}
    fitted = fit_crossed(x, deviations, part.rating)
    counts = part.found.freedom, int(part.bottle.max()) + 1, int(part.people.max()) + 1
    place = 1
    for group, rests_on in zip(part.found.groups, part.rests_on, strict=True):
        numbers = (np.nan, np.nan, np.nan)
        if group.told != NOT_TOLD:
            numbers = _limits(fitted.beta, fitted.covariance, place, part.found.freedom, level)
            place += 1
        yield part.descriptor, part.age, _called(names, group), group.signs, group.told, *numbers, *counts, rests_on


def _called(names: tuple[str, ...], group: Group) -> tuple[str, ...]:
    return tuple(names[place] for place in group.places)


def _limits(
    beta: Floats, covariance: Floats | None, place: int, freedom: int, level: float
) -> tuple[float, float, float]:
    middle = float(beta[place])
    if covariance is None or freedom < FEWEST_FREEDOM:
        return middle, np.nan, np.nan
    half = float(stdtrit(freedom, (1.0 + level) / 2.0)) * float(np.sqrt(covariance[place, place]))
    return middle, middle - half, middle + half
