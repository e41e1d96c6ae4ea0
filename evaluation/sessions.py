"""Frozen values of a blind session: plan, seats, servings, questions, answers, and the states it may pass.

``A`` stands for the plan's first trial and ``B`` for its second wherever an order is written, as in ``"ABB"``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.states import STATES as STATES
from evaluation.ground.states import TRANSITIONS as TRANSITIONS
from evaluation.ground.states import State as State
from evaluation.ground.states import next_state as next_state
from evaluation.ground.terms import ALWAYS_OUT as ALWAYS_OUT
from evaluation.ground.terms import BALANCED as BALANCED
from evaluation.ground.terms import CLIPS as CLIPS
from evaluation.ground.terms import DESCRIPTOR_ORDERS as DESCRIPTOR_ORDERS
from evaluation.ground.terms import DEVIATIONS as DEVIATIONS
from evaluation.ground.terms import EARLY as EARLY
from evaluation.ground.terms import GO_BACK_ONCE as GO_BACK_ONCE
from evaluation.ground.terms import GOING_BACK as GOING_BACK
from evaluation.ground.terms import INDEPENDENT as INDEPENDENT
from evaluation.ground.terms import LATE as LATE
from evaluation.ground.terms import MEDIA as MEDIA
from evaluation.ground.terms import NO_GOING_BACK as NO_GOING_BACK
from evaluation.ground.terms import PREPARATIONS as PREPARATIONS
from evaluation.ground.terms import PRIORS as PRIORS
from evaluation.ground.terms import SHUFFLED as SHUFFLED
from evaluation.ground.terms import SKIN as SKIN
from evaluation.ground.terms import SMELT_ON as SMELT_ON
from evaluation.ground.terms import STOPS as STOPS
from evaluation.ground.terms import STRIP as STRIP
from evaluation.ground.terms import TIES_RULES as TIES_RULES
from evaluation.ground.terms import VIALS as VIALS
from evaluation.ground.terms import DescriptorOrder as DescriptorOrder
from evaluation.ground.terms import DeviationKind as DeviationKind
from evaluation.ground.terms import GoingBack as GoingBack
from evaluation.ground.terms import Law as Law
from evaluation.ground.terms import Media as Media
from evaluation.ground.terms import Medium as Medium
from evaluation.ground.terms import Preparation as Preparation
from evaluation.ground.terms import Prior as Prior
from evaluation.ground.terms import Side as Side
from evaluation.ground.terms import StopKind as StopKind
from evaluation.ground.terms import TiesRule as TiesRule
from evaluation.kinds import Design, Kind, Method
from evaluation.kinds.design import ADDED_SINCE, NOT_SAID, Flat, read
from evaluation.kinds.two_trials import LARGEST_SIZE as LARGEST_SIZE
from evaluation.kinds.two_trials import MOST_NULL_SETS as MOST_NULL_SETS
from evaluation.kinds.two_trials import MOST_REPLICATES as MOST_REPLICATES
from evaluation.kinds.two_trials import MOST_SEATS as MOST_SEATS
from evaluation.values.scales import Scale, scale_named
from evaluation.values.trials import MEANT, Meant

# Where a trial is applied on skin: the four quarters of the two inner forearms (common practice, no source).
SITES: Final = ("left upper forearm", "left lower forearm", "right upper forearm", "right lower forearm")
TRIAL_LETTERS: Final = "ABCDEFGHIJKLMNOP"  # how an order writes the trials of a plan, first trial first
OVERALL: Final = "overall"
NO_PREFERENCE: Final = "none"

YOUNGEST_SECONDS: Final = 30  # alcohol flash-off: youngest strip age we serve (retail guides; common practice)
OLDEST_SECONDS: Final = 7 * 24 * 3600
MOST_AGES: Final = 100  # far more than anybody smells: a bound for what is read from a file


@dataclass(frozen=True, slots=True)
class StripAge:
    """Time since dipping at which a strip is smelt, and how far off it may be."""

    seconds: int
    tolerance_seconds: int

    def __post_init__(self) -> None:
        checks.whole("strip age in seconds", self.seconds, YOUNGEST_SECONDS, OLDEST_SECONDS)
        checks.whole("tolerance in seconds", self.tolerance_seconds, 5, self.seconds)

    @property
    def minutes(self) -> float:
        """The age in minutes, for statistics and words; seconds are what is sealed."""
        return self.seconds / 60


@dataclass(frozen=True, slots=True)
class Seat:
    """A place at the session; ``panelist_id`` is None on a spare seat until somebody takes it."""

    number: int
    panelist_id: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that is decided before anybody smells, and sealed as it stands: a frame round one value of its kind.

    The frame is what every session has. What only some kinds have stands in ``design``, a value of the kind's own.
    """

    brief_id: str
    title: str
    design: Design
    medium: Media
    ages: tuple[StripAge, ...]
    primary: int | str | None  # seconds of one of the ages, "overall" (preferences), or None: corrected over all
    replicates: int
    seats: tuple[Seat, ...]
    alpha: Decimal
    beta: Decimal
    pd: Decimal
    ties_rule: TiesRule = "drop"
    plain_difference: bool = False  # the conductor holds the difference to be plain to everyone
    left_out: tuple[DeviationKind, ...] = ALWAYS_OUT
    confirmed: tuple[str, ...] = ()  # verdicts that cannot occur, confirmed in words by the conductor
    zone: str = "UTC"
    skin_ages: tuple[StripAge, ...] = ()  # times since application, where strip and skin are in one session
    going_back: GoingBack = ""  # one of GOING_BACK; "": not said, as before 2026-11-26
    draw: Law = BALANCED  # the law of the draw
    meant: Meant = ""  # which difference between bottles of one trial; "": no two of them are of one
    series_id: str = ""  # the series this is a sitting of; "": judged by itself, as before 2026-11-27
    beside: tuple[tuple[str, Any], ...] = ()  # sealed with it though it means nothing for its kind; see ``of``

    def __post_init__(self) -> None:
        checks.text("title", self.title, 120)
        checks.choice("medium", self.medium, MEDIA)
        checks.whole("replicates", self.replicates, 1, MOST_REPLICATES)
        for name in ("alpha", "beta", "pd"):
            checks.decimal(name, getattr(self, name), 1)
        _check_ages(self)
        _check_seats(self.seats)
        _check_rules(self)
        self.design.check(self)
        _check_skin_ages(self)
        if SKIN in self.media:
            _check_on_skin(self)
        checks.choice("draw", self.draw, (BALANCED, SHUFFLED if self.solo else INDEPENDENT))

    @classmethod
    def of(cls, **flat: Any) -> Plan:
        """A plan from its flat form, all kinds with the same fields: as plans are sealed, read and typed.

        A field that means nothing for the kind is refused where it would promise something, and else kept ``beside``,
        because it was hashed with the plan.
        """
        given = Flat(flat)
        design = read(given)
        frame = {name: given.take(name) for name in _FRAME if name in flat}
        return cls(design=design, beside=given.rest(design.kind), **frame)

    def as_sealed(self) -> dict[str, Any]:
        """The flat form. What was added after plans were sealed is not written at its old meaning, so that what was
        sealed before keeps its spelling and its hash.
        """
        said = {**NOT_SAID} | {name: getattr(self, name) for name in _FRAME} | self.design.flat() | dict(self.beside)
        return {name: value for name, value in said.items() if name not in _ADDED or _ADDED[name] != value}

    def changed(self, **flat: Any) -> Plan:
        """The same plan with other fields of its flat form."""
        return Plan.of(**self.as_sealed() | flat)

    @property
    def kind(self) -> Kind:
        """What holds of every session of this kind."""
        return self.design.kind

    @property
    def method(self) -> Method:
        """The kind, by its method."""
        return self.design.method

    @property
    def set_apart(self) -> tuple[DeviationKind, ...]:
        """Kinds of deviations that leave the primary analysis: a plan that leaves out late ones means early ones too.

        Until 2026-11-26 "late" was the one word for both directions, and what was sealed keeps its meaning.
        """
        if LATE not in self.left_out or EARLY in self.left_out:
            return self.left_out
        at = self.left_out.index(LATE)
        return (*self.left_out[:at], EARLY, *self.left_out[at:])

    @property
    def null_age_seconds(self) -> int:
        """The age at which null sets are served: the primary one, else the youngest."""
        return self.primary if isinstance(self.primary, int) else self.ages[0].seconds

    @property
    def people(self) -> int:
        """Planned panelists, spare seats not counted."""
        return sum(seat.panelist_id is not None for seat in self.seats)

    @property
    def assessments(self) -> int:
        """Planned answers at each strip age."""
        return self.people * self.replicates

    @property
    def trial_ids(self) -> tuple[str, ...]:
        """All trials compared, in the order of their letters."""
        return self.design.trial_ids

    @property
    def first_trial_id(self) -> str:
        """The trial an order writes as A."""
        return self.trial_ids[0]

    @property
    def second_trial_id(self) -> str:
        """The trial an order writes as B; the first where there is but one."""
        return self.trial_ids[:2][-1]

    @property
    def descriptor(self) -> str:
        """The word that names the direction; "" where none is named."""
        return self.design.descriptor

    @property
    def expected(self) -> Side:
        """The trial expected to show more of the descriptor; "" where none is named."""
        return self.design.expected

    @property
    def solo(self) -> bool:
        """True where one person prepares and smells; the shuffle is the draw."""
        return self.design.solo

    @property
    def preparation(self) -> Preparation:
        """Alone: how the strips are made blind."""
        return self.design.preparation

    @property
    def look_every(self) -> int:
        """Assessments between two looks of a sequential session; 0: judged once, at the end."""
        return self.design.look_every

    @property
    def size(self) -> Decimal | None:
        """The d-prime that matters, beside its pd; None: pd was said."""
        return self.design.size

    @property
    def null_sets(self) -> int:
        """Sets a nose, at one age, in which one bottle is served as if it were two."""
        return self.design.null_sets

    @property
    def sureness_weights(self) -> tuple[int, ...]:
        """What guess, unsure, fairly sure and sure weigh in *noticed*; (): every answer counts the same."""
        return self.design.sureness_weights

    @property
    def media(self) -> tuple[Medium, ...]:
        """What is smelt on: strip, skin, or both."""
        return SMELT_ON[self.medium]

    def ages_on(self, medium: Medium) -> tuple[StripAge, ...]:
        """The ages at which one medium is smelt; none where it is not part of the session."""
        if medium not in self.media:
            return ()
        return self.skin_ages if medium == SKIN and self.skin_ages else self.ages

    @property
    def strips_a_set(self) -> int:
        """Strips (or skin sites) in one set."""
        return self.design.strips_a_set

    @property
    def codes_a_set(self) -> int:
        """Codes on one tray."""
        return self.design.codes_a_set

    @property
    def strips_a_code(self) -> int:
        """Strips under one code: two in a fan."""
        return self.design.strips_a_code

    @property
    def samples(self) -> int:
        """What the letters of an order stand for."""
        return self.design.samples

    @property
    def sets_a_round(self) -> int:
        """Sets one nose smells at one age in one replicate."""
        return self.design.sets_a_round

    @property
    def strips(self) -> int:
        """Strips to dip for the planned panelists, null sets included."""
        if STRIP not in self.media:
            return 0
        ages = 1 if self.design.resmell else len(self.ages)
        sets = self.replicates * ages * self.sets_a_round + self.null_sets + self.design.warm_up
        return self.people * sets * self.strips_a_set

    def sets_at(self, age_seconds: int) -> int:
        """Sets each planned panelist smells at one strip age, null sets included."""
        null = self.null_sets if age_seconds == self.null_age_seconds else 0
        return self.replicates * self.sets_a_round + null

    @property
    def sets_per_nose(self) -> int:
        """Sets each planned panelist smells."""
        ages = sum(len(self.ages_on(medium)) for medium in self.media)
        return self.replicates * self.sets_a_round * ages + self.null_sets + self.design.warm_up


@dataclass(frozen=True, slots=True)
class Serving:
    """One set put before one nose: codes in tray order, which is the order on the ballot too.

    A spare serving has age and replicate 0 until it replaces a void one.
    """

    id: str
    seat: int
    place: int
    age_seconds: int
    replicate: int
    codes: tuple[str, ...]
    spare: bool = False
    void: bool = False
    medium: Medium = STRIP
    sites: tuple[str, ...] = ()  # on skin: where each code is
    dips: tuple[int, ...] = ()  # places on the tray, from 0, in the order of dipping (applying); (): in tray order

    @property
    def dipped(self) -> tuple[int, ...]:
        """Places on the tray, from 0, in the order of dipping."""
        return self.dips or tuple(range(len(self.codes)))

    @property
    def warm_up(self) -> bool:
        """A strip smelt before the others, whose ratings do not count."""
        return self.replicate == 0 and not self.spare


@dataclass(frozen=True, slots=True)
class Key:
    """What nobody who smells may see: the seed, which vial letter holds which trial, the order behind each tray."""

    seed: str
    letters: tuple[str, ...]  # of A, B, C, …; with null sets of A, B, a and b: "a" is the first trial in a second vial
    orders: tuple[tuple[str, str], ...]  # (serving id, order such as "ABB"); "" where a solo mark is not entered yet

    def order(self, serving_id: str) -> str:
        """The order behind the tray of a set; KeyError for a set of another session."""
        return dict(self.orders)[serving_id]


@dataclass(frozen=True, slots=True)
class Session:
    """A session as it stands: its plan, its state, and the hash the plan was sealed with."""

    id: str
    plan: Plan
    state: State
    made_at: int
    sealed_hash: str = ""


@dataclass(frozen=True, slots=True)
class Ballot:
    """One panelist's way in; raising ``issue`` revokes every link given before."""

    id: str
    session_id: str
    seat: int
    panelist_id: str | None
    issue: int
    finished_at: int | None


@dataclass(frozen=True, slots=True)
class Question:
    """One thing asked on a ballot. ``serving_id`` is "" for what is asked once per session."""

    serving_id: str
    name: str  # choice, sure, nearer, overall, overheard, recognised, ranking, "rate woody", "wear 482", …
    codes: tuple[str, ...]
    options: tuple[str, ...]
    pick: int = 1  # how many options make an answer
    kind: str = "choice"  # "ranking": all codes, best first; or the name of the scale on which something is rated

    @property
    def scale(self) -> Scale | None:
        """The scale of a rating, which shares a screen with all ratings of its strip; None where nothing is rated."""
        return scale_named(self.kind)

    @property
    def in_order(self) -> bool:
        """True where all codes are put in order, the best first."""
        return self.kind == "ranking"


@dataclass(frozen=True, slots=True)
class Answer:
    """A locked answer; ``value`` holds one option, or the picked ones joined by "+"."""

    ballot_id: str
    serving_id: str
    question: str
    value: str
    at: int


@dataclass(frozen=True, slots=True)
class Deviation:
    """Something that did not go by the plan; ``serving_id`` "" means the whole seat."""

    serving_id: str
    seat: int
    kind: DeviationKind
    reason: str
    at: int

    def __post_init__(self) -> None:
        checks.choice("kind", self.kind, DEVIATIONS)
        checks.text("reason", self.reason, 400)


@dataclass(frozen=True, slots=True)
class Stop:
    """Somebody stopped: their skin reacts, or they feel unwell."""

    ballot_id: str
    seat: int
    kind: StopKind
    at: int


@dataclass(frozen=True, slots=True)
class Record:
    """One line of the session's log: append-only, each hash covering the one before."""

    session_id: str
    sequence: int
    at: int
    kind: str
    body: str  # canonical JSON
    hash: str


# --- checks of a plan ------------------------------------------------------------------------------------------


def _check_ages(plan: Plan) -> None:
    seconds = [age.seconds for age in plan.ages]
    if not seconds or seconds != sorted(set(seconds)):
        raise ArgumentError("strip ages must be one or more different times, youngest first.")
    if len(seconds) > MOST_AGES:
        raise ArgumentError(f"strip ages must be at most {MOST_AGES}, not {len(seconds)}.")
    allowed = (None, *seconds, OVERALL) if plan.kind.votes and len(seconds) > 1 else (None, *seconds)
    checks.choice("primary", plan.primary, allowed)
    if len(seconds) == 1 and plan.primary != seconds[0]:
        raise ArgumentError("primary must be the strip age itself where there is only one.")


def _check_seats(seats: tuple[Seat, ...]) -> None:
    people = [seat.panelist_id for seat in seats if seat.panelist_id is not None]
    if not people:
        raise ArgumentError("panel must have at least one person.")
    if len(people) != len(set(people)):
        raise ArgumentError("panel must name each person once.")
    if [seat.number for seat in seats] != list(range(1, len(seats) + 1)) or len(seats) > MOST_SEATS:
        raise ArgumentError(f"seats must be numbered from 1 and be at most {MOST_SEATS}.")


def _check_rules(plan: Plan) -> None:
    checks.choice("ties rule", plan.ties_rule, TIES_RULES)
    checks.choice("difference meant", plan.meant, MEANT)
    checks.choice("going back", plan.going_back, ("", *GOING_BACK))
    for kind in plan.left_out:
        checks.choice("left out", kind, DEVIATIONS)
    if not set(ALWAYS_OUT) <= set(plan.left_out):
        raise ArgumentError(f"left out must include {', '.join(ALWAYS_OUT)}.")


def _check_skin_ages(plan: Plan) -> None:
    if plan.skin_ages and SKIN not in plan.media:
        raise ArgumentError("times on skin belong to sessions on skin.")
    if bool(plan.skin_ages) != (len(plan.media) > 1):
        raise ArgumentError("times on skin must be given where strip and skin are in one session, and only there.")
    seconds = [age.seconds for age in plan.skin_ages]
    if seconds != sorted(set(seconds)):
        raise ArgumentError("times on skin must be different ones, youngest first.")


def _check_on_skin(plan: Plan) -> None:
    if plan.design.needs_strips:
        raise ArgumentError(
            "a session on skin cannot be held alone, with looks, null sets, a warm-up strip or second strips."
        )
    if plan.strips_a_set * (plan.sets_a_round * plan.replicates if plan.kind.rates else 1) > len(SITES):
        raise ArgumentError(f"skin has room for {len(SITES)} codes at once: take fewer trials or another method.")
    if not plan.kind.rates and (plan.replicates > 1 or any(len(plan.ages_on(m)) > 1 for m in plan.media)):
        raise ArgumentError(
            "a choice on skin has one time and one replicate: its codes stay where they are, and a code met again "
            "would tell the earlier answer."
        )
    if plan.kind.pairs:
        raise ArgumentError("a round of pairs needs more skin than there is: compare two trials at a time.")


_FRAME: Final = tuple(one.name for one in fields(Plan) if one.name not in {"design", "beside"})
# Fields of the flat form added after plans were sealed, with what they say in those.
_ADDED: Final[Mapping[str, Any]] = MappingProxyType(
    {"going_back": "", "draw": BALANCED, "meant": "", "series_id": "", **{name: NOT_SAID[name] for name in ADDED_SINCE}}
)
