"""Hostile files, made from sound ones by a seed: what the fuzz of exports, backups, tables of answers and of paper share.

A mutation knows the form it spoils. Bytes are turned and cut; parts are lost, swapped and doubled; values are put where
they do not belong. Where digests and chains stand in the way they are made right again, so that the attack goes past
them. Nothing here is drawn but from the seed: a case that failed can be had again.
"""

from __future__ import annotations

import io
import json
import re
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from random import Random
from typing import Any, Final

from evaluation.errors import MouilletteError

Path = list[Any]  # names and places down to a value

WORDS: Final = (
    "10x", "", " ", "NaN", "Infinity", "-1", "0", "1e999999", "1e-999999999", "9" * 5000, "٣", "\x00", "\ud800", "\u202e",
    "a" * 100_000, "=1+1", "../../etc/passwd", "'; DROP TABLE answers;--", "<script>", "{}", "[" * 500, "null", "none",
    "2026-13-45", "A" * 12, "ABBA", "?", "12.5", "\n\n", "overall", "triangle", "preference", "opened", "draft", "skin",
)  # fmt: skip
VALUES: Final = (
    *WORDS, None, True, False, 0, 1, -1, 2, 80, 10**9, 2**31, 2**63 - 1, 2**63, -(2**63), 10**30, 0.5, 1e308, -0.0, [],
    {}, [[]], [None], {"a": 1}, [1] * 200, {"digest": "x"},
)  # fmt: skip


def paths(value: Any, before: Path | None = None) -> Iterator[Path]:
    """Every place inside a value, from the outside in."""
    here = before or []
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for name, one in inside:
        yield [*here, name]
        yield from paths(one, [*here, name])


def any_path(chance: Random, value: Any) -> Path:
    """A place inside a value: every table, then every row, is as likely as the next, however many there are."""
    path: Path = []
    while isinstance(value, dict | list) and value and (not path or chance.random() < 0.93):
        name = chance.choice(sorted(value)) if isinstance(value, dict) else chance.randrange(len(value))
        path, value = [*path, name], value[name]
    return path


def spoil(chance: Random, value: Any) -> str:
    """Change one place of a mapping in place; says what was done."""
    path = any_path(chance, value)
    if not path:
        return "nothing"
    holder: Any = value
    for name in path[:-1]:
        holder = holder[name]
    last = path[-1]
    how = chance.choice((_replaced, _replaced, _replaced, _gone, _doubled, _swapped, _nudged, _nudged))
    how(chance, holder, last)
    return f"{how.__name__} {'/'.join(map(str, path))}"


def _replaced(chance: Random, holder: Any, name: Any) -> None:
    holder[name] = chance.choice(VALUES)


def _gone(chance: Random, holder: Any, name: Any) -> None:
    del holder[name]


def _doubled(chance: Random, holder: Any, name: Any) -> None:
    if isinstance(holder, list):
        holder.extend([holder[name]] * chance.choice((1, 2, 50)))
    else:
        holder[f"{name}2"] = holder[name]


def _swapped(chance: Random, holder: Any, name: Any) -> None:
    other = chance.choice(list(holder)) if isinstance(holder, dict) else chance.randrange(len(holder))
    holder[name], holder[other] = holder[other], holder[name]


def _nudged(chance: Random, holder: Any, name: Any) -> None:
    """A value that is nearly right."""
    one = holder[name]
    if isinstance(one, bool):
        holder[name] = not one
    elif isinstance(one, int):
        holder[name] = one + chance.choice((-1, 1, 1000, -one, 10**12, -2 * one))
    elif isinstance(one, str) and one:
        at = chance.randrange(len(one))
        holder[name] = chance.choice(
            (one[:at], one[:at] + one[at + 1 :], one + one, one[::-1], one[at:] + one[:at], one.upper())
        )
    else:
        holder[name] = chance.choice(VALUES)


# --- bytes and archives -----------------------------------------------------------------------------------------------


def turned(chance: Random, data: bytes) -> bytes:
    """Bits turned, bytes lost, doubled or put in, or the end cut off."""
    made = bytearray(data)
    for _ in range(chance.choice((1, 1, 2, 8))):
        at, how = chance.randrange(len(made) or 1), chance.randrange(5)
        if how == 0 and made:
            made[at] ^= 1 << chance.randrange(8)
        elif how == 1:
            del made[at : at + chance.choice((1, 4, 100))]
        elif how == 2:
            made[at:at] = made[at : at + chance.choice((1, 30, 400))]
        elif how == 3:
            made[at:at] = chance.choice(
                (b"\x00", b"\xff" * 8, b"PK\x01\x02", b'"', b"9" * 50, b"[" * 50, "ä".encode("cp1252"))
            )
        else:
            del made[at:]
    return bytes(made)


def zipped(parts: Mapping[str, bytes] | list[tuple[str, bytes]], packing: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip of parts; a list may name one twice. Stored instead of deflated it is made in a third of the time."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", packing) as packed, warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of a name given twice, which is meant
        for name, data in parts.items() if isinstance(parts, Mapping) else parts:
            packed.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, packing)
    return out.getvalue()


def unzipped(data: bytes) -> dict[str, bytes]:
    """The parts of a zip that is sound."""
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def shuffled_parts(chance: Random, parts: Mapping[str, bytes]) -> bytes:
    """A zip in which a part is lost, swapped with another, doubled, renamed, emptied, cut or full of something else."""
    listed = list(parts.items())
    at, other = chance.randrange(len(listed)), chance.randrange(len(listed))
    name, data = listed[at]
    how = chance.randrange(7)
    if how == 0:
        del listed[at]
    elif how == 1:
        listed[at], listed[other] = (name, listed[other][1]), (listed[other][0], data)
    elif how == 2:
        listed.append((name, chance.choice((data, b"{}", b""))))
    elif how == 3:
        listed[at] = (
            chance.choice(("../" + name, "/" + name, name.upper(), name + "\x00", "a" * 3000, "C:\\x", "")),
            data,
        )
    elif how == 4:
        listed[at] = (name, chance.choice((b"", b"\xff\xfe", b"{}", b"[" * 3000, b"null", b"\x00" * 1000, b"9" * 6000)))
    elif how == 5:
        listed[at] = (name, turned(chance, data))
    else:
        listed += [(f"x{number}", b"") for number in range(chance.choice((1, 300)))]
    return zipped(listed)


# Where fields of a zip lie behind the sign of each header, and how long they are (APPNOTE.TXT 4.3.7, 4.3.12, 4.3.16).
_HEADERS: Final = (
    (b"PK\x03\x04", ((4, 2), (6, 2), (8, 2), (10, 4), (14, 4), (18, 4), (22, 4), (26, 2), (28, 2))),
    (b"PK\x01\x02", ((6, 2), (8, 2), (10, 2), (16, 4), (20, 4), (24, 4), (28, 2), (30, 2), (32, 2), (34, 2), (42, 4))),
    (b"PK\x05\x06", ((4, 2), (6, 2), (8, 2), (10, 2), (12, 4), (16, 4), (20, 2))),
)


def headed(chance: Random, data: bytes) -> bytes:
    """A zip of which fields of the headers say something else, or with something before, behind or between."""
    made = bytearray(data)
    how = chance.randrange(8)
    if how == 0:
        return chance.choice((b"MZ" * 500, b"\x00", data, b"#!/bin/sh\n")) + data
    if how == 1:
        return data + chance.choice((b"\x00", b"PK\x05\x06", data[-22:], data, b"x" * 70_000))
    for _ in range(chance.choice((1, 1, 3))):
        sign, fields = chance.choice(_HEADERS)
        found = [one.start() for one in re.finditer(re.escape(sign), data)]
        at, (offset, length) = chance.choice(found), chance.choice(fields)
        field = slice(at + offset, at + offset + length)
        before = int.from_bytes(made[field], "little")
        said = chance.choice(
            (0, 1, before + 1, before - 1, before * 2, -1, 8, 12, 93, 99, 1 << 11, chance.getrandbits(32))
        )
        made[field] = (said % (1 << 8 * length)).to_bytes(length, "little")
    return bytes(made)


# What is done to an archive as a whole, whatever lies in it.


def bytes_altered(chance: Random, parts: Mapping[str, bytes]) -> tuple[str, bytes]:
    """An archive of these parts with its bytes changed; there is nothing more to say of what was done."""
    return "", turned(chance, zipped(parts))


def headers_altered(chance: Random, parts: Mapping[str, bytes]) -> tuple[str, bytes]:
    """An archive of these parts whose headers say something else."""
    return "", headed(chance, zipped(parts, chance.choice((zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED))))


def parts_altered(chance: Random, parts: Mapping[str, bytes]) -> tuple[str, bytes]:
    """An archive of these parts, one of them lost, moved or spoilt."""
    return "", shuffled_parts(chance, parts)


# --- text of JSON -----------------------------------------------------------------------------------------------------

NUMBERS: Final = (
    "NaN", "Infinity", "-Infinity", "1e400", "-1e400", "-0", "1E+5", "0.1e-400", "9" * 20, "9" * 5000, "-" + "9" * 4400,
    "9223372036854775807", "9223372036854775808", "-9223372036854775808", "2147483648", "01", "+1", "1.", ".5", "0x10",
    "1_000", "٣", "1.0", "5e-324", "0." + "1" * 4000, "1e999999999", "1e-999999999", "true", "null", '"1"', "[]", "{}",
)  # fmt: skip
LETTERS: Final = (
    "\u202e", "\u2066", "\u200b", "\ufeff", "a" + "\u0301" * 500, "\u2028", "\x85", "\x7f", "\\u001b]0;x\\u0007", "\\u0000",
    "İ", "ß", "ﬃ", "\ufdfa" * 50, "😀" * 300, "\U0010ffff", "\ue000", "\uffff", "\\ud800", "\\udfff\\ud800", "\\x", "\\", '"',
    "\t", "\n", "\x00", "\\/", "К", "=1+1", "<b>", "%s{0}", "\\n\\n",
)  # fmt: skip
_NUMBER: Final = re.compile(r"(?<=[:,\[])-?\d+(?:\.\d+)?(?=[,\]}])")
_NAME: Final = re.compile(r'"[a-z_0-9]+":')
_QUOTE: Final = re.compile(r'"')
_BETWEEN: Final = re.compile(r"[\[{,:]")


def respelt(chance: Random, data: bytes) -> tuple[str, bytes]:
    """JSON of which one token is spelt as no program writes it, in its own text or in JSON that stands in its texts."""
    text = data.decode("utf-8", "surrogatepass")
    which = chance.choice((_numbered, _numbered, _twice, _nested, _lettered, _lettered, _spaced, _ended))
    return which.__name__, which(chance, text).encode("utf-8", "surrogatepass")


def _somewhere(chance: Random, sought: re.Pattern[str], text: str) -> tuple[int, int]:
    found = sought.search(text, chance.randrange(len(text) or 1)) or sought.search(text)
    return found.span() if found else (len(text), len(text))


def _numbered(chance: Random, text: str) -> str:
    begin, end = _somewhere(chance, _NUMBER, text)
    return text[:begin] + chance.choice(NUMBERS) + text[end:]


def _twice(chance: Random, text: str) -> str:
    begin, end = _somewhere(chance, _NAME, text)
    return text[:begin] + text[begin:end] + chance.choice((*NUMBERS, '""')) + "," + text[begin:]


def _nested(chance: Random, text: str) -> str:
    begin, end = _somewhere(chance, _NUMBER, text)
    deep = chance.choice((1, 4, 9, 30, 3000))
    left, right = chance.choice((("[", "]"), ('{"a":', "}"), ('[{"a":', "}]"), ("[", ""), ("[[],", "]")))
    return text[:begin] + left * deep + "1" + right * deep + text[end:]


def _lettered(chance: Random, text: str) -> str:
    _, end = _somewhere(chance, _QUOTE, text)
    return text[:end] + chance.choice(LETTERS) + text[end:]


def _spaced(chance: Random, text: str) -> str:
    _, end = _somewhere(chance, _BETWEEN, text)
    return (
        text[:end]
        + chance.choice((" ", "\t", "\r", "\n", "\u00a0", "/**/", ",")) * chance.choice((1, 1, 100_000))
        + text[end:]
    )


def _ended(chance: Random, text: str) -> str:
    cut = chance.randrange(len(text) or 1)
    return chance.choice(
        (
            "\ufeff" + text,
            text + "{}",
            text + "\x00",
            text[:cut],
            text.replace(",", ",\n"),
            text.replace('"', "'"),
            f"[{text}]",
        )
    )


def spelt(value: Any) -> bytes:
    """JSON as somebody hostile writes it: numbers of any length, and escapes where half a letter would be no UTF-8."""
    try:
        return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()
    except UnicodeEncodeError:
        return json.dumps(value, separators=(",", ":")).encode()


# --- how cases end ----------------------------------------------------------------------------------------------------


class Ended(Counter[str]):
    """How cases ended: "told", "refused" in one sentence, "net" by the last net of the report; else they are failures."""

    def __init__(self) -> None:
        super().__init__()
        self.failures: list[str] = []
        self.nets: list[str] = []

    def begin(self, done: str) -> None:
        """A case begins; whoever watches how long each takes begins anew here (``tests/fuzz.py``)."""

    def failed(self, done: str, problem: BaseException | str) -> None:
        """A case that ended in something other than an answer or a refusal."""
        told = problem if isinstance(problem, str) else f"{type(problem).__name__}: {str(problem)[:150]}"
        self.failures.append(f"{done}: {told}")
        self["traceback"] += isinstance(problem, BaseException)


def sent_in(case: Callable[[], object], done: str, ended: Ended) -> None:
    """Put a case before the program itself and count how it ended: taken, or refused in one short sentence."""
    ended.begin(done)
    try:
        case()
        ended["told"] += 1
    except MouilletteError as problem:
        ended["refused"] += 1
        if "\n" in str(problem) or len(str(problem)) > LONGEST_REFUSAL:
            ended.failed(done, f"said {str(problem)[:700]!r}")
    except BaseException as problem:
        ended.failed(done, problem)


LONGEST_REFUSAL: Final = 600  # letters
NET: Final = "program is at fault"


def put_before(main: Callable[[list[str]], int], words: list[str], done: str, ended: Ended) -> str:
    """Run a command on a case and count how it ended; returns what it printed."""
    out, err = io.StringIO(), io.StringIO()
    ended.begin(done)
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code = main(words)
    except BaseException as problem:
        ended.failed(done, problem)
        return ""
    said = err.getvalue()
    if code not in (0, 2) or said.count("\n") > 1 or (code == 2 and (out.getvalue() or not said)):
        ended.failed(done, f"code {code}, said {said[:300]!r}")
    net = NET in said
    if net:
        ended.nets.append(f"{done}: {said.strip()}")
    ended["told" if code == 0 else "net" if net else "refused"] += 1
    return out.getvalue()
