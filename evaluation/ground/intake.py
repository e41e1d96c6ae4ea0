"""How large what comes in from outside may be, and text, numbers and JSON read within those bounds.

What comes in is measured before it is parsed, and nothing is believed that it says of itself: a file of a hundred
kilobytes can ask for gigabytes. A refusal is ArgumentError and says what would be accepted. What is read here is of the
right size and shape; whether it makes sense is for the constructors of the values to say.
"""

from __future__ import annotations

import json
import os
import re
import select
import stat
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import IO, Any, Final, NoReturn

from evaluation.errors import ArgumentError, KindError, StoreError

MB: Final = 1 << 20


@dataclass(frozen=True, slots=True)
class Bounds:
    """The most that one thing may be; what a thing does not have stands at 0."""

    what: str
    bytes: int  # as it comes
    members: int = 0  # of an archive
    unpacked: int = 0  # bytes of all members together …
    free: int = 0  # … which may be so many whatever its size,
    times: int = 0  # and for each byte of it so many more
    depth: int = 0  # brackets of JSON inside one another
    values: int = 0  # of JSON: every number, text, list, mapping and name …
    letters: int = 0  # … with so many bytes each, on the average: a list of nothing takes 3, and 50 in memory
    rows: int = 0  # of a table
    columns: int = 0
    cell: int = 0  # letters in one cell

    def most_unpacked(self, size: int) -> int:
        """How many bytes an archive of ``size`` bytes may hold."""
        return min(self.unpacked, self.free + self.times * size)


# Kept exports and backups unpack to four to six times their size, are four deep, and have 15 bytes to a value. The
# largest plan (80 seats, 40 descriptors) gives some 100 000 answers, of about 700 bytes and 25 values each.
EXPORT: Final = Bounds("an export", 64 * MB, 5, 256 * MB, MB, 16)
EXPORT_MANIFEST: Final = Bounds("a manifest", MB, depth=4, values=100)
EXPORT_SESSION: Final = Bounds("a session", 128 * MB, depth=8, values=6_000_000, letters=6)
EXPORT_FORMULAS: Final = Bounds("formulas", 8 * MB, depth=8, values=200_000)  # 40 trials of 400 lines, and more
BACKUP: Final = Bounds("a backup", 8 << 30, 200, 8 << 30, 4 * MB, 30)
BACKUP_MANIFEST: Final = Bounds("a manifest", 8 * MB, depth=5, values=500_000)
BACKUP_LINE: Final = Bounds("a row", 16 * MB, depth=3, values=200)
WRITTEN: Final = Bounds("what is kept as JSON", 16 * MB, depth=24, values=2_000_000)  # plans, logs, lists, evidence
OURS: Final = Bounds("a file of the demo", MB, depth=12, values=100_000)
ANSWERS: Final = Bounds("a table of answers", 512 * MB, rows=5_000_000, columns=500, cell=10_000)
PAPER: Final = Bounds("a table of paper answers", 2 * MB, rows=50_000, columns=6, cell=2_000)
LINE: Final = Bounds("a typed line", 4_000)
# 400 lines and their accords below a header; a spreadsheet's whole row may have 16 384 cells, empty but for a few.
FORMULA: Final = Bounds("a formula", 400_000, rows=1_000, columns=16_384, cell=400)

LONGEST_NAME: Final = 400  # letters of a file's name in a sentence
PIPE_MILLISECONDS: Final = 1000  # how long a pipe is waited for into which nobody has written yet
_UNSHOWN: Final = frozenset({"Cc", "Cs", "Zl", "Zp"})
FEW: Final = 10_000  # bytes short of its letters that JSON may be: a small one is small in memory too
MOST_DIGITS: Final = 19  # of a whole number: what 64 bits hold
MOST_DECIMAL_DIGITS: Final = 45  # of a decimal as it is kept, and as many behind the point
_KEPT: Final = rf"-?\d{{1,{MOST_DECIMAL_DIGITS}}}(\.\d{{0,{MOST_DECIMAL_DIGITS}}})?([eE][+-]?\d{{1,3}})?"
_DECIMAL: Final = re.compile(_KEPT, re.ASCII)
_SPELT_OUT: Final = re.compile(r"-?\d{1,309}(\.\d{1,345})?", re.ASCII)  # from 1.8e308 down to 17 digits of 2.2e-308
_WORDS: Final = re.compile(rb'"[^"\\]*(?:\\.[^"\\]*)*"', re.DOTALL)
_HALF: Final = re.compile(r"\\u[dD][89a-fA-F]")
_NO_BRACKETS: Final = bytes(one for one in range(256) if one not in b"[]{}")
_ALIKE: Final = bytes.maketrans(b"{}", b"[]")


# --- bytes ----------------------------------------------------------------------------------------------------


def file_bytes(path: str | Path, bounds: Bounds) -> bytes:
    """The bytes of a file; StoreError where it cannot be read, ArgumentError where it is larger than its bounds."""
    with opened_file(path) as source:
        check_size(os.fstat(source.fileno()).st_size, bounds)  # before any of it is read
        try:
            return stream_bytes(source, bounds)
        except OSError as problem:
            raise _unread(path, problem) from problem


def opened_file(path: str | Path) -> IO[bytes]:
    """A file opened to be read; StoreError where it cannot be, or is a pipe into which nobody writes."""
    try:
        source: IO[bytes] = open(path, "rb", opener=_without_waiting)  # noqa: SIM115 - whoever asked closes it
        try:
            _check_pipe(source)
        except BaseException:
            source.close()
            raise
    except (OSError, ValueError) as problem:  # ValueError: a name with a zero byte in it
        raise _unread(path, problem) from problem
    return source


def _unread(path: str | Path, problem: Exception) -> StoreError:
    return StoreError(f"The file {named(path)} cannot be read: {getattr(problem, 'strerror', None) or problem}.")


def _without_waiting(path: str, flags: int) -> int:
    """A pipe would be opened once somebody writes into it."""
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def _check_pipe(source: IO[bytes]) -> None:
    if not stat.S_ISFIFO(os.fstat(source.fileno()).st_mode):
        return
    waiting = select.poll()
    waiting.register(source.fileno(), select.POLLIN)
    if not waiting.poll(PIPE_MILLISECONDS) and not _somebody_writes(source):
        raise OSError(0, "it is a pipe into which nobody writes")
    os.set_blocking(source.fileno(), True)


def _somebody_writes(source: IO[bytes]) -> bool:
    """Where nothing has come yet: the end of a pipe that nobody has open is there at once."""
    try:
        os.read(source.fileno(), 1)
    except BlockingIOError:
        return True
    return False


def named(path: str | Path) -> str:
    """A file as a sentence names it: signs that would break the line as escapes, and its beginning where it is long."""
    return on_one_line(str(path)[:LONGEST_NAME])


def on_one_line(text: str) -> str:
    """Text with control characters, ends of lines and half letters (bytes that are no text) as escapes."""
    return "".join(repr(one)[1:-1] if unicodedata.category(one) in _UNSHOWN else one for one in text)


def stream_bytes(source: IO[bytes], bounds: Bounds) -> bytes:
    """All bytes of a stream; it is left unread where there are more than the bounds allow."""
    data = source.read(bounds.bytes + 1)
    check_size(len(data), bounds)
    return data


def check_size(size: int, bounds: Bounds) -> None:
    """Refuse more bytes than the bounds allow."""
    if size > bounds.bytes:
        raise ArgumentError(f"{bounds.what} may have at most {_amount(bounds.bytes)}; this has more.")


def utf8(data: bytes, what: str) -> str:
    """The text that the bytes are in UTF-8; ArgumentError naming the first byte that is none."""
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as problem:
        raise ArgumentError(f"{what} must be UTF-8 text, which it is not from byte {problem.start + 1} on.") from None


def _amount(size: int) -> str:
    return f"{size // MB} MB" if size >= MB else f"{size} bytes"


# --- JSON -----------------------------------------------------------------------------------------------------


def json_of(data: bytes | str, bounds: Bounds) -> Any:
    """What JSON says: nothing deeper, larger or twice named; whole numbers of 64 bits, others finite.

    Depth and number of values are counted before it is parsed. ArgumentError says what is wrong with it.
    """
    raw = data.encode("utf-8", "surrogatepass") if isinstance(data, str) else data
    measure(raw, bounds)
    text = utf8(raw, bounds.what)
    try:
        read = json.loads(
            text, parse_int=_whole, parse_float=_finite, parse_constant=_no_number, object_pairs_hook=_once_each
        )
    except json.JSONDecodeError as problem:
        raise ArgumentError(f"{bounds.what} must be JSON, which it is not at character {problem.pos + 1}.") from None
    except RecursionError:  # where little of the stack is left
        raise ArgumentError(f"{bounds.what} may be at most {bounds.depth} brackets deep.") from None
    if _HALF.search(text):
        _check_letters(read, bounds)
    return read


def _check_letters(read: Any, bounds: Bounds) -> None:
    """Half a letter, written as an escape, is no text: no file and no database takes it."""
    try:
        json.dumps(read, ensure_ascii=False).encode()
    except UnicodeEncodeError:
        raise ArgumentError(f"{bounds.what} must be text, and holds half a letter (a lone surrogate).") from None


def measure(raw: bytes, bounds: Bounds) -> None:
    """Refuse what is too large, too deep or has too many values to be parsed; what its texts hold does not count."""
    check_size(len(raw), bounds)
    bare = _WORDS.sub(b"", raw)
    values = sum(map(bare.count, (b",", b"[", b"{", b":"))) + 1
    if values > bounds.values or values * bounds.letters > len(raw) + FEW:
        raise ArgumentError(f"{bounds.what} may have at most {bounds.values} values, and fewer if it is short.")
    left = bare.translate(_ALIKE, _NO_BRACKETS)  # pairs go from the inside, once for each depth
    for _ in range(bounds.depth):
        left = left.replace(b"[]", b"")
        if not left:
            return
    raise ArgumentError(f"{bounds.what} must be JSON whose brackets close and are at most {bounds.depth} deep.")


def _whole(text: str) -> int:
    number = int(text) if len(text) <= MOST_DIGITS + 1 else None
    if number is None or not -(1 << 63) <= number < 1 << 63:
        raise ArgumentError(f"a whole number may have at most {MOST_DIGITS} digits, not {len(text.lstrip('-'))}.")
    return number


def _finite(text: str) -> float:
    number = float(text) if len(text) <= 40 else float("inf")
    if number - number != 0:
        raise ArgumentError(f"a number must be finite and at most 40 characters long, not {text[:40]}.")
    return number


def _no_number(text: str) -> NoReturn:
    raise ArgumentError(f"a number must be finite, not {text}.")


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        twice = next(name for place, (name, _) in enumerate(pairs) if name in dict(pairs[:place]))
        raise ArgumentError(f"each name may stand once in a mapping, and {twice[:40]!r} stands twice.")
    return made


# --- numbers and cells ----------------------------------------------------------------------------------------


def decimal_of(name: str, text: Any) -> Decimal:
    """The decimal that text spells, such as ``12.5`` or ``1E+1``: one that is modest."""
    if not isinstance(text, str):
        raise KindError(f"{name} must be a number written as text, not {shortened(text)}.")
    value = Decimal(text) if _DECIMAL.fullmatch(text) else None
    if value is None or not modest(value):
        raise ArgumentError(f"{name} must be a number such as 12.5, not {shortened(text)}.")
    return value


def decimal_of_float(name: str, text: Any) -> Decimal:
    """The decimal that spells a float out to its last digit, without an exponent; refuses more digits than one has."""
    if not isinstance(text, str) or not _SPELT_OUT.fullmatch(text):
        raise ArgumentError(f"{name} must be a number written out as text, not {shortened(text)}.")
    return Decimal(text)


def modest(value: Decimal) -> bool:
    """True for a finite number that can be written out: 1e-999999999 is a gigabyte of digits."""
    _, digits, exponent = value.as_tuple()
    return isinstance(exponent, int) and -60 <= exponent <= 15 and len(digits) <= 45


def shortened(value: Any) -> str:
    """A value as an error shows it: its beginning, however long it is."""
    shown = repr(value[:60] if isinstance(value, str | bytes) else value)
    return shown if len(shown) <= 80 else f"{shown[:76]} …"


def check_row(bounds: Bounds, number: int, line: int, cells: list[str]) -> None:
    """Refuse a row of a table that is one too many, too wide, or has a cell too long."""
    if number > bounds.rows:
        raise ArgumentError(f"{bounds.what} may have at most {bounds.rows} rows; this has more.")
    if len(cells) > bounds.columns:
        raise ArgumentError(f"line {line}: {bounds.what} may have at most {bounds.columns} columns, not {len(cells)}.")
    longest = max(map(len, cells), default=0)
    if longest > bounds.cell:
        raise ArgumentError(f"line {line}: a cell may have at most {bounds.cell} characters, not {longest}.")
