"""How a session's orders were drawn and what that means, and how often each place was chosen, in sentences."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from evaluation.counting.habits import PlacesChosen
from evaluation.kinds import Method, kind_of
from evaluation.sessions import BALANCED, INDEPENDENT, SHUFFLED, Plan
from evaluation.wording.of_kinds import WORDS

PLAN_PAGE: Final = (
    "Every serving order, place on skin and dip order is drawn by itself, each equally likely, so that guessing is "
    "exactly chance whatever habits people have. Orders are therefore not used equally often."
)
_ORDINAL: Final = ("first", "second", "third", "fourth", "fifth")


# --- the law --------------------------------------------------------------------------------------------------------


def sealed_line(plan: Plan) -> str:
    """The law of the draw among what was sealed."""
    if plan.solo:
        return f"Orders: alone nothing is drawn but codes, the shuffle is the draw{_PAIRED if plan.kind.mixed else ''}."
    return _SEALED[plan.draw]


_PAIRED: Final = (
    "; of every two sets one holds the first trial twice and one the second, so that the place of the odd strip is "
    "by chance, given which trial is the odd one"
)
_SEALED: Final = MappingProxyType(
    {
        INDEPENDENT: "Orders: every serving order, place on skin and dip order drawn by itself, each equally likely.",
        BALANCED: "Orders: balanced over the panel, strips dipped in tray order (as drawn before 26 November 2026).",
    }
)


def law_line(plan: Plan) -> str:
    """What the law of the draw means for the risks, in one sentence; "" where it is said elsewhere, or nothing is."""
    if plan.solo or plan.draw == SHUFFLED:
        return ""
    if plan.kind.several:
        return _SEVERAL[plan.draw]
    if plan.draw == INDEPENDENT:
        return (
            f"Every order was drawn by itself, so that whatever habits of place people have, {_by_chance(plan.method)}."
        )
    if plan.people == 1:  # balanced over one person is drawn by itself
        return ""
    return f"{_BEFORE}: {_MEASURED[plan.kind.votes]}."


def _by_chance(method: Method) -> str:
    if kind_of(method).votes:
        return "a vote that follows the place falls on either trial with a chance of one half"
    return f"guessing is right with a chance of exactly {WORDS.of(method).guessing}"


_BEFORE: Final = (
    "This session was sealed when orders were still balanced over the panel: where people have opposite habits of "
    "place, its risks are larger than those sealed"
)
# Exact calculations at a sealed .05: tests/counting/test_order_habits.py
_MEASURED: Final = MappingProxyType(
    {
        False: "two people who guess at eight 2-AFC each, one always taking the first code and the other the second, "
        "come out as noticed with .145 instead of .05",
        True: "six people, three always preferring the first code and three the second, come out as preferring one "
        "trial with .10 instead of .05",
    }
)
# Simulations: tests/slow/test_order_habits.py
_SEVERAL: Final = MappingProxyType(
    {
        INDEPENDENT: "Each person's orders were drawn apart from everybody else's, so that people's habits of place "
        "cannot come out together as a difference between trials more often than the sealed risk says.",
        BALANCED: f"{_BEFORE}: trials that are alike came out different in up to .17 of simulated sessions at .05.",
    }
)


# --- places chosen ----------------------------------------------------------------------------------------------------

PLACES_HEAD: Final = ("Chosen", "Answers", "Of")


def places_line(found: PlacesChosen) -> str:
    """ "Of 12 answers that count, 7 chose the first code, 3 the second and 2 the third."."""
    first, next_ = WORDS.of(found.method).chose
    each = [
        f"{count} {(next_ if at else first).format(_ORDINAL[place - 1])}"
        for at, (place, count) in enumerate(found.chosen)
    ]
    answers = "the 1 answer that counts" if found.answers == 1 else f"{found.answers} answers that count"
    twice = ", each with two codes" if kind_of(found.method).pick > 1 else ""
    none = f"; {found.none} had no preference" if found.none else ""
    return f"Of {answers}{twice}, {', '.join(each[:-1])} and {each[-1]}{none}."


def places_rows(found: PlacesChosen) -> tuple[tuple[str, str, str], ...]:
    """The same as a table under ``PLACES_HEAD``."""
    name, of = WORDS.of(found.method).place, str(found.answers)
    rows = [(name.format(_ORDINAL[place - 1]), str(count), of) for place, count in found.chosen]
    return (*rows, *([("no preference", str(found.none), of)] if found.none else []))
