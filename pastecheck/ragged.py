"""Runs of rows of unequal length, as one array with offsets; and equal rows and runs told from others."""

from itertools import pairwise
from typing import Any, NamedTuple, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
HashArray = NDArray[np.uint64]

Number = TypeVar("Number", np.int64, np.float64)

_MIX = (0x9E3779B97F4A7C15, 0xBF58476D1CE4E5B9, 0x94D049BB133111EB)


class Distinct(NamedTuple):
    """Equal things, each kind once: thing i is of kind `inverse[i]`, first met as thing `first[kind]`."""

    first: IntArray
    inverse: IntArray


def within_runs(count: IntArray) -> IntArray:
    """0, 1, ... count - 1 for each run, one run behind the other."""
    end = np.cumsum(count)
    return np.arange(end[-1] if len(end) else 0, dtype=np.int64) - np.repeat(end - count, count)


def rows_of_runs(start: IntArray, count: IntArray) -> IntArray:
    """Row numbers of runs that begin at `start`, one run behind the other."""
    return np.repeat(start, count) + within_runs(count)


def offsets(count: IntArray) -> IntArray:
    """Where each run begins, and where the last one ends. Shape (runs + 1,)."""
    return np.concatenate([np.zeros(1, np.int64), np.cumsum(count, dtype=np.int64)])


def in_short(column: FloatArray) -> FloatArray:
    """The same column, not to be written to; where all rows are equal, or NaN, in the room of one."""
    is_one = len(column) > 0 and np.array_equal(column[1:], column[:-1], equal_nan=True)
    return np.broadcast_to(column[0], column.shape) if is_one else column


def gathered(of_kind: FloatArray, kind: IntArray) -> FloatArray:
    """The row of each thing's kind, not to be written to; in short as above. Shape (n, ...)."""
    one = in_short(of_kind)
    return of_kind[kind] if one is of_kind else np.broadcast_to(one[0], (len(kind), *one.shape[1:]))


def distinct(numbers: NDArray[Number]) -> NDArray[Number]:
    """
    Numbers in order, each once, of any shape; none may be NaN.

    By sorting, for the hashing of numpy's `unique` takes five times that, and loads masked arrays besides.
    """
    ordered = np.sort(numbers, axis=None)
    differs = np.append(np.ones(min(len(ordered), 1), bool), ordered[1:] != ordered[:-1])
    each: NDArray[Number] = ordered[differs]
    return each


def among(numbers: NDArray[Any], some: ArrayLike) -> NDArray[np.bool_]:
    """Whether numbers are among some others; as `isin` of numpy, without masked arrays. Of their shape."""
    ordered = np.sort(np.asarray(some), axis=None)
    if not len(ordered):
        return np.zeros(numbers.shape, bool)
    at = np.minimum(np.searchsorted(ordered, numbers), len(ordered) - 1)
    found: NDArray[np.bool_] = ordered[at] == numbers
    return found


def distinct_rows(rows: IntArray) -> Distinct:
    """
    Distinct rows of a table, in no particular order.

    Rows are told apart by a hash and the outcome is verified against the rows, so it is exact.

    Args:
        rows: Whole numbers. Shape (n, columns).
    """
    return _verified(rows, _hash_of_rows(rows))


def distinct_runs(rows: IntArray, offset: IntArray) -> Distinct:
    """
    Distinct runs of rows: equal when they have the same rows in the same order.

    Args:
        rows: Whole numbers. Shape (m, columns).
        offset: Run r has the rows offset[r] to offset[r + 1]; no run is empty. Shape (runs + 1,).
    """
    count = np.diff(offset)
    if not len(count):
        return Distinct(np.zeros(0, np.int64), np.zeros(0, np.int64))
    place = within_runs(count).astype(np.uint64)
    mixed = _scrambled(_hash_of_rows(rows) + place * np.uint64(_MIX[2]))
    hashed = _scrambled(np.add.reduceat(mixed, offset[:-1]) + count.astype(np.uint64))
    kinds = _unique(hashed)
    like = offset[:-1][kinds.first][kinds.inverse]
    same_count = count == count[kinds.first][kinds.inverse]
    if same_count.all() and np.array_equal(rows, rows[rows_of_runs(like, count)]):
        return kinds
    seen: dict[bytes, int] = {}  # two different runs share a hash: compare them as bytes
    inverse = np.array([seen.setdefault(rows[a:b].tobytes(), len(seen)) for a, b in pairwise(offset)])
    return Distinct(np.unique(inverse, return_index=True)[1], inverse)


def _verified(rows: IntArray, hashed: HashArray) -> Distinct:
    kinds = _unique(hashed)
    if np.array_equal(rows, rows[kinds.first[kinds.inverse]]):
        return kinds
    _, first, inverse = np.unique(rows, axis=0, return_index=True, return_inverse=True)
    return Distinct(first, inverse.reshape(-1))


def _unique(hashed: HashArray) -> Distinct:
    _, first, inverse = np.unique(hashed, return_index=True, return_inverse=True)
    return Distinct(first, inverse)


def _hash_of_rows(rows: IntArray) -> HashArray:
    hashed = np.zeros(len(rows), np.uint64)
    for column in rows.T:
        hashed = _scrambled(hashed + column.astype(np.uint64) + np.uint64(_MIX[0]))
    return hashed


def _scrambled(x: HashArray) -> HashArray:
    """Mix the bits of 64-bit words (the finaliser of the public-domain generator SplitMix64)."""
    x = (x ^ (x >> np.uint64(30))) * np.uint64(_MIX[1])
    x = (x ^ (x >> np.uint64(27))) * np.uint64(_MIX[2])
    return x ^ (x >> np.uint64(31))
