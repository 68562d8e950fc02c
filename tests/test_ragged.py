"""Runs of unequal length against plain Python, and equal rows and runs against dictionaries."""

from itertools import accumulate, pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.ragged import (
    Distinct,
    IntArray,
    distinct_rows,
    distinct_runs,
    gathered,
    in_short,
    offsets,
    rows_of_runs,
    within_runs,
)

counts = st.lists(st.integers(0, 4), max_size=12)
small = st.integers(-2, 2)
runs = st.lists(st.lists(st.tuples(small, small), min_size=1, max_size=3), max_size=15)


def _column(values: list[int]) -> IntArray:
    return np.array(values, np.int64)


def _scrambled(word: int) -> int:
    """The finaliser of SplitMix64 (public domain), on whole numbers of Python."""
    word = ((word ^ (word >> 30)) * 0xBF58476D1CE4E5B9) % 2**64
    word = ((word ^ (word >> 27)) * 0x94D049BB133111EB) % 2**64
    return word ^ (word >> 31)


def _rows_of_one_hash() -> list[tuple[int, int]]:
    """
    Two different rows with the same hash.

    Columns are added one by one: hash = scrambled(scrambled(first + mix) + second + mix). A first column of
    1 in place of 0 is made good by a second one that is smaller by as much as the scrambled firsts differ.
    """
    mix = 0x9E3779B97F4A7C15
    second = (_scrambled(mix) - _scrambled(1 + mix)) % 2**64
    return [(0, 0), (1, second - 2**64 if second >= 2**63 else second)]


def _tell_apart(kinds: Distinct, things: list[object]) -> None:
    """Equal things have one kind, unequal ones do not, and each kind names the first thing of it."""
    met = {thing: row for row, thing in reversed(list(enumerate(things)))}
    assert kinds.first[kinds.inverse].tolist() == [met[thing] for thing in things]
    assert sorted(kinds.first.tolist()) == sorted(met.values())


@given(counts)
def test_places_within_runs_start_anew_with_each_run(count: list[int]) -> None:
    assert within_runs(_column(count)).tolist() == [k for n in count for k in range(n)]


@given(st.lists(st.tuples(st.integers(0, 99), st.integers(0, 4)), max_size=12))
def test_rows_of_runs_follow_each_start(run: list[tuple[int, int]]) -> None:
    start, count = _column([s for s, _ in run]), _column([n for _, n in run])
    assert rows_of_runs(start, count).tolist() == [s + k for s, n in run for k in range(n)]


@given(counts)
def test_offsets_are_the_sums_so_far(count: list[int]) -> None:
    assert offsets(_column(count)).tolist() == list(accumulate(count, initial=0))


@given(st.lists(st.tuples(small, small, small), max_size=30))
def test_rows_are_of_one_kind_exactly_when_they_are_equal(rows: list[tuple[int, int, int]]) -> None:
    _tell_apart(distinct_rows(np.array(rows, np.int64).reshape(-1, 3)), list(rows))


@given(runs)
def test_runs_are_of_one_kind_exactly_when_they_are_equal(run: list[list[tuple[int, int]]]) -> None:
    rows = np.array([row for rows in run for row in rows], np.int64).reshape(-1, 2)
    kinds = distinct_runs(rows, offsets(_column([len(rows) for rows in run])))
    _tell_apart(kinds, [tuple(rows) for rows in run])


def test_a_run_is_told_from_its_own_beginning_and_from_itself_turned_about() -> None:
    rows = _column([5, 6, 5, 6, 7, 6, 5])[:, None]  # 5 6 | 5 6 7 | 6 5
    assert len(distinct_runs(rows, _column([0, 2, 5, 7])).first) == 3


def test_rows_that_share_a_hash_are_told_apart() -> None:
    one, other = _rows_of_one_hash()
    things = [one, other, one, (7, 7), other]
    _tell_apart(distinct_rows(np.array(things, np.int64)), list(things))


def test_runs_that_share_a_hash_are_told_apart() -> None:
    one, other = _rows_of_one_hash()
    things = [(one, (7, 7)), (other, (7, 7)), (one, (7, 7)), (one,)]
    rows = np.array([row for thing in things for row in thing], np.int64)
    bounds = list(accumulate((len(thing) for thing in things), initial=0))
    assert [b - a for a, b in pairwise(bounds)] == [2, 2, 2, 1]
    _tell_apart(distinct_runs(rows, _column(bounds)), list(things))


@pytest.mark.parametrize("columns", [1, 4])
def test_no_rows_are_of_no_kind(columns: int) -> None:
    kinds = distinct_rows(np.zeros((0, columns), np.int64))
    assert len(kinds.first) == len(kinds.inverse) == 0


@given(st.lists(st.sampled_from([1.5, np.nan]), min_size=1, max_size=3), st.data())
def test_what_is_gathered_is_the_row_of_each_kind_whether_in_short_or_not(
    of_kind: list[float], data: st.DataObject
) -> None:
    kinds = data.draw(st.lists(st.integers(0, len(of_kind) - 1), max_size=5))
    kind, column = _column(kinds), np.column_stack([of_kind, of_kind])
    expected = column[kind]
    np.testing.assert_array_equal(gathered(column, kind), expected)
    np.testing.assert_array_equal(gathered(column[:, 0], kind), expected[:, 0])


def test_a_column_of_one_number_or_of_nothing_is_held_once() -> None:
    assert in_short(np.array([2.0, 2.0, 2.0])).strides == (0,)
    assert in_short(np.array([np.nan, np.nan])).strides == (0,)
    assert in_short(np.array([2.0, np.nan])).strides == (8,)
    assert in_short(np.zeros(0)).shape == (0,)
