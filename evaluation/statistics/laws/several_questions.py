"""Several questions asked of one session."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.statistics.laws.inputs import Floats, numbers


def holm(p_values: npt.ArrayLike) -> Floats:
    """Which of several p-values still count when all are looked at together?

    Parameters
    ----------
    p_values : 1-D array of floats, 0 … 1, in any order; may be empty

    Returns
    -------
    1-D float array, order kept: a p-value is adjusted so that comparing it with alpha keeps the risk of even
    one false claim in the family at alpha or below.

    Raises
    ------
    ArgumentError, KindError
        A value outside 0 … 1 or NaN; not 1-D.

    Notes
    -----
    Holds under any dependence, so also for several ages smelt by the same people. The family must be fixed
    before the answers are seen.

    References
    ----------
    Holm 1979, Scand. J. Statist. 6, 65–70.

    Examples
    --------
    >>> [round(p, 3) for p in holm([0.01, 0.04, 0.03]).tolist()]
    [0.03, 0.06, 0.06]
    """
    raw = numbers("p_values", p_values, 0.0, 1.0)
    if raw.ndim != 1:
        raise ArgumentError(f"p_values must be a 1-D array, not {raw.ndim}-D.")
    adjusted = np.empty_like(raw)
    for place, _, stepped in steps(raw.tolist()):
        adjusted[place] = stepped
    return adjusted


def steps(p_values: Sequence[float]) -> Iterator[tuple[int, int, float]]:
    """The steps of Holm's procedure, the smallest p first: place in the family, questions still left, adjusted p.

    The level of a step is alpha / left; the procedure goes on as long as p reaches it. Checks nothing.
    """
    adjusted = 0.0
    for rank, place in enumerate(sorted(range(len(p_values)), key=p_values.__getitem__)):
        left = len(p_values) - rank
        adjusted = max(adjusted, min(1.0, p_values[place] * left))
        yield place, left, adjusted
