"""The report of a profile: what moved, when, by how much, and all that stands around it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from evaluation.actions.profile_findings import ProfileFindings
from evaluation.charts import profile_pictures as drawn
from evaluation.charts.effect_pictures import effects_over_ages
from evaluation.counting.profiles import ProfileFound, curves
from evaluation.kinds.separation import together
from evaluation.report import numbers, whole
from evaluation.report.blocks import Block, Chart, Report, framed, head, lines
from evaluation.report.whole import WIDTH, Told
from evaluation.sheets.pieces import Text
from evaluation.tables import effects_told, results
from evaluation.values.scales import POINTS
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_profiles, of_sealed_plans, of_separations
from evaluation.wording.of_profiles import age_words
from evaluation.wording.of_verdicts import on_media

_MAP: Final = (
    "Size of a disc: size of the difference. The number says which trial has more, in points. A ring and full colour: "
    "the family shows it. Pale: not shown, which is not “the same”. A cross: fewer than 6 people, described only."
)


def report(found: ProfileFindings, instant: int) -> Report:
    """Everything of an opened profile; ``instant`` is that of the last line of its log."""
    told = Told(
        leads=whole.leads(found, of_separations.told_of),
        parts=[block for part in found.found for block in _part(part)],
        came=whole.came(found, _came),
        cautions=_cautions(found),
        below=(),
        numbers=numbers.of_profile(found),
    )
    return whole.report(found, told, instant)


def _part(part: ProfileFound) -> list[Block]:
    return _compared(part) if part.separation is None else _separated(part)


def _separated(part: ProfileFound) -> list[Block]:
    told: list[Block] = [head("What each change did"), *framed(effects_told.bottles_table(part))]
    ages, effects = [age_words(age) for age in part.ages], () if part.effects is None else part.effects.table["effect"]
    for word in part.words(POINTS):
        rows = effects_told.effect_rows(part, word)
        if not rows.empty:
            names = list(dict.fromkeys(rows["effect"]))
            told.append(Chart(effects_over_ages(rows, names, ages, width=WIDTH), f"{word}: {_EFFECTS}"))
    for effect in dict.fromkeys(effects):
        told += [Text(f"{sentence_case(together(effect))}:"), *framed(effects_told.effects_of(part, effect))]
    return told


_EFFECTS: Final = (
    "what each change does over the dry-down, in points. Full mark: the family shows it. Ring: not shown, which is not "
    "“nothing”. Cross: described only. Bar: the interval by itself."
)


def _compared(part: ProfileFound) -> list[Block]:
    told = [head(f"What moved, {on_media([part.medium])}"), *_maps(part)]
    for pair in part.differences.pairs if part.differences else ():
        told += [Text(f"{_less(pair)}:"), *framed(results.moved_between(part, *pair))]
    told += _curves(part)
    if part.decay is not None:
        told += [head("How strength falls")]
        told += lines(of_profiles.decay_line(one, part.decay.threshold) for one in part.decay.trials)
    if part.model is not None:
        told += [head("Mixed model"), *map(Text, of_profiles.model_lines(part)), *framed(results.effects_shown(part))]
    for family in part.counted:
        frame = results.counted(family, part)
        name = of_profiles.COUNTS.of(family).short
        told += [head(name), *framed(frame.drop(columns="medium"))] if len(frame) else []
    return told


def _less(pair: tuple[str, str]) -> str:
    """What the signs of differences count from."""
    return sentence_case(f"{trial_name(pair[1])} less {trial_name(pair[0])}")


def _maps(part: ProfileFound) -> Iterable[Block]:
    for pair in part.differences.pairs if part.differences else ():
        rows = results.map_rows(part, *pair)
        if not rows.empty:
            ages = [age_words(age) for age in part.ages]
            yield Chart(drawn.difference_map(rows, ages, pair[1], width=WIDTH), f"{_less(pair)}. {_MAP}")


def _curves(part: ProfileFound) -> list[Block]:
    told: list[Block] = [head("Over the ages")]
    for word in part.words(POINTS):
        rows = curves(part, (word,))
        if not rows.means.empty:
            chart = drawn.dry_down(rows.people, rows.means, part.names, width=WIDTH)
            told.append(Chart(chart, f"{word}: means over people with their intervals; small marks: each person."))
    return told


def _came(part: ProfileFound) -> Iterable[str]:
    yield from (f"{sentence_case(on_media([part.medium]))}, {of_profiles.came_line(one)}" for one in part.came)
    if part.reduced:
        yield whole.EVERYTHING
        yield from of_separations.told_of(part, everything=True)


def _cautions(found: ProfileFindings) -> Iterable[str]:
    yield "It speaks for this panel, and as far as its people were chosen at random for people like it."
    yield of_sealed_plans.JUDGED_ALONE
    for part in found.found:
        yield from of_separations.caveats_of(part)
    yield from whole.blind(found.context)
    if found.aims_late:
        yield "What the brief aims at was written when this key was open already: not blind."
