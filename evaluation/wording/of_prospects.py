"""What a panel can find where several trials are compared, in sentences, in the order the plan page shows them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from evaluation.ground.tables_digits import fixed
from evaluation.planning.prospects import (
    FEWEST_IN_FAMILY,
    SECONDS_A_RATING,
    SECONDS_A_STRIP,
    STRIPS_BEFORE_REST,
    Load,
    Prospect,
)
from evaluation.wording.of_effect_sizes import size_lines
from evaluation.wording.of_verdicts import count, p_words, percent

CANNOT: Final = MappingProxyType(
    {
        "a descriptor moved": "I know that this session describes and does not test: it can never show that a "
        "descriptor moved.",
        "a trial preferred": "I know that this session can never show that a trial of a pair is preferred, whatever "
        "is answered.",
        "trials ranked apart": "I know that this session can never show that trials are ranked apart, whatever is "
        "answered.",
    }
)


def prospect_lines(prospect: Prospect) -> tuple[str, ...]:
    """The sentence to read first, what else can be found, and what the session asks of people."""
    return (*_FOUND[prospect.method](prospect), *load_lines(prospect.load))


def cannot_line(verdict: str) -> str:
    """What the conductor confirms before sealing."""
    return CANNOT[verdict]


def load_lines(load: Load) -> tuple[str, ...]:
    """Strips and minutes of whoever prepares; what one nose smells, rests and taps."""
    return tuple(
        line for line in (_prepared(load), places_line(load.places), _smelt(load), _rests(load), _tapped(load)) if line
    )


def _prepared(load: Load) -> str:
    if not load.strips:
        return ""
    return (
        f"To prepare: {count(load.strips, 'strip', 'strips')}, each dipped once, about "
        f"{count(load.preparer_minutes, 'minute', 'minutes')} (reckoned at {SECONDS_A_STRIP} s a strip, our proposal)."
    )


def places_line(places: int) -> str:
    """What is to be put on skin, of all people together; "" where nothing is."""
    if not places:
        return ""
    return f"To prepare: {count(places, 'place', 'places')} on skin, each with the same small amount."


def _smelt(load: Load) -> str:
    own = [
        count(number, *words)
        for number, words in (
            (load.strips_each, ("strip", "strips")),
            (load.places_each, ("place on skin", "places on skin")),
        )
        if number
    ]
    again = f", smelt {load.smellings} times in all" if load.smellings > load.strips_each + load.places_each else ""
    return f"Each nose: {' and '.join(own)}{again}."


def _rests(load: Load) -> str:
    if load.at_once <= STRIPS_BEFORE_REST:
        return ""
    return (
        f"A nose smells up to {load.at_once} at one age: a long rest after every {STRIPS_BEFORE_REST} (our proposal) "
        f"makes {load.sittings} sittings of it. Fewer trials or pairs, or fewer strips of each, tire less."
    )


def _tapped(load: Load) -> str:
    if not load.ratings:
        return ""
    return (
        f"Each nose rates {count(load.ratings, 'time', 'times')}, about "
        f"{count(load.tapping_minutes, 'minute', 'minutes')} of tapping ({SECONDS_A_RATING} s each, our aim)."
    )


# --- what can be found ------------------------------------------------------------------------------------------


def _profile(prospect: Prospect) -> tuple[str, ...]:
    if prospect.effects is not None:
        return (*size_lines(prospect.effects, prospect.people), *_least(prospect))
    if not prospect.rows:
        return ("No descriptor is rated in numbers: ticks and levels are counted, no difference of means is tested.",)
    if prospect.smallest_row is None or prospect.smallest_family is None:
        return (
            f"{count(prospect.people, 'person describes', 'people describe')}, and nothing is tested: that needs "
            f"{FEWEST_IN_FAMILY} people. Every answer is shown; no p-value speaks.",
        )
    power = percent(1.0 - prospect.beta)
    least = fixed(prospect.smallest_row, 2)
    return (
        f"A mean difference of {least} standard deviations of people's differences is found with "
        f"power {power} if it is the only one tested.",
        *_family(prospect, power),
        f"The least that can come out is {p_words(prospect.least_p, prospect.alpha)}: everybody on the same side.",
        f"Sizes are approximations, by the noncentral t{_FEW if prospect.judges < FEW else ''}.",
    )


FEW: Final = 10  # below so many the sign flip may need more than the t-test says
_FEW: Final = ": so few people may need more"


def _least(prospect: Prospect) -> tuple[str, ...]:
    if prospect.effects is None or prospect.effects.alone is None:
        return ()
    return (f"The least that can come out is {p_words(prospect.least_p, prospect.alpha)}: all signs alike.",)


def _family(prospect: Prospect, power: str) -> tuple[str, ...]:
    if prospect.rows == 1 or prospect.smallest_family is None:
        return ()
    return (
        f"Among all {prospect.rows} differences tested together, at most {fixed(prospect.smallest_family, 2)} standard "
        f"deviations are needed for power {power} (the bound of Bonferroni; the correction used asks for no more).",
    )


def _round(prospect: Prospect) -> tuple[str, ...]:
    judges = count(prospect.judges, "person", "people")
    each = f"{judges} answer about a pair" if prospect.judges != 1 else f"{judges} answers about a pair"
    if prospect.chosen:
        each = f"These pairs were chosen beforehand, for a search and not for a test; at most {each}"
    first = (
        f"{each}, and {prospect.needed} must prefer the same trial to show it at the strictest of "
        f"{count(prospect.rows, 'step', 'steps')} (Holm, one for each pair)."
        if prospect.needed is not None
        else f"{each}: too few to show a preference, however much they agree ("
        f"{p_words(prospect.least_p, prospect.alpha)} at the least, corrected for {prospect.rows} pairs)."
    )
    return (first, _CAMPS[prospect.twice])


_CAMPS: Final = MappingProxyType(
    {
        True: "Opposite camps can be looked for: each person answers about a pair more than once.",
        False: "Opposite camps cannot be told from indifference here: that needs two answers of each person about a "
        "pair.",
    }
)


def _ranking(prospect: Prospect) -> tuple[str, ...]:
    alike = "ranks as expected" if prospect.ordered else "ranks alike"
    least = f"If everybody {alike}, {p_words(prospect.least_p, prospect.alpha)}: exact, and the least there can be."
    return (least, _ORDERS[prospect.ordered])


_ORDERS: Final = MappingProxyType(
    {
        True: "An order is expected in advance: the test towards it (Page) stands beside the one for any order.",
        False: "No order is expected in advance: any order counts (Friedman).",
    }
)

_FOUND: Final[Mapping[str, Callable[[Prospect], tuple[str, ...]]]] = MappingProxyType(
    {"profile": _profile, "round": _round, "ranking": _ranking}
)
