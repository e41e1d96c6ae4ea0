"""The gate where it counts, patch tests, a stop on skin and the emergency (evaluation/actions/skin.py, skin_gate.py)."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from evaluation.actions import ballot, bench, book, formulas, live, seal, skin, skin_gate, skin_reactions
from evaluation.actions import plan as planning
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError
from evaluation.formulas import read_lines
from evaluation.sessions import Session
from evaluation.skin import CLEAR, EXCLUSIONS, LEFT_ON_SKIN, PATCH_SITES, REACTION, READ
from evaluation.store import read_body
from tests.scenes import SEED, Scene, answer_all, ballots, key_of, scene
from tests.skin_scene import DOCUMENT, HOUR, on_both, on_skin, ready

NO = dict.fromkeys(EXCLUSIONS, False)


@pytest.fixture
def made(notebook: Any) -> Scene:
    """Eight people and two trials with all that the gate wants."""
    own = scene(notebook)
    ready(notebook, own.trial_ids, own.panelist_ids)
    return own


def draft(made: Scene, **changes: Any) -> Session:
    return planning.add_draft(made.notebook, made.plan(**(on_skin() | changes)))


def logged(made: Scene, session_id: str, kind: str) -> list[dict[str, Any]]:
    return [read_body(one) for one in bench.log(made.notebook, session_id) if one.kind == kind]


# --- the gate -----------------------------------------------------------------------------------------------------


def test_an_open_gate_lets_a_plan_be_sealed_and_what_it_saw_is_on_record(made: Scene) -> None:
    session = seal.seal(made.notebook, draft(made).id, SEED)
    bench.start(made.notebook, session.id)
    sealed, started = logged(made, session.id, "skin gate")
    assert (sealed["moment"], started["moment"]) == ("seal", "start")
    with made.notebook.reading() as tx:
        first = json.loads(tx.log.texts(session.id)[sealed["note"]["digest"]])["value"][0]
    # 40 % of the formula from a 10 % stock in a 10 % solution: 0.4 %; 60 % pure: 6 %.
    assert [(one["material"], one["percent"]) for one in first["shares"]] == [
        ("Vetiver oil", "0.4"),
        ("Amber base", "6"),
    ]
    assert (first["shares"][0]["document"], first["shares"][0]["dated_on"]) == (DOCUMENT, "2025-01-31")
    assert [one["panelist_id"] for one in sealed["people"]] == list(made.panelist_ids)
    assert all(len(one["patches"]) == 2 and one["asked_at"] for one in sealed["people"])
    assert not set(EXCLUSIONS) & set(str(sealed).split("'"))  # what people said is not in the log
    with made.notebook.reading() as tx:
        assert tx.log.verify(session.id)


def _shut(made: Scene, what: str) -> None:
    notebook, (seven, eight), someone = made.notebook, made.trial_ids, made.panelist_ids[2]
    if what == "strength":
        book.change_trial(notebook, eight, skin_strength_percent=None)
    elif what == "limit":
        skin.add_limit(notebook, "material Amber base", Decimal("5.9"), "sheet 5", date(2025, 6, 1), LEFT_ON_SKIN)
    elif what == "facts":
        skin.record_facts(notebook, someone, consent=True, **(NO | {"pregnancy": True}))
    elif what == "patch":
        skin.forget(notebook, someone)
        skin.record_facts(notebook, someone, consent=True, **NO)
    elif what == "bar":
        skin.take_off(notebook, seven, "an odd smell of the batch")


@pytest.mark.parametrize("what", ["strength", "limit", "facts", "patch", "bar"])
def test_a_shut_gate_refuses_the_seal_and_the_draft_stays(made: Scene, what: str) -> None:
    session = draft(made)
    _shut(made, what)
    with pytest.raises(StateError, match=r"^The skin gate is shut\. "):
        seal.seal(made.notebook, session.id, SEED)
    assert planning.session(made.notebook, session.id).state == "draft"
    with pytest.raises(StateError, match="gate is shut"):
        skin_gate.check_plan(made.notebook, session.plan)
    assert skin_gate.sentences(skin_gate.gates(made.notebook, session.plan))


@pytest.mark.parametrize("what", ["limit", "facts", "patch", "bar"])
def test_a_gate_that_shuts_after_sealing_stops_the_start(made: Scene, what: str) -> None:
    session = seal.seal(made.notebook, draft(made).id, SEED)
    _shut(made, what)
    with pytest.raises(StateError, match="gate is shut"):
        bench.start(made.notebook, session.id)
    assert planning.session(made.notebook, session.id).state == "sealed"
    assert len(logged(made, session.id, "skin gate")) == 1


def test_confirming_does_not_open_it(made: Scene) -> None:
    _shut(made, "bar")
    every = ("not noticed", "noticed", "skin", "bar")
    with pytest.raises(StateError, match="gate is shut"):
        seal.seal(made.notebook, draft(made, confirmed=every).id, SEED)


def test_a_guest_takes_a_spare_seat_only_through_the_gate(made: Scene) -> None:
    session = seal.seal(made.notebook, draft(made, people=7, spare=1).id, SEED)
    guest = made.panelist_ids[7]
    skin.forget(made.notebook, guest)
    with pytest.raises(StateError, match="Nose 8: not asked about skin"):
        bench.seat_person(made.notebook, session.id, 8, guest)
    assert ballots(made.notebook, session.id)[7].panelist_id is None
    ready(made.notebook, (), [guest])
    with pytest.raises(StateError, match="Nose 8: no patch test of trial 7"):
        bench.seat_person(made.notebook, session.id, 8, guest)


def test_strips_alone_ask_the_gate_nothing(notebook: Any) -> None:
    own = scene(notebook)
    session = own.smelling()
    assert skin_gate.gates(notebook, own.plan()) == ()
    assert logged(own, session.id, "skin gate") == []


def test_asthma_is_told_before_strips_and_blocks_nothing(made: Scene) -> None:
    skin.record_facts(made.notebook, made.panelist_ids[0], consent=True, **(NO | {"asthma": True}))
    told = skin_gate.strip_cautions(made.notebook, made.plan())
    assert [one[:18] for one in told] == ["Nose 1 said: asthm"]
    assert made.sealed().state == "sealed"


# --- formula, patches ---------------------------------------------------------------------------------------------


def test_a_formula_stays_once_the_trial_has_been_on_skin(notebook: Any) -> None:
    own = scene(notebook)
    musk, whole = skin.add_material(notebook, "Musk, invented"), Decimal(100)
    typed = read_lines("Musk, invented; 100")
    assert formulas.write(notebook, own.trial_ids[0], typed, whole).lines[0].material == musk
    ready(notebook, own.trial_ids, own.panelist_ids)
    with pytest.raises(StateError, match="has been on skin"):
        formulas.write(notebook, own.trial_ids[0], typed, whole)
    with pytest.raises(StateError, match="has been on skin"):
        formulas.remove(notebook, own.trial_ids[0])


def test_the_strength_worn_in_a_sealed_session_stays(made: Scene) -> None:
    session = draft(made)
    skin.set_strength(made.notebook, made.trial_ids[0], Decimal("10.0"))
    seal.seal(made.notebook, session.id, SEED)
    with pytest.raises(StateError, match="its strength on skin stays"):
        skin.set_strength(made.notebook, made.trial_ids[0], Decimal(8))


def test_the_strength_worn_stays_when_the_session_is_given_up_and_the_emergency_still_tells_it(made: Scene) -> None:
    session = _smelling(made)
    ballot.stop(made.notebook, ballots(made.notebook, session.id)[0].id, "skin")
    bench.void(made.notebook, session.id, "somebody reacted")
    with pytest.raises(StateError, match="strength on skin stays"):
        skin.set_strength(made.notebook, made.trial_ids[0], Decimal(1))
    shown = skin.emergency(made.notebook, session.id, 1)
    assert {one.strength_percent for one in shown} == {Decimal(10)}


def _without_patches(notebook: Any, people: int = 2) -> Scene:
    own = scene(notebook, people)
    ready(notebook, own.trial_ids, own.panelist_ids)
    for who in own.panelist_ids:
        skin.forget(notebook, who)
        skin.record_facts(notebook, who, consent=True, **NO)
    return own


def _read(notebook: Any, put_on: Any, result: str = CLEAR) -> None:
    for one in put_on:
        skin.read_patch(notebook, one.id, result)


def test_patches_are_coded_both_trials_and_read_twice(notebook: Any, clock: SteppedClock) -> None:
    own = _without_patches(notebook)
    who, plan = own.panelist_ids[0], own.plan(people=1, **on_skin())
    put_on = skin.put_on_patches(notebook, who, own.trial_ids)
    assert {one.trial_id for one in put_on} == set(own.trial_ids)
    assert len({one.code for one in put_on}) == 2
    assert len({one.site for one in put_on} & set(PATCH_SITES)) == 2
    assert not any("forearm" in one.site for one in put_on)
    assert {one.strength_percent for one in put_on} == {Decimal(10)}  # of the solution to be worn, never above
    assert all(one.is_of(skin.lines(notebook, one.trial_id)) for one in put_on)
    with pytest.raises(ArgumentError, match="48 to 56 hours"):
        skin.read_patch(notebook, put_on[0].id, CLEAR)
    assert skin_gate.first_possible(skin_gate.gates(notebook, plan)) == put_on[0].applied_at + 72 * HOUR
    clock.forward(minutes=48 * 60)
    _read(notebook, put_on)
    assert not any(one.open for one in skin_gate.gates(notebook, plan))  # once is not enough
    with pytest.raises(ArgumentError, match="from 72 hours"):
        skin.read_patch(notebook, put_on[0].id, CLEAR)
    clock.forward(minutes=24 * 60)
    _read(notebook, put_on)
    assert all(one.open for one in skin_gate.gates(notebook, plan))
    assert skin.waiting(skin.patches(notebook), clock.now()) == ()


def test_a_second_draw_while_a_patch_waits_is_refused_until_it_is_cancelled(notebook: Any, clock: SteppedClock) -> None:
    own = _without_patches(notebook)
    who, (seven, _) = own.panelist_ids[0], own.trial_ids
    (first,) = skin.put_on_patches(notebook, who, [seven])
    with pytest.raises(StateError, match=rf"patch of trial 7 that waits to be read \(code {first.code}\): read it, or"):
        skin.put_on_patches(notebook, who, own.trial_ids)
    assert len(skin.patches(notebook)) == 1
    for reason in (".", " ", "no", "?!"):
        with pytest.raises(ArgumentError, match=r"^reason must be given in words: at least two words"):
            skin.cancel_patch(notebook, first.id, reason)
    skin.cancel_patch(notebook, first.id, "drawn by mistake")
    with pytest.raises(StateError, match="Only a patch that waits"):
        skin.cancel_patch(notebook, first.id, "drawn by mistake")
    again = skin.put_on_patches(notebook, who, own.trial_ids)
    assert first.site not in {one.site for one in again}  # that place comes last
    assert skin.read_patch(notebook, first.id, REACTION, "red all the same").reacted_at


def test_no_patch_is_put_on_where_a_clear_one_speaks(made: Scene, clock: SteppedClock) -> None:
    who, (seven, _) = made.panelist_ids[0], made.trial_ids
    with pytest.raises(StateError, match="clear patch of trial 7 that still speaks: each patch is an exposure"):
        skin.put_on_patches(made.notebook, who, [seven])
    clock.forward(minutes=31 * 24 * 60)
    skin.record_facts(made.notebook, who, consent=True, **NO)
    with pytest.raises(StateError, match="ask what has changed since"):
        skin.put_on_patches(made.notebook, who, [seven])
    mine = [one.id for one in skin.patches(made.notebook) if (one.panelist_id, one.trial_id) == (who, seven)]
    skin.say_what_changed(made.notebook, mine, ["batch"])
    assert len(skin.put_on_patches(made.notebook, who, [seven])) == 1


def test_after_30_days_an_answer_dated_and_logged_lets_a_clear_patch_speak_on(made: Scene, clock: SteppedClock) -> None:
    clock.forward(minutes=89 * 24 * 60)
    for who in made.panelist_ids:
        skin.record_facts(made.notebook, who, consent=True, **NO)
    plan = made.plan(**on_skin())
    with pytest.raises(StateError, match="patch of trial 7 is 93 days old: ask what has changed"):
        skin_gate.check_plan(made.notebook, plan)
    old = [one.id for one in skin.patches(made.notebook)]
    with pytest.raises(ArgumentError, match="what changed must be one of 'health', 'batch'"):
        skin.say_what_changed(made.notebook, old, ["weather"])
    skin.say_what_changed(made.notebook, old, [])
    skin_gate.check_plan(made.notebook, plan)
    logged_now = [one for one in skin_reactions.log(made.notebook) if one.kind == "asked what changed"]
    assert (len(logged_now), logged_now[0].said["changed"], logged_now[0].who) == (16, [], "Nose 8")
    assert clock.now() - logged_now[-1].at < 1000
    clock.forward(minutes=31 * 24 * 60)
    assert {block.kind for one in skin_gate.gates(made.notebook, plan) for block in one.blocks} == {"facts", "changes"}
    young = _waiting_patch(made, clock)
    with pytest.raises(StateError, match="clear twice"):
        skin.say_what_changed(made.notebook, [young], [])


def _waiting_patch(made: Scene, clock: SteppedClock) -> str:
    who = made.panelist_ids[0]
    skin.record_facts(made.notebook, who, consent=True, **NO)
    mine = [
        one for one in skin.patches(made.notebook) if one.panelist_id == who and one.standing(clock.now()).kind == READ
    ]
    skin.say_what_changed(made.notebook, [one.id for one in mine], ["health"])
    return skin.put_on_patches(made.notebook, who, made.trial_ids[:1])[0].id


def test_another_strength_or_formula_needs_another_patch(made: Scene) -> None:
    plan = made.plan(**on_skin())
    skin.set_strength(made.notebook, made.trial_ids[0], Decimal(9))
    with pytest.raises(StateError, match="trial 7 was patched at 10 % and is to be worn at 9 %"):
        skin_gate.check_plan(made.notebook, plan)
    skin.set_strength(made.notebook, made.trial_ids[0], Decimal("10.0"))
    skin_gate.check_plan(made.notebook, plan)


def test_what_the_gate_saw_is_logged_with_each_patch(notebook: Any) -> None:
    own = _without_patches(notebook)
    skin.put_on_patches(notebook, own.panelist_ids[0], own.trial_ids)
    (first, *_) = [one for one in skin_reactions.log(notebook) if one.kind == "patch put on"]
    told = {
        one["material"]: (one["percent"], one["limit_percent"], one["document"]) for one in first.said["seen"]["shares"]
    }
    assert told == {"Vetiver oil": ("0.4", "20", DOCUMENT), "Amber base": ("6", "20", DOCUMENT)}


def test_a_patch_is_refused_to_whom_skin_is_closed_or_by_a_limit(notebook: Any) -> None:
    own = _without_patches(notebook, 3)
    one, two, three = own.panelist_ids
    skin.record_facts(notebook, one, consent=False, **NO)
    with pytest.raises(StateError, match="no consent to skin"):
        skin.put_on_patches(notebook, one, own.trial_ids)
    skin.put_on_patches(notebook, two, own.trial_ids)
    skin.add_limit(notebook, "material Amber base", Decimal(0), "sheet 6", date(2025, 6, 1), LEFT_ON_SKIN)
    with pytest.raises(StateError, match=r"above its limit of 0 % by “sheet 6” of 1 Jun 2025"):
        skin.put_on_patches(notebook, three, own.trial_ids)
    skin.add_limit(notebook, "material Amber base", Decimal(20), "sheet 7", date(1970, 1, 1), LEFT_ON_SKIN)
    with pytest.raises(StateError, match="more than 3 years old"):
        skin.put_on_patches(notebook, three, own.trial_ids)
    number = skin.limits(notebook)[-1].number
    with pytest.raises(ArgumentError, match=r"^who looked must be given in words"):
        skin.confirm_limit(notebook, number, ".")
    skin.confirm_limit(notebook, number, "Ida Fern, chemist")
    assert len(skin.put_on_patches(notebook, three, own.trial_ids)) == 2


def test_no_more_patches_than_sites(notebook: Any, clock: SteppedClock) -> None:
    own = _without_patches(notebook)
    who = own.panelist_ids[0]
    for _ in range(2):
        skin.put_on_patches(notebook, who, own.trial_ids)
        clock.forward(minutes=57 * 60)  # the hours of the first reading pass
    with pytest.raises(StateError, match="until their sites are free"):
        skin.put_on_patches(notebook, who, own.trial_ids)
    clock.forward(minutes=6 * 24 * 60)  # a week after the first two
    assert len(skin.put_on_patches(notebook, who, own.trial_ids)) == 2


# --- stops --------------------------------------------------------------------------------------------------------


def _smelling(made: Scene, **changes: Any) -> Session:
    return bench.start(made.notebook, seal.seal(made.notebook, draft(made, **changes).id, SEED).id)


def test_a_stop_on_skin_ends_that_persons_skin_part_and_alerts(made: Scene) -> None:
    session = _smelling(made, **on_both(), method="2-afc", descriptor="smokier", expected="second")
    own = ballots(made.notebook, session.id)[2]
    before = ballot.view(made.notebook, own.id)
    ballot.stop(made.notebook, own.id, "skin")
    ballot.stop(made.notebook, own.id, "skin")  # a double tap
    after = ballot.view(made.notebook, own.id)
    assert (before.on_skin, before.off_skin, after.off_skin) == (True, False, True)
    assert (before.sets, after.sets) == (2, 1)
    assert after.question is not None
    assert after.medium == "strip"
    assert [(one.alias, one.kind) for one in skin.stops(made.notebook, session.id)] == [("Nose 3", "skin")]
    (told,) = skin_reactions.reactions(made.notebook)  # a double tap is one reaction
    assert (told.alias, [one.name for one in told.for_all]) == ("Nose 3", ["Amber base", "Vetiver oil"])
    assert {one.total for one in bench.progress(made.notebook, session.id) if one.seat == 3} == {3}
    assert answer_all(made.notebook, own.id) == 3  # choice, sureness, overheard: the strip part alone
    assert all(one.finished for one in bench.progress(made.notebook, session.id) if one.seat == 3)
    with made.notebook.reading() as tx:
        assert tx.log.verify(session.id)


def test_after_a_stop_on_skin_alone_nothing_more_is_asked(made: Scene) -> None:
    session = _smelling(made)
    own = ballots(made.notebook, session.id)[2]
    ballot.stop(made.notebook, own.id, "skin")
    after = ballot.view(made.notebook, own.id)
    assert (after.question, after.sets) == (None, 0)
    mine = next(one for one in bench.progress(made.notebook, session.id) if one.seat == 3)
    assert (mine.finished, mine.answered, mine.total) == (True, 0, 0)


def test_a_stop_speaks_of_materials_for_everybody_until_decided_and_for_that_person_until_advised(
    made: Scene, clock: SteppedClock
) -> None:
    session = _smelling(made)
    ballot.stop(made.notebook, ballots(made.notebook, session.id)[0].id, "skin")
    plan, first = made.plan(**on_skin()), made.panelist_ids[0]
    with pytest.raises(StateError, match="Trial 7 goes on nobody"):
        skin_gate.check_plan(made.notebook, plan)
    every = [one.id for one in skin.materials(made.notebook)]
    skin_reactions.decide(made.notebook, every, "the strap of a watch, seen by a doctor")
    blocks = {(block.kind, block.panelist_id) for one in skin_gate.gates(made.notebook, plan) for block in one.blocks}
    assert blocks == {("reaction", first)}
    clock.forward(minutes=60)
    skin_reactions.advise(made.notebook, first, every, "Dr Ida Fern", date(2025, 12, 31))
    blocks = {(block.kind, block.panelist_id) for one in skin_gate.gates(made.notebook, plan) for block in one.blocks}
    assert blocks == {("patch", first)}  # the one before the reaction says nothing any more


def test_a_stop_two_days_ago_shuts_the_sibling_with_an_older_clear_patch(notebook: Any, clock: SteppedClock) -> None:
    """Today it opens: the stop is about trials 7 and 8, the plan about 9 and 10, which share every line with them."""
    own = scene(notebook)
    ready(notebook, own.trials(4), own.panelist_ids)
    worn = bench.start(notebook, seal.seal(notebook, planning.add_draft(notebook, own.plan(**on_skin())).id, SEED).id)
    sibling = dict(zip(("first_trial_id", "second_trial_id"), own.trials(4)[2:], strict=True))
    plan = own.plan(**on_skin() | sibling)
    skin_gate.check_plan(notebook, plan)
    ballot.stop(notebook, ballots(notebook, worn.id)[0].id, "skin")
    clock.forward(minutes=2 * 24 * 60)
    with pytest.raises(StateError, match="Trial 9 goes on nobody: somebody’s skin reacted on 31 Dec 2025"):
        skin_gate.check_plan(notebook, plan)
    skin_reactions.decide(notebook, [one.id for one in skin.materials(notebook)], "it was the soap")
    with pytest.raises(StateError, match="Nose 1: reacted on 31 Dec 2025"):
        skin_gate.check_plan(notebook, plan)
    with pytest.raises(StateError, match="Nose 1: reacted on 31 Dec 2025"):
        skin.put_on_patches(notebook, own.panelist_ids[0], [plan.first_trial_id])


def test_a_trial_taken_off_returns_with_a_reason_in_words(made: Scene) -> None:
    seven = made.trial_ids[0]
    with pytest.raises(ArgumentError, match=r"^reason must be given in words"):
        skin.take_off(made.notebook, seven, ".")
    assert skin.bars(made.notebook, [seven]) == {}
    skin.take_off(made.notebook, seven, "an odd smell of the batch")
    for reason in (" ", ".", "ok", "- -"):
        with pytest.raises(ArgumentError, match=r"^reason must be given in words"):
            skin.let_back(made.notebook, seven, reason)
    skin.let_back(made.notebook, seven, "filtered, and a new sheet")
    with pytest.raises(StateError, match="not barred"):
        skin.let_back(made.notebook, seven, "again and again")


def test_a_stop_is_taken_after_the_last_answer_and_after_closing(made: Scene) -> None:
    session = _smelling(made)
    one, two, *_ = ballots(made.notebook, session.id)
    answer_all(made.notebook, one.id)
    ballot.stop(made.notebook, one.id, "skin")
    bench.close(made.notebook, session.id)
    ballot.stop(made.notebook, two.id, "skin")
    assert [stop.seat for stop in skin.stops(made.notebook, session.id)] == [2, 1]


def test_once_somebody_reacted_nothing_more_is_applied_while_the_session_runs(made: Scene) -> None:
    session = _smelling(made, **on_both(), method="2-afc", descriptor="smokier", expected="second")
    first, second, *_ = ballots(made.notebook, session.id)
    served = bench.servings(made.notebook, session.id)
    place = {(one.seat, one.medium): one.id for one in served if not one.spare}
    live.dipped(made.notebook, session.id, place[first.seat, "skin"])
    ballot.stop(made.notebook, first.id, "skin")
    with pytest.raises(StateError, match="Trial 7 goes on nobody"):
        live.dipped(made.notebook, session.id, place[second.seat, "skin"])
    live.dipped(made.notebook, session.id, place[second.seat, "strip"])
    every = [one.id for one in skin.materials(made.notebook)]
    skin_reactions.decide(made.notebook, every, "the strap of a watch, seen by a doctor")
    live.dipped(made.notebook, session.id, place[second.seat, "skin"])


@pytest.mark.parametrize("change", [{"consent": False}, {"broken_skin": True}])
def test_who_takes_consent_back_while_smelling_gets_nothing_more_on_the_skin(
    made: Scene, change: dict[str, bool]
) -> None:
    session = _smelling(made)
    own = ballots(made.notebook, session.id)[1]
    served = next(one for one in bench.servings(made.notebook, session.id) if one.seat == own.seat and not one.spare)
    skin.record_facts(made.notebook, str(own.panelist_id), **(NO | {"consent": True} | change))
    with pytest.raises(StateError, match="skin gate is shut"):
        live.dipped(made.notebook, session.id, served.id)
    with made.notebook.reading() as tx:
        assert not tx.live.dips(session.id)


def test_feeling_unwell_is_stored_and_shuts_that_persons_skin_until_a_reason_is_written(made: Scene) -> None:
    session = made.smelling()
    own = ballots(made.notebook, session.id)[0]
    with pytest.raises(StateError, match="Nothing of this session is on skin"):
        ballot.stop(made.notebook, own.id, "skin")
    ballot.stop(made.notebook, own.id, "unwell")
    assert ballot.view(made.notebook, own.id).unwell
    assert skin_reactions.reactions(made.notebook) == ()
    plan, first = made.plan(**on_skin()), made.panelist_ids[0]
    with pytest.raises(StateError, match="Nose 1: stopped on 31 Dec 2025"):
        skin_gate.check_plan(made.notebook, plan)
    assert [one.panelist_id for one in skin_reactions.stopped(made.notebook, made.panelist_ids)] == [first]
    with pytest.raises(ArgumentError, match=r"^reason must be given in words"):
        skin_reactions.explain(made.notebook, first, ".")
    skin_reactions.explain(made.notebook, first, "the room was too warm")
    skin_gate.check_plan(made.notebook, plan)
    with pytest.raises(StateError, match="no stop that waits"):
        skin_reactions.explain(made.notebook, first, "the room was too warm")


# --- emergency ----------------------------------------------------------------------------------------------------


def test_an_emergency_shows_sites_trials_and_materials_of_one_person(made: Scene) -> None:
    session = _smelling(made)
    key = dict(key_of(made.notebook, session.id).orders)
    shown = skin.emergency(made.notebook, session.id, 2)
    served = [one for one in bench.servings(made.notebook, session.id) if one.seat == 2 and not one.spare]
    labels = {"A": "7", "B": "8"}
    told = {
        (c, s, labels[letter]) for one in served for c, s, letter in zip(one.codes, one.sites, key[one.id], strict=True)
    }
    assert {(one.code, one.site, one.trial) for one in shown} == told
    assert {one.materials for one in shown} == {(("Vetiver oil", Decimal("0.4")), ("Amber base", Decimal("6")))}
    noted = [(one["seat"], one["kind"]) for one in logged(made, session.id, "deviation")]
    assert noted == [(2, "unblinded")]
    assert logged(made, session.id, "seat shown") == [{"seat": 2, "panelist_id": made.panelist_ids[1]}]


def test_erasing_a_person_takes_facts_and_patches_and_the_log_still_holds(made: Scene) -> None:
    session = _smelling(made)
    who = made.panelist_ids[4]
    book.erase_panelist(made.notebook, who)
    assert who not in skin.facts(made.notebook, [who])
    assert not any(one.panelist_id == who for one in skin.patches(made.notebook))
    with made.notebook.reading() as tx:
        assert tx.log.verify(session.id)


def test_facts_are_of_people_on_the_panel(made: Scene) -> None:
    away = book.change_panelist(made.notebook, made.panelist_ids[0], active=False)
    with pytest.raises(ArgumentError, match="active"):
        skin.record_facts(made.notebook, away.id, consent=True, **NO)
    material = skin.materials(made.notebook)[0]
    changed = skin.change_material(made.notebook, material.id, phototoxic=True)
    assert skin.materials(made.notebook)[0] == changed == replace(material, phototoxic=True)
