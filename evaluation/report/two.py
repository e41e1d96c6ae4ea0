"""The report of a session that compared two trials."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

import pandas as pd

from evaluation import charts, wording
from evaluation.actions.opened import Noted
from evaluation.actions.two_findings import TwoFindings, TwoFound
from evaluation.counting import habits
from evaluation.judging.entries import AnyEntry, Entry
from evaluation.report import numbers, whole
from evaluation.report.blocks import Block, Chart, Report, across, framed, head, lines, noted, table
from evaluation.report.whole import WIDTH, Told
from evaluation.sessions import OVERALL, SKIN
from evaluation.sheets.pieces import Text
from evaluation.tables import results
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_draws, of_looks, of_panels, of_sealed_plans, of_solo
from evaluation.wording.of_profiles import age_words
from evaluation.wording.of_verdicts import marks_line, whom


def report(found: TwoFindings, instant: int) -> Report:
    """Everything of an opened session; ``instant`` is that of the last line of its log."""
    told = Told(
        leads=[block for part in found.found for block in _verdict(part)],
        parts=[block for part in found.found for block in _part(found, part)],
        came=(),
        cautions=cautions(found),
        below=[block for part in found.found for block in _places(part)],
        numbers=numbers.of_two(found),
    )
    return whole.report(found, told, instant)


def _places(found: TwoFound) -> list[Block]:
    """How often each place was chosen."""
    chosen = habits.chosen_places(found.plan, found.rows)
    if chosen is None:
        return []
    on = "On skin: " if found.medium == SKIN else ""
    told = of_draws.places_line(chosen)
    return [Text(on + told), *table(of_draws.PLACES_HEAD, of_draws.places_rows(chosen), (4, 1, 1))]


def _verdict(found: TwoFound) -> list[Block]:
    where = "On skin: " if found.medium == SKIN else ""
    if found.sequence is not None:
        return [Text(where + of_looks.sentence(found.sequence, found.loss_of(found.sequence)), "lead")]
    heads = [one for one in found.entries if one.primary and one.primary_age is not None] or list(found.entries)
    return [
        Text(f"{where}{_age(one)}: {wording.sentence(one, found.names, found.loss_of(one))}", "lead") for one in heads
    ]


def _age(entry: AnyEntry) -> str:
    return OVERALL.capitalize() if isinstance(entry.age_minutes, str) else f"At {age_words(entry.age_minutes)}"


def _part(found: TwoFindings, part: TwoFound) -> list[Block]:
    on = " on skin" if part.medium == SKIN else " on strips"
    return [
        head(f"The numbers{on if len(found.found) > 1 else ''}"),
        *_chart(part),
        *_numbers(part),
        *_came(part, found.context.noted_on(part.medium)),
        *_further(part),
        *_second_opinions(part),
    ]


def _chart(found: TwoFound) -> list[Block]:
    if found.sequence is not None:
        lower = "stop, undecided" if found.sequence.beta_exact is None else "not noticed"
        drawn = charts.path_within_limits(results.look_rows(found.sequence), lower_says=lower, width=WIDTH)
        told = "Points: right answers at each look taken. Marks: the limits at which a look stops the session."
        return [Chart(drawn, told)] if found.sequence.looks else []
    preference = found.plan.kind.votes
    rows = results.preference_rows(found.entries) if preference else results.guessing_rows(found.entries)
    if rows.empty:
        return []
    rows = rows.assign(age=[_short(one) for one in found.entries if one.assessments])
    if preference:
        return [Chart(charts.preferences(rows, *map(trial_name, found.names), width=WIDTH), _OF_VOTES)]
    return [Chart(charts.guess_against_seen(rows, width=WIDTH), marks_line(found.entries, "exact interval"))]


_OF_VOTES: Final = (
    "Bar: people for either trial. Dot and line: share of the votes in the test for the trial on the left, with its "
    "exact interval; the mark in the middle is one half."
)


def _short(entry: AnyEntry) -> str:
    return OVERALL if isinstance(entry.age_minutes, str) else age_words(entry.age_minutes)


def _numbers(found: TwoFound) -> list[Block]:
    if found.sequence is not None:
        rows = [
            (one.assessments, one.correct, of_looks.limit_words(one.assessments, one.lower, one.upper),
             of_looks.state_words(one.outcome))
            for one in found.sequence.looks
        ]  # fmt: skip
        return [
            *table(("Number", "Value"), of_looks.facts(found.sequence)),
            *table(("Answers", "Right", "Limits", "Said"), [tuple(map(str, row)) for row in rows], (1, 1, 3, 2)),
        ]
    return _entries(found.entries, found)


def _entries(entries: Iterable[AnyEntry], found: TwoFound) -> list[Block]:
    given = tuple(entries)
    preference = found.plan.kind.votes
    rows = results.preferences(given) if preference else results.verdicts(given)
    if rows.empty:
        return []
    rows = rows.drop(columns=["comparison", "method"]).assign(**{"strip age": [_short(one) for one in given]})
    when = "time on skin" if found.medium == SKIN else "strip age"
    return across(rows.rename(columns={"strip age": when}), when)


def _came(found: TwoFound, told_of: tuple[Noted, ...]) -> list[Block]:
    aside = [
        f"Put aside and replaced by a spare set: {alias} at {age_words(age / 60)}." for alias, age in found.put_aside
    ]
    told = [head("What came in, and deviations"), *framed(_losses(found)), *lines(aside)]
    told += noted(told_of)
    told += [] if told_of or aside else [Text("No deviation was noted.")]
    if found.reduced and found.all_entries:
        told += [Text("With every answer, also those the sealed rule leaves out; the verdict is the sealed one's:")]
        told += _each(found.all_entries, found)
    if found.unrecognised:
        told += [Text("Without the sets recognised by sight, touch or wetness; the verdict is the sealed one's:")]
        told += _each(found.unrecognised, found)
    return told + _alone(found)


def _each(entries: Iterable[AnyEntry], found: TwoFound, where: str = "") -> list[Block]:
    return list(lines(f"{where}{_age(one)}: {wording.sentence(one, found.names)}" for one in entries))


def _alone(found: TwoFound) -> list[Block]:
    """What a session smelt alone says beside its verdict: sets with the wrong code locked, and wrong strips."""
    told: list[Block] = []
    if found.as_meant:
        told += [Text(of_solo.AS_MEANT), *_each(found.as_meant, found)]
    if found.strays_wrong:
        told.append(Text(of_solo.STRAYS))
        told += _each(found.strays_wrong, found, f"{of_solo.AS_WRONG}. ".capitalize())
        told += _each(found.strays_right, found, f"{of_solo.AS_RIGHT}. ".capitalize())
    return told


def _losses(found: TwoFound) -> pd.DataFrame:
    ages = [OVERALL if isinstance(one.age, str) else age_words(one.age / 60) for one in found.losses]
    when = "time on skin" if found.medium == SKIN else "strip age"
    return results.losses(found.losses).assign(**{"strip age": ages}).rename(columns={"strip age": when})


def _further(found: TwoFound) -> list[Block]:
    told: list[Block] = []
    if found.null_control is not None:
        told += [head("Null sets"), *lines(of_panels.null_lines(found.null_control))]
    if any(one.assessments for one in found.nearer):
        told += [head("Which is nearer to the brief"), Text("A further question; it does not change the verdict.")]
        told += _entries(found.nearer, found)
    if found.impressions:
        one, other = (sentence_case(trial_name(label)) for label in found.names)
        names = (one, other) if one != other else (f"{one} (first)", f"{other} (second)")
        told += [head("Wearing and strength"), *framed(results.impressions(found.impressions, names))]
    if any(one.answers for one in found.sureness):
        told += [head("How sure"), *framed(results.sureness(found.sureness))]
    people = [
        line
        for entry, panel in zip(found.entries, found.panels, strict=False)
        if panel is not None and isinstance(entry, Entry)
        for line in of_panels.spread_lines(entry, panel.spread)
    ]
    return [*told, head("How people differ"), *lines(people)] if people else told


def _second_opinions(found: TwoFound) -> list[Block]:
    given: list[tuple[Any, Any]] = list(zip(found.entries, found.opinions, strict=False))
    if found.sequence is not None:
        given = [(found.sequence, found.sequence_opinion)]
    told = [line for entry, one in given if one is not None for line in of_panels.opinion_lines(entry, one)]
    return [head("A second opinion, never the verdict"), *lines(told)] if told else []


# --- cautions ---------------------------------------------------------------------------------------------------------


def cautions(found: TwoFindings) -> tuple[str, ...]:
    """For whom it speaks, what the blind rests on, and what must be said beside each number."""
    told = [of_sealed_plans.judged_line(found.plan), *whole.blind(found.context)]
    if found.plan.media == (SKIN,):
        told.append("Skin only: it differs from person to person, and on a strip the same change may show otherwise.")
    elif len(found.found) == 1:
        told.append("Strips only: on skin a difference may show more, less, or at another time.")
    else:
        told.append("Strip and skin are judged apart, each at its own alpha risk; their answers are never added.")
    for part in found.found:
        told += of_solo.caveats(part.plan, part.wrong_strips, part.alike_pairs)
        told += [f"{_age(one)} it speaks for {whom(one.speaks_for)}." for one in part.entries]
        told += [note for one in part.entries for note in wording.notes(one)]
        if part.sequence is not None:
            told += [f"It speaks for {whom(part.sequence.speaks_for)}.", *of_looks.caveats(part.sequence)]
    return tuple(dict.fromkeys(told))
