"""Scales on which a descriptor is rated: one record each, and the class of tables by them.

A descriptor names its scale, ``Descriptor.scale``, and whoever has to know what that means asks the record
(``scale_of(one.scale).on_points``), so that no other place tells scales apart by their names. What needs functions or
sentences stands in tables (``ByScale``) of the layer that needs them. Imports nothing heavy: every tap of every phone
reads these.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import ClassVar, Final, Literal, TypeVar

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.by_record import ByRecord

T = TypeVar("T")
ScaleName = Literal["line", "category", "check", "level"]
Control = Literal["line", "options", "tick"]  # a line to mark, options to choose one of, a word to tick in a list
POINTS: Final = "points"
LINE_END: Final = 10  # points lie between 0 and this, a line ends there
NOT_SMELT: Final = "not smelt"  # I smelt the strip and could not judge this; a 0 says that it was not there
SKIPPED: Final = "skip"
_OUTS: Final = {NOT_SMELT: "n", SKIPPED: "s"}  # with what is typed for them from paper
_ON_A_LINE: Final = re.compile(r"\d\.\d|10\.0", re.ASCII)
_TYPED: Final = re.compile(r"[0-9a-z]+", re.ASCII)


@dataclass(frozen=True, slots=True)
class Step:
    """One answer of a scale, as it is shown and stored.

    ``number``: what it counts as; None where it is no number, such as "unsure": told apart, never a 0. ``typed``: what
    is typed for it from paper; "": its place among the steps, from 1.
    """

    said: str
    number: float | None = None
    typed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """One scale.

    ``family``: what its answers can say, and so which functions work with them: "points" are numbers from 0 to 10
    whose means are compared, modelled and drawn over the ages; "checked" is a 1 or 0, of which the proportion is
    compared; "levels" is −1, 0 or 1, whose distribution is told; any other is counted by a row of its own
    (``counting.profiles.COUNTED``). ``steps``: its answers in the order in which they are shown; none on a line, where
    each place is an answer. ``outs``: answers that say nothing about the strip. ``columns``: of the options on a phone.
    ``ends``: words stand at its ends. ``untouched``: what it says where nobody touched it; "": it must be answered.
    """

    name: ScaleName
    control: Control
    family: str = POINTS
    steps: tuple[Step, ...] = ()
    outs: tuple[str, ...] = (NOT_SMELT, SKIPPED)
    columns: int = 1
    ends: bool = False
    untouched: str = ""

    def __post_init__(self) -> None:
        if (len(self.steps) > 1) is self.marked:
            raise ArgumentError(f"steps of {self.name} must be two or more, and none on a line.")
        if not {*self.outs} <= {*_OUTS} or self.untouched not in ("", *self.answers):
            raise ArgumentError(f"outs of {self.name} must be known, and untouched one of its answers.")
        self._check_words()
        if self.on_points and not all(0 <= (one.number or 0) <= LINE_END for one in self.steps):
            raise ArgumentError(f"steps of {self.name} must be points from 0 to {LINE_END}.")

    def _check_words(self) -> None:
        typed = [token for token, _ in self.typed]
        if not _differ(self.answers) or not _differ(typed) or not all(map(_TYPED.fullmatch, typed)):
            raise ArgumentError(f"answers of {self.name} must differ, and so must what is typed for them, a word each.")

    @property
    def marked(self) -> bool:
        """True where any place on a line is an answer."""
        return self.control == "line"

    @property
    def on_points(self) -> bool:
        """True where answers are numbers whose differences are tested."""
        return self.family == POINTS

    @property
    def answers(self) -> tuple[str, ...]:
        """Every answer that has words, steps first; a line takes numbers besides."""
        return (*(one.said for one in self.steps), *self.outs)

    @property
    def typed(self) -> tuple[tuple[str, str], ...]:
        """What is typed from paper, and the answer it stands for."""
        steps = ((one.typed or str(place), one.said) for place, one in enumerate(self.steps, start=1))
        return (*steps, *((_OUTS[one], one) for one in self.outs))

    def takes(self, value: str) -> bool:
        """True where ``value`` is an answer, written as it is stored."""
        return value in self.answers or (self.marked and _ON_A_LINE.fullmatch(value) is not None)

    def number(self, value: str) -> float | None:
        """What a stored answer counts as; None for one that is no number. It must be an answer of this scale."""
        if value in self.answers:
            return next((one.number for one in self.steps if one.said == value), None)
        return float(value)


def _differ(words: Sequence[str]) -> bool:
    return len(set(words)) == len(words)


_SCALES: Final[dict[str, Scale]] = {}
_NO_SCALES: Final = frozenset({"choice", "ranking"})  # other kinds of questions


def register(scale: Scale) -> Scale:
    """Make a scale known to the house."""
    if scale.name in _SCALES or scale.name in _NO_SCALES:
        raise ArgumentError(f"scale must be a new one, and {scale.name} is taken.")
    _SCALES[scale.name] = scale
    return scale


@contextmanager
def registered(scale: Scale) -> Iterator[Scale]:
    """A scale that is known as long as the block lasts."""
    register(scale)
    try:
        yield scale
    finally:
        del _SCALES[scale.name]


def scales() -> tuple[Scale, ...]:
    """Every scale, in the order a list shows them."""
    return tuple(_SCALES.values())


def scale_names() -> tuple[ScaleName, ...]:
    """The name of every scale, in the order a list shows them."""
    return tuple(one.name for one in scales())


def scale_of(name: str) -> Scale:
    """The record of a scale; ArgumentError names those there are."""
    return scale_named(name) or _SCALES[checks.choice("scale", name, tuple(_SCALES))]


def scale_named(name: str) -> Scale | None:
    """The record of a scale, None where no scale is called so."""
    return _SCALES.get(name) if isinstance(name, str) else None


def of_families(*families: str) -> tuple[ScaleName, ...]:
    """The names of the scales of these families."""
    return tuple(one.name for one in scales() if one.family in families)


def counted_families() -> tuple[str, ...]:
    """The families whose answers are counted, being no points; in the order of the scales."""
    return tuple(dict.fromkeys(one.family for one in scales() if not one.on_points))


class ByScale(ByRecord[T]):
    """What one layer holds for each scale, found by its name and, where that has no row, by its family."""

    noun: ClassVar[str] = "scale"
    either: ClassVar[str] = "a scale or a family of scales"

    def named(self, name: str) -> tuple[str, str]:
        """The name and the family of a scale, or a family twice; ArgumentError names the scales there are."""
        if name in counted_families():
            return name, name
        scale = scale_of(name)
        return scale.name, scale.family

    def known(self) -> Iterator[tuple[str, str]]:
        """The names and families of all scales."""
        return ((one.name, one.family) for one in scales())


# An unstructured line 0-10 and a category scale 0-9 (ISO 4121, from memory); check all that apply; just about right.
for _one in (
    Scale(name="line", control="line", ends=True),
    Scale(
        name="category",
        control="options",
        steps=tuple(Step(str(value), float(value), str(value)) for value in range(10)),
        columns=5,
        ends=True,
    ),
    Scale(
        name="check",
        control="tick",
        family="checked",
        steps=(Step("no", 0.0, "n"), Step("yes", 1.0, "y")),
        outs=(),
        untouched="no",
    ),
    Scale(
        name="level",
        control="options",
        family="levels",
        steps=(Step("too weak", -1.0), Step("right", 0.0), Step("too strong", 1.0)),
        columns=3,
    ),
):
    register(_one)
