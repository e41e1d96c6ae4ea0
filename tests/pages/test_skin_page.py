"""The page Skin, the gate on the plan page, and stops and the emergency on bench and ballot, through the entry page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.findings import downloads
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import ballot, bench, book, findings, formulas, seal, skin
from evaluation.actions import plan as planning
from evaluation.actions.doors import BALLOT, CONDUCTOR, Visitor
from evaluation.clock import SteppedClock
from evaluation.formulas import read_lines
from evaluation.sessions import Session
from evaluation.skin import EXCLUSIONS
from tests.scenes import SEED, Scene, answer_all, ballots, begun, scene
from tests.skin_scene import on_both, on_skin, ready

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., AppTest]]:
    """Opens a page as the conductor, or the ballot of whoever has it."""
    house.put(House(notebook, bytes(32)))

    def opened(name: str, ballot_id: str | None = None) -> AppTest:
        here = Visitor(BALLOT, ballot_id) if ballot_id else Visitor(CONDUCTOR)
        monkeypatch.setattr(visitor, "current", lambda: here)
        monkeypatch.setattr(visitor, "ballot_in", lambda tx: here.ballot_id)
        page = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        if ballot_id is None:
            page.switch_page(f"{name}.py")
        page.run()
        assert not page.exception
        return page

    yield opened
    house.put(None)


def by(widgets: Any, label: str) -> Any:
    return next(one for one in widgets if one.label == label)


def press(page: AppTest, label: str) -> AppTest:
    by(page.button, label).click().run()
    assert not page.exception
    return page


def words(page: AppTest) -> str:
    shown = [*page.markdown, *page.caption, *page.warning, *page.info, *page.success, *page.error]
    return "\n".join([*(one.value for one in shown), *(one.proto.body for one in page.get("html"))]).replace("\\", "")


@pytest.fixture
def made(notebook: Any) -> Scene:
    own = scene(notebook)
    ready(notebook, own.trial_ids, own.panelist_ids)
    return own


# --- the page -----------------------------------------------------------------------------------------------------


def test_from_nothing_to_an_open_gate_on_the_page(app: Any, notebook: Any, clock: SteppedClock) -> None:
    own = scene(notebook, 1)
    page = app("skin")
    assert "Nothing goes on skin undiluted" in words(page)
    assert "has no strength on skin" in words(page)

    by(page.text_input, "Material").set_value("Vetiver oil")
    by(page.text_input, "Limit on skin, %").set_value("0,8")
    by(page.text_input, "Document it is from").set_value("invented sheet 4")
    press(page, "Add material")
    assert "date of the document must be given" in words(page).lower()
    assert skin.materials(notebook) == ()  # nothing half
    by(page.date_input, "Date of that document").set_value(date(2025, 2, 1))
    press(page, "Add material")
    assert "at most 0.8 % on skin, by invented sheet 4, 1 Feb 2025" in words(page)

    trial = own.trial_ids[1]
    formulas.write(notebook, trial, read_lines("Vetiver oil; 90; 5\nvetiver OIL; 10"))  # in the trial book
    assert "Nobody said what the parts of trial 8 add up to" in words(app("skin"))
    formulas.write(notebook, trial, read_lines("Vetiver oil; 90; 5\nvetiver OIL; 10"), Decimal(100))
    page = app("skin")
    assert "Vetiver oil: 90 %, of a stock of 5 %" in words(page)
    by(page.text_input, "Strength of the solution put on skin, % w/w").set_value("10")
    press(page, "Save strength on skin")
    # 90 % of a 5 % stock and 10 % pure, in a 10 % solution: 0.45 % + 1 % = 1.45 %, above 0.8 %.
    assert "Vetiver oil: 1.45 % on skin; above the limit of 0.8 %" in words(page)
    by(page.text_input, "Strength of the solution put on skin, % w/w").set_value("5,5")
    press(page, "Save strength on skin")
    assert "Vetiver oil: 0.7975 % on skin; at most 0.8 %" in words(page)
    assert "In order as far as the formula goes; nobody was asked about skin: ask on the tab People." in words(page)

    who = own.panelist_ids[0]
    by(page.selectbox, "Person to ask").set_value(who).run()
    press(page, "Write down")
    assert "Every question must be answered; 8 still wait." in words(page)
    for radio in page.radio:
        if radio.label.startswith("Consents") or radio.options == ["Yes", "No"]:
            radio.set_value("Yes" if radio.label.startswith("Consents") else "No")
    press(page, "Write down")
    assert "consents, nothing keeps them off skin" in words(page)
    assert "First possible date of trial 8 for the one person asked: 3 Jan 2026, 08:00" in words(page)

    by(page.selectbox, "Person").set_value(who).run()
    by(page.multiselect, "Trials: both of a pair").set_value([own.trial_ids[1]])
    press(page, "Draw codes and places; the patches go on now")
    (patch,) = skin.patches(notebook)
    assert (patch.trial_id, patch.strength_percent) == (own.trial_ids[1], Decimal("5.5"))
    assert f"From 2 Jan 2026, 08:00 read the patch {patch.code} on Nose 1 for the first time" in words(page)
    _read(page, patch.id, clock, 48)
    assert f"Code {patch.code} on Nose 1: clear; read it again from 3 Jan 2026, 08:00 on." in words(page)
    assert "Open for the one person asked" not in words(page)
    _read(page, patch.id, clock, 24)
    assert f"Code {patch.code} on Nose 1: clear; both readings are in." in words(page)
    assert "Open for the one person asked: plan a session on skin." in words(page)

    by(page.text_input, "Why?").set_value(".")
    press(page, "Take it off")
    assert "Reason must be given in words: at least two words" in words(page)
    by(page.text_input, "Why?").set_value("a cloudy batch")
    press(page, "Take it off")
    assert "is barred from skin since" in words(page)
    by(page.text_input, "Why may it return?").set_value("filtered, and a new sheet")
    press(page, "Let it return")
    assert "Open for the one person asked" in words(page)

    press(page, "Forget it")
    assert skin.facts(notebook, [who]) == {}
    assert skin.patches(notebook) == ()


def _read(page: AppTest, patch_id: str, clock: SteppedClock, hours: int, result: str = "clear") -> None:
    clock.forward(minutes=hours * 60)
    page.run()
    by(page.selectbox, "Patch to read").set_value(patch_id)
    by(page.radio, "What is to be seen").set_value(result)
    press(page, "Write down the reading")


def test_a_reaction_on_the_page_is_decided_for_others_and_advised_for_one(
    app: Any, made: Scene, clock: SteppedClock
) -> None:
    notebook, (first, *_) = made.notebook, made.panelist_ids
    page = app("skin")
    assert "No reaction is on record." in words(page)
    one = next(each for each in skin.patches(notebook) if each.panelist_id == first)  # all have the code 482
    by(page.selectbox, "Patch with a reaction").set_value(one.id)
    by([each for each in page.radio if len(each.options) == 1], "What is to be seen").set_value("reaction")
    presses = [each for each in page.button if each.label == "Write down the reading"]
    presses[-1].click().run()
    told = words(page)
    assert "Code 482 on Nose 1: reaction. Wash it off, leave it alone, and get medical help at once" in told
    assert (
        "Reaction of Nose 1 on 31 Dec 2025, 08:00: nothing with Amber base or Vetiver oil goes on anybody until you decide"
        in told
    )
    assert "Waits for your decision: Amber base, Vetiver oil; stays off this person’s skin without an advice:" in told

    every = sorted(each.id for each in skin.materials(notebook))
    by(page.multiselect, "Materials that may be applied again").set_value(every)
    by(page.text_input, "Why may they be applied again?").set_value(".")
    press(page, "They may be applied again")
    assert "Reason must be given in words" in words(page)
    by(page.text_input, "Why may they be applied again?").set_value("the soap, tested apart")
    press(page, "They may be applied again")
    assert "Decided for others; stays off this person’s skin without an advice: Amber base, Vetiver oil." in words(page)

    by(page.selectbox, "Person who reacted").set_value(first).run()
    by(page.multiselect, "Materials the advice names").set_value(every)
    by(page.text_input, "Who advised: name and profession").set_value("Dr Ida Fern")
    press(page, "Write down the advice")
    assert "Day of the advice must be given, from 2025-12-31" in words(page)
    by(page.date_input, "Day of the advice").set_value(date(2025, 12, 31))
    press(page, "Write down the advice")
    assert "The advice about Nose 1 is written down; a new patch comes before skin." in words(page)
    assert "31 Dec 2025, 08:00: may be applied again (Amber base, Vetiver oil; the soap, tested apart)" in words(page)
    assert "Nose 1: no patch of trial 8 since the reaction of 31 Dec 2025, 08:00; a new one" in words(page)


def test_a_told_reaction_and_a_stop_are_written_down_on_the_page(app: Any, made: Scene) -> None:
    notebook, (first, second, *_) = made.notebook, made.panelist_ids
    session = made.smelling()
    ballot.stop(notebook, ballots(notebook, session.id)[1].id, "unwell")
    page = app("skin")
    assert "Nose 2 stopped on 31 Dec 2025, 08:00 without a reaction: write down what it was" in words(page)
    press(page, "Write down the reason")
    assert "Person must be chosen." in words(page)
    by(page.selectbox, "Who stopped").set_value(second)
    by(page.text_input, "What was it, and why may skin go on?").set_value("ok")
    press(page, "Write down the reason")
    assert "Reason must be given in words" in words(page)
    by(page.text_input, "What was it, and why may skin go on?").set_value("a phone call came in")
    press(page, "Write down the reason")
    assert "Who stopped" not in [each.label for each in page.selectbox]
    by(page.selectbox, "Who reacted").set_value(first)
    press(page, "Write down the reaction")
    assert "Trials must name at least one" in words(page)
    by(page.multiselect, "Trials that were on this skin").set_value([made.trial_ids[0]])
    by(page.text_input, "What was seen, and when").set_value("itched on Sunday")
    press(page, "Write down the reaction")
    assert "Nose 1 reacted to trial 7 (itched on Sunday)." in words(page)


def test_an_old_document_is_confirmed_or_replaced_on_the_page(app: Any, made: Scene) -> None:
    skin.add_limit(made.notebook, "material Amber base", Decimal(20), "sheet 7", date(1970, 1, 1), "left on skin")
    page = app("skin")
    old = "The limit of Amber base is from “sheet 7” of 1 Jan 1970: enter a newer document, or confirm"
    assert old in words(page)
    by(page.selectbox, "Document that is still current").set_value("material Amber base")
    press(page, "It is still current")
    assert "Who looked must be given in words" in words(page)
    by(page.text_input, "Who looked: name and role").set_value("Ida Fern, chemist")
    press(page, "It is still current")
    assert "still current on 31 Dec 2025, 08:00, says Ida Fern, chemist" in words(page)
    assert old not in words(page)


def test_patches_on_the_page_are_cancelled_and_asked_about(app: Any, made: Scene, clock: SteppedClock) -> None:
    notebook, first = made.notebook, made.panelist_ids[0]
    clock.forward(minutes=89 * 24 * 60)
    skin.record_facts(notebook, first, consent=True, **dict.fromkeys(EXCLUSIONS, False))
    page = app("skin")
    assert "Say what has changed since the patches of Nose 1, Nose 2" in words(page)
    by(page.selectbox, "Person with these patches").set_value(first).run()
    press(page, "Write down the answers")
    assert "Answer about health must be chosen." in words(page)
    health, batch = (each for each in page.radio if each.label.startswith(("Has anything", "Is what will")))
    health.set_value("No")
    batch.set_value("Yes")
    press(page, "Write down the answers")
    assert "Written down for Nose 1: a new patch is needed." in words(page)

    by(page.selectbox, "Person").set_value(first).run()
    assert by(page.multiselect, "Trials: both of a pair").value == list(made.trial_ids)  # both lack now
    press(page, "Draw codes and places; the patches go on now")
    new = [one for one in skin.patches(notebook) if not one.readings]
    assert len(new) == 2
    assert "Nose 1 lacks no patch that could be put on now." in words(page)
    assert "Nose 1: the patch of trial 7 waits for its first reading, between 1 Apr 2026, 08:00" in words(page)
    by(page.selectbox, "Patch to cancel").set_value(new[0].id)
    press(page, "Cancel this patch")
    assert "Reason must be given in words" in words(page)
    by(page.text_input, "Why is it cancelled?").set_value("drawn by mistake")
    press(page, "Cancel this patch")
    assert f"Code {new[0].code} on Nose 1 is cancelled." in words(page)


def test_a_page_shown_before_somebody_else_reacted_lets_nothing_return(
    app: Any, notebook: Any, made: Scene, clock: SteppedClock
) -> None:
    trial_id = made.trial_ids[-1]
    skin.take_off(notebook, trial_id, "an old sheet")
    page = app("skin")
    by(page.text_input, "Why may it return?").set_value("a new sheet")
    clock.forward(minutes=1)
    skin.take_off(notebook, trial_id, "a second person reacted")
    press(page, "Let it return")
    assert skin.bars(notebook, [trial_id])[trial_id].kind == "barred"
    assert "a second person reacted" in words(page)
    by(page.text_input, "Why may it return?").set_value("seen by a doctor")
    press(page, "Let it return")
    assert skin.bars(notebook, [trial_id])[trial_id].kind == "allowed again"


def test_the_page_teaches_where_there_is_nothing(app: Any, notebook: Any) -> None:
    assert "Begin with the trial book" in words(app("skin"))
    book.add_brief(notebook, "Salt")
    page = app("skin")
    assert "Next: write the trials into the trial book." in words(page)
    assert "This brief has no trial yet." in words(page)
    assert "No material yet." in words(page)


# --- the plan -----------------------------------------------------------------------------------------------------


def test_the_draft_shows_the_gate_and_the_seal_is_refused_while_it_is_shut(app: Any, made: Scene) -> None:
    skin.record_facts(
        made.notebook, made.panelist_ids[0], consent=True, **(dict.fromkeys(EXCLUSIONS, False) | {"asthma": True})
    )
    page = app("plan")
    by(page.radio, "**Is the difference plain to everyone?** (two finished, different trials)").set_value(
        "Yes, anybody would notice"
    ).run()
    assert "Nose 1 said: asthma. On strips too Nose 1 should not take part" in words(page)
    assert "Skin gate" not in words(page)
    by(page.radio, "Medium").set_value("skin").run()
    assert "Skin gate: shut. This plan cannot be sealed" in words(page)
    assert "Nose 1: stays off skin (asthma)" in words(page)
    press(page, "Seal this plan")
    assert "The skin gate is shut. Nose 1: stays off skin" in words(page)
    assert planning.sessions(made.notebook) == ()
    by(page.button_group, "Panelists: tap to add or leave out").set_value(list(made.panelist_ids[1:])).run()
    assert "Skin gate: open for everybody planned" in words(page)
    for tick in page.checkbox:
        if tick.label.startswith("I know that"):
            tick.check()
    press(page, "Seal this plan")
    (session,) = planning.sessions(made.notebook)
    assert (session.state, session.plan.medium) == ("sealed", "skin")
    assert "On skin 5 min (give or take 30 s) after application." in words(page).replace("\\", "")


# --- bench and ballot ---------------------------------------------------------------------------------------------


def smelling(made: Scene, **changes: Any) -> Session:
    draft = planning.add_draft(made.notebook, made.plan(**changes))
    sealed = seal.seal(made.notebook, draft.id, SEED)
    begun(made.notebook, sealed.id)
    return bench.start(made.notebook, sealed.id)


def test_one_tap_stops_and_the_bench_is_loud_and_shows_that_skin(app: Any, made: Scene) -> None:
    session = smelling(made, **on_both(), method="2-afc", descriptor="smokier", expected="second")
    own = ballots(made.notebook, session.id)[1]
    page = app("ballot", own.id)
    assert "trials were put on your inner forearms" in words(page)
    assert "Stop, my skin reacts" in [one.label for one in page.button]  # on the first screen already
    press(page, "Stop, my skin reacts")
    assert [stop.alias for stop in skin.stops(made.notebook, session.id)] == ["Nose 2"]
    assert "Wash the place with plain soap and water" in words(page)
    assert "Stop, my skin reacts" not in [one.label for one in page.button]

    bench_page = app("bench")
    assert "Nose 2 stopped: the skin reacts" in words(bench_page)
    assert "Vetiver oil" not in words(bench_page)
    press(bench_page, "Show what Nose 2 has been given")
    told = words(bench_page)
    served = [one for one in bench.servings(made.notebook, session.id) if one.seat == 2 and one.medium == "skin"]
    for code, site in zip(served[0].codes, served[0].sites, strict=True):
        assert code in told
        assert site in told
    assert "Vetiver oil 0.4 %, Amber base 6 %" in told
    with made.notebook.reading() as tx:
        assert [(one.seat, one.kind) for one in tx.sittings.deviations(session.id)] == [(2, "unblinded")]
    bench_page.run()  # looking again at what is on the page is no second look
    assert sum(one.kind == "seat shown" for one in bench.log(made.notebook, session.id)) == 1


def test_after_a_stop_what_to_do_stands_alone_and_strips_come_behind_a_tap(app: Any, made: Scene) -> None:
    """Today the next question stands first, and what to do below it."""
    session = smelling(made, **on_both(), method="2-afc", descriptor="smokier", expected="second")
    own = ballots(made.notebook, session.id)[1]
    page = app("ballot", own.id)
    press(page, "Begin")
    press(page, "Stop, my skin reacts")
    for _ in range(2):
        shown = [one.proto.body for one in page.get("html")]
        seen = [one for one in shown if not one.startswith(("<style", "<script", '<div id="ballot-live"'))]
        assert seen[0].startswith('<div class="ballot-aid"')  # first of all
        told = "\n".join(shown)
        assert "Wash the place with plain soap and water. Then leave it alone" in told
        assert "Tell the conductor now" in told
        assert "Swelling elsewhere, dizziness or trouble breathing: get medical help at once." in told
        labels = [one.label for one in page.button]
        assert labels == ["I have told the conductor and want to go on with the strips"]  # no question, no lock
        page.run()
    press(page, "I have told the conductor and want to go on with the strips")
    asked = ballot.view(made.notebook, own.id)
    assert asked.medium == "strip"
    assert "Lock this answer" in [one.label for one in page.button]
    assert "Your stop is stored, and nothing more on skin is asked of you." in words(page)
    page = app("ballot", own.id)  # opened anew: what to do comes first again
    assert "Lock this answer" not in [one.label for one in page.button]


def test_after_a_stop_on_skin_alone_nothing_is_asked_any_more(app: Any, made: Scene) -> None:
    session = smelling(made, **on_skin())
    page = app("ballot", ballots(made.notebook, session.id)[0].id)
    press(page, "Stop, my skin reacts")
    assert list(page.button) == []
    assert "Nothing more is asked of you here. Thank you." in words(page)


def test_who_feels_unwell_with_something_on_skin_can_still_say_that_it_reacts(app: Any, made: Scene) -> None:
    session = smelling(made, **on_skin())
    page = app("ballot", ballots(made.notebook, session.id)[0].id)
    press(page, "I feel unwell or want to stop")
    assert "Go into fresh air and tell the conductor" in words(page)
    assert [one.label for one in page.button] == ["Stop, my skin reacts", "I have told the conductor and want to go on"]
    press(page, "Stop, my skin reacts")
    assert {stop.kind for stop in skin.stops(made.notebook, session.id)} == {"skin", "unwell"}
    assert "Wash it off and tell the conductor now" in words(page)
    table = app("bench")
    assert "Nose 1 stopped: the skin reacts" in words(table)
    assert "Nose 1 stopped: feels unwell" in words(table)
    assert [one.label for one in table.button].count("Show what Nose 1 has been given") == 1


def test_the_stop_is_on_every_screen_to_the_thanks_and_after(app: Any, made: Scene) -> None:
    session = smelling(made, **on_skin())
    own = ballots(made.notebook, session.id)[0]
    for _ in range(20):
        page = app("ballot", own.id)
        assert "Stop, my skin reacts" in [one.label for one in page.button]
        asked = ballot.view(made.notebook, own.id).question
        if asked is None:
            break
        ballot.lock(made.notebook, own.id, asked.serving_id, asked.name, asked.options[0])
    assert "Thank you" in words(page)
    press(page, "Stop, my skin reacts")
    assert len(skin.stops(made.notebook, session.id)) == 1


def test_strips_alone_have_the_other_stop_and_it_is_stored(app: Any, made: Scene) -> None:
    session = made.smelling()
    own = ballots(made.notebook, session.id)[0]
    page = app("ballot", own.id)
    assert "Stop, my skin reacts" not in [one.label for one in page.button]
    press(page, "I feel unwell or want to stop")
    assert "Put the strip down" in words(page)
    assert [one.label for one in page.button] == ["I have told the conductor and want to go on"]
    assert [stop.kind for stop in skin.stops(made.notebook, session.id)] == ["unwell"]
    assert "Nose 1 stopped: feels unwell" in words(app("bench"))


def test_who_went_on_after_a_stop_finds_it_again_on_every_screen_and_no_notice_to_leave(app: Any, made: Scene) -> None:
    session = made.smelling()
    own = ballots(made.notebook, session.id)[0]
    page = app("ballot", own.id)
    press(page, "I feel unwell or want to stop")
    press(page, "I have told the conductor and want to go on")
    for _ in range(20):
        asked = ballot.view(made.notebook, own.id).question
        if asked is None:
            break
        shown = words(page.run())
        assert "I feel unwell or want to stop" in [one.label for one in page.button]
        assert "You stopped and went on" in shown
        assert "close this page" not in shown
        assert "go into fresh air" not in shown
        press(page, "I feel unwell or want to stop")  # what to do comes first again
        assert "Go into fresh air and tell the conductor" in words(page)
        assert [one.label for one in page.button] == ["I have told the conductor and want to go on"]
        press(page, "I have told the conductor and want to go on")
        ballot.lock(made.notebook, own.id, asked.serving_id, asked.name, asked.options[0])
    assert len(skin.stops(made.notebook, session.id)) == 1


def test_after_a_stop_on_skin_who_goes_on_with_the_strips_still_has_a_stop(app: Any, made: Scene) -> None:
    session = smelling(made, **on_both())
    page = app("ballot", ballots(made.notebook, session.id)[0].id)
    press(page, "Stop, my skin reacts")
    press(page, "I have told the conductor and want to go on with the strips")
    press(page, "I feel unwell or want to stop")
    press(page, "I have told the conductor and want to go on with the strips")
    assert "I feel unwell or want to stop" in [one.label for one in page.button]


def test_a_choice_on_skin_names_the_place_of_each_code(app: Any, made: Scene) -> None:
    session = smelling(made, **on_skin())
    own = ballots(made.notebook, session.id)[0]
    page = app("ballot", own.id)
    serving = next(one for one in bench.servings(made.notebook, session.id) if one.seat == 1 and not one.spare)
    for code, site in zip(serving.codes, serving.sites, strict=True):
        assert f"<b>{code} {site}</b>" in words(page)
    assert "after application" in words(page)
    assert "dipping" not in words(page)


def test_the_findings_show_a_verdict_for_each_medium(app: Any, made: Scene) -> None:
    session = smelling(made, **on_both(), method="2-afc", descriptor="smokier", expected="second")
    own = ballots(made.notebook, session.id)
    ballot.stop(made.notebook, own[0].id, "skin")
    for each in own:
        answer_all(made.notebook, each.id)
    bench.close(made.notebook, session.id)
    findings.open_session(made.notebook, session.id)
    told = words(app("findings"))
    assert "Trials 7 and 8 · Strip age 5 min" in told
    assert "Trials 7 and 8 · On skin, 30 min after application" in told
    assert "of 8, from 8 people" in told
    assert "of 7, from 7 people" in told
    assert "their answers are never added" in told
    assert "Stopped because the skin reacted: Nose 1" in told
    assert "on strips and on skin, each judged by itself" in told
    for name, wanted in (("verdict.csv", ["strip", "skin"]), ("answers.csv", ["strip"] * 8 + ["skin"] * 7)):
        rows = downloads.FILES[name][2](findings.findings(made.notebook, session.id))
        assert rows is not None
        _, *lines = rows.decode("utf-8-sig").splitlines()
        assert [line.split(",")[0] for line in lines] == wanted
