"""What one panelist sees next, and locking an answer. Kept light: it runs at every tap of every phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from evaluation.actions.begins import Begin, begun_sets, note_age, write_begin
from evaluation.errors import AlreadyAnswered, ArgumentError, StateError
from evaluation.ground import checks
from evaluation.kinds import Method, Profile
from evaluation.serving.asking import RATE, questions, to_smell
from evaluation.serving.dipping import (
    Begun,
    Judged,
    Pace,
    Slot,
    begun_at,
    dip_times,
    heard_at,
    judge,
    pace_of,
    planned_age,
    slots,
    smell_at,
)
from evaluation.serving.smelling import Way, way, ways
from evaluation.sessions import (
    DEVIATIONS,
    SKIN,
    STRIP,
    Answer,
    Ballot,
    Deviation,
    Medium,
    Plan,
    Question,
    Serving,
    Session,
    State,
)
from evaluation.store import Notebook, Transaction
from evaluation.store.ballots import Seen
from evaluation.values.descriptors import Descriptor

# Questions whose "yes" is a deviation of the same name: of the whole seat, or of the set they are asked about.
TELLING: Final = frozenset({"overheard", "recognised"})
ANOTHER_FIRST: Final = "Another question comes first, or this set was replaced: the next one is shown now."


@dataclass(frozen=True, slots=True)
class BallotView:
    """All that a panelist's screen may know: no trial, no key, nobody else's answers."""

    ballot: Ballot
    state: State  # the session's: sealed (not yet), smelling, closed (thank you), …
    method: Method
    descriptor: str
    brief_text: str  # preferences and rounds only: what the scent should be
    question: Question | None  # None: nothing (more) to answer
    number: int  # of the question, from 1
    total: int
    set_number: int  # of the serving, from 1; 0 for questions about the whole session
    sets: int
    age_seconds: int
    replicate: int
    screen: tuple[Question, ...] = ()  # all that is asked together: one question, or every rating of one strip
    drafts: Mapping[str, str] = field(default_factory=dict)  # by name of a rating: tapped, and not locked yet
    descriptors: tuple[Descriptor, ...] = ()  # of a profile, with end words and definitions
    medium: Medium = STRIP
    sites: tuple[str, ...] = ()  # on skin: where each code is
    warm_up: bool = False  # this strip's ratings do not count
    on_strips: bool = True
    on_skin: bool = False  # trials of this session are on this person's skin: the skin may react
    off_skin: bool = False  # this person has said so: nothing more is asked about skin
    unwell: bool = False  # this person has said that they do not feel well
    zone: str = "UTC"
    smell_at: int | None = None  # when the set that comes next is to be smelt, as far as anybody knows
    smell_in: int = 0  # milliseconds until then, negative where it has passed
    dipped: bool = False  # its strips are dipped
    begun: bool = False  # its smelling has begun: somebody said so, or tapped or answered something about it
    age: Judged | None = None  # of its strips: now, or when it was begun; None where the question is about no set
    ways: tuple[Way, ...] = ()  # how sets are smelt, one for each medium of the session
    rest_in: int | None = None  # milliseconds of the rest between two sets that are left; None: no set came before
    sitting: tuple[int, int] | None = None  # which begins with this strip, of how many; None where none does

    @property
    def way(self) -> Way | None:
        """How the set of this question is smelt; None where none is."""
        return next((one for one in self.ways if one.medium == self.medium), None)


def view(notebook: Notebook, ballot_id: str) -> BallotView:
    """The next open question of this ballot."""
    with notebook.reading() as tx:
        return view_in(tx, ballot_id)


def view_in(tx: Transaction, ballot_id: str) -> BallotView:
    """The same inside a transaction of the caller, who has asked there already whose ballot it is."""
    ballot = tx.ballots.ballot(ballot_id)
    session = tx.sittings.session(ballot.session_id)
    plan = session.plan
    sheet = _sheet(tx, ballot, plan)
    text = tx.book.brief(plan.brief_id).text if plan.kind.likes else ""
    screen = sheet.screen if session.state == "smelling" else ()
    rating = screen and screen[0].scale
    unwell = tx.live.stopped(ballot_id, "unwell")
    drafts = tx.ballots.drafts(ballot_id, screen[0].serving_id) if rating else {}
    coming, now = sheet.coming, tx.clock.now()
    smelt_at = sheet.times.get(coming.id) if coming else None
    begun = bool(drafts) or (coming is not None and sheet.started(coming.id))
    serving = next((s for s in sheet.servings if screen and s.id == screen[0].serving_id), None)
    counted = [s for s in sheet.servings if not s.warm_up]
    return BallotView(
        ballot,
        session.state,
        plan.method,
        plan.descriptor,
        text,
        screen[0] if screen else None,
        number=sheet.total - len(sheet.open) + 1,
        total=sheet.total,
        set_number=counted.index(serving) + 1 if serving in counted else 0,
        sets=len(counted),
        age_seconds=serving.age_seconds if serving else 0,
        replicate=serving.replicate if serving else 0,
        screen=screen,
        drafts=drafts,
        descriptors=Profile.of(plan).descriptors if plan.kind.rates else (),
        medium=serving.medium if serving else STRIP,
        sites=serving.sites if serving else (),
        warm_up=serving is not None and serving.warm_up,
        on_strips=STRIP in plan.media,
        on_skin=SKIN in plan.media,
        off_skin=sheet.off_skin,
        unwell=unwell,
        zone=plan.zone,
        smell_at=smelt_at,
        smell_in=0 if smelt_at is None else smelt_at - now,
        dipped=coming is not None and coming.id in sheet.dipped,
        begun=begun,
        age=sheet.age_told(coming, now, begun) if coming else None,
        ways=ways(plan),
        rest_in=_rest(sheet, way(plan, coming.medium), now) if coming else None,
        sitting=_sitting(plan, counted, serving),
    )


def _sitting(plan: Plan, served: Sequence[Serving], serving: Serving | None) -> tuple[int, int] | None:
    """Where bottles separate changes every replicate is a sitting, told from the second on at its first strip."""
    if plan.design.separation is None or serving is None or serving.replicate < 2:
        return None
    first = min((one for one in served if one.replicate == serving.replicate), key=lambda one: one.place)
    return (serving.replicate, plan.replicates) if first == serving else None


def _rest(sheet: _Sheet, how: Way, now: int) -> int | None:
    """What is left of the proposed rest after the set before; nothing waits for it."""
    return None if sheet.last_at is None else max(0, sheet.last_at + 1000 * how.rest_seconds - now)


def begin(notebook: Notebook, ballot_id: str, serving_id: str, asked: str = "") -> str:
    """The first strip of the set that comes next is smelt now: written down with the real age of its strips.

    Where that is not the age they were planned for, nothing is written down yet, and what is to be asked first is
    returned: "early", "late" or "unknown". Who was asked and goes on comes back with it as ``asked``; another answer
    than "" then means that it has changed meanwhile. Nobody is kept from smelling, and a set begins once.
    """
    with notebook.writing() as tx:
        ballot, session, sheet = _taking(tx, tx.ballots.held(ballot_id))  # two tabs begin a set once
        serving, now = sheet.coming, notebook.clock.now()
        if serving is None or serving.id != serving_id:
            raise StateError(ANOTHER_FIRST)
        if serving.warm_up or sheet.started(serving_id):
            return ""
        found = sheet.judged(serving, begun_at(now))
        if found.word in ("", asked):
            write_begin(tx, session.id, ballot.id, serving, found, now)
            return ""
        return found.word


def lock(notebook: Notebook, ballot_id: str, serving_id: str, question: str, value: str, remark: str = "") -> str:
    """Make ``value`` the final answer to the question this ballot stands at, with an optional remark; its receipt.

    A question already answered raises AlreadyAnswered and changes nothing; so does anything but the next question.
    """
    return lock_screen(notebook, ballot_id, serving_id, {question: value}, remark)


def lock_screen(
    notebook: Notebook, ballot_id: str, serving_id: str, values: Mapping[str, str], remark: str = ""
) -> str:
    """Make ``values``, by name of the question, the final answers to the screen this ballot stands at, all or none.

    Returns a receipt by which it can be shown later that they were stored (``evaluation.ground.receipts``).
    A rating screen takes a value for each of its questions; one that is missing is named and nothing is stored.
    """
    with notebook.writing() as tx:
        return lock_in(tx, ballot_id, serving_id, values, remark)


def lock_in(tx: Transaction, ballot_id: str, serving_id: str, values: Mapping[str, str], remark: str = "") -> str:
    """The same inside a transaction of the caller; alone all questions about a set may be locked as one screen."""
    ballot, session, sheet = _taking(tx, tx.ballots.held(ballot_id))  # nothing below is stale
    screen = _screen_now(sheet, serving_id, values)
    now = tx.clock.now()
    first = not sheet.answered_of(serving_id)
    answers = [Answer(ballot_id, serving_id, q.name, checked_value(q, values[q.name]), now) for q in screen]
    said = checks.text("remark", remark, 1000, empty=True)
    if said and (serving_id, "remark") in sheet.answered:
        raise StateError("A remark was left here already: lock the answer without another one.")
    if said:
        answers.append(Answer(ballot_id, serving_id, "remark", said, now))
    receipt = tx.ballots.lock(ballot_id, answers, Seen(ballot, session.state, sheet.served))
    for question in TELLING & values.keys():
        if values[question] == "yes":
            kind = checks.term("kind", question, DEVIATIONS)
            tx.sittings.note_deviation(session.id, Deviation(serving_id, ballot.seat, kind, "said on the ballot", now))
    if serving_id and first:
        _note_age(tx, session, sheet, serving_id, ballot_id, now)
    if len(sheet.open) == len(screen):
        tx.ballots.finish(ballot_id)
    return receipt


def _note_age(tx: Transaction, session: Session, sheet: _Sheet, serving_id: str, ballot_id: str, now: int) -> None:
    """What the first answer about a set makes known: whether it was smelt early or late."""
    serving = next(one for one in sheet.servings if one.id == serving_id)
    rated = session.plan.kind.rates  # only there taps are kept before the lock
    taps = tx.ballots.first_taps(session.id, ballot_id) if rated else {}
    tapped = taps.get((ballot_id, serving_id), now)
    known = sheet.begins.get(serving_id)
    found = sheet.judged(serving, heard_at(tapped, sheet.pace))
    note_age(tx, session, serving, found, known.asked if known else "")


def stop(notebook: Notebook, ballot_id: str, kind: str) -> None:
    """Write down at once that this person's skin reacts ("skin") or that they feel unwell; again changes nothing.

    A reaction ends the skin part of this ballot and speaks of the materials of the session's trials: nothing with them
    goes on anybody's skin before the conductor decides. It is taken in any state from sealed on: skin may react after
    the last answer.
    """
    with notebook.writing() as tx:
        ballot = tx.ballots.ballot(ballot_id)
        session = tx.sittings.session(ballot.session_id)
        if kind == SKIN and SKIN not in session.plan.media:
            raise StateError("Nothing of this session is on skin: tell the conductor.")
        if not tx.live.stop(ballot_id, kind) or kind != SKIN:
            return
        tx.reactions.after_stop(session.id, ballot.panelist_id, session.plan.trial_ids)
        if session.state == "smelling" and not _sheet(tx, ballot, session.plan).open:
            tx.ballots.finish(ballot_id)


def draft(notebook: Notebook, ballot_id: str, serving_id: str, values: Mapping[str, str]) -> None:
    """Keep what was tapped on a rating screen, by name of the question: no answer yet, the latest of each counts."""
    with notebook.writing() as tx:
        _, _, sheet = _taking(tx, tx.ballots.ballot(ballot_id))
        asked = {q.name: q for q in sheet.screen if q.serving_id == serving_id}
        for name, value in values.items():
            if name not in asked or asked[name].scale is None:
                raise StateError("This strip is locked already, or was replaced: the next one is shown now.")
            tx.ballots.draft(ballot_id, serving_id, name, checked_value(asked[name], value))


def _taking(tx: Transaction, ballot: Ballot) -> tuple[Ballot, Session, _Sheet]:
    """The ballot, its session and what is open on it, if answers are taken."""
    session = tx.sittings.session(ballot.session_id)
    if session.state != "smelling":
        raise StateError("Answers are taken only while the session is running.")
    if ballot.panelist_id is None:
        raise StateError("Nobody sits on this seat yet: the conductor gives it to somebody first.")
    return ballot, session, _sheet(tx, ballot, session.plan)


@dataclass(frozen=True, slots=True)
class _Sheet:
    served: tuple[Serving, ...]  # all of the seat, spare and void ones too
    servings: tuple[Serving, ...]  # those to be smelt, in order
    total: int
    open: tuple[Question, ...]
    answered: frozenset[tuple[str, str]]
    off_skin: bool
    last_at: int | None  # when something was last answered about a set
    plan: Plan
    times: Mapping[str, int]  # by serving: when it is to be smelt, as far as anybody knows
    dipped: Mapping[str, int]  # by serving: when its strips were done
    begins: Mapping[str, Begin]
    pace: Pace

    @property
    def coming(self) -> Serving | None:
        """The set that is asked about next."""
        first = self.open[0].serving_id if self.open else ""
        return next((one for one in self.servings if one.id == first), None)

    def answered_of(self, serving_id: str) -> bool:
        """Whether something is locked about a set."""
        return any(one == serving_id for one, _ in self.answered)

    def started(self, serving_id: str) -> bool:
        """Whether the smelling of a set has begun, by what is written down."""
        return serving_id in self.begins or self.answered_of(serving_id)

    def judged(self, serving: Serving, otherwise: Begun) -> Judged:
        """A set against its planned age, as it was begun; ``otherwise``: where no tap told when."""
        known = self.begins.get(serving.id)
        begun = known.begun if known else otherwise
        return judge(serving, planned_age(self.plan, serving), self.dipped.get(serving.id), begun, self.pace)

    def age_told(self, serving: Serving, now: int, begun: bool) -> Judged | None:
        """What its ballot says of the age of a set; None where it was begun, nobody knows when."""
        found = self.judged(serving, begun_at(now))
        untold = begun and serving.id not in self.begins and found.real is not None
        return None if untold else found

    @property
    def screen(self) -> tuple[Question, ...]:
        """What is asked now: all ratings of one strip together, anything else by itself."""
        first = self.open[:1]
        if not first or first[0].scale is None:
            return first
        return tuple(q for q in self.open if q.serving_id == first[0].serving_id and q.scale)

    def screen_of(self, names: Set[str]) -> tuple[Question, ...]:
        """The screen that is answered by these names: alone it may hold all that is open about the set."""
        whole = tuple(q for q in self.open if q.serving_id == self.open[0].serving_id)
        return whole if self.plan.solo and {q.name for q in whole} == names else self.screen


def _sheet(tx: Transaction, ballot: Ballot, plan: Plan) -> _Sheet:
    served = tx.sittings.servings(ballot.session_id, ballot.seat)
    off_skin = SKIN in plan.media and tx.live.stopped(ballot.id, SKIN)
    smelt = tuple(to_smell(served, off_skin=off_skin))
    answers = tx.ballots.answers(ballot.id)
    answered = frozenset((a.serving_id, a.question) for a in answers)
    last_at = max((a.at for a in answers if a.serving_id), default=None)
    groups: tuple[tuple[str, ...], ...] = ()
    if plan.kind.votes and len(plan.ages) > 1 and all((s.id, "choice") in answered for s in smelt):
        groups = tx.ballots.groups_for(ballot.id)
    newest = tx.live.timetable(ballot.session_id)
    planned, pace = slots(newest.body if newest else None), pace_of(newest.body if newest else None, plan.strips_a_code)
    dipped = dip_times(smelt, tx.live.dips(ballot.session_id, ballot.seat))
    times = _times(plan, smelt, planned, dipped, pace)
    started = begun_sets(tx, ballot.session_id, ballot.id)
    begun = {one for one, _ in answered} | started.keys() | {one.id for one in smelt if one.warm_up}
    in_order = {one: times[one] for one in planned.keys() & times.keys()}
    listed = _timed(questions(plan, served, groups, off_skin=off_skin), in_order, begun)
    still_open = tuple(q for q in listed if (q.serving_id, q.name) not in answered)
    return _Sheet(
        served, smelt, len(listed), still_open, answered, off_skin, last_at, plan, times, dipped, started, pace
    )


def _times(
    plan: Plan, smelt: Sequence[Serving], planned: Mapping[str, Slot], dipped: Mapping[str, int], pace: Pace
) -> dict[str, int]:
    """When each set is to be smelt, of those of which anybody knows; by the clock that the bench has too."""
    each = {one.id: (one, planned_age(plan, one), planned.get(one.id), dipped.get(one.id)) for one in smelt}
    found = {name: smell_at(*known, pace) for name, known in each.items() if not known[0].warm_up}
    return {name: at for name, at in found.items() if at is not None}


def _timed(listed: tuple[Question, ...], times: Mapping[str, int], begun: Set[str]) -> tuple[Question, ...]:
    """Sets in the order of the timetable, as they are called; ``begun`` (warm-up strips too) first, the end last."""
    last = max(times.values(), default=0) + 1

    def place(asked: Question) -> int:
        if not asked.serving_id:
            return last + 1
        return 0 if asked.serving_id in begun else times.get(asked.serving_id, last)

    return tuple(sorted(listed, key=place))


def _screen_now(sheet: _Sheet, serving_id: str, values: Mapping[str, str]) -> tuple[Question, ...]:
    """The questions of the screen now open, if ``values`` are its answers and every one of them."""
    if any((serving_id, name) in sheet.answered for name in values):
        raise AlreadyAnswered("This question is already answered; the answer stays as it was.")
    screen = sheet.screen_of(values.keys())
    names = [q.name for q in screen]
    if not values or {q.serving_id for q in screen} != {serving_id} or not set(values) <= set(names):
        raise StateError(ANOTHER_FIRST)
    missing = [name.removeprefix(RATE) for name in names if name not in values]
    if missing:
        raise ArgumentError(
            f"Nothing was stored: {', '.join(missing)} {'has' if len(missing) == 1 else 'have'} no answer yet."
        )
    return screen


def checked_value(asked: Question, value: str) -> str:
    """``value`` if it answers the question, as it is stored: picked options in tray order, a ranking best first."""
    return _CHECKED["rating" if asked.scale else asked.kind](asked, value)


def _choice(asked: Question, value: str) -> str:
    if asked.pick == 1:
        return _one_of(asked, value)
    picked = value.split("+")
    if len(picked) != asked.pick or len(set(picked)) != asked.pick or not set(picked) <= set(asked.options):
        raise ArgumentError(f"Choose exactly {asked.pick} of: {', '.join(asked.options)}.")
    return "+".join(option for option in asked.options if option in picked)


def _one_of(asked: Question, value: str) -> str:
    if value not in asked.options:
        raise ArgumentError(f"Choose one of: {', '.join(asked.options)}.")
    return value


def _on_scale(asked: Question, value: str) -> str:
    if asked.scale is None or not asked.scale.marked:
        return _one_of(asked, value)
    if not asked.scale.takes(value):
        raise ArgumentError(f"Mark the line from 0.0 to 10.0, with one decimal, or choose: {', '.join(asked.options)}.")
    return value


def _in_order(asked: Question, value: str) -> str:
    if sorted(value.split(">")) != sorted(asked.options):
        raise ArgumentError(f"Put each of {', '.join(asked.options)} in order once, the best first.")
    return value


_CHECKED: Final = MappingProxyType({"choice": _choice, "rating": _on_scale, "ranking": _in_order})
