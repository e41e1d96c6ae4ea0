"""What an opened profile says of every two of its trials: what moved, how long it lasts, how near the brief."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Any

from evaluation import statistics
from evaluation.actions.aims import Aims
from evaluation.actions.profile_findings import profile_findings
from evaluation.counting.changes_did import what_was_done
from evaluation.counting.profiles import ProfileFound, furthest, moves
from evaluation.deciding.claims import least_p, partings
from evaluation.deciding.evidence import (
    DISTANCE,
    FIRST,
    LASTING,
    MOVED,
    NEITHER,
    SECOND,
    Collected,
    Distance,
    EffectsShown,
    Facts,
    Nearness,
    NoDistance,
    NotApart,
    Point,
    Unmoved,
    Unrated,
    exact,
    facts_of,
)
from evaluation.errors import ArgumentError
from evaluation.sessions import Medium, Session
from evaluation.store import Notebook
from evaluation.values.briefs import Target
from evaluation.values.scales import POINTS


def profile(notebook: Notebook, session: Session) -> Collected:
    """Points of every medium, and distances where the brief has targets."""
    told = profile_findings(notebook, session.id)
    parts = [_part(found, told.aims, told.aims_late) for found in told.found]
    gaps = [gap for one in parts for gap in one.gaps]
    return Collected(
        tuple(point for one in parts for point in one.points),
        tuple(far for one in parts for far in one.distances),
        tuple(gap for at, gap in enumerate(gaps) if gap not in gaps[:at]),
    )


def _part(found: ProfileFound, aims: Aims | None, late: bool) -> Collected:
    if found.separation is not None:
        return Collected((), (), tuple(map(facts_of, effects_shown(found))))
    near = _nearness(found, aims.targets if aims else (), late)
    return Collected((*moved_points(found), *_lasting(found), *near.points), near.distances, near.gaps)


def effects_shown(found: ProfileFound) -> Iterator[EffectsShown]:
    """What the family shows of separated changes: said of changes, not of any two trials."""
    told = found.effects
    if told is not None:
        effects = tuple(dict.fromkeys(told.table["effect"]))
        shown = tuple(one for each in effects for one in what_was_done(told, found.alpha, each))
        tested = told.table.groupby("effect")["in_family"].any()
        described = tuple(one for one in effects if not tested[one])
        named = {*described, *(one.effect for one in shown)}
        yield EffectsShown(shown, tuple(one for one in effects if one not in named), told.by, found.alpha, described)


def _ids(found: ProfileFound) -> dict[Any, str]:
    """By name in the ratings."""
    return dict(zip(found.names, found.plan.trial_ids, strict=True))


# --- what moved -------------------------------------------------------------------------------------------------------


def moved_points(found: ProfileFound) -> Iterator[Point]:
    """What the family shows to move between every two trials, or that it shows nothing."""
    family, ids = found.differences, _ids(found)
    if family is None:
        return
    for first, second in family.pairs:
        about = (ids[first], ids[second], found.medium)
        shown = moves(family, found.alpha, first, second)
        if not shown:
            bound = furthest(family, first, second)
            yield Point(MOVED, *about, None, NEITHER, True, facts_of(Unmoved(bound)))
        for one in shown:
            outcome = SECOND if one.up else FIRST
            yield Point(MOVED, *about, exact(one.first_age), outcome, True, facts_of(one), one.descriptor)


def _lasting(found: ProfileFound) -> Iterator[Point]:
    """Curves of strength where the family shows them apart; they are no test, so they weigh nothing."""
    ids = _ids(found)
    for pair in found.decay.pairs if found.decay else ():
        about = (ids[pair.first], ids[pair.second], found.medium)
        apart, least = [one for one in partings(found, pair) if one.may_be_told], least_p(found, pair)
        for one in apart:
            outcome = FIRST if one.stretch.stronger == pair.first else SECOND
            yield Point(LASTING, *about, exact(one.stretch.since), outcome, False, facts_of(one))
        if pair.stretches and not apart and least is not None:
            yield Point(LASTING, *about, None, NEITHER, False, facts_of(NotApart(least)))


# --- how near the brief -----------------------------------------------------------------------------------------------


def _nearness(found: ProfileFound, targets: tuple[Target, ...], late: bool) -> Collected:
    """Targets written after opening are shown and weigh nothing: they were not written blind."""
    wanted = [one for target in targets for one in _at_ages(found, target)]
    gaps = tuple(_unrated(found, targets))
    if not wanted:
        return Collected((), (), gaps)
    try:
        near = statistics.nearness_to_brief(found.ratings(POINTS), wanted, found.names, level=found.level)
    except ArgumentError as refused:
        return Collected((), (), (*gaps, facts_of(NoDistance(str(refused)))))
    ids, sure = _ids(found), not late
    distances = tuple(_distance(row, ids, found.medium) for row in near.table.to_dict("records"))
    points = tuple(_differs(row, ids, found, sure) for row in near.differences.to_dict("records"))
    return Collected(points, distances, gaps)


def _at_ages(found: ProfileFound, target: Target) -> Iterator[statistics.Target]:
    """A target of the whole dry-down counts once, shared over all ages; names are compared without case."""
    known = {word.casefold(): word for word in found.words(POINTS)}
    word, ages = known.get(target.descriptor.casefold()), _ages(found, target)
    if word is None:
        return
    for age in ages:
        weight = float(target.weight) / len(ages)
        yield statistics.Target(word, age, target.kind, float(target.value), weight)


def _ages(found: ProfileFound, target: Target) -> list[float]:
    return [age for age in found.ages if target.minutes is None or age == float(target.minutes)]


def _unrated(found: ProfileFound, targets: tuple[Target, ...]) -> Iterator[Facts]:
    missed = [one for one in targets if not list(_at_ages(found, one))]
    if missed:
        named = ((one.descriptor, "" if one.minutes is None else str(one.minutes)) for one in missed)
        yield facts_of(Unrated(tuple(named)))


def _distance(row: dict[Any, Any], ids: dict[Any, str], medium: Medium) -> Distance:
    far = exact(row["distance"])
    assert far is not None  # a distance is always a number
    limits = (exact(row["low"]), exact(row["high"]), exact(row["nearest_in"]))
    return Distance(ids[row["trial"]], medium, far, *limits, row["costliest"] or "")


def _differs(row: dict[Any, Any], ids: dict[Any, str], found: ProfileFound, sure: bool) -> Point:
    """A negative difference: the first is nearer."""
    p, gap = float(row["p_family"]), float(row["difference"])
    shown = isfinite(p) and p <= found.alpha and gap != 0
    outcome = NEITHER if not shown else FIRST if gap < 0 else SECOND
    about = (ids[row["first"]], ids[row["second"]], found.medium, None)
    return Point(DISTANCE, *about, outcome, sure, facts_of(Nearness(p if isfinite(p) else None)))
