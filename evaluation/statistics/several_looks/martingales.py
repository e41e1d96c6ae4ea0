"""How much evidence has come together so far? Test martingales: evidence that multiplies over sittings.

A bet on right answers at fair odds of guessing: its capital E starts at 1, and while everybody guesses the capital to
come is expected to be what it is now, whatever was decided in between. So the chance that E ever reaches 1/alpha is at
most alpha (Ville 1939, Étude critique de la notion de collectif; from memory), and one may look after every answer and
stop when one likes. Mixtures of bets are bets. Shafer, Shen, Vereshchagin & Vovk 2011, Test martingales, Bayes factors
and p-values, Statistical Science 26, 84–101; Ramdas, Grünwald, Vovk & Shafer 2023, Game-theoretic statistics and safe
anytime-valid inference, Statistical Science 38, 576–601 (both from memory).

Everything is kept in whole numbers, so that nothing overflows and a threshold is compared exactly.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate
from types import MappingProxyType
from typing import Any, Final, Literal

import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice, risk, whole
from evaluation.statistics.forced_choice.methods import MethodName, method_named
from evaluation.statistics.laws.inputs import counts

MOST_ANSWERS: Final = 100_000  # of one series: longer ones are no sessions
STAKES: Final = (Fraction(1, 4), Fraction(1, 2), Fraction(3, 4))
TWO_SIDED_STAKES: Final = tuple(Fraction(k, 5) for k in (1, 2, 3, 4))
TIES: Final = ("drop", "split")
SIDES: Final = ("two", "first")
_EXTRA_BITS: Final = 256  # of the root that half a vote asks for

TiesRule = Literal["drop", "split"]
Sides = Literal["two", "first"]


@dataclass(frozen=True, slots=True)
class _Exact:
    """A positive number as a fraction that is never shortened."""

    above: int
    below: int

    def rounded(self) -> float:
        """The nearest float; inf beyond the largest."""
        try:
            return self.above / self.below
        except OverflowError:
            return math.inf

    @property
    def log10(self) -> float:
        """Finite for every series."""
        return math.log10(self.above) - math.log10(self.below)

    def reaches(self, share: Fraction) -> bool:
        """At least 1/share, a tie counting."""
        return self.above * share.numerator >= self.below * share.denominator


@dataclass(frozen=True, slots=True)
class AccumulatedEvidence:
    """What :func:`accumulated_evidence` found; the first four fields echo its arguments.

    Attributes
    ----------
    evidence : E after each sitting: how many times the stake a bet against guessing has become; inf beyond 1.8e308.
    mirror : E′ after each sitting, against a share ``pd`` that notices; None where no ``pd`` was given.
    """

    correct: tuple[int, ...]
    assessments: tuple[int, ...]
    method: MethodName
    pd: float | None
    evidence: tuple[float, ...]
    mirror: tuple[float, ...] | None
    _evidence: tuple[_Exact, ...] = field(repr=False)
    _mirror: tuple[_Exact, ...] = field(repr=False)

    @property
    def log10_evidence(self) -> tuple[float, ...]:
        """Decimal logarithms of ``evidence``, finite for every series."""
        return tuple(one.log10 for one in self._evidence)

    @property
    def log10_mirror(self) -> tuple[float, ...] | None:
        """Decimal logarithms of ``mirror``."""
        return None if self.mirror is None else tuple(one.log10 for one in self._mirror)

    def noticed(self, alpha: float = 0.05, among: int = 1) -> tuple[bool, ...]:
        """Whether E ≥ among/alpha stood after each sitting, compared exactly; reached once, it stays reached.

        ``among``: so many series sealed together, any of which would be called noticed.
        """
        return _standing(self._evidence, risk("alpha", alpha), whole("among", among, 1))

    def not_noticed(self, beta: float = 0.05) -> tuple[bool, ...]:
        """The same of E′ ≥ 1/beta: few enough noticed. ArgumentError where no ``pd`` was given."""
        if self.mirror is None:
            raise ArgumentError("pd must be given, between 0 and 1, to say that few enough noticed, not None.")
        return _standing(self._mirror, risk("beta", beta))


@dataclass(frozen=True, slots=True)
class PreferenceEvidence:
    """What :func:`preference_evidence` found; the first five fields echo its arguments.

    Attributes
    ----------
    evidence : E after each sitting; inf beyond 1.8e308.
    """

    first: tuple[int, ...]
    second: tuple[int, ...]
    ties: tuple[int, ...]
    ties_rule: TiesRule
    sides: Sides
    evidence: tuple[float, ...]
    _evidence: tuple[_Exact, ...] = field(repr=False)

    @property
    def log10_evidence(self) -> tuple[float, ...]:
        """Decimal logarithms of ``evidence``, finite for every series."""
        return tuple(one.log10 for one in self._evidence)

    def reached(self, alpha: float = 0.05) -> tuple[bool, ...]:
        """Whether E ≥ 1/alpha stood after each sitting, compared exactly; reached once, it stays reached."""
        return _standing(self._evidence, risk("alpha", alpha))


def accumulated_evidence(
    correct: npt.ArrayLike, assessments: npt.ArrayLike, method: str, pd: float | None = None
) -> AccumulatedEvidence:
    """How much evidence that something is noticed has come together, sitting after sitting?

    Parameters
    ----------
    correct : int or 1-D integer array, 0 … assessments
        Right answers of each sitting, in the order of the sittings.
    assessments : int or 1-D integer array, 0 or more, as many entries
        Answers of each sitting; 100,000 in all at most.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    pd : float, between 0 and 1, or None
        Share of noticers that would matter; with it there is the mirror, for *not noticed*.

    Returns
    -------
    AccumulatedEvidence

    Raises
    ------
    ArgumentError, KindError
        Lengths that differ; counts negative, fractional or NaN; more right than asked; pd outside (0, 1); unknown
        method.

    Notes
    -----
    E = ⅓ Σ over b in (.25, .5, .75) of (1 + b(1−g)/g)^right · (1−b)^wrong, g the guessing chance. If everybody guesses,
    E ever reaches 1/alpha with a chance of at most alpha, however often one looks. E′ = ½ Σ over q in (0, pd/2) of
    (p(q)/p(pd))^right · ((1−p(q))/(1−p(pd)))^wrong with p(q) = g + (1−g)q: if a share ``pd`` or more notices, E′ ever
    reaches 1/beta with a chance of at most beta.

    It does not promise that answers of the same people are independent: guessing answers are, because orders are drawn
    anew for each set, and so *noticed* may be read at any look. The mirror may not where anybody answers twice: then
    it is read after complete rounds only and speaks for that panel. A small E is no evidence that nothing is there.
    What was not sealed to add up before its first sitting must not be added up here.

    References
    ----------
    Ville 1939; Shafer, Shen, Vereshchagin & Vovk 2011, Statistical Science 26, 84–101 (from memory). The mixtures are
    ours.

    Examples
    --------
    >>> found = accumulated_evidence([6, 7], [8, 8], "triangle", pd=0.3)
    >>> [round(one, 2) for one in found.evidence], found.noticed(0.05)
    ([12.56, 1144.8], (False, True))
    """
    asked, right = _series("assessments", assessments), _series("correct", correct)
    _as_many("correct", right, "assessments", asked)
    _no_more_right(right, asked)
    _few_enough("assessments", asked)
    way = method_named(method)
    share = None if pd is None else risk("pd", pd)
    pairs = list(zip(right, (n - r for n, r in zip(asked, right, strict=True)), strict=True))
    evidence = tuple(_walked(_against_guessing(way.guessing), pairs))
    mirror = () if share is None else tuple(_walked(_against_noticing(way.guessing, share), pairs))
    return AccumulatedEvidence(
        right,
        asked,
        way.name,
        share,
        tuple(one.rounded() for one in evidence),
        None if share is None else tuple(one.rounded() for one in mirror),
        evidence,
        mirror,
    )


def preference_evidence(
    first: npt.ArrayLike,
    second: npt.ArrayLike,
    ties: npt.ArrayLike | None = None,
    ties_rule: TiesRule = "drop",
    sides: Sides = "two",
) -> PreferenceEvidence:
    """How much evidence for a preference has come together, sitting after sitting?

    Parameters
    ----------
    first, second : int or 1-D integer array, 0 or more, as many entries
        Votes of each sitting for the first and for the second trial, in the order of the sittings.
    ties : int or 1-D integer array, 0 or more, as many entries; or None
        Answers without a preference; None: there were none. 100,000 answers in all at most.
    ties_rule : {"drop", "split"}
        ``"drop"``: ties are left out. ``"split"``: half a vote for each side, summed over sittings and never rounded.
        Choose before the votes are known.
    sides : {"two", "first"}
        ``"two"``: either may be preferred. ``"first"``: only votes for the first speak, as in a final.

    Returns
    -------
    PreferenceEvidence

    Raises
    ------
    ArgumentError, KindError
        Lengths that differ; counts negative, fractional or NaN; unknown rule or sides.

    Notes
    -----
    Two-sided E = ⅛ Σ over b in (.2, .4, .6, .8) of (1+b)^a (1−b)^c + (1−b)^a (1+b)^c, a and c the votes for each. One-
    sided E = ⅓ Σ over b in (.25, .5, .75) of (1+b)^a (1−b)^c. If nobody prefers either, E ever reaches 1/alpha with a
    chance of at most alpha; under ``"split"`` a tie takes evidence away and gives none to either side.

    It does not promise that the votes of one nose are independent: whoever answers twice may recognise its own choice,
    and then E is read after complete rounds only and speaks for that panel. A small E does not say that the two are
    liked alike.

    References
    ----------
    As in :func:`accumulated_evidence`.

    Examples
    --------
    >>> found = preference_evidence([5, 6], [1, 0], [1, 1], ties_rule="split", sides="first")
    >>> [round(one, 2) for one in found.evidence]
    [2.74, 30.73]
    """
    one, other = _series("first", first), _series("second", second)
    none = (0,) * len(one) if ties is None else _series("ties", ties)
    _as_many("second", other, "first", one)
    _as_many("ties", none, "first", one)
    _few_enough("first, second and ties", (*one, *other, *none))
    rule, side = choice("ties_rule", ties_rule, TIES), choice("sides", sides, SIDES)
    halves = none if rule == "split" else (0,) * len(one)
    evidence = tuple(_walked(_MIXTURES[side], list(zip(one, other, strict=True)), halves))
    return PreferenceEvidence(one, other, none, ties_rule, sides, tuple(each.rounded() for each in evidence), evidence)


# --- arguments --------------------------------------------------------------------------------------------------------


def _series(name: str, value: Any) -> tuple[int, ...]:
    return tuple(counts(name, value, 0).tolist())


def _as_many(name: str, given: Sequence[int], other: str, known: Sequence[int]) -> None:
    if len(given) != len(known):
        raise ArgumentError(
            f"{name} must have one entry a sitting, as many as {other} ({len(known)}), not {len(given)}."
        )


def _no_more_right(right: Sequence[int], asked: Sequence[int]) -> None:
    for place, (hits, answers) in enumerate(zip(right, asked, strict=True), start=1):
        if hits > answers:
            raise ArgumentError(f"correct must be from 0 to assessments ({answers} in sitting {place}), not {hits}.")


def _few_enough(name: str, answers: Sequence[int]) -> None:
    if sum(answers) > MOST_ANSWERS:
        raise ArgumentError(f"{name} must add up to a number from 0 to {MOST_ANSWERS}, not {sum(answers)}.")


# --- bets -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Mixture:
    """Bets with equal stakes, in whole numbers: a right answer makes each ``up`` of ``up_of``, a wrong one ``down``."""

    up: tuple[int, ...]
    up_of: int
    down: tuple[int, ...]
    down_of: int


def _mixture(bets: Iterable[tuple[Fraction, Fraction]]) -> _Mixture:
    up, down = zip(*bets, strict=True)
    return _Mixture(*_over_one(up), *_over_one(down))


def _over_one(factors: Sequence[Fraction]) -> tuple[tuple[int, ...], int]:
    of = math.lcm(*(one.denominator for one in factors))
    return tuple(int(one * of) for one in factors), of


def _against_guessing(guessing: Fraction) -> _Mixture:
    odds = (1 - guessing) / guessing
    return _mixture((1 + b * odds, 1 - b) for b in STAKES)


def _against_noticing(guessing: Fraction, pd: float) -> _Mixture:
    share = Fraction(repr(pd))  # read as the shortest decimal that denotes it, as methods do
    told = [guessing + (1 - guessing) * q for q in (Fraction(0), share / 2, share)]
    return _mixture((p / told[2], (1 - p) / (1 - told[2])) for p in told[:2])


_MIXTURES: Final = MappingProxyType(
    {
        "two": _mixture(pair for b in TWO_SIDED_STAKES for pair in ((1 + b, 1 - b), (1 - b, 1 + b))),
        "first": _mixture((1 + b, 1 - b) for b in STAKES),
    }
)


def _walked(bets: _Mixture, pairs: Sequence[tuple[int, int]], halves: Sequence[int] | None = None) -> Iterator[_Exact]:
    """The capital after each sitting; ``halves``: answers that are half a vote for each side."""
    capital, below = [1] * len(bets.up), len(bets.up)
    odd = 0
    for place, (ups, downs) in enumerate(pairs):
        odd += halves[place] if halves else 0
        more, odd = divmod(odd, 2)  # two halves are one of each
        ups, downs = ups + more, downs + more
        capital = [c * u**ups * d**downs for c, u, d in zip(capital, bets.up, bets.down, strict=True)]
        below *= bets.up_of**ups * bets.down_of**downs
        yield _with_half(bets, capital, below) if odd else _Exact(sum(capital), below)


def _with_half(bets: _Mixture, capital: Sequence[int], below: int) -> _Exact:
    """Half a vote for each side: each capital by the root of both its factors, to 256 bits and more."""
    roots = [math.isqrt(u * d << 2 * _EXTRA_BITS) for u, d in zip(bets.up, bets.down, strict=True)]
    of = math.isqrt(bets.up_of * bets.down_of << 2 * _EXTRA_BITS)
    return _Exact(sum(c * root for c, root in zip(capital, roots, strict=True)), below * of)


def _standing(path: Sequence[_Exact], level: float, among: int = 1) -> tuple[bool, ...]:
    share = Fraction(repr(level)) / among
    return tuple(accumulate((one.reaches(share) for one in path), lambda before, now: before or now))
