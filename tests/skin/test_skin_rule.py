"""The rule of reactions, patches and documents over whole histories, against a second reading of it written only here.

A history is a list of events in whole hours: formulas written, patches put on, read, cancelled and asked about, skin that
reacts, advice, decisions, stops, documents. It is laid into a store by the store's verbs, and the gate is asked at many
hours. The second reading goes through the bare list and knows nothing of the program's values; its rule is that of the
project's decisions of 2026-11-26, in plain loops.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from hypothesis import example, given
from hypothesis import strategies as st

from evaluation.actions.skin_gate import gates_of
from evaluation.clock import SteppedClock
from evaluation.errors import MouilletteError
from evaluation.formulas import Formula, Line
from evaluation.skin import (
    CLEAR,
    EXCLUSIONS,
    LEFT_ON_SKIN,
    PATCH_SITES,
    REACTION,
    Advice,
    Explained,
    GoAhead,
    Material,
    Patch,
    Reaction,
    SkinFacts,
    SkinLimit,
    worn,
)
from evaluation.store import Notebook
from tests.store.prepared import held

HOUR = 3_600_000
START = 1_767_168_000_000  # hour 0: 2025-12-31 08:00 UTC
TODAY = date(2025, 12, 31)
PEOPLE = ("person-1", "person-2")
TRIALS = ("trial-7", "trial-8")
MATERIALS = "abcd"
Event = tuple[Any, ...]

formulas = st.frozensets(st.sampled_from(MATERIALS), max_size=3)  # none: the lines are taken out
names = st.frozensets(st.sampled_from(MATERIALS), min_size=1, max_size=4)
who, which, number = st.sampled_from(PEOPLE), st.sampled_from(TRIALS), st.integers(0, 3)
events = st.one_of(
    st.tuples(st.just("formula"), which, formulas),
    st.tuples(st.just("strength"), which, st.sampled_from((5, 10, 30, 31))),
    st.tuples(st.just("patch"), who, which),
    st.tuples(st.just("read"), number, st.sampled_from((CLEAR, CLEAR, CLEAR, REACTION))),
    st.tuples(st.just("cancel"), number),
    st.tuples(st.just("asked"), number, st.sampled_from(((), (), ("batch",), ("health",)))),
    st.tuples(st.just("reaction"), who, which),
    st.tuples(st.just("advice"), who, names),
    st.tuples(st.just("decide"), names),
    st.tuples(st.just("unwell"), who),
    st.tuples(st.just("explain"), who),
    st.tuples(st.just("facts"), who),
    st.tuples(st.just("limit"), st.sampled_from(MATERIALS), st.sampled_from((0, 500, 1090, 1200, 20000))),
    st.tuples(st.just("confirm"), st.sampled_from(MATERIALS)),
)
steps = st.sampled_from((1, 1, 2, 4, 20, 24, 48, 50, 72, 400, 731))


readings = st.tuples(st.sampled_from((47, 48, 49, 56, 57)), st.sampled_from((67, 71, 72, 75, 76, 77, 99)))


@st.composite
def histories(draw: st.DrawFn) -> list[Event]:
    """Events with their hour. Most begin where all but the hours of reading is in order, so that one thing decides."""
    hour, listed = 1, list[Event]()
    if draw(st.integers(0, 4)):
        listed, hour = ready(*(draw(st.just((49, 73)) | readings) for _ in range(4))), 102
    for event in draw(st.lists(st.tuples(steps, events), max_size=8)):
        hour += event[0]
        listed.append((hour, *event[1]))
    return listed


def ready(*read: tuple[int, int]) -> list[Event]:
    """Both people clear twice of both trials, which share material b; ``read``: hours after which each patch is read."""
    listed: list[Event] = [(1, "formula", "trial-7", frozenset("ab")), (1, "formula", "trial-8", frozenset("bc"))]
    listed += [(1, "strength", trial, 10) for trial in TRIALS]
    listed += [(1, "facts", one) for one in PEOPLE]
    listed += [(1, "limit", one, 500) for one in MATERIALS]
    listed += [(2, "patch", one, trial) for one in PEOPLE for trial in TRIALS]
    hours = [(2 + hour, at) for at, both in enumerate(read or [(49, 73)] * 4) for hour in both]
    return listed + [(hour, "read", at, CLEAR) for hour, at in sorted(hours)]


# --- the program ----------------------------------------------------------------------------------------------------


class Played:
    """A history laid into a store, event by event; what the store refuses is passed over, as the rule must do too."""

    def __init__(self) -> None:
        self.clock = SteppedClock(START)
        self.notebook = Notebook.open(None, self.clock)
        self.ballots = dict(zip(PEOPLE, held(self.notebook, "sealed", people=2).ballot_ids, strict=False))
        self.unwell: dict[str, list[str]] = {}
        with self.notebook.writing() as tx:
            for one in MATERIALS:
                tx.skin.add_material(Material(one, one))

    def play(self, event: Event) -> None:
        hour, kind, *rest = event
        self.clock.instant = START + hour * HOUR
        try:
            with self.notebook.writing() as tx:
                getattr(self, f"_{kind}")(tx, *rest)
        except (MouilletteError, IndexError):
            pass

    def _formula(self, tx: Any, trial: str, made_of: Iterable[str]) -> None:
        listed = sorted(made_of)
        parts = [Decimal(100 - 10 * (len(listed) - 1))] + [Decimal(10)] * (len(listed) - 1)
        lines = tuple(Line(Material(one, one), part) for one, part in zip(listed, parts, strict=False))
        if lines:
            tx.formulas.write(trial, Formula(lines, out_of=Decimal(100)))
        else:
            tx.formulas.remove(trial)

    def _strength(self, tx: Any, trial: str, percent: int) -> None:
        tx.book.replace_trial(replace(tx.book.trial(trial), skin_strength_percent=Decimal(percent)))

    def _patch(self, tx: Any, person: str, trial: str) -> None:
        strength = tx.book.trial(trial).skin_strength_percent
        if strength is not None:
            at, lines = len(tx.patches.all()), worn(tx.skin.lines(trial)) or None
            tx.patches.add(Patch(f"p{at:03}", person, trial, "482", PATCH_SITES[0], strength, tx.clock.now(), lines))

    def _nth(self, tx: Any, number: int) -> str:
        return sorted(one.id for one in tx.patches.all())[number]

    def _read(self, tx: Any, number: int, result: str) -> None:
        read = tx.patches.read(self._nth(tx, number), result, tx.clock.now())
        if result == REACTION:
            lines = None if read.lines is None else frozenset(one.material_id for one in read.lines)
            tx.reactions.add(Reaction(read.panelist_id, lines, tx.clock.now(), (read.trial_id,)))

    def _cancel(self, tx: Any, number: int) -> None:
        tx.patches.cancel(self._nth(tx, number), "fell off in bed", tx.clock.now())

    def _asked(self, tx: Any, number: int, changed: tuple[str, ...]) -> None:
        tx.patches.ask(self._nth(tx, number), changed, tx.clock.now())

    def _reaction(self, tx: Any, person: str, trial: str) -> None:
        tx.reactions.after_stop("session", person, (trial,))

    def _advice(self, tx: Any, person: str, made_of: frozenset[str]) -> None:
        tx.reactions.advise(Advice(person, made_of, "Dr Ida Fern", TODAY, tx.clock.now()))

    def _decide(self, tx: Any, made_of: frozenset[str]) -> None:
        tx.reactions.decide(GoAhead(made_of, "it was the soap", tx.clock.now()))

    def _unwell(self, tx: Any, person: str) -> None:
        tx.live.stop(self.ballots[person], "unwell")  # only the first counts in one session

    def _explain(self, tx: Any, person: str) -> None:
        tx.reactions.explain(Explained(person, "too warm a room", tx.clock.now()))

    def _facts(self, tx: Any, person: str) -> None:
        none = dict.fromkeys(EXCLUSIONS, False)
        tx.skin.add_facts(SkinFacts(panelist_id=person, consent=True, at=tx.clock.now(), **none))

    def _limit(self, tx: Any, name: str, days_old: int) -> None:
        dated = TODAY - timedelta(days=days_old)
        tx.skin.add_limit(SkinLimit(name, Decimal(100), "invented", dated, LEFT_ON_SKIN, tx.clock.now()))

    def _confirm(self, tx: Any, name: str) -> None:
        mine = [one for one in tx.skin.limits() if one.material_id == name]
        tx.skin.confirm_limit(mine[-1].number, "Ida Fern", tx.clock.now())

    def asked_at(self, hour: int) -> dict[str, set[tuple[str, str]]]:
        """What blocks each trial, as (kind, person), with the kinds of the second reading."""
        self.clock.instant = START + hour * HOUR
        with self.notebook.reading() as tx:
            found = gates_of(tx, TRIALS, [tx.book.panelist(one) for one in PEOPLE], "UTC")
        kinds = {"reading": "patch", "changes": "patch", "limit": "document", "level": "document"}
        return {one.trial_id: {(kinds.get(b.kind, b.kind), b.panelist_id) for b in one.blocks} for one in found}


# --- the second reading -----------------------------------------------------------------------------------------------


def second_reading(history: list[Event], now: int, trial: str) -> set[tuple[str, str]]:
    past = [one for one in history if one[0] <= now]
    formula = newest(past, "formula", trial, frozenset())
    strength = newest(past, "strength", trial, None)
    found = set()
    if strength is None or strength > 30:
        found.add(("strength", ""))
    if not formula:
        found.add(("formula", ""))
    found |= {("document", "") for one in formula if document_too_old(past, one, now)}
    if held_back(past, formula, None):
        found.add(("wait", ""))
    for person in PEOPLE:
        found |= {(kind, person) for kind in about(past, now, trial, formula, strength, person)}
    return found


def newest(past: list[Event], kind: str, about: str, otherwise: Any) -> Any:
    said = [one[3] for one in past if one[1] == kind and one[2] == about]
    return said[-1] if said else otherwise


def document_too_old(past: list[Event], name: str, now: int) -> bool:
    entered = [one for one in past if one[1] == "limit" and one[2] == name]
    if not entered:
        return True
    dated = TODAY - timedelta(days=entered[-1][3])
    after = past[past.index(entered[-1]) :]
    seen = [day_of(one[0]) for one in after if one[1] == "confirm" and one[2] == name]
    since = max([dated, *seen])
    try:
        last = since.replace(year=since.year + 3)
    except ValueError:  # 29 February
        last = since.replace(year=since.year + 3, day=28)
    return day_of(now) > last


def day_of(hour: int) -> date:
    return (datetime(2025, 12, 31, 8, tzinfo=UTC) + timedelta(hours=hour)).date()


def reactions(past: list[Event], person: str | None) -> list[tuple[int, frozenset[str]]]:
    """Place in the history and materials (none: not known) of each reaction, of one person or of anybody."""
    listed = []
    for place, one in enumerate(past):
        if one[1] == "reaction":
            made_of, whose = newest(past[:place], "formula", one[3], frozenset()), one[2]
        elif one[1] == "read" and one[3] == REACTION and reacts(past[: place + 1], one[2]):
            put = patches(past)[one[2]]
            made_of, whose = put["formula"], put["person"]
        else:
            continue
        if person in (None, whose):
            listed.append((place, made_of))
    return listed


def reacts(until: list[Event], which: int) -> bool:
    """Whether the last event writes down a reaction to that patch: there is one, and nothing was written down before."""
    if which >= len(patches(until)):
        return False
    return not any(one[1] == "read" and one[2] == which and one[3] == REACTION for one in own_events(until[:-1], which))


def own_events(past: list[Event], which: int) -> list[Event]:
    """What happened to a patch after it was put on."""
    put = patches(past)
    return [] if which >= len(put) else past[put[which]["place"] + 1 :]


def patches(past: list[Event]) -> list[dict[str, Any]]:
    listed = []
    for place, one in enumerate(past):
        if one[1] == "patch":
            strength = newest(past[:place], "strength", one[3], None)
            made_of = newest(past[:place], "formula", one[3], frozenset())
            if strength is not None:
                fixed = {"place": place, "hour": one[0], "person": one[2], "trial": one[3]}
                listed.append(fixed | {"formula": made_of, "strength": strength})
    return listed


def held_back(past: list[Event], formula: frozenset[str], person: str | None) -> bool:
    """Whether a material, or one that may be among them, waits: for a decision, or for an advice about one person."""
    for place, made_of in reactions(past, person):
        lifted: set[str] = set()
        for one in past[place + 1 :]:
            if one[0] > past[place][0]:
                if person is None and one[1] == "decide":
                    lifted |= one[2]
                if person is not None and one[1] == "advice" and one[2] == person:
                    lifted |= one[3]
        if formula and made_of:
            shared = formula & made_of
        elif formula or made_of:
            shared = formula or made_of  # one of the two is not known: each line may be in it
        else:
            return True
        if shared - lifted:
            return True
    return False


def about(past: list[Event], now: int, trial: str, formula: frozenset[str], strength: Any, person: str) -> list[str]:
    found = []
    asked = [one[0] for one in past if one[1] == "facts" and one[2] == person]
    if not asked or now - asked[-1] > 30 * 24:
        found.append("facts")
    if held_back(past, formula, person):
        found.append("reaction")
    stops = [one[0] for one in past if one[1] == "unwell" and one[2] == person][:1]  # one session: stored once
    if stops and not any(one[0] > stops[0] for one in past if one[1] == "explain" and one[2] == person):
        found.append("stop")
    if not {"reaction", "stop"} & set(found) and not any(
        patch_speaks(past, now, which, formula, strength, person, trial) for which in range(len(patches(past)))
    ):
        found.append("patch")
    return found


def patch_speaks(
    past: list[Event], now: int, which: int, formula: frozenset[str], strength: Any, person: str, trial: str
) -> bool:
    put = patches(past)[which]
    if (put["person"], put["trial"]) != (person, trial) or put["formula"] != formula or not formula:
        return False
    if put["strength"] != strength:
        return False
    for place, made_of in reactions(past, person):
        if past[place][0] >= put["hour"] and (not made_of or made_of & formula):
            return False  # put on before a reaction to one of its lines
    first = second = None
    answered, changed = put["hour"], False
    for hour, kind, *rest in own_events(past, which):
        if rest[:1] != [which]:
            continue
        if kind == "cancel" or (kind == "read" and rest[1] == REACTION):
            return False
        if kind == "asked":
            answered, changed = hour, changed or bool(rest[1])
        if kind == "read":
            age = hour - put["hour"]
            if first is None and 48 <= age <= 56:
                first = hour
            elif first is not None and second is None and age >= 72 and hour - first >= 20:
                second = hour
    return second is not None and not changed and now - answered <= 30 * 24


AFTER = [*ready(), (105, "reaction", "person-1", "trial-8")]
LATE_PATCH = [(120, "patch", "person-1", "trial-7"), (170, "read", 4, CLEAR), (193, "read", 4, CLEAR)]


# --- the two agree --------------------------------------------------------------------------------------------------


@given(histories(), st.integers(0, 800))
@example(ready((48, 72), (56, 76), (56, 75), (57, 80)), 40)
@example(ready((47, 72), (48, 71), (49, 68), (48, 99)), 40)
@example([*AFTER, (110, "decide", frozenset("abc"))], 0)
@example([*AFTER, (110, "advice", "person-1", frozenset("b"))], 5)
@example([*AFTER, (110, "advice", "person-1", frozenset("ab")), (110, "decide", frozenset("b")), *LATE_PATCH], 0)
@example([*ready(), (102, "decide", frozenset("abc")), (103, "advice", "person-1", frozenset("abc")), *AFTER[-1:]], 0)
@example([*ready(), (104, "formula", "trial-8", frozenset()), (105, "reaction", "person-1", "trial-8")], 3)
@example([*ready(), (104, "formula", "trial-7", frozenset("ad")), (105, "read", 0, REACTION)], 5)
@example([*ready(), (104, "cancel", 0), (105, "strength", "trial-8", 5)], 5)
@example([*ready(), (104, "asked", 0, ("batch",)), (105, "asked", 0, ()), (106, "asked", 1, ())], 700)
@example([*ready(), (700, "facts", "person-1"), (700, "facts", "person-2")], 23)
@example([*ready(), (104, "limit", "a", 1090), (9000, "confirm", "a")], 0)
def test_the_gate_and_a_second_reading_of_the_rule_agree(history: list[Event], later: int) -> None:
    played = Played()
    hours = sorted({one[0] for one in history})
    for hour in hours:
        for event in (one for one in history if one[0] == hour):
            played.play(event)
        if hour > 75:  # before that all of it lacks
            _compare(played, history, hour)
    _compare(played, history, (hours or [0])[-1] + later)
    played.notebook.close()


def _compare(played: Played, history: list[Event], hour: int) -> None:
    found = played.asked_at(hour)
    assert found == {trial: second_reading(history, hour, trial) for trial in TRIALS}, hour


def test_the_beginning_of_the_histories_is_open_and_each_kind_of_event_can_shut_or_open() -> None:
    """The comparison would say nothing if the gate were never open, or never shut by what the events do."""
    assert second_reading(ready(), 80, "trial-7") == set()
    played = Played()
    for event in ready():
        played.play(event)
    assert played.asked_at(80) == {"trial-7": set(), "trial-8": set()}
    for event, shut in (
        ((90, "formula", "trial-7", frozenset("a")), {("patch", "person-1"), ("patch", "person-2")}),
        ((90, "strength", "trial-7", 5), {("patch", "person-1"), ("patch", "person-2")}),
        ((90, "asked", 0, ("batch",)), {("patch", "person-1")}),
        ((90, "reaction", "person-2", "trial-8"), {("wait", ""), ("reaction", "person-2")}),
        ((90, "unwell", "person-1"), {("stop", "person-1")}),
        ((90, "limit", "a", 1200), {("document", "")}),
    ):
        assert second_reading([*ready(), event], 91, "trial-7") == shut
