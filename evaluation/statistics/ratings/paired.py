"""How large a mean of people's differences must be before a panel is likely to find it."""

from __future__ import annotations

from scipy import optimize, special

from evaluation.ground.checks import risk, whole


def found_mean(size: float, people: int, alpha: float) -> float:
    """Probability that the paired t-test finds a mean difference of ``size`` standard deviations, in its direction.

    P(T > t) for T noncentral t with people − 1 degrees and noncentrality size × √people, t the two-sided limit.
    """
    limit = float(special.stdtrit(people - 1, 1.0 - alpha / 2.0))
    return 1.0 - float(special.nctdtr(people - 1, size * people**0.5, limit))


def smallest_mean(people: int, alpha: float, beta: float) -> float:
    """How large must a mean difference be for this panel to find it?

    Parameters
    ----------
    people : int, 2 or more
        Each gives one difference (second trial − first).
    alpha : float, between 0 and 1
        Two-sided risk of the test of this difference.
    beta : float, between 0 and 1
        Risk of missing it.

    Returns
    -------
    float
        Mean difference in units of the standard deviation of people's differences, found with power 1 − beta.

    Raises
    ------
    ArgumentError, KindError
        An argument outside its range.

    Notes
    -----
    For normal differences and the paired t-test. For the sign flip of :func:`profile_differences` it is an
    approximation, close from about 10 people on; below, whole patterns can need more.

    References
    ----------
    Noncentral t: Johnson, Kotz & Balakrishnan 1995, Continuous Univariate Distributions 2, ch. 31.

    Examples
    --------
    >>> round(smallest_mean(15, 0.05, 0.20), 3)
    0.778
    """
    people, alpha, beta = whole("people", people, 2), risk("alpha", alpha), risk("beta", beta)
    most = 1.0
    while found_mean(most, people, alpha) < 1.0 - beta:
        most *= 2.0
    return float(optimize.brentq(lambda size: found_mean(size, people, alpha) - (1.0 - beta), 0.0, most))
