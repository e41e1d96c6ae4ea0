"""Kinds of series: one record each, and the class of tables that other rooms keep by them.

As with kinds of session nothing but the record tells kinds apart: ask a fact, never the name. What needs functions
stands in a table (``BySeries``) of its own layer.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, ClassVar, Final, TypeVar

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.by_record import ByRecord

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class SeriesKind:
    """One kind of series. ``design``: the class of what a series of this kind has of its own (see ``sealed``).

    ``keeps``: it may propose to keep a trial, and is counted among the tries of its brief. ``once_a_day``: of the votes
    of one nose on one day only the first counts.
    """

    name: str
    design: type[Any]
    keeps: bool = False
    once_a_day: bool = False


_KINDS: Final[dict[str, SeriesKind]] = {}


def register_series(kind: SeriesKind) -> SeriesKind:
    """Make a kind of series known to the house."""
    if kind.name in _KINDS:
        raise ArgumentError(f"name must be a new one, and {kind.name} is a kind of series already.")
    _KINDS[kind.name] = kind
    return kind


@contextmanager
def registered_series(kind: SeriesKind) -> Iterator[SeriesKind]:
    """A kind that is known as long as the block lasts."""
    register_series(kind)
    try:
        yield kind
    finally:
        del _KINDS[kind.name]


def series_kinds() -> tuple[SeriesKind, ...]:
    """Every kind of series, in the order a list shows them."""
    return tuple(_KINDS.values())


def series_kind(name: str) -> SeriesKind:
    """The record of a kind; ArgumentError names those there are."""
    return _KINDS[checks.choice("kind of series", name, tuple(_KINDS))]


class BySeries(ByRecord[T]):
    """What one layer holds for each kind of series, found by its name."""

    noun: ClassVar[str] = "kind of series"
    either: ClassVar[str] = "a kind of series"

    def named(self, name: str) -> tuple[str, str]:
        """The name, twice: kinds of series have no families."""
        return series_kind(name).name, name

    def known(self) -> Iterator[tuple[str, str]]:
        """The names of all kinds."""
        return ((kind.name, kind.name) for kind in series_kinds())
