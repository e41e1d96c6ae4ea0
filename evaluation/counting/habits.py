"""How often each place was chosen: what habits of place look like in the answers that count."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from evaluation.counting.questions import Assessment
from evaluation.kinds import Method, kind_of
from evaluation.serving.asking import WAYS_TO_PAIR
from evaluation.sessions import NO_PREFERENCE, Plan


@dataclass(frozen=True, slots=True)
class PlacesChosen:
    """Of ``answers``, how many chose each place that could be chosen, in tray order from 1; ``none``: no preference.

    Of a duo-trio the reference cannot be chosen, so that places begin at 2. Of a tetrad a place is the strip that was
    put together with the first one. Of a two-out-of-five every answer chooses two places.
    """

    method: Method
    answers: int
    chosen: tuple[tuple[int, int], ...]
    none: int = 0


def chosen_places(plan: Plan, rows: Iterable[Assessment]) -> PlacesChosen | None:
    """Of the answers that count, all ages together; None where none came in. A choice over all ages has no place."""
    counted = [row for row in rows if row.counted and row.codes]
    if not counted:
        return None
    told = Counter(place for row in counted for place in _places(plan.method, row))
    chosen = tuple((place, told[place]) for place in _may_be_chosen(plan.method))
    return PlacesChosen(plan.method, len(counted), chosen, sum(row.chosen == NO_PREFERENCE for row in counted))


def _may_be_chosen(method: Method) -> range:
    kind = kind_of(method)
    return range(2 if kind.reference or kind.sorts else 1, (kind.strips or 0) + 1)


def _places(method: Method, row: Assessment) -> tuple[int, ...]:
    if row.chosen == NO_PREFERENCE:
        return ()
    if kind_of(method).sorts:
        return (_beside_the_first(row),)
    return tuple(row.codes.index(code) + 1 for code in row.chosen.split("+"))


def _beside_the_first(row: Assessment) -> int:
    ways = {f"{row.codes[0]}+{row.codes[way[1]]}": way[1] + 1 for way in WAYS_TO_PAIR}
    return ways[row.chosen.split("|")[0]]
