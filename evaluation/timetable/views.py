"""A timetable read from one side: by panelist, by preparer."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from evaluation.timetable.quantities import Line, Timetable

K = TypeVar("K", str, int)


def by_person(timetable: Timetable) -> dict[str, tuple[Line, ...]]:
    """Each panelist's lines in order of smelling."""
    return _grouped(timetable, lambda line: line.panelist, lambda line: (line.smell_from, line.serving_id))


def by_preparer(timetable: Timetable) -> dict[int, tuple[Line, ...]]:
    """Each preparer's lines in order of dipping; a dip smelt at several ages comes once, with its first smelling."""
    first: dict[tuple[str, int, int], Line] = {}
    for line in timetable.lines:
        first.setdefault((line.panelist, line.preparer, line.dip_from), line)
    seen = {line.serving_id for line in first.values()}
    once = Timetable(
        tuple(line for line in timetable.lines if line.serving_id in seen),
        timetable.makespan_seconds,
        timetable.lower_bound_seconds,
        timetable.totals,
    )
    return _grouped(once, lambda line: line.preparer, lambda line: (line.dip_from, line.serving_id))


def _grouped(
    timetable: Timetable, key: Callable[[Line], K], order: Callable[[Line], tuple[int, str]]
) -> dict[K, tuple[Line, ...]]:
    found: dict[K, list[Line]] = {}
    for line in sorted(timetable.lines, key=order):
        found.setdefault(key(line), []).append(line)
    return {name: tuple(found[name]) for name in sorted(found)}
