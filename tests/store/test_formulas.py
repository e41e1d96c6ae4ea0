"""Formulas come back as they were written, on both stores, and lines entered for skin before say what they said."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import Connection, text

from evaluation.actions import formulas as acts
from evaluation.errors import ArgumentError, NotFound
from evaluation.formulas import Formula, Line, Material
from evaluation.skin import shares, worn
from evaluation.store import Notebook
from evaluation.store.engine import transaction
from tests.formulas.made import ALL, formula, formulas, line
from tests.store.prepared import count, fill
from tests.store.test_skin_merge import line as old_line
from tests.store.test_skin_merge import material as old_material
from tests.store.test_skin_merge import older


def listed(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        for one in ALL.values():
            tx.skin.add_material(one)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(made=formulas())
def test_a_formula_comes_back_as_it_was_written(notebook: Notebook, made: Formula) -> None:
    with notebook.reading() as tx:
        fresh = not tx.skin.materials()
    if fresh:
        listed(notebook)
    with notebook.writing() as tx:
        tx.formulas.write("trial-7", made)
    with notebook.reading() as tx:
        assert tx.formulas.formula("trial-7") == made
        assert [str(one.parts) for one in tx.formulas.formula("trial-7").lines] == [
            str(one.parts) for one in made.lines
        ]
        assert tx.formulas.formula("trial-8") is None


def test_of_trials_holds_those_that_have_one(notebook: Notebook) -> None:
    listed(notebook)
    made = formula(line("Cedar", 1))
    with notebook.writing() as tx:
        tx.formulas.write("trial-8", made)
        assert tx.formulas.of_trials(("trial-7", "trial-8")) == {"trial-8": made}
        tx.formulas.remove("trial-8")
        assert tx.formulas.of_trials(("trial-7", "trial-8")) == {}
    for table in ("formulas", "formula_lines", "formula_accords"):
        assert count(notebook, table) == 0
    with pytest.raises(NotFound), notebook.writing() as tx:
        tx.formulas.write("elsewhere", made)


@pytest.mark.parametrize("spoilt", ["10x", "1e-999999999", "NaN", ""])
def test_a_spoilt_number_is_one_sentence(notebook: Notebook, spoilt: str) -> None:
    listed(notebook)
    with notebook.writing() as tx:
        tx.formulas.write("trial-8", formula(line("Cedar", 1)))
    with transaction(notebook._engine, "writing") as connection:
        connection.execute(text("UPDATE formula_lines SET parts = :spoilt"), {"spoilt": spoilt})
    with notebook.reading() as tx, pytest.raises(ArgumentError, match=r"^parts must be a number such as 12\.5, not "):
        tx.formulas.formula("trial-8")


def test_what_a_material_carries_comes_back(notebook: Notebook) -> None:
    told = (Material("a", "Ethanol", solvent=True), Material("b", "Fig", "top", minutes=(2, 40)), Material("c", "Moss"))
    with notebook.writing() as tx:
        for one in told:
            tx.skin.add_material(one)
    with notebook.reading() as tx:
        assert tx.skin.materials() == told


def test_the_gate_is_given_shares_that_are_never_rounded(notebook: Notebook) -> None:
    """A third of the whole at 30 % of a stock of 10 %: exactly 1 % on skin, and not a digit above a limit of 1."""
    listed(notebook)
    with notebook.writing() as tx:
        tx.formulas.write("trial-7", formula(line("Cedar", 1, 10), line("Ethanol", 2), out_of=3))
        cedar, _ = shares(tx.skin.lines("trial-7"), Decimal(30), ())
        assert cedar.percent == 1
        kept = worn(tx.skin.lines("trial-7"))
        assert str(kept[0].share_percent) == "100/3"
        assert tx.skin.whole_said("trial-7")


def _old_lines(connection: Connection) -> None:
    for table, values in (
        ("briefs", "('b', 'B', '', 1)"),
        ("trials", "('trial-7', 'b', '7', NULL, '', NULL, NULL, NULL, '', 1, NULL)"),
        ("trials", "('trial-8', 'b', '8', NULL, '', NULL, NULL, NULL, '', 2, NULL)"),
    ):
        connection.execute(text(f"INSERT INTO {table} VALUES {values}"))
    old_material(connection, "Cedar", 1)
    old_material(connection, "Ethanol", 2)
    old_line(connection, "trial-7", 1, 1, "60.50", "10")
    old_line(connection, "trial-7", 2, 2, "39.45")


def test_lines_entered_for_skin_become_parts_of_a_hundred(tmp_path: Path) -> None:
    notebook = older(str(tmp_path / "n.sqlite"), _old_lines)
    with notebook.reading() as tx:
        found: Any = tx.formulas.formula("trial-7")
        assert found.out_of == 100
        assert [(one.material.name, str(one.parts), one.stock_percent) for one in found.lines] == [
            ("Cedar", "60.50", 10),
            ("Ethanol", "39.45", 100),
        ]
        assert [(one.share_percent, one.stock_percent) for one in tx.skin.lines("trial-7")] == [
            (Decimal("60.50"), Decimal(10)),
            (Decimal("39.45"), Decimal(100)),
        ]
        assert tx.skin.whole_said("trial-7")  # 99.95: the tolerance of rounded lines is what it was
        assert tx.formulas.formula("trial-8") is None
    assert acts.start_from(notebook, "trial-8") is None
    notebook.close()


def test_a_line_of_more_than_the_whole_can_still_be_read(notebook: Notebook) -> None:
    """Nothing stored may stop a page: the gate says that it does not add up."""
    listed(notebook)
    with notebook.writing() as tx:
        tx.formulas.write("trial-7", Formula((Line(ALL["Cedar"], Decimal(150)),), out_of=Decimal(100)))
        assert [one.share_percent for one in tx.skin.lines("trial-7")] == [150]
        assert not tx.skin.whole_said("trial-7")
