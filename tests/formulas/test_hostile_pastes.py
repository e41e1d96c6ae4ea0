"""Tables of formulas pasted by somebody: a formula that is written as it reads, or one sentence and nothing is kept."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from functools import cache, partial
from pathlib import Path
from random import Random

import pytest

from evaluation.actions import formulas
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError
from evaluation.formulas import COLUMNS, Material, batch, name_key, opened, read_lines, rows_of_cells, written
from evaluation.store import Notebook
from tests import attacks, scenes
from tests.again import Tried
from tests.attacks import Ended

TABLES = (
    [["Vetiver oil", "4", "10"], ["Cedar wood", "12.5"], ["Amber base", "3", "", "lot 7"]],
    [list(COLUMNS), ["Green", "10", "", "", ""], ["Leaf", "2", "10", "", "Green"], ["Fig", "3", "", "A1", "Green"], ["Musk", "1"]],
    [["parts", "material"], ["1,5", "Rose"], ["2,25", "Iris “root”"]],
)  # fmt: skip
NUMBERS = (
    *attacks.NUMBERS,
    "4",
    "0.25",
    "0,25",
    "1.000,5",
    "4 %",
    "12.5%",
    "1e5",
    "-1",
    "0",
    "０",
    "½",
    "1" * 13,
    "0." + "0" * 13 + "1",
)


@cache
def notebook() -> tuple[Tried, str]:
    """A book with a trial in it."""
    held = Notebook.open(None, SteppedClock(step=1))
    return Tried(held), scenes.scene(held, people=1).trial_ids[0]


def attack(seed: int) -> tuple[str, str]:
    """A hostile paste, and what was done to it."""
    chance = Random(seed)
    table = [list(row) for row in chance.choice(TABLES)]
    done = []
    for _ in range(chance.choice((0, 1, 1, 2, 3))):
        how = chance.choice((_cell, _cell, _number, _number, _named, _rows, _wide))
        how(chance, table)
        done.append(how.__name__)
    out = io.StringIO()
    between = chance.choice((";", ";", "\t", ","))
    csv.writer(out, delimiter=between, lineterminator=chance.choice(("\n", "\r\n", "\r"))).writerows(table)
    text = out.getvalue()
    if chance.random() < 0.2:
        at = chance.randrange(len(text) + 1)
        text = (
            text[:at]
            + chance.choice((*attacks.LETTERS, '"', '""', '";', "\n\n", "\r", ";", "\x0b", "\ufeff"))
            + text[at:]
        )
    return " ".join(done), text


def _cell(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    if row:
        row[chance.randrange(len(row))] = chance.choice((*attacks.WORDS, *attacks.LETTERS))


def _number(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    if len(row) > 1:
        row[chance.choice((1, 1, len(row) - 1))] = chance.choice(NUMBERS)


def _named(chance: Random, table: list[list[str]]) -> None:
    """A name that is another's, or nearly: accords named like materials, inside themselves and in each other."""
    row, other = chance.choice(table), chance.choice(table)
    if row and other:
        row[chance.choice((0, -1))] = chance.choice(
            (other[0], other[0].upper(), f" {other[0]}\u00a0", "Green", other[-1], "material")
        )


def _rows(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    how = chance.randrange(4)
    if how == 0:
        table.extend([list(row)] * chance.choice((1, 2, 2000 if sum(map(len, row)) < 100 else 3)))
    elif how == 1:
        table.remove(row)
        table[:] = table or [[]]
    elif how == 2:
        table.extend(
            [[f"m{n}", "1", "", "", f"a{n + 1}"], [f"a{n}", "1", "", "", f"a{n + 1}"]][n % 2]
            for n in range(chance.choice((9, 30)))
        )
    else:
        chance.shuffle(table)


def _wide(chance: Random, table: list[list[str]]) -> None:
    row = chance.choice(table)
    row[:] = chance.choice(([], row * 3, row[::-1], [*row, *[""] * 300], [*row, "x"], [""] * 2 + row))


def tried(seeds: range, folder: Path, ended: Ended) -> None:
    """Read each, work its formula out and write it again; every tenth is entered in the book, new names and all."""
    for seed in seeds:
        done, text = attack(seed)
        attacks.sent_in(partial(_case, seed, text), f"{seed} {done}", ended)


def _case(seed: int, text: str) -> None:
    typed = read_lines(text)
    if seed % 10 == 0:
        held, trial_id = notebook()
        formulas.write(held, trial_id, typed, None, new_materials=True)  # type: ignore[arg-type]
    known = {name_key(name): Material(f"id {name}", name) for name in typed.unknown({})}
    formula = typed.formula(known)
    opened(formula)
    batch(formula, Decimal(10))
    assert read_lines(written(formula)).formula(known) == formula, "it reads otherwise when it is written"


def test_altered_pastes_give_a_formula_or_one_sentence(tmp_path: Path) -> None:
    ended = Ended()
    tried(range(400), tmp_path, ended)
    assert ended.failures == []
    assert min(ended["refused"], ended["told"]) > 40


@pytest.mark.slow
@pytest.mark.parametrize("part", range(10))
def test_a_hundred_thousand_altered_pastes_give_a_formula_or_one_sentence(part: int, tmp_path: Path) -> None:
    ended = Ended()
    tried(range(part * 10_000, part * 10_000 + 10_000), tmp_path, ended)
    assert ended.failures == []


# --- one by one -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a;1\n" * 1001, "a formula may have at most 1000 rows"),
        ("a;1\nb;" + "9" * 401, "line 2: a cell may have at most 400 characters, not 401"),
        ("a;1\nb;" + "9" * 61, "line 2, column 2 (parts) must be a number"),
        ("a;1e999999999", "line 1, column 2 (parts) must be a number"),
        ("a;1\n" * 25_001, "table may have at most 100000 characters"),
    ],
)
def test_a_formula_too_large_is_refused_before_anything_is_made_of_it(text: str, said: str) -> None:
    with pytest.raises(ArgumentError) as refused:
        read_lines(text).formula({"a": Material("a", "a"), "b": Material("b", "b")})
    assert said in str(refused.value)
    assert len(str(refused.value)) < 300


def test_the_table_on_the_page_has_the_same_bounds() -> None:
    with pytest.raises(ArgumentError, match="at most 1000 rows"):
        rows_of_cells([["a", "1", "", "", ""]] * 1001)
    with pytest.raises(ArgumentError, match="line 1: a cell may have at most 400"):
        rows_of_cells([["a" * 401, "1", "", "", ""]])
