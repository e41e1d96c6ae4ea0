"""Planning a session: drafts come and go, nothing is drawn yet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from itertools import combinations
from typing import Final, Protocol
from zoneinfo import ZoneInfo

from evaluation.errors import ArgumentError
from evaluation.kinds import ByKind
from evaluation.planning.outlook import outlook_of
from evaluation.planning.prospects import prospect_of
from evaluation.sessions import SKIN, Plan, Session
from evaluation.store import Notebook, Transaction, new_id
from evaluation.values import trials
from evaluation.values.trials import Meant, Mismatch, Trial, besides, differ_as_meant, of_one_trial, trial_name
from evaluation.wording.of_bottles import MEANT_WORDS


def add_draft(notebook: Notebook, plan: Plan) -> Session:
    """Keep ``plan`` as a draft."""
    session = Session(new_id(), plan, "draft", notebook.clock.now())
    with notebook.writing() as tx:
        check_references(tx, plan)
        tx.sittings.add_session(session)
    return session


def change_draft(notebook: Notebook, session_id: str, plan: Plan) -> Session:
    """Put ``plan`` in the place of a draft's."""
    with notebook.writing() as tx:
        check_references(tx, plan)
        tx.sittings.replace_plan(session_id, plan)
        return tx.sittings.session(session_id)


def remove_draft(notebook: Notebook, session_id: str) -> None:
    """Throw a draft away; anything sealed can only be declared void."""
    with notebook.writing() as tx:
        tx.sittings.remove_draft(session_id)


def session(notebook: Notebook, session_id: str) -> Session:
    """The session of this id in whatever state it is, or NotFound; nothing of its key."""
    with notebook.reading() as tx:
        return tx.sittings.session(session_id)


def sessions(notebook: Notebook, brief_id: str | None = None) -> tuple[Session, ...]:
    """The sessions of a brief, or of all briefs, oldest first, drafts and void ones included."""
    with notebook.reading() as tx:
        return tx.sittings.sessions(brief_id)


def compare(
    notebook: Notebook, first_id: str, second_id: str, zone: str = "UTC", meant: Meant = ""
) -> tuple[Mismatch, ...]:
    """In what else than the formula two bottles differ today; two of one trial, in what else than is ``meant``."""
    with notebook.reading() as tx:
        return besides(tx.book.trial(first_id), tx.book.trial(second_id), _today(tx, zone), meant)


def worn_unlike(notebook: Notebook, plan: Plan) -> tuple[str, ...]:
    """Every two of a plan on skin that are put on at different strengths, named; none where that is what is meant."""
    with notebook.reading() as tx:
        smelt = [tx.book.trial(one) for one in plan.trial_ids] if SKIN in plan.media else []
    pairs = (pair for pair in combinations(smelt, 2) if trials.worn_unlike(*pair, plan.meant))
    return tuple(trial_name(first.label, second.label) for first, second in pairs)


def _today(tx: Transaction, zone: str) -> date:
    return datetime.fromtimestamp(tx.clock.now() / 1000, UTC).astimezone(ZoneInfo(zone)).date()


class Foreseen(Protocol):
    """What can be said of a plan of any kind before anybody smells."""

    @property
    def can_be_sealed(self) -> bool:
        """False where none of the verdicts it is asked for can be reached."""

    @property
    def to_confirm(self) -> tuple[str, ...]:
        """What can never be found, to be confirmed in words before sealing."""


OUTLOOKS: Final[ByKind[Callable[[Plan], Foreseen]]] = ByKind(
    "an outlook",
    {
        "forced choice": outlook_of,
        "preference": outlook_of,
        "profile": prospect_of,
        "round": prospect_of,
        "ranking": prospect_of,
    },
)


def foreseen(plan: Plan) -> Foreseen:
    """What a plan can and cannot find, whatever its kind."""
    return OUTLOOKS.of(plan.method)(plan)


def check_references(tx: Transaction, plan: Plan) -> None:
    """Trials must be of the plan's brief; two bottles of one must differ as meant; people must be on the panel."""
    smelt = [tx.book.trial(one) for one in plan.trial_ids]
    for trial in smelt:
        if trial.brief_id != plan.brief_id:
            raise ArgumentError(f"trials must be of the session's brief, and {trial.label!r} is not.")
    _check_meant(smelt, plan, _today(tx, plan.zone))
    for seat in plan.seats:
        if seat.panelist_id is not None and not tx.book.panelist(seat.panelist_id).active:
            raise ArgumentError("panel must be people who are active on the panel page.")


def _check_meant(smelt: Sequence[Trial], plan: Plan, today: date) -> None:
    """What a session of bottles of one trial is about is said before sealing, and stands in the book."""
    meant = plan.meant
    of_one = [pair for pair in combinations(smelt, 2) if of_one_trial(*pair)]
    if meant and not of_one:
        raise ArgumentError(
            "a difference is meant between bottles of one trial only: between trials it is the formula."
        )
    if of_one and not meant:
        raise ArgumentError("the difference meant must be named where two bottles of one trial are compared.")
    for first, second in of_one:
        if not differ_as_meant(first, second, today, meant, media=plan.media):
            raise ArgumentError(
                f"{trial_name(first.label, second.label)} must differ in what is meant, {MEANT_WORDS[meant]}: write it "
                "down for both bottles in the trial book, or mean another difference."
            )
