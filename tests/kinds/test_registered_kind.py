"""A kind of session that the house does not have, registered here alone, is planned, answered, found and reported.

Four strips, three of the trial expected to be weaker and one of the stronger: which has most of a named quality? By
guessing one in four is right. It takes three rows: of the statistics, of the kinds, of the words.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from fractions import Fraction
from math import comb
from types import MappingProxyType
from typing import Any

import pytest

from evaluation.actions import bench
from evaluation.actions import plan as planning
from evaluation.actions import seal as sealing
from evaluation.actions.collect import collect
from evaluation.actions.findings import FINDERS, findings, open_session
from evaluation.actions.opened import Findings, context_of, held_of
from evaluation.actions.plan import OUTLOOKS
from evaluation.errors import ArgumentError
from evaluation.kinds import Forced, ForcedChoice, Kind, kinds, registered
from evaluation.kinds.forced_choice import each, orders, stronger
from evaluation.kinds.two_trials import TwoTrials
from evaluation.planning.outlook import outlook_of
from evaluation.report import composing, numbers
from evaluation.report.blocks import Report, table
from evaluation.report.composing import REPORTS
from evaluation.serving.asking import ASKED
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Plan, Question, Serving
from evaluation.statistics.forced_choice import methods
from evaluation.wording import method_name
from evaluation.wording.of_kinds import GUESS, WORDS, KindWords
from tests.scenes import RATED, SEED, Scene, answer_all, ballots, first_option, key_of, plan, scene

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

    report = composing.report(notebook, session_id)
    text = repr(report)
    assert method_name(NAME) == "4-AFC"
    assert [said for said in ("4-AFC", "guessing 1/4, the same exact rule") if said not in text] == []


def test_nothing_stays_of_a_kind_that_was_registered() -> None:
    assert NAME not in {kind.method for kind in kinds()}
    with pytest.raises(ArgumentError, match="method must be one of"):
        method_name(NAME)


# --- a kind with a value, questions, findings and a report of its own -------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike(TwoTrials):
    """Are the two alike? No answer is right; the people who say so are counted."""

    smelt_twice: bool = False  # a field that no plan of the house has

    @property
    def method(self) -> Any:
        return "alike"

    @classmethod
    def read(cls, method: Any, take: Any) -> Alike:
        own = {name: take(name) for name in ("first_trial_id", "second_trial_id")}
        return cls(**own, smelt_twice=take("smelt_twice", False))


@dataclass(frozen=True)
class AlikeFound:
    """What such a session found: how many said which."""

    plan: Plan
    said: tuple[tuple[str, int], ...]

    @property
    def medium(self) -> Any:
        return self.plan.media[0]


@dataclass(frozen=True)
class Always:
    """An outlook: counting finds something always."""

    can_be_sealed: bool = True
    to_confirm: tuple[str, ...] = ()


def _asked(plan: Plan, serving: Serving) -> list[Question]:
    return [Question(serving.id, "choice", serving.codes, ("alike", "unlike"))]


def _found(notebook: Any, session_id: str) -> Findings[AlikeFound]:
    with notebook.reading() as tx:
        held = held_of(tx, session_id)
        about = context_of(tx, held, session_id)
    said = Counter(one.value for one in held.answers if one.question == "choice")
    return Findings(about, (AlikeFound(held.plan, tuple(sorted(said.items()))),))


def _report(found: Findings[AlikeFound], instant: int) -> Report:
    rows = [(word, str(people)) for word, people in found.found[0].said]
    return Report(found.plan.title, found.context.last_hash, instant, "UTC", tuple(table(("Said", "People"), rows)))


@pytest.fixture
def alike() -> Iterator[Kind]:
    name: Any = "alike"
    kind = Kind(method=name, family="alike", design=Alike, trays={"": orders("AB")})
    words = KindWords(name="Alike", told="Two strips: are they alike?", question="Are they alike?")
    with ExitStack() as rows:
        rows.enter_context(registered(kind))
        for known, row in ((ASKED, _asked), (OUTLOOKS, lambda plan: Always()), (FINDERS, _found), (REPORTS, _report)):
            rows.enter_context(known.registered("alike", row))
        rows.enter_context(WORDS.registered("alike", words))
        yield kind


def test_a_kind_of_a_family_of_its_own_goes_the_same_way(alike: Kind, notebook: Any) -> None:
    here = scene(notebook, 5)
    draft = planning.add_draft(notebook, here.plan(method="alike", confirmed=(), smelt_twice=True))
    session = bench.start(notebook, sealing.seal(notebook, draft.id, SEED).id)
    assert isinstance(session.plan.design, Alike)
    assert session.plan.kind is alike
    assert session.plan.design.smelt_twice
    said = iter(["alike", "unlike", "alike", "alike", "unlike"])
    for one in ballots(notebook, session.id):
        answer_all(notebook, one.id, lambda asked: next(said) if asked.name == "choice" else first_option(asked))
    bench.close(notebook, session.id)
    open_session(notebook, session.id)
    found: Any = findings(notebook, session.id)
    assert found.found[0].said == (("alike", 3), ("unlike", 2))
    assert [block.rows for block in composing.report(notebook, session.id).blocks] == [
        (("alike", "3"), ("unlike", "2"))
    ]
    assert collect(notebook, session).gaps  # nobody registered what it says about its trials: named, not guessed at


def test_what_means_nothing_for_such_a_kind_is_refused(alike: Kind) -> None:
    assert plan(method="alike").design.trial_ids == ("trial-7", "trial-8")
    with pytest.raises(
        ArgumentError, match="further trials, descriptors, re-smelling and warm-up do not belong to alike"
    ):
        plan(method="alike", descriptors=RATED)
    with pytest.raises(ArgumentError, match="plan must have no field scent"):
        plan(method="alike", scent="fig")
