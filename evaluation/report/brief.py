"""The report of a brief: its trials as a lineage, what every opened session says, and the decisions on record."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Final

from evaluation import wording, wording_decisions
from evaluation.actions import book, decide
from evaluation.actions.decide import Outcome, Record
from evaluation.evidence import Evidence
from evaluation.report.blocks import Block, Report, head, lines, moment, table
from evaluation.sheets.values import Text
from evaluation.store import Notebook

ZONE: Final = "UTC"  # a brief has no place of its own, and its sessions may have several


def report(notebook: Notebook, brief_id: str) -> Report:
    """Everything of a brief as it stands; of sessions that are not opened only how many there are."""
    brief = book.brief(notebook, brief_id)
    found, record = decide.outcome(notebook, brief_id), decide.record(notebook, brief_id)
    seen = found.evidence
    blocks: list[Block] = [
        *lines([brief.text]),
        head("What is proposed"),
        *_proposed(found),
        head("Trials, and who descends from whom"),
        *_lineage(seen),
        *_aims(seen),
        head("What every opened session says"),
        *_sessions(seen),
        head("Decisions on record"),
        *_decisions(record, seen),
        head("What to smell next"),
        *lines(": ".join(wording_decisions.next_words(one, seen)[:2]) for one in found.next),
    ]
    last = record.decisions[-1].hash if record.decisions else ""
    instant = max([brief.made_at, *(one.made_at for one in seen.trials), *(s.opened_at for s in seen.sessions),
                   *(one.at for one in record.decisions)])  # fmt: skip
    return Report(brief.title, last[:12] or "none, nothing is decided yet", instant, ZONE, tuple(blocks))


def _proposed(found: Outcome) -> list[Block]:
    seen, offer = found.evidence, found.proposal
    return [
        Text(wording_decisions.headline(offer, seen), "lead"),
        *lines(wording_decisions.beside(offer, seen)),
        Text("What would change it:"),
        *lines(wording_decisions.would_change(offer, seen)),
        Text("A proposal only: a person decides, and what was decided stands below."),
    ]


def _lineage(seen: Evidence) -> list[Block]:
    known = {one.id for one in seen.trials}
    rows = [
        (one.label, seen.label(one.parent_id) if one.parent_id in known and one.parent_id else "", one.changed)
        for one in seen.trials
    ]
    return table(("Trial", "From", "What changed"), rows, (1, 1, 4)) or [Text("No trial yet.")]


def _aims(seen: Evidence) -> list[Block]:
    rows = [
        (
            one.descriptor,
            one.kind,
            str(one.value),
            "all" if one.minutes is None else f"{one.minutes} min",
            str(one.weight),
        )
        for one in seen.targets
    ]
    found = table(("Descriptor", "Aim", "Points", "When", "Weight"), rows, (2, 1, 1, 1, 1))
    return [head("What the brief aims at"), *found] if found else []


def _when(minutes: Decimal | None) -> str:
    return "all" if minutes is None else f"{minutes} min"


def _sessions(seen: Evidence) -> list[Block]:
    told: list[Block] = [Text("Each session by itself: nothing is pooled over sessions.")]
    for one in seen.sessions:
        labels = ", ".join(seen.label(trial) for trial in one.trial_ids)
        held = "its log holds" if one.log_holds else "its log does not hold: do not rely on it"
        opened = f"opened {moment(one.opened_at, ZONE)}"
        told.append(Text(f"{one.title} – {wording.method_name(one.method)}, {labels}, {opened}", "lead"))
        told += lines(_points(seen, one.session_id))
        told += table(("Trial", "Distance to the brief", "From", "To"), [
            (seen.label(far.trial_id), f"{far.distance:.3g}", "" if far.low is None else f"{far.low:.3g}",
             "" if far.high is None else f"{far.high:.3g}") for far in one.distances
        ])  # fmt: skip
        told += lines(one.gaps)
        told.append(Text(f"Last hash of its log {one.last_hash}; {held}.", "small"))
    waiting = f"{seen.waiting} sealed and not opened yet: nothing of it is told." if seen.waiting else ""
    return [*told, *lines([waiting])] if seen.sessions or waiting else [Text("No session was opened yet.")]


def _points(seen: Evidence, session_id: str) -> Iterable[str]:
    for one in seen.sessions:
        if one.session_id == session_id:
            yield from (f"{point.sentence}{'' if point.weighs else ' (exploratory)'}" for point in one.points)


def _decisions(record: Record, seen: Evidence) -> list[Block]:
    names = {one.id: one.label for one in seen.trials}
    numbers = {one.id: one.number for one in record.decisions}
    told: list[Block] = []
    for one in record.decisions:
        was = f", in place of number {numbers[one.supersedes]}" if one.supersedes else ""
        no_longer = " (superseded)" if one.id in record.superseded else ""
        title = f"{one.number}. {wording_decisions.word_name(one.word)} {names.get(one.trial_id, '')}{was}{no_longer}"
        told += [Text(title, "lead"), Text(f"{moment(one.at, ZONE)}: {one.reason}")]
        told.append(Text(f"With its evidence frozen under the hash {one.hash}.", "small"))
    if not told:
        return [Text("Nothing decided yet.")]
    stands = "The record holds: every decision stands as it was written."
    return [*told, Text(stands if record.holds else "The record does not hold: a decision was changed behind it.")]
