"""*Noticed* by weight, from the sealed plan to the words: against the exact law and counts worked by hand."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

from evaluation import judge, wording
from evaluation.actions import bench, findings
from evaluation.counting.tallies import Tally
from evaluation.deciding.evidence import facts_of
from evaluation.errors import AnswersError, ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.judging.entries import Entry, Rules
from evaluation.judging.verdicts import judge_tallies
from evaluation.planning.outlook import outlook_of
from evaluation.report import numbers
from evaluation.sessions import Plan
from evaluation.statistics import weighted_difference
from evaluation.store import translate
from evaluation.tables import results
from evaluation.wording import of_evidence
from tests import scenes
from tests.actions.test_findings import Noses

USUAL = (2, 3, 4, 5)
# Seven of twelve right, all of them sure; the wrong ones guessed: by count 8 are needed (p = .066)
SURE_SEVEN = ((5, 0), (0, 0), (0, 0), (7, 7))


def tally(said: tuple[tuple[int, int], ...], age: float = 30.0, name: str = "7 against 8") -> Tally:
    right = tuple(int(place < hits) for asked, hits in said for place in range(asked))
    people = tuple(f"person {place}" for place in range(len(right)))
    return Tally(name, "triangle", age, people, right, (1,) * len(right), said)


def judged(*tallies: Tally, **rules: Any) -> list[Entry]:
    found = judge_tallies(tallies, Rules(**{"weights": USUAL, **rules}))
    return [one for one in found if isinstance(one, Entry)]


def test_surer_right_answers_are_noticed_where_the_count_is_not() -> None:
    (entry,) = judged(tally(SURE_SEVEN))
    (count,) = judged(tally(SURE_SEVEN), weights=())
    exact = weighted_difference([1] * 7 + [0] * 5, [5] * 7 + [2] * 5, "triangle")
    assert entry.weighed is not None
    assert (entry.verdict, count.verdict) == ("noticed", "undecided")
    assert (entry.weighed.right, entry.weighed.total) == (35, 45) == (exact.statistic, exact.total)
    assert entry.weighed.p_value == entry.p_family == exact.p_value
    assert entry.weighed.needed is not None
    assert entry.weighed.needed <= 35
    # the count stands beside it, number by number
    beside = ("p_value", "minimum_correct", "maximum_correct", "upper_limit", "discriminators", "d_prime", "alpha_used")
    assert all(getattr(entry, name) == getattr(count, name) for name in beside)
    assert count.weighed is None


def test_unsure_right_answers_are_not_noticed_where_the_count_would_be() -> None:
    """Eight of twelve right reach .05 by count (.019); here the right ones guessed and the wrong ones were sure."""
    (entry,) = judged(tally(((8, 8), (0, 0), (0, 0), (4, 0))))
    exact = weighted_difference([1] * 8 + [0] * 4, [2] * 8 + [5] * 4, "triangle")
    assert exact.p_value > 0.05 >= entry.p_value
    assert entry.verdict == "undecided"
    assert "1 6" not in wording.sentence(entry)
    assert "weigh 16 of 36" in wording.sentence(entry)
    assert "8 of 12 answers right (8 needed at alpha .05, p = .019)" in wording.sentence(entry)


def test_small_stays_by_count_and_the_lower_tail_comes_first() -> None:
    few = ((120, 38), (0, 0), (0, 0), (7, 7))  # 45 of 127 right: few notice, by count; seven were sure and right
    (entry,) = judged(tally(few), beta=0.2)
    assert entry.maximum_correct is not None
    assert entry.correct <= entry.maximum_correct
    assert entry.verdict == "not noticed"
    (turned,) = judged(tally(((9, 0), (0, 0), (0, 0), (1, 1))))  # 1 of 10: fewer than guessing explains? .104: no
    assert turned.reason == ""
    (turned,) = judged(tally(((11, 0), (0, 0), (0, 0), (1, 1))))  # 1 of 12: .054; none of 12: .008
    assert turned.reason == ""
    (turned,) = judged(tally(((12, 0), (0, 0), (0, 0), (0, 0))))
    assert (turned.verdict, turned.reason) == ("undecided", "check the key")


def test_several_ages_are_corrected_by_their_weighed_p() -> None:
    """Holm by hand: three ages, the smallest p against .05 / 3."""
    family = [
        tally(SURE_SEVEN, 5.0),
        tally(((12, 4), (0, 0), (0, 0), (0, 0)), 30.0),
        tally(((0, 0),) * 3 + ((12, 9),), 60.0),
    ]
    entries = judged(*family)
    p = [one.weighed.p_value for one in entries if one.weighed]
    order = sorted(range(3), key=lambda place: p[place])
    assert [entries[place].alpha_used for place in order[:2]] == pytest.approx([0.05 / 3, 0.05 / 2])
    for one in entries:
        assert one.weighed is not None
        reached = one.weighed.needed is not None and one.weighed.right >= one.weighed.needed
        assert (one.verdict == "noticed") == reached == (one.weighed.p_value <= one.alpha_used)
    first, *_ = judged(*family, primary_age=30)
    assert first.verdict == ""  # the primary age did not reach its level
    assert "weigh" in wording.sentence(first)


def test_nobody_answered() -> None:
    (entry,) = judged(Tally("x", "triangle", 5, (), (), (), ((0, 0),) * 4))
    assert entry.weighed is not None
    assert (entry.verdict, entry.weighed.p_value, entry.weighed.needed) == ("undecided", 1.0, None)


def test_several_answers_of_several_people_and_unknown_sureness_are_refused() -> None:
    twice = Tally("x", "triangle", 5, ("a", "b"), (2, 1), (2, 2), ((1, 0), (0, 0), (0, 0), (3, 3)))
    with pytest.raises(ArgumentError, match=r"^weights must be left out: several people answered about 'x' more than"):
        judged(twice)
    with pytest.raises(ArgumentError, match=r"^weights must be left out: how sure people were of 'x' is not known"):
        judged(Tally("x", "triangle", 5, ("a",), (1,), (1,)))
    with pytest.raises(ArgumentError, match=r"^said must add up"):
        Tally("x", "triangle", 5, ("a",), (1,), (1,), ((0, 0),) * 4)
    alone = Tally("x", "triangle", 5, ("a",), (7,), (12,), SURE_SEVEN)
    assert judged(alone)[0].verdict == "noticed"
    assert judged(alone)[0].speaks_for == "this nose"


# --- sealed -------------------------------------------------------------------------------------------------------


def test_a_plan_without_weights_is_spelt_as_it_was_before_and_one_with_them_comes_back() -> None:
    plain = scenes.plan(12, draw="independent")
    assert "sureness_weights" not in canonical(plain).decode()
    weighed = plain.changed(sureness_weights=USUAL)
    assert translate.plan_of(translate.plan_text(weighed)) == weighed
    assert '"sureness_weights":[2,3,4,5]' in canonical(weighed).decode().replace(" ", "")
    assert canonical(weighed.changed(sureness_weights=())) == canonical(plain)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"sureness_weights": (2, 3, 4)}, r"^weights must be 4, one each for guess, unsure, fairly sure, sure, not 3"),
        ({"sureness_weights": (2, 3, 4, 2)}, r"^weights must not fall from guess to sure"),
        ({"sureness_weights": (0, 3, 4, 5)}, r"^weight of “guess” must be from 1 to 9, not 0"),
        ({"look_every": 4}, r"^weights by sureness must be left out where looks are planned"),
        ({"replicates": 2}, r"^weights by sureness must be left out where several people smell several sets each"),
        ({"draw": "balanced"}, r"^weights by sureness need orders that are each drawn by themselves"),
        ({"seats": scenes.seats(41)}, r"^weights by sureness go with at most 40 answers at each age, not 41"),
        ({"method": "preference"}, r"^weights by sureness must be left out of a preference"),
    ],
)
def test_what_weights_do_not_go_with_is_said_in_one_sentence(changes: dict[str, Any], message: str) -> None:
    fields = scenes.plan(12, draw="independent", sureness_weights=USUAL).as_sealed()
    with pytest.raises(ArgumentError, match=message):
        Plan.of(**(fields | changes))


def test_null_sets_and_several_ages_go_with_weights() -> None:
    made = scenes.plan(12, minutes=(5, 60), draw="independent", sureness_weights=USUAL, null_sets=1)
    assert (made.null_sets, len(made.ages)) == (1, 2)


def test_the_outlook_of_a_weighed_plan_says_both() -> None:
    told = wording.outlook_lines(outlook_of(scenes.plan(12, draw="independent", sureness_weights=USUAL)))
    assert any("guess 2, unsure 3, fairly sure 4, sure 5" in one and "8" in one for one in told)
    assert any("26.5 %" in one and "37.1 %" in one and "39.0 %" in one for one in told)
    plain = wording.outlook_lines(outlook_of(scenes.plan(12, draw="independent")))
    assert not any("weigh" in one for one in plain)


# --- smelt, opened, handed on -------------------------------------------------------------------------------------


@pytest.fixture
def opened(notebook: Any) -> Any:
    """Twelve people, seven right and sure, four wrong guesses, and one that is paper without a word of sureness."""
    scene = scenes.scene(notebook, people=12)
    session = scene.smelling(sureness_weights=USUAL, draw="independent")
    noses = Noses(scene, session)
    for seat in range(1, 13):
        noses.answer(seat, seat <= 7, "sure" if seat <= 7 else "guess")
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return findings.findings(notebook, session.id)


def test_findings_files_and_frozen_evidence_hold_both_numbers(opened: Any, tmp_path: Path) -> None:
    part = opened.found[0]
    (entry,) = part.entries
    assert entry.weighed.said == SURE_SEVEN
    assert entry.verdict == "noticed"
    said = wording.sentence(entry)
    assert "the surer ones counting for more" in said
    assert "weigh 35 of 45" in said
    assert "7 of 12 answers right (8 needed at alpha .05, p = .066)" in said
    row = results.verdicts(part.entries).iloc[0]
    assert (row["right by weight"], row["of weight"], row["weights"]) == (35, 45, "2 3 4 5")
    assert of_evidence.given(facts_of(entry)) == entry
    spelt = json.loads(numbers.of_two(opened))["found"]["strip"]["entries"][0]
    assert (spelt["weighed"]["right"], spelt["correct"]) == (35, 7)
    # what the page hands on for ``judge`` is judged to the same numbers there
    text = results.csv_text(results.answers_to_judge(part.rows, part.comparison, "triangle", sureness=True))
    (again,) = judge.judge_frame(pd.read_csv(io.StringIO(text)), weights=USUAL, primary_age=5)
    assert isinstance(again, Entry)
    assert (again.weighed, again.verdict) == (entry.weighed, "noticed")
    path = tmp_path / "answers.csv"
    path.write_text(text)
    assert judge.as_dict(judge.judge_file(path, weights=USUAL)[0])["weighed"]["needed"] == entry.weighed.needed
    assert "weighed" not in judge.as_dict(judge.judge_file(path)[0])


def test_facts_of_a_count_are_spelt_as_before() -> None:
    (count,) = judged(tally(SURE_SEVEN), weights=())
    assert "weighed" not in facts_of(count)
    assert of_evidence.given(facts_of(count)) == count


# --- judge --------------------------------------------------------------------------------------------------------

HEADER = "comparison,method,panelist,replicate,age_minutes,correct,sure\n"


def rows(*words: str) -> str:
    """Right where the word is sure."""
    each = (f"7 against 8,triangle,P{n},1,5,{int(word == 'sure')},{word}\n" for n, word in enumerate(words))
    return HEADER + "".join(each)


def test_judge_reads_words_an_empty_cell_is_a_guess(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "answers.csv"
    path.write_text(rows(*["sure"] * 7, "guess", "guess", "", "", ""))
    assert judge.main([str(path), "--weights", "2,3,4,5", "--json"]) == 0
    (found,) = json.loads(capsys.readouterr().out)["results"]
    assert found["weighed"]["said"] == [[5, 0], [0, 0], [0, 0], [7, 7]]
    assert found["verdict"] == "noticed"
    assert judge.main([str(path), "--weights", "2,3,4,5"]) == 0
    assert "weigh 35 of 45" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "weights", "message"),
    [
        (rows("sure", "certain"), USUAL, r"^line 3, column sure: must be guess, unsure, fairly sure, sure or empty"),
        (rows("sure").replace(",sure", ""), USUAL, r"^The table of answers has no column sure"),
    ],
)
def test_judge_refuses_what_it_cannot_weigh(tmp_path: Path, text: str, weights: Any, message: str) -> None:
    path = tmp_path / "answers.csv"
    path.write_text(text)
    with pytest.raises(AnswersError, match=message):
        judge.judge_file(path, weights=weights)


def test_judge_refuses_weights_that_are_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "answers.csv"
    path.write_text(rows("sure"))
    assert judge.main([str(path), "--weights", "2,x"]) == 2
    assert judge.main([str(path), "--weights", "5,4,3,2"]) == 2
    assert "must not fall from guess to sure" in capsys.readouterr().err
