"""What is typed from a paper ballot, read into answers. Each refusal is one sentence. Knows no store.

A card's answers are typed in the order in which they stand on it, with spaces between: ``482 3`` is code 482 and the
third option of the next question. ``.`` is a question left blank, ``n`` not smelt, ``s`` skipped, ``y`` and ``n`` yes,
no, and ``0`` no preference; a mark on a line is typed in millimetres from its left end. At the end ``@10:42`` says when
the set was smelt, and everything after ``#`` is a remark.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.ground.intake import shortened
from evaluation.sessions import NO_PREFERENCE, Question

LINE_MM: Final = 100  # length of a printed line; a millimetre is a tenth of the scale
BLANK: Final = "."
_SHORT: Final = MappingProxyType({NO_PREFERENCE: "0"})
_BETWEEN: Final = re.compile(r"[\s,;+>|]+")
_CLOCK: Final = re.compile(r"@(\d{1,2}):(\d{2})")


@dataclass(frozen=True, slots=True)
class Typed:
    """What one line says: values by question, what was remarked, when it was smelt (hour and minute) if told."""

    values: tuple[tuple[str, str], ...]
    remark: str = ""
    smelt_at: tuple[int, int] | None = None


def read_line(asked: Sequence[Question], line: str) -> Typed:
    """Answers to ``asked``, in their order, from one typed line."""
    body, _, remark = line.partition("#")
    found = _CLOCK.search(body)
    tokens = [token for token in _BETWEEN.split(_CLOCK.sub(" ", body).strip()) if token]
    values = []
    for question in asked:
        size = 1 if tokens[:1] == [BLANK] else tokens_of(question)
        if len(tokens) < size:
            raise ArgumentError(f"answer to “{question.name}” is missing: {how(question)}.")
        mine, tokens = tokens[:size], tokens[size:]
        if mine != [BLANK]:
            values.append((question.name, _value(question, mine)))
    if tokens:
        raise ArgumentError(f"line has more than the card asks for: {shortened(' '.join(tokens))} is left over.")
    return Typed(tuple(values), checks.text("remark", remark, 1000, empty=True), _clock(found))


def read_value(question: Question, text: str) -> str:
    """One answer as a table holds it: an option in full, or what would be typed for it."""
    whole = {option.casefold(): option for option in question.options}.get(text.strip().casefold())
    if whole is not None and question.pick == 1:
        return whole
    return _value(question, [token for token in _BETWEEN.split(text.strip()) if token])


def read_clock(text: str) -> tuple[int, int]:
    """Hour and minute of ``"10:42"``."""
    read = _clock(_CLOCK.fullmatch(f"@{text.strip()}"))
    if read is None:
        raise ArgumentError(f"time must be written like 10:42, not {shortened(text.strip())}.")
    return read


def tokens_of(question: Question) -> int:
    """How many words of a line answer a question."""
    if question.in_order:
        return len(question.codes)
    return 2 if _is_pairs(question) else question.pick


def numbered(question: Question) -> tuple[tuple[str, str], ...]:
    """Each option with what is typed for it; a code stands for itself and is not numbered."""
    if question.scale:
        return question.scale.typed
    if question.options == ("no", "yes"):
        return tuple((option[0], option) for option in question.options)
    listed: list[tuple[str, str]] = []
    number = 0
    for option in question.options:
        own = option in question.codes and " " not in option  # several codes are a group: it gets a number
        if not own and option not in _SHORT:
            number += 1
        listed.append((option if own else _SHORT.get(option, str(number)), option))
    return tuple(listed)


def how(question: Question) -> str:
    """What may be typed, in words."""
    if question.scale and question.scale.marked:
        return f"type the millimetres from the left end, 0 to {LINE_MM}, or n (not smelt) or s (skip)"
    if question.in_order:
        return f"type the {len(question.codes)} codes, best first: {' '.join(question.codes)}"
    if _is_pairs(question):
        return f"type the two codes of one pair out of {' '.join(question.codes)}"
    if question.pick > 1:
        return f"type {question.pick} of {' '.join(question.options)}"
    told = ", ".join(token if token == option else f"{token} ({option})" for token, option in numbered(question))
    return f"type one of {told}"


# --- one answer -----------------------------------------------------------------------------------------------------


def _value(question: Question, tokens: Sequence[str]) -> str:
    value = _read(question, tokens)
    if value is None:
        raise ArgumentError(f"answer to “{question.name}” cannot be {shortened(' '.join(tokens))}: {how(question)}.")
    return value


def _read(question: Question, tokens: Sequence[str]) -> str | None:
    if question.in_order:
        return ">".join(tokens) if sorted(tokens) == sorted(question.codes) else None
    if _is_pairs(question):
        return _paired(question, tokens)
    if question.pick > 1:
        right = len(set(tokens)) == question.pick == len(tokens) and set(tokens) <= set(question.options)
        return "+".join(option for option in question.options if option in tokens) if right else None
    if len(tokens) != 1:
        return None
    token = tokens[0].casefold()
    if question.scale and question.scale.marked and len(token) <= 3 and token.isascii() and token.isdigit():
        return f"{int(token) // 10}.{int(token) % 10}" if int(token) <= LINE_MM else None
    return dict(numbered(question)).get(token)


def _is_pairs(question: Question) -> bool:
    return any("|" in option for option in question.options)


def _paired(question: Question, tokens: Sequence[str]) -> str | None:
    for option in question.options:
        if any(set(pair.split("+")) == set(tokens) for pair in option.split("|")):
            return option
    return None


def _clock(found: re.Match[str] | None) -> tuple[int, int] | None:
    if found is None:
        return None
    hour, minute = int(found[1]), int(found[2])
    if hour > 23 or minute > 59:
        raise ArgumentError(f"time must be from 00:00 to 23:59, not {hour}:{found[2]}.")
    return hour, minute
