"""How a set is smelt: the one source of what ballot, paper, the page Alone, sheets and calendar tell hands and nose.

Seconds are whole. Where one comes from stands beside it: "proposal" is a choice of ours, "common practice, no source"
a habit of the trade that nobody has measured for us. Pauses are told, never enforced.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.ground import checks
from evaluation.kinds import Method, Profile
from evaluation.sessions import (
    CLIPS,
    GO_BACK_ONCE,
    NO_GOING_BACK,
    SKIN,
    STRIP,
    VIALS,
    GoingBack,
    Medium,
    Plan,
    Preparation,
)

SNIFFS_SECONDS: Final = 3  # two or three short sniffs (common practice, no source)
DISTANCE_CM: Final = (1, 3)  # from nose to strip or skin, never touching (common practice, no source)
STRIP_SECONDS: Final = 5  # take up, smell, put down again (proposal)
PAUSE_SECONDS: Final = 60  # between two strips of a set (proposal)
LEAST_PAUSE_SECONDS: Final = 30  # below it the nose still holds the strip before (proposal; kits use 20-30 s, memory)
SETS_PAUSE_SECONDS: Final = 180  # between two sets (proposal)
ANSWER_SECONDS: Final = 20  # from the last sniff to the locked answer (proposal)
RATING_SECONDS: Final = 4  # each rating beyond the first on a rating screen (proposal)
SOURCES: Final = (
    "How a strip is held, how far from the nose and how many sniffs: common practice, no source. The pauses, a minute "
    "between strips (half a minute at least) and three minutes between sets, are our proposal."
)
_SPANS: Final = MappingProxyType({30: "half a minute", 60: "a minute", 180: "three minutes"})
_NUMBERS: Final = MappingProxyType({2: "two", 3: "three", 4: "four", 5: "five", 6: "six"})
_PAUSE, _LEAST = _SPANS[PAUSE_SECONDS], _SPANS[LEAST_PAUSE_SECONDS]
_FAR: Final = f"{DISTANCE_CM[0]} to {DISTANCE_CM[1]} cm"

# What a new plan begins with. A choice is made from one smelling of each: a second one is smelt at another age, tires
# the nose, and doubles the time. A list of words, or an order of up to six, is more than one smelling can carry.
FIRST_GOING_BACK: Final[Mapping[Method, GoingBack]] = MappingProxyType(
    {"profile": GO_BACK_ONCE, "ranking": GO_BACK_ONCE}
)


def set_seconds(strips: int, *, rounds: int = 1, ratings: int = 1) -> int:
    """Seconds one set takes from its first sniff to the locked answer, pauses between its strips included.

    ``rounds``: how often each strip is smelt (2 where one may go back once). Three strips once: 155 s. It is what to
    plan with; it does not promise that anybody keeps to it, and nothing holds people to it.
    """
    checks.whole("strips of a set", strips, 1, 12)
    checks.whole("rounds", rounds, 1, 2)
    checks.whole("ratings", ratings, 1, 200)
    sniffs = strips * rounds
    return sniffs * STRIP_SECONDS + (sniffs - 1) * PAUSE_SECONDS + ANSWER_SECONDS + (ratings - 1) * RATING_SECONDS


def seconds_of(plan: Plan) -> int:
    """Seconds one set of this plan takes, by its strips, its ratings, and whether one may go back."""
    ratings = Profile.of(plan).ratings if plan.kind.rates else 1
    return set_seconds(plan.codes_a_set, rounds=2 if plan.going_back == GO_BACK_ONCE else 1, ratings=max(1, ratings))


def going_back_of(method: Method) -> GoingBack:
    """What a new plan of this method begins with."""
    return FIRST_GOING_BACK.get(method, NO_GOING_BACK)


@dataclass(frozen=True, slots=True)
class Way:
    """What the words of one set depend on; ``strips`` counts codes: on skin places, of a fan pairs of strips."""

    strips: int
    medium: Medium = STRIP
    going_back: GoingBack = ""  # "": the plan does not say
    reference: bool = False  # the first one is the reference
    kept: bool = False  # one's own strip, smelt again at a later age
    alone: bool = False  # one person who dipped the strips
    preparation: Preparation = ""  # alone: how the strips were made blind
    fan: bool = False  # each code is two strips, held beside one another

    @property
    def thing(self) -> str:
        """What is taken up at once."""
        return "pair" if self.fan else "place" if self.medium == SKIN else "strip"

    @property
    def rest_seconds(self) -> int:
        """Between this set and the next: single strips follow each other like the strips of a set."""
        return PAUSE_SECONDS if self.strips == 1 else SETS_PAUSE_SECONDS


def way(plan: Plan, medium: Medium = STRIP) -> Way:
    """How the sets of a plan are smelt on one medium."""
    kept = plan.design.resmell and medium == STRIP
    own = (plan.going_back, plan.kind.reference, kept, plan.solo, plan.preparation)
    return Way(plan.codes_a_set, medium, *own, fan=plan.strips_a_code > 1)


def ways(plan: Plan) -> tuple[Way, ...]:
    """One way for each medium of the plan."""
    return tuple(way(plan, medium) for medium in plan.media)


# --- words ------------------------------------------------------------------------------------------------------------


def lines(how: Way) -> tuple[str, ...]:
    """What hands and nose do, in order, one short line a step."""
    found = _on_skin if how.medium == SKIN else _on_pairs if how.fan else _on_strip
    return tuple(found(how))


def beside_strips(how: Way) -> tuple[str, ...]:
    """Skin where strips are told already: only what differs."""
    first, second, *_ = _on_skin(how)
    return first, second, "Sniffs, pauses and going back: as with the strips."


def paragraph(how: Way, sets: int = 2) -> str:
    """The same in one paragraph of numbered steps, for paper: the rest between ``sets`` too."""
    alone = how.strips == 1 or sets == 1
    last = () if alone else (f"Rest {_SPANS[how.rest_seconds]} in clean air before the next set.",)
    return " ".join(f"{number}. {line}" for number, line in enumerate((*lines(how), *last), start=1))


def reminder(how: Way) -> str:
    """One line beside the codes of a set."""
    skin = how.medium == SKIN
    ends = "both dipped ends of a pair together" if how.fan else "dipped end"
    near = f"nose {_FAR} above the skin" if skin else f"{ends} {_FAR} under the nose"
    order = ("In this order, " if skin else "Left to right, ") if how.strips > 1 else ""
    pause = f", {_PAUSE} between {how.thing}s" if how.strips > 1 else ""
    told = f"{order}{near}, two or three short sniffs{pause}."
    return f"{told[:1].upper()}{told[1:]}{_back_short(how)}"


def rest(how: Way) -> str:
    """What to do between two sets."""
    return f"Rest {_SPANS[how.rest_seconds]} in clean air before you smell."


def _back_short(how: Way) -> str:
    each = " Each pair once" if how.fan else " Each once"
    once = " Once more at most." if how.strips == 1 else f"{each} more at most."
    return {NO_GOING_BACK: " No going back.", GO_BACK_ONCE: once}.get(how.going_back, "")


_AMONG_OTHERS: Final = "dry end, where the code is. It is yours alone: pass it to nobody."
_EYES: Final = "and close your eyes, or sit in dim coloured light (common practice, no source)."
_ALONE: Final = MappingProxyType(
    {
        "": f"dry end, its mark covered, {_EYES}",
        CLIPS: f"clip, which covers its mark, {_EYES}",
        VIALS: f"dry end, where the code is, {_EYES}",
    }
)


def _on_strip(how: Way) -> Iterator[str]:
    yield _first_strip(how)
    each = "it" if how.strips == 1 else "a strip"
    yield f"Hold {each} by its {_ALONE[how.preparation] if how.alone else _AMONG_OTHERS}"
    yield f"Bring the dipped end {_FAR} under your nose. It touches neither nose nor skin."
    yield f"Two or three short sniffs, about {SNIFFS_SECONDS} seconds. Put it back, its dipped end touching nothing."
    if how.strips > 1:
        yield f"Before the next strip wait {_PAUSE} in clean air, {_LEAST} at least."
        yield _back(how, "strip")
        return
    yield _again(how)
    kept = " Leave yours where it is, uncovered: you smell the same one again at each time." if how.kept else ""
    yield f"Before the next strip wait {_PAUSE} in clean air.{kept}"


def _on_pairs(how: Way) -> Iterator[str]:
    yield (
        f"Smell the {_NUMBERS[how.strips]} pairs left to right, in the order of the codes shown. A pair is two strips "
        "under one code, held by one clip."
    )
    yield "Hold a pair by its clip and leave it as it is, dipped ends a finger’s breadth apart. Pass it to nobody."
    yield (
        f"Bring both dipped ends together {_FAR} under your nose, one as near as the other. They touch neither nose "
        "nor skin. Never smell one strip of a pair by itself: it is the two together you judge."
    )
    yield (
        f"Two or three short sniffs between the two, about {SNIFFS_SECONDS} seconds. Put the pair back, dipped ends "
        "touching nothing. How wet or dark a strip looks tells nothing you are asked for: close your eyes if you can."
    )
    yield f"Before the next pair wait {_PAUSE} in clean air, {_LEAST} at least."
    yield _back(how, "pair")


def _first_strip(how: Way) -> str:
    if how.strips == 1:
        return "Smell the strip whose code is shown, and no other."
    if how.reference:
        return "Smell the reference first: it is the left strip. Then the others, left to right."
    return f"Smell the {_NUMBERS[how.strips]} strips left to right, in the order of the codes shown."


def _on_skin(how: Way) -> Iterator[str]:
    yield _first_place(how)
    yield f"Bring your nose {_FAR} above the place. Do not touch it, rub it or blow on it."
    yield f"Two or three short sniffs, about {SNIFFS_SECONDS} seconds. Then move the arm away."
    if how.strips > 1:
        yield f"Before the next place wait {_PAUSE} in clean air, {_LEAST} at least."
        yield _back(how, "place")
        return
    yield _again(how)
    yield f"Before the next place wait {_PAUSE} in clean air."


def _first_place(how: Way) -> str:
    if how.strips == 1:
        return "Smell the place whose code is shown, and no other: its arm and its place are named with it."
    first = "The first is the reference. " if how.reference else ""
    return f"{first}Smell the places in the order of the codes shown: arm and place are named with each."


def _back(how: Way, one: str) -> str:
    """After the last one of a set."""
    return {
        NO_GOING_BACK: f"Do not go back to a {one}: after the last one, answer.",
        GO_BACK_ONCE: f"After the last one you may smell each {one} once more, with the same pauses. Then answer.",
    }.get(how.going_back, "After the last one, answer.")


def _again(how: Way) -> str:
    """After a strip or place that is rated by itself."""
    return {
        NO_GOING_BACK: "Rate it from these sniffs: do not smell it again now.",
        GO_BACK_ONCE: f"Rate it. You may smell it once more, after {_PAUSE} in clean air.",
    }.get(how.going_back, "Then rate it.")
