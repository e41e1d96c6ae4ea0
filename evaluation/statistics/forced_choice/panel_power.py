"""What can this panel find, and how many people does it take?"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from types import MappingProxyType
from typing import Any, overload

import numpy.typing as npt
from scipy import special

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice, real, risk, whole
from evaluation.statistics.forced_choice import thurstone
from evaluation.statistics.forced_choice.methods import Method, method_named
from evaluation.statistics.laws import sawtooth
from evaluation.statistics.laws.binomial import at_least, at_most, critical
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, Floats, Ints, counts, is_scalar

RULES: MappingProxyType[str, Callable[[sawtooth.Search], int]] = MappingProxyType(
    {"first": sawtooth.first, "stays": sawtooth.stays}
)


@overload
def power(
    assessments: int, method: str, alpha: float, pd: float | None = None, *, d_prime: float | None = None
) -> float: ...
@overload
def power(
    assessments: npt.ArrayLike,
    method: str,
    alpha: float,
    pd: float | None = None,
    *,
    d_prime: float | None = None,
) -> Any: ...
def power(
    assessments: npt.ArrayLike,
    method: str,
    alpha: float,
    pd: float | None = None,
    *,
    d_prime: float | None = None,
) -> Any:
    """How likely is this panel to call the difference noticed, if it is there?

    Parameters
    ----------
    assessments : int or 1-D integer array, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1
    pd : float, between 0 and 1
        True share of assessments that notice. Give this or ``d_prime``, not both.
    d_prime : float, above 0
        True distance.

    Returns
    -------
    float, or an array of its shape: exact power, 0.0 where even all correct is not enough.

    Raises
    ------
    ArgumentError, KindError
        Neither or both of pd and d_prime; a value outside its range; unknown method.

    Notes
    -----
    Not monotone in ``assessments``: one more assessment can lower it (saw-tooth). Assumes independent
    answers. Equal ``pd`` is not an equal difference in two methods; compare methods at equal ``d_prime``.

    References
    ----------
    Exact binomial. Saw-tooth and the n from which it stays: Ennis & Jesionka 2011, J. Sensory Studies 26,
    371–382 (abstract read).

    Examples
    --------
    >>> round(power(30, "triangle", 0.05, 0.4), 3), round(power(31, "triangle", 0.05, 0.4), 3)
    (0.903, 0.872)
    >>> round(power(61, "tetrad", 0.05, d_prime=1.0), 3)
    0.823
    """
    asked = counts("assessments", assessments)
    way, alpha = method_named(method), risk("alpha", alpha)
    truth = float(_truth(way, pd, d_prime))
    reached = at_least(critical(asked, way.guessing, alpha), asked, truth)
    return float(reached[0]) if is_scalar(assessments) else reached


def panel_size(
    method: str,
    alpha: float,
    beta: float,
    pd: float | None = None,
    rule: str = "first",
    *,
    d_prime: float | None = None,
) -> int:
    """How many assessments find a difference of this size with power 1 − ``beta``?

    Parameters
    ----------
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha, beta : float, between 0 and 1
        Risk of calling guessing noticed; risk of missing the difference.
    pd : float, between 0 and 1
        Share that notices. Give this or ``d_prime``, not both.
    rule : {"first", "stays"}
        ``"first"``: smallest n whose exact power reaches 1 − beta, the convention of the standards' tables.
        ``"stays"``: n from which the power never falls below 1 − beta again; plan with this one.
    d_prime : float, above 0

    Returns
    -------
    int, 1 or more.

    Raises
    ------
    ArgumentError, KindError
        As :func:`power`; unknown rule; a difference so small that ten million assessments might not do.

    Notes
    -----
    Does not promise a verdict: the power is reached if the true difference has this size. ``"stays"`` is
    proved, not searched up to some number: see evaluation/statistics/laws/sawtooth.py.

    References
    ----------
    ISO 4120:2004 Table A.3 and ISO 10399:2004 (from memory): first n. Ennis & Jesionka 2011: the stable n.

    Examples
    --------
    >>> panel_size("triangle", 0.05, 0.20, 0.30), panel_size("triangle", 0.05, 0.20, 0.40, rule="stays")
    (40, 25)
    """
    way, alpha, beta = method_named(method), risk("alpha", alpha), risk("beta", beta)
    search_by = RULES[choice("rule", rule, tuple(RULES))]
    truth = _truth(way, pd, d_prime)
    return search_by(_search(way, alpha, beta, truth, "pd" if d_prime is None else "d_prime"))


def smallest_detectable(assessments: int, method: str, alpha: float, beta: float) -> float | None:
    """What is the smallest share of noticers that this panel would find with power 1 − ``beta``?

    Parameters
    ----------
    assessments : int, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha, beta : float, between 0 and 1

    Returns
    -------
    float, 0 … 1, or None where even all correct does not reach alpha.

    Raises
    ------
    ArgumentError, KindError
        As :func:`power`.

    Notes
    -----
    0.0 means that guessing alone reaches that power (1 − beta at or below the test's true alpha): a plan
    without sense.

    References
    ----------
    Power is the incomplete beta function of the proportion correct (Abramowitz & Stegun 26.5.24), inverted
    here.

    Examples
    --------
    >>> found = smallest_detectable(12, "triangle", 0.05, 0.20)
    >>> round(found, 3), round(power(12, "triangle", 0.05, found), 6)
    (0.596, 0.8)
    """
    asked = whole("assessments", assessments, 1, MOST_ASSESSMENTS)
    way, alpha, beta = method_named(method), risk("alpha", alpha), risk("beta", beta)
    needed = int(critical(counts("assessments", asked), way.guessing, alpha)[0])
    if needed > asked:
        return None
    return way.discriminators(float(special.betainccinv(needed, asked - needed + 1, beta)))


def _truth(way: Method, pd: float | None, d_prime: float | None) -> Fraction:
    """The proportion correct that ``pd`` or ``d_prime``, exactly one of them, stands for."""
    if (pd is None) == (d_prime is None):
        given = "both" if pd is not None else "neither"
        raise ArgumentError(f"Exactly one of pd and d_prime must be given, not {given}.")
    if pd is not None:
        return way.proportion_correct(risk("pd", pd))
    distance = real("d_prime", d_prime, 0.0)
    if distance == 0.0:
        raise ArgumentError(f"d_prime must be above 0, not {d_prime!r}.")
    return Fraction(thurstone.proportion_correct(distance, way.name))


def _search(way: Method, alpha: float, beta: float, truth: Fraction, named: str) -> sawtooth.Search:
    share = float(truth)

    def needed(assessments: Ints) -> Ints:
        return critical(assessments, way.guessing, alpha)

    def miss(least: Ints, assessments: Ints) -> Floats:
        return at_most(least - 1, assessments, share)

    return sawtooth.Search(needed, miss, beta, safe_whole(float(way.guessing), share, alpha, beta, named))


def safe_whole(guessing: float, truth: float, alpha: float, beta: float, named: str) -> int:
    """A panel that is surely large enough, or an error naming the argument that asks for too much."""
    safe = sawtooth.safe_size(guessing, truth, alpha, beta) if truth > guessing else float("inf")
    if safe > MOST_ASSESSMENTS:
        raise ArgumentError(
            f"{named} must be large enough to be found by {MOST_ASSESSMENTS} assessments at these risks; "
            f"this one is too near guessing (proportion correct {truth:.6g})."
        )
    return int(safe)
