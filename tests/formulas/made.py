"""Invented formulas for tests, and strategies that make many of them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st

from evaluation.formulas import Accord, Formula, Line, Material

NAMES = ("Bergamot", "Fig leaf", "Vetiver", "Cedar", "Iris butter", "Labdanum", "Ambrette", "Pink pepper")
MATERIALS = tuple(Material(name.lower(), name) for name in NAMES)
ETHANOL = Material("ethanol", "Ethanol", solvent=True)
CARRIER = Material("carrier", "Carrier", solvent=True)
ALL = {one.name: one for one in (*MATERIALS, ETHANOL, CARRIER)}


def line(name: str, parts: Any, stock: Any = 100, accord: str = "", lot: str = "") -> Line:
    return Line(ALL[name], Decimal(str(parts)), Decimal(str(stock)), lot, accord)


def formula(*lines: Line, accords: Sequence[Accord] = (), out_of: Any = None) -> Formula:
    """A formula whose accords need not be named where nothing places them."""
    named = {one.name for one in accords}
    plain = {one.accord for one in lines if one.accord} | {one.within for one in accords if one.within}
    more = [Accord(name) for name in sorted(plain - named)]
    return Formula(lines, (*accords, *more), None if out_of is None else Decimal(str(out_of)))


parts = st.decimals("0.001", "500", places=3)
stocks = st.sampled_from([Decimal(100), Decimal(100), Decimal(50), Decimal(10), Decimal("0.1")])
accord_names = ("Green", "Wood", "Heart of it", "Skin; warm")


@st.composite
def accord_trees(draw: st.DrawFn) -> tuple[Accord, ...]:
    """Accords, each in one named before it or in the formula itself."""
    named: list[Accord] = []
    for name in accord_names[: draw(st.integers(0, 4))]:
        within = draw(st.sampled_from(["", *(one.name for one in named)]))
        named.append(Accord(name, within, draw(st.none() | parts)))
    return tuple(named)


@st.composite
def formulas(draw: st.DrawFn, out_of: bool = True) -> Formula:
    """Up to twelve lines, repeated materials too, in nested accords, each of which holds a line."""
    accords = draw(accord_trees())
    homes = ["", *(one.name for one in accords)]
    made = [
        Line(
            draw(st.sampled_from([*MATERIALS, ETHANOL])),
            draw(parts),
            draw(stocks),
            draw(st.sampled_from(["", "L1", 'say "7", dark'])),
            draw(st.sampled_from(homes)),
        )
        for _ in range(draw(st.integers(1, 8)))
    ]
    filled = [Line(draw(st.sampled_from(MATERIALS)), draw(parts), accord=one.name) for one in accords]
    whole = draw(st.none() | st.sampled_from([Decimal(100), Decimal(1000)])) if out_of else None
    return Formula(tuple(draw(st.permutations([*made, *filled]))), accords, whole)
