"""Finals of null briefs played through the app's actions: the app says what the rule's own functions say."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from evaluation.actions import series_sittings
from evaluation.judging.adding_up import KEEP, OPEN, added
from evaluation.series import Series
from tests.judging.test_null_finals import days, smelt
from tests.scenes import scene, seats
from tests.sittings_played import a_day_later, a_final, vote

NOSES = 4


def play(notebook: Any, number: int) -> tuple[str, list[float], str, list[float]]:
    """One brief: its final smelt day by day until it ends; the app's word and evidence, then the rule's own."""
    here = scene(notebook, NOSES)
    sealed = a_final(here, NOSES, cap=16)
    simulated = smelt(days(np.random.default_rng([20, number]), NOSES, 0.5, ties=0.1)[:4])
    for day, sitting in enumerate(simulated, start=1):
        vote(here, sealed, {place: -float(one.way) for place, one in enumerate(sitting.votes, start=1)})
        a_day_later(here)
        found = series_sittings.series_found(notebook, sealed.id).added
        rule = added(_named_alike(sealed.series), simulated[:day])
        if found.word != OPEN:
            break
    return found.word, [one.evidence for one in found.looks], rule.word, [one.evidence for one in rule.looks]


def _named_alike(series: Series) -> Series:
    """The same final of people named as the simulation names them."""
    return replace(series, plan=replace(series.plan, seats=seats(NOSES)))


def test_the_app_says_what_the_rule_says(notebook: Any) -> None:
    word, evidence, ruled, path = play(notebook, 0)
    assert (word, evidence) == (ruled, path)


@pytest.mark.slow
def test_fifty_null_briefs_through_the_app(notebook: Any) -> None:
    """50 briefs in one notebook, the panel the same: equal words and evidence, and hardly any false keep."""
    words = []
    for number in range(50):
        word, evidence, ruled, path = play(notebook, number)
        assert (word, evidence) == (ruled, path), number
        words.append(word)
    assert words.count(KEEP) <= 6  # more would be one chance in a hundred at .05 a brief
