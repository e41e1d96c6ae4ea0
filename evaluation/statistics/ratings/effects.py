"""Mixed models of one descriptor: the cells that go in and the effects that come out, whatever the way of fitting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.special import fdtrc

from evaluation.statistics.laws.inputs import Floats, Ints

EFFECTS: Final = ("trial", "age", "trial:age")
RESIDUAL: Final = "residual"
NOTHING: Final = 1e-24  # a sum of squares this small beside that of the ratings is rounding
# What may vary between people, by what is asked for: name → the columns whose cells each have a deviation of their own
RANDOM: Final[Mapping[str, Mapping[str, tuple[str, ...]]]] = {
    "default": {"panelist": ("panelist",), "panelist:trial": ("panelist", "trial")},
    "full": {
        "panelist": ("panelist",),
        "panelist:trial": ("panelist", "trial"),
        "panelist:age": ("panelist", "age"),
        "panelist:trial:age": ("panelist", "trial", "age"),
    },
}


def dense(codes: Ints) -> Ints:
    """The same places counted from 0 without gaps, order kept."""
    used = np.bincount(codes) > 0
    return (np.cumsum(used) - 1)[codes].astype(np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """The ratings of one descriptor: who, which trial, at which age (places from 0, none unused), and the rating."""

    panelist: Ints
    trial: Ints
    age: Ints
    rating: Floats

    @property
    def shape(self) -> tuple[int, int, int]:
        """Panelists, trials, ages."""
        return int(self.panelist.max()) + 1, int(self.trial.max()) + 1, int(self.age.max()) + 1

    def cells_of(self, columns: tuple[str, ...]) -> Ints:
        """One number per row for its combination of these columns, from 0, none unused."""
        lengths = dict(zip(("panelist", "trial", "age"), self.shape, strict=True))
        codes = np.ravel_multi_index(
            tuple(getattr(self, name) for name in columns), tuple(lengths[name] for name in columns)
        )
        return dense(codes)


@dataclass(frozen=True, slots=True)
class Effect:
    """One F test; NaN throughout where it cannot be asked."""

    name: str
    f: float
    df_effect: float
    df_error: float

    @property
    def p_value(self) -> float:
        """Upper tail of F; NaN where the effect cannot be asked."""
        return float(fdtrc(self.df_effect, self.df_error, self.f)) if self.df_effect > 0 else float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """Effects and variances of one descriptor; a variance of 0 sits on its boundary."""

    effects: tuple[Effect, ...]
    variances: Mapping[str, float]
    route: str
    note: str = ""

    @property
    def singular(self) -> bool:
        """True where a variance sits on its boundary: it is then estimated as nothing, not shown to be nothing."""
        return any(value == 0.0 for value in self.variances.values())


def separable(cells: Cells, random: str) -> tuple[dict[str, Ints], dict[str, str]]:
    """The deviations that can be told apart, as cells; and those that cannot, with what each is mixed up with.

    All are partitions, each finer than what it contains: as many cells means the same partition.
    """
    kept: dict[str, Ints] = {}
    mixed: dict[str, str] = {}
    for name, columns in RANDOM[random].items():
        codes = cells.cells_of(columns)
        amount = int(codes.max()) + 1
        twin = next((other for other, theirs in kept.items() if int(theirs.max()) + 1 == amount), None)
        if amount == cells.rating.size:
            mixed[name] = RESIDUAL
        elif twin is not None and _same(codes, kept[twin]):
            mixed[name] = twin
        else:
            kept[name] = codes
    return kept, mixed


def _same(one: Ints, other: Ints) -> bool:
    return bool(np.unique(np.stack((one, other)), axis=1).shape[1] == int(one.max()) + 1)


def wanted(shape: tuple[int, ...], interaction: bool) -> dict[str, int]:
    """The fixed effects that can be asked of panelists × trials × ages, with their degrees of freedom."""
    trials, ages = shape[1], shape[2]
    freedom = {"trial": trials - 1, "age": ages - 1, "trial:age": (trials - 1) * (ages - 1)}
    return {name: df for name, df in freedom.items() if df > 0 and (interaction or name != "trial:age")}


def ratio(above: float, below: float) -> float:
    """An F; with no spread at all in the error, infinite or (nothing above either) not defined."""
    if below > 0.0:
        return above / below
    return float("inf") if above > 0.0 else float("nan")
