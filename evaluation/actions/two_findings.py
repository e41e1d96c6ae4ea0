"""What an opened session about two trials found: verdicts, what must be told beside each, strip and skin apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any, Final

from evaluation import statistics
from evaluation.actions.looks import concluded
from evaluation.actions.opened import Findings, context_of, held_of
from evaluation.alone import ways
from evaluation.counting.questions import (
    Assessment,
    Held,
    Impression,
    Loss,
    Sureness,
    assess,
    impressions,
    losses,
    on_medium,
    smelt,
    sureness,
    tallies,
    with_wrong_strips,
)
from evaluation.counting.tallies import AnyTally
from evaluation.judging.entries import AnyEntry, Entry, Rules, of_a_series, rules_of
from evaluation.judging.nulls import NullControl, null_control
from evaluation.judging.sequences import SequentialEntry
from evaluation.judging.spread import Spread, spread_of
from evaluation.judging.verdicts import judge_tallies
from evaluation.kinds.two_trials import TwoTrials
from evaluation.sessions import OVERALL, Medium, Plan, Record
from evaluation.statistics import Belief
from evaluation.store import Notebook, Transaction

RECOGNISED: Final = "recognised"  # the kind of deviation the ballot notes for a set told by sight or touch
WRONG_CODE: Final = "wrong code"  # what somebody says who locked another code than the one meant


@dataclass(frozen=True, slots=True)
class PanelistFound:
    """One panelist where people answered more than once; ``expected`` is None where these answers cannot tell."""

    panelist: str
    correct: int
    assessments: int
    expected: float | None  # share of right answers to expect next
    stands_out: bool


@dataclass(frozen=True, slots=True)
class PanelFound:
    """How the people of one entry differ, and each of them."""

    spread: Spread
    people: tuple[PanelistFound, ...]


@dataclass(frozen=True, slots=True)
class TwoFound:
    """What one session about two trials found on one medium; the verdicts are in ``entries``."""

    plan: Plan
    names: tuple[str, str]  # of the trials, in the order of the plan
    rows: tuple[Assessment, ...]
    entries: tuple[AnyEntry, ...]  # the sealed analysis
    all_entries: tuple[AnyEntry, ...]  # the same with the answers the sealed rule leaves out
    unrecognised: tuple[AnyEntry, ...]  # solo: the same without sets recognised by sight, touch or wetness, if any
    as_meant: tuple[AnyEntry, ...]  # without sets where the wrong code was locked, if the sealed rule keeps them
    strays_wrong: tuple[AnyEntry, ...]  # solo: with wrong strips that marks alone show counted as answered wrong
    strays_right: tuple[AnyEntry, ...]  # and as answered right; both empty where there is none
    alike_pairs: int  # solo triangles: pairs of sets in which both hold the same trial twice
    panels: tuple[PanelFound | None, ...]  # beside each of ``entries``; None where nobody answered twice
    opinions: tuple[Belief | None, ...]  # beside each of ``entries``; a second opinion, never the verdict
    sequence: SequentialEntry | None  # of a session with looks, and then no entries: those are for a fixed number
    sequence_opinion: Belief | None  # beside ``sequence``: a posterior knows no stopping rule
    null_rows: tuple[Assessment, ...]
    null_control: NullControl | None
    losses: tuple[Loss, ...]
    put_aside: tuple[tuple[str, int], ...]  # alias and strip age of each set that was replaced by a spare one
    sureness: tuple[Sureness, ...]
    nearer: tuple[AnyEntry, ...]  # preferences only: which was nearer to the brief
    impressions: tuple[Impression, ...]  # preferences only: wearing and strength

    @property
    def medium(self) -> Medium:
        """The one medium this part was smelt on."""
        return self.plan.media[0]

    @property
    def comparison(self) -> str:
        """Both trials by name, as the tally and the files call what was compared."""
        return f"{self.names[0]} and {self.names[1]}"

    @property
    def wrong_strips(self) -> int:
        """Sets that their marks alone, read after the answer, show to be of no kind."""
        return sum(bool(row.marks) for row in self.rows)

    @property
    def reduced(self) -> bool:
        """True where the sealed rule left answers out, so that both ways are shown."""
        return any(not row.counted for row in self.rows)

    def loss_of(self, entry: AnyEntry | SequentialEntry) -> Loss | None:
        """What became of the answers planned at the entry's age."""
        return next((one for one in self.losses if _minutes(one.age) == entry.age_minutes), None)


TwoFindings = Findings[TwoFound]


def _minutes(age: int | str) -> float | str:
    return age if isinstance(age, str) else age / 60


def two_findings(notebook: Notebook, session_id: str) -> TwoFindings:
    """What an opened session about two trials found; StillBlind for any other, a void one included."""
    with notebook.reading() as tx:
        held = held_of(tx, session_id)
        records = tx.log.records(session_id)
        first, second = tx.bottles.names(held.plan.trial_ids)
        parts = tuple(_found_on_medium(on_medium(held, medium), (first, second), records) for medium in held.plan.media)
        rows = [row for part in parts for row in part.rows]
        looked = frozenset(row.serving_id for row in rows if row.counted) if held.plan.look_every else frozenset()
        return Findings(context_of(tx, held, session_id, rows=rows, looked=looked), parts)


def rows_that_count(tx: Transaction, session_id: str) -> tuple[Assessment, ...]:
    """The answers an opened session's verdict rests on; with looks, those its looks hold and none after the stop."""
    held = held_of(tx, session_id)
    held = on_medium(held, held.plan.media[0])  # strips where there are both: the two are never pooled
    rows = assess(held)
    if held.plan.look_every:
        _, rows = concluded(held, rows, tx.log.records(session_id), "")
    return tuple(row for row in rows if row.counted)


def _found_on_medium(held: Held, names: tuple[str, str], records: tuple[Record, ...]) -> TwoFound:
    """What was found on the medium of ``held``."""
    plan, rows, null_rows = held.plan, assess(held), assess(held, null=True)
    comparison, rules = f"{names[0]} and {names[1]}", rules_of(plan)
    counted = tallies(plan, rows, comparison)
    entries = judge_tallies(counted, rules)
    nearer = tallies(plan, rows, comparison, nearer=True) if plan.design.asks_nearer else ()
    found = TwoFound(
        plan=plan,
        names=names,
        rows=rows,
        entries=entries,
        all_entries=judge_tallies(tallies(plan, rows, comparison, everything=True), rules),
        unrecognised=_judged_without(RECOGNISED, plan, rows, comparison),
        as_meant=_judged_without(WRONG_CODE, plan, rows, comparison),
        strays_wrong=_judged_with_strays(plan, rows, comparison, right=False),
        strays_right=_judged_with_strays(plan, rows, comparison, right=True),
        alike_pairs=_alike_pairs(held),
        panels=tuple(_panel(entry, tally, held) for entry, tally in zip(entries, counted, strict=True)),
        opinions=tuple(_opinion(entry, TwoTrials.of(plan).prior) for entry in entries),
        sequence=None,
        sequence_opinion=None,
        null_rows=null_rows,
        null_control=null_control(null_rows, plan.method, rules),
        losses=losses(plan, rows),
        put_aside=tuple((held.name_at(s.seat), s.age_seconds) for s in held.servings if s.void),
        sureness=sureness(rows),
        nearer=judge_tallies(nearer, _without_overall(rules)),
        impressions=impressions(held) if plan.kind.votes else (),
    )
    if plan.series_id:
        return _of_a_series(found)
    return _with_looks(found, held, records) if plan.look_every else found


_JUDGED: Final = ("entries", "all_entries", "unrecognised", "as_meant", "strays_wrong", "strays_right", "nearer")


def _of_a_series(found: TwoFound) -> TwoFound:
    """A sitting of a series: numbers and no word, since its answers count in the series and are judged there once."""
    bare: dict[str, Any] = {name: tuple(map(of_a_series, getattr(found, name))) for name in _JUDGED}
    none = (None,) * len(found.entries)
    return replace(found, panels=none, opinions=none, **bare)


_ONCE: Final = (
    "entries",
    "all_entries",
    "unrecognised",
    "as_meant",
    "strays_wrong",
    "strays_right",
    "panels",
    "opinions",
)


def _with_looks(found: TwoFound, held: Held, records: Iterable[Record]) -> TwoFound:
    """A session that may have stopped early: only what its looks hold counts, and by their rule alone."""
    sequence, rows = concluded(held, found.rows, records, found.comparison)
    counted = {"rows": rows, "losses": losses(held.plan, rows), "sureness": sureness(rows)}
    opinion = _opinion_of_looks(sequence, TwoTrials.of(held.plan).prior)
    at_the_end: dict[str, Any] = dict.fromkeys(_ONCE, ())
    return replace(found, sequence=sequence, sequence_opinion=opinion, **(at_the_end | counted))


def _opinion_of_looks(entry: SequentialEntry, prior: str) -> Belief | None:
    """Of the answers looked at. When to stop followed from answers alone, so that the likelihood is what it is without.

    Berger & Wolpert 1988, The Likelihood Principle, 4.2 (from memory).
    """
    if entry.beta_exact is None or not entry.assessments:
        return None
    return statistics.belief(entry.correct, entry.assessments, entry.method, entry.pd, prior)


def _panel(entry: AnyEntry, tally: AnyTally, held: Held) -> PanelFound | None:
    """Each panelist's own answers, by alias, with what to expect of them."""
    spread = spread_of(entry) if isinstance(entry, Entry) else None
    if spread is None or not isinstance(entry, Entry):
        return None
    names = [(held.aliases or {}).get(person, person) for person in tally.people]
    each = zip(names, entry.own, spread.expected, spread.standing, strict=True)
    return PanelFound(spread, tuple(PanelistFound(name, *own, share, out) for name, own, share, out in each))


def _opinion(entry: AnyEntry, prior: str) -> Belief | None:
    """Needs one answer per person or one nose: several people's pooled answers would make it too sure."""
    if not isinstance(entry, Entry) or entry.own or not entry.assessments:
        return None
    return statistics.belief(entry.correct, entry.assessments, entry.method, entry.pd, prior)


def _judged_without(kind: str, plan: Plan, rows: tuple[Assessment, ...], comparison: str) -> tuple[AnyEntry, ...]:
    """Without the sets of which this was said; nothing where there was none, or where the sealed rule does it."""
    kept = [row for row in rows if kind not in row.deviations]
    if len(kept) == len(rows) or kind in plan.set_apart:
        return ()
    return judge_tallies(tallies(plan, kept, comparison), rules_of(plan))


def _judged_with_strays(
    plan: Plan, rows: tuple[Assessment, ...], comparison: str, *, right: bool
) -> tuple[AnyEntry, ...]:
    """With the sets that are wrong strips by their marks alone: whoever read those knew the answer."""
    counted = with_wrong_strips(rows, right=right)
    if counted == rows:
        return ()
    return judge_tallies(tallies(plan, counted, comparison), rules_of(plan))


def _alike_pairs(held: Held) -> int:
    """Pairs of sets of a solo triangle, both answered, in which one trial is there twice in both."""
    kind = held.plan.kind
    if not (held.plan.solo and kind.mixed):
        return 0
    told = ((one.place, dict(held.key.orders)[one.id]) for one in smelt(held.servings))
    return len(ways.alike(held.plan, {place: order for place, order in told if order in kind.orders()}))


def _without_overall(rules: Rules) -> Rules:
    """Nearness to the brief is asked at each strip age only."""
    return replace(rules, primary_age=None) if rules.primary_age == OVERALL else rules
