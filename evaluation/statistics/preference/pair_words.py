"""What a table of pairs leaves open, in one or two sentences: trials are named by their place, from 0."""

from __future__ import annotations

import numpy as np

from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.preference.pair_model import Existence, Model

Groups = tuple[tuple[int, ...], ...]
_NEAR = 1e-6  # of merits along a direction that separates by whole steps


def linked(model: Model, counts: Floats) -> Groups:
    """Trials joined by comparisons, directly or through others; each group by its lowest place."""
    group = np.arange(model.trials)
    for i, j in model.pairs[counts.sum(axis=1) > 0].tolist():
        group[group == max(group[i], group[j])] = min(group[i], group[j])
    return tuple(tuple(np.flatnonzero(group == name).tolist()) for name in np.unique(group))


def groups_of(model: Model, state: Existence, joined: Groups) -> Groups:
    """Unlinked groups, else the groups no answer bounds against each other, best first."""
    if len(joined) > 1 or state.direction is None:
        return joined
    return _levels(model, state.direction, joined[0])


def _levels(model: Model, direction: Floats, among: tuple[int, ...]) -> Groups:
    """The linked trials ``among`` in the order no answer contradicts, best first."""
    places = np.array(among)
    merits = model.merits(direction)[places]
    falling = np.argsort(-merits, kind="stable")
    cuts = np.flatnonzero(-np.diff(merits[falling]) > _NEAR) + 1
    return tuple(tuple(sorted(places[group].tolist())) for group in np.split(falling, cuts))


def explained(model: Model, state: Existence, joined: Groups) -> str:
    """Empty for a regular table."""
    found = [
        _unlinked(joined) if len(joined) > 1 else "",
        _confounded() if len(joined) == 1 and not state.told_apart else "",
        _one_way(model, state.direction, joined) if state.direction is not None else "",
    ]
    said = " ".join(one for one in found if one)
    return f"{said} {_PENALTY}" if said else ""


_PENALTY = "The merits are therefore penalised: one phantom answer per unknown, spread evenly over all pairs."


def _unlinked(joined: Groups) -> str:
    return f"No comparison links {_listed(joined, ' with ')}: how these stand to each other is not in the answers."


def _confounded() -> str:
    return "The position effect cannot be told from the merits: too few pairs were smelt in both orders."


def _one_way(model: Model, direction: Floats, joined: Groups) -> str:
    orders = [levels for group in joined if len(levels := _levels(model, direction, group)) > 1]
    if orders:
        return (
            f"From best to last, {'; '.join(_listed(levels, ' before ') for levels in orders)}: no answer preferred "
            "one of a later group to one of an earlier group, so nothing bounds how far they are apart."
        )
    if model.position and abs(direction[model.trials - 1]) > _NEAR:
        side = "first" if direction[model.trials - 1] > 0 else "second"
        return f"Nobody ever preferred against the one smelt {side}: nothing bounds the position effect."
    return "Every answer was without a preference: nothing bounds how alike the trials are."


def _listed(groups: Groups, between: str) -> str:
    return between.join("{" + ", ".join(str(place) for place in group) + "}" for group in groups)
