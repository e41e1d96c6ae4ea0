"""What people read (evaluation/wording/__init__.py and its parts)."""

from __future__ import annotations

import re
import subprocess
import sys
from datetime import date
from decimal import Decimal
from itertools import product
from typing import Any

import pytest

from evaluation import wording
from evaluation.counting.questions import Loss
from evaluation.judging.verdicts import AnyEntry, PreferenceTally, Rules, Tally, judge_tallies
from evaluation.planning.designs import surface
from evaluation.planning.outlook import outlook
from evaluation.serving import asking
from evaluation.sessions import Plan, Serving
from evaluation.values.trials import Mismatch, Trial, mismatches
from evaluation.wording.of_plans import told_lines
from evaluation.wording.of_sealed_plans import plan_lines
from evaluation.wording.of_verdicts import marks_line, none_counted, p_words, percent, risk, sealed_risk
from tests import methods
from tests.judging.test_verdicts import tally, votes
from tests.methods import ALL_METHODS, METHODS, SEVERAL
from tests.scenes import RATED, plan

# The rules (DEVELOPERS.md): never "nobody noticed" or "the same"; nor "identical", and no "significant".
NEVER = re.compile(
    r"\b(nobody noticed|no one noticed|(?<!not )the same(?! (difference|trial|d-prime))|identical|significan\w*)\b",
    re.I,
)


def judged(one: Tally | PreferenceTally, **rules: Any) -> AnyEntry:
    (entry,) = judge_tallies([one], Rules(**rules))
    return entry


def said(one: Tally | PreferenceTally, **rules: Any) -> str:
    return wording.sentence(judged(one, **rules))


def test_the_legend_tells_of_the_thick_mark_only_where_it_is_drawn() -> None:
    """Binomial by hand: 4 of 4 in a 2-AFC has p = 1/16, above .05, so that no number of right answers is enough."""
    none, drawn = (judged(tally(right, right, method="2-afc")) for right in (4, 5))
    assert marks_line([none], "interval").endswith("Fewest needed: no mark, even all would be too few.")
    assert "Thick mark" not in marks_line([none], "interval")
    assert marks_line([drawn, none], "interval").endswith("what guessing gives. Thick mark: fewest needed.")


def test_a_sealed_risk_is_spelt_one_way_to_its_last_digit() -> None:
    assert [*map(sealed_risk, map(Decimal, ("0.05", "0.520500", "5E-7")))] == [".05", ".520500", ".0000005"]
    told = {one: "\n".join(plan_lines(sealed(one), ("7", "8", "9"))) for one in ALL_METHODS}
    assert [one for one, text in told.items() if "alpha .05" not in text.lower().replace(" risk", "")] == []
    assert [one for one, text in told.items() if re.search(r"\b0\.\d|alpha \d|on strip\b", text)] == []


def sealed(method: str) -> Plan:
    """A plan of the method with as many trials as it takes."""
    if method not in SEVERAL:
        return plan(method=method)
    more = tuple(f"trial-{number}" for number in range(9, 7 + SEVERAL[method][0]))
    return plan(method=method, other_trial_ids=more, **({"descriptors": RATED} if method == "profile" else {}))


# --- verdicts ---------------------------------------------------------------------------------------------------


def test_not_noticed_names_share_and_risk() -> None:
    assert "fewer than 30 % would notice in a triangle, at beta risk .05" in said(tally(20, 60))
    assert "fewer than 25 % would notice in a triangle, at beta risk .1." in said(tally(20, 60), pd=0.25, beta=0.1)


def test_undecided_names_a_fresh_session() -> None:
    told = said(tally(6, 12))
    assert "A fresh session of 73 assessments would reach a verdict with power 95 % if the true share is 30 %." in told
    assert "add" not in told.replace("added", "")


def test_few_noticers_are_not_a_faint_difference() -> None:
    assert "Few notice it, which is not the same as a faint difference." in said(tally(80, 200))


def test_the_other_way_and_the_key() -> None:
    assert "chosen the other way; seal that direction and smell again" in said(tally(1, 12, "2-afc"))
    assert "check the key" in said(tally(0, 12, "triangle"))
    assert "fresh session" not in said(tally(0, 12, "triangle"))


def test_one_nose_speaks_of_sets_never_of_people() -> None:
    told = said(Tally("x", "triangle", 5, ("a",), (40,), (120,)))
    assert "this nose would tell apart fewer than 30 % of such triangles" in told
    assert "this nose in these sittings" in told
    assert "people" not in told
    assert "would notice" not in told


def test_replicates_speak_of_at_least_one() -> None:
    told = said(Tally("x", "triangle", 5, tuple("abcd"), (12, 9, 5, 4), (12, 12, 12, 12)))
    assert "at least one of this panel told them apart" in told
    assert "2 of 4 people stand out" in told
    limited = said(Tally("x", "triangle", 5, tuple("abcdefgh"), (5,) * 8, (15,) * 8))
    assert "this panel would tell apart fewer than 30 % of such triangles, at beta risk .05" in limited
    assert "would notice" not in limited


@pytest.mark.parametrize("people", [1, 5, 11, 12, 13, 60])
def test_people_who_were_not_there_are_never_spoken_for_without_how_these_were_picked(people: int) -> None:
    """Twelve friends were "people like this panel" with no word of it."""
    for right in range(0, people + 1, max(1, people // 6)):
        for one in (tally(right, people), votes(right, people - right)):
            entry = judged(one)
            told = wording.sentence(entry)
            speaks = entry.speaks_for == "people like this panel" and entry.verdict not in OPEN
            assert ("This speaks for people like this panel" in told) == speaks
            assert not speaks or f"its {people} people were picked from them by lot: friends were not" in told
    planned = outlook("triangle", people, 1, 1, 0.05, 0.05, 0.30)
    lines = [*wording.outlook_lines(planned), wording.replicates_or_people(surface(planned))]
    assert not [line for line in lines if "for people like this panel" in line and "by lot" not in line]


OPEN = ("undecided", "no preference shown")


@pytest.mark.parametrize(
    ("planned", "lost", "told"),
    [
        (3, (("late", 3),), "3 of 3 answers were smelt late, so none counts"),
        (3, (("early", 1),), "1 of 1 answers was smelt early (3 were planned), so none counts"),
        (
            8,
            (("late", 6), ("wrong strip", 2)),
            "6 of 8 answers were smelt late and 2 of 8 were left out (wrong strip), so none counts",
        ),
        (8, (), "none of the 8 answers planned came in"),
    ],
)
def test_where_nothing_counts_the_reason_is_told(planned: int, lost: tuple[tuple[str, int], ...], told: str) -> None:
    """Whatever kinds of deviation there are: "no answers came in" was all that was said where all were late."""
    assert none_counted(planned, lost) == told
    empty = judged(Tally("x", "triangle", 5.0, (), (), ()))
    loss = Loss(300, planned, sum(number for _, number in lost), 0, lost)
    assert wording.sentence(empty, loss=loss) == f"Undecided: {told}."
    assert wording.sentence(empty) == "Undecided: no answers came in that count."


def test_a_small_panel_is_told_how_many_people_it_lacks() -> None:
    assert (
        "To speak for people like it, 12 people picked from them by lot are needed, 3 more than here: a fresh session."
        in said(tally(9, 9))
    )
    assert "needed: " not in said(tally(12, 12))


def test_people_and_answers_are_stated_apart() -> None:
    told = said(
        PreferenceTally("x", "preference", 5, tuple("abcdefghijkl"), (3,) * 11 + (1,), (0,) * 11 + (2,), (0,) * 12)
    )
    assert "11 of 12 people for the first trial, 1 for the second trial." in told
    assert "In answers: 34 for the first trial, 2 for the second trial" in told


def test_the_names_of_trials_stand_in_a_preference() -> None:
    entry = judged(votes(1, 11))
    assert wording.sentence(entry, ("trial 7", "trial 8")).startswith("Trial 8 preferred: 11 of 12 people for trial 8")
    assert wording.headline(entry, ("trial 7", "trial 8")) == "7 against 8 · preference · 30 min: Trial 8 preferred"


def test_no_preference_is_not_called_equal() -> None:
    told = said(votes(6, 6))
    assert "does not show that they are liked alike" in told


def test_exploratory_ages_are_hints() -> None:
    entries = judge_tallies([tally(7, 12, age=5), tally(12, 12, age=30)], Rules(primary_age=5))
    assert "Exploratory" not in wording.sentence(entries[0])
    told = wording.sentence(entries[1])
    assert told.startswith("Exploratory: the primary strip age did not reach its level")
    assert "12 of 12 answers right (p < .001)" in told
    assert "oticed" not in told
    assert "this speaks for" not in told.lower()


def test_an_exploratory_preference_tells_votes_and_no_winner() -> None:
    entries = judge_tallies([votes(6, 6, age=5), votes(12, 0, age=30)], Rules(primary_age=5))
    told = wording.sentence(entries[1], ("trial 7", "trial 8"))
    assert told.startswith("Exploratory: ")
    assert "12 of 12 people for trial 7, 0 for trial 8" in told
    assert "preferred" not in told


@pytest.mark.parametrize("method", list(METHODS))
def test_no_sentence_says_what_must_not_be_said(method: str) -> None:
    everything: list[Any] = []
    if method == "preference":
        everything = [votes(f, s, n) for f, s, n in product((0, 1, 6, 12), (0, 1, 6), (0, 2))]
        everything += [PreferenceTally("x", method, 5, ("a",), (3,), (1,), (1,))]
    else:
        everything = [
            tally(x, n, method) for n in (1, 3, 12, 60, 200) for x in sorted({0, n // 3, n // 2, n * 2 // 5, n})
        ]
        everything += [Tally("x", method, 5, tuple("abc"), (x,) * 3, (10,) * 3) for x in (0, 1, 3, 5, 10)]
        everything += [Tally("x", method, 5, ("a",), (x,), (90,)) for x in (0, 9, 30, 45, 90)]
        everything += [Tally("x", method, 5, (), (), ())]
    for one in everything:
        entry = judged(one)
        texts = (wording.headline(entry), wording.sentence(entry), *wording.notes(entry))
        for text in texts:
            assert not NEVER.search(text), text
            assert "  " not in text
            assert "{" not in text
            assert "None" not in text


def test_the_guard_over_words_can_fail() -> None:
    for bad in ("They are the same.", "identical", "a significant difference", "nobody noticed it"):
        assert NEVER.search(bad)


# --- numbers ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("p_value", "level", "words"),
    [
        (0.0312, 0.05, "p = .031"),
        (0.00099, 0.05, "p < .001"),
        (0.0501, 0.05, "p = .0501"),
        (0.05, 0.05, "p = .050"),
        (1.0, 0.05, "p > .999"),
        (0.9995, 0.05, "p > .999"),
        (0.01000001, 0.01, "p = .01000001"),
    ],
)
def test_a_p_value_never_seems_to_lie_on_the_other_side(p_value: float, level: float, words: str) -> None:
    assert p_words(p_value, level) == words


def test_shares_are_percent() -> None:
    assert [percent(x) for x in (0.3, 0.65, 0.125, 0.95, 0.29, 1.0)] == [
        "30 %",
        "65 %",
        "12.5 %",
        "95 %",
        "29 %",
        "100 %",
    ]
    assert [risk(x) for x in (0.05, 0.001, 0.05 / 3)] == [".05", ".001", ".01667"]


# --- plans ------------------------------------------------------------------------------------------------------


def lines(*plan: Any, **options: Any) -> str:
    return "\n".join(wording.outlook_lines(outlook(*plan, **options)))


def test_each_line_of_an_outlook_says_what_it_is_about() -> None:
    """Eight triangles can never end in “not noticed”; null sets are asked for, and a rest is not."""
    planned = outlook("triangle", 8, 1, 1, 0.05, 0.05, 0.3, null_sets=1)
    told = told_lines(planned)
    kinds = [one.kind for one in told]
    assert [one.text for one in told] == list(wording.outlook_lines(planned))
    assert list(dict.fromkeys(kinds)) == ["found", "cannot", "better", "load", "nulls"]
    (cannot, why) = (one.text for one in told if one.kind == "cannot")
    assert cannot.startswith("This session cannot end with “not noticed”")
    assert "lies below guessing" in why
    assert kinds.count("better") == len(planned.better)
    assert all(one.text.startswith("Null sets: ") for one in told if one.kind == "nulls")


def test_a_small_plan_says_what_is_found_what_is_not_and_what_is_better() -> None:
    told = lines("triangle", 8, 1, 1, 0.05, 0.05, 0.3)
    found, cannot, better, load = (
        told.index(part)
        for part in (
            "6 of 8 answers right are needed",
            "cannot end with “not noticed”",
            "2-AFC with a named",
            "Each nose smells",
        )
    )
    assert found < cannot < better < load
    assert "lies below guessing" in told


def test_a_plan_that_can_conclude_nothing_says_so() -> None:
    assert "cannot be sealed" in lines("triangle", 2, 1, 1, 0.05, 0.05, 0.3)


def test_what_a_preference_needs() -> None:
    told = lines("preference", 5, 1, 1, 0.05, 0.05, 0.3)
    assert "5 people can never show a preference at alpha .05" in told
    assert "6 of 6, 8 of 8, 9 of 10, 10 of 12" in told


def test_tired_noses_are_told_to_rest() -> None:
    assert "fresh air" in lines("triangle", 8, 5, 1, 0.05, 0.05, 0.3)
    assert "fresh air" not in lines("triangle", 8, 4, 1, 0.05, 0.05, 0.3)


@pytest.mark.parametrize("method", list(METHODS))
def test_no_plan_line_says_what_must_not_be_said(method: str) -> None:
    for people, replicates, count in product((1, 2, 5, 12, 60), (1,) if method == "preference" else (1, 6), (1, 3)):
        for primary in (True, False):
            told = lines(method, people, replicates, count, 0.05, 0.05, 0.3, primary)
            assert not NEVER.search(told), told
            assert "None" not in told
            assert "{" not in told


@pytest.mark.parametrize("method", ["triangle", "tetrad", "2-afc", "3-afc"])
def test_no_line_of_the_options_says_what_must_not_be_said(method: str) -> None:
    for people, replicates, every, nulls in ((1, 24, 4, 0), (1, 2, 0, 0), (6, 4, 6, 1), (12, 1, 3, 2), (2, 1, 1, 1)):
        told = lines(
            method, people, replicates, 1, 0.05, 0.05, 0.3, solo=people == 1, look_every=every, null_sets=nulls
        )
        found = surface(outlook(method, people, replicates, 1, 0.05, 0.05, 0.3, solo=people == 1))
        assert found is not None
        said = [wording.advice(found), wording.replicates_or_people(found), wording.saw_tooth(found)]
        assert all(one.endswith(".") and one.count(". ") == 0 for one in said[:2]), "one sentence each"
        for text in (told, *said):
            assert not NEVER.search(text), text
            assert "None" not in text
            assert "{" not in text


def test_looks_say_which_stops_can_occur_and_what_is_withheld() -> None:
    told = lines("triangle", 24, 1, 1, 0.05, 0.05, 0.5, look_every=4)
    assert "Looked at after every 4 answers, at most 24: it can stop as “noticed” at the earliest with 7 of 8" in told
    assert "as “not noticed” with" in told
    assert "Afterwards no p-value and no interval of the share are given" in told
    several = lines("triangle", 6, 4, 1, 0.05, 0.05, 0.5, look_every=6)
    assert "as “not noticed” with" not in several
    assert "beta" not in several
    assert "“not noticed” needs one answer per person or one nose" in several
    assert "speaks for this panel only" in several


def test_null_sets_say_what_they_would_catch() -> None:
    assert "Null sets: of 8 answers to them, 6 or more right warn" in lines(
        "triangle", 8, 1, 1, 0.05, 0.05, 0.3, null_sets=1
    )
    assert "can never show a leak" in lines("triangle", 2, 1, 1, 0.05, 0.05, 0.9, null_sets=1)


def test_a_strong_design_is_left_in_peace_and_the_strongest_asks_for_more_answers() -> None:
    strong, strongest = (
        surface(outlook("2-afc", 60, 1, 1, 0.05, 0.05, 0.5)),
        surface(outlook("2-afc", 8, 1, 1, 0.05, 0.05, 0.3)),
    )
    assert strong is not None
    assert strongest is not None
    assert wording.advice(strong).endswith("keep it.")
    assert "no way of asking takes fewer strips" in wording.advice(strongest)


def test_a_plan_just_past_a_tooth_is_told_and_alone_only_in_whole_pairs() -> None:
    found = [surface(outlook("triangle", *each, 1, 0.05, 0.05, 0.3, solo=each[0] == 1)) for each in ((8, 1), (1, 8))]
    assert all(found)
    panel, alone = (wording.saw_tooth(one) for one in found if one is not None)
    assert "7 answers would find it with power 28.5 %, the 8 planned with 19.3 %" in panel
    assert "7 answers" not in alone


# --- ballot -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("method", list(METHODS))
def test_every_question_of_every_ballot_has_words(method: str) -> None:
    codes = ("482", "155", "903", "267", "731")[: methods.STRIPS[method]]
    made = plan(method=method, minutes=(5, 30))
    served = tuple(Serving(f"s{place}", 1, place, 300 * place, 1, codes) for place in (1, 2))
    groups = (("482", "903"), ("155", "267")) if method == "preference" else ()
    for asked in asking.questions(made, served, groups):
        text, below = wording.ballot_question(method, asked.name, "smokier")
        assert text.endswith("?")
        assert "{" not in text + below
        for option in asked.options:
            label = wording.option_label(asked.name, option)
            assert label.strip()
            assert not set("+|") & set(label), "what the store joins with signs is read with words"


def test_ratings_and_rankings_have_words() -> None:
    """A descriptor of several words stays whole; strength and liking are asked in a sentence, with ends of their own."""
    assert wording.ballot_question("profile", "rate wet slate") == ("wet slate", "")
    assert wording.ballot_question("profile", "rate strength")[0] == "How strong is it?"
    assert wording.ballot_question("profile", "rate liking")[0] == "How much do you like it?"
    assert wording.rating_ends("wet slate", "line") == wording.rating_ends("x", "category") == ("none", "very")
    assert wording.rating_ends("wet slate", "line", "dry", "") == ("dry", "very")
    assert wording.rating_ends("liking", "line") == ("not at all", "very much")
    assert wording.rating_ends("dose", "level") == wording.rating_ends("soapy", "check") == ("", "")
    text, below = wording.ballot_question("ranking", "ranking")
    assert "order" in text
    assert "best" in below
    assert wording.option_label("ranking", "482>155>903") == "482, 155, 903"
    assert wording.ballot_question("round", "choice") == wording.ballot_question("preference", "choice")


@pytest.mark.parametrize("method", ["triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"])
def test_a_guess_is_asked_for_where_a_choice_is_forced(method: str) -> None:
    assert "guess" in wording.ballot_question(method, "choice", "green")[1]
    assert "guess" not in wording.ballot_question("preference", "choice")[1]


def test_a_descriptor_is_named() -> None:
    assert wording.ballot_question("2-afc", "choice", "green")[0] == "Which one is more green?"


def test_groups_and_pairs_are_read_with_words() -> None:
    assert wording.option_label("overall", "482 155 903") == "482, 155 and 903"
    assert wording.option_label("choice", "482+155|903+267") == "482 and 155; 903 and 267"
    assert wording.option_label("choice", "none") == "no preference"
    assert wording.ballot_question("preference", "wear 482 155")[0] == "Would you wear 482 and 155?"


def test_the_ballots_words_load_nothing_heavy() -> None:
    asked = (
        "import sys; from evaluation import wording; wording.ballot_question('triangle', 'choice'); "
        "print([name for name in ('numpy', 'pandas', 'scipy', 'evaluation.statistics') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_methods_have_names_and_one_sentence() -> None:
    for method in ALL_METHODS:
        assert wording.method_name(method)
        assert wording.method_sentence(method).count(".") + wording.method_sentence(method).count("?") == 1


def test_names_that_are_not_there_are_refused() -> None:
    with pytest.raises(AttributeError, match="has no attribute 'nothing'"):
        wording.nothing  # noqa: B018


# --- mismatches -------------------------------------------------------------------------------------------------


def trial(label: str, strength: str | None, mixed: date | None, batch: str = "") -> Trial:
    return Trial(label, "brief", label, None, "", Decimal(strength) if strength else None, mixed, mixed, batch, 0)


def test_every_mismatch_is_a_warning() -> None:
    one, two = trial("7", "10", date(2025, 1, 1), "a"), trial("8", "12", date(2025, 3, 1), "b")
    found = mismatches(one, two, date(2025, 4, 1))
    assert {m.kind for m in found} == {"strength", "mixed", "diluted", "batch"}
    assert all(wording.mismatch(m).endswith("that alone can be smelt.") for m in found)
    assert "10 % and 12 %" in wording.mismatch(found[0])
    unknown = mismatches(trial("7", None, None), trial("8", "12", None), date(2025, 4, 1))
    assert all("not recorded" in wording.mismatch(m) for m in unknown)
    assert len(unknown) == 3


def test_an_unknown_batch_is_no_difference() -> None:
    assert "not recorded" in wording.mismatch(Mismatch("batch", False, "a", ""))


def test_days_of_a_mismatch_read_like_days() -> None:
    from evaluation.values.trials import Mismatch

    said = wording.mismatch(Mismatch("mixed", True, "2026-10-01", "2026-10-10"))
    assert "1 Oct 2026 and 10 Oct 2026" in said
