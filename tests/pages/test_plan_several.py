"""Plans of profiles, rounds and rankings: the form without its screen, and the page that asks for them.

Expected values: arithmetic done by hand beside each case; ranges are those of evaluation/sessions.py.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as some
from parts import house
from parts.doors import visitor
from parts.house import House
from parts.plan import filled_form, jobs, lines_told, several_typed
from parts.plan.typed import Typed
from streamlit.testing.v1 import AppTest

from evaluation.actions import aims, book, skin
from evaluation.actions import plan as planning
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.errors import ArgumentError
from evaluation.planning.prospects import prospect_of
from evaluation.sessions import DESCRIPTOR_ORDERS, Session
from evaluation.values.briefs import Brief
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import scale_names
from evaluation.wording.of_prospects import prospect_lines
from tests.methods import ALL_METHODS, SEVERAL
from tests.scenes import RATED, Scene, scene
from tests.skin_scene import ready

PAGES = Path(__file__).resolve().parents[2] / "pages"
BRIEF = Brief("b", "Salt on warm stone", "Dry and mineral.", 0)
PEOPLE = tuple("abcdefgh")
JOB = "**What is this session to find out?**"


def typed(method: str, **fields: Any) -> Typed:
    trials = tuple(f"t{number}" for number in range(SEVERAL[method][0]))
    start: dict[str, Any] = {"trial_ids": trials, "people": PEOPLE, "zone": "Europe/Paris"}
    if method == "profile":
        start |= {"descriptors": RATED, "ages": "5, 60"}
    return Typed(
        title="A plan",
        plain_difference=False,
        method=method,
        first_trial_id=None,
        second_trial_id=None,
        **start | fields,
    )


# --- without the screen -------------------------------------------------------------------------------------------


def test_every_method_belongs_to_one_job() -> None:
    kept = [job for name, job in jobs.JOBS.items() if name not in ("unnoticed", "fan")]  # ways to begin others
    assert sorted(method for job in kept for method in job.methods) == sorted(ALL_METHODS)
    assert all(jobs.job_of(method) != "unnoticed" for method in ALL_METHODS)
    assert jobs.offered(False)[0] == "noticed"
    assert jobs.offered(True)[0] == "preferred"


WORDS = some.lists(
    some.builds(
        Descriptor,
        name=some.text("abcdefghij", min_size=1, max_size=8),
        scale=some.sampled_from(scale_names()),
        definition=some.text("klm ", max_size=5),
    ),
    min_size=1,
    max_size=6,
    unique_by=lambda one: one.name,
).map(tuple)
MINUTES = some.lists(some.integers(1, 600), min_size=1, max_size=4, unique=True).map(sorted)


@some.composite
def forms(draw: Any) -> Typed:
    """What may stand in the form of each of the three methods."""
    method = draw(some.sampled_from(sorted(SEVERAL)))
    fewest, most = SEVERAL[method]
    trials = tuple(f"t{number}" for number in range(draw(some.integers(fewest, most))))
    people = tuple(f"p{number}" for number in range(draw(some.integers(1, 12))))
    minutes = draw(MINUTES)
    fields: dict[str, Any] = {
        "trial_ids": trials,
        "people": people,
        "spares": draw(some.integers(0, 3)),
        "ages": ", ".join(map(str, minutes if method == "profile" else minutes[:1])),
        "plain_difference": draw(some.booleans()),
        "replicates": draw(some.integers(1, 3)),
        "alpha": draw(some.sampled_from(["0.05", "0.01", "0.10"])),
        "descriptors": draw(WORDS),
        "descriptor_order": draw(some.sampled_from(DESCRIPTOR_ORDERS)),
        "asks_strength": draw(some.booleans()),
        "asks_liking": draw(some.booleans()),
        "resmell": draw(some.booleans()),
        "warm_up": draw(some.booleans()),
        "ties_allowed": draw(some.booleans()),
        "pairs_each": draw(some.integers(several_typed.fewest_pairs(len(trials), len(people)), 28)),
        "expected_order": draw(some.sampled_from([(), trials, trials[::-1]])),
    }
    every = several_typed.pairs(len(trials))
    if fields["pairs_each"] >= every:
        fields["pairs_each"] = 0  # all of them
    return _with(typed(method), **fields)


def _with(start: Typed, **fields: Any) -> Typed:
    return Typed(**{name: fields.get(name, getattr(start, name)) for name in Typed.__slots__})


@given(forms())
def test_a_draft_comes_back_as_it_was_typed(form: Typed) -> None:
    made = filled_form.build(form, BRIEF)
    again = filled_form.typed_of(made)
    assert filled_form.build(again, BRIEF) == made
    for name in ("trial_ids", "people", "spares", "alpha", "plain_difference", "method", "zone"):
        assert getattr(again, name) == getattr(form, name), name
    if form.method == "profile":
        for name in ("descriptors", "descriptor_order", "asks_strength", "asks_liking", "warm_up", "replicates"):
            assert getattr(again, name) == getattr(form, name), name
        assert made.design.resmell == (form.resmell and "," in form.ages)
    if form.method == "ranking":
        assert (again.expected_order, made.replicates) == (form.expected_order, 1)
    if form.method == "round":
        assert (made.design.pairs_each, made.design.ties_allowed) == (form.pairs_each, form.ties_allowed)


@pytest.mark.parametrize(
    ("method", "fields", "words"),
    [
        ("profile", {"trial_ids": ("t1",)}, "trials of a profile must be 2 to 6, not 1"),
        ("round", {"trial_ids": ("t1", "t2")}, "trials of a round must be 3 to 8, not 2"),
        ("ranking", {"trial_ids": tuple("abcdefg")}, "trials of a ranking must be 3 to 6, not 7"),
        ("profile", {"descriptors": (), "asks_strength": False}, "descriptors must be one or more, or strength or"),
        ("round", {"ages": "5, 60"}, "a round has one strip age"),
        ("ranking", {"ages": "5, 60"}, "a ranking has one strip age"),
        # 3 pairs smelt twice are 6 tastings at least; 2 people need 3 each
        ("round", {"people": ("a", "b"), "pairs_each": 2}, "pairs each must be at least 3 for 2 people"),
        ("ranking", {"expected_order": ("t0", "t1")}, "expected order must hold each trial of a ranking once"),
        ("profile", {"people": ()}, "panel must have at least one person"),
        ("profile", {"alpha": "often"}, "alpha must be a number"),
    ],
)
def test_a_form_that_does_not_stand_is_refused_in_one_sentence(method: str, fields: dict[str, Any], words: str) -> None:
    with pytest.raises(ArgumentError, match=words) as refused:
        filled_form.build(_with(typed(method), **fields), BRIEF)
    assert str(refused.value).count("\n") == 0


@pytest.mark.parametrize(
    ("trials", "people", "fewest"),
    # 6 pairs smelt twice are 12 seats: 12 people need 1 each, 8 need 2, 3 need 4, 2 all six; nobody: all six
    [(4, 12, 1), (4, 8, 2), (4, 3, 4), (4, 2, 6), (4, 1, 6), (4, 0, 6), (3, 40, 1)],
)
def test_a_part_round_still_smells_every_pair_twice(trials: int, people: int, fewest: int) -> None:
    assert several_typed.fewest_pairs(trials, people) == fewest


def test_on_skin_there_is_no_warm_up_and_nothing_to_smell_again() -> None:
    form = _with(typed("profile"), medium="skin", resmell=True, warm_up=True)
    made = filled_form.build(form, BRIEF)
    assert (made.medium, made.design.resmell, made.design.warm_up, made.strips) == ("skin", False, False, 0)
    both = filled_form.build(_with(form, medium="strip and skin", skin_ages="30, 90"), BRIEF)
    assert (both.design.resmell, both.design.warm_up, [age.seconds for age in both.skin_ages]) == (
        True,
        False,
        [1800, 5400],
    )
    for plan in (made, both):
        assert filled_form.build(filled_form.typed_of(plan), BRIEF) == plan
    told = lines_told.summary(both, {}, {})
    assert "Strip ages 5 min (give or take 30 s), 1 h (give or take 6 min)." in told
    assert "On skin 30 min (give or take 3 min), 90 min (give or take 9 min) after application." in told
    with pytest.raises(ArgumentError, match="a round of pairs needs more skin than there is"):
        filled_form.build(_with(typed("round"), medium="skin"), BRIEF)


def test_what_goes_on_skin_is_said_to_whoever_prepares() -> None:
    """By hand: eight people with three codes each; of a profile of two trials, two codes each."""
    for method, places in (("ranking", 24), ("profile", 16)):
        plan = filled_form.build(_with(typed(method), medium="skin", ages="5"), BRIEF)
        told = prospect_lines(prospect_of(plan))
        assert f"To prepare: {places} places on skin, each with the same small amount." in told
        assert not any("strips, each dipped" in line for line in told)
    both = filled_form.build(_with(typed("profile"), medium="strip and skin", ages="5", skin_ages="30"), BRIEF)
    assert [line[:22] for line in prospect_lines(prospect_of(both))].count("To prepare: 16 places ") == 1


def test_a_sealed_profile_is_told_with_all_its_fields() -> None:
    form = _with(
        typed("profile"), replicates=2, asks_liking=True, warm_up=True, descriptor_order="drawn", spares=2, resmell=True
    )
    labels, aliases = {"t0": "7", "t1": "8"}, dict.fromkeys(PEOPLE, "Wren")
    told = lines_told.summary(filled_form.build(form, BRIEF), labels, aliases)
    assert told[0] == "Trials 7 and 8, each smelt by itself, on strips."
    assert told[1].startswith("Rated on a line of 0 to 10: woody (“none” to “very”)")
    assert "liking" in told[1]
    assert "8 people, 2 strips of each trial. The same strip again at every age, under its old code." in told
    assert "Descriptors in an order drawn for each." in told
    assert "One strip before the others, to warm up; its answers do not count." in told
    assert "Strip ages 5 min (give or take 30 s), 1 h (give or take 6 min)." in told
    assert told[-2:] == ("Spare seats: 2.", "Time zone: Europe/Paris.")


def test_a_round_and_a_ranking_are_told_with_theirs() -> None:
    labels = {"t0": "7", "t1": "8", "t2": "9"}
    told = lines_told.summary(filled_form.build(_with(typed("round"), pairs_each=2), BRIEF), labels, {})
    assert any("2 of 3 pairs each" in line for line in told)
    assert "“No preference” may be chosen." in told
    assert "Asked besides: how sure and which is nearer the brief." in told
    order = ("t2", "t0", "t1")
    told = lines_told.summary(filled_form.build(_with(typed("ranking"), expected_order=order), BRIEF), labels, {})
    assert "Order expected beforehand, least first: trials 9, 7 and 8." in told


# --- the page -----------------------------------------------------------------------------------------------------


@pytest.fixture
def opened(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[[str], AppTest]]:
    """Opens a page of a house with an in-memory notebook, as the conductor."""
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page(name: str) -> AppTest:
        app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        app.switch_page(f"{name}.py").run()
        assert not app.exception
        return app

    yield open_page
    house.put(None)


def by(widgets: Any, label: str) -> Any:
    found = [each for each in widgets if label in each.label]
    assert found, f"no {label!r} among {[each.label for each in widgets]}"
    return found[0]


def press(app: AppTest, label: str) -> AppTest:
    app = by(app.button, label).click().run()
    assert not app.exception, app.exception
    return app


def shown(app: AppTest) -> str:
    assert not app.exception, app.exception
    kinds = [*app.markdown, *app.warning, *app.error, *app.success, *app.caption, *app.info]
    return "\n".join(each.value for each in kinds).replace("\\", "").replace("\N{NO-BREAK SPACE}", " ")


def begun(opened: Any, job: str, answer: int = 0) -> AppTest:
    """The plan page with its first question and the job answered."""
    app = opened("plan")
    first = app.radio[0]
    app = first.set_value(first.options[answer]).run()
    return by(app.radio, JOB).set_value(job).run()


def stored(notebook: Any, made: Scene) -> Session:
    (session,) = planning.sessions(notebook, made.brief_id)
    return session


def test_a_profile_is_planned_and_sealed(opened: Any, notebook: Any) -> None:
    made = scene(notebook, people=8)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = begun(opened, "profile")
    app = by(app.text_input, "Strip ages").set_value("5, 60").run()
    by(app.radio, "At later ages").set_value(False)
    by(app.checkbox, "how much it is liked").check()
    app = by(app.pills, "Descriptors").set_value(["woody", "green"]).run()
    # woody, green, strength and liking at two ages, one pair of trials: 8 rows
    assert "Among all 8 differences tested together" in shown(app)
    # 8 people × 2 trials × 2 ages = 32 strips at 40 s are 21.3 minutes
    assert "32 strips, each dipped once, about 22 minutes" in shown(app)
    app = press(app, "Seal this plan")
    session = stored(notebook, made)
    assert (session.state, session.plan.method, session.plan.design.resmell) == ("sealed", "profile", False)
    assert [one.name for one in session.plan.design.descriptors] == ["woody", "green"]
    assert (session.plan.design.asks_strength, session.plan.design.asks_liking, session.plan.primary) == (
        True,
        True,
        None,
    )
    assert "Trials 7 and 8, each smelt by itself" in shown(app)


def test_too_few_people_describe_and_say_so_in_words(opened: Any, notebook: Any) -> None:
    made = scene(notebook, people=5)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = begun(opened, "profile")
    assert "5 people describe, and nothing is tested: that needs 6 people." in shown(app)
    app = press(app, "Seal this plan")
    assert "Before sealing, confirm that this session can never end in: a descriptor moved." in shown(app)
    assert planning.sessions(notebook, made.brief_id) == ()
    by(app.checkbox, "describes and does not test").check()
    press(app, "Seal this plan")
    assert stored(notebook, made).plan.confirmed == ("a descriptor moved",)


def test_a_profile_without_a_list_still_rates_strength(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = begun(opened, "profile", answer=1)
    app = press(app, "Save draft")
    draft = stored(notebook, made).plan
    assert (draft.design.descriptors, draft.design.asks_strength, draft.plain_difference) == ((), True, True)
    # a list written later is offered to the draft, and nothing is chosen for it
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = press(opened("plan"), "Continue")
    assert by(app.pills, "Descriptors").value == []
    app = by(app.checkbox, "how strong it is").uncheck().run()
    assert "Descriptors must be one or more, or strength or liking must be asked." in shown(app)


def test_a_round_is_planned_in_part(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    made.trials(4)
    app = begun(opened, "round", answer=1)
    trials = by(app.pills, "Trials, 3 to 8")
    app = trials.set_value(list(made.trials(4))).run()
    # 6 pairs, each twice: 12 of 8 people, so 2 each at least
    pairs = by(app.number_input, "Pairs each panelist smells, of 6")
    assert (pairs.min, pairs.max, pairs.value) == (2, 6, 6)
    app = pairs.set_value(3).run()
    assert "Opposite camps cannot be told from indifference here" in shown(app)
    app = by(app.number_input, "Times each panelist smells a pair").set_value(2).run()
    assert "Opposite camps can be looked for" in shown(app)
    press(app, "Save draft")
    plan = stored(notebook, made).plan
    assert (plan.method, plan.design.pairs_each, plan.replicates, len(plan.trial_ids)) == ("round", 3, 2, 4)
    assert plan.design.asks_nearer
    app = opened("plan")
    app = press(app, "Continue")
    assert by(app.radio, JOB).value == "round"
    assert by(app.number_input, "Pairs each panelist smells, of 6").value == 3


def test_a_ranking_has_an_expected_order_or_none(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    trials = made.trials(3)
    app = begun(opened, "ranking", answer=1)
    # everybody alike: 3! of the (3!)^8 tables, 1 / 6^7
    assert "If everybody ranks alike, p < .001" in shown(app)
    app = by(app.checkbox, "I expect an order").check().run()
    assert "Expected order must hold each trial of a ranking once." in shown(app)
    app = by(app.multiselect, "Expected order").set_value([trials[2], trials[0], trials[1]]).run()
    app = press(app, "Seal this plan")
    plan = stored(notebook, made).plan
    assert plan.design.expected_order == (trials[2], trials[0], trials[1])
    assert "Order expected beforehand, least first: trials 9, 7 and 8." in shown(app)


def test_too_few_trials_are_refused_in_one_sentence(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    app = press(begun(opened, "ranking"), "Save draft")
    assert [each.value for each in app.error] == ["Trials of a ranking must be 3 to 6, not 2\\."]
    assert planning.sessions(notebook, made.brief_id) == ()


def test_skin_is_not_offered_for_a_round_of_pairs(opened: Any, notebook: Any) -> None:
    scene(notebook).trials(3)
    app = begun(opened, "round", answer=1)
    assert not [one for one in app.radio if one.label == "Medium"]
    assert "Medium: smelling strip. A round of pairs needs more skin than there is" in shown(app)
    assert by(begun(opened, "ranking", answer=1).radio, "Medium").options == [
        "Smelling strip",
        "Skin",
        "Strip and skin",
    ]


def test_the_prospect_shown_is_the_one_sealing_asks() -> None:
    made = filled_form.build(typed("round"), BRIEF)
    assert prospect_of(made).to_confirm == ()


def test_a_profile_on_skin_is_sealed_only_through_the_gate(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    aims.save_descriptors(notebook, made.brief_id, RATED)
    app = by(begun(opened, "profile").radio, "Medium").set_value("skin").run()
    assert "Skin gate: shut." in shown(app)
    press(app, "Seal this plan")
    assert planning.sessions(notebook, made.brief_id) == ()
    ready(notebook, made.trial_ids, made.panelist_ids)
    app = by(begun(opened, "profile").radio, "Medium").set_value("skin").run()
    assert "Skin gate: open for everybody planned." in shown(app)
    assert "Each nose: 2 places on skin." in shown(app)
    press(app, "Seal this plan")
    assert (stored(notebook, made).state, stored(notebook, made).plan.medium) == ("sealed", "skin")


def test_a_fan_of_two_strips_is_planned_told_and_sealed(opened: Any, notebook: Any) -> None:
    made = scene(notebook)
    for name in ("Cedar oil", "Fig leaf base"):
        skin.add_material(notebook, name)
    app = begun(opened, "fan", answer=1)
    assert "Materials on a second strip must be 2 to 5, not 0." in shown(app)
    for said in ("A fan is no mixture", "lies the trial alone", "never neat under a nose"):
        assert said in shown(app)
    assert not [one for one in app.radio if one.label == "Medium"]
    for place, (name, percent) in enumerate((("Cedar oil", "0,2"), ("Fig leaf base", "1")), start=1):
        app = by(app.selectbox, f"Material {place}").set_value(name).run()
        app = app.text_input(
            key=next(one.key for one in app.text_input if str(one.key).endswith(f"percent {place - 1}"))
        )
        app = app.set_value(percent).run()
    # trial 8 is smelt at 10 %: 0.2 % on a strip is 2 parts to 100 of its concentrate
    assert "Cedar oil 0.2 %: one strip carries what 2 parts of it" in shown(app)
    assert "Trial 8 is smelt at 10 %: each part in 100 is 0.1 %." in shown(app)
    assert "the 3 pairs one after the other, about 10 s each: 20 s from the first to the last" in shown(app)
    assert "smell them at 3 min 20 s or later" in shown(app)
    # 8 people × 3 pairs × 2 strips
    assert "48 strips, each dipped once" in shown(app)
    assert "Each nose: 6 strips." in shown(app)
    app = press(app, "Save draft")
    app = press(opened("plan"), "Continue")
    assert by(app.radio, JOB).value == "fan"
    app = press(app, "Seal this plan")
    plan = stored(notebook, made).plan
    assert [(one.material, str(one.percent)) for one in plan.design.second_strips] == [
        ("Cedar oil", "0.2"),
        ("Fig leaf base", "1"),
    ]
    assert plan.trial_ids == made.trial_ids[1:]
    assert "trial 8 alone, 8 beside Cedar oil 0.2 % and 8 beside Fig leaf base 1 %" in shown(app)


def test_beside_one_trial_only_a_fan_is_offered(opened: Any, notebook: Any) -> None:
    brief = book.add_brief(notebook, "One trial", "Dry.")
    book.add_trial(notebook, brief.id, "1", strength_percent=Decimal(12))
    app = opened("plan")
    assert "Beside one trial candidate materials can be smelt." in shown(app)
    assert by(app.radio, JOB).options == [jobs.JOBS["fan"].question]
    assert by(app.selectbox, "Trial the candidates are held beside").options == ["1"]
