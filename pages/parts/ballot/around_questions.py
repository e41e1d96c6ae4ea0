"""What the ballot says around its questions; the words of the questions are in ``evaluation.wording``."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from evaluation.kinds import Method
from evaluation.serving import cautions
from evaluation.sessions import Medium

WELCOME: Final = "Welcome to this blind smelling"
WELCOME_LINES: Final = (
    "Paper strips under three-digit codes, and one question at a time. Choose, then lock: a locked answer is final. "
    "A guess is a good answer.",
    "Do not talk about the strips until everybody is done.",
)
_WELCOMES: Final = {
    "profile": (
        "You smell one code at a time and rate it: tap where it fits, then lock. Nothing is set beforehand, and locked "
        "ratings are final. If you smelt it and cannot judge a word, say not smelt; a mark at the low end says that "
        "it is not there.",
        WELCOME_LINES[1],
    ),
    "ranking": (
        "You get several strips under three-digit codes and put them in order, the one you like best first. A locked "
        "answer is final.",
        WELCOME_LINES[1],
    ),
}
WELCOME_FAN: Final = (
    "You get several pairs of strips under three-digit codes. Hold both strips of a pair together and put the pairs in "
    "order, the one you like best first. A locked answer is final.",
    WELCOME_LINES[1],
)
CAUTIONS: Final = (cautions.STRIPS_YOU, cautions.STOP, cautions.FLAMMABLE, cautions.DEFER)
BEGIN: Final = "Begin"
LOCK: Final = "Lock this answer"
LOCK_STRIP: Final = "Lock this strip"
LOCK_SKIN: Final = "Lock this place"
SKIP_REST: Final = "Skip the rest and lock"
WARM_UP: Final = "Warm-up strip"
WARM_UP_LINE: Final = "To begin alike: its ratings do not count."
TICKS: Final = "Tick all that apply"
UNMARKED: Final = "no mark yet"
BETWEEN: Final = "{value} of 10, from {low} to {high}"
UNDO: Final = "Take the last one back"
PLACES: Final = ("1st", "2nd", "3rd", "4th", "5th", "6th")
UNORDERED: Final = "Not locked yet: give every code its place, then lock."
AGAIN: Final = "Send again"
ADD_REMARK: Final = "Add a remark"
REMARK: Final = "Your remark (optional, not shown to the panel)"
BRIEF: Final = "The brief"
REFERENCE: Final = "reference"
TRAY: Final = "Tray"
HOW: Final = "How to smell"
HOW_ON_SKIN: Final = "On your skin"
BEFORE: Final = "Before you begin"
NEXT_TRAY: Final = "This is a new tray: wait until strips with these codes are before you."
RESTING: Final = "Rest before you smell (a proposal)"
RESTED: Final = "Rested: go on"

LOST: Final = (
    "No connection at the moment. Keep this page open: what you have locked is stored, what you have chosen stays "
    "here, and you can go on soon."
)
STORED: Final = "Stored."
RECEIPTS: Final = "Receipts of what you have locked"
RECEIPTS_TEXT: Final = (
    "This phone keeps one for each screen you lock. Should an answer be missing later, the conductor can tell by its "
    "receipt that it had been stored. It says nothing of what you answered; copy it or write it down if you like."
)
CHOOSE_FIRST: Final = "Nothing was stored: choose an answer, then lock it."
ALREADY: Final = (
    "That question was already answered, perhaps in another tab. The first answer stays. Here is the next one."
)
STOP: Final = "I feel unwell or want to stop"

NO_WAY_IN: Final = "This ballot is not open to you"
NO_WAY_IN_LINES: Final = (
    "The link may have been renewed, or this browser has lost it. Open your ballot link again: what you have locked "
    "is kept, and you go on where you were.",
)
SIGN_IN: Final = "Sign in as the conductor"

WAIT: Final = "Not started yet: wait for the conductor"
WAIT_LINES: Final = (
    "Keep this page open. The first question appears here by itself, within a few seconds of the start.",
)
THANKS: Final = "Thank you"
FINISHED_LINES: Final = (
    "All your answers are stored. You may close this page.",
    "Please do not talk about the strips yet.",
)
OVER_LINES: Final = ("This session takes no more answers. What you have locked is stored. You may close this page.",)
VOID_LINES: Final = ("The conductor has ended this session early. You may close this page.",)

_UNITS: Final = ((86_400, "day"), (3_600, "hour"), (60, "minute"), (1, "second"))


def age(seconds: int) -> str:
    """A strip age in words: "5 minutes", "1 hour 30 minutes"."""
    parts = []
    for size, unit in _UNITS:
        count, seconds = divmod(seconds, size)
        if count:
            parts.append(f"{count} {unit}{'s' if count > 1 else ''}")
    return " ".join(parts)


def welcome(method: Method, *, fan: bool = False) -> tuple[str, ...]:
    """What comes, before the cautions; ``fan``: each code is two strips."""
    if fan:
        return WELCOME_FAN
    return _WELCOMES.get(method, WELCOME_LINES)


def place(method: Method, medium: Medium, set_number: int, sets: int, age_seconds: int) -> tuple[str, str]:
    """The line above a question of a set, in two parts."""
    one, many = _SETS.get((method, medium), ("Set", "strips" if medium == "strip" else ""))
    when = "after application" if medium == "skin" else "after dipping"
    return f"{one} {set_number} of {sets}", " ".join(filter(None, (many, "smelt", age(age_seconds), when)))


_SETS: Final = {
    ("profile", "strip"): ("Strip", ""),
    ("profile", "skin"): ("Place", ""),
    ("round", "strip"): ("Pair", "strips"),
}


def rate(code: str, site: str) -> str:
    """The heading of a rating screen: what is smelt."""
    return f"Smell {code} on your {site}" if site else f"Smell strip {code}"


def missing(titles: Sequence[str]) -> str:
    """Why a strip was not locked."""
    *front, last = titles
    named = f"{', '.join(front)} and {last}" if front else last
    return f"Not locked yet: there is no answer to {named}."


def placing(count: int) -> list[str]:
    """What to tap next, by how many codes have their place."""
    still = [f"{placed} of {count} placed." for placed in range(1, count)]
    return ["Nothing placed yet.", *still, f"All {count} placed, best first. Lock if this is right."]


def count(number: int, total: int) -> str:
    """How far the person is, such as "Question 3 of 8" (nothing of how they did)."""
    return f"Question {number} of {total}"


def still_to_pick(picked: int, wanted: int) -> str:
    """How many more options an answer needs."""
    if picked > wanted:
        return f"{picked} chosen: take {picked - wanted} back."
    return f"{picked} of {wanted} chosen."
