"""Where does a note come from? The whole trial against the bottle without each material, sitting after sitting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd

from evaluation.errors import ArgumentError, KindError
from evaluation.ground.checks import risk, whole
from evaluation.statistics.several_looks.martingales import AccumulatedEvidence, accumulated_evidence

COLUMNS: Final = ("material", "right", "asked", "evidence", "accused")


@dataclass(frozen=True, slots=True, eq=False)
class Suspects:
    """What :func:`suspects` found; the first three fields echo its arguments.

    Attributes
    ----------
    table : frame ``material, right, asked, evidence, accused``, the most suspected first.
    """

    right: Mapping[str, int]
    asked: Mapping[str, int]
    alpha: float
    table: pd.DataFrame


def suspects(right: Mapping[str, int], asked: Mapping[str, int], alpha: float = 0.05) -> Suspects:
    """Which materials does the note come from?

    Parameters
    ----------
    right : mapping material → int, 0 … asked
        Answers that found the note stronger in the whole trial than in the bottle without this material.
    asked : mapping material → int, 0 or more
        Answers in all, of every material that was sealed as a suspect, those not smelt yet with 0.
    alpha : float, between 0 and 1
        Accepted risk that any innocent material is accused.

    Returns
    -------
    Suspects

    Raises
    ------
    ArgumentError, KindError
        Other materials in ``right`` than in ``asked``, or none; counts negative, fractional or NaN; more right than
        asked; alpha outside (0, 1).

    Notes
    -----
    Evidence is that of 2-AFC, E = ⅓ Σ over b in (.25, .5, .75) of (1+b)^right (1−b)^wrong, and a material is accused
    where E ≥ m/alpha, m the number of materials sealed. One may look after every answer: in at most ``alpha`` of
    series an innocent material is ever accused. What was reached at an allowed look stays reached; this table knows
    the totals it is given only.

    It does not promise that a material that is not accused is innocent, nor that an accused one makes the note alone:
    two together may, and a bottle without a material lacks what it hid as well. Materials in the order of suspicion
    with little between them are not in a proven order.

    References
    ----------
    Ville 1939, see :func:`accumulated_evidence`; m/alpha by Bonferroni.

    Examples
    --------
    >>> found = suspects({"cedar": 9, "birch tar": 14, "fig": 0}, {"cedar": 16, "birch tar": 15, "fig": 0})
    >>> found.table["material"].tolist(), found.table["accused"].tolist()
    (['birch tar', 'fig', 'cedar'], [True, False, False])
    """
    risk_all, counted = risk("alpha", alpha), _checked(right, asked)
    found = {name: accumulated_evidence(hits, answers, "2-afc") for name, (hits, answers) in counted.items()}
    rows = [_row(name, one, risk_all, len(found)) for name, one in found.items()]
    order = {name: one.log10_evidence[-1] for name, one in found.items()}  # tells apart what a float holds for inf
    rows.sort(key=lambda row: -order[row[0]])
    hits_by, asked_by = ({name: pair[side] for name, pair in counted.items()} for side in (0, 1))
    return Suspects(hits_by, asked_by, risk_all, pd.DataFrame(rows, columns=list(COLUMNS)))


def _row(name: str, one: AccumulatedEvidence, alpha: float, among: int) -> tuple[Any, ...]:
    return name, one.correct[-1], one.assessments[-1], one.evidence[-1], one.noticed(alpha, among)[-1]


def _checked(right: Mapping[str, int], asked: Mapping[str, int]) -> dict[str, tuple[int, int]]:
    for name, given in (("right", right), ("asked", asked)):
        if not isinstance(given, Mapping):
            raise KindError(f"{name} must map each material to a number, as a dict does, not {type(given).__name__}.")
    if not asked:
        raise ArgumentError("asked must name one material or more, not none.")
    if set(right) != set(asked):
        raise ArgumentError(f"right must name the same materials as asked ({list(asked)}), not {list(right)}.")
    counts = {one: (whole(f"right of {one}", right[one]), whole(f"asked of {one}", asked[one])) for one in asked}
    for one, (hits, answers) in counts.items():
        if hits > answers:
            raise ArgumentError(f"right of {one} must be from 0 to asked ({answers}), not {hits}.")
    return counts
