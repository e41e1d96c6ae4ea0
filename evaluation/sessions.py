"""Frozen values of a blind session: plan, seats, servings, questions, answers, and the states it may pass.

``A`` stands for the plan's first trial and ``B`` for its second wherever an order is written, as in ``"ABB"``.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Any, Final

from evaluation import checks
from evaluation.errors import ArgumentError, StateError

FORCED_CHOICE: Final = ("triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five")
METHODS: Final = (*FORCED_CHOICE, "preference")
DIRECTED: Final = frozenset({"2-afc", "3-afc"})  # they name a descriptor and an expected direction
STRIPS: Final = MappingProxyType(
    {"triangle": 3, "duo-trio": 3, "tetrad": 4, "2-afc": 2, "3-afc": 3, "two-out-of-five": 5, "preference": 2}
)
MEDIA: Final = ("strip",)  # skin joins with its gate
TIES_RULES: Final = ("drop", "split")
OVERALL: Final = "overall"
NO_PREFERENCE: Final = "none"

YOUNGEST_SECONDS: Final = 30  # alcohol flash-off: youngest strip age we serve (retail guides; common practice)
OLDEST_SECONDS: Final = 7 * 24 * 3600
MOST_SEATS: Final = 80
MOST_REPLICATES: Final = 60
MOST_NULL_SETS: Final = 4
# Alone, one person prepares and smells: what the strips are is entered afterwards from their hidden marks.
SOLO_METHODS: Final = ("triangle", "tetrad", "2-afc", "3-afc")
PRIORS: Final = ("sceptical", "flat", "hopeful")

# What may set an assessment apart. A plan seals which of these leave its primary analysis.
DEVIATIONS: Final = ("late", "wrong strip", "ruined strip", "unblinded", "overheard", "recognised")
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

    def __post_init__(self) -> None:
        checks.text("title", self.title, 120)
        checks.choice("method", self.method, METHODS)
        checks.choice("medium", self.medium, MEDIA)
        if self.first_trial_id == self.second_trial_id:
            raise ArgumentError(
                "second trial must be another trial than the first: a trial cannot be told from itself."
            )
        checks.whole("replicates", self.replicates, 1, MOST_REPLICATES)
        for name in ("alpha", "beta", "pd"):
            _decimal_risk(name, getattr(self, name))
        _check_ages(self)
        _check_seats(self.seats)
        _check_method(self)
        checks.choice("prior", self.prior, PRIORS)
        _check_null_sets(self)
        _check_solo(self)
        _check_looks(self)

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
    def strips(self) -> int:
        """Strips to dip for the planned panelists, null sets included."""
        return self.people * self.sets_per_nose * STRIPS[self.method]

    def sets_at(self, age_seconds: int) -> int:
        """Sets each planned panelist smells at one strip age, null sets included."""
        return self.replicates + (self.null_sets if age_seconds == self.null_age_seconds else 0)

    @property
    def sets_per_nose(self) -> int:
        """Sets each planned panelist smells."""
        return self.replicates * len(self.ages) + self.null_sets


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


@dataclass(frozen=True, slots=True)
class Key:
    """What nobody who smells may see: the seed, which vial letter holds which trial, the order behind each tray."""

    seed: str
    letters: tuple[str, ...]  # of A and B; with null sets of a and b too: "a" is the first trial in a second vial
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
    name: str  # see QUESTION_NAMES
    codes: tuple[str, ...]
    options: tuple[str, ...]
    pick: int = 1  # how many options make an answer


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
class Record:
    """One line of the session's log: append-only, each hash covering the one before."""

    session_id: str
    sequence: int
    at: int
    kind: str
    body: str  # canonical JSON
    hash: str


# --- states -------------------------------------------------------------------------------------------------

STATES: Final = ("draft", "sealed", "smelling", "closed", "opened", "void")
TRANSITIONS: Final = MappingProxyType(
    {
        ("draft", "seal"): "sealed",
        ("sealed", "start"): "smelling",
        ("smelling", "close"): "closed",
        ("closed", "open"): "opened",
        ("sealed", "void"): "void",
        ("smelling", "void"): "void",
        ("closed", "void"): "void",
    }
)


def next_state(state: str, event: str) -> str:
    """The state after ``event``; a step that is not in the table is refused."""
    try:
        return TRANSITIONS[state, event]
    except KeyError:
        allowed = [e for s, e in TRANSITIONS if s == state] or ["nothing more"]
        raise StateError(f"A session that is {state} cannot {event}; it can: {', '.join(allowed)}.") from None


# --- what a ballot asks ---------------------------------------------------------------------------------------

SURE: Final = ("guess", "unsure", "fairly sure", "sure")
WEAR: Final = ("yes", "perhaps", "no")
STRENGTH: Final = ("very weak", "weak", "medium", "strong", "very strong")
YES_NO: Final = ("no", "yes")
WAYS_TO_PAIR: Final = ((0, 1, 2, 3), (0, 2, 1, 3), (0, 3, 1, 2))


def questions(
    plan: Plan, servings: tuple[Serving, ...], groups: tuple[tuple[str, ...], ...] = ()
) -> tuple[Question, ...]:
    """Every question of one ballot, in order.

    ``servings`` are those of one seat; void and unused spare ones are passed over. ``groups`` (preferences over
    several ages only) are the codes of each trial in drawn order: the overall choice is between the two groups.
    """
    asked = [s for s in sorted(servings, key=lambda s: s.place) if not s.void and not s.spare]
    listed: list[Question] = []
    for serving in asked:
        listed.extend(_ASKED[plan.method](plan, serving))
    if plan.method == "preference":
        listed.extend(_overall(plan, asked, groups))
    if not plan.solo:
        listed.append(Question("", "overheard", (), YES_NO))
    return tuple(listed)


def _odd_one(plan: Plan, serving: Serving) -> list[Question]:
    return [Question(serving.id, "choice", serving.codes, serving.codes), *_sure(plan, serving)]


def _match_reference(plan: Plan, serving: Serving) -> list[Question]:
    return [Question(serving.id, "choice", serving.codes, serving.codes[1:]), *_sure(plan, serving)]


def _two_pairs(plan: Plan, serving: Serving) -> list[Question]:
    c = serving.codes
    pairs = tuple(f"{c[i]}+{c[j]}|{c[k]}+{c[m]}" for i, j, k, m in WAYS_TO_PAIR)
    return [Question(serving.id, "choice", serving.codes, pairs), *_sure(plan, serving)]


def _pick_two(plan: Plan, serving: Serving) -> list[Question]:
    return [Question(serving.id, "choice", serving.codes, serving.codes, pick=2), *_sure(plan, serving)]


def _preferred(plan: Plan, serving: Serving) -> list[Question]:
    options = (*serving.codes, NO_PREFERENCE) if plan.ties_allowed else serving.codes
    asked = [Question(serving.id, "choice", serving.codes, options), *_sure(plan, serving)]
    if plan.asks_nearer:
        asked.append(Question(serving.id, "nearer", serving.codes, (*serving.codes, NO_PREFERENCE)))
    return asked


def _sure(plan: Plan, serving: Serving) -> list[Question]:
    asked = [Question(serving.id, "sure", serving.codes, SURE)]
    if plan.solo:  # sight, touch or wetness can tell somebody who dipped the strips
        asked.append(Question(serving.id, "recognised", serving.codes, YES_NO))
    return asked


_ASKED: Final = MappingProxyType(
    {
        "triangle": _odd_one,
        "duo-trio": _match_reference,
        "tetrad": _two_pairs,
        "2-afc": _odd_one,
        "3-afc": _odd_one,
        "two-out-of-five": _pick_two,
        "preference": _preferred,
    }
)


def _overall(plan: Plan, asked: list[Serving], groups: tuple[tuple[str, ...], ...]) -> list[Question]:
    """After the last age: one choice over all ages, then wearing and strength of each trial."""
    if not asked:
        return []
    options = tuple(" ".join(group) for group in groups) if len(plan.ages) > 1 and groups else asked[-1].codes
    listed = []
    if len(plan.ages) > 1:
        ties = (NO_PREFERENCE,) if plan.ties_allowed else ()
        listed.append(Question("", OVERALL, options, (*options, *ties)))
    for option in options:
        listed.append(Question("", f"wear {option}", (option,), WEAR))
        listed.append(Question("", f"strength {option}", (option,), STRENGTH))
    return listed


# --- checks of a plan ------------------------------------------------------------------------------------------


def _decimal_risk(name: str, value: Any) -> None:
    if not isinstance(value, Decimal) or not value.is_finite() or not 0 < value < 1:
        raise ArgumentError(f"{name} must lie between 0 and 1, both excluded, not {value}.")


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


def _check_method(plan: Plan) -> None:
    directed = plan.method in DIRECTED
    if directed:
        checks.text("descriptor", plan.descriptor, 40)
        checks.choice("expected", plan.expected, ("first", "second"))
    elif plan.descriptor or plan.expected:
        raise ArgumentError(f"descriptor and expected direction belong to 2-afc and 3-afc, not to {plan.method}.")
    if plan.method == "preference" and plan.replicates != 1:
        raise ArgumentError("replicates must be 1 for preferences: repeat the session on another day instead.")
    checks.choice("ties rule", plan.ties_rule, TIES_RULES)
    for kind in plan.left_out:
        checks.choice("left out", kind, DEVIATIONS)
    if not set(ALWAYS_OUT) <= set(plan.left_out):
        raise ArgumentError(f"left out must include {', '.join(ALWAYS_OUT)}.")


def _check_null_sets(plan: Plan) -> None:
    checks.whole("null sets", plan.null_sets, 0, MOST_NULL_SETS)
    if plan.null_sets and (plan.solo or plan.method == "preference"):
        raise ArgumentError("null sets must be 0 for preferences and alone: there one trial cannot be served as two.")


def _check_solo(plan: Plan) -> None:
    if not plan.solo:
        return
    checks.choice("method of a solo session", plan.method, SOLO_METHODS)
    if len(plan.seats) != 1:
        raise ArgumentError("panel of a solo session must be one person, without spare seats.")
    if plan.method == "triangle" and plan.replicates % 2:
        raise ArgumentError("replicates of a solo triangle must be even: each pair of sets holds both compositions.")


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
