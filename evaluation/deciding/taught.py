"""What a brief has taught: over all opened ratings, what each named change did. Learnt, never a verdict.

Facts are found here, ``wording.of_taught`` renders them. A finding proposes what to smell to make sure of it: trials
that differ in one change alone, or the one bottle that would separate changes never separated.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import isnan
from typing import Any, Final

import pandas as pd

from evaluation import statistics
from evaluation.deciding.named_changes import NamedChange, Ways
from evaluation.sessions import Medium

ALONE: Final = "alone"
TOGETHER: Final = "together"
NOT_TOLD: Final = "not told"
LEVEL: Final = 0.95


@dataclass(frozen=True, slots=True)
class LearntAt:
    """One descriptor at one age: points by which changes moved it, with their interval where bottles allow one."""

    descriptor: str
    minutes: float
    estimate: float
    low: float | None
    high: float | None
    freedom: int
    bottles: int
    people: int
    session_ids: tuple[str, ...]  # which held bottles with and without side by side

    @property
    def moved(self) -> bool:
        """Whether the interval leaves 0 outside."""
        return self.low is not None and self.high is not None and (self.low > 0 or self.high < 0)


@dataclass(frozen=True, slots=True)
class Separating:
    """What would separate changes: ``with_id`` against ``without_id`` in one session, both made already.

    With ``without_id`` "" a bottle is to be mixed: ``with_id`` and ``change`` beside it, or ``with_id`` without it
    where it ``holds`` it already.
    """

    change: NamedChange
    with_id: str
    without_id: str = ""
    holds: bool = False


@dataclass(frozen=True, slots=True)
class Learnt:
    """What some changes did on one medium: one alone, or several together that were never separated.

    ``signs``: −1 of a change that went where the first came. ``rows`` is empty where nothing is told. ``to_be_sure``:
    two trials that differ in nothing else, if there are such.
    """

    changes: tuple[NamedChange, ...]
    signs: tuple[int, ...]
    told: str
    medium: Medium
    rows: tuple[LearntAt, ...]
    separating: Separating | None = None
    to_be_sure: tuple[str, str] | None = None

    @property
    def moved(self) -> tuple[LearntAt, ...]:
        """What its intervals show to move."""
        return tuple(one for one in self.rows if one.moved)

    @property
    def session_ids(self) -> tuple[str, ...]:
        """The sessions it rests on."""
        return tuple(dict.fromkeys(each for one in self.rows for each in one.session_ids))


@dataclass(frozen=True, slots=True)
class Taught:
    """All that a brief has taught; ``sessions`` opened ones with ratings, by id with the trials of their bottles."""

    learnt: tuple[Learnt, ...]
    sessions: Mapping[str, tuple[str, ...]]

    @property
    def intervals(self) -> int:
        """How many intervals there are: some of so many leave 0 outside by chance."""
        return sum(row.low is not None for one in self.learnt for row in one.rows)


def taught(found: Ways, rated: Mapping[Medium, pd.DataFrame], trial_of: Mapping[str, str]) -> Taught:
    """``rated``: by medium the opened ratings, with ``session`` and ``bottle``; ``trial_of``: of each bottle its trial.

    Sessions and bottles are the same on all media.
    """
    parts = [one for medium, frame in rated.items() for one in _on(medium, frame, found, trial_of)]
    smelt = {one: trials for frame in rated.values() for one, trials in _smelt(frame, trial_of)}
    return Taught(tuple(parts), smelt)


def _on(medium: Medium, frame: pd.DataFrame, found: Ways, trial_of: Mapping[str, str]) -> Iterator[Learnt]:
    if frame["rating"].isna().all() or not found.changes:
        return
    names = [str(place) for place in range(len(found.changes))]
    made = pd.DataFrame([found.made[trial_of[one]] for one in frame["bottle"]], columns=names, index=frame.index)
    learnt = statistics.learnt_effects(pd.concat([frame, made], axis=1), names, level=LEVEL)
    together = {frozenset(trials) for _, trials in _smelt(frame, trial_of)}
    unseparated = frozenset(each for one, told in learnt.groups if told != ALONE for each in _places(one))
    look = _Look(found, together, unseparated, _differing(found))
    for changes, rows in _by_changes(learnt.table):
        yield _learnt(medium, _places(changes), rows, look)


def _smelt(frame: pd.DataFrame, trial_of: Mapping[str, str]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each session with the trials of its bottles."""
    for session, rows in frame.groupby("session", sort=False, observed=True):
        yield str(session), tuple(dict.fromkeys(trial_of[bottle] for bottle in rows["bottle"]))


def _places(changes: Iterable[str]) -> tuple[int, ...]:
    return tuple(map(int, changes))


def _by_changes(table: pd.DataFrame) -> Iterator[tuple[tuple[str, ...], list[dict[Any, Any]]]]:
    """Rows of the same changes together, in the order they were first made."""
    groups: dict[tuple[str, ...], list[dict[Any, Any]]] = {}
    for row in table.to_dict("records"):
        groups.setdefault(row["changes"], []).append(row)
    yield from sorted(groups.items(), key=lambda one: _places(one[0]))


@dataclass(frozen=True, slots=True)
class _Look:
    """Where one looks for what to smell next: all trials, those smelt together, and the changes not separated yet."""

    found: Ways
    together: Collection[frozenset[str]]
    unseparated: frozenset[int]
    differing: Mapping[tuple[str, str], frozenset[int]]  # by two trials


def _learnt(medium: Medium, places: tuple[int, ...], rows: Sequence[dict[Any, Any]], look: _Look) -> Learnt:
    numbered = [one for one in rows if one["told"] != NOT_TOLD]
    told = numbered[0]["told"] if numbered else NOT_TOLD
    kept = tuple(map(_at, numbered))
    changes = tuple(look.found.changes[place] for place in places)
    if told == ALONE:
        return Learnt(changes, tuple(rows[0]["signs"]), told, medium, kept, to_be_sure=_apart_by(look, places[0]))
    return Learnt(changes, tuple(rows[0]["signs"]), told, medium, kept, _separating(look, places))


def _at(row: dict[Any, Any]) -> LearntAt:
    low, high = (None if isnan(row[end]) else float(row[end]) for end in ("low", "high"))
    return LearntAt(
        str(row["descriptor"]),
        float(row["age_minutes"]),
        float(row["estimate"]),
        low,
        high,
        int(row["freedom"]),
        int(row["bottles"]),
        int(row["panelists"]),
        tuple(map(str, row["sessions"])),
    )


# --- what to smell to make sure ---------------------------------------------------------------------------------------


def _differing(found: Ways) -> dict[tuple[str, str], frozenset[int]]:
    """Of every two trials the changes that lie between them, by place."""
    return {
        (one, two): frozenset(at for at, (a, b) in enumerate(zip(first, second, strict=True)) if a != b)
        for (one, first), (two, second) in combinations(found.made.items(), 2)
    }


def _apart_by(look: _Look, place: int) -> tuple[str, str] | None:
    """Two trials that differ in one change alone, without it first; of several the last."""
    pairs = [pair for pair, differ in look.differing.items() if differ == {place}]
    return _without_first(look.found, pairs[-1], place) if pairs else None


def _without_first(found: Ways, pair: tuple[str, str], place: int) -> tuple[str, str]:
    one, two = pair
    return pair if found.made[one][place] < found.made[two][place] else (two, one)


def _separating(look: _Look, places: tuple[int, ...]) -> Separating | None:
    """Two trials that are made, else the bottle to mix, that bring one of the changes alone before people."""
    return _made_already(look, places) or _to_mix(look, places)


def _made_already(look: _Look, places: tuple[int, ...]) -> Separating | None:
    """What else the two differ in must be known already, and be as little as can be."""
    unknown = look.unseparated | {*places}
    smelt = frozenset().union(*look.together)
    fitting = [
        pair for pair, differ in look.differing.items()
        if len(differ & unknown) == 1 and differ & {*places} and not any({*pair} <= one for one in look.together)
    ]  # fmt: skip
    if not fitting:
        return None
    pair = min(fitting, key=lambda each: (len(look.differing[each]), smelt.isdisjoint(each)))
    (place,) = look.differing[pair] & unknown
    without, with_it = _without_first(look.found, pair, place)
    return Separating(look.found.changes[place], with_it, without)


def _to_mix(look: _Look, places: tuple[int, ...]) -> Separating | None:
    """Beside the smelt trial with the fewest changes, one change more, or less."""
    found = look.found
    place = next((one for one in places if found.changes[one].can_be_mixed), None)
    smelt = [trial for trial in found.made if any(trial in one for one in look.together)]
    if place is None or not smelt:
        return None
    base = min(smelt, key=lambda trial: sum(map(abs, found.made[trial])))
    return Separating(found.changes[place], base, holds=found.made[base][place] != 0)
