"""The bench: who smells what, how far the panel is, and what may happen between seal and close."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.actions import sitting
from evaluation.actions.skin_gate import pass_gate
from evaluation.errors import ArgumentError, StateError
from evaluation.ground import checks
from evaluation.ground.states import Event
from evaluation.kinds import Ranking
from evaluation.serving.asking import questions, to_smell
from evaluation.sessions import (
    DEVIATIONS,
    SKIN,
    STRIP,
    TRIAL_LETTERS,
    Deviation,
    Medium,
    Plan,
    Record,
    Serving,
    Session,
)
from evaluation.store import Notebook
from evaluation.values.second_strips import COMMON, vial_names

VIALS: Final = "ABab"  # how an order writes the vials: a and b hold the first and second trial once more, for null sets


@dataclass(frozen=True, slots=True)
class SeatProgress:
    """How far one seat is: questions answered of those asked."""

    seat: int
    alias: str  # "" on a free spare seat
    ballot_id: str
    panelist_id: str | None
    answered: int
    total: int
    sets_done: int
    sets: int
    finished: bool
    last_at: int | None


@dataclass(frozen=True, slots=True)
class PreparedSet:
    """One set to lay out: each code with the vial letter it is dipped in."""

    seat: int
    alias: str
    place: int
    age_seconds: int
    replicate: int
    spare: bool
    codes: tuple[str, ...]
    letters: tuple[str, ...]
    medium: Medium = STRIP
    sites: tuple[str, ...] = ()  # on skin: where each code goes
    dips: tuple[int, ...] = ()  # see Serving.dips

    @property
    def dipped(self) -> tuple[tuple[str, str, str], ...]:
        """Code, vial letter and place on skin ("" on strips), in the order of dipping or applying."""
        tray = tuple(zip(self.codes, self.letters, self.sites or ("",) * len(self.codes), strict=True))
        return tuple(tray[place] for place in self.dips or range(len(tray)))


def vials_of(plan: Plan) -> str:
    """How an order writes the vials of a plan, in the order of the key's letters."""
    return TRIAL_LETTERS if plan.kind.several else VIALS


def start(notebook: Notebook, session_id: str) -> Session:
    """Let the ballots take answers; on skin only while the gate is open for everybody who sits there."""
    with notebook.writing() as tx:
        session = tx.sittings.advance(session_id, "start")
        sitting = (one.panelist_id for one in tx.ballots.ballots(session_id) if one.panelist_id is not None)
        pass_gate(tx, session_id, "start", sitting)
        return session


def close(notebook: Notebook, session_id: str) -> Session:
    """No more answers; the key can be opened now."""
    return _advance(notebook, session_id, "close")


def void(notebook: Notebook, session_id: str, reason: str) -> Session:
    """Give the session up for a reason: everything is kept, no verdict is given."""
    return _advance(notebook, session_id, "void", checks.text("reason", reason, 400))


def progress(notebook: Notebook, session_id: str) -> tuple[SeatProgress, ...]:
    """How far every seat is, without a word about what was answered."""
    with notebook.reading() as tx:
        plan = tx.sittings.session(session_id).plan
        aliases = sitting.aliases(tx, session_id)
        served = tx.sittings.servings(session_id)
        answers = tx.ballots.session_answers(session_id)
        ballots = tx.ballots.ballots(session_id)
        off_skin = {stop.ballot_id for stop in tx.live.stops(session_id) if stop.kind == SKIN}
    last = {answer.ballot_id: answer.at for answer in sorted(answers, key=lambda a: a.at)}
    done: dict[str, set[tuple[str, str]]] = {}
    for answer in answers:
        done.setdefault(answer.ballot_id, set()).add((answer.serving_id, answer.question))
    seats = []
    for ballot in sorted(ballots, key=lambda b: b.seat):
        mine = tuple(s for s in served if s.seat == ballot.seat)
        counts = _counts(plan, mine, done.get(ballot.id, set()), ballot.id in off_skin)
        seats.append(
            SeatProgress(
                ballot.seat,
                aliases.get(ballot.seat, ""),
                ballot.id,
                ballot.panelist_id,
                *counts,
                finished=ballot.finished_at is not None,
                last_at=last.get(ballot.id),
            )
        )
    return tuple(seats)


def servings(notebook: Notebook, session_id: str) -> tuple[Serving, ...]:
    """Every set with its codes in tray order: what a helper who serves may see."""
    with notebook.reading() as tx:
        return tx.sittings.servings(session_id)


def preparation(notebook: Notebook, session_id: str, panelist_id: str | None) -> tuple[PreparedSet, ...]:
    """Code by vial letter for whoever dips. Logged; a panelist who looks is marked unblinded."""
    with notebook.writing() as tx:
        key = tx.key.key_for_preparer(session_id, panelist_id)
        plan = tx.sittings.session(session_id).plan
        served = tx.sittings.servings(session_id)
        aliases = sitting.aliases(tx, session_id)
    order_of, letter = dict(key.orders), dict(zip(vials_of(plan), key.letters, strict=False))
    return tuple(
        PreparedSet(
            s.seat,
            aliases.get(s.seat, ""),
            s.place,
            s.age_seconds,
            s.replicate,
            s.spare,
            s.codes,
            tuple(letter[trial] for trial in order_of[s.id]),
            s.medium,
            s.sites,
            s.dips,
        )
        for s in sorted(served, key=lambda s: (s.spare, s.medium, s.age_seconds, s.replicate, s.seat))
        if not s.void
    )


def letter_key(notebook: Notebook, session_id: str, panelist_id: str | None) -> tuple[tuple[str, str], ...]:
    """Which vial letter holds which bottle, for whoever fills the vials. Logged like the preparation."""
    with notebook.writing() as tx:
        key = tx.key.key_for_preparer(session_id, panelist_id)
        plan = tx.sittings.session(session_id).plan
        labels = [tx.bottles.label(bottle_id) for bottle_id in plan.trial_ids]
    if plan.strips_a_code > 1:
        return (COMMON, labels[0]), *sorted(zip(key.letters, _second_vials(plan), strict=True))
    return tuple(sorted(zip(key.letters, labels * 2, strict=False)))


def _second_vials(plan: Plan) -> tuple[str, ...]:
    own = Ranking.of(plan)
    return vial_names(own.second_strips, own.second_solvent)


def void_serving(notebook: Notebook, session_id: str, serving_id: str, reason: str) -> Serving:
    """Put a spoilt set aside with a reason and serve that seat's spare set in its place."""
    checks.text("reason", reason, 400)
    with notebook.writing() as tx:
        session = tx.sittings.session(session_id)
        _only_while(session, "sealed", "smelling")
        if serving_id not in {s.id for s in tx.sittings.servings(session_id)}:
            raise ArgumentError("set must be one of this session's.")
        return tx.sittings.void_serving(serving_id, reason)


def note_deviation(
    notebook: Notebook, session_id: str, seat: int, kind: str, reason: str, serving_id: str = ""
) -> None:
    """Write down that something did not go by the plan, before the key is opened."""
    deviation = Deviation(serving_id, seat, checks.term("kind", kind, DEVIATIONS), reason, notebook.clock.now())
    with notebook.writing() as tx:
        _only_while(tx.sittings.session(session_id), "sealed", "smelling", "closed")
        if serving_id and serving_id not in {s.id for s in tx.sittings.servings(session_id, seat)}:
            raise ArgumentError("set must be one of that seat's.")
        tx.sittings.note_deviation(session_id, deviation)


def seat_person(notebook: Notebook, session_id: str, seat: int, panelist_id: str) -> None:
    """Give a free spare seat to somebody of the panel."""
    with notebook.writing() as tx:
        _only_while(tx.sittings.session(session_id), "sealed", "smelling")
        if not tx.book.panelist(panelist_id).active:
            raise ArgumentError("person must be active on the panel page.")
        tx.sittings.seat_person(session_id, seat, panelist_id)
        pass_gate(tx, session_id, "seat", [panelist_id])


def last_event(notebook: Notebook, session_id: str) -> int:
    """Number of the newest line of the log: cheap to ask every few seconds."""
    with notebook.reading() as tx:
        return tx.log.last(session_id)


def log(notebook: Notebook, session_id: str) -> tuple[Record, ...]:
    """Every record of a session, oldest first, in any state; what they say is as stored, not yet in words."""
    with notebook.reading() as tx:
        return tx.log.records(session_id)


def part_of_log(notebook: Notebook, session_id: str, first: int, last: int) -> tuple[Record, ...]:
    """Lines ``first`` to ``last`` of the log, both counted."""
    with notebook.reading() as tx:
        return tx.log.part(session_id, first, last)


def _advance(notebook: Notebook, session_id: str, event: Event, reason: str = "") -> Session:
    with notebook.writing() as tx:
        return tx.sittings.advance(session_id, event, {"reason": reason} if reason else None)


def _counts(
    plan: Plan, served: tuple[Serving, ...], done: set[tuple[str, str]], off_skin: bool
) -> tuple[int, int, int, int]:
    """Questions answered and asked, sets done and to do, of one seat."""
    asked = questions(plan, served, off_skin=off_skin)
    smelt = [s.id for s in to_smell(served, off_skin=off_skin)]
    # The overall questions are named by codes not known yet: count them by their number, not by name.
    answered = sum((q.serving_id, q.name) in done for q in asked if q.serving_id)
    answered += sum(not serving_id and name != "remark" for serving_id, name in done)
    open_sets = {q.serving_id for q in asked if (q.serving_id, q.name) not in done}
    sets_done = sum(serving_id not in open_sets for serving_id in smelt)
    return min(answered, len(asked)), len(asked), sets_done, len(smelt)  # after a stop on skin less is asked


def _only_while(session: Session, *states: str) -> None:
    if session.state not in states:
        raise StateError(f"This can be done while a session is {' or '.join(states)}; this one is {session.state}.")
