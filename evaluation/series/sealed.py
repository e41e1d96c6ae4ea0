"""A series: a plan of sittings whose evidence adds up, sealed before the first of them.

A series is a frame round two values: the ``plan`` its sittings keep to, an ordinary plan of a session of which only
title, seats and replicates are a sitting's own, and the ``design``, a value of the kind of series. Sittings are
ordinary sessions; ``Plan.series_id`` names the series they were sealed for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from types import MappingProxyType
from typing import Any, ClassVar, Final, Self, cast

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.canonical import canonical, digest
from evaluation.series.records import SeriesKind, series_kind
from evaluation.serving.blinding import law_now
from evaluation.sessions import Plan, Seat

Take = Callable[..., Any]  # name of a field, and what it is where it is not written
WHOLE: Final = ""  # the one part of a series that compares one pair
MOST_PARTS: Final = 40


class SeriesDesign:
    """What a series of one kind has of its own. A frozen dataclass under it; its fields are spelt flat and hashed."""

    __slots__ = ()

    name: ClassVar[str]

    @property
    def kind(self) -> SeriesKind:
        """What holds of every series of this kind."""
        return series_kind(self.name)

    def check(self, plan: Plan) -> None:
        """Refuse a plan of sittings that does not go together with this kind."""

    def parts(self, plan: Plan) -> Mapping[str, tuple[str, str]]:
        """What its sittings may compare, by name: the two bottles of each. Most compare one pair, named ""."""
        return MappingProxyType({WHOLE: (plan.first_trial_id, plan.second_trial_id)})

    def flat(self) -> dict[str, Any]:
        """Its fields as a sealed series writes them."""
        return {one.name: getattr(self, one.name) for one in fields(cast(Any, self))}

    @classmethod
    def read(cls, take: Take) -> Self:
        """The value from a flat series, whose fields ``take`` gives by name."""
        return cls(**{one.name: take(one.name) for one in fields(cast(Any, cls))})


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """Everything that is decided before the first sitting.

    ``plan``: what its sittings keep to; its seats are the people named beforehand. ``open_panel``: nobody is named,
    everybody is fresh and answers once in the whole series; the seats are then only who is expected first. ``makers``:
    who made what is smelt or knows the formulas, among everybody on the panel.
    """

    plan: Plan
    design: SeriesDesign
    open_panel: bool = False
    makers: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        plan = self.plan
        if plan.series_id:
            raise ArgumentError("plan of a series must not name a series itself.")
        if len(plan.media) > 1 or len(plan.ages) > 1:
            raise ArgumentError("a series has one medium and one strip age: seal another series for another age.")
        if plan.look_every or plan.null_sets:
            raise ArgumentError("a series is looked at after its sittings: look every and null sets must be 0.")
        if plan.sureness_weights:
            raise ArgumentError("weights by sureness must be left out of a series: what adds up there are counts.")
        if any(seat.panelist_id is None for seat in plan.seats):
            raise ArgumentError("a series has no spare seats: whoever comes later takes part in a later sitting.")
        if self.open_panel and plan.replicates > 1:
            raise ArgumentError("replicates must be 1 where everybody is fresh and answers once.")
        if self.kind.once_a_day and plan.replicates > 1:
            raise ArgumentError(f"replicates must be 1 in a {self.kind.name}: one vote a nose and day.")
        self.design.check(plan)
        checks.whole("parts of a series", len(self.parts), 1, MOST_PARTS)

    @classmethod
    def of(cls, kind: str, plan: Plan, written: Mapping[str, Any]) -> Series:
        """A series from its flat form: the frame's fields, and beside them those of its kind."""
        left = dict(written)
        own = {name: left.pop(name) for name in _OWN if name in left}
        if "makers" in own:
            own["makers"] = tuple(own["makers"])
        design = cast(SeriesDesign, series_kind(kind).design.read(left.pop))
        if left:
            raise ArgumentError(f"series must have no field {', '.join(sorted(left))}.")
        return cls(plan=plan, design=design, **own)

    def as_sealed(self) -> dict[str, Any]:
        """The flat form, as it is hashed and kept."""
        own = {name: getattr(self, name) for name in _OWN}
        return {"kind": self.kind.name, "plan": self.plan} | own | self.design.flat()

    @property
    def kind(self) -> SeriesKind:
        """What holds of every series of this kind."""
        return self.design.kind

    @property
    def parts(self) -> Mapping[str, tuple[str, str]]:
        """What its sittings may compare, by name."""
        return self.design.parts(self.plan)

    @property
    def trial_ids(self) -> tuple[str, ...]:
        """Every bottle its sittings may smell, each once."""
        return tuple(dict.fromkeys(one for pair in self.parts.values() for one in pair))

    @property
    def people(self) -> tuple[str, ...]:
        """Those named beforehand; nobody where the panel is open."""
        if self.open_panel:
            return ()
        return tuple(one.panelist_id for one in self.plan.seats if one.panelist_id is not None)

    @property
    def hash(self) -> str:
        """What binds all of it."""
        return digest(canonical(self))


_OWN: Final = ("open_panel", "makers")


@dataclass(frozen=True, slots=True)
class Ended:
    """A series its conductor ended: no sitting is sealed for it any more."""

    reason: str
    at: int


@dataclass(frozen=True, slots=True)
class SealedSeries:
    """A series as it stands in the notebook: the how-manieth of its brief, when it was sealed, its hash, its end."""

    id: str
    number: int
    series: Series
    sealed_at: int
    hash: str
    ended: Ended | None = None

    @property
    def kind(self) -> SeriesKind:
        """What holds of every series of this kind."""
        return self.series.kind

    @property
    def plan(self) -> Plan:
        """What its sittings keep to."""
        return self.series.plan

    def sitting(self, title: str, people: Iterable[str], replicates: int = 1, part: str = WHOLE) -> Plan:
        """The plan of one sitting: these people, so many sets each, of one part of the series."""
        first, second = self.series.parts[checks.choice("part", part, tuple(self.series.parts))]
        return self.plan.changed(
            title=title,
            seats=tuple(Seat(number, one) for number, one in enumerate(people, start=1)),
            replicates=replicates,
            first_trial_id=first,
            second_trial_id=second,
            series_id=self.id,
            draw=law_now(solo=self.plan.solo),
        )

    def part_of(self, plan: Plan) -> str:
        """Which part a sitting compares; ArgumentError where none."""
        pair = (plan.first_trial_id, plan.second_trial_id)
        found = next((name for name, own in self.series.parts.items() if own == pair), None)
        if found is None:
            raise ArgumentError("a sitting must compare what its series names, in the same order.")
        return found

    def check_sitting(self, plan: Plan, seated: Iterable[str] = ()) -> None:
        """Refuse a sitting that does not keep to what was sealed. ``seated``: who sat in earlier ones, not void."""
        if self.ended is not None:
            raise ArgumentError("series must be one that has not been ended: seal another, from nothing on.")
        people = tuple(one.panelist_id for one in plan.seats if one.panelist_id is not None)
        part = self.part_of(plan)
        if plan != replace(self.sitting(plan.title, people, plan.replicates, part), draw=plan.draw):
            raise ArgumentError(
                "a sitting must keep to its series: only its title, its people and how many sets they smell may be its "
                "own, and it has no spare seats."
            )
        if (self.series.open_panel or self.kind.once_a_day) and plan.replicates > 1:
            raise ArgumentError("replicates must be 1 in a sitting of this series.")
        self._check_people(set(people), set(seated))

    def _check_people(self, people: set[str], seated: set[str]) -> None:
        if self.series.open_panel and people & seated:
            raise ArgumentError("people must be fresh: in this series everybody answers once.")
        if not self.series.open_panel and not people <= set(self.series.people):
            raise ArgumentError("people must be among those the series names: a changed panel starts a new series.")
