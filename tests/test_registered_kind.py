"""A kind of session that the house does not have, registered here alone, is planned, answered, found and reported.

Four strips, three of the trial expected to be weaker and one of the stronger: which has most of a named quality? By
guessing one in four is right. It takes three rows: of the statistics, of the kinds, of the words.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import ExitStack
from fractions import Fraction
from math import comb
from types import MappingProxyType
from typing import Any

import pytest

from evaluation.actions import bench
from evaluation.actions import plan as planning
from evaluation.actions import seal as sealing
from evaluation.actions.findings import findings, open_session
from evaluation.blinding import correct_value
from evaluation.errors import ArgumentError
from evaluation.kinds import Forced, ForcedChoice, Kind, kinds, registered
from evaluation.kinds.forced_choice import each, orders, stronger
from evaluation.outlook import outlook_of
from evaluation.report import desk, numbers
from evaluation.statistics.forced_choice import methods
from evaluation.wording import method_name
from evaluation.wording_kinds import GUESS, WORDS, KindWords
from tests.scenes import SEED, Scene, answer_all, ballots, first_option, key_of, scene

NAME: Any = "4-afc"
PEOPLE = 12


@pytest.fixture
def four() -> Iterator[Kind]:
    """Three rows, for as long as a test lasts."""
    kind = Kind(
        method=NAME,
        family="forced choice",
        design=ForcedChoice,
        strips=4,
        trays=MappingProxyType({"first": orders("ABBB"), "second": orders("AAAB")}),
        forced=Forced(offers=each, right=stronger, directed=True, distance=False),
    )
    words = KindWords(
        name="4-AFC",
        told="Four strips, one of them expected to stand out: which shows most of a named descriptor?",
        one="a 4-AFC",
        many="4-AFC sets",
        question="Which one is most {descriptor}?",
        below=GUESS,
        plan="Four strips, one of the trial you expect to be stronger.",
        guessing="one quarter",
        source="guessing 1/4, the same exact rule",
    )
    with ExitStack() as rows:
        rows.enter_context(methods.registered(methods.Method(NAME, Fraction(1, 4), None)))
        rows.enter_context(registered(kind))
        rows.enter_context(WORDS.registered(NAME, words))
        yield kind


def _played(here: Scene, wrong: int) -> str:
    """A session in which the first ``wrong`` people take a strip that is not the stronger one; its id."""
    plan = here.plan(method=NAME, descriptor="smokier", expected="second", confirmed=("not noticed",))
    session = sealing.seal(here.notebook, planning.add_draft(here.notebook, plan).id, SEED)
    bench.start(here.notebook, session.id)
    served = dict(key_of(here.notebook, session.id).orders)

    def how(seat: int, asked: Any) -> str:
        if asked.name != "choice":
            return first_option(asked)
        right = correct_value(NAME, served[asked.serving_id], asked.codes, "second")
        return right if seat > wrong else next(code for code in asked.options if code != right)

    for one in ballots(here.notebook, session.id):
        answer_all(here.notebook, one.id, lambda asked, seat=one.seat: how(seat, asked))
    bench.close(here.notebook, session.id)
    open_session(here.notebook, session.id)
    return session.id


def test_a_kind_registered_here_is_planned_answered_found_and_reported(four: Kind, notebook: Any) -> None:
    here = scene(notebook, PEOPLE)
    planned = here.plan(method=NAME, descriptor="smokier", expected="second")
    outlook = outlook_of(planned)
    tail = [sum(comb(PEOPLE, k) * 3 ** (PEOPLE - k) for k in range(least, PEOPLE + 1)) for least in range(PEOPLE + 1)]
    least = next(number for number, ways in enumerate(tail) if 20 * ways <= 4**PEOPLE)  # p at most .05, counted
    assert (outlook.minimum_correct, outlook.strips_per_nose, planned.strips) == (least, 4, 4 * PEOPLE)

    session_id = _played(here, wrong=PEOPLE - least)
    told = json.loads(numbers.of_two(findings(notebook, session_id)))
    entry = told["found"]["strip"]["entries"][0]
    assert (entry["correct"], entry["assessments"], entry["minimum_correct"]) == (least, PEOPLE, least)
    assert entry["p_value"] == pytest.approx(tail[least] / 4**PEOPLE, abs=1e-12)
    assert entry["verdict"] == "noticed"

    report = desk.report(notebook, session_id)
    text = repr(report)
    assert method_name(NAME) == "4-AFC"
    assert [said for said in ("4-AFC", "guessing 1/4, the same exact rule") if said not in text] == []


def test_nothing_stays_of_a_kind_that_was_registered() -> None:
    assert NAME not in {kind.method for kind in kinds()}
    with pytest.raises(ArgumentError, match="method must be one of"):
        method_name(NAME)
