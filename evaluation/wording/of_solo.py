"""Words of a session smelt alone: what its marks say, what could not be judged, and what its findings rest on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from types import MappingProxyType
from typing import Final

from evaluation.sessions import CLIPS, VIALS, Plan
from evaluation.wording.of_verdicts import count

SHUFFLED: Final = (
    "One person prepared and smelt: the blind rests on that person’s word. The orders came from shuffling, not "
    "balanced, and the marks of a set were entered after its answer."
)
STRAYS: Final = (
    "The sealed analysis, and the same with the wrong strips counted as answered wrong, and as answered right: their "
    "marks were read after the answers. A verdict that is the same in all three does not hang on how they were read."
)
AS_MEANT: Final = (
    "The sealed analysis, and the same without the sets in which another code was locked than the one meant. The "
    "verdict is the sealed one’s."
)
LEFT_OUT: Final = "sealed, without wrong strips"
AS_WRONG: Final = "wrong strips answered wrong"
AS_RIGHT: Final = "wrong strips answered right"


def reading(codes: Sequence[str], order: str) -> str:
    """Marks as they lie: "482 A, 517 B, 903 ?"."""
    return ", ".join(f"{code} {mark}" for code, mark in zip(codes, order, strict=True))


def read_back(place: int, codes: Sequence[str], order: str, *, wrong_strip: bool) -> str:
    """One set's marks in words, before they are entered for good."""
    told = f"Set {place}: {reading(codes, order)}"
    return f"{told}: no set of this kind; it will be called a wrong strip." if wrong_strip else f"{told}."


def wrong_strip(place: int, codes: Sequence[str], order: str) -> str:
    """Why a set left the analysis, as the reason of what was noted."""
    return f"set {place}, by its marks: {reading(codes, order)}, no set of this kind"


def alike(places: Sequence[Sequence[int]]) -> str:
    """Pairs that hold one composition twice, while the marks are read back; "" where there is none."""
    if not places:
        return ""
    pairs = ", ".join(f"{one} and {other}" for one, other in places)
    return (
        f"Of these pairs both sets hold the same trial twice: {pairs}. If that is what the marks say, both count: a "
        "strip went into the wrong set, or one of them was made anew."
    )


def nulls_off(planned: int, found: int) -> str:
    """Marks that hold more or fewer null sets than were made, while they are read back; "" where they agree."""
    if planned == found:
        return ""
    made, told = count(planned, "null set was planned", "null sets were planned"), count(found, "is", "are")
    return (
        f"{made[:1].upper()}{made[1:]}, and by these marks {told} there: read them once more, and enter what they say."
    )


def prepared(plan: Plan) -> str:
    """How the strips were made blind; "" where the plan does not say."""
    return _PREPARED[plan.preparation]


_PREPARED: Final = MappingProxyType(
    {
        "": "",
        CLIPS: "Made blind by like clips over the marks, on a plate turned with closed eyes; the codes came after.",
        VIALS: "Made blind by like vials, drawn from bags with closed eyes, a group of vials for each set.",
    }
)
_COLOUR: Final = "Where a trial colours the paper, or runs further up it, eyes can tell."
_LIMITS: Final = MappingProxyType(
    {
        "": (),
        CLIPS: (
            "Marks were seen while dipping: a dip longer or wetter by habit can be felt later.",
            "The sets of one dip hold both kinds: who knows one by nose knows what the other holds, not which of its "
            "strips is odd.",
            _COLOUR,
        ),
        VIALS: ("The nose was near when the vials were open: what it smelt then may be remembered.", _COLOUR),
    }
)


def limits(plan: Plan) -> tuple[str, ...]:
    """What this way of preparing cannot close."""
    both_kinds = plan.kind.mixed
    return tuple(one for one in _LIMITS[plan.preparation] if both_kinds or "both kinds" not in one)


def caveats(plan: Plan, wrong_strips: int, alike_pairs: int) -> Iterable[str]:
    """What the way of preparing leaves open, what was mixed up, and why what stays may be counted."""
    yield from limits(plan)
    if alike_pairs:
        pairs = count(alike_pairs, "pair", "pairs")
        yield (
            f"In {pairs} of sets both held the same trial twice. Which was mistaken cannot be known, and both count: "
            "in either the odd strip lay anywhere with the same chance."
        )
    if wrong_strips:
        sets = count(wrong_strips, "set was a wrong strip", "sets were wrong strips")
        yield f"{sets}, as marks read after the answers say. {_AFTER[bool(plan.look_every)]}"


_AFTER: Final = {
    False: "Left out of the verdict; what it would be with them answered wrong, or right, stands beside it.",
    True: "The looks count them as answered wrong towards “noticed”, and as answered right towards “not noticed”.",
}
