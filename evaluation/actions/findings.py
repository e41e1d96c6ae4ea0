"""Opening the key, and what a session found: the last step, and the only one that reads answers against the key."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from evaluation import statistics
from evaluation.actions.looks import concluded
from evaluation.alone import ways
from evaluation.blinding import orders as orders_of
from evaluation.entries import AnyEntry, Entry, Rules, rules_of
from evaluation.marks import WRONG_STRIP
from evaluation.nulls import NullControl, null_control
from evaluation.questions import (
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
from evaluation.sequences import SequentialEntry
from evaluation.sessions import OVERALL, SKIN, STRIP, Answer, Deviation, Plan, Record, Serving, Session
from evaluation.spread import Spread, spread_of
from evaluation.statistics import Belief
from evaluation.store import Notebook, Transaction, read_body
from evaluation.tallies import AnyTally
from evaluation.verdicts import judge_tallies
from evaluation.wording_solo import wrong_strip

RECOGNISED: Final = "recognised"  # the kind of deviation the ballot notes for a set told by sight or touch
WRONG_CODE: Final = "wrong code"  # what somebody says who locked another code than the one meant


@dataclass(frozen=True, slots=True)
class Noted:
    """Something that did not go by the plan; ``age`` is None where it was noted for all sets of a person."""

    panelist: str
    age: int | None  # seconds
    kind: str
    reason: str
    leaves: bool  # the sealed rule takes it out of the main analysis


@dataclass(frozen=True, slots=True)
class Remark:
    """What somebody wrote; ``age`` is "overall" for words on the whole session."""

    panelist: str
    age: int | str
    text: str


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
class Context:
    """What stands around the numbers of an opened session of any method: notes, remarks, who saw the key, the log."""

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


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything the findings page shows of an opened session; the verdicts are in ``entries``."""

    session: Session
    brief_title: str
    labels: tuple[str, str]
    rows: tuple[Assessment, ...]
    entries: tuple[AnyEntry, ...]  # the sealed analysis
    all_entries: tuple[AnyEntry, ...]  # the same with the answers the sealed rule leaves out
    unrecognised: tuple[AnyEntry, ...]  # solo: the same without sets recognised by sight, touch or wetness, if any
    panels: tuple[PanelFound | None, ...]  # beside each of ``entries``; None where nobody answered twice
    opinions: tuple[Belief | None, ...]  # beside each of ``entries``; a second opinion, never the verdict
    sequence: SequentialEntry | None  # of a session with looks, and then no entries: those are for a fixed number
    sequence_opinion: Belief | None  # beside ``sequence``: a posterior knows no stopping rule
    null_rows: tuple[Assessment, ...]
    null_control: NullControl | None
    losses: tuple[Loss, ...]
    noted: tuple[Noted, ...]
    put_aside: tuple[tuple[str, int], ...]  # alias and strip age of each set that was replaced by a spare one
    remarks: tuple[Remark, ...]
    sureness: tuple[Sureness, ...]
    nearer: tuple[AnyEntry, ...]  # preferences only: which was nearer to the brief
    impressions: tuple[Impression, ...]  # preferences only: wearing and strength
    key_seen_by: tuple[str, ...]  # aliases; "" for somebody not on the panel
    log_holds: bool
    last_hash: str
    on_skin: Findings | None = None  # of a session on strip and skin: the same for skin, and above for strips
    stopped: tuple[str, ...] = ()  # aliases of those whose skin part ended early
    as_meant: tuple[AnyEntry, ...] = ()  # without sets where the wrong code was locked, if the sealed rule keeps them
    strays_wrong: tuple[AnyEntry, ...] = ()  # solo: with wrong strips that marks alone show counted as answered wrong
    strays_right: tuple[AnyEntry, ...] = ()  # and as answered right; both empty where there is none
    alike_pairs: int = 0  # solo triangles: pairs of sets in which both hold the same trial twice

    @property
    def comparison(self) -> str:
        return f"{self.labels[0]} and {self.labels[1]}"

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


def _minutes(age: int | str) -> float | str:
    return age if isinstance(age, str) else age / 60


def open_session(notebook: Notebook, session_id: str) -> Session:
    """Open the key of a closed session; written to the log."""
    with notebook.writing() as tx:
        return tx.sittings.advance(session_id, "open")


def findings(notebook: Notebook, session_id: str) -> Findings:
    """What an opened session found; StillBlind for any other, a void one included."""
    with notebook.reading() as tx:
        held = held_of(tx, session_id)
        session = tx.sittings.session(session_id)
        brief = tx.book.brief(session.plan.brief_id)
        labels = _labels(tx, session.plan)
        records = tx.log.records(session_id)
        holds = tx.log.verify(session_id)
        stopped = tuple(held.name_at(stop.seat) for stop in tx.live.stops(session_id) if stop.kind == SKIN)

    def of(medium: str) -> Findings:
        own = on_medium(held, medium)
        seen = session if medium == STRIP else replace(session, plan=own.plan)
        return _found(seen, brief.title, labels, own, records, holds)

    if len(session.plan.media) > 1:
        return replace(of(STRIP), on_skin=replace(of(SKIN), stopped=stopped))
    found = replace(_found(session, brief.title, labels, held, records, holds), stopped=stopped)
    return _with_looks(found, held, records) if session.plan.look_every else found


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
        _aliases(tx, session_id),
    )


def log_holds(notebook: Notebook, session_id: str) -> bool:
    """Whether every line of a session's log stands as it was written."""
    with notebook.reading() as tx:
        return tx.log.verify(session_id)


def context_of(tx: Transaction, held: Held, session_id: str, *, check_log: bool = True) -> Context:
    """What stands around the numbers; ``held`` is what :func:`held_of` gave of the same session.

    Without ``check_log`` the log counts as one that does not hold until somebody asks :func:`log_holds`.
    """
    records = tx.log.records(session_id)
    return Context(
        session=tx.sittings.session(session_id),
        brief_title=tx.book.brief(held.plan.brief_id).title,
        names=tuple(tx.book.trial(one).label for one in held.plan.trial_ids),
        noted=tuple(_noted(one, held.plan, held) for one in held.deviations),
        remarks=tuple(_remarks(held)),
        key_seen_by=tuple(_key_seen_by(records, held)),
        stopped=tuple(held.name_at(stop.seat) for stop in tx.live.stops(session_id) if stop.kind == SKIN),
        log_holds=check_log and tx.log.verify(session_id),
        opened_at=max((one.at for one in records if one.kind == "open"), default=0),
        last_hash=records[-1].hash,
    )


def rows_that_count(tx: Transaction, session_id: str) -> tuple[Assessment, ...]:
    """The answers an opened session's verdict rests on; with looks, those its looks hold and none after the stop."""
    held = held_of(tx, session_id)
    held = on_medium(held, held.plan.media[0])  # strips where there are both: the two are never pooled
    rows = assess(held)
    if held.plan.look_every:
        _, rows = concluded(held, rows, tx.log.records(session_id), "")
    return tuple(row for row in rows if row.counted)


def log_texts(notebook: Notebook, session_id: str) -> dict[str, str]:
    """Reasons and remarks the log holds by digest only, as far as nobody has taken them back."""
    with notebook.reading() as tx:
        return tx.log.texts(session_id)


def _found(
    session: Session,
    brief_title: str,
    labels: tuple[str, str],
    held: Held,
    records: tuple[Record, ...],
    holds: bool,
) -> Findings:
    plan, rows, null_rows = held.plan, assess(held), assess(held, null=True)
    comparison, rules = f"{labels[0]} and {labels[1]}", rules_of(plan)
    counted = tallies(plan, rows, comparison)
    entries = judge_tallies(counted, rules)
    preference = plan.method == "preference"
    nearer = tallies(plan, rows, comparison, nearer=True) if preference and plan.asks_nearer else ()
    return Findings(
        session=session,
        brief_title=brief_title,
        labels=labels,
        rows=rows,
        entries=entries,
        all_entries=judge_tallies(tallies(plan, rows, comparison, everything=True), rules),
        unrecognised=_judged_without(RECOGNISED, plan, rows, comparison),
        as_meant=_judged_without(WRONG_CODE, plan, rows, comparison),
        strays_wrong=_judged_with_strays(plan, rows, comparison, right=False),
        strays_right=_judged_with_strays(plan, rows, comparison, right=True),
        alike_pairs=_alike_pairs(held),
        panels=tuple(_panel(entry, tally, held) for entry, tally in zip(entries, counted, strict=True)),
        opinions=tuple(_opinion(entry, plan.prior) for entry in entries),
        sequence=None,
        sequence_opinion=None,
        null_rows=null_rows,
        null_control=null_control(null_rows, plan.method, rules),
        losses=losses(plan, rows),
        noted=(*(_noted(one, plan, held) for one in held.deviations), *_astray(rows, held)),
        put_aside=tuple((held.name_at(s.seat), s.age_seconds) for s in held.servings if s.void),
        remarks=tuple(_remarks(held)),
        sureness=sureness(rows),
        nearer=judge_tallies(nearer, _without_overall(rules)),
        impressions=impressions(held) if preference else (),
        key_seen_by=tuple(_key_seen_by(records, held)),
        log_holds=holds,
        last_hash=records[-1].hash,
    )


def _with_looks(found: Findings, held: Held, records: tuple[Record, ...]) -> Findings:
    """A session that may have stopped early: only what its looks hold counts, and by their rule alone."""
    sequence, rows = concluded(held, found.rows, records, found.comparison)
    once = dict.fromkeys(("entries", "all_entries", "unrecognised", "as_meant", "strays_wrong", "strays_right"), ())
    once |= {"panels": (), "opinions": ()}
    looked = frozenset(row.serving_id for row in rows if row.counted)
    noted = (*(_noted(one, held.plan, held, looked) for one in held.deviations), *_astray(rows, held))
    counted = {"rows": rows, "losses": losses(held.plan, rows), "sureness": sureness(rows), "noted": noted}
    opinion = _opinion_of_looks(sequence, held.plan.prior)
    return replace(found, sequence=sequence, sequence_opinion=opinion, **once, **counted)  # type: ignore[arg-type]


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
    if not held.plan.solo:
        return 0
    told = ((one.place, dict(held.key.orders)[one.id]) for one in smelt(held.servings))
    return len(ways.alike(held.plan, {place: order for place, order in told if order in orders_of("triangle")}))


def _without_overall(rules: Rules) -> Rules:
    """Nearness to the brief is asked at each strip age only."""
    return replace(rules, primary_age=None) if rules.primary_age == OVERALL else rules


def _labels(tx: Transaction, plan: Plan) -> tuple[str, str]:
    return tx.book.trial(plan.first_trial_id).label, tx.book.trial(plan.second_trial_id).label


def _aliases(tx: Transaction, session_id: str) -> dict[str, str]:
    people = {ballot.panelist_id for ballot in tx.ballots.ballots(session_id) if ballot.panelist_id is not None}
    return {panelist_id: tx.book.panelist(panelist_id).alias for panelist_id in people}


def _noted(deviation: Deviation, plan: Plan, held: Held, looked: frozenset[str] = frozenset()) -> Noted:
    """``looked``: sets a look holds; these stay, whatever was noted afterwards."""
    ages = {serving.id: serving.age_seconds for serving in held.servings}
    whole_seat = {serving.id for serving in held.servings if serving.seat == deviation.seat}
    stays = not looked.isdisjoint({deviation.serving_id} if deviation.serving_id else whole_seat)
    return Noted(
        panelist=held.name_at(deviation.seat),
        age=ages.get(deviation.serving_id),
        kind=deviation.kind,
        reason=deviation.reason,
        leaves=deviation.kind in plan.set_apart and not stays,
    )


def _astray(rows: Iterable[Assessment], held: Held) -> Iterable[Noted]:
    """Sets that their marks show to be wrong strips, said like what was noted."""
    places = {one.id: one.place for one in held.servings}
    for row in rows:
        if row.marks:
            said = wrong_strip(places[row.serving_id], row.codes, row.marks)
            yield Noted(row.panelist, int(row.age), WRONG_STRIP, said, leaves=True)


def _remarks(held: Held) -> Iterable[Remark]:
    """Every remark, those on one set by strip age first."""
    served = {serving.id: serving for serving in held.servings}
    seats = {ballot.id: ballot.seat for ballot in held.ballots}
    said = [answer for answer in held.answers if answer.question == "remark" and answer.value]
    for answer in sorted(said, key=lambda one: (*_place(one, served), seats[one.ballot_id])):
        serving = served.get(answer.serving_id)
        yield Remark(held.name_at(seats[answer.ballot_id]), serving.age_seconds if serving else OVERALL, answer.value)


def _place(answer: Answer, served: dict[str, Serving]) -> tuple[bool, int]:
    serving = served.get(answer.serving_id)
    return serving is None, serving.age_seconds if serving else 0


def _key_seen_by(records: Iterable[Record], held: Held) -> Iterable[str]:
    looked = [read_body(record)["panelist_id"] for record in records if record.kind == "key shown"]
    for panelist_id in dict.fromkeys(looked):
        yield (held.aliases or {}).get(panelist_id, "")
