"""The plan page asks for the size that matters once, keeps it over a change of method, and begins "must not be noticed"."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import plan as planning
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.planning import sizes
from tests.scenes import scene

PAGES = Path(__file__).resolve().parents[2] / "pages"
SIZE = "Size that matters"
JOB = "**What is this session to find out?**"


@pytest.fixture
def begun(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[], AppTest]]:
    """Opens the plan page with its first question answered: not sure whether the difference is plain."""
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page() -> AppTest:
        app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        app.switch_page("plan.py").run()
        first = app.radio[0]
        return first.set_value(first.options[0]).run()

    yield open_page
    house.put(None)


def radio(app: AppTest, label: str) -> Any:
    return next(each for each in app.radio if each.label == label)


def field(app: AppTest, label: str) -> Any:
    return next(each for each in app.text_input if each.label == label)


def shown(app: AppTest) -> str:
    assert not app.exception, app.exception
    return "\n".join(each.value for kind in ("markdown", "caption", "info") for each in getattr(app, kind))


def drafted(app: AppTest, notebook: Any, brief_id: str) -> Any:
    app = next(each for each in app.button if each.label == "Save draft").click().run()
    assert not app.exception, app.exception
    (session,) = planning.sessions(notebook, brief_id)
    return session.plan


def test_a_new_plan_begins_with_the_size_that_was_its_share_before(begun: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun()
    assert radio(app, SIZE).value == "marked"
    assert "Share that matters (pd)" not in [each.label for each in app.text_input]
    plan = drafted(app, notebook, made.brief_id)
    assert (plan.size, plan.pd) == (Decimal("1.64"), sizes.sealed(Decimal("1.64"), "triangle"))


def test_another_method_keeps_the_size_and_gets_its_own_share(begun: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = radio(begun(), SIZE).set_value("moderate").run()
    assert "76 pick right (d-prime 1); that is 12.7" in shown(app)
    app = radio(app, "Method").set_value("tetrad").run()
    assert radio(app, SIZE).value == "moderate"
    assert "76 pick right (d-prime 1); that is 24.1" in shown(app)
    app = radio(app, "Method").set_value("two-out-of-five").run()
    assert field(app, "Share that matters (pd)").value == "0.30"
    assert SIZE not in [each.label for each in app.radio]
    app = radio(app, "Method").set_value("tetrad").run()
    assert radio(app, SIZE).value == "moderate"
    plan = drafted(app, notebook, made.brief_id)
    assert (plan.size, plan.pd) == (Decimal(1), sizes.sealed(Decimal(1), "tetrad"))


def test_an_own_size_is_asked_in_people(begun: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = radio(begun(), SIZE).set_value("own").run()
    app = field(app, "People of 100 who pick right").set_value("50").run()
    assert [each.value for each in app.warning if "from 51 to 99, not 50" in each.value]
    app = field(app, "People of 100 who pick right").set_value("80").run()
    plan = drafted(app, notebook, made.brief_id)
    assert plan.size is not None
    assert sizes.of_hundred(plan.size) == pytest.approx(80, abs=1e-4)


def test_what_must_not_be_noticed_begins_at_the_strict_size_and_says_what_it_takes(begun: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = radio(begun(), JOB).set_value("unnoticed").run()
    assert radio(app, SIZE).value == sizes.STRICT == "moderate"
    told = shown(app)
    assert "never that the two are the same" in told
    for cost in sizes.costs(sizes.STEPS["moderate"], 0.05, 0.05):
        assert f"{cost.pd:.2f} | {cost.answers} | {cost.strips} |" in told
    app = radio(app, SIZE).set_value("marked").run()
    app = field(app, "Beta risk").set_value("0.01").run()
    for cost in sizes.costs(sizes.STEPS["marked"], 0.05, 0.01):
        assert f"{cost.pd:.2f} | {cost.answers} | {cost.strips} |" in shown(app)
    assert drafted(app, notebook, made.brief_id).size == Decimal("1.64")


def test_a_plain_difference_is_not_asked_to_go_unnoticed(begun: Any, notebook: Any) -> None:
    scene(notebook)
    app = begun()
    app = app.radio[0].set_value(app.radio[0].options[1]).run()
    assert "It must not be noticed" not in radio(app, JOB).options
    assert SIZE not in [each.label for each in app.radio]
