"""A calendar of one event for each smelling (RFC 5545): alias and codes, never a trial.

Written by hand, because a general library would be a dependency for sixty lines; the tests read it back by the RFC
itself and by such a library.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from typing import Final

from evaluation.actions.paper import Card
from evaluation.serving import cautions, smelling
from evaluation.sessions import Plan
from evaluation.sheets import words
from evaluation.sheets.timing import Timing

LONGEST: Final = 75  # octets of a line, its line break not counted (RFC 5545, 3.1)
ALARM_MINUTES: Final = 5
_ESCAPED: Final = (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\r\n", "\\n"), ("\n", "\\n"))


def calendar(plan: Plan, cards: Sequence[Card], timing: Timing, stamp: int, seal: str, revision: int = 0) -> bytes:
    """The smellings of these cards; ``stamp`` is when the file is made (milliseconds, UTC)."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//Mouillette//Smelling times//EN", "CALSCALE:GREGORIAN"]
    planned = timing.lines
    for card in cards:
        if card.serving_id in planned:
            line = planned[card.serving_id]
            at = tuple(timing.start + 1000 * seconds for seconds in (line.smell_from, line.smell_to))
            lines.extend(_event(plan, card, at, stamp, seal, revision))
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in folded(line)).encode()


def _event(plan: Plan, card: Card, at: tuple[int, ...], stamp: int, seal: str, revision: int) -> Iterator[str]:
    assert card.serving is not None
    told = escaped(f"{card.alias}: set {card.number} of {card.sets}, {' '.join(card.codes)}")
    how = smelling.reminder(smelling.way(plan, card.serving.medium))
    more = f"Smell {words.after(card.serving.age_seconds, card.serving.medium)}. {how} {cautions.STOP}"
    yield from (
        "BEGIN:VEVENT",
        f"UID:{card.serving_id}.{seal}@mouillette.invalid",
        f"DTSTAMP:{utc(stamp)}",
        f"SEQUENCE:{revision}",
        f"DTSTART:{utc(at[0])}",
        f"DTEND:{utc(max(at[1], at[0] + 1000))}",
        f"SUMMARY:{told}",
        f"DESCRIPTION:{escaped(more)}",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        f"TRIGGER:-PT{ALARM_MINUTES}M",
        f"DESCRIPTION:{told}",
        "END:VALARM",
        "END:VEVENT",
    )


def utc(instant: int) -> str:
    """Form 2 of a date with time: 20261125T104200Z (RFC 5545, 3.3.5)."""
    return f"{datetime.fromtimestamp(instant // 1000, UTC):%Y%m%dT%H%M%SZ}"


def escaped(text: str) -> str:
    """Text with backslash, semicolon, comma and line break escaped (RFC 5545, 3.3.11); other controls left out."""
    for sign, written in _ESCAPED:
        text = text.replace(sign, written)
    return "".join(letter for letter in text if letter == "\t" or (ord(letter) >= 32 and ord(letter) != 127))


def folded(line: str) -> Iterable[str]:
    """A line in pieces of at most 75 octets, each after the first begun by a blank; no character is cut in two."""
    piece, room = "", LONGEST
    for letter in line:
        size = len(letter.encode())
        if size > room:
            yield piece
            piece, room = " ", LONGEST - 1
        piece, room = piece + letter, room - size
    yield piece
