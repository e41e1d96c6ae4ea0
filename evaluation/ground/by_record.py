"""A table with a row for each record of a closed set: what one layer of the house holds for it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import ClassVar, Final, Generic, TypeVar

from evaluation.errors import ArgumentError

T = TypeVar("T")


class ByRecord(Generic[T]):
    """What one layer holds for each record, found by its name and, where that has no row, by its family.

    A layer keeps its table beside the functions it names, so that no layer knows one above it.
    """

    noun: ClassVar[str]  # what a name names
    either: ClassVar[str]  # what may have a row

    def __init__(self, holds: str, rows: Mapping[str, T]) -> None:
        self.holds: Final = holds
        self._rows: dict[str, T] = {}
        for name, row in rows.items():
            self.register(name, row)

    def named(self, name: str) -> tuple[str, str]:
        """The name and the family of one record; ArgumentError where there is none of this name."""
        raise NotImplementedError

    def known(self) -> Iterable[tuple[str, str]]:
        """The names and families of all records."""
        raise NotImplementedError

    def of(self, name: str) -> T:
        """The row of a record; ArgumentError where this layer has none."""
        found = self.get(name)
        if found is None:
            raise ArgumentError(f"{self.noun} must have {self.holds}, and {name} has none.")
        return found

    def get(self, name: str) -> T | None:
        """The row of a record, None where this layer has none."""
        own, family = self.named(name)
        return self._rows.get(own, self._rows.get(family))

    @contextmanager
    def registered(self, name: str, row: T) -> Iterator[None]:
        """A row more, for a name or a family that has none yet, as long as the block lasts."""
        self.register(name, row)
        try:
            yield
        finally:
            del self._rows[name]

    def register(self, name: str, row: T) -> None:
        """Add a row for a name or a family that has none yet."""
        if not any(name in names for names in self.known()):
            raise ArgumentError(f"{name!r} must be {self.either} to have {self.holds}.")
        if name in self._rows:
            raise ArgumentError(f"{name} has {self.holds} already.")
        self._rows[name] = row
