"""Every kind of session as it was exported on 2026-11-26 verifies and gives the same numbers (tests/kept.py says how).

These fail where a change of the program changes what an old session says. Then the change is wrong, or it needs a
decision: the files with numbers are never written anew. A decision that changes words touches ``words.json`` alone.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from evaluation.actions.profile_findings import profile_findings
from evaluation.report import export, numbers
from evaluation.report.command import main
from evaluation.statistics import profile_model
from evaluation.values.scales import POINTS
from tests import kept

SAME_ARITHMETIC = kept.arithmetic() == kept.read(kept.EXPORTS / "arithmetic.json")
KINDS = 60


def test_every_kind_of_session_is_there() -> None:
    assert len(kept.exports()) >= KINDS
    assert sorted(one.stem for one in kept.exports()) == sorted(kept.read(kept.WORDS))


@pytest.mark.parametrize("file", kept.exports(), ids=[one.stem for one in kept.exports()])
def test_an_export_verifies_and_says_the_same(file: Path) -> None:
    written = file.with_suffix(".numbers.json").read_text(encoding="utf-8")
    with export.opened(file) as copy:  # refuses what was altered
        assert copy.log_held
        assert kept.seals_stand(copy.notebook, copy.session_id)
        found = kept.found(copy.notebook, copy.session_id)
    before = json.loads(written)
    now = kept.as_kept(found.told, before)
    assert kept.differences(now, before) == []
    if SAME_ARITHMETIC:
        assert kept.spelt(now) == written
    assert found.words(before) == kept.read(kept.WORDS)[file.stem]


PROFILES = [one for one in kept.exports() if "profile" in one.stem]


@pytest.mark.parametrize("file", PROFILES, ids=[one.stem for one in PROFILES])
def test_the_mixed_model_without_people_by_age_gives_what_it_gave(file: Path) -> None:
    """Profiles are told with people × age at random now; the default of ``profile_model`` did not change."""
    with export.opened(file) as copy:
        parts = profile_findings(copy.notebook, copy.session_id).found
        models = {one.medium: profile_model(one.ratings(POINTS)) for one in parts if one.has_model}
    before = kept.read(file.with_suffix(".numbers.json"))["found"]
    told = {medium: one["model"] for medium, one in before.items() if one["model"] is not None}
    assert sorted(told) == sorted(models)
    now = json.loads(json.dumps(numbers._plain(models)))
    assert kept.differences(kept.as_kept(now, told), told) == []


@pytest.mark.parametrize("name", ["triangle", "profile-strength-only", "round"])
def test_the_command_prints_them(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    file = kept.EXPORTS / f"{name}.zip"
    assert main([str(file), "--numbers"]) == 0
    before = kept.read(file.with_suffix(".numbers.json"))
    assert kept.differences(kept.as_kept(json.loads(capsys.readouterr().out), before), before) == []


# --- the comparison itself ----------------------------------------------------------------------------------------------

BEFORE: dict[str, Any] = {
    "p": 0.25,
    "verdict": "noticed",
    "ages": [{"right": 3, "notes": ["a"]}, {"right": 4, "notes": []}],
}


@pytest.mark.parametrize(
    ("now", "told"),
    [
        (BEFORE, []),
        (BEFORE | {"new": 1, "ages": [one | {"more": 2} for one in BEFORE["ages"]]}, []),
        (BEFORE | {"verdict": "heard"}, []),  # words are for words.json
        (BEFORE | {"verdict": None}, [".verdict is None, not 'noticed'"]),
        (BEFORE | {"p": 0.25001}, [".p is 0.25001, not 0.25"]),
        (BEFORE | {"p": None}, [".p is None, not 0.25"]),
        ({name: value for name, value in BEFORE.items() if name != "p"}, [".p is missing"]),
        (BEFORE | {"ages": BEFORE["ages"][:1]}, [".ages has 1 entries, not 2"]),
        (
            BEFORE | {"ages": [{"right": 3.0, "notes": ["a"]}, {"right": 4, "notes": []}]},
            [".ages[0].right is 3.0, not 3"],
        ),
    ],
)
def test_additions_pass_and_everything_else_is_told(now: object, told: list[str]) -> None:
    assert kept.differences(kept.as_kept(now, BEFORE), BEFORE) == told
