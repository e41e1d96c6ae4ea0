"""The invented scenario: replayed to its stored verdicts, and its truth held against the exact power."""

from __future__ import annotations

import json
import re
from collections import Counter
from dataclasses import replace
from itertools import count
from typing import Any

import pytest
from scipy import stats

from evaluation import demo, statistics
from evaluation.actions import bench, book, bottle_book, decide, formulas
from evaluation.actions import findings as opened
from evaluation.actions import plan as planning
from evaluation.actions.ballot import BallotView
from evaluation.actions.learnt import brief_taught
from evaluation.actions.profile_findings import profile_findings
from evaluation.clock import SteppedClock, SystemClock
from evaluation.counting.profiles import moves
from evaluation.deciding import proposals
from evaluation.ground.places import folder
from evaluation.serving import blinding
from evaluation.serving.asking import questions
from evaluation.sessions import Ballot, Session
from evaluation.store import Notebook
from evaluation.wording import of_decisions, of_profiles
from evaluation.wording.of_formulas import change_name
from evaluation.wording.of_separations import told_of

NAMES = [one.name for one in demo.scenarios()]


@pytest.fixture(scope="module")
def played() -> Any:
    """The demo in a notebook of its own, loaded once for this file."""
    notebook = Notebook.open(None, SteppedClock(step=1))
    sessions = demo.load(notebook)
    yield notebook, dict(zip(NAMES, sessions, strict=True))
    notebook.close()


def test_the_first_lead_of_the_second_brief_is_false_and_its_final_says_so(played: Any) -> None:
    """Nobody prefers either of its trials (shares of one half): all eight of the search chose one by chance, seed 013c."""
    notebook, _ = played
    told = json.loads((folder("demo_sessions") / demo.FALSE_LEAD).read_text(encoding="utf-8"))
    assert {told[part]["truth"]["second"]["30"] for part in ("search", "final")} == {0.5}
    brief = next(one for one in book.briefs(notebook) if one.title == told["brief"]["title"])
    found = decide.outcome(notebook, brief.id)
    searched, final = found.evidence.sessions
    assert (searched.points[0].outcome, searched.points[0].for_second) == ("second", 8)
    assert final.summed is not None
    assert (final.summed.word, final.summed.second, final.summed.answers) == (told["final"]["expected"], 2, 8)
    before = proposals.proposal(replace(found.evidence, sessions=(searched,)))
    assert (before.word, before.trial_id) == ("lead", searched.trial_ids[1])
    assert found.proposal.rule == proposals.UNBORNE
    assert of_decisions.headline(found.proposal, found.evidence).startswith(
        "Nothing is kept: the final of trial 2 against trial 1 did not bear the lead out: given up"
    )


def test_the_obvious_suspect_of_the_third_brief_is_innocent(played: Any) -> None:
    """Two changes at once brought the sweat; told apart, the cumin brings spice and the blackcurrant bud the sweat. What
    the brief has taught over both sessions says the same by another analysis: where its intervals leave 0 outside.
    """
    notebook, _ = played
    told = json.loads((folder("demo_sessions") / demo.SUSPECT).read_text(encoding="utf-8"))
    brief = next(one for one in book.briefs(notebook) if one.title == told["brief"]["title"])
    seen = decide.evidence(notebook, brief.id)
    for part, session in zip(("at once", "apart"), seen.sessions, strict=True):
        (found,) = profile_findings(notebook, session.session_id).found
        assert list(told_of(found)) == told[part]["expected"]
    learnt = {change_name(one.changes[0].by_formula): one for one in brief_taught(notebook, seen).learnt}
    moved = {name: {row.descriptor for row in one.moved} for name, one in learnt.items()}
    assert moved == {"Cumin oil added": {"spicy"}, "Blackcurrant bud absolute added": {"sweaty"}}
    levels = told["apart"]["truth"]["levels"]
    for name, letter in (("Cumin oil added", "B"), ("Blackcurrant bud absolute added", "C")):
        for row in learnt[name].rows:
            true = [levels[row.descriptor][one][[5.0, 60.0].index(row.minutes)] for one in ("A", letter)]
            assert row.low <= true[1] - true[0] <= row.high


def entries(played: Any, name: str) -> list[Any]:
    notebook, sessions = played
    return list(opened.findings(notebook, sessions[name].id).found[0].entries)


OPENED = [one for one in demo.scenarios() if one.until == "opened"]
PROFILES = [one for one in OPENED if one.plan["method"] == "profile"]
JUDGED = [one for one in OPENED if one not in PROFILES]


@pytest.mark.parametrize("scenario", PROFILES, ids=[one.name for one in PROFILES])
def test_a_replayed_profile_says_its_sentence_and_finds_the_truth(played: Any, scenario: demo.Scenario) -> None:
    notebook, sessions = played
    (found,) = profile_findings(notebook, sessions[scenario.name].id).found
    assert [{"sentence": line} for line in of_profiles.summary_lines(found)] == list(scenario.expected)
    moved = {(one.descriptor, one.first_age, one.last_age) for one in moves(found.differences, found.alpha, "5", "6")}
    assert moved == {("woody", 5.0, 60.0)}  # the file's own truth: the levels differ there and nowhere else


@pytest.mark.parametrize("scenario", JUDGED, ids=[one.name for one in JUDGED])
def test_a_replayed_session_comes_out_as_its_file_says(played: Any, scenario: demo.Scenario) -> None:
    found = entries(played, scenario.name)
    assert len(found) == len(scenario.expected) > 0
    for entry, expected in zip(found, scenario.expected, strict=True):
        assert {name: getattr(entry, name) for name in expected} == expected


@pytest.mark.parametrize("name", ["1-birch-tar", "2-pink-pepper"])
def test_the_p_values_agree_with_a_general_library(played: Any, name: str) -> None:
    """Second route: scipy's binomial tail at one third."""
    for entry in entries(played, name):
        exact = stats.binom.sf(entry.correct - 1, entry.assessments, 1 / 3)
        assert entry.p_value == pytest.approx(exact, rel=1e-12)


def test_the_preference_agrees_with_a_general_library(played: Any) -> None:
    """Second route: scipy's exact two-sided binomial test at one half, ties dropped."""
    for entry in entries(played, "3-which-cedar"):
        exact = stats.binomtest(entry.first, entry.first + entry.second, 0.5).pvalue
        assert entry.p_value == pytest.approx(exact, rel=1e-12)


def test_sessions_stand_where_their_files_say(played: Any) -> None:
    notebook, sessions = played
    for one in demo.scenarios():
        assert planning.session(notebook, sessions[one.name].id).state == one.until


def test_everybody_answered_everything_and_the_logs_hold(played: Any) -> None:
    notebook, sessions = played
    for one in OPENED:
        seats = bench.progress(notebook, sessions[one.name].id)
        assert all(seat.finished and seat.answered == seat.total for seat in seats if seat.panelist_id)
        with notebook.reading() as tx:
            assert tx.log.verify(sessions[one.name].id)


def test_remarks_are_kept_once_each(played: Any) -> None:
    notebook, sessions = played
    for one in OPENED:
        with notebook.reading() as tx:
            answers = tx.ballots.session_answers(sessions[one.name].id)
        said = [answer.value for answer in answers if answer.question == "remark"]
        assert sorted(said) == sorted(one.remarks.values())


def test_loading_twice_gives_the_same_counts_whatever_the_clock() -> None:
    """Ids and instants differ, codes, orders and answers do not."""
    found = []
    for clock in (SteppedClock(step=1), SystemClock()):
        notebook = Notebook.open(None, clock)
        sessions = demo.load(notebook)
        codes = [[s.codes for s in bench.servings(notebook, one.id)] for one in sessions if one.state != "draft"]
        with notebook.reading() as tx:
            said = [sorted(a.value for a in tx.ballots.session_answers(one.id)) for one in sessions]
        found.append((codes, said))
        notebook.close()
    assert found[0] == found[1]


def test_the_stepped_clock_moves_with_the_answers(played: Any) -> None:
    notebook, sessions = played
    with notebook.reading() as tx:
        instants = [a.at for a in tx.ballots.session_answers(sessions["1-birch-tar"].id)]
    assert max(instants) - min(instants) > 12 * 60_000


def test_the_trials_of_the_demo_warn_of_nothing_they_should_not(played: Any) -> None:
    """Trials compared in the demo were mixed and diluted within a tenth of their age: nothing but the change smells."""
    notebook, sessions = played
    for session in sessions.values():
        assert planning.compare(notebook, session.plan.first_trial_id, session.plan.second_trial_id) == ()
    labels = [one.label for one in book.trials(notebook, next(iter(sessions.values())).plan.brief_id)]
    assert labels == ["1", "2", "3", "4", "5", "6"]
    smelt = bottle_book.smelt(notebook, next(iter(sessions.values())).plan.brief_id)
    first, second = (one for one in smelt if one.label.startswith("6"))
    found = planning.compare(notebook, first.id, second.id)
    assert [(one.kind, one.first, one.second) for one in found] == [("stored", "dark", "window")]


def test_the_demo_page_names_every_session_and_truth_seed() -> None:
    text = (folder("demo_sessions") / "README.md").read_text(encoding="utf-8")
    for one in demo.scenarios():
        assert f"| {one.name[0]} " in text
        assert re.fullmatch(r"0[1-6]", one.truth["seed"])
        assert len(one.seed) == 32
    files = sorted(path.name for path in folder("demo_sessions").glob("*.json"))
    assert files == sorted([demo.FALSE_LEAD, demo.SUSPECT, "house.json", *(f"{name}.json" for name in NAMES)])
    json.loads((folder("demo_sessions") / "house.json").read_text(encoding="utf-8"))


# --- truth against power --------------------------------------------------------------------------------------------


def simulated(scenario: demo.Scenario, seconds: int, number: int) -> int:
    """Correct answers at one strip age in one session drawn and answered anew, without a store."""
    made_plan = demo.planned(scenario.plan, "b", {str(n): f"t{n}" for n in range(1, 7)}, [f"p{n}" for n in range(12)])
    ids = count(1)
    drawn = blinding.draw(made_plan, number.to_bytes(32, "big"), lambda: f"s{next(ids)}")
    order = dict(drawn.key.orders)
    truth = {**scenario.truth, "seed": f"{number + 1000:x}"}
    correct = 0
    for serving in drawn.servings:
        if serving.spare or serving.age_seconds != seconds or serving.seat > made_plan.people:
            continue
        asked = questions(made_plan, (serving,))[0]
        nose = demo.Nose(truth, made_plan, serving.seat, {serving.codes: order[serving.id]})
        right = blinding.correct_value(made_plan.method, order[serving.id], serving.codes, made_plan.expected)
        correct += nose.answer(asked, _view(made_plan, serving.age_seconds)) == right
    return correct


def _view(made_plan: Any, seconds: int) -> BallotView:
    ballot = Ballot("b", "s", 1, None, 1, None)
    return BallotView(ballot, "smelling", made_plan.method, "", "", None, 1, 1, 1, 1, seconds, 1)


FORCED = [
    (one, minutes)
    for one in demo.scenarios()
    if one.plan["method"] != "preference"
    for minutes in one.plan["ages_minutes"]
]


@pytest.mark.slow
@pytest.mark.parametrize(("scenario", "minutes"), FORCED, ids=[f"{one.name} {m}" for one, m in FORCED])
def test_the_truth_is_noticed_as_often_as_the_power_says(scenario: demo.Scenario, minutes: int) -> None:
    """A few thousand sessions: how often the count reaches the fewest needed, against the exact power at that truth."""
    _check_power(scenario, minutes, sessions=3000)


@pytest.mark.parametrize("name", ["1-birch-tar", "4-wet-planks"])
def test_the_truth_is_noticed_about_as_often_as_the_power_says(name: str) -> None:
    """The same, quickly."""
    scenario = next(one for one in demo.scenarios() if one.name == name)
    _check_power(scenario, 5, sessions=150)


def _check_power(scenario: demo.Scenario, minutes: int, sessions: int) -> None:
    method, people = scenario.plan["method"], scenario.plan["people"]
    true_share = demo.share(scenario.truth, method, str(minutes))
    least = statistics.minimum_correct(people, method, 0.05)
    assert least is not None
    noticed = sum(simulated(scenario, 60 * minutes, number) >= least for number in range(sessions))
    expected = statistics.power(people, method, 0.05, true_share)
    assert stats.binomtest(noticed, sessions, float(expected)).pvalue > 1e-4


def test_a_nose_that_notices_nothing_guesses_evenly() -> None:
    """Share 0: every answer of a triangle equally often (chi-square)."""
    scenario = replace(demo.scenarios()[0], truth={"seed": "2a", "share": {"5": 0.0, "60": 0.0}})
    counts = Counter(simulated(scenario, 300, number) for number in range(200))
    total = sum(correct * times for correct, times in counts.items())
    assert stats.binomtest(total, 200 * 12, 1 / 3).pvalue > 1e-4


def test_a_session_is_returned_for_each_file(played: Any) -> None:
    _, sessions = played
    assert all(isinstance(one, Session) for one in sessions.values())
    assert len(sessions) == 6


def test_the_formulas_of_the_demo_change_what_their_trials_say(played: Any) -> None:
    """Each trial against the one it was made from: parts as the text of ``changed`` tells them."""
    notebook, _ = played
    brief = book.briefs(notebook)[-1]
    trials = {one.id: one for one in book.trials(notebook, brief.id)}
    told = {}
    for one in trials.values():
        if one.parent_id is not None:
            found = formulas.between(notebook, one.parent_id, one.id)
            assert found is not None
            assert [each.kind for each in found.besides] == ["made up"]
            told[one.label] = [(each.kind, each.accord or each.materials[0].name) for each in found.changes]
    assert told == {
        "2": [("lowered", "Bergamot oil"), ("added", "Pink pepper oil")],
        "3": [("raised", "Vetiver oil")],
        "4": [("raised", "Birch tar")],
        "5": [("added", "Earthy")],
        "6": [("lowered", "Cedarwood Virginia oil"), ("added", "Cedarwood Atlas oil"), ("added", "Ambrette seed oil")],
    }
