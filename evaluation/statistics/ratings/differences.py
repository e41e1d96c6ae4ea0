"""Descriptors over the dry-down: what differs between two trials, at which strip age, and by how much."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import risk, whole
from evaluation.statistics.laws.exchange import DRAWS, held_by_subsets
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.laws.signflip import FEWEST_DRAWS, MOST_DRAWS, Flips, flip_signs
from evaluation.statistics.ratings.frames import Ratings, cell_means, ratings_of

MOST_EXACT = 24


@dataclass(frozen=True, slots=True, eq=False)
class ProfileDifferences:
    """What :func:`profile_differences` and :func:`profile_family` found; ``pairs``, ``level``, ``seed`` echo arguments.

    Attributes
    ----------
    table : one row per descriptor and strip age of each pair shown:

        ``difference``
            second − first, the mean over panelists of each one's mean over replicates.
        ``low``, ``high``
            interval of the difference at ``level``; infinite outside the family.
        ``p_value``
            of this row by itself, two-sided.
        ``p_family``
            corrected for every row of every pair of the family; NaN outside it.
        ``panelists``, ``left_out``
            how many are counted, and how many have ratings asked of them there but not one of each trial.
        ``in_family``
            False with fewer than 6 panelists: such a row is described, nothing is claimed from it.
        ``p_error``, ``p_family_error``
            standard error of the two p where patterns were drawn; 0 where every pattern was used.
        ``first``, ``second``
            the pair.
    people : the panelists' differences, one row per person and row of ``table``: a dot each.
    missing : rows of the frame about these pairs that hold no rating; they count nowhere.
    again : rows of the frame whose replicate number their cell already has; they count as one more replicate.
    patterns : sign patterns used; a pattern and its opposite count once.
    exact : True where these are all patterns.
    by : ``"max-T"``, or ``"min-p"`` where rows differ in their number of panelists.
    """

    pairs: tuple[tuple[Any, Any], ...]
    level: float
    seed: int
    table: pd.DataFrame
    people: pd.DataFrame
    missing: int
    again: int
    patterns: int
    exact: bool
    by: str


def profile_differences(
    frame: pd.DataFrame,
    first: Any,
    second: Any,
    pairs: Iterable[tuple[Any, Any]] | None = None,
    *,
    level: float = 0.95,
    draws: int = 9_999,
    seed: int = 0,
    exact_people: int | None = None,
    exchanged: bool = False,
) -> ProfileDifferences:
    """In which descriptors, and at which strip ages, was the second trial rated higher or lower than the first?

    Parameters
    ----------
    frame : data frame of ratings
        Columns ``panelist``, ``trial``, ``descriptor`` (text or numbers), ``age_minutes``, ``rating`` (numbers; empty:
        not smelt or skipped) and, where ratings were repeated, ``replicate``. Further columns are ignored.
    first, second : labels of two trials of the frame
    pairs : pairs of labels, this pair among them; None: this pair alone
        All pairs the plan compares. They make one family, although only this pair is shown.
    level : float, between 0 and 1
        Confidence of each interval, by itself.
    draws : int, 99 … 1,000,000
        Patterns drawn at random where there are too many to use all.
    seed : int, 0 or more
    exact_people : int, 0 … 24, or None
        Every pattern is used up to so many panelists. None: 20, or 16 where rows differ in their number of panelists.
    exchanged : bool
        Each person's serving orders were drawn apart from everybody else's, every one equally likely. With three or
        more trials ``p_family`` is then held at what exchanging each person's labels gives, see Notes.

    Returns
    -------
    ProfileDifferences

    Raises
    ------
    ArgumentError, KindError
        Not a data frame, columns lacking, a rating that is no finite number, an unknown trial, a
        trial against itself, numbers outside their range.

    Notes
    -----
    The p-values are exact for "each panelist would rate the two alike but for chance" (then a person's differences are
    as likely with all signs turned; how widely they scatter may differ between people). For "the mean difference is
    zero" they are approximate where differences are skewed or people fall into camps: look at ``people``. Patterns are
    ranked by the size of sum / root of (n × sum of squares), which orders them like Student's t. One sign per panelist
    turns all rows together, so the correction uses how the rows go together; with several pairs all differences of a
    person are taken to turn together. Where rows differ in their number of people, patterns are compared by their p
    within each row. A p of drawn patterns has the error stated; it counts the pattern met.

    With several pairs the turning together does not follow from chance alone: where everybody rates the strip smelt
    first higher, 7 people and three equal trials come out different in .08 of sessions at .05. ``exchanged`` mends
    that: a pair differs only where no three or more trials that hold it could be all alike (closed testing), which
    asks nothing but the draw. It draws 1,999 labellings for each such set of trials.

    Missing ratings: a person counts in a row with at least one rating of each trial there; replicates are averaged over
    those that are there; nothing is filled in. People seldom lack at random, so look at ``left_out``.

    The interval holds the shifts, the same for everybody, that this test does not refuse; it is not corrected for the
    family. Where every difference is 0, p is 1 and the interval has no width. Fewer than 6 panelists stand outside the
    family with an infinite interval: with 5, none at 95 % would end anywhere. A large p is not "the same".

    References
    ----------
    Sign-flip test: Fisher 1935, The Design of Experiments, § 21. One-step max-T and min-p: Westfall & Young 1993,
    Resampling-Based Multiple Testing, ch. 2. Drawn patterns count the one met: Phipson & Smyth 2010, Stat. Appl. Genet.
    Mol. Biol. 9, art. 39. Closed testing: Marcus, Peritz & Gabriel 1976, Biometrika 63, 655–660 (from memory). Limits
    as means of subsets: Hartigan 1969, J. Amer. Statist. Assoc. 64, 1303–1317.

    Examples
    --------
    >>> import pandas as pd
    >>> more = [1.5, 2.0, 0.5, 1.0, 2.5, 1.0, -0.5]
    >>> rows = [(p, trial, "woody", 30, 4.0 + m * trial) for p, m in enumerate(more) for trial in (0, 1)]
    >>> frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "rating"])
    >>> found = profile_differences(frame, 0, 1).table.iloc[0]
    >>> [round(float(found[name]), 3) for name in ("difference", "low", "high", "p_value")]
    [1.143, 0.25, 2.0, 0.047]
    """
    ratings = ratings_of(frame)
    asked = _checked_pairs([(first, second)] if pairs is None else pairs)
    shown = _checked_pairs([(first, second)])[0]
    place = next((place for place, pair in enumerate(asked) if pair in (shown, shown[::-1])), None)
    if place is None:
        raise ArgumentError(f"pairs must hold the pair ({first!r}, {second!r}), not {asked!r}.")
    asked = (*asked[:place], shown, *asked[place + 1 :])
    return _family(ratings, asked, [place], level, draws, seed, exact_people, exchanged)


def profile_family(
    frame: pd.DataFrame,
    pairs: Iterable[tuple[Any, Any]],
    *,
    level: float = 0.95,
    draws: int = 9_999,
    seed: int = 0,
    exact_people: int | None = None,
    exchanged: bool = False,
) -> ProfileDifferences:
    """What differs between the trials of several pairs, all rows of all pairs being one family?

    Parameters
    ----------
    frame, level, draws, seed, exact_people, exchanged : as in :func:`profile_differences`
    pairs : pairs of labels of trials, each pair once
        All pairs the plan compares, fixed before anybody smelt.

    Returns
    -------
    ProfileDifferences: the rows of all pairs, pair by pair.

    Raises
    ------
    ArgumentError, KindError
        As in :func:`profile_differences`; no pair, or the same pair twice.

    Notes
    -----
    See :func:`profile_differences`. Each pair's rows are the same as there with ``pairs`` given.

    References
    ----------
    As in :func:`profile_differences`.

    Examples
    --------
    >>> import pandas as pd
    >>> rows = [(p, trial, "woody", 30, 4.0 + (p % 3 + 1) * trial) for p in range(8) for trial in (0, 1, 2)]
    >>> frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "rating"])
    >>> profile_family(frame, [(0, 1), (0, 2)]).table["p_family"].tolist()
    [0.0078125, 0.0078125]
    """
    ratings, asked = ratings_of(frame), _checked_pairs(pairs)
    return _family(ratings, asked, list(range(len(asked))), level, draws, seed, exact_people, exchanged)


def _checked_pairs(pairs: Iterable[tuple[Any, Any]]) -> tuple[tuple[Any, Any], ...]:
    try:
        checked = [(first, second) for first, second in pairs]
    except (TypeError, ValueError) as problem:
        raise KindError(f"pairs must be pairs of trials, not {pairs!r}.") from problem
    if not checked:
        raise ArgumentError("pairs must hold at least one pair.")
    for place, (first, second) in enumerate(checked):
        if first == second:
            raise ArgumentError(f"second must be another trial than first, not {second!r} as well.")
        if any(pair in ((first, second), (second, first)) for pair in checked[:place]):
            raise ArgumentError(f"pairs must hold each pair once, not ({first!r}, {second!r}) twice.")
    return tuple(checked)


@dataclass(frozen=True, slots=True, eq=False)
class _Rows:
    """The rows of one pair: people × rows of differences, and which descriptor and age each is about."""

    pair: tuple[Any, Any]
    descriptor: Ints
    age: Ints
    differences: Floats
    left_out: Ints
    missing: int


def _family(
    ratings: Ratings,
    pairs: tuple[tuple[Any, Any], ...],
    shown: list[int],
    level: float,
    draws: int,
    seed: int,
    exact_people: int | None,
    exchanged: bool,
) -> ProfileDifferences:
    level, draws, seed = risk("level", level), whole("draws", draws, FEWEST_DRAWS, MOST_DRAWS), whole("seed", seed)
    most = None if exact_people is None else whole("exact_people", exact_people, 0, MOST_EXACT)
    parts = [_rows_of(ratings, pair) for pair in pairs]
    flips = flip_signs(np.hstack([part.differences for part in parts]), level, draws, seed, most)
    begin = np.cumsum([0, *(part.age.size for part in parts)])
    held = held_by_subsets(*_scores(ratings, pairs), seed) if exchanged else (0.0,) * len(pairs)
    tables = [_table(ratings, parts[one], flips, slice(begin[one], begin[one + 1]), held[one]) for one in shown]
    return ProfileDifferences(
        pairs,
        level,
        seed,
        pd.concat(tables, ignore_index=True) if len(tables) > 1 else tables[0],
        pd.concat([_people(ratings, parts[one]) for one in shown], ignore_index=True),
        sum(parts[one].missing for one in shown),
        ratings.again,
        flips.patterns,
        flips.exact,
        flips.by,
    )


def _rows_of(ratings: Ratings, pair: tuple[Any, Any]) -> _Rows:
    """Differences second − first of each person; a row is a descriptor at an age that the frame holds for the pair."""
    first, second = (ratings.trial.place(name, one) for name, one in zip(("first", "second"), pair, strict=True))
    inside = np.isin(ratings.trial.codes, (first, second))
    ages, people = len(ratings.age.labels), len(ratings.panelist.labels)
    row = ratings.descriptor.codes[inside] * ages + ratings.age.codes[inside]
    present, row = np.unique(row, return_inverse=True)
    person = ratings.panelist.codes[inside]
    cell = np.where(ratings.trial.codes[inside] == second, people, 0) + person
    means = cell_means(row, cell, (present.size, 2 * people), ratings.rating[inside])
    differences = (means[:, people:] - means[:, :people]).T
    asked = np.zeros(differences.shape, dtype=bool)
    asked[person, row] = True
    left_out = (asked & np.isnan(differences)).sum(axis=0)
    missing = int(np.isnan(ratings.rating[inside]).sum())
    return _Rows(pair, present // ages, present % ages, differences, left_out, missing)


def _scores(ratings: Ratings, pairs: tuple[tuple[Any, Any], ...]) -> tuple[Floats, list[tuple[int, int]]]:
    """People × trials of the pairs × rows (a descriptor at an age), and each pair by the places of its trials there."""
    known = sorted({ratings.trial.place("pairs", one) for pair in pairs for one in pair})
    people, ages = len(ratings.panelist.labels), len(ratings.age.labels)
    inside = np.isin(ratings.trial.codes, known)
    row = ratings.descriptor.codes[inside] * ages + ratings.age.codes[inside]
    present, row = np.unique(row, return_inverse=True)
    cell = ratings.panelist.codes[inside] * len(known) + np.searchsorted(known, ratings.trial.codes[inside])
    means = cell_means(cell, row, (people * len(known), present.size), ratings.rating[inside])
    place = {label: known.index(ratings.trial.place("pairs", label)) for pair in pairs for label in pair}
    return means.reshape(people, len(known), present.size), [(place[first], place[second]) for first, second in pairs]


def _table(ratings: Ratings, part: _Rows, flips: Flips, rows: slice, held: float) -> pd.DataFrame:
    people = (~np.isnan(part.differences)).sum(axis=0)
    total = np.nansum(part.differences, axis=0)
    p_value, p_family = flips.p_value[rows], np.maximum(flips.p_family[rows], held)
    return pd.DataFrame(
        {
            "descriptor": _labels(ratings.descriptor.labels, part.descriptor),
            "age_minutes": _labels(ratings.age.labels, part.age),
            "difference": np.divide(total, people, out=np.full(people.size, np.nan), where=people > 0),
            "low": flips.low[rows],
            "high": flips.high[rows],
            "p_value": p_value,
            "p_family": p_family,
            "panelists": people,
            "left_out": part.left_out,
            "in_family": flips.family[rows],
            "p_error": _error(p_value, flips),
            "p_family_error": _family_error(p_family, flips, held),
            "first": _labels((part.pair[0],), np.zeros(people.size, dtype=np.int64)),
            "second": _labels((part.pair[1],), np.zeros(people.size, dtype=np.int64)),
        }
    )


def _error(p: Floats, flips: Flips) -> Floats:
    """Standard error of a share of drawn patterns."""
    return p * 0.0 if flips.exact else np.sqrt(p * (1.0 - p) / flips.patterns)


def _family_error(p_family: Floats, flips: Flips, held: float) -> Floats:
    """The same of the larger of two p; labels are always drawn."""
    labels = np.sqrt(p_family * (1.0 - p_family) / DRAWS)
    return np.where(p_family == held, labels, _error(p_family, flips))


def _people(ratings: Ratings, part: _Rows) -> pd.DataFrame:
    row, person = np.nonzero(~np.isnan(part.differences.T))
    one = np.zeros(row.size, dtype=np.int64)
    return pd.DataFrame(
        {
            "descriptor": _labels(ratings.descriptor.labels, part.descriptor[row]),
            "age_minutes": _labels(ratings.age.labels, part.age[row]),
            "panelist": _labels(ratings.panelist.labels, person),
            "difference": part.differences.T[row, person],
            "first": _labels((part.pair[0],), one),
            "second": _labels((part.pair[1],), one),
        }
    )


def _labels(labels: tuple[Any, ...], codes: npt.NDArray[Any]) -> Any:
    """The labels at these places as a column of their own kind."""
    return pd.Series(list(labels)).take(codes).to_numpy()
