"""The rule of a sequential session (evaluation/judging/sequences.py): every path of small sessions with scipy's binomial."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import product
from math import ceil, floor, isclose, log

import pytest
from scipy.stats import binom

from evaluation.judging.entries import (
    CHECK_THE_KEY,
    NO_ANSWERS,
    NOT_NOTICED,
    NOTICED,
    REVERSED,
    SEVERAL_ANSWERS,
    UNDECIDED,
)
from evaluation.judging.sequences import (
    CLOSED_EARLY,
    CONTINUE,
    END_UNDECIDED,
    STOP_NOT_NOTICED,
    STOP_NOTICED,
    STOP_UNDECIDED,
    About,
    Rule,
    SequentialEntry,
    Total,
    entry_of,
    follow,
    planned_looks,
)
from evaluation.wording import of_looks

RULE = Rule("triangle", 0.05, 0.05, 0.5, 6, 24, replicated=False)
GUESSING = 1 / 3
NOTICING = 1 / 3 + 0.5 * 2 / 3
ABOUT = About("7 and 8", 5.0, 24)


def totals(right: Sequence[int], came: Sequence[int] = (6, 6, 6, 6), rule: Rule = RULE) -> list[Total]:
    """One total a block; of each block so many came in, so many of them right."""
    asked = correct = 0
    found = []
    for hits, sets in zip(right, came, strict=True):
        asked, correct = asked + sets, correct + hits
        found.append(Total(asked, correct, planned_looks(rule, asked)))
    return found


def closed(given: Sequence[Total]) -> list[Total]:
    """The same, ended after the last."""
    return [*given[:-1], Total(given[-1].assessments, given[-1].correct, ())]


def ends(proportion: float, came: Sequence[int], rule: Rule = RULE, end: bool = False) -> Counter[str]:
    """Probability of every outcome: all paths, each weighed by scipy's binomial."""
    weights = [binom.pmf(range(sets + 1), sets, proportion) for sets in came]
    found: Counter[str] = Counter()
    for right in product(*(range(sets + 1) for sets in came)):
        given = totals(right, came, rule)
        weight = 1.0
        for hits, block in zip(right, weights, strict=True):
            weight *= float(block[hits])
        found[follow(closed(given) if end else given, rule)[-1].outcome] += weight
    return found


def entry(right: Sequence[int], came: Sequence[int] | None = None, rule: Rule = RULE) -> SequentialEntry:
    return entry_of(totals(right, came or (rule.look_every,) * len(right), rule), rule, ABOUT)


# --- risks -----------------------------------------------------------------------------------------------------------


def test_the_risks_told_are_those_of_all_paths() -> None:
    told = entry((2, 2, 2, 2))
    guessed, noticed = ends(GUESSING, (6,) * 4), ends(NOTICING, (6,) * 4)
    assert isclose(sum(guessed.values()), 1.0)
    assert isclose(guessed[STOP_NOTICED], told.alpha_exact, rel_tol=1e-9)
    assert told.beta_exact is not None
    # "lower tail first" takes verdicts away from the lower stop, so that the two together make its risk
    assert isclose(noticed[STOP_NOT_NOTICED] + noticed[STOP_UNDECIDED], told.beta_exact, rel_tol=1e-9)
    assert 0.02 < told.alpha_exact <= 0.05
    assert told.beta_exact <= 0.05
    assert guessed[CONTINUE] == noticed[CONTINUE] == 0.0


@pytest.mark.parametrize("came", [(6, 5, 6, 4), (5, 6, 6, 3), (6, 6, 2, 1)])
def test_lost_answers_raise_no_risk(came: tuple[int, ...]) -> None:
    """Blocks shorter than sealed, the last look taken as the end: each look by the plan as it stood then."""
    assert ends(GUESSING, came, end=True)[STOP_NOTICED] <= 0.05
    assert ends(NOTICING, came, end=True)[STOP_NOT_NOTICED] <= 0.05


@pytest.mark.parametrize("looks", [1, 2, 3])
def test_closing_early_raises_no_risk(looks: int) -> None:
    """Closed after so many looks that said continue: the newest is looked at once more, as the end."""
    found = Counter[str]()
    weights = binom.pmf(range(7), 6, GUESSING)
    for right in product(range(7), repeat=looks):
        given = totals(right, (6,) * looks)
        outcome = follow([*given, Total(given[-1].assessments, given[-1].correct, ())], RULE)[-1].outcome
        weight = 1.0
        for hits in right:
            weight *= float(weights[hits])
        found[outcome] += weight
    assert isclose(sum(found.values()), 1.0)
    assert found[CONTINUE] == 0.0
    assert 0.0 < found[STOP_NOTICED] <= 0.05


# --- looks and words -------------------------------------------------------------------------------------------------


def test_limits_are_walds_before_the_end() -> None:
    """Wald 1947, Sequential Analysis, chapter 5 (from memory): lines of equal slope, rounded to whole answers."""
    gain, loss = log(NOTICING / GUESSING), log((1 - NOTICING) / (1 - GUESSING))
    slope = -loss / (gain - loss)
    high, low = log(0.95 / 0.05) / (gain - loss), log(0.05 / 0.95) / (gain - loss)
    first, second = follow(totals((2, 4), (6, 6)), RULE)
    assert (first.lower, first.upper) == (floor(low + slope * 6), ceil(high + slope * 6))
    assert (second.lower, second.upper) == (floor(low + slope * 12), ceil(high + slope * 12))


def test_a_look_stops_and_later_totals_do_not_count() -> None:
    looks = follow(totals((6, 0, 0, 0)), RULE)
    assert [look.outcome for look in looks] == [STOP_NOTICED]
    told = entry((6, 0, 0, 0))
    assert (told.verdict, told.correct, told.assessments, told.reason) == (NOTICED, 6, 6, "")
    assert told.settle is None


def test_few_right_stop_as_not_noticed() -> None:
    told = entry((1, 2), (6, 6))
    assert (told.verdict, told.assessments) == (NOT_NOTICED, 12)
    assert told.speaks_for == "people like this panel"


def test_the_end_without_a_verdict_is_undecided_with_a_way_on() -> None:
    last = follow(totals((3, 3, 3, 3)), RULE)[-1]
    assert last.outcome == END_UNDECIDED
    told = entry((3, 3, 3, 3))
    assert (told.verdict, told.reason) == (UNDECIDED, "")
    assert told.settle is not None


@pytest.mark.parametrize(
    ("method", "expected", "right"), [("triangle", CHECK_THE_KEY, 0), ("2-afc", REVERSED, 1), ("3-afc", REVERSED, 0)]
)
def test_so_few_right_that_guessing_does_not_explain_them_is_never_not_noticed(
    method: str, expected: str, right: int
) -> None:
    chance = 1 / 2 if method == "2-afc" else 1 / 3
    assert binom.cdf(right, 8, chance) <= 0.05
    told = entry((right,), rule=Rule(method, 0.05, 0.05, 0.5, 8, 24, replicated=False))
    assert (told.verdict, told.reason) == (UNDECIDED, expected)
    assert told.looks[-1].outcome == STOP_UNDECIDED
    assert told.settle is not None
    assert "fresh session" not in of_looks.sentence(told)


def test_several_answers_per_person_are_never_not_noticed() -> None:
    rule = Rule("triangle", 0.05, 0.05, 0.5, 6, 24, replicated=True)
    reached = {follow(totals(right), rule)[-1].outcome for right in product(range(7), repeat=4)}
    assert reached == {STOP_NOTICED, STOP_UNDECIDED, END_UNDECIDED}
    told = entry((1, 2), (6, 6), rule)
    assert (told.verdict, told.reason, told.beta_exact, told.expected_at_pd) == (UNDECIDED, SEVERAL_ANSWERS, None, None)
    assert told.speaks_for == "this panel"


def test_a_session_that_stands_at_continue_was_closed_early() -> None:
    told = entry((3,), (6,))
    assert (told.verdict, told.reason) == (UNDECIDED, CLOSED_EARLY)
    assert entry((), ()).reason == NO_ANSWERS


def test_looks_planned_end_with_all_answers() -> None:
    assert planned_looks(RULE) == (6, 12, 18, 24)
    assert planned_looks(RULE, 11) == (17, 23, 24)
    assert planned_looks(RULE, 24) == ()


def test_no_p_and_no_interval_is_told() -> None:
    """Withheld or labelled; here both."""
    told = entry((6,), (6,))
    assert not {name for name in SequentialEntry.__slots__ if "p_value" in name or "discriminators" in name}
    assert ("p, share that notices, d-prime", "not valid after stopping") in of_looks.facts(told)
    assert "p =" not in of_looks.sentence(told)


def test_too_few_people_are_told_with_how_many() -> None:
    """Our rule (DEVELOPERS.md): twelve people with one answer each, else this panel only."""
    few = of_looks.sentence(entry_of(totals((6,), (6,)), RULE, About("7 and 8", 5.0, 6)))
    assert few.endswith(
        "To speak for people like this panel, answers of 12 people picked from them by lot are needed, 6 "
        "more than here: a fresh session."
    )
    assert "people like" not in of_looks.sentence(entry_of(totals((3, 6), (6, 6)), RULE, About("7 and 8", 5.0, 12)))
    undecided = entry_of(totals((3,), (6,)), RULE, About("7 and 8", 5.0, 6))
    assert (undecided.verdict, "people like" in of_looks.sentence(undecided)) == ("undecided", False)
    several = entry_of(totals((6,), (6,)), replace(RULE, replicated=True), About("7 and 8", 5.0, 6))
    assert "people like" not in of_looks.sentence(several)


def test_sentences_name_what_stopped_it() -> None:
    said = of_looks.sentence(entry_of(totals((6, 0), (6, 6)), RULE, About("7 and 8", 5.0, 12, after=6, late=1)))
    assert said.startswith("Noticed: more answers were right than guessing explains. 6 of 6 answers right at look 1")
    assert "6 answers that came in after it do not enter the verdict." in said
    assert "Set apart only after a look held them, and therefore kept in: 1 set." in said


# --- wrong strips, alone ------------------------------------------------------------------------------------------------


def called(blocks: Sequence[tuple[int, int]], rule: Rule) -> list[Total]:
    """Totals of whole sittings, each with (right answers, wrong strips)."""
    found, right, astray = [], 0, 0
    for number, (more, wrong) in enumerate(blocks, start=1):
        right, astray, asked = right + more, astray + wrong, number * rule.look_every
        found.append(Total(asked, right, planned_looks(rule, asked), astray))
    return found


def worst(rule: Rule, share: float, wanted: str, most: int) -> float:
    """The largest probability of one verdict for somebody who reads each sitting's marks and then calls up to ``most``
    of its sets wrong strips, right ones and wrong ones as it suits: every score and every way of calling, backwards."""

    @lru_cache(None)
    def value(blocks: tuple[tuple[int, int], ...]) -> float:
        looks = follow(called(blocks, rule), rule)
        if looks and (looks[-1].outcome != CONTINUE or len(looks) < len(blocks)):
            return float(looks[-1].outcome == wanted)
        return sum(
            float(binom.pmf(score, rule.look_every, share))
            * max(value((*blocks, (score - hidden, hidden + other))) for hidden, other in ways(score))
            for score in range(rule.look_every + 1)
        )

    def ways(score: int) -> list[tuple[int, int]]:
        tried = product(range(score + 1), range(rule.look_every - score + 1))
        return [(hidden, other) for hidden, other in tried if hidden + other <= most]

    return value(())


@pytest.mark.parametrize(
    ("method", "guess", "every", "planned"),
    [("triangle", 1 / 3, 4, 12), ("tetrad", 1 / 3, 3, 9), ("2-afc", 0.5, 6, 12), ("3-afc", 1 / 3, 4, 8)],
)
def test_no_way_of_calling_sets_wrong_strips_takes_more_than_the_sealed_risks(
    method: str, guess: float, every: int, planned: int
) -> None:
    """Exact: the worst that can be done is to call nothing so, which leaves the risks of the planned looks."""
    rule = Rule(method, 0.05, 0.05, 0.5, every, planned, replicated=False)
    exact = entry_of(called([(every, 0)] * (planned // every), rule), rule, About("7 and 8", 5.0, 1))
    assert exact.beta_exact is not None
    for most in (1, 2, every):
        assert worst(rule, guess, STOP_NOTICED, most) <= exact.alpha_exact * (1 + 1e-9) <= 0.05
        seldom = guess + (1 - guess) * 0.5
        assert worst(rule, seldom, STOP_NOT_NOTICED, most) <= exact.beta_exact * (1 + 1e-9) <= 0.05


def test_leaving_them_out_and_moving_the_limits_would_not_hold() -> None:
    """The rule that was not taken: one set a sitting called so where it was answered wrong, the looks at smaller totals.

    Each limit is that of the totals as they came, and still more than three times alpha end as noticed.
    """
    chance = 0.0
    for scores in product(range(5), repeat=3):
        totals, asked, right = [], 0, 0
        for number, score in enumerate(scores, start=1):
            asked, right = asked + (4 if score == 4 else 3), right + score
            totals.append(Total(asked, right, tuple(range(asked + 4, asked + 4 * (3 - number) + 1, 4))))
        rule = Rule("triangle", 0.05, 0.05, 0.5, 4, 12, replicated=False)
        noticed = follow(totals, rule)[-1].outcome == STOP_NOTICED
        chance += noticed * float(binom.pmf(scores, 4, 1 / 3).prod())
    assert chance > 0.15


def test_a_wrong_strip_stands_in_the_way_of_both_verdicts_and_ends_neither_too_early() -> None:
    """16 triangles by fours; limits of the plan: 4 of 4 does not stop yet, 7 of 8 does as noticed, 1 of 8 as not."""
    rule = Rule("triangle", 0.05, 0.05, 0.5, 4, 16, replicated=False)
    whole = [(look.outcome, look.wrong_strips) for look in follow(called([(4, 0), (3, 0)], rule), rule)]
    assert whole == [(CONTINUE, 0), (STOP_NOTICED, 0)]
    one = follow(called([(4, 0), (2, 1), (4, 0)], rule), rule)
    assert [look.outcome for look in one] == [CONTINUE, CONTINUE, STOP_NOTICED]
    few = follow(called([(1, 0), (0, 0)], rule), rule)
    assert few[-1].outcome == STOP_NOT_NOTICED
    hidden = follow(called([(1, 0), (0, 2), (0, 0), (0, 0)], rule), rule)
    assert hidden[1].outcome == CONTINUE  # with both right it would be 3 of 8
    assert hidden[-1].outcome == STOP_NOT_NOTICED
    both = follow(called([(0, 4), (1, 3)], rule), rule)  # 1 or 8 of 8: nothing can be said any more
    assert [look.outcome for look in both] == [CONTINUE, STOP_UNDECIDED]


def test_sentences_tell_how_wrong_strips_were_counted() -> None:
    rule = Rule("triangle", 0.05, 0.05, 0.5, 4, 16, replicated=False)
    entry = entry_of(called([(4, 0), (2, 1), (4, 0)], rule), rule, About("7 and 8", 5.0, 1))
    assert (entry.verdict, entry.correct, entry.assessments, entry.wrong_strips) == (NOTICED, 10, 12, 1)
    said = of_looks.sentence(entry)
    assert "1 set was a wrong strip: answered wrong towards “noticed”, answered right towards “not noticed”." in said
