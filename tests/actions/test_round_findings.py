"""Rounds and rankings through the actions against a hidden truth that the answers were made from."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy import stats

from evaluation.actions import ballot, bench, findings
from evaluation.actions.round_findings import RoundFindings, round_findings
from evaluation.counting.rounds import circular, led_by
from evaluation.errors import StillBlind
from evaluation.tables import standings
from evaluation.wording import of_rounds
from tests import scenes


def opened(notebook: Any, session: Any) -> RoundFindings:
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return round_findings(notebook, session.id)


def smelt(notebook: Any, worth: Any, people: int = 12, answer: int | None = None, **changes: Any) -> Any:
    scene = scenes.scene(notebook, people=people)
    session = scene.smelling(**changes)
    scenes.answer_by_worth(notebook, session.id, worth, answer)
    return session


def test_a_round_finds_the_order_it_was_answered_from(notebook: Any) -> None:
    session = smelt(notebook, lambda seat, letter: {"A": 2, "B": 3, "C": 1}[letter], method="round")
    with pytest.raises(StillBlind):
        round_findings(notebook, session.id)
    (found,) = opened(notebook, session).found
    assert found.names == ("7", "8", "9")
    assert [(p.for_first, p.for_second, p.even) for p in found.pairs] == [(0, 12, 0), (12, 0, 0), (12, 0, 0)]
    assert led_by(found) == (1, 0, 2)
    assert found.merits is not None
    assert found.merits.order == (1, 0, 2)
    assert found.merits.condition == "separated"  # nobody ever preferred the worse one: no likelihood has a top
    assert [pair.shown for pair in found.pairs] == [True] * 3
    assert found.pairs[0].p_family == pytest.approx(3 * stats.binomtest(0, 12).pvalue)  # Holm over three alike
    assert (found.came.planned, found.came.came_in, found.came.counted) == (36, 36, 36)
    assert circular(found) == ()


def test_of_a_pair_that_nobody_answered_nothing_is_told(notebook: Any) -> None:
    """One person, one set: the other two pairs have no p and are not "not told apart"."""
    session = scenes.scene(notebook, people=12).smelling(method="round")
    first = scenes.ballots(notebook, session.id)[0].id
    screen = ballot.view(notebook, first).screen
    how = {asked.name: scenes.first_option(asked) for asked in screen}
    ballot.lock_screen(notebook, first, screen[0].serving_id, how)
    (found,) = opened(notebook, session).found
    table = standings.pairs(found)
    answered = table["people"] > 0
    assert answered.sum() == 1
    assert set(table["said"][~answered]) == {"nobody answered"}
    assert set(table["p in the family"][~answered]) == {""}


@pytest.mark.parametrize("method", ["round", "ranking"])
def test_where_nobody_answered_it_speaks_for_nobody(notebook: Any, method: str) -> None:
    (found,) = opened(notebook, scenes.scene(notebook, people=12).smelling(method=method, trials=3)).found
    assert not any("0 people" in one for one in of_rounds.caveats(found))


def test_who_was_smelt_first_is_counted_from_the_tray(notebook: Any) -> None:
    """Everybody takes the first strip: which one that is was drawn for each, so no trial is shown, the place is."""
    scene = scenes.scene(notebook, people=12)
    session = scene.smelling(method="round")
    for one in scenes.ballots(notebook, session.id):
        scenes.answer_all(
            notebook, one.id, lambda asked: asked.codes[0] if asked.name == "choice" else asked.options[0]
        )
    (found,) = opened(notebook, session).found
    own = found.votes
    assert (own.first == own.wins).all()
    assert found.placed is not None
    assert found.placed.position_effect is not None
    assert found.placed.position_effect > 1
    assert not any(pair.shown for pair in found.pairs)


def test_a_tie_is_nobodys_win(notebook: Any) -> None:
    session = smelt(notebook, lambda seat, letter: 0.0 if letter == "C" else 1.0, method="round")
    (found,) = opened(notebook, session).found
    assert (found.pairs[0].for_first, found.pairs[0].for_second, found.pairs[0].even) == (0, 0, 12)
    assert found.votes.ties.sum() == 12
    assert not found.pairs[0].shown
    assert found.pairs[1].shown


def test_camps_take_the_place_of_a_preference_of_the_panel(notebook: Any) -> None:
    """Half hold A best, half B, four times each; C is last for all."""

    def worth(seat: int, letter: str) -> float:
        return {"A": seat % 2, "B": 1 - seat % 2, "C": -1}[letter]

    session = smelt(notebook, worth, method="round", replicates=4)
    (found,) = opened(notebook, session).found
    assert found.split
    assert [pair.camps for pair in found.pairs] == [True, False, False]
    assert [pair.shown for pair in found.pairs] == [False, True, True]


def test_a_ranking_is_friedmans_and_follows_the_sealed_order(notebook: Any) -> None:
    """Against scipy.stats.friedmanchisquare and scipy.stats.page_trend_test on the ranks put in."""
    rng = np.random.default_rng(5)
    drawn = {
        seat: dict(zip("ABC", np.add(rng.permutation([1.0, 2.0, 3.0]), [0, 0.9, 1.8]), strict=True))
        for seat in range(9)
    }
    scene = scenes.scene(notebook, people=8)
    session = scene.smelling(method="ranking", expected_order=scene.trials(3))
    scenes.answer_by_worth(notebook, session.id, lambda seat, letter: drawn[seat][letter])
    (found,) = opened(notebook, session).found
    truth = [stats.rankdata([-drawn[seat][letter] for letter in "ABC"]) for seat in range(1, 9)]
    assert found.ranks is not None
    assert found.ranks[1].tolist() == np.array(truth).tolist()
    assert found.ranked is not None
    assert found.ranked.statistic == pytest.approx(stats.friedmanchisquare(*np.array(truth).T).statistic)
    assert found.ranked.page is not None
    assert found.ranked.page.order == (2, 1, 0)  # the plan names the least first
    page = stats.page_trend_test(truth, predicted_ranks=[3, 2, 1], method="exact")
    assert (found.ranked.page.statistic, found.ranked.page.p_value) == pytest.approx((page.statistic, page.pvalue))


def test_several_rankings_of_a_person_are_one_row(notebook: Any) -> None:
    session = smelt(notebook, lambda seat, letter: "BCA".index(letter), people=8, method="ranking", replicates=2)
    (found,) = opened(notebook, session).found
    assert found.ranked is not None
    assert found.ranked.ranks.tolist() == [[1.0, 3.0, 2.0]] * 8
    assert found.ranked.page is None
    assert (found.came.planned, found.people) == (16, 8)


def test_both_ways_where_the_sealed_rule_leaves_somebody_out(notebook: Any) -> None:
    session = smelt(notebook, lambda seat, letter: (letter == "B") == (seat > 1), method="round")
    with notebook.reading() as tx:
        sets = [one for one in tx.sittings.servings(session.id) if one.seat == 1]
    bench.note_deviation(notebook, session.id, 1, "unblinded", "saw the vials", sets[0].id)
    (found,) = opened(notebook, session).found
    assert found.reduced
    assert found.came.left_out == (("unblinded", 1),)
    assert found.came.counted == found.came.came_in - 1
    assert found.of_all.votes.wins.sum() + found.of_all.votes.ties.sum() == 36
    assert found.votes.wins.sum() + found.votes.ties.sum() == 35


def test_numbers_do_not_hang_on_the_letters(notebook: Any) -> None:
    """The same people with the trials of the plan in another order: the same numbers under the other names."""
    rng = np.random.default_rng(3)
    liked = {(seat, place): rng.normal() + place / 2 for seat in range(1, 13) for place in range(3)}
    scene = scenes.scene(notebook, people=12)
    ids = scene.trials(3)
    seen = []
    for turned in ((0, 1, 2), (2, 0, 1)):
        places = dict(zip("ABC", turned, strict=True))
        named = [ids[place] for place in turned]
        session = scene.smelling(
            method="round", first_trial_id=named[0], second_trial_id=named[1], other_trial_ids=(named[2],)
        )
        scenes.answer_by_worth(notebook, session.id, lambda seat, letter, p=places: liked[seat, p[letter]])
        (found,) = opened(notebook, session).found
        assert found.merits is not None
        seen.append(dict(zip(found.names, found.merits.log_merits.tolist(), strict=True)))
    assert seen[0] == pytest.approx(seen[1])


def test_nobody_answered(notebook: Any) -> None:
    session = smelt(notebook, lambda seat, letter: 0.0, answer=0, method="ranking")
    (found,) = opened(notebook, session).found
    assert not found.answered
    assert (found.pairs, found.ranked, found.merits, found.camps) == ((), None, None, None)
