"""What is typed into trial book and plan, read into values: no screen here.

Expected values: arithmetic done by hand beside each case; ranges are those of evaluation/sessions.py, the
youngest strip age 30 s.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as some
from parts import frame, typed_values
from parts.plan import filled_form, lines_told
from parts.plan.typed import Typed
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import norm

from evaluation import wording
from evaluation.errors import ArgumentError
from evaluation.planning.outlook import outlook
from evaluation.sessions import ALWAYS_OUT, StripAge
from evaluation.values.briefs import Brief
from evaluation.values.trials import Trial

BRIEF = Brief("b", "Salt on warm stone", "Dry and mineral.", 0)
GOOD = Typed("8 against 7", False, "triangle", "t7", "t8", people=("ann", "bo"), spares=2, zone="Europe/Paris")


def trial(name: str, parent: str | None, made_at: int) -> Trial:
    return Trial(name, "b", name, parent, "", None, date(2026, 1, 5), None, "", made_at)


def changed(**fields: object) -> Typed:
    return Typed(**{name: fields.get(name, getattr(GOOD, name)) for name in Typed.__slots__})  # type: ignore[arg-type]


@pytest.mark.parametrize(("text", "value"), [("15", "15"), (" 12.5 %", "12.5"), ("12,5", "12.5"), ("0.10", "0.10")])
def test_strength_is_kept_exactly_as_typed(text: str, value: str) -> None:
    assert typed_values.strength(text) == Decimal(value)
    assert str(typed_values.strength(text)) == value


def test_no_strength_typed_is_not_recorded() -> None:
    assert typed_values.strength("  ") is None


@pytest.mark.parametrize("text", ["strong", "12.5.1", "nan", "inf", "1,2,3"])
def test_a_strength_that_is_no_number_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(ArgumentError, match=r"^strength must be a number such as 15 or 12\.5, not "):
        typed_values.strength(text)


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("5, 60, 360", [300, 3600, 21600]),
        ("360;5 60", [300, 3600, 21600]),  # any separator, put in order
        ("0.5", [30]),  # the youngest served
        ("10080", [604800]),  # seven days
    ],
)
def test_ages_are_read_in_minutes_youngest_first(text: str, seconds: list[int]) -> None:
    assert [age.seconds for age in typed_values.strip_ages(text, "10")] == seconds


def test_tolerance_is_ten_percent_of_each_age_and_never_under_five_seconds() -> None:
    # 10 % of 30 s is 3 s, raised to 5; 10 % of 5 min is 30 s; 10 % of 6 h is 36 min
    assert typed_values.strip_ages("0.5, 5, 360", "10") == (StripAge(30, 5), StripAge(300, 30), StripAge(21600, 2160))


@pytest.mark.parametrize(
    ("text", "tolerance", "words"),
    [
        ("", "10", "strip ages must name"),
        ("5, soon", "10", "strip age must be a number"),
        ("0.4", "10", "strip age must be from 0.5 to 10080 minutes, not 0.4"),
        ("5, 5.0", "10", "named twice"),
        ("5", "0", "tolerance must be above 0"),
        ("5", "much", "tolerance must be a number"),
    ],
)
def test_ages_that_do_not_stand_are_refused(text: str, tolerance: str, words: str) -> None:
    with pytest.raises(ArgumentError, match=words):
        typed_values.strip_ages(text, tolerance)


@given(some.lists(some.integers(30, 604_800), min_size=1, max_size=6, unique=True))
def test_ages_shown_in_minutes_are_read_back_unchanged_when_they_are_whole_minutes(seconds: list[int]) -> None:
    whole = sorted({each - each % 60 or 60 for each in seconds})
    text = ", ".join(typed_values.minutes(each) for each in whole)
    assert [age.seconds for age in typed_values.strip_ages(text, "10")] == whole


@pytest.mark.parametrize(
    ("seconds", "name"), [(30, "30 s"), (90, "1.5 min"), (300, "5 min"), (7200, "2 h"), (86400, "1 d")]
)
def test_an_age_has_the_name_people_use(seconds: int, name: str) -> None:
    assert typed_values.age_name(seconds) == name


def test_a_good_form_becomes_the_plan_and_comes_back_as_typed() -> None:
    plan = filled_form.build(GOOD, BRIEF)
    assert [seat.panelist_id for seat in plan.seats] == ["ann", "bo", None, None]
    assert (plan.alpha, plan.beta, plan.pd) == (Decimal("0.05"), Decimal("0.05"), Decimal("0.30"))
    assert plan.primary == 300
    assert plan.left_out == (*ALWAYS_OUT, "early", "late")
    assert filled_form.build(filled_form.typed_of(plan), BRIEF) == plan


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"alpha": "0"}, "alpha must lie between 0 and 1, both excluded, not 0"),
        ({"alpha": "1.5"}, "alpha must lie between 0 and 1"),
        ({"beta": "little"}, "beta must be a number"),
        ({"pd": "1"}, "pd must lie between 0 and 1, both excluded, not 1"),
        ({"pd": "nan"}, "pd must be a number"),
        ({"second_trial_id": "t7"}, "a trial cannot be told from itself"),
        ({"second_trial_id": None}, "must both be chosen"),
        ({"people": ()}, "at least one person"),
        ({"ages": ""}, "strip ages must name"),
        ({"method": "3-afc"}, "the quality to compare must be named"),
        ({"zone": "Nowhere/At all"}, "time zone"),
        ({"zone": ""}, "time zone"),
        ({"spares": 200}, "at most 80"),
    ],
)
def test_a_form_that_does_not_stand_is_refused(fields: dict[str, object], words: str) -> None:
    with pytest.raises(ArgumentError, match=words):
        filled_form.build(changed(**fields), BRIEF)


def test_direction_and_descriptor_go_only_with_the_methods_that_have_them() -> None:
    typed = changed(method="2-afc", descriptor="fresh", expected="second")
    assert filled_form.build(typed, BRIEF).descriptor == "fresh"
    assert filled_form.build(changed(descriptor="fresh"), BRIEF).descriptor == ""


def test_a_preference_asks_each_person_once() -> None:
    assert filled_form.build(changed(method="preference", replicates=3), BRIEF).replicates == 1


def test_a_primary_age_that_is_no_longer_listed_is_let_go() -> None:
    assert filled_form.build(changed(ages="5, 60", primary=3600), BRIEF).primary == 3600
    assert filled_form.build(changed(ages="5, 90", primary=3600), BRIEF).primary is None


@pytest.mark.parametrize(
    ("fields", "strips", "minutes", "spare"),
    [
        # two people, one triangle each: 6 strips at 40 s are 4 minutes; four seats with one spare triangle each
        ({}, 6, 4, 12),
        # three ages, two sets each: 2 × 3 × 2 × 3 = 36 strips, 24 minutes
        ({"ages": "5, 30, 360", "replicates": 2}, 36, 24, 12),
        # one pair each: 4 strips, 160 s, so 3 minutes
        ({"method": "2-afc", "descriptor": "fresh"}, 4, 3, 8),
    ],
)
def test_strips_and_minutes_of_the_preparer_are_counted(
    fields: dict[str, object], strips: int, minutes: int, spare: int
) -> None:
    load = filled_form.load(filled_form.build(changed(**fields), BRIEF))
    assert (load.strips, load.minutes, load.spare_strips) == (strips, minutes, spare)


# --- alone, looks, null sets, prior ---------------------------------------------------------------------------


def test_alone_there_is_one_seat_and_nobody_to_spare() -> None:
    made = filled_form.build(changed(solo=True, people=("ann",), replicates=8, also_out=("late", "recognised")), BRIEF)
    assert (made.solo, [seat.panelist_id for seat in made.seats]) == (True, ["ann"])
    assert made.left_out == (*ALWAYS_OUT, "early", "late", "recognised")
    assert filled_form.load(made).spare_strips == 0
    assert filled_form.build(filled_form.typed_of(made), BRIEF) == made


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"people": ("ann", "bo")}, "must be one person"),
        ({"replicates": 7}, "replicates of a solo triangle must be even"),
        ({"method": "duo-trio"}, "method of a solo session must be one of"),
        ({"replicates": 10, "look_every": 4}, "look every must divide the 10 answers planned, not be 4"),
        ({"replicates": 8, "look_every": 4, "ages": "5, 60"}, "look every must be 0 for preferences and for several"),
        ({"preparation": "clips"}, "strip age must be at least 6 minutes with clips, not 5 min"),
        ({"preparation": "clips", "ages": "10"}, "tolerance must be at least 30 percent at a strip age of 10 min"),
        ({"null_sets": 2, "look_every": 4}, "and where looks are planned"),
    ],
)
def test_a_solo_form_that_does_not_stand_is_refused(fields: dict[str, object], words: str) -> None:
    alone: dict[str, object] = {"solo": True, "people": ("ann",), "replicates": 8}
    with pytest.raises(ArgumentError, match=words):
        filled_form.build(changed(**(alone | fields)), BRIEF)


@pytest.mark.parametrize(
    ("fields", "way"),
    [
        ({"ages": "5"}, "vials"),  # the second set of a dip would be smelt at eleven minutes
        ({"ages": "60, 240"}, "clips"),
        ({"ages": "5, 240"}, "vials"),
        ({"ages": "5", "preparation": "vials"}, "vials"),
        ({"ages": "30", "preparation": "clips"}, "clips"),
    ],
)
def test_a_way_of_preparing_is_offered_that_the_ages_leave_room_for(fields: dict[str, object], way: str) -> None:
    made = filled_form.build(changed(**({"solo": True, "people": ("ann",), "replicates": 8} | fields)), BRIEF)
    assert made.preparation == way
    assert filled_form.build(filled_form.typed_of(made), BRIEF) == made


def test_a_panel_names_no_way_of_preparing() -> None:
    assert filled_form.build(changed(preparation="clips"), BRIEF).preparation == ""


def test_alone_the_plan_tells_sittings_days_and_hours() -> None:
    """Twelve triangles by vials at 5 min, by hand in tests/alone/test_alone.py: 91 min on the first day, 36 on the second."""
    made = filled_form.build(changed(solo=True, people=("ann",), replicates=12), BRIEF)
    told = lines_told.work(made)
    assert "36 strips, each dipped once; 12 sets in 3 sittings on 2 days, about 36 min to 1 h 31 min a day" in told
    assert "nobody has measured it" in told
    told = lines_told.summary(made, {"t7": "7", "t8": "8"}, {"ann": "Ann"})
    assert "One person, who prepared and smelt, 12 sets each at each age." in told
    assert "Alone: Ann." in told
    assert any(line.startswith("Made blind by like vials") for line in told)
    one = filled_form.build(changed(solo=True, people=("ann",), replicates=4, ages="5, 240"), BRIEF)
    assert "8 sets in 2 sittings on one day, about 4 h" in lines_told.work(one)


@pytest.mark.parametrize(("method", "fewest"), [("triangle", 3), ("tetrad", 3), ("3-afc", 4), ("2-afc", 0)])
def test_alone_it_is_said_from_how_many_null_sets_on_they_can_warn(method: str, fewest: int) -> None:
    """All right by chance: 1/27 for three of three triangles; two-sided .025 for 3-AFC: 1/81; 2-AFC: 1/16 is not rare."""
    typed = changed(solo=True, people=("ann",), method=method, descriptor="dry")
    assert filled_form.fewest_null_sets(typed) == fewest


@pytest.mark.parametrize(
    ("people", "replicates", "solo", "method", "choices"),
    [
        (12, 1, False, "triangle", (1, 2, 3, 4, 6)),  # one answer each: whatever divides 12 and leaves two looks
        (6, 4, False, "triangle", (6, 12)),  # full rounds of six that divide 24; 18 does not
        (1, 24, True, "triangle", (4,)),  # a sitting: four sets, twelve strips
        (1, 24, True, "tetrad", (3,)),  # three sets are twelve strips
        (1, 10, True, "triangle", ()),  # ten sets are no whole sittings
        (1, 4, True, "triangle", ()),  # one sitting has its only look at the end
        (0, 3, False, "triangle", ()),
    ],
)
def test_looks_come_after_full_rounds_or_sittings(
    people: int, replicates: int, solo: bool, method: str, choices: tuple[int, ...]
) -> None:
    assert filled_form.look_choices(people, replicates, solo, method) == choices


@pytest.mark.parametrize(
    ("fields", "offered"),
    [
        # eight noses: the null set is the second of each, six strips; 6 of 8 right would warn (FAO V7180E, Appendix A, n = 8)
        ({"people": tuple("abcdefgh")}, 1),
        ({"people": tuple("abcdefgh"), "replicates": 3}, 1),  # four sets, twelve strips
        ({"people": tuple("abcdefgh"), "replicates": 4}, 0),  # a fifth set tires
        ({"people": tuple("abcdefgh"), "replicates": 3, "method": "tetrad"}, 0),  # sixteen strips tire
        ({"people": tuple("abcdefgh"), "ages": "5, 60, 360, 720"}, 0),
        ({"people": ("a", "b")}, 0),  # both right: 1/9 by chance, never a warning at .05
        ({"people": tuple("abcdefgh"), "method": "preference"}, 0),
        ({"people": ("a",), "solo": True, "replicates": 2}, 0),
        ({"people": ()}, 0),
        ({"people": tuple("abcdefgh"), "alpha": "little"}, 0),
    ],
)
def test_a_null_set_is_offered_where_the_panel_can_afford_it(fields: dict[str, object], offered: int) -> None:
    typed = changed(**fields)
    assert filled_form.offered_null_sets(typed, len(typed.ages.split(","))) == offered


def test_the_options_go_into_the_plan_and_come_back() -> None:
    people = tuple("abcdefgh")
    made = filled_form.build(changed(people=people, look_every=4, null_sets=None, prior="sceptical"), BRIEF)
    assert (made.look_every, made.null_sets, made.design.prior, made.sets_per_nose) == (4, 1, "sceptical", 2)
    assert filled_form.build(filled_form.typed_of(made), BRIEF) == made
    told = lines_told.summary(made, {"t7": "7", "t8": "8"}, {})
    assert "Null sets, in which one bottle is served as if it were two: 1 each." in told
    assert "Looked at after every 4 answers, at most 8, to stop as soon as the sealed rule allows." in told
    assert "Prior of the second opinion, never of the verdict: sceptical." in told


# --- the words of the live numbers ----------------------------------------------------------------------------


@pytest.mark.parametrize("method", ["triangle", "tetrad", "2-afc", "two-out-of-five", "preference"])
@pytest.mark.parametrize(("people", "replicates"), [(1, 1), (2, 1), (8, 1), (8, 3), (80, 1)])
def test_grouping_the_sentences_of_an_outlook_loses_none_and_repeats_none(
    method: str, people: int, replicates: int
) -> None:
    found = outlook(method, people, 1 if method == "preference" else replicates, 1, 0.05, 0.05, 0.30)
    said = lines_told.lines(found)
    shown = [said.first, *said.rest, *said.cannot]
    assert len(shown) == len(set(shown))
    missing = [line for line in wording.outlook_lines(found) if line not in shown]
    assert len(missing) in (0, len(found.better))  # better designs stand in the table, all of them or none
    assert all("power" in line and "per nose" in line for line in missing)
    assert set(shown) - {lines_told.FIVE} <= set(wording.outlook_lines(found))
    assert bool(said.cannot) == bool(found.impossible)


def test_five_people_are_spoken_of_where_they_cannot_reach_alpha() -> None:
    # five who agree: 2 × (1/2)⁵ = .0625, more than .05 and less than .10
    assert lines_told.FIVE in lines_told.lines(outlook("preference", 8, 1, 1, 0.05, 0.05, 0.30)).rest
    assert lines_told.FIVE not in lines_told.lines(outlook("preference", 8, 1, 1, 0.10, 0.05, 0.30)).rest


def test_a_small_panel_is_shown_better_designs_and_a_strong_one_is_left_in_peace() -> None:
    small = lines_told.better(outlook("triangle", 8, 1, 1, 0.05, 0.05, 0.30))
    assert [row[0] for row in small[:2]] == ["2-AFC, naming a quality", "Tetrad"]  # in the order of the rules
    # 66 triangles reach power .95 at pd .30 (ISO 4120:2004 Table A.3, from memory), and 100 keep it
    assert lines_told.better(outlook("triangle", 100, 1, 1, 0.05, 0.05, 0.30)) == []


def test_better_designs_say_which_pd_the_same_difference_has_there() -> None:
    """Second route: the integral of the triangle's psychometric function, solved by scipy; 2-AFC by the normal law."""

    def right(distance: float) -> float:
        lean = distance * (2 / 3) ** 0.5

        def at(z: float) -> float:
            return float((norm.cdf(-z * 3**0.5 + lean) + norm.cdf(-z * 3**0.5 - lean)) * norm.pdf(z))

        return 2 * float(quad(at, 0, 12)[0])

    distance = brentq(lambda each: right(each) - (1 / 3 + 0.30 * 2 / 3), 0.1, 5)
    share = 2 * norm.cdf(distance / 2**0.5) - 1
    rows = lines_told.better(outlook("triangle", 12, 1, 1, 0.05, 0.05, 0.30))
    assert rows[0][:2] == ("2-AFC, naming a quality", f"{share:.2f}")
    assert rows[-1][1] == "0.30", "more people of the same method keep the pd"


def test_a_sealed_plan_is_told_line_by_line_in_trial_labels_and_aliases() -> None:
    plan = filled_form.build(changed(method="2-afc", descriptor="fresh", ages="5, 60", primary=3600), BRIEF)
    told = lines_told.summary(plan, {"t7": "7", "t8": "8"}, {"ann": "Wren", "bo": "Otter"})
    assert told[0].startswith("2-AFC: ")
    assert told[1:3] == (
        "Asked for more fresh; trial 8 was expected to show more of it.",
        "First trial 7, second trial 8, on strips, 2 a set.",
    )
    assert "Strip ages 5 min (give or take 30 s), 1 h (give or take 6 min); primary: 1 h." in told
    assert told[-3:] == ("Panel: Wren, Otter.", "Spare seats: 2.", "Time zone: Europe/Paris.")


def test_typed_text_shows_as_typed() -> None:
    assert frame.plain("*7* [x](y) 1. $a$") == r"\*7\* \[x\]\(y\) 1\. \$a\$"


def test_the_pattern_by_which_browsers_find_bare_addresses_finds_none() -> None:
    """The three patterns of mdast-util-gfm-autolink-literal (from memory), met after the escapes are undone."""
    patterns = (r"(https?://|www(?=\.))([-.\w]+)", r"([-.\w+]+)@([-\w]+(?:\.[-\w]+)+)")
    for typed in ("http://a.example", "see HTTPS://b.example/x", "www.c.example", "Www.c.example", "one@d.example"):
        shown = re.sub(r"\\(?=[^\w\s])", "", frame.plain(typed))
        assert shown.replace("\u2060", "") == typed
        assert any(re.search(pattern, typed, re.IGNORECASE) for pattern in patterns)
        assert not any(re.search(pattern, shown, re.IGNORECASE) for pattern in patterns)


def test_nearness_is_asked_only_where_the_brief_has_a_text_to_be_near_to() -> None:
    liked = changed(method="preference")
    assert filled_form.build(liked, BRIEF).design.asks_nearer
    assert not filled_form.build(liked, Brief("b", "Salt on warm stone", "", 0)).design.asks_nearer


@pytest.mark.parametrize("said", ["", "no", "once"])
def test_whether_one_may_go_back_is_asked_kept_in_the_draft_and_told_with_its_seconds(said: str) -> None:
    """Three strips once: 3 × 5 + 2 × 60 + 20 = 155 s; twice: 6 × 5 + 5 × 60 + 20 = 350 s, by hand."""
    made = filled_form.build(changed(going_back=said), BRIEF)
    assert made.going_back == (said or "no")
    assert filled_form.build(filled_form.typed_of(made), BRIEF) == made
    told = "\n".join(lines_told.summary(made, {}, {}))
    back, seconds = {
        "": ("no", "2 min 35 s"),
        "no": ("no", "2 min 35 s"),
        "once": ("once, after the last one", "5 min 50 s"),
    }[said]
    assert f"Going back to what was smelt: {back}." in told
    assert f"One set takes about {seconds}" in lines_told.set_takes(made)


def test_a_plan_sealed_before_going_back_was_asked_tells_nothing_of_it() -> None:
    old = replace(filled_form.build(GOOD, BRIEF), going_back="")
    assert "Going back" not in "\n".join(lines_told.summary(old, {}, {}))
