"""What was typed and chosen for a plan is there again after a reload, which the framework answers with a new session."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from parts.plan import typed_kept
from streamlit.testing.v1 import AppTest

from tests.pages.test_plan_size import begun as begun
from tests.pages.test_plan_size import drafted, field, radio, shown
from tests.scenes import scene

METHOD = "Method"


def reloaded() -> AppTest:
    """A new session of the same browser."""
    from tests.pages.test_plan_size import PAGES

    app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120).run()
    return app.switch_page("plan.py").run()


def test_a_reload_brings_back_what_was_typed_and_chosen(begun: Callable[[], AppTest], notebook: Any) -> None:
    brief = scene(notebook, people=8).brief_id
    app = begun()
    app = radio(app, METHOD).set_value("tetrad").run()
    app = field(app, "Alpha risk").set_value("0.02").run()
    again = reloaded()
    assert typed_kept.HERE_AGAIN in shown(again)
    assert radio(again, METHOD).value == "tetrad"
    assert field(again, "Alpha risk").value == "0.02"
    assert (str(drafted(again, notebook, brief).alpha), drafted_method(notebook, brief)) == ("0.02", "tetrad")
    after = reloaded()  # it is stored: nothing is put back into a new plan
    assert typed_kept.HERE_AGAIN not in shown(after)
    assert not [one for one in after.text_input if one.label == "Alpha risk"]


def drafted_method(notebook: Any, brief_id: str) -> str:
    from evaluation.actions import plan

    (session,) = plan.sessions(notebook, brief_id)
    return session.plan.method


def test_what_was_put_back_can_be_let_go(begun: Callable[[], AppTest], notebook: Any) -> None:
    scene(notebook, people=8)
    field(begun(), "Alpha risk").set_value("0.02").run()
    again = reloaded()
    again = next(one for one in again.button if one.label == typed_kept.AFRESH).click().run()
    assert typed_kept.HERE_AGAIN not in shown(again)
    assert radio(again, "**Is the difference plain to everyone?** (two finished, different trials)").value is None
    assert typed_kept.HERE_AGAIN not in shown(reloaded())
