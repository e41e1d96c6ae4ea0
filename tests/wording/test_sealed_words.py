"""A sealed plan is told once: page and report read the same lines, whatever the kind of session."""

from __future__ import annotations

from typing import Any

import pytest

from evaluation.actions import bench, findings
from evaluation.report import composing
from evaluation.wording import of_sealed_plans
from tests import scenes

NAMES = ("7", "8")


def test_the_prior_and_the_preference_rule_are_told_where_they_belong() -> None:
    forced = of_sealed_plans.plan_lines(scenes.plan(prior="hopeful"), NAMES)
    liked = of_sealed_plans.plan_lines(scenes.plan(method="preference", ties_rule="split"), NAMES)
    assert "Prior of the second opinion, never of the verdict: hopeful." in forced
    assert not any("second opinion" in line for line in liked)
    assert any("shared between both trials" in line for line in liked)


def test_who_smelt_alone_prepared_too() -> None:
    alone = of_sealed_plans.plan_lines(scenes.plan(people=1, solo=True, replicates=8, preparation="clips"), NAMES)
    assert "One person, who prepared and smelt, 8 sets each at each age." in alone
    assert any(line.startswith("Made blind by like clips") for line in alone)


@pytest.mark.parametrize("changes", [{"prior": "flat"}, {"method": "preference"}, {"method": "round", "trials": 3}])
def test_the_report_tells_what_the_page_tells(notebook: Any, changes: dict[str, Any]) -> None:
    scene = scenes.scene(notebook, people=6)
    session = scene.smelling(**changes)
    for own in scenes.ballots(notebook, session.id):
        scenes.answer_all(notebook, own.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    about = findings.findings(notebook, session.id).context
    told = [getattr(one, "text", "") for one in composing.report(notebook, session.id).blocks]
    page = of_sealed_plans.plan_lines(about.session.plan, about.names)
    start = told.index(page[0])
    assert tuple(told[start : start + len(page)]) == page
    assert set(of_sealed_plans.blind_lines(about.session.plan, about.key_seen_by)) <= set(told)


def test_who_stopped_is_told_in_one_way() -> None:
    assert list(of_sealed_plans.stopped_lines(())) == []
    (one,) = of_sealed_plans.stopped_lines(("Ann",))
    (two,) = of_sealed_plans.stopped_lines(("Ann", "Bo"))
    assert one == "Stopped because the skin reacted: Ann; the skin part ended there."
    assert two == "Stopped because the skin reacted: Ann, Bo; their skin part ended there."
