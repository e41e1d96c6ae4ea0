"""The bench through the app's own entry page: what a conductor sees and taps, and what is stored for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from streamlit.testing.v1 import AppTest

from evaluation.actions import ballot, bench, plan
from tests import scenes

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The entry page around a notebook in memory, seen by the conductor."""
    from parts import house
    from parts.doors import visitor

    from evaluation.actions.doors import CONDUCTOR, Visitor

    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=6)


def opened(app: AppTest) -> AppTest:
    app.switch_page("bench.py").run()
    assert not app.exception
    return app


def words(app: AppTest) -> str:
    """Everything the page says, HTML included."""
    shown = [*app.markdown, *app.caption, *app.warning, *app.info, *app.success, *app.error, *app.header]
    return "\n".join([*(one.value for one in shown), *(one.proto.body for one in app.get("html"))])


def refusals(app: AppTest) -> list[str]:
    """Refusing sentences, as they read once the escapes are taken away."""
    return [one.value.replace("\\", "") for one in app.error]


def tap(app: AppTest, label: str) -> AppTest:
    next(one for one in app.button if one.label == label).click()
    app.run()
    assert not app.exception
    return app


def choose(app: AppTest, label: str, value: Any) -> None:
    next(one for one in app.selectbox if one.label == label).select(value)


def write(app: AppTest, label: str, text: str, last: bool = False) -> None:
    fields = [one for one in app.text_input if one.label == label]
    fields[-1 if last else 0].input(text)


def test_without_a_sealed_session_the_bench_says_what_belongs_here(app: AppTest, scene: scenes.Scene) -> None:
    plan.add_draft(scene.notebook, scene.plan())
    assert "No sealed session is waiting" in words(opened(app))


def test_what_is_kept_when_the_app_is_started_again_is_said_of_the_demo_too(app: AppTest, scene: scenes.Scene) -> None:
    """ "Everything is kept" stood in the demo, of which nothing is."""
    from parts import house

    scene.smelling()
    assert "everything is kept" in words(opened(app))
    house.put(house.House(scene.notebook, bytes(range(32)), demo=True))
    told = words(opened(app))
    assert "everything is kept" not in told
    assert "nothing done in this one is kept" in told


def test_starting_lets_the_ballots_take_answers(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed()
    assert session.sealed_hash in words(opened(app))
    tap(app, "Start smelling")
    assert plan.session(scene.notebook, session.id).state == "smelling"
    assert "Smelling has started" in words(app)


def test_trays_show_every_code_of_the_people_and_no_trial(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(minutes=(5, 60), primary=300, spare=1)
    told = words(opened(app))
    for serving in bench.servings(scene.notebook, session.id):
        shown = all(f">{code}<" in told for code in serving.codes)
        assert shown == (serving.seat != 7)  # seat 7 is a spare seat nobody took
    key = scenes.key_of(scene.notebook, session.id)
    assert not any(order in told for _, order in key.orders)
    assert key.seed not in told


def test_trays_number_null_sets_like_the_others(app: AppTest, scene: scenes.Scene) -> None:
    scene.sealed(replicates=2, null_sets=1)
    told = words(opened(app))
    assert [f"set {number} of 3" in told for number in (1, 2, 3)] == [True] * 3
    assert "of 2" not in told


def test_each_person_gets_a_link_that_opens_their_ballot(app: AppTest, scene: scenes.Scene) -> None:
    from evaluation.actions import doors

    session = scene.sealed()
    opened(app)
    links = [one.value for one in app.code]
    seats = {seat.ballot_id: seat.alias for seat in bench.progress(scene.notebook, session.id)}
    met = {doors.check_link(scene.notebook, link.rsplit("/join/")[1]).id for link in links}
    assert met == set(seats)
    assert words(app).count("data:image/svg+xml") == len(seats)
    assert "python -m evaluation --lan" in words(app)


def test_a_qr_code_reads_back_as_the_link(app: AppTest) -> None:
    """Compared module by module with segno's own matrix of the same text: the picture is not redrawn by us."""
    import segno
    from parts.bench import links as bench_links

    link = "http://192.168.1.20:8501/join/" + "a1B2" * 7
    drawn = bench_links.qr_image(link, 'QR code of "A"')
    assert "&quot;A&quot;" in drawn
    wanted = segno.make(link, error="m", micro=False)
    assert wanted.symbol_size(border=4)[0] * 4 <= bench_links.SIDE_PIXELS * 2
    assert bench_links.SIDE_PIXELS / wanted.symbol_size(border=4)[0] >= 3  # pixels a module on the screen


def test_replacing_a_link_ends_the_old_one(app: AppTest, scene: scenes.Scene) -> None:
    from evaluation.actions import doors
    from evaluation.errors import Refused

    session = scene.sealed()
    opened(app)
    first = bench.progress(scene.notebook, session.id)[0]
    old = app.code[0].value.rsplit("/join/")[1]
    choose(app, "Whose link", first.ballot_id)
    app.run()
    tap(app, "Replace the link")
    new = app.code[0].value.rsplit("/join/")[1]
    assert new != old
    assert doors.check_link(scene.notebook, new).id == first.ballot_id
    with pytest.raises(Refused):
        doors.check_link(scene.notebook, old)


def test_progress_counts_answers_without_telling_them(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling()
    first, second, *_ = bench.progress(scene.notebook, session.id)
    scenes.answer_all(scene.notebook, first.ballot_id)
    asked = ballot.view(scene.notebook, second.ballot_id).question
    assert asked is not None
    ballot.lock(scene.notebook, second.ballot_id, asked.serving_id, asked.name, asked.options[0], "secret words")
    told = words(opened(app))
    assert "**1 of 6 finished.**" in told
    assert "1 of 3" in told
    assert "Nose 2 locked an answer" in told
    assert "secret words" not in told


def test_the_pulse_asks_for_progress_only_when_the_log_has_grown(
    app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    scene.smelling()
    asked = []
    real = bench.progress
    monkeypatch.setattr(bench, "progress", lambda *given: asked.append(1) or real(*given))
    opened(app)
    app.run()
    app.run()
    assert len(asked) == 1
    scenes.answer_all(scene.notebook, scenes.ballots(scene.notebook, plan.sessions(scene.notebook)[0].id)[0].id)
    app.run()
    assert len(asked) == 2


def test_the_key_is_shown_only_after_saying_who_looks_and_every_look_is_logged_once(
    app: AppTest, scene: scenes.Scene
) -> None:
    session = scene.sealed()
    opened(app)
    assert next(one for one in app.button if one.label == "Show code and vial letter").disabled
    choose(app, "Who is looking?", "not on the panel")
    app.run()
    tap(app, "Show code and vial letter")
    app.run()  # a rerun is no second look
    looks = [one for one in bench.log(scene.notebook, session.id) if one.kind == "key shown"]
    assert len(looks) == 1
    letters = scenes.key_of(scene.notebook, session.id).letters
    told = words(app)
    for line in bench.preparation(scene.notebook, session.id, None):
        for code, letter in zip(line.codes, line.letters, strict=True):
            assert f"{code} → {letter}" in told
    assert ">Trial<" not in told  # which letter is which trial needs the other tap
    tap(app, "Show letter and trial")
    told = words(app)
    assert f"<td>{letters[0]}</td><td>7</td>" in told
    assert f"<td>{letters[1]}</td><td>8</td>" in told
    tap(app, "Hide the key")
    assert "→" not in words(app)


def test_a_panelist_who_looks_at_the_key_is_marked_unblinded(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed()
    opened(app)
    choose(app, "Who is looking?", scene.panelist_ids[2])
    app.run()
    assert "Nose 3 smells in this session" in words(app)
    tap(app, "Show letter and trial")
    with scene.notebook.reading() as tx:
        noted = tx.sittings.deviations(session.id)
    assert [(one.seat, one.kind, one.serving_id) for one in noted] == [(3, "unblinded", "")]


def test_whoever_looked_before_taking_a_spare_seat_sits_unblinded(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(people=5, spare=1, confirmed=("not noticed", "noticed"))
    opened(app)
    choose(app, "Who is looking?", scene.panelist_ids[5])
    app.run()
    assert "will be marked unblinded" not in words(app)
    tap(app, "Show letter and trial")
    bench.seat_person(scene.notebook, session.id, 6, scene.panelist_ids[5])
    with scene.notebook.reading() as tx:
        noted = tx.sittings.deviations(session.id)
    assert [(one.seat, one.kind) for one in noted] == [(6, "unblinded")]


def test_a_spoilt_set_is_put_aside_and_the_spare_served(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling()
    served = next(s for s in bench.servings(scene.notebook, session.id) if s.seat == 2 and not s.spare)
    opened(app)
    choose(app, "Spoilt set", served.id)
    reasons = [one for one in app.text_input if one.label == "Reason"]
    reasons[1].input("fell on the floor")
    tap(app, "Put aside and serve the spare set")
    after = {s.id: s for s in bench.servings(scene.notebook, session.id) if s.seat == 2}
    assert after[served.id].void
    replaced = next(s for s in after.values() if not s.void)
    assert (replaced.spare, replaced.place, replaced.age_seconds) == (False, served.place, served.age_seconds)
    assert "fell on the floor" in words(app)


def test_a_deviation_without_reason_is_refused_in_one_sentence(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling()
    opened(app)
    choose(app, "Person", 4)
    app.run()
    choose(app, "What happened", "late")
    tap(app, "Write it down")
    assert refusals(app) == ["Reason must not be empty."]
    reasons = [one for one in app.text_input if one.label == "Reason"]
    reasons[2].input("the bus")
    tap(app, "Write it down")
    with scene.notebook.reading() as tx:
        noted = tx.sittings.deviations(session.id)
    assert [(one.seat, one.kind, one.reason) for one in noted] == [(4, "late", "the bus")]


def test_somebody_takes_a_spare_seat(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed(people=5, spare=1)
    opened(app)
    choose(app, "Who takes the next spare seat", scene.panelist_ids[5])
    tap(app, "Seat this person")
    assert bench.progress(scene.notebook, session.id)[5].alias == "Nose 6"


def test_closing_says_first_how_many_have_not_finished(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling()
    scenes.answer_all(scene.notebook, scenes.ballots(scene.notebook, session.id)[0].id)
    opened(app)
    assert "**5 of 6 have not finished.** What is missing stays missing; it is not counted as wrong." in words(app)
    tap(app, "Close now")
    assert plan.session(scene.notebook, session.id).state == "closed"
    told = words(app)
    assert "Still to come" not in told
    assert "Did not finish: Nose 2" in told
    assert not app.code  # no links any more
    assert not [one for one in app.button if one.label in {"Close now", "Start smelling", "Show letter and trial"}]


@pytest.mark.parametrize("first", ["nobody", "everybody"])
def test_the_closing_question_counts_what_the_progress_beside_it_counted(
    app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch, first: str
) -> None:
    """Everybody finishes (or is replaced) between two looks at the seats: one page must not tell both."""
    from parts.bench import progress

    scene.smelling()
    looked = progress.seats_of
    finished = iter([first == "everybody"])

    def at_another_instant(*asked: Any) -> Any:
        now = next(finished, first != "everybody")
        return tuple(replace(one, finished=now) for one in looked(*asked))

    monkeypatch.setattr(progress, "seats_of", at_another_instant)
    told = words(opened(app))
    assert ("6 of 6 finished" in told) == ("Everybody has finished. After closing" in told) == (first == "everybody")
    assert ("0 of 6 finished" in told) == ("**6 of 6 have not finished.**" in told) == (first == "nobody")


def test_declaring_void_wants_a_reason(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.sealed()
    opened(app)
    tap(app, "Declare the session void")
    assert refusals(app) == ["Reason must not be empty."]
    assert plan.session(scene.notebook, session.id).state == "sealed"
    write(app, "Reason", "the strips were mixed up")
    tap(app, "Declare the session void")
    assert plan.session(scene.notebook, session.id).state == "void"
    assert "No sealed session is waiting" in words(app)


def test_what_people_typed_is_never_read_as_markup(app: AppTest, scene: scenes.Scene) -> None:
    from evaluation.actions import book

    book.change_panelist(scene.notebook, scene.panelist_ids[0], alias="<b>A</b> *B*")
    scene.sealed(title="**bold** <i>title</i>")
    told = words(opened(app))
    assert "<b>A</b>" not in told
    assert "&lt;b&gt;A&lt;/b&gt; *B*" in told
    assert "\\*\\*bold\\*\\*" in told


def test_the_chosen_address_of_this_machine_goes_into_every_link(app: AppTest, scene: scenes.Scene) -> None:
    from parts import house

    addresses = ("http://10.0.0.5:8501", "http://192.168.1.20:8501")
    house.put(house.House(scene.notebook, bytes(range(32)), lan=True, addresses=addresses))
    scene.sealed()
    opened(app)
    assert all(one.value.startswith(addresses[0]) for one in app.code)
    assert "--lan" not in words(app)
    choose(app, "Address in the links", addresses[1])
    app.run()
    assert app.code
    assert all(one.value.startswith(f"{addresses[1]}/join/") for one in app.code)


def test_a_visitor_who_is_no_conductor_any_more_sees_nothing_in_the_live_part(
    app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The role is asked for again at the top of every fragment run."""
    from parts.doors import visitor

    from evaluation.actions.doors import CONDUCTOR, NO_VISITOR, Visitor

    scene.smelling()
    asked = iter([Visitor(CONDUCTOR)])  # the entry page still lets them in, the fragment does not
    monkeypatch.setattr(visitor, "current", lambda: next(asked, NO_VISITOR))
    app.run()
    asked = iter([Visitor(CONDUCTOR)])
    app.switch_page("bench.py").run()
    told = words(app)
    assert visitor.NOT_YOURS in told
    assert "finished.**" not in told
