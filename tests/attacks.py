"""Hostile files, made from sound ones by a seed: what the fuzz of exports, backups, tables of answers and of paper share.

A mutation knows the form it spoils. Bytes are turned and cut; parts are lost, swapped and doubled; values are put where
they do not belong. Where digests and chains stand in the way they are made right again, so that the attack goes past
them. Nothing here is drawn but from the seed: a case that failed can be had again.
"""

from __future__ import annotations

import io
import json
import warnings
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from random import Random
from typing import Any, Final

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


def zipped(parts: Mapping[str, bytes] | list[tuple[str, bytes]]) -> bytes:
    """A zip of parts; a list may name one twice."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed, warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of a name given twice, which is meant
        for name, data in parts.items() if isinstance(parts, Mapping) else parts:
            packed.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
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


def spelt(value: Any) -> bytes:
    """JSON as somebody hostile writes it: numbers of any length, half letters."""
    return json.dumps(value, ensure_ascii=_half_letters(value), separators=(",", ":")).encode("utf-8", "surrogatepass")


def _half_letters(value: Any) -> bool:
    """Escapes where a half letter would be no UTF-8."""
    return "\\ud800" in json.dumps(value)


# --- how cases end ----------------------------------------------------------------------------------------------------


class Ended(Counter[str]):
    """How cases ended: "told", "refused" in one sentence, "net" by the last net of the report; else they are failures."""

    def __init__(self) -> None:
        super().__init__()
        self.failures: list[str] = []
        self.nets: list[str] = []

    def failed(self, done: str, problem: BaseException | str) -> None:
        """A case that ended in something other than an answer or a refusal."""
        told = problem if isinstance(problem, str) else f"{type(problem).__name__}: {str(problem)[:150]}"
        self.failures.append(f"{done}: {told}")
        self["traceback"] += isinstance(problem, BaseException)


NET: Final = "program is at fault"


def put_before(main: Callable[[list[str]], int], words: list[str], done: str, ended: Ended) -> str:
    """Run a command on a case and count how it ended; returns what it printed."""
    out, err = io.StringIO(), io.StringIO()
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
