"""One row of a table as one line of JSON, and back: only what the columns can hold is let in."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import date
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import BigInteger, Boolean, Column, Date, Integer, Table, Text

_SMALL: Final = 1 << 31  # what a whole number of each kind holds on a database server
_LARGE: Final = 1 << 63


def line(row: Mapping[str, Any]) -> bytes:
    """The row with a line end; dates as written days."""
    return json.dumps(dict(row), ensure_ascii=False, separators=(",", ":"), default=_day).encode() + b"\n"


def _day(value: Any) -> str:
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(f"A {type(value).__name__} stands in no table: {value!r}.")


def row(table: Table, told: Any) -> dict[str, Any]:
    """What a line says, as the table takes it; ValueError or TypeError for anything ``line`` did not write."""
    if set(told) != set(table.columns.keys()):
        raise ValueError("other columns")
    return {column.name: _read(column, told[column.name]) for column in table.columns}


def _read(column: Column[Any], value: Any) -> Any:
    if value is None:
        if not column.nullable:
            raise ValueError(f"{column.name} is empty")
        return None
    return _reader(column)(value)


def _reader(column: Column[Any]) -> Callable[[Any], Any]:
    for kind, reader in _READERS.items():  # in this order: a large whole number is a whole number too
        if isinstance(column.type, kind):
            return reader
    raise TypeError(f"{column.type} is the type of no column")


def _whole(limit: int) -> Callable[[Any], int]:
    def read(value: Any) -> int:
        if type(value) is not int or not -limit <= value < limit:
            raise ValueError("no whole number that fits")
        return value

    return read


def _yes(value: Any) -> bool:
    if type(value) is not bool:
        raise ValueError("neither yes nor no")
    return value


def _words(value: Any) -> str:
    if type(value) is not str:
        raise ValueError("no text")
    return value


_READERS: Final[Mapping[type, Callable[[Any], Any]]] = MappingProxyType(
    {Boolean: _yes, Date: date.fromisoformat, BigInteger: _whole(_LARGE), Integer: _whole(_SMALL), Text: _words}
)
