"""The patch that one person needs of one trial: which one speaks, or what lacks, in one sentence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from evaluation.formulas import exact
from evaluation.skin.materials import DAY_MS, HOUR_MS, FormulaLine, moment
from evaluation.skin.patches import (
    APART_HOURS,
    CANCELLED,
    CHANGES,
    FIRST,
    FIRST_HOURS,
    MISSED,
    REACTED,
    READ,
    SECOND_HOURS,
    WAITING,
    Patch,
    holds,
    known_materials,
)
from evaluation.skin.reactions import Reaction, shares_with
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

ACCEPTED: Final = (
    f"clear when read {FIRST_HOURS[0]} to {FIRST_HOURS[1]} hours after it was put on and again from {SECOND_HOURS} "
    f"hours on, at least {APART_HOURS} hours later, would be accepted."
)


@dataclass(frozen=True, slots=True)
class Found:
    """``clear``: the id of the patch that speaks, "" with what lacks and when it could be there (0: not by waiting)."""

    clear: str = ""
    kind: str = ""
    told: str = ""
    first_possible: int = 0


def of_patches(
    trial: Trial,
    lines: Sequence[FormulaLine],
    person: Panelist,
    patches: Iterable[Patch],
    reactions: Iterable[Reaction],
    now: int,
    zone: str,
) -> Found:
    """How this person stands with patches of this trial; one put on before a reaction to its materials says nothing."""
    mine = [one for one in patches if (one.panelist_id, one.trial_id) == (person.id, trial.id)]
    known = known_materials(lines)
    own = [one.at for one in reactions if one.panelist_id == person.id and shares_with(known, one)]
    since = max(own, default=-1)
    fresh = sorted((one for one in mine if one.applied_at > since), key=lambda one: one.applied_at)
    clear = [one for one in fresh if holds(one, lines, trial.skin_strength_percent, now)]
    if clear:
        return Found(clear[-1].id)
    of = f"trial {trial.label}"
    alike = [one for one in fresh if one.strength_percent == trial.skin_strength_percent and one.is_of(lines)]
    waiting = [one for one in alike if one.standing(now).kind in WAITING]
    if waiting:
        soonest = min(waiting, key=lambda one: one.clear_from(now))
        return Found("", "reading", _awaited(soonest, of, now, zone), soonest.clear_from(now))
    to_ask = [one for one in alike if one.standing(now).kind == READ and not one.changed]
    if to_ask:
        days = (now - to_ask[-1].applied_at) // DAY_MS
        return Found("", "changes", _ASK.format(of=of, days=days))
    lacking = _lacking(trial, lines, fresh, since, now, zone)
    return Found("", "patch", f"{lacking}, {ACCEPTED}", now + SECOND_HOURS * HOUR_MS)


_ASK: Final = (
    "the clear patch of {of} is {days} days old: ask what has changed since it was put on; a dated answer that nothing "
    "has would be accepted, or else a new patch."
)


def _awaited(patch: Patch, of: str, now: int, zone: str) -> str:
    stands = patch.standing(now)
    if stands.kind == FIRST:
        between = f"between {moment(stands.since, zone)} and {moment(stands.until, zone)}"
        return f"the patch of {of} waits for its first reading, {between}, and then for a second one."
    return f"the patch of {of} was clear once and waits for its second reading, from {moment(stands.since, zone)} on."


def _lacking(
    trial: Trial, lines: Sequence[FormulaLine], fresh: Sequence[Patch], since: int, now: int, zone: str
) -> str:
    """Why no patch speaks, of the latest one that was not cancelled."""
    of = f"trial {trial.label}"
    left = [one for one in fresh if one.standing(now).kind not in (CANCELLED, REACTED)]
    if not left:
        if since >= 0:
            return f"no patch of {of} since the reaction of {moment(since, zone)}; a new one"
        return f"no patch test of {of}; one away from the smelling sites, open and at the strength to be worn"
    last = left[-1]
    if not last.is_of(lines):
        return f"the formula of {of} is not the one that was patched; a new one"
    if last.strength_percent != trial.skin_strength_percent:
        strengths = f"{exact(last.strength_percent)} % and is to be worn at {_percent(trial)}"
        return f"{of} was patched at {strengths}; a patch at the strength to be worn"
    if last.standing(now).kind == MISSED:
        return (
            f"the patch of {of} was not read {FIRST_HOURS[0]} to {FIRST_HOURS[1]} hours after it was put on; a new one"
        )
    return f"since the clear patch of {of}, {' and '.join(CHANGES[one] for one in last.changed)} changed; a new one"


def _percent(trial: Trial) -> str:
    strength = trial.skin_strength_percent
    return "a strength not entered yet" if strength is None else f"{exact(strength)} %"
