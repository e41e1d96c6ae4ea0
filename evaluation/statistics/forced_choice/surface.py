"""Which way of asking finds the same difference, with how many people and replicates?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import real, risk
from evaluation.statistics.forced_choice.difference import actual_alpha, minimum_correct
from evaluation.statistics.forced_choice.methods import METHODS, MethodName, method_named, model_of
from evaluation.statistics.forced_choice.panel_power import power
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, Ints, counts


@dataclass(frozen=True, slots=True)
class DesignPoint:
    """One method, panel and number of replicates; part of :class:`DesignSurface`.

    Attributes
    ----------
    assessments : people × replicates.
    minimum_correct : fewest correct that are noticed; None where even all correct is not enough.
    actual_alpha : true risk of calling guessing noticed, at or below alpha.
    power : exact chance to notice the difference, not smoothed; 0.0 where nothing is enough.
    """

    method: MethodName
    people: int
    replicates: int
    assessments: int
    minimum_correct: int | None
    actual_alpha: float
    power: float


@dataclass(frozen=True, slots=True)
class DesignSurface:
    """What :func:`design_surface` found; the first five fields echo its arguments.

    Attributes
    ----------
    points : method by method, in each by people, then by replicates.
    """

    people: tuple[int, ...]
    replicates: tuple[int, ...]
    d_prime: float
    alpha: float
    methods: tuple[str, ...]
    points: tuple[DesignPoint, ...]


def design_surface(
    people: npt.ArrayLike,
    replicates: npt.ArrayLike,
    d_prime: float,
    alpha: float = 0.05,
    methods: Sequence[str] | None = None,
) -> DesignSurface:
    """Which way of asking finds the same difference more often, with how many people and replicates?

    Parameters
    ----------
    people, replicates : int, or 1-D array of whole numbers, 1 or more; every pair of them is worked out
    d_prime : float, above 0
        True distance, the same for every method.
    alpha : float, between 0 and 1
    methods : sequence of {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc"}
        None: every method that has a published d-prime, as they are known when this is called.

    Returns
    -------
    DesignSurface

    Raises
    ------
    ArgumentError, KindError
        A value outside its range; an unknown method, or one without a published d-prime; more than ten million
        assessments.

    Notes
    -----
    Methods are compared at equal ``d_prime``: the same share of noticers is another difference in another method. The
    saw-tooth is kept: one person more can lower the power. Every answer counts as independent and at ``d_prime``; where
    people differ, replicates help less than this with a panel drawn afresh, and they speak for this panel only. 2-AFC
    and 3-AFC need a direction named beforehand. How tired the noses get is not in it.

    References
    ----------
    Exact binomial, as :func:`power`. At equal distance a tetrad takes about a third of the assessments of a triangle:
    Ennis & Jesionka 2011 (abstract read).

    Examples
    --------
    >>> found = design_surface(6, [1, 4], 1.5, methods=("triangle", "tetrad"))
    >>> [(one.method, one.assessments, one.minimum_correct, round(one.power, 3)) for one in found.points]
    [('triangle', 6, 5, 0.116), ('triangle', 24, 13, 0.445), ('tetrad', 6, 5, 0.302), ('tetrad', 24, 13, 0.889)]
    """
    panels, times = counts("people", people), counts("replicates", replicates)
    names, alpha, d_prime = _named(methods), risk("alpha", alpha), real("d_prime", d_prime, 0.0)
    if panels.size and times.size and int(panels.max()) * int(times.max()) > MOST_ASSESSMENTS:
        raise ArgumentError(
            f"people times replicates must be at most {MOST_ASSESSMENTS}, not {panels.max() * times.max()}."
        )
    points = (point for name in names for point in _points(name, panels, times, d_prime, alpha))
    return DesignSurface(tuple(panels.tolist()), tuple(times.tolist()), d_prime, alpha, names, tuple(points))


def _named(methods: Sequence[str] | None) -> tuple[MethodName, ...]:
    known = tuple(one.name for one in METHODS.values() if one.model is not None)
    if methods is None:
        return known
    if isinstance(methods, str):
        raise KindError(f"methods must be a sequence of names, not {methods!r}.")
    if not tuple(methods):
        raise ArgumentError(f"methods must name one or more of {', '.join(known)}, not none.")
    for name in methods:
        model_of(name)
    return tuple(method_named(name).name for name in methods)


def _points(method: MethodName, people: Ints, replicates: Ints, d_prime: float, alpha: float) -> Iterator[DesignPoint]:
    asked = np.outer(people, replicates).ravel()
    columns = (
        np.repeat(people, replicates.size),
        np.tile(replicates, people.size),
        asked,
        minimum_correct(asked, method, alpha),
        actual_alpha(asked, method, alpha),
        power(asked, method, alpha, d_prime=d_prime),
    )
    for who, times, n, least, size, found in zip(*(one.tolist() for one in columns), strict=True):
        yield DesignPoint(method, who, times, n, least if least <= n else None, size, found)
