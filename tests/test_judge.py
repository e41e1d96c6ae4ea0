"""``python -m evaluation judge`` (evaluation/judge.py, counting/answers.py, counting/answer_files.py): what it reads, says and refuses."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from evaluation import judge
from evaluation.errors import AnswersError, ArgumentError, KindError
from evaluation.judging.verdicts import Entry, PreferenceEntry

HEADER = "comparison,method,panelist,replicate,age_minutes,correct\n"
PREFERRED = "comparison,method,panelist,replicate,age_minutes,preferred\n"
BOTH = "comparison,method,panelist,replicate,age_minutes,correct,preferred\n"
EIGHT_OF_TWELVE = HEADER + "".join(f"7 against 8,triangle,P{i},1,30,{int(i < 8)}\n" for i in range(12))


class Stdin:
    def __init__(self, data: bytes) -> None:
        self.buffer = io.BytesIO(data)


def run(data: str | bytes, capsys: pytest.CaptureFixture[str], tmp_path: Path, *options: str) -> tuple[int, str, str]:
    """Exit code, standard output and standard error of the command on a file with this content."""
    path = tmp_path / "answers.csv"
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    code = judge.main([str(path), *options])
    told = capsys.readouterr()
    return code, told.out, told.err


@pytest.fixture
def refused(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Any:
    """The one sentence a bad file gets: exit 2, nothing on standard output."""

    def sentence(data: str | bytes, *options: str) -> str:
        code, out, err = run(data, capsys, tmp_path, *options)
        assert (code, out) == (2, "")
        assert err.endswith("\n")
        assert err.count("\n") == 1, "one sentence"
        return err.strip()

    return sentence


@pytest.fixture
def results(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> Any:
    def read(data: str | bytes, *options: str) -> list[dict[str, Any]]:
        code, out, _ = run(data, capsys, tmp_path, "--json", *options)
        assert code == 0
        parsed = json.loads(out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
        assert list(parsed) == ["results"]
        return parsed["results"]

    return read


# --- what it prints ---------------------------------------------------------------------------------------------


def test_json_of_eight_right_of_twelve(results: Any) -> None:
    """Eight of twelve in the triangle: p = .018758, critical 8 (row d-mcc-12-8, from memory; scipy agrees)."""
    (one,) = results(EIGHT_OF_TWELVE)
    assert one["p_value"] == pytest.approx(binom.sf(7, 12, 1 / 3))
    told = {name: one[name] for name in ("comparison", "method", "age_minutes", "panelists", "assessments", "correct")}
    assert list(told.values()) == ["7 against 8", "triangle", 30, 12, 12, 8]
    assert (one["minimum_correct"], one["discriminators"], one["verdict"]) == (8, pytest.approx(0.5), "noticed")
    assert (one["alpha"], one["beta"], one["pd"], one["primary_age"], one["ties"]) == (0.05, 0.05, 0.30, None, "drop")


def test_every_option_is_echoed(results: Any) -> None:
    options = ["--alpha", ".01", "--beta", ".2", "--pd", ".4", "--primary-age", "30", "--ties", "split"]
    (one,) = results(EIGHT_OF_TWELVE, *options)
    assert (one["alpha"], one["beta"], one["pd"], one["primary_age"], one["ties"]) == (0.01, 0.2, 0.4, 30, "split")
    assert (one["minimum_correct"], one["verdict"]) == (9, "undecided")


def test_infinite_and_missing_numbers_are_null(results: Any) -> None:
    all_right = HEADER + "".join(f"a,triangle,P{i},1,5,1\nb,two-out-of-five,P{i},1,5,1\n" for i in range(6))
    triangle, five = results(all_right)
    assert triangle["proportion_correct"] == 1
    assert triangle["d_prime"] is None  # infinite
    assert five["d_prime"] is None  # no published function
    assert five["discriminators"] == 1


def test_preferences_in_json(results: Any) -> None:
    rows = "".join(f"7 against 8,preference,P{i},1,30,{'first' if i < 9 else 'second'}\n" for i in range(10))
    (one,) = results(PREFERRED + rows + "7 against 8,preference,P10,1,30,none\n")
    assert (one["first"], one["second"], one["none"], one["share_first"]) == (9, 1, 1, pytest.approx(0.9))
    assert (one["p_value"], one["verdict"]) == (pytest.approx(2 * binom.sf(8, 10, 0.5)), "first preferred")
    assert one["minimum_correct"] == 9  # ISO 5495:2005 Table A.2 (from memory): 9 of 10


def test_text_names_the_verdict(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, err = run(EIGHT_OF_TWELVE, capsys, tmp_path)
    assert (code, err) == (0, "")
    assert out.startswith("7 against 8 · triangle · 30 min: Noticed\n")
    assert "8 of 12 answers right (8 needed at alpha .05, p = .019)." in out


def test_standard_input(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "stdin", Stdin(EIGHT_OF_TWELVE.encode()))
    assert judge.main(["-", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["results"][0]["correct"] == 8


def test_one_entry_per_comparison_method_and_age(results: Any) -> None:
    rows = "b,triangle,P1,1,60,1\na,tetrad,P1,1,5,0\nb,triangle,P1,1,5,1\na,triangle,P1,1,5,1\nb,triangle,P2,1,5,1\n"
    found = [
        (one["comparison"], one["method"], one["age_minutes"], one["assessments"]) for one in results(HEADER + rows)
    ]
    assert found == [("b", "triangle", 5, 2), ("b", "triangle", 60, 1), ("a", "triangle", 5, 1), ("a", "tetrad", 5, 1)]


def test_a_file_may_hold_both_kinds(results: Any) -> None:
    rows = "a,triangle,P1,1,5,1,\na,preference,P1,1,5,,second\na,preference,P1,1,overall,,none\n"
    triangle, five, overall = results(BOTH + rows)
    assert (triangle["correct"], five["second"], overall["none"], overall["age_minutes"]) == (1, 1, 1, "overall")


def test_the_primary_age_of_preferences_may_be_overall(results: Any) -> None:
    rows = "".join(f"a,preference,P{i},1,{age},first\n" for i in range(6) for age in (5, "overall"))
    found = results(PREFERRED + rows, "--primary-age", "overall")
    assert [one["primary"] for one in found] == [False, True]


# --- what it reads ----------------------------------------------------------------------------------------------


def test_na_and_007_are_people(results: Any) -> None:
    """The defaults of a frame reader turn NA into nothing and 007 into 7 (tried)."""
    rows = "".join(
        f"NA,triangle,{name},1,5,1\n" for name in ("NA", "007", "7", "07", "null", "nan", "None", "1e3", "1000")
    )
    (one,) = results(HEADER + rows)
    assert (one["comparison"], one["panelists"], one["speaks_for"]) == ("NA", 9, "this panel")


def test_spellings_of_one_age_are_one_age(results: Any) -> None:
    rows = "a,triangle,P1,1,30,1\na,triangle,P2,01,30.0,1\na,triangle,P3,1, 30 ,1\na,triangle,P4,1,.5,1\n"
    assert [(one["age_minutes"], one["panelists"]) for one in results(HEADER + rows)] == [(0.5, 1), (30, 3)]


def test_extra_columns_and_their_order_do_not_matter(results: Any) -> None:
    data = "correct,note,age_minutes,replicate,panelist,method,comparison,note\n1,,5,1,P1,triangle,a,=1+1\n"
    assert results(data)[0]["correct"] == 1


@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_line_endings_and_blank_lines(results: Any, ending: str) -> None:
    text = (HEADER + "\na,triangle,P1,1,5,1\n\n   \na,triangle,P2,1,5,1").replace("\n", ending)
    assert results(text)[0]["panelists"] == 2


def test_a_byte_order_mark_is_no_part_of_the_first_name(capsys: Any, tmp_path: Path) -> None:
    code, out, err = run(b"\xef\xbb\xbf" + EIGHT_OF_TWELVE.encode(), capsys, tmp_path, "--json")
    assert (code, err) == (0, "")
    assert json.loads(out)["results"][0]["correct"] == 8


def test_windows_names_are_read_with_a_note(capsys: Any, tmp_path: Path) -> None:
    """é is the one byte E9 in Windows-1252, which is no UTF-8."""
    data = (HEADER + "Néroli,triangle,Zoé,1,5,1\nNéroli,triangle,Zoë,1,5,1\n").encode("cp1252")
    code, out, err = run(data, capsys, tmp_path, "--json")
    assert (code, err) == (0, "The file is not UTF-8: it was read as Windows-1252.\n")
    assert (json.loads(out)["results"][0]["comparison"], json.loads(out)["results"][0]["panelists"]) == ("Néroli", 2)


def test_quoted_cells_may_hold_commas_quotes_and_lines(results: Any) -> None:
    rows = '"7, then ""8""",triangle,"P\n1",1,5,1\n"7, then ""8""",triangle,5" strip,1,5,1\n'
    (one,) = results(HEADER + rows)
    assert (one["comparison"], one["panelists"]) == ('7, then "8"', 2)


# --- what it refuses --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "column", "row"),
    [
        ("must be 0 or 1, not 'yes'", "correct", "a,triangle,P2,1,5,yes"),
        ("must be 0 or 1, not '2'", "correct", "a,triangle,P2,1,5,2"),
        ("must be 0 or 1, not '1.0'", "correct", "a,triangle,P2,1,5,1.0"),
        ("must be 0 or 1, not '-1'", "correct", "a,triangle,P2,1,5,-1"),
        ("must be 0 or 1, not 'NA'", "correct", "a,triangle,P2,1,5,NA"),
        ("must be 0 or 1, not empty", "correct", "a,triangle,P2,1,5,"),
        ("must not be empty", "comparison", ",triangle,P2,1,5,1"),
        ("must not be empty", "panelist", "a,triangle, ,1,5,1"),
        ("must be one of triangle, duo-trio", "method", "a,quadrangle,P2,1,5,1"),
        ("must be one of triangle, duo-trio", "method", "a,Triangle,P2,1,5,1"),
        ("must be a whole number from 1, not '0'", "replicate", "a,triangle,P2,0,5,1"),
        ("must be a whole number from 1, not '1.5'", "replicate", "a,triangle,P2,1.5,5,1"),
        ("must be a whole number from 1, not empty", "replicate", "a,triangle,P2,,5,1"),
        ("must be minutes, 0 or more", "age_minutes", "a,triangle,P2,1,-5,1"),
        ("must be minutes, 0 or more", "age_minutes", "a,triangle,P2,1,soon,1"),
        ("must be minutes, 0 or more", "age_minutes", "a,triangle,P2,1,nan,1"),
        ("must be minutes, 0 or more", "age_minutes", "a,triangle,P2,1,inf,1"),
        ("must be minutes, 0 or more", "age_minutes", 'a,triangle,P2,1,"2,5",1'),
        ("may be overall for preferences only", "age_minutes", "a,triangle,P2,1,overall,1"),
    ],
)
def test_a_bad_row_is_named_by_line_and_column(refused: Any, cell: str, column: str, row: str) -> None:
    good = "a,triangle,P1,1,5,1\n"
    told = refused(HEADER + good + row + "\n" + good.replace("P1", "P3"))
    assert told.startswith(f"line 3, column {column}: {cell}")


def test_the_line_is_the_physical_one_after_quoted_line_breaks(refused: Any) -> None:
    """The record is the third, but a name before it runs over three lines and two lines are blank."""
    data = HEADER + 'a,triangle,"P\n1\nof many",1,5,1\n\n   \na,triangle,P2,1,5,9\n'
    assert refused(data).startswith("line 7, column correct: must be 0 or 1, not '9'")


def test_the_first_bad_row_is_named(refused: Any) -> None:
    rows = "a,triangle,P1,1,5,1\na,triangle,P2,1,bad,1\na,bad,P3,1,5,bad\n"
    assert refused(HEADER + rows).startswith("line 3, column age_minutes")


@pytest.mark.parametrize(("separator", "called"), [(";", "semicolons"), ("\t", "tabs")])
def test_a_wrong_delimiter_is_named(refused: Any, separator: str, called: str) -> None:
    told = refused(EIGHT_OF_TWELVE.replace(",", separator))
    assert told == f"line 1: the columns are separated by {called}; save the file with commas between them."


def test_missing_columns_are_listed(refused: Any) -> None:
    assert refused("comparison,method,correct\na,triangle,1\n") == (
        "line 1: these columns are missing: panelist, replicate, age_minutes."
    )
    without = HEADER.replace(",correct", ",other") + "a,triangle,P1,1,5,1\n"
    assert refused(without) == "line 1: these columns are missing: correct (or preferred)."
    capital = HEADER.replace("panelist", "Panelist")
    assert refused(capital) == "line 1: these columns are missing: panelist; names are written in lower case."


def test_a_column_given_twice_is_refused(refused: Any) -> None:
    told = refused(HEADER.replace("correct", "correct,correct") + "a,triangle,P1,1,5,1,0\n")
    assert told == "line 1: the column correct is there more than once."


def test_duplicates_name_both_lines(refused: Any) -> None:
    rows = '"x\ny",triangle,P1,1,5,1\na,triangle,P1,1,5,1\na,triangle,P2,1,5,1\na,triangle,P1,1,5.0,0\n'
    told = refused(HEADER + rows)
    assert told.startswith("line 4 and line 6 hold the same answer twice: comparison 'a', method 'triangle'")
    assert "panelist 'P1', replicate 1, age_minutes 5.0" in told


@pytest.mark.parametrize("cells", ["a,triangle,P2,1,5", "a,triangle,P2,1,5,1,1", "a"])
def test_a_row_of_another_length_is_refused(refused: Any, cells: str) -> None:
    told = refused(HEADER + "a,triangle,P1,1,5,1\n" + cells + "\n")
    assert told == f"line 3: has {cells.count(',') + 1} cells where the header has 6."


def test_a_quotation_mark_left_open_does_not_swallow_the_rest(refused: Any) -> None:
    data = HEADER.replace("correct", "correct,note") + 'a,triangle,P1,1,5,1,"fine\na,triangle,P2,1,5,1,\n'
    assert refused(data) == "line 2: a quotation mark is opened here and never closed."


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (
            "a,triangle,P1,1,5,1,first\n",
            "line 2, column preferred: must be empty for the method of this row, not 'first'",
        ),
        ("a,preference,P1,1,5,1,\n", "line 2, column correct: must be empty for the method of this row, not '1'"),
        ("a,preference,P1,1,5,,\n", "line 2, column preferred: must be first, second or none, not empty"),
        ("a,preference,P1,1,5,,A\n", "line 2, column preferred: must be first, second or none, not 'A'"),
    ],
)
def test_each_method_has_its_own_column(refused: Any, rows: str, told: str) -> None:
    assert refused(BOTH + rows).startswith(told)


def test_a_preference_needs_its_column(refused: Any) -> None:
    told = refused(HEADER + "a,preference,P1,1,5,\n")
    assert told.startswith("line 2, column preferred: the table has no such column")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "The file is empty."),
        (HEADER.encode(), "The table of answers has a header and no answers."),
        (EIGHT_OF_TWELVE.encode("utf-16"), "The file is not text in UTF-8 or Windows-1252: save it again as UTF-8."),
        (b"\x81" + EIGHT_OF_TWELVE.encode(), "The file is not text in UTF-8 or Windows-1252: save it again as UTF-8."),
        (b"PK\x03\x04\x00\x00", "The file is not text in UTF-8 or Windows-1252: save it again as UTF-8."),
    ],
)
def test_what_is_no_table_is_refused(refused: Any, data: bytes, told: str) -> None:
    assert refused(data) == told


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--alpha", "0"), "alpha must lie between 0 and 1, both excluded, not 0.0."),
        (("--pd", "1.5"), "pd must lie between 0 and 1, both excluded, not 1.5."),
        (("--beta", "nan"), "beta must be a finite number, not nan."),
        (("--primary-age", "7"), "primary_age must be one of the strip ages answered (30), not 7."),
        (
            ("--primary-age", "noon"),
            "mouillette judge: argument --primary-age: must be minutes or overall, not 'noon'.",
        ),
        (("--alpha", "x"), "mouillette judge: argument --alpha: invalid float value: 'x'."),
        (("--ties", "toss"), "mouillette judge: argument --ties: invalid choice: 'toss'"),
    ],
)
def test_an_option_that_cannot_be_is_refused(refused: Any, options: tuple[str, ...], told: str) -> None:
    assert refused(EIGHT_OF_TWELVE, *options).startswith(told)


def test_a_file_that_is_not_there(capsys: pytest.CaptureFixture[str]) -> None:
    assert judge.main(["nowhere.csv"]) == 2
    assert capsys.readouterr() == ("", "The file nowhere.csv cannot be read: No such file or directory.\n")


# --- frames -----------------------------------------------------------------------------------------------------


def frame(rows: list[dict[str, Any]]) -> pd.DataFrame:
    start = {"comparison": "a", "method": "triangle", "panelist": "P1", "replicate": 1, "age_minutes": 5, "correct": 1}
    return pd.DataFrame([start | row for row in rows])


@pytest.mark.parametrize("kind", [int, float, bool, np.int8])
def test_a_frame_of_numbers_is_judged(kind: Any) -> None:
    table = frame([{"panelist": i, "correct": int(i < 8)} for i in range(12)]).astype({"correct": kind})
    (entry,) = judge.judge_frame(table)
    assert isinstance(entry, Entry)
    assert (entry.correct, entry.assessments, entry.panelists, entry.verdict) == (8, 12, 12, "noticed")


def test_a_frame_of_both_kinds() -> None:
    rows: list[dict[str, Any]] = [{"preferred": None}, {"method": "preference", "correct": None, "preferred": "none"}]
    forced, preference = judge.judge_frame(frame(rows))
    assert isinstance(forced, Entry)
    assert isinstance(preference, PreferenceEntry)
    assert (forced.correct, preference.none) == (1, 1)


def test_a_frame_names_the_row_by_its_place() -> None:
    with pytest.raises(AnswersError, match="row 2, column correct: must be 0 or 1, not 2"):
        judge.judge_frame(frame([{}, {"panelist": "P2", "correct": 2}]))
    with pytest.raises(AnswersError, match="row 1 and row 3 hold the same answer twice"):
        judge.judge_frame(frame([{}, {"panelist": "P2"}, {}]))
    with pytest.raises(AnswersError, match="The frame lacks these columns: panelist"):
        judge.judge_frame(frame([{}]).drop(columns="panelist"))
    with pytest.raises(ArgumentError, match="alpha"):
        judge.judge_frame(frame([{}]), alpha=2.0)
    with pytest.raises(AnswersError, match="column panelist: every cell must hold text or a number"):
        judge.judge_frame(frame([{"panelist": ["P1", "P2"]}]))
    with pytest.raises(KindError, match="frame must be a pandas data frame, not list"):
        judge.judge_frame([{}])  # type: ignore[arg-type]


def test_a_frame_is_left_as_it_was() -> None:
    table = frame([{"panelist": f"P{i}"} for i in range(5)])
    before = table.copy(deep=True)
    judge.judge_frame(table)
    pd.testing.assert_frame_equal(table, before)


@given(
    st.lists(
        st.tuples(
            st.sampled_from("ab"),
            st.sampled_from(["triangle", "2-afc"]),
            st.sampled_from("xyz"),
            st.integers(1, 3),
            st.sampled_from([5, 30.5]),
            st.integers(0, 1),
        ),
        min_size=1,
        max_size=60,
        unique_by=lambda row: row[:5],
    ),
    st.randoms(),
)
@settings(max_examples=60, deadline=None)
def test_counts_equal_those_of_a_plain_loop(rows: list[tuple[Any, ...]], random: Any) -> None:
    """File and frame give the same entries whatever the order of rows, and the sums a loop would give."""
    table = pd.DataFrame(rows, columns=HEADER.strip().split(","))
    by_frame = {(e.comparison, e.method, e.age_minutes): e for e in judge.judge_frame(table)}
    for question, entry in by_frame.items():
        own = [row for row in rows if (row[0], row[1], row[4]) == question]
        assert isinstance(entry, Entry)
        assert (entry.correct, entry.assessments) == (sum(row[5] for row in own), len(own))
        assert entry.panelists == len({row[2] for row in own})
        assert (entry.stand_out is None) == (not 1 < entry.panelists < len(own))
    again = judge.judge_frame(table.sample(frac=1, random_state=random.randrange(2**31)))
    assert {(e.comparison, e.method, e.age_minutes): e for e in again} == by_frame


REPLICATED = HEADER + "".join(f"7 against 8,triangle,P{i},{r},30,{int(i < 3)}\n" for i in range(6) for r in range(1, 5))


def test_how_people_differ_is_told_when_asked_for(
    results: Any, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    # three of six always right, three never: the share right is one half, and nobody shares an ability
    assert "mu" not in results(REPLICATED)[0]
    (told,) = results(REPLICATED, "--people")
    assert told["mu"] == pytest.approx(0.5, abs=1e-6)
    assert told["gamma"] == pytest.approx(1.0, abs=1e-3)
    plain = run(REPLICATED, capsys, tmp_path)[1]
    assert len(run(REPLICATED, capsys, tmp_path, "--people")[1].splitlines()) > len(plain.splitlines())
