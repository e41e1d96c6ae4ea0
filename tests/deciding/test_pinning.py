"""What a session can be pinned on: facts by hand, from entries and moves, and the words made of them."""

from __future__ import annotations

import re
from dataclasses import fields
from decimal import Decimal
from typing import Any, get_type_hints

import pytest

from evaluation.counting.profiles import Move
from evaluation.deciding.evidence import (
    FIRST,
    LASTING,
    MOVED,
    NEARER,
    NEITHER,
    NOTICE,
    PREFERENCE,
    SECOND,
    Point,
    facts_of,
    point_of,
)
from evaluation.deciding.pinning import Counted, MovedAt, Pinning, counted, foreseen, pinned
from evaluation.formulas import FITS, NOT_SAID, UNFITTING, Formula, Line, Material, difference
from evaluation.judging.verdicts import Rules, judge_tallies
from evaluation.wording.of_pinning import (
    MASKING,
    NONE_KNOWN,
    ON_SKIN,
    assumptions,
    counted_lines,
    foreseen_lines,
    pinned_lines,
)
from tests.judging.test_verdicts import tally, votes

TOP = Material("top", "Bergamot oil", "top")  # 0 to 15 min, widened to 30
HEART = Material("heart", "Fig leaf base", minutes=(20, 180))  # 10 to 360
BASE = Material("base", "Vetiver oil", minutes=(240, 43_200))  # widened from 120 on
UNKNOWN = Material("unknown", "Salt accord")
CARRIER = Material("carrier", "Carrier", solvent=True)
AGES = tuple(map(Decimal, ("5", "60", "1440")))
PAIR = ("one", "two")
RISK = Decimal("0.05")


def formula(*lines: tuple[Material, int]) -> Formula:
    return Formula(tuple(Line(material, Decimal(parts)) for material, parts in lines), out_of=Decimal(100))


def changed(*materials: Material) -> Any:
    """The first raised to twice, the next to 2.5 times, and so on, so that no two share a scale; solvent makes it up."""
    before = [(one, 2) for one in materials]
    after = [(one, 4 + place) for place, one in enumerate(materials)]
    filled = [formula(*side, (CARRIER, 100 - sum(parts for _, parts in side))) for side in (before, after)]
    return difference(*filled)


def planned(*materials: Material, ages: tuple[Decimal, ...] = AGES) -> Pinning:
    return foreseen(changed(*materials), ("7", "8"), ages)


def triangles(right: dict[float, int], primary: float | None = None) -> list[Point]:
    entries = judge_tallies([tally(n, 12, age=age) for age, n in right.items()], Rules(primary_age=primary))
    return [point_of(one, PAIR, "strip") for one in entries]


def names(group: Any) -> list[str]:
    return [one.change.materials[0].name for one in group]


def test_the_ages_at_which_a_change_may_be_smelt_are_told_beforehand() -> None:
    found = planned(TOP, HEART, BASE, UNKNOWN)
    assert [one.inside for one in found.changes] == [(AGES[0],), (AGES[1],), (AGES[2],), None]
    assert [one.by_class for one in found.changes] == [True, False, False, False]
    assert {one.word for one in found.changes} == {NOT_SAID}
    assert [len(group) for group in found.alike] == [1, 1, 1, 1]
    assert [names(group) for group in planned(TOP, HEART, BASE, ages=AGES[1:2]).alike] == [
        ["Bergamot oil", "Vetiver oil"],
        ["Fig leaf base"],
    ]


def test_words_follow_the_verdicts_of_each_age() -> None:
    """12 triangles: 8 right reach .025 (exact p .0188), 4 are chance (Holm over three ages)."""
    found = pinned(planned(TOP, HEART, BASE, UNKNOWN), triangles({5: 10, 60: 4, 1440: 4}), PAIR, RISK)
    assert found.moved == (MovedAt(Decimal(5), (NOTICE,)),)
    assert [one.word for one in found.changes] == [FITS, UNFITTING, UNFITTING, FITS]
    none = pinned(planned(TOP, HEART), triangles({5: 4, 60: 4, 1440: 4}), PAIR, RISK)
    assert none.moved == ()
    assert {one.word for one in none.changes} == {NOT_SAID}


def test_an_age_that_cannot_confirm_is_none_at_which_something_moved() -> None:
    """The primary age fails: 12 of 12 right at another age is exploratory and has no word."""
    found = pinned(planned(TOP, HEART), triangles({5: 4, 60: 12}, primary=5), PAIR, RISK)
    assert found.moved == ()
    confirmed = pinned(planned(TOP, HEART), triangles({5: 12, 60: 12}, primary=5), PAIR, RISK)
    assert [one.minutes for one in confirmed.moved] == [5, 60]  # the second weighs nothing, but its family shows it


def test_nearer_the_brief_skin_and_what_is_described_only_move_nothing() -> None:
    entries = judge_tallies([votes(12, 0, age=5.0)], Rules())
    beside = [
        point_of(entries[0], PAIR, "strip", NEARER),
        point_of(entries[0], PAIR, "skin"),
        Point(LASTING, *PAIR, "strip", Decimal(5), FIRST, False),
        Point(MOVED, *PAIR, "strip", None, NEITHER, True),
        Point(PREFERENCE, "one", "three", "strip", Decimal(5), FIRST, True),
    ]
    assert pinned(planned(TOP), beside, PAIR, RISK).moved == ()
    found = pinned(planned(TOP), [*beside, point_of(entries[0], PAIR[::-1], "strip")], PAIR, RISK)
    assert found.moved == (MovedAt(Decimal(5), (PREFERENCE,)),)


def test_a_profile_moves_at_every_age_of_each_move() -> None:
    def move(word: str, *ages: float) -> Point:
        facts = facts_of(Move("7", "8", word, ages, (1.5,) * len(ages), 0.01, True, False))
        return Point(MOVED, *PAIR, "strip", Decimal(str(ages[0])), SECOND, True, facts, word)

    found = pinned(planned(TOP, HEART, BASE), [move("green", 5.0, 60.0), move("woody", 60.0)], PAIR, RISK)
    assert found.moved == (MovedAt(Decimal("5.0"), ("green",)), MovedAt(Decimal("60.0"), ("green", "woody")))
    assert [one.word for one in found.changes] == [FITS, FITS, UNFITTING]


def test_what_is_told_over_all_ages_is_at_no_age_unless_there_is_one() -> None:
    over = Point(PREFERENCE, *PAIR, "strip", None, FIRST, True)
    several = pinned(planned(TOP), [over], PAIR, RISK)
    assert (several.moved, several.over_all) == ((), True)
    assert "Over all ages together something was shown" in pinned_lines(several)[0]
    alone = pinned(planned(TOP, BASE, ages=AGES[:1]), [over], PAIR, RISK)
    assert [one.word for one in alone.changes] == [FITS, UNFITTING]


# --- words ------------------------------------------------------------------------------------------------------------

NEVER = re.compile(r"\b(caused?|because of|explains?|due to|responsible|must be|is shown to be)\b", re.I)


@pytest.mark.parametrize("materials", [(TOP,), (TOP, HEART, BASE, UNKNOWN), (UNKNOWN,), (TOP, BASE)])
@pytest.mark.parametrize("right", [{5: 10, 60: 4, 1440: 4}, {5: 4, 60: 4, 1440: 4}, {5: 12, 60: 12, 1440: 12}])
@pytest.mark.parametrize("ages", [AGES, AGES[1:2], ()])
def test_no_sentence_pins_anything_for_sure(
    materials: tuple[Material, ...], right: dict[float, int], ages: tuple[Decimal, ...]
) -> None:
    before = planned(*materials, ages=ages)
    after = pinned(before, triangles(right), PAIR, RISK)
    told = [*foreseen_lines(before), *pinned_lines(after), *assumptions([before]), *assumptions([after])]
    told += counted_lines([counted(after)])
    assert [one for one in told if NEVER.search(one)] == []
    assert [one for one in told if re.search(r"\bprove[ds]?\b", one) and not re.search(r"\b(not|nothing)\b", one)] == []


def test_the_plan_says_what_it_will_be_able_to_tell() -> None:
    told = foreseen_lines(planned(TOP, HEART, BASE, UNKNOWN))
    assert told[0].startswith(
        "Trial 7 → trial 8: 4 changes at once. Whatever is found is found of all of them together"
    )
    assert told[1] == (
        "Bergamot oil raised to 2 times: unfitting if something moves and nothing does at 5 min, else fitting."
    )
    assert told[4] == (
        "Salt accord raised to 3.5 times: fits whatever is found, since not every window of it is known."
    )
    one_age = foreseen_lines(planned(TOP, HEART, BASE, ages=AGES[1:2]))
    assert one_age[1].startswith(
        "Bergamot oil raised to 2 times and Vetiver oil raised to 3 times: expected at none of the ages planned. "
        "Whatever moves, they will be called unfitting; plan an age inside the window to smell them."
    )
    assert one_age[1].endswith("This session cannot tell them from one another.")
    assert foreseen_lines(planned(UNKNOWN))[1] == NONE_KNOWN
    assert ON_SKIN in foreseen_lines(planned(TOP, ages=()))
    assert "that it comes of it is not proved" in foreseen_lines(planned(TOP))[0]
    alone = foreseen_lines(foreseen(difference(formula((TOP, 5)), formula((TOP, 5))), ("7", "8"), AGES))
    assert alone == ("Trial 7 → trial 8: no named change lies between them, as far as the formulas are written.",)


def test_the_findings_say_which_change_fits_and_that_it_proves_nothing() -> None:
    found = pinned(planned(TOP, HEART, BASE, UNKNOWN), triangles({5: 10, 60: 4, 1440: 4}), PAIR, RISK)
    assert pinned_lines(found) == (
        "Trial 7 → trial 8: 4 changes at once, and no answer tells which of them it was, or whether several "
        "together. Something moved at 5 min (told apart).",
        "Unfitting: Fig leaf base raised to 2.5 times and Vetiver oil raised to 3 times.",
        "Fitting, which proves nothing: Bergamot oil raised to 2 times.",
        "Fitting whatever is found, since a window is not known: Salt accord raised to 3.5 times.",
        "Another stock or lot, or solvent made up, comes on top and is judged by no window.",
    )
    told = assumptions([found])
    assert MASKING in told
    assert any("unfitting in at most 5 % of such sessions" in one for one in told)
    everything = pinned(planned(BASE), triangles({5: 10, 60: 4, 1440: 4}), PAIR, RISK)
    assert any(one.startswith("No change fits: look at what else differs") for one in pinned_lines(everything))
    nothing = pinned(planned(UNKNOWN), triangles({5: 10, 60: 4, 1440: 4}), PAIR, RISK)
    assert NONE_KNOWN in pinned_lines(nothing)
    assert assumptions([nothing]) == ()


def test_what_a_report_is_given_can_name_no_change() -> None:
    found = counted(pinned(planned(TOP, HEART, BASE, UNKNOWN), triangles({5: 10, 60: 4, 1440: 4}), PAIR, RISK))
    assert (found.changes, found.unfitting, found.fitting, found.unknown) == (4, 2, 2, 1)
    plain = {int, str, tuple[MovedAt, ...]}
    assert {get_type_hints(Counted)[one.name] for one in fields(Counted)} <= plain
    assert {get_type_hints(MovedAt)[one.name] for one in fields(MovedAt)} == {Decimal, tuple[str, ...]}
    told = "\n".join(counted_lines([found]))
    assert told.startswith(
        "Trial 7 → trial 8 differ in 4 named changes at once, and something moved at 5 min (told apart): 2 unfitting "
        "and 2 fitting, which proves nothing; nothing is proved of any."
    )
    assert not any(one.name in told for one in (TOP, HEART, BASE, UNKNOWN))
