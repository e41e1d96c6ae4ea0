"""Pasted tables: every separator gives the same formula, a bad cell is named by line and column, nothing is guessed."""

from __future__ import annotations

import contextlib
import csv
import io
import re
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from evaluation.errors import ArgumentError
from evaluation.formulas import Accord, Formula, name_key, read_lines, table_of, written
from tests.formulas.made import ALL, formula, formulas, line

KNOWN = {name_key(name): one for name, one in ALL.items()}
SIMPLE = formula(line("Bergamot", "4.5"), line("Vetiver", 2, "0.5", lot="L7"), line("Ethanol", "93.5"))


def read(text: str) -> Formula:
    return read_lines(text).formula(KNOWN)


@pytest.mark.parametrize(
    "text",
    [
        "Bergamot;4,5\nVetiver;2;0,5;L7\nEthanol;93,5",
        "Bergamot; 4.5\n\nvetiver ; 2 ; 0.5 % ; L7\r\nETHANOL; 93.5\n",
        "Bergamot\t4,5\t\t\nVetiver\t2\t0,5\tL7\nEthanol\t93,5\t\t",
        "material,parts,stock,lot\nBergamot,4.5,,\nVetiver,2,0.5,L7\nEthanol,93.5,,",
        'Material,Parts,Stock %,Lot\n"Bergamot","4,5",,\n"Vetiver",2,"0,5",L7\nEthanol,"93,5",,',
        "\ufeffLot;Name;Strength;Weight\n;Bergamot;;4,5\nL7;Vetiver;0,5;2\n;Ethanol;;93,5\n",
        "Bergamot;4,5;100\nVetiver;2;0,5;L7;\nEthanol;93,5;100;;;;",
    ],
)
def test_separators_headers_and_decimal_marks(text: str) -> None:
    assert read(text) == SIMPLE


def test_an_accord_is_placed_by_a_row_of_its_own() -> None:
    text = "Bergamot;5\nWood;20\nVetiver;6;10;;Wood\nCedar;2;;;wood\nEthanol;75"
    assert read(text) == formula(
        line("Bergamot", 5),
        line("Vetiver", 6, 10, "Wood"),
        line("Cedar", 2, 100, "Wood"),
        line("Ethanol", 75),
        accords=[Accord("Wood", "", Decimal(20))],
    )
    nested = read("Wood;;;;Heart\nHeart;30\nCedar;1;;;Wood\nVetiver;9")
    assert nested.accords == (Accord("Heart", "", Decimal(30)), Accord("Wood", "Heart"))


@given(formulas(out_of=False))
def test_what_is_written_is_read_back(made: Formula) -> None:
    assert read(written(made)) == made


@given(formulas(out_of=False), st.sampled_from("\t;,"), st.booleans(), st.booleans(), st.booleans())
def test_what_a_spreadsheet_writes_is_read(made: Formula, mark: str, comma: bool, quoted: bool, header: bool) -> None:
    """The standard library writes the file, in each of the usual dialects."""
    file = io.StringIO()
    writer = csv.writer(file, delimiter=mark, quoting=csv.QUOTE_ALL if quoted else csv.QUOTE_MINIMAL)
    if header or mark == ",":
        writer.writerow(["Material", "Parts", "Stock", "Lot", "Accord"])
    for name, parts, stock, lot, accord in table_of(made):
        numbers = [one.replace(".", ",") if comma else one for one in (parts, stock)]
        writer.writerow([name, *numbers, lot, accord])
    assert read(file.getvalue()) == made


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        ("Bergamot;4\nVetiver;x", "line 2, column 2 (parts)", "must be a number"),
        ("Bergamot;4\nVetiver;", "line 2, column 2 (parts)", "not empty"),
        ("Bergamot;4\nVetiver;0", "line 2, column 2 (parts)", "above 0"),
        ("Bergamot;4\nVetiver;-2", "line 2, column 2 (parts)", "must be a number"),
        ("Bergamot;4\n\nVetiver;2;120", "line 3, column 3 (stock)", "at most 100"),
        ("Bergamot;4\nVetiver;1.000,5", "line 2, column 2 (parts)", "marks for thousands"),
        ("Bergamot;4\nVetiver;1 000", "line 2, column 2 (parts)", "marks for thousands"),
        ("Bergamot;4.5\nVetiver;1,25", "line 2, column 2 (parts)", "decimal mark of line 1, column 2"),
        ("Bergamot;4\nVetivr;2", "line 2, column 1 (material)", "'Vetivr' is not among the materials"),
        ("Bergamot;4\n;2", "line 2, column 1 (material)", "not be empty"),
        ("lot;parts;material\n;4;Bergamot\n;2;Vetivr", "line 3, column 3 (material)", "not among"),
        ("Bergamot,4,5", "line 1, column 3", "a decimal or a cell"),
        ("material,parts\nBergamot,4,5", "line 2, column 3", "must be empty"),
        ("material;parts;cost\nBergamot;4;9", "line 1, column 3", "one of material, parts"),
        ("material;parts;weight\nBergamot;4;9", "line 1, column 3", "not named before"),
        ("material;stock\nBergamot;4", "line 1", "columns material and parts"),
        ('Bergamot;4\n"Vetiver;2', "line 2", "end with a quotation mark"),
        ('Bergamot;4\n"Vetiver"x;2', "line 2", "end with a quotation mark"),
        ("Wood;4;;;Green\nGreen;3;;;Wood\nCedar;1;;;Wood\nVetiver;1;;;Green", "line 1, column 5 (accord)", "itself"),
        ("Wood;4\nWood;3\nCedar;1;;;Wood", "line 2, column 1 (material)", "line 1 already"),
        ("Wood;4;10\nCedar;1;;;Wood", "line 1, column 3 (stock)", "must be empty for the accord"),
        ("Wood;x\nCedar;1;;;Wood", "line 1, column 2 (parts)", "must be a number"),
        ("Cedar;1;;" + "L" * 90, "line 1, column 4 (lot)", "at most 80"),
        ("Cedar;1;;;" + "W" * 90, "line 1, column 5 (accord)", "at most 80"),
    ],
)
def test_a_bad_cell_is_named_by_line_and_column(text: str, where: str, what: str) -> None:
    with pytest.raises(ArgumentError) as refused:
        read(text)
    told = str(refused.value)
    assert told.startswith(where), told
    assert what in told
    assert "\n" not in told


@pytest.mark.parametrize("text", ["", "\n \n", ";;;\n;", "material;parts", "x" * 100_001])
def test_no_table_at_all(text: str) -> None:
    with pytest.raises(ArgumentError, match="table m"):
        read_lines(text)


@given(st.text(st.sampled_from('Bergamot4,.;\t"\n\r %x\x00é\ufeff0'), max_size=60) | st.text(max_size=60))
@example('"\n')
@example("a\rb;1")
@example("Bergamot;٣")
@example("Bergamot;1_000")
@example("Bergamot;1e9")
def test_whatever_is_pasted_is_read_or_refused_in_one_sentence(text: str) -> None:
    with contextlib.suppress(ArgumentError):
        made = read(text)
        again = written(made)
        assert read_lines(again).formula(KNOWN) == made


@given(formulas(out_of=False), st.data())
def test_a_spoilt_number_is_found_where_it_stands(made: Formula, data: st.DataObject) -> None:
    rows = [list(cells) for cells in table_of(made)]
    row = data.draw(st.integers(0, len(rows) - 1))
    rows[row][1] = data.draw(st.sampled_from(["a lot", "1'000", "4..5", "--", "5e3", "¼"]))
    text = "\n".join("\t".join(cells) for cells in rows)
    with pytest.raises(ArgumentError, match=rf"^line {row + 1}, column 2 \(parts\)"):
        read(text)


def test_new_names_are_listed_once_as_first_written() -> None:
    typed = read_lines("Bergamot;1\nNew one;2\nnew  one;3\nWood;3\nOther;1;;;Wood")
    assert typed.unknown(KNOWN) == ("New one", "Other")


def test_every_column_is_said_in_the_help() -> None:
    with pytest.raises(ArgumentError) as refused:
        read("Bergamot,4,5")
    (example_,) = re.findall(r"material;parts;stock;lot;accord", str(refused.value))
    assert read(example_ + "\nCedar;1;;;") == formula(line("Cedar", 1))
