"""Series and finals: sealing one, its sittings, what they say together so far, and ending it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from evaluation.actions.opened import held_of
from evaluation.actions.plan import check_references, remove_draft
from evaluation.actions.seal import seal
from evaluation.actions.shared_trials import share_trials
from evaluation.alone import ways
from evaluation.counting.adding_votes import Sitting, votes_of
from evaluation.counting.questions import assess
from evaluation.errors import ArgumentError, MouilletteError, StateError
from evaluation.ground.tables_digits import significant
from evaluation.judging.adding_up import CAPPED, GAVE_UP, KEEP, OPEN, Added, added
from evaluation.planning import sizes
from evaluation.series import Final, SealedSeries, Series
from evaluation.series.finals import SIMPLER, HeldFinal
from evaluation.series.sealed import WHOLE
from evaluation.serving.blinding import law_now
from evaluation.sessions import Plan, Session
from evaluation.statistics import accumulated_evidence, preference_evidence
from evaluation.store import Notebook, Transaction, new_id

RUNNING = ("sealed", "smelling", "closed")
OVER = frozenset({KEEP, GAVE_UP, CAPPED})
_ENDS = {KEEP: "it has ended in keep", GAVE_UP: "it was given up", CAPPED: "its cap is reached"}


@dataclass(frozen=True, slots=True)
class SeriesFound:
    """What a series says so far, and what must be told beside it.

    ``without_makers``: the same without the votes of those who made what is smelt; None where none of them voted.
    ``met_before``: how many of its people answered about the two trials elsewhere before its newest sitting was
    opened; their votes may be a memory of their own choice.
    """

    sealed: SealedSeries
    names: tuple[str, ...]  # of all it smells, in the order of the series
    sittings: tuple[Sitting, ...]
    added: Added
    without_makers: Added | None
    makers_voted: int
    met_before: int
    sessions: tuple[Session, ...]  # all sittings in any state

    @property
    def running(self) -> int:
        """Sittings sealed and not opened yet."""
        return sum(one.state in RUNNING for one in self.sessions)

    @property
    def seated(self) -> frozenset[str]:
        """Everybody who sat in a sitting that is not void."""
        held = (one for one in self.sessions if one.state not in ("draft", "void"))
        return frozenset(seat.panelist_id for one in held for seat in one.plan.seats if seat.panelist_id is not None)

    @property
    def word(self) -> str:
        """The word of the series so far."""
        return self.added.word

    @property
    def over(self) -> bool:
        """Whether no sitting is sealed for it any more."""
        return self.sealed.ended is not None or self.word in OVER

    @property
    def fresh(self) -> bool:
        """Whether nobody's vote can be a memory: no nose repeats, met the two before, or knows the formulas."""
        return not (self.added.repeats or self.met_before or self.makers_voted)


# --- sealing ----------------------------------------------------------------------------------------------------------


def seal_series(notebook: Notebook, series: Series) -> SealedSeries:
    """Freeze a series before its first sitting; a final learns here how many of its brief were held in vain before."""
    plan = replace(series.plan, draw=law_now(solo=series.plan.solo))
    sizes.check(plan)
    ways.check(plan)
    with notebook.writing() as tx:
        check_references(tx, plan)
        design = series.design
        if isinstance(design, Final):
            _check_of_two_trials(tx, plan)
            design = replace(design, earlier=earlier_finals(tx, plan.brief_id))
            check_in_reach(plan, design)
        return tx.series.seal(replace(series, plan=plan, design=design))


def _check_of_two_trials(tx: Transaction, plan: Plan) -> None:
    if len({tx.book.trial(one).trial_id for one in plan.trial_ids}) < len(plan.trial_ids):
        raise ArgumentError("a final is about two trials: two bottles of one trial cannot be kept against each other.")


def check_in_reach(plan: Plan, final: Final) -> None:
    """Refuse a cap that even answers of one mind could not bring to the threshold."""
    needed = float(final.multiple / plan.alpha)
    best = best_evidence(plan, final, final.cap)
    if best < needed:
        raise ArgumentError(
            f"cap must let the evidence reach {significant(needed, 4)} to 1, and even {final.cap} answers of one mind "
            f"reach {significant(best, 3)}."
        )


def best_evidence(plan: Plan, final: Final, answers: int) -> float:
    """The evidence after so many answers that all speak for the trial."""
    if final.question == SIMPLER:
        found = accumulated_evidence([0], [answers], plan.method, float(plan.pd)).mirror
        return 0.0 if found is None else found[-1]
    return preference_evidence([answers], [0], sides="first").evidence[-1]


def earlier_finals(tx: Transaction, brief_id: str) -> int:
    """Finals of a brief that did not end in *keep*: given up, capped, ended by the conductor, or open.

    So do those of other briefs that share trials with it.
    """
    return len(_all_not_kept(tx, brief_id))


def _all_not_kept(tx: Transaction, brief_id: str) -> list[SealedSeries]:
    of_others = {one.id: _not_kept(tx, one.id) for one in tx.book.briefs() if one.id != brief_id}
    sharing = [own for other, own in of_others.items() if own and share_trials(tx, brief_id, other)]
    return [*_not_kept(tx, brief_id), *(one for own in sharing for one in own)]


def _not_kept(tx: Transaction, brief_id: str) -> list[SealedSeries]:
    listed = (one for one in tx.series.listed(brief_id) if isinstance(one.series.design, Final))
    return [one for one in listed if _word(tx, one) != KEEP]


def finals_not_kept(notebook: Notebook, brief_id: str) -> tuple[HeldFinal, ...]:
    """The same one by one: each of them asks a final sealed now to speak five times louder."""
    with notebook.reading() as tx:
        return tuple(_held(tx, one) for one in _all_not_kept(tx, brief_id))


def _held(tx: Transaction, sealed: SealedSeries) -> HeldFinal:
    design, plan, sessions = sealed.series.design, sealed.plan, tx.series.sittings(sealed.id)
    assert isinstance(design, Final)
    names = dict(zip(plan.trial_ids, tx.bottles.names(sealed.series.trial_ids), strict=True))
    trial, other = design.trial_of(plan), design.other_of(plan)
    voted = {person for one in sessions if one.state != "void" for person in _answering(tx, one)}
    return HeldFinal(
        sealed.number,
        plan.brief_id,
        trial,
        names[trial],
        names[other],
        sealed.ended is not None or _word(tx, sealed) in OVER,
        len(voted),
        len(sealed.series.people),
        any(one.state in RUNNING for one in sessions),
    )


def _word(tx: Transaction, sealed: SealedSeries) -> str:
    return added(sealed.series, opened_sittings(tx, sealed)).word or OPEN


def end(notebook: Notebook, series_id: str, reason: str) -> SealedSeries:
    """End a series before it is settled; a final ended so counts as one held in vain."""
    with notebook.writing() as tx:
        return tx.series.end(series_id, reason)


# --- sittings ---------------------------------------------------------------------------------------------------------


def next_sitting(
    notebook: Notebook, series_id: str, title: str, people: Iterable[str], replicates: int = 1, part: str = WHOLE
) -> Session:
    """A draft of one more sitting of these people; sealed, smelt and opened as any session."""
    named = tuple(people)
    with notebook.writing() as tx:
        found = _found(tx, tx.series.series(series_id))
        _check_goes_on(found)
        plan = found.sealed.sitting(title, named, replicates, part)
        check_references(tx, plan)
        session = Session(new_id(), plan, "draft", tx.clock.now())
        tx.sittings.add_session(session)
        return session


def seal_sitting(
    notebook: Notebook, series_id: str, title: str, people: Iterable[str], replicates: int = 1, part: str = WHOLE
) -> Session:
    """The same, sealed at once; what cannot be sealed leaves no draft behind."""
    draft = next_sitting(notebook, series_id, title, people, replicates, part)
    try:
        return seal(notebook, draft.id)
    except MouilletteError:
        remove_draft(notebook, draft.id)
        raise


def _check_goes_on(found: SeriesFound) -> None:
    if found.word in _ENDS:
        raise StateError(
            f"This final takes no further sitting: {_ENDS[found.word]}. Another final starts from nothing."
        )


def opened_sittings(tx: Transaction, sealed: SealedSeries) -> tuple[Sitting, ...]:
    """The opened sittings of a series with the votes that count, in the order they were opened."""
    opened = [one for one in tx.series.sittings(sealed.id) if one.state == "opened"]
    return tuple(sorted((_sitting(tx, sealed, one) for one in opened), key=lambda one: (one.opened_at, one.session_id)))


def _sitting(tx: Transaction, sealed: SealedSeries, session: Session) -> Sitting:
    held = held_of(tx, session.id)
    opened = max(one.at for one in tx.log.records(session.id) if one.kind == "open")
    nearer = isinstance(sealed.series.design, Final) and sealed.series.design.question == "nearer"
    votes = votes_of(held, assess(held), nearer=nearer)
    return Sitting(session.id, session.plan.title, opened, votes, sealed.part_of(session.plan))


# --- what it says -----------------------------------------------------------------------------------------------------


def series_of(notebook: Notebook, brief_id: str) -> tuple[SeriesFound, ...]:
    """Every series of a brief with what it says so far, in the order they were sealed."""
    with notebook.reading() as tx:
        return tuple(_found(tx, one) for one in tx.series.listed(brief_id))


def series_found(notebook: Notebook, series_id: str) -> SeriesFound:
    """What one series says so far; nothing of sittings that are not opened."""
    with notebook.reading() as tx:
        return _found(tx, tx.series.series(series_id))


def _found(tx: Transaction, sealed: SealedSeries) -> SeriesFound:
    sittings, held = opened_sittings(tx, sealed), tx.series.sittings(sealed.id)
    voted = {vote.person for one in sittings for vote in one.votes}
    makers = voted & set(sealed.series.makers)
    return SeriesFound(
        sealed,
        tx.bottles.names(sealed.series.trial_ids),
        sittings,
        added(sealed.series, sittings),
        added(sealed.series, sittings, makers) if makers else None,
        len(makers),
        len(voted & _met_before(tx, sealed, sittings)),
        held,
    )


def series_stands(notebook: Notebook, found: SeriesFound) -> bool:
    """Whether what was sealed and every sitting stand as they were written; else nothing it says can be relied on."""
    with notebook.reading() as tx:
        return series_holds(tx, found)


def series_holds(tx: Transaction, found: SeriesFound) -> bool:
    """The same within a transaction. Told by the plans: a row may have been made to forget its series."""
    brief_id = found.sealed.plan.brief_id
    mine = (one for one in tx.sittings.sessions(brief_id) if one.plan.series_id == found.sealed.id)
    return tx.series.verify(brief_id) and all(tx.log.verify(one.id) for one in mine if one.state != "draft")


def _met_before(tx: Transaction, sealed: SealedSeries, sittings: Sequence[Sitting]) -> set[str]:
    """Who answered about the same two trials in other sessions before the newest sitting was opened.

    In any session, one that is void or was never opened too: who remembers a choice needs no key for that.
    """
    until = max((one.opened_at for one in sittings), default=sealed.sealed_at)
    pair = {tx.book.trial(one).trial_id for one in sealed.plan.trial_ids}
    found: set[str] = set()
    for session in _other_sessions(tx, sealed, until):
        if pair <= {tx.book.trial(one).trial_id for one in session.plan.trial_ids}:
            found |= _answering(tx, session)
    return found


def _answering(tx: Transaction, session: Session) -> set[str]:
    """Who has answered anything in a session, whatever became of it."""
    answered = {one.ballot_id for one in tx.ballots.session_answers(session.id)}
    ballots = tx.ballots.ballots(session.id)
    return {one.panelist_id for one in ballots if one.id in answered and one.panelist_id is not None}


def _other_sessions(tx: Transaction, sealed: SealedSeries, until: int) -> Sequence[Session]:
    mine = {one.id for one in tx.series.sittings(sealed.id)}
    brief = tx.sittings.sessions(sealed.plan.brief_id)
    return [one for one in brief if one.id not in mine and one.state != "draft" and one.made_at <= until]
