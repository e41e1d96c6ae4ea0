"""Which changes were never separated, over the bottles of several sessions, and what would separate them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from evaluation.statistics.laws.inputs import Floats, Ints

_NOTHING: Final = 1e-8
ALONE: Final = "alone"
TOGETHER: Final = "together"
NOT_TOLD: Final = "not told"


@dataclass(frozen=True, slots=True)
class Group:
    """Changes, by their place, that stand and fall together.

    ``told``: ``"alone"``, one change with a number of its own; ``"together"``, several that came and went together in
    every session: one number for all of them; ``"not told"``: no session held bottles with and without, that differ in
    nothing else which is not known: no number. ``signs``: −1 of a change that went where the first came.
    """

    places: tuple[int, ...]
    signs: tuple[int, ...]
    told: str


@dataclass(frozen=True, slots=True, eq=False)
class Separated:
    """The groups of some bottles, the columns to fit, and how many degrees of freedom bottles leave.

    ``columns`` (bottles × columns) holds one column for each group that is told, in the order of ``groups``, then
    whatever else the rest of the changes makes up. ``freedom``: bottles − columns − 1, and one less for each further
    set of sessions that shares no bottle with the others.
    """

    groups: tuple[Group, ...]
    columns: Floats
    freedom: int


Together = dict[int, int]  # place → sign


def separated(made: Floats, smelt: Sequence[Ints]) -> Separated:
    """What can be told of the changes ``made`` (bottles × changes) from the bottles ``smelt`` in each session.

    Only what was smelt side by side in one session separates changes: what differs between sessions may be the day.
    """
    merged = _merged(made, smelt)
    firsts = [next(iter(one)) for one in merged]
    loose = _loose(made[:, firsts], smelt).tolist()
    groups = [_group(one, TOGETHER if len(one) > 1 else ALONE) for one, free in zip(merged, loose, strict=True) if free]
    groups += [_group(one, NOT_TOLD) for one in _knots(made[:, firsts], smelt, merged, loose)]
    told = [made[:, place] for place, free in zip(firsts, loose, strict=True) if free]
    untold = [made[:, place] for place, free in zip(firsts, loose, strict=True) if not free]
    from_day_to_day = [
        made[:, place] - sign * made[:, first]
        for one, first in zip(merged, firsts, strict=True) for place, sign in one.items()
    ]  # fmt: skip
    columns = _full_rank(len(made), told, [*untold, *from_day_to_day])
    return Separated(tuple(groups), columns, len(made) - _islands(len(made), smelt) - columns.shape[1])


def _group(changes: Together, told: str) -> Group:
    return Group(tuple(changes), tuple(changes.values()), told)


def _merged(made: Floats, smelt: Sequence[Ints]) -> list[Together]:
    """Changes that came and went together wherever bottles were smelt side by side, or went where the others came."""
    within = np.vstack([made[one] - made[one].mean(axis=0) for one in smelt])
    groups: list[Together] = []
    for place in (one for one in range(made.shape[1]) if np.ptp(made[:, one]) > 0):
        for group in groups:
            sign = _alike(place, next(iter(group)), made, within)
            if sign:
                group[place] = sign
                break
        else:
            groups.append({place: 1})
    return groups


def _alike(place: int, first: int, made: Floats, within: Floats) -> int:
    """1 or −1 where two changes came and went together or in turns; 0 where not. What no session moved: as a whole."""
    if np.abs(within[:, [place, first]]).max() < _NOTHING:
        return int(np.array_equal(made[:, place], made[:, first]))
    return next((s for s in (1, -1) if np.abs(within[:, place] - s * within[:, first]).max() < _NOTHING), 0)


def _unseen(columns: Floats, smelt: Sequence[Ints]) -> Floats:
    """Projection on all combinations of changes and sessions that no bottle tells; changes first."""
    rows = [
        np.concatenate([columns[bottle], np.arange(len(smelt)) == session])
        for session, bottles in enumerate(smelt) for bottle in bottles
    ]  # fmt: skip
    design = np.array(rows, dtype=np.float64)
    return np.asarray(np.eye(design.shape[1]) - np.linalg.pinv(design) @ design, dtype=np.float64)


def _loose(columns: Floats, smelt: Sequence[Ints]) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    hidden = np.abs(np.diag(_unseen(columns, smelt)))[: columns.shape[1]]
    return np.asarray(hidden < _NOTHING)


def _knots(
    columns: Floats, smelt: Sequence[Ints], merged: Sequence[Together], loose: Sequence[bool]
) -> Iterator[Together]:
    """Changes without a number, those tied to one another by what no bottle tells together."""
    tied = np.abs(_unseen(columns, smelt)) > _NOTHING
    left = [place for place in range(len(merged)) if not loose[place]]
    while left:
        knot = _reached(tied, left[0])
        yield dict(sorted(each for place in left if place in knot for each in merged[place].items()))
        left = [place for place in left if place not in knot]


def _reached(tied: np.ndarray[tuple[int, ...], np.dtype[np.bool_]], start: int) -> set[int]:
    """All that hangs together with a place, itself included."""
    found, waiting = {start}, [start]
    while waiting:
        new = set(np.flatnonzero(tied[waiting.pop()]).tolist()) - found
        found |= new
        waiting += new
    return found


def _full_rank(bottles: int, told: Sequence[Floats], others: Sequence[Floats]) -> Floats:
    """The told columns, and of the others those that add something."""
    kept = [np.ones(bottles), *told]
    for column in others:
        with_it = np.column_stack([*kept, column])
        if np.linalg.matrix_rank(with_it) == with_it.shape[1]:
            kept.append(column)
    return np.column_stack([*kept[1:], np.empty((bottles, 0))])


def _islands(bottles: int, smelt: Sequence[Ints]) -> int:
    """Sets of sessions that no bottle links."""
    met = np.zeros((bottles, bottles), dtype=bool)
    for one in smelt:
        met[np.ix_(one, one)] = True
    left, found = set(range(bottles)), 0
    while left:
        left -= _reached(met, min(left))
        found += 1
    return found
