"""The page Skin, the gate on the plan page, and stops and the emergency on bench and ballot, through the entry page."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from parts import findings_files, house, visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import ballot, bench, book, findings, seal, skin
from evaluation.actions import plan as planning
from evaluation.actions.doors import BALLOT, CONDUCTOR, Visitor
from evaluation.clock import SteppedClock
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
        page = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120).run()
        if ballot_id is None:
            page.switch_page(f"{name}.py").run()
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

    by(page.text_area, "Formula lines").set_value("Vetiver oil; 90\nCloud; 10")
    press(page, "Save formula lines")
    assert "Line 2: 'Cloud' is not among the materials" in words(page)
    by(page.text_area, "Formula lines").set_value("Vetiver oil; 90; 5\nvetiver OIL; 10")
    press(page, "Save formula lines")
    by(page.text_input, "Strength of the solution put on skin, % w/w").set_value("10")
    press(page, "Save strength on skin")
    # 90 % of a 5 % stock and 10 % pure, in a 10 % solution: 0.45 % + 1 % = 1.45 %, above 0.8 %.
    assert "Vetiver oil: 1.45 % on skin; above the limit of 0.8 %" in words(page)
    by(page.text_input, "Strength of the solution put on skin, % w/w").set_value("5,5")
    press(page, "Save strength on skin")
    assert "Vetiver oil: 0.7975 % on skin; at most 0.8 %" in words(page)
    assert "In order as far as the formula goes; nobody was asked about skin." in words(page)

    who = own.panelist_ids[0]
    by(page.selectbox, "Person to ask").set_value(who).run()
    press(page, "Write down")
    assert "Every question must be answered; 8 still wait." in words(page)
    for radio in page.radio:
        radio.set_value("Yes" if radio.label.startswith("Consents") else "No")
    press(page, "Write down")
    assert "consents, nothing keeps them off skin" in words(page)

    by(page.selectbox, "Person").set_value(who)
    by(page.multiselect, "Trials: both of a pair").set_value([own.trial_ids[1]])
    press(page, "Draw codes and places; the patches go on now")
    (patch,) = skin.patches(notebook)
    assert (patch.trial_id, patch.strength_percent) == (own.trial_ids[1], Decimal("5.5"))
    assert patch.code in words(page)
    clock.forward(minutes=48 * 60)
    page.run()
    by(page.selectbox, "Patch to read").set_value(patch.id)
    by(page.radio, "What is to be seen").set_value("clear")
    press(page, "Write down the reading")
    assert "Open for the one person asked." in words(page)

    by(page.text_input, "Why?").set_value("a cloudy batch")
    press(page, "Take it off")
    assert "is barred from skin since" in words(page)
    by(page.text_input, "Why may it return?").set_value("filtered, and a new sheet")
    press(page, "Let it return")
    assert "Open for the one person asked." in words(page)

    press(page, "Forget it")
    assert skin.facts(notebook, [who]) == {}
    assert skin.patches(notebook) == ()


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
    assert "On skin: 5 min" in words(page)


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
    assert [stop.kind for stop in skin.stops(made.notebook, session.id)] == ["unwell"]
    assert "Nose 1 stopped: feels unwell" in words(app("bench"))


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
        rows = findings_files.FILES[name][2](findings.findings(made.notebook, session.id))
        assert rows is not None
        _, *lines = rows.decode("utf-8-sig").splitlines()
        assert [line.split(",")[0] for line in lines] == wanted
