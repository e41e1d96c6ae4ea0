"""Reactions of all kinds, who may lift what, and what waits for what (evaluation/actions/skin_reactions, skin_waiting)."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import ballot, bench, book, formulas, seal, skin, skin_gate, skin_reactions, skin_waiting
from evaluation.actions import plan as planning
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, MouilletteError, NotFound
from evaluation.formulas import read_lines
from evaluation.skin import CLEAR, EXCLUSIONS, LEFT_ON_SKIN, REACTION
from tests.scenes import SEED, Scene, ballots, scene
from tests.skin_scene import on_skin, ready

NO = dict.fromkeys(EXCLUSIONS, False)
TODAY = date(2025, 12, 31)  # of the stepped clock


@pytest.fixture
def made(notebook: Any) -> Scene:
    """Eight people and two trials, of Vetiver oil and Amber base both, with all that the gate wants."""
    own = scene(notebook)
    ready(notebook, own.trial_ids, own.panelist_ids)
    return own


def every(made: Scene) -> list[str]:
    return [one.id for one in skin.materials(made.notebook)]


def stop(made: Scene, seat: int = 1) -> None:
    plan = made.plan(**on_skin())
    session = bench.start(made.notebook, seal.seal(made.notebook, planning.add_draft(made.notebook, plan).id, SEED).id)
    ballot.stop(made.notebook, ballots(made.notebook, session.id)[seat - 1].id, "skin")


def waits(made: Scene) -> list[str]:
    return [one.told for one in skin_waiting.waits(made.notebook, made.trial_ids, "UTC")]


def shut(made: Scene) -> set[tuple[str, str]]:
    shown = [skin_gate.gate_of(made.notebook, one, made.panelist_ids, "UTC") for one in made.trial_ids]
    return {(block.kind, block.who) for one in shown for block in one.blocks}


def test_a_reaction_to_a_patch_speaks_of_all_its_materials(made: Scene, clock: SteppedClock) -> None:
    """Today whoever reacted is asked for a patch of the sibling without a word, and nobody else is held back."""
    who = made.panelist_ids[0]
    one = next(each for each in skin.patches(made.notebook) if each.panelist_id == who)
    clock.forward(minutes=60)
    skin.read_patch(made.notebook, one.id, REACTION, "red on day four")
    assert shut(made) == {("wait", ""), ("reaction", "Nose 1")}
    for other in made.panelist_ids[:2]:
        with pytest.raises(MouilletteError, match="Trial 8 goes on nobody"):
            skin.put_on_patches(made.notebook, other, made.trial_ids[1:])
    (told,) = skin_reactions.reactions(made.notebook)
    assert [each.name for each in told.for_all] == [each.name for each in told.for_one] == ["Amber base", "Vetiver oil"]
    assert (told.reaction.note, told.reaction.patch_id, told.unknown) == ("red on day four", one.id, False)


def test_what_somebody_tells_later_counts_like_any_reaction(made: Scene) -> None:
    with pytest.raises(ArgumentError, match=r"^trials must name at least one"):
        skin_reactions.report(made.notebook, made.panelist_ids[1], [])
    with pytest.raises(NotFound, match="trial"):
        skin_reactions.report(made.notebook, made.panelist_ids[1], ["nothing"])
    assert skin_reactions.reactions(made.notebook) == ()
    skin_reactions.report(made.notebook, made.panelist_ids[1], made.trial_ids[:1], "itched the day after")
    assert shut(made) == {("wait", ""), ("reaction", "Nose 2")}


def test_a_trial_without_a_formula_makes_a_reaction_of_anything(made: Scene) -> None:
    nine = made.trials(3)[2]
    skin_reactions.report(made.notebook, made.panelist_ids[0], [nine])
    (told,) = skin_reactions.reactions(made.notebook)
    assert (told.unknown, [each.name for each in told.for_all]) == (True, ["Amber base", "Vetiver oil"])
    assert shut(made) == {("wait", ""), ("reaction", "Nose 1")}
    skin_reactions.decide(made.notebook, every(made), "only its lines are known")
    skin.add_material(made.notebook, "Iris root", limit=(Decimal(20), "sheet 9", TODAY, LEFT_ON_SKIN))
    assert [each.name for each in skin_reactions.reactions(made.notebook)[0].for_all] == [
        "Iris root"
    ]  # may have been it


def test_a_decision_names_materials_that_wait_and_a_reason_in_words(made: Scene) -> None:
    stop(made)
    (amber, vetiver), musk = sorted(every(made)), skin.add_material(made.notebook, "Musk")
    for chosen, reason, refused in (
        ([], "it was the soap", "^materials must name at least one that waits"),
        ([musk.id], "it was the soap", "'Musk' does not"),
        ([amber], ".", "^reason must be given in words"),
        ([amber], "", "^reason must be given in words"),
    ):
        with pytest.raises(ArgumentError, match=refused):
            skin_reactions.decide(made.notebook, chosen, reason)
    skin_reactions.decide(made.notebook, [amber], "only a resin, in hundreds of patches")
    assert ("wait", "") in shut(made)
    skin_reactions.decide(made.notebook, [vetiver], "tested apart, clear twice")
    assert shut(made) == {("reaction", "Nose 1")}
    with pytest.raises(ArgumentError, match="must be ones that wait"):
        skin_reactions.decide(made.notebook, [amber], "only a resin, in hundreds of patches")


def test_an_advice_names_who_when_and_which_materials(made: Scene, clock: SteppedClock) -> None:
    stop(made)
    clock.forward(minutes=2 * 24 * 60)  # 2 January
    first, other = made.panelist_ids[:2]
    given: dict[str, Any] = {
        "panelist_id": first,
        "material_ids": every(made),
        "who": "Dr Ida Fern",
        "given_on": date(2026, 1, 1),
    }
    for change, refused in (
        ({"who": "."}, "^who advised must be given in words"),
        ({"who": ""}, "^who advised must be given in words"),
        ({"given_on": None}, "^day of the advice must be given, from 2025-12-31, when the skin reacted, to today"),
        ({"given_on": date(2025, 12, 30)}, "^day of the advice must be given"),
        ({"given_on": date(2026, 1, 3)}, "not 2026-01-03"),
        ({"material_ids": []}, "^materials must name at least one"),
        ({"panelist_id": other}, "must be ones that wait"),
    ):
        with pytest.raises(ArgumentError, match=refused):
            skin_reactions.advise(made.notebook, **given | change)
    assert ("reaction", "Nose 1") in shut(made)
    skin_reactions.advise(made.notebook, **given)
    assert shut(made) == {("wait", ""), ("patch", "Nose 1")}
    with pytest.raises(ArgumentError, match="must be ones that wait"):
        skin_reactions.advise(made.notebook, **given)  # nothing is left to lift


def test_the_day_of_an_advice_is_that_of_the_place(made: Scene) -> None:
    """08:00 UTC on 31 December is 21:00 that day in Auckland, and 22:00 the day before in Honolulu."""
    stop(made)
    told = (made.panelist_ids[0], every(made), "Dr Ida Fern")
    with pytest.raises(ArgumentError, match="from 2025-12-31"):
        skin_reactions.advise(made.notebook, *told, date(2025, 12, 30), zone="Pacific/Auckland")
    skin_reactions.advise(made.notebook, *told, date(2025, 12, 30), zone="Pacific/Honolulu")


def test_forgetting_what_was_said_does_not_take_a_reaction_away(made: Scene) -> None:
    stop(made)
    skin_reactions.decide(made.notebook, every(made), "the strap of a watch")
    skin.forget(made.notebook, made.panelist_ids[0])
    skin.record_facts(made.notebook, made.panelist_ids[0], consent=True, **NO)
    assert shut(made) == {("reaction", "Nose 1")}
    book.erase_panelist(made.notebook, made.panelist_ids[0])
    (told,) = skin_reactions.reactions(made.notebook)
    assert (told.alias, told.for_one) == ("", ())


# --- what waits -----------------------------------------------------------------------------------------------------


def test_nothing_waits_where_all_is_in_order(made: Scene) -> None:
    assert [one for one in waits(made) if not one.startswith("Until")] == []
    assert waits(made)[0] == (
        "Until 3 Jan 2026, 08:00 Nose 1, Nose 2, Nose 3, Nose 4, Nose 5, Nose 6, Nose 7 and Nose 8 tell you of anything that "
        "still shows at the patches."
    )


def test_readings_are_named_when_they_are_due(made: Scene, clock: SteppedClock) -> None:
    who = made.panelist_ids[0]
    skin.forget(made.notebook, who)
    skin.record_facts(made.notebook, who, consent=True, **NO)
    put_on = skin.put_on_patches(made.notebook, who, made.trial_ids)
    codes = " and ".join(sorted(one.code for one in put_on))
    first = f"the patches {codes} on Nose 1 for the first time, until 2 Jan 2026, 16:00 (tab Patch tests)."
    assert f"From 2 Jan 2026, 08:00 read {first}" in waits(made)
    possible = (
        "First possible date of trials 7 and 8 on skin for everybody asked: {}, if the missing patches are put on now"
    )
    assert any(one.startswith(possible.format("3 Jan 2026, 08:00")) for one in waits(made))
    clock.forward(minutes=50 * 60)
    assert waits(made)[0] == f"Read now {first}"
    for one in put_on:
        skin.read_patch(made.notebook, one.id, CLEAR)
    assert f"From 3 Jan 2026, 08:00 read the patches {codes} on Nose 1 for the second time (tab Patch tests)." in waits(
        made
    )


def test_decisions_stops_documents_and_questions_wait_with_where_they_are_done(
    made: Scene, clock: SteppedClock
) -> None:
    stop(made)
    strips = made.smelling()
    ballot.stop(made.notebook, ballots(made.notebook, strips.id)[1].id, "unwell")
    skin.add_limit(made.notebook, "material Amber base", Decimal(20), "sheet 7", date(1970, 1, 1), LEFT_ON_SKIN)
    clock.forward(minutes=40 * 24 * 60)
    told = "\n".join(waits(made))
    for sentence in (
        "Reaction of Nose 1 on 31 Dec 2025, 08:00: nothing with Amber base or Vetiver oil goes on anybody until you decide, with "
        "a reason (tab Reactions).",
        "Nose 2 stopped on 31 Dec 2025, 08:00 without a reaction: write down what it was (tab Reactions).",
        "The limit of Amber base is from “sheet 7” of 1 Jan 1970: enter a newer document, or confirm that this one is still "
        "current (tab Materials and limits).",
        "Nose 7 and Nose 8 were asked about skin more than 30 days ago: ask again (tab People).",
        "Say what has changed since the patches of Nose 3, Nose 4,",
        "Nose 8, clear but older than 30 days, were put on (tab Patch tests).",
    ):
        assert sentence in told


def test_a_formula_whose_materials_have_no_limit_sends_to_the_limits(notebook: Any) -> None:
    """Materials come with a formula of the trial book: that they are listed does not mean that their limits are known."""
    own = scene(notebook)
    formulas.write(notebook, own.trial_ids[0], read_lines("Fig; 97\nMoss; 3"), Decimal(100), new_materials=True)
    skin.set_strength(notebook, own.trial_ids[0], Decimal(4))
    step = "Next: enter each material with its limit (tab Materials and limits)."
    assert skin_waiting.next_step(notebook, own.trial_ids) == step
    fig, moss = (one.id for one in skin.materials(notebook))
    for one in (fig, moss):
        assert skin_waiting.next_step(notebook, own.trial_ids) == step
        skin.add_limit(notebook, one, Decimal(5), "invented sheet", date(2025, 1, 1), LEFT_ON_SKIN)
    assert skin_waiting.next_step(notebook, own.trial_ids).startswith("Next: ask each person")
