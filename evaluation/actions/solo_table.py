"""Where a solo session stands, read without its marks: what is made ready, laid out, begun, answered, put away."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from evaluation.actions.begins import Begin, begun_sets
from evaluation.alone import ways
from evaluation.alone.course import SECOND, Standing
from evaluation.errors import StateError
from evaluation.serving.asking import questions, to_smell
from evaluation.serving.dipping import Judged, Pace, begun_at, dip_times, due_at, judge, planned_age
from evaluation.sessions import VIALS, Ballot, Plan, Question, Record, Serving, Session
from evaluation.store import Transaction, read_body

READY_KIND: Final = "ready"  # all that is needed is at hand
LAID_OUT_KIND: Final = "laid out"
PUT_AWAY_KIND: Final = "put away"
REST_CUT_KIND: Final = "rest cut"
VOID_KIND: Final = "void serving"


@dataclass(frozen=True, slots=True)
class Due:
    """A set by its place, and its codes as they were, or are to be, laid out."""

    place: int
    codes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Making:
    """Sets made ready or laid out in one go, and the groups made for them; none by vials, which were filled before.

    Where there are more groups than sets one is taken blind: the other waits for set ``later``, or is put aside.
    """

    sets: tuple[Due, ...]
    age_seconds: int
    groups: tuple[str, ...]  # "AAB"
    dips: tuple[str, ...]  # the same in the order they are dipped, "ABA"
    later: int = 0
    anew: bool = False

    @property
    def place(self) -> int:
        """The place of its first set: what is made in one go is named by it."""
        return self.sets[0].place


@dataclass(frozen=True, slots=True)
class Waiting:
    """A set whose strips age: when they were dipped, when they are to be smelt, and how old they are now."""

    place: int
    codes: tuple[str, ...]
    age_seconds: int
    dipped_at: int
    due_at: int
    judged: Judged


@dataclass(frozen=True, slots=True)
class Table:
    """What is known of a solo session without its marks."""

    session: Session
    labels: tuple[str, str]
    ballot: Ballot
    served: tuple[Serving, ...]  # by place
    answered: frozenset[tuple[str, str]]
    marked: frozenset[str]
    dipped: Mapping[str, int]  # by serving
    begun: Mapping[str, Begin]
    logged: Logged
    moment: int

    @property
    def plan(self) -> Plan:
        """The plan as it was sealed."""
        return self.session.plan

    def serving(self, place: int) -> Serving:
        """The set at a place, counted from 1."""
        return self.served[place - 1]

    def due(self, places: range) -> tuple[Due, ...]:
        """Answered sets among ``places`` whose marks are not entered."""
        return tuple(
            Due(one.place, one.codes)
            for one in self.served
            if one.place in places and (one.id, "choice") in self.answered and one.id not in self.marked
        )

    def sets(self, places: Iterable[int]) -> tuple[Due, ...]:
        """The sets at these places with their codes, answered or not."""
        return tuple(Due(place, self.serving(place).codes) for place in places)

    def asked(self, place: int) -> tuple[Question, ...]:
        """What is still to be answered about a set."""
        own = self.serving(place)
        return tuple(one for one in questions(self.plan, (own,)) if (own.id, one.name) not in self.answered)

    def judged(self, place: int) -> Judged:
        """The age of the strips of a set: when it was begun, else now."""
        serving = self.serving(place)
        begun = self.begun[serving.id].begun if serving.id in self.begun else begun_at(self.moment)
        return judge(serving, planned_age(self.plan, serving), self.dipped.get(serving.id), begun, Pace())

    def due_at(self, place: int) -> int | None:
        """When a set is to be smelt; its fellows from the same dip before and after it."""
        serving = self.serving(place)
        if serving.id not in self.dipped:
            return None
        lag = ways.lag_seconds(self.plan, ways.batch_of(self.plan, place), place)
        return due_at(serving, self.dipped[serving.id], Pace()) + SECOND * lag

    def standings(self) -> tuple[Standing, ...]:
        """Every set for what comes next."""
        return tuple(self._standing(one) for one in self.served)

    def _standing(self, serving: Serving) -> Standing:
        place, age = serving.place, planned_age(self.plan, serving)
        dipped, tolerance = self.dipped.get(serving.id), age.tolerance_seconds if age else 0
        until = None if dipped is None else due_at(serving, dipped, Pace()) + SECOND * tolerance
        some = any(one == serving.id for one, _ in self.answered)
        return Standing(
            place,
            self.due_at(place),
            until,
            laid=place in self.logged.laid,
            begun=some or serving.id in self.begun,
            answered=not self.asked(place),
            away_at=self.logged.away.get(place),
        )

    def waiting(self) -> tuple[Waiting, ...]:
        """Sets whose strips age, the next one first."""
        found = [
            Waiting(one.place, one.codes, one.age_seconds, self.dipped[one.id], self.due_at(one.place) or 0, judged)
            for one in self.served
            if one.id in self.dipped and self.asked(one.place) and (judged := self.judged(one.place))
        ]
        return tuple(sorted(found, key=lambda one: (one.due_at, one.place)))


@dataclass(frozen=True, slots=True)
class Logged:
    """What the log says of each set, by place: when it was laid out, put away, and how often it was spoilt before."""

    ready: bool
    laid: Mapping[int, int]
    away: Mapping[int, int]
    spoilt: Mapping[int, int]


def making_of(table: Table, place: int) -> Making:
    """What is made with a set: those of its batch that are where it is, neither dipped nor laid out, or both dipped."""
    plan, batch, anew = table.plan, ways.batch_of(table.plan, place), place in table.logged.spoilt
    alike = [one for one in batch.places if _stands(table, one) == _stands(table, place)]
    groups = batch.groups or (ways.compositions(plan) if anew and plan.preparation != VIALS else ())
    later = place + 1 if not ways.timed(plan) and len(groups) > 1 and place % 2 else 0
    dips = ways.dipping_order(groups, table.serving(place).id)
    return Making(table.sets(alike), batch.age_seconds, groups, dips, later, anew)


def _stands(table: Table, place: int) -> tuple[bool, bool]:
    return table.serving(place).id in table.dipped, place in table.logged.laid


def table_of(tx: Transaction, session_id: str, now: int) -> Table:
    """Read all of it; refused for a draft, and for a session with a panel."""
    session = tx.sittings.session(session_id)
    if not session.plan.solo:
        raise StateError("This session is held with a panel: it is run from the bench.")
    if session.state == "draft":
        raise StateError("Seal the plan first: nothing is laid out for a draft.")
    ballot = tx.ballots.ballots(session_id)[0]
    served = tx.sittings.servings(session_id)
    labels = (tx.bottles.label(session.plan.first_trial_id), tx.bottles.label(session.plan.second_trial_id))
    smelt = tuple(to_smell(served))
    return Table(
        session,
        labels,
        ballot,
        smelt,
        frozenset((one.serving_id, one.question) for one in tx.ballots.answers(ballot.id)),
        tx.key.marked(session_id),
        dip_times(smelt, tx.live.dips(session_id)),
        begun_sets(tx, session_id),
        logged_of(served, tx.log.records(session_id)),
        now,
    )


def logged_of(served: Iterable[Serving], records: Iterable[Record]) -> Logged:
    """A set that was spoilt is not laid out any more: it is made anew."""
    ready, laid, away, spoilt = False, dict[int, int](), dict[int, int](), Counter[int]()
    places = {one.id: one.place for one in served}
    for record in records:
        if record.kind == READY_KIND:
            ready = True
        elif record.kind == LAID_OUT_KIND:
            laid[read_body(record)["place"]] = record.at
        elif record.kind == PUT_AWAY_KIND:
            away[read_body(record)["place"]] = record.at
        elif record.kind == VOID_KIND:
            place = places[read_body(record)["serving_id"]]
            laid.pop(place, None)
            spoilt[place] += 1
    return Logged(ready, laid, away, spoilt)
