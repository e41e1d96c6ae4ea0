"""Everything a panelist's browser is sent in a whole session, of every method: only what that screen needs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from streamlit.proto.WidgetStates_pb2 import WidgetState

from evaluation.actions import ballot, bench, book, doors, formulas, plan, seal
from evaluation.clock import SystemClock
from evaluation.formulas import read_lines
from evaluation.store import Notebook
from tests.methods import ALL_METHODS, SEVERAL
from tests.pages.wire import Running, Tab, _latest, everything, press, rate, raw, rows, running
from tests.scenes import SEED, Scene, ages, ballots, begun, key_of

LABELS = ("Wormwood-7", "Coumarin-8")
FORMULA = ("Zzyx marker oil", "lot-marker-77", "Vexing accord")  # a material, its lot, the accord it lies in
TITLE = "Does the tonka show?"
ALIASES = tuple(f"Nose-{name}" for name in ("Abel", "Berta", "Cyrus", "Dora", "Emil", "Fanny"))
MARKED_UP = re.compile(r"(?s)<style>.*?</style>|<script>.*?</script>")
CODE = re.compile(r"(?<![\w.#&-])[1-9]\d\d(?![\w.-])")


@dataclass
class House:
    server: Running
    notebook: Any
    secret: bytes
    scene: Scene

    def smelling(self, method: str) -> str:
        more = {"descriptor": "greener", "expected": "first"} if method in ("2-afc", "3-afc") else {}
        more |= {"trials": 3} if method in SEVERAL else {}
        seconds = ages(5) if method in ("round", "ranking") else ages(5, 30)
        # Replicates would be a question each of the same kind; a preference is asked once a person.
        wanted = self.scene.plan(method=method, title=TITLE, ages=seconds, primary=seconds[0].seconds, spare=1, **more)
        draft = plan.add_draft(self.notebook, wanted)
        seal.seal(self.notebook, draft.id, SEED)
        bench.start(self.notebook, draft.id)
        begun(self.notebook, draft.id)
        return draft.id


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    file = tmp_path_factory.mktemp("frames") / "n.sqlite"
    notebook = Notebook.open(file, SystemClock())
    brief = book.add_brief(notebook, "Hay-loft secret", "Sun on dry straw.")
    trials = [book.add_trial(notebook, brief.id, label, changed=f"{label} doubled") for label in LABELS]
    people = [book.add_panelist(notebook, alias).id for alias in ALIASES]
    for one, parts in zip(trials, (4, 6), strict=True):
        made_of = f"{FORMULA[0]}; {parts}; 10; {FORMULA[1]}; {FORMULA[2]}"
        formulas.write(notebook, one.id, read_lines(made_of), new_materials=True)
    here = Scene(notebook, brief.id, (trials[0].id, trials[1].id), tuple(people))
    with running("--data", str(file), cwd=file.parent) as server:
        yield House(server, notebook, doors.server_secret(file), here)
    notebook.close()


def answer(tab: Tab, asked: Any) -> list[Any]:
    """Choose the first options, lock, and return what came."""
    if asked.kind != "choice":
        drawn = rows(tab)["rows"]
        rate(tab, *(">".join(row["options"]) if asked.kind == "ranking" else "3.7" for row in drawn))
        return press(tab, "Lock this answer" if asked.kind == "ranking" else "Lock this strip")
    choice, fragment = _latest(tab.frames, ("button_group", "radio"))
    made = WidgetState(id=choice.id)
    if isinstance(choice.options[0], str):
        made.string_value = choice.options[0]
    else:
        made.string_array_value.data.extend(one.content for one in choice.options[: asked.pick])
    tab.run_with([made], fragment)
    button, fragment = _latest(tab.frames, ("button",), "Lock this answer")
    return tab.run_with([made, WidgetState(id=button.id, trigger_value=True)], fragment)


def shown(frames: list[Any]) -> str:
    """What the frames draw, without style sheets, scripts and the framework's own marks."""
    drawn = []
    for frame in frames:
        element = frame.delta.new_element
        kind = element.WhichOneof("type")
        if kind == "html":
            drawn.append(MARKED_UP.sub(" ", element.html.body))
        elif kind in ("button_group", "radio", "button", "text_area", "markdown", "alert"):
            drawn.append(re.sub(r'(?m)^\s*id: ".*"$', "", str(getattr(element, kind))))
        elif kind == "bidi_component":
            drawn.append(element.bidi_component.json)
    return "\n".join(drawn)


def never(house: House, session_id: str, own: str) -> list[str]:
    """What no frame may hold, whatever the moment."""
    with house.notebook.reading() as tx:
        session = tx.sittings.session(session_id)
        brief = tx.book.brief(session.plan.brief_id)
        listed = tx.ballots.ballots(session_id)
    tokens = doors.links(house.notebook, house.secret, session_id).values()
    words = [
        *LABELS,
        TITLE,
        brief.title,
        *ALIASES,
        *FORMULA,
        session.id,
        brief.id,
        *house.scene.trial_ids,
        *house.scene.panelist_ids,
    ]
    return [*words, *tokens, session.sealed_hash, *(one.id for one in listed if one.id != own), SEED.hex()]


@pytest.mark.parametrize("method", sorted(ALL_METHODS))
def test_a_whole_session_tells_a_panelist_nothing_but_the_screen(house: House, method: str) -> None:
    session_id = house.smelling(method)
    mine = ballots(house.notebook, session_id)[1]
    token = doors.links(house.notebook, house.secret, session_id)[mine.id]
    with house.notebook.reading() as tx:
        served = {one.id: one.codes for one in tx.sittings.servings(session_id, mine.seat)}
    met: set[str] = set()
    with house.server.open(house.server.get(f"/join/{token}").cookies) as tab:
        came = tab.run()
        while (asked := ballot.view(house.notebook, mine.id).question) is not None:
            # Codes come with their set and not before; the question about the whole session may name all of them.
            met |= set(served.get(asked.serving_id, asked.codes))
            seen = set(CODE.findall(shown(came)))
            assert seen <= met
            assert asked.name.split()[0] not in ("choice", "rate", "ranking") or set(served[asked.serving_id]) <= seen
            came = answer(tab, asked)
        assert "hank" in shown(came)
        tab.run()
    heard, bytes_heard = everything(tab.frames), raw(tab.frames)
    told = [one for one in never(house, session_id, mine.id) if one in heard or one.encode() in bytes_heard]
    assert told == []
    assert_no_pattern(house, session_id, shown(tab.frames))


def assert_no_pattern(house: House, session_id: str, text: str) -> None:
    """Neither the orders of the key nor a code beside its vial letter."""
    key = key_of(house.notebook, session_id)
    orders = {pattern for _, pattern in key.orders}
    assert orders
    orders = {pattern for pattern in orders if len(pattern) > 1}  # the one letter of a single strip is a word, too
    assert [one for one in orders if re.search(rf"\b{one}\b", text)] == []
    letters = "|".join(key.letters)
    assert re.search(rf"\d{{3}}\s*(→|:|=|\()?\s*({letters})\b", text) is None
