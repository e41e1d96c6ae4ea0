"""Sentences about a profile by a table of cases, and what they must never say."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pandas as pd
import pytest

from evaluation.counting.profiles import COLUMNS, Came, Move, ProfileFound, moves
from evaluation.deciding.claims import partings
from evaluation.wording import of_profiles as words
from evaluation.wording.of_verdicts import p_words
from tests import scenes

AGES = (5, 60, 240, 480)


def found(rate: Any, people: int = 12, trials: int = 2, strength: bool = False, **changes: Any) -> ProfileFound:
    """Ratings by rule ``rate(person, trial, word, age)``; a rating of None is missing."""
    names, listed = ("7", "8", "9")[:trials], ("woody", "smoky", "green", *(["strength"] if strength else []))
    more = tuple(f"trial-{name}" for name in names[2:])
    plan = scenes.plan(
        people=people, method="profile", minutes=AGES, primary=None, descriptors=scenes.RATED, other_trial_ids=more,
        asks_strength=strength, **changes,
    )  # fmt: skip
    rows = [
        (f"P{person:02d}", name, word, float(age), 1, rate(person, name, word, age), "line", "", person, "", True)
        for person, name, word, age in product(range(1, people + 1), names, listed, AGES)
    ]
    frame = pd.DataFrame(rows, columns=list(COLUMNS)).astype({"rating": float})
    frame["trial"] = pd.Categorical(frame["trial"], categories=list(names))
    frame["descriptor"] = pd.Categorical(frame["descriptor"], categories=list(listed))
    return ProfileFound(plan, names, frame, ())


def noise(person: int, name: str, word: str, age: int) -> float:
    """The same numbers in every run; nothing in them."""
    return float(np.random.default_rng([person, ord(name), ord(word[0]), age]).normal(5, 0.4))


def test_the_sentence_a_perfumer_reads() -> None:
    told = words.summary_lines(
        found(lambda p, t, w, a: noise(p, t, w, a) + (2.0 if t == "8" and w == "woody" and a <= 60 else 0.0))
    )
    assert len(told) == 1
    assert told[0].startswith("Trial 8 is more woody than trial 7 at 5 min and 1 h (+")
    assert ", family p " in told[0]
    assert "; no other descriptor moved beyond ±0." in told[0]
    assert told[0].endswith("(95 % intervals, each by itself).")


def test_the_bound_is_the_largest_end_of_an_interval_rounded_up() -> None:
    one = found(noise)
    (line,) = words.summary_lines(one)
    end = one.differences.table[["low", "high"]].abs().to_numpy().max()
    said = float(line.split("±")[1].split(" ")[0])
    assert end <= said < end + 0.1
    assert line.startswith("Trials 7 and 8: no descriptor was shown to move; none moved beyond ±")


@pytest.mark.parametrize("people", [5, 12])
def test_nothing_found_is_never_the_same(people: int) -> None:
    told = " ".join((*words.summary_lines(found(noise, people)), *words.caveats(found(noise, people))))
    for wrong in ("are the same", "identical", "no difference", "alike in"):
        assert wrong not in told
    assert "What was not shown to move is not shown to be the same" in told


def test_fewer_than_six_people_describe_only() -> None:
    told = words.summary_lines(found(lambda p, t, w, a: 9.0 if t == "8" else 1.0, people=5))
    assert told[0] == "Trials 7 and 8: too few people to claim anything: it takes 6 who rated both."
    assert told[1].startswith("12 comparisons have fewer than 6 people who rated both trials: shown outside the family")


def test_rows_outside_the_family_are_labelled_beside_those_within() -> None:
    one = found(lambda p, t, w, a: None if w == "green" and p > 4 else noise(p, t, w, a))
    assert words.summary_lines(one)[-1].startswith("4 comparisons have fewer than 6 people")


def test_every_pair_has_its_sentence() -> None:
    assert len(words.summary_lines(found(noise, trials=3))) == 3


def move(first: int, last: int, differences: tuple[float, ...], p: float = 0.01, word: str = "woody") -> Move:
    return Move("7", "8", word, AGES[first : last + 1], differences, p, first == 0, last == len(AGES) - 1)


CASES = [
    (move(0, 0, (1.6,)), "Trial 8 is more woody than trial 7 at 5 min (+1.6, family p = .010)"),
    (move(0, 1, (1.6, 1.2)), "Trial 8 is more woody than trial 7 at 5 min and 1 h (+1.2 to +1.6, family p at most .010)"),
    (move(0, 1, (1.6, 1.61)), "Trial 8 is more woody than trial 7 at 5 min and 1 h (+1.6, family p at most .010)"),
    (move(1, 2, (-0.7, -0.9)), "Trial 8 is less woody than trial 7 at 1 h and 4 h (−0.7 to −0.9, family p at most .010)"),
    (move(2, 3, (0.7, 0.7), 0.0004), "Trial 8 is more woody than trial 7 at 4 h and 8 h (+0.7, family p < .001)"),
    (move(0, 3, (1, 1, 1, 1)), "Trial 8 is more woody than trial 7 at every age smelt, 5 min, 1 h, 4 h and 8 h (+1.0, family p at most .010)"),
    (move(1, 1, (-1.0,), word="strength"), "Trial 8 is weaker than trial 7 at 1 h (−1.0, family p = .010)"),
    (move(3, 3, (1.0,), word="liking"), "Trial 8 is liked more than trial 7 at 8 h (+1.0, family p = .010)"),
]  # fmt: skip


@pytest.mark.parametrize(("one", "told"), CASES)
def test_a_move_in_words(one: Move, told: str) -> None:
    assert words.move_words(one, 0.05) == told


def test_moves_follow_ages_and_direction() -> None:
    """Woody is up at 5 and 60 min, down at 480: two moves of one descriptor."""
    shift = {5: 2.0, 60: 2.0, 240: 0.0, 480: -2.0}
    one = found(lambda p, t, w, a: noise(p, t, w, a) + (shift[a] if t == "8" and w == "woody" else 0.0))
    shown = moves(one.differences, 0.05, "7", "8")
    assert [(m.descriptor, m.first_age, m.last_age, m.up) for m in shown] == [
        ("woody", 5.0, 60.0, True),
        ("woody", 480.0, 480.0, False),
    ]
    (line,) = words.summary_lines(one)
    assert "; less woody at 8 h (−" in line


def test_turning_the_scale_turns_the_words() -> None:
    """Ratings r and 10 − r: the same moves the other way, the same p."""

    def rate(p: int, t: str, w: str, a: int) -> float:
        return noise(p, t, w, a) + (1.5 if t == "8" and w == "smoky" and a == 60 else 0.0)

    one, other = found(rate), found(lambda *about: 10 - rate(*about))
    (up,), (down,) = (moves(each.differences, 0.05, "7", "8") for each in (one, other))
    assert (up.up, down.up) == (True, False)
    assert (up.p_family, up.differences[0]) == pytest.approx((down.p_family, -down.differences[0]))


@pytest.mark.parametrize(
    ("minutes", "told"), [(0.5, "30 s"), (5, "5 min"), (90, "90 min"), (60, "1 h"), (1440, "1 d"), (2880, "2 d")]
)
def test_ages_in_words(minutes: float, told: str) -> None:
    assert words.age_words(minutes) == told


@pytest.mark.parametrize(("number", "told"), [(1.64, "+1.6"), (-0.4, "−0.4"), (0.04, "+0.04"), (0.0, "0.0")])
def test_signed(number: float, told: str) -> None:
    assert words.signed(number) == told


def test_missing_answers_are_told_apart() -> None:
    line = words.came_line(Came(60.0, 16, 15, 14, (("late", 1),), 50, 4, 2))
    assert line == "1 h: 15 of 16 strips rated, 1 left out (late); 50 answers, 4 “not smelt”, 2 skipped."


def test_strength_over_time_in_words() -> None:
    from evaluation.statistics import decay

    fall = {"7": {5: 8, 60: 6, 240: 3, 480: 1}, "8": {5: 9, 60: 8, 240: 7, 480: 6}}
    rows = [(f"P{p}", t, a, fall[t][a] + p / 20) for p in range(8) for t in fall for a in AGES]
    one = decay(pd.DataFrame(rows, columns=["panelist", "trial", "age_minutes", "rating"]), threshold=5.0)
    seven, eight = (words.decay_line(trial, 5.0) for trial in one.trials)
    assert seven.startswith("Trial 7 falls to 5 at about 2.2 h (interval ")
    assert eight.startswith("Trial 8 is still above 5 at the last age, 8 h")


def falling(gaps: dict[int, float]) -> ProfileFound:
    """Strength falls; the second trial lies above the first by so much at each age; nothing else differs."""

    def rate(person: int, name: str, word: str, age: int) -> float:
        if word != "strength":
            return noise(person, name, word, age)
        return noise(person, name, word, age) + 4 - AGES.index(age) + (gaps[age] if name == "8" else 0.0)

    return found(rate, strength=True)


def test_a_stretch_of_strength_is_told_with_the_ages_that_show_it() -> None:
    one = falling({5: 2.0, 60: 2.0, 240: 0.0, 480: 0.0})
    assert one.decay is not None
    (line,) = words.parting_lines(one, one.decay.pairs[0])
    family = one.differences.table.query("descriptor == 'strength' and age_minutes <= 60")["p_family"]
    assert line.startswith("Strength: trial 8 is shown stronger than trial 7 at 5 min and 1 h (family p ")
    assert f"family {p_words(family.max(), 1.0)}".replace("p =", "p at most") in line
    assert "its fitted curve lies above from the first age, 5 min, until about" in line
    assert line.count("interval") == 1  # the time of meeting never stands alone


def test_no_time_of_crossing_is_told_from_differences_that_are_not_shown() -> None:
    """Noise makes curves cross somewhere, too: the demo told a crossing at 96 min of a family p of .98."""
    one = falling({5: 0.05, 60: 0.05, 240: -0.05, 480: -0.05})
    assert one.decay is not None
    assert one.decay.pairs[0].stretches  # the curves do cross
    (line,) = words.parting_lines(one, one.decay.pairs[0])
    least = one.differences.table.query("descriptor == 'strength'")["p_family"].min()
    assert least > 0.05
    assert line == (
        f"Strength: trials 7 and 8 are not shown to differ at any age (family {p_words(least, 0.05)} at the least), so "
        "no time is told at which their curves part or cross."
    )


@pytest.mark.parametrize("seed", range(12))
def test_every_time_of_strength_rests_on_ages_the_family_shows(seed: int) -> None:
    draw = np.random.default_rng(seed)
    one = falling({age: float(gap) for age, gap in zip(AGES, draw.normal(0, 1.2, 4), strict=True)})
    assert one.decay is not None
    pair, table = one.decay.pairs[0], one.differences.table
    own = table[(table["descriptor"] == "strength") & (table["p_family"] <= 0.05)]
    by_age = dict(zip(own["age_minutes"], own["difference"], strict=True))
    told = partings(one, pair)
    for apart in told:
        up = apart.stretch.stronger == "8"
        inside = [a for a, d in by_age.items() if apart.stretch.since <= a <= apart.stretch.until and (d > 0) == up]
        assert list(apart.shown_at) == sorted(inside)
    assert len(words.parting_lines(one, pair)) == max(1, sum(apart.may_be_told for apart in told))


def test_a_move_is_told_at_ages_that_were_smelt_and_shown() -> None:
    """Nothing is said of the time between: "for the first hour" was, where 5 min and 1 h had been smelt."""
    one = found(lambda p, t, w, a: noise(p, t, w, a) + (2.0 if t == "8" and w == "woody" and a != 240 else 0.0))
    table = one.differences.table
    for move in moves(one.differences, 0.05, "7", "8"):
        rows = table[(table["descriptor"] == move.descriptor) & table["age_minutes"].isin(move.ages)]
        assert len(rows) == len(move.ages)
        assert (rows["p_family"] <= 0.05).all()
        assert all(words.age_words(age) in words.when(move) for age in move.ages)
        assert "first" not in words.when(move)
        assert "from" not in words.when(move)


def test_many_ages_are_told_as_those_smelt() -> None:
    ages = (5.0, 15.0, 30.0, 60.0, 120.0)
    many = Move("7", "8", "woody", ages, (1.0,) * 5, 0.01, True, False)
    assert words.when(many) == "at all 5 ages smelt from 5 min to 2 h"
    assert words.when(replace(many, to_end=True)) == "at every age smelt from 5 min to 2 h"


# --- tables -------------------------------------------------------------------------------------------------------


def test_tables_round_for_people_and_only_there() -> None:
    from evaluation.tables import results

    one = found(noise)
    told, true = results.moved(one), one.differences.table
    assert list(told["difference"]) == [round(value, 3) for value in true["difference"]]
    assert set(told["standing"]) == {"in the family"}
    assert set(told["medium"]) == {"strip"}
    assert len(results.rated(one)) == len(one.rows)
    assert set(results.effects(one)["effect"]) == {"trial", "age", "trial:age"}
    assert len(results.panelists(one)) == 12 * 3


def test_a_descriptor_that_would_be_a_formula_is_only_text_in_a_file() -> None:
    import io

    from evaluation.tables import results

    one = found(noise)
    named = one.rows.assign(descriptor=one.rows["descriptor"].astype(str).replace("woody", "=1+1"))
    evil = ProfileFound(one.plan, one.names, named, ())
    for build in (results.moved, results.rated, results.panelists):
        read = pd.read_csv(io.StringIO(results.csv_text(build(evil))))
        assert "'=1+1" in set(read["descriptor"])


def test_intervals_of_means_cover_their_mean_and_ask_for_six() -> None:
    from evaluation.counting.profiles import curves

    drawn = curves(found(noise), ("woody",)).means
    assert len(drawn) == 2 * len(AGES)
    assert ((drawn["low"] < drawn["mean"]) & (drawn["mean"] < drawn["high"])).all()
    few = curves(found(noise, people=5), ("woody",), age=60.0).means
    assert few["low"].isna().all()
    assert list(few["panelists"]) == [5, 5]
