"""Frozen values of a timetable: what is wanted, who is there, the bench, and the plan that came out.

All times are whole seconds from the start of the session; the second day of a session that begins at nine in the
morning is 86 400 seconds later, whatever the clocks on the wall did in between.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.terms import Medium

DAY: Final = 24 * 3600
FAR: Final = 60 * DAY  # later than any session we plan
MEDIA: Final = ("strip", "skin")
MOST_PREPARERS: Final = 12

Window = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Bench:
    """How fast things go, how long noses rest, and when all must be over.

    The defaults are common practice, no source. ``sets_per_sitting`` sets may follow each other with less than
    ``sitting_break_seconds`` between two of them; then a nose takes that break. ``reuse``: for ratings a panelist's own
    strips are dipped once and smelt again at every age. ``preparer_hours`` empty: the preparers are there from the
    start, except where nobody of the panel can come for more than eight hours. ``tolerance_kept_percent``: the share of
    every tolerance that the plan leaves for what goes wrong; 0 gives the shortest session, with ages off by as much as
    is allowed. Where nothing fits so, the whole tolerance is used.
    """

    preparers: int = 1
    seconds_per_dip: int = 5
    seconds_per_smell: int = 90  # one set, from the first strip to the locked answer
    rest_seconds: int = 180  # between two sets of one nose
    sets_per_sitting: int = 4
    sitting_break_seconds: int = 900
    latest_end_seconds: int | None = None
    reuse: bool = False
    preparer_hours: tuple[Window, ...] = ()
    tolerance_kept_percent: int = 0
    seconds_per_application: int = 60  # skin: one site; takes the place of a dip, the panelist sits by
    wash_seconds: int = 0  # skin: from coming (first availability) to the first application
    drying_seconds: int = 0  # skin: from the last application of a set to smelling it
    washout_seconds: int = 0  # skin: from the last smelling on a site to the next application there
    sites_at_once: int = 4  # skin: sites of one panelist in use at the same time

    def __post_init__(self) -> None:
        checks.whole("preparers", self.preparers, 1, MOST_PREPARERS)
        checks.whole("seconds per dip", self.seconds_per_dip, 1, 600)
        checks.whole("seconds per smell", self.seconds_per_smell, 1, 3600)
        checks.whole("rest in seconds", self.rest_seconds, 0, DAY)
        checks.whole("sets per sitting", self.sets_per_sitting, 1, 100)
        checks.whole("sitting break in seconds", self.sitting_break_seconds, self.rest_seconds, 2 * DAY)
        if self.latest_end_seconds is not None:
            checks.whole("latest end in seconds", self.latest_end_seconds, 0, FAR)
        _check_windows("preparer hours", self.preparer_hours)
        checks.whole("tolerance kept in percent", self.tolerance_kept_percent, 0, 100)
        checks.whole("seconds per application", self.seconds_per_application, 1, 3600)
        for name in ("wash_seconds", "drying_seconds", "washout_seconds"):
            checks.whole(name.replace("_", " "), getattr(self, name), 0, 14 * DAY)
        checks.whole("sites at once", self.sites_at_once, 1, 20)


@dataclass(frozen=True, slots=True)
class Person:
    """A panelist and the spans, in order and apart, in which they can come; none given: always."""

    panelist: str
    windows: tuple[Window, ...] = ()

    def __post_init__(self) -> None:
        _check_windows(f"availability of {self.panelist}", self.windows)


@dataclass(frozen=True, slots=True)
class Wanted:
    """One set before one nose at one strip age.

    ``group``: sets of one panelist that share it are smelt from one dip (or application). ``site``: where on the skin;
    several sites of one set are joined by "+", as in ``"left upper+right upper"``. ``pairs``: each of its ``strips`` is
    two, dipped at once, one in either hand.
    """

    serving_id: str
    panelist: str
    age_seconds: int
    tolerance_seconds: int
    strips: int
    medium: Medium = "strip"
    site: str = ""
    group: str = ""
    pairs: bool = False

    def __post_init__(self) -> None:
        checks.whole("strip age in seconds", self.age_seconds, 1, FAR)
        checks.whole("tolerance in seconds", self.tolerance_seconds, 0, self.age_seconds)
        checks.whole("strips of a set", self.strips, 1, 12)
        checks.choice("medium", self.medium, MEDIA)

    @property
    def sites(self) -> tuple[str, ...]:
        """Names of the sites on the skin; one of its own, named after the serving, where none is given."""
        if self.medium != "skin":
            return ()
        return tuple(self.site.split("+")) if self.site else (f"site of {self.serving_id}",)


@dataclass(frozen=True, slots=True)
class Line:
    """One set as planned: who dips (or applies) when, and when the nose smells.

    ``age_seconds`` is the mean strip age when smelling begins, from the middle of the dip. Sets smelt again from one
    dip carry the same dip.
    """

    serving_id: str
    panelist: str
    preparer: int  # 0 is the first preparer
    dip_from: int
    dip_to: int
    smell_from: int
    smell_to: int
    age_seconds: int


@dataclass(frozen=True, slots=True)
class Totals:
    """What the bench has to do: strips (or sites) to prepare, dips (sets prepared together), preparer seconds."""

    strips: int
    dips: int
    preparer_seconds: int


@dataclass(frozen=True, slots=True)
class Timetable:
    """A plan without conflicts; ``lines`` in order of smelling.

    No plan whatever ends before ``lower_bound_seconds``; ``makespan_seconds`` is when the last set has been smelt.
    ``late`` names the servings of a running session whose strips are past their tolerance already: they are smelt as
    soon as may be, and flagged.
    """

    lines: tuple[Line, ...]
    makespan_seconds: int
    lower_bound_seconds: int
    totals: Totals
    late: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Relaxation:
    """One thing given way on, all else as it was: with ``after`` a timetable is found, with one step less none is."""

    knob: str  # see KNOBS in evaluation/timetable/relax.py
    before: int
    after: int
    step: int
    sentence: str


@dataclass(frozen=True, slots=True)
class NoFit:
    """Nothing fits: the constraint that fails, and the smallest single relaxation that would do (None: none does).

    ``others`` are further ways, each tried. ``proven``: no timetable exists; otherwise none was found.
    """

    constraint: str
    sentence: str
    relaxation: Relaxation | None
    others: tuple[Relaxation, ...] = ()
    proven: bool = False


def _check_windows(name: str, windows: tuple[Window, ...]) -> None:
    last = -1
    for begin, end in windows:
        checks.whole(name, begin, 0, FAR)
        if end <= begin or begin <= last:
            raise ArgumentError(f"{name} must be spans in order that do not touch, each ending after it begins.")
        last = end
