"""The gate before skin: what is missing, and what would be accepted, one sentence each. Nothing opens it but facts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from evaluation.formulas import exact
from evaluation.skin.materials import (
    ALSO_STRIPS,
    BARRED,
    DAY_MS,
    DOCUMENT_YEARS,
    EXCLUSIONS,
    FACTS_DAYS,
    FORMULA_TOLERANCE,
    MOST_ON_SKIN_PERCENT,
    Bar,
    FormulaLine,
    SkinFacts,
    SkinLimit,
    SkinShare,
    formula_sum,
    formula_whole,
    moment,
    shares,
    source,
)
from evaluation.skin.patch_gate import Found, of_patches
from evaluation.skin.patches import Patch, known_materials
from evaluation.skin.reactions import Advice, Explained, GoAhead, Held, Reaction, Unwell, held, unexplained
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

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
    """One thing that keeps the gate shut: what is missing and what would be accepted, in one sentence.

    ``kind``: of the trial *strength, formula, limit, document, level, bar, wait*; of a person *facts, consent,
    excluded, reaction, stop*, and of the patch *patch* (none that speaks), *reading* (one waits), *changes* (a clear
    one is to be asked about).
    """

    kind: str
    told: str
    panelist_id: str = ""
    who: str = ""  # the alias of whom it is about, "" where it is about the trial

    @property
    def sentence(self) -> str:
        """What is missing, after the alias it is about where it is about somebody."""
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
class Records:
    """All that is on record about skin; of other people, materials and trials too."""

    limits: tuple[SkinLimit, ...] = ()
    facts: Mapping[str, SkinFacts] = field(default_factory=dict)  # the latest answers by panelist
    patches: tuple[Patch, ...] = ()
    bars: tuple[Bar, ...] = ()
    reactions: tuple[Reaction, ...] = ()
    advice: tuple[Advice, ...] = ()
    go_aheads: tuple[GoAhead, ...] = ()
    unwell: tuple[Unwell, ...] = ()
    explained: tuple[Explained, ...] = ()


@dataclass(frozen=True, slots=True)
class Gate:
    """What was looked at for one trial, and what blocks it."""

    trial_id: str
    label: str
    strength_percent: Decimal | None
    shares: tuple[SkinShare, ...]
    blocks: tuple[Block, ...]
    warnings: tuple[str, ...]
    first_possible: int  # when the patches can be read twice if those that lack are put on now; 0: nothing waits
    patch_ids: tuple[str, ...] = ()  # of the clear patches that speak for these people

    @property
    def open(self) -> bool:
        """True where nothing blocks: what was asked for is there, not that the trial is safe on skin."""
        return not self.blocks


def gate(
    trial: Trial,
    lines: Sequence[FormulaLine],
    people: Iterable[Panelist],
    records: Records,
    now: int,
    *,
    zone: str = "UTC",
    whole_said: bool = True,
) -> Gate:
    """May ``trial`` be put on the skin of ``people``? Anything missing blocks. ``zone``: for the times in sentences.

    ``whole_said``: whether somebody said what the parts of the formula add up to, so that a forgotten line shows.
    """
    found = shares(lines, trial.skin_strength_percent, records.limits)
    blocks = [*_of_formula(trial, lines, found, now, whole_said), *_of_bars(trial, records.bars, zone)]
    blocks += _of_waits(trial, lines, records, zone)
    waits, clear = [], []
    for person in people:
        own = list(_of_person(trial, lines, person, records, now, zone))
        blocks += own
        if any(one.kind in NO_PATCH for one in own):
            continue
        patch = of_patches(trial, lines, person, records.patches, records.reactions, now, zone)
        blocks += _patch_block(person, patch)
        waits.append(patch.first_possible)
        clear += [patch.clear] if patch.clear else []
    warnings = tuple(_warnings(found))
    strength, first = trial.skin_strength_percent, max(waits, default=0)
    return Gate(trial.id, trial.label, strength, found, tuple(blocks), warnings, first, tuple(clear))


NO_PATCH: Final = frozenset({"consent", "excluded", "reaction", "stop"})  # nobody is to put a patch on this person


def _patch_block(person: Panelist, found: Found) -> list[Block]:
    return [] if found.clear else [Block(found.kind, found.told, person.id, person.alias)]


# --- the trial ----------------------------------------------------------------------------------------------------


def _of_formula(
    trial: Trial, lines: Sequence[FormulaLine], found: Iterable[SkinShare], now: int, whole_said: bool
) -> Iterator[Block]:
    yield from _of_strength(trial)
    if not lines:
        yield Block(
            "formula",
            f"Trial {trial.label} has no formula lines: enter them all, so that each material can be held against its "
            "limit.",
        )
    elif not formula_whole(one.share_percent for one in lines):
        yield Block(
            "formula",
            f"The lines of trial {trial.label} add up to {exact(formula_sum(lines))} %: they must make 100 %, give or "
            f"take {exact(FORMULA_TOLERANCE)} %.",
        )
    elif not whole_said:
        yield Block(
            "formula",
            f"Nobody said what the parts of trial {trial.label} add up to: enter it with its formula in the trial "
            "book, so that a forgotten line shows.",
        )
    for share in found:
        yield from _of_limit(trial, share, now)


def _of_strength(trial: Trial) -> Iterator[Block]:
    strength = trial.skin_strength_percent
    most = exact(MOST_ON_SKIN_PERCENT)
    if strength is None:
        yield Block(
            "strength",
            f"Trial {trial.label} has no strength on skin: enter it in percent by weight, above 0 and at most {most}, "
            "for a trial is never put on skin undiluted.",
        )
    elif strength > MOST_ON_SKIN_PERCENT:
        yield Block(
            "strength",
            f"Trial {trial.label} is to go on skin at {exact(strength)} %, nearly undiluted: at most {most} % would be "
            "accepted, what a fine fragrance holds at most (common practice, no source).",
        )


def _of_limit(trial: Trial, share: SkinShare, now: int) -> Iterator[Block]:
    limit, name = share.limit, share.material.name
    if limit is None:
        yield Block(
            "limit",
            f"{name} in trial {trial.label} has no limit for use on skin: enter the one of its current "
            "safety document, with the name and date of that document.",
        )
        return
    if limit.outdated(now):
        yield Block(
            "document",
            f"The limit of {name} in trial {trial.label} is from {source(limit)}, more than {DOCUMENT_YEARS} years "
            "old: a newer document, or a confirmation that this one is still current (who looked), would be accepted.",
        )
    if share.percent is not None and not share.within:
        yield Block(
            "level",
            f"{name} makes up {exact(share.percent)} % on skin in trial {trial.label}, above its limit "
            f"of {exact(limit.percent)} % by {source(limit)}: a lower strength on skin, or another trial "
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


def _of_waits(trial: Trial, lines: Sequence[FormulaLine], records: Records, zone: str) -> Iterator[Block]:
    """Whatever somebody reacted to goes on nobody until the conductor decides."""
    found = held(known_materials(lines), records.reactions, records.go_aheads)
    if found:
        last = moment(found[-1].reaction.at, zone)
        yield Block(
            "wait",
            f"Trial {trial.label} goes on nobody: somebody’s skin reacted on {last} to {_shared(found, lines)}; your "
            "decision that this may be applied again, with a reason, would be accepted.",
        )


def _shared(found: Sequence[Held], lines: Sequence[FormulaLine]) -> str:
    """What a formula shares with reactions, in words: the formulas' unknown, or the materials by name."""
    if any(one.material_ids is None for one in found):
        return "a formula it may share lines with, as one of the two is not known"
    names = {one.material.id: one.material.name for one in lines}
    listed = list(dict.fromkeys(names[id_] for id_ in names if any(id_ in (one.material_ids or ()) for one in found)))
    unknown = any(one.reaction.material_ids is None for one in found)
    more = ", since the formula that was on is not known" if unknown else ""
    return f"{', '.join(listed)}, which it holds too{more}"


# --- the person ---------------------------------------------------------------------------------------------------


def _of_person(
    trial: Trial, lines: Sequence[FormulaLine], person: Panelist, records: Records, now: int, zone: str
) -> Iterator[Block]:
    def block(kind: str, told: str) -> Block:
        return Block(kind, told, person.id, person.alias)

    for kind, told in _of_facts(records.facts.get(person.id), now):
        yield block(kind, told)
    mine = [one for one in records.reactions if one.panelist_id == person.id]
    found = held(known_materials(lines), mine, [one for one in records.advice if one.panelist_id == person.id])
    if found:
        last = moment(found[-1].reaction.at, zone)
        yield block(
            "reaction",
            f"reacted on {last} to {_shared(found, lines)} (trial {trial.label}); only an advice of somebody qualified "
            "that names these materials would be accepted (who, when), or plan without this person.",
        )
    stop = unexplained(person.id, records.unwell, records.explained)
    if stop is not None:
        yield block(
            "stop",
            f"stopped on {moment(stop.at, zone)}, unwell or for another reason; what it was and why skin may go on, "
            "written down in words, would be accepted, or plan without this person.",
        )


def _of_facts(facts: SkinFacts | None, now: int) -> Iterator[tuple[str, str]]:
    if facts is None:
        yield "facts", "not asked about skin; ask on the page Skin, with consent, or plan without this person."
        return
    if now - facts.at > FACTS_DAYS * DAY_MS:
        days = (now - facts.at) // DAY_MS
        yield "facts", f"asked about skin {days} days ago; ask again on the page Skin, answers hold {FACTS_DAYS} days."
    if not facts.consent:
        yield "consent", "no consent to skin; plan without this person, and do not press."
    if facts.excluding:
        yield "excluded", f"stays off skin ({'; '.join(facts.excluding)}); plan without this person."


def _warnings(found: Sequence[SkinShare]) -> Iterator[str]:
    light = [share.material.name for share in found if share.material.phototoxic]
    if light:
        yield SUN.format(materials=", ".join(light))
    if any(share.material.natural for share in found):
        yield NATURALS


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
