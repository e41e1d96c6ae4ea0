"""Deciding about a brief: the evidence of all its opened sessions, a proposal, and decisions on record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.actions import aims, book
from evaluation.actions.collect import collect
from evaluation.actions.collect_series import collect_series
from evaluation.actions.plan import sessions
from evaluation.actions.series_sittings import SeriesFound, series_holds, series_of
from evaluation.actions.tracing import TO_TRACE
from evaluation.deciding.bottles_told import by_trial, names_of
from evaluation.deciding.evidence import BottleShown, Evidence, SessionShown, TrialShown, frozen, thawed
from evaluation.deciding.next_smellings import NextSmelling, next_smellings
from evaluation.deciding.proposals import LEAD, Proposal, proposal
from evaluation.formulas.separated import TO_TELL
from evaluation.series import OffNote
from evaluation.sessions import Session
from evaluation.store import Notebook
from evaluation.store.engine import as_the_program_wrote
from evaluation.values.decisions import Decision
from evaluation.values.trials import Trial

WAITING: Final = ("sealed", "smelling", "closed")


@dataclass(frozen=True, slots=True)
class Outcome:
    """Everything the decision page shows of a brief besides its record."""

    evidence: Evidence
    proposal: Proposal
    next: tuple[NextSmelling, ...]


@dataclass(frozen=True, slots=True)
class Record:
    """The decisions of a brief, oldest first, those superseded included; ``holds``: none was altered."""

    decisions: tuple[Decision, ...]
    holds: bool

    @property
    def superseded(self) -> frozenset[str]:
        """Ids of the decisions that a later one took back by name."""
        return frozenset(one.supersedes for one in self.decisions if one.supersedes is not None)

    @property
    def standing(self) -> tuple[Decision, ...]:
        """The decisions nobody has taken back, oldest first; several may stand beside one another."""
        return tuple(one for one in self.decisions if one.id not in self.superseded)

    @property
    def dropped(self) -> frozenset[str]:
        """Trials of which the last word that stands is "drop"."""
        last = {one.trial_id: one.word for one in self.standing}
        return frozenset(trial for trial, word in last.items() if word == "drop")


def answered(found: Outcome, record: Record) -> tuple[Decision, ...]:
    """Decisions that stand and have answered the proposal: made on no less than is open now, about its trial or to keep
    one."""
    about = found.proposal.trial_id
    return tuple(
        one
        for one in record.standing
        if (about in ("", one.trial_id) or one.word == "keep") and _opened(found.evidence) <= _opened(as_it_stood(one))
    )


def _opened(seen: Evidence) -> frozenset[str]:
    return frozenset(one.session_id for one in seen.sessions if not one.of_one_trial)


def outcome(notebook: Notebook, brief_id: str) -> Outcome:
    """Evidence, what it bears, and what would teach most next."""
    seen = evidence(notebook, brief_id)
    panel = len(book.panelists(notebook))
    return Outcome(seen, proposal(seen), next_smellings(seen, panel, no_candidates(notebook, brief_id)))


def lead(notebook: Notebook, brief_id: str) -> str:
    """The trial that leads by the evidence, "" where none does."""
    found = proposal(evidence(notebook, brief_id))
    return found.trial_id if found.word == LEAD else ""


def smelt(notebook: Notebook, brief_id: str) -> frozenset[str]:
    """Trials that a session which was sealed has served, opened or not."""
    held = (one for one in sessions(notebook, brief_id) if one.state not in ("draft", "sealed", "void"))
    return frozenset(trial for one in held for trial in one.plan.trial_ids)


def no_candidates(notebook: Notebook, brief_id: str) -> frozenset[str]:
    """Trials that are not asked about: those dropped, and bottles written to trace a note or to tell changes apart.

    Whoever likes such a bottle writes it as a trial of its own, or plans it by hand.
    """
    with notebook.reading() as tx:
        listed = [one.series.design for one in tx.series.listed(brief_id)]
        made = {one.id for one in tx.book.trials(brief_id) if _only_to_ask(one)}
    bottles = (one.suspects for one in listed if isinstance(one, OffNote))
    return record(notebook, brief_id).dropped | made | {bottle for each in bottles for _, bottle in each}


def _only_to_ask(trial: Trial) -> bool:
    return trial.changed.startswith(TO_TELL) or trial.changed.endswith(TO_TRACE)


def evidence(notebook: Notebook, brief_id: str) -> Evidence:
    """What the opened sessions of a brief say; of any other session not more than that there are so many."""
    aimed = aims.targets(notebook, brief_id)
    listed = sorted(book.trials(notebook, brief_id), key=lambda one: one.made_at)
    held = sessions(notebook, brief_id)
    by_id = {one.id: one for one in held}
    opened = aims.opened_before(notebook, brief_id, notebook.clock.now())
    written = aimed.written_at if aimed else None
    summed = {one.sittings[-1].session_id: one for one in series_of(notebook, brief_id) if one.sittings}
    standing = (one for one in opened if one.session_id in summed or not by_id[one.session_id].plan.series_id)
    shown = tuple(
        _shown(notebook, by_id[one.session_id], one.opened_at, written, summed.get(one.session_id)) for one in standing
    )
    with notebook.reading() as tx:
        further = [one for one in tx.bottles.smelt(brief_id) if one.bottle_of]
    return Evidence(
        brief_id,
        tuple(TrialShown(one.id, one.label, one.parent_id, one.changed, one.made_at) for one in listed),
        aimed.targets if aimed else (),
        written,
        shown,
        sum(one.state in WAITING for one in held),
        tuple(BottleShown(one.id, one.label) for one in further if _told_apart(one.id, shown)),
    )


def decide(
    notebook: Notebook, brief_id: str, trial_id: str, word: str, reason: str, supersedes: str | None = None
) -> Decision:
    """Write a decision with the evidence as it stands now."""
    seen = frozen(evidence(notebook, brief_id))
    with notebook.writing() as tx:
        return tx.decisions.add(brief_id, trial_id, word, reason, seen, supersedes)


def record(notebook: Notebook, brief_id: str) -> Record:
    """All decisions of a brief."""
    with notebook.reading() as tx:
        return Record(tx.decisions.decisions(brief_id), tx.decisions.verify(brief_id))


def as_it_stood(decision: Decision) -> Evidence:
    """The evidence a decision froze; Damaged where that cannot be read any more."""
    with as_the_program_wrote():
        return thawed(decision.evidence)


def _shown(
    notebook: Notebook, session: Session, opened_at: int, written_at: int | None, series: SeriesFound | None
) -> SessionShown:
    """``series``: of which this is the newest sitting, and stands for all of them."""
    plan = session.plan
    with notebook.reading() as tx:
        smelt = {one: tx.book.trial(one).trial_id for one in plan.trial_ids}
    of_series = None if series is None else collect_series(series, smelt)
    said = collect(notebook, session) if of_series is None else of_series.collected
    found, named = by_trial(said, smelt), names_of(smelt)
    with notebook.reading() as tx:
        last, holds = tx.log.records(session.id)[-1].hash, tx.log.verify(session.id)
        holds = holds and (series is None or series_holds(tx, series))
    late = written_at is not None and written_at >= opened_at
    return SessionShown(
        session.id,
        plan.title if series is None else series.sealed.plan.title,
        plan.method,
        plan.medium,
        opened_at,
        tuple(named.values()),
        plan.alpha,
        plan.beta,
        plan.pd,
        last,
        holds,
        late,
        found.points,
        found.distances,
        found.gaps,
        found.said,
        found.of_bottles,
        tuple(smelt.values()) if len({*smelt.values()}) < len(smelt) else (),
        None if of_series is None else of_series.summed,
    )


def _told_apart(bottle_id: str, shown: tuple[SessionShown, ...]) -> bool:
    """Whether a session names a bottle by itself, since another of its trial was smelt beside it."""
    return any(bottle_id in one.trial_ids for one in shown)
