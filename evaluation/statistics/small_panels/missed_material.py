"""Does one nose miss a material that others notice? A finding, not noise; and the check with the material alone."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk, whole
from evaluation.statistics.forced_choice.methods import MethodName, method_named
from evaluation.statistics.laws.betabinomial import log_choose
from evaluation.statistics.laws.binomial import NEAR, at_least
from evaluation.statistics.laws.inputs import Floats, Ints, numbers
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.small_panels.per_person import MOST_REPLICATES

# The material diluted, against two solvent blanks
ONE_OF_THREE = Fraction(1, 3)
# Our rule: three rounds. With two, 5 of 9 who cannot smell it would not be found out.
FEWEST_ROUNDS = 3
_BY_LUCK = Fraction(1, 20)


@dataclass(frozen=True, slots=True)
class MissedMaterial:
    """One panelist and one material; part of :class:`MaterialGaps`.

    Attributes
    ----------
    place, material : positions in the arrays given, from 0.
    correct_with, assessments_with : counts on comparisons that touch the material.
    correct_without, assessments_without : on those that do not.
    p_against_others : exact, one-sided: so few right on the material's comparisons, if this panelist were like the
    others there.
    p_against_self : exact, one-sided: so few right there, if this panelist were as good there as elsewhere.
    p_value : the larger of the two; both must be small for a gap.
    p_family : ``p_value`` corrected for all panelists and materials (Holm).
    guessing_p : exact p of this panelist's own answers on the material's comparisons against guessing.
    misses : ``p_family`` ≤ alpha and ``guessing_p`` > alpha.
    """

    place: int
    material: int
    correct_with: int
    assessments_with: int
    correct_without: int
    assessments_without: int
    p_against_others: float
    p_against_self: float
    p_value: float
    p_family: float
    guessing_p: float
    misses: bool


@dataclass(frozen=True, slots=True)
class MaterialGaps:
    """What :func:`misses_material` found; ``method`` and ``alpha`` echo its arguments, ``rows`` hold the counts.

    Attributes
    ----------
    rows : one for each panelist and material, panelist by panelist.
    """

    method: MethodName
    alpha: float
    rows: tuple[MissedMaterial, ...]

    @property
    def missed(self) -> tuple[MissedMaterial, ...]:
        """The gaps: offer these people the check with the material alone."""
        return tuple(one for one in self.rows if one.misses)


@dataclass(frozen=True, slots=True)
class MaterialCheck:
    """What :func:`material_check` found; the first two fields echo its arguments.

    Attributes
    ----------
    says : ``"smells it"``, ``"repeat"`` or ``"flag"``.
    by_luck : probability of at least this many right for somebody who cannot smell it.
    """

    right: int
    rounds: int
    says: str
    by_luck: float


def misses_material(
    correct_with: npt.ArrayLike,
    assessments_with: npt.ArrayLike,
    correct_without: npt.ArrayLike,
    assessments_without: npt.ArrayLike,
    method: str,
    alpha: float = 0.05,
) -> MaterialGaps:
    """Does a panelist miss changes in a material that the others notice?

    Parameters
    ----------
    correct_with, assessments_with : integer arrays of one shape, (panelists) or (panelists, materials)
        Right answers and answers on comparisons whose two trials differ in the material; 0 or more.
    correct_without, assessments_without : the same for the panelist's other comparisons
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1
        Accepted risk of naming anybody for any material wrongly.

    Returns
    -------
    MaterialGaps

    Raises
    ------
    ArgumentError, KindError
        Shapes that differ, fewer than two panelists, counts negative, fractional, NaN or more correct than asked;
        alpha outside (0, 1); unknown method.

    Notes
    -----
    A gap is claimed only if the panelist is worse there than the others are, and worse than elsewhere: one who notices
    little anywhere, or a material nobody notices, is no gap. Without other comparisons nothing is ever claimed. It
    does not say why: a cold, a day, a strip that was dipped badly look the same; the check with the material alone
    tells. Small panels seldom reach it, so no claim is no clearance: of eight
    people, seven of whom notice nearly everything, the one who misses the material is named with 8 sets each in 4 of
    10 sessions, with 16 in 8 of 10 (tests/slow). Answers of one person count as independent. The
    answers stay in the verdict unless a sealed rule says otherwise.

    References
    ----------
    Fisher's exact test, one-sided (hypergeometric), twice; "both" as an intersection–union test: Berger 1982,
    Technometrics 24, 295–300 (from memory). Specific anosmia is common, a few to 40 % of people for single
    materials: Amoore, Pelosi & Forrester 1977, Chemical Senses and Flavour 2, 401–425 (from memory).

    Examples
    --------
    >>> found = misses_material([2, 8, 8, 7], [8, 8, 8, 8], [9, 9, 8, 9], [9, 9, 9, 9], "triangle")
    >>> [one.place for one in found.missed], round(found.rows[0].p_family, 4)
    ([0], 0.009)
    """
    given = (("_with", correct_with, assessments_with), ("_without", correct_without, assessments_without))
    (right, asked), (right_else, asked_else) = (_table(suffix, x, n) for suffix, x, n in given)
    _same_shape("correct_without", right_else, "correct_with", right)
    way, alpha = method_named(method), risk("alpha", alpha)
    others = fisher_fewer(right, asked, right.sum(axis=0) - right, asked.sum(axis=0) - asked)
    own = fisher_fewer(right, asked, right_else, asked_else)
    both = np.maximum(others, own)
    family = holm(both.ravel()).reshape(both.shape)
    guessing = at_least(right, asked, float(way.guessing))
    misses = (family <= alpha * (1.0 + NEAR)) & (guessing > alpha)
    columns = (right, asked, right_else, asked_else), (others, own, both, family, guessing), misses
    rows = tuple(_row(place, material, *columns) for place, material in np.ndindex(both.shape))
    return MaterialGaps(way.name, alpha, rows)


def _row(
    place: int, material: int, counted: tuple[Ints, ...], judged: tuple[Floats, ...], misses: npt.NDArray[np.bool_]
) -> MissedMaterial:
    right, asked, right_else, asked_else = (int(one[place, material]) for one in counted)
    others, own, both, family, guessing = (float(one[place, material]) for one in judged)
    missed = bool(misses[place, material])
    return MissedMaterial(
        place, material, right, asked, right_else, asked_else, others, own, both, family, guessing, missed
    )


def _table(suffix: str, correct: Any, assessments: Any) -> tuple[Ints, Ints]:
    """Both as (panelists × materials), checked."""
    right, asked = _whole_table("correct" + suffix, correct), _whole_table("assessments" + suffix, assessments)
    _same_shape("assessments" + suffix, asked, "correct" + suffix, right)
    if right.shape[0] < 2:
        raise ArgumentError(f"correct{suffix} must hold 2 panelists or more, not {right.shape[0]}.")
    if (right > asked).any():
        place = tuple(np.argwhere(right > asked)[0].tolist())
        raise ArgumentError(
            f"correct{suffix} must be from 0 to assessments{suffix} ({asked[place]}), not {right[place]} "
            f"(panelist {place[0] + 1})."
        )
    return right, asked


def _same_shape(name: str, value: Ints, other: str, like: Ints) -> None:
    if value.shape != like.shape:
        raise ArgumentError(f"{name} must have the shape of {other}, {like.shape}, not {value.shape}.")


def _whole_table(name: str, value: Any) -> Ints:
    table = numbers(name, value, 0.0, MOST_REPLICATES)
    if table.ndim not in (1, 2):
        raise ArgumentError(f"{name} must be a 1-D or 2-D array, not {table.ndim}-D.")
    if (broken := table != np.floor(table)).any():
        raise ArgumentError(f"{name} must hold whole numbers, not {table[broken][0].item()!r}.")
    return table.reshape(table.shape[0], -1).astype(np.int64)


def fisher_fewer(right: Ints, asked: Ints, other_right: Ints, other_asked: Ints) -> Floats:
    """P(at most ``right``) given the margins: Fisher's exact test for a lower share right than the other's."""
    flat = zip(*(one.ravel().tolist() for one in (right, asked, other_right, other_asked)), strict=True)
    return np.array([_hypergeometric_at_most(*one) for one in flat]).reshape(right.shape)


def _hypergeometric_at_most(right: int, asked: int, other_right: int, other_asked: int) -> float:
    total, everything = right + other_right, asked + other_asked
    x = np.arange(max(0, total - other_asked), right + 1)
    log_law = log_choose(np.full_like(x, asked), x) + log_choose(np.full_like(x, other_asked), total - x)
    return min(1.0, float(np.exp(log_law - log_choose(np.array(everything), np.array(total))).sum()))


def material_check(right: int, rounds: int = FEWEST_ROUNDS) -> MaterialCheck:
    """Does this nose smell the material alone?

    Parameters
    ----------
    right : int, 0 … rounds
        Rounds in which the material, diluted, was picked out from two blanks of the solvent.
    rounds : int, 3 or more

    Returns
    -------
    MaterialCheck: of three rounds 3 right ``"smells it"``, 2 ``"repeat"`` (three new rounds, judged alone), 0 or 1
    ``"flag"``.

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional, NaN; more right than rounds; fewer than 3 rounds.

    Notes
    -----
    At this dilution, today. Of those who cannot smell it 1 in 27 passes at once, and with repeats 1 in 21 in the end.
    A flag is a reason to look at the answers with and without this person, if the plan says so; it is no diagnosis.

    References
    ----------
    Our rule (common practice, no source). For more rounds: passed where luck would do so at most once in 20, flagged
    where a third or less is right. Exact binomial at 1/3.

    Examples
    --------
    >>> [material_check(right).says for right in range(4)], round(material_check(3).by_luck, 4)
    (['flag', 'flag', 'repeat', 'smells it'], 0.037)
    """
    asked = whole("rounds", rounds, FEWEST_ROUNDS, 1000)
    picked = whole("right", right, 0, asked)
    by_luck = float(at_least(picked, asked, float(ONE_OF_THREE)))
    unclear = "flag" if 3 * picked <= asked else "repeat"
    return MaterialCheck(picked, asked, "smells it" if by_luck <= _BY_LUCK else unclear, by_luck)
