"""Tables with one row for each kind of session, as other rooms keep them; asking for a missing row is an error."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Final, Generic, TypeVar

from evaluation.errors import ArgumentError
from evaluation.kinds.facts import kind_of, kinds

T = TypeVar("T")


class ByKind(Generic[T]):
    """What one layer holds for each kind of session, found by the method and, where that has no row, by its family.

    A layer keeps its table beside the functions it names, so that no layer knows one above it.
    """

    def __init__(self, holds: str, rows: Mapping[str, T]) -> None:
        self.holds: Final = holds
        self._rows: dict[str, T] = {}
        for name, row in rows.items():
            self.register(name, row)

    def of(self, method: str) -> T:
        """The row of a method; ArgumentError where this layer has none."""
        found = self.get(method)
        if found is None:
            raise ArgumentError(f"method must have {self.holds}, and {method} has none.")
        return found

    def get(self, method: str) -> T | None:
        """The row of a method, None where this layer has none."""
        kind = kind_of(method)
        return self._rows.get(kind.method, self._rows.get(kind.family))

    @contextmanager
    def registered(self, name: str, row: T) -> Iterator[None]:
        """A row more, for a method or a family that has none yet, as long as the block lasts."""
        self.register(name, row)
        try:
            yield
        finally:
            del self._rows[name]

    def register(self, name: str, row: T) -> None:
        """Add a row for a method or a family that has none yet."""
        if not any(name in (kind.method, kind.family) for kind in kinds()):
            raise ArgumentError(f"{name!r} must be a method or a family of kinds to have {self.holds}.")
        if name in self._rows:
            raise ArgumentError(f"{name} has {self.holds} already.")
        self._rows[name] = row
