"""Null sets, several answers per person and the second opinion, from the ballot to the findings."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from scipy import integrate, stats

from evaluation.actions import bench, findings
from evaluation.actions.two_findings import TwoFound
from evaluation.clock import SteppedClock
from evaluation.judging.entries import Entry
from evaluation.serving.blinding import as_real, correct_value, is_null
from evaluation.sessions import ALWAYS_OUT, Question
from evaluation.statistics import Belief
from evaluation.tables import results
from tests import scenes
from tests.actions.test_solo import Person, keen, play

Hits = Callable[[int, bool, int], bool]  # seat, a null set?, number of the set of its kind → right?


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=12)


def found_of(scene: scenes.Scene, hits: Hits, **changes: Any) -> TwoFound:
    """A session smelt through the ballot, every set answered right or wrong as ``hits`` says, closed and opened."""
    session = scene.smelling(**changes)
    orders = dict(scenes.key_of(scene.notebook, session.id).orders)
    for one in scenes.ballots(scene.notebook, session.id):
        met = {True: 0, False: 0}

        def how(asked: Question, seat: int = one.seat, met: dict[bool, int] = met) -> str:
            if asked.name != "choice":
                return asked.options[0]
            order = orders[asked.serving_id]
            met[is_null(order)] += 1
            answer = correct_value(session.plan.method, as_real(order), asked.codes, session.plan.expected)
            right = hits(seat, is_null(order), met[is_null(order)])
            return answer if right else next(other for other in asked.options if other != answer)

        scenes.answer_all(scene.notebook, one.id, how)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    return findings.findings(scene.notebook, session.id).found[0]


def entry_of(found: TwoFound) -> Entry:
    (entry,) = found.entries
    assert isinstance(entry, Entry)
    return entry


# --- null sets ------------------------------------------------------------------------------------------------------


def test_null_sets_are_scored_beside_the_real_ones_never_in_them(scene: scenes.Scene) -> None:
    """All right about nothing, nobody right about the change: a leak is noticed, the verdict knows nothing of it."""
    found = found_of(scene, lambda seat, null, _: null, null_sets=1)
    entry = entry_of(found)
    assert (entry.correct, entry.assessments) == (0, 12)
    assert found.null_control is not None
    assert (found.null_control.correct, found.null_control.assessments, found.null_control.noticed) == (12, 12, True)
    assert found.null_control.p_value == pytest.approx(stats.binomtest(12, 12, 1 / 3, alternative="greater").pvalue)
    assert [(one.planned, one.answered) for one in found.losses] == [(12, 12)]
    kept = results.answers(found.rows, found.null_rows)["counted"].tolist()
    assert kept == ["yes"] * 12 + ["null set"] * 12


def test_a_quiet_null_set_and_a_noticed_difference(scene: scenes.Scene) -> None:
    found = found_of(scene, lambda seat, null, _: not null and seat <= 9, null_sets=1)
    assert entry_of(found).verdict == "noticed"
    assert found.null_control is not None
    assert not found.null_control.noticed
    sealed = stats.binom.sf(7, 12, 1 / 3 + 0.3 * 2 / 3)  # ISO 4120 table A.1: n = 12 needs 8
    assert (found.null_control.pd, found.null_control.power) == (0.3, pytest.approx(sealed))


def test_a_spare_set_served_for_a_spoilt_null_set_gives_nobody_a_second_answer(scene: scenes.Scene) -> None:
    """Spare sets hold both trials: counted, one person would have two answers, and people be out of reach."""
    session = scene.smelling(null_sets=1)
    orders = dict(scenes.key_of(scene.notebook, session.id).orders)
    served = bench.servings(scene.notebook, session.id)
    spoilt = next(one for one in served if one.seat == 5 and is_null(orders[one.id]))
    spare = bench.void_serving(scene.notebook, session.id, spoilt.id, "the vials were mixed up")
    for one in scenes.ballots(scene.notebook, session.id):
        scenes.answer_all(scene.notebook, one.id)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    (found,) = findings.findings(scene.notebook, session.id).found
    entry = entry_of(found)
    assert (entry.assessments, entry.panelists, entry.own) == (12, 12, ())
    assert entry.speaks_for == "people like this panel"
    assert spare.id not in {one.serving_id for one in (*found.rows, *found.null_rows)}
    assert len(found.null_rows) == 11
    assert len(found.put_aside) == 1


def test_a_session_without_null_sets_has_no_control(scene: scenes.Scene) -> None:
    found = found_of(scene, lambda *_: True)
    assert (found.null_control, found.null_rows) == (None, ())


# --- several answers per person ---------------------------------------------------------------------------------------


def test_each_panelist_is_listed_by_alias_with_own_answers(scene: scenes.Scene) -> None:
    """Nose 2 is right every time, the others once in four: she stands out, and the verdict is of this panel."""
    found = found_of(scene, lambda seat, _, n: seat == 2 or n == 1, people=3, replicates=4)
    (panel,) = found.panels
    assert panel is not None
    told = {one.panelist: (one.correct, one.assessments, one.stands_out) for one in panel.people}
    assert told == {"Nose 1": (1, 4, False), "Nose 2": (4, 4, True), "Nose 3": (1, 4, False)}
    best = max(panel.people, key=lambda one: one.expected or 0.0)
    assert best.panelist == "Nose 2"
    assert best.expected is not None
    assert panel.spread.mu < best.expected <= 1.0
    entry = entry_of(found)
    assert (entry.speaks_for, entry.stand_out, panel.spread.people_missing) == ("this panel", 1, 9)


def test_a_panel_may_be_told_that_it_does_not_notice(scene: scenes.Scene) -> None:
    """12 people × 6, two of six right each: by the replicated limit, and of people like them by the wider one."""
    found = found_of(scene, lambda _seat, _null, n: n <= 2, replicates=6)
    entry, (panel,) = entry_of(found), found.panels
    assert (entry.verdict, entry.maximum_correct) == ("not noticed", 30)  # binom.cdf(30, 72, 8/15) ≤ .05 < cdf(31)
    assert stats.binom.cdf(30, 72, 8 / 15) <= 0.05 < stats.binom.cdf(31, 72, 8 / 15)
    assert panel is not None
    assert panel.spread.people_verdict == "not noticed"


def test_one_answer_each_lists_nobody(scene: scenes.Scene) -> None:
    """Who was right with one answer is no finding about a person."""
    assert found_of(scene, lambda *_: True).panels == (None,)


# --- second opinion -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("prior", "a", "b"), [("sceptical", 1, 5), ("flat", 1, 1), ("hopeful", 2, 1)])
def test_the_second_opinion_is_the_integral_under_the_sealed_prior(
    scene: scenes.Scene, prior: str, a: int, b: int
) -> None:
    """scipy.integrate of binomial likelihood × beta prior, above the sealed pd."""
    (opinion,) = found_of(scene, lambda seat, *_: seat <= 7, prior=prior).opinions
    assert isinstance(opinion, Belief)

    def weight(pd: float) -> float:
        return float(stats.binom.pmf(7, 12, 1 / 3 + pd * 2 / 3) * stats.beta.pdf(pd, a, b))

    whole, above = integrate.quad(weight, 0, 1)[0], integrate.quad(weight, 0.3, 1)[0]
    assert opinion.probability_above == pytest.approx(above / whole, rel=1e-6)
    assert opinion.limit == 0.3


def test_no_second_opinion_on_pooled_answers_but_on_one_nose(scene: scenes.Scene) -> None:
    assert found_of(scene, lambda *_: True, people=2, replicates=4).opinions == (None,)
    (own,) = found_of(scene, lambda *_: True, people=1, replicates=4).opinions
    assert own is not None


# --- alone: sets that were recognised ---------------------------------------------------------------------------------


def solo_found(notebook: Any, clock: SteppedClock, said: list[str], **changes: Any) -> TwoFound:
    """Eight triangles alone, all right; ``said`` answers "did you recognise one?" set by set."""
    alone = scenes.scene(notebook, people=1)
    session = alone.sealed(solo=True, replicates=8, **changes)
    person = Person(3, keen)
    told = iter(said)
    reply = person.reply

    def answer(step: Any) -> str:
        return next(told) if step.question.name == "recognised" else reply(step)

    person.reply = answer  # type: ignore[method-assign]
    play(notebook, session.id, person, clock)
    return findings.findings(notebook, session.id).found[0]


def test_alone_the_verdict_stands_with_and_without_recognised_sets(notebook: Any, clock: SteppedClock) -> None:
    """Alone: the verdict with and without those sets, the main one sealed."""
    said = ["yes", "no", "no", "yes", "no", "no", "no", "no"]
    kept = solo_found(notebook, clock, said)
    (with_them,), (without,) = kept.entries, kept.unrecognised
    assert (with_them.assessments, without.assessments, kept.reduced) == (8, 6, False)
    left = solo_found(notebook, clock, said, left_out=(*ALWAYS_OUT, "recognised"))
    (sealed,), (everything,) = left.entries, left.all_entries
    assert (sealed.assessments, everything.assessments, left.unrecognised) == (6, 8, ())
    assert left.opinions[0] is not None


def test_alone_nothing_is_shown_twice_where_no_set_was_recognised(notebook: Any, clock: SteppedClock) -> None:
    assert solo_found(notebook, clock, ["no"] * 8).unrecognised == ()
