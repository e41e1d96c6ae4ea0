"""What the package offers by name: complete, lazy, and the statistics contract of the project is kept."""

from __future__ import annotations

import ast
import inspect
from pathlib import Path

import pytest

import evaluation
from evaluation import statistics

# The contract of this issue (names are promised to stay), with the parameters it promises.
CONTRACT = {
    "chance": ["method"],
    "difference_test": ["correct", "assessments", "method", "alpha"],
    "similarity_test": ["correct", "assessments", "method", "pd", "beta"],
    "minimum_correct": ["assessments", "method", "alpha"],
    "maximum_correct": ["assessments", "method", "pd", "beta"],
    "power": ["assessments", "method", "alpha", "pd"],
    "panel_size": ["method", "alpha", "beta", "pd", "rule"],
    "proportion_correct": ["d_prime", "method"],
    "d_prime": ["proportion", "method"],
    "preference_test": ["first", "second", "ties", "ties_rule"],
    "sequential_plan": ["method", "alpha", "beta", "pd", "look_every", "max_assessments"],
    "decay": ["frame", "threshold"],
    "panelist_performance": ["frame"],
    "replicated_difference": ["correct", "assessments", "method", "above_guessing"],
    "accumulated_evidence": ["correct", "assessments", "method", "pd"],
    "preference_evidence": ["first", "second", "ties", "ties_rule", "sides"],
    "factorial": ["changes", "fraction"],
    "effects_of_changes": ["frame", "changes", "interactions", "by"],
    "suspects": ["right", "asked", "alpha"],
    "learnt_effects": ["frame", "changes"],
    "weighted_difference": ["correct", "weights", "method"],
}


@pytest.mark.parametrize("name", evaluation.__all__)
def test_every_public_name_resolves_and_says_what_it_is(name: str) -> None:
    found = getattr(evaluation, name)
    assert found.__doc__, f"{name} has no docstring"
    assert name in dir(evaluation)


def test_the_surface_is_the_statistics_and_two_more() -> None:
    assert set(evaluation.__all__) == {*statistics.__all__, "Notebook", "judge_frame"}
    assert all(getattr(evaluation, name) is getattr(statistics, name) for name in statistics.__all__)


@pytest.mark.parametrize("package", [evaluation, statistics])
def test_what_the_type_checker_sees_is_what_is_offered(package: object) -> None:
    """The imports under TYPE_CHECKING and ``__all__`` list the same names, in order."""
    tree = ast.parse(Path(inspect.getfile(package)).read_text(encoding="utf-8"))  # type: ignore[arg-type]
    guarded = next(node for node in tree.body if isinstance(node, ast.If))
    seen = {alias.name for node in guarded.body if isinstance(node, ast.ImportFrom) for alias in node.names}
    assert seen == set(package.__all__)  # type: ignore[attr-defined]
    assert package.__all__ == sorted(package.__all__)  # type: ignore[attr-defined]


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'hexad'"):
        _ = evaluation.hexad
    with pytest.raises(ImportError):
        exec("from evaluation import hexad")


@pytest.mark.parametrize("name", CONTRACT)
def test_the_contract_is_kept(name: str) -> None:
    parameters = list(inspect.signature(getattr(evaluation, name)).parameters)
    assert parameters[: len(CONTRACT[name])] == CONTRACT[name]


def test_results_offer_what_the_contract_says() -> None:
    found = evaluation.difference_test(13, 24, "triangle")
    assert (found.correct, found.assessments, found.method, found.alpha) == (13, 24, "triangle", 0.05)
    for of in ("discriminators", "proportion_correct", "d_prime"):
        interval = found.interval(0.95, of=of)
        assert interval.low <= getattr(found, of) <= interval.high
    similar = evaluation.similarity_test(10, 60, "triangle", 0.3)
    assert {"p_value", "maximum_correct", "upper_limit"} <= set(dir(similar))
    preferred = evaluation.preference_test(9, 3)
    assert preferred.share_first == 9 / 12
    assert preferred.interval(0.95).low < 0.75 < preferred.interval(0.95).high


def test_types_travel_with_the_package() -> None:
    assert Path(inspect.getfile(evaluation)).with_name("py.typed").is_file()
