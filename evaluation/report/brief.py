"""The report of a brief: its trials as a lineage, what every opened session says, and the decisions on record."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from evaluation import wording
from evaluation.actions import book, decide
from evaluation.actions.decide import Outcome, Record
from evaluation.actions.learnt import brief_taught
from evaluation.actions.pins import counted_by_session
from evaluation.actions.tonight import by_whole_panel
from evaluation.deciding.evidence import LASTING, MOVED, Evidence, Point, SessionShown
from evaluation.deciding.lineages import pairs_of
from evaluation.deciding.pinning import Counted
from evaluation.deciding.taught import Taught
from evaluation.ground.tables_digits import significant
from evaluation.report import ticked_formulas
from evaluation.report.blocks import Block, Report, head, lines, moment, table
from evaluation.sessions import SKIN
from evaluation.sheets.pieces import Text
from evaluation.store import Notebook
from evaluation.values.decisions import Decision
from evaluation.values.trials import trial_name
from evaluation.wording import of_decisions, of_next_smellings, of_pinning, of_taught, of_worth
from evaluation.wording.of_bottles import OF_BOTTLES
from evaluation.wording.of_evidence import gap_words, point_words
from evaluation.wording.of_profiles import age_words

ZONE: Final = "UTC"  # a brief has no place of its own, and its sessions may have several


def report(notebook: Notebook, brief_id: str, *, formulas: bool = False) -> Report:
    """Everything of a brief as it stands; of sessions that are not opened only how many there are.

    ``formulas``: with those of its trials and what was changed between them, where that was ticked.
    """
    brief = book.brief(notebook, brief_id)
    found, record = decide.outcome(notebook, brief_id), decide.record(notebook, brief_id)
    seen = found.evidence
    blocks: list[Block] = [
        *lines([brief.text]),
        *_proposed(found, record),
        head("Trials, and who descends from whom"),
        *_lineage(seen),
        *_aims(seen),
        head("What every opened session says"),
        *_sessions(seen, counted_by_session(notebook, seen)),
        *_taught(brief_taught(notebook, seen), seen, formulas),
        head("Decisions on record"),
        *_decisions(record, seen),
        head("What to smell next"),
        *lines(_by_worth(notebook, brief_id)),
        *lines(": ".join(of_next_smellings.next_words(one, seen)[:2]) for one in found.next),
        *lines(of_next_smellings.more_than_can_be_smelt(found.next)),
    ]
    last = record.decisions[-1].hash if record.decisions else ""
    instant = max([brief.made_at, *(one.made_at for one in seen.trials), *(s.opened_at for s in seen.sessions),
                   *(one.at for one in record.decisions)])  # fmt: skip
    made = Report(brief.title, last[:12] or "none, nothing is decided yet", instant, ZONE, tuple(blocks))
    return _with_formulas(made, notebook, seen) if formulas else made


def _by_worth(notebook: Notebook, brief_id: str) -> tuple[str, ...]:
    """What the model of the whole brief believes, named as such; pairs are for the evening they are asked."""
    found = by_whole_panel(notebook, brief_id)
    return () if found is None else (of_worth.belief_line(found), of_worth.stop_line(found), of_worth.MODELS)


def _with_formulas(made: Report, notebook: Notebook, seen: Evidence) -> Report:
    """The change on every step of the lineage, and between other trials that were smelt together."""
    steps, others = pairs_of(seen, ())
    return ticked_formulas.with_formulas(made, notebook, {one.id: one.label for one in seen.trials}, (*steps, *others))


def _proposed(found: Outcome, record: Record) -> list[Block]:
    """What was decided on all of this comes first; a proposal that a decision has answered is told below it."""
    seen, offer = found.evidence, found.proposal
    answers = decide.answered(found, record)
    decided = [head("What was decided")] if answers else []
    for one in answers:
        decided += [Text(_title(one, seen), "lead"), Text(f"{moment(one.at, ZONE)}: {one.reason}")]
    last = "That is what the evidence alone bears; a person has decided, as said above."
    return [
        *decided,
        head("What the evidence alone proposes" if answers else "What is proposed"),
        Text(of_decisions.headline(offer, seen), "plain" if answers else "lead"),
        *lines([of_decisions.lead_line(offer)]),
        *lines(of_decisions.final_lines(offer)),
        *lines(of_decisions.beside(offer, seen)),
        Text("What would change it:"),
        *lines(of_decisions.would_change(offer, seen)),
        Text(last if answers else "A proposal only: a person decides, and what was decided stands below."),
    ]


def _title(one: Decision, seen: Evidence) -> str:
    names = {trial.id: trial_name(trial.label) for trial in seen.trials}
    return f"{one.number}. {of_decisions.word_name(one.word)} {names.get(one.trial_id, '')}"


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


def _sessions(seen: Evidence, pinned: Mapping[str, tuple[Counted, ...]]) -> list[Block]:
    told: list[Block] = [Text("Each session by itself: nothing is pooled over sessions here.")]
    for one in seen.sessions:
        labels = seen.name(*one.trial_ids)
        held = "its log holds" if one.log_holds else "its log does not hold: do not rely on it"
        opened = f"opened {moment(one.opened_at, ZONE)}"
        told.append(Text(f"{one.title} – {wording.method_name(one.method)}, {labels}, {opened}", "lead"))
        told += lines(_points(one, seen))
        told += lines(of_pinning.counted_lines(pinned.get(one.session_id, ())))
        told += table(("Trial", "Distance to the brief", "From", "To"), [
            (seen.label(far.trial_id), *("" if end is None else significant(end, 3) for end in (far.distance, far.low,
             far.high))) for far in one.distances
        ])  # fmt: skip
        told += lines(map(gap_words, one.gaps))
        told.append(Text(f"Last hash of its log {one.last_hash}; {held}.", "small"))
    waiting = f"{seen.waiting} sealed and not opened yet: nothing of it is told." if seen.waiting else ""
    return [*told, *lines([waiting])] if seen.sessions or waiting else [Text("No session was opened yet.")]


def _taught(found: Taught, seen: Evidence, formulas: bool) -> list[Block]:
    """What each change did; those known from formulas are named where formulas were ticked, else by their trials."""
    if not found.learnt:
        return []
    told: list[Block] = [head(of_taught.TITLE), Text(of_taught.LEAD)]
    for one in of_taught.told(found, seen, with_formulas=formulas):
        told += [Text(one.title, "lead"), *map(Text, one.lines)]
    unnamed = () if formulas else (of_taught.UNNAMED,)
    return [*told, *lines((*of_taught.taught_lines(found), *unnamed))]


def _points(session: SessionShown, seen: Evidence) -> Iterable[str]:
    yield from (_point(one, session, seen) for one in session.points)
    if session.of_bottles:
        yield OF_BOTTLES
    yield from (_point(one, session, seen) for one in session.of_bottles)
    yield from (of_decisions.said_line(one, seen) for one in session.said)


def _point(point: Point, session: SessionShown, seen: Evidence) -> str:
    return f"{_at_what_age(point)}{point_words(point, session, seen)}{'' if point.weighs else SHOWN_ONLY}"


def _at_what_age(point: Point) -> str:
    """When, where the sentence does not tell it itself."""
    where = "On skin" if point.medium == SKIN else ""
    when = "" if point.minutes is None or point.topic in (MOVED, LASTING) else age_words(float(point.minutes))
    told = ", ".join(one for one in (where, when) if one)
    return f"{told}: " if told else ""


SHOWN_ONLY: Final = " (Shown only: the sealed analysis does not rest on it.)"


def _decisions(record: Record, seen: Evidence) -> list[Block]:
    numbers = {one.id: one.number for one in record.decisions}
    told: list[Block] = []
    for one in record.decisions:
        was = f", in place of number {numbers[one.supersedes]}" if one.supersedes else ""
        no_longer = " (superseded)" if one.id in record.superseded else ""
        told += [Text(f"{_title(one, seen)}{was}{no_longer}", "lead"), Text(f"{moment(one.at, ZONE)}: {one.reason}")]
        told.append(Text(f"With its evidence frozen under the hash {one.hash}.", "small"))
    if not told:
        return [Text("Nothing decided yet.")]
    stands = "The record holds: every decision stands as it was written."
    return [*told, Text(stands if record.holds else "The record does not hold: a decision was changed behind it.")]
