"""Descriptors over the dry-down as a mixed model: trial, age and both together, against how people differ."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import choice
from evaluation.statistics.laws.inputs import Ints
from evaluation.statistics.ratings.effects import (
    EFFECTS,
    RANDOM,
    RESIDUAL,
    Cells,
    Effect,
    Fitted,
    dense,
    separable,
    wanted,
)
from evaluation.statistics.ratings.frames import Ratings, ratings_of
from evaluation.statistics.ratings.reml import NOTHING_VARIES, fit_general, unfit
from evaluation.statistics.ratings.strata import filled, fit_balanced, table_of

NOT_FITTED: Final = "none"
_NAN: Final = float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class ProfileModel:
    """What :func:`profile_model` found; ``random`` and ``interaction`` echo its arguments.

    Attributes
    ----------
    table : three rows per descriptor: ``descriptor``, ``effect`` (``trial``, ``age``, ``trial:age``), ``F``,
        ``df_effect``, ``df_error``, ``p_value``; NaN with ``df_effect`` 0 where an effect cannot be asked.
    variances : one row per descriptor: ``descriptor``; ``panelist``, ``panelist:trial`` (with ``"full"`` also
        ``panelist:age``, ``panelist:trial:age``) and ``residual``, NaN where the ratings cannot tell one apart (it is
        then inside the variance ``note`` names); ``singular``: a variance was held at 0; ``route``: ``"closed form"``,
        ``"restricted likelihood"`` or ``"none"``; ``ratings`` used; ``left_out``: ratings of trials or ages set aside
        because cells are empty; ``note``.
    missing : rows of the frame that hold no rating; they count nowhere.
    again : rows whose replicate number their cell already has; they count as one more replicate.
    """

    random: str
    interaction: bool
    table: pd.DataFrame
    variances: pd.DataFrame
    missing: int
    again: int


def profile_model(frame: pd.DataFrame, random: str = "default", *, interaction: bool = True) -> ProfileModel:
    """Does a descriptor depend on the trial, on the strip age, and does the trial's effect change as the strip ages?

    Parameters
    ----------
    frame : data frame of ratings
        Columns ``panelist``, ``trial``, ``descriptor`` (text or numbers), ``age_minutes``, ``rating`` (numbers; empty:
        not smelt or skipped) and, where ratings were repeated, ``replicate``. Further columns are ignored.
    random : {"default", "full"}
        What may vary between people: ``"default"`` their level and how they see each trial (panelist, panelist ×
        trial); ``"full"`` also how they see each age and, with replicates, each trial at each age.
    interaction : bool
        False leaves trial × age out of the model.

    Returns
    -------
    ProfileModel

    Raises
    ------
    ArgumentError, KindError
        Not a data frame, columns lacking, a rating that is no finite number, fewer than two trials
        or panelists, an unknown word for ``random``, an ``interaction`` that is not True or False.

    Notes
    -----
    Each age is a level of its own: nothing is assumed about the curve. With the default the p-values of ``age`` and
    ``trial:age`` are too small when people differ in how they see the ages; ``random="full"`` compares those effects
    with such differences, and what moved at which age is better asked of ``profile_differences``. Ratings are taken to
    scatter normally around these effects, alike for everybody.

    Variances are by restricted maximum likelihood and never below 0. Balanced ratings are fitted in closed form: F is
    the effect's mean square over that of its interaction with people, as in an analysis of variance. A variance held at
    0 (``singular``) pools strata: the error gets more degrees of freedom than the classical analysis would give it, and
    p may come out smaller. Unbalanced ratings: F of each effect given all others (type III), degrees of freedom by
    Satterthwaite, over the variances that are not at 0. With the interaction in the model, trials that nobody rated
    and ages at which a trial has no rating are set aside and counted (``left_out``). A large p is not "the same".

    References
    ----------
    Expected mean squares: Searle, Casella & McCulloch 1992, Variance Components, ch. 4. Degrees of freedom:
    Satterthwaite 1946, Biometrics Bulletin 2, 110–114; several at once: Fai & Cornelius 1996, J. Statist. Comput.
    Simul. 54, 363–378.

    Examples
    --------
    >>> import pandas as pd
    >>> rows = [
    ...     (p, trial, "woody", 30, replicate, 3 + trial + (p * trial) % 3 + (p + trial + replicate) % 2)
    ...     for p in range(6) for trial in range(3) for replicate in range(2)
    ... ]
    >>> frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "replicate", "rating"])
    >>> found = profile_model(frame).table.iloc[0]
    >>> found.effect, [round(float(found[name]), 3) for name in ("F", "df_effect", "df_error", "p_value")]
    ('trial', [35.0, 2.0, 10.0, 0.0])
    """
    random = choice("random", random, tuple(RANDOM))
    if not isinstance(interaction, bool | np.bool_):
        raise KindError(f"interaction must be True or False, not {interaction!r}.")
    ratings = ratings_of(frame)
    for name, coded in (("trial", ratings.trial), ("panelist", ratings.panelist)):
        if len(coded.labels) < 2:
            raise ArgumentError(f"frame must hold 2 {name}s or more, not {len(coded.labels)}.")
    names = ratings.descriptor.labels
    fits = _together(ratings, random, bool(interaction)) or _one_by_one(ratings, random, bool(interaction))
    tests = pd.DataFrame([row for name, fit in zip(names, fits, strict=True) for row in _tests(name, fit.fitted)])
    variances = pd.DataFrame([_variances(name, fit, random) for name, fit in zip(names, fits, strict=True)])
    return ProfileModel(random, bool(interaction), tests, variances, ratings.missing, ratings.again)


@dataclass(frozen=True, slots=True, eq=False)
class _Fit:
    fitted: Fitted
    ratings: int
    left_out: int


def _together(ratings: Ratings, random: str, interaction: bool) -> list[_Fit] | None:
    """All descriptors at once, where every panelist rated every trial at every age equally often in each."""
    columns = (ratings.descriptor, ratings.panelist, ratings.trial, ratings.age)
    shape = tuple(len(one.labels) for one in columns)
    place = np.ravel_multi_index(tuple(one.codes for one in columns), shape)
    if ratings.missing or (tables := filled(place, shape, ratings.rating)) is None:
        return None
    one = ratings.descriptor.codes == 0
    panelist, trial, age = (column.codes[one] for column in columns[1:])
    cells = Cells(panelist, trial, age, ratings.rating[one])
    kept, mixed = separable(cells, random)
    fits = fit_balanced(tables, tuple(kept), wanted(cells.shape, interaction))
    return [_Fit(_told(fitted, mixed), cells.rating.size, 0) for fitted in fits]


def _one_by_one(ratings: Ratings, random: str, interaction: bool) -> list[_Fit]:
    order = np.argsort(ratings.descriptor.codes, kind="stable")
    parts = np.split(order, np.cumsum(np.bincount(ratings.descriptor.codes))[:-1])
    return [_descriptor(ratings, rows, random, interaction) for rows in parts]


def _descriptor(ratings: Ratings, asked: npt.NDArray[np.intp], random: str, interaction: bool) -> _Fit:
    rows = asked[~np.isnan(ratings.rating[asked])].astype(np.int64)
    kept = _without_empty_cells(ratings, rows) if interaction else rows
    if kept.size == 0:
        return _Fit(_not_fitted("no rating of two trials at one age"), 0, int(rows.size))
    panelist, trial, age = (dense(one.codes[kept]) for one in (ratings.panelist, ratings.trial, ratings.age))
    cells = Cells(panelist, trial, age, ratings.rating[kept])
    return _Fit(_fitted(cells, random, interaction), int(kept.size), int(rows.size - kept.size))


def _without_empty_cells(ratings: Ratings, rows: Ints) -> Ints:
    """Rows of the ages at which every trial that was rated at all has a rating."""
    trial, age = dense(ratings.trial.codes[rows]), dense(ratings.age.codes[rows])
    if rows.size == 0:
        return rows
    met = np.zeros((int(trial.max()) + 1, int(age.max()) + 1), dtype=bool)
    met[trial, age] = True
    full: npt.NDArray[np.bool_] = np.logical_and.reduce(met, axis=0)
    chosen: Ints = rows[full[age]]
    return chosen


def _fitted(cells: Cells, random: str, interaction: bool) -> Fitted:
    people, trials, _ = cells.shape
    if people < 2 or trials < 2:
        return _not_fitted(f"{people} panelist(s) and {trials} trial(s) rated")
    kept, mixed = separable(cells, random)
    if (table := table_of(cells)) is not None:
        (fitted,) = fit_balanced(table[None], tuple(kept), wanted(cells.shape, interaction))
    elif (why := unfit(cells, interaction)) is None:
        fitted = fit_general(cells, {name: RANDOM[random][name] for name in kept}, interaction)
    else:
        return _not_fitted(why)
    return _told(fitted, mixed)


def _told(fitted: Fitted, mixed: Mapping[str, str]) -> Fitted:
    """With what could not be told apart in its note."""
    if not any(fitted.variances.values()):
        return _not_fitted(NOTHING_VARIES)
    notes = [*(f"{name} cannot be told from {other}" for name, other in mixed.items()), fitted.note]
    return Fitted(fitted.effects, fitted.variances, fitted.route, "; ".join(note for note in notes if note))


def _not_fitted(why: str) -> Fitted:
    return Fitted((), {}, NOT_FITTED, why)


def _tests(descriptor: object, fitted: Fitted) -> list[dict[str, object]]:
    known = {one.name: one for one in fitted.effects}
    effects = [known.get(name, Effect(name, _NAN, 0, _NAN)) for name in EFFECTS]
    return [
        {
            "descriptor": descriptor,
            "effect": one.name,
            "F": one.f,
            "df_effect": float(one.df_effect),
            "df_error": one.df_error,
            "p_value": one.p_value,
        }
        for one in effects
    ]


def _variances(descriptor: object, fit: _Fit, random: str) -> dict[str, object]:
    fitted = fit.fitted
    return {
        "descriptor": descriptor,
        **{name: fitted.variances.get(name, _NAN) for name in (*RANDOM[random], RESIDUAL)},
        "singular": fitted.singular,
        "route": fitted.route,
        "ratings": fit.ratings,
        "left_out": fit.left_out,
        "note": fitted.note,
    }
