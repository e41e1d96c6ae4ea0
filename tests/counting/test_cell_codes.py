"""A column's codes against the plain route: a dictionary filled cell by cell, in blocks cut anywhere."""

from __future__ import annotations

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.counting import cell_codes
from evaluation.counting.cell_codes import coded

SAME = st.tuples(st.text(max_size=3), st.integers(1, 3000)).map(lambda one: [one[0]] * one[1])
LETTERS = st.lists(st.sampled_from("01é"), min_size=1, max_size=40)
MIXED = st.lists(st.text(max_size=4), min_size=1, max_size=40)
RUNS = st.lists(SAME, min_size=1, max_size=4).map(lambda runs: [cell for run in runs for cell in run])
BLOCKS = st.lists(st.one_of(SAME, LETTERS, MIXED, RUNS), max_size=4)


def by_hand(cells: list[str]) -> tuple[list[int], list[str]]:
    places: dict[str, int] = {}
    return [places.setdefault(cell, len(places)) for cell in cells], list(places)


def column(blocks: list[list[str]]) -> pa.ChunkedArray:
    return pa.chunked_array([pa.array(cells, pa.string()) for cells in blocks], pa.string())


@given(BLOCKS)
def test_every_way_of_coding_gives_the_places_of_first_appearance(blocks: list[list[str]]) -> None:
    codes, values = coded(column(blocks))
    assert (codes.tolist(), values) == by_hand([cell for cells in blocks for cell in cells])


@given(st.one_of(LETTERS, MIXED, RUNS), st.data())
def test_a_block_cut_out_of_a_longer_one_is_read_within_its_ends(cells: list[str], data: st.DataObject) -> None:
    first = data.draw(st.integers(0, len(cells)))
    last = data.draw(st.integers(first, len(cells)))
    codes, values = coded(column([cells]).slice(first, last - first))
    assert (codes.tolist(), values) == by_hand(cells[first:last])


@pytest.mark.parametrize("cells", [["triangle"] * 5000, [""] * 5000, list("01") * 2500, ["30"] * 2500 + ["5"] * 2500])
def test_what_repeats_is_never_hashed_cell_by_cell(cells: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """The last way is the only one that takes any block: it must not be needed for these."""
    monkeypatch.setattr(cell_codes, "_WAYS", cell_codes._WAYS[:-1])
    codes, values = coded(column([cells]))
    assert (codes.tolist(), values) == by_hand(cells)
    assert codes.dtype == np.int32
