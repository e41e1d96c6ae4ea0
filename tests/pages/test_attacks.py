"""A panelist with a valid link who knows everything about the software, against the real server."""

from __future__ import annotations

import http.client
import re
import threading
from collections.abc import Sequence
from typing import Any

import pytest
from parts.doors.front import CONDUCTOR_PAGES
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.WidgetStates_pb2 import WidgetState
from websockets.exceptions import ConnectionClosed

from evaluation.actions import ballot, bench
from tests.pages.conftest import Desk
from tests.pages.wire import PATIENCE, Tab, _latest, everything, pages

CONDUCTORS = ("", *(name for name, _ in CONDUCTOR_PAGES[1:]))  # the first is the front page


def stored(desk: Desk, seat: int) -> list[tuple[str, str]]:
    with desk.notebook.reading() as tx:
        return [(one.question, one.value) for one in tx.ballots.answers(desk.ballot_ids[seat - 1])]


def forged(page: str = "", fragment: str = "", states: Sequence[WidgetState] = ()) -> BackMsg:
    message = BackMsg()
    run = message.rerun_script
    run.context_info.url, run.page_script_hash, run.fragment_id = "http://localhost/", page, fragment
    run.widget_states.widgets.extend(states)
    return message


def sent(tab: Tab, message: BackMsg) -> str:
    """Send it and hear everything to the end of its run; a fragment that is not ours has no run, so one follows."""
    before = len(tab.frames)
    ours = {frame.delta.fragment_id for frame in tab.frames} | {""}
    tab.say(message)
    if message.rerun_script.fragment_id in ours:
        tab.until_finished()
    else:
        tab.run()
    return everything(tab.frames[before:])


@pytest.fixture(scope="module")
def known(desk: Desk) -> dict[str, list[str]]:
    """What only the conductor's own browser is told: the marks of its pages, fragments and buttons."""
    told: dict[str, list[str]] = {"pages": [], "fragments": [], "buttons": []}
    with desk.server.open() as tab:
        for name in CONDUCTORS:
            tab.run(page_name=name)
    for frame in tab.frames:
        if frame.WhichOneof("type") == "navigation":
            told["pages"] = [page.page_script_hash for page in frame.navigation.app_pages]
        element = frame.delta.new_element
        told["fragments"] += [frame.delta.fragment_id] if frame.delta.fragment_id else []
        told["buttons"] += [element.button.id] if element.WhichOneof("type") == "button" else []
    assert len(told["pages"]) == len(CONDUCTORS)
    assert told["fragments"]
    assert len(told["buttons"]) > 5
    return told


def test_messages_forged_with_the_conductors_own_marks_do_and_show_nothing(
    desk: Desk, known: dict[str, list[str]]
) -> None:
    with desk.notebook.reading() as tx:
        session = tx.sittings.session(desk.session_id)
        records = len(tx.log.records(desk.session_id))
        people = [tx.book.panelist(one.panelist_id).alias for one in session.plan.seats if one.panelist_id]
    secret = [session.plan.title, session.id, session.sealed_hash, "/join/", *people]
    pressed = [WidgetState(id=one, trigger_value=True) for one in known["buttons"]]
    with desk.server.open(desk.join()) as tab:
        tab.run()
        for page in known["pages"]:
            for fragment in ("", *set(known["fragments"])):
                sent(tab, forged(page, fragment, pressed))
        assert list(pages(tab.frames)) == [""]
        heard = everything(tab.frames)
    assert [one for one in secret if one in heard] == []
    with desk.notebook.reading() as tx:
        assert len(tx.log.records(desk.session_id)) == records
        assert tx.sittings.session(desk.session_id) == session


def chosen(control: Any, value: str) -> WidgetState:
    state = WidgetState(id=control.id)
    if isinstance(control.options[0], str):
        state.string_value = value
    else:
        state.string_array_value.data.append(value)
    return state


def offered(control: Any) -> list[str]:
    return [one if isinstance(one, str) else one.content for one in control.options]


def test_a_lock_that_is_shut_cannot_be_pressed_whatever_is_said_to_be_chosen(desk: Desk) -> None:
    with desk.server.open(desk.join(2)) as tab:
        tab.run()
        control, fragment = _latest(tab.frames, ("button_group",))
        drawn = (frame.delta.new_element.button for frame in tab.frames)
        press = WidgetState(id=next(one.id for one in drawn if one.label.startswith("Lock")), trigger_value=True)
        for value in ("999", "", "x" * 500_000, "<script>", "+".join(offered(control)[:2])):
            sent(tab, forged(fragment=fragment, states=[chosen(control, value), press]))
            assert stored(desk, 2) == []


@pytest.mark.parametrize(
    "forge",
    [
        lambda control, elsewhere: chosen(control, elsewhere),
        lambda control, elsewhere: chosen(control, "x" * 500_000),
        lambda control, elsewhere: WidgetState(id=control.id, int_value=0),
        lambda control, elsewhere: WidgetState(id=control.id, json_value=f'"{elsewhere}"'),
    ],
)
def test_with_an_open_lock_nothing_is_stored_but_an_option_this_person_chose(desk: Desk, forge: Any) -> None:
    """The framework reads what it cannot place as what was chosen before, or the run ends in our sentence."""
    with desk.notebook.reading() as tx:
        elsewhere = tx.sittings.servings(desk.session_id, 3)[0].codes[0]
    before = stored(desk, 7)
    with desk.server.open(desk.join(7)) as tab:
        tab.run()
        control, fragment = _latest(tab.frames, ("button_group", "radio"))
        assert elsewhere not in offered(control)
        tab.run_with([chosen(control, offered(control)[1])], fragment)
        asked = ballot.view(desk.notebook, desk.ballot_ids[6]).question
        button, fragment = _latest(tab.frames, ("button",), "Lock this answer")
        press = WidgetState(id=button.id, trigger_value=True)
        said = sent(tab, forged(fragment=fragment, states=[forge(control, elsewhere), press]))
    assert "Traceback" not in said
    assert asked is not None
    assert stored(desk, 7) in (before, [*before, (asked.name, asked.options[1])])


def test_two_sockets_that_lock_one_question_at_once_store_one_answer(desk: Desk) -> None:
    cookies, together = desk.join(3), threading.Barrier(2)
    heard: list[str] = []

    def lock(tab: Tab, place: int) -> None:
        tab.run()
        choice, fragment = _latest(tab.frames, ("button_group",))
        made = WidgetState(id=choice.id)
        made.string_array_value.data.append(choice.options[place].content)
        tab.run_with([made], fragment)
        button, fragment = _latest(tab.frames, ("button",), "Lock this answer")
        together.wait(PATIENCE)
        heard.append(everything(tab.run_with([made, WidgetState(id=button.id, trigger_value=True)], fragment)))

    with desk.server.open(cookies) as one, desk.server.open(cookies) as two:
        both = [threading.Thread(target=lock, args=(tab, place)) for place, tab in enumerate((one, two))]
        for thread in both:
            thread.start()
        for thread in both:
            thread.join(4 * PATIENCE)
    assert len(stored(desk, 3)) == 1
    assert sorted("already answered" in one for one in heard) == [False, True]


def test_a_message_larger_than_any_answer_ends_the_connection_and_nothing_else(desk: Desk) -> None:
    with desk.server.open(desk.join(4)) as tab:
        tab.run()
        tab.say(forged(states=[WidgetState(id="anything", string_value="x" * 1_100_000)]))
        with pytest.raises(ConnectionClosed):
            tab.run()
    with desk.server.open(desk.join(4)) as tab:
        assert "Begin" in everything(tab.run())


def test_nobody_can_put_files_into_the_servers_memory(desk: Desk) -> None:
    """With the right cookie, token and socket the framework itself would take 5 MB at a time without end."""
    mark = desk.server.get("/_stcore/health").cookies["_streamlit_xsrf"]
    body = '--b\r\nContent-Disposition: form-data; name="file"; filename="a"\r\n\r\nxxx\r\n--b--\r\n'
    with desk.server.open(desk.join(4)) as tab:
        tab.run()
        socket_id = next(
            f for f in tab.frames if f.WhichOneof("type") == "new_session"
        ).new_session.initialize.session_id
        line = http.client.HTTPConnection("127.0.0.1", desk.server.port, timeout=PATIENCE)
        headers = {
            "Host": f"localhost:{desk.server.port}", "Origin": desk.server.origin, "X-Xsrftoken": mark,
            "Cookie": f"_streamlit_xsrf={mark}", "Content-Type": "multipart/form-data; boundary=b",
        }  # fmt: skip
        line.request("PUT", f"/_stcore/upload_file/{socket_id}/one", body, headers)
        status = line.getresponse().status
        line.close()
    assert status == 404


@pytest.mark.parametrize(
    "path",
    ["/files/{}/answers.csv", "/files/{}/verdict.csv", "/files/{}%2fanswers.csv", "//files/{}/answers.csv",
     "/files/../files/{}/answers.csv", "/files/{}/..%2fanswers.csv", "/join/../files/{}/answers.csv"],
)  # fmt: skip
def test_files_are_not_there_for_a_panelist(desk: Desk, path: str) -> None:
    answer = desk.server.get(path.format(desk.session_id), desk.join(4))
    assert answer.status in (400, 404)
    assert "attachment" not in answer.header("content-disposition")


def look_at_the_key(tab: Tab, page: str) -> None:
    """As somebody who does not smell: say so, and have code and vial letter shown."""
    sent(tab, forged(page))
    asked, fragment = _latest(tab.frames, ("selectbox",), "Who is looking?")
    looking = WidgetState(id=asked.id, string_value=asked.options[0])
    sent(tab, forged(page, fragment, [looking]))
    button, fragment = _latest(tab.frames, ("button",), "Show code and vial letter")
    sent(tab, forged(page, fragment, [looking, WidgetState(id=button.id, trigger_value=True)]))


def test_the_key_on_the_conductors_screen_reaches_no_other_socket_not_even_one_that_takes_it_over(
    desk: Desk, known: dict[str, list[str]]
) -> None:
    """The framework lets a socket be taken up again by its id; who is there is asked of the new cookies."""
    with desk.server.open() as tab, desk.server.open(desk.join(5)) as beside:
        beside.run()
        look_at_the_key(tab, known["pages"][CONDUCTORS.index("bench")])
        first = next(f for f in tab.frames if f.WhichOneof("type") == "new_session").new_session
        assert len(re.findall(r"\d{3} → [A-Z]", everything(tab.frames))) >= 8 * 3
        beside.run()
    with desk.server.open(desk.join(5), taking_over=first.initialize.session_id) as after:
        for fragment in ("", *set(known["fragments"])):
            sent(after, forged(known["pages"][CONDUCTORS.index("bench")], fragment))
        assert list(pages(after.frames)) == [""]
    for heard in (everything(beside.frames), everything(after.frames)):
        assert "→" not in heard
        assert desk.session_id not in heard


def test_a_lock_sent_after_close_is_refused(desk: Desk) -> None:
    """The last test of this file: it ends the session."""
    with desk.server.open(desk.join(6)) as tab:
        tab.run()
        choice, fragment = _latest(tab.frames, ("button_group",))
        made = WidgetState(id=choice.id)
        made.string_array_value.data.append(choice.options[0].content)
        tab.run_with([made], fragment)
        button, fragment = _latest(tab.frames, ("button",), "Lock this answer")
        bench.close(desk.notebook, desk.session_id)
        said = everything(tab.run_with([made, WidgetState(id=button.id, trigger_value=True)], fragment))
    assert stored(desk, 6) == []
    assert "only while the session is running" in said or "hank" in said
