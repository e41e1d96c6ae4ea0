"""Reading files of answers: bytes in, a table of distinct values and codes out.

Text is never guessed to be a number or missing: a panelist "NA" and a panelist "007" stay what they are. The fast
reader is pyarrow's; whatever it refuses, and whatever must be found again by its line, is read by the csv module.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import IO, Any, Final

import numpy as np
import pandas as pd
import pyarrow as pa
import pyarrow.csv as arrow_csv

from evaluation.counting.answers import KNOWN, Column, Table, missing_columns
from evaluation.counting.cell_codes import coded
from evaluation.errors import AnswersError, ArgumentError, KindError
from evaluation.ground import intake

WINDOWS_NOTE: Final = "The file is not UTF-8: it was read as Windows-1252."
_BLOCK: Final = 1 << 22
_SEPARATORS: Final = {";": "semicolons", "\t": "tabs"}


def read_file(path: str | Path, known: Sequence[str] = KNOWN) -> Table:
    """The table in a file of comma-separated text; one that is too large is refused before it is read."""
    return read_bytes(intake.file_bytes(path, intake.ANSWERS), known)


def read_stream(source: IO[bytes], known: Sequence[str] = KNOWN) -> Table:
    """The same of bytes as they come, such as standard input."""
    return read_bytes(intake.stream_bytes(source, intake.ANSWERS), known)


def read_bytes(data: bytes, known: Sequence[str] = KNOWN) -> Table:
    """The table in comma-separated text: UTF-8 with or without byte order mark, else Windows-1252 with a note."""
    intake.check_size(len(data), intake.ANSWERS)
    text, notes = _utf8(data)
    _refuse_too_many(text)
    header = _header(text, known)
    columns = _fast(text, header, known)
    if columns is None:
        columns = _slow(text, header, known)
    return Table(columns, lambda row: _line_of(text, row), notes)


def table_of(frame: pd.DataFrame, known: Sequence[str] = KNOWN) -> Table:
    """The table in a frame; rows are named by their place, from 1."""
    if not isinstance(frame, pd.DataFrame):
        raise KindError(f"frame must be a pandas data frame, not {type(frame).__name__}.")
    lacking = missing_columns([str(name) for name in frame.columns])
    if lacking:
        raise AnswersError(f"The frame lacks these columns: {lacking}.")
    columns = {name: _coded(frame, name) for name in known if name in frame.columns}
    return Table(columns, lambda row: f"row {row + 1}")


def _coded(frame: pd.DataFrame, name: str) -> Column:
    series = frame[name]
    if not isinstance(series, pd.Series):
        raise AnswersError(f"The frame has the column {name} more than once.")
    try:
        codes, values = pd.factorize(series, use_na_sentinel=False)
    except TypeError as problem:  # a list or the like in a cell
        raise AnswersError(f"column {name}: every cell must hold text or a number.") from problem
    return Column(codes, [None if pd.api.types.is_scalar(one) and pd.isna(one) else one for one in values.tolist()])


def _utf8(data: bytes) -> tuple[bytes, tuple[str, ...]]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\x00" in data:
        raise AnswersError("The file is not text in UTF-8 or Windows-1252: save it again as UTF-8.")
    data = data.removeprefix(b"\xef\xbb\xbf")
    if data.isascii():
        return data, ()
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return _from_windows(data), (WINDOWS_NOTE,)
    return data, ()


def _refuse_too_many(text: bytes) -> None:
    """Lines are counted before any is read: a line break in a cell counts as one, there are few of them."""
    letters = np.frombuffer(text, np.uint8)
    if max(np.count_nonzero(letters == ord(end)) for end in "\n\r") > intake.ANSWERS.rows + 1:
        raise AnswersError(f"The table is too large: it may have at most {intake.ANSWERS.rows} rows.")


def _from_windows(data: bytes) -> bytes:
    try:
        return data.decode("cp1252").encode()
    except UnicodeDecodeError as problem:
        raise AnswersError("The file is not text in UTF-8 or Windows-1252: save it again as UTF-8.") from problem


def _header(text: bytes, known: Sequence[str]) -> list[str]:
    """The names in the first line as they are written; every known column once, the needed ones all there."""
    _, names = next(_records(text), (1, []))
    if not names:
        raise AnswersError("The file is empty.")
    found = [name.strip() for name in names]
    lacking = missing_columns(found)
    if lacking:
        _refuse_separator(names)
        lower = "" if missing_columns([name.lower() for name in found]) else "; names are written in lower case"
        raise AnswersError(f"line 1: these columns are missing: {lacking}{lower}.")
    for name in known:
        if found.count(name) > 1:
            raise AnswersError(f"line 1: the column {name} is there more than once.")
    return names


def _refuse_separator(names: Sequence[str]) -> None:
    for separator, called in _SEPARATORS.items():
        if any(separator in name for name in names):
            raise AnswersError(
                f"line 1: the columns are separated by {called}; save the file with commas between them."
            )


def _fast(text: bytes, header: Sequence[str], wanted: Sequence[str]) -> dict[str, Column] | None:
    """All known columns at once, or None where the table is not regular enough."""
    known = {name.strip(): name for name in header if name.strip() in wanted}
    if b'"' in text:
        _refuse_open_quote(text)
    try:
        table = arrow_csv.read_csv(
            pa.BufferReader(text),
            read_options=arrow_csv.ReadOptions(block_size=_BLOCK),
            parse_options=arrow_csv.ParseOptions(newlines_in_values=b'"' in text),
            convert_options=arrow_csv.ConvertOptions(
                column_types=dict.fromkeys(known.values(), pa.string()),
                include_columns=list(known.values()),
                strings_can_be_null=False,
                check_utf8=False,  # the whole text was decoded before
            ),
        )
    except (pa.ArrowException, OverflowError):
        return None
    with ThreadPoolExecutor() as threads:  # the encoder runs outside the interpreter's lock
        columns = dict(zip(known, threads.map(_arrow_column, map(table.column, known.values())), strict=True))
    longest = max((len(one) for column in columns.values() for one in column.values), default=0)
    return columns if longest <= intake.ANSWERS.cell else None  # the other reader says where


def _arrow_column(column: Any) -> Column:
    return Column(*coded(column))


def _slow(text: bytes, header: Sequence[str], known: Sequence[str]) -> dict[str, Column]:
    """The same by the csv module, which can say at which line a row has too few or too many cells."""
    wanted = [(place, name.strip()) for place, name in enumerate(header) if name.strip() in known]
    seen: dict[str, dict[str, int]] = {name: {} for _, name in wanted}
    codes: dict[str, list[int]] = {name: [] for _, name in wanted}
    records = _records(text)
    next(records)
    for line, record in records:
        if len(record) != len(header):
            raise AnswersError(f"line {line}: has {len(record)} cells where the header has {len(header)}.")
        for place, name in wanted:
            codes[name].append(seen[name].setdefault(record[place], len(seen[name])))
    return {name: Column(np.array(codes[name], np.int64), list(seen[name])) for _, name in wanted}


def _records(text: bytes, strict: bool = False) -> Iterator[tuple[int, list[str]]]:
    """Every record that is not blank, with the number of the physical line it begins on."""
    reader = csv.reader(io.TextIOWrapper(io.BytesIO(text), "utf-8", newline=""), strict=strict)
    line, number = 1, 0
    try:
        for record in reader:
            if record and (len(record) > 1 or record[0].strip()):
                _check_row(number, line, record)
                number += 1
                yield line, record
            line = reader.line_num + 1
    except csv.Error as problem:
        raise AnswersError(f"line {line}: cannot be read ({problem}).") from problem


def _check_row(number: int, line: int, record: list[str]) -> None:
    try:
        intake.check_row(intake.ANSWERS, number, line, record)
    except ArgumentError as problem:
        raise AnswersError(str(problem)) from None


def _refuse_open_quote(text: bytes) -> None:
    """A quotation mark that is never closed swallows the rest of the file in silence: look, where they are odd."""
    if text.count(b'"') % 2 == 0:
        return
    try:
        for _ in _records(text, strict=True):
            pass
    except AnswersError as problem:
        if "unexpected end of data" in str(problem):
            line = str(problem).partition(":")[0]
            raise AnswersError(f"{line}: a quotation mark is opened here and never closed.") from problem


def _line_of(text: bytes, row: int) -> str:
    """Where a row stands; its number where the two readers cut the lines differently."""
    try:
        records = _records(text)
        next(records)
        line = next((line for place, (line, _) in enumerate(records) if place == row), None)
    except AnswersError:
        line = None
    return f"row {row + 1}" if line is None else f"line {line}"
