"""From a session's answers to counts (evaluation/counting/questions.py), and the tables of them (evaluation/tables/results.py)."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from itertools import combinations, count
from typing import Any

import pandas as pd
import pytest

from evaluation import judge, sessions
from evaluation.counting.questions import (
    Assessment,
    Held,
    Impression,
    Loss,
    Sureness,
    assess,
    impressions,
    losses,
    sureness,
    tallies,
)
from evaluation.counting.tallies import PreferenceTally, Tally
from evaluation.errors import ArgumentError
from evaluation.judging.entries import Entry
from evaluation.judging.verdicts import judge_tallies, rules_of
from evaluation.serving import asking
from evaluation.serving.blinding import draw
from evaluation.sessions import Answer, Ballot, Deviation, Plan, Serving
from evaluation.tables import results
from tests.methods import FORCED_CHOICE
from tests.scenes import SEED, plan

Nose = Callable[[Serving, str], str]  # a serving and the order behind it → what is chosen


def right(method: str, expected: str) -> Nose:
    """A nose that always knows, written apart from the program: it finds the answer by looking for what fits."""

    def choose(serving: Serving, order: str) -> str:
        trial = dict(zip(serving.codes, order, strict=True))
        codes = serving.codes
        alone = [c for c in codes if order.count(trial[c]) == 1]
        if method == "triangle":
            return alone[0]
        if method == "duo-trio":
            return next(c for c in codes[1:] if trial[c] == trial[codes[0]])
        if method in ("2-afc", "3-afc"):
            return next(c for c in codes if trial[c] == {"first": "A", "second": "B"}[expected])
        if method == "two-out-of-five":
            return "+".join(
                next(
                    pair
                    for pair in combinations(codes, 2)
                    if order.count(trial[pair[0]]) == 2 and trial[pair[0]] == trial[pair[1]]
                )
            )
        partner = next(c for c in codes[1:] if trial[c] == trial[codes[0]])
        others = [c for c in codes[1:] if c != partner]
        return f"{codes[0]}+{partner}|{'+'.join(others)}"

    return choose


def prefers(letter: str) -> Nose:
    return lambda serving, order: serving.codes[order.index(letter)]


def played(made: Plan, nose: Callable[[int], Nose], sure: str = "sure") -> Held:
    """A session of this plan in which the nose of each seat chose at every set, by hand instead of by the ballot."""
    numbers = count(1)
    drawn = draw(made, SEED, lambda: f"serving {next(numbers)}")
    orders = dict(drawn.key.orders)
    ballots = tuple(Ballot(f"ballot {s.number}", "session", s.number, s.panelist_id, 1, None) for s in made.seats)
    answers = []
    for serving in drawn.servings:
        who = made.seats[serving.seat - 1]
        if serving.spare or who.panelist_id is None:
            continue
        chosen = nose(serving.seat)(serving, orders[serving.id])
        answers.append(Answer(f"ballot {serving.seat}", serving.id, "choice", chosen, 1))
        answers.append(Answer(f"ballot {serving.seat}", serving.id, "sure", sure, 2))
    aliases = {s.panelist_id: f"alias {s.number}" for s in made.seats if s.panelist_id}
    return Held(made, drawn.servings, drawn.key, ballots, tuple(answers), (), aliases)


def wrong(method: str, expected: str) -> Nose:
    """A nose that never knows: it takes an option that is not the right one."""

    def choose(serving: Serving, order: str) -> str:
        best = right(method, expected)(serving, order)
        asked = asking.questions(plan(method=method), (replace(serving, spare=False),))[0]
        options = asked.options if asked.pick == 1 else ["+".join(pair) for pair in combinations(asked.options, 2)]
        return next(option for option in options if option != best)

    return choose


# --- right and wrong --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", list(FORCED_CHOICE))
def test_who_is_right_counts_as_right_and_who_is_wrong_as_wrong(method: str) -> None:
    made = plan(8, method=method, minutes=(5, 30), replicates=2)
    knows, fails = right(method, made.expected), wrong(method, made.expected)
    held = played(made, lambda seat: knows if seat <= 3 else fails)
    found = tallies(made, assess(held), "7 against 8")
    assert [one.age_minutes for one in found] == [5, 30]
    for one in found:
        assert isinstance(one, Tally)
        assert one.people == tuple(f"person-{n}" for n in range(1, 9))
        assert one.correct == (2, 2, 2, 0, 0, 0, 0, 0)
        assert one.assessments == (2,) * 8


def test_the_other_direction_is_wrong_in_a_directed_method() -> None:
    made = plan(6, method="2-afc", expected="first", descriptor="greener")
    assert sum(tallies(made, assess(played(made, lambda seat: prefers("A"))), "x")[0].correct) == 6  # type: ignore[union-attr]
    assert sum(tallies(made, assess(played(made, lambda seat: prefers("B"))), "x")[0].correct) == 0  # type: ignore[union-attr]


def test_a_row_shows_what_was_chosen_how_surely_and_by_whom() -> None:
    made = plan(2)
    held = played(made, lambda seat: right("triangle", ""), sure="guess")
    remark = Answer("ballot 1", held.answers[0].serving_id, "remark", "dusty", 3)
    row = assess(replace(held, answers=(*held.answers, remark)))[0]
    assert (row.seat, row.panelist, row.panelist_id, row.age, row.replicate) == (1, "alias 1", "person-1", 300, 1)
    assert (row.sure, row.remark, row.correct, row.counted) == ("guess", "dusty", True, True)


# --- what does not count ----------------------------------------------------------------------------------------


def test_answers_to_void_and_spare_servings_never_count() -> None:
    made = plan(3)
    held = played(made, lambda seat: right("triangle", ""))
    spare = next(s for s in held.servings if s.spare and s.seat == 2)
    served = tuple(replace(s, void=True) if s.seat == 1 and not s.spare else s for s in held.servings)
    strange = Answer("ballot 2", spare.id, "choice", spare.codes[0], 1)
    rows = assess(replace(held, servings=served, answers=(*held.answers, strange)))
    assert [row.seat for row in rows] == [2, 3]
    assert losses(made, rows) == (Loss(300, 3, 2, 2, ()),)


def test_a_spare_that_replaced_a_void_serving_counts() -> None:
    made = plan(1)
    held = played(made, lambda seat: right("triangle", ""))
    first, spare = held.servings
    served = (replace(first, void=True), replace(spare, spare=False, age_seconds=300, replicate=1, place=1))
    given = Answer("ballot 1", spare.id, "choice", right("triangle", "")(spare, held.key.order(spare.id)), 5)
    (row,) = assess(replace(held, servings=served, answers=(*held.answers, given)))
    assert (row.serving_id, row.age, row.correct) == (spare.id, 300, True)


def test_missing_answers_are_never_wrong_ones() -> None:
    made = plan(8)
    held = played(made, lambda seat: right("triangle", ""))
    fewer = replace(held, answers=tuple(a for a in held.answers if a.ballot_id in ("ballot 1", "ballot 2", "ballot 3")))
    (entry,) = judge_tallies(tallies(made, assess(fewer), "x"), rules_of(made))
    assert (entry.assessments, entry.p_value) == (3, pytest.approx(1 / 27))
    assert losses(made, assess(fewer)) == (Loss(300, 8, 3, 3, ()),)


def test_the_sealed_rule_says_what_leaves_the_primary_analysis() -> None:
    made = plan(6)
    held = played(made, lambda seat: right("triangle", ""))
    noted = (
        Deviation(held.answers[0].serving_id, 1, "ruined strip", "torn", 1),
        Deviation("", 2, "unblinded", "saw the key", 2),
        Deviation(held.answers[4].serving_id, 3, "late", "by a minute", 3),
        Deviation("", 4, "overheard", "said on the ballot", 4),
    )
    rows = assess(replace(held, deviations=noted))
    assert [row.counted for row in rows] == [False, False, True, True, True, True]
    assert [row.deviations for row in rows[:4]] == [("ruined strip",), ("unblinded",), ("late",), ("overheard",)]
    (counted,), (everything,) = tallies(made, rows, "x"), tallies(made, rows, "x", everything=True)
    assert (len(counted.people), len(everything.people)) == (4, 6)
    assert losses(made, rows) == (Loss(300, 6, 6, 4, (("ruined strip", 1), ("unblinded", 1))),)
    stricter = replace(made, left_out=sessions.DEVIATIONS)
    assert sum(row.counted for row in assess(replace(held, plan=stricter, deviations=noted))) == 2


def test_an_answer_left_out_for_two_reasons_is_lost_once() -> None:
    made = plan(2)
    held = played(made, lambda seat: right("triangle", ""))
    noted = (Deviation("", 1, "unblinded", "x", 1), Deviation(held.answers[0].serving_id, 1, "wrong strip", "x", 2))
    (loss,) = losses(made, assess(replace(held, deviations=noted)))
    assert (loss.counted, loss.left_out) == (1, (("unblinded", 1),))


def test_sureness_beside_being_right() -> None:
    made = plan(4)
    held = played(made, lambda seat: right("triangle", "") if seat < 3 else wrong("triangle", ""))
    assert sureness(assess(held))[-1] == Sureness("sure", 4, 2)
    assert sureness(assess(held))[0] == Sureness("guess", 0, 0)


# --- preferences ------------------------------------------------------------------------------------------------


def of_preference() -> tuple[Plan, Held]:
    """Six people, two ages: seats 1–4 prefer the first trial throughout, 5 the second, 6 cannot say in the end."""
    made = plan(6, method="preference", minutes=(5, 30), primary="overall")
    held = played(made, lambda seat: prefers("A" if seat <= 4 else "B"))
    answers = list(held.answers)
    for seat in range(1, 7):
        own = [s for s in held.servings if s.seat == seat and not s.spare]
        groups = {letter: " ".join(s.codes[held.key.order(s.id).index(letter)] for s in own) for letter in "AB"}
        overall = groups["A"] if seat <= 4 else groups["B"] if seat == 5 else "none"
        ballot = f"ballot {seat}"
        answers.append(Answer(ballot, "", "overall", overall, 9))
        answers += [Answer(ballot, s.id, "nearer", "none" if seat == 6 else s.codes[0], 9) for s in own]
        answers.append(Answer(ballot, "", f"wear {groups['A']}", "yes", 9))
        answers.append(Answer(ballot, "", f"wear {groups['B']}", "no" if seat == 1 else "perhaps", 9))
        answers.append(Answer(ballot, "", f"strength {groups['B']}", "strong", 9))
    return made, replace(held, answers=tuple(answers))


def test_preferences_per_age_and_overall() -> None:
    made, held = of_preference()
    found = tallies(made, assess(held), "7 against 8")
    assert [one.age_minutes for one in found] == [5, 30, "overall"]
    counts = [(sum(t.first), sum(t.second), sum(t.none)) for t in found if isinstance(t, PreferenceTally)]
    assert counts == [(4, 2, 0), (4, 2, 0), (4, 1, 1)]
    assert [e.primary for e in judge_tallies(found, rules_of(made))] == [False, False, True]


def test_nearness_is_counted_by_trial() -> None:
    made, held = of_preference()
    found = tallies(made, assess(held), "nearer to the brief", nearer=True)
    assert len(found) == 2
    for one, seconds in zip(found, (300, 1800), strict=True):
        assert isinstance(one, PreferenceTally)
        own = [s for s in held.servings if s.age_seconds == seconds and s.seat < 6]
        first = sum(held.key.order(s.id)[0] == "A" for s in own)
        assert (sum(one.first), sum(one.second), sum(one.none)) == (first, 5 - first, 1)


def test_wear_and_strength_per_trial() -> None:
    _, held = of_preference()
    assert impressions(held) == (
        Impression("wear", "first", (("yes", 6), ("perhaps", 0), ("no", 0))),
        Impression("wear", "second", (("yes", 0), ("perhaps", 5), ("no", 1))),
        Impression(
            "strength", "second", (("very weak", 0), ("weak", 0), ("medium", 0), ("strong", 6), ("very strong", 0))
        ),
    )


def test_an_overall_choice_rests_on_every_set_of_the_seat() -> None:
    made, held = of_preference()
    ruined = Deviation(held.answers[0].serving_id, 1, "wrong strip", "vials swapped", 1)
    with_loss = replace(held, deviations=(ruined,))
    found = tallies(made, assess(with_loss), "x")
    assert [len(one.people) for one in found] == [5, 6, 5]
    assert impressions(with_loss)[0].counts[0] == ("yes", 5)
    assert impressions(with_loss, everything=True)[0].counts[0] == ("yes", 6)


def test_a_group_that_mixes_trials_is_refused() -> None:
    made, held = of_preference()
    serving = held.servings[0]
    mixed = Answer("ballot 1", "", "overall", " ".join(serving.codes), 9)
    others = tuple(a for a in held.answers if (a.ballot_id, a.question) != ("ballot 1", "overall"))
    with pytest.raises(ArgumentError, match="must all stand for one trial"):
        assess(replace(held, answers=(*others, mixed)))
    assert made.method == "preference"


def test_no_answers_at_all_leave_empty_tallies() -> None:
    made = plan(4)
    held = replace(played(made, lambda seat: right("triangle", "")), answers=())
    (entry,) = judge_tallies(tallies(made, assess(held), "x"), rules_of(made))
    assert entry.notes
    assert entry.verdict == "undecided"
    assert losses(made, assess(held)) == (Loss(300, 4, 0, 0, ()),)


# --- tables -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", ["triangle", "preference"])
def test_exported_answers_judge_to_the_same_entries(method: str) -> None:
    if method == "preference":
        made, held = of_preference()
    else:
        made = plan(7, minutes=(0.5, 30), replicates=2)
        held = played(made, lambda seat: right("triangle", "") if seat % 3 else wrong("triangle", ""))
    rows, rules = assess(held), rules_of(made)
    exported = pd.read_csv(io.StringIO(results.csv_text(results.answers_to_judge(rows, "x", method))))
    again = judge.judge_frame(exported.astype(object), primary_age=rules.primary_age)
    of_session = judge_tallies(tallies(made, rows, "x"), rules)
    # a file has no seats, so judge sorts what each person did; a session keeps them by seat
    assert again == tuple(
        replace(one, own=tuple(sorted(one.own))) if isinstance(one, Entry) else one for one in of_session
    )


def test_verdict_tables_round_and_say_where_an_age_stands() -> None:
    made = plan(12, minutes=(5, 30))
    held = played(made, lambda seat: right("triangle", "") if seat <= 8 else wrong("triangle", ""))
    shown = results.verdicts(judge_tallies(tallies(made, assess(held), "x"), rules_of(made)))
    first = shown.iloc[0].to_dict()
    assert (first["right"], first["needed"], first["p"], first["standing"]) == (8, 8, "0.0188", "primary")
    assert (first["share noticing"], first["d-prime"]) == (0.5, 2.321)
    assert str(shown["most for not noticed"].dtype) == "Int64"


def test_p_cells_are_never_a_certain_zero_or_one() -> None:
    assert [results.shown_p(p) for p in (1e-9, 0.0188, 0.99999, 1.0)] == ["< 0.0001", "0.0188", "> 0.9999", "1.0000"]


def test_chart_rows_are_not_rounded() -> None:
    made = plan(12)
    held = played(made, lambda seat: right("triangle", "") if seat <= 8 else wrong("triangle", ""))
    (row,) = results.guessing_rows(judge_tallies(tallies(made, assess(held), "x"), rules_of(made))).to_dict("records")
    assert (row["seen"], row["guessing"], row["needed_share"]) == (8 / 12, 1 / 3, 8 / 12)
    assert row["low"] < row["seen"] < row["high"]


def test_losses_and_impressions_have_tables() -> None:
    made, held = of_preference()
    rows = assess(held)
    assert results.losses(losses(made, rows))["planned"].tolist() == [6, 6, 6]
    told = results.impressions(impressions(held), ("trial 7", "trial 8"))
    assert told[(told.asked == "wear") & (told.answer == "yes")]["trial 7"].tolist() == [6]
    assert results.preference_rows(judge_tallies(tallies(made, rows, "x"), rules_of(made)))["first"].tolist() == [
        4,
        4,
        4,
    ]
    assert pd.isna(results.sureness(sureness(rows))["right"].iloc[-1]), "no preference is right or wrong"


@pytest.mark.parametrize("cell", ["=1+1", "+1", "-1", "@sum", "\t=1", "\r=1", " =1"])
def test_no_exported_cell_is_a_formula(cell: str) -> None:
    text = results.csv_text(pd.DataFrame([{"remark": cell, "n": -1, "plain": "a=b"}]))
    header, row = csv.reader(io.StringIO(text, newline=""))
    assert header == ["remark", "n", "plain"]
    assert row == ["'" + cell.replace("\r", "\n"), "-1", "a=b"]


def test_the_answers_table_has_a_row_per_answer() -> None:
    made = plan(3)
    shown = results.answers(assess(played(made, lambda seat: right("triangle", ""))))
    assert shown["correct"].tolist() == [1, 1, 1]
    assert shown["strip age"].tolist() == ["5 min"] * 3
    assert shown["counted"].tolist() == ["yes"] * 3


def test_an_assessment_counts_only_without_a_reason_against_it() -> None:
    row: dict[str, Any] = dict.fromkeys(Assessment.__slots__, "") | {"left_out": ("late",)}
    assert not Assessment(**row).counted
    assert Assessment(**(row | {"left_out": ()})).counted
