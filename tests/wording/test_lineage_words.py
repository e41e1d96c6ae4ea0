"""What stands beside the tree of trials: the change, the word of each session, the decision; nothing twice or pooled."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from evaluation.counting.profiles import Move
from evaluation.deciding.evidence import CAMPS, DISTANCE, FIRST, MOVED, NEITHER, SECOND, SPLIT, Evidence, facts_of
from evaluation.deciding.lineages import Held
from evaluation.wording import of_lineages
from tests import lineages, made_briefs
from tests.formulas.made import formula, line

PAIR = ("7", "8")
TWO = lineages.chain(2)


def made(*sessions: Any, **more: Any) -> Any:
    return lineages.lineage(lineages.trials([("7", None), ("8", "7"), ("9", "7")]), sessions, **more)


def words(found: Any, child: str = "8") -> list[str]:
    return [one.words for one in of_lineages.heard(found.steps[child], found.evidence)]


def test_each_session_says_its_own_word_the_oldest_first() -> None:
    triangle, liked = made_briefs.triangle(1, PAIR, 10, 12), made_briefs.preference(2, PAIR, (1, 11, 0))
    found = made(triangle, liked)
    assert words(found) == ["Noticed at 5 min", "Trial 8 preferred at 5 min"]
    assert words(made(made_briefs.triangle(1, PAIR, 4, 12))) == ["Undecided at 5 min"]
    assert words(made(made_briefs.preference(1, PAIR, (6, 6, 0)))) == ["No preference shown at 5 min"]
    assert words(found, "9") == []


def test_the_strip_goes_with_a_verdict_only() -> None:
    found = made(made_briefs.triangle(1, PAIR, 10, 12), made_briefs.preference(2, PAIR, (1, 11, 0)))
    signs = [one.sign for one in of_lineages.heard(found.steps["8"], found.evidence)]
    assert signs == ["noticed", ""]


def test_strip_and_skin_are_told_apart_and_ages_of_one_outcome_together() -> None:
    session = made_briefs.triangle(1, PAIR, 10, 12)
    (point,) = session.points
    at = [replace(point, minutes=Decimal(minutes)) for minutes in (5, 60)]
    late = replace(point, minutes=Decimal(360), outcome="undecided")
    skin = replace(point, medium="skin", minutes=Decimal(30))
    aside = replace(point, minutes=Decimal(1440), weighs=False)
    found = made(replace(session, points=(*at, late, skin, aside)))
    assert words(found) == ["Noticed at 5 min and 1 h; undecided at 6 h", "On skin: noticed at 30 min"]
    assert [one.sign for one in of_lineages.heard(found.steps["8"], found.evidence)] == ["", "noticed"]


def test_what_moved_lies_nearer_or_divides_is_said_of_the_trial_it_is_said_of() -> None:
    session = made_briefs.profile(1, PAIR)
    point = session.points[0]
    move = Move("7", "8", "woody", (5.0, 60.0), (1.5, 1.2), 0.01, True, False)
    less = Move("7", "8", "strength", (5.0,), (-1.5,), 0.01, True, False)
    points = (
        replace(point, topic=MOVED, outcome=SECOND, facts=facts_of(move), minutes=Decimal(5)),
        replace(point, topic=MOVED, outcome=FIRST, facts=facts_of(less), minutes=Decimal(5)),
        replace(point, topic=DISTANCE, outcome=FIRST, minutes=None),
        replace(point, topic=CAMPS, outcome=SPLIT, minutes=None),
    )
    told = "Trial 8 more woody at 5 min and 1 h; trial 8 weaker at 5 min; trial 7 nearer the targets; and 1 more"
    assert words(made(replace(session, points=points))) == [told]
    assert words(made(session)) == ["Nothing shown to move"]
    unmoved = replace(point, topic=DISTANCE, outcome=NEITHER, minutes=None)
    assert words(made(replace(session, points=(unmoved,)))) == ["Neither shown nearer the targets"]


def test_a_session_without_a_word_about_the_two_says_that() -> None:
    session = made_briefs.profile(1, PAIR)
    (told,) = words(made(replace(session, points=())))
    assert told == "Smelt; its sealed analysis says nothing of these two"


@pytest.mark.parametrize(
    ("state", "told"),
    [("draft", "planned"), ("sealed", "sealed, not opened yet"), ("closed", "sealed, not opened yet"), ("void", "")],
)
def test_of_a_session_that_is_not_opened_only_that_it_is_there(state: str, told: str) -> None:
    held = Held(state, ("8", "7"))
    found = made(held=[held])
    assert of_lineages.AHEAD.get(found.steps["8"].ahead, "") == told
    assert found.steps["9"].ahead == ""
    assert f"{(told or 'not smelt').capitalize()}." in of_lineages.list_lines(found, "8")


def test_a_comparison_of_no_parent_and_child_is_told_beside_the_tree() -> None:
    found = made(made_briefs.preference(1, ("9", "8"), (11, 1, 0)))
    assert [(one.first_id, one.second_id) for one in found.besides] == [("8", "9")]
    assert of_lineages.beside_lines(found) == ("Trials 8 and 9: Trial 9 preferred at 5 min.",)
    known = {"8": formula(line("Bergamot", 8), line("Cedar", 2)), "9": formula(line("Cedar", 2), line("Bergamot", 4))}
    told = made(made_briefs.preference(1, ("9", "8"), (11, 1, 0)), formulas=known)
    (said,) = of_lineages.beside_lines(told)
    assert said == "Trials 8 and 9: Trial 9 preferred at 5 min. Bergamot lowered to half."
    assert words(found) == words(found, "9") == []


def test_a_bottle_against_another_of_its_own_trial_is_no_step() -> None:
    held = Held("sealed", ("8", "8"))
    assert made(held=[held]).besides == ()


def test_many_comparisons_beside_the_tree_are_counted() -> None:
    held = Held("sealed", tuple(str(n) for n in range(1, 7)))
    found = lineages.lineage(lineages.chain(6), held=[held])
    assert len(found.besides) == 15 - 5
    assert of_lineages.beside_lines(found)[8:] == ("And 2 pairs more, told with the sessions they were smelt in.",)


def test_the_change_is_named_where_both_formulas_are_known() -> None:
    seven = formula(line("Bergamot", 8), line("Vetiver", 4), line("Cedar", 2), line("Iris butter", 1))
    eight = formula(line("Bergamot", 10), line("Cedar", 2), line("Ambrette", 1), line("Iris butter", 3))
    found = made(formulas={"7": seven, "8": eight})
    told = of_lineages.change_words(found.steps["8"], found.evidence)
    assert told == "Bergamot raised to 1.25 times, Vetiver removed, and 2 more"
    whole = of_lineages.list_lines(found, "8")[0]
    assert "Ambrette added" in whole
    assert "Iris butter raised to 3 times" in whole
    assert whole.startswith("A change. ")  # what was written stays beside it
    same = made(formulas={"7": seven, "8": seven})
    assert of_lineages.change_words(same.steps["8"], same.evidence) == "No change in what the two are made of"


def test_without_formulas_what_was_written_stands_shortened_in_the_picture_and_whole_in_the_list() -> None:
    long = "vetiver up a little and " * 20 + "cedar out"
    found = lineages.lineage(lineages.trials([("7", None), ("8", "7")], long))
    told = of_lineages.change_words(found.steps["8"], found.evidence)
    assert len(told) <= of_lineages.MOST_LETTERS + 2
    assert told.endswith(" …")
    assert long.capitalize() in of_lineages.list_lines(found, "8")[0]
    bare = lineages.lineage(lineages.trials([("7", None), ("8", "7")], ""))
    assert of_lineages.change_words(bare.steps["8"], bare.evidence) == of_lineages.NOT_WRITTEN


def test_a_question_written_about_a_change_keeps_its_mark_alone() -> None:
    asked = lineages.lineage(lineages.trials([("7", None), ("8", "7")], "is the smoke heard?"))
    assert of_lineages.list_lines(asked, "8") == ("Is the smoke heard?", "Not smelt.")


def test_a_decision_stands_before_a_lead() -> None:
    found = made(decided={"8": "drop"}, lead="8")
    assert of_lineages.decided_words(found, "8") == "Decided: drop"
    assert of_lineages.decided_words(replace(found, decided={}), "8") == of_lineages.LEADS
    assert of_lineages.decided_words(found, "7") == ""


def test_a_brief_without_a_trial_has_an_empty_picture() -> None:
    seen: Evidence = lineages.of_nothing()
    assert lineages.lineage(seen.trials).places == ()
