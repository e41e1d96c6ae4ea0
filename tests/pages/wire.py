"""The real server in a process of its own, and what a browser says to it: plain requests and the websocket."""

from __future__ import annotations

import http.client
import json
import os
import re
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from streamlit.proto.WidgetStates_pb2 import WidgetState
from websockets.sync.client import ClientConnection, connect

ROOT = Path(__file__).resolve().parents[2]
PATIENCE = 90.0
STARTED = re.compile(r"http://localhost:(\d+)")
FINISHED = (
    ForwardMsg.ScriptFinishedStatus.FINISHED_SUCCESSFULLY,
    ForwardMsg.ScriptFinishedStatus.FINISHED_FRAGMENT_RUN_SUCCESSFULLY,
    ForwardMsg.ScriptFinishedStatus.FINISHED_WITH_COMPILE_ERROR,
)


@dataclass
class Answer:
    """A plain response."""

    status: int
    headers: list[tuple[str, str]]
    text: str

    def header(self, name: str) -> str:
        return next((value for key, value in self.headers if key.lower() == name), "")

    @property
    def set_cookies(self) -> dict[str, str]:
        """Cookie name → the whole header, as sent."""
        sent = [value for key, value in self.headers if key.lower() == "set-cookie"]
        return {value.split("=", 1)[0]: value for value in sent}

    @property
    def cookies(self) -> dict[str, str]:
        return {name: whole.split("=", 1)[1].split(";")[0] for name, whole in self.set_cookies.items()}


@dataclass
class Running:
    """A server that listens on loopback."""

    process: subprocess.Popen[str]
    port: int
    said: list[str] = field(default_factory=list)

    @property
    def origin(self) -> str:
        return f"http://localhost:{self.port}"

    def told(self, words: str) -> str:
        """The line of the terminal that holds these words; it may come a moment after the server answers."""
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            found = next((line for line in list(self.said) if words in line), None)
            if found:
                return found
            time.sleep(0.02)
        raise AssertionError(f"The terminal does not say {words!r}: {''.join(self.said)}")

    def get(self, path: str, cookies: Mapping[str, str] | None = None, **headers: str) -> Answer:
        return self.ask("GET", path, None, cookies, headers)

    def post(
        self, path: str, form: Mapping[str, str], cookies: Mapping[str, str] | None = None, **headers: str
    ) -> Answer:
        """A form sent as a browser sends it, from our own page unless ``origin`` says otherwise."""
        return self.ask("POST", path, form, cookies, {"origin": self.origin, **headers})

    def ask(
        self,
        method: str,
        path: str,
        form: Mapping[str, str] | None,
        cookies: Mapping[str, str] | None,
        headers: Mapping[str, str],
    ) -> Answer:
        """One request; a header set to "" is left out."""
        sent = {"Host": f"localhost:{self.port}", **_cookie_header(cookies)}
        sent |= {name.replace("_", "-").title(): value for name, value in headers.items() if value}
        body = None if form is None else urlencode(form)
        if body is not None:
            sent["Content-Type"] = "application/x-www-form-urlencoded"
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        try:
            line.request(method, path, body, sent)
            reply = line.getresponse()
            return Answer(reply.status, reply.getheaders(), reply.read().decode())
        finally:
            line.close()

    @contextmanager
    def open(self, cookies: Mapping[str, str] | None = None, **headers: str) -> Iterator[Tab]:
        """A browser tab on the app's websocket; ``taking_over`` names the earlier socket it continues."""
        sent = dict(headers)
        origin = sent.pop("origin", self.origin) or None
        host = sent.pop("host", "localhost")
        earlier = sent.pop("taking_over", "")
        line = connect(
            f"ws://{host}:{self.port}/_stcore/stream",
            sock=socket.create_connection(("127.0.0.1", self.port)),
            proxy=None,
            origin=origin,
            subprotocols=["streamlit", "x", *([earlier] if earlier else [])],
            additional_headers={**_cookie_header(cookies), **{k.replace("_", "-"): v for k, v in sent.items()}},
            max_size=None,
            open_timeout=PATIENCE,
            compression=None,
        )
        with line:
            yield Tab(line)


@dataclass
class Tab:
    """What one browser tab received so far."""

    line: ClientConnection
    frames: list[Any] = field(default_factory=list)

    def run(self, **state: Any) -> list[Any]:
        """Ask for a run (fields of the rerun message by name) and collect frames to its end."""
        message = BackMsg()
        message.rerun_script.context_info.url = "http://localhost/"
        for name, value in state.items():
            setattr(message.rerun_script, name, value)
        self.line.send(message.SerializeToString())
        return self.until_finished()

    def run_with(self, states: Sequence[WidgetState], fragment: str) -> list[Any]:
        """Ask for a run of a fragment with these widgets changed."""
        message = BackMsg()
        message.rerun_script.context_info.url = "http://localhost/"
        message.rerun_script.fragment_id = fragment
        message.rerun_script.widget_states.widgets.extend(states)
        self.say(message)
        return self.until_finished()

    def say(self, message: BackMsg) -> None:
        self.line.send(message.SerializeToString())

    def until_finished(self) -> list[Any]:
        """Frames up to the end of the script run now under way."""
        got: list[Any] = []
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until:
            frame = ForwardMsg()
            frame.ParseFromString(self.line.recv(timeout=PATIENCE, decode=False))
            got.append(frame)
            self.frames.append(frame)
            if frame.WhichOneof("type") == "script_finished" and frame.script_finished in FINISHED:
                return got
        raise AssertionError("the run did not end")


def choose_and_lock(tab: Tab, lock: str = "Lock this answer") -> None:
    """Answer the question a ballot shows with its first option, as a thumb would: tap, then lock."""
    begin_set(tab, tab.run())
    choice, fragment = _latest(tab.frames, ("button_group", "radio"))
    first = choice.options[0]
    state = WidgetState(id=choice.id)
    if isinstance(first, str):
        state.string_value = first
    else:
        state.string_array_value.data.append(first.content)
    tab.run_with([state], fragment)
    button, fragment = _latest(tab.frames, ("button",), lock)
    tab.run_with([state, WidgetState(id=button.id, trigger_value=True)], fragment)


def begin_set(tab: Tab, drawn: Sequence[Any]) -> None:
    """Begin the set whose age was asked about in these frames, if one was."""
    if any(frame.delta.new_element.button.label == "Smell now anyway" for frame in drawn):
        press(tab, "Smell now anyway")


def rate(tab: Tab, *values: str, screen: str = "") -> list[Any]:
    """Answer the rows of the rating screen (or ranking) drawn last, from the top, as its component tells it."""
    component, fragment = _latest(tab.frames, ("bidi_component",))
    told = {"screen": screen or json.loads(component.json)[0]["screen"], "values": dict(enumerate(values))}
    state = WidgetState(id=component.id, json_value=json.dumps({"answers": told}))
    return tab.run_with([state], fragment)


def shut(tab: Tab, label: str) -> bool:
    """Whether the button of this name, as it was drawn last, takes no tap."""
    drawn = (frame.delta.new_element for frame in reversed(tab.frames))
    return next(
        one.button.disabled for one in drawn if one.WhichOneof("type") == "button" and one.button.label == label
    )


def rows(tab: Tab) -> Any:
    """What the rating screen drawn last was given."""
    return json.loads(_latest(tab.frames, ("bidi_component",))[0].json)[0]


def press(tab: Tab, label: str) -> list[Any]:
    """Press the button with this label."""
    button, fragment = _latest(tab.frames, ("button",), label)
    return tab.run_with([WidgetState(id=button.id, trigger_value=True)], fragment)


def _latest(frames: Sequence[Any], kinds: Sequence[str], label: str = "") -> tuple[Any, str]:
    """The widget of one of these kinds (and this label) that was drawn last and can be used, and its fragment."""
    for frame in reversed(frames):
        element = frame.delta.new_element
        kind = element.WhichOneof("type")
        widget = getattr(element, kind) if kind in kinds else None
        if (
            widget is not None
            and not getattr(widget, "disabled", False)
            and label in ("", getattr(widget, "label", ""))
        ):
            return widget, frame.delta.fragment_id
    raise AssertionError(f"no {' or '.join(kinds)} {label!r} to use")


def pages(frames: Sequence[Any]) -> dict[str, str]:
    """Path → title of every page the browser was told of."""
    told = [frame.navigation for frame in frames if frame.WhichOneof("type") == "navigation"]
    return {page.url_pathname: page.page_name for page in told[-1].app_pages}


def not_found(frames: Sequence[Any]) -> bool:
    return any(frame.WhichOneof("type") == "page_not_found" for frame in frames)


def content(frames: Sequence[Any]) -> list[str]:
    """What is put on the screen, without the marks of the single run."""
    return [str(frame.delta) for frame in frames if frame.WhichOneof("type") == "delta"]


def everything(frames: Sequence[Any]) -> str:
    """All that was sent, as text to search in."""
    return "\n".join(str(frame) for frame in frames)


def raw(frames: Sequence[Any]) -> bytes:
    return b"".join(frame.SerializeToString() for frame in frames)


def _cookie_header(cookies: Mapping[str, str] | None) -> dict[str, str]:
    return {"Cookie": "; ".join(f"{name}={value}" for name, value in cookies.items())} if cookies else {}


@contextmanager
def running(
    *arguments: str,
    cwd: Path = ROOT,
    environment: Mapping[str, str] | None = None,
    command: Sequence[str] = ("-m", "evaluation"),
) -> Iterator[Running]:
    """``python -m evaluation`` on a free port, until the block ends."""
    process = subprocess.Popen(
        [sys.executable, *command, "--port", "0", *arguments],
        cwd=cwd,
        env={**os.environ, "PYTHONPATH": str(ROOT), **(environment or {})},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        yield _started(process)
    finally:
        process.terminate()
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(PATIENCE)


def _started(process: subprocess.Popen[str]) -> Running:
    said: list[str] = []
    threading.Thread(target=_listen, args=(process, said), daemon=True).start()
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until and (process.poll() is None or said):
        found = next((hit for line in list(said) if (hit := STARTED.search(line))), None)
        if found:
            server = Running(process, int(found[1]), said)
            _wait_until_healthy(server)
            return server
        time.sleep(0.02)
    raise AssertionError(f"The server did not start: {''.join(said)}")


def _listen(process: subprocess.Popen[str], said: list[str]) -> None:
    """Take what the server prints, all the time: a full pipe would stop it."""
    assert process.stdout is not None
    with process.stdout as lines:
        for line in lines:
            said.append(line)


def _wait_until_healthy(server: Running) -> None:
    until = time.monotonic() + PATIENCE
    while time.monotonic() < until:
        try:
            if server.get("/_stcore/health").status == 200:
                return
        except OSError:
            pass
        time.sleep(0.05)
    raise AssertionError("The server does not answer.")
