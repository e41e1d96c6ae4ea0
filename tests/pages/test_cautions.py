"""Who should not take part, and who stays off skin: every place read as a person reads it, against the one source.

Which conditions belong on the list is common practice, no source; here it is written a second time, by hand, so that the
source itself cannot lose one unseen.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import fields
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions.doors import BALLOT, CONDUCTOR, Visitor
from evaluation.serving import cautions
from evaluation.sheets import printing
from evaluation.sheets.printing import Wish
from evaluation.skin import EXCLUSIONS, SkinFacts
from tests.scenes import Scene, ballots, scene
from tests.sheets.test_sheets import text_of
from tests.skin_scene import on_both, ready

ROOT = Path(__file__).resolve().parents[2]
ON_BOTH = {**on_both(), "method": "2-afc", "descriptor": "smokier", "expected": "second"}


def test_the_source_holds_what_the_trade_asks_for() -> None:
    strips = " | ".join(cautions.ON_STRIPS.values())
    skin = " | ".join(cautions.ON_SKIN.values())
    for needed in ("asthma", "migraine set off by scents", "allergy", "pregnant", "under 18", "unwell today"):
        assert needed in strips
        assert needed in skin
    for needed in ("eczema", "broken", "shaved", "breast-feeding", "sensitive to light"):
        assert needed in skin
    answered = {field.name for field in fields(SkinFacts)} - {"panelist_id", "consent", "at"}
    assert answered == set(EXCLUSIONS), "every answer of the skin questions keeps a person off skin, and is told"


def plain(text: str) -> str:
    """As it reads: no escapes, no tags, single blanks, small letters."""
    return re.sub(r"\s+", " ", unescape(re.sub(r"<[^>]+>", " ", text.replace("\\", "")))).casefold()


@pytest.fixture
def made(notebook: Any) -> Scene:
    """Everything that skin asks for is there, so that a session on both can be sealed."""
    here = scene(notebook)
    ready(notebook, here.trial_ids, here.panelist_ids)
    return here


@pytest.fixture
def page(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    house.put(House(notebook, bytes(32)))

    def read(name: str, ballot_id: str | None = None, **chosen: str) -> str:
        here = Visitor(BALLOT, ballot_id) if ballot_id else Visitor(CONDUCTOR)
        monkeypatch.setattr(visitor, "current", lambda: here)
        monkeypatch.setattr(visitor, "ballot_in", lambda tx: here.ballot_id)
        app = AppTest.from_file(str(ROOT / "pages" / "app.py"), default_timeout=120)
        if name:
            app.switch_page(f"{name}.py")
        app.run()
        for label, value in chosen.items():
            next(one for one in app.radio if label in one.label).set_value(value).run()
        assert not app.exception
        shown = [*app.markdown, *app.caption, *app.warning, *app.info, *app.error]
        return "\n".join([*(one.value for one in shown), *(one.proto.body for one in app.get("html"))])

    yield read
    house.put(None)


Page = Callable[..., str]


def _readme(made: Scene, page: Page) -> str:
    return (ROOT / "README.md").read_text(encoding="utf-8")


def _plan(made: Scene, page: Page) -> str:
    return page("plan", plain="Yes, anybody would notice", Medium="strip and skin")


def _bench(made: Scene, page: Page) -> str:
    made.smelling(**ON_BOTH)
    return page("bench")


def _ballot(made: Scene, page: Page) -> str:
    return page("", ballots(made.notebook, made.smelling(**ON_BOTH).id)[0].id)


def _sheet(name: str) -> Callable[[Scene, Page], str]:
    def read(made: Scene, page: Page) -> str:
        return text_of(printing.open_sheet(made.notebook, made.smelling(**ON_BOTH).id, name, Wish()).content)

    return read


def _skin(made: Scene, page: Page) -> str:
    return page("skin")


BOTH = {
    "README": _readme,
    "plan": _plan,
    "bench": _bench,
    "ballot": _ballot,
    "card": _sheet("ballots"),
    "times sheet": _sheet("times"),
    "page Skin": _skin,
}


@pytest.mark.parametrize("place", BOTH)
def test_every_place_names_all_of_them_for_strips_and_for_skin(made: Scene, page: Page, place: str) -> None:
    told = plain(BOTH[place](made, page))
    missing = [words for words in (*cautions.ON_STRIPS.values(), *cautions.ON_SKIN.values()) if words not in told]
    assert missing == []
    assert "take part without advice from somebody qualified" in told, "strips: not without advice"
    assert re.search("nothing is put on (the|your) skin", told), "skin: not at all"


def test_strips_alone_tell_the_rule_of_strips_and_none_of_skin(made: Scene, page: Page) -> None:
    session = made.smelling()
    for told in (page("", ballots(made.notebook, session.id)[0].id), _ballots_on_paper(made, session.id)):
        assert [words for words in cautions.ON_STRIPS.values() if words not in plain(told)] == []
        assert "on your skin" not in plain(told)


def _ballots_on_paper(made: Scene, session_id: str) -> str:
    return text_of(printing.open_sheet(made.notebook, session_id, "ballots", Wish()).content)


def test_the_page_alone_and_the_panel_name_all_of_strips(notebook: Any, page: Page) -> None:
    here = scene(notebook, people=1)
    here.sealed(solo=True, method="triangle", replicates=6, confirmed=("not noticed",))
    for name in ("solo", "panel"):
        told = plain(page(name))
        assert [words for words in cautions.ON_STRIPS.values() if words not in told] == [], name
        assert "without advice from somebody qualified" in told, name


@pytest.mark.parametrize("place", ["ballot", "card"])
def test_whoever_smells_is_sent_to_rules_and_doctor_and_not_advised(made: Scene, page: Page, place: str) -> None:
    told = plain(BOTH[place](made, page))
    assert re.search("follow your local rules and your doctor's advice; this (page|card) gives none", told)
