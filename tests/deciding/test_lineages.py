"""Where trials stand in the picture of their lineage, over generated trees."""

from __future__ import annotations

from math import floor, log2

from hypothesis import given
from hypothesis import strategies as st

from evaluation.deciding.lineages import Place, places

Parents = dict[str, str | None]


def trees(most: int = 40) -> st.SearchStrategy[Parents]:
    """Trials in the order they were made, each from one made before it, or, about each eighth, from none."""
    return st.lists(st.integers(0, 10**6), max_size=most).map(_tree)


def _tree(drawn: list[int]) -> Parents:
    return {f"t{n}": f"t{one // 8 % n}" if n and one % 8 else None for n, one in enumerate(drawn)}


def chain(number: int) -> Parents:
    return {f"t{n}": f"t{n - 1}" if n else None for n in range(number)}


def star(number: int) -> Parents:
    return {"t0": None} | {f"t{n}": "t0" for n in range(1, number + 1)}


@given(trees())
def test_every_trial_stands_once_below_the_one_it_was_made_from(parents: Parents) -> None:
    found = places(parents)
    rows = {one.trial_id: row for row, one in enumerate(found)}
    assert sorted(one.trial_id for one in found) == sorted(parents)
    assert {one.trial_id: one.parent_id for one in found} == parents
    assert all(rows[one.parent_id] < rows[one.trial_id] for one in found if one.parent_id is not None)
    assert found == places(parents)


@given(trees())
def test_lines_join_parent_and_child_and_nothing_stands_right_of_a_trial(parents: Parents) -> None:
    """A second route: the cells that lines and labels take in a grid of rows and lanes, drawn from top to bottom."""
    found = places(parents)
    rows = {one.trial_id: row for row, one in enumerate(found)}
    lanes = {one.trial_id: one.lane for one in found}
    lines: dict[tuple[int, int], str] = {}  # what stands in a lane beside the trial of a row: the end of that line
    for one in found:
        if one.goes_on:
            assert parents[one.goes_on] == one.trial_id
            assert lanes[one.goes_on] == one.lane
            for row in range(rows[one.trial_id] + 1, rows[one.goes_on]):
                assert (row, one.lane) not in lines
                lines[row, one.lane] = one.goes_on
        if one.turns:
            assert one.parent_id is not None
            assert lanes[one.parent_id] == one.lane - 1
            assert one.passing[-1] == found[rows[one.parent_id]].goes_on  # it leaves a line that is there
    for row, one in enumerate(found):
        assert [lines.get((row, lane)) for lane in range(one.lane)] == list(one.passing)
        assert not [lane for at, lane in lines if at == row and lane >= one.lane]


@given(trees(200))
def test_lanes_are_few_however_trials_branch(parents: Parents) -> None:
    lanes = 1 + max((one.lane for one in places(parents)), default=0)
    assert lanes <= 1 + floor(log2(max(1, len(parents))))


def test_a_chain_stays_in_one_lane_and_a_star_takes_two() -> None:
    assert {one.lane for one in places(chain(12))} == {0}
    assert [one.lane for one in places(star(10))] == [0, *[1] * 9, 0]
    assert [one.trial_id for one in places(star(10))] == [f"t{n}" for n in range(11)]  # as they were made


def test_a_binary_tree_of_255_trials_is_the_narrowest_that_takes_eight_lanes() -> None:
    """Of 2 ** k − 1 trials, each with two made from it, by the recursion lanes(k) = lanes(k − 1) + 1."""
    binary: Parents = {f"t{n}": f"t{(n - 1) // 2}" if n else None for n in range(255)}
    assert 1 + max(one.lane for one in places(binary)) == 8


def test_trials_made_from_none_and_from_others_that_are_not_there_begin_lines() -> None:
    found = places({"a": None, "b": "elsewhere", "c": "a"})
    assert [(one.trial_id, one.parent_id, one.lane) for one in found] == [("a", None, 0), ("c", "a", 0), ("b", None, 0)]
    assert places({}) == ()


def test_a_circle_that_the_book_would_refuse_is_cut_and_loses_no_trial() -> None:
    assert places({"a": "b", "b": "a"}) == (Place("b", None, goes_on="a"), Place("a", "b"))


def test_the_line_with_most_behind_it_goes_on_below() -> None:
    found = places({"1": None, "2": "1", "3": "1", "4": "2", "5": "2", "6": "3"})
    assert [(one.trial_id, one.lane) for one in found] == [("1", 0), ("3", 1), ("6", 1), ("2", 0), ("4", 1), ("5", 0)]
