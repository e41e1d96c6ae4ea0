"""All that the gate asks for, stored and forgotten (evaluation/store/kept_skin.py), and stops (evaluation/store/kept_live.py)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.formulas import Formula, Line
from evaluation.sessions import Deviation
from evaluation.skin import (
    BARRED,
    CANCELLED,
    CLEAR,
    EXCLUSIONS,
    LEFT_ON_SKIN,
    PATCH_SITES,
    REACTION,
    RETURNED,
    SECOND,
    Advice,
    Asked,
    Bar,
    Explained,
    FormulaLine,
    GoAhead,
    Material,
    Patch,
    Reaction,
    Reading,
    SkinFacts,
    SkinLimit,
    Worn,
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
    own = (name, f"person-{number}", "trial-7", "482", PATCH_SITES[0], Decimal("12.50"), NOW)
    return replace(Patch(*own, (Worn("m1", Decimal(60), Decimal("12.5")),)), **changes)


def _of_hundred(*lines: FormulaLine) -> Formula:
    return Formula(
        tuple(Line(one.material, one.share_percent, one.stock_percent) for one in lines), out_of=Decimal(100)
    )


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
        tx.formulas.write("trial-7", _of_hundred(*lines[:1]))
        tx.formulas.write("trial-7", _of_hundred(*lines))
    with notebook.reading() as tx:
        assert tx.skin.materials() == (PEEL, VETIVER)
        assert tx.skin.lines("trial-7") == lines
        assert str(tx.formulas.formula("trial-7").lines[0].parts) == "60.50"
        assert tx.skin.lines("trial-8") == ()


def test_a_material_is_named_once_and_can_be_corrected(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.skin.add_material(VETIVER)
        tx.skin.add_material(PEEL)
    with pytest.raises(ArgumentError, match="material must be new"), notebook.writing() as tx:
        tx.skin.add_material(replace(PEEL, id="m3"))
    with pytest.raises(ArgumentError, match="material must be new"), notebook.writing() as tx:
        tx.skin.replace_material(replace(PEEL, name="Vetiver oil"))
    for name in ("vetiver OIL", "Vetiver\u00a0oil", " Vetiver  oil"):
        with pytest.raises(ArgumentError, match="there is 'Vetiver oil' already"), notebook.writing() as tx:
            tx.skin.add_material(replace(PEEL, id="m3", name=name))
    with notebook.writing() as tx:
        tx.skin.replace_material(replace(VETIVER, name="VETIVER OIL"))  # itself
        tx.skin.replace_material(VETIVER)
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


def test_a_confirmation_of_a_limit_says_who_and_when_and_the_latest_counts(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.skin.add_material(VETIVER)
        tx.skin.add_limit(limit("0.40", dated_on=date(2019, 1, 1)))
        tx.skin.add_limit(limit("0.30", dated_on=date(2020, 1, 1)))
        for who, at in (("Ida Fern", NOW + 1), ("Otto Rue", NOW + 2)):
            tx.skin.confirm_limit(tx.skin.limits()[1].number, who, at)
    with notebook.reading() as tx:
        first, second = tx.skin.limits()
    assert (first.confirmed_by, first.confirmed_at, first.outdated(NOW)) == ("", None, True)
    assert (second.confirmed_by, second.confirmed_at, second.outdated(NOW)) == ("Otto Rue", NOW + 2, False)
    with pytest.raises(NotFound, match="limit"), notebook.writing() as tx:
        tx.skin.confirm_limit(99, "Ida Fern", NOW)


def test_a_patch_is_read_twice_and_each_line_is_kept(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.patches.add(patch("p1"))
    with pytest.raises(ArgumentError, match="48 to 56"), notebook.writing() as tx:
        tx.patches.read("p1", CLEAR, NOW + 47 * HOUR)
    with notebook.writing() as tx:
        assert tx.patches.read("p1", CLEAR, NOW + 48 * HOUR).standing(NOW).kind == SECOND
    with pytest.raises(ArgumentError, match="from 72 hours"), notebook.writing() as tx:
        tx.patches.read("p1", CLEAR, NOW + 50 * HOUR)
    with notebook.writing() as tx:
        tx.patches.read("p1", CLEAR, NOW + 72 * HOUR)
        tx.patches.ask("p1", ("batch",), NOW + 80 * HOUR)
        tx.patches.read("p1", REACTION, NOW + 90 * HOUR, "red on day four")
    with notebook.reading() as tx:
        seen = [Reading(CLEAR, NOW + 48 * HOUR), Reading(CLEAR, NOW + 72 * HOUR)]
        seen.append(Reading(REACTION, NOW + 90 * HOUR, "red on day four"))
        read = patch("p1", readings=tuple(seen), asked=(Asked(("batch",), NOW + 80 * HOUR),))
        assert tx.patches.all("trial-7") == (read,)
        assert str(tx.patches.patch("p1").strength_percent) == "12.50"
        assert tx.patches.all("trial-8") == ()
    assert count(notebook, "skin_log") == 5


def test_a_patch_is_cancelled_once(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.patches.add(patch("p1", lines=None))
        assert tx.patches.cancel("p1", "fell off in bed", NOW + 5).standing(NOW + 5).kind == CANCELLED
    with pytest.raises(StateError, match="cancelled already"), notebook.writing() as tx:
        tx.patches.cancel("p1", "again and again", NOW + 6)
    with notebook.reading() as tx:
        assert tx.patches.all() == (patch("p1", lines=None, cancelled_at=NOW + 5),)


def test_what_is_said_about_reactions_comes_back_as_it_was(notebook: Notebook) -> None:
    fill(notebook)
    told = Reaction("person-1", frozenset({"m1", "m2"}), NOW, ("trial-7",), "s", "p", "a red ring")
    unknown = Reaction("person-2", None, NOW + 1, ("trial-8",))
    advice = Advice("person-1", frozenset({"m1"}), "Dr Ida Fern", date(2025, 12, 31), NOW + 2, "seen in person")
    go_ahead, said = GoAhead(frozenset({"m2"}), "it was the soap", NOW + 3), Explained("person-3", "a warm room", NOW)
    with notebook.writing() as tx:
        for one in (told, unknown):
            tx.reactions.add(one)
        tx.reactions.advise(advice)
        tx.reactions.decide(go_ahead)
        tx.reactions.explain(said)
    with notebook.reading() as tx:
        assert tx.reactions.all() == (told, unknown)
        assert (tx.reactions.advice(), tx.reactions.go_aheads()) == ((advice,), (go_ahead,))
        assert tx.reactions.explained() == (said,)


def test_forgetting_deletes_what_was_said_and_keeps_that_somebody_reacted(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        for number in (1, 2):
            tx.skin.add_facts(facts(number))
            tx.patches.add(patch(f"p{number}", number))
            tx.reactions.add(Reaction(f"person-{number}", frozenset({"m1"}), NOW, ("trial-7",), note="a red ring"))
            tx.reactions.explain(Explained(f"person-{number}", "a warm room", NOW))
        tx.reactions.advise(Advice("person-1", frozenset({"m1"}), "Dr Ida Fern", date(2025, 12, 31), NOW))
        tx.skin.forget("person-1")
    with notebook.reading() as tx:
        assert tx.skin.facts(["person-1", "person-2"]).keys() == {"person-2"}
        assert [one.id for one in tx.patches.all()] == ["p2"]
        assert [(one.panelist_id, one.note) for one in tx.reactions.all()] == [
            ("person-1", ""),
            ("person-2", "a red ring"),
        ]
        assert (tx.reactions.advice(), len(tx.reactions.explained())) == ((), 1)  # what lifts goes: it shuts


def test_erasing_a_person_leaves_a_reaction_of_nobody(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.skin.add_facts(facts(1))
        tx.patches.add(patch("p1"))
        tx.reactions.add(Reaction("person-1", frozenset({"m1"}), NOW, ("trial-7",), patch_id="p1", note="a red ring"))
        tx.book.erase_panelist("person-1")
    with notebook.reading() as tx:
        (left,) = tx.reactions.all()
    assert (left.panelist_id, left.material_ids, left.note) == (None, {"m1"}, "")
    assert (count(notebook, "skin_facts"), count(notebook, "patches"), count(notebook, "skin_log")) == (0, 0, 1)


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


def test_a_stop_on_skin_is_a_reaction_to_all_that_was_on(notebook: Notebook) -> None:
    made = held(notebook)
    with notebook.writing() as tx:
        tx.skin.add_material(VETIVER)
        tx.skin.add_material(PEEL)
        tx.formulas.write("trial-7", _of_hundred(FormulaLine(VETIVER, Decimal(100))))
        tx.formulas.write("trial-8", _of_hundred(FormulaLine(PEEL, Decimal(50)), FormulaLine(PEEL, Decimal(50))))
        tx.reactions.after_stop(made.id, "person-1", ("trial-7", "trial-8"))
        tx.formulas.write("trial-8", _of_hundred(FormulaLine(PEEL, Decimal(50))))  # no whole: not known
        tx.reactions.after_stop(made.id, "person-2", ("trial-7", "trial-8"))
        tx.live.stop(made.ballot_ids[2], "unwell")
    with notebook.reading() as tx:
        assert [one.material_ids for one in tx.reactions.all()] == [{"m1", "m2"}, None]
        assert [(one.panelist_id, one.session_id) for one in tx.reactions.unwell()] == [("person-3", made.id)]


def test_bars_of_a_trial_come_back_oldest_first(notebook: Notebook) -> None:
    made = held(notebook)
    with notebook.writing() as tx:
        tx.skin.bar(Bar("trial-7", made.id, BARRED, "a stop", NOW))
        tx.skin.bar(Bar("trial-7", None, RETURNED, "it was the strap", NOW + 5))
    with notebook.reading() as tx:
        assert [bar.kind for bar in tx.skin.bars(["trial-7", "trial-8"])] == [BARRED, RETURNED]


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
