"""What every opened session of a brief says about its trials, side by side: nothing is pooled over sessions.

Evidence holds facts, never words and never the name of a panelist, so that a decision can freeze it for good, a person
can still be erased, and what it says is put in words where it is shown (``wording.of_evidence``). Decisions of before
27 November 2026 froze sentences: these are shown as they were written. Numbers are decimals, or text that gives a float
back to its last digit: frozen evidence is canonical JSON and has no floats.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from decimal import Decimal
from math import isfinite
from types import MappingProxyType
from typing import Any, Final

from evaluation.counting.changes_did import Did
from evaluation.counting.questions import Loss
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import WRITTEN, decimal_of_float, json_of
from evaluation.ground.terms import media_of, medium_of
from evaluation.judging.entries import (
    FIRST_PREFERRED,
    NO_PREFERENCE_SHOWN,
    NO_WORD,
    SECOND_PREFERRED,
    AnyEntry,
    PreferenceEntry,
)
from evaluation.kinds import Method, method_of
from evaluation.sessions import Media, Medium
from evaluation.values.bottles import FIRST_MARK
from evaluation.values.briefs import Target
from evaluation.values.trials import bottle_name, trial_name

# What a point is about
NOTICE: Final = "noticed"  # outcome: a verdict
PREFERENCE: Final = "preferred"  # outcome of these and the following: FIRST, SECOND or NEITHER
NEARER: Final = "held nearer the brief"
DISTANCE: Final = "distance to the brief"
MOVED: Final = "moved"  # FIRST: more of the descriptor in the first trial
LASTING: Final = "lasting"
CAMPS: Final = "camps"  # SPLIT or NEITHER
FINAL: Final = "final"  # outcome: how it stands

FIRST: Final = "first"
SECOND: Final = "second"
NEITHER: Final = "neither"
SPLIT: Final = "split"
_PREFERRED: Final = MappingProxyType(
    {FIRST_PREFERRED: FIRST, SECOND_PREFERRED: SECOND, NO_PREFERENCE_SHOWN: NEITHER, NO_WORD: ""}
)
_OTHER: Final = MappingProxyType({FIRST: SECOND, SECOND: FIRST})


Facts = Mapping[str, Any]  # "of": the name of what it holds; its fields, see facts_of
NUMBER: Final = "number"  # {NUMBER: "0.05"} stands for a float


@dataclass(frozen=True, slots=True)
class Unmoved:
    """No descriptor was shown to move; none moved further than ``bound``, None where nothing can be said."""

    bound: float | None


@dataclass(frozen=True, slots=True)
class NotApart:
    """No age shows two trials apart in strength; ``least`` is the smallest family p."""

    least: float


@dataclass(frozen=True, slots=True)
class Nearness:
    """Whether two trials lie at different distances to the targets; ``p_family`` is None where too few rated both."""

    p_family: float | None


@dataclass(frozen=True, slots=True)
class Camps:
    """Some keep preferring the one of two trials, some the other."""


@dataclass(frozen=True, slots=True)
class Unrated:
    """Targets that were not rated in a session: descriptor and minutes as text, "" for the whole dry-down."""

    targets: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class NoDistance:
    """No distance to the brief could be worked out; ``why`` is what the statistics said."""

    why: str


@dataclass(frozen=True, slots=True)
class OftenNearer:
    """How often each trial was said to be the nearer of a pair, in answers and not tested."""

    times: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class EffectsShown:
    """What a session showed of changes that were separated: of no two trials, so it is no point.

    ``shown``: effects, and ``unshown`` the names of the others; ``by``: "person" or "pairs"; ``alpha``: of the family;
    ``described``: effects of which too few signs were there to test anything.
    """

    shown: tuple[Did, ...]
    unshown: tuple[str, ...]
    by: str
    alpha: float
    described: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Unread:
    """What sessions of this kind say is not collected."""


@dataclass(frozen=True, slots=True)
class Unheard:
    """Of these two trials nothing counts; ``alone``: of others of the session something does."""

    alone: bool


@dataclass(frozen=True, slots=True)
class Summed:
    """What the opened sittings of one series said together, when this was written.

    ``word``: its verdict, or how a final stands; of a final ended by its conductor "ended". ``evidence`` is held
    against ``needed``, and so is the ``mirror``. ``first``, ``second`` and ``ties`` are answers, right and wrong ones
    where there is no vote. Of a final: its ``question``, the trial it was held for and the one the brief stood at, how
    many were held in vain ``earlier``, and what keeps "one brief in twenty" from being claimed: noses that vote again,
    that had answered about the two before, or that made them (``makers``; ``without_makers``: how it stands without).
    """

    kind: str
    nth: int  # series of its brief, in the order they were sealed
    sittings: int
    word: str
    first: int
    second: int
    ties: int
    people: int
    evidence: Decimal | float | None
    needed: Decimal | float | None
    mirror: Decimal | float | None = None
    mirror_needed: Decimal | float | None = None
    question: str = ""
    trial_id: str = ""
    other_id: str = ""
    earlier: int = 0
    repeats: bool = False
    met_before: int = 0
    makers: int = 0
    without_makers: str = ""

    @property
    def answers(self) -> int:
        """All that count."""
        return self.first + self.second + self.ties

    @property
    def final(self) -> bool:
        """Whether it may propose to keep its trial."""
        return bool(self.question)

    @property
    def pair(self) -> frozenset[str]:
        """Both trials of a final."""
        return frozenset((self.trial_id, self.other_id))


@dataclass(frozen=True, slots=True)
class Point:
    """One thing a session showed about two trials.

    ``weighs``: the session's sealed analysis stands behind it; others are shown and decide nothing. ``for_first``,
    ``for_second`` and ``people`` count people where they chose. ``settle``: assessments of a fresh session of the same
    kind that would settle what this one left open. Where no answer counted, ``planned`` is how many were planned (else
    0) and ``lost`` how many of those that came in each sealed rule left out: such a point has no outcome. ``facts`` is
    what was found as :func:`facts_of` keeps it; only a point frozen with a ``sentence`` has none.
    """

    topic: str
    first_id: str
    second_id: str
    medium: Medium
    minutes: Decimal | None  # strip age, or time on skin; None: over all
    outcome: str
    weighs: bool
    facts: Facts = field(default_factory=dict)
    descriptor: str = ""
    for_first: int = 0
    for_second: int = 0
    people: int = 0
    settle: int | None = None
    planned: int = 0
    lost: tuple[tuple[str, int], ...] = ()
    sentence: str = ""  # as it was written, of evidence frozen with words

    @property
    def pair(self) -> frozenset[str]:
        """Both trials, in no order."""
        return frozenset((self.first_id, self.second_id))

    @property
    def answered(self) -> bool:
        """False where no answer counted."""
        return self.planned == 0

    def seen_from(self, trial_id: str) -> Point:
        """The same with ``trial_id`` as the first trial."""
        if self.first_id == trial_id:
            return self
        return replace(
            self,
            first_id=self.second_id,
            second_id=self.first_id,
            outcome=_OTHER.get(self.outcome, self.outcome),
            for_first=self.for_second,
            for_second=self.for_first,
        )


@dataclass(frozen=True, slots=True)
class Distance:
    """How far a trial's mean profile was from the targets; limits None where nothing can be said.

    ``nearest_in``: of 100 resamplings of the panel; not a probability, None under 8 panelists.
    """

    trial_id: str
    medium: Medium
    distance: Decimal
    low: Decimal | None
    high: Decimal | None
    nearest_in: Decimal | None
    costliest: str


@dataclass(frozen=True, slots=True)
class Said:
    """How many people chose each answer to a question about one trial by itself, such as how strong it is."""

    trial_id: str
    medium: Medium
    asked: str
    counts: tuple[tuple[str, int], ...]

    @property
    def people(self) -> int:
        """How many gave an answer to this question."""
        return sum(number for _, number in self.counts)


@dataclass(frozen=True, slots=True)
class SessionShown:
    """One opened session by itself; ``gaps`` says what else must be known, and what could not be read.

    ``of_bottles``: what it showed of two bottles of one trial, under the ids of bottles; nothing of it weighs.
    ``of_trials``: the trials that were smelt, where ``trial_ids`` name several bottles of one; else none.
    """

    session_id: str
    title: str
    method: Method
    medium: Media
    opened_at: int
    trial_ids: tuple[str, ...]
    alpha: Decimal
    beta: Decimal
    pd: Decimal
    last_hash: str
    log_holds: bool
    targets_late: bool  # the targets were written when this session was open already
    points: tuple[Point, ...]
    distances: tuple[Distance, ...] = ()
    gaps: tuple[Facts | str, ...] = ()
    said: tuple[Said, ...] = ()
    of_bottles: tuple[Point, ...] = ()
    of_trials: tuple[str, ...] = ()
    summed: Summed | None = None  # this is the newest sitting of a series, and stands for all of it

    @property
    def smelt(self) -> frozenset[str]:
        """The trials that were smelt, whatever bottles of them."""
        return frozenset(self.in_order)

    @property
    def in_order(self) -> tuple[str, ...]:
        """The same, each once, as the plan names them."""
        return tuple(dict.fromkeys(self.of_trials or self.trial_ids))

    @property
    def separates(self) -> bool:
        """Whether it told changes apart, and so says nothing of any two of its trials."""
        return any(isinstance(gap, Mapping) and gap.get("of") == EffectsShown.__name__ for gap in self.gaps)

    @property
    def of_one_trial(self) -> bool:
        """Whether bottles of one trial were smelt and nothing else: that says nothing of trials."""
        return len(self.smelt) == 1


@dataclass(frozen=True, slots=True)
class Collected:
    """What was read from one session, see :class:`SessionShown`."""

    points: tuple[Point, ...]
    distances: tuple[Distance, ...] = ()
    gaps: tuple[Facts | str, ...] = ()
    said: tuple[Said, ...] = ()
    of_bottles: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class BottleShown:
    """A further bottle of a trial as the book had it; the first one is told as its trial."""

    id: str
    label: str


@dataclass(frozen=True, slots=True)
class TrialShown:
    """A trial as the book had it."""

    id: str
    label: str
    parent_id: str | None
    changed: str
    made_at: int


def _beside(label: str, further: list[str]) -> str:
    return bottle_name(label, FIRST_MARK) if any(one.startswith(bottle_name(label, "")) for one in further) else label


@dataclass(frozen=True, slots=True)
class Evidence:
    """All of a brief, as it stands at one moment; ``waiting`` counts sessions sealed and not opened."""

    brief_id: str
    trials: tuple[TrialShown, ...]
    targets: tuple[Target, ...]
    targets_written_at: int | None
    sessions: tuple[SessionShown, ...]
    waiting: int
    bottles: tuple[BottleShown, ...] = ()

    @property
    def finals(self) -> tuple[Summed, ...]:
        """The finals of which a sitting was opened, in the order they were sealed."""
        found = (one.summed for one in self.sessions if one.summed is not None and one.summed.final)
        return tuple(sorted(found, key=lambda one: one.nth))

    @property
    def points(self) -> tuple[Point, ...]:
        """The points of all opened sessions, one after another: never added up."""
        return tuple(point for session in self.sessions for point in session.points)

    def label(self, trial_id: str) -> str:
        """The label of a trial of this brief, or of a bottle; no other may be asked for."""
        known = {one.id: one.label for one in self.bottles} | {one.id: one.label for one in self.trials}
        return known[trial_id]

    def name(self, *trial_ids: str) -> str:
        """ "trial 7", "trials 7 and 8"."""
        return trial_name(*self.labels(*trial_ids))

    def labels(self, *trial_ids: str) -> tuple[str, ...]:
        """What trials or bottles are called beside one another: with its mark, also a first one, beside a further one
        of its trial; else what is said of the bottle would read as said of the trial.
        """
        further = [one.label for one in self.bottles if one.id in trial_ids]
        return tuple(_beside(self.label(one), further) for one in trial_ids)

    @property
    def parents(self) -> dict[str, str | None]:
        """Of each trial the one it was made from, None at the start of a line."""
        return {one.id: one.parent_id for one in self.trials}

    def steps(self, trial_id: str) -> int:
        """How many changes lie between the trial and the start of its line."""
        return len(line_of(self.parents, trial_id)) - 1

    def simpler(self, one: str, other: str) -> str:
        """Of two trials the one with fewer changes behind it; of equals the one made first."""
        made = {trial.id: trial.made_at for trial in self.trials}
        return min(one, other, key=lambda trial: (self.steps(trial), made[trial], trial))


def line_of(parents: Mapping[str, str | None], trial_id: str) -> tuple[str, ...]:
    """The trial, the one it was made from, and so on to the start of its line."""
    line = [trial_id]
    while (parent := parents.get(line[-1])) in parents and parent is not None and parent not in line:
        line.append(parent)
    return tuple(line)


# --- from entries to points -----------------------------------------------------------------------------------------


def point_of(
    entry: AnyEntry, trial_ids: tuple[str, str], medium: Medium, topic: str = "", loss: Loss | None = None
) -> Point:
    """A verdict as a point; of a session with a primary age only that age weighs. ``loss`` of its answers, if known."""
    point = _point_of(entry, trial_ids, medium, topic)
    return point if loss is None or loss.counted else replace(point, planned=loss.planned, lost=loss.left_out)


def _point_of(entry: AnyEntry, trial_ids: tuple[str, str], medium: Medium, topic: str) -> Point:
    weighs = entry.confirmatory and (entry.primary or entry.primary_age is None)
    minutes = None if isinstance(entry.age_minutes, str) else exact(entry.age_minutes)
    about, facts = (*trial_ids, medium, minutes), facts_of(entry)
    if isinstance(entry, PreferenceEntry):
        people = entry.first + entry.second + entry.none
        counts = (entry.first, entry.second, people, entry.settle)
        return Point(topic or PREFERENCE, *about, _PREFERRED[entry.verdict], weighs, facts, "", *counts)
    return Point(topic or NOTICE, *about, entry.verdict, weighs, facts, people=entry.panelists, settle=entry.settle)


def facts_of(found: Any) -> Any:
    """What was found as plain values that freeze: a dataclass by name and fields, a float as text to its last digit."""
    if hasattr(found, "item"):  # a number of an array
        found = found.item()
    if is_dataclass(found):
        told = (
            one for one in fields(found) if not (one.metadata.get("later") and getattr(found, one.name) == one.default)
        )
        return {"of": type(found).__name__} | {one.name: facts_of(getattr(found, one.name)) for one in told}
    if isinstance(found, float | Decimal):
        return {NUMBER: repr(float(found))}
    if isinstance(found, tuple | list):
        return [facts_of(one) for one in found]
    return found


def exact(number: float | None) -> Decimal | None:
    """A float as the shortest decimal that reads back as it; None for what is no number."""
    return None if number is None or not isfinite(number) else Decimal(repr(float(number)))


# --- frozen ---------------------------------------------------------------------------------------------------------


def frozen(evidence: Evidence) -> str:
    """Canonical JSON, the same for the same evidence."""
    return canonical(evidence).decode()


def thawed(text: str) -> Evidence:
    """Evidence as it stood when it was frozen; what was altered since raises whatever it cannot be read for."""
    fields = json_of(text, WRITTEN)["value"]
    return Evidence(
        **{
            **fields,
            "trials": tuple(TrialShown(**one) for one in fields["trials"]),
            "targets": tuple(Target(**_numbers(one, ("value", "minutes", "weight"))) for one in fields["targets"]),
            "sessions": tuple(_session(one) for one in fields["sessions"]),
            "bottles": tuple(BottleShown(**one) for one in fields.get("bottles", ())),
        }
    )


def _session(fields: Mapping[str, Any]) -> SessionShown:
    return SessionShown(
        **{
            **_numbers(fields, ("alpha", "beta", "pd")),
            "method": method_of(fields["method"]),
            "medium": media_of(fields["medium"]),
            "trial_ids": tuple(fields["trial_ids"]),
            "points": tuple(_point(one) for one in fields["points"]),
            "distances": tuple(Distance(**_on(_numbers(one, _OF_DISTANCE))) for one in fields["distances"]),
            "gaps": tuple(fields["gaps"]),
            "said": tuple(Said(**{**_on(one), "counts": _pairs(one["counts"])}) for one in fields.get("said", ())),
            "of_bottles": tuple(_point(one) for one in fields.get("of_bottles", ())),
            "of_trials": tuple(fields.get("of_trials", ())),
            "summed": Summed(**_numbers(fields["summed"], _OF_SUM)) if fields.get("summed") else None,
        }
    )


def _point(fields: Mapping[str, Any]) -> Point:
    return Point(**{**_on(_numbers(fields, ("minutes",))), "lost": _pairs(fields.get("lost", ()))})


def _on(fields: Mapping[str, Any]) -> dict[str, Any]:
    return {**fields, "medium": medium_of(fields["medium"])}


def _pairs(listed: Iterable[Iterable[Any]]) -> tuple[Any, ...]:
    return tuple(tuple(one) for one in listed)


_OF_SUM: Final = ("evidence", "needed", "mirror", "mirror_needed")
_OF_DISTANCE: Final = ("distance", "low", "high", "nearest_in")


def _numbers(fields: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    return {
        **fields,
        **{name: None if fields[name] is None else decimal_of_float(name, fields[name]) for name in names},
    }
