"""When strips were dipped (or trials applied to skin), and how old they were when they were smelt.

The tap "Dipped" marks the end of a dip; the strips of a set are dipped one after the other in tray order, so that the
last one is the youngest. Instants are milliseconds, ages in results milliseconds too, ages in plans seconds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from evaluation.sessions import Plan, Serving, StripAge

SECONDS_PER_DIP: Final = 5  # where no timetable says otherwise (common practice, no source)
SECONDS_PER_APPLICATION: Final = 60  # one place on skin (common practice, no source)
SECONDS_PER_SMELL: Final = 90  # from the first strip to the locked answer (common practice, no source)


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
    """How long things take at this bench, in whole seconds."""

    dip: int = SECONDS_PER_DIP
    application: int = SECONDS_PER_APPLICATION
    smell: int = SECONDS_PER_SMELL

    def each(self, serving: Serving) -> int:
        """Seconds for one strip, or one place on skin."""
        return self.application if serving.sites else self.dip


def pace_of(body: Mapping[str, Any] | None) -> Pace:
    """The pace a timetable was planned with; the usual one where there is none."""
    if body is None:
        return Pace()
    bench = body["bench"]
    return Pace(bench["seconds_per_dip"], bench["seconds_per_application"], bench["seconds_per_smell"])


def smell_times(body: Mapping[str, Any] | None) -> dict[str, int]:
    """When each set is to be smelt by a timetable, as instants."""
    return {} if body is None else {line[0]: body["start"] + 1000 * line[5] for line in body["lines"]}


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


def strip_ages(serving: Serving, dipped_at: int, smelt_at: int, pace: Pace) -> tuple[int, ...]:
    """The age of each strip in tray order, from the middle of its own dip."""
    each, last = 1000 * pace.each(serving), len(serving.codes) - 1
    return tuple(smelt_at - dipped_at + (last - place) * each + each // 2 for place in range(last + 1))


def set_age(serving: Serving, dipped_at: int, smelt_at: int, pace: Pace) -> int:
    """The mean age of the strips of a set."""
    return smelt_at - dipped_at + len(serving.codes) * 500 * pace.each(serving)


def due_at(serving: Serving, dipped_at: int, pace: Pace) -> int:
    """The instant at which the strips of a set have exactly their planned age."""
    return dipped_at + 1000 * serving.age_seconds - len(serving.codes) * 500 * pace.each(serving)


def planned_age(plan: Plan, serving: Serving) -> StripAge | None:
    """Age and tolerance a set is planned for; None for a spare one."""
    return next((age for age in plan.ages_on(serving.medium) if age.seconds == serving.age_seconds), None)


def outside(planned: StripAge, real: int, pace: Pace) -> str:
    """In words, how a set was smelt outside its tolerance; "" where it was not.

    ``real`` is the age at the first answer. Smelling began before it, by no more than one smelling is planned to take:
    a set is too old only where it was too old even then.
    """
    low, high = planned.seconds - planned.tolerance_seconds, planned.seconds + planned.tolerance_seconds
    if 1000 * low <= real <= 1000 * (high + pace.smell):
        return ""
    return f"smelt at {span(real // 1000)} instead of {_around(planned)}"


def _around(planned: StripAge) -> str:
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
