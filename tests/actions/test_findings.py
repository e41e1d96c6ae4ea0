"""Opening and findings, end to end in memory: answers by rule through the ballot, judged, and compared with scipy."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
from scipy import stats

from evaluation.actions import bench, book, findings, plan
from evaluation.errors import StateError, StillBlind
from evaluation.judging.entries import Entry, PreferenceEntry
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Question
from tests import scenes


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=12)


class Noses:
    """Answers a ballot right or wrong as told, with the key at hand."""

    def __init__(self, scene: scenes.Scene, session: Any) -> None:
        self.scene, self.session = scene, session
        self.orders = dict(_key(scene, session.id).orders)

    def answer(self, seat: int, right: bool | dict[int, bool], sure: str = "unsure") -> None:
        """``right`` for every set, or by strip age in seconds."""
        notebook = self.scene.notebook
        ages = {s.id: s.age_seconds for s in bench.servings(notebook, self.session.id)}

        def how(asked: Question) -> str:
            if asked.name == "choice":
                wanted = right if isinstance(right, bool) else right[ages[asked.serving_id]]
                return self.choice(asked, wanted)
            return sure if asked.name == "sure" else asked.options[0]

        scenes.answer_all(notebook, self.ballot(seat), how)

    def choice(self, asked: Question, right: bool) -> str:
        sealed = self.session.plan
        answer = correct_value(sealed.method, self.orders[asked.serving_id], asked.codes, sealed.expected)
        offers = ["+".join(picked) for picked in combinations(asked.options, asked.pick)]
        return answer if right else next(one for one in offers if one != answer)

    def ballot(self, seat: int) -> str:
        return str(scenes.ballots(self.scene.notebook, self.session.id)[seat - 1].id)


class Tastes:
    """Answers preference ballots: every choice for one trial, with the key at hand."""

    def __init__(self, scene: scenes.Scene, session: Any) -> None:
        self.scene, self.session = scene, session
        key = _key(scene, session.id)
        served = {s.id: s for s in bench.servings(scene.notebook, session.id)}
        self.trial = {
            code: trial for one, order in key.orders for code, trial in zip(served[one].codes, order, strict=True)
        }

    def answer(self, seat: int, wanted: str, nearer: str = "B") -> None:
        """``wanted`` is "A", "B" or "none"; wears "yes" for A and "no" for B."""

        def how(asked: Question) -> str:
            kind, _, subject = asked.name.partition(" ")
            if kind in {"choice", "overall", "nearer"}:
                return self.option(asked, nearer if kind == "nearer" else wanted)
            if kind == "wear":
                return "yes" if self.trial[subject.split(" ")[0]] == "A" else "no"
            return asked.options[0]

        scenes.answer_all(self.scene.notebook, scenes.ballots(self.scene.notebook, self.session.id)[seat - 1].id, how)

    def option(self, asked: Question, wanted: str) -> str:
        if wanted == "none":
            return "none"
        return next(one for one in asked.options if self.trial.get(one.split(" ")[0]) == wanted)


def _key(scene: scenes.Scene, session_id: str) -> Any:
    return scenes.key_of(scene.notebook, session_id)


def opened(scene: scenes.Scene, session_id: str) -> findings.Findings[Any]:
    bench.close(scene.notebook, session_id)
    findings.open_session(scene.notebook, session_id)
    return findings.findings(scene.notebook, session_id)


# --- blindness ------------------------------------------------------------------------------------------------------


def test_nothing_is_found_before_the_key_is_opened(scene: scenes.Scene) -> None:
    session = scene.sealed()
    for step in (
        lambda: None,
        lambda: bench.start(scene.notebook, session.id),
        lambda: bench.close(scene.notebook, session.id),
    ):
        step()
        with pytest.raises(StillBlind):
            findings.findings(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    assert findings.findings(scene.notebook, session.id).context.session.state == "opened"


def test_only_a_closed_session_can_be_opened_and_opening_is_logged(scene: scenes.Scene) -> None:
    session = scene.smelling()
    with pytest.raises(StateError):
        findings.open_session(scene.notebook, session.id)
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    assert [one.kind for one in bench.log(scene.notebook, session.id)][-2:] == ["close", "open"]


def test_a_void_session_yields_no_verdict(scene: scenes.Scene) -> None:
    session = scene.smelling()
    Noses(scene, session).answer(1, True)
    bench.void(scene.notebook, session.id, "the strips were mixed up")
    with pytest.raises(StillBlind):
        findings.findings(scene.notebook, session.id)
    with pytest.raises(StateError):
        findings.open_session(scene.notebook, session.id)


# --- forced choice ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "guessing"),
    [
        ("triangle", 1 / 3),
        ("duo-trio", 1 / 2),
        ("tetrad", 1 / 3),
        ("2-afc", 1 / 2),
        ("3-afc", 1 / 3),
        ("two-out-of-five", 1 / 10),
    ],
)
@pytest.mark.parametrize("right", [5, 8, 11])
def test_verdict_and_p_are_those_of_scipy(scene: scenes.Scene, method: str, guessing: float, right: int) -> None:
    """Second route: scipy.stats.binomtest, one-sided, on the counts the test itself dealt out."""
    session = scene.smelling(method=method)
    noses = Noses(scene, session)
    for seat in range(1, 13):
        noses.answer(seat, seat <= right)
    found = opened(scene, session.id)
    (entry,) = found.found[0].entries
    assert isinstance(entry, Entry)
    wanted = stats.binomtest(right, 12, guessing, alternative="greater").pvalue
    assert (entry.correct, entry.assessments, entry.panelists) == (right, 12, 12)
    assert entry.p_value == pytest.approx(wanted, rel=1e-12)
    assert (entry.verdict == "noticed") == (wanted <= 0.05)
    assert entry.speaks_for == "people like this panel"
    assert found.found[0].all_entries == found.found[0].entries
    assert not found.found[0].reduced


def test_what_is_missing_is_never_wrong(scene: scenes.Scene) -> None:
    session = scene.smelling()
    noses = Noses(scene, session)
    for seat in range(1, 9):
        noses.answer(seat, seat <= 6)
    found = opened(scene, session.id)
    (entry,) = found.found[0].entries
    assert isinstance(entry, Entry)
    assert (entry.correct, entry.assessments) == (6, 8)
    assert entry.minimum_correct == 6  # ISO 4120 table A.1: n = 8 needs 6 at alpha .05, not the 8 of n = 12
    assert [(one.planned, one.answered, one.counted) for one in found.found[0].losses] == [(12, 8, 8)]


def test_the_primary_age_is_the_verdict_and_the_other_is_exploratory_when_it_fails(scene: scenes.Scene) -> None:
    session = scene.smelling(minutes=(5, 60), primary=3600)
    noses = Noses(scene, session)
    for seat in range(1, 13):
        noses.answer(seat, {300: True, 3600: seat <= 4})
    found = opened(scene, session.id)
    told = {entry.age_minutes: (entry.primary, entry.confirmatory, entry.verdict) for entry in found.found[0].entries}
    assert told == {5.0: (False, False, ""), 60.0: (True, True, "undecided")}


def test_a_sealed_rule_leaves_people_out_and_both_counts_are_kept(scene: scenes.Scene) -> None:
    session = scene.smelling()
    noses = Noses(scene, session)
    for seat in range(1, 13):
        noses.answer(seat, seat <= 8)
    bench.note_deviation(scene.notebook, session.id, 1, "wrong strip", "dipped twice")
    bench.note_deviation(scene.notebook, session.id, 2, "late", "the bus")  # not in the sealed rule
    bench.letter_key(scene.notebook, session.id, scene.panelist_ids[2])  # nose 3 looks
    found = opened(scene, session.id)
    (entry,), (everything,) = found.found[0].entries, found.found[0].all_entries
    assert isinstance(entry, Entry)
    assert isinstance(everything, Entry)
    assert (entry.correct, entry.assessments) == (6, 10)
    assert (everything.correct, everything.assessments) == (8, 12)
    told = [(one.panelist, one.kind, one.reason, one.leaves) for one in found.context.noted]
    assert told == [
        ("Nose 1", "wrong strip", "dipped twice", True),
        ("Nose 2", "late", "the bus", False),
        ("Nose 3", "unblinded", "saw the key before it was opened", True),
    ]
    assert found.found[0].losses[0].left_out == (("unblinded", 1), ("wrong strip", 1))
    assert found.context.key_seen_by == ("", "Nose 3")  # the test itself looked first


def test_the_spare_set_counts_and_the_spoilt_one_does_not(scene: scenes.Scene) -> None:
    session = scene.smelling()
    noses = Noses(scene, session)
    noses.answer(1, False)
    spoilt = next(s for s in bench.servings(scene.notebook, session.id) if s.seat == 1 and not s.spare)
    bench.void_serving(scene.notebook, session.id, spoilt.id, "fell on the floor")
    noses.answer(1, True)
    found = opened(scene, session.id)
    (entry,) = found.found[0].entries
    assert isinstance(entry, Entry)
    assert (entry.correct, entry.assessments) == (1, 1)
    assert found.found[0].put_aside == (("Nose 1", 300),)


def test_sureness_is_counted_against_right_and_wrong(scene: scenes.Scene) -> None:
    session = scene.smelling()
    noses = Noses(scene, session)
    for seat in range(1, 13):
        noses.answer(seat, seat <= 7, "sure" if seat <= 4 or seat == 12 else "guess")
    counted = {one.sure: (one.answers, one.correct) for one in opened(scene, session.id).found[0].sureness}
    assert (counted["guess"], counted["sure"]) == ((7, 3), (5, 4))


def test_remarks_come_by_age_with_the_alias(scene: scenes.Scene) -> None:
    from evaluation.actions import ballot

    session = scene.smelling(minutes=(5, 60), primary=300)
    first, second, *_ = scenes.ballots(scene.notebook, session.id)
    for one, words in ((second, "more iris"), (first, "smoke")):
        asked = ballot.view(scene.notebook, one.id).question
        assert asked is not None
        ballot.lock(scene.notebook, one.id, asked.serving_id, asked.name, asked.options[0], words)
    told = [(one.panelist, one.age, one.text) for one in opened(scene, session.id).context.remarks]
    assert told == [("Nose 1", 300, "smoke"), ("Nose 2", 300, "more iris")]


def test_the_log_of_an_opened_session_holds_and_its_last_hash_is_given(scene: scenes.Scene) -> None:
    session = scene.smelling()
    Noses(scene, session).answer(1, True)
    found = opened(scene, session.id)
    assert found.context.log_holds
    assert found.context.last_hash == bench.log(scene.notebook, session.id)[-1].hash


def test_labels_and_brief_are_those_of_the_plan(scene: scenes.Scene) -> None:
    session = scene.smelling()
    found = opened(scene, session.id)
    assert found.context.names == ("7", "8")
    assert found.found[0].comparison == "7 and 8"
    assert found.context.brief_title == book.brief(scene.notebook, scene.brief_id).title
    assert [one.reason for one in found.found[0].entries if isinstance(one, Entry)] == ["no answers"]


# --- preferences ------------------------------------------------------------------------------------------------------


def test_preferences_are_one_vote_a_person_two_sided(scene: scenes.Scene) -> None:
    """Second route: scipy.stats.binomtest, two-sided at one half, ties dropped."""
    session = scene.smelling(method="preference")
    tastes = Tastes(scene, session)
    for seat, wanted in enumerate(["A"] * 9 + ["B"] + ["none"] * 2, start=1):
        tastes.answer(seat, wanted)
    found = opened(scene, session.id)
    (entry,) = found.found[0].entries
    assert isinstance(entry, PreferenceEntry)
    assert (entry.first, entry.second, entry.none) == (9, 1, 2)
    assert entry.p_value == pytest.approx(stats.binomtest(9, 10, 0.5).pvalue, rel=1e-12)
    assert entry.verdict == "first preferred"
    (nearer,) = found.found[0].nearer
    assert isinstance(nearer, PreferenceEntry)
    assert (nearer.first, nearer.second, nearer.verdict) == (0, 12, "second preferred")
    worn = {
        (one.trial, option): people
        for one in found.found[0].impressions
        if one.asked == "wear"
        for option, people in one.counts
    }
    assert (worn["first", "yes"], worn["first", "no"], worn["second", "yes"], worn["second", "no"]) == (12, 0, 0, 12)


def test_the_overall_choice_is_the_verdict_over_several_ages(scene: scenes.Scene) -> None:
    session = scene.smelling(method="preference", minutes=(5, 60), primary="overall")
    tastes = Tastes(scene, session)
    for seat in range(1, 13):
        tastes.answer(seat, "B" if seat <= 11 else "A")
    found = opened(scene, session.id)
    told = {one.age_minutes: (one.primary, one.verdict) for one in found.found[0].entries}
    assert told["overall"] == (True, "second preferred")
    assert [one.age_minutes for one in found.found[0].nearer] == [5.0, 60.0]


def test_sessions_are_never_pooled(scene: scenes.Scene) -> None:
    for _ in range(2):
        session = scene.smelling()
        Noses(scene, session).answer(1, True)
        assert [one.assessments for one in opened(scene, session.id).found[0].entries] == [1]
    assert len(plan.sessions(scene.notebook)) == 2
