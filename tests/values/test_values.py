"""Frozen values and the ground they stand on: checks, errors, clock, canonical spelling, places."""

from __future__ import annotations

import hashlib
import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation import errors
from evaluation.clock import SteppedClock, SystemClock
from evaluation.errors import ArgumentError, KindError, MouilletteError, StoreError
from evaluation.ground import checks, places
from evaluation.ground.canonical import canonical, digest
from evaluation.values.briefs import Brief
from evaluation.values.people import Panelist
from evaluation.values.trials import Mismatch, Trial, mismatches

ROOT = Path(__file__).resolve().parents[2]

# --- checks -----------------------------------------------------------------------------------------------------------

REFUSED: list[tuple[Callable[..., Any], tuple[Any, ...], type[Exception], str]] = [
    (checks.whole, ("correct", -1), ArgumentError, "correct must be 0 or more, not -1."),
    (checks.whole, ("correct", 9, 0, 8), ArgumentError, "correct must be from 0 to 8, not 9."),
    (checks.whole, ("correct", 2.5), ArgumentError, "correct must be a whole number, not 2.5."),
    (checks.whole, ("correct", math.nan), ArgumentError, "correct must be a whole number, not nan."),
    (checks.whole, ("correct", math.inf), ArgumentError, "correct must be a finite number, not inf."),
    (checks.whole, ("correct", True), KindError, "correct must be a whole number, not True."),
    (checks.whole, ("correct", "7"), KindError, "correct must be a whole number, not '7'."),
    (checks.risk, ("alpha", 0), ArgumentError, "alpha must lie between 0 and 1, both excluded, not 0."),
    (checks.risk, ("alpha", 1.0), ArgumentError, "alpha must lie between 0 and 1"),
    (checks.risk, ("alpha", math.nan), ArgumentError, "alpha must be a finite number, not nan."),
    (checks.real, ("d_prime", -1, 0), ArgumentError, "d_prime must be 0 or more, not -1."),
    (checks.real, ("share", 2, 0, 1), ArgumentError, "share must be from 0 to 1, not 2."),
    (checks.real, ("share", None), KindError, "share must be a number, not None."),
    (checks.choice, ("method", "pentad", ("a", "b")), ArgumentError, "method must be one of 'a', 'b', not 'pentad'."),
    (checks.choice, ("method", ["a"], {"a": 1}), ArgumentError, "method must be one of 'a', not ['a']."),
    (checks.text, ("alias", ""), ArgumentError, "alias must not be empty."),
    (checks.text, ("alias", "x" * 41, 40), ArgumentError, "alias may have at most 40 characters, not 41."),
    (checks.text, ("alias", "a\x00b"), ArgumentError, "alias must not contain control characters."),
    (checks.text, ("alias", 7), KindError, "alias must be text, not 7."),
]


@pytest.mark.parametrize(("check", "arguments", "error", "sentence"), REFUSED, ids=[r[3][:45] for r in REFUSED])
def test_a_check_names_argument_value_and_range(
    check: Callable[..., Any], arguments: tuple[Any, ...], error: type[Exception], sentence: str
) -> None:
    with pytest.raises(error, match=re.escape(sentence)):
        check(*arguments)


def test_checks_return_what_was_meant() -> None:
    assert checks.whole("n", np.int64(7)) == 7
    assert checks.whole("n", 7.0) == 7  # a count that came through a float column of a table
    assert checks.text("alias", "  Ana  ") == "Ana"
    assert checks.risk("alpha", np.float64(0.05)) == 0.05


def test_the_error_tree_is_the_one_drawn() -> None:
    drawn = set(re.findall(r"[─ ]([A-Z]\w+)(?: |\n)", str(errors.__doc__)))
    made = {name for name, one in vars(errors).items() if isinstance(one, type) and issubclass(one, MouilletteError)}
    assert made <= drawn | {"MouilletteError"}
    assert issubclass(ArgumentError, ValueError)
    assert issubclass(KindError, TypeError)


# --- clock ------------------------------------------------------------------------------------------------------------


def test_clocks_speak_whole_milliseconds() -> None:
    stepped = SteppedClock(instant=1000)
    stepped.forward(minutes=0.5)
    stepped.forward(seconds=1.0004)
    assert stepped.now() == 1000 + 30_000 + 1_000
    assert SteppedClock(instant=0, step=7).now() == 7
    assert isinstance(SystemClock().now(), int)
    assert SystemClock().now() > 1_700_000_000_000  # later than November 2023: milliseconds, not seconds


# --- briefs, people, trials ---------------------------------------------------------------------------------------------


def trial(label: str = "7", **changes: Any) -> Trial:
    fields: dict[str, Any] = {
        "id": f"trial-{label}",
        "brief_id": "brief",
        "label": label,
        "parent_id": None,
        "changed": "",
        "strength_percent": Decimal(10),
        "mixed_on": date(2026, 9, 1),
        "diluted_on": date(2026, 10, 1),
        "batch": "1",
        "made_at": 0,
    }
    return Trial(**(fields | changes))


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"label": ""}, "label must not be empty."),
        ({"strength_percent": Decimal(0)}, "strength must be above 0 and at most 100 percent, not 0."),
        ({"strength_percent": Decimal(101)}, "strength must be above 0 and at most 100 percent, not 101."),
        ({"diluted_on": date(2026, 8, 31)}, "date diluted must not lie before the date mixed."),
        ({"parent_id": "trial-7"}, "parent must be another trial, not the trial itself."),
    ],
)
def test_a_trial_that_cannot_be_is_refused(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ArgumentError, match=re.escape(sentence)):
        trial(**changes)


def test_briefs_and_people_need_a_name() -> None:
    with pytest.raises(ArgumentError, match="title must not be empty"):
        Brief("b", "", "", 0)
    with pytest.raises(ArgumentError, match="alias must not be empty"):
        Panelist("p", "", "", True, 0)


ON = date(2026, 11, 25)


def differing(**changes: Any) -> tuple[Mismatch, ...]:
    return mismatches(trial("7"), trial("8", **changes), ON)


def test_two_trials_alike_but_for_the_formula_give_no_warning() -> None:
    assert differing() == ()


@pytest.mark.parametrize(
    ("changes", "kinds"),
    [
        ({"strength_percent": Decimal("10.1")}, []),  # within 0.1 absolute
        ({"strength_percent": Decimal("10.11")}, ["strength"]),
        ({"diluted_on": date(2026, 10, 6)}, []),  # 55 and 50 days: 5 apart, within a tenth of 55
        ({"diluted_on": date(2026, 10, 7)}, ["diluted"]),  # 6 apart
        ({"mixed_on": date(2026, 9, 10)}, ["mixed"]),  # 85 and 76 days: 9 apart, more than 8.5
        ({"batch": "2"}, ["batch"]),
        ({"strength_percent": Decimal(12), "batch": "2"}, ["strength", "batch"]),
    ],
)
def test_what_could_be_smelt_besides_the_change_is_named(changes: dict[str, Any], kinds: list[str]) -> None:
    """The tolerances are the proposed defaults of trials.py: common practice, no source."""
    found = differing(**changes)
    assert [one.kind for one in found] == kinds
    assert all(one.known for one in found)


def test_young_dilutions_may_differ_by_one_day_only() -> None:
    fresh = trial("7", mixed_on=None, diluted_on=date(2026, 11, 24))
    for day, kinds in [(23, ["mixed"]), (22, ["mixed", "diluted"])]:
        other = trial("8", mixed_on=None, diluted_on=date(2026, 11, day))
        assert [one.kind for one in mismatches(fresh, other, ON)] == kinds


@pytest.mark.parametrize("missing", ["strength_percent", "mixed_on", "diluted_on"])
def test_what_is_not_recorded_is_said_to_be_unknown(missing: str) -> None:
    (found,) = differing(**{missing: None})
    assert found.known is False


# --- canonical spelling ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Point:
    name: str
    share: Decimal


def test_the_spelling_is_the_one_described() -> None:
    value = {"b": (1, None, True), "a": Point("é", Decimal("0.050")), "day": date(2026, 11, 25)}
    expected = '{"value":{"a":{"name":"é","share":"0.05"},"b":[1,null,true],"day":"2026-11-25"},"version":1}'
    assert canonical(value) == expected.encode("utf-8")


def test_the_digest_is_sha_256_computed_by_hand() -> None:
    """The second route uses hashlib and json alone: length of each part in eight bytes, then the part."""
    plain = json.dumps({"value": {"alpha": "0.05", "n": 8}, "version": 1}, sort_keys=True, separators=(",", ":"))
    by_hand = hashlib.sha256(len(plain).to_bytes(8, "big") + plain.encode() + (2).to_bytes(8, "big") + b"xy")
    assert digest(canonical({"n": 8, "alpha": Decimal("0.050")}), b"xy") == by_hand.hexdigest()
    # SHA-256 of nothing, as published in the examples of FIPS 180 (from memory).
    assert digest() == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"


def test_parts_cannot_be_shifted_into_one_another() -> None:
    assert digest(b"ab", b"c") != digest(b"a", b"bc")


@pytest.mark.parametrize(
    "value", [0.05, math.nan, {"share": 1.0}, [1, 2.0], Decimal("NaN"), Decimal("Infinity"), {1: "a"}, b"x", {1, 2}]
)
def test_what_has_no_one_spelling_is_refused(value: Any) -> None:
    with pytest.raises(KindError):
        canonical(value)


plain_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)


@given(plain_values)
def test_the_spelling_reads_back_to_the_value(value: Any) -> None:
    assert json.loads(canonical(value))["value"] == value


@given(st.dictionaries(st.text(), st.integers(), min_size=2))
def test_the_order_of_keys_changes_nothing(value: dict[str, int]) -> None:
    turned = dict(reversed(value.items()))
    assert canonical(turned) == canonical(value)


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-1000, max_value=1000))
def test_one_number_has_one_spelling(number: Decimal) -> None:
    padded = Decimal(f"{number:f}0")
    assert canonical(number) == canonical(padded)
    assert Decimal(json.loads(canonical(number))["value"]) == number


# --- places -----------------------------------------------------------------------------------------------------------


def test_screens_and_scenario_are_found_from_any_working_directory(tmp_path: Path) -> None:
    code = f"import sys; sys.path.insert(0, {str(ROOT)!r}); from evaluation.ground import places; print(places.folder('pages'))"
    done = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert Path(done.stdout.strip()).name in {"pages", "_pages"}
    assert places.folder("demo_sessions").is_dir()


def test_a_missing_folder_is_one_clear_sentence() -> None:
    with pytest.raises(StoreError, match="The folder 'attic' is missing from this installation"):
        places.folder("attic")
