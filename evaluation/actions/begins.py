"""When the smelling of a set begins: the tap that tells it, and what is noted where the strips were not of their age.

The tap is a fact of the session: its line in the log holds who began which set, how old its strips were then, and what
that person was asked before. Nothing here knows whether a panel or one person alone smells.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from evaluation.ground.checks import term
from evaluation.serving.dipping import Begun, Judged, begun_at, dip_times, judge, pace_of, planned_age
from evaluation.sessions import DEVIATIONS, EARLY, LATE, Deviation, Serving, Session
from evaluation.store import Transaction, read_body

KIND: Final = "set begun"  # kind of the log's line
NOTED: Final = (EARLY, LATE)


@dataclass(frozen=True, slots=True)
class Begin:
    """Somebody began to smell a set at ``at``; ``asked``: what they were asked before, "" where nothing was."""

    serving_id: str
    at: int
    asked: str
    age: int | None  # milliseconds, as far as it was known then

    @property
    def begun(self) -> Begun:
        """When smelling began, known to the instant: a tap told it."""
        return begun_at(self.at)


def begun_sets(tx: Transaction, session_id: str, ballot_id: str = "") -> dict[str, Begin]:
    """The begins of a session, or of one ballot, by set: the first of each."""
    found: dict[str, Begin] = {}
    for record in tx.log.of_kind(session_id, KIND, naming=ballot_id):
        body = read_body(record)
        found.setdefault(body["serving_id"], _begin(body))
    return found


def _begin(body: Mapping[str, Any]) -> Begin:
    return Begin(body["serving_id"], body["at"], body["asked"], body["age"])


def write_begin(tx: Transaction, session_id: str, ballot_id: str, serving: Serving, judged: Judged, at: int) -> None:
    """Write down that a set was begun, with what was known of its age; ``judged.word`` is what was asked."""
    about = {"ballot_id": ballot_id, "serving_id": serving.id, "seat": serving.seat, "at": at}
    planned = None if judged.planned is None else judged.planned.seconds
    tx.log.append(session_id, KIND, about | {"age": judged.real, "planned": planned, "asked": judged.word})


def judged(tx: Transaction, session: Session, serving_id: str, begun: Begun) -> Judged:
    """One set of a session against its sealed age, by the dips as they stand."""
    served = tx.sittings.servings(session.id)
    serving = next(one for one in served if one.id == serving_id)
    dipped = dip_times(served, tx.live.dips(session.id)).get(serving_id)
    newest = tx.live.timetable(session.id)
    pace = pace_of(newest.body if newest else None, session.plan.strips_a_code)
    return judge(serving, planned_age(session.plan, serving), dipped, begun, pace)


def note_age(tx: Transaction, session: Session, serving: Serving, found: Judged, asked: str = "") -> None:
    """Write down that a set was smelt early or late, with the reason in words; nothing where it was not.

    The answer stays. Whether it leaves the main analysis is the sealed rule's to say.
    """
    if found.word not in NOTED:
        return
    reason = f"{found.reason}, after being asked" if asked in NOTED else found.reason
    noted = Deviation(serving.id, serving.seat, term("kind", found.word, DEVIATIONS), reason, tx.clock.now())
    tx.sittings.note_deviation(session.id, noted)
