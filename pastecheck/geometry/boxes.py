"""Boxes that come near each other, as whole nanometres: exact, and told before too many take all memory."""

from collections.abc import Iterator
from itertools import chain
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import IntArray
from pastecheck.ragged import within_runs

_CELLS_OF_SMALL_BOX = 12
"""Boxes over more cells of the grid than this are looked up in a tree: a frame must not fill the grid."""

_PAIRS_TRIED = 2_000_000
"""So many pairs of large boxes with any boxes are tried one by one; more are worth a tree."""

_AT_ONCE = 1_000_000
"""About so many pairs are tried at a time, so that those tried in vain take no memory."""
_TRIED_AT_ONCE = 65_536
"""So few, where little else is done for them, that what is computed stays in the processor's cache."""

_MOST_CELLS = 1_000_000_000
"""In a row of the grid: so the number of a cell is no larger than a whole number may be."""
_SAMPLE = 100_000
_SPREAD = 5
"""A sample is off by more than so many standard deviations once in millions of layers."""


class Rows(NamedTuple):
    """Pairs of rows, the lower first. Shape (k,) each, sorted by first, then second."""

    first: IntArray
    second: IntArray


class TooManyPairsError(Exception):
    """There are more close pairs than were asked for."""

    def __init__(self, bound: int) -> None:
        super().__init__(f"up to {bound} pairs")
        self.bound = bound
        """There are not more than this."""


def close_boxes(bounds_nm: IntArray, reach_nm: int = 0, most: int | None = None) -> Rows:
    """
    Pairs of boxes that are at most `reach_nm` apart in both x and y; touching counts.

    Args:
        bounds_nm: Min x, min y, max x, max y. Shape (n, 4).
        reach_nm: Not negative; an odd one counts as the next even one.
        most: How many pairs are wanted at most; any number if None.

    Raises:
        TooManyPairsError: If there are more. It is told before they take memory.

    Cost:
        A grid of cells twice as wide as the median box; grows with the number of boxes and of pairs.
    """
    if len(bounds_nm) < 2:
        none = np.zeros(0, np.int64)
        return Rows(none, none)
    box = bounds_nm.T.copy()  # each column in one piece, as it is read for many pairs
    if most is not None and _at_least(box) > most:
        raise TooManyPairsError(len(bounds_nm) * (len(bounds_nm) - 1) // 2)
    grown = box + np.array([-1, -1, 1, 1])[:, None] * -(-reach_nm // 2)
    extent = int(grown.max()) - int(grown.min())
    # a box lies in 2.25 cells; of cells half as wide in 4. Strokes beside each other are long one way only
    cell = np.maximum(2 * np.median(grown[2:] - grown[:2], axis=1).astype(np.int64), 1)
    cell = np.maximum(cell, -(-extent // _MOST_CELLS))[:, None]
    low, high = grown[:2] // cell, grown[2:] // cell
    across = high - low + 1
    # a product could overflow for boxes of astronomic size; a logarithm cannot
    small = np.log2(across.astype(np.float64)).sum(axis=0) <= np.log2(_CELLS_OF_SMALL_BOX)
    cells = _Cells(np.flatnonzero(small), low, across)
    large = np.flatnonzero(~small)
    bound = cells.pairs + len(large) * len(bounds_nm)
    if most is not None and cells.pairs > max(most, _AT_ONCE) and cells.at_least(grown) > most:
        raise TooManyPairsError(bound)
    found: list[Rows] = []
    count = 0
    for pairs in chain(cells.rows(grown), _with_large(large, small, grown)):
        found.append(pairs)
        count += len(pairs.first)
        if most is not None and count > most:
            raise TooManyPairsError(bound)
    first = np.concatenate([pair.first for pair in found])
    second = np.concatenate([pair.second for pair in found])
    order = np.argsort(first * len(bounds_nm) + second)
    return Rows(first[order], second[order])


def _at_least(bounds_nm: IntArray) -> int:
    """How many pairs meet of very many boxes, by a sample: hardly ever fewer. 0 where it tells too little."""
    count = bounds_nm.shape[1]
    if count < _SAMPLE:
        return 0
    i, j = np.random.default_rng(1).integers(0, count, (2, _SAMPLE))
    met = int(np.count_nonzero(_meet(bounds_nm, i, j) & (i != j)))
    return _surely(met, count * (count - 1) // 2)


def _surely(met: int, pairs: int) -> int:
    """How many of all pairs meet at least, if so many of a sample do."""
    return int(max(0.0, met - _SPREAD * met**0.5) * (pairs / _SAMPLE))


class _Cells:
    """Small boxes in the cells of the grid that they cover."""

    def __init__(self, small: IntArray, low: IntArray, across: IntArray) -> None:
        self.low = low
        columns, lines = across
        count = (columns * lines)[small]
        entry = np.repeat(small, count)
        nth = within_runs(count)
        cell_x = low[0][entry] + nth % columns[entry]
        cell_y = low[1][entry] + nth // columns[entry]
        del nth  # and so on: a layer of millions takes no more memory here than it has to
        self.rows_of_cells = int(np.ptp(cell_y)) + 1 if len(cell_y) else 1
        key = cell_x * self.rows_of_cells + cell_y
        del cell_x, cell_y
        order = np.argsort(key, kind="stable")
        self.entry, self.key = entry[order], key[order]
        del entry, order
        key = self.key
        begins = np.flatnonzero(np.diff(key, prepend=key[:1] - 1))
        size = np.diff(np.append(begins, len(key)))
        self.later = np.repeat(size, size) - 1 - within_runs(size)
        """How many entries of the same cell stand behind each entry."""
        self.pairs = int(self.later.sum())

    def rows(self, grown: IntArray) -> Iterator[Rows]:
        """Pairs, some at a time; each is met in the lowest cell that both cover, so it comes once."""
        total = np.cumsum(self.later)
        end = 0
        while end < len(total):
            begin, before = end, total[end] - self.later[end]
            end = max(begin + 1, int(np.searchsorted(total, before + _TRIED_AT_ONCE, side="right")))
            entries = np.arange(begin, end)
            later = self.later[entries]
            one = np.repeat(entries, later)
            yield self._met(one, one + 1 + within_runs(later), grown)

    def at_least(self, grown: IntArray) -> int:
        """How many pairs meet, by a sample of those that share a cell: hardly ever fewer."""
        total = np.cumsum(self.later)
        nth = np.random.default_rng(1).integers(0, self.pairs, _SAMPLE)
        one = np.searchsorted(total, nth, side="right")
        two = one + 1 + nth - (total[one] - self.later[one])
        return _surely(len(self._met(one, two, grown).first), self.pairs)

    def _met(self, one: IntArray, two: IntArray, grown: IntArray) -> Rows:
        """Pairs of boxes of entries of the same cell, of those that meet and have no lower cell in common."""
        i, j = self.entry[one], self.entry[two]
        met = np.flatnonzero(_meet(grown, i, j))
        i, j = i[met], j[met]
        lowest_x, lowest_y = (np.maximum(low[i], low[j]) for low in self.low)
        kept = self.key[one[met]] == lowest_x * self.rows_of_cells + lowest_y
        i, j = i[kept], j[kept]
        return Rows(np.minimum(i, j), np.maximum(i, j))


def _with_large(large: IntArray, small: NDArray[np.bool_], grown: IntArray) -> Iterator[Rows]:
    """Pairs with at least one large box: few are tried against all boxes, many are looked up in a tree."""
    for which, other in _with_each(large, grown):
        i, j = large[which], other
        kept = ((i < j) | small[j]) & (i != j)
        i, j = i[kept], j[kept]
        met = _meet(grown, i, j)
        yield Rows(np.minimum(i, j)[met], np.maximum(i, j)[met])


def _with_each(large: IntArray, grown: IntArray) -> Iterator[tuple[IntArray, IntArray]]:
    """Numbers of large boxes, and rows of all boxes that may meet them, some at a time."""
    count = grown.shape[1]
    if len(large) * count <= _PAIRS_TRIED:
        yield np.divmod(np.arange(len(large) * count), count)
        return
    from rtree.index import Index  # noqa: PLC0415 - slow to import, and seldom needed

    low, high = grown[:2].T.astype(np.float64, order="C"), grown[2:].T.astype(np.float64, order="C")
    tree: Any = Index((np.arange(count), low, high))
    begin, end = 0, min(len(large), max(1, _AT_ONCE // count))
    while begin < end:
        other, found = tree.intersection_v(low[large[begin:end]], high[large[begin:end]])
        yield np.repeat(np.arange(begin, end), found.astype(np.int64)), other.astype(np.int64)
        at_once = max(1, int((end - begin) * min(16.0, _AT_ONCE / (len(other) + 1))))
        begin, end = end, min(len(large), end + at_once)


def _meet(grown: IntArray, i: IntArray, j: IntArray) -> NDArray[np.bool_]:
    """Whether boxes meet. grown: shape (4, n)."""
    met: NDArray[np.bool_] = grown[0][i] <= grown[2][j]
    for low, high, one, other in ((0, 2, j, i), (1, 3, i, j), (1, 3, j, i)):
        met &= grown[low][one] <= grown[high][other]
    return met
