"""Findings have one shape, whatever the kind of session: what stands around, and one part for each medium."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import pytest

from evaluation.actions import ballot, bench, findings
from evaluation.actions.opened import Context, Findings
from tests import scenes
from tests.skin_scene import on_both, ready

KINDS: tuple[dict[str, Any], ...] = (
    {"method": "triangle"},
    {"method": "preference"},
    {"method": "profile", "descriptors": scenes.RATED[:1], "trials": 3},
    {"method": "round", "trials": 3},
    {"method": "ranking", "trials": 3},
)


@pytest.mark.parametrize("changes", KINDS, ids=lambda one: one["method"])
def test_every_kind_is_found_by_one_function_in_one_shape(notebook: Any, changes: dict[str, Any]) -> None:
    scene = scenes.scene(notebook, people=6)
    found = found_of(scene, **changes)
    assert isinstance(found, Findings)
    assert isinstance(found.context, Context)
    (part,) = found.found
    assert (part.medium, part.plan, part.names) == ("strip", found.plan, found.context.names)
    around = {one.name for one in fields(Context)} - {"names"}
    assert around.isdisjoint(part.__dataclass_fields__)  # nothing of what stands around is copied into a part
    assert found.context.log_holds


def test_notes_and_remarks_stand_with_their_medium(notebook: Any) -> None:
    """Each nose writes on both sets; a wrong vial on skin, and a seat that is unblinded."""
    scene = scenes.scene(notebook, people=6)
    ready(notebook, scene.trial_ids, scene.panelist_ids)
    session = scene.smelling(**(on_both() | {"method": "2-afc", "descriptor": "smokier", "expected": "second"}))
    served = bench.servings(notebook, session.id)
    media = {one.id: f"on {one.medium}" for one in served}
    arm = next(one for one in served if one.seat == 3 and one.medium == "skin")
    bench.note_deviation(notebook, session.id, 3, "wrong strip", "the wrong vial", arm.id)
    bench.note_deviation(notebook, session.id, 4, "unblinded", "saw the key")
    for own in scenes.ballots(notebook, session.id):
        while (asked := ballot.view(notebook, own.id).question) is not None:
            words = media.get(asked.serving_id, "") if asked.name == "choice" else ""
            ballot.lock(notebook, own.id, asked.serving_id, asked.name, asked.options[0], words)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    about = findings.findings(notebook, session.id).context
    assert [(one.kind, one.medium) for one in about.noted] == [("wrong strip", "skin"), ("unblinded", None)]
    assert [[one.kind for one in about.noted_on(medium)] for medium in ("strip", "skin")] == [
        ["unblinded"],
        ["wrong strip", "unblinded"],
    ]
    on = {medium: {one.text for one in about.remarks_on(medium)} for medium in ("strip", "skin")}
    assert on == {"strip": {"on strip"}, "skin": {"on skin"}}
    assert [one.medium for one in about.remarks] == ["strip"] * 6 + ["skin"] * 6


def found_of(scene: scenes.Scene, **changes: Any) -> Findings[Any]:
    session = scene.smelling(**changes)
    if session.plan.method == "profile":
        scenes.answer_profile(scene.notebook, session.id, lambda seat, letter, *_: f"{seat + (letter == 'A')}.0")
    else:
        for own in scenes.ballots(scene.notebook, session.id):
            scenes.answer_all(scene.notebook, own.id)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    return findings.findings(scene.notebook, session.id)
