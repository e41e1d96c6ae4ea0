"""A series as a value: what it refuses, what its sittings may differ in, how it is spelt."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any, ClassVar

import pytest

from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.series import (
    BySeries,
    Ended,
    Final,
    SealedSeries,
    SearchSeries,
    Series,
    SeriesDesign,
    SeriesKind,
    registered_series,
    series_kind,
)
from evaluation.sessions import Plan
from tests.scenes import ages, plan, seats


def series(design: SeriesDesign | None = None, open_panel: bool = False, **changes: Any) -> Series:
    return Series(plan=plan(3, **changes), design=design or SearchSeries(), open_panel=open_panel)


def final(**changes: Any) -> Final:
    fields: dict[str, Any] = {"question": "preferred", "challenger": "second", "cap": 40}
    return Final(**fields | changes)


def sealed(made: Series) -> SealedSeries:
    return SealedSeries("series", 1, made, 1, made.hash)


REFUSED: dict[str, tuple[dict[str, Any], str]] = {
    "two ages": ({"minutes": (5, 60)}, "one medium and one strip age"),
    "both media": ({"medium": "strip and skin", "skin_ages": ages(30)}, "one medium and one strip age"),
    "looks": ({"look_every": 1, "replicates": 1}, "looked at after its sittings"),
    "null sets": ({"null_sets": 1}, "looked at after its sittings"),
    "weights": ({"sureness_weights": (2, 3, 4, 5), "draw": "independent"}, "what adds up there are counts"),
    "spare seats": ({"seats": seats(3, 1)}, "no spare seats"),
    "a series of a series": ({"series_id": "one"}, "must not name a series itself"),
    "ratings": ({"method": "ranking", "other_trial_ids": ("trial-9",)}, "forced choice or a preference to add up"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_add_up_is_refused(name: str) -> None:
    changes, said = REFUSED[name]
    with pytest.raises(ArgumentError, match=said):
        series(**changes)


def test_where_everybody_answers_once_nobody_smells_two_sets() -> None:
    with pytest.raises(ArgumentError, match="replicates must be 1"):
        series(open_panel=True, replicates=2)


@pytest.mark.parametrize(
    ("design", "changes", "said"),
    [
        (final(), {}, "method must be a preference where a final asks for preferred, not triangle"),
        (final(question="simpler"), {"method": "preference"}, "method must be a forced choice"),
        (final(question="nearer"), {"method": "preference", "asks_nearer": False}, "must ask which is nearer"),
        (final(question="simpler"), {"replicates": 2}, "one vote a nose and day"),
    ],
)
def test_a_final_wants_the_session_that_answers_its_question(design: Final, changes: dict[str, Any], said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        series(design, **changes)


@pytest.mark.parametrize("change", [{"cap": 7}, {"question": "liked"}, {"challenger": ""}, {"earlier": -1}])
def test_a_final_is_of_what_is_offered(change: dict[str, Any]) -> None:
    with pytest.raises(ArgumentError):
        final(**change)


def test_a_final_after_finals_that_failed_must_speak_five_times_louder_each() -> None:
    """25, 125, 625 to 1 at alpha .05; in all at most alpha: (1 + 1/5 + 1/25 + …) / 1.25 = 1 (the geometric series)."""
    levels = [final(earlier=number).multiple / Decimal("0.05") for number in range(40)]
    assert levels[:3] == [25, 125, 625]
    assert sum(1 / one for one in levels) <= Decimal("0.05")


def test_it_is_read_from_its_spelling_as_it_was() -> None:
    made = Series(plan=plan(3, method="preference"), design=final(earlier=2), makers=("person-1",))
    flat = dict(made.as_sealed())
    assert Series.of(flat.pop("kind"), flat.pop("plan"), flat) == made
    assert made.hash != replace(made, makers=()).hash
    with pytest.raises(ArgumentError, match="no field more"):
        Series.of("final", made.plan, flat | {"more": 1})


def test_a_session_by_itself_is_spelt_as_it_was() -> None:
    assert b"series_id" not in canonical(plan())
    assert b'"series_id":"one"' in canonical(plan(series_id="one"))


# --- sittings ---------------------------------------------------------------------------------------------------------


def test_a_sitting_is_an_ordinary_plan_of_some_of_the_people() -> None:
    found = sealed(series())
    sitting = found.sitting("Monday", ("person-3", "person-1"), replicates=2)
    assert [one.panelist_id for one in sitting.seats] == ["person-3", "person-1"]
    assert (sitting.series_id, sitting.replicates, sitting.draw) == ("series", 2, "independent")
    found.check_sitting(sitting)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"alpha": Decimal("0.10")}, "must keep to its series"),
        ({"method": "tetrad"}, "must keep to its series"),
        ({"ages": ages(6), "primary": 360}, "must keep to its series"),
        ({"first_trial_id": "trial-8", "second_trial_id": "trial-7"}, "in the same order"),
        ({"second_trial_id": "trial-9"}, "compare what its series names"),
        ({"seats": seats(2, 1)}, "must keep to its series"),
        ({"seats": seats(4)}, "a changed panel starts a new series"),
    ],
)
def test_a_sitting_that_does_not_keep_to_its_series_is_refused(changes: dict[str, Any], said: str) -> None:
    found = sealed(series())
    with pytest.raises(ArgumentError, match=said):
        found.check_sitting(found.sitting("Monday", ("person-1",)).changed(**changes))


def test_an_open_panel_takes_anybody_once() -> None:
    found = sealed(series(open_panel=True))
    sitting = found.sitting("Monday", ("person-7", "person-8"))
    found.check_sitting(sitting, seated=("person-1",))
    with pytest.raises(ArgumentError, match="must be fresh"):
        found.check_sitting(sitting, seated=("person-8",))
    with pytest.raises(ArgumentError, match="replicates must be 1"):
        found.check_sitting(found.sitting("Monday", ("person-7",), replicates=2))


def test_a_series_that_was_ended_has_no_further_sitting() -> None:
    found = sealed(series())
    with pytest.raises(ArgumentError, match="not been ended"):
        replace(found, ended=Ended("the bottle is empty", 5)).check_sitting(found.sitting("Monday", ("person-1",)))


# --- a kind more ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Suspects(SeriesDesign):
    """Several bottles, each against one: what another kind of series needs of the frame."""

    name: ClassVar[str] = "suspects of a test"
    without: tuple[tuple[str, str], ...]

    def parts(self, plan: Plan) -> Mapping[str, tuple[str, str]]:
        return {material: (plan.first_trial_id, bottle) for material, bottle in self.without}


def test_a_kind_of_series_more_is_a_record_and_a_value() -> None:
    with registered_series(SeriesKind(name=Suspects.name, design=Suspects)):
        design = Suspects((("peel", "without-peel"), ("moss", "without-moss")))
        found = sealed(Series(plan=plan(3, method="2-afc"), design=design))
        sitting = found.sitting("Peel", ("person-1",), 4, part="peel")
        assert sitting.trial_ids == ("trial-7", "without-peel")
        found.check_sitting(sitting)
        assert found.part_of(found.sitting("Moss", ("person-1",), part="moss")) == "moss"
        assert found.series.trial_ids == ("trial-7", "without-peel", "without-moss")
        table = BySeries("a colour", {SearchSeries.name: "green"})
        assert (table.of(SearchSeries.name), table.get(Suspects.name)) == ("green", None)
    with pytest.raises(ArgumentError, match="kind of series must be one of"):
        series_kind(Suspects.name)
