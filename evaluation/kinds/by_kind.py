"""Tables with one row for each kind of session, as other rooms keep them; asking for a missing row is an error."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, TypeVar

from evaluation.ground.by_record import ByRecord
from evaluation.kinds.facts import kind_of, kinds

T = TypeVar("T")


class ByKind(ByRecord[T]):
    """What one layer holds for each kind of session, found by the method and, where that has no row, by its family."""

    noun: ClassVar[str] = "method"
    either: ClassVar[str] = "a method or a family of kinds"

    def named(self, name: str) -> tuple[str, str]:
        """The method and the family of a kind; ArgumentError names the methods there are."""
        kind = kind_of(name)
        return kind.method, kind.family

    def known(self) -> Iterator[tuple[str, str]]:
        """The methods and families of all kinds."""
        return ((kind.method, kind.family) for kind in kinds())
