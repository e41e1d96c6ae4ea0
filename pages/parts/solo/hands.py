"""What the page Alone tells the hands: what is needed, how strips are made blind, how they are kept.

One table a way of preparing. Numbers of strips, clips and vials come from the plan; each line is one thing to do.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.alone import ways
from evaluation.sessions import CLIPS, VIALS, Plan
from evaluation.values.trials import trial_name

Lines = tuple[str, ...]

WAY_NAMES: Final = MappingProxyType(
    {
        CLIPS: "Clips: dip by visible marks, cover them with clips, shuffle, then put the codes on",
        VIALS: "Vials: fill them once, then draw them blind and dip set by set",
    }
)
WAY_NOTES: Final = MappingProxyType(
    {
        CLIPS: "One clip a strip. The sets of one dip wait for each other: for strip ages of half an hour and more.",
        VIALS: "One small vial a strip, none used twice. Every set is dipped for itself: for every strip age.",
    }
)
NUMBERS: Final = MappingProxyType({1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six"})
CLOCK: Final = MappingProxyType({2: "12 and 6", 3: "12, 4 and 8", 4: "12, 3, 6 and 9"})
TURN: Final = "with several pushes, some strong, some weak, not counting"
FREE_END: Final = "wet ends beyond the rim, touching nothing"


@dataclass(frozen=True, slots=True)
class Made:
    """What is being made: sets with their codes, groups in the order they are dipped, and the labels of both trials.

    Where there are more groups than sets, one is taken blind: the others wait for set ``later``, or are put aside.
    """

    plan: Plan
    labels: tuple[str, str]
    sets: tuple[tuple[int, tuple[str, ...]], ...]  # place, codes
    groups: Lines = ()
    later: int = 0
    age: str = ""  # its strip age in words
    again: bool = False  # a set that was spoilt is made anew

    @property
    def marks(self) -> Counter[str]:
        """Strips to make for each mark, over all sets in the making."""
        return Counter("".join(self.groups))

    @property
    def size(self) -> int:
        """Strips in one set."""
        return self.plan.strips_a_set


def trial_of(mark: str, labels: tuple[str, str]) -> str:
    """The trial a mark stands for; small letters mark strips of a null group."""
    return trial_name(labels["AB".index(mark.upper())])


def spaced(group: str) -> str:
    """ "A A B"."""
    return " ".join(group)


# --- what is needed ---------------------------------------------------------------------------------------------------


def needed(plan: Plan, labels: tuple[str, str]) -> Lines:
    """Everything to have at hand before the first set, for the whole session."""
    return tuple(_NEEDED[plan.preparation](plan, labels))


def _by_clips(plan: Plan, labels: tuple[str, str]) -> Iterator[str]:
    most = max(len(one.groups) for one in ways.batches(plan))
    yield f"{plan.strips} like paper strips, 12 to 15 cm long."
    yield f"{plan.strips} like clips that nothing shows through, such as clothes pegs: they stay on to the end."
    plates = (
        "A plain round plate" if most == 1 else f"{str(NUMBERS.get(most, most)).capitalize()} like plain round plates"
    )
    yield f"{plates} on a smooth table, so that a push turns them."
    yield f"{_both(labels)}, soft pencil, ruler, scissors, small paper labels for the codes."
    yield f"{plan.sets_per_nose} paper bags, for the dry ends of each set once it is answered."
    yield AIR


def _by_vials(plan: Plan, labels: tuple[str, str]) -> Iterator[str]:
    yield f"{plan.strips} like paper strips, and a stand that keeps {plan.strips_a_set} of them apart."
    yield f"{plan.strips} like vials with like caps, wide enough for a strip; of clear glass, wrapped alike in foil."
    yield f"{plan.sets_per_nose} like bags that nothing shows through, and {_boxes(plan)}."
    yield f"{_both(labels)}, a pipette, a pen, ruler, pencil and adhesive tape."
    yield AIR


def _both(labels: tuple[str, str]) -> str:
    named = trial_name(*labels)
    return named[:1].upper() + named[1:]


AIR: Final = "Two places: one to prepare, one to smell, both aired; no flame near."


def _boxes(plan: Plan) -> str:
    if len(plan.ages) == 1:
        return "a box that holds them all"
    return f"{NUMBERS.get(len(plan.ages), len(plan.ages))} boxes for them, one a strip age"


_NEEDED: Final[MappingProxyType[str, Callable[[Plan, tuple[str, str]], Iterator[str]]]] = MappingProxyType(
    {CLIPS: _by_clips, VIALS: _by_vials}
)


def filling(plan: Plan, labels: tuple[str, str], age_name: Callable[[int], str]) -> Lines:
    """By vials: what is done once, before the first set; () by clips."""
    if plan.preparation != VIALS:
        return ()
    groups: Counter[str] = Counter()
    for age in plan.ages:
        groups.update(dict(ways.bags(plan, age.seconds)))
    marks = Counter(mark for group, count in groups.items() for mark in group * count)
    listed = ", ".join(f"{count} with {mark}" for mark, count in sorted(marks.items()))
    filled = ", ".join(f"{_either(mark, marks)} with {trial_of(mark, labels)}" for mark in "AB" if _either(mark, marks))
    return (
        f"Mark the vials underneath with a pen that no finger can feel: {listed}.",
        f"Fill all to one height: {filled}. Wipe the rims, close the vials, wipe them off.",
        *_bagged(plan, age_name),
        "Mix the bags with closed eyes. From now on nobody looks under a vial until the session is closed.",
    )


def _either(mark: str, marks: Counter[str]) -> str:
    return " and ".join(one for one in (mark, mark.lower()) if marks[one])


def _bagged(plan: Plan, age_name: Callable[[int], str]) -> Iterator[str]:
    several = len(plan.ages) > 1
    for age in plan.ages:
        into = f"the box for {age_name(age.seconds)}" if several else "the box"
        bags = ", ".join(f"{count} with {spaced(group)}" for group, count in ways.bags(plan, age.seconds))
        yield f"{NUMBERS[plan.strips_a_set].capitalize()} vials a bag, closed, into {into}: {bags}."


# --- one batch --------------------------------------------------------------------------------------------------------


def dipping(made: Made) -> Lines:
    """What to do until the last strip is dipped."""
    return tuple(_DIPPING[made.plan.preparation](made))


def _dip_by_marks(made: Made) -> Iterator[str]:
    strips, marks = sum(made.marks.values()), made.marks
    listed = ", ".join(f"{NUMBERS.get(marks[one], marks[one])} {one}" for one in sorted(marks))
    yield (
        f"Away from where you will smell, rule a pencil line across {strips} strips at once, 1 cm from the end. Mark "
        f"the other tips, small and lightly: {listed}."
    )
    yield f"Lay them in dipping order: {', then '.join(spaced(one) for one in made.groups)}."
    yield (
        f"Dip each to the line for two seconds, {_into(made)}, wipe it once, and lay it on the plate, the marked tip "
        f"inside, {FREE_END}{_apart(made)}."
    )


def _into(made: Made) -> str:
    first, second = ("".join(one for one in (mark, mark.lower()) if made.marks[one]) for mark in "AB")
    told = ((first, made.labels[0]), (second, made.labels[1]))
    return ", ".join(f"{' and '.join(marks)} in {trial_name(label)}" for marks, label in told if marks)


def _apart(made: Made) -> str:
    if len(made.groups) == 1:
        return f", spread like {CLOCK[made.size]} on a clock"
    return f": {' and '.join(NUMBERS[made.size] for _ in made.groups)}, each group on its own side"


def _dip_by_vials(made: Made) -> Iterator[str]:
    ((_, codes),) = made.sets
    yield (
        f"Rule a pencil line across {NUMBERS[made.size]} strips at once, 1 cm from the end. Write a code on each other "
        f"end and lay them from left to right: {', '.join(codes)}."
    )
    bag = "the bag of this set" if made.again else f"a bag{_of_age(made)}"
    yield (
        f"Close your eyes. Take {bag}, shake it, and stand its vials in a row, left to right, as they come "
        "to hand. Do not look underneath. Loosen the caps."
    )
    yield (
        "At arm’s length, holding your breath: open the first vial, dip the first strip to the line for two seconds, "
        "close it; then the second strip in the second vial, and so on. Stand the strips apart, in this order."
    )


def _of_age(made: Made) -> str:
    """From which box, where there are several."""
    return f" from the box for {made.age}" if len(made.plan.ages) > 1 else ""


_DIPPING: Final[MappingProxyType[str, Callable[[Made], Iterator[str]]]] = MappingProxyType(
    {CLIPS: _dip_by_marks, VIALS: _dip_by_vials, "": _dip_by_marks}
)


def laying(made: Made) -> Lines:
    """What to do, by clips, from the last dip until every strip lies under its code."""
    return (*_clipping(), *_sorting(made), *_turning(made), *_coding(made))


def _clipping() -> Iterator[str]:
    yield (
        "Close the trials, and keep your nose at arm’s length. Push a clip over each marked tip, until the tip touches "
        "its back: no mark may show on either side."
    )
    yield "Look once for what differs, a clip askew or a longer wet end, and make it alike, or make all of it anew."


def _sorting(made: Made) -> Iterator[str]:
    if len(made.groups) < 2:
        return
    first, *others = (place for place, _ in made.sets)
    yield (
        f"Eyes closed: turn the plate {TURN}. The group that stops nearest you is set {first}; where two are as near, "
        "turn again."
    )
    yield _others(made, others)


def _others(made: Made, others: Sequence[int]) -> str:
    """Where the groups go that did not stop nearest."""
    if made.later:
        return f"Move the other group to another plate, as it is: it is kept for set {made.later}."
    if not others:
        return "Put the other strips away, marks covered and unread: only this set is made anew."
    if len(others) == 1:
        return f"Move the other group to another plate: set {others[0]}."
    return f"Move the others, clockwise, to a plate each: {', then '.join(f'set {place}' for place in others)}."


def _turning(made: Made) -> Iterator[str]:
    each = "each plate" if len(made.sets) > 1 else "the plate"
    yield f"Spread the clips on {each} like {CLOCK[made.size]} on a clock. Eyes closed: turn {each} {TURN}."
    if made.size > 3:
        yield (
            f"The strip nearest you is the first. Spread the others like {CLOCK[made.size - 1]} and turn once more: "
            "the nearest is the second, the next clockwise the third."
        )


def _coding(made: Made) -> Iterator[str]:
    told = "; ".join(f"set {place}: {', '.join(codes)}" for place, codes in made.sets)
    order = "in this order" if made.size > 3 else "the one nearest you first, then clockwise"
    yield f"Fold a label with its code round each strip, beside the clip, {order}. {told[:1].upper()}{told[1:]}."
    yield f"Leave them there, {FREE_END}, until they are called."


KEEP_VIALS: Final = (
    "First: tape the closed vials of set {place} together as they stand, write {place} and an arrow from left to right "
    "on the tape, and put them aside, unread."
)


def to_make_anew(made: Made) -> str:
    """A set that was spoilt before its answer is made once more, so that nobody knows more than before."""
    (place, _), *_ = made.sets
    if made.plan.preparation == VIALS:
        return (
            f"Set {place} is made anew under these codes. If its taped vials are whole, put them back into a bag, "
            "unread, and draw from that bag; else fill a bag of each kind and take one of them blind."
        )
    return (
        f"Set {place} is made anew, from fresh strips and under these codes. Put the spoilt one away for good, marks "
        "covered: nobody needs to know what it was."
    )


def other_group(made: Made) -> Lines:
    """Sealed before: the second set of a pair comes from the group that was left."""
    return (f"Take the plate that was left: it is set {made.sets[0][0]}.", *_turning(made), *_coding(made))


# --- afterwards -------------------------------------------------------------------------------------------------------

_AWAY: Final = MappingProxyType(
    {
        CLIPS: (
            "Cut off the wet ends without lifting a clip, and let them dry in the open air.",
            "Put the dry ends, with clips and codes, into the bag numbered {place}: every mark is still covered.",
        ),
        VIALS: (
            "The strips carry no mark: let them dry in the open air. The vials of set {place} stay taped, unread.",
        ),
    }
)


def putting_away(plan: Plan, place: int) -> Lines:
    """How what carries the marks of an answered set is kept until they are read."""
    return tuple(one.format(place=place) for one in _AWAY[plan.preparation or CLIPS])


def reading(plan: Plan) -> str:
    """Where the marks are, once the session is closed."""
    if plan.preparation == VIALS:
        return (
            "Take the taped vials set by set and turn them over, arrow to the right: the first is under the first code."
        )
    return "Take the sets one by one, uncover the marks, and read them in the order of the codes."
