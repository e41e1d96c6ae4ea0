"""The ballot through the app's own entry page: what a panelist sees and taps, and what is stored for it.

Nothing here knows the key.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
import streamlit
from parts import house
from parts.ballot import around_questions as words
from parts.doors import visitor
from parts.house import House
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.testing.v1 import AppTest

from evaluation.actions import ballot, bench
from evaluation.actions.doors import BALLOT, NO_VISITOR, Visitor
from evaluation.errors import StoreError
from evaluation.serving import smelling
from evaluation.sessions import NO_PREFERENCE, Session
from tests.methods import METHODS, STRIPS
from tests.pages.wire import Running, Tab, begin_set, running
from tests.scenes import Scene, ages, answer_all, ballots, begun, first_option, scene

PAGES = Path(__file__).resolve().parents[2] / "pages"
LOCK = "Lock this answer"  # the label a driver of ballots looks for, to the letter
HEAVY = {"pandas", "altair", "numpy", "scipy", "statsmodels"}


@pytest.fixture
def stage(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Stage]:
    """A house with an in-memory notebook whose visitor is the panelist on the first seat."""
    house.put(House(notebook, bytes(range(32))))
    made = Stage(notebook, scene(notebook))
    monkeypatch.setattr(visitor, "current", lambda: made.visitor)
    monkeypatch.setattr(visitor, "ballot_in", lambda tx: made.visitor.ballot_id)
    yield made
    house.put(None)


class Stage:
    def __init__(self, notebook: Any, prepared: Scene) -> None:
        self.notebook, self.scene = notebook, prepared
        self.visitor = NO_VISITOR
        self.ballot_id = self.session_id = ""

    def begin(self, session: Session, seat: int = 1, *, asks: bool = False) -> Tapped:
        """The ballot of a seat, opened in a browser; ``asks``: no set of it has begun."""
        if not asks:
            begun(self.notebook, session.id)
        self.session_id = session.id
        self.ballot_id = ballots(self.notebook, session.id)[seat - 1].id
        self.visitor = Visitor(BALLOT, self.ballot_id)
        return self.open()

    def smelling(self, **changes: Any) -> Tapped:
        return self.begin(self.scene.smelling(**changes))

    def open(self) -> Tapped:
        """One more tab on the same ballot."""
        return Tapped(AppTest.from_file(str(PAGES / "app.py"), default_timeout=120).run())

    def stored(self) -> list[tuple[str, str]]:
        with self.notebook.reading() as tx:
            return [(answer.question, answer.value) for answer in tx.ballots.answers(self.ballot_id)]

    def asked(self) -> Any:
        return ballot.view(self.notebook, self.ballot_id).question


class Tapped:
    """One browser tab, as thumbs know it."""

    def __init__(self, app: AppTest) -> None:
        self.app = app

    @property
    def html(self) -> str:
        assert not self.app.exception, self.app.exception
        return "\n".join(unescape(each.proto.body) for each in self.app.get("html"))

    @property
    def heading(self) -> str:
        found = re.findall(r"<h1[^>]*>(.*?)</h1>", self.html)
        assert len(found) in (1, 2), found  # the welcome lies over the first question
        return found[0]

    @property
    def tray(self) -> list[str]:
        """The codes as the screen names them: in a line of their own, or, where that is not needed, as the options."""
        line = re.findall(r'<p class="ballot-tray">(.*?)</p>', self.html)
        return re.findall(r"<b>(\d+)</b>", line[0]) if line else [o for o in self.choice.options if o.isdigit()]

    @property
    def choice(self) -> Any:
        found = [*self.app.button_group, *self.app.radio]
        assert len(found) == 1, "one question a screen"
        return found[0]

    def button(self, label: str) -> Any:
        found = [each for each in self.app.button if each.label == label]
        return found[0] if found else None

    def press(self, label: str) -> Tapped:
        self.button(label).click().run()
        return self

    def take(self, value: Any) -> Tapped:
        self.choice.set_value(value).run()
        return self

    def lock(self, value: Any) -> Tapped:
        return self.take(value).press(LOCK)


def value_to_tap(question: Any) -> Any:
    return list(question.options[: question.pick]) if question.pick > 1 else question.options[0]


# --- every method, to the end ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", METHODS)
def test_a_ballot_of_each_method_can_be_answered_to_its_end(stage: Stage, method: str) -> None:
    tab = stage.smelling(method=method, minutes=(5, 90), primary=300)
    tab.press("Begin")
    wanted = []
    while (question := stage.asked()) is not None:
        wanted.append((question.name, first_option(question)))
        assert tab.choice.value in (None, []), "nothing is chosen beforehand"
        assert tab.button(LOCK).disabled
        assert not tab.app.text_area, "the remark field waits until it is wanted"
        tab.take(value_to_tap(question))
        assert not tab.button(LOCK).disabled
        assert stage.stored() == wanted[:-1], "a tap alone is no answer"
        tab.press(LOCK)
        assert stage.stored() == wanted
    assert tab.heading == words.THANKS
    assert "You may close this page" in tab.html
    with stage.notebook.reading() as tx:
        assert tx.ballots.ballot(stage.ballot_id).finished_at is not None


@pytest.mark.parametrize("method", METHODS)
def test_the_codes_stand_in_tray_order_above_the_choice(stage: Stage, method: str) -> None:
    tab = stage.smelling(method=method).press("Begin")
    question = stage.asked()
    assert tab.tray == list(question.codes)
    assert len(tab.tray) == STRIPS[method]
    assert ('ballot-tray">' in tab.html) == (method in ("duo-trio", "tetrad")), "no code stands twice on one screen"


@pytest.mark.parametrize("method", METHODS)
def test_a_later_set_says_that_a_new_tray_is_to_be_waited_for(stage: Stage, method: str) -> None:
    tab = stage.smelling(method=method, minutes=(5, 90), primary=300).press("Begin")
    first = stage.asked().serving_id
    while (question := stage.asked()).name != "choice" or question.serving_id == first:
        assert words.NEXT_TRAY not in tab.html
        tab.lock(value_to_tap(question))
    assert words.NEXT_TRAY in tab.html
    assert tab.tray == list(question.codes)


def test_duo_trio_names_the_first_code_as_reference_and_offers_the_other_two(stage: Stage) -> None:
    tab = stage.smelling(method="duo-trio").press("Begin")
    first, *others = stage.asked().codes
    assert f"<b>{first}</b> ({words.REFERENCE})" in tab.html
    assert tab.choice.options == others


def test_tetrad_offers_the_three_ways_to_pair_four_strips(stage: Stage) -> None:
    tab = stage.smelling(method="tetrad").press("Begin")
    a, b, c, d = stage.asked().codes
    shown = [re.findall(r"\d{3}", option) for option in tab.choice.options]
    assert shown == [[a, b, c, d], [a, c, b, d], [a, d, b, c]]


@pytest.mark.parametrize("method", ["2-afc", "3-afc"])
def test_directed_methods_ask_for_the_descriptor_of_the_plan(stage: Stage, method: str) -> None:
    tab = stage.smelling(method=method, descriptor="like <wet> *slate*").press("Begin")
    assert "like <wet> *slate*" in tab.heading
    assert "<wet>" not in "".join(each.proto.body for each in tab.app.get("html")), "what people typed stays text"


def test_two_out_of_five_wants_exactly_two(stage: Stage) -> None:
    tab = stage.smelling(method="two-out-of-five").press("Begin")
    a, b, c, *_ = stage.asked().codes
    for picked, complete in (([a], False), ([a, b], True), ([c, a], True), ([a, b, c], False)):
        tab.take(picked)
        assert tab.button(LOCK).disabled is not complete, picked
    assert "take 1 back" in tab.html
    tab.take([c, a]).press(LOCK)
    assert stage.stored() == [("choice", f"{a}+{c}")]


def test_preferences_show_the_brief_and_allow_a_tie_only_where_planned(stage: Stage) -> None:
    tab = stage.smelling(method="preference", ties_allowed=False).press("Begin")
    assert tab.choice.options == list(stage.asked().codes)
    while stage.asked().name != "nearer":
        assert "Fig leaf" not in tab.html
        tab.lock(stage.asked().options[0])
    assert "Fig leaf after rain, no sugar." in tab.html
    assert stage.asked().options[-1] == NO_PREFERENCE
    assert len(tab.choice.options) == 3


def test_how_sure_is_asked_of_every_set_and_hearing_others_last(stage: Stage) -> None:
    tab = stage.smelling(replicates=2).press("Begin")
    names = []
    while (question := stage.asked()) is not None:
        names.append(question.name)
        tab.lock(value_to_tap(question))
    assert names == ["choice", "sure", "choice", "sure", "overheard"]


def test_the_line_above_says_set_and_strip_age_and_no_more(stage: Stage) -> None:
    tab = stage.smelling(minutes=(5, 90), primary=300, replicates=2).press("Begin")
    assert "Set 1 of 4</b> · strips smelt 5 minutes after dipping" in tab.html
    for _ in range(4):
        tab.lock(value_to_tap(stage.asked()))
    assert "Set 3 of 4</b> · strips smelt 1 hour 30 minutes after dipping" in tab.html


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(30, "30 seconds"), (60, "1 minute"), (3661, "1 hour 1 minute 1 second"), (172_800, "2 days")],
)
def test_strip_ages_are_said_in_words(seconds: int, text: str) -> None:
    assert words.age(seconds) == text


# --- welcome, resuming, remarks --------------------------------------------------------------------------------------


def test_the_welcome_comes_before_the_first_answer_only(stage: Stage) -> None:
    tab = stage.smelling()
    assert tab.heading == words.WELCOME
    for caution in ("Asthma", "flammable", "Stop if you feel unwell", "local rules", "Do not talk"):
        assert caution in tab.html
    assert stage.open().heading == words.WELCOME, "a reload before the first answer shows it again"
    tab.press("Begin")
    assert tab.heading != words.WELCOME
    tab.lock(value_to_tap(stage.asked()))
    assert stage.open().heading == tab.heading, "a reload afterwards goes on where it was"


@pytest.mark.parametrize("method", [*METHODS, "profile", "round", "ranking"])
def test_the_welcome_tells_hands_and_nose_what_to_do_and_the_set_reminds_of_it(stage: Stage, method: str) -> None:
    """It said to hold bare paper under the nose. Safety comes first, then the steps, then the button."""
    tab = stage.smelling(method=method, going_back=smelling.going_back_of(method))
    way = ballot.view(stage.notebook, stage.ballot_id).way
    assert way is not None
    steps = [tab.html.index(f"<li>{line}</li>") for line in smelling.lines(way)]
    assert steps == sorted(steps)
    assert tab.html.index("without advice from somebody qualified") < tab.html.index(words.HOW) < steps[0]
    tab.press("Begin")
    assert f'<p class="ballot-how">{smelling.reminder(way)}</p>' in tab.html
    assert words.HOW not in tab.html


def test_on_skin_the_nose_comes_to_the_place_and_touches_nothing(stage: Stage) -> None:
    from tests.skin_scene import on_both, on_skin, ready

    ready(stage.notebook, stage.scene.trial_ids, stage.scene.panelist_ids)
    skin = stage.smelling(**on_skin(), going_back="no")
    assert "Bring your nose 1 to 3 cm above the place." in skin.html
    assert "dipped end" not in skin.html
    both = stage.smelling(**on_both(), method="2-afc", descriptor="smokier", expected="second")
    assert both.html.index("Bring the dipped end") < both.html.index(words.HOW_ON_SKIN)
    assert both.html.index(words.HOW_ON_SKIN) < both.html.index("Bring your nose 1 to 3 cm above the place.")


def test_before_a_new_set_the_rest_is_told_and_counted_and_the_lock_does_not_wait(stage: Stage) -> None:
    tab = stage.begin(stage.scene.smelling(minutes=(5, 90), primary=300), asks=True).press("Begin")
    assert not tab.app.get("bidi_component"), "no rest before the first set"
    tab.press(ANYWAY)
    while stage.asked().serving_id == bench.servings(stage.notebook, stage.session_id)[0].id:
        tab.lock(value_to_tap(stage.asked()))
    assert "Rest three minutes in clean air before you smell." in tab.html
    assert len(tab.app.get("bidi_component")) == 1
    before = len(stage.stored())
    tab.press(ANYWAY).lock(value_to_tap(stage.asked()))
    assert len(stage.stored()) == before + 1


def test_no_number_in_the_countdown_could_be_taken_for_somebody_elses_code() -> None:
    """It is sent to ballots as it stands; whole hundreds are never codes (evaluation/serving/draws.py)."""
    for ending in ("js", "css"):
        told = (PAGES / "parts" / f"countdown.{ending}").read_text("utf-8")
        assert {
            one for one in re.findall(r"(?<![0-9A-Za-z#._])[1-9]\d\d(?![0-9A-Za-z._])", told) if one[1:] != "00"
        } == set()


def test_the_first_question_lies_hidden_under_the_welcome(stage: Stage) -> None:
    """Out of sight by one rule of the style sheet, so that a browser which cannot tap Begin still finds it."""
    from parts.ballot import look

    tab = stage.smelling()
    assert tab.choice.options == list(stage.asked().options)
    assert ".st-key-ballot-later, .st-key-ballot-again {display: none;}" in look.STYLE


def test_a_remark_is_stored_with_the_answer_it_belongs_to(stage: Stage) -> None:
    tab = stage.smelling().press("Begin").lock(stage.asked().options[0])
    tab.press(words.ADD_REMARK)
    tab.app.text_area[0].set_value("  smoke, far away ").run()
    tab.lock("sure")
    assert stage.stored()[1:] == [("sure", "sure"), ("remark", "smoke, far away")]
    assert not tab.app.text_area, "the field is gone with its question"


def test_a_remark_left_empty_stores_nothing(stage: Stage) -> None:
    tab = stage.smelling().press("Begin").lock(stage.asked().options[0]).press(words.ADD_REMARK)
    tab.lock("guess")
    assert [name for name, _ in stage.stored()] == ["choice", "sure"]


# --- bad moments ----------------------------------------------------------------------------------------------------


def test_two_tabs_on_one_question_store_one_row_and_tell_the_other(stage: Stage) -> None:
    tab = stage.smelling().press("Begin")
    other = stage.open().press("Begin")
    first, second, *_ = stage.asked().options
    other.take(second)
    tab.lock(first)
    other.press(LOCK)
    assert stage.stored() == [("choice", first)]
    assert "already answered" in other.html
    assert other.heading == tab.heading, "and both stand at the next question"
    assert other.choice.value is None
    assert "already answered" not in tab.html


def test_a_set_put_aside_while_it_is_open_is_told_and_the_new_set_shown(stage: Stage) -> None:
    session = stage.scene.smelling()
    tab = stage.begin(session).press("Begin")
    old = stage.asked()
    tab.take(old.options[0])
    bench.void_serving(stage.notebook, session.id, old.serving_id, "strip fell to the floor")
    tab.press(LOCK)
    assert stage.stored() == []
    assert "Another question comes first" in tab.html
    tab.press(ANYWAY)
    assert tab.tray == list(stage.asked().codes) != list(old.codes)
    assert tab.choice.value is None
    assert tab.button(LOCK).disabled


def test_closing_between_tap_and_lock_stores_nothing_and_says_so(stage: Stage) -> None:
    session = stage.scene.smelling()
    tab = stage.begin(session).press("Begin").take(stage.asked().options[0])
    bench.close(stage.notebook, session.id)
    tab.press(LOCK)
    assert stage.stored() == []
    assert "takes no more answers" in tab.html


def test_a_link_revoked_between_tap_and_lock_stores_nothing(stage: Stage) -> None:
    tab = stage.smelling().press("Begin").take(stage.asked().options[0])
    stage.visitor = NO_VISITOR
    tab.press(LOCK)
    assert stage.stored() == []
    assert not tab.app.button_group


def test_a_store_that_fails_is_one_sentence_and_the_choice_stays(stage: Stage, monkeypatch: pytest.MonkeyPatch) -> None:
    tab = stage.smelling().press("Begin").take(stage.asked().options[0])

    def fails(*_: Any) -> None:
        raise StoreError("The data are busy: try again.")

    with monkeypatch.context() as patched:
        patched.setattr(ballot, "lock_screen", fails)
        tab.press(LOCK)
    assert "The data are busy: try again." in tab.html
    assert tab.choice.value == stage.asked().options[0]
    tab.press(LOCK)
    assert len(stage.stored()) == 1
    assert words.STORED in tab.html


# --- states ---------------------------------------------------------------------------------------------------------


def test_before_the_start_the_ballot_waits_and_asks_again_by_itself(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    refreshed, fragment = [], streamlit.fragment
    monkeypatch.setattr(streamlit, "fragment", lambda f, run_every=None: refreshed.append(run_every) or fragment(f))
    session = stage.scene.sealed()
    tab = stage.begin(session)
    assert tab.heading == words.WAIT
    assert not tab.app.button
    assert refreshed[-1] >= 5
    bench.start(stage.notebook, session.id)
    tab.app.run()
    assert tab.heading == words.WELCOME
    assert refreshed[-1] is None


@pytest.mark.parametrize(
    ("event", "sentence"),
    [("close", "takes no more answers"), ("open", "takes no more answers"), ("void", "ended this session early")],
)
def test_after_the_end_there_is_a_word_and_nothing_to_answer(stage: Stage, event: str, sentence: str) -> None:
    session = stage.scene.smelling()
    tab = stage.begin(session).press("Begin").lock(stage.asked().options[0])
    with stage.notebook.writing() as tx:
        for step in ("close", "open") if event == "open" else (event,):
            tx.sittings.advance(session.id, step, {"reason": "a window was left open"})
    tab.app.run()
    assert sentence in tab.html
    assert "left open" not in tab.html, "the reason may speak of the trials"
    assert not tab.app.button_group
    assert not tab.app.button


def test_a_finished_ballot_thanks_and_shows_no_question(stage: Stage) -> None:
    session = stage.scene.smelling()
    stage.ballot_id = ballots(stage.notebook, session.id)[0].id
    answer_all(stage.notebook, stage.ballot_id)
    tab = stage.begin(session)
    assert tab.heading == words.THANKS
    assert not tab.app.button


def test_somebody_without_a_ballot_gets_a_sentence_and_a_way_to_sign_in(stage: Stage) -> None:
    stage.scene.smelling()
    app = AppTest.from_file(str(PAGES / "ballot.py"), default_timeout=120).run()
    tab = Tapped(app)
    assert tab.heading == words.NO_WAY_IN
    assert 'href="/sign-in"' in tab.html
    assert not app.button
    assert not app.button_group


# --- what reaches the browser ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", METHODS)
def test_nothing_of_the_trials_or_of_others_reaches_the_screen(stage: Stage, method: str) -> None:
    session = stage.scene.smelling(method=method, minutes=(5, 90), primary=300)
    tab = stage.begin(session, seat=3).press("Begin")
    with stage.notebook.reading() as tx:
        served = tx.sittings.servings(session.id)
    mine = {code for one in served if one.seat == 3 and not one.spare for code in one.codes}
    foreign = {code for one in served for code in one.codes} - mine
    while (question := stage.asked()) is not None:
        shown = tab.html + str(tab.choice.proto)
        visible = re.sub(r"<style>.*?</style>|<script>.*?</script>", "", tab.html, flags=re.DOTALL)
        assert not re.search(r"vetiver|Nose|Trial|trial|replicate|person-", shown.replace("ballot-", ""))
        assert not foreign & set(re.findall(r"\d{3}", visible + str(tab.choice.options)))
        ids = [each.proto.id for each in (*tab.app.button, tab.choice)]
        assert all(re.search(r"(choice|lock|add|begin|ballot-again|stop-unwell)(-\d+)?$", each) for each in ids), ids
        tab.lock(value_to_tap(question))


def test_answering_over_the_websocket_loads_nothing_heavy(tmp_path: Path) -> None:
    """A fresh server answers and locks two questions; what its process loaded is written down as it ends."""
    from evaluation.actions import doors
    from evaluation.clock import SystemClock
    from evaluation.store import Notebook

    file, said = tmp_path / "light.sqlite", tmp_path / "loaded.json"
    notebook = Notebook.open(file, SystemClock())
    session = scene(notebook).smelling()
    token = next(iter(doors.links(notebook, doors.server_secret(file), session.id).values()))
    wrapped = (
        "import atexit, json, pathlib, sys;"
        f"atexit.register(lambda: pathlib.Path({str(said)!r}).write_text(json.dumps(sorted(sys.modules))));"
        "from evaluation.__main__ import main; sys.exit(main())"
    )
    with running("--data", str(file), command=("-c", wrapped), cwd=tmp_path) as server:
        answered = _answer_two(server, server.get(f"/join/{token}").cookies)
    notebook.close()
    assert answered == 2
    loaded = {name.split(".")[0] for name in json.loads(said.read_text())}
    assert "streamlit" in loaded
    assert not loaded & HEAVY


def _answer_two(server: Running, cookies: dict[str, str]) -> int:
    answered = 0
    with server.open(cookies) as tab:
        begin_set(tab, tab.run())
        frames = tab.frames
        for _ in range(2):
            said = BackMsg()
            choice = _elements(frames, "button_group", "radio")[-1]
            state = said.rerun_script.widget_states.widgets.add(id=choice.id)
            if isinstance(choice.options[0], str):
                state.string_value = choice.options[0]
            else:
                state.string_array_value.data.append(choice.options[0].content)
            frames = _say(tab, said)
            lock = next(each for each in _elements(frames, "button") if each.label == LOCK and not each.disabled)
            said.rerun_script.widget_states.widgets.add(id=lock.id, trigger_value=True)
            frames = _say(tab, said)
            answered += words.STORED in str(frames)
    return answered


def _say(tab: Tab, said: BackMsg) -> list[Any]:
    tab.say(said)
    return tab.until_finished()


def _elements(frames: list[Any], *kinds: str) -> list[Any]:
    new = [frame.delta.new_element for frame in frames if frame.WhichOneof("type") == "delta"]
    return [getattr(one, one.WhichOneof("type")) for one in new if one.WhichOneof("type") in kinds]


def test_the_browser_is_given_one_function_to_call() -> None:
    """The announcement cannot be broken out of, whatever a refusing sentence quotes."""
    from parts.ballot import scripts

    script = scripts.announcement(7, '</script><b>"x" \\ \n')
    assert script.count("</script>") == 1
    quoted = re.search(r"textContent = (.*);const", script)
    assert quoted
    assert json.loads(quoted[1]) == '</script><b>"x" \\ \n'


def test_answers_are_not_held_back_by_the_network_stack() -> None:
    """Small frames wait 40 ms for an acknowledgement unless the listening socket says otherwise."""
    import socket

    from parts import neutral
    from streamlit.web.server.starlette import starlette_server

    neutral.apply()
    with starlette_server._bind_socket("127.0.0.1", 0, 1) as bound:
        assert bound.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)


# --- a set begins with a tap, and the ballot asks back once about an age ------------------------------------------------

ANYWAY = "Smell now anyway"


def dipped(stage: Stage, minutes: float) -> None:
    """The strips of the next set were done so many minutes ago."""
    serving_id = stage.asked().serving_id
    with stage.notebook.writing() as tx:
        tx.live.dip(serving_id, stage.notebook.clock.now() - int(60_000 * minutes))


def asking(stage: Stage, *minutes: int, **changes: Any) -> Session:
    session = stage.scene.smelling(ages=ages(*minutes), primary=60 * minutes[0], **changes)
    stage.ballot_id = ballots(stage.notebook, session.id)[0].id
    return session


def test_no_dip_tapped_is_asked_once_a_set_and_no_age_is_claimed(stage: Stage) -> None:
    tab = stage.begin(asking(stage, 5, replicates=2), asks=True).press("Begin")
    for _ in range(2):
        assert "Nobody has tapped “Dipped” for these strips, so their age is not known; planned 5 min." in tab.html
        assert tab.button(LOCK) is None
        tab.press(ANYWAY)
        assert "age not known, planned 5 minutes" in tab.html
        assert "5 minutes after dipping" not in tab.html
        tab.lock(stage.asked().options[0])
        assert tab.button(ANYWAY) is None, "once a set, not once a question"
        tab.lock(stage.asked().options[0])
    assert "Nobody has tapped" not in tab.html


def test_called_too_early_the_real_age_is_asked_and_nothing_is_blocked(stage: Stage) -> None:
    session = asking(stage, 240)
    dipped(stage, 70)
    tab = stage.begin(session, asks=True).press("Begin")
    assert "Wait until you are called" in tab.html
    tab.press("I was called: smell now")
    assert "Dipped 1 h 10 min ago, planned 4 h: smell now anyway?" in tab.html
    tab.press("Wait")
    assert "Wait until you are called" in tab.html
    tab.press("I was called: smell now").press(ANYWAY)
    assert "early: smelt 1 h 10 min after dipping, planned 4 hours" in tab.html
    tab.lock(stage.asked().options[0])
    with stage.notebook.reading() as tx:
        assert [one.kind for one in tx.sittings.deviations(session.id)] == ["early"]


def test_too_old_is_asked_and_on_time_is_not(stage: Stage) -> None:
    session = asking(stage, 5)
    dipped(stage, 9)
    tab = stage.begin(session, asks=True).press("Begin")
    assert re.search(r"Dipped 9 min \d+ s ago, planned 5 min: smell now anyway\?", tab.html)
    tab.press(ANYWAY)
    assert tab.button(LOCK) is not None
    session = asking(stage, 5)
    dipped(stage, 5)
    tab = stage.begin(session, asks=True).press("Begin")
    assert "anyway" not in tab.html
    tab.press("Smell now")
    assert "smelt 5 minutes after dipping" in tab.html
