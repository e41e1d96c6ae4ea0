"""How strength falls over the dry-down: curve, area, time above a threshold, and when two trials part or meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice, real, risk, whole
from evaluation.statistics.dry_down.falling import area_under, falling_fit, first_above, last_above
from evaluation.statistics.dry_down.typical import ALL_UP_TO, between, refusal, subsets
from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.ratings.cells import Cells, read_cells

MISSING = ("available", "complete")
# Taken where a frame holds several descriptors and none is named
STRENGTH = "strength"


@dataclass(frozen=True, slots=True)
class CurvePoint:
    """Part of :class:`TrialDecay`: at one strip age the ``mean`` over panelists of their means, and the fit."""

    age_minutes: float
    panelists: int
    mean: float
    fitted: float


@dataclass(frozen=True, slots=True)
class PersonDecay:
    """Part of :class:`TrialDecay`: one panelist's own monotone curve, for a dot beside the panel's number.

    ``area`` and ``time_above`` are None for a panelist who did not rate every age of the trial; ``area`` with one age.
    """

    panelist: Any
    area: float | None
    time_above: float | None
    censored: str


@dataclass(frozen=True, slots=True)
class TrialDecay:
    """One trial; part of :class:`Decay`.

    Attributes
    ----------
    trial : its label.
    panelists, left_out : people whose ratings made the curve; people left out by ``missing="complete"``.
    curve : one :class:`CurvePoint` for each age, in order.
    people : one :class:`PersonDecay` for each panelist of the curve.
    area, area_low, area_high : under the fitted curve from the first age to the last, scale points × minutes, and its
        interval; ``area`` is None with one age.
    time_above, low, high : strip age in minutes at which the fitted curve falls to the threshold, and its interval from
        0 to inf.
    censored : ``"right"``: still above at the last age, so ``time_above`` is that age and means "at least";
        ``"left"``: not above at the first age already, so it is that age and means "at most"; else empty.
    exact : the interval rests on every subset of the panel, not on a drawn sample of them.
    reason : why there is no interval (0 … inf); empty where there is.
    """

    trial: Any
    panelists: int
    left_out: int
    curve: tuple[CurvePoint, ...]
    people: tuple[PersonDecay, ...]
    area: float | None
    area_low: float
    area_high: float
    time_above: float
    low: float
    high: float
    censored: str
    exact: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Stretch:
    """From when until when one curve lies above the other by more than the margin; part of :class:`PairDecay`.

    Attributes
    ----------
    stronger : label of the trial above.
    since, since_low, since_high : strip age in minutes at which they part, and its interval.
    since_censored : apart at the first common age already: ``since`` is that age and means "at most".
    until, until_low, until_high : strip age in minutes at which they meet (with margin 0: cross), and its interval.
    until_censored : still apart at the last common age: ``until`` is that age and means "at least".
    pieces : separate stretches between ``since`` and ``until``; above 1 the two times enclose a gap, and neither is
        reliable.
    """

    stronger: Any
    since: float
    since_low: float
    since_high: float
    since_censored: bool
    until: float
    until_low: float
    until_high: float
    until_censored: bool
    pieces: int


@dataclass(frozen=True, slots=True)
class PairDecay:
    """Two trials; part of :class:`Decay`. ``stretches`` is empty where the curves never lie apart by the margin.

    ``panelists`` rated both trials; ``reason`` says why there are no intervals, or no times at all.
    """

    first: Any
    second: Any
    panelists: int
    stretches: tuple[Stretch, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class Decay:
    """What :func:`decay` found; the fields before ``trials`` echo its arguments.

    Attributes
    ----------
    trials : one :class:`TrialDecay` for each trial.
    pairs : one :class:`PairDecay` for each two trials.
    dropped : ratings of the descriptor that were missing in the frame.
    again : rows of the frame whose replicate number was given before; they count as further replicates.
    """

    threshold: float
    descriptor: Any
    level: float
    margin: float
    missing: str
    seed: int
    trials: tuple[TrialDecay, ...]
    pairs: tuple[PairDecay, ...]
    dropped: int
    again: int

    @property
    def table(self) -> pd.DataFrame:
        """One row for each trial: all of :class:`TrialDecay` but curve and people."""
        columns = [name for name in TrialDecay.__slots__ if name not in ("curve", "people")]
        return pd.DataFrame([{name: getattr(one, name) for name in columns} for one in self.trials])

    @property
    def curve(self) -> pd.DataFrame:
        """Columns ``trial, age_minutes, panelists, mean, fitted``."""
        return pd.DataFrame([_row(point, trial=one.trial) for one in self.trials for point in one.curve])

    @property
    def people(self) -> pd.DataFrame:
        """Columns ``trial, panelist, area, time_above, censored``."""
        return pd.DataFrame([_row(person, trial=one.trial) for one in self.trials for person in one.people])

    @property
    def meetings(self) -> pd.DataFrame:
        """One row for each stretch: ``first, second, panelists, reason`` and the fields of :class:`Stretch`."""
        names = ["first", "second", "panelists", "reason", *Stretch.__slots__]
        rows = [_row(part, **_row(pair, without="stretches")) for pair in self.pairs for part in pair.stretches]
        return pd.DataFrame(rows, columns=names)


def _row(value: Any, without: str = "", **more: Any) -> dict[str, Any]:
    return more | {name: getattr(value, name) for name in type(value).__slots__ if name != without}


def decay(
    frame: pd.DataFrame,
    threshold: float,
    *,
    descriptor: Any = None,
    level: float = 0.95,
    margin: float = 0.0,
    missing: str = "available",
    seed: int = 0,
) -> Decay:
    """How does each trial's strength fall, how long does it stay above a threshold, and when do two part or meet?

    Parameters
    ----------
    frame : DataFrame, one row for each rating
        Columns ``panelist, trial, age_minutes`` (planned strip age, 0 or more) and ``rating`` (any scale; missing = not
        smelt or skipped, dropped), and if there are several ``replicate`` and ``descriptor``.
    threshold : float, on the scale of the ratings
    descriptor : one of the frame's, default None
        None takes the only one, or of several the one called ``"strength"``.
    level : float, between 0 and 1
        Confidence of the intervals.
    margin : float, 0 or more, on the scale of the ratings
        Two trials are apart while their fitted curves differ by more than this. 0: the time they meet is the crossing.
    missing : {"available", "complete"}
        ``"available"``: at each age the people who rated it there. ``"complete"``: only people who rated the trial (of
        a pair: both trials) at every age, the others are counted in ``left_out``.
    seed : int, 0 or more
        Draws 4,999 subsets of the panel where it has more than 12 people; up to 12 all are used.

    Returns
    -------
    Decay

    Raises
    ------
    ArgumentError, KindError
        A column missing, no rating at all, an age negative or missing, a rating no finite number;
        several descriptors and none named; a value outside its range.

    Notes
    -----
    The curve is the non-increasing fit to the means over panelists, each age weighted by the people who rated it; times
    and areas run along straight lines between ages, so with few ages a time says little more than "between these two",
    and a curve that sags in between is met earlier than said. A trial that first grows stronger is smoothed level
    there: look at the means.

    Intervals: the number for every subset of the panel, cut at both ends (typical values). This is the sign-flip test
    turned round, exact if at the true time people lie about the threshold as often as much below as above, and
    approximate where the fit joins ages, for the area, or where people differ in how skewed they are. It speaks for
    people like this panel only as far as the panel was drawn from them. With fewer than 6 panelists there is none: 0
    (the area: −inf) to inf. Beyond the last age it says inf, before the first one 0. In a session of several trials
    each number has its own interval; nothing is corrected for looking at several. A stretch in which two trials are not
    apart does not show that they are the same.

    References
    ----------
    Monotone fit: Robertson, Wright & Dykstra 1988, Order Restricted Statistical Inference, ch. 1. Typical values:
    Hartigan 1969, JASA 64, 1303–1317. Both from memory.

    Examples
    --------
    >>> ages = [5, 30, 120]
    >>> strength = {"A": [8, 6, 2], "B": [6, 5, 4]}
    >>> rows = [(p, t, a, y + p / 8) for t, ys in strength.items() for a, y in zip(ages, ys) for p in range(-3, 4)]
    >>> frame = pd.DataFrame(rows, columns=["panelist", "trial", "age_minutes", "rating"])
    >>> found = decay(frame, threshold=5)
    >>> [(one.trial, one.time_above, round(one.low, 2), round(one.high, 2)) for one in found.trials]
    [('A', 52.5, 46.88, 58.12), ('B', 30.0, 23.75, 52.5)]
    >>> [(part.stronger, part.since, part.until) for part in found.pairs[0].stretches]
    [('A', 5.0, 60.0), ('B', 60.0, 120.0)]
    """
    threshold, level, margin = real("threshold", threshold), risk("level", level), real("margin", margin, 0.0)
    settings = _Settings(threshold, level, margin, choice("missing", missing, MISSING), whole("seed", seed))
    read = read_cells(frame, ("age_minutes",))
    place = _descriptor_place(read, descriptor)
    panel = _Panel(read, read.means()[:, :, place, :])
    return Decay(
        **_row(settings),
        descriptor=read.descriptors[place],
        trials=tuple(_trial(panel, at, settings) for at in range(len(read.trials)) if panel.ages(at).any()),
        pairs=tuple(_pair(panel, one, two, settings) for one, two in combinations(range(len(read.trials)), 2)),
        dropped=_dropped(frame, read.descriptors[place]),
        again=read.again,
    )


@dataclass(frozen=True, slots=True)
class _Settings:
    threshold: float
    level: float
    margin: float
    missing: str
    seed: int


@dataclass(frozen=True, slots=True, eq=False)
class _Panel:
    """Means over replicates, (panelists, trials, ages); NaN where nobody rated."""

    read: Cells
    means: Floats

    def ages(self, *trials: int) -> Any:
        """Where somebody rated each of the trials."""
        return np.any(~np.isnan(self.means[:, trials, :]), axis=0).all(axis=0)

    def people(self, ages: Any, missing: str, *trials: int) -> Any:
        """Who enters: rated each trial at one of the ages, or at all of them."""
        rated = ~np.isnan(self.means[:, trials, :][:, :, ages])
        return np.all(rated.all(axis=2) if missing == "complete" else rated.any(axis=2), axis=1)


def _descriptor_place(read: Cells, asked: Any) -> int:
    if asked is not None:
        return read.descriptors.index(choice("descriptor", asked, read.descriptors))
    if len(read.descriptors) == 1:
        return 0
    if STRENGTH in read.descriptors:
        return read.descriptors.index(STRENGTH)
    raise ArgumentError(f"descriptor must be named: the frame holds {', '.join(map(repr, read.descriptors))}.")


def _dropped(frame: pd.DataFrame, descriptor: Any) -> int:
    of_it = frame["descriptor"] == descriptor if "descriptor" in frame.columns else pd.Series(True, frame.index)
    return int(frame.loc[of_it, "rating"].isna().sum())


def _fits(ratings: Floats, weights: Floats) -> Floats:
    """A fitted curve for each row of ``weights`` (subsets, people) from ``ratings`` (people, ages)."""
    there = (~np.isnan(ratings)).astype(np.float64)
    number = weights @ there
    means = weights @ np.nan_to_num(ratings) / np.where(number > 0, number, 1.0)
    return falling_fit(means, number)


def _trial(panel: _Panel, at: int, settings: _Settings) -> TrialDecay:
    ages, everyone = panel.ages(at), panel.people(panel.ages(at), "available", at)
    who = panel.people(ages, settings.missing, at)
    if not who.any():
        raise ArgumentError(
            f"missing must be 'available' here: nobody rated trial {panel.read.trials[at]!r} at every age."
        )
    ratings, age = panel.means[who, at][:, ages], np.array(panel.read.ages)[ages]
    whole_panel = np.ones((1, len(ratings)))
    fitted = _fits(ratings, whole_panel)
    number = (~np.isnan(ratings)).sum(axis=0)
    means = np.nansum(ratings, axis=0) / number
    points = zip(age.tolist(), number.tolist(), means.tolist(), fitted[0].tolist(), strict=True)
    return TrialDecay(
        trial=panel.read.trials[at],
        panelists=len(ratings),
        left_out=int(everyone.sum()) - len(ratings),
        curve=tuple(CurvePoint(*one) for one in points),
        people=_people(panel, who, ratings, age, settings.threshold),
        **_numbers_of(ratings, fitted, age, settings),
    )


def _numbers_of(ratings: Floats, fitted: Floats, age: Floats, settings: _Settings) -> dict[str, Any]:
    reason = refusal(len(ratings), settings.level)
    area = _area(fitted, age)[0]
    time, censored = _clipped(float(last_above(fitted, age, settings.threshold)[0]), age)
    area_low, area_high, low, high = -math.inf, math.inf, 0.0, math.inf
    if not reason:
        fits = _fits(ratings, subsets(len(ratings), settings.seed))
        low, high = _ends(last_above(fits, age, settings.threshold), age, settings.level)
        area_low, area_high = between(area_under(fits, age), settings.level)
    return {
        "area": area,
        "area_low": area_low,
        "area_high": area_high,
        "time_above": time,
        "low": low,
        "high": high,
        "censored": censored,
        "exact": not reason and len(ratings) <= ALL_UP_TO,
        "reason": reason,
    }


def _area(fits: Floats, age: Floats) -> list[float | None]:
    return [None if math.isnan(one) else one for one in area_under(fits, age).tolist()]


def _clipped(time: float, age: Floats) -> tuple[float, str]:
    """The time within the ages smelt, and on which side it is censored."""
    if time == math.inf:
        return float(age[-1]), "right"
    if time == -math.inf:
        return float(age[0]), "left"
    return time, ""


def _people(panel: _Panel, who: Any, ratings: Floats, age: Floats, threshold: float) -> tuple[PersonDecay, ...]:
    fits = _fits(ratings, np.eye(len(ratings)))
    names = [panel.read.panelists[place] for place in np.flatnonzero(who)]
    found = []
    for name, area, time in zip(names, _area(fits, age), last_above(fits, age, threshold).tolist(), strict=True):
        within, censored = (None, "") if math.isnan(time) else _clipped(time, age)
        found.append(PersonDecay(name, area, within, censored))
    return tuple(found)


def _pair(panel: _Panel, one: int, two: int, settings: _Settings) -> PairDecay:
    ages = panel.ages(one, two)
    who = panel.people(ages, settings.missing, one, two) if ages.any() else np.zeros(len(panel.means), bool)
    first, second = panel.read.trials[one], panel.read.trials[two]
    if not who.any():
        return PairDecay(first, second, 0, (), "no times: nobody rated both trials at a common age")
    both = panel.means[who][:, [one, two]][:, :, ages]
    age = np.array(panel.read.ages)[ages]
    reason = refusal(len(both), settings.level)
    rows = [np.ones((1, len(both)))] + ([] if reason else [subsets(len(both), settings.seed)])
    gaps = [_fits(both[:, 0], row) - _fits(both[:, 1], row) for row in rows]
    if np.isnan(gaps[0]).any():  # an age of both trials, but of other people
        return PairDecay(first, second, len(both), (), "no times: an age at which nobody of them rated one trial")
    signed = ((first, 1.0), (second, -1.0))
    stretches = (_stretch(name, [sign * gap for gap in gaps], age, settings) for name, sign in signed)
    return PairDecay(first, second, len(both), tuple(part for part in stretches if part), reason)


def _stretch(stronger: Any, gaps: list[Floats], age: Floats, settings: _Settings) -> Stretch | None:
    above = gaps[0][0] > settings.margin
    if not above.any():
        return None
    since, until = (passed(gaps[0], age, settings.margin)[0] for passed in (first_above, last_above))
    ends = [(0.0, math.inf)] * 2
    if len(gaps) > 1:
        times = (passed(gaps[1], age, settings.margin) for passed in (first_above, last_above))
        ends = [_ends(one, age, settings.level) for one in times]
    (since_low, since_high), (until_low, until_high) = ends
    return Stretch(
        stronger=stronger,
        since=_clipped(float(since), age)[0],
        since_low=since_low,
        since_high=since_high,
        since_censored=bool(above[0]),
        until=_clipped(float(until), age)[0],
        until_low=until_low,
        until_high=until_high,
        until_censored=bool(above[-1]),
        pieces=int(above[0]) + int((above[1:] & ~above[:-1]).sum()),
    )


def _ends(times: Floats, age: Floats, level: float) -> tuple[float, float]:
    """Interval of a time; what lies before the first age lies between 0 and it, beyond the last between it and inf."""
    low, high = between(times, level)
    return (0.0 if low == -math.inf else min(low, float(age[-1]))), max(high, float(age[0]))
