"""The public surface, how lightly it loads, and whether its examples are true."""

from __future__ import annotations

import dataclasses
import doctest
import importlib
import inspect
import subprocess
import sys
from pathlib import Path

import pytest

import evaluation.statistics as statistics
from evaluation.statistics import difference_test, preference_test, similarity_test

DOCUMENTED = {
    *("chance", "difference_test", "minimum_correct", "actual_alpha", "reversed_tail"),
    *("similarity_test", "maximum_correct"),
    *("proportion_correct", "d_prime"),
    *("power", "panel_size", "smallest_detectable"),
    *("preference_test", "preference_critical", "preference_power", "preference_panel_size"),
    "holm",
    *("replicated_difference", "replicated_limit", "people_limits"),
    *("ReplicatedDifference", "PanelistResult", "Overdispersion", "ReplicatedLimit", "PeopleLimits"),
    *("belief", "Belief", "misses_material", "material_check", "MaterialGaps", "MissedMaterial", "MaterialCheck"),
    *("accumulated_evidence", "AccumulatedEvidence", "preference_evidence", "PreferenceEvidence"),
    *("weighted_difference", "WeightedDifference"),
    *("sequential_plan", "SequentialPlan", "OperatingCharacteristic", "StoppingTimes"),
    *("design_surface", "DesignSurface", "DesignPoint"),
    *("profile_differences", "profile_family", "ProfileDifferences", "profile_model", "ProfileModel"),
    *("decay", "Decay", "TrialDecay", "CurvePoint", "PersonDecay", "PairDecay", "Stretch"),
    *("panelist_performance", "PanelistPerformance", "PanelistOverall", "PanelistDescriptor"),
    *("check_all", "CheckAll", "CheckedRow", "CheckedPair"),
    *("just_about_right", "JustAboutRight", "JustRightRow", "JustRightSide"),
    *("pairwise_merits", "PairwiseMerits", "MeritDifference", "Majority"),
    *("brief_merits", "BriefMerits"),
    *("rank_test", "RankTest", "RankDifference", "PageTest"),
    "PairCheck",
    *("opposite_camps", "OppositeCamps", "PairCamps"),
    *("factorial", "Factorial", "effects_of_changes", "EffectsOfChanges", "suspects", "Suspects"),
    *("learnt_effects", "LearntEffects"),
    *("nearness_to_brief", "Nearness", "Target"),
    *("DifferenceTest", "SimilarityTest", "PreferenceTest", "Interval"),
}
FUNCTIONS = sorted(name for name in DOCUMENTED if name[0].islower())
SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "References", "Examples")


def test_public_names_are_the_documented_ones() -> None:
    assert sorted(statistics.__all__) == sorted(DOCUMENTED)
    assert set(dir(statistics)) >= DOCUMENTED
    for name in DOCUMENTED:
        assert getattr(statistics, name).__name__ == name
        assert name in (statistics.__doc__ or ""), f"{name} is missing in the package's own list"
    with pytest.raises(AttributeError, match="no_such_name"):
        statistics.no_such_name  # noqa: B018 - the access is the test


@pytest.mark.parametrize("name", FUNCTIONS)
def test_every_public_function_is_documented_in_order(name: str) -> None:
    text = inspect.getdoc(getattr(statistics, name)) or ""
    places = [text.find(f"\n{section}\n" + "-" * len(section)) for section in SECTIONS]
    assert -1 not in places, f"{name} lacks {SECTIONS[places.index(-1)]}"
    assert places == sorted(places)
    assert text.splitlines()[0].endswith("?"), "the first line is the question answered"


HOME = Path(statistics.__file__ or "").parent
MODULES = sorted(".".join(path.relative_to(HOME).with_suffix("").parts) for path in HOME.rglob("[a-z]*.py"))


@pytest.mark.parametrize("module", MODULES)
def test_examples_are_true(module: str) -> None:
    result = doctest.testmod(importlib.import_module(f"evaluation.statistics.{module}"))
    assert result.failed == 0


def test_results_are_frozen_and_echo_their_inputs() -> None:
    found = difference_test(8, 12, "triangle", 0.01)
    similar = similarity_test(8, 12, "triangle", 0.3, 0.1)
    preferred = preference_test(8, 3, 1, "split")
    assert (found.correct, found.assessments, found.method, found.alpha) == (8, 12, "triangle", 0.01)
    assert (similar.correct, similar.assessments, similar.pd, similar.beta) == (8, 12, 0.3, 0.1)
    assert (preferred.first, preferred.second, preferred.ties, preferred.ties_rule) == (8, 3, 1, "split")
    for result in (found, similar, preferred, found.interval()):
        assert not hasattr(result, "__dict__"), "slotted"
        with pytest.raises(dataclasses.FrozenInstanceError):
            setattr(result, dataclasses.fields(result)[0].name, 0)


HEAVY = ("scipy.stats", "statsmodels", "pandas", "altair", "scipy.optimize", "scipy.integrate")
LIGHT = """
import sys, evaluation.statistics
assert "numpy" not in sys.modules, "importing the package loads nothing"
found = evaluation.statistics.difference_test(8, 12, "triangle")
found.interval(of="d_prime")
evaluation.statistics.panel_size("tetrad", 0.05, 0.2, d_prime=1.0, rule="stays")
evaluation.statistics.preference_test(9, 1).interval()
evaluation.statistics.similarity_test(8, 30, "3-afc", 0.3)
evaluation.statistics.holm([0.1, 0.2])
evaluation.statistics.replicated_difference([5, 2, 0], 5, "triangle").interval()
evaluation.statistics.belief(5, 12, "triangle", 1.0, of="d_prime")
evaluation.statistics.people_limits([1] * 12, 3, "triangle", 0.3)
evaluation.statistics.sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=24).stopping(0.5)
evaluation.statistics.design_surface([6, 12], 2, 1.5)
print(",".join(sorted(sys.modules)))
"""


def test_nothing_heavy_is_imported() -> None:
    """In a fresh process: the ballot's path must stay light."""
    root = Path(__file__).parents[2]
    done = subprocess.run(
        [sys.executable, "-c", LIGHT], cwd=root, capture_output=True, text=True, check=False, timeout=300
    )
    assert done.returncode == 0, done.stderr
    loaded = done.stdout.strip().split(",")
    assert "scipy.special" in loaded
    assert not [name for name in loaded if name.startswith(HEAVY)]
