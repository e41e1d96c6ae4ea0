"""Named changes of a brief by hand: the same change twice, its reverse, trials made from no other; and large briefs."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

import pandas as pd
import pytest

from evaluation.deciding.evidence import TrialShown
from evaluation.deciding.named_changes import NamedChange, pairs_to_know, ways
from evaluation.deciding.taught import taught
from evaluation.formulas import Formula, Line, Material, difference
from evaluation.formulas.separated import TO_TELL
from evaluation.wording import of_taught
from evaluation.wording.of_formulas import change_name
from tests import made_briefs

CEDAR, FIG, SALT = Material("cedar", "Cedar oil"), Material("fig", "Fig base"), Material("salt", "Salt accord")
CARRIER = Material("carrier", "Carrier", solvent=True)


def formula(**parts: int) -> Formula:
    known = {"cedar": CEDAR, "fig": FIG, "salt": SALT}
    filled = [(known[name], number) for name, number in parts.items()] + [(CARRIER, 100 - sum(parts.values()))]
    return Formula(tuple(Line(one, Decimal(number)) for one, number in filled), out_of=Decimal(100))


def trial(name: str, parent: str | None, changed: str = "") -> TrialShown:
    return TrialShown(name, name, parent, changed, int(name[1:]))


def found(trials: list[TrialShown], made_of: Mapping[str, Formula]) -> tuple[list[str], dict[str, tuple[int, ...]]]:
    seen = made_briefs.brief(trials, [])
    known = {
        (one, two): difference(made_of[one], made_of[two])
        for one, two in pairs_to_know(seen) if one in made_of and two in made_of
    }  # fmt: skip
    told = ways(seen, known)
    return [name(one) for one in told.changes], dict(told.made)


def name(one: NamedChange) -> str:
    return change_name(one.by_formula) if one.by_formula else one.typed or f"{one.from_id or 'none'} to {one.to_id}"


def test_a_change_made_again_in_another_line_is_the_same_and_its_reverse_counts_against_it() -> None:
    trials = [trial("t1", None), trial("t2", "t1"), trial("t3", "t1"), trial("t4", "t3"), trial("t5", "t4")]
    made_of = {
        "t1": formula(cedar=2, fig=5),
        "t2": formula(cedar=4, fig=5),
        "t3": formula(cedar=2, fig=5, salt=3),
        "t4": formula(cedar=4, fig=5, salt=3),
        "t5": formula(cedar=2, fig=5, salt=3),
    }
    names, made = found(trials, made_of)
    assert names == ["Cedar oil raised to 2 times", "Salt accord added"]
    assert made == {"t1": (0, 0), "t2": (1, 0), "t3": (0, 1), "t4": (1, 1), "t5": (0, 1)}


def test_an_exchange_taken_back_is_none_and_removing_is_adding_the_other_way() -> None:
    trials = [trial("t1", None), trial("t2", "t1"), trial("t3", "t2"), trial("t4", "t1"), trial("t5", "t4")]
    made_of = {
        "t1": formula(cedar=2, fig=5),
        "t2": formula(cedar=2, salt=5),
        "t3": formula(cedar=2, fig=5),
        "t4": formula(fig=5),
        "t5": formula(cedar=2, fig=5),
    }
    names, made = found(trials, made_of)
    assert names == ["Fig base exchanged for Salt accord", "Cedar oil removed"]
    assert made == {"t1": (0, 0), "t2": (1, 0), "t3": (0, 0), "t4": (0, 1), "t5": (0, 0)}


def test_the_same_material_by_another_amount_is_another_change() -> None:
    trials = [trial("t1", None), trial("t2", "t1"), trial("t3", "t1")]
    made_of = {"t1": formula(cedar=2, fig=7), "t2": formula(cedar=4, fig=7), "t3": formula(cedar=6, fig=7)}
    assert found(trials, made_of)[1] == {"t1": (0, 0), "t2": (1, 0), "t3": (0, 1)}


def test_what_was_typed_counts_without_formulas_several_apart_and_what_nobody_wrote_stands_for_itself() -> None:
    trials = [
        trial("t1", None), trial("t2", "t1", "more cedar; no fig"), trial("t3", "t2", "More  cedar."), trial("t4", "t1"),
        trial("t5", None),
    ]  # fmt: skip
    names, made = found(trials, {})
    assert names == ["more cedar", "no fig", "t1 to t4", "none to t5"]
    assert made["t3"] == (2, 1, 0, 0)
    assert made["t4"] == (0, 0, 1, 0)
    assert made["t5"] == (0, 0, 0, 1)


def test_bottles_written_to_tell_changes_apart_without_formulas_name_the_same_changes() -> None:
    trials = [trial("t1", None), trial("t2", "t1", f"{TO_TELL}cedar"), trial("t3", "t1", f"{TO_TELL}fig"),
              trial("t4", "t1", f"{TO_TELL}cedar; fig")]  # fmt: skip
    names, made = found(trials, {})
    assert names == ["cedar", "fig"]
    assert list(made.values()) == [(0, 0), (1, 0), (0, 1), (1, 1)]


def test_a_trial_made_from_no_other_is_held_against_the_first_where_formulas_are_known() -> None:
    trials = [trial("t1", None), trial("t2", None)]
    names, made = found(trials, {"t1": formula(cedar=2, fig=5), "t2": formula(cedar=2, fig=5, salt=1)})
    assert names == ["Salt accord added"]
    assert made["t2"] == (1,)


def test_formulas_that_say_more_than_what_was_typed_are_believed() -> None:
    trials = [trial("t1", None), trial("t2", "t1", "a breath of salt")]
    names, _ = found(trials, {"t1": formula(cedar=2, fig=5), "t2": formula(cedar=4, fig=5)})
    assert names == ["Cedar oil raised to 2 times"]


@pytest.mark.parametrize("shape", ["chain", "star"])
def test_a_brief_of_sixty_trials_is_told_without_a_number_where_each_change_was_made_once(shape: str) -> None:
    trials = made_briefs.trials(60, shape)
    trials = tuple(TrialShown(t.id, t.label, t.parent_id, f"change {t.id}", t.made_at) for t in trials)
    told = ways(made_briefs.brief(trials, []), {})
    rows = [(p, f"s{n // 2}", f"t{n}", "woody", 5.0, 5.0 + (p * n) % 3)
            for p in range(3) for n in range(60)]  # fmt: skip
    frame = pd.DataFrame(rows, columns=["panelist", "session", "bottle", "descriptor", "age_minutes", "rating"])
    learnt = taught(told, {"strip": frame}, {f"t{n}": f"t{n}" for n in range(60)}).learnt
    numbers = {one.changes[0].to_id for one in learnt if one.rows}
    in_pairs = {"t1", *(f"t{n}" for n in range(2, 60, 2))}  # the one less the other, of the two of a session
    assert numbers == ({f"t{n}" for n in range(1, 60, 2)} if shape == "chain" else in_pairs)
    assert all(row.low is None for one in learnt for row in one.rows)


def test_skin_stands_apart_from_strips() -> None:
    seen = made_briefs.brief(
        [trial("t1", None), trial("t2", "t1", "more cedar")], [made_briefs.profile(1, ("t1", "t2"))]
    )
    told = ways(seen, {})
    rows = [(p, "s1", t, "woody", 5.0, p + 2.0 * (t == "t2")) for p in range(3) for t in ("t1", "t2")]
    frame = pd.DataFrame(rows, columns=["panelist", "session", "bottle", "descriptor", "age_minutes", "rating"])
    both = taught(told, {"strip": frame, "skin": frame.assign(rating=5.0)}, {"t1": "t1", "t2": "t2"})
    assert [(one.medium, round(one.rows[0].estimate, 9)) for one in both.learnt] == [("strip", 2.0), ("skin", 0.0)]
    words = of_taught.told(both, seen, with_formulas=True)
    assert [one.title for one in words] == ["“more cedar”", "“more cedar”, on skin"]
