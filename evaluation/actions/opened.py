"""What findings of every kind have in common: the session, its log, its remarks, and one part for each medium."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

from evaluation.actions.sitting import aliases_by_person, names_in
from evaluation.counting.questions import Assessment, Held
from evaluation.deciding.pinning import Counted
from evaluation.serving.marks import WRONG_STRIP
from evaluation.sessions import OVERALL, SKIN, Answer, Deviation, Medium, Plan, Record, Serving, Session
from evaluation.store import Notebook, Transaction, read_body
from evaluation.wording.of_series import sitting_line
from evaluation.wording.of_solo import wrong_strip

Part = TypeVar("Part")


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that did not go by the plan; ``age`` is None where it was noted for all sets of a person."""

    panelist: str
    age: int | None  # seconds
    kind: str
    reason: str
    leaves: bool  # the sealed rule takes it out of the main analysis
    medium: Medium | None = None  # what the set was on; None where it was noted for all sets


@dataclass(frozen=True, slots=True)
class Remark:
    """What somebody wrote; ``age`` is "overall" for words on the whole session, which stand with its first medium."""

    panelist: str
    age: int | str
    text: str
    medium: Medium | None = None


@dataclass(frozen=True, slots=True)
class Context:
    """What stands around the numbers of an opened session of any kind: notes, remarks, who saw the key, the log."""

    session: Session
    brief_title: str
    names: tuple[str, ...]  # of the trials, in the order of the plan
    noted: tuple[Noted, ...]
    remarks: tuple[Remark, ...]
    key_seen_by: tuple[str, ...]  # aliases; "" for somebody not on the panel
    stopped: tuple[str, ...]  # aliases of those whose skin part ended early
    log_holds: bool
    opened_at: int
    last_hash: str
    series: str = ""  # of a sitting: title and hash of the series it was sealed for, in a sentence
    pinned: tuple[Counted, ...] = ()  # for a report: how many changes lie between the trials, and how many fit

    def noted_on(self, medium: Medium) -> tuple[Noted, ...]:
        """What was noted of sets on this medium, and of all sets."""
        return tuple(one for one in self.noted if one.medium in (None, medium))

    def remarks_on(self, medium: Medium) -> tuple[Remark, ...]:
        """What was written of sets on this medium; words on the whole session stand with its first."""
        return tuple(one for one in self.remarks if one.medium == medium)


@dataclass(frozen=True, slots=True)
class Findings(Generic[Part]):
    """Everything the findings page shows of an opened session; ``found`` holds one part for each medium.

    Strips come first; the two answer different questions and are never pooled. What a part holds is of the session's
    kind.
    """

    context: Context
    found: tuple[Part, ...]

    @property
    def plan(self) -> Plan:
        """The plan as it was sealed; a part's own plan is that of its medium."""
        return self.context.session.plan


def held_of(tx: Transaction, session_id: str) -> Held:
    """Everything an opened session holds; StillBlind for any other."""
    key = tx.key.open_key(session_id)  # refuses first: nothing below may be read before
    return Held(
        tx.sittings.session(session_id).plan,
        tx.sittings.servings(session_id),
        key,
        tx.ballots.ballots(session_id),
        tx.ballots.session_answers(session_id),
        tx.sittings.deviations(session_id),
        aliases_by_person(tx, session_id),
    )


def log_holds(notebook: Notebook, session_id: str) -> bool:
    """Whether every line of a session's log stands as it was written."""
    with notebook.reading() as tx:
        return tx.log.verify(session_id)


def log_texts(notebook: Notebook, session_id: str) -> dict[str, str]:
    """Reasons and remarks the log holds by digest only, as far as nobody has taken them back."""
    with notebook.reading() as tx:
        return tx.log.texts(session_id)


def context_of(
    tx: Transaction,
    held: Held,
    session_id: str,
    *,
    check_log: bool = True,
    rows: Iterable[Assessment] = (),
    looked: frozenset[str] = frozenset(),
) -> Context:
    """What stands around the numbers; ``held`` is what :func:`held_of` gave of the same session.

    Without ``check_log`` the log counts as one that does not hold until somebody asks :func:`log_holds`. ``rows``: sets
    that their marks show to be wrong strips are said like what was noted. ``looked``: sets a look holds; these stay,
    whatever was noted afterwards.
    """
    records = tx.log.records(session_id)
    return Context(
        session=tx.sittings.session(session_id),
        brief_title=tx.book.brief(held.plan.brief_id).title,
        names=names_in(tx, held.plan),
        noted=(*(_noted(one, held, looked) for one in held.deviations), *_astray(rows, held)),
        remarks=tuple(_remarks(held)),
        key_seen_by=tuple(_key_seen_by(records, held)),
        stopped=tuple(held.name_at(stop.seat) for stop in tx.live.stops(session_id) if stop.kind == SKIN),
        log_holds=check_log and tx.log.verify(session_id),
        opened_at=max((one.at for one in records if one.kind == "open"), default=0),
        last_hash=records[-1].hash,
        series=_series(tx, held.plan),
    )


def _series(tx: Transaction, plan: Plan) -> str:
    if not plan.series_id:
        return ""
    found = tx.series.series(plan.series_id)
    return sitting_line(found.plan.title, found.hash)


def _noted(deviation: Deviation, held: Held, looked: frozenset[str]) -> Noted:
    served = next((one for one in held.servings if one.id == deviation.serving_id), None)
    whole_seat = {serving.id for serving in held.servings if serving.seat == deviation.seat}
    stays = not looked.isdisjoint({deviation.serving_id} if deviation.serving_id else whole_seat)
    return Noted(
        panelist=held.name_at(deviation.seat),
        age=served.age_seconds if served else None,
        kind=deviation.kind,
        reason=deviation.reason,
        leaves=deviation.kind in held.plan.set_apart and not stays,
        medium=served.medium if served else None,
    )


def _astray(rows: Iterable[Assessment], held: Held) -> Iterable[Noted]:
    """Sets that their marks show to be wrong strips, said like what was noted."""
    served = {one.id: one for one in held.servings}
    for row in rows:
        if row.marks:
            own = served[row.serving_id]
            said = wrong_strip(own.place, row.codes, row.marks)
            yield Noted(row.panelist, int(row.age), WRONG_STRIP, said, leaves=True, medium=own.medium)


def _remarks(held: Held) -> Iterable[Remark]:
    """Every remark, those on one set by strip age first."""
    served = {serving.id: serving for serving in held.servings}
    seats = {ballot.id: ballot.seat for ballot in held.ballots}
    said = [answer for answer in held.answers if answer.question == "remark" and answer.value]
    for answer in sorted(said, key=lambda one: (*_place(one, served), seats[one.ballot_id])):
        serving, name = served.get(answer.serving_id), held.name_at(seats[answer.ballot_id])
        age, medium = (serving.age_seconds, serving.medium) if serving else (OVERALL, held.plan.media[0])
        yield Remark(name, age, answer.value, medium)


def _place(answer: Answer, served: dict[str, Serving]) -> tuple[bool, int]:
    serving = served.get(answer.serving_id)
    return serving is None, serving.age_seconds if serving else 0


def _key_seen_by(records: Iterable[Record], held: Held) -> Iterable[str]:
    looked = [read_body(record)["panelist_id"] for record in records if record.kind == "key shown"]
    for panelist_id in dict.fromkeys(looked):
        yield (held.aliases or {}).get(panelist_id, "")
