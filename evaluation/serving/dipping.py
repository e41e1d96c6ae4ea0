"""When strips were dipped (or trials applied to skin), when they are to be smelt, and how old they were then.

The tap "Dipped" marks the end of a dip; the strips of a set are dipped one after the other in the order drawn for it
(sets drawn before: in tray order), so that the last one is the youngest. The age of a set is the mean age of its strips
when the first of them is smelt. Nothing here knows a panel, a bench or a ballot. Instants are milliseconds, ages in
results milliseconds too, ages in plans seconds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from evaluation.sessions import EARLY, LATE, Plan, Serving, StripAge

SECONDS_PER_DIP: Final = 5  # where no timetable says otherwise (common practice, no source)
SECONDS_PER_PAIR: Final = 10  # of a fan: two strips at once, two seconds in, each wiped at its rim, set down (proposal)
TOGETHER_SECONDS: Final = 20  # strips of a set are dipped within this, or a tenth of the age if that is less: our rule
SECONDS_PER_APPLICATION: Final = 60  # one place on skin (common practice, no source)
# Where nobody told when smelling began, it began before the first answer by no more than this (common practice, no
# source). How long a set is planned to take is another thing: see smelling.set_seconds.
SECONDS_PER_SMELL: Final = 90

UNKNOWN: Final = "unknown"  # nobody tapped when the strips were dipped


@dataclass(frozen=True, slots=True)
class Dip:
    """The strips of one set were done at ``dipped_at``, as written down at ``at``; a later one corrects it."""

    serving_id: str
    dipped_at: int
    at: int


@dataclass(frozen=True, slots=True)
class Revision:
    """One revision of a session's timetable; the latest counts. See ``actions/timetable.py`` for the body."""

    number: int
    at: int
    body: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Pace:
    """How long things take at this bench, in whole seconds.

    ``slack``: by how much smelling may have begun before the first thing heard of a set, where no tap told it.
    """

    dip: int = SECONDS_PER_DIP
    application: int = SECONDS_PER_APPLICATION
    smell: int = SECONDS_PER_SMELL
    slack: int = SECONDS_PER_SMELL

    def each(self, serving: Serving) -> int:
        """Seconds for one strip, or one place on skin."""
        return self.application if serving.sites else self.dip


def seconds_per_dip(strips_a_code: int) -> int:
    """Seconds one dip takes where nobody says otherwise: of one strip, or of both strips of a pair at once."""
    return SECONDS_PER_PAIR if strips_a_code > 1 else SECONDS_PER_DIP


def together_seconds(age_seconds: int, strips_a_code: int = 1) -> int:
    """How close together a set is dipped, from its first dip to its last: within 10 % of the strip age, and single
    strips within 20 s besides. Pairs take longer and are not held to the 20 s: nothing here says that nobody smells it.
    """
    tenth = max(1, age_seconds // 10)
    return tenth if strips_a_code > 1 else min(tenth, TOGETHER_SECONDS)


def youngest_of_pairs(pairs: int) -> int:
    """The youngest strip age in seconds at which so many pairs can be dipped in time, at the usual pace."""
    return 10 * (pairs - 1) * SECONDS_PER_PAIR


def pace_of(body: Mapping[str, Any] | None, strips_a_code: int = 1) -> Pace:
    """The pace a timetable was planned with; the usual one where there is none."""
    if body is None:
        return Pace(seconds_per_dip(strips_a_code))
    bench = body["bench"]
    smell = bench["seconds_per_smell"]
    # Before 2026-11-26 the planned seconds were the slack too: such a timetable names none, and is judged as it was.
    return Pace(bench["seconds_per_dip"], bench["seconds_per_application"], smell, body.get("slack", smell))


@dataclass(frozen=True, slots=True)
class Slot:
    """One set in a timetable, as instants: when its dip is done, when its first strip is smelt."""

    dipped: int
    smelt: int


def slots(body: Mapping[str, Any] | None) -> dict[str, Slot]:
    """Each set of a timetable by its id."""
    if body is None:
        return {}
    start = body["start"]
    return {line[0]: Slot(start + 1000 * line[4], start + 1000 * line[5]) for line in body["lines"]}


def shared(servings: Iterable[Serving]) -> dict[str, tuple[str, ...]]:
    """For each set, all sets smelt from the same strips or places: those of one seat with the same codes."""
    groups: dict[tuple[int, str, tuple[str, ...]], list[str]] = {}
    for one in servings:
        groups.setdefault((one.seat, one.medium, one.codes), []).append(one.id)
    return {each: tuple(members) for members in groups.values() for each in members}


def dip_times(servings: Iterable[Serving], dips: Iterable[Dip]) -> dict[str, int]:
    """When the strips of each set were done; ``dips`` in the order they were written, the last of a set counts."""
    groups, found = shared(servings), {}
    for dip in dips:
        for each in groups.get(dip.serving_id, ()):
            found[each] = dip.dipped_at
    return found


def in_turn(serving: Serving) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Codes, and on skin their places, in the order of dipping or applying."""
    codes, sites = serving.codes, serving.sites
    return tuple(codes[at] for at in serving.dipped), tuple(sites[at] for at in serving.dipped if sites)


def strip_ages(serving: Serving, dipped_at: int, smelt_at: int, pace: Pace) -> tuple[int, ...]:
    """The age of each strip in tray order, from the middle of its own dip, which came at its turn."""
    each, last = 1000 * pace.each(serving), len(serving.codes) - 1
    turns = {place: turn for turn, place in enumerate(serving.dipped)}
    return tuple(smelt_at - dipped_at + (last - turns[place]) * each + each // 2 for place in range(last + 1))


def set_age(serving: Serving, dipped_at: int, smelt_at: int, pace: Pace) -> int:
    """The mean age of the strips of a set."""
    return smelt_at - dipped_at + len(serving.codes) * 500 * pace.each(serving)


def due_at(serving: Serving, dipped_at: int, pace: Pace) -> int:
    """The instant at which the strips of a set have exactly their planned age."""
    return dipped_at + 1000 * serving.age_seconds - len(serving.codes) * 500 * pace.each(serving)


def planned_age(plan: Plan, serving: Serving) -> StripAge | None:
    """Age and tolerance a set is planned for; None for a spare one."""
    return next((age for age in plan.ages_on(serving.medium) if age.seconds == serving.age_seconds), None)


def smell_at(
    serving: Serving, planned: StripAge | None, slot: Slot | None, dipped_at: int | None, pace: Pace
) -> int | None:
    """When a set is to be smelt: the one clock of bench, ballot, sheets and calendar; None where nobody knows.

    It counts from the real dip: as long after it as the timetable has it (which keeps the sets of one nose apart), else
    at the planned age; never before the strips are old enough. Until the dip it is the timetable's time.
    """
    if dipped_at is None or planned is None:
        return None if slot is None else slot.smelt
    due = due_at(serving, dipped_at, pace)
    at = due if slot is None else slot.smelt + dipped_at - slot.dipped
    return max(at, due - 1000 * planned.tolerance_seconds)


# --- judging ----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Begun:
    """When the first strip of a set was smelt: from ``earliest`` to ``latest``, one instant where a tap told it.

    ``told`` is the instant a stated age is reckoned to.
    """

    earliest: int
    latest: int
    told: int


def begun_at(instant: int) -> Begun:
    """A tap told it."""
    return Begun(instant, instant, instant)


def heard_at(instant: int, pace: Pace) -> Begun:
    """The first tap or answer about a set that no tap began: it was smelt by then, and begun a little before."""
    return Begun(instant - 1000 * pace.slack, instant, instant)


@dataclass(frozen=True, slots=True)
class Judged:
    """A set against the sealed age and tolerance; ``word`` is "", "early", "late" or "unknown"."""

    word: str
    real: int | None  # milliseconds; None: nobody told when it was dipped
    planned: StripAge | None

    @property
    def reason(self) -> str:
        """How it was smelt outside its tolerance, in words; "" where it was not, or nobody knows."""
        if self.real is None or self.planned is None or not self.word:
            return ""
        return f"smelt at {span(self.real // 1000)} instead of {with_tolerance(self.planned)}"


def judge(serving: Serving, planned: StripAge | None, dipped_at: int | None, begun: Begun, pace: Pace) -> Judged:
    """Whether a set is smelt at its age; what is asked back before and what is noted afterwards come from here.

    A set is early or late only if it was so whenever it was begun between ``earliest`` and ``latest``. A dip tapped
    after that tells nothing. A warm-up strip has no age to keep.
    """
    if dipped_at is None or dipped_at > begun.latest:
        return Judged("" if serving.warm_up else UNKNOWN, None, planned)
    ages = (set_age(serving, dipped_at, at, pace) for at in (begun.earliest, begun.latest, begun.told))
    youngest, oldest, real = ages
    return Judged("" if planned is None or serving.warm_up else _word(planned, youngest, oldest), real, planned)


def _word(planned: StripAge, youngest: int, oldest: int) -> str:
    if oldest < 1000 * (planned.seconds - planned.tolerance_seconds):
        return EARLY
    return LATE if youngest > 1000 * (planned.seconds + planned.tolerance_seconds) else ""


def with_tolerance(planned: StripAge) -> str:
    """An age with its tolerance in short: "5 ± 1 min", "4 h ± 24 min"."""
    minutes, rest = divmod(planned.seconds, 60)
    tolerance, tolerance_rest = divmod(planned.tolerance_seconds, 60)
    if not rest and not tolerance_rest and minutes < 120:
        return f"{minutes} ± {tolerance} min"
    return f"{span(planned.seconds)} ± {span(planned.tolerance_seconds)}"


def span(seconds: int) -> str:
    """A length of time in short: "14 min", "6 min 40 s", "1 h 5 min"; seconds are left out from ten minutes on."""
    if seconds < 0:
        return f"−{span(-seconds)}"
    parts = ((seconds // 3600, "h"), (seconds // 60 % 60, "min"), (seconds % 60 if seconds < 600 else 0, "s"))
    return " ".join(f"{count} {unit}" for count, unit in parts if count) or "0 s"


def mean_ages(orders: Sequence[tuple[str, tuple[int, ...]]]) -> dict[str, int]:
    """The mean strip age of each trial, from ``(order, ages of the strips in tray order)`` of each set."""
    ages: dict[str, list[int]] = {}
    for order, strips in orders:
        for letter, age in zip(order, strips, strict=True):
            ages.setdefault(letter.upper(), []).append(age)
    return {letter: sum(each) // len(each) for letter, each in sorted(ages.items())}
