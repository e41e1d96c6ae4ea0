"""What a report is made of before it is laid out on pages: the paragraphs and tables of the sheets, and charts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any, Final
from zoneinfo import ZoneInfo

import pandas as pd

from evaluation.actions.opened import Context, Noted, Remark
from evaluation.sheets.pieces import Table, Text
from evaluation.tables import results
from evaluation.wording.of_profiles import age_words

NOTHING: Final = "—"
MOST_COLUMNS: Final = 4  # beside the names of the numbers


@dataclass(frozen=True, slots=True, eq=False)
class Chart:
    """A chart, drawn when the report is set, with what it shows in words."""

    drawn: Any
    caption: str


Block = Text | Table | Chart


@dataclass(frozen=True, slots=True, eq=False)
class Report:
    """A document; ``numbers`` are the canonical ones, "" where there are none of its own."""

    title: str
    seal: str  # first signs of a hash, for the foot of each page
    instant: int  # of the last thing in the log: the date of the file
    zone: str
    blocks: tuple[Block, ...]
    numbers: str = ""

    @property
    def numbers_hash(self) -> str:
        """SHA-256 of the canonical numbers, printed so that a copy of them can be checked."""
        return sha256(self.numbers.encode()).hexdigest()

    @property
    def day(self) -> str:
        """Day and time of the last thing in the log, not of the print."""
        return moment(self.instant, self.zone)


def moment(instant: int, zone: str) -> str:
    """Day and time in a zone, the same on every machine."""
    at = datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone))
    return f"{at:%Y-%m-%d %H:%M} {zone}"


def head(text: str) -> Text:
    """A heading."""
    return Text(text, "head")


def lines(told: Iterable[str]) -> list[Block]:
    """One paragraph each, none twice."""
    return [Text(one) for one in dict.fromkeys(told) if one]


def table(columns: Sequence[str], rows: Iterable[Sequence[str]], widths: Sequence[float] = ()) -> list[Block]:
    """A table, or nothing where it would be empty."""
    body = tuple(tuple(map(str, row)) for row in rows)
    return [Table(tuple(columns), body, tuple(widths) or (1.0,) * len(columns))] if body else []


def framed(frame: pd.DataFrame) -> list[Block]:
    """A frame made for people, as it is."""
    body = [[cell_words(cell) for cell in row] for row in frame.itertuples(index=False)]
    return table([str(name) for name in frame.columns], body)


def across(frame: pd.DataFrame, by: str) -> list[Block]:
    """A frame with many columns turned round: one line a number, one column for each of its rows."""
    found: list[Block] = []
    for start in range(0, len(frame), MOST_COLUMNS):
        part = frame.iloc[start : start + MOST_COLUMNS]
        names = [name for name in part.columns if name != by]
        rows = [[str(name), *(cell_words(cell) for cell in part[name])] for name in names]
        found += table([by, *map(str, part[by])], rows, [1.2, *[1.0] * len(part)])
    return found


def cell_words(cell: Any) -> str:
    """A cell of a results table as it is printed: a dash for nothing, numbers to the digits the table left them."""
    if cell is None or cell is pd.NA or (isinstance(cell, float) and pd.isna(cell)):
        return NOTHING
    if isinstance(cell, float):
        return results.BEYOND if cell in (float("inf"), float("-inf")) else f"{cell:g}"
    return str(cell)


def record(found: Context) -> list[Block]:
    """The seal, the end of the log, and whether the record stands."""
    stands = (
        "The log was checked when this was made: every line stands as it was written."
        if found.log_holds
        else "The log does not stand as it was written: something was changed behind it. Do not rely on this report."
    )
    return [
        Text(f"Sealed plan, SHA-256: {found.session.sealed_hash}"),
        Text(f"Last hash of the log: {found.last_hash}"),
        Text(stands, "plain" if found.log_holds else "lead"),
    ]


def noted(given: Iterable[Noted]) -> list[Block]:
    """Every deviation, with what the sealed rule makes of it."""
    rows = [
        (
            one.panelist,
            "all sets" if one.age is None else age_words(one.age / 60),
            one.kind,
            one.reason,
            "left out" if one.leaves else "counted",
        )
        for one in given
    ]
    return table(("Person", "Sets", "What happened", "Reason", "In the analysis"), rows, (2, 2, 2, 4, 2))


def remarks(given: Iterable[Remark]) -> list[Block]:
    """What people wrote, as far as nobody has taken it back."""
    rows = [
        ("at the end" if isinstance(one.age, str) else age_words(one.age / 60), one.panelist, one.text) for one in given
    ]
    return [head("Remarks"), *table(("When", "Person", "Remark"), rows, (1, 1, 4))] if rows else []
