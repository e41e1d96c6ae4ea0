"""All that the gate asks for, stored and forgotten (evaluation/store/skin.py), and stops (evaluation/store/live.py)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.sessions import Deviation
from evaluation.skin import (
    BARRED,
    CLEAR,
    EXCLUSIONS,
    LEFT_ON_SKIN,
    PATCH_SITES,
    REACTION,
    RETURNED,
    Bar,
    FormulaLine,
    Material,
    Patch,
    Reaction,
    SkinFacts,
    SkinLimit,
)
from evaluation.store import Notebook, read_body
from tests.store.prepared import add_draft, count, fill, held, raw

HOUR = 3_600_000
NOW = 1_767_168_000_000
VETIVER = Material("m1", "Vetiver oil", "base", natural=True, note="invented", made_at=4)
PEEL = Material("m2", "Cold-pressed peel", "top", phototoxic=True, made_at=5)


def limit(percent: str, **changes: Any) -> SkinLimit:
    fields: dict[str, Any] = {
        "material_id": "m1",
        "document": "sheet 4",
        "dated_on": date(2025, 2, 1),
        "kind_of_use": LEFT_ON_SKIN,
    }
    return SkinLimit(percent=Decimal(percent), at=NOW, **(fields | changes))


def facts(number: int, **changes: Any) -> SkinFacts:
    plain: dict[str, Any] = dict.fromkeys(EXCLUSIONS, False) | {"consent": True, "at": NOW}
    return SkinFacts(**(plain | {"panelist_id": f"person-{number}"} | changes))


def patch(name: str, number: int = 1, **changes: Any) -> Patch:
    whole = Patch(name, f"person-{number}", "trial-7", "482", PATCH_SITES[0], Decimal("12.50"), NOW)
    return replace(whole, **changes)


def test_materials_and_lines_come_back_in_the_order_of_the_formula(notebook: Notebook) -> None:
    fill(notebook)
    lines = (
        FormulaLine(VETIVER, Decimal("60.50"), Decimal(10)),
        FormulaLine(PEEL, Decimal("9.5")),
        FormulaLine(VETIVER, Decimal(30)),
    )
    with notebook.writing() as tx:
        tx.skin.add_material(VETIVER)
        tx.skin.add_material(PEEL)
        tx.skin.write_lines("trial-7", lines[:1])
        tx.skin.write_lines("trial-7", lines)
    with notebook.reading() as tx:
        assert tx.skin.materials() == (PEEL, VETIVER)
        assert tx.skin.lines("trial-7") == lines
        assert str(tx.skin.lines("trial-7")[0].share_percent) == "60.50"
        assert tx.skin.lines("trial-8") == ()


def test_a_material_is_named_once_and_can_be_corrected(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.skin.add_material(VETIVER)
        tx.skin.add_material(PEEL)
    with pytest.raises(ArgumentError, match="material must be new"), notebook.writing() as tx:
        tx.skin.add_material(replace(PEEL, id="m3"))
    with pytest.raises(ArgumentError, match="material must be new"), notebook.writing() as tx:
        tx.skin.replace_material(replace(PEEL, name="Vetiver oil"))
    with notebook.writing() as tx:
        tx.skin.replace_material(replace(PEEL, phototoxic=False))
    with notebook.reading() as tx:
        assert tx.skin.material("m2") == replace(PEEL, phototoxic=False)


def test_limits_follow_one_another_and_none_is_lost(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.skin.add_material(VETIVER)
        tx.skin.add_limit(limit("0.40"))
        tx.skin.add_limit(limit("0", kind_of_use="rinsed off"))
    with notebook.reading() as tx:
        assert tx.skin.limits() == (limit("0.40"), limit("0", kind_of_use="rinsed off"))
    with pytest.raises(NotFound, match="material"), notebook.writing() as tx:
        tx.skin.add_limit(limit("1", material_id="nothing"))


def test_the_latest_facts_of_each_person_count(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.skin.add_facts(facts(1))
        tx.skin.add_facts(facts(2, asthma=True))
        tx.skin.add_facts(facts(1, consent=False, at=NOW + 5))
    with notebook.reading() as tx:
        said = tx.skin.facts(["person-1", "person-2", "person-3"])
    assert said == {"person-1": facts(1, consent=False, at=NOW + 5), "person-2": facts(2, asthma=True)}


def test_a_patch_is_read_once_and_a_late_reaction_is_still_taken(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.skin.add_patch(patch("p1"))
    with pytest.raises(ArgumentError, match="48 to 96"), notebook.writing() as tx:
        tx.skin.read_patch("p1", CLEAR, NOW + 47 * HOUR)
    with notebook.writing() as tx:
        tx.skin.read_patch("p1", CLEAR, NOW + 48 * HOUR)
    with pytest.raises(StateError, match="read already"), notebook.writing() as tx:
        tx.skin.read_patch("p1", CLEAR, NOW + 50 * HOUR)
    with notebook.writing() as tx:
        tx.skin.read_patch("p1", REACTION, NOW + 90 * HOUR, "red on day four")
    with notebook.reading() as tx:
        read = patch("p1", result=REACTION, read_at=NOW + 90 * HOUR, note="red on day four")
        assert tx.skin.patches("trial-7") == (read,)
        assert str(tx.skin.patch("p1").strength_percent) == "12.50"
        assert tx.skin.patches("trial-8") == ()


def test_erasing_a_person_deletes_facts_and_patches_and_nobody_elses(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        for number in (1, 2):
            tx.skin.add_facts(facts(number))
            tx.skin.add_patch(patch(f"p{number}", number))
        tx.book.erase_panelist("person-1")
    with notebook.reading() as tx:
        assert tx.skin.facts(["person-1", "person-2"]).keys() == {"person-2"}
        assert [one.id for one in tx.skin.patches()] == ["p2"]
    assert count(notebook, "skin_facts") == 1
    with notebook.writing() as tx:
        tx.skin.forget("person-2")
    assert (count(notebook, "skin_facts"), count(notebook, "patches")) == (0, 0)


# --- stops ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["sealed", "smelling", "closed", "opened"])
def test_a_stop_is_stored_once_in_any_state_and_the_log_holds(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with notebook.writing() as tx:
        assert tx.live.stop(made.ballot_ids[1], "skin")
        assert not tx.live.stop(made.ballot_ids[1], "skin")
        assert tx.live.stop(made.ballot_ids[1], "unwell")
    with notebook.reading() as tx:
        assert [(one.seat, one.kind) for one in tx.live.stops(made.id)] == [(2, "skin"), (2, "unwell")]
        assert tx.live.stopped(made.ballot_ids[1], "skin")
        assert not tx.live.stopped(made.ballot_ids[0], "skin")
    assert made.verifies()


def test_a_stop_of_nobody_or_of_another_kind_is_refused(notebook: Notebook) -> None:
    made = held(notebook)
    with pytest.raises(ArgumentError, match="kind"), notebook.writing() as tx:
        tx.live.stop(made.ballot_ids[0], "bored")
    with pytest.raises(StateError, match="Nobody"), notebook.writing() as tx:
        tx.live.stop(made.ballot_ids[3], "skin")
    with pytest.raises(ArgumentError, match="its own verb"), notebook.writing() as tx:
        tx.log.append(made.id, "stop", {})
    assert count(notebook, "stops") == 0


@pytest.mark.parametrize(
    "statement", ["DELETE FROM stops", "UPDATE stops SET kind = 'unwell'", "UPDATE stops SET at = at + 1"]
)
def test_an_altered_stop_is_found_out(notebook: Notebook, statement: str) -> None:
    made = held(notebook)
    with notebook.writing() as tx:
        tx.live.stop(made.ballot_ids[0], "skin")
    raw(notebook, statement)
    assert not made.verifies()


def test_a_stop_and_its_bar_tell_who_reacted_to_what(notebook: Notebook) -> None:
    made = held(notebook)
    with notebook.writing() as tx:
        tx.live.stop(made.ballot_ids[0], "skin")
        tx.live.stop(made.ballot_ids[2], "unwell")
        at = tx.live.stops(made.id)[0].at
        tx.skin.bar(Bar("trial-7", made.id, BARRED, "a stop", at))
        tx.skin.bar(Bar("trial-7", None, RETURNED, "it was the strap", at + 5))
    with notebook.reading() as tx:
        assert [bar.kind for bar in tx.skin.bars(["trial-7", "trial-8"])] == [BARRED, RETURNED]
        assert tx.skin.reactions(["trial-7", "trial-8"]) == (Reaction("person-1", "trial-7", at),)
        assert tx.skin.reactions(["trial-8"]) == ()


# --- an emergency -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["sealed", "smelling", "closed", "opened"])
def test_an_emergency_shows_one_seat_only_and_logs_it(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with notebook.writing() as tx:
        shown = tx.key.seat_in_emergency(made.id, 2)
    own = {one.id for one in made.servings(2)}
    assert dict(shown.orders) == {one: order for one, order in made.drawn.key.orders if one in own}
    assert (shown.seed, shown.letters) == ("", ())
    with notebook.reading() as tx:
        last = [(one.kind, read_body(one)) for one in tx.log.records(made.id)]
        noted = tx.sittings.deviations(made.id)
    assert ("seat shown", {"seat": 2, "panelist_id": "person-2"}) in last
    assert [(one.seat, one.kind) for one in noted] == ([] if state == "opened" else [(2, "unblinded")])
    assert made.verifies()


def test_a_second_look_is_logged_and_notes_no_second_deviation(notebook: Notebook) -> None:
    made = held(notebook)
    with notebook.writing() as tx:
        tx.sittings.note_deviation(made.id, Deviation("", 1, "unblinded", "peeped", 5))
        tx.key.seat_in_emergency(made.id, 1)
        tx.key.seat_in_emergency(made.id, 1)
    with notebook.reading() as tx:
        assert len(tx.sittings.deviations(made.id)) == 1
        assert [one.kind for one in tx.log.records(made.id)].count("seat shown") == 2


def test_nothing_is_shown_of_a_draft_or_of_a_seat_that_is_not_there(notebook: Notebook) -> None:
    made = held(notebook)
    with pytest.raises(NotFound, match="seat"), notebook.writing() as tx:
        tx.key.seat_in_emergency(made.id, 9)
    add_draft(notebook, "later")
    with pytest.raises(StateError, match="before the session is sealed"), notebook.writing() as tx:
        tx.key.seat_in_emergency("later", 1)
