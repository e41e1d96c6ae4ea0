"""The report of a session of any kind: the parts all kinds share, around the one part each kind has of its own."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any, Final

from evaluation.actions.opened import Context, Findings
from evaluation.report import how_worked_out
from evaluation.report.blocks import Block, Report, head, lines, noted, record, remarks
from evaluation.sheets.pieces import Text
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording import of_bottles, of_pinning, of_sealed_plans

WIDTH: Final = 640  # of a chart


@dataclass(frozen=True, slots=True, eq=False)
class Told:
    """What a kind of session tells in its own way."""

    leads: Iterable[Block]  # what was found, in sentences
    parts: Iterable[Block]
    came: Iterable[Block]  # what came in of all media; empty where the parts tell it each for itself
    cautions: Iterable[str]
    below: Iterable[Block]  # beneath the cautions
    numbers: str


def report(found: Findings[Any], told: Told, instant: int) -> Report:
    """Everything of an opened session; ``instant`` is that of the last line of its log."""
    about, session = found.context, found.context.session
    blocks: list[Block] = [
        Text(f"Brief: {about.brief_title}. {sentence_case(trial_name(*about.names))}."),
        head("What was found"),
        *told.leads,
        *lines([about.series]),
        *lines(of_pinning.counted_lines(about.pinned)),
        *lines([of_bottles.OF_BOTTLES] if session.plan.meant and session.plan.design.separation is None else []),
        head("What was planned and sealed"),
        *lines(of_sealed_plans.plan_lines(session.plan, about.names)),
        *record(about),
        *told.parts,
        *told.came,
        *remarks(about.remarks),
        head("What this does not say, and what it rests on"),
        *lines(told.cautions),
        *told.below,
        head("Methods"),
        *lines(how_worked_out.lines_of(session.plan)),
    ]
    plan = session.plan
    return Report(plan.title, session.sealed_hash[:12], instant, plan.zone, tuple(blocks), told.numbers)


def leads(found: Findings[Any], of: Callable[[Any], Iterable[str]]) -> list[Block]:
    """What was found on each medium, ``of`` giving the sentences of one; the medium is named where there are two."""
    several = len(found.found) > 1
    return [
        Text(f"{f'On {part.medium}: ' if several else ''}{line}", "lead") for part in found.found for line in of(part)
    ]


def came(found: Findings[Any], of: Callable[[Any], Iterable[str]]) -> list[Block]:
    """What came in, ``of`` giving the sentences of one medium, and every deviation."""
    told = lines(line for part in found.found for line in of(part))
    return [
        head("What came in, and deviations"),
        *told,
        *(noted(found.context.noted) or [Text("No deviation was noted.")]),
    ]


def blind(about: Context) -> Iterable[str]:
    """What the blindness of the session rests on, and who stopped."""
    yield from of_sealed_plans.blind_lines(about.session.plan, about.key_seen_by)
    yield from of_sealed_plans.stopped_lines(about.stopped)


EVERYTHING: Final = "With every answer, also those the sealed rule leaves out; the findings are the sealed ones:"
