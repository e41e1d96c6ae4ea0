"""Share on skin by hand, and the gate: everything it asks for, taken away one at a time (evaluation/skin/)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.errors import ArgumentError, StateError
from evaluation.skin import (
    BARRED,
    CANCELLED,
    CLEAR,
    EXCLUSIONS,
    FIRST,
    FORMULA_TOLERANCE,
    LEFT_ON_SKIN,
    MISSED,
    MOST_ON_SKIN_PERCENT,
    NATURALS,
    PATCH_SITES,
    REACTED,
    REACTION,
    READ,
    RETURNED,
    SECOND,
    Advice,
    Asked,
    Bar,
    Explained,
    FormulaLine,
    Gate,
    GoAhead,
    Material,
    Patch,
    Reaction,
    Reading,
    Records,
    SkinFacts,
    SkinLimit,
    Unwell,
    counting_limits,
    exact,
    formula_sum,
    gate,
    name_key,
    not_for_strips,
    sentences,
    share_on_skin,
    shares,
    worn,
)
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

HOUR = 3_600_000
DAY = 24 * HOUR
NOW = 1_767_168_000_000
PERCENT = st.decimals(Decimal("0.0001"), Decimal(100), places=4)


def material(name: str, **changes: Any) -> Material:
    return Material(name.lower(), name, **changes)


def limit(name: str, percent: str = "100", **changes: Any) -> SkinLimit:
    fields = {
        "document": "safety sheet, invented",
        "dated_on": date(2025, 3, 3),
        "kind_of_use": LEFT_ON_SKIN,
        "at": NOW,
    }
    return SkinLimit(name.lower(), Decimal(percent), **(fields | changes))  # type: ignore[arg-type]


def trial(**changes: Any) -> Trial:
    whole = Trial("trial-7", "brief", "7", None, "", Decimal(10), None, None, "", 1, Decimal(10))
    return replace(whole, **changes)


def person(number: int) -> Panelist:
    return Panelist(f"person-{number}", f"Nose {number}", "", True, number)


def facts(number: int, **changes: Any) -> SkinFacts:
    return SkinFacts(**({"panelist_id": f"person-{number}", "consent": True, "at": NOW - DAY} | NONE | changes))


NONE = dict.fromkeys(EXCLUSIONS, False)


LINES = (
    FormulaLine(material("Vetiver", natural=True), Decimal(4), Decimal(10)),
    FormulaLine(material("Musk"), Decimal(36)),
    FormulaLine(material("Carrier"), Decimal(60)),
)


def patch(number: int, *hours: float, **changes: Any) -> Patch:
    """One of trial 7, put on ten days ago and read clear after so many hours; without any: after 50 and 75."""
    applied = changes.pop("applied_at", NOW - 10 * DAY)
    readings = tuple(Reading(CLEAR, int(applied + each * HOUR)) for each in hours or (50, 75))
    own = (f"patch-{number}", f"person-{number}", "trial-7", "482", PATCH_SITES[0], Decimal(10), applied, worn(LINES))
    return replace(Patch(*own, readings), **changes)


def reacted(number: int, *names: str, days_ago: float = 1, **changes: Any) -> Reaction:
    """A reaction to these materials; to none by name: to a formula that is not known."""
    known = frozenset(names) or None
    return replace(Reaction(f"person-{number}", known, NOW - int(days_ago * DAY)), **changes)


def advice(number: int, *names: str, days_ago: float = 0.5) -> Advice:
    return Advice(f"person-{number}", frozenset(names), "Dr Ida Fern", date(2025, 12, 31), NOW - int(days_ago * DAY))


def go_ahead(*names: str, days_ago: float = 0.5) -> GoAhead:
    return GoAhead(frozenset(names), "it was the soap", NOW - int(days_ago * DAY))


def whole(**changes: Any) -> dict[str, Any]:
    """Everything the gate wants, for two people and three materials; ``changes`` to what it takes or to the records."""
    ready: dict[str, Any] = {"trial": trial(), "lines": LINES, "people": (person(1), person(2)), "now": NOW}
    records = {
        "limits": (limit("Vetiver", "0.04"), limit("Musk", "4"), limit("Carrier")),
        "facts": {"person-1": facts(1), "person-2": facts(2)},
        "patches": (patch(1), patch(2)),
    }
    given = {name: changes.pop(name) for name in list(changes) if name in ready or name == "zone"}
    return ready | given | {"records": Records(**records | changes)}


def kinds(found: Gate) -> set[str]:
    return {block.kind for block in found.blocks}


def told(**changes: Any) -> str:
    """All that the gate says, in sentences."""
    return "\n".join(sentences(gate(**whole(**changes)).blocks))


# --- arithmetic -------------------------------------------------------------------------------------------------
# Mass fraction: mass of the part over mass of the whole (ISO 80000-9, from memory); of a part of a part: the product.


@pytest.mark.parametrize(
    ("share", "stock", "strength", "on_skin"),
    [
        # 1000 g of solution at 15 % hold 150 g of concentrate, 4 % of it is 6 g of stock, 10 % of that 0.6 g: 0.06 %.
        ("4", "10", "15", "0.06"),
        # 100 g at 20 % hold 20 g; 12.5 % of it, pure, is 2.5 g in 100 g.
        ("12.5", "100", "20", "2.5"),
        # 1 kg at 8 % holds 80 g; 0.3 % is 0.24 g of stock; 1 % of that is 0.0024 g, in 1000 g: 0.00024 %.
        ("0.3", "1", "8", "0.00024"),
    ],
)
def test_share_on_skin_by_hand(share: str, stock: str, strength: str, on_skin: str) -> None:
    assert share_on_skin(Decimal(share), Decimal(stock), Decimal(strength)) == Decimal(on_skin)


@given(PERCENT, PERCENT, PERCENT)
def test_share_on_skin_is_the_exact_product(share: Decimal, stock: Decimal, strength: Decimal) -> None:
    product = Fraction(share) * Fraction(stock) * Fraction(strength) / 10_000  # second route: rational numbers
    assert Fraction(share_on_skin(share, stock, strength)) == product


def test_the_same_material_from_two_lines_is_taken_together() -> None:
    # 10 % solution: 3 % pure gives 0.3 %, 5 % of a 20 % stock gives 0.1 %: 0.4 % together, above 0.35 %.
    musk, rest = material("Musk"), FormulaLine(material("Carrier"), Decimal(92))
    lines = (FormulaLine(musk, Decimal(3)), FormulaLine(musk, Decimal(5), Decimal(20)), rest)
    found = shares(lines, Decimal(10), [limit("Musk", "0.35")])
    assert [(one.material.name, one.percent) for one in found] == [
        ("Musk", Decimal("0.4")),
        ("Carrier", Decimal("9.2")),
    ]
    assert not found[0].within
    assert found[0].sentence.startswith("Musk: 0.4 % on skin; above the limit of 0.35 % by “safety sheet, invented”")


def test_a_share_at_its_limit_is_within_and_a_hair_above_is_not() -> None:
    line = FormulaLine(material("Musk"), Decimal(100))
    assert shares([line], Decimal("1.2"), [limit("Musk", "1.2")])[0].within
    assert not shares([line], Decimal("1.2000000001"), [limit("Musk", "1.2")])[0].within


def test_the_limit_entered_last_counts_and_only_for_what_stays_on_skin() -> None:
    entered = [
        limit("Musk", "2", at=NOW),
        limit("Musk", "1", at=NOW - 1),
        limit("Musk", "9", at=NOW + 1, kind_of_use="rinsed off"),
    ]
    found = shares([FormulaLine(material("Musk"), Decimal(100))], Decimal(1), entered)
    assert found[0].limit == entered[0]


def test_lines_add_up_exactly() -> None:
    lines = [FormulaLine(material("Musk"), Decimal("33.3"))] * 3
    assert formula_sum(lines) == Decimal("99.9")


@pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
def test_a_share_that_is_none_is_refused(value: str) -> None:
    with pytest.raises(ArgumentError, match=r"^share of Musk"):
        FormulaLine(material("Musk"), Decimal(value))


def test_a_limit_of_nothing_is_a_limit_and_tomorrow_is_not_a_date() -> None:
    assert limit("Musk", "0").percent == 0
    with pytest.raises(ArgumentError, match="future"):
        limit("Musk", dated_on=date(2026, 1, 3), at=NOW)


def test_exact_keeps_every_digit() -> None:
    assert [exact(Decimal(text)) for text in ("1E+2", "0.30", "0.00024", "5")] == ["100", "0.3", "0.00024", "5"]


# --- the gate ---------------------------------------------------------------------------------------------------


def test_the_gate_is_open_when_nothing_lacks() -> None:
    found = gate(**whole())
    assert found.open
    assert found.first_possible == 0
    assert [exact(share.percent) for share in found.shares if share.percent] == ["0.04", "3.6", "6"]
    assert found.warnings == (NATURALS,)


TAKEN_AWAY: dict[str, tuple[str, dict[str, Any]]] = {
    "no strength on skin": ("strength and patch", {"trial": trial(skin_strength_percent=None)}),
    "no formula": ("formula and patch", {"lines": ()}),
    "a formula of 99.8 %": (
        "formula and patch",
        {"lines": (*LINES[:2], FormulaLine(material("Carrier"), Decimal("59.8")))},
    ),
    "no limit of one line": ("limit", {"limits": whole()["records"].limits[1:]}),
    "a limit for another use": (
        "limit",
        {"limits": (limit("Vetiver", kind_of_use="rinsed off"), *whole()["records"].limits[1:])},
    ),
    "a line above its limit": ("level", {"limits": (limit("Vetiver", "0.0399"), *whole()["records"].limits[1:])}),
    "a stronger solution": ("level and patch", {"trial": trial(skin_strength_percent=Decimal("10.1"))}),
    "nobody asked": ("facts", {"facts": {"person-1": facts(1)}}),
    "asked long ago": ("facts", {"facts": {"person-1": facts(1), "person-2": facts(2, at=NOW - 30 * DAY - 1)}}),
    "no consent": ("consent", {"facts": {"person-1": facts(1), "person-2": facts(2, consent=False)}}),
    **{
        f"yes to {name}": ("excluded", {"facts": {"person-1": facts(1), "person-2": facts(2, **{name: True})}})
        for name in EXCLUSIONS
    },
    "no patch": ("patch", {"patches": (patch(1),)}),
    "a patch of another trial": ("patch", {"patches": (patch(1), patch(2, trial_id="trial-8"))}),
    "a weaker patch": ("patch", {"patches": (patch(1), patch(2, strength_percent=Decimal("9.9")))}),
    "a stronger patch": ("patch", {"patches": (patch(1), patch(2, strength_percent=Decimal("10.1")))}),
    "a patch of another formula": ("patch", {"patches": (patch(1), patch(2, lines=worn(LINES[:2])))}),
    "a patch of a formula not known": ("patch", {"patches": (patch(1), patch(2, lines=None))}),
    "a patch that was cancelled": ("patch", {"patches": (patch(1), patch(2, cancelled_at=NOW - DAY))}),
    "a patch read once under the old rule": ("patch", {"patches": (patch(1), patch(2, 90))}),
    "a patch not read in time": ("patch", {"patches": (patch(1), patch(2, 57, 80))}),
    "no second reading": ("reading", {"patches": (patch(1), patch(2, 50))}),
    "a second reading too soon": ("reading", {"patches": (patch(1), patch(2, 50, 71.9))}),
    "a second reading too near": ("reading", {"patches": (patch(1), patch(2, 56, 75.9))}),
    "a patch not read": ("reading", {"patches": (patch(1), patch(2, readings=(), applied_at=NOW - DAY))}),
    "an old patch nobody asked about": ("changes", {"patches": (patch(1), patch(2, applied_at=NOW - 31 * DAY))}),
    "an old patch, and the batch has changed": (
        "patch",
        {"patches": (patch(1), patch(2, applied_at=NOW - 31 * DAY, asked=(Asked(("batch",), NOW - DAY),)))},
    ),
    "an old patch, asked about long ago": (
        "changes",
        {"patches": (patch(1), patch(2, applied_at=NOW - 93 * DAY, asked=(Asked((), NOW - 30 * DAY - 1),)))},
    ),
    "somebody else reacted to a line": ("wait", {"reactions": (reacted(9, "carrier"),)}),
    "this person reacted to a line": ("wait and reaction", {"reactions": (reacted(2, "musk", "cloud"),)}),
    "a formula not known reacted": ("wait and reaction", {"reactions": (reacted(2),)}),
    "decided for others, no advice": (
        "reaction",
        {"reactions": (reacted(2, "musk"),), "go_aheads": (go_ahead("musk"),)},
    ),
    "an advice, nothing decided": (
        "wait and patch",
        {"reactions": (reacted(2, "musk"),), "advice": (advice(2, "musk"),)},
    ),
    "a stop without a reaction": ("stop", {"unwell": (Unwell("person-2", "s", NOW - DAY),)}),
    "a document of 1970": (
        "document",
        {"limits": (limit("Vetiver", "0.04", dated_on=date(1970, 1, 1)), *whole()["records"].limits[1:])},
    ),
    "nearly undiluted": (
        "strength and level and patch",
        {"trial": trial(skin_strength_percent=Decimal("99.9"))},
    ),
    "barred": ("bar", {"bars": (Bar("trial-7", None, BARRED, "a rash", NOW - DAY),)}),
}


@pytest.mark.parametrize("lacking", TAKEN_AWAY)
def test_taking_one_thing_away_shuts_the_gate_and_is_said(lacking: str) -> None:
    kind, changes = TAKEN_AWAY[lacking]
    found = gate(**whole(**changes))
    assert not found.open
    assert kinds(found) == set(kind.split(" and "))
    assert all(block.sentence.endswith(".") and len(block.sentence) > 40 for block in found.blocks)


@given(st.sets(st.sampled_from(sorted(TAKEN_AWAY)), min_size=1, max_size=4))
def test_nothing_opens_what_anything_shuts(lacking: set[str]) -> None:
    changed: dict[str, Any] = {}
    for name in sorted(lacking):
        changed |= TAKEN_AWAY[name][1]  # later ones overwrite, but each alone shuts
    assert not gate(**whole(**changed)).open


@given(st.lists(PERCENT, min_size=1, max_size=8), PERCENT.filter(lambda p: p <= MOST_ON_SKIN_PERCENT), st.data())
def test_open_means_every_material_is_within_its_limit(
    weights: list[Decimal], strength: Decimal, data: st.DataObject
) -> None:
    names = data.draw(st.lists(st.sampled_from("abcd"), min_size=len(weights), max_size=len(weights)))
    limits = {name: data.draw(PERCENT) for name in "abcd"}
    lines = [FormulaLine(material(name), weight) for name, weight in zip(names, weights, strict=True)]
    found = gate(
        **whole(
            trial=trial(skin_strength_percent=strength),
            lines=lines,
            limits=[limit(name, str(percent)) for name, percent in limits.items()],
            patches=tuple(patch(one, strength_percent=strength, lines=worn(lines)) for one in (1, 2)),
        )
    )
    on_skin = {name: sum(Fraction(w) for n, w in zip(names, weights, strict=True) if n == name) for name in names}
    within = all(share * Fraction(strength) / 100 <= Fraction(limits[name]) for name, share in on_skin.items())
    adds_up = abs(sum(map(Fraction, weights)) - 100) <= Fraction(FORMULA_TOLERANCE)
    assert found.open == (within and adds_up)


def test_a_trial_returns_when_the_latest_word_says_so() -> None:
    barred = Bar("trial-7", "s", BARRED, "a rash", NOW - DAY)
    back = Bar("trial-7", None, RETURNED, "it was the watch strap", NOW - 5)
    assert gate(**whole(bars=(barred, back))).open
    assert not gate(**whole(bars=(barred, back, Bar("trial-7", "t", BARRED, "again", NOW)))).open
    assert gate(**whole(bars=(replace(barred, trial_id="trial-8"),))).open


# --- reactions ----------------------------------------------------------------------------------------------------


def test_a_reaction_to_one_trial_shuts_another_that_shares_a_solvent() -> None:
    """Today somebody who reacted is asked for a patch of the sibling without a word."""
    found = gate(**whole(reactions=(reacted(2, "carrier", "cloud", trial_ids=("trial-6",)),)))
    assert [(one.kind, one.who) for one in found.blocks] == [("wait", ""), ("reaction", "Nose 2")]
    assert found.blocks[0].sentence == (
        "Trial 7 goes on nobody: somebody’s skin reacted on 30 Dec 2025, 08:00 to Carrier, which it holds too; your "
        "decision that this may be applied again, with a reason, would be accepted."
    )
    assert found.blocks[1].sentence == (
        "Nose 2: reacted on 30 Dec 2025, 08:00 to Carrier, which it holds too (trial 7); only an advice of somebody "
        "qualified that names these materials would be accepted (who, when), or plan without this person."
    )
    assert gate(**whole(reactions=(reacted(2, "cloud"),))).open


def test_an_advice_lifts_exactly_what_it_names_and_only_of_that_person_and_of_what_came_before() -> None:
    past = {"reactions": (reacted(2, "musk", "carrier"),), "go_aheads": (go_ahead("musk", "carrier"),)}
    after = patch(2, applied_at=NOW - int(0.9 * DAY), readings=())
    assert "reacted on 30 Dec 2025, 08:00 to Carrier, which" in told(**past, advice=(advice(2, "musk"),))
    assert kinds(gate(**whole(**past, advice=(advice(1, "musk", "carrier"),)))) == {"reaction"}
    assert kinds(gate(**whole(**past, advice=(advice(2, "musk", "carrier", days_ago=2),)))) == {"reaction"}
    lifted = (advice(2, "musk"), advice(2, "carrier"))
    assert kinds(gate(**whole(**past, advice=lifted, patches=(patch(1), patch(2))))) == {"patch"}  # from before
    assert kinds(gate(**whole(**past, advice=lifted, patches=(patch(1), after)))) == {"reading"}
    again = {**past, "reactions": (*past["reactions"], reacted(2, "musk", days_ago=0.4))}
    assert kinds(gate(**whole(**again, advice=lifted))) == {"wait", "reaction"}


def test_after_an_advice_a_patch_put_on_after_the_reaction_opens() -> None:
    past = {"reactions": (reacted(2, "musk", days_ago=9),), "go_aheads": (go_ahead("musk", days_ago=8),)}
    past["advice"] = (advice(2, "musk", days_ago=8),)  # type: ignore[assignment]
    assert "no patch of trial 7 since the reaction" in told(**past)
    assert gate(**whole(**past, patches=(patch(1), patch(2, applied_at=NOW - 7 * DAY)))).open


def test_a_decision_speaks_for_others_material_by_material() -> None:
    past = {"reactions": (reacted(9, "musk", "carrier"),)}
    assert "to Musk, which it holds" in told(**past, go_aheads=(go_ahead("carrier"),))
    assert gate(**whole(**past, go_aheads=(go_ahead("carrier"), go_ahead("musk")))).open
    assert not gate(**whole(**past, go_aheads=(go_ahead("carrier", "musk", days_ago=2),))).open


def test_a_formula_that_is_not_known_counts_as_shared() -> None:
    one = gate(**whole(reactions=(reacted(9),)))
    assert (
        "to Vetiver, Musk, Carrier, which it holds too, since the formula that was on is not known"
        in one.blocks[0].told
    )
    assert gate(**whole(reactions=(reacted(9),), go_aheads=(go_ahead("vetiver", "musk", "carrier"),))).open
    other = gate(**whole(lines=LINES[:2], reactions=(reacted(9, "cloud"),)))  # its lines make up no whole
    assert "a formula it may share lines with, as one of the two is not known" in " ".join(b.told for b in other.blocks)
    assert "wait" not in kinds(
        gate(**whole(lines=(), reactions=(reacted(9, "cloud"),), go_aheads=(go_ahead("cloud"),)))
    )


def test_a_stop_without_a_reaction_waits_for_words_written_after_it() -> None:
    stop = {"unwell": (Unwell("person-2", "s", NOW - DAY),)}
    assert "Nose 2: stopped on 30 Dec 2025, 08:00, unwell or for another reason; what it was" in told(**stop)
    assert gate(**whole(**stop, explained=(Explained("person-2", "too warm a room", NOW - 5),))).open
    early = Explained("person-2", "too warm a room", NOW - 2 * DAY)
    assert kinds(gate(**whole(**stop, explained=(early,)))) == {"stop"}
    assert gate(**whole(unwell=(Unwell("person-9", "s", NOW - DAY),))).open


def test_nobody_is_asked_to_put_a_patch_on_who_reacted_or_stopped() -> None:
    past = {"reactions": (reacted(2, "musk"),), "go_aheads": (go_ahead("musk"),), "patches": ()}
    assert [(b.kind, b.who) for b in gate(**whole(**past)).blocks] == [("patch", "Nose 1"), ("reaction", "Nose 2")]
    assert kinds(gate(**whole(unwell=(Unwell("person-1", "s", NOW),), patches=(patch(2),)))) == {"stop"}


# --- patches ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hours", "now", "kind"),
    [
        ((), 0, FIRST),
        ((), 56, FIRST),
        ((), 56.01, MISSED),
        ((48,), 60, SECOND),
        ((56,), 200, SECOND),
        ((48, 72), 72, READ),
        ((52, 72), 72, READ),  # 20 hours apart
        ((56, 76), 76, READ),
        ((56, 75.99), 90, SECOND),
        ((48, 300), 300, READ),  # a later second reading counts
        ((47.99, 72), 72, MISSED),
        ((56.01, 80), 80, MISSED),
        ((90,), 91, MISSED),  # once, under the old rule
    ],
)
def test_a_patch_is_read_first_at_48_to_56_hours_and_again_from_72_on_20_hours_later(
    hours: tuple[float, ...], now: float, kind: str
) -> None:
    one = patch(1, *hours) if hours else patch(1, readings=())
    assert one.standing(int(one.applied_at + now * HOUR)).kind == kind


@pytest.mark.parametrize(
    ("before", "hour", "refused"),
    [
        ((), 47.99, "first read clear 48 to 56 hours after it was put on, this one in 1 h;"),
        ((), 48, ""),
        ((), 56, ""),
        ((), 56.01, "was missed"),
        ((48,), 71.99, "from 72 hours .* at least 20 hours"),
        ((48,), 72, ""),
        ((56,), 75.99, "from 72 hours .* at least 20 hours"),
        ((56,), 76, ""),
        ((50,), 2000, ""),
        ((50, 75), 80, "clear twice already"),
    ],
)
def test_a_clear_reading_is_taken_in_its_hours_only(before: tuple[float, ...], hour: float, refused: str) -> None:
    one = patch(1, *before) if before else patch(1, readings=())
    at = int(one.applied_at + hour * HOUR)
    if not refused:
        assert one.check_reading(CLEAR, at) == Reading(CLEAR, at)
        return
    with pytest.raises((ArgumentError, StateError), match=refused):
        one.check_reading(CLEAR, at)


def test_a_reaction_is_taken_at_any_time_once_and_no_clear_reading_takes_it_back() -> None:
    for one in (patch(1, readings=()), patch(1, 50), patch(1), patch(1, 90), patch(1, cancelled_at=NOW)):
        for hours in (1, 60, 7 * 24, 40 * 24):
            assert one.check_reading(REACTION, one.applied_at + hours * HOUR).result == REACTION
    red = patch(1, readings=(Reading(REACTION, NOW - 9 * DAY),))
    assert red.standing(NOW).kind == REACTED
    for result in (CLEAR, REACTION):
        with pytest.raises(StateError, match="written down"):
            red.check_reading(result, red.first_from)
    assert patch(1, cancelled_at=NOW).standing(NOW).kind == CANCELLED
    with pytest.raises(StateError, match="cancelled"):
        patch(1, 50, cancelled_at=NOW).check_reading(CLEAR, NOW)


def test_the_first_possible_date_is_when_the_last_second_reading_can_be_made() -> None:
    fresh = patch(2, readings=(), applied_at=NOW - DAY)
    assert gate(**whole(patches=(patch(1), fresh))).first_possible == NOW + 2 * DAY  # 72 h after it was put on
    late = patch(2, readings=(), applied_at=NOW - 55 * HOUR)
    assert gate(**whole(patches=(patch(1), late))).first_possible == NOW + 20 * HOUR
    once = patch(2, 54, applied_at=NOW - 60 * HOUR)
    assert gate(**whole(patches=(patch(1), once))).first_possible == NOW + 14 * HOUR
    overdue = patch(2, 50, applied_at=NOW - 100 * HOUR)
    assert gate(**whole(patches=(patch(1), overdue))).first_possible == NOW
    assert gate(**whole(patches=(fresh,))).first_possible == NOW + 3 * DAY
    assert gate(**whole(reactions=(reacted(1, "musk"), reacted(2, "musk")), patches=())).first_possible == 0


def test_what_a_waiting_patch_waits_for_is_said_with_its_time() -> None:
    waiting = patch(2, readings=(), applied_at=NOW - DAY)
    assert told(patches=(patch(1), waiting), zone="Europe/Paris") == (
        "Nose 2: the patch of trial 7 waits for its first reading, between 1 Jan 2026, 09:00 and 1 Jan 2026, 17:00, and "
        "then for a second one."
    )
    once = patch(2, 50, applied_at=NOW - 60 * HOUR)
    assert told(patches=(patch(1), once)) == (
        "Nose 2: the patch of trial 7 was clear once and waits for its second reading, from 31 Dec 2025, 20:00 on."
    )


@pytest.mark.parametrize(
    ("lacking", "says"),
    [
        ({"lines": worn(LINES[:2])}, "the formula of trial 7 is not the one that was patched; a new one"),
        ({"strength_percent": Decimal(12)}, "trial 7 was patched at 12 % and is to be worn at 10 %; a patch at the"),
        ({"readings": ()}, "the patch of trial 7 was not read 48 to 56 hours after it was put on; a new one"),
        ({"cancelled_at": NOW}, "no patch test of trial 7; one away from the smelling sites"),
        ({"asked": (Asked(("health",), NOW),)}, "since the clear patch of trial 7, health, skin or medicine changed"),
    ],
)
def test_why_no_patch_speaks_is_said_with_what_would_be_accepted(lacking: dict[str, Any], says: str) -> None:
    said = told(patches=(patch(1), patch(2, **lacking)))
    assert said.startswith(f"Nose 2: {says}")
    assert said.endswith(
        "clear when read 48 to 56 hours after it was put on and again from 72 hours on, at least 20 hours "
        "later, would be accepted."
    )


def test_the_order_of_lines_makes_no_other_formula() -> None:
    assert gate(**whole(lines=tuple(reversed(LINES)))).open


def test_a_clear_patch_of_93_days_ago_opens_only_once_somebody_answered_that_nothing_has_changed() -> None:
    old = {"applied_at": NOW - 93 * DAY}
    assert told(patches=(patch(1), patch(2, **old))) == (
        "Nose 2: the clear patch of trial 7 is 93 days old: ask what has changed since it was put on; a dated answer that "
        "nothing has would be accepted, or else a new patch."
    )
    nothing, batch = Asked((), NOW - DAY), Asked(("batch",), NOW - 2 * DAY)
    assert gate(**whole(patches=(patch(1), patch(2, asked=(nothing,), **old)))).open
    # what has changed stays changed, whatever is answered later; and a young patch can be changed too
    assert not gate(**whole(patches=(patch(1), patch(2, asked=(batch, nothing), **old)))).open
    assert not gate(**whole(patches=(patch(1), patch(2, asked=(batch,))))).open
    assert gate(**whole(patches=(patch(1), patch(2, asked=(batch, nothing), **old), patch(2)))).open


# --- documents, strength, names -----------------------------------------------------------------------------------


def test_a_limit_document_older_than_three_years_shuts_until_replaced_or_confirmed() -> None:
    today = date(2025, 12, 31)
    rest = whole()["records"].limits[1:]
    just = limit("Vetiver", "0.04", dated_on=date(2022, 12, 31))
    assert gate(**whole(limits=(just, *rest))).open
    old = limit("Vetiver", "0.04", dated_on=date(2022, 12, 30))
    assert told(limits=(old, *rest)) == (
        "The limit of Vetiver in trial 7 is from “safety sheet, invented” of 30 Dec 2022, more than 3 years old: a newer "
        "document, or a confirmation that this one is still current (who looked), would be accepted."
    )
    assert gate(**whole(limits=(old, replace(old, dated_on=today, at=NOW + 1), *rest))).open
    confirmed = replace(old, confirmed_by="Ida Fern, chemist", confirmed_at=NOW - DAY)
    assert gate(**whole(limits=(confirmed, *rest))).open
    assert not gate(**whole(limits=(replace(confirmed, confirmed_at=NOW - 4 * 365 * DAY), *rest))).open


def test_a_document_of_a_leap_day_is_three_years_old_on_the_28th() -> None:
    leap = limit("Vetiver", dated_on=date(2024, 2, 29))
    days = {day: leap.outdated(1_803_859_200_000 + (day - 1) * DAY) for day in (-1, 0, 1)}  # 2027-02-28 is day 0
    assert days == {-1: False, 0: False, 1: True}


def test_nearly_undiluted_is_refused_by_the_gate_and_never_by_the_value() -> None:
    rest = {"limits": tuple(limit(name) for name in ("Vetiver", "Musk", "Carrier"))}
    for strength, is_open in ((MOST_ON_SKIN_PERCENT, True), (MOST_ON_SKIN_PERCENT + Decimal("0.01"), False)):
        worn_at = {"trial": trial(skin_strength_percent=strength)}
        same = tuple(patch(number, strength_percent=strength) for number in (1, 2))
        assert gate(**whole(**rest, **worn_at, patches=same)).open == is_open
    assert "nearly undiluted: at most 30 % would be accepted" in told(
        **rest, trial=trial(skin_strength_percent=Decimal(99))
    )
    assert trial(skin_strength_percent=Decimal("99.9")).skin_strength_percent == Decimal("99.9")


@pytest.mark.parametrize(
    "other",
    [
        "vetiver oil",
        "Vetiver  oil",
        "Vetiver\u00a0oil",
        " VETIVER OIL ",
        "Vetiver\u202foil",
        "Vetiveroil",
        "Vetiver\u200b oil",
    ],
)
def test_names_equal_but_for_case_and_blanks_are_one(other: str) -> None:
    assert name_key(other) == name_key("Vetiver oil")
    assert name_key("Vetiver oil 2") != name_key("Vetiver oil")


def test_names_are_folded_as_unicode_says() -> None:
    assert name_key("Maßoia") == name_key("MASSOIA")
    assert name_key("Rosée") == name_key("rose\u0301e")  # composed and decomposed
    with pytest.raises(ArgumentError, match="signs that can be seen"):
        material("\u200b")


def test_the_limit_that_counts_is_the_one_entered_last() -> None:
    first, later = limit("Musk", "1", at=NOW), limit("Musk", "2", at=NOW + 1)
    assert counting_limits([later, first]) == {"musk": later}


def test_phototoxic_materials_bring_the_sun_warning_and_never_open_or_shut() -> None:
    lines = (FormulaLine(material("Peel", phototoxic=True), Decimal(100)),)
    found = gate(**whole(lines=lines, limits=(limit("Peel"),), patches=[patch(n, lines=worn(lines)) for n in (1, 2)]))
    assert found.open
    assert found.warnings[0].startswith("Peel: marked phototoxic. Keep the sites out of the sun")


def test_what_strips_can_harm_too_is_told_before_strips() -> None:
    said = {"person-1": facts(1, asthma=True, migraine=True), "person-2": facts(2, broken_skin=True)}
    told = not_for_strips((person(1), person(2), person(3)), said)
    assert len(told) == 1
    assert told[0].startswith("Nose 1 said: asthma; migraine set off by scents. On strips too")


def test_what_several_people_lack_is_said_once_with_their_names() -> None:
    found = gate(**whole(patches=()))
    assert len(found.blocks) == 2
    (said,) = sentences(found.blocks)
    assert said.startswith(
        "Nose 1, Nose 2: no patch test of trial 7; one away from the smelling sites, open and at the strength to be worn, "
        "clear when read"
    )


def test_nobody_is_asked_to_put_a_patch_on_whom_skin_is_closed() -> None:
    closed = {"person-1": facts(1, consent=False), "person-2": facts(2, asthma=True)}
    assert kinds(gate(**whole(facts=closed, patches=()))) == {"consent", "excluded"}
