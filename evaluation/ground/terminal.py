"""What a command says and where it says it: a full disk or a reader that went away is a sentence, never a traceback."""

from __future__ import annotations

import errno
import os
import secrets
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final, TextIO

from evaluation.errors import MouilletteError, StoreError
from evaluation.ground.intake import named, on_one_line

LONGEST: Final = 2_000  # letters of a sentence on standard error: what was given stands in it, however long
UNUSABLE: Final = 2  # exit code: a file, a place or an option could not be used


def run(command: Callable[[], int]) -> int:
    """The exit code of a command; what it refuses goes to standard error in one sentence, with code 2."""
    try:
        try:
            code = command()
        finally:  # also where help was asked for
            _flush()
    except MouilletteError as problem:
        complain(str(problem))
        return UNUSABLE
    except OSError as problem:  # a disk that fills up on the way, a name too long for any
        which = f"The file {named(os.fsdecode(problem.filename))}" if problem.filename else "A file"
        complain(f"{which} cannot be read or written: {problem.strerror or type(problem).__name__}.")
        return UNUSABLE
    return code


def say(text: str) -> None:
    """Write to standard output; StoreError where nothing can be written there."""
    try:
        _put(sys.stdout, text)
    except OSError as problem:
        raise _gone(problem) from problem


def complain(sentence: str) -> None:
    """Write one line to standard error; where that cannot be written either, the exit code says it alone."""
    if sys.stderr is None:  # it was closed before the command began
        return
    try:
        _put(sys.stderr, f"{on_one_line(sentence[:LONGEST])}\n")
        sys.stderr.flush()
    except OSError:
        _leave(sys.stderr)


def _put(stream: TextIO | None, text: str) -> None:
    if stream is None:
        raise OSError(errno.EBADF, "It is closed")
    try:
        stream.write(text)
    except UnicodeEncodeError:  # a terminal without these letters
        known = stream.encoding or "ascii"
        stream.write(text.encode(known, "backslashreplace").decode(known))


def _flush() -> None:
    try:
        if sys.stdout is not None:
            sys.stdout.flush()
    except OSError as problem:
        raise _gone(problem) from problem


def _gone(problem: OSError) -> StoreError:
    if sys.stdout is not None:
        _leave(sys.stdout)
    return StoreError(f"Standard output cannot be written: {problem.strerror or problem}.")


def _leave(stream: TextIO) -> None:
    """Let the interpreter write what is left into nothing as it ends: it would print a traceback."""
    try:
        nothing = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nothing, stream.fileno())
        os.close(nothing)
    except (OSError, ValueError):  # a stream that is no file
        return


def write_file(path: Path, content: bytes) -> None:
    """A file that is written whole or stays as it was; StoreError where it cannot be written."""
    try:
        target = Path(os.path.realpath(path))
        if target.exists() and not target.is_file():  # a device or a pipe takes bytes as they come
            target.write_bytes(content)
        else:
            _replace(target, content)
    except (OSError, ValueError) as problem:  # ValueError: a name with a zero byte in it
        told = getattr(problem, "strerror", None) or problem
        raise StoreError(f"The file {named(path)} cannot be written: {told}.") from problem


def _replace(target: Path, content: bytes) -> None:
    part = target.with_name(f".{target.name[:200]}.{secrets.token_hex(4)}.part")
    try:
        with part.open("xb") as out:
            out.write(content)
        if target.exists():
            part.chmod(target.stat().st_mode & 0o777)
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)
