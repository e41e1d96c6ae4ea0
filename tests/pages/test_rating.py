"""Rating screens and rankings over the websocket: what the component is given, what it tells, what is stored."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from parts.ballot import around_questions as words

from evaluation.actions import ballot, bench, doors
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from evaluation.values.descriptors import Descriptor
from tests.pages.wire import Running, Tab, press, rate, rows, running, shut
from tests.scenes import Scene, ballots, begun, scene

LOCK = "Lock this strip"
HEAVY = {"pandas", "altair", "numpy", "scipy", "statsmodels"}
MIXED = (
    Descriptor("woody", definition="Dry cedar"),
    Descriptor("sweet", "category", low="dry", high="sugary"),
    Descriptor("<b>green</b>", "check"),
    Descriptor("dose", "level"),
)


@dataclass
class House:
    server: Running
    notebook: Any
    scene: Scene
    file: Path

    @contextmanager
    def sitting(self, **changes: Any) -> Iterator[Sitting]:
        session = self.scene.smelling(**changes)
        begun(self.notebook, session.id)
        mine = ballots(self.notebook, session.id)[0].id
        token = doors.links(self.notebook, doors.server_secret(self.file), session.id)[mine]
        with self.server.open(self.server.get(f"/join/{token}").cookies) as tab:
            yield Sitting(self, session.id, mine, token, tab)


@dataclass
class Sitting:
    house: House
    session_id: str
    ballot_id: str
    token: str
    tab: Tab

    @property
    def view(self) -> Any:
        return ballot.view(self.house.notebook, self.ballot_id)

    def stored(self) -> list[tuple[str, str]]:
        with self.house.notebook.reading() as tx:
            return [(one.question, one.value) for one in tx.ballots.answers(self.ballot_id)]


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A server that writes down, as it ends, what its process has loaded."""
    file = tmp_path_factory.mktemp("rating") / "n.sqlite"
    notebook = Notebook.open(file, SystemClock())
    wrapped = (
        "import atexit, json, pathlib, sys;"
        f"atexit.register(lambda: pathlib.Path({str(file.with_suffix('.json'))!r}).write_text("
        "json.dumps(sorted(sys.modules))));"
        "from evaluation.__main__ import main; sys.exit(main())"
    )
    with running("--data", str(file), command=("-c", wrapped), cwd=file.parent) as server:
        yield House(server, notebook, scene(notebook), file)
    notebook.close()
    loaded = {name.split(".")[0] for name in json.loads(file.with_suffix(".json").read_text())}
    assert "streamlit" in loaded
    assert not loaded & HEAVY, "rating and ranking bring nothing heavy"


def html(frames: list[Any]) -> str:
    return "\n".join(
        frame.delta.new_element.html.body for frame in frames if frame.delta.new_element.WhichOneof("type") == "html"
    )


def test_a_strip_is_one_screen_with_nothing_set(house: House) -> None:
    with house.sitting(method="profile", descriptors=MIXED, asks_liking=True) as sitting:
        frames = sitting.tab.run()
        given = rows(sitting.tab)
        (code,) = sitting.view.screen[0].codes
        assert f"Smell strip {code}" in html(frames)
        assert "Strip 1 of 2, smelt 5 minutes after dipping" in html(frames)
        assert given["values"] == {}
        told = [(row["control"], row["title"], row["low"], row["high"], row["apart"]) for row in given["rows"]]
        assert told == [
            ("line", "woody", "none", "very", False),
            ("options", "sweet", "dry", "sugary", False),
            ("tick", "<b>green</b>", "", "", False),
            ("options", "dose", "", "", False),
            ("line", "How strong is it?", "no smell", "very strong", True),
            ("line", "How much do you like it?", "not at all", "very much", True),
        ]
        assert given["rows"][0]["meaning"] == "Dry cedar"
        assert given["rows"][1]["options"] == list("0123456789")
        assert given["rows"][3]["options"] == ["too weak", "right", "too strong"]
        assert [row["out"] for row in given["rows"]] == [["not smelt", "skip"]] * 2 + [[]] + [["not smelt", "skip"]] * 3


def test_taps_are_drafts_until_the_strip_is_locked_and_the_next_shows_none_of_them(house: House) -> None:
    with house.sitting(method="profile") as sitting:
        tab = sitting.tab
        tab.run()
        rate(tab, "3.7")
        rate(tab, "3.7", "4.8", "not smelt", "5.9")
        assert sitting.stored() == []
        names = ["rate woody", "rate smoky", "rate green", "rate strength"]
        assert sitting.view.drafts == dict(zip(names, ["3.7", "4.8", "not smelt", "5.9"], strict=True))
        with house.server.open(house.server.get(f"/join/{sitting.token}").cookies) as other:
            frames = other.run()
            assert rows(other)["values"] == {"0": "3.7", "1": "4.8", "2": "not smelt", "3": "5.9"}
            assert words.WELCOME not in html(frames), "who has begun is not welcomed again"
        frames = press(tab, LOCK)
        assert sitting.stored() == list(zip(names, ["3.7", "4.8", "not smelt", "5.9"], strict=True))
        assert words.STORED in html(frames)
        assert rows(tab)["values"] == {}
        assert not any(value in html(frames) + json.dumps(rows(tab)) for value in ("3.7", "4.8", "5.9"))


def test_what_is_missing_is_named_once_and_can_be_skipped_in_so_many_words(house: House) -> None:
    with house.sitting(method="profile", descriptors=MIXED) as sitting:
        tab = sitting.tab
        tab.run()
        rate(tab, "3.7")
        frames = press(tab, LOCK)
        assert "Not locked yet: there is no answer to sweet, dose and strength." in html(frames)
        assert rows(tab)["missing"]["rows"] == [1, 3, 4], "an unticked word is a no, not a gap"
        assert sitting.stored() == []
        press(tab, words.SKIP_REST)
        assert [value for _, value in sitting.stored()] == ["3.7", "skip", "no", "skip", "skip"]
        assert rows(tab)["missing"]["rows"] == []


def test_a_tab_that_is_behind_cannot_answer_the_next_strip(house: House) -> None:
    """Two tabs: what one of them still tells of a locked strip is neither stored nor put on the strip after it."""
    with house.sitting(method="profile") as sitting:
        first = sitting.tab
        first.run()
        with house.server.open(house.server.get(f"/join/{sitting.token}").cookies) as second:
            second.run()
            rate(first, *["1.1"] * 4)
            rate(second, *["2.2"] * 4)
            press(first, LOCK)
            assert [value for _, value in sitting.stored()] == ["1.1"] * 4, "as the tab that locked shows it"
            frames = press(second, LOCK)
            assert "already answered" in html(frames)
            assert sitting.view.drafts == {}
            old = rows(first)["screen"].split()[1]
            rate(second, *["3.3"] * 4, screen=f"1 {old}")
            assert sitting.view.drafts == {}
        assert len(sitting.stored()) == 4


@pytest.mark.parametrize("value", ["11.0", "5", "", "yes", "<b>5.0</b>", "5.0 "])
def test_what_is_no_answer_is_not_taken_for_one(house: House, value: str) -> None:
    with house.sitting(method="profile", people=2) as sitting:
        sitting.tab.run()
        rate(sitting.tab, value, "5.0", "5.0", "5.0")
        assert sitting.view.drafts == dict.fromkeys(("rate smoky", "rate green", "rate strength"), "5.0")
        frames = press(sitting.tab, LOCK)
        assert "no answer to woody." in html(frames)


def test_closing_between_tap_and_lock_stores_nothing_and_says_so(house: House) -> None:
    with house.sitting(method="profile") as sitting:
        sitting.tab.run()
        rate(sitting.tab, *["5.0"] * 4)
        bench.close(house.notebook, sitting.session_id)
        frames = press(sitting.tab, LOCK)
        assert sitting.stored() == []
        assert "takes no more answers" in html(frames)


def test_the_warm_up_strip_is_called_so(house: House) -> None:
    with house.sitting(method="profile", warm_up=True) as sitting:
        frames = sitting.tab.run()
        assert "Warm-up strip, smelt 5 minutes after dipping" in html(frames)
        assert words.WARM_UP_LINE in html(frames)
        rate(sitting.tab, *["5.0"] * 4)
        frames = press(sitting.tab, LOCK)
        assert "Strip 1 of 2" in html(frames)
        assert words.WARM_UP_LINE not in html(frames)


def test_a_ranking_is_locked_when_every_code_has_its_place(house: House) -> None:
    with house.sitting(method="ranking", trials=3) as sitting:
        tab = sitting.tab
        tab.run()
        codes = list(sitting.view.screen[0].codes)
        (row,) = rows(tab)["rows"]
        assert (row["control"], row["options"]) == ("ranking", codes)
        assert shut(tab, "Lock this answer"), "nothing is placed"
        for partial in (codes[0], ">".join(codes[:2])):
            rate(tab, partial)
            assert not shut(tab, "Lock this answer")
            assert words.UNORDERED in html(press(tab, "Lock this answer"))
        rate(tab, "")
        assert shut(tab, "Lock this answer"), "all were taken back"
        best_first = ">".join(reversed(codes))
        rate(tab, best_first)
        press(tab, "Lock this answer")
        assert sitting.stored() == [("ranking", best_first)]


def test_a_round_is_asked_pair_by_pair(house: House) -> None:
    with house.sitting(method="round", trials=3) as sitting:
        frames = sitting.tab.run()
        assert "Pair 1 of 3</b> · strips smelt 5 minutes after dipping" in html(frames)
        assert "Which one do you like better?" in html(frames)
