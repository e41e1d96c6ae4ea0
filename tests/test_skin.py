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

from evaluation.errors import ArgumentError
from evaluation.people import Panelist
from evaluation.skin import (
    BARRED,
    CLEAR,
    EXCLUSIONS,
    FORMULA_TOLERANCE,
    LEFT_ON_SKIN,
    NATURALS,
    PATCH_SITES,
    REACTION,
    RETURNED,
    Bar,
    FormulaLine,
    Gate,
    Material,
    Patch,
    Reaction,
    SkinFacts,
    SkinLimit,
    exact,
    formula_sum,
    gate,
    not_for_strips,
    sentences,
    share_on_skin,
    shares,
)
from evaluation.trials import Trial

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


def patch(number: int, hours: float = 48, **changes: Any) -> Patch:
    applied = NOW - 10 * DAY
    read = int(applied + hours * HOUR)
    fields = {"code": "482", "site": PATCH_SITES[0], "strength_percent": Decimal(10), "applied_at": applied}
    own = {"id": f"patch-{number}", "panelist_id": f"person-{number}", "trial_id": "trial-7"}
    return Patch(**(own | fields | {"read_at": read, "result": CLEAR} | changes))  # type: ignore[arg-type]


def whole(**changes: Any) -> dict[str, Any]:
    """Everything the gate wants, for two people and three materials."""
    ready = {
        "trial": trial(),
        "lines": (
            FormulaLine(material("Vetiver", natural=True), Decimal(4), Decimal(10)),
            FormulaLine(material("Musk"), Decimal(36)),
            FormulaLine(material("Carrier"), Decimal(60)),
        ),
        "limits": (limit("Vetiver", "0.04"), limit("Musk", "4"), limit("Carrier")),
        "people": (person(1), person(2)),
        "facts": {"person-1": facts(1), "person-2": facts(2)},
        "patches": (patch(1), patch(2)),
        "bars": (),
        "now": NOW,
    }
    return ready | changes


def kinds(found: Gate) -> set[str]:
    return {block.kind for block in found.blocks}


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


@pytest.mark.parametrize("value", ["0", "-1", "100.1", "NaN", "Infinity", "1.2345678901234"])
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
    "no strength on skin": ("strength", {"trial": trial(skin_strength_percent=None)}),
    "no formula": ("formula", {"lines": ()}),
    "a formula of 99.8 %": (
        "formula",
        {"lines": (*whole()["lines"][:2], FormulaLine(material("Carrier"), Decimal("59.8")))},
    ),
    "no limit of one line": ("limit", {"limits": whole()["limits"][1:]}),
    "a limit for another use": (
        "limit",
        {"limits": (limit("Vetiver", kind_of_use="rinsed off"), *whole()["limits"][1:])},
    ),
    "a line above its limit": ("level", {"limits": (limit("Vetiver", "0.0399"), *whole()["limits"][1:])}),
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
    "a patch not read": ("patch", {"patches": (patch(1), patch(2, read_at=None, result=""))}),
    "a patch that reacted": ("patch", {"patches": (patch(1), patch(2), patch(2, result=REACTION, hours=24))}),
    "a stop on skin after the patch": ("patch", {"reactions": (Reaction("person-2", "trial-7", NOW - DAY),)}),
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


@given(st.lists(PERCENT, min_size=1, max_size=8), PERCENT.filter(lambda p: p < 100), st.data())
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
            patches=(patch(1, strength_percent=strength), patch(2, strength_percent=strength)),
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


def test_after_a_stop_a_new_clear_patch_is_accepted() -> None:
    stopped = Reaction("person-2", "trial-7", NOW - 9 * DAY)
    again = patch(2, applied_at=NOW - 3 * DAY, read_at=NOW - DAY)
    assert gate(**whole(reactions=(stopped,), patches=(patch(1), patch(2), again))).open
    assert kinds(gate(**whole(reactions=(stopped,)))) == {"patch"}


def test_the_first_possible_time_is_when_the_last_patch_can_be_read() -> None:
    waiting = patch(2, applied_at=NOW - DAY, read_at=None, result="")
    assert gate(**whole(patches=(patch(1), waiting))).first_possible == NOW + DAY
    assert gate(**whole(patches=(waiting,))).first_possible == NOW + 2 * DAY
    told = gate(**whole(patches=(patch(1), waiting)), zone="Europe/Paris").blocks[0].sentence
    assert told == "Nose 2: the patch of trial 7 is not read yet; it is read from 1 Jan 2026, 09:00 on."


def test_a_patch_is_called_clear_between_48_and_96_hours_and_a_reaction_at_any_time() -> None:
    assert patch(1, hours=96).result == CLEAR
    for hours in (47.99, 96.01):
        with pytest.raises(ArgumentError, match="48 to 96 hours"):
            patch(1, hours=hours)
    assert patch(1, hours=1, result=REACTION).result == REACTION


def test_phototoxic_materials_bring_the_sun_warning_and_never_open_or_shut() -> None:
    lines = (FormulaLine(material("Peel", phototoxic=True), Decimal(100)),)
    found = gate(**whole(lines=lines, limits=(limit("Peel"),)))
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
    (told,) = sentences(found.blocks)
    assert told.startswith(
        "Nose 1, Nose 2: no patch test of trial 7; one away from the smelling sites, clear when read"
    )


def test_nobody_is_asked_to_put_a_patch_on_whom_skin_is_closed() -> None:
    closed = {"person-1": facts(1, consent=False), "person-2": facts(2, asthma=True)}
    assert kinds(gate(**whole(facts=closed, patches=()))) == {"consent", "excluded"}
