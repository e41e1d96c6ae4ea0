"""The gate before skin: what is missing, and what would be accepted, one sentence each. Nothing opens it but facts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from evaluation.people import Panelist
from evaluation.skin.values import (
    ALSO_STRIPS,
    BARRED,
    CLEAR,
    DAY_MS,
    EXCLUSIONS,
    FACTS_DAYS,
    FORMULA_TOLERANCE,
    HOUR_MS,
    PATCH_HOURS,
    REACTION,
    UNREAD,
    Bar,
    FormulaLine,
    Patch,
    Reaction,
    SkinFacts,
    SkinLimit,
    SkinShare,
    exact,
    formula_sum,
    moment,
    shares,
    source,
)
from evaluation.trials import Trial

NATURALS: Final = (
    "Natural materials are counted as lines, not by their constituents: two of them may hold the same substance, and "
    "its sum is not worked out here."
)
SUN: Final = (
    "{materials}: marked phototoxic. Keep the sites out of the sun and away from sun lamps during the session and for "
    "days after it, as the current safety document says."
)


@dataclass(frozen=True, slots=True)
class Block:
    """One thing that keeps the gate shut: what is missing and what would be accepted, in one sentence."""

    kind: str  # strength, formula, limit, level, bar, facts, consent, excluded or patch
    told: str
    panelist_id: str = ""
    who: str = ""  # the alias of whom it is about, "" where it is about the trial

    @property
    def sentence(self) -> str:
        return _about([self.who] if self.who else [], self.told)


def sentences(blocks: Iterable[Block]) -> tuple[str, ...]:
    """Each thing once, with everybody it is about."""
    people: dict[tuple[str, str], list[str]] = {}
    for block in blocks:
        named = people.setdefault((block.kind, block.told), [])
        if block.who and block.who not in named:
            named.append(block.who)
    return tuple(_about(named, told) for (_, told), named in people.items())


def _about(people: Sequence[str], told: str) -> str:
    return f"{', '.join(people)}: {told}" if people else told


@dataclass(frozen=True, slots=True)
class Gate:
    """What was looked at for one trial, and what blocks it."""

    trial_id: str
    label: str
    strength_percent: Decimal | None
    shares: tuple[SkinShare, ...]
    blocks: tuple[Block, ...]
    warnings: tuple[str, ...]
    first_possible: int  # when the patches could be read if those that lack were put on now; 0: nothing to wait for

    @property
    def open(self) -> bool:
        return not self.blocks


def gate(
    trial: Trial,
    lines: Sequence[FormulaLine],
    limits: Iterable[SkinLimit],
    people: Iterable[Panelist],
    facts: Mapping[str, SkinFacts],
    patches: Iterable[Patch],
    bars: Iterable[Bar],
    now: int,
    *,
    reactions: Iterable[Reaction] = (),
    zone: str = "UTC",
) -> Gate:
    """May ``trial`` be put on the skin of ``people``? Anything missing blocks.

    ``facts`` holds the latest answers by panelist; ``limits``, ``patches``, ``bars`` and ``reactions`` may hold those
    of other materials and trials too. ``zone`` is for the times in the sentences.
    """
    found = shares(lines, trial.skin_strength_percent, limits)
    patched = [one for one in patches if one.trial_id == trial.id]
    stopped = {one.panelist_id: one.at for one in sorted(reactions, key=lambda r: r.at) if one.trial_id == trial.id}
    blocks = [*_of_formula(trial, lines, found), *_of_bars(trial, bars, zone)]
    waits = []
    for person in people:
        own = [*_of_facts(person, facts.get(person.id), now)]
        blocks += own
        if any(one.kind in ("consent", "excluded") for one in own):
            continue  # nobody is to put a patch on this person
        mine = [one for one in patched if one.panelist_id == person.id]
        block, wait = _of_patches(trial, person, mine, stopped.get(person.id), now, zone)
        if block is not None:
            blocks.append(block)
            waits.append(wait)
    return Gate(
        trial.id,
        trial.label,
        trial.skin_strength_percent,
        found,
        tuple(blocks),
        tuple(_warnings(trial, found, patched)),
        max(waits, default=0),
    )


def _of_formula(trial: Trial, lines: Sequence[FormulaLine], found: Iterable[SkinShare]) -> Iterator[Block]:
    if trial.skin_strength_percent is None:
        yield Block(
            "strength",
            f"Trial {trial.label} has no strength on skin: enter it in percent by weight, above 0 and below 100, for a "
            "trial is never put on skin undiluted.",
        )
    if not lines:
        yield Block(
            "formula",
            f"Trial {trial.label} has no formula lines: enter them all, so that each material can be held against its "
            "limit.",
        )
    elif abs((total := formula_sum(lines)) - 100) > FORMULA_TOLERANCE:
        yield Block(
            "formula",
            f"The lines of trial {trial.label} add up to {exact(total)} %: they must make 100 %, give or take "
            f"{exact(FORMULA_TOLERANCE)} %.",
        )
    for share in found:
        yield from _of_limit(trial, share)


def _of_limit(trial: Trial, share: SkinShare) -> Iterator[Block]:
    if share.limit is None:
        yield Block(
            "limit",
            f"{share.material.name} in trial {trial.label} has no limit for use on skin: enter the one of its current "
            "safety document, with the name and date of that document.",
        )
    elif share.percent is not None and not share.within:
        yield Block(
            "level",
            f"{share.material.name} makes up {exact(share.percent)} % on skin in trial {trial.label}, above its limit "
            f"of {exact(share.limit.percent)} % by {source(share.limit)}: a lower strength on skin, or another trial "
            "with less of it, would be accepted.",
        )


def _of_bars(trial: Trial, bars: Iterable[Bar], zone: str) -> Iterator[Block]:
    mine = sorted((bar for bar in bars if bar.trial_id == trial.id), key=lambda bar: bar.at)
    if mine and mine[-1].kind == BARRED:
        since = f"{moment(mine[-1].at, zone)} ({mine[-1].reason})"
        told = (
            f"Trial {trial.label} is barred from skin since {since}: it returns once somebody writes down why it may."
        )
        yield Block("bar", told)


def _of_facts(person: Panelist, facts: SkinFacts | None, now: int) -> Iterator[Block]:
    def block(kind: str, told: str) -> Block:
        return Block(kind, told, person.id, person.alias)

    if facts is None:
        yield block("facts", "not asked about skin; ask, with consent, or plan without this person.")
        return
    if now - facts.at > FACTS_DAYS * DAY_MS:
        days = (now - facts.at) // DAY_MS
        yield block("facts", f"asked about skin {days} days ago; ask again, answers hold {FACTS_DAYS} days.")
    if not facts.consent:
        yield block("consent", "no consent to skin; plan without this person, and do not press.")
    if facts.excluding:
        yield block("excluded", f"stays off skin ({'; '.join(facts.excluding)}); plan without this person.")


def _of_patches(
    trial: Trial, person: Panelist, patches: Sequence[Patch], stopped_at: int | None, now: int, zone: str
) -> tuple[Block | None, int]:
    """The block, and when the patch could be read at the earliest; 0 where waiting does not help."""

    def block(told: str) -> Block:
        return Block("patch", told, person.id, person.alias)

    of = f"trial {trial.label}"
    if any(one.result == REACTION for one in patches):
        return block(f"reacted to a patch of {of}, which does not come on that skin; plan without this person."), 0
    fresh = [one for one in patches if stopped_at is None or one.applied_at > stopped_at]
    strength = trial.skin_strength_percent
    if any(one.result == CLEAR and (strength is None or one.strength_percent >= strength) for one in fresh):
        return None, 0
    waiting = [one for one in fresh if one.result == UNREAD and now <= one.read_until]
    if waiting:
        first = min(one.read_from for one in waiting)
        return block(f"the patch of {of} is not read yet; it is read from {moment(first, zone)} on."), first
    soonest = now + PATCH_HOURS * HOUR_MS
    return block(f"{_lacking(of, fresh, stopped_at, zone)}, clear {_ACCEPTED}"), soonest


def _lacking(of: str, fresh: Sequence[Patch], stopped_at: int | None, zone: str) -> str:
    if any(one.result == CLEAR for one in fresh):
        return f"a clear patch of {of} at a weaker strength only; one at the strength on skin or above"
    if stopped_at is not None:
        return f"stopped on skin with {of} on {moment(stopped_at, zone)}; a new patch put on after that"
    if fresh:
        return f"the patch of {of} was not read in time; a new one"
    return f"no patch test of {of}; one away from the smelling sites"


_ACCEPTED: Final = f"when read {PATCH_HOURS} hours after it was put on, would be accepted."


def _warnings(trial: Trial, found: Sequence[SkinShare], patches: Iterable[Patch]) -> Iterator[str]:
    light = [share.material.name for share in found if share.material.phototoxic]
    if light:
        yield SUN.format(materials=", ".join(light))
    if any(share.material.natural for share in found):
        yield NATURALS
    if any(one.result == REACTION for one in patches):
        yield f"Somebody reacted to a patch of trial {trial.label}: think about taking it off skin for everybody."


def not_for_strips(people: Iterable[Panelist], facts: Mapping[str, SkinFacts]) -> tuple[str, ...]:
    """Whom scents may harm on strips too, as far as they said so; everybody is asked in person before smelling."""
    told = []
    for person in people:
        said = facts.get(person.id)
        words = [EXCLUSIONS[name] for name in ALSO_STRIPS if said is not None and getattr(said, name)]
        if words:
            told.append(
                f"{person.alias} said: {'; '.join(words)}. On strips too {person.alias} should not take part without "
                "advice from somebody qualified."
            )
    return tuple(told)
