"""What did each of several changes do? Effects from bottles in which each change is made or not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from numbers import Number
from typing import Any, Final, Literal

import numpy as np
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import choice, risk, whole
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.laws.several_questions import steps
from evaluation.statistics.laws.signflip import FEWEST_DRAWS, FEWEST_PEOPLE, MOST_DRAWS, Flips, flip_signs
from evaluation.statistics.ratings.frames import Ratings, column_of, ratings_of
from evaluation.statistics.which_change.combinations import names_of

BY: Final = ("person", "pairs")
NEARLY: Final = 1e-9  # how far a projection may miss a whole number
RATED: Final = ("panelist", "descriptor", "age_minutes", "rating")

By = Literal["person", "pairs"]


@dataclass(frozen=True, slots=True, eq=False)
class EffectsOfChanges:
    """What :func:`effects_of_changes` found; the first five fields echo its arguments.

    Attributes
    ----------
    table : one row for each effect, descriptor and strip age:

        ``estimate``
            mean over people of each one's own least squares; NaN where nobody's bottles give it.
        ``low``, ``high``
            interval at ``level`` by itself; infinite outside the family.
        ``p_value``, ``p_family``
            of this row by itself, and corrected for all; NaN where nothing is tested.
        ``panelists``, ``left_out``
            how many gave it, and how many who rated there did not.
        ``flipped``
            people, or pairs of bottles, whose signs are turned.
        ``in_family``
            False with fewer than six of these: described, nothing is claimed.
    exact : True where every pattern of signs was used.
    """

    changes: tuple[str, ...]
    interactions: bool
    by: By
    level: float
    seed: int
    table: pd.DataFrame
    exact: bool


def effects_of_changes(
    frame: pd.DataFrame,
    changes: Sequence[str],
    interactions: bool = False,
    by: By = "person",
    *,
    level: float = 0.95,
    draws: int = 9_999,
    seed: int = 0,
) -> EffectsOfChanges:
    """What did each change do to each descriptor, at each strip age?

    Parameters
    ----------
    frame : data frame of ratings
        Columns ``panelist``, ``descriptor``, ``age_minutes``, ``rating`` (numbers; empty: not smelt or skipped) and one
        column of 0 and 1 for each change: 1 where the bottle rated holds it.
    changes : 2 to 6 names of those columns
    interactions : bool
        Also the effect of every two changes together, beyond what each does.
    by : {"person", "pairs"}
        ``"person"``: one sign a person. ``"pairs"``: one sign for each person's pair of bottles that differ in that
        change alone, for panels under six; it speaks for this panel and these bottles, and knows no interactions.
    level : float, between 0 and 1
        Confidence of each interval, by itself.
    draws : int, 99 … 1,000,000
        Patterns drawn at random where there are too many to use all.
    seed : int, 0 or more

    Returns
    -------
    EffectsOfChanges

    Raises
    ------
    ArgumentError, KindError
        Columns lacking or there twice, a change named like a column of ratings, a change that is neither 0 nor 1, a
        rating that is no finite number, interactions with ``by="pairs"``, numbers outside their range.

    Notes
    -----
    Each person's ratings at one age are fitted by least squares, a change coded −½ and +½, two changes together by the
    product of their signs halved. So in a balanced design an effect is the person's mean with the change less that
    without; of two together the mean at equal signs less that at unequal; with one change at a time the bottle against
    the base. A person whose bottles cannot give an effect is left out of it and counted. Of effects whose columns
    agree none gets a number.

    By person the p-values are exact for "each person's effect is as likely with its sign turned", one sign a person
    turning all rows together, one family over effects, descriptors and ages. By pairs: the largest within an effect,
    Holm over effects; this asks more, namely that all else about two such bottles is alike but for chance, the weighing
    of each included; the interval is of the mean over pairs: not the estimate where people have unequally many.
    Fewer than six signs give no p and an infinite interval, and ``in_family`` says so.

    It does not promise that an effect would be found with other people or other bottles, nor that what is not found is
    nothing.

    References
    ----------
    Box, Hunter & Hunter 2005, Statistics for Experimenters, chapter 5 (from memory); sign flips as in
    :func:`profile_differences`; Holm 1979, Scand. J. Statist. 6, 65–70.

    Examples
    --------
    >>> import pandas as pd
    >>> rows = [(p, "woody", 5, cedar, fig, 3 + (2 + p % 3) * cedar - fig)
    ...         for p in range(6) for cedar in (0, 1) for fig in (0, 1)]
    >>> frame = pd.DataFrame(rows, columns=["panelist", "descriptor", "age_minutes", "cedar", "fig", "rating"])
    >>> found = effects_of_changes(frame, ["cedar", "fig"]).table.round(6)
    >>> found[["effect", "estimate", "p_family"]].to_numpy().tolist()
    [['cedar', 3.0, 0.03125], ['fig', -1.0, 0.03125]]
    """
    names, way = _no_column_of_ratings(names_of(changes)), choice("by", by, BY)
    choice("interactions", interactions, (False, True))
    limits = risk("level", level), whole("draws", draws, FEWEST_DRAWS, MOST_DRAWS), whole("seed", seed)
    if interactions and way == "pairs":
        raise ArgumentError(
            "interactions must be False with by='pairs', not True: no two bottles differ in them alone."
        )
    made = _made(frame, names)
    cells = _Cells.of(frame, made)
    effects = _effects(len(names), bool(interactions))
    own = _own_effects(cells, made, effects)
    found = _by_person(own, *limits) if way == "person" else _by_pairs(cells, made, len(effects), *limits)
    called = tuple(":".join(names[place] for place in effect) for effect in effects)
    return EffectsOfChanges(
        names, bool(interactions), by, limits[0], limits[2], _table(cells, called, own, found), found.exact
    )


# --- the frame --------------------------------------------------------------------------------------------------------


def _no_column_of_ratings(names: tuple[str, ...]) -> tuple[str, ...]:
    taken = [name for name in names if name in RATED]
    if taken:
        raise ArgumentError(f"changes must not be called as a column of ratings is ({', '.join(RATED)}): {taken[0]!r}.")
    return names


def _made(frame: Any, names: tuple[str, ...]) -> Ints:
    """Rows × changes, 0 or 1."""
    if not isinstance(frame, pd.DataFrame):
        raise KindError(f"frame must be a pandas data frame, not {type(frame).__name__}.")
    _has("a column for each change", frame, names)
    _has(f"the columns {', '.join(RATED)}", frame, RATED)
    made: Ints = np.array([_made_or_not(name, column_of(frame, name)) for name in names], dtype=np.int64).T
    return made


def _has(what: str, frame: pd.DataFrame, names: Sequence[str]) -> None:
    lacking = [name for name in names if name not in frame.columns]
    if lacking:
        raise ArgumentError(f"frame must have {what}; it lacks {', '.join(lacking)}.")


def _made_or_not(name: str, column: pd.Series) -> list[int]:
    if column.dtype in (np.dtype(bool), np.dtype(np.int64)) and bool(column.isin((0, 1)).all()):
        return list(map(int, column.tolist()))
    given = column.tolist()  # one by one, to name what is neither
    for one in given:
        if not isinstance(one, Number | np.bool_) or one not in (0, 1):
            raise ArgumentError(f"frame: {name} must be 0 or 1 in every row, not {one!r}.")
    return list(map(int, given))


@dataclass(frozen=True, slots=True, eq=False)
class _Cells:
    """The ratings that are there, by person and by row of the table (a descriptor at an age)."""

    read: Ratings
    person: Ints
    row: Ints  # of ``present``
    present: Ints  # descriptor × ages + age
    there: Any  # which rows of the frame hold a rating

    @staticmethod
    def of(frame: pd.DataFrame, made: Ints) -> _Cells:
        bottles = (made @ (1 << np.arange(made.shape[1]))).astype(np.int64)
        read = ratings_of(frame[list(RATED)].assign(trial=bottles))  # whatever else stands in it is not ours
        code = read.descriptor.codes * len(read.age.labels) + read.age.codes
        present, row = np.unique(code, return_inverse=True)
        return _Cells(read, read.panelist.codes, row.astype(np.int64), present, ~np.isnan(read.rating))

    @property
    def people(self) -> int:
        return len(self.read.panelist.labels)

    def each(self) -> Iterator[tuple[int, int, Ints]]:
        """Person, row of the table, and which rows of the frame hold the ratings there."""
        places = np.flatnonzero(self.there)
        key = self.person[places] * self.present.size + self.row[places]
        order = np.argsort(key, kind="stable")
        starts = np.flatnonzero(np.diff(key[order], prepend=-1))
        for group in np.split(order, starts[1:]) if order.size else ():
            yield *divmod(int(key[group[0]]), self.present.size), places[group]


# --- each person's own effects ----------------------------------------------------------------------------------------


def _effects(number: int, interactions: bool) -> list[tuple[int, ...]]:
    ways = (1, 2) if interactions else (1,)
    return [one for way in ways for one in combinations(range(number), way)]


def _own_effects(cells: _Cells, made: Ints, effects: list[tuple[int, ...]]) -> Floats:
    """People × effects × rows of the table; NaN where a person's bottles cannot give it."""
    signs = 2.0 * made - 1.0
    columns = np.column_stack([np.ones(len(made)), *(signs[:, list(one)].prod(axis=1) / 2.0 for one in effects)])
    own = np.full((cells.people, len(effects), cells.present.size), np.nan)
    known: dict[bytes, Floats] = {}
    for person, row, places in cells.each():
        design = columns[places]
        key = design.tobytes()
        if key not in known:
            known[key] = _solver(design)
        own[person, :, row] = known[key] @ cells.read.rating[places]
    return _plain(cells, own)


def _plain(cells: _Cells, differences: Floats) -> Floats:
    """0 where only last digits of sums are left, which must not be ranked against one another."""
    largest = float(np.nanmax(np.abs(cells.read.rating), initial=0.0))
    return np.where(np.abs(differences) < NEARLY * largest, 0.0, differences)


def _solver(design: Floats) -> Floats:
    """What the ratings are multiplied by; NaN for an effect that these bottles do not tell from another."""
    inverse = np.linalg.pinv(design)
    told = np.abs(inverse @ design - np.eye(design.shape[1])).max(axis=1) < NEARLY
    inverse[~told] = np.nan
    return np.asarray(inverse[1:], dtype=np.float64)


# --- signs turned -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Tested:
    """Effects × rows of the table each."""

    p_value: Floats
    p_family: Floats
    low: Floats
    high: Floats
    flipped: Ints
    exact: bool


def _by_person(own: Floats, level: float, draws: int, seed: int) -> _Tested:
    people, effects, rows = own.shape
    flat = own.reshape(people, effects * rows)
    flips = flip_signs(flat, level, draws, seed)
    p_value, p_family, low, high = (part.reshape(effects, rows) for part in _told(flips))
    flipped = (~np.isnan(own)).sum(axis=0)
    return _Tested(p_value, p_family, low, high, flipped, flips.exact)


def _told(flips: Flips) -> tuple[Floats, Floats, Floats, Floats]:
    """Nothing is tested with fewer than six signs."""
    return np.where(flips.family, flips.p_value, np.nan), flips.p_family, flips.low, flips.high


def _by_pairs(cells: _Cells, made: Ints, effects: int, level: float, draws: int, seed: int) -> _Tested:
    """Each effect by itself, then Holm over effects: the step of an effect is that of its smallest p."""
    pairs = [_pairs(cells, made, one) for one in range(effects)]
    parts = [flip_signs(one, level, draws, seed) for one in pairs]
    told = [_told(one) for one in parts]
    flipped = np.array([(~np.isnan(one)).sum(axis=0) for one in pairs])
    p_value, p_family, low, high = (np.array([one[place] for one in told]) for place in range(4))
    return _Tested(p_value, _over_effects(p_family), low, high, flipped, all(one.exact for one in parts))


def _over_effects(p_family: Floats) -> Floats:
    tested = np.flatnonzero(~np.isnan(p_family).all(axis=1))
    smallest = [float(np.nanmin(p_family[one])) for one in tested]
    adjusted = np.full_like(p_family, np.nan)
    for place, left, least in steps(smallest):
        row = tested[place]
        adjusted[row] = np.minimum(1.0, np.maximum(p_family[row] * left, least))
    return adjusted


def _pairs(cells: _Cells, made: Ints, change: int) -> Floats:
    """Pairs of one person's bottles that differ in ``change`` alone × rows of the table: with less without.

    Several ratings of one bottle there are taken together.
    """
    rest = np.delete(made, change, axis=1)
    block = (rest @ (1 << np.arange(rest.shape[1]))).astype(np.int64)
    blocks = 1 << rest.shape[1]
    rows, places = cells.present.size, np.flatnonzero(cells.there)
    own = (made[places, change] * cells.people + cells.person[places]) * blocks + block[places]
    shape = (2, cells.people * blocks, rows)
    slot, size = own * rows + cells.row[places], int(np.prod(shape))
    sums = np.bincount(slot, cells.read.rating[places], size).reshape(shape)
    counts = np.bincount(slot, minlength=size).reshape(shape)
    means = np.divide(sums, counts, out=np.full(shape, np.nan), where=counts > 0)
    differences = _plain(cells, means[1] - means[0])
    return differences[~np.isnan(differences).all(axis=1)]


# --- the table --------------------------------------------------------------------------------------------------------


def _table(cells: _Cells, called: tuple[str, ...], own: Floats, found: _Tested) -> pd.DataFrame:
    """Row by row: descriptor, age, effect."""
    ages, read = len(cells.read.age.labels), cells.read
    low, high = _plain(cells, found.low), _plain(cells, found.high)  # a limit at 0 does not leave 0 outside
    gave = (~np.isnan(own)).sum(axis=0)
    with_ratings = np.zeros((cells.people, cells.present.size), dtype=bool)
    with_ratings[cells.person[cells.there], cells.row[cells.there]] = True
    total = np.nansum(own, axis=0)
    estimate = np.divide(total, gave, out=np.full(total.shape, np.nan), where=gave > 0)
    listed = [
        (
            read.descriptor.labels[code // ages], read.age.labels[code % ages], called[effect],
            estimate[effect, row], low[effect, row], high[effect, row], found.p_value[effect, row],
            found.p_family[effect, row], int(gave[effect, row]),
            int(with_ratings[:, row].sum() - gave[effect, row]), int(found.flipped[effect, row]),
            bool(found.flipped[effect, row] >= FEWEST_PEOPLE),
        )
        for row, code in enumerate(cells.present.tolist()) for effect in range(len(called))
    ]  # fmt: skip
    return pd.DataFrame(listed, columns=list(COLUMNS))


COLUMNS: Final = (
    "descriptor", "age_minutes", "effect", "estimate", "low", "high", "p_value", "p_family", "panelists", "left_out",
    "flipped", "in_family",
)  # fmt: skip
