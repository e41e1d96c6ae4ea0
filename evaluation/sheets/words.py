"""Fixed words of the sheets: cautions, ages, times."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

from evaluation.serving import cautions
from evaluation.sessions import Medium

NOT_FOR_PANELISTS: Final = "NOT FOR PANELISTS"
FLAMMABLE: Final = "Flammable (ethanol): no flames or heat, air the room"
STRIP_CAUTIONS: Final = (
    cautions.STRIPS_YOU,
    cautions.STOP,
    cautions.FLAMMABLE,
    "Do not talk about the strips until everybody is done.",
    cautions.DEFER_ON_PAPER,
)
SKIN_CAUTIONS: Final = (
    "On skin: if it itches, burns or reddens, stop, wash with water and mild soap, and tell the conductor at once.",
    cautions.SKIN_YOU,
)
PREPARER_CAUTION: Final = (
    "Solutions carry ethanol, which is flammable: keep flames and heat away, air the room, close the vials. Follow "
    "your local rules and licensed advice; this sheet gives none."
)
SECOND_STRIPS_CAUTION: Final = (
    "The lettered vials hold materials by themselves, diluted: gloves, fresh air, nothing of them on skin or near the "
    "eyes, each as its safety document says. Who fills them has those documents at hand."
)
SKIN_PREPARING: Final = (
    "On skin (common practice, no source): wash with unscented soap, rinse, dry and wait 30 minutes; equal small "
    "amounts, no rubbing; places at least 5 cm apart on one arm; nothing else there for 24 hours before and "
    "after. Never undiluted, only what the skin gate has let through, and only people it named. No sun on the "
    "places afterwards."
)
KEY_CAUTIONS: Final = (
    "The session is not opened. Whoever reads this sheet knows what each letter holds: it is for the one who fills the "
    "vials and for nobody else.",
    "A panelist who sees it is unblinded, and that person's answers leave the verdict. This look is in the "
    "session's log.",
    "Keep it away from bench, trays and ballots, and do not keep a copy.",
)

_UNITS: Final = ((86_400, "day"), (3_600, "hour"), (60, "minute"), (1, "second"))


def age(seconds: int) -> str:
    """A strip age in words: "5 minutes", "1 hour 30 minutes"."""
    parts = []
    for size, unit in _UNITS:
        count, seconds = divmod(seconds, size)
        if count:
            parts.append(f"{count} {unit}{'s' if count > 1 else ''}")
    return " ".join(parts)


def after(seconds: int, medium: Medium) -> str:
    """An age with what it is counted from: dipping, or applying on skin."""
    return f"{age(seconds)} after {'applying' if medium == 'skin' else 'dipping'}"


def local(instant: int, zone: str) -> datetime:
    """An instant on the clocks of the session."""
    return datetime.fromtimestamp(instant / 1000, UTC).astimezone(ZoneInfo(zone))


def day_and_time(instant: int, zone: str) -> str:
    """ "25 Nov 2026 10:42"."""
    here = local(instant, zone)
    return f"{here.day} {here:%b %Y %H:%M}"


def clock(start: int, seconds: int, zone: str) -> str:
    """The time ``seconds`` after ``start``: "10:42", "10:42:30", with the day where it is another one."""
    first, then = local(start, zone), local(start + 1000 * seconds, zone)
    told = f"{then:%H:%M:%S}" if then.second else f"{then:%H:%M}"
    return told if then.date() == first.date() else f"{then:%a} {then.day} {then:%b} {told}"


def counted(count: int, one: str) -> str:
    """ "1 strip", "2 strips"; only for words that take an s."""
    return f"{count} {one}{'' if count == 1 else 's'}"
