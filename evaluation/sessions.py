"""Frozen values of a blind session: plan, seats, servings, questions, answers, and the states it may pass.

``A`` stands for the plan's first trial and ``B`` for its second wherever an order is written, as in ``"ABB"``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from evaluation import checks
from evaluation.canonical import ADDED
from evaluation.descriptors import Descriptor, check_list
from evaluation.errors import ArgumentError
from evaluation.states import STATES as STATES
from evaluation.states import TRANSITIONS as TRANSITIONS
from evaluation.states import next_state as next_state

FORCED_CHOICE: Final = ("triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five")
METHODS: Final = (*FORCED_CHOICE, "preference")  # two trials, a verdict in words
SEVERAL: Final = MappingProxyType({"profile": (2, 6), "round": (3, 8), "ranking": (3, 6)})  # fewest and most trials
ALL_METHODS: Final = (*METHODS, *SEVERAL)
DIRECTED: Final = frozenset({"2-afc", "3-afc"})  # they name a descriptor and an expected direction
STRIPS: Final = MappingProxyType(
    {"triangle": 3, "duo-trio": 3, "tetrad": 4, "2-afc": 2, "3-afc": 3, "two-out-of-five": 5, "preference": 2}
)  # of the methods for two trials; see Plan.strips_a_set for the others
SIZED: Final = FORCED_CHOICE[:-1]  # those whose d-prime is known
STRIP: Final = "strip"
SKIN: Final = "skin"
MEDIA: Final = (STRIP, SKIN, "strip and skin")
# Where a trial is applied on skin: the four quarters of the two inner forearms (common practice, no source).
SITES: Final = ("left upper forearm", "left lower forearm", "right upper forearm", "right lower forearm")
TRIAL_LETTERS: Final = "ABCDEFGH"  # how an order writes the trials of a plan, first trial first
DESCRIPTOR_ORDERS: Final = ("fixed", "drawn")  # for everybody alike, or drawn for each panelist
TIES_RULES: Final = ("drop", "split")
# Whether a strip already smelt may be smelt again before the answer is locked: told to everybody, never enforced.
NO_GOING_BACK: Final = "no"
GO_BACK_ONCE: Final = "once"
GOING_BACK: Final = (NO_GOING_BACK, GO_BACK_ONCE)
# By which law orders, places on skin and dips are drawn: balanced over the panel and dipped in tray order (everything
# sealed before 2026-11-26), each by itself and uniformly, or not at all: alone the shuffle is the draw.
BALANCED: Final = "balanced"
INDEPENDENT: Final = "independent"
SHUFFLED: Final = "shuffled"
OVERALL: Final = "overall"
NO_PREFERENCE: Final = "none"

YOUNGEST_SECONDS: Final = 30  # alcohol flash-off: youngest strip age we serve (retail guides; common practice)
OLDEST_SECONDS: Final = 7 * 24 * 3600
MOST_SEATS: Final = 80
MOST_REPLICATES: Final = 60
MOST_NULL_SETS: Final = 4
LARGEST_SIZE: Final = 5  # d-prime: side by side all but 2 of 10 000 pick right
# Alone, one person prepares and smells: what the strips are is entered afterwards from their hidden marks.
SOLO_METHODS: Final = ("triangle", "tetrad", "2-afc", "3-afc")
# How strips are blinded alone: like clips over marks, shuffled after dipping, or like vials, drawn blind before it. "":
# sealed before 2026-11-26, when nothing was said and no dip was tapped.
CLIPS: Final = "clips"
VIALS: Final = "vials"
PREPARATIONS: Final = ("", CLIPS, VIALS)
PRIORS: Final = ("sceptical", "flat", "hopeful")

# What may set an assessment apart. A plan seals which of these leave its primary analysis.
EARLY: Final = "early"  # smelt outside the tolerance of the strip age: too young
LATE: Final = "late"  # and too old; before 2026-11-26 both were noted as late
DEVIATIONS: Final = (
    *(EARLY, LATE, "wrong strip", "ruined strip", "unblinded", "overheard", "recognised"),
    "wrong code",  # another code was locked than the one meant
)
STOPS: Final = ("skin", "unwell")  # why somebody stops: the skin reacts, or they feel unwell
ALWAYS_OUT: Final = ("wrong strip", "ruined strip", "unblinded")


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
        return self.seconds / 60


@dataclass(frozen=True, slots=True)
class Seat:
    """A place at the session; ``panelist_id`` is None on a spare seat until somebody takes it."""

    number: int
    panelist_id: str | None


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that is decided before anybody smells, and sealed as it stands."""

    brief_id: str
    title: str
    method: str
    first_trial_id: str
    second_trial_id: str
    medium: str
    ages: tuple[StripAge, ...]
    primary: int | str | None  # seconds of one of the ages, "overall" (preferences), or None: corrected over all
    replicates: int
    seats: tuple[Seat, ...]
    alpha: Decimal
    beta: Decimal
    pd: Decimal
    descriptor: str = ""
    expected: str = ""  # "first" or "second": the trial expected to show more of the descriptor
    ties_allowed: bool = True
    ties_rule: str = "drop"
    asks_nearer: bool = True  # preferences: also ask which is nearer the brief (there must be a brief text to show)
    plain_difference: bool = False  # the conductor holds the difference to be plain to everyone
    left_out: tuple[str, ...] = ALWAYS_OUT
    solo: bool = False  # one person prepares and smells; the shuffle is the draw
    look_every: int = 0  # assessments between two looks of a sequential session; 0: judged once, at the end
    null_sets: int = 0  # sets a nose, at the first look's age, in which one trial is served as if it were two
    prior: str = "flat"  # of the second opinion, never of the verdict
    confirmed: tuple[str, ...] = ()  # verdicts that cannot occur, confirmed in words by the conductor
    zone: str = "UTC"
    other_trial_ids: tuple[str, ...] = ()  # beyond the first two: profiles, rounds and rankings
    skin_ages: tuple[StripAge, ...] = ()  # times since application, where strip and skin are in one session
    descriptors: tuple[Descriptor, ...] = ()  # profiles: what is rated, in the order of the list
    descriptor_order: str = "fixed"
    asks_strength: bool = True  # profiles: strength and liking are questions of their own
    asks_liking: bool = False
    resmell: bool = False  # profiles: each panelist smells the own strip again at every age, under its old code
    warm_up: bool = False  # profiles: one strip before the others whose ratings do not count
    pairs_each: int = 0  # rounds: pairs each nose smells; 0: all of them
    expected_order: tuple[str, ...] = ()  # rankings: trial ids in an order expected in advance, least first
    going_back: str = field(default="", metadata=ADDED)  # one of GOING_BACK; "": not said, as before 2026-11-26
    size: Decimal | None = field(default=None, metadata=ADDED)  # d-prime that matters, beside its pd; None: pd was said
    draw: str = field(default=BALANCED, metadata=ADDED)  # the law of the draw
    preparation: str = field(default="", metadata=ADDED)  # alone: one of PREPARATIONS

    def __post_init__(self) -> None:
        checks.text("title", self.title, 120)
        checks.choice("method", self.method, ALL_METHODS)
        checks.choice("medium", self.medium, MEDIA)
        if self.first_trial_id == self.second_trial_id:
            raise ArgumentError(
                "second trial must be another trial than the first: a trial cannot be told from itself."
            )
        checks.whole("replicates", self.replicates, 1, MOST_REPLICATES)
        for name in ("alpha", "beta", "pd"):
            checks.decimal(name, getattr(self, name), 1)
        _check_ages(self)
        _check_seats(self.seats)
        _check_method(self)
        _check_several(self)
        _check_skin(self)
        checks.choice("prior", self.prior, PRIORS)
        checks.choice("going back", self.going_back, ("", *GOING_BACK))
        _check_null_sets(self)
        _check_solo(self)
        _check_looks(self)
        checks.choice("draw", self.draw, (BALANCED, SHUFFLED if self.solo else INDEPENDENT))

    @property
    def set_apart(self) -> tuple[str, ...]:
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
        return (self.first_trial_id, self.second_trial_id, *self.other_trial_ids)

    @property
    def media(self) -> tuple[str, ...]:
        """What is smelt on: strip, skin, or both."""
        return tuple(self.medium.split(" and "))

    def ages_on(self, medium: str) -> tuple[StripAge, ...]:
        """The ages at which one medium is smelt; none where it is not part of the session."""
        if medium not in self.media:
            return ()
        return self.skin_ages if medium == SKIN and self.skin_ages else self.ages

    @property
    def strips_a_set(self) -> int:
        """Strips (or skin sites) in one set."""
        return {"profile": 1, "round": 2, "ranking": len(self.trial_ids), **STRIPS}[self.method]

    @property
    def sets_a_round(self) -> int:
        """Sets one nose smells at one age in one replicate."""
        trials = len(self.trial_ids)
        return {"profile": trials, "round": self.pairs_each or trials * (trials - 1) // 2}.get(self.method, 1)

    @property
    def strips(self) -> int:
        """Strips to dip for the planned panelists, null sets included."""
        if STRIP not in self.media:
            return 0
        ages = 1 if self.resmell else len(self.ages)
        sets = self.replicates * ages * self.sets_a_round + self.null_sets + self.warm_up
        return self.people * sets * self.strips_a_set

    def sets_at(self, age_seconds: int) -> int:
        """Sets each planned panelist smells at one strip age, null sets included."""
        null = self.null_sets if age_seconds == self.null_age_seconds else 0
        return self.replicates * self.sets_a_round + null

    @property
    def sets_per_nose(self) -> int:
        """Sets each planned panelist smells."""
        ages = sum(len(self.ages_on(medium)) for medium in self.media)
        return self.replicates * self.sets_a_round * ages + self.null_sets + self.warm_up


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
    medium: str = STRIP
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
        return dict(self.orders)[serving_id]


@dataclass(frozen=True, slots=True)
class Session:
    """A session as it stands: its plan, its state, and the hash the plan was sealed with."""

    id: str
    plan: Plan
    state: str
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
    kind: str = "choice"  # "line", "category", "check", "level" on rating screens; "ranking": all codes, best first


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
    kind: str
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
    kind: str
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
    allowed = (None, *seconds, OVERALL) if plan.method == "preference" and len(seconds) > 1 else (None, *seconds)
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


def _check_several(plan: Plan) -> None:
    trials = plan.trial_ids
    if plan.method not in SEVERAL:
        if plan.other_trial_ids or plan.descriptors or plan.resmell or plan.warm_up:
            raise ArgumentError(f"further trials, descriptors, re-smelling and warm-up do not belong to {plan.method}.")
        return
    fewest, most = SEVERAL[plan.method]
    if len(set(trials)) != len(trials) or not fewest <= len(trials) <= most:
        raise ArgumentError(f"trials of a {plan.method} must be {fewest} to {most} different ones.")
    if plan.solo or plan.look_every or plan.null_sets:
        raise ArgumentError(f"a {plan.method} cannot be held alone, with looks, or with null sets.")
    checks.choice("descriptor order", plan.descriptor_order, DESCRIPTOR_ORDERS)
    if plan.method == "profile":
        check_list(plan.descriptors)
        if not (plan.descriptors or plan.asks_strength or plan.asks_liking):
            raise ArgumentError("descriptors must be one or more, or strength or liking must be asked.")
    elif plan.descriptors or plan.resmell or plan.warm_up:
        raise ArgumentError("descriptors, re-smelling and warm-up belong to profiles.")
    elif len(plan.ages) > 1:
        raise ArgumentError(f"a {plan.method} has one strip age: plan another session for another age.")
    _check_pairs(plan)
    if plan.expected_order and (plan.method != "ranking" or sorted(plan.expected_order) != sorted(trials)):
        raise ArgumentError("expected order must hold each trial of a ranking once.")


def _check_pairs(plan: Plan) -> None:
    pairs = len(plan.trial_ids) * (len(plan.trial_ids) - 1) // 2
    checks.whole("pairs each", plan.pairs_each, 0, pairs if plan.method == "round" else 0)
    if plan.pairs_each and plan.people * plan.pairs_each < 2 * pairs:
        raise ArgumentError(
            f"pairs each must be at least {-(-2 * pairs // plan.people)} for {plan.people} people, so that each of the "
            f"{pairs} pairs is smelt twice."
        )


def _check_skin(plan: Plan) -> None:
    if SKIN not in plan.media:
        if plan.skin_ages:
            raise ArgumentError("times on skin belong to sessions on skin.")
        return
    if bool(plan.skin_ages) != (STRIP in plan.media):
        raise ArgumentError("times on skin must be given where strip and skin are in one session, and only there.")
    seconds = [age.seconds for age in plan.skin_ages]
    if seconds != sorted(set(seconds)):
        raise ArgumentError("times on skin must be different ones, youngest first.")
    if plan.solo or plan.look_every or plan.null_sets or plan.warm_up:
        raise ArgumentError("a session on skin cannot be held alone, with looks, null sets or a warm-up strip.")
    if plan.strips_a_set * (plan.sets_a_round * plan.replicates if plan.method == "profile" else 1) > len(SITES):
        raise ArgumentError(f"skin has room for {len(SITES)} codes at once: take fewer trials or another method.")
    if plan.method != "profile" and (plan.replicates > 1 or any(len(plan.ages_on(m)) > 1 for m in plan.media)):
        raise ArgumentError(
            "a choice on skin has one time and one replicate: its codes stay where they are, and a code met again "
            "would tell the earlier answer."
        )
    if plan.method == "round":
        raise ArgumentError("a round of pairs needs more skin than there is: compare two trials at a time.")


def _check_method(plan: Plan) -> None:
    directed = plan.method in DIRECTED
    if directed:
        checks.text("descriptor", plan.descriptor, 40)
        checks.choice("expected", plan.expected, ("first", "second"))
    elif plan.descriptor or plan.expected:
        raise ArgumentError(f"descriptor and expected direction belong to 2-afc and 3-afc, not to {plan.method}.")
    if plan.method == "preference" and plan.replicates != 1:
        raise ArgumentError("replicates must be 1 for preferences: repeat the session on another day instead.")
    if plan.size is not None:
        checks.decimal("size", plan.size, LARGEST_SIZE)
        checks.choice("method of a plan with a size", plan.method, SIZED)
    checks.choice("ties rule", plan.ties_rule, TIES_RULES)
    for kind in plan.left_out:
        checks.choice("left out", kind, DEVIATIONS)
    if not set(ALWAYS_OUT) <= set(plan.left_out):
        raise ArgumentError(f"left out must include {', '.join(ALWAYS_OUT)}.")


def _check_null_sets(plan: Plan) -> None:
    checks.whole("null sets", plan.null_sets, 0, MOST_NULL_SETS)
    if plan.null_sets and plan.method == "preference":
        raise ArgumentError("null sets must be 0 for preferences: there one trial cannot be served as two.")


def _check_solo(plan: Plan) -> None:
    checks.choice("preparation", plan.preparation, PREPARATIONS if plan.solo else ("",))
    if not plan.solo:
        return
    checks.choice("method of a solo session", plan.method, SOLO_METHODS)
    if len(plan.seats) != 1:
        raise ArgumentError("panel of a solo session must be one person, without spare seats.")
    if plan.method == "triangle" and plan.replicates % 2:
        raise ArgumentError("replicates of a solo triangle must be even: each pair of sets holds both compositions.")
    if plan.null_sets and (not plan.preparation or plan.look_every):
        raise ArgumentError(
            "null sets must be 0 alone where no way of preparing is named, and where looks are planned: nobody could "
            "tell which sets of a sitting are real before all marks are read."
        )


def _check_looks(plan: Plan) -> None:
    checks.whole("look every", plan.look_every, 0, MOST_SEATS * MOST_REPLICATES)
    if not plan.look_every:
        return
    if plan.method == "preference" or len(plan.ages) > 1:
        raise ArgumentError("look every must be 0 for preferences and for several strip ages: judge those at the end.")
    if plan.replicates > 1 and plan.look_every % plan.people:
        raise ArgumentError(f"look every must be a multiple of {plan.people}: a panel is looked at after full rounds.")
    if plan.solo and plan.method == "triangle" and plan.look_every % 2:
        raise ArgumentError(
            "look every must be even for a solo triangle: the marks of half a pair would tell what the other half is."
        )
    if plan.look_every > plan.assessments:
        raise ArgumentError(f"look every must be at most {plan.assessments}, the assessments planned.")
    if plan.assessments % plan.look_every:
        raise ArgumentError(
            f"look every must divide the {plan.assessments} answers planned, not be {plan.look_every}: the last look "
            "comes after all of them."
        )
