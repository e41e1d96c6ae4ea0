"""Strip and skin in one session: two verdicts, each of its own answers, never pooled (evaluation/actions/two_findings.py)."""

from __future__ import annotations

from typing import Any

import pytest
from scipy import stats

from evaluation.actions import ballot, bench, findings, opened
from evaluation.counting.questions import on_medium
from evaluation.judging.entries import Entry, PreferenceEntry
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Question, Session
from tests import scenes
from tests.skin_scene import on_both, on_skin, ready


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    own = scenes.scene(notebook, people=12)
    ready(notebook, own.trial_ids, own.panelist_ids)
    return own


def directed() -> dict[str, Any]:
    return on_both() | {"method": "2-afc", "descriptor": "smokier", "expected": "second"}


def answered(scene: scenes.Scene, session: Session, right: dict[str, int], stopping: int = 0) -> None:
    """``right``: how many seats, from the first, are right on each medium; the first ``stopping`` seats stop on skin."""
    key = dict(scenes.key_of(scene.notebook, session.id).orders)
    media = {one.id: one.medium for one in bench.servings(scene.notebook, session.id)}
    for own in scenes.ballots(scene.notebook, session.id):
        if own.seat <= stopping:
            ballot.stop(scene.notebook, own.id, "skin")

        def how(asked: Question, seat: int = own.seat) -> str:
            if asked.name != "choice":
                return asked.options[0]
            best = correct_value("2-afc", key[asked.serving_id], asked.codes, "second")
            wanted = seat <= right[media[asked.serving_id]]
            return best if wanted else next(code for code in asked.codes if code != best)

        scenes.answer_all(scene.notebook, own.id, how)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)


def test_each_medium_has_its_own_verdict(scene: scenes.Scene) -> None:
    session = scene.smelling(**directed())
    answered(scene, session, {"strip": 12, "skin": 7})
    found = findings.findings(scene.notebook, session.id)
    (strip,), (skin,) = found.found[0].entries, found.found[1].entries
    assert isinstance(strip, Entry)
    assert isinstance(skin, Entry)
    assert [(strip.correct, strip.assessments), (skin.correct, skin.assessments)] == [(12, 12), (7, 12)]
    for entry in (strip, skin):  # exact binomial from a general library
        law = stats.binomtest(entry.correct, entry.assessments, 0.5, alternative="greater")
        assert entry.p_value == pytest.approx(law.pvalue, rel=1e-12)
    assert (strip.verdict, skin.verdict) == ("noticed", "undecided")
    assert (strip.age_minutes, skin.age_minutes) == (5, 30)
    assert found.context.session.plan == session.plan
    assert (found.found[1].plan.medium, found.found[1].plan.skin_ages) == ("skin", ())
    assert found.context.log_holds


def test_what_is_noted_for_a_set_on_skin_leaves_the_strips_alone(scene: scenes.Scene) -> None:
    session = scene.smelling(**directed())
    on_arm = next(one for one in bench.servings(scene.notebook, session.id) if one.seat == 3 and one.medium == "skin")
    bench.note_deviation(scene.notebook, session.id, 3, "wrong strip", "the wrong vial", on_arm.id)
    answered(scene, session, {"strip": 12, "skin": 12})
    found = findings.findings(scene.notebook, session.id)
    assert (found.found[0].entries[0].assessments, found.found[1].entries[0].assessments) == (12, 11)
    assert [len(found.context.noted_on(part.medium)) for part in found.found] == [0, 1]


def test_who_stopped_is_named_and_counted_on_strips_only(scene: scenes.Scene) -> None:
    session = scene.smelling(**directed())
    answered(scene, session, {"strip": 12, "skin": 12}, stopping=2)
    found = findings.findings(scene.notebook, session.id)
    assert (found.found[0].entries[0].assessments, found.found[1].entries[0].assessments) == (12, 10)
    assert found.context.stopped == ("Nose 1", "Nose 2")
    assert [(loss.planned, loss.answered) for loss in found.found[1].losses] == [(12, 10)]


def test_a_preference_on_both_keeps_wearing_with_its_medium(scene: scenes.Scene) -> None:
    session = scene.smelling(**(on_both() | {"method": "preference", "asks_nearer": False}))
    for own in scenes.ballots(scene.notebook, session.id):
        scenes.answer_all(scene.notebook, own.id)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    found = findings.findings(scene.notebook, session.id)
    for part in found.found:
        (entry,) = part.entries
        assert isinstance(entry, PreferenceEntry)
        assert entry.first + entry.second + entry.none == 12
    with scene.notebook.reading() as tx:
        held = opened.held_of(tx, session.id)
    both = [on_medium(held, medium).answers for medium in ("strip", "skin")]
    asked_once = [one for one in held.answers if one.question.startswith(("wear", "strength"))]
    assert sum(one in part for part in both for one in asked_once) == len(asked_once) == 48


def test_skin_alone_is_one_verdict(scene: scenes.Scene) -> None:
    session = scene.smelling(**on_skin())
    for own in scenes.ballots(scene.notebook, session.id):
        scenes.answer_all(scene.notebook, own.id)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    found = findings.findings(scene.notebook, session.id)
    assert [part.medium for part in found.found] == ["skin"]
    assert found.found[0].entries[0].age_minutes == 30
