"""From what a session holds - plan, servings, key, answers, deviations - to counts: the only bridge between them.

Only answers to servings that were to be smelt count: never those to a void serving or an unused spare one. The primary
analysis leaves out what the plan sealed as left out; the counts of all answers stand beside it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from evaluation.counting.tallies import AnyTally, PreferenceTally, Said, Tally
from evaluation.errors import ArgumentError
from evaluation.ground.terms import SURENESS as SURE
from evaluation.serving.asking import STRENGTH, WEAR
from evaluation.serving.blinding import is_null
from evaluation.serving.marks import WRONG_STRIP, is_right, of_no_kind
from evaluation.sessions import (
    NO_PREFERENCE,
    OVERALL,
    SKIN,
    STRIP,
    Answer,
    Ballot,
    Deviation,
    Key,
    Medium,
    Plan,
    Serving,
)

FIRST: Final = "first"
SECOND: Final = "second"
_TRIAL: Final = {"A": FIRST, "B": SECOND}
IMPRESSIONS: Final = {"wear": WEAR, "strength": STRENGTH}


@dataclass(frozen=True, slots=True)
class Held:
    """What an opened session holds; ``aliases`` maps panelist ids to aliases."""

    plan: Plan
    servings: tuple[Serving, ...]
    key: Key
    ballots: tuple[Ballot, ...]
    answers: tuple[Answer, ...]
    deviations: tuple[Deviation, ...] = ()
    aliases: Mapping[str, str] | None = None

    def name_at(self, seat: int) -> str:
        """The alias of whoever sits there; the seat's number where nobody is known."""
        person = next((ballot.panelist_id for ballot in self.ballots if ballot.seat == seat), None)
        return (self.aliases or {}).get(person or "", f"seat {seat}")


@dataclass(frozen=True, slots=True)
class Assessment:
    """One answered set, or one overall choice (``age`` "overall", no codes).

    ``correct`` is None for preferences; ``preferred`` and ``nearer`` are "first", "second", "none", or "" where it was
    not asked or not answered. ``deviations`` holds every kind noted for the set or the whole seat, ``left_out`` those
    of them that take it out of the primary analysis. ``marks`` is what the marks of a solo set say where they, read
    after the answer, and nothing noted before take it out: a wrong strip (see ``marks``).
    """

    seat: int
    panelist_id: str
    panelist: str
    age: int | str  # seconds, or "overall"
    replicate: int
    serving_id: str
    codes: tuple[str, ...]
    chosen: str
    correct: bool | None
    preferred: str
    nearer: str
    sure: str
    remark: str
    deviations: tuple[str, ...]
    left_out: tuple[str, ...]
    marks: str = ""

    @property
    def counted(self) -> bool:
        """True where the primary analysis counts it."""
        return not self.left_out


@dataclass(frozen=True, slots=True)
class Loss:
    """Answers planned, come in, and counted at one age; ``left_out``: (kind, answers), each answer under one kind."""

    age: int | str
    planned: int
    answered: int
    counted: int
    left_out: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Sureness:
    """How often answers given this surely were right (None for preferences)."""

    sure: str
    answers: int
    correct: int | None


@dataclass(frozen=True, slots=True)
class Impression:
    """How people answered one question about one trial: ``asked`` "wear" or "strength", ``counts`` (option, people)."""

    asked: str
    trial: str
    counts: tuple[tuple[str, int], ...]


# --- strip and skin apart ----------------------------------------------------------------------------------------


def on_medium(held: Held, medium: Medium) -> Held:
    """What a session on strip and skin holds of one of them, as if it had been a session of its own.

    The two answer different questions and are never pooled. What was asked once, about named codes, goes with their
    medium; the closing remark stands with the strips.
    """
    if held.plan.media == (medium,):
        return held
    served = tuple(one for one in held.servings if one.medium == medium)
    own, codes = {one.id for one in served}, {code for one in served for code in one.codes}
    return replace(
        held,
        plan=plan_on(held.plan, medium),
        servings=served,
        answers=tuple(one for one in held.answers if _belongs(one, medium, own, codes)),
        deviations=tuple(one for one in held.deviations if not one.serving_id or one.serving_id in own),
    )


def plan_on(plan: Plan, medium: Medium) -> Plan:
    """The plan as it is for one of its media; on skin the only time is primary, and of several none."""
    if plan.media == (medium,):
        return plan
    if medium == STRIP:
        return replace(plan, medium=STRIP, skin_ages=())
    ages = plan.ages_on(SKIN)
    primary = ages[0].seconds if len(ages) == 1 else None
    return replace(plan, medium=SKIN, ages=ages, skin_ages=(), primary=primary)


def _belongs(answer: Answer, medium: Medium, served: set[str], codes: set[str]) -> bool:
    if answer.serving_id:
        return answer.serving_id in served
    if answer.question == "remark":
        return medium == STRIP
    asked, _, group = answer.question.partition(" ")
    return asked not in IMPRESSIONS or set(group.split()) <= codes


# --- one row per answered set -----------------------------------------------------------------------------------


def assess(held: Held, *, null: bool = False) -> tuple[Assessment, ...]:
    """Every answer that came in to a set that was to be smelt, by age, seat and replicate; overall choices last.

    With ``null`` those to the null sets instead, which are scored beside the real ones and never in them. A solo set
    whose mark was not entered has no order and is passed over. So is a spare set served in place of a null one: it
    holds both trials, and would give one person an answer more than was planned.
    """
    given = {(one.ballot_id, one.serving_id, one.question): one.value for one in held.answers}
    orders = dict(held.key.orders)
    people = {ballot.seat: ballot for ballot in held.ballots}
    extra = _instead_of_null(held.servings, orders)
    rows = [
        _assessed(held, serving, orders[serving.id], people[serving.seat], given)
        for serving in sorted(smelt(held.servings), key=lambda s: (s.age_seconds, s.seat, s.replicate))
        if serving.seat in people and (people[serving.seat].id, serving.id, "choice") in given
        if orders[serving.id] and is_null(orders[serving.id]) == null and serving.id not in extra
    ]
    if null:
        return tuple(rows)
    for ballot in sorted(held.ballots, key=lambda b: b.seat):
        if (ballot.id, "", OVERALL) in given:
            rows.append(_overall(held, ballot, given))
    return tuple(rows)


def _instead_of_null(servings: Iterable[Serving], orders: Mapping[str, str]) -> set[str]:
    """Spare sets that took the place of a null set put aside."""
    given = tuple(servings)
    places = {(one.seat, one.place) for one in given if one.void and is_null(orders[one.id])}
    return {one.id for one in smelt(given) if (one.seat, one.place) in places}


def smelt(servings: Iterable[Serving]) -> list[Serving]:
    """The servings that count: not void, not spare."""
    return [serving for serving in servings if not serving.void and not serving.spare]


def _assessed(
    held: Held, serving: Serving, order: str, ballot: Ballot, given: Mapping[tuple[str, str, str], str]
) -> Assessment:
    plan, codes = held.plan, serving.codes
    chosen = given[ballot.id, serving.id, "choice"]
    preference = plan.kind.votes
    noted = _deviations(held, serving.seat, {serving.id})
    astray = order if WRONG_STRIP not in noted and of_no_kind(plan.method, order, plan.expected) else ""
    noted += (WRONG_STRIP,) if astray else ()
    nearer = given.get((ballot.id, serving.id, "nearer"), "")
    return Assessment(
        seat=serving.seat,
        panelist_id=ballot.panelist_id or "",
        panelist=held.name_at(ballot.seat),
        age=serving.age_seconds,
        replicate=serving.replicate,
        serving_id=serving.id,
        codes=codes,
        chosen=chosen,
        correct=None if preference else is_right(plan.method, order, codes, chosen, plan.expected),
        preferred=_trial(chosen, order, codes) if preference else "",
        nearer=_trial(nearer, order, codes) if nearer else "",
        sure=given.get((ballot.id, serving.id, "sure"), ""),
        remark=given.get((ballot.id, serving.id, "remark"), ""),
        deviations=noted,
        left_out=tuple(kind for kind in noted if kind in plan.set_apart),
        marks=astray,
    )


def _trial(chosen: str, order: str, codes: Sequence[str]) -> str:
    """The trial behind a chosen code, or "none"."""
    return NO_PREFERENCE if chosen == NO_PREFERENCE else _TRIAL[order[codes.index(chosen)]]


def _overall(held: Held, ballot: Ballot, given: Mapping[tuple[str, str, str], str]) -> Assessment:
    """The choice over all ages; it leaves the primary analysis if the seat, or any set it rests on, does."""
    chosen = given[ballot.id, "", OVERALL]
    own = {serving.id for serving in smelt(held.servings) if serving.seat == ballot.seat}
    noted = _deviations(held, ballot.seat, own)
    return Assessment(
        seat=ballot.seat,
        panelist_id=ballot.panelist_id or "",
        panelist=held.name_at(ballot.seat),
        age=OVERALL,
        replicate=1,
        serving_id="",
        codes=(),
        chosen=chosen,
        correct=None,
        preferred=NO_PREFERENCE if chosen == NO_PREFERENCE else _trial_of_group(held, chosen),
        nearer="",
        sure="",
        remark=given.get((ballot.id, "", "remark"), ""),
        deviations=noted,
        left_out=tuple(kind for kind in noted if kind in held.plan.set_apart),
    )


def _trial_of_group(held: Held, group: str) -> str:
    """The trial that all codes of a group ("482 155") stand for; codes are unique in a session."""
    orders = dict(held.key.orders)
    behind = {
        _TRIAL[orders[serving.id][serving.codes.index(code)]]
        for code in group.split(" ")
        for serving in held.servings
        if code in serving.codes
    }
    if len(behind) != 1:
        raise ArgumentError(f"codes {group!r} must all stand for one trial of the session.")
    return behind.pop()


def _deviations(held: Held, seat: int, serving_ids: set[str]) -> tuple[str, ...]:
    """Kinds noted for these sets or for the whole seat, each once, in the order they were noted."""
    kinds = [d.kind for d in held.deviations if d.seat == seat and (not d.serving_id or d.serving_id in serving_ids)]
    return tuple(dict.fromkeys(kinds))


# --- counts -----------------------------------------------------------------------------------------------------


def ages_of(plan: Plan) -> tuple[int | str, ...]:
    """The ages a verdict is given for: every strip age, and the overall choice of preferences over several."""
    seconds = tuple(age.seconds for age in plan.ages)
    return (*seconds, OVERALL) if plan.kind.votes and len(seconds) > 1 else seconds


def tallies(
    plan: Plan, rows: Iterable[Assessment], comparison: str, *, everything: bool = False, nearer: bool = False
) -> tuple[AnyTally, ...]:
    """One tally per age of the plan, also where no answer came in.

    ``everything`` counts the answers the sealed rule leaves out, too; ``nearer`` counts which trial was nearer to the
    brief instead of which was preferred.
    """
    used = [row for row in rows if everything or row.counted]
    ages = [age.seconds for age in plan.ages] if nearer else ages_of(plan)
    return tuple(_tally(plan, [row for row in used if row.age == age], comparison, age, nearer) for age in ages)


def _tally(plan: Plan, rows: Sequence[Assessment], comparison: str, age: int | str, nearer: bool) -> AnyTally:
    own: dict[str, list[Assessment]] = {}
    for row in rows:
        own.setdefault(row.panelist_id or f"seat {row.seat}", []).append(row)
    people, minutes = tuple(own), age if isinstance(age, str) else age / 60
    if not plan.kind.votes:
        correct = tuple(sum(bool(row.correct) for row in mine) for mine in own.values())
        said = _said(rows) if plan.sureness_weights else ()
        return Tally(comparison, plan.method, minutes, people, correct, tuple(map(len, own.values())), said)
    chosen = [Counter(row.nearer if nearer else row.preferred for row in mine) for mine in own.values()]
    first, second, none = (tuple(one[name] for one in chosen) for name in (FIRST, SECOND, NO_PREFERENCE))
    return PreferenceTally(comparison, plan.method, minutes, people, first, second, none)


def _said(rows: Sequence[Assessment]) -> Said:
    """Answers and right ones by the sureness said; a blank counts as a guess."""
    by_word = [[bool(row.correct) for row in rows if (row.sure or SURE[0]) == word] for word in SURE]
    return tuple((len(right), sum(right)) for right in by_word)


def with_wrong_strips(rows: Iterable[Assessment], *, right: bool) -> tuple[Assessment, ...]:
    """The same, with sets that only their marks take out counted as answered right, or as answered wrong."""
    return tuple(
        replace(row, left_out=(), correct=right) if row.marks and set(row.left_out) == {WRONG_STRIP} else row
        for row in rows
    )


def losses(plan: Plan, rows: Sequence[Assessment]) -> tuple[Loss, ...]:
    """What became of the planned answers, per age."""
    return tuple(_loss(plan, [row for row in rows if row.age == age], age) for age in ages_of(plan))


def _loss(plan: Plan, rows: Sequence[Assessment], age: int | str) -> Loss:
    left = Counter(row.left_out[0] for row in rows if row.left_out)
    planned = plan.people if age == OVERALL else plan.assessments
    return Loss(age, planned, len(rows), sum(row.counted for row in rows), tuple(sorted(left.items())))


def sureness(rows: Iterable[Assessment], *, everything: bool = False) -> tuple[Sureness, ...]:
    """How sure people were and how often they were right, from "guess" to "sure"."""
    used = [row for row in rows if row.sure and (everything or row.counted)]
    return tuple(_sureness(sure, [row for row in used if row.sure == sure]) for sure in SURE)


def _sureness(sure: str, rows: Sequence[Assessment]) -> Sureness:
    judged = [row.correct for row in rows if row.correct is not None]
    return Sureness(sure, len(rows), sum(judged) if judged or not rows else None)


def impressions(held: Held, *, everything: bool = False) -> tuple[Impression, ...]:
    """Would people wear each trial, and how strong is it: counts per trial; empty where it was not asked."""
    seats = {ballot.id: ballot.seat for ballot in held.ballots}
    found: dict[tuple[str, str], Counter[str]] = {}
    for answer in held.answers:
        asked, _, group = answer.question.partition(" ")
        if asked not in IMPRESSIONS or not group or answer.ballot_id not in seats:
            continue
        if everything or not _left_out(held, seats[answer.ballot_id]):
            trial = _trial_of_group(held, group)
            found.setdefault((asked, trial), Counter())[answer.value] += 1
    return tuple(
        Impression(asked, trial, tuple((option, found[asked, trial][option]) for option in options))
        for asked, options in IMPRESSIONS.items()
        for trial in (FIRST, SECOND)
        if (asked, trial) in found
    )


def _left_out(held: Held, seat: int) -> bool:
    """True where the sealed rule takes the seat's words about the whole session out of the primary analysis."""
    own = {serving.id for serving in smelt(held.servings) if serving.seat == seat}
    return any(kind in held.plan.set_apart for kind in _deviations(held, seat, own))
